"""Sections and columns, against handbooks.

Sources, each read in part and not as a whole: Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed.,
pages 184 and 187 (columns), and the solutions of the 8th ed., problem 4-77; a table of round tubing as handbooks print
it. The other numbers were computed beforehand with mpmath, sectionproperties 3.10.2 and PyNiteFEA 3.2.0.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sampling import draws

from buildcheck.strength.metals import STEEL_MODULUS, modulus_of
from buildcheck.strength.sections import (
    column_capacity,
    rectangle,
    round_tube,
    stress_within,
)

INCH, POUND, KSI = 0.0254, 4.4482216152605, 6894757.293168361
SPAN, FORCE = 0.9, 8000.0
TUBE = round_tube(0.0508, 0.00635)

# Outside diameter and wall (in); area, second moment, section modulus, radius of gyration as printed to three places.
PRINTED = [
    (1.0, 0.125, 0.344, 0.034, 0.067, 0.313),
    (1.5, 0.25, 0.982, 0.199, 0.266, 0.451),
    (2.0, 0.25, 1.374, 0.537, 0.537, 0.625),
]


@pytest.mark.parametrize(("diameter", "wall", "area", "second", "modulus", "gyration"), PRINTED)
def test_round_tubes_as_printed(
    diameter: float, wall: float, area: float, second: float, modulus: float, gyration: float
) -> None:
    tube = round_tube(diameter * INCH, wall * INCH)
    assert tube.area / INCH**2 == pytest.approx(area, abs=0.00051)
    assert tube.second_moment / INCH**4 == pytest.approx(second, abs=0.00051)
    assert tube.section_modulus / INCH**3 == pytest.approx(modulus, abs=0.00051)
    assert tube.radius_of_gyration / INCH == pytest.approx(gyration, abs=0.00051)


@pytest.mark.parametrize(
    ("diameter", "wall", "area", "second", "modulus"),
    [
        (0.0381, 0.00635, 633.3843e-6, 83003.83e-12, 4357.156e-9),
        (0.04445, 0.003175, 411.6998e-6, 88191.57e-12, 3968.125e-9),
        (0.0508, 0.00635, 886.7381e-6, 223471.85e-12, 8798.104e-9),
    ],
)
def test_round_tubes_to_seven_figures(diameter: float, wall: float, area: float, second: float, modulus: float) -> None:
    tube = round_tube(diameter, wall)
    assert (tube.area, tube.second_moment, tube.section_modulus) == pytest.approx((area, second, modulus), rel=1e-7)


def test_rectangles() -> None:
    """b h^3 / 12 and its parts, by hand: 3 x 2 in with a wall of 1/4 in, which is weaker about its lesser height."""
    box = rectangle(3 * INCH, 2 * INCH, INCH / 4)
    assert box.area / INCH**2 == pytest.approx(2.25)
    assert box.second_moment / INCH**4 == pytest.approx((3 * 8 - 2.5 * 1.5**3) / 12)
    assert box.section_modulus / INCH**3 == pytest.approx((3 * 8 - 2.5 * 1.5**3) / 12)
    solid = rectangle(0.1, 0.03)
    assert (solid.area, solid.section_modulus) == pytest.approx((0.003, 0.1 * 0.03**2 / 6))


# Shigley, pages 184 and 187, and problem 4-77 of the solutions; then our own computation with the same formulas.
def test_the_columns_of_the_book() -> None:
    """C = 1, E = 207 GPa: 40 mm solid at 1.5 m is an Euler column of slenderness 150; 37.48 mm bear 88 kN."""
    rod = round_tube(0.040, 0.020)
    assert 1.5 / rod.radius_of_gyration == pytest.approx(150.0)
    assert column_capacity(rod, 1.5, 500e6, 207e9) == pytest.approx(114103.098, rel=1e-6)
    assert column_capacity(round_tube(0.03748, 0.01874), 1.5, 500e6, 207e9) == pytest.approx(88e3, rel=1e-3)


def test_the_johnson_column_of_the_book() -> None:
    """7/8 in solid, 18 in, 37.5 kpsi, 30 Mpsi: 17 714 lbf as printed."""
    rod = round_tube(0.875 * INCH, 0.4375 * INCH)
    found = column_capacity(rod, 18 * INCH, 37.5 * KSI, 30e3 * KSI)
    assert found / POUND == pytest.approx(17714, abs=2)


@pytest.mark.parametrize(
    ("diameter", "wall", "length", "strength", "pounds"),
    [(1.75, 0.25, 36, 60, 54077), (2.0, 0.25, 36, 60, 68128), (1.25, 0.12, 48, 70, 8542.0)],
)
def test_tubes_as_columns(diameter: float, wall: float, length: float, strength: float, pounds: float) -> None:
    tube = round_tube(diameter * INCH, wall * INCH)
    found = column_capacity(tube, length * INCH, strength * KSI, 29e3 * KSI)
    assert found / POUND == pytest.approx(pounds, rel=1e-4)


def test_a_metric_tube_as_a_column() -> None:
    tube = round_tube(0.04445, 0.00635)
    assert column_capacity(tube, 0.95, 414e6, 200e9) == pytest.approx(234820, rel=1e-4)


@given(st.floats(0.02, 0.08), st.floats(0.05, 0.5), st.floats(2e8, 9e8))
@draws(50)
def test_euler_and_johnson_meet_at_half_the_yield(diameter: float, share: float, strength: float) -> None:
    tube = round_tube(diameter, share * diameter)
    length = math.sqrt(2 * math.pi**2 * 207e9 / strength) * tube.radius_of_gyration
    for slightly in (1 - 1e-9, 1 + 1e-9):
        assert column_capacity(tube, slightly * length, strength, 207e9) == pytest.approx(
            strength * tube.area / 2, rel=1e-8
        )


def test_a_strike_in_the_middle_of_a_tube() -> None:
    """M = P L / 4; M / S = 204.6 MPa."""
    assert stress_within(TUBE, FORCE * SPAN / 4) == pytest.approx(204.589523337e6, rel=1e-9)
    assert stress_within(TUBE, 0.0, -FORCE) == pytest.approx(FORCE / 886.7381e-6, rel=1e-7)


def test_refuses_sections_that_cannot_be() -> None:
    for wall in (0.0, 0.03, float("nan")):
        with pytest.raises(ValueError, match="wall"):
            round_tube(0.05, wall)
        with pytest.raises(ValueError, match="wall"):
            rectangle(0.05, 0.05, wall)
    with pytest.raises(ValueError, match="above zero"):
        rectangle(0.0, 0.05)


def test_moduli_by_metal_as_printed() -> None:
    """AISC 360: steel 29 000 ksi (200 GPa), from memory. Shigley, table A-5, as its problem 8-25 uses it: gray iron
    14.5 Mpsi; aluminium 10.4, from memory."""
    assert modulus_of("carbon-steel") == pytest.approx(200e9, rel=1e-3)
    assert modulus_of("alloy-steel") == modulus_of("cast-steel") == STEEL_MODULUS
    assert modulus_of("gray-iron") == pytest.approx(14.5e3 * KSI)
    assert modulus_of("aluminium") == pytest.approx(10.4e3 * KSI)
    assert modulus_of("unknown-casting") is None
