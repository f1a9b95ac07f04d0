"""Laws of universal joints: one, and two in a row."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildcheck.axle.cardan import driveshaft_ripple, fluctuation, pair_fluctuation, plane_phase
from buildcheck.axle.rotation import rotation, turn
from buildcheck.axle.vectors import Array

joint_angles = st.floats(0.0, 0.6)
turns = st.floats(-7.0, 7.0)
TURN = np.linspace(0.0, np.pi, 20001)


def speed_ratio(angle: float, turned: Array) -> Array:
    """Speed of the driven shaft over that of the driving one, from the derivative of tan u = tan t / cos b."""
    return np.asarray(np.cos(angle) / (1 - (np.sin(angle) * np.cos(turned)) ** 2))


def driven(angle: float, turned: Array) -> Array:
    """How far the driven shaft has turned, on the branch of the driving one."""
    cosine, sine = np.cos(turned), np.sin(turned)
    ahead = np.arctan2((1 - np.cos(angle)) * sine * cosine, np.cos(angle) * cosine**2 + sine**2)
    return np.asarray(turned + ahead)


def pair_ratio(first: float, second: float, turned: Array, plane: float) -> Array:
    """Speed of the last of three shafts over that of the first, the joints one after the other.

    The pins of the middle shaft's first yoke stand square to the first plane when u = 0, so those of the second are
    u + 90 degrees - plane away from the second plane.
    """
    middle = driven(first, turned)
    return np.asarray(speed_ratio(first, turned) * speed_ratio(second, middle + np.pi / 2 - plane))


def driven_pin(first: Array, second: Array, pin: Array) -> Array:
    """The driven yoke's pins from the driving one's: square to them and to the driven shaft."""
    across = np.cross(second, pin)
    return np.asarray(across / np.linalg.norm(across))


@given(st.floats(1e-4, 0.7))
def test_fluctuation_is_that_of_a_whole_turn(angle: float) -> None:
    ratio = speed_ratio(angle, TURN)
    assert float(fluctuation(angle)) == pytest.approx(float(np.ptp(ratio)), abs=1e-7)
    assert ratio.min() * ratio.max() == pytest.approx(1, abs=1e-7)


def test_straight_joint_turns_evenly() -> None:
    assert float(fluctuation(0.0)) == 0
    assert float(pair_fluctuation(0.0, 0.0, 0.3)) == 0


@given(joint_angles, st.floats(-3.0, 3.0))
def test_straight_joint_leaves_the_other_alone(angle: float, plane: float) -> None:
    for pair in (pair_fluctuation(angle, 0.0, plane), pair_fluctuation(0.0, angle, plane)):
        assert float(pair) == pytest.approx(float(fluctuation(angle)), rel=1e-12, abs=1e-15)


@pytest.mark.parametrize("angle", [-0.1, np.pi / 2, 2.0, np.nan])
def test_angle_that_no_joint_can_have_is_not_a_number(angle: float) -> None:
    assert np.isnan(fluctuation(angle))
    assert np.isnan(pair_fluctuation(0.1, angle))
    assert np.isnan(pair_fluctuation(angle, 0.1))


shaft_directions = st.tuples(st.floats(-0.4, 0.4), st.floats(-0.4, 0.4)).map(lambda way: np.array([1.0, *way]))


@given(shaft_directions, shaft_directions, shaft_directions, turns)
def test_pair_turns_as_its_two_crosses_make_it(first: Array, middle: Array, last: Array, turned: float) -> None:
    """The chain of pins in space, turned a little further, against the ratio that the laws below are held to."""
    first, middle, last = (way / np.linalg.norm(way) for way in (first, middle, last))
    normal = np.cross(first, middle)
    if np.linalg.norm(normal) < 1e-3 or np.linalg.norm(np.cross(middle, last)) < 1e-3:
        return
    in_plane = np.cross(normal / np.linalg.norm(normal), first)

    def last_pin(angle: float) -> Array:
        return driven_pin(middle, last, driven_pin(first, middle, turn(in_plane, first, angle)))

    step = 1e-5
    back, ahead = last_pin(turned - step), last_pin(turned + step)
    moved = np.arctan2(np.cross(back, ahead) @ last, back @ ahead)
    at_first, at_second = (
        float(np.arccos(np.clip(one @ other, -1, 1))) for one, other in ((first, middle), (middle, last))
    )
    ratio = pair_ratio(at_first, at_second, np.array(turned), float(plane_phase(first, middle, last)))
    assert moved / (2 * step) == pytest.approx(float(ratio), abs=1e-7)


@given(joint_angles, joint_angles, st.floats(-4.0, 4.0))
def test_pair_s_fluctuation_is_that_of_a_whole_turn(first: float, second: float, plane: float) -> None:
    ratio = pair_ratio(first, second, TURN, plane)
    assert float(pair_fluctuation(first, second, plane)) == pytest.approx(float(np.ptp(ratio)), abs=1e-6)
    assert ratio.max() * ratio.min() == pytest.approx(1, abs=1e-6)
    assert np.mean(ratio[:-1]) == pytest.approx(1, abs=1e-12)


@given(st.floats(0.001, 0.6), turns)
def test_equal_angles_in_one_plane_turn_evenly(angle: float, turned: float) -> None:
    for plane in (0.0, np.pi):
        assert float(pair_ratio(angle, angle, np.array(turned), plane)) == pytest.approx(1, abs=1e-12)
        assert float(pair_fluctuation(angle, angle, plane)) == pytest.approx(0, abs=1e-14)


@given(st.floats(0.0, 0.02), st.floats(0.0, 0.02))
def test_small_angles_give_the_handbook_s_equivalent(first: float, second: float) -> None:
    """While it is small, the fluctuation of one joint is the square of its angle."""
    assert float(pair_fluctuation(first, second)) == pytest.approx(abs(first**2 - second**2), abs=2e-7)
    assert float(pair_fluctuation(first, second, np.pi / 2)) == pytest.approx(first**2 + second**2, abs=2e-7)


@given(joint_angles, joint_angles, st.floats(-3.0, 3.0))
def test_driven_from_the_other_end_the_pair_is_as_uneven(first: float, second: float, plane: float) -> None:
    there, back = pair_fluctuation(first, second, plane), pair_fluctuation(second, first, -plane)
    assert float(there) == pytest.approx(float(back), abs=1e-12)


@given(shaft_directions, shaft_directions, st.floats(-3.0, 3.0), st.floats(-3.0, 3.0), st.floats(0.1, 10.0))
def test_ripple_does_not_depend_on_where_one_stands_nor_on_size(
    output: Array, pinion: Array, yaw: float, roll: float, scale: float
) -> None:
    start, end = np.array([-1.0, 0.1, 0.5]), np.array([0.0, 0.0, 0.4])
    here = driveshaft_ripple(start, output, end, pinion)
    attitude = rotation(yaw, 0.4, roll)
    there = driveshaft_ripple(
        scale * attitude @ start, -attitude @ output, scale * attitude @ end, 3 * attitude @ pinion
    )
    assert float(there) == pytest.approx(float(here), abs=1e-12)
    mirror = np.array([1.0, -1.0, 1.0])
    mirrored = driveshaft_ripple(mirror * start, mirror * output, mirror * end, mirror * pinion)
    assert float(mirrored) == pytest.approx(float(here), abs=1e-13)


def test_ripple_of_parallel_shafts_comes_back_as_the_pinion_turns_with_the_axle() -> None:
    pitch = np.array([-0.1, 0.0, 0.1, np.nan])
    pinion = np.stack([np.cos(pitch), np.zeros(4), np.sin(pitch)])
    ripple = driveshaft_ripple([-1, 0, 0.6], [1, 0, 0], [0, 0, 0.4], pinion)
    assert ripple[1] == pytest.approx(0, abs=1e-14)
    assert np.all(ripple[[0, 2]] > 0.01)
    assert np.isnan(ripple[3])
