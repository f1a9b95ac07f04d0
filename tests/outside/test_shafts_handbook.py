"""Torsion and critical speed of tubes, against handbooks and published worked numbers.

Sources: IMS Ltd, drive shaft joint selection (technical data page), its formula for steel tubes, n = 1.21e8 sqrt(D^2
+ d^2) / L^2 rpm, mm, read in an excerpt, which is for 207 GPa; a textbook problem (48 in of 3 in tube, wall 1/8 in)
whose stated answer, 5800 rpm, is for the mass lumped at midspan; Shigley's Mechanical Engineering Design, 9th ed.,
equation 3-37, from memory.
"""

from __future__ import annotations

import math

import mpmath as mp
import pytest

from buildcheck.axle.cardan import equal_joint, fluctuation
from buildcheck.strength.sections import STEEL_MODULUS
from buildcheck.strength.shafts import STEEL_DENSITY, critical_speed, torsional_stress

INCH, KSI = 0.0254, 6894757.293168361
RPM = 2 * math.pi / 60


@pytest.mark.parametrize(("outer", "inner", "length"), [(76.2, 71.2, 1200.0), (63.5, 57.4, 900.0), (101.6, 95.3, 1500)])
def test_the_published_formula_for_steel_tubes(outer: float, inner: float, length: float) -> None:
    published = 1.21e8 * math.sqrt(outer**2 + inner**2) / length**2
    computed = critical_speed(outer / 1000, (outer - inner) / 2000, length / 1000, 207e9) / RPM
    assert computed == pytest.approx(published, rel=2e-4)


def test_the_textbook_tube() -> None:
    """The stated answer lumps the mass at midspan, which gives sqrt(48) / pi^2 of the speed of the even tube. It is for
    29 Mpsi and 0.00883 slug/in3; the speed goes with the roots of both."""
    modulus = 29e3 * KSI / STEEL_MODULUS
    density = 0.00883 * 32.174 * 0.45359237 / INCH**3 / STEEL_DENSITY
    computed = critical_speed(3 * INCH, INCH / 8, 48 * INCH) / RPM * math.sqrt(modulus / density)
    assert computed * math.sqrt(48) / math.pi**2 == pytest.approx(5800, rel=3e-3)


def test_the_first_whirl_of_a_beam_on_two_pivots_by_mpmath() -> None:
    """sin(k L) = 0 is the frequency equation; its first root, with k^4 = rho A w^2 / (E I)."""
    mp.mp.dps = 30
    outer, wall, length = mp.mpf("0.0635"), mp.mpf("0.003"), mp.mpf("0.9")
    inner = outer - 2 * wall
    area, second = mp.pi * (outer**2 - inner**2) / 4, mp.pi * (outer**4 - inner**4) / 64
    root = mp.findroot(lambda k: mp.sin(k * length), 3.4)
    speed = root**2 * mp.sqrt(mp.mpf("207e9") * second / (7850 * area))
    assert critical_speed(0.0635, 0.003, 0.9, 207e9) == pytest.approx(float(speed), rel=1e-12)


def test_torsion_of_a_solid_bar_is_sixteen_t_over_pi_d_cubed() -> None:
    assert torsional_stress(1000.0, 0.03, 0.015) == pytest.approx(16 * 1000 / (math.pi * 0.03**3), rel=1e-12)


def test_torsion_of_a_thin_tube_nears_bredts_formula() -> None:
    """T / (2 A t) with the area inside the middle line of the wall."""
    middle = math.pi * (0.1 - 0.0005) ** 2 / 4
    assert torsional_stress(500.0, 0.1, 0.0005) == pytest.approx(500 / (2 * middle * 0.0005), rel=6e-3)


@pytest.mark.parametrize("angle", [3, 5, 6, 8, 10, 15, 20, 25, 30])
def test_the_joint_that_turns_as_unevenly_is_the_joint_itself(angle: float) -> None:
    assert float(equal_joint(fluctuation(math.radians(angle)))) == pytest.approx(math.radians(angle), rel=1e-9)


def test_an_acceleration_of_400_gives_the_published_angles() -> None:
    """A driveline table (engineering reference, after SAE AE-7) allows 7.3, 5.5, 4.4, 3.6 and 2.7 deg at 1500, 2000,
    2500, 3000 and 4000 rpm."""
    for speed, angle in ((1500, 7.2951), (2000, 5.4713), (2500, 4.3771), (3000, 3.6476), (4000, 2.7357)):
        assert math.degrees(math.sqrt(400) / (speed * RPM)) == pytest.approx(angle, abs=1e-4)
