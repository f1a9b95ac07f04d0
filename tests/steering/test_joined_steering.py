"""Laws of the steering whose links end on each other, and of the root that is followed to solve it."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_lock import CROSSOVER, LEFT_AXIS, LEFT_KINGPIN, LOCK, MIRROR, PITMAN, THREE_LINK, build, stop_swing

from buildcheck.axle.poses import Poses, solve
from buildcheck.axle.spans import span
from buildcheck.axle.vectors import Array
from buildcheck.steering.linkage import Joined, Linkage, Turn, carried, linkage
from buildcheck.steering.lock import Reach, at_stop, ends_of, steer, transmission
from buildcheck.steering.root_following import followed

NEAR_ROD, FAR_ROD = MIRROR * [0.16, 0.66, 0.45], np.array([0.16, 0.66, 0.45])
BOTH = pytest.mark.parametrize("layout", ["rod on link", "link on rod"])


def joined(how: Joined, arm: Array, near_rod: Array, far_rod: Array = FAR_ROD, near: Turn = "right") -> Linkage:
    return linkage(
        shaft=CROSSOVER["shaft"],
        pitman_end=CROSSOVER["pitman"],
        near_kingpin=(MIRROR * LEFT_KINGPIN, MIRROR * LEFT_AXIS),
        arm_end=arm,
        near_rod_end=near_rod,
        far_kingpin=(LEFT_KINGPIN, LEFT_AXIS),
        far_rod_end=far_rod,
        near_side=near,
        joined=how,
    )


@pytest.fixture(scope="module")
def poses() -> Poses:
    return solve(THREE_LINK, np.array([0.0, 0.08, -0.1, 0.0, 0.0]), np.array([0.0, 0.0, 0.0, 0.1, -0.1]))


def both_wheels(steering: Linkage, poses: Poses, share: float = 1.0) -> Array:
    found = steer(carried(steering, poses), share * PITMAN[:, None])
    assert not found.reach.any()
    return np.array([found.left_wheel, found.right_wheel])


@pytest.mark.parametrize("how", [Joined.ROD_ON_LINK, Joined.LINK_ON_ROD])
def test_where_the_links_meet_at_one_joint_all_layouts_are_one(how: Joined, poses: Poses) -> None:
    """The tie rod at the very end of the drag link, the drag link at the very end of the tie rod, and both on one
    place of the knuckle's arm steer alike: one by circles alone, another by a root that is followed."""
    on_arm = joined(Joined.KNUCKLES, NEAR_ROD, NEAR_ROD)
    ours = joined(how, NEAR_ROD, NEAR_ROD)
    assert float(ours.share) == (1.0 if how is Joined.ROD_ON_LINK else 0.0)
    np.testing.assert_allclose(both_wheels(ours, poses), both_wheels(on_arm, poses), rtol=0, atol=1e-12)
    for side in ("left", "right"):
        stop = stop_swing(on_arm, side, LOCK)
        mine, theirs = (at_stop(carried(each, poses), side, stop) for each in (ours, on_arm))
        np.testing.assert_allclose(mine.pitman, theirs.pitman, rtol=0, atol=1e-11)
        np.testing.assert_allclose(mine.left_wheel, theirs.left_wheel, rtol=0, atol=1e-11)


def test_a_drag_link_on_the_tie_rod_does_not_care_which_knuckle_is_called_near(poses: Poses) -> None:
    arm = 0.7 * NEAR_ROD + 0.3 * FAR_ROD
    one = joined(Joined.LINK_ON_ROD, arm, NEAR_ROD)
    other = linkage(
        shaft=CROSSOVER["shaft"],
        pitman_end=CROSSOVER["pitman"],
        near_kingpin=(LEFT_KINGPIN, LEFT_AXIS),
        arm_end=arm,
        near_rod_end=FAR_ROD,
        far_kingpin=(MIRROR * LEFT_KINGPIN, MIRROR * LEFT_AXIS),
        far_rod_end=NEAR_ROD,
        near_side="left",
        joined=Joined.LINK_ON_ROD,
    )
    np.testing.assert_allclose(both_wheels(one, poses, 0.9), both_wheels(other, poses, 0.9), rtol=0, atol=1e-12)


