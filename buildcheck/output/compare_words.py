"""A comparison in words, for every format of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from buildcheck.checks.limit import Verdict
from buildcheck.output import words
from buildcheck.output.stated_words import amount, dimension_at, on_both_sides
from buildcheck.output.words import count, printable
from buildcheck.shop.comparison import Comparison, Limits, OtherLimit, Turn
from buildcheck.shop.sign_off import SignedReading
from buildcheck.shop.standing import Change
from buildcheck.spec.quantity import Dimension, System


def tally(found: Comparison) -> str:
    """How much differs, what got worse first."""
    if not found.differs:
        return f"Nothing differs: {count(found.same, 'reading')} as before."
    parts = [
        f"{count(len(found.worse), 'verdict')} got worse, {len(found.better)} better",
        f"{count(len(found.vanished), 'reading')} gone, {len(found.appeared)} new",
        f"{count(len(found.inputs), 'value')} of the spec, {count(len(found.limits), 'limit')} and "
        f"{count(len(found.moved), 'number')} within the same verdict differ",
        f"{count(found.same, 'reading')} as before",
    ]
    return f"{'; '.join(parts)}."


def title(turn: Turn) -> str:
    """Subject and meaning: `left arm: slope of the link at ride height`."""
    one = turn.one
    return printable(f"{', '.join(part for part in (one.subject, one.of) if part)}: {turn.meaning}")


def rule(turn: Turn) -> str:
    """The rule, and its limit where it has one."""
    return printable(", ".join(part for part in (turn.one.rule, turn.one.limit) if part))


def turned(turn: Turn, system: System) -> str:
    """Verdicts and numbers before and after: `within limits 4.48 deg, then error 11.90 deg; +7.4 deg`."""
    sides = [f"{_verdict(one)} {found(one, turn.dimension, system)}".strip() for one in (turn.before, turn.after)]
    by = moved_by(turn, system)
    return f"{sides[0]}, then {sides[1]}{f'; {by}' if by else ''}"


def _verdict(one: SignedReading | None) -> str:
    if one is None:
        return "no such reading"
    if one.verdict == Verdict.OK.value and not one.limit:
        return "does not apply:"
    if one.verdict == Verdict.NOT_CHECKED.value:
        return "not checked:"
    return words.in_words(Verdict(one.verdict))


def numbers(turn: Turn, system: System) -> str:
    """The numbers before and after, and how far they are apart: `5.00 deg, then 12.00 deg; +7.0 deg`."""
    sides = [each for one in (turn.before, turn.after) if (each := found(one, turn.dimension, system))]
    by = moved_by(turn, system)
    return f"{', then '.join(dict.fromkeys(sides))}{f'; {by}' if by else ''}"


def moved_by(turn: Turn, system: System) -> str:
    """How far a number moved, with its sign, to two digits; "" where it did not, or where there is no number."""
    if turn.by is None or turn.dimension is None or not turn.moved:
        return ""
    return f"{'+' if turn.by > 0 else '-'}{words.rough_difference(abs(turn.by), turn.dimension, system)}"


def found(one: SignedReading | None, dimension: Dimension | None, system: System) -> str:
    """The finding in one state; "" where there is nothing."""
    if one is None:
        return ""
    if one.value is not None and dimension is not None:
        return words.amount(one.value, dimension, system)
    return printable(one.found)


def wanted(turn: Turn, system: System) -> str:
    """The range that the second state is held to, else the first; "" for a requirement."""
    return bounds((turn.one.lowest, turn.one.highest), turn.dimension, system)


def limit(one: OtherLimit, system: System) -> str:
    """A limit before and after: `link-flatness, slope-at-ride: at most 10.00 deg, then at most 8.00 deg`."""
    before, after = (bounds(each, one.dimension, system) or "no limit" for each in (one.before, one.after))
    return printable(f"{one.rule}, {one.limit}: {before}, then {after}")


def bounds(ends: Limits, dimension: Dimension | None, system: System) -> str:
    """A range in words; "" for none."""
    if dimension is None:
        return ""
    lowest, highest = ("" if end is None else words.limit_amount(end, dimension, system) for end in ends)
    return words.between(lowest, highest)


def inputs(changed: Iterable[Change], system: System) -> Iterator[str]:
    """The values of the spec that differ, left and right as one where both changed alike."""
    for path, change in on_both_sides(changed):
        yield printable(f"{path}: {of_input(change, system)}")


def of_input(change: Change, system: System) -> str:
    """A value before and after, and how far it moved: `19.700 in, then 19.500 in; -0.200 in`."""
    before, after = (amount(change.path, value, system) for value in (change.then, change.now))
    if change.then is None:
        return f"not stated, then {after}"
    if change.now is None:
        return f"{before}, then not stated"
    dimension = dimension_at(change.path)
    if dimension is None or not isinstance(change.then, float) or not isinstance(change.now, float):
        return f"{before}, then {after}"
    by = change.now - change.then
    moved = words.rough_difference(abs(by), dimension, system)
    return f"{before}, then {after}; {'+' if by > 0 else '-'}{moved}"
