"""Laws of the steering: links keep their length, mirror images mirror, a parallelogram follows."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.typing import ArrayLike

from buildcheck.axle.rotation import rotation, turn
from buildcheck.axle.spans import span
from buildcheck.axle.vectors import Array
from buildcheck.steering.swing import dead_point_side, kingpin_axis, swing, swing_for_steer, swung, wheel_steer

KINGPIN = np.array([0.0, -0.6, 0.0])
ARM = np.array([0.15, -0.48, 0.085])
PITMAN = np.array([0.16, 0.395, 0.13])
AXIS = kingpin_axis(np.radians(5), np.radians(8.5), "right")
LENGTH = float(span(ARM, PITMAN))
MIRROR = np.array([1.0, -1.0, 1.0])

angles = st.floats(-3.0, 3.0)
shifts = arrays(np.float64, (3, 7), elements=st.floats(-0.03, 0.03))
vectors = arrays(np.float64, (3, 5), elements=st.floats(-2.0, 2.0))


def swing_from_here(kingpin: ArrayLike, axis: ArrayLike, arm: ArrayLike, pitman: ArrayLike, length: ArrayLike) -> Array:
    """The swing of a linkage that is taken to stand on the side of its dead point on which it was built."""
    return swing(kingpin, axis, arm, pitman, length, dead_point_side(kingpin, axis, arm, pitman))


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
    angle = swing_from_here(kingpin, AXIS, arm, PITMAN, LENGTH)
    assert np.all(np.isfinite(angle))
    stretch = span(PITMAN, swung(kingpin, AXIS, arm, angle)) - LENGTH
    np.testing.assert_allclose(stretch, 0, atol=1e-12)


@given(shifts)
def test_mirrored_steering_swings_the_other_way(shift: Array) -> None:
    angle = swing_from_here(carried(KINGPIN, shift), AXIS, carried(ARM, shift), PITMAN, LENGTH)
    mirror = MIRROR[:, None]
    mirrored = swing_from_here(
        mirror * carried(KINGPIN, shift), MIRROR * AXIS, mirror * carried(ARM, shift), MIRROR * PITMAN, LENGTH
    )
    np.testing.assert_allclose(mirrored, -angle, atol=1e-14)


@given(st.floats(-0.8, 0.8))
def test_swing_is_what_the_pitman_was_moved_for(angle: float) -> None:
    """Move the pitman so that the link fits a chosen swing: the chosen swing comes back."""
    arm_end = swung(KINGPIN, AXIS, ARM, angle)
    pitman = arm_end + turn(PITMAN - ARM, [0, 0, 1], 0.05)
    assert float(swing_from_here(KINGPIN, AXIS, ARM, pitman, LENGTH)) == pytest.approx(angle, abs=1e-13)


@given(st.floats(-0.12, 0.12), st.floats(-0.05, 0.05))
def test_drag_link_parallel_and_equal_to_the_lateral_bar_steers_nothing(heave: float, rise: float) -> None:
    """Bar and drag link share one vector, so the arm end moves with the axle exactly as the link wants."""
    width = np.sqrt(0.82**2 - rise**2)
    sideways = np.sqrt(0.82**2 - (rise - heave) ** 2) - width  # towards the right, away from the frame end on the left
    shift = np.array([0.0, -sideways, heave])
    pitman = ARM + np.array([0.0, width, rise])
    assert float(swing_from_here(KINGPIN + shift, AXIS, ARM + shift, pitman, 0.82)) == pytest.approx(0, abs=1e-13)


def test_link_that_cannot_reach_is_not_a_number() -> None:
    angle = swing_from_here(KINGPIN, AXIS, ARM, PITMAN, np.array([LENGTH, 0.5, 1.5]))
    np.testing.assert_array_equal(np.isnan(angle), [False, True, True])


def test_arm_without_length_swings_nowhere() -> None:
    assert np.isnan(swing_from_here([0.0, 0, 0], [0.0, 0, 1], [0.0, 0, 0.5], [0.9, 0.1, 0.5], 0.8))


def test_dead_point_itself_has_no_side() -> None:
    up, middle, arm, pitman = [0.0, 0, 1], [0.0, 0, 0], [0.2, 0, 0], [0.9, 0.0, 0]
    assert dead_point_side(middle, up, arm, pitman) == 0
    assert np.isnan(swing_from_here(middle, up, arm, pitman, 0.75))


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
    nearest = swing_from_here(middle, up, arm, far, length)
    assert np.max(np.abs(np.diff(nearest))) > 0.1


@given(shifts)
def test_swing_is_not_a_number_only_in_the_pose_that_is_not_solved(shift: Array) -> None:
    shift[1, 3] = np.nan
    angle = swing_from_here(carried(KINGPIN, shift), AXIS, carried(ARM, shift), PITMAN, LENGTH)
    np.testing.assert_array_equal(np.isnan(angle), np.arange(7) == 3)


def test_builds_and_poses_broadcast() -> None:
    """A pitman and a length of each build (3, builds, 1) against carried points (3, poses)."""
    generator = np.random.default_rng(0)
    shift = generator.uniform(-0.02, 0.02, (3, 7))
    pitman = PITMAN[:, None, None] + generator.uniform(-0.005, 0.005, (3, 4, 1))
    length = span(ARM, pitman)
    together = swing_from_here(carried(KINGPIN, shift), AXIS, carried(ARM, shift), pitman, length)
    assert together.shape == (4, 7)
    alone = swing_from_here(KINGPIN + shift[:, 5], AXIS, ARM + shift[:, 5], pitman[:, 2, 0], length[2, 0])
    assert together[2, 5] == pytest.approx(float(alone), abs=1e-15)


LEFT_AXIS = MIRROR * AXIS


def seen_from_above(
    angle: float,
    axis: Array,
    yaw: float = 0.0,
    pitch: float = 0.0,
    roll: float = 0.0,
    spin: tuple[float, ...] = (0, 1, 0),
) -> float:
    """The steer of a wheel on an axle in some attitude."""
    attitude = rotation(yaw, pitch, roll)
    return float(wheel_steer(attitude @ np.array(spin), attitude @ np.asarray(axis), angle))


@given(st.floats(-0.7, 0.7), st.floats(-0.2, 0.2))
def test_upright_kingpin_steers_by_its_swing_and_the_axle_yaw(angle: float, yaw: float) -> None:
    assert seen_from_above(angle, np.array([0, 0, 1]), yaw) == pytest.approx(angle + yaw, abs=1e-14)


@given(st.floats(-0.7, 0.7), st.floats(-0.2, 0.2))
def test_pitch_and_camber_alone_do_not_steer(pitch: float, camber: float) -> None:
    spin = (0.0, np.cos(camber), np.sin(camber))
    assert seen_from_above(0.0, AXIS, pitch=pitch) == pytest.approx(0, abs=1e-15)
    assert seen_from_above(0.0, AXIS, spin=spin) == pytest.approx(0, abs=1e-15)


@given(st.floats(-0.6, 0.6), st.floats(-0.1, 0.1), st.floats(-0.1, 0.1), st.floats(-0.1, 0.1))
def test_steer_of_the_mirror_image_is_opposite(angle: float, yaw: float, pitch: float, roll: float) -> None:
    steer = seen_from_above(angle, AXIS, yaw, pitch, roll)
    mirrored = seen_from_above(-angle, LEFT_AXIS, -yaw, pitch, -roll)
    assert mirrored == pytest.approx(-steer, abs=1e-14)


def test_wheel_stands_where_a_ruler_on_the_floor_would_show_it() -> None:
    """The line in which the wheel's plane cuts the floor, from two directions in that plane."""
    angle, yaw, pitch, roll = 0.5, 0.03, 0.04, -0.05
    forward, upward = (rotation(yaw, pitch, roll) @ turn(part, AXIS, angle) for part in ([1, 0, 0], [0, 0, 1]))
    level = forward - upward * forward[2] / upward[2]
    assert seen_from_above(angle, AXIS, yaw, pitch, roll) == pytest.approx(np.arctan2(level[1], level[0]), abs=1e-15)


@given(st.floats(-0.8, 0.8), st.floats(-0.2, 0.2), st.floats(-0.2, 0.2), st.floats(-0.05, 0.05), st.floats(-0.05, 0.05))
def test_swing_for_steer_undoes_the_wheel_s_steer(
    angle: float, caster: float, lean: float, toe: float, camber: float
) -> None:
    axis, spin = kingpin_axis(caster, lean, "left"), np.array([toe, 1.0, camber])
    wheel = wheel_steer(spin, axis, angle)
    assert float(swing_for_steer(wheel, axis, spin)) == pytest.approx(angle, abs=1e-12)


def test_kingpin_that_leans_too_far_lets_no_wheel_come_to_the_angle() -> None:
    lying = np.array([0.0, 1.0, 0.05])
    assert float(swing_for_steer(0.0, lying)) == pytest.approx(0, abs=1e-12)
    assert np.isnan(swing_for_steer(1.0, lying))
