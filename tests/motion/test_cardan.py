"""Laws of universal joints: one, two in a row, and the shaft between them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildcheck.motion.cardan import (
    acceleration,
    angle_for_acceleration,
    angle_of_fluctuation,
    critical_speed,
    driveshaft_ripple,
    equivalent_angle,
    evened,
    fluctuation,
    largest_acceleration,
    largest_lead,
    lead,
    pair_ratio,
    plane_phase,
    speed_extremes,
    speed_ratio,
    turned_at_largest_acceleration,
)
from buildcheck.motion.rotation import rotation, turn
from buildcheck.motion.vectors import Array

joint_angles = st.floats(0.0, 0.6)
turns = st.floats(-7.0, 7.0)
TURN = np.linspace(0.0, np.pi, 20001)


def driven_pin(first: Array, second: Array, pin: Array) -> Array:
    """The driven yoke's pins from the driving one's: square to them and to the driven shaft."""
    across = np.cross(second, pin)
    return np.asarray(across / np.linalg.norm(across))


@given(joint_angles, turns)
def test_lead_is_where_the_cross_of_the_joint_puts_the_driven_yoke(angle: float, turned: float) -> None:
    first, second = np.array([1.0, 0.0, 0.0]), np.array([np.cos(angle), np.sin(angle), 0.0])
    pin = turn([0.0, 1.0, 0.0], first, turned)
    square = np.array([0.0, 0.0, 1.0])
    driven = turn(square, second, turned + float(lead(angle, turned)))
    np.testing.assert_allclose(driven @ pin, 0.0, atol=1e-14)
    np.testing.assert_allclose(driven @ second, 0.0, atol=1e-14)


@given(joint_angles, turns)
def test_ratio_and_acceleration_are_slopes_of_the_lead(angle: float, turned: float) -> None:
    step = 1e-4
    before, here, after = lead(angle, np.array([turned - step, turned, turned + step]))
    assert 1 + (after - before) / (2 * step) == pytest.approx(float(speed_ratio(angle, turned)), abs=1e-7)
    assert (after - 2 * here + before) / step**2 == pytest.approx(float(acceleration(angle, turned)), abs=1e-5)


@given(st.floats(1e-4, 0.7))
def test_extremes_are_those_of_a_whole_turn(angle: float) -> None:
    ratio = speed_ratio(angle, TURN)
    least, greatest = speed_extremes(angle)
    assert ratio.min() == pytest.approx(float(least), abs=1e-7)
    assert ratio.max() == pytest.approx(float(greatest), abs=1e-7)
    assert float(fluctuation(angle)) == pytest.approx(float(greatest - least), abs=1e-15)
    assert np.abs(acceleration(angle, TURN)).max() == pytest.approx(float(largest_acceleration(angle)), rel=1e-6)
    assert np.abs(lead(angle, TURN)).max() == pytest.approx(float(largest_lead(angle)), rel=1e-6)
    assert float(turned_at_largest_acceleration(angle)) <= np.pi / 4


@given(st.floats(0.0, 1.5))
def test_fluctuation_and_its_angle_undo_each_other(angle: float) -> None:
    assert float(angle_of_fluctuation(fluctuation(angle))) == pytest.approx(angle, abs=1e-12)


def test_straight_joint_turns_evenly() -> None:
    assert float(speed_ratio(0.0, 1.0)) == 1
    assert float(fluctuation(0.0)) == 0
    assert float(angle_of_fluctuation(0.0)) == 0
    assert float(largest_acceleration(0.0)) == 0
    assert float(largest_lead(0.0)) == 0
    assert float(equivalent_angle(0.0, 0.0, 0.3, 0.1)) == 0


@pytest.mark.parametrize("angle", [-0.1, np.pi / 2, 2.0, np.nan])
def test_angle_that_no_joint_can_have_is_not_a_number(angle: float) -> None:
    assert np.isnan(speed_ratio(angle, 0.3))
    assert np.isnan(fluctuation(angle))
    assert np.isnan(lead(angle, 0.3))
    assert np.isnan(largest_lead(angle))
    assert np.isnan(acceleration(angle, 0.3))
    assert np.isnan(equivalent_angle(0.1, angle))
    assert np.isnan(evened(angle, 9.0))


def test_limits_that_make_no_sense_are_not_a_number() -> None:
    assert np.isnan(angle_of_fluctuation(-0.1))
    assert np.all(np.isnan(angle_for_acceleration([400.0, -400.0, np.nan], [0.0, 100.0, 100.0])))
    assert np.all(np.isnan(critical_speed([0.07, 0.08, 0.08], [0.08, 0.07, -0.01], [1.2, 0.0, 1.2])))


shaft_directions = st.tuples(st.floats(-0.4, 0.4), st.floats(-0.4, 0.4)).map(lambda way: np.array([1.0, *way]))


@given(shaft_directions, shaft_directions, shaft_directions, turns, st.floats(-3.0, 3.0))
def test_pair_turns_as_its_two_crosses_make_it(
    first: Array, middle: Array, last: Array, turned: float, yokes: float
) -> None:
    """The chain of pins in space, turned a little further, against the closed form."""
    first, middle, last = (way / np.linalg.norm(way) for way in (first, middle, last))
    normal = np.cross(first, middle)
    if np.linalg.norm(normal) < 1e-3 or np.linalg.norm(np.cross(middle, last)) < 1e-3:
        return
    in_plane = np.cross(normal / np.linalg.norm(normal), first)

    def last_pin(angle: float) -> Array:
        pin = driven_pin(first, middle, turn(in_plane, first, angle))
        return driven_pin(middle, last, turn(pin, middle, yokes))

    step = 1e-5
    back, ahead = last_pin(turned - step), last_pin(turned + step)
    moved = np.arctan2(np.cross(back, ahead) @ last, back @ ahead)
    angles = [np.arccos(np.clip(one @ other, -1, 1)) for one, other in ((first, middle), (middle, last))]
    ratio = pair_ratio(*angles, turned, plane_phase(first, middle, last), yokes)
    assert moved / (2 * step) == pytest.approx(float(ratio), abs=1e-7)


@given(joint_angles, joint_angles, st.floats(-4.0, 4.0), st.floats(-4.0, 4.0))
def test_pair_is_one_joint_of_the_equivalent_angle(first: float, second: float, plane: float, yokes: float) -> None:
    ratio = pair_ratio(first, second, TURN, plane, yokes)
    equivalent = equivalent_angle(first, second, plane, yokes)
    assert np.ptp(ratio) == pytest.approx(float(fluctuation(equivalent)), abs=1e-6)
    assert ratio.max() * ratio.min() == pytest.approx(1, abs=1e-6)
    assert np.mean(ratio[:-1]) == pytest.approx(1, abs=1e-12)
    rate = np.gradient(ratio, TURN)[1:-1]
    assert np.abs(rate).max() == pytest.approx(float(largest_acceleration(equivalent)), abs=1e-6)


@given(st.floats(0.001, 0.6), turns)
def test_equal_angles_in_one_plane_and_in_phase_turn_evenly(angle: float, turned: float) -> None:
    for plane in (0.0, np.pi):
        assert float(pair_ratio(angle, angle, turned, plane)) == pytest.approx(1, abs=1e-12)
        assert float(equivalent_angle(angle, angle, plane)) == pytest.approx(0, abs=1e-7)


@given(st.floats(0.0, 0.02), st.floats(0.0, 0.02))
def test_small_angles_give_the_handbook_s_equivalent(first: float, second: float) -> None:
    in_phase, crosswise = equivalent_angle(first, second), equivalent_angle(first, second, yokes=np.pi / 2)
    assert float(in_phase) ** 2 == pytest.approx(abs(first**2 - second**2), abs=2e-7)
    assert float(crosswise) ** 2 == pytest.approx(first**2 + second**2, abs=2e-7)


@given(joint_angles, joint_angles, st.floats(-3.0, 3.0))
def test_driven_from_the_other_end_the_pair_is_as_uneven(first: float, second: float, plane: float) -> None:
    there, back = equivalent_angle(first, second, plane), equivalent_angle(second, first, -plane)
    assert float(there) == pytest.approx(float(back), abs=1e-12)


@given(shaft_directions, shaft_directions, st.floats(-3.0, 3.0), st.floats(-3.0, 3.0), st.floats(0.1, 10.0))
def test_ripple_does_not_depend_on_where_one_stands_nor_on_size(
    output: Array, pinion: Array, yaw: float, roll: float, scale: float
) -> None:
    start, end = np.array([-1.0, 0.1, 0.5]), np.array([0.0, 0.0, 0.4])
    here = driveshaft_ripple(start, output, end, pinion, 0.3)
    attitude = rotation(yaw, 0.4, roll)
    there = driveshaft_ripple(
        scale * attitude @ start, -attitude @ output, scale * attitude @ end, 3 * attitude @ pinion, 0.3
    )
    assert float(there) == pytest.approx(float(here), abs=1e-12)
    mirror = np.array([1.0, -1.0, 1.0])
    mirrored = driveshaft_ripple(mirror * start, mirror * output, mirror * end, mirror * pinion, -0.3)
    assert float(mirrored) == pytest.approx(float(here), abs=1e-13)


def test_ripple_of_parallel_shafts_comes_back_as_the_pinion_turns_with_the_axle() -> None:
    pitch = np.array([-0.1, 0.0, 0.1, np.nan])
    pinion = np.stack([np.cos(pitch), np.zeros(4), np.sin(pitch)])
    ripple = driveshaft_ripple([-1, 0, 0.6], [1, 0, 0], [0, 0, 0.4], pinion)
    assert ripple[1] == pytest.approx(0, abs=1e-14)
    assert np.all(ripple[[0, 2]] > 0.01)
    assert np.isnan(ripple[3])


def test_pinion_that_points_at_a_centred_double_joint_turns_evenly_up_to_its_largest_angle() -> None:
    even = evened(np.array([0.0, 0.3, 0.5, 0.51]), 0.5)
    np.testing.assert_array_equal(even, [0, 0, 0, np.nan])
    np.testing.assert_allclose(equivalent_angle(even, 0.02), [0.02, 0.02, 0.02, np.nan], rtol=1e-9)


@given(st.floats(0.02, 0.2), st.floats(0.1, 0.95), st.floats(0.3, 3.0), st.floats(0.2, 5.0))
def test_critical_speed_falls_with_the_size_of_it_all(
    outside: float, share: float, length: float, scale: float
) -> None:
    speed = critical_speed(outside, share * outside, length)
    scaled = critical_speed(scale * outside, scale * share * outside, scale * length)
    assert float(scaled) == pytest.approx(float(speed) / scale, rel=1e-12)
    assert float(critical_speed(outside, share * outside, 2 * length)) == pytest.approx(float(speed) / 4, rel=1e-12)
