"""Laws of the steering from pitman arm to road wheels, over travel and lock."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildcheck.axle.poses import Layout, Poses, solve
from buildcheck.axle.rotation import rotation, turn
from buildcheck.axle.spans import span
from buildcheck.axle.vectors import Array
from buildcheck.steering.cranks import Crank
from buildcheck.steering.linkage import Joined, Linkage, Turn, carried, linkage
from buildcheck.steering.lock import Reach, at_stop, ends_of, steer, transmission
from buildcheck.steering.swing import kingpin_axis, swing_for_steer, swung, transmission_angle

MIRROR = np.array([1.0, -1.0, 1.0])
LEFT_AXIS = kingpin_axis(np.radians(5), np.radians(8.5), "left")
LEFT_KINGPIN, LEFT_ROD = np.array([0.0, 0.69, 0.4]), np.array([-0.16, 0.655, 0.36])
SPIN = {"left": np.array([0.0, 1.0, -0.01]), "right": np.array([0.0, 1.0, 0.01])}
CROSSOVER = {"shaft": ([0.0, 0.22, 0.72], [0.1, 0, 1.0]), "pitman": [0.17, 0.20, 0.57], "arm": [0.17, -0.66, 0.50]}
PUSH_PULL = {"shaft": ([-0.95, 0.36, 0.75], [0, 1.0, 0]), "pitman": [-0.96, 0.38, 0.57], "arm": [0.0, 0.52, 0.55]}
ROD_ON_LINK = {**CROSSOVER, "near_rod": [0.17, 0.53, 0.51], "far_rod": [0.17, 0.655, 0.48]}
LINK_ON_ROD = {**CROSSOVER, "arm": [0.17, -0.45, 0.46], "near_rod": [0.17, 0.67, 0.46], "far_rod": [0.17, 0.67, 0.46]}
GIVEN = {
    "crossover": CROSSOVER, "push-pull": PUSH_PULL, "rod on link": ROD_ON_LINK, "link on rod": LINK_ON_ROD,
}  # fmt: skip
JOINED = {"rod on link": Joined.ROD_ON_LINK, "link on rod": Joined.LINK_ON_ROD}
NEAR_SIDE: dict[str, Turn] = {
    "crossover": "right", "push-pull": "left", "rod on link": "right", "link on rod": "right",
}  # fmt: skip
PITMAN = np.radians(np.linspace(-27, 27, 13))
LOCK = np.radians(30)


def build(layout: str, *, mirrored: bool = False, turned: Array | None = None, scale: float = 1.0) -> Linkage:
    """A steering of one of the layouts; its mirror image, turned as a whole, or larger."""
    given_points = GIVEN[layout]
    near: Turn = NEAR_SIDE[layout]
    flip = MIRROR if mirrored else np.ones(3)
    attitude = np.eye(3) if turned is None else turned

    def point(place: object, side: Turn = "left") -> Array:
        own = MIRROR if side == "right" else np.ones(3)
        return np.asarray(scale * attitude @ (flip * own * np.asarray(place, np.float64)))

    def way(aim: object, side: Turn = "left") -> Array:
        return point(aim, side) / scale

    far: Turn = "left" if near == "right" else "right"
    spin = {side: (SPIN[side] if not mirrored else -flip * SPIN[side]) for side in SPIN}
    other: dict[Turn, Turn] = {"left": "right", "right": "left"}
    return linkage(
        shaft=(point(given_points["shaft"][0]), way(given_points["shaft"][1])),
        pitman_end=point(given_points["pitman"]),
        near_kingpin=(point(LEFT_KINGPIN, near), way(LEFT_AXIS, near)),
        arm_end=point(given_points["arm"]),
        near_rod_end=point(given_points.get("near_rod", LEFT_ROD), near),
        far_kingpin=(point(LEFT_KINGPIN, far), way(LEFT_AXIS, far)),
        far_rod_end=point(given_points.get("far_rod", LEFT_ROD), far),
        near_side=other[near] if mirrored else near,
        near_spin=attitude @ spin[near],
        far_spin=attitude @ spin[far],
        joined=JOINED.get(layout, Joined.KNUCKLES),
    )


def stop_swing(at_ride: Linkage, side: Turn, lock: float) -> float:
    """The swing at which the knuckle of the inner wheel, that of the side, has turned it by the lock."""
    near = side == at_ride.near_side
    axis = (at_ride.near_rod if near else at_ride.far_rod).axis
    spin = at_ride.near_spin if near else at_ride.far_spin
    return float(swing_for_steer(lock if side == "left" else -lock, axis, spin))


LAYOUTS = pytest.mark.parametrize("layout", list(GIVEN))
AXLE = np.array([[0.03, 0.43, -0.1], [0.03, -0.43, -0.1], [0.06, -0.18, 0.15], [0.045, -0.42, 0.07]]).T
FRAME = np.array([[-0.87, 0.4, -0.04], [-0.87, -0.4, -0.04], [-0.56, -0.2, 0.19], [0.055, 0.41, 0.115]]).T
CENTRE = np.array([0.0, 0.0, 0.4])
THREE_LINK = Layout(CENTRE, FRAME + CENTRE[:, None], AXLE + CENTRE[:, None], np.full(4, 1e7))


@pytest.fixture(scope="module")
def poses() -> Poses:
    return solve(THREE_LINK, np.array([0.0, 0.08, -0.1, 0.0, 0.0]), np.array([0.0, 0.0, 0.0, 0.1, -0.1]))


@LAYOUTS
def test_links_keep_their_length_through_travel_and_lock(layout: str, poses: Poses) -> None:
    there = carried(build(layout), poses)
    found = steer(there, PITMAN[:, None])
    assert found.left.shape == (13, 5)
    assert np.all(found.reach == Reach.REACHED)
    at = ends_of(there, found)
    np.testing.assert_allclose(span(at.pitman, at.arm) - there.drag_link.length, 0, atol=1e-12)
    np.testing.assert_allclose(span(at.near, at.far) - there.tie_rod.length, 0, atol=1e-12)
    # And each end stands where what holds it does.
    near, far = (found.right, found.left) if there.near_side == "right" else (found.left, found.right)
    np.testing.assert_allclose(at.far, there.far_rod.turned(far), atol=1e-15)
    if layout != "link on rod":
        np.testing.assert_allclose(at.arm, there.arm.turned(near), atol=1e-15)
    if layout != "rod on link":
        np.testing.assert_allclose(at.near, there.near_rod.turned(near), atol=1e-15)
    if layout == "rod on link":
        on_line(at.near, at.pitman, at.arm, there.share)
    if layout == "link on rod":
        on_line(at.arm, at.near, at.far, there.share)


def on_line(point: Array, first: Array, last: Array, share: Array) -> None:
    """The point divides the line as it did when it was built."""
    whole = span(first, last)
    np.testing.assert_allclose(span(first, point) + span(point, last), whole, atol=1e-12)
    np.testing.assert_allclose(span(first, point) / whole, float(share[0]), atol=1e-12)


@LAYOUTS
def test_straight_ahead_at_ride_height_is_where_it_was_built(layout: str) -> None:
    found = steer(build(layout), 0.0)
    assert found.reach == Reach.REACHED
    np.testing.assert_allclose([found.left, found.right, found.left_wheel, found.right_wheel], 0, atol=1e-12)


@LAYOUTS
def test_branch_is_continuous_through_lock_in_every_pose(layout: str, poses: Poses) -> None:
    fine = np.radians(np.linspace(-27, 27, 601))[:, None]
    found = steer(carried(build(layout), poses), fine)
    for wheel in (found.left_wheel, found.right_wheel):
        steps = np.diff(wheel, axis=0)
        assert np.all(steps * np.sign(steps[0]) > 0)
        assert np.abs(steps).max() < 0.01


@LAYOUTS
@given(angle=st.floats(-0.45, 0.45))
def test_mirror_image_steers_the_other_way(layout: str, angle: float) -> None:
    # Turning about a mirrored direction keeps its sense of the hand only when the angle changes sign.
    here, there = steer(build(layout), angle), steer(build(layout, mirrored=True), -angle)
    for ours, theirs in (
        (here.left_wheel, there.right_wheel),
        (here.right_wheel, there.left_wheel),
        (here.left, there.right),
        (here.right, there.left),
    ):
        assert float(ours) == pytest.approx(-float(theirs), abs=1e-13)


@LAYOUTS
@given(
    angle=st.floats(-0.45, 0.45),
    yaw=st.floats(-3, 3),
    pitch=st.floats(-0.3, 0.3),
    roll=st.floats(-0.3, 0.3),
    scale=st.floats(0.1, 50.0),
)
def test_knuckles_know_nothing_of_where_the_vehicle_stands_nor_of_its_size(
    layout: str, angle: float, yaw: float, pitch: float, roll: float, scale: float
) -> None:
    here = steer(build(layout), angle)
    there = steer(build(layout, turned=rotation(yaw, pitch, roll), scale=scale), angle)
    np.testing.assert_allclose([there.left, there.right], [here.left, here.right], rtol=0, atol=1e-11)
    by_yaw = steer(build(layout, turned=rotation(yaw, 0.0, 0.0)), angle)
    drift = np.array([by_yaw.left_wheel - here.left_wheel, by_yaw.right_wheel - here.right_wheel]) - yaw
    np.testing.assert_allclose((drift + np.pi) % (2 * np.pi) - np.pi, 0, atol=1e-11)


@LAYOUTS
@pytest.mark.parametrize("side", ["left", "right"])
def test_inner_wheel_stands_at_its_lock_and_the_way_back_agrees(layout: str, side: Turn, poses: Poses) -> None:
    at_ride = build(layout)
    stop = stop_swing(at_ride, side, LOCK)
    found = at_stop(at_ride, side, stop)
    inner, outer = (found.left_wheel, found.right_wheel) if side == "left" else (found.right_wheel, found.left_wheel)
    sign = 1 if side == "left" else -1
    assert found.reach == Reach.REACHED
    assert sign * float(inner) == pytest.approx(LOCK, abs=1e-12)
    if layout in (
        "crossover",
        "push-pull",
    ):  # the arms point inboard behind the axle: nearer to Ackermann than parallel
        assert 0.2 < sign * float(outer) < LOCK
    again = steer(at_ride, found.pitman)
    assert float(again.left_wheel) == pytest.approx(float(found.left_wheel), abs=1e-14)
    there = carried(at_ride, poses)
    over_travel = at_stop(there, side, stop)
    swings = over_travel.left if side == "left" else over_travel.right
    np.testing.assert_array_equal(over_travel.reach, Reach.REACHED)
    np.testing.assert_allclose(swings, stop, atol=1e-11)
    assert over_travel.pitman[0] == pytest.approx(float(found.pitman), abs=1e-11)
    assert np.ptp(over_travel.pitman) > 1e-3  # the axle's travel moves the drag link, so the arm must make up for it
    outers = over_travel.right if side == "left" else over_travel.left
    if layout == "rod on link":  # the tie rod does not ride with the axle
        assert np.ptp(outers) > 1e-3
    else:
        np.testing.assert_allclose(outers, outers[0], atol=1e-11)


@LAYOUTS
def test_steer_of_a_carried_wheel_is_seen_against_the_vehicle(layout: str, poses: Poses) -> None:
    found = steer(carried(build(layout), poses), 0.3)
    for index in range(5):
        attitude = rotation(poses.yaw[index], poses.pitch[index], poses.roll[index])
        rolling = np.cross(attitude @ turn(SPIN["left"], LEFT_AXIS, found.left[index]), [0, 0, 1])
        assert found.left_wheel[index] == pytest.approx(np.arctan2(rolling[1], rolling[0]), abs=1e-14)


def test_drag_link_that_shares_the_vector_of_all_links_gives_no_bump_steer_straight_ahead() -> None:
    """All bars one vector: the axle only shifts, on the same circle as the arm's end. With lock the vectors part."""
    vector = np.array([0.0, -0.83, -0.045])
    fore = np.array([0.9, 0.0, -0.06])
    ends = np.array([[0.03, 0.43, -0.1], [0.03, -0.43, -0.1], [0.06, -0.18, 0.15], [0.045, -0.42, 0.07]]).T
    frame = ends - np.stack([fore, fore, fore, vector]).T
    layout = Layout(CENTRE, frame + CENTRE[:, None], ends + CENTRE[:, None], np.full(4, 1e7))
    poses = solve(layout, np.linspace(-0.1, 0.1, 9), 0.0)
    arm = np.array([0.17, -0.66, 0.5])
    steering = linkage(
        shaft=(arm - vector - np.array([0.17, 0.0, -0.1]), [0, 0, 1]),
        pitman_end=arm - vector,
        near_kingpin=(MIRROR * LEFT_KINGPIN, MIRROR * LEFT_AXIS),
        arm_end=arm,
        near_rod_end=MIRROR * LEFT_ROD,
        far_kingpin=(LEFT_KINGPIN, LEFT_AXIS),
        far_rod_end=LEFT_ROD,
        near_side="right",
    )
    found = steer(carried(steering, poses), [[0.0], [0.4]])
    np.testing.assert_allclose([found.left_wheel[0], found.right_wheel[0]], 0, atol=1e-11)
    assert np.ptp(found.left_wheel[1]) > 1e-3


