"""Laws of the steering: links keep their length, mirror images mirror, a parallelogram follows."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from buildcheck.motion.rotation import rotation, turn
from buildcheck.motion.spans import span
from buildcheck.motion.steering import (
    dead_point_margin,
    dead_point_side,
    kingpin_axis,
    road_wheel_steer,
    swing,
    swung,
    tie_rod_swing,
)
from buildcheck.motion.vectors import Array

KINGPIN = np.array([0.0, -0.6, 0.0])
ARM = np.array([0.15, -0.48, 0.085])
PITMAN = np.array([0.16, 0.395, 0.13])
AXIS = kingpin_axis(np.radians(5), np.radians(8.5), "right")
LENGTH = float(span(ARM, PITMAN))
MIRROR = np.array([1.0, -1.0, 1.0])

angles = st.floats(-3.0, 3.0)
shifts = arrays(np.float64, (3, 7), elements=st.floats(-0.03, 0.03))
vectors = arrays(np.float64, (3, 5), elements=st.floats(-2.0, 2.0))


def carried(point: Array, shift: Array) -> Array:
    moved: Array = point[:, None] + shift
    return moved


@given(vectors, angles, angles, angles)
def test_turning_keeps_lengths_and_matches_the_axle_attitude(
    vector: Array, yaw: float, pitch: float, roll: float
) -> None:
    by_turns = turn(vector, [1, 0, 0], roll)
    by_turns = turn(turn(by_turns, [0, 1, 0], pitch), [0, 0, 3], yaw)
    np.testing.assert_allclose(by_turns, np.einsum("ij,jk->ik", rotation(yaw, pitch, roll), vector), atol=1e-14)
    np.testing.assert_allclose(span(by_turns, [0, 0, 0]), span(vector, [0, 0, 0]), atol=1e-14)


def test_turning_one_vector_by_many_angles_gives_a_pose_each() -> None:
    turned = turn([1, 0, 0], [0, 0, 1], [0.0, np.pi / 2, np.pi])
    np.testing.assert_allclose(turned, [[1, 0, -1], [0, 1, 0], [0, 0, 0]], atol=1e-15)


def test_turning_about_no_axis_is_not_a_number() -> None:
    assert np.all(np.isnan(turn([1, 0, 0], [0, 0, 0], 0.1)))


def test_kingpin_leans_rearward_and_inboard_on_both_sides() -> None:
    left, right = (kingpin_axis(0.1, 0.2, side) for side in ("left", "right"))
    assert left[0] == right[0] < 0
    assert left[1] == -right[1] < 0
    assert np.arctan2(-right[0], right[2]) == pytest.approx(0.1, abs=1e-15)
    assert np.arctan2(right[1], right[2]) == pytest.approx(0.2, abs=1e-15)


@pytest.mark.parametrize(("caster", "inclination"), [(np.pi / 2, 0.1), (0.1, -2.0)])
def test_kingpin_lying_down_is_refused(caster: float, inclination: float) -> None:
    with pytest.raises(ValueError, match="right angle"):
        kingpin_axis(caster, inclination, "left")


def test_kingpin_of_no_known_side_is_refused() -> None:
    with pytest.raises(ValueError, match="left"):
        kingpin_axis(0.1, 0.1, "middle")  # type: ignore[arg-type]


@given(shifts)
def test_drag_link_keeps_its_length(shift: Array) -> None:
    kingpin, arm = carried(KINGPIN, shift), carried(ARM, shift)
    angle = swing(kingpin, AXIS, arm, PITMAN, LENGTH)
    assert np.all(np.isfinite(angle))
    stretch = span(PITMAN, swung(kingpin, AXIS, arm, angle)) - LENGTH
    np.testing.assert_allclose(stretch, 0, atol=1e-12)


@given(shifts)
def test_mirrored_steering_swings_the_other_way(shift: Array) -> None:
    angle = swing(carried(KINGPIN, shift), AXIS, carried(ARM, shift), PITMAN, LENGTH)
    mirror = MIRROR[:, None]
    mirrored = swing(
        mirror * carried(KINGPIN, shift), MIRROR * AXIS, mirror * carried(ARM, shift), MIRROR * PITMAN, LENGTH
    )
    np.testing.assert_allclose(mirrored, -angle, atol=1e-14)


@given(st.floats(-0.8, 0.8))
def test_swing_is_what_the_pitman_was_moved_for(angle: float) -> None:
    """Move the pitman so that the link fits a chosen swing: the chosen swing comes back."""
    arm_end = swung(KINGPIN, AXIS, ARM, angle)
    pitman = arm_end + turn(PITMAN - ARM, [0, 0, 1], 0.05)
    assert float(swing(KINGPIN, AXIS, ARM, pitman, LENGTH)) == pytest.approx(angle, abs=1e-13)


@given(st.floats(-0.12, 0.12), st.floats(-0.05, 0.05))
def test_drag_link_parallel_and_equal_to_the_lateral_bar_steers_nothing(heave: float, rise: float) -> None:
    """Bar and drag link share one vector, so the arm end moves with the axle exactly as the link wants."""
    width = np.sqrt(0.82**2 - rise**2)
    sideways = np.sqrt(0.82**2 - (rise - heave) ** 2) - width  # towards the right, away from the frame end on the left
    shift = np.array([0.0, -sideways, heave])
    pitman = ARM + np.array([0.0, width, rise])
    assert float(swing(KINGPIN + shift, AXIS, ARM + shift, pitman, 0.82)) == pytest.approx(0, abs=1e-13)


def test_link_that_cannot_reach_is_not_a_number_and_has_no_margin_left() -> None:
    length = np.array([LENGTH, 0.5, 1.5])
    angle = swing(KINGPIN, AXIS, ARM, PITMAN, length)
    np.testing.assert_array_equal(np.isnan(angle), [False, True, True])
    np.testing.assert_array_equal(dead_point_margin(KINGPIN, AXIS, ARM, PITMAN, length) > 0, [True, False, False])


def test_margin_is_one_with_the_link_square_to_the_arm_and_zero_in_line() -> None:
    up, middle, arm = [0.0, 0, 1], [0.0, 0, 0], [0.2, 0, 0]
    assert dead_point_margin(middle, up, arm, [0.2, 0.8, 0], np.hypot(0.8, 0.0)) < 1
    assert dead_point_margin(middle, up, arm, [0.0, 0.8, 0], np.hypot(0.8, 0.2)) == pytest.approx(1, abs=1e-15)
    assert dead_point_margin(middle, up, arm, [0.9, 0.0, 0], 0.7) == pytest.approx(0, abs=1e-15)


def test_margin_of_an_arm_without_length_is_not_a_number() -> None:
    on_axis = ([0.0, 0, 0], [0.0, 0, 1], [0.0, 0, 0.5], [0.9, 0.1, 0.5], 0.8)
    assert np.isnan(dead_point_margin(*on_axis))
    assert np.isnan(swing(*on_axis))


def test_dead_point_itself_has_no_side() -> None:
    up, middle, arm, pitman = [0.0, 0, 1], [0.0, 0, 0], [0.2, 0, 0], [0.9, 0.0, 0]
    assert dead_point_side(middle, up, arm, pitman) == 0
    assert np.isnan(swing(middle, up, arm, pitman, 0.75))


def test_side_at_ride_height_holds_where_the_nearest_root_is_the_wrong_one() -> None:
    """Near the dead point the far end passes the line of the unswung arm: the built side still tells."""
    up, middle, arm = [0.0, 0, 1], [0.0, 0, 0], [0.2, 0, 0]
    built = [0.9, 0.1, 0]
    length = span(arm, built)
    side = dead_point_side(middle, up, arm, built)
    sweep = np.linspace(0.1, -0.05, 400)
    far = np.stack([np.full_like(sweep, 0.9), sweep, np.zeros_like(sweep)])
    angle = swing(middle, up, arm, far, length, side)
    assert np.max(np.abs(np.diff(angle))) < 2e-3
    np.testing.assert_allclose(span(far, turn(arm, up, angle)), length, atol=1e-13)
    nearest = swing(middle, up, arm, far, length)
    assert np.max(np.abs(np.diff(nearest))) > 0.1


@given(shifts)
def test_swing_is_not_a_number_only_in_the_pose_that_is_not_solved(shift: Array) -> None:
    shift[1, 3] = np.nan
    angle = swing(carried(KINGPIN, shift), AXIS, carried(ARM, shift), PITMAN, LENGTH)
    np.testing.assert_array_equal(np.isnan(angle), np.arange(7) == 3)


def test_builds_and_poses_broadcast() -> None:
    """A pitman and a length of each build (3, builds, 1) against carried points (3, poses)."""
    generator = np.random.default_rng(0)
    shift = generator.uniform(-0.02, 0.02, (3, 7))
    pitman = PITMAN[:, None, None] + generator.uniform(-0.005, 0.005, (3, 4, 1))
    length = span(ARM, pitman)
    together = swing(carried(KINGPIN, shift), AXIS, carried(ARM, shift), pitman, length)
    assert together.shape == (4, 7)
    alone = swing(KINGPIN + shift[:, 5], AXIS, ARM + shift[:, 5], pitman[:, 2, 0], length[2, 0])
    assert together[2, 5] == pytest.approx(float(alone), abs=1e-15)


LEFT_KINGPIN = MIRROR * KINGPIN
LEFT_AXIS = MIRROR * AXIS
ROD_ARM = np.array([-0.15, -0.56, 0.02])  # behind the kingpin and inboard: wheels toe out in a turn


@given(st.floats(-0.6, 0.6))
def test_tie_rod_keeps_its_length_and_mirrors(angle: float) -> None:
    left_arm = MIRROR * ROD_ARM
    length = span(ROD_ARM, left_arm)
    left = tie_rod_swing(KINGPIN, AXIS, ROD_ARM, angle, LEFT_KINGPIN, LEFT_AXIS, left_arm, length)
    stretch = span(swung(KINGPIN, AXIS, ROD_ARM, angle), swung(LEFT_KINGPIN, LEFT_AXIS, left_arm, left)) - length
    assert float(stretch) == pytest.approx(0, abs=1e-12)
    back = tie_rod_swing(LEFT_KINGPIN, LEFT_AXIS, left_arm, left, KINGPIN, AXIS, ROD_ARM, length)
    assert float(back) == pytest.approx(angle, abs=1e-12)
    mirrored = tie_rod_swing(LEFT_KINGPIN, LEFT_AXIS, left_arm, -angle, KINGPIN, AXIS, ROD_ARM, length)
    assert float(mirrored) == pytest.approx(-float(left), abs=1e-13)


@given(st.floats(-0.6, 0.6))
def test_parallel_arms_turn_both_wheels_alike(angle: float) -> None:
    apart = np.array([0.0, 1.2, 0.0])
    left = tie_rod_swing(KINGPIN, AXIS, ARM, angle, KINGPIN + apart, AXIS, ARM + apart, 1.2)
    assert float(left) == pytest.approx(angle, abs=1e-13)


def test_arms_that_point_inboard_turn_the_inner_wheel_further() -> None:
    left_arm = MIRROR * ROD_ARM
    left = tie_rod_swing(
        KINGPIN, AXIS, ROD_ARM, [0.4, -0.4], LEFT_KINGPIN, LEFT_AXIS, left_arm, span(ROD_ARM, left_arm)
    )
    assert left[0] > 0.4
    assert -0.4 < left[1] < 0


def test_tie_rod_takes_points_at_ride_height_or_carried() -> None:
    left_arm = MIRROR * ROD_ARM
    length = span(ROD_ARM, left_arm)
    here = tie_rod_swing(KINGPIN, AXIS, ROD_ARM, 0.3, LEFT_KINGPIN, LEFT_AXIS, left_arm, length)
    attitude = rotation(0.02, -0.03, 0.1)
    near = [attitude @ part for part in (KINGPIN, AXIS, ROD_ARM)]
    kingpin, axis, arm = (attitude @ part for part in (LEFT_KINGPIN, LEFT_AXIS, left_arm))
    there = tie_rod_swing(near[0], near[1], near[2], 0.3, kingpin, axis, arm, length)
    assert float(there) == pytest.approx(float(here), abs=1e-13)


@given(st.floats(-0.7, 0.7), st.floats(-0.2, 0.2))
def test_upright_kingpin_steers_by_its_swing_and_the_axle_yaw(angle: float, yaw: float) -> None:
    assert float(road_wheel_steer(angle, [0, 0, 1], yaw)) == pytest.approx(angle + yaw, abs=1e-14)


@given(st.floats(-0.7, 0.7), st.floats(-0.2, 0.2))
def test_pitch_and_camber_alone_do_not_steer(pitch: float, camber: float) -> None:
    spin = [0.0, np.cos(camber), np.sin(camber)]
    assert float(road_wheel_steer(0.0, AXIS, pitch=pitch)) == pytest.approx(0, abs=1e-15)
    assert float(road_wheel_steer(0.0, AXIS, spin=spin)) == pytest.approx(0, abs=1e-15)


@given(st.floats(-0.6, 0.6), st.floats(-0.1, 0.1), st.floats(-0.1, 0.1), st.floats(-0.1, 0.1))
def test_steer_of_the_mirror_image_is_opposite(angle: float, yaw: float, pitch: float, roll: float) -> None:
    steer = road_wheel_steer(angle, AXIS, yaw, pitch, roll)
    mirrored = road_wheel_steer(-angle, LEFT_AXIS, -yaw, pitch, -roll)
    assert float(mirrored) == pytest.approx(-float(steer), abs=1e-14)


def test_wheel_stands_where_a_ruler_on_the_floor_would_show_it() -> None:
    """The line in which the wheel's plane cuts the floor, from two directions in that plane."""
    angle, yaw, pitch, roll = 0.5, 0.03, 0.04, -0.05
    forward, upward = (rotation(yaw, pitch, roll) @ turn(part, AXIS, angle) for part in ([1, 0, 0], [0, 0, 1]))
    level = forward - upward * forward[2] / upward[2]
    assert float(road_wheel_steer(angle, AXIS, yaw, pitch, roll)) == pytest.approx(
        np.arctan2(level[1], level[0]), abs=1e-15
    )
