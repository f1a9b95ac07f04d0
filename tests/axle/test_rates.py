"""Rates of the axle's points and of what hangs on them, against differences of solved poses and by hand."""

import numpy as np
import pytest

from buildcheck.axle.handling import slopes_over, turning
from buildcheck.axle.poses import Layout, Poses, solve
from buildcheck.axle.rotation import carry
from buildcheck.axle.spans import span, span_rate
from buildcheck.axle.vectors import Array

AXLE = np.array([[0.03, 0.43, -0.1], [0.03, -0.43, -0.1], [0.06, -0.18, 0.15], [0.045, -0.42, 0.07]]).T
FRAME = np.array([[-0.87, 0.4, -0.04], [-0.87, -0.4, -0.04], [-0.56, -0.2, 0.19], [0.055, 0.41, 0.115]]).T
LAYOUT = Layout(np.zeros(3), FRAME, AXLE, np.full(4, 1e7))
UPPER, LOWER, WHEEL = np.array([-0.03, 0.42, 0.7]), np.array([-0.06, 0.5, 0.02]), np.array([0.0, 0.8, 0.0])
HEAVE, ROLL = np.array([0.0, 0.08, -0.09, 0.03]), np.array([0.0, 0.05, -0.12, 0.1])
STEP = 1e-5


def rates(poses: Poses, point: Array, by: str) -> Array:
    """Rate of a point of the axle with respect to heave or to roll, from the exact slopes of the pose."""
    found = slopes_over(poses, LAYOUT)
    slope, rise, rolling = (found.heave, 1.0, 0.0) if by == "heave" else (found.roll, 0.0, 1.0)
    centre = np.stack([poses.x, poses.y, poses.heave])
    arm = carry(poses, point) - centre
    moving = np.stack([slope.x, slope.y, np.full(len(HEAVE), rise)])
    return np.asarray(moving + np.cross(turning(poses, slope, rolling), arm, axis=0))


def differences(point: Array, by: str) -> Array:
    """The same by differences of poses solved a step apart."""
    heave, roll = (STEP, 0.0) if by == "heave" else (0.0, STEP)
    ahead = carry(solve(LAYOUT, HEAVE + heave, ROLL + roll), point)
    behind = carry(solve(LAYOUT, HEAVE - heave, ROLL - roll), point)
    return np.asarray((ahead - behind) / (2 * STEP))


@pytest.mark.parametrize("by", ["heave", "roll"])
@pytest.mark.parametrize("point", [LOWER, WHEEL, np.zeros(3)])
def test_rate_of_a_point_is_the_slope_of_where_it_stands(by: str, point: Array) -> None:
    poses = solve(LAYOUT, HEAVE, ROLL)
    np.testing.assert_allclose(rates(poses, point, by), differences(point, by), atol=1e-7)


@pytest.mark.parametrize("by", ["heave", "roll"])
def test_rate_of_a_span_is_the_slope_of_its_length(by: str) -> None:
    poses = solve(LAYOUT, HEAVE, ROLL)
    rate = span_rate(UPPER, carry(poses, LOWER), rates(poses, LOWER, by))
    heave, roll = (STEP, 0.0) if by == "heave" else (0.0, STEP)
    ahead, behind = (solve(LAYOUT, HEAVE + sign * heave, ROLL + sign * roll) for sign in (1, -1))
    longer = span(UPPER, carry(ahead, LOWER)) - span(UPPER, carry(behind, LOWER))
    np.testing.assert_allclose(rate, longer / (2 * STEP), atol=1e-7)
    assert np.all(rate < 0)  # the lower eye goes towards the upper one


def test_rate_of_an_inclined_coilover_in_plain_heave() -> None:
    """Upper eye 120 inboard and 520 above the lower: mpmath at 30 digits, cos of the lean."""
    rate = float(span_rate([0.0, 120.0, 520.0], [0.0, 0, 0], [0.0, 0, 1]))
    assert -rate == pytest.approx(0.974391195695, abs=1e-11)
    assert rate**2 == pytest.approx(0.949438202247, abs=1e-11)


def test_span_rate_has_its_sign() -> None:
    assert float(span_rate([0, 0, 1], [0, 0, 0], [0, 0, -2.0])) == 2