def test_pitman_turned_too_far_is_not_a_number_and_names_the_drag_link() -> None:
    # Half a turn is reached one way round, with the pitman arm past its own dead point, and not the other.
    found = steer(build("crossover"), np.radians([0.0, 20.0, -180.0, 150.0, 180.0]))
    np.testing.assert_array_equal(found.reach, [*[Reach.REACHED] * 3, *[Reach.DRAG_LINK] * 2])
    for field in (found.left, found.right, found.left_wheel, found.right_wheel, found.pitman):
        np.testing.assert_array_equal(np.isnan(field), found.reach != Reach.REACHED)


def test_place_beyond_a_gap_in_the_reach_is_not_reached() -> None:
    """The pitman arm's end comes near again after almost a full turn, but cannot have come there."""
    full = 2 * np.pi
    found = steer(build("crossover"), [0.1, 0.1 - full])
    np.testing.assert_array_equal(found.reach, [Reach.REACHED, Reach.DRAG_LINK])


def flat(tie_rod: float) -> Linkage:
    """All in one plane with upright kingpins; the far rod arm of 0.1 is half as long as the near one."""
    return linkage(
        shaft=([-1.0, 0.5, 0], [0, 1, 0]),
        pitman_end=[-1.0, 0.5, -0.2],
        near_kingpin=([0, 0.5, 0], [0, 0, 1]),
        arm_end=[0, 0.7, -0.2],
        near_rod_end=[-0.2, 0.5, 0],
        far_kingpin=([0, 0.5 - tie_rod, 0], [0, 0, 1]),
        far_rod_end=[-0.1, 0.5 - tie_rod, 0],
        near_side="left",
    )


