"""Every leaf field that a spec states, taken out and spoiled one at a time, and what an inspection then gives.

A field is known by its pattern: its spec path without sides and numbers, and `*` for each name that a builder gives.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Annotated, Any, NamedTuple, get_args, get_origin
from unittest.mock import patch

from buildcheck_rules import buildcheck_rules

from buildcheck.build import Build, Stage, read_build
from buildcheck.build.build import read_again
from buildcheck.build.field import Field
from buildcheck.build.fits import fits
from buildcheck.build.measured import read_measurement
from buildcheck.build.part import METALS, MetalName, Part, Point, Sides, Vector, fields
from buildcheck.build.records import Measurement
from buildcheck.checks import inspection
from buildcheck.checks.hold_points import hold_points
from buildcheck.checks.rule import Rule
from buildcheck.job import Job
from buildcheck.spec.place import split
from buildcheck.spec.quantity import Dimension, System, parse
from buildcheck.spec.units import UNITS
from buildcheck.spec.written import REMOVED, with_written

INCH = 0.0254
TODAY = date(2026, 4, 1)

RULES = tuple(buildcheck_rules())


class Place(NamedTuple):
    """One place where a spec states a leaf field: its path, its pattern, the kind of its value and what is said of it,
    and the value as read."""

    path: str
    pattern: str
    kind: Any
    said: Field
    value: Any
    owner: Part


class Spoil(NamedTuple):
    """One way to spoil a value: its name, and the value as a spec has it."""

    name: str
    value: Any


# The leaf fields.


def patterns() -> dict[str, Field]:
    """Every leaf field that a spec may have, by its pattern."""
    return dict(_patterns(Build, ""))


def _patterns(kind: type[Part], at: str) -> Iterator[tuple[str, Field]]:
    for name, declared in fields(kind).items():
        yield from _below(declared, f"{at}.{name}" if at else name, kind.SAID[name])


def _below(kind: Any, at: str, said: Field) -> Iterator[tuple[str, Field]]:
    origin, inner = get_origin(kind), get_args(kind)
    if origin is Sides:
        yield from _patterns(inner[0], at)
    elif origin is dict:
        yield from _below(inner[1], f"{at}.*", said)
    elif origin is tuple and issubclass(inner[0], Part):
        yield from _patterns(inner[0], f"{at}[]")
    elif isinstance(kind, type) and issubclass(kind, Part):
        yield from _patterns(kind, at)
    else:
        yield at, said


def places(build: Build) -> list[Place]:
    """Every leaf field that a build states; once where a spec states it once for both sides."""
    found: dict[str, Place] = {}
    for place in _places(build, ""):
        found.setdefault(place.path, place)
    return list(found.values())


def _places(part: Part, at: str) -> Iterator[Place]:
    for name, value in part.given().items():
        kind, said = fields(type(part))[name], type(part).SAID[name]
        pattern = f"{at}.{name}" if at else name
        yield from _places_below(Place(part.path_of(name), pattern, kind, said, value, part))


def _places_below(place: Place) -> Iterator[Place]:
    value, pattern = place.value, place.pattern
    if isinstance(value, Part):
        yield from _places(value, pattern)
    elif isinstance(value, Sides):
        for part in value:
            yield from _places(part, pattern)
    elif isinstance(value, Mapping) and not place.said.as_written:
        for name in value:
            yield from _places_below(place._replace(pattern=f"{pattern}.*", value=value[name]))
    elif type(value) is tuple and value and isinstance(value[0], Part):
        for each in value:
            yield from _places(each, f"{pattern}[]")
    else:
        yield place


# Spoiling.


def spoils(build: Build, place: Place) -> Iterator[Spoil]:
    """The field taken out, and every way in which the law spoils its value, as a spec would have it.

    Some of them do not fit the spec.
    """
    yield Spoil("taken out", REMOVED)
    kind, said, value = place.kind, place.said, place.value
    if said.as_written:
        yield from _spoilt_as_written(build, place)
    elif get_origin(kind) is Annotated:
        yield from _spoilt_amount(value, get_args(kind)[1], said.between)
    elif get_origin(kind) is tuple:
        yield Spoil("other words", ["steering", *value])
    elif kind is Point:
        yield from _moved(value)
    elif kind is Vector:
        yield from _tilted(value)
    elif kind is bool:
        yield Spoil("the other", not value)
    elif kind in (int, float) and not said.one_of:
        yield from _spoilt_number(value, said.between, whole=kind is int)
    elif said.form == "thread":
        yield from (Spoil(size, size) for size in ("1/4-20", "M20x1.5") if size != value)
    elif words := _words(kind, said):
        yield from (Spoil(str(word), word) for word in words if word != value)
    elif said.form == "date":
        yield from (Spoil(day, day) for day in ("2001-01-01", "2099-12-31"))
    else:
        yield Spoil("other words", "other words")


def _words(kind: Any, said: Field) -> tuple[Any, ...]:
    return METALS if kind is MetalName else said.one_of or (tuple(kind) if issubclass(kind, Stage | System) else ())


def _spoilt_amount(value: float, dimension: Dimension, between: tuple[str, str]) -> Iterator[Spoil]:
    unit = UNITS[dimension][0]
    least, most = between
    if value == 0.0:
        yield Spoil("moved by one unit", f"1 {unit.name}")
    else:
        number = value / float(unit.factor) - float(unit.offset)
        yield Spoil("times 10", f"{number * 10!r} {unit.name}")
        yield Spoil("a tenth", f"{number / 10!r} {unit.name}")
    for name, end in (("least", least), ("most", most)):
        if not math.isclose(parse(end, dimension, System.METRIC), value):
            yield Spoil(name, end)


def _spoilt_number(value: float, between: tuple[float, float], *, whole: bool) -> Iterator[Spoil]:
    least, most = between
    made = {"times 10": value * 10, "a tenth": value / 10, "least": least, "most": most}
    for name, number in made.items():
        spoilt = round(number) if whole else number
        if spoilt != value:
            yield Spoil(name, spoilt)


def _moved(point: Point) -> Iterator[Spoil]:
    for axis in Point._fields:
        moved = point._replace(**{axis: getattr(point, axis) + INCH})
        yield Spoil(f"{axis} by 1 in", [f"{number!r} m" for number in moved])


def _tilted(vector: Vector) -> Iterator[Spoil]:
    """A direction tilted by 30 degrees towards each axis that it is not along."""
    length = math.hypot(*vector)
    for axis in Vector._fields:
        along = getattr(vector, axis) / length
        if abs(along) < 0.9:
            yield Spoil(f"tilted to {axis}", list(vector._replace(**{axis: (along + 0.577) * length})))


def _spoilt_as_written(build: Build, place: Place) -> Iterator[Spoil]:
    if not isinstance(place.owner, Measurement):
        yield Spoil("other keys", {"other": 1})
        return
    measured = read_measurement(build, place.owner)
    unit = UNITS[measured.dimension][0]
    if place.pattern.endswith("tolerance"):
        assert measured.tolerance is not None
        yield Spoil("times 10", f"{measured.tolerance * 10 / float(unit.factor)!r} {unit.name}")
    elif isinstance(measured.value, Point):
        yield from _moved(measured.value)
    else:
        assert isinstance(measured.value, float)
        for name, factor in (("times 10", 10.0), ("a tenth", 0.1)):
            yield Spoil(name, f"{measured.value * factor / float(unit.factor)!r} {unit.name}")


# What an inspection gives.


class Given(NamedTuple):
    """What an inspection gives: every number, verdict and limit; and all that it says is missing or assumed."""

    computed: Counter[Any]
    said: Counter[Any]


class Whole:
    """A spec, and the inspections of it with one field changed, each of which takes over what the change leaves."""

    def __init__(self, data: Any) -> None:
        assert fits(data)
        self.data = data
        self.build = read_build(data)
        self.job = Job(self.build)
        self.given = _given(self.build, self.job)
        self.places = places(self.build)

    def changed(self, path: str, value: Any) -> Given | None:
        """What an inspection of the spec with another value gives; None where that is no valid spec."""
        data = with_written(self.data, path, value)
        if not fits(data):
            return None
        section = str(split(path)[0])
        build = read_again(self.build, data, [section]) if section in data else read_build(data)
        return _given(build, Job(build, self.job))

    def seen(self, place: Place, value: Any) -> bool | None:
        """Whether anything changes where a field is taken out, and anything computed where it is spoiled; None where
        that is no valid spec."""
        given = self.changed(place.path, value)
        if given is None:
            return None
        return given != self.given if value is REMOVED else given.computed != self.given.computed


def inspected(build: Build, job: Job, rules: Iterable[Rule], today: date) -> inspection.Inspection:
    """The inspection of a build with a job that may have taken over the values of another build."""
    with patch.object(inspection, "Job", lambda _: job):
        return inspection.inspect(build, rules, today=today, changes=False)


def _given(build: Build, job: Job) -> Given:
    found = inspected(build, job, RULES, TODAY)
    computed: Counter[Any] = Counter()
    said: Counter[Any] = Counter(found.assumptions)
    for each in found.readings:
        assert not each.failure, each.failure
        name = (each.rule, each.subject, each.of, each.quantity)
        computed[*name, each.verdict, each.value, each.lowest, each.highest, each.found, each.amounts] += 1
        said[*name, each.reason, each.missing, each.waived] += 1
    said.update((point.stage, point.lacking) for point in hold_points(build, found))
    return Given(computed, said)
