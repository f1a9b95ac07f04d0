"""Laws of joint angles: what turns with the part is no turn, what turns about the bolt is free."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from buildcheck.axle.joints import (
    against_part,
    angle_between,
    bolt_tilt,
    clocking,
    cone_angle,
    kindest_spin,
    line_turn,
    misalignment,
    triangle_attitude,
    whole_turn,
    within_quarter,
)
from buildcheck.axle.poses import Layout, solve
from buildcheck.axle.rotation import attitude, carry, carry_direction, rotation, turn
from buildcheck.axle.vectors import Array

directions = arrays(np.float64, 3, elements=st.floats(-1.0, 1.0)).filter(lambda way: np.linalg.norm(way) > 0.1)
angles = st.floats(-1.2, 1.2)
small = st.floats(-0.5, 0.5)
attitudes = st.tuples(st.floats(-3.0, 3.0), st.floats(-1.2, 1.2), st.floats(-3.0, 3.0)).map(lambda a: rotation(*a))
MIRROR = np.array([1.0, -1.0, 1.0])


@given(directions, attitudes)
def test_link_that_moves_with_the_part_has_not_turned(line: Array, moved: Array) -> None:
    assert float(line_turn(line, moved @ line, moved)) == pytest.approx(0, abs=1e-14)
    np.testing.assert_allclose(against_part(moved @ line, moved), line, atol=1e-15)


@given(directions, directions, st.floats(0.0, 3.1), attitudes)
def test_line_turn_is_the_angle_it_was_turned_by(line: Array, other: Array, angle: float, moved: Array) -> None:
    axis = np.cross(line, other)
    assume(np.linalg.norm(axis) > 1e-2)
    turned = turn(line, axis, angle)
    assert float(line_turn(line, moved @ turned, moved)) == pytest.approx(angle, abs=1e-13)
    assert float(line_turn(5 * line, turned)) == pytest.approx(angle, abs=1e-13)


@given(angles, st.floats(-1.4, 1.4), directions, attitudes)
def test_turn_about_the_bolt_is_free_and_turn_out_of_its_plane_is_tilt(
    about: float, tilt: float, bolt: Array, moved: Array
) -> None:
    across = np.cross(bolt, [0.3, 0.5, 0.8] if abs(bolt[0]) > 0.1 else [1.0, 0.0, 0.0])
    assume(np.linalg.norm(across) > 1e-2)
    leaning = turn(across, np.cross(across, bolt), tilt)
    assert float(bolt_tilt(moved @ turn(leaning, bolt, about), bolt, moved)) == pytest.approx(tilt, abs=1e-12)


@given(directions, directions, attitudes, st.floats(0.1, 9.0))
def test_tilt_does_not_depend_on_where_one_stands_nor_on_length_and_mirrors(
    line: Array, bolt: Array, moved: Array, scale: float
) -> None:
    here = float(bolt_tilt(line, bolt))
    assert float(bolt_tilt(scale * moved @ line, 2 * moved @ bolt)) == pytest.approx(here, abs=1e-12)
    assert float(bolt_tilt(MIRROR * line, MIRROR * bolt)) == pytest.approx(here, abs=1e-12)


def test_poses_and_builds_broadcast() -> None:
    roll = np.array([-0.1, 0.0, 0.2])
    moved = rotation(0.0, 0.0, roll)
    np.testing.assert_allclose(bolt_tilt([0, 1.0, 0], [0, 0, 1.0], moved), -roll, atol=1e-15)
    now = np.array([-1.0, 0.1, 0.0])[:, None, None] + np.zeros((3, 2, 3))
    assert line_turn([-1.0, 0, 0], now, rotation(0.0, np.stack([roll, roll]), 0.0)).shape == (2, 3)


def test_what_is_not_a_number_stays_so() -> None:
    nan = np.full(3, np.nan)
    assert np.isnan(line_turn([1, 0, 0], nan))
    assert np.isnan(bolt_tilt(nan, [0, 1, 0]))
    assert np.isnan(angle_between([0, 0, 0], [1, 0, 0]))
    assert np.isnan(clocking([1, 0, 0], [1, 0, 0], [0, 1, 0]))
    assert np.isnan(misalignment(np.nan, 0.1))
    assert np.all(np.isnan(kindest_spin(0.1, np.nan, 0.1)))
    assert np.isnan(cone_angle(np.full((3, 3), np.nan), [0, 1, 0]))


@given(directions, directions, small, small, attitudes)
def test_clocking_is_the_spin_between_two_bolts(
    line: Array, other: Array, spin: float, lean: float, moved: Array
) -> None:
    across = np.cross(line, other)
    assume(np.linalg.norm(across) > 0.05)
    across = across / np.linalg.norm(across)
    along = line / np.linalg.norm(line)
    first = across + 0.4 * along  # how a bolt leans along the line is no matter of clocking
    second = turn(across, line, spin) + lean * along
    assert float(clocking(moved @ line, moved @ first, moved @ second)) == pytest.approx(spin, abs=1e-12)
    assert float(clocking(line, first, -second)) == pytest.approx(spin, abs=1e-12)
    assert float(clocking(-line, first, second)) == pytest.approx(-spin, abs=1e-12)


@given(st.floats(-20, 20))
def test_within_quarter_moves_by_half_turns(angle: float) -> None:
    turned = float(within_quarter(angle))
    assert -np.pi / 2 <= turned <= np.pi / 2
    assert np.sin(2 * turned) == pytest.approx(np.sin(2 * angle), abs=1e-13)


@given(st.floats(-1.4, 1.4), st.floats(-1.4, 1.4), directions)
def test_misalignment_is_the_angle_from_bolt_to_bore(tilt: float, spin: float, line: Array) -> None:
    """The bore is square to the line; spun about it, it leaves the bolt by the angle of the two lines in space."""
    bore = np.cross(line, [0.3, 0.5, 0.8] if abs(line[0]) > 0.1 else [1.0, 0.0, 0.0])
    assume(np.linalg.norm(bore) > 1e-2)
    bolt = turn(bore, np.cross(bore, line), tilt)
    assert float(misalignment(tilt, spin)) == pytest.approx(
        float(angle_between(bolt, turn(bore, line, spin))), abs=1e-12
    )


@given(small, small, st.floats(-1.5, 1.5))
def test_kindest_spin_beats_every_other(first: float, second: float, twist: float) -> None:
    best = max(float(angle) for angle in kindest_spin(first, second, twist))
    spins = np.linspace(0.0, abs(twist), 401)
    worse = np.maximum(misalignment(first, spins), misalignment(second, abs(twist) - spins))
    assert best <= worse.min() + 1e-12
    assert worse.min() <= best + 5e-3
    assert best >= max(abs(first), abs(second)) - 1e-12


def test_twist_is_halved_between_like_ends_and_left_to_the_freer_of_unlike_ones() -> None:
    np.testing.assert_allclose(kindest_spin(0.0, 0.0, 0.2), [0.1, 0.1], atol=1e-15)
    np.testing.assert_allclose(kindest_spin(0.3, 0.0, 0.2), [0.3, 0.2], atol=1e-15)
    np.testing.assert_allclose(kindest_spin(0.1, -0.2, 0.0), [0.1, 0.2], atol=1e-15)


ARM = (np.array([-0.95, 0.38, 0.45]), np.array([0.08, 0.42, 0.42]), np.array([-0.08, 0.42, 0.31]))


@given(attitudes, st.tuples(small, small, small))
def test_triangle_carried_by_a_rotation_gives_the_rotation(moved: Array, shift: tuple[float, float, float]) -> None:
    carried = [moved @ point + np.array(shift) for point in ARM]
    np.testing.assert_allclose(triangle_attitude(*carried, ARM), moved, atol=1e-13)


def test_triangle_of_no_area_has_no_attitude() -> None:
    line = ([0, 0, 0], [2, 0, 0], [1, 0, 0])
    assert np.all(np.isnan(triangle_attitude(*line, ARM)))


@given(directions, directions, st.floats(-2.5, 2.5), st.floats(0.0, 1.4), attitudes)
def test_cone_angle_is_that_of_the_swing_that_was_put_in(
    bolt: Array, other: Array, twist: float, cone: float, moved: Array
) -> None:
    """First a twist about the bolt, then a swing about an axis square to it, all on a part that has moved too."""
    square = np.cross(bolt, other)
    assume(np.linalg.norm(square) > 1e-2)
    arm = np.stack([moved @ turn(turn(unit, bolt, twist), square, cone) for unit in np.eye(3)]).T
    assert float(cone_angle(arm, bolt, moved)) == pytest.approx(cone, abs=1e-11)


def test_radius_arms_of_a_rolling_axle_twist_their_frame_joints_and_strain_their_axle_joints() -> None:
    """The arm rolls with the axle but for what its joints give: the cone stands at the frame, little at the axle."""
    mirror = MIRROR[:, None]
    left = np.stack(ARM, axis=1)
    right = mirror * left
    axle = np.concatenate([left[:, 1:], right[:, 1:], [[0.06], [-0.42], [0.5]]], axis=1)
    frame = np.concatenate([left[:, [0, 0]], right[:, [0, 0]], [[0.06], [0.41], [0.55]]], axis=1)
    layout = Layout(np.array([0.0, 0.0, 0.4]), frame, axle, np.full(5, 5e6))
    poses = solve(layout, 0.0, np.array([0.0, 0.1, -0.1]))
    assert np.all(poses.solved)
    arm = triangle_attitude(ARM[0], carry(poses, ARM[1]), carry(poses, ARM[2]), ARM)
    at_frame, at_axle = cone_angle(arm, [0, 1, 0]), cone_angle(arm, [0, 1, 0], attitude(poses))
    np.testing.assert_allclose([at_frame[0], at_axle[0]], 0, atol=1e-9)
    assert np.all(at_frame[1:] > 0.08)
    assert np.all(at_axle[1:] < 0.05)
    bolt = carry_direction(poses, [0.0, 1.0, 0.0])
    np.testing.assert_allclose(at_axle, angle_between(bolt, np.einsum("ij...,j->i...", arm, [0, 1, 0])), atol=1e-12)


@pytest.mark.parametrize("angle", [0.0, 1e-9, 0.3, 2.0, 3.1])
def test_whole_turn_is_the_angle_of_the_one_turn_that_does_it(angle: float) -> None:
    """Of a turn about any axis, seen from the frame or from a part that is turned itself."""
    axis = np.array([0.3, -0.5, 0.8])
    axis /= np.linalg.norm(axis)
    turned = np.stack([turn(column, axis, angle) for column in np.eye(3)], axis=1)
    part = rotation(0.4, -0.2, 0.7)
    assert float(whole_turn(turned)) == pytest.approx(angle, abs=1e-14)
    assert float(whole_turn(part @ turned, part)) == pytest.approx(angle, abs=1e-12)


def test_whole_turn_is_no_less_than_its_cone_about_any_bolt() -> None:
    generator = np.random.default_rng(4)
    arm = rotation(*generator.uniform(-0.6, 0.6, (3, 50)))
    bolts = generator.normal(size=(3, 50))
    assert np.all(cone_angle(arm, bolts) <= whole_turn(arm) + 1e-12)
