"""How sure a reading near its limit is, against a Monte Carlo of 100,000 trucks and a general library.

The Monte Carlo is that of JCGM 101:2008, Supplement 1 to the Guide to the expression of uncertainty in measurement
(from memory): draw every input, compute the result, take its standard deviation. The library is `uncertainties`, which
carries uncertainties through a calculation by automatic differentiation. Both compute the result by formulas of their
own, from the coordinates in the spec.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from uncertainties import ufloat, umath

from buildcheck.api import Area, Build, Job, Rule, Words, at_most, common_practice, inspect
from buildcheck.build import read_build
from buildcheck.spec.document import read_text

TAPE, FRAME, AXLE = 0.0025, (-0.94, 0.42, 0.50), (0.02, 0.44, 0.43)
SPEC = f"""
format: 1
units: metric
links:
  lower: {{both: {{kind: two-point, frame: {[each * 1000 for each in FRAME]}, axle: {[each * 1000 for each in AXLE]}}}}}
records: {{tape_tolerance: 2.5 mm}}
"""
SAMPLES = 100_000


def slope(job: Job, build: Build) -> float:
    """Slope of a link in the side view."""
    link = build.links["lower"].left
    return math.atan2(link.frame.z - link.axle.z, link.axle.x - link.frame.x)


def span(job: Job, build: Build) -> float:
    """Distance between the points of a link."""
    link = build.links["lower"].left
    return math.dist(link.frame, link.axle)


def splay(job: Job, build: Build) -> float:
    """Angle of a link to straight ahead in the plan view."""
    link = build.links["lower"].left
    return math.atan2(link.axle.y - link.frame.y, link.axle.x - link.frame.x)


def by_hand(frame: Any, axle: Any, library: Any) -> dict[Callable[..., float], Any]:
    return {
        slope: library.atan2(frame[2] - axle[2], axle[0] - frame[0]),
        span: library.sqrt(sum((one - other) ** 2 for one, other in zip(frame, axle, strict=True))),
        splay: library.atan2(axle[1] - frame[1], axle[0] - frame[0]),
    }


class Numpy:
    atan2, sqrt = staticmethod(np.arctan2), staticmethod(np.sqrt)


def computed(function: Callable[..., float]) -> float:
    build = read_build(read_text(SPEC, "a spec").data)
    value = function(Job(build), build)
    # A limit that the value is close to, so that each input is looked at alone.
    unit = "m" if function is span else "rad"
    rule = Rule("of-a-link", area=Area.LINKS, page="A number of a link.\n\nA page.")
    close = at_most(warning=f"{value * 1.0001:.12f} {unit}")
    rule.check(Build, close, basis=common_practice("a test"), change=Words("change it"))(function)
    (reading,) = inspect(build, [rule], sure=True).readings
    assert reading.too_near_to_tell
    assert reading.plus_or_minus is not None
    return reading.plus_or_minus


@pytest.mark.parametrize("function", [slope, span, splay], ids=lambda function: str(function.__name__))
def test_it_is_that_of_a_hundred_thousand_trucks(function: Callable[..., float]) -> None:
    draw = np.random.default_rng(20)
    frame, axle = (np.array(point)[:, None] + draw.normal(0, TAPE, (3, SAMPLES)) for point in (FRAME, AXLE))
    assert computed(function) == pytest.approx(float(np.std(by_hand(frame, axle, Numpy)[function])), rel=0.05)


@pytest.mark.parametrize("function", [slope, span, splay], ids=lambda function: str(function.__name__))
def test_it_is_that_of_a_general_library(function: Callable[..., float]) -> None:
    frame, axle = ([ufloat(each, TAPE) for each in point] for point in (FRAME, AXLE))
    assert computed(function) == pytest.approx(by_hand(frame, axle, umath)[function].std_dev, rel=0.01)
