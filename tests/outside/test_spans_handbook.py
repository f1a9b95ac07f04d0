"""Lengths and joint angles against values computed outside this project.

The coilover's numbers were computed with mpmath at 30 digits from the triangle given (millimetres); the
joint's are plain trigonometry, and the two approximations of it in use are told apart from the exact angle.
"""

import numpy as np
import pytest

from buildcheck.axle.rotation import rotation
from buildcheck.axle.spans import direction, driveshaft_angles, joint_angle, span
from buildcheck.axle.vectors import Array

UPPER = np.array([0.0, 120.0, 520.0])  # lower mount at the origin at ride height


def lower_mount(heave: list[float]) -> Array:
    return np.stack([np.zeros(len(heave)), np.zeros(len(heave)), np.array(heave)])


def test_inclined_coilover_length_over_travel() -> None:
    length = span(UPPER, lower_mount([-125, -75, 0, 75, 125]))
    expected = [656.067831859, 606.980230321, 533.666562565, 460.895866764, 412.825629049]
    np.testing.assert_allclose(length, expected, rtol=0, atol=1e-9)


def test_inclined_coilover_stroke() -> None:
    droop, ride, bump = span(UPPER, lower_mount([-125, 0, 125]))
    assert float(ride - bump) == pytest.approx(120.840933516, abs=1e-9)
    assert float(droop - ride) == pytest.approx(122.401269294, abs=1e-9)


def test_inclined_coilover_installation_ratio() -> None:
    """Shortening of the coilover for each unit of rise, and its square, the factor on the spring's rate."""
    ratio = -float(direction(UPPER, [0, 0, 0])[2])
    assert ratio == pytest.approx(0.974391195695, abs=1e-11)
    assert ratio**2 == pytest.approx(0.949438202247, abs=1e-11)


def test_compound_angle_of_four_degrees_in_plan_and_six_from_the_side() -> None:
    plan, side = np.radians(4.0), np.radians(6.0)
    shaft = [1.0, np.tan(plan), -np.tan(side)]
    assert np.degrees(float(joint_angle([1, 0, 0], shaft))) == pytest.approx(7.19498656339, abs=1e-9)


def test_compound_angle_is_neither_of_the_two_approximations() -> None:
    """acos(cos cos) belongs to two turns one after the other, the root of the squares to small angles."""
    plan, side = np.radians(4.0), np.radians(6.0)
    turned = rotation(plan, side, 0.0) @ [1.0, 0.0, 0.0]
    assert np.degrees(float(joint_angle([1, 0, 0], turned))) == pytest.approx(7.20704181197, abs=1e-9)
    both_views = np.degrees(float(joint_angle([1, 0, 0], [1.0, np.tan(plan), np.tan(side)])))
    assert abs(both_views - 7.20704181197) > 0.01
    assert abs(both_views - 7.21110255093) > 0.01


def test_driveshaft_between_a_level_output_and_a_pinion_seen_at_both_angles() -> None:
    """The output lies along x, the shaft 4 deg aside in plan and 6 deg down, the pinion along the shaft."""
    plan, side = np.radians(4.0), np.radians(6.0)
    run = np.array([900.0, 900 * np.tan(plan), -900 * np.tan(side)])
    output = np.array([-1000.0, 0.0, 400.0])
    at_output, at_pinion = driveshaft_angles(output, [1, 0, 0], output + run, -run)
    assert np.degrees(float(at_output)) == pytest.approx(7.19498656339, abs=1e-9)
    assert float(at_pinion) == pytest.approx(0, abs=1e-15)
