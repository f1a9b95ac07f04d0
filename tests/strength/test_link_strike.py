"""A strike on a link: statics of the link, the axle that holds it, and the bending of a tube."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildcheck.axle.rigid_arm import RigidArm
from buildcheck.axle.vectors import Array
from buildcheck.strength.link_strike import arm_bending, arm_strike, link_strike

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


def arm_of(frame: Array, upper: Array, lower: Array, stiffness: tuple[float, float, float]) -> RigidArm:
    return RigidArm(frame, upper, lower, stiffness, upper - lower)


@given(st.integers(0, 2**32 - 1), st.floats(0.0, 1.0))
@settings(max_examples=60, deadline=None)
def test_an_arm_is_in_balance(seed: int, share: float) -> None:
    random = np.random.default_rng(seed)
    centre, upper, lower, end, force = random.normal(0.0, 1.0, (5, 3))
    first, second, third = random.uniform(1.0, 9.0, 3)
    strike = arm_strike(centre, arm_of(end, upper, lower, (first, second, third)), force, share)
    joints = ((upper, strike.on_axle_upper), (lower, strike.on_axle_lower), (end, strike.on_frame))
    struck = (1 - share) * (second * upper + third * lower) / (second + third) + share * end
    scale = 1e-12 * max(np.abs(pull).max() for _, pull in joints)
    np.testing.assert_allclose(sum(pull for _, pull in joints), force, atol=scale)
    turning = sum(np.cross(at, pull) for at, pull in joints)
    np.testing.assert_allclose(turning, np.cross(struck, force), atol=10 * scale)
    on_axle = sum(np.cross(at - centre, pull) for at, pull in joints[:2])
    np.testing.assert_allclose(strike.load.moment, on_axle, atol=10 * scale)


def test_a_strike_along_an_arm_goes_to_where_it_is_stiff() -> None:
    rise = np.array([0.0, 0.0, 0.1])
    arm = arm_of(FRAME_END, AXLE_END + rise, AXLE_END - rise, (6e6, 1e6, 1e6))
    line = (FRAME_END - AXLE_END) / np.linalg.norm(FRAME_END - AXLE_END)
    strike = arm_strike(np.zeros(3), arm, FORCE * line)
    np.testing.assert_allclose(strike.on_frame, 0.75 * FORCE * line, atol=1e-9)
    np.testing.assert_allclose(strike.on_axle_upper, strike.on_axle_lower, atol=1e-9)
    np.testing.assert_allclose(strike.on_axle_upper, 0.125 * FORCE * line, atol=1e-9)


def test_an_arm_on_axle_joints_close_together_is_bent_as_a_link_is() -> None:
    near = np.array([0.0, 0.0, 1e-6])
    arm = arm_strike(
        np.zeros(3), arm_of(FRAME_END, AXLE_END + near, AXLE_END - near, (1e9, 1e9, 1e9)), [0.0, 0.0, FORCE], 0.3
    )
    link = link_strike(np.zeros(3), AXLE_END, FRAME_END, [0.0, 0.0, FORCE], 0.3)
    across = np.array([0.0, 0.0, 1.0])
    assert arm.on_frame @ across == pytest.approx(link.on_frame @ across, rel=1e-6)
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
            arm_strike(np.zeros(3), arm_of(FRAME_END, AXLE_END, -AXLE_END, (1.0, 1.0, 1.0)), [0.0, 0.0, 1.0], share)
