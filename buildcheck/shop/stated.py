"""Every value that a spec states, by its path, in a form that notation does not change."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from typing import Any

from buildcheck.build import Build
from buildcheck.build.measured import Unreadable, read_measurement
from buildcheck.build.part import Part, Point, Sides, Vector, fields
from buildcheck.build.records import Measurement
from buildcheck.spec.place import join

Value = float | int | bool | str

DIGITS = 12
"""Significant digits that are kept: 34 1/2 in and 876.3 mm are the same value."""

NOTATION = ("format", "units")
"""Fields that say how the others are written."""


def stated(build: Build) -> dict[str, Value]:
    """The values that a spec states, by spec path, sorted by path.

    Numbers are SI, rounded to 12 significant digits; a point is given by coordinate. A pair written once under `both`
    is given for each side. Units, comments, order and notation make no difference.
    """
    found = {
        path: value
        for name in fields(Build)
        if name not in NOTATION and build.has(name)
        for path, value in _values(build, getattr(build, name), name)
    }
    return dict(sorted(found.items()))


def digest(data: Any) -> str:
    """SHA-256 of plain data as JSON with sorted keys, in hexadecimal."""
    text = json.dumps(data, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()


def digest_of_text(text: str) -> str:
    """SHA-256 of a text in UTF-8, in hexadecimal."""
    return hashlib.sha256(text.encode()).hexdigest()


def _values(build: Build, value: Any, path: str) -> Iterator[tuple[str, Value]]:
    if isinstance(value, Measurement):
        yield from _of_measurement(build, value, path)
    elif isinstance(value, Part):
        for name, inner in value.given().items():
            yield from _values(build, inner, join(path, name))
    elif isinstance(value, Sides):
        for part in value:
            yield from _values(build, part, join(path, part.side.value))
    elif isinstance(value, Point | Vector):
        for axis, number in value._asdict().items():
            yield join(path, axis), _rounded(number)
    elif isinstance(value, Mapping):
        for name, inner in value.items():
            yield from _values(build, inner, join(path, name))
        if not value:
            yield path, "none"  # an empty section says that there is none
    elif isinstance(value, tuple | list):
        for index, inner in enumerate(value):
            yield from _values(build, inner, join(path, index))
        if not value:
            yield path, "none"
    elif isinstance(value, float):
        yield path, _rounded(value)
    elif isinstance(value, int):  # a count, or true and false
        yield path, value
    else:
        yield path, str(value)


def _of_measurement(build: Build, measurement: Measurement, path: str) -> Iterator[tuple[str, Value]]:
    """A measurement in SI where it can be read; its value is written in the units of the spec."""
    given = dict(measurement.given())
    try:
        measured = read_measurement(build, measurement)
    except Unreadable:
        pass
    else:
        given["value"] = measured.value
        if measured.tolerance is not None:
            given["tolerance"] = measured.tolerance
    for name, inner in given.items():
        yield from _values(build, inner, join(path, name))


def _rounded(number: float) -> float:
    return float(f"{number:.{DIGITS - 1}e}") + 0.0  # no negative zero
