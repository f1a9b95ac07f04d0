"""A strike on a link: statics of the link, the axle that holds it, and the bending of a tube."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildcheck.motion.link_strike import arm_bending, arm_strike, link_strike
from buildcheck.motion.statics import Supports, axial_forces

FORCE = 8000.0
AXLE_END, FRAME_END = np.array([0.0, 0.4, 0.3]), np.array([-0.9, 0.4, 0.3])


def test_a_force_across_the_middle_of_a_link() -> None:
    """P L / 4 and half to each joint; the numbers checked with a frame program (PyNite 3.2.0)."""
    strike = link_strike(np.zeros(3), AXLE_END, FRAME_END, [0.0, 0.0, FORCE])
    assert strike.bending_moment == pytest.approx(1800.0, rel=1e-12)
    np.testing.assert_allclose(strike.on_axle, [0, 0, FORCE / 2])
    np.testing.assert_allclose(strike.on_frame, [0, 0, FORCE / 2])
    assert strike.axial == 0.0
    np.testing.assert_allclose(strike.load.moment, np.cross(AXLE_END, [0, 0, FORCE / 2]))


@given(st.integers(0, 2**32 - 1), st.floats(0.0, 1.0))
@settings(max_examples=60, deadline=None)
def test_the_link_is_in_balance(seed: int, share: float) -> None:
    random = np.random.default_rng(seed)
    centre, start, end, force = random.normal(0.0, 1.0, (4, 3))
    strike = link_strike(centre, start, end, force, share)
    np.testing.assert_allclose(strike.on_axle + strike.on_frame, force, atol=1e-12)
    turning = np.cross(share * (end - start), force) - np.cross(end - start, strike.on_frame)
    np.testing.assert_allclose(turning, 0.0, atol=1e-12)
    # The moment at the strike, from the axle joint's share across the link.
    assert strike.bending_moment == pytest.approx(np.linalg.norm(np.cross(share * (end - start), strike.on_axle)))
    assert strike.axial == pytest.approx(force @ (end - start) / np.linalg.norm(end - start))


def test_a_strike_along_a_link_of_an_exact_layout_ends_in_its_frame_joint() -> None:
    """The axle needs nothing of the link, so the whole of it goes to the frame, wherever it strikes."""
    centre = np.zeros(3)
    axle = np.array([[0, 0.4, -0.1], [0, -0.4, -0.1], [0, 0, 0.1], [0, -0.4, 0], [0, 0.45, 0], [0, -0.45, 0]]).T
    along = np.array([[-1, 0, 0.1], [-1, 0, 0], [-1, 0, 0], [0, 1, 0], [0, 0, 1], [0, 0, 1]], dtype=float).T
    supports = Supports.along(centre, axle, along, np.full(6, 1e6))
    line = supports.direction[:, 0]
    for share in (0.2, 0.5, 0.9):
        strike = link_strike(centre, axle[:, 0], axle[:, 0] + 0.9 * line, 5000.0 * line, share)
        tension = axial_forces(supports, strike.load)
        np.testing.assert_allclose(tension[1:], 0.0, atol=1e-9)
        np.testing.assert_allclose(strike.on_axle + tension[0] * line, 0.0, atol=1e-9)
        np.testing.assert_allclose(strike.on_frame - tension[0] * line, 5000.0 * line)


def test_a_strike_along_a_link_between_two_held_ends_is_shared_as_springs_share_it() -> None:
    """Two links in line, fore and aft of the axle, each of stiffness k; the first one is struck at s.

    The struck link is two springs, k / s next to the axle and k / (1 - s) beyond; solved as such by hand.
    """
    stiffness, force, share = 1e6, 5000.0, 0.3
    axle = np.array([[0, 0, 0], [0, 0, 0], [0, 0.4, -0.2], [0, -0.4, -0.2], [0, -0.4, 0], [0, 0.45, 0.1],
                     [0, -0.45, 0.1]]).T  # fmt: skip
    along = np.array([[-1, 0, 0], [1, 0, 0], [0, 1, 1], [0, 1, -1], [0, 1, 0], [0.3, 0, 1], [-0.3, 0, 1]], dtype=float)
    # Only the two in line reach along x without turning the axle; the rest are made too soft to matter.
    stiffnesses = np.array([1.0, 1.0, *[1e-9] * 5]) * stiffness
    supports = Supports.along(np.zeros(3), axle, along.T, stiffnesses)
    push = np.array([-force, 0.0, 0.0])
    strike = link_strike(np.zeros(3), [0, 0, 0], [-0.9, 0, 0], push, share)
    tension = axial_forces(supports, strike.load)
    near, far, behind = stiffness / share, stiffness / (1 - share), stiffness
    # Unknown: the axle's and the strike's displacement along -x.
    moved = np.linalg.solve([[near + behind, -near], [-near, near + far]], [0.0, force])
    assert tension[1] == pytest.approx(behind * moved[0], rel=1e-6)
    assert strike.on_axle[0] - tension[0] == pytest.approx(-near * (moved[1] - moved[0]), rel=1e-6)
    assert strike.on_frame[0] + tension[0] == pytest.approx(-far * moved[1], rel=1e-6)


def test_many_strikes_over_many_poses() -> None:
    start = AXLE_END[:, None] + np.zeros((3, 4))
    strike = link_strike(np.zeros(3), start, FRAME_END, [0.0, 0.0, FORCE], np.array([[0.25], [0.5]]))
    assert strike.load.moment.shape == (3, 2, 4)
    np.testing.assert_allclose(strike.bending_moment, [[1350.0] * 4, [1800.0] * 4])


@given(st.integers(0, 2**32 - 1), st.floats(0.0, 1.0))
@settings(max_examples=60, deadline=None)
def test_an_arm_is_in_balance(seed: int, share: float) -> None:
    random = np.random.default_rng(seed)
    centre, upper, lower, end, force = random.normal(0.0, 1.0, (5, 3))
    strike = arm_strike(centre, upper, lower, end, force, share)
    joints = ((upper, strike.on_axle_upper), (lower, strike.on_axle_lower), (end, strike.on_frame))
    struck = (1 - share) * (upper + lower) / 2 + share * end
    np.testing.assert_allclose(sum(pull for _, pull in joints), force, atol=1e-12)
    np.testing.assert_allclose(sum(np.cross(at, pull) for at, pull in joints), np.cross(struck, force), atol=1e-12)
    on_axle = sum(np.cross(at - centre, pull) for at, pull in joints[:2])
    np.testing.assert_allclose(strike.load.moment, on_axle, atol=1e-12)


def test_an_arm_with_its_axle_joints_in_one_place_is_a_link() -> None:
    arm = arm_strike(np.zeros(3), AXLE_END, AXLE_END, FRAME_END, [0.0, 0.0, FORCE], 0.3)
    link = link_strike(np.zeros(3), AXLE_END, FRAME_END, [0.0, 0.0, FORCE], 0.3)
    np.testing.assert_allclose(arm.load.moment, link.load.moment)
    np.testing.assert_allclose(arm.on_frame, link.on_frame)
    bent = arm_bending(AXLE_END, FRAME_END, link.on_frame, [0.0, 0.0, FORCE], 0.3)
    assert bent == pytest.approx(float(link.bending_moment))


def test_an_arm_is_bent_most_at_its_axle_end_by_what_its_frame_joint_holds() -> None:
    """A beam built in at the axle: F L at its root, and half of it in the middle."""
    assert arm_bending(AXLE_END, FRAME_END, [0.0, 0.0, 500.0]) == pytest.approx(500.0 * 0.9)
    # A force at the middle that the frame joint holds alone, as much: P L / 2 at the root less F L.
    both = arm_bending(AXLE_END, FRAME_END, [0.0, 0.0, 500.0], [0.0, 0.0, 3000.0])
    assert both == pytest.approx(3000.0 * 0.45 - 500.0 * 0.9)
    assert arm_bending(AXLE_END, FRAME_END, [700.0, 0.0, 0.0]) == 0.0  # along it


def test_refuses_places_beside_the_link() -> None:
    for share in (-0.01, 1.01, float("nan")):
        with pytest.raises(ValueError, match="share of the link"):
            link_strike(np.zeros(3), AXLE_END, FRAME_END, [0.0, 0.0, 1.0], share)
        with pytest.raises(ValueError, match="share of the link"):
            arm_strike(np.zeros(3), AXLE_END, AXLE_END, FRAME_END, [0.0, 0.0, 1.0], share)
