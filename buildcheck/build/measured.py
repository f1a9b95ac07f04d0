"""Values measured on the vehicle, beside the values of the spec."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Annotated, Any, NamedTuple, cast, get_args, get_origin

from buildcheck.build.build import Build
from buildcheck.build.driveline import BrakeLine
from buildcheck.build.linkage import LateralBar, Link
from buildcheck.build.part import Missing, Part, Point, Side, Sides, fields
from buildcheck.build.records import Measurement, Stage
from buildcheck.build.springs import Coilover
from buildcheck.spec.names import no_such
from buildcheck.spec.quantity import Dimension, QuantityError, parse

# Largest difference from the spec and largest tolerance, by dimension, SI: a value farther off was measured on
# something else, and a coarser tolerance is not one of a measurement. For any other dimension they are ten times the
# planned value, and the planned value itself. Common practice, no source.
FARTHEST_OFF = {Dimension.LENGTH: (1.0, 0.05), Dimension.ANGLE: (0.5, 0.0875)}


class Unreadable(ValueError):
    """A measurement that cannot be used; the message says why, in a plain sentence."""


class Measured(NamedTuple):
    """A value measured on the vehicle and the one that the spec has there, SI: two points or two numbers.

    `tolerance` is plus or minus, None where the measurement states none.
    """

    of: str
    dimension: Dimension
    planned: Point | float
    value: Point | float
    tolerance: float | None

    @property
    def off(self) -> float:
        """How far from the spec it is: the distance of two points, the difference of two numbers; zero or more."""
        if isinstance(self.planned, Point) and isinstance(self.value, Point):
            return math.dist(self.planned, self.value)
        assert isinstance(self.planned, float)
        assert isinstance(self.value, float)
        return abs(self.value - self.planned)


def measurements(build: Build) -> tuple[Measurement, ...]:
    """The measurements that the spec records."""
    return build.records.measured if build.has("records") and build.records.has("measured") else ()


def read_measurement(build: Build, measurement: Measurement) -> Measured:
    """A measurement in SI. Raises Unreadable where the spec has nothing that it could be of, or where its value or its
    tolerance is no amount of that kind."""
    of = measurement.of
    expected, dimension = _planned(build, of)
    try:
        value: Point | float
        if isinstance(expected, Point):
            if not isinstance(measurement.value, list):
                raise Unreadable(f"{of} is a point, and {measurement.value!r} is not; write [x, y, z]")
            value = Point(*(parse(number, dimension, build.units) for number in measurement.value))
        else:
            value = parse(measurement.value, dimension, build.units)
        tolerance = parse(measurement.tolerance, dimension, build.units) if measurement.has("tolerance") else None
    except QuantityError as error:
        raise Unreadable(f"what was measured of {of} is no {dimension}: {error}") from error
    measured = Measured(of, dimension, expected, value, tolerance)
    _refuse_slip_of_the_pen(measured)
    return measured


class Place(NamedTuple):
    """One place that was measured: its readings of the last stage and day, and those that no longer count.

    `path` is the spec path of what was measured. An old reading, of an earlier stage or day, does not count: the part
    may have been moved since.
    """

    path: str
    label: str
    dimension: Dimension
    readings: tuple[Measured, ...]

    @property
    def mean(self) -> Point | float:
        """The mean of the readings, SI."""
        values = [each.value for each in self.readings]
        if isinstance(values[0], Point):
            return Point(*(sum(axis) / len(values) for axis in zip(*cast(list[Point], values), strict=True)))
        return sum(cast(list[float], values)) / len(values)

    @property
    def spread(self) -> float:
        """The largest difference between two of the readings, SI: for points, the distance."""
        values = [each.value for each in self.readings]
        return max((_apart(one, other) for one in values for other in values), default=0.0)


def _apart(one: Point | float, other: Point | float) -> float:
    if isinstance(one, Point) and isinstance(other, Point):
        return math.dist(one, other)
    assert isinstance(one, float)
    assert isinstance(other, float)
    return abs(one - other)


def places_measured(build: Build) -> tuple[Place, ...]:
    """Every place that was measured, in the order of the spec, with the readings that count. A measurement that cannot
    be read is left out."""
    found: dict[str, list[tuple[tuple[int, str], Measured]]] = {}
    for each in measurements(build):
        try:
            measured = read_measurement(build, each)
        except Unreadable:
            continue
        found.setdefault(measured.of, []).append((_when(each), measured))
    return tuple(_place(path, dated) for path, dated in found.items())


def _place(path: str, dated: list[tuple[tuple[int, str], Measured]]) -> Place:
    last = max(when for when, _ in dated)
    counting = tuple(measured for when, measured in dated if when == last)
    return Place(path, path, counting[0].dimension, counting)


def _when(measurement: Measurement) -> tuple[int, str]:
    stage = Stage(measurement.stage).number if measurement.has("stage") else -1
    return stage, measurement.measured_on if measurement.has("measured_on") else ""


def counts(build: Build, measurement: Measurement) -> bool:
    """Whether no measurement of the same place is of a later stage or day."""
    return all(_when(each) <= _when(measurement) for each in measurements(build) if each.of == measurement.of)


def as_measured(build: Build) -> Build | None:
    """The build with every measured value in place of the one that the spec has: the mean of the readings that count.

    None where the spec has no measurement that can be read; one that cannot is left out.
    """
    found = None
    for place in places_measured(build):
        found = (found or build).with_value(place.path, place.mean)
    return found


def _refuse_slip_of_the_pen(measured: Measured) -> None:
    """Raise Unreadable for a value too far from the spec, or a tolerance too coarse for any tool."""
    size = 1.0 if isinstance(measured.planned, Point) else abs(measured.planned)
    far, coarse = FARTHEST_OFF.get(measured.dimension, (10 * size, size))
    if not measured.off <= far:
        raise Unreadable(f"the value measured of {measured.of} is too far from the spec's to be of the same thing")
    if measured.tolerance is not None and not 0.0 <= measured.tolerance <= coarse:
        raise Unreadable(f"the tolerance of what was measured of {measured.of} is that of no tool")


def planned(build: Build, of: str) -> Point | float:
    """The value of a build at a spec path: as stated, or for the length of a link or bar the distance of its points.
    Raises Missing."""
    holder, _, name = of.rpartition(".")
    owner = build.value(holder) if name == "length" else None
    if isinstance(owner, Link | LateralBar) and not owner.has("length"):
        return math.dist(owner.frame, owner.at_axle)
    found: Point | float = build.value(of)
    return found


def _planned(build: Build, of: str) -> tuple[Point | float, Dimension]:
    """Return the value of the spec at the place of a measurement, and its dimension."""
    try:
        value = planned(build, of)
    except (Missing, ValueError) as error:
        raise Unreadable(_recorded_elsewhere(build, of) or _nearest(build, of)) from error
    if isinstance(value, Point):
        return value, Dimension.LENGTH
    if isinstance(value, float):
        holder, _, name = of.rpartition(".")
        owner = build.value(holder)
        if isinstance(owner, Point):
            return value, Dimension.LENGTH
        kind = fields(type(owner)).get(name) if isinstance(owner, Part) else None
        if get_origin(kind) is Annotated:
            return value, get_args(kind)[1]
    raise Unreadable(f"{of} is neither a point nor an amount that can be measured")


READ_IN_A_POSE = {
    Coilover: ("coilover_left_in_bump", "coilover_left_in_droop"),
    BrakeLine: ("brake_line_slack",),
}
"""The fields of `CycledSide` for a length that changes with the pose of the axle."""


def _recorded_elsewhere(build: Build, of: str) -> str:
    """Where to write down something that follows from the pose of the axle; "" for anything else."""
    holder, _, name = of.rpartition(".")
    if name == "gap" or of.startswith("gap"):
        return (
            f"{of} is a gap, which the spec does not state; write it under records.cycled.gaps with its two parts, as "
            "{first: left tyre, second: left arm, gap: 1 1/2 in}"
        )
    try:
        owner = build.value(holder) if name.startswith("length") else None
    except (Missing, ValueError):
        return ""
    if not isinstance(owner, Coilover | BrakeLine):
        return ""
    side = Side.RIGHT if Side.RIGHT in holder.split(".") else Side.LEFT
    fields_there = " or ".join(f"records.cycled.sides.{side}.{each}" for each in READ_IN_A_POSE[type(owner)])
    return (
        f"{of} changes as the axle moves, so the spec does not state it; write what was read with the axle at the end "
        f"of its travel under {fields_there}"
    )


def _nearest(build: Build, of: str) -> str:
    """Return a message that the spec lacks a path, with the nearest name that it has."""
    held: Any = build
    walked = ""
    for step in of.replace("[", ".[").split("."):
        path = f"{walked}.{step}" if walked else step
        try:
            held = build.value(path)
        except (Missing, ValueError):
            return f"the spec has no {of}: {no_such(f'entry of {walked}' if walked else 'section', step, _names(held))}"
        walked = path
    return f"the spec has no {of}"


def _names(held: Any) -> list[str]:
    if isinstance(held, Part):
        return list(held.given())
    if isinstance(held, Sides):
        written_once = {part.path for part in held if part.path.endswith(".both")}
        return ["both"] if written_once else [part.side.value for part in held]
    if isinstance(held, Point):
        return list(Point._fields)
    return list(held) if isinstance(held, Mapping) else []