def test_tie_rod_that_comes_to_its_dead_point_is_named() -> None:
    """The short arm is pulled round until it lies in line with the rod."""
    found = steer(flat(1.0), np.linspace(-0.9, 0.9, 181))
    assert set(found.reach.tolist()) == {Reach.REACHED, Reach.TIE_ROD}
    assert np.all(np.isnan(found.left[found.reach == Reach.TIE_ROD]))
    reached = np.flatnonzero(found.reach == Reach.REACHED)
    np.testing.assert_array_equal(np.diff(reached), 1)
    margins = transmission(flat(1.0), found)
    for last in (reached[0], reached[-1]):
        assert margins.at_far[last] < 0.4
    assert margins.at_far[90] == pytest.approx(np.arctan2(1.0, 0.1), abs=1e-12)


def test_stop_beyond_a_dead_point_names_the_link() -> None:
    steering = flat(1.0)
    free = at_stop(steering, "left", [0.1, 1.2])
    np.testing.assert_array_equal(free.reach, [Reach.REACHED, Reach.TIE_ROD])
    # Inner is the far knuckle here: it can be put beyond the dead point of its own arm, where nothing can drive it.
    driven = at_stop(steering, "right", [-0.1, -1.7])
    np.testing.assert_array_equal(driven.reach, [Reach.REACHED, Reach.TIE_ROD])
    assert np.isnan(driven.pitman[1])
    # The pitman arm comes to its own dead point before the knuckle has swung so far.
    beyond = at_stop(build("push-pull"), "left", [0.2, 2.2])
    assert beyond.reach[0] == Reach.REACHED
    assert beyond.reach[1] == Reach.DRAG_LINK
    assert np.isnan(beyond.left[1])


