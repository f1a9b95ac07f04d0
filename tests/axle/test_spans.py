"""Laws of lengths and angles, and their signs."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from buildcheck.axle.rotation import rotation, turn
from buildcheck.axle.spans import (
    direction,
    driveshaft_angles,
    front_view_angle,
    joint_angle,
    plan_angle,
    side_view_angle,
    span,
    stop_gap,
)
from buildcheck.axle.vectors import Array, aligned

points = arrays(np.float64, 3, elements=st.floats(-2.0, 2.0))
angles = st.floats(-3.0, 3.0)


def test_fixed_point_goes_with_three_poses_without_mixing_axes() -> None:
    carried = np.array([[3.0, 0.0, 0.0], [0.0, 4.0, 0.0], [4.0, 3.0, 5.0]])
    np.testing.assert_allclose(span([0, 0, 0], carried), [5, 5, 5])
    np.testing.assert_allclose(span([3, 0, 4], carried), [0, np.hypot(3, np.hypot(4, 1)), np.hypot(3, 1)])


@pytest.mark.parametrize("wrong", [1.0, np.zeros((2, 3))])
def test_vector_of_the_wrong_shape_is_refused(wrong: object) -> None:
    with pytest.raises(ValueError, match="x, y, z"):
        aligned(wrong)  # type: ignore[arg-type]


@given(points, points, angles, angles, angles)
def test_span_and_joint_angle_do_not_depend_on_where_one_stands(
    first: Array, second: Array, yaw: float, pitch: float, roll: float
) -> None:
    assume(np.linalg.norm(first) > 1e-3 and np.linalg.norm(second) > 1e-3)
    attitude = rotation(yaw, pitch, roll)
    assert float(span(attitude @ first, attitude @ second)) == pytest.approx(float(span(first, second)), abs=1e-14)
    turned = joint_angle(attitude @ first, attitude @ second)
    assert float(turned) == pytest.approx(float(joint_angle(first, second)), abs=1e-13)


def test_direction_times_span_leads_from_frame_to_axle() -> None:
    frame, axle = np.array([0.1, 0.2, 0.5]), np.array([[0.4, 0.3], [0.7, 0.2], [-0.1, 0.0]])
    np.testing.assert_allclose(frame[:, None] + direction(frame, axle) * span(frame, axle), axle, atol=1e-15)


def test_direction_is_the_slope_of_the_span() -> None:
    frame, axle, step = np.array([0.1, 0.2, 0.5]), np.array([0.4, 0.7, -0.1]), 1e-6
    rise = np.array([0, 0, step])
    slope = (span(frame, axle + rise) - span(frame, axle - rise)) / (2 * step)
    assert float(direction(frame, axle)[2]) == pytest.approx(float(slope), abs=1e-9)


@pytest.mark.parametrize(
    ("frame", "side_view", "front_view", "plan"),
    [
        ([-1.0, 0.0, 0.1], np.arctan(0.1), np.pi / 2, 0.0),
        ([1.0, 0.0, 0.1], np.arctan(0.1), np.pi / 2, 0.0),
        ([-1.0, 0.2, -0.1], -np.arctan(0.1), -np.arctan(0.5), np.arctan(0.2)),
        ([-1.0, -0.2, 0.1], np.arctan(0.1), np.arctan(0.5), -np.arctan(0.2)),
    ],
)
def test_signs_of_the_views(frame: list[float], side_view: float, front_view: float, plan: float) -> None:
    axle = [0.0, 0.0, 0.0]
    assert float(side_view_angle(frame, axle)) == pytest.approx(side_view, abs=1e-15)
    assert float(front_view_angle(frame, axle)) == pytest.approx(front_view, abs=1e-15)
    assert float(plan_angle(frame, axle)) == pytest.approx(plan, abs=1e-15)


def test_line_seen_end_on_or_without_length_has_no_angle() -> None:
    assert np.isnan(front_view_angle([-1, 0, 0], [0, 0, 0]))
    assert np.isnan(side_view_angle([0, 1, 0], [0, 0, 0]))
    assert np.isnan(plan_angle([0, 0, 1], [0, 0, 0]))
    assert np.isnan(joint_angle([0, 0, 0], [1, 0, 0]))
    assert np.all(np.isnan(direction([1, 1, 1], [1, 1, 1])))
    assert np.isnan(stop_gap([0, 0, 1], [0, 0, 0], 0.1, [0, 0, 0])[0])


@pytest.mark.parametrize("angle", [0.0, 1e-9, 0.05, 1.5])
def test_joint_angle_is_acute_whichever_way_the_lines_point(angle: float) -> None:
    line = np.array([0.3, -0.4, 2.0])
    other = turn(line, [0.4, 0.3, 0], angle)
    for sense in (1, -1):
        assert float(joint_angle(line, sense * 7 * other)) == pytest.approx(angle, abs=1e-15)


@given(st.floats(0.01, 0.3), st.floats(-0.2, 0.2))
def test_parallel_shafts_give_equal_joint_angles(drop: float, aside: float) -> None:
    at_output, at_pinion = driveshaft_angles([-1, 0, 0.4], [1, 0, -0.1], [0, aside, 0.4 - drop], [-1, 0, 0.1])
    assert float(at_output) == pytest.approx(float(at_pinion), abs=1e-14)


def test_pinion_that_turns_with_the_axle_changes_its_own_joint_only() -> None:
    pitch = np.array([-0.1, 0.0, 0.1])
    pointing = np.stack([-np.cos(pitch), np.zeros(3), np.sin(pitch)])  # nose down lifts what points rearward
    at_output, at_pinion = driveshaft_angles([-1, 0, 0.3], [1, 0, 0], [0, 0, 0.3], pointing)
    np.testing.assert_allclose(at_output, 0, atol=1e-15)
    np.testing.assert_allclose(at_pinion, [0.1, 0, 0.1], atol=1e-15)


def test_stop_gap_shrinks_by_the_rise_and_goes_below_zero_when_compressed() -> None:
    rise = np.array([0.0, 0.05, 0.1])
    target = np.stack([np.zeros(3), np.full(3, 0.012), rise])
    gap, offset = stop_gap([0, 0, 0.2], [0, 0, -3], 0.12, target)
    np.testing.assert_allclose(gap, [0.08, 0.03, -0.02], atol=1e-15)
    np.testing.assert_allclose(offset, 0.012, atol=1e-15)


@given(points, angles, angles)
def test_stop_gap_does_not_depend_on_where_one_stands(target: Array, yaw: float, roll: float) -> None:
    attitude = rotation(yaw, 0.0, roll)
    base, axis = np.array([0.1, 0.4, 0.7]), np.array([0.05, 0.0, -1.0])
    here = stop_gap(base, axis, 0.1, target)
    there = stop_gap(attitude @ base, attitude @ axis, 0.1, attitude @ target)
    np.testing.assert_allclose(there, here, atol=1e-14)
