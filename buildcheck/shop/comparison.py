"""Two states of a build beside each other: two specs, stages or standards, or a signed record and today.

It says which values of the spec differ, which verdicts turned, which numbers moved and by how much, and which limits
are not the same.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from buildcheck.build import Build, Stage
from buildcheck.checks.inspection import Inspection
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading
from buildcheck.shop.sign_off import SignedReading, SignOff, as_signed
from buildcheck.shop.standing import Change, changes
from buildcheck.shop.stated import Value, stated
from buildcheck.spec.quantity import Dimension

NOTICED = 1e-9
"""The smallest change of a number that counts, as a share of it or of one; less is rounding."""

SEVERITY = {
    Verdict.OK.value: 0,
    Verdict.WAIVED.value: 1,
    Verdict.WARNING.value: 2,
    Verdict.NOT_CHECKED.value: 3,
    Verdict.ERROR.value: 4,
}
"""How bad a verdict is: an error may hide behind what is not checked."""

Limits = tuple[float | None, float | None]


class State(NamedTuple):
    """One of two states that are compared: the values that the spec states, and the readings, at a stage.

    `named` are the readings as an inspection made them, for their words and units; a record of a signed stage has none.
    """

    stage: Stage
    stated: Mapping[str, Value]
    readings: tuple[SignedReading, ...]
    named: tuple[Reading, ...] = ()


class Turn(NamedTuple):
    """One reading in both states; None in the one that does not have it.

    `meaning` are the words for its quantity and `dimension` is that of its number, as far as either state knows them.
    """

    before: SignedReading | None
    after: SignedReading | None
    meaning: str
    dimension: Dimension | None

    @property
    def one(self) -> SignedReading:
        """The reading of the second state; else of the first."""
        found = self.after or self.before
        assert found is not None
        return found

    @property
    def by(self) -> float | None:
        """How far its number moved, SI; None where one of the two has none."""
        if self.before is None or self.after is None or self.before.value is None or self.after.value is None:
            return None
        return self.after.value - self.before.value

    @property
    def worse(self) -> int:
        """Positive where its verdict got worse, negative where it got better, zero where it stayed. A reading that
        only the second state has is worse unless it is within limits."""
        if self.after is None:
            return 0  # what is gone is no better: something may hide it
        return SEVERITY[self.after.verdict] - (0 if self.before is None else SEVERITY[self.before.verdict])

    @property
    def moved(self) -> bool:
        """Whether its number, or what was found in words, is another one."""
        if self.before is None or self.after is None:
            return False
        if self.by is None:
            return (self.before.value is None) is not (self.after.value is None)
        return not _same(self.before.value, self.after.value)

    @property
    def share(self) -> float:
        """How far its number moved, as a share of the larger of the two; for the order of a list."""
        if self.by is None or self.before is None or self.after is None:
            return 0.0
        largest = max(abs(self.before.value or 0.0), abs(self.after.value or 0.0))
        return abs(self.by) / largest if largest else 0.0


class OtherLimit(NamedTuple):
    """A limit that is not the same in both states: its lowest and highest value, SI; None for no bound."""

    rule: str
    limit: str
    before: Limits
    after: Limits
    dimension: Dimension | None


class Comparison(NamedTuple):
    """The differences between two states of a build.

    `inputs` are the values of the spec, SI. `worse` and `better` are the readings whose verdict turned; an error that
    only the second state has is worse. `vanished` and `appeared` are the other readings that only one state has.
    `moved` are those of the same verdict whose number moved, the farthest first. `same` is the number of readings that
    are as they were.
    """

    before: Stage
    after: Stage
    inputs: tuple[Change, ...]
    worse: tuple[Turn, ...]
    better: tuple[Turn, ...]
    vanished: tuple[Turn, ...]
    appeared: tuple[Turn, ...]
    moved: tuple[Turn, ...]
    limits: tuple[OtherLimit, ...]
    same: int

    @property
    def differs(self) -> bool:
        """Whether anything differs."""
        turned = self.worse or self.better or self.vanished or self.appeared
        return bool(self.inputs or turned or self.moved or self.limits)


def state_of(build: Build, inspection: Inspection) -> State:
    """The state of a build as it was inspected."""
    readings = tuple(as_signed(reading) for reading in inspection.readings)
    return State(inspection.stage, stated(build), readings, inspection.readings)


def signed_state(sign_off: SignOff) -> State:
    """The state of a build as it was signed off."""
    return State(sign_off.stage, sign_off.stated, sign_off.readings)


def compare(before: State, after: State) -> Comparison:
    """The differences between two states."""
    if not (before.named and after.named):  # a record has no reading of a later stage
        before, after = _of_its_stage(before), _of_its_stage(after)
    turns = tuple(_turns(before, after))
    turned = [turn for turn in turns if turn.worse]
    vanished = tuple(turn for turn in turns if not turn.worse and turn.after is None)
    appeared = tuple(turn for turn in turns if not turn.worse and turn.before is None)
    stayed = [turn for turn in turns if not turn.worse and turn.before is not None and turn.after is not None]
    moved = sorted((turn for turn in stayed if turn.moved), key=lambda turn: -turn.share)
    worse = sorted((turn for turn in turned if turn.worse > 0), key=lambda turn: -SEVERITY[turn.one.verdict])
    return Comparison(
        before.stage,
        after.stage,
        tuple(changes(before.stated, after.stated)),
        tuple(worse),
        tuple(turn for turn in turned if turn.worse < 0),
        vanished,
        appeared,
        tuple(moved),
        tuple(_other_limits(turns)),
        len(stayed) - len(moved),
    )


def _of_its_stage(state: State) -> State:
    """The state without the readings of checks that are made from a later stage on."""
    pairs = [(one, named) for one, named in zip(state.readings, state.named, strict=False) if named.from_stage is None]
    return state._replace(readings=tuple(one for one, _ in pairs)) if state.named else state


def _turns(before: State, after: State) -> Iterator[Turn]:
    """Every reading of either state, those of the second in their order and then those that only the first has."""
    words = {(one.rule, one.quantity): (one.meaning, one.dimension) for one in (*before.named, *after.named)}
    old, new = (dict(_numbered(state.readings)) for state in (before, after))
    for key in dict.fromkeys((*new, *old)):
        rule, limit = str(key[0]), str(key[1])
        meaning, dimension = words.get((rule, limit), (limit or rule, None))
        yield Turn(old.get(key), new.get(key), meaning, dimension)


def _numbered(readings: Iterable[SignedReading]) -> Iterator[tuple[tuple[str | int, ...], SignedReading]]:
    """Readings by rule, limit, subject and which of several they are."""
    seen: Counter[tuple[str, ...]] = Counter()
    for reading in readings:
        key = (reading.rule, reading.limit, reading.subject, reading.of)
        yield (*key, seen[key]), reading
        seen[key] += 1


def _other_limits(turns: Iterable[Turn]) -> Iterator[OtherLimit]:
    """Each limit that some reading holds to otherwise, once for each pair of bounds.

    A reading has the bounds of the verdict that it got, so two are compared where the verdict is the same, or where the
    number is, and only another limit can have turned it.
    """
    found: dict[OtherLimit, None] = {}
    for turn in turns:
        before, after = turn.before, turn.after
        if before is None or after is None or before.value is None or after.value is None:
            continue
        if before.verdict == after.verdict or _same(before.value, after.value):
            old, new = ((one.lowest, one.highest) for one in (before, after))
            if not all(_same(*pair) for pair in zip(old, new, strict=True)):
                found[OtherLimit(turn.one.rule, turn.one.limit, old, new, turn.dimension)] = None
    yield from found


def _same(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return one == other or math.isclose(one, other, rel_tol=NOTICED, abs_tol=NOTICED)