def test_pose_that_is_not_solved_is_told_apart_from_a_link_that_does_not_reach() -> None:
    poses = solve(THREE_LINK, np.array([0.0, 3.0]), 0.0)
    assert not poses.solved[1]
    there = carried(build("crossover"), poses)
    np.testing.assert_array_equal(steer(there, [[0.1], [np.nan]]).reach, [[Reach.REACHED, Reach.UNKNOWN], [3, 3]])
    np.testing.assert_array_equal(at_stop(there, "left", 0.3).reach, [Reach.REACHED, Reach.UNKNOWN])
    np.testing.assert_array_equal(np.isnan(steer(there, 0.0).left_wheel), [False, True])


def test_steering_built_on_its_dead_point_is_not_reached() -> None:
    steering = linkage(
        shaft=([0.9, 0.3, 0], [0, 0, 1]),
        pitman_end=[0.9, 0.0, 0],
        near_kingpin=([0, 0, 0], [0, 0, 1]),
        arm_end=[0.2, 0, 0],
        near_rod_end=[-0.2, 0, 0],
        far_kingpin=([0, -1, 0], [0, 0, 1]),
        far_rod_end=[-0.2, -1, 0],
        near_side="left",
    )
    assert steer(steering, 0.0).reach == Reach.DRAG_LINK


