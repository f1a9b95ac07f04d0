"""A radius arm on joints that give: the lines that stand for it, how it swings, and what its joints share."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from buildcheck.axle.poses import Layout, solve
from buildcheck.axle.rigid_arm import ALONG, ASKEW, RigidArm, swing
from buildcheck.axle.vectors import Array, unit

FRAME = np.array([-0.94, 0.42, 0.50])
UPPER, LOWER = np.array([0.08, 0.44, 0.47]), np.array([-0.08, 0.44, 0.39])
SEEDS = st.integers(0, 2**32 - 1)


def arm(stiffness: tuple[float, float, float], upper: Array = UPPER, lower: Array = LOWER) -> RigidArm:
    middle = (stiffness[1] * upper + stiffness[2] * lower) / (stiffness[1] + stiffness[2])
    return RigidArm(FRAME, upper, lower, stiffness, swing(FRAME, upper, lower, middle, None))


def test_arm_and_joints_written_out() -> None:
    """A level arm of 1 m on two joints 0.1 m above and below its end: springs in a row, and a lever on two springs."""
    joints = np.array([0.0, 0.0, 0.1])
    held = RigidArm(np.array([-1.0, 0.0, 0.0]), joints, -joints, (4e6, 1e6, 1e6), joints)
    along, across = held.rates
    assert along == pytest.approx(1 / (1 / 4e6 + 1 / 2e6))
    assert float(across) == pytest.approx(1 / (1 / 4e6 + 1 / 2e6 + 1 / (2 * 1e6 * 0.01)))
    lines = held.lines()
    rise = np.sqrt(across / along)  # square to the arm: at the arm's length times the tangent
    np.testing.assert_allclose(lines.points, [[0.0, 0.0], [0.0, 0.0], [rise, -rise]], atol=1e-15)
    assert lines.stiffness == pytest.approx(float(along + across) / 2)
    # 100 N up on the frame joint: down on the axle, and a couple of 100 N m on joints 0.2 m apart.
    upper, lower = held.at_axle_joints(np.array([0.0, 0.0, 100.0]))
    np.testing.assert_allclose(upper, [-500.0, 0.0, -50.0])
    np.testing.assert_allclose(lower, [500.0, 0.0, -50.0])


@given(SEEDS)
@settings(max_examples=80, deadline=None)
def test_the_lines_give_at_the_frame_joint_as_the_arm_does(seed: int) -> None:
    """Sum of k u u' against the joints' compliance, written with a turn about the arm's plane's normal."""
    random = np.random.default_rng(seed)
    first, second, third = 10.0 ** random.uniform(5.0, 8.0, 3)
    held = arm((first, second, third), UPPER + random.normal(0, 0.05, 3), LOWER + random.normal(0, 0.05, 3))
    lines = held.lines()
    ways = unit(lines.points - FRAME[:, None])
    found = lines.stiffness * ways @ ways.T
    reach = FRAME - held.centre
    normal = unit(np.cross(reach, held.swings))
    turning = second * np.sum((held.upper - held.centre) ** 2) + third * np.sum((held.lower - held.centre) ** 2)
    lever = np.cross(normal, reach)
    compliance = (1 / first + 1 / (second + third)) * np.eye(3) + np.outer(lever, lever) / turning
    in_plane = np.eye(3) - np.outer(normal, normal)
    np.testing.assert_allclose(found @ compliance, in_plane, atol=1e-9)
    np.testing.assert_allclose(found @ normal, 0.0, atol=1e-9 * lines.stiffness)


@given(SEEDS)
@settings(max_examples=80, deadline=None)
def test_least_work_of_the_axle_joints(seed: int) -> None:
    """In balance, and no force along the line of the two joints, added to one and taken from the other, costs less."""
    random = np.random.default_rng(seed)
    stiffness = tuple(random.uniform(1e5, 1e7, 3).tolist())
    held = RigidArm(*random.normal(0.0, 1.0, (3, 3)), stiffness, np.zeros(3))
    held = RigidArm(held.frame, held.upper, held.lower, stiffness, held.upper - held.lower)
    on_frame, push = random.normal(0.0, 1e3, (2, 3))
    # Nothing holds an arm about the line of its axle joints but its frame joint.
    struck = (held.frame + held.centre) / 2
    way = unit(held.upper - held.lower)
    normal = np.cross(way, held.frame - held.centre)
    assume(normal @ normal > 0.01)
    on_frame = on_frame - normal * (on_frame @ normal - push @ normal / 2) / (normal @ normal)
    upper, lower = held.at_axle_joints(on_frame, push)
    scale = max(np.abs(each).max() for each in (upper, lower, on_frame, push))
    np.testing.assert_allclose(upper + lower + on_frame, push, atol=1e-12 * scale)
    turning = np.cross(held.upper, upper) + np.cross(held.lower, lower) + np.cross(held.frame, on_frame)
    np.testing.assert_allclose(turning, np.cross(struck, push), atol=1e-10 * scale)

    def work(more: float) -> float:
        return float(
            np.sum((upper + more * way) ** 2) / stiffness[1] + np.sum((lower - more * way) ** 2) / stiffness[2]
        )

    assert work(0.0) < min(work(0.01 * scale), work(-0.01 * scale))


@pytest.mark.parametrize("seed", range(40))
def test_where_four_lines_hold_the_axle_the_lines_are_the_arm(seed: int) -> None:
    """Whatever the joints' stiffness, the poses are those of an arm that keeps its three joints' distances."""
    random = np.random.default_rng(seed)
    spread = lambda *point: np.array(point) + random.uniform(-0.03, 0.03, 3)  # noqa: E731
    link = spread(0.03, -0.43, 0.38), spread(-0.9, -0.4, 0.45)
    bar = spread(0.06, -0.42, 0.5), spread(0.06, 0.41, 0.52)
    upper, lower = UPPER + random.uniform(-0.015, 0.015, 3), LOWER + random.uniform(-0.015, 0.015, 3)
    second, third = 10.0 ** random.uniform(6.0, 7.5, 2)
    held = arm((np.inf, second, third), upper, lower)
    # The lines' points lie on the line through the joints only where the joints alone tell how the arm swings.
    assert np.linalg.norm(np.cross(unit(held.centre - FRAME), unit(upper - lower))) > ASKEW
    heave, roll = random.uniform(-0.1, 0.1, 12), random.uniform(-0.2, 0.2, 12)
    found = []
    for points in (np.array([upper, lower]).T, held.joined()):
        axle = np.column_stack([points, link[0], bar[0]])
        frame = np.column_stack([FRAME, FRAME, link[1], bar[1]])
        found.append(solve(Layout(np.array([0.0, 0.0, 0.42]), frame, axle, np.ones(4)), heave, roll))
    # Lengths are met to 1e-12 m, which on joints 0.09 m from their middle is 1e-11 rad.
    for name, near in (("x", 3e-12), ("y", 3e-12), ("pitch", 1e-11), ("yaw", 1e-11)):
        np.testing.assert_allclose(getattr(found[1], name), getattr(found[0], name), rtol=0, atol=near)


def test_how_an_arm_swings_that_lies_along_its_axle_joints() -> None:
    ahead = np.array([1.0, 0.0, 0.0])
    reach = FRAME - np.array([0.0, 0.42, 0.50])  # straight rearward
    for bolt, wanted in ((None, [0, 0, 1]), ([0, 2, 0], [0, 0, 1]), ([0, 0, 1], [0, 1, 0]), (reach, [0, 0, 1])):
        middle = FRAME - reach
        found = swing(FRAME, middle + 0.08 * ahead, middle - 0.08 * ahead, middle, bolt)
        np.testing.assert_allclose(np.abs(found), wanted, atol=1e-15)
    across = np.array([0.0, 0.0, 0.0]), np.array([0.0, 0.9, 0.0])  # an arm that runs as the bolts are taken to
    found = swing(across[1], across[0] - 0.1 * across[1], across[0] + 0.1 * across[1], across[0], None)
    np.testing.assert_allclose(np.abs(found), [0, 0, 1], atol=1e-15)


@given(st.floats(-0.5, 0.5), st.floats(-0.2, 0.2))
@settings(max_examples=200, deadline=None)
def test_no_arm_jumps_as_its_axle_joints_turn_into_its_line(angle: float, aside: float) -> None:
    """The direction of the swing, and with it everything, changes evenly; it is never undefined."""
    middle = np.zeros(3)
    frame = np.array([-0.95, 0.0, 0.0])
    ways = []
    for turned in (angle, angle + 1e-6):
        way = unit(np.array([np.cos(turned), aside * np.cos(turned), np.sin(turned)]))
        found = swing(frame, middle + 0.08 * way, middle - 0.08 * way, middle, None)
        assert np.isfinite(found).all()
        held = RigidArm(frame, 0.08 * way, -0.08 * way, (5e6, 5e6, 5e6), found)
        assert np.isfinite(held.lines().points).all()
        assert held.lines().stiffness > 0.0
        ways.append(found)
    sine = np.hypot(np.sin(angle), aside * np.cos(angle)) / np.hypot(1.0, aside * np.cos(angle))
    assert sine < 0.53
    assert ALONG < ASKEW
    # It may turn round as a whole, which is the same line.
    assert min(np.abs(ways[0] - ways[1]).max(), np.abs(ways[0] + ways[1]).max()) < 1e-3


@pytest.mark.parametrize(("upper", "lower"), [(UPPER, UPPER), (FRAME + 0.1, FRAME - 0.1)])
def test_an_arm_needs_two_axle_joints_away_from_its_frame_joint(upper: Array, lower: Array) -> None:
    with pytest.raises(ValueError, match="two axle joints"):
        swing(FRAME, upper, lower, (upper + lower) / 2, None)
