"""The build as it was measured on the truck, where records of it exist."""

from __future__ import annotations

from typing import Any, get_args

from buildcheck.build import Build, Missing, Part, Point
from buildcheck.build.part import fields
from buildcheck.quantity import Dimension, QuantityError, System, parse


def as_measured(build: Build) -> Build | None:
    """The build with every measured value in place of the proposed one, the later of two for one place.

    None where the spec has no measurement that the build takes. What was measured of something that the spec lacks, or
    is neither point nor number, is left as proposed.
    """
    found = None
    for each in build.records.measured if build.has("records") and build.records.has("measured") else ():
        try:
            value = _read(build, each.of, each.value)
            found = (found or build).with_value(each.of, value)
        except (Missing, QuantityError, ValueError, AttributeError, TypeError, KeyError):
            continue
    return found


def _read(build: Build, path: str, raw: Any) -> Any:
    system: System = build.units
    old = build.value(path)
    if isinstance(old, Point):
        return Point(*(parse(number, Dimension.LENGTH, system) for number in raw))
    holder_path, _, name = path.rpartition(".")
    holder = build.value(holder_path)
    if isinstance(holder, Point):
        return parse(raw, Dimension.LENGTH, system)
    if isinstance(holder, Part) and isinstance(old, float):
        return parse(raw, get_args(fields(type(holder))[name])[1], system)
    raise TypeError(path)