@BOTH
def test_an_end_off_the_line_of_what_holds_it_is_taken_at_the_nearest_point_of_that_line(layout: str) -> None:
    """Moved square to the line, the end steers as before; and the length is that from the line."""
    how = Joined.ROD_ON_LINK if layout == "rod on link" else Joined.LINK_ON_ROD
    pitman, arm = np.array(CROSSOVER["pitman"]), np.array([0.17, -0.66, 0.5])
    first, last = (pitman, arm) if how is Joined.ROD_ON_LINK else (NEAR_ROD, FAR_ROD)
    place, way = first + 0.8 * (last - first), (last - first) / np.linalg.norm(last - first)
    aside = np.cross(way, [1.0, 0.0, 0.0])
    aside *= 0.04 / np.linalg.norm(aside)

    def at(point: Array) -> Linkage:
        return joined(how, arm, point) if how is Joined.ROD_ON_LINK else joined(how, point, NEAR_ROD)

    on, off = (steer(at(point), PITMAN) for point in (place, place + aside))
    np.testing.assert_allclose(off.left, on.left, rtol=0, atol=1e-12)
    np.testing.assert_allclose(off.right, on.right, rtol=0, atol=1e-12)
    assert np.ptp(on.left) > 0.5


@BOTH
def test_reading_at_ride_is_the_limit_of_the_reading_over_travel(layout: str) -> None:
    steering = build(layout)
    near_ride = solve(THREE_LINK, np.array([-1e-6, 0.0, 1e-6]), 0.0)
    found, ride = steer(carried(steering, near_ride), PITMAN[:, None]), steer(steering, PITMAN)
    for wheel, at_ride in ((found.left_wheel, ride.left_wheel), (found.right_wheel, ride.right_wheel)):
        np.testing.assert_allclose(wheel[:, 1], at_ride, rtol=0, atol=1e-11)
        np.testing.assert_allclose((wheel[:, 0] + wheel[:, 2]) / 2, at_ride, rtol=0, atol=1e-10)
        assert 0 < np.abs(wheel[:, 2] - wheel[:, 0]).max() < 1e-4


@BOTH
def test_the_stop_of_either_knuckle_leads_back_to_the_pitman_arm(layout: str, poses: Poses) -> None:
    """Whichever knuckle stands on its stop, the way back from it and the way forward from the arm are one."""
    there = carried(build(layout), poses)
    for side in ("left", "right"):
        stop = stop_swing(build(layout), side, LOCK)
        found = at_stop(there, side, [[0.0], [0.5 * stop], [stop]])
        assert not found.reach.any()
        inner = found.left if side == "left" else found.right
        np.testing.assert_allclose(inner, [[0.0] * 5, [0.5 * stop] * 5, [stop] * 5], rtol=0, atol=1e-12)
        again = steer(there, found.pitman)
        np.testing.assert_allclose(again.left, found.left, rtol=0, atol=1e-12)
        np.testing.assert_allclose(again.right, found.right, rtol=0, atol=1e-12)


@BOTH
def test_a_link_out_of_reach_ends_at_its_dead_point_and_is_named(layout: str) -> None:
    """Turned on and on, the pitman arm comes to where the drag link no longer moves the wheels, and no farther."""
    steering = build(layout)
    pitman = np.radians(np.arange(0.0, 120.0, 0.05))
    for sign in (-1.0, 1.0):
        found = steer(steering, sign * pitman)
        last = int(np.argmin(found.reach == Reach.REACHED)) - 1
        assert (found.reach[: last + 1] == Reach.REACHED).all()
        assert not (found.reach[last + 1 :] == Reach.REACHED).any()
        angles = transmission(steering, found)
        least = {Reach.DRAG_LINK: angles.at_arm[last], Reach.TIE_ROD: angles.at_far[last]}
        named = Reach(int(found.reach[last + 1]))
        assert least[named] == min(least.values())
        assert least[named] < np.radians(6.0)
        for swing in (found.left[: last + 1], found.right[: last + 1]):
            assert np.all(np.diff(swing) * np.sign(np.diff(swing)[0]) > 0)


