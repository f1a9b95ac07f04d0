"""One input, changed in steps until the readings that depend on it are as they should be."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from buildcheck.build import Missing
from buildcheck.build.reads import Cell
from buildcheck.checks.changes import OutOfReach, Way
from buildcheck.checks.may_move import Moves
from buildcheck.checks.search import smallest_step
from buildcheck.checks.work_order.inputs import Input, is_within
from buildcheck.checks.work_order.yardstick import Edits, Target, Yardstick
from buildcheck.job import Job, Unreached

# Steps of the first look at an input, as shares of its reach.
NEAR, FAR = 1 / 24, 1 / 4

# A step has to improve a reading by at least so much, and so many readings are tried one by one.
SLIGHT, MOST_ALONE = 0.02, 3

# What a change costs, in the units of a score: a line at all, how far it goes, a guess at a slip of the pen, a change
# that no check asks for, and one of what the truck is and not of what is built.
A_LINE, FAR_OFF, A_SLIP, UNASKED, A_FACT = 0.25, 0.25, 0.1, 0.1, 0.2

FACTS = ("vehicle", "axle", "driveshaft.output", "steering.pitman_arm", "steering.kingpins")
"""Where the spec describes the truck as it is: a change there says that it was measured or written wrongly."""


class Option(NamedTuple):
    """A change that was tried: what it writes, the readings that it puts right, how far it goes (1 is far for its
    kind), the words of a slip of the pen, where it is one, and else the column of its input."""

    edits: Edits
    mends: frozenset[Target]
    distance: float
    slip: str = ""
    column: Column | None = None

    @property
    def cost(self) -> float:
        """The cost of the change itself, in the units of a score: a line at all, how far it goes, who asks for it, and
        the guess that a slip of the pen is."""
        prior = A_SLIP if self.column is None else 0.0 if self.column.named else UNASKED
        fact = A_FACT if any(map(_is_a_fact, self.paths)) else 0.0
        return A_LINE + FAR_OFF * min(self.distance, 4.0) + prior + fact

    @property
    def paths(self) -> frozenset[str]:
        """The spec paths that it writes."""
        return frozenset(path for path, _ in self.edits)


def _is_a_fact(path: str) -> bool:
    """Whether a spec path says what the truck is; a bracket says it of its parent."""
    return any(is_within(path, fact) for fact in FACTS) or ".parent_" in path


@dataclass(frozen=True)
class Column:
    """An input that can be changed in steps of either sign; `named` says that a check asks for it, and
    `in_sizes` that only some values are made or make sense; `slip` are the words of a slip of the pen."""

    paths: frozenset[str]
    cells: frozenset[Cell]
    edits: Callable[[int], Edits]
    distance: Callable[[int], float]
    most: int
    named: bool = False
    in_sizes: bool = False
    slip: str = ""

    @classmethod
    def of(cls, each: Input, *, named: bool = False) -> Column:
        """The column of a number of the spec."""

        return cls(
            frozenset(each.paths),
            each.cells,
            lambda steps: each.edits(each.at(steps)),
            lambda steps: each.distance(each.at(steps)),
            each.most_steps,
            named,
        )

    @classmethod
    def of_way(cls, way: Way, paths: frozenset[str], *, in_sizes: bool, slip: str = "") -> Column:
        """The column of a change that a check asks for."""
        short = 20  # a series of sizes has few steps, and each of them is a small change
        return cls(
            paths,
            cells_at(tuple((path, None) for path in paths)),
            way.edits,
            lambda steps: 0.3 if way.most <= short else min(abs(steps) / way.most, 1.0),
            way.most,
            named=True,
            in_sizes=in_sizes,
            slip=slip,
        )


def cells_at(edits: Edits) -> frozenset[Cell]:
    """The fields of the build that hold the values which edits write: a field, or the point that a coordinate is of."""
    cells = set()
    for path, _ in edits:
        part, _, field = path.rpartition(".")
        above, _, point = part.rpartition(".")
        cells |= {(part, field), (above, point)}
    return frozenset(cells)


class Tried:
    """The margins of some readings along a column, each computed once."""

    def __init__(self, yardstick: Yardstick, job: Job, column: Column, targets: Sequence[Target], moves: Moves) -> None:
        self.yardstick, self.job, self.column, self.moves = yardstick, job, column, moves
        self.targets = [target for target in targets if not column.cells.isdisjoint(yardstick.cells(target, job))]
        self._known: dict[tuple[int, Target], float] = {}
        self._seen: set[int] = set()

    def margin(self, steps: int, target: Target) -> float:
        """The margin of a reading after a number of steps; minus infinity where the build cannot be made."""
        known = self._known.get((steps, target))
        if known is None:
            known = self._known[steps, target] = self._margin(steps, target)
        return known

    def _margin(self, steps: int, target: Target) -> float:
        try:
            edits = self.column.edits(steps) if steps else ()
            if not self.moves.allows(edits):
                return -math.inf
            changed = self.job.edited(edits) if steps else self.job
        except (OutOfReach, Missing, Unreached, ValueError, LookupError):
            return -math.inf
        if steps not in self._seen:
            self._seen.add(steps)
            self.yardstick.look()
        margin = self.yardstick.margin(target, changed)
        return -math.inf if math.isnan(margin) else margin

    def helps(self) -> dict[Target, float]:
        """By how much the better of a small and a larger step improves each of the readings: of the larger ones only
        the way that the small ones improve."""
        best = dict.fromkeys(self.targets, 0.0)
        better = [sign for sign in (1, -1) if self._improve(sign, NEAR, best)]
        for sign in better or (1, -1):
            self._improve(sign, FAR, best)
        return best

    def _improve(self, sign: int, share: float, best: dict[Target, float]) -> bool:
        """Note by how much a step improves each reading; whether it improves any."""
        steps = sign * max(1, round(share * self.column.most))
        some = False
        for target in self.targets:
            gain = badness(self.margin(0, target)) - badness(self.margin(steps, target))
            some = some or gain > 0.0
            best[target] = max(best[target], gain)
        return some

    def options(self) -> list[Option]:
        """The changes that put right all readings, or as many as one change can."""
        helps = self.helps()
        helped = sorted((each for each in self.targets if helps[each] > SLIGHT), key=lambda each: (-helps[each], each))
        every = self._steps(helped)
        if every is not None:
            return [self._option(every)]
        some = helped[:MOST_ALONE] if len(helped) > 1 else []
        found = {steps for target in some if (steps := self._steps([target])) is not None}
        options = [self._option(steps) for steps in sorted(found, key=lambda steps: (abs(steps), -steps))]
        return sorted(options, key=lambda option: -len(option.mends))[:2]

    def _steps(self, targets: Iterable[Target]) -> int | None:
        wanted = list(targets)
        return smallest_step(lambda steps: self._smallest(steps, wanted), self.column.most) if wanted else None

    def _smallest(self, steps: int, targets: Iterable[Target]) -> float:
        smallest = math.inf
        for target in targets:
            smallest = min(smallest, self.margin(steps, target))
            if smallest == -math.inf:
                break
        return smallest

    def _option(self, steps: int) -> Option:
        mends = frozenset(target for target in self.targets if self.margin(steps, target) >= 0.0)
        return Option(self.column.edits(steps), mends, self.column.distance(steps), self.column.slip, self.column)


def badness(margin: float) -> float:
    """How bad a margin is: nothing from zero up, at most 4 where the reading cannot be made."""
    if margin >= 0.0:
        return 0.0
    return 1.0 + min(math.log1p(-margin), 3.0) if margin > -math.inf else 4.0
