"""Rates of the axle's points and of what hangs on them, against differences of solved poses and by hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildcheck.motion.handling import slopes_over
from buildcheck.motion.poses import Layout, Poses, solve
from buildcheck.motion.rotation import carry
from buildcheck.motion.spans import motion_ratio, point_rate, span, span_rate, stroke_used
from buildcheck.motion.vectors import Array

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
    return point_rate((slope.x, slope.y, rise), (slope.yaw, slope.pitch, rolling), (poses.yaw, poses.pitch), arm)


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
def test_motion_ratio_is_the_slope_of_the_length_over_that_of_the_wheel(by: str) -> None:
    poses = solve(LAYOUT, HEAVE, ROLL)
    lower = carry(poses, LOWER)
    ratio = motion_ratio(UPPER, lower, rates(poses, LOWER, by), rates(poses, WHEEL, by))
    heave, roll = (STEP, 0.0) if by == "heave" else (0.0, STEP)
    ahead, behind = (solve(LAYOUT, HEAVE + sign * heave, ROLL + sign * roll) for sign in (1, -1))
    shorter = span(UPPER, carry(behind, LOWER)) - span(UPPER, carry(ahead, LOWER))
    rise = carry(ahead, WHEEL)[2] - carry(behind, WHEEL)[2]
    np.testing.assert_allclose(ratio, shorter / rise, atol=1e-7)
    assert np.all(ratio > 0)
    if by == "roll":  # mounted further in than the wheel, the coilover moves less than in heave
        in_heave = motion_ratio(UPPER, lower, rates(poses, LOWER, "heave"), rates(poses, WHEEL, "heave"))
        assert np.all(ratio < in_heave)


def test_ratio_of_an_inclined_coilover_in_plain_heave() -> None:
    """Upper eye 120 inboard and 520 above the lower: mpmath at 30 digits, cos of the lean."""
    ratio = motion_ratio([0.0, 120.0, 520.0], [0.0, 0, 0], [0.0, 0, 1], [0.0, 0, 1])
    assert float(ratio) == pytest.approx(0.974391195695, abs=1e-11)
    assert float(ratio) ** 2 == pytest.approx(0.949438202247, abs=1e-11)


@given(st.floats(0.2, 0.8), st.floats(0.5, 1.0), st.floats(-0.5, 0.5))
def test_upright_coilover_in_roll_moves_by_its_share_of_the_track(inboard: float, wheel: float, yaw: float) -> None:
    across = np.array([-np.sin(yaw), np.cos(yaw), 0.0])
    lower, tyre = (point_rate((0, 0, 0), (0, 0, 1), (yaw, 0.0), reach * across) for reach in (inboard, wheel))
    ratio = motion_ratio(inboard * across + np.array([0, 0, 0.5]), inboard * across, lower, tyre)
    assert float(ratio) == pytest.approx(inboard / wheel, rel=1e-12)


def test_wheel_that_does_not_rise_has_no_ratio_and_span_rate_has_its_sign() -> None:
    assert np.isnan(motion_ratio([0, 0, 1], [0, 0, 0], [0, 0, 1], [1.0, 0, 0]))
    assert float(span_rate([0, 0, 1], [0, 0, 0], [0, 0, -2.0])) == 2


def test_share_of_the_stroke() -> None:
    used = stroke_used([0.85, 0.70, 0.55, 0.50, 0.90, np.nan], 0.85, 0.55)
    np.testing.assert_allclose(used, [0, 0.5, 1, 7 / 6, -1 / 6, np.nan], atol=1e-12)
    assert np.isnan(stroke_used(0.6, 0.5, 0.5))
