"""Bars and studs of the steering against printed coefficients and the plain formulas written out."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.integrate

from buildcheck.strength.bars import Bar, equivalent_stress, stud_stress, torsional_stress

# Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., table beside equation 3-40, from memory: alpha
# of T / (alpha b c^2) by b / c.
ALPHA = {
    1.00: 0.208,
    1.50: 0.231,
    1.75: 0.239,
    2.00: 0.246,
    2.50: 0.258,
    3.00: 0.267,
    4.00: 0.282,
    6.00: 0.299,
    8.00: 0.307,
    10.0: 0.313,
}


@pytest.mark.parametrize("ratio", ALPHA)
def test_torsion_of_a_rectangle(ratio: float) -> None:
    wide, high = Bar(ratio * 0.02, 0.02), Bar(0.02, ratio * 0.02)
    for bar in (wide, high):
        assert float(torsional_stress(bar, -300.0)) == pytest.approx(300 / (ALPHA[ratio] * ratio * 0.02**3), rel=3e-3)


def test_a_thin_strip_has_a_third() -> None:
    assert float(torsional_stress(Bar(1.0, 0.001), 1.0)) == pytest.approx(3 / 0.001**2, rel=1e-3)


def test_bending_by_integrating_the_stress_over_the_section() -> None:
    """The moment of a linear stress over a rectangle w x t is the stress at its edge times w^2 t / 6."""
    width, thickness = 0.05, 0.03
    edge = 2e8
    moment, _ = scipy.integrate.quad(lambda y: edge * y / (width / 2) * y * thickness, -width / 2, width / 2)
    found = equivalent_stress(Bar(width, thickness), across=moment, flat=0.0, thrust=0.0, torsion=0.0)
    assert float(found) == pytest.approx(edge, rel=1e-9)
    moment, _ = scipy.integrate.quad(lambda y: edge * y / (thickness / 2) * y * width, -thickness / 2, thickness / 2)
    found = equivalent_stress(Bar(width, thickness), across=0.0, flat=-moment, thrust=0.0, torsion=0.0)
    assert float(found) == pytest.approx(edge, rel=1e-9)


def test_all_together_by_the_distortion_energy() -> None:
    """Principal stresses of the plane state, and the von Mises stress of them (textbook)."""
    bar = Bar(0.05, 0.03)
    normal = sum(
        float(equivalent_stress(bar, **{**dict.fromkeys(("across", "flat", "thrust", "torsion"), 0.0), name: value}))
        for name, value in (("across", 900.0), ("flat", 250.0), ("thrust", -8000.0))
    )
    shear = float(torsional_stress(bar, 180.0))
    one, two = np.linalg.eigvalsh([[normal, shear], [shear, 0.0]])
    wanted = math.sqrt(one**2 - one * two + two**2)
    found = equivalent_stress(bar, across=900.0, flat=250.0, thrust=-8000.0, torsion=180.0)
    assert float(found) == pytest.approx(wanted, rel=1e-12)


def test_a_stud_bends_as_a_round_bar() -> None:
    """The moment of a linear stress over a circle, by integration."""
    diameter, edge = 0.02, 4e8
    half = diameter / 2
    moment, _ = scipy.integrate.quad(lambda y: edge * y / half * y * 2 * math.sqrt(half**2 - y**2), -half, half)
    assert stud_stress(-moment / 0.019, 0.019, diameter) == pytest.approx(edge, rel=1e-7)
