"""Sizes and strength of fillet welds, against tables and worked examples.

Sources, each read in part and not as a whole: AISC 360, table J2.4 and section J2.2b; Shigley's Mechanical Engineering
Design, 9th ed., table 9-6, and the solutions of the 10th ed., problems 9-1, 9-2 and 9-4; AISC Manual, equation 8-2b
(its printed value from memory).
"""

from __future__ import annotations

import pytest

from buildcheck.spec.units import System
from buildcheck.strength.welds import (
    ALLOWABLE_SHARE,
    THROAT,
    common_legs,
    common_lengths,
    filler_strength,
    largest_leg,
    least_leg,
)

INCH, KIP, KSI = 0.0254, 4448.2216152605, 6894757.293168361


@pytest.mark.parametrize(
    ("thickness", "leg"),
    [(1 / 8, 1 / 8), (1 / 4, 1 / 8), (0.26, 3 / 16), (1 / 2, 3 / 16), (0.51, 1 / 4), (3 / 4, 1 / 4), (0.76, 5 / 16)],
)
def test_the_least_leg_by_the_table(thickness: float, leg: float) -> None:
    assert least_leg(thickness * INCH, System.INCH_POUND) == pytest.approx(leg * INCH, rel=1e-12)


@pytest.mark.parametrize(
    ("thickness", "leg"), [(3, 3), (6, 3), (6.01, 5), (13, 5), (13.01, 6), (19, 6), (19.01, 8), (40, 8)]
)
def test_the_least_leg_by_the_metric_column(thickness: float, leg: float) -> None:
    assert least_leg(thickness / 1000, System.METRIC) == pytest.approx(leg / 1000, rel=1e-12)


@pytest.mark.parametrize("system", System)
def test_the_least_leg_is_no_more_than_the_thinner_part(system: System) -> None:
    """AWS D1.1, footnote to its table of least sizes, from memory."""
    assert least_leg(0.0025, system) == pytest.approx(0.0025)


@pytest.mark.parametrize(("thickness", "leg"), [(3 / 16, 3 / 16), (0.249, 0.249), (1 / 4, 3 / 16), (1 / 2, 7 / 16)])
def test_the_largest_leg_along_an_edge(thickness: float, leg: float) -> None:
    assert largest_leg(thickness * INCH, System.INCH_POUND) == pytest.approx(leg * INCH, abs=1e-9)


@pytest.mark.parametrize(("thickness", "leg"), [(3, 3), (5.99, 5.99), (6, 4), (10, 8)])
def test_the_largest_leg_along_an_edge_in_metric(thickness: float, leg: float) -> None:
    assert largest_leg(thickness / 1000, System.METRIC) == pytest.approx(leg / 1000, abs=1e-9)


@pytest.mark.parametrize(
    ("system", "legs"),
    [
        (System.INCH_POUND, [INCH / 16, INCH / 8, 3 / 16 * INCH, INCH / 4]),
        (System.METRIC, [0.001, 0.002, 0.003, 0.004]),
    ],
)
def test_common_legs(system: System, legs: list[float]) -> None:
    assert common_legs(system)[:4] == pytest.approx(legs)


@pytest.mark.parametrize(
    ("system", "lengths"),
    [
        (System.INCH_POUND, [3 * INCH, 3.25 * INCH]),
        (System.METRIC, [0.060, 0.065]),
    ],
)
def test_common_lengths(system: System, lengths: list[float]) -> None:
    assert common_lengths(system)[11:13] == pytest.approx(lengths)


@pytest.mark.parametrize("system", System)
def test_no_common_size_is_larger_than_a_spec_can_state(system: System) -> None:
    assert 0.038 < common_legs(system)[-1] <= 0.040
    assert 4.99 < common_lengths(system)[-1] <= 5.0


@pytest.mark.parametrize(
    ("leg", "length", "stress", "force", "half_a_unit"),
    [
        (0.005, 0.100, 140e6, 49.5e3, 50.0),
        (5 / 16 * INCH, 4 * INCH, 25 * KSI, 22.1 * KIP, 0.05 * KIP),
        (5 / 16 * INCH, 8 * INCH, 25 * KSI, 44.2 * KIP, 0.05 * KIP),
    ],
)
def test_the_throat_of_the_book(leg: float, length: float, stress: float, force: float, half_a_unit: float) -> None:
    assert THROAT * leg * length * stress == pytest.approx(force, abs=half_a_unit)


def test_the_allowable_load_of_seventy_class_filler() -> None:
    """Table 9-6: 5.57 kip for each inch of a 3/8 in fillet, 22.28 kip for 4 in; 0.928 kip for each 1/16 in of leg."""
    strength = filler_strength("ER70S-6")
    assert strength is not None
    an_inch = ALLOWABLE_SHARE * strength * THROAT * 3 / 8 * INCH * INCH
    assert an_inch / KIP == pytest.approx(5.57, abs=0.005)
    assert 4 * an_inch / KIP == pytest.approx(22.28, abs=0.02)
    assert an_inch / 6 / KIP == pytest.approx(0.928, abs=0.0006)


@pytest.mark.parametrize(
    ("classification", "ksi"),
    [
        ("ER70S-6", 70),
        ("ER80S-D2", 80),
        ("ER70S-2", 70),
        ("E6010", 60),
        ("E7018", 70),
        ("E7018-H4R", 70),
        ("E11018-M", 110),
        ("E71T-1", 70),
        ("E110T5-K4", 110),
    ],
)
def test_the_strength_that_a_class_tells(classification: str, ksi: int) -> None:
    strength = filler_strength(classification)
    assert strength is not None
    assert strength / KSI == pytest.approx(ksi)


@pytest.mark.parametrize("classification", ["ENiFe-CI", "ERNi-CI", "308L", "coat hanger", "", "E70", "ER70"])
def test_a_class_that_is_none_of_steel_tells_nothing(classification: str) -> None:
    assert filler_strength(classification) is None
