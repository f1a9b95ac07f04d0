"""How sure the readings are, against the law of propagation of uncertainty written out.

JCGM 100:2008, Guide to the expression of uncertainty in measurement, clause 5.1.2, equation (10), from memory: for
inputs that know nothing of each other, the square of a result's uncertainty is the sum over the inputs of (derivative
times uncertainty of the input), squared. Here every input of an example is moved alone, up and down, and the
derivative is the difference over the two; nothing of the design that `how_sure` uses is used.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args, get_origin

import numpy as np

from buildcheck.api import Build, Reading, inspect
from buildcheck.build import Part, Point, Sides, read_build
from buildcheck.build.part import KnownBy, fields
from buildcheck.checks.tolerances import with_lengths
from buildcheck.plugins.loading import collect
from buildcheck.spec.document import read_file

SPEC = Path(__file__).parents[2] / "examples/three-link-metric.buildcheck.yaml"
# Rules on the motion alone, and those on everything but the loads and the gaps, which take long.
MOTION = (
    "axle-location",
    "bump-stop-engagement",
    "joint-misalignment",
    "lateral-bar-parallel",
    "limit-strap-length",
    "link-flatness",
    "side-symmetry",
    "spring-support",
)
SLOW = (
    "bolted-bracket",
    "bracket-plate",
    "bracket-stiffeners",
    "clearance",
    "joint-bolt",
    "link-strength",
    "met-first",
    "stated-travel",
    "steering-strength",
    "weld-size",
)
TAPE, GAUGE, SCALE = 0.0005, 0.001, 1.0
Name = tuple[str, str, str, int]


def build_of() -> Build:
    data = dict(read_file(SPEC).data)
    data["records"] = {"tape_tolerance": "0.5 mm", "gauge_tolerance": f"{GAUGE} rad", "scale_tolerance": "1 kg"}
    return read_build(data)


def inputs(held: Any) -> Iterator[tuple[Part, str, str | None, float]]:
    """Every number that a tool tells: its part, field, coordinate of a point, and tolerance."""
    if isinstance(held, Part):
        hints = fields(type(held))
        for name, value in held.given().items():
            marks = get_args(hints[name]) if get_origin(hints[name]) is not dict else ()
            if hints[name] is Point:
                yield from ((held, name, axis, TAPE) for axis in Point._fields)
            elif marks and isinstance(marks[-1], KnownBy):
                yield held, name, None, {"tape": TAPE, "gauge": GAUGE, "scale": SCALE}[marks[-1]]
            else:
                yield from inputs(value)
    elif isinstance(held, Sides | tuple):
        for each in held:
            yield from inputs(each)
    elif hasattr(held, "values"):
        for each in held.values():
            yield from inputs(each)


def moved(build: Build, part: Part, name: str, axis: str | None, by: float) -> Build:
    """The build with one number of one side off by so much."""

    def rebuilt(held: Any) -> Any:
        if held is part:
            old = getattr(held, name)
            return held.changed(**{name: old + by if axis is None else old._replace(**{axis: getattr(old, axis) + by})})
        if isinstance(held, Part):
            return held.changed(**{key: rebuilt(value) for key, value in held.given().items()})
        if isinstance(held, Sides):
            return Sides(held.path, {each.side: rebuilt(each) for each in held})
        if isinstance(held, tuple) and not hasattr(held, "_fields"):
            return tuple(rebuilt(each) for each in held)
        if hasattr(held, "items"):
            return {key: rebuilt(value) for key, value in held.items()}
        return held

    changed = rebuilt(build)
    assert isinstance(changed, Build)
    return changed


def numbers(readings: tuple[Reading, ...]) -> dict[Name, Reading]:
    count: dict[tuple[str, str, str], int] = defaultdict(int)
    found = {}
    for reading in readings:
        key = (reading.rule, reading.subject, reading.quantity)
        count[key] += 1
        found[*key, count[key]] = reading
    return found


def test_every_reading_of_an_example_is_known_as_well_as_the_sum_says(long_tier: bool) -> None:
    build = build_of()
    rules = [rule for rule in collect().rules if (rule.name not in SLOW if long_tier else rule.name in MOTION)]
    found = numbers(inspect(build, rules, sure=True, changes=False).readings)
    squares: dict[Name, float] = defaultdict(float)
    bent: dict[Name, float] = defaultdict(float)
    cut = with_lengths(build)  # every link to a length of its own, as it is said to be
    for part, name, axis, tolerance in inputs(cut):
        up, down = (
            numbers(inspect(moved(cut, part, name, axis, by), rules, changes=False).readings)
            for by in (tolerance, -tolerance)
        )
        for key, reading in found.items():
            ends = [value for each in (up, down) if key in each and (value := each[key].value) is not None]
            if reading.value is not None and len(ends) == 2:
                squares[key] += ((ends[0] - ends[1]) / 2) ** 2
                bent[key] += ((ends[0] + ends[1]) / 2 - reading.value) ** 2
    # The law is one of straight lines: a size about zero, or the worst of two that are alike, has a kink there.
    straight = [key for key in squares if squares[key] > 1e-16 and bent[key] < 1e-3 * squares[key]]
    told = [(found[key].plus_or_minus or math.nan, math.sqrt(squares[key])) for key in straight]
    ratios = np.array([mine / summed for mine, summed in told])
    # Seen here: 77 readings, the median right to 0.03 %, the spread 7 %, the farthest 29 % off.
    assert len(ratios) > (60 if long_tier else 50)
    assert abs(np.median(ratios) - 1) < 0.01
    assert ratios.std() < 0.12
    assert np.all((ratios > 0.5) & (ratios < 1.6))
