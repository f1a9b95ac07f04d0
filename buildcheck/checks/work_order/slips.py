"""Slips of the pen: what else the writer of a number may have meant.

Each is one or a few values to write in place of others. They are screened with the readings that are wrong, and the
best are inspected.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from buildcheck.build import Part, Point, Side, Vector
from buildcheck.build.part import fields
from buildcheck.checks.changes import twin_of
from buildcheck.checks.subjects import index
from buildcheck.checks.work_order.inputs import Input
from buildcheck.checks.work_order.yardstick import Edits
from buildcheck.job import Job
from buildcheck.job.cure import is_mirrored
from buildcheck.spec.quantity import Dimension, parse
from buildcheck.spec.units import UNITS, USUAL, System

# A coordinate nearer to the middle plane than this (1 in, m) has no sign to mistake. Common practice, no source.
NEAR_THE_MIDDLE = 0.0254

OFTEN_CONFUSED = {
    Dimension.LENGTH: ("cm", "ft"),
    Dimension.FORCE: ("kgf", "kN"),
    Dimension.PRESSURE: ("ksi", "bar"),
    Dimension.TORQUE: ("lb-in",),
    Dimension.ANGLE: ("rad",),
}
"""Units that shops write beside the usual ones. Common practice, no source."""


class Slip(NamedTuple):
    """A likely meaning: the values to write, and the words for the slip. `sure` says that the number is wrong
    by itself: a left part on the right, or a bar with both ends on one side."""

    edits: Edits
    words: str
    sure: bool = False


def slips_of(job: Job, inputs: Iterable[Input], parts: Iterable[Part]) -> Iterator[Slip]:
    """The slips of the pen that some numbers and some parts may hold, the likeliest first."""
    numbers, owners = list(inputs), list(parts)
    for part in owners:
        yield from _other_side(job, part)
    for part in owners:
        yield from _turned(job, part)
    for each in numbers:
        yield from _signs(job, each)
    for part in owners:
        yield from _ends(job, part)
    for each in numbers:
        yield from _units(job, each)


def _other_side(job: Job, part: Part) -> Iterator[Slip]:
    """The values of the other side, where left and right are written apart and are not mirror images."""
    twin = twin_of(job, part)
    if twin is None or twin.path == part.path:
        return
    for name, value in part.given().items():
        if not twin.has(name) or not isinstance(value, Point | float):
            continue
        other = getattr(twin, name)
        if isinstance(value, Point):
            if not is_mirrored(value, other):
                meant = other.mirrored()
                edits = tuple(
                    (part.path_of(name, axis), getattr(meant, axis))
                    for axis in "xyz"
                    if abs(getattr(meant, axis) - getattr(value, axis)) > 1e-9
                )
                yield Slip(edits, f"the mirror image of the {twin.label}")
        elif abs(value - other) > 1e-9:
            yield Slip(((part.path_of(name), other),), f"as on the {twin.label}")


def _turned(job: Job, part: Part) -> Iterator[Slip]:
    """Directions turned round along one axis."""
    for name, value in part.given().items():
        if isinstance(value, Vector):
            for axis in "xyz":
                if abs(getattr(value, axis)) > 0.05:
                    yield Slip(((part.path_of(name, axis), -getattr(value, axis)),), "the other sign")


def _signs(job: Job, each: Input) -> Iterator[Slip]:
    """The same number with the other sign, where that is nearer to its peers."""
    has_a_sign = each.dimension is not Dimension.LENGTH or (each.axis and abs(each.value) > NEAR_THE_MIDDLE)
    if not each.value or not has_a_sign or not each.allows(-each.value):
        return
    peers = _peers(job, each)
    sure = False
    if each.axis == "y" and each.part.side is Side.CENTRE:  # a bar or an axle has one end on each side
        likely = all(peer * each.value > 0.0 for peer in peers)
        sure = likely and bool(peers)
    else:
        likely = not peers or nearer(job, each, -each.value)
        sure = each.axis == "y" and (each.value < 0.0) is (each.part.side is Side.LEFT)
    if likely or sure:
        edits = tuple((path, -value) for path, value in zip(each.paths, each.values, strict=True))
        yield Slip(edits, "the other sign", sure)


def _ends(job: Job, part: Part) -> Iterator[Slip]:
    """Two points of a part exchanged, or two of its lengths."""
    given = part.given()
    points = [name for name, value in given.items() if isinstance(value, Point)]
    for at, one in enumerate(points):
        for other in points[at + 1 :]:
            edits = tuple(
                (part.path_of(name, axis), getattr(given[with_name], axis))
                for name, with_name in ((one, other), (other, one))
                for axis in "xyz"
            )
            yield Slip(edits, "its two ends exchanged")
    lengths = [name for name, value in given.items() if isinstance(value, float) and _is_length(part, name)]
    for at, one in enumerate(lengths):
        for other in lengths[at + 1 :]:
            if _better_exchanged(job, part, one, other):
                yield Slip(((part.path_of(one), given[other]), (part.path_of(other), given[one])), "the two exchanged")


def _better_exchanged(job: Job, part: Part, one: str, other: str) -> bool:
    """Whether two lengths are each nearer to the example of the other's field."""
    examples = [type(part).SAID[name].example for name in (one, other)]
    sizes = [abs(getattr(part, name)) for name in (one, other)]
    if None in examples or not all(sizes):
        return False
    first, second = (math.log(parse(each, Dimension.LENGTH, System.INCH_POUND)) for each in examples)
    at, to = map(math.log, sizes)
    return abs(at - second) + abs(to - first) < 0.7 * (abs(at - first) + abs(to - second))


