"""What to change, as a number: solved by asking for the same quantity again on a changed build."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from typing import Generic, NamedTuple

from buildcheck.build import Point, Side
from buildcheck.build.part import PartType
from buildcheck.quantity import Dimension

# A change of more than this is no cure but another design; the rule then says so in words.
FARTHEST = 0.5

# What differs from side to side by no more than this (1/8 in, m) is built as the same. Common practice, no source.
SAME_SIDE_TO_SIDE = 0.0254 / 8

# A quantity that a straight line follows takes three or four; one that takes more than this has no cure of this kind.
MOST_STEPS = 10
CLOSE_ENOUGH = 1e-6


class Edit(NamedTuple):
    """One input of the build that a change acts on. The input becomes the amount times `share`, or where `adds`, what
    it is now plus that; the amount is SI."""

    path: str
    share: float = 1.0
    adds: bool = True


def along(point: str, direction: Sequence[float]) -> tuple[Edit, ...]:
    """The edits that move a point, which is given by its spec path, by the amount in a direction."""
    size = math.hypot(*direction)
    return tuple(Edit(f"{point}.{axis}", each / size) for axis, each in zip("xyz", direction, strict=True))


class Cure(NamedTuple):
    """A change. `words` holds `{amount}` where the amount is printed; `amount` is SI and positive.

    `path` is the spec path of the input that changes by `change` (SI, signed), and `also` are others that change by the
    same, as on the other side. Without a `change` the input at `path` becomes the amount. A change whose words alone
    say what to do has no `change`; `makes` are then the edits by which its amount is tried out. A cure in words alone
    has no amount.

    A rule gives the amount that it has worked out. The engine rounds it to what a shop can measure, and tries it: see
    `buildcheck.readings`.
    """

    words: str
    amount: float | None = None
    dimension: Dimension | None = None
    path: str = ""
    change: float | None = None
    also: tuple[str, ...] = ()
    makes: tuple[Edit, ...] = ()

    @property
    def edits(self) -> tuple[Edit, ...]:
        """Everything that the change does to the build; empty where the build has no input for it."""
        if self.change is not None:
            return tuple(Edit(path, math.copysign(1.0, self.change)) for path in (self.path, *self.also))
        if self.makes or not self.path or self.amount is None:
            return self.makes
        return (Edit(self.path, adds=False),)

    @property
    def size(self) -> float:
        """The amount that the edits are made with."""
        return abs(self.change or 0.0) if self.amount is None else self.amount

    def of_amount(self, amount: float) -> Cure:
        """The same change by another amount."""
        change = None if self.change is None else math.copysign(amount, self.change)
        return self._replace(amount=amount, change=change)

    def without_amount(self, step: str) -> Cure:
        """The change in words, where no multiple of a step (`1/16 in`) was found that is enough."""
        adds = all(edit.adds for edit in self.edits)
        words = self.words.replace(" {amount}", "") if adds else self.words.replace("{amount}", "a suitable amount")
        return Cure(f"{words}; find the amount by trial, for no multiple of {step} is enough by itself")

    def after(self, *steps: str) -> Cure:
        """The same as a last step, in words, where others must be taken first or it would cure one thing and harm
        another. Without steps it is the cure itself."""
        *others, last = dict.fromkeys(steps) or [""]
        first = f"{', '.join(others)} and {last}" if others else last
        return self._in_words(f"{first} first; then {self.words}") if steps else self

    def beside(self, *others: str) -> Cure:
        """The same, in words, where alone it would make an error of others that must then be seen to as well. Without
        others it is the cure itself."""
        if not others:
            return self
        told = list(dict.fromkeys(others))
        named = " and ".join(told if len(told) < 3 else [", ".join(told[:2]), f"{len(told) - 2} more"])
        words = f"{self.words}; see to {named} with it, for that change alone would make an error there"
        return self._in_words(words)

    def leaving_out(self, *left_out: str) -> Cure:
        """The same, saying what its amount leaves out."""
        return self._replace(words=f"{self.words}; the amount does not count what is left out: {'; '.join(left_out)}")

    def _in_words(self, words: str) -> Cure:
        return Cure(words, self.amount, self.dimension, makes=self.edits)


class Together(NamedTuple, Generic[PartType]):
    """What is changed together: a part alone, or the left and the right one that are each other's mirror image."""

    parts: tuple[PartType, ...]

    @property
    def label(self) -> str:
        """What a person calls them: `left and right arm`."""
        part = self.parts[0]
        return part.label if len(self.parts) == 1 else part.label.replace(part.side, "left and right", 1)

    def paths(self, *names: str) -> list[str]:
        """The spec paths of a field of theirs; one where they are written once, under `both`."""
        return list(dict.fromkeys(part.path_of(*names) for part in self.parts))


def together(part: PartType, others: Iterable[PartType], field: str) -> Together[PartType]:
    """A part with those of the others on the opposite side whose field is the mirror image of its own."""
    opposite = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT}.get(part.side)
    like = [each for each in others if each.side is opposite and each.has(field)]
    return Together((part, *(each for each in like if is_mirrored(getattr(part, field), getattr(each, field)))))


def is_mirrored(one: Point | float, other: Point | float) -> bool:
    """Whether two points are each other's mirror images, or two amounts equal, to what a shop builds as the same."""
    if isinstance(one, Point) and isinstance(other, Point):
        return math.dist(one.mirrored(), other) <= SAME_SIDE_TO_SIDE
    return not isinstance(one, Point) and not isinstance(other, Point) and abs(one - other) <= SAME_SIDE_TO_SIDE


def solve_change(quantity: Callable[[float], float], target: float) -> float | None:
    """The change at which a quantity comes to its target; None when none is found within half a metre.

    `quantity` gives the quantity for a change (m) of the input. Secant steps from no change; each is a whole new
    solution, so there are few of them. The answer is within a millionth of the way to
    the target.
    """
    before, now = 0.0, 0.002
    value_before = quantity(before) - target
    scale = abs(value_before)
    if scale == 0.0:
        return None
    for _ in range(MOST_STEPS):
        value_now = quantity(now) - target
        if not math.isfinite(value_now):
            return None
        if abs(value_now) <= CLOSE_ENOUGH * scale:
            return now
        slope = (value_now - value_before) / (now - before)
        if slope == 0.0:
            return None
        before, value_before = now, value_now
        now = now - value_now / slope
        if not abs(now) <= FARTHEST:  # no number either, where the slope is none
            return None
    return None