@BOTH
def test_a_stop_that_is_not_come_to_has_no_answer(layout: str) -> None:
    found = at_stop(build(layout), "left", [0.3, 2.5])
    assert found.reach[0] == Reach.REACHED
    assert found.reach[1] in (Reach.DRAG_LINK, Reach.TIE_ROD)
    assert np.isnan([found.left[1], found.right[1], found.pitman[1]]).all()
    found = at_stop(build(layout), "right", [-0.3, -2.5])
    assert found.reach[0] == Reach.REACHED
    assert found.reach[1] in (Reach.DRAG_LINK, Reach.TIE_ROD)


@BOTH
def test_a_pose_that_is_not_solved_is_unknown_and_spoils_no_other(layout: str) -> None:
    there = carried(build(layout), solve(THREE_LINK, np.array([0.0, 3.0, 0.05]), 0.0))
    alone = steer(carried(build(layout), solve(THREE_LINK, np.array([0.05]), 0.0)), 0.2)
    found = steer(there, 0.2)
    np.testing.assert_array_equal(found.reach, [Reach.REACHED, Reach.UNKNOWN, Reach.REACHED])
    assert found.left[2] == pytest.approx(alone.left[0], abs=1e-13)
    for side in ("left", "right"):
        stop = stop_swing(build(layout), side, LOCK)
        np.testing.assert_array_equal(at_stop(there, side, stop).reach, [Reach.REACHED, Reach.UNKNOWN, Reach.REACHED])


@BOTH
def test_the_sine_of_the_transmission_angle_is_the_share_of_the_link_s_force_by_work(layout: str) -> None:
    """A small turn on of what is driven lengthens the link by that share of the way that the link's end goes."""
    steering = build(layout)
    found, step = steer(steering, PITMAN), 1e-6
    angles, at = transmission(steering, found), ends_of(steering, found)
    near_right = steering.near_side == "right"
    near = found.right if near_right else found.left
    if layout == "rod on link":
        onward = steering.arm.turned(near + step)
        assert np.isnan(angles.at_near).all()
    else:
        far = steering.tie_rod.second_angle(steering.near_rod, steering.far_rod, near + step)
        after = {"left": far, "right": near + step} if near_right else {"left": near + step, "right": far}
        onward = ends_of(steering, replace(found, **after)).arm
    share = np.abs(span(at.pitman, onward) - span(at.pitman, at.arm)) / span(at.arm, onward)
    np.testing.assert_allclose(np.sin(angles.at_arm), share, atol=1e-5)
    far = found.left if near_right else found.right
    farther = steering.far_rod.turned(far + step)
    share = np.abs(span(at.near, farther) - span(at.near, at.far)) / span(at.far, farther)
    np.testing.assert_allclose(np.sin(angles.at_far), share, atol=1e-5)


# The root that is followed.


@given(st.lists(st.floats(-0.99, 0.99), min_size=1, max_size=6))
def test_the_root_of_a_sine_is_the_arc_of_its_own_branch(levels: list[float]) -> None:
    """sin u = level has two roots in every turn; the one that grows out of 0 lies within a right angle of it."""

    def gap(angle: Array, stage: Array) -> tuple[Array, Array]:
        return np.sin(angle) - stage * np.array(levels), np.cos(angle)

    root, found = followed(gap, np.zeros(len(levels)), 1.0, 4)
    assert found.all()
    np.testing.assert_allclose(root, np.arcsin(levels), rtol=0, atol=1e-13)


def test_a_branch_that_ends_is_followed_to_its_end_and_no_farther() -> None:
    def gap(angle: Array, stage: Array) -> tuple[Array, Array]:
        return np.sin(angle) - stage * np.array([0.5, 1.5, -3.0]), np.cos(angle)

    root, found = followed(gap, np.zeros(3), 1.0, 8)
    np.testing.assert_array_equal(found, [True, False, False])
    assert root[0] == pytest.approx(np.pi / 6, abs=1e-14)
    assert np.abs(root[1:]) == pytest.approx(np.pi / 2, abs=0.1)


def test_a_start_without_a_slope_has_no_branch() -> None:
    def gap(angle: Array, stage: Array) -> tuple[Array, Array]:
        return angle**2 - stage, 2 * angle + np.array([0.0, np.nan])

    root, found = followed(gap, np.zeros(2), 1.0, 4)
    assert not found.any()
    np.testing.assert_array_equal(root, 0.0)