def test_builds_beside_poses() -> None:
    """Two builds at once: points (3, builds) and poses (builds, poses) give what each gives alone."""
    shift = np.array([0.0, 0.01])
    arm = np.array(CROSSOVER["arm"])[:, None] + np.stack([np.zeros(2), np.zeros(2), shift])
    centre = np.stack([CENTRE, CENTRE]).T
    layout = Layout(centre, THREE_LINK.frame, THREE_LINK.axle, THREE_LINK.stiffness)
    heave = np.array([0.0, 0.05, -0.05])
    together = solve(layout, np.broadcast_to(heave, (2, 3)), 0.0)

    def crossed(end: Array) -> Linkage:
        return linkage(
            shaft=CROSSOVER["shaft"],
            pitman_end=CROSSOVER["pitman"],
            near_kingpin=(MIRROR * LEFT_KINGPIN, MIRROR * LEFT_AXIS),
            arm_end=end,
            near_rod_end=MIRROR * LEFT_ROD,
            far_kingpin=(LEFT_KINGPIN, LEFT_AXIS),
            far_rod_end=LEFT_ROD,
            near_side="right",
        )

    both = steer(carried(crossed(arm), together), 0.2)
    assert both.left_wheel.shape == (2, 3)
    for build_index in range(2):
        alone = steer(carried(crossed(arm[:, build_index]), solve(THREE_LINK, heave, 0.0)), 0.2)
        np.testing.assert_allclose(both.left_wheel[build_index], alone.left_wheel, atol=1e-12)
        np.testing.assert_allclose(both.right_wheel[build_index], alone.right_wheel, atol=1e-12)


def test_transmission_angles_over_travel_and_lock(poses: Poses) -> None:
    there = carried(build("crossover"), poses)
    found = steer(there, PITMAN[:, None])
    angles = transmission(there, found)
    least = [np.min(field) for field in (angles.at_arm, angles.at_pitman, angles.at_near, angles.at_far)]
    assert all(0.2 < angle < np.pi / 2 for angle in least)
    # The sine of it is the share of the link's force with a moment about the axis: by work, against a small turn.
    step = 1e-6
    arm_end, pitman_end = there.arm.turned(found.right), there.pitman.turned(PITMAN[:, None])
    onward = there.arm.turned(found.right + step)
    lengthened = np.abs(span(pitman_end, onward) - span(pitman_end, arm_end))
    travelled = span(arm_end, onward)
    np.testing.assert_allclose(np.sin(angles.at_arm), lengthened / travelled, atol=1e-4)


def test_transmission_angle_of_a_plane_four_bar_is_the_angle_between_link_and_arm() -> None:
    arm = Crank(np.zeros(3), np.array([0.0, 0.0, 2.0]), np.array([0.2, 0.0, 0.0]))
    for angle in (0.0, 0.3, np.pi / 2):
        link = 0.8 * np.array([np.cos(angle), np.sin(angle), 0.0])
        assert float(transmission_angle(link, arm.way(arm.end))) == pytest.approx(angle, abs=1e-15)
    assert np.isnan(transmission_angle([1, 1, 1], arm.way(np.array([0.0, 0.0, 1.0]))))
    assert np.isnan(transmission_angle([0, 0, 0], [1, 0, 0]))


def test_side_of_no_known_name_is_refused() -> None:
    with pytest.raises(ValueError, match="left"):
        at_stop(build("crossover"), "up", 0.1)  # type: ignore[arg-type]
    point = ([0, 0, 0], [0, 0, 1])
    with pytest.raises(ValueError, match="left"):
        linkage(
            shaft=point,
            pitman_end=[1, 0, 0],
            near_kingpin=point,
            arm_end=[1, 0, 0],
            near_rod_end=[1, 0, 0],
            far_kingpin=point,
            far_rod_end=[1, 0, 0],
            near_side="middle",  # type: ignore[arg-type]
        )


def test_circle_of_a_knuckle_s_point_is_about_its_kingpin() -> None:
    steering = build("crossover")
    np.testing.assert_allclose(
        steering.arm.turned(0.3), swung(MIRROR * LEFT_KINGPIN, MIRROR * LEFT_AXIS, CROSSOVER["arm"], 0.3), atol=1e-15
    )