def _is_length(part: Part, name: str) -> bool:
    return Dimension.LENGTH in getattr(fields(type(part))[name], "__metadata__", ())


def nearer(job: Job, each: Input, value: float) -> bool:
    """Whether another value is far nearer to its peers than the one that is written: to the same coordinate of the
    other points of its part, or to the example of its field."""
    peers = _peers(job, each)
    if not peers:
        return False
    if each.axis:
        was, would = (min(abs(one - peer) for peer in peers) for one in (each.value, value))
        return would < 0.5 * was
    if each.value * value <= 0.0 or min(peers) <= 0.0:
        return True
    was, would = (min(abs(math.log(one / peer)) for peer in peers) for one in (abs(each.value), abs(value)))
    return would < 0.5 * was


def _peers(job: Job, each: Input) -> list[float]:
    part = each.part
    if each.axis:
        own = [value for name, value in part.given().items() if isinstance(value, Point) and name != each.field]
        return [getattr(point, each.axis) for point in own or _points_beside(job, part)]
    example = type(part).SAID[each.field].example
    dimension = each.dimension
    if example is None:
        return []
    return [parse(example, dimension, System.INCH_POUND)]


def _points_beside(job: Job, part: Part) -> list[Point]:
    """The points of the other parts in the same section of the spec."""
    section = part.path.partition(".")[0]
    return [
        value
        for held in index(job).values()
        for other, _ in held
        if other.path != part.path and other.path.partition(".")[0] == section
        for value in other.given().values()
        if isinstance(value, Point)
    ]


def _units(job: Job, each: Input) -> Iterator[Slip]:
    """The same number in another unit of its dimension."""
    if each.dimension in (Dimension.RATIO, Dimension.COUNT) or not each.value:
        return
    usual = {*OFTEN_CONFUSED.get(each.dimension, ())} | {USUAL[system][each.dimension].unit for system in System}
    units = {unit.name: unit for unit in UNITS[each.dimension]}
    own = units[USUAL[job.build.units][each.dimension].unit]
    named = [units[name] for name in sorted(usual - {own.name})]
    for unit in named:
        for written, meant in ((own, unit), (unit, own)):
            number = each.value / float(written.factor) - float(written.offset)
            value = _tidy(job, each, (number + float(meant.offset)) * float(meant.factor))
            if each.allows(value) and nearer(job, each, value):
                yield Slip(each.edits(value), f"a number in {meant.name} was taken for {written.name}")
    for factor, words in ((0.1, "one digit too many"), (10.0, "one digit too few")):
        value = each.value * factor
        if (
            not each.axis
            and each.allows(value)
            and nearer(job, each, value)
            and each.dimension is not Dimension.TEMPERATURE
        ):
            yield Slip(each.edits(value), words)


def _tidy(job: Job, each: Input, value: float) -> float:
    """A value without what rounding left on it, where it is on a quarter of a step: 18.49999 in is 18.5 in."""
    fine = each.step / 4
    near = each.origin + round((value - each.origin) / fine) * fine
    return near if abs(near - value) < 0.05 * fine else value


def parts_of(job: Job, paths: Iterable[str]) -> list[Part]:
    """The parts of the build that are written at some spec paths, the left one of two that are written once."""
    wanted = set(paths)
    found: dict[str, Part] = {}
    for held in index(job).values():
        for part, _ in held:
            if part.path in wanted and (part.side is not Side.RIGHT or not part.path.endswith(".both")):
                found.setdefault(part.path, part)
    return [found[path] for path in sorted(found)]
