"""Quantities of the moving axle, each against another way to the same number."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from buildcheck.api import amount_in, shown_in
from buildcheck.axle.rotation import turn
from buildcheck.build import Build, Point, Side, read_build
from buildcheck.job import Job, Unreached
from buildcheck.job.cycle import Cycle, cycle
from buildcheck.job.joints import most_turned, turn_since_ride
from buildcheck.job.quantities import quantities
from buildcheck.spec.document import read_file
from buildcheck.spec.quantity import Dimension, System
from buildcheck.testing import sound_build

EXAMPLES = Path(__file__).parents[2] / "examples"
SPECS = ["tamarack/proposal", "three-link-metric"]


def example(name: str) -> Build:
    return read_build(read_file(EXAMPLES / f"{name}.buildcheck.yaml").data)


def column(found: Cycle, name: str) -> np.ndarray:
    return next(each.values for each in found.columns if each.quantity.name == name)


def test_names_are_unique_and_every_meaning_is_given() -> None:
    offered = list(quantities(example(SPECS[0])))
    assert len({quantity.name for quantity in offered}) == len(offered)
    for quantity in offered:
        assert len(quantity.meaning) > len(quantity.heading)


@pytest.mark.parametrize("name", SPECS)
@pytest.mark.parametrize("side", ["left", "right"])
def test_the_motion_ratio_is_the_slope_of_the_length(name: str, side: str) -> None:
    """Central differences of the coilover's length over the rise of the axle."""
    found = cycle(example(name), steps=200)
    length, ratio = column(found, f"{side}-coilover-length"), column(found, f"{side}-coilover-motion-ratio")
    slope = np.gradient(length, found.heave)
    inside = np.abs(np.diff(found.heave, 2)) < 1e-12  # the steps change at ride height
    assert ratio[1:-1][inside] == pytest.approx(-slope[1:-1][inside], abs=2e-6)


# The three-link states no pitman arm, so its wheels cannot be turned.
@pytest.mark.parametrize(("name", "lock"), [(SPECS[0], 0.0), (SPECS[0], 0.4), (SPECS[0], -0.4), (SPECS[1], 0.0)])
def test_the_tie_rod_keeps_its_length(name: str, lock: float) -> None:
    """The road wheels' steer turns the knuckles back to where the tie rod's ends must stand; at ride height, level, the
    knuckle's own swing is found from its steer by search, so that nothing of the closed form is used."""
    from scipy.optimize import brentq

    build = example(name)
    moving = Job(build).moved(np.zeros(1), np.zeros(1), lock)
    steering = build.steering
    caster, inclination = np.tan(build.axle.caster), np.tan(build.axle.kingpin_inclination)
    ends = []
    for side, end, steer in (
        (-1.0, steering.tie_rod.right, moving.knuckle.steer[0]),
        (1.0, steering.tie_rod.left, moving.other_knuckle.steer[0]),
    ):
        axis = np.array([-caster, -side * inclination, 1.0])

        def off(angle: float, axis: np.ndarray = axis, wanted: float = steer) -> float:
            x, y, _ = turn(np.array([0.0, 1.0, 0.0]), axis, angle)
            return float(np.arctan2(-x, y)) - wanted

        swing = brentq(off, -1.0, 1.0, xtol=1e-14)
        kingpin = np.array([0.0, side * abs(steering.kingpins.left.centre.y), steering.kingpins.left.centre.z])
        ends.append(kingpin + turn(np.array(end) - kingpin, axis, swing))
    made = np.linalg.norm(np.subtract(steering.tie_rod.left, steering.tie_rod.right))
    assert np.linalg.norm(ends[0] - ends[1]) == pytest.approx(made, abs=1e-10)


def test_only_single_cardan_joints_make_ripple() -> None:
    """tan b sin b of the one single joint (Shigley and others: the extremes are 1 / cos b and cos b)."""
    build = example("tamarack/proposal")
    moving = Job(build).moved(np.array([-0.1, 0.0, 0.1]), np.zeros(3))
    _, at_pinion = moving.driveshaft_angles()
    assert moving.driveshaft_ripple() == pytest.approx(np.tan(at_pinion) * np.sin(at_pinion), rel=1e-12)
    even = build.with_value("driveshaft.pinion_joint.kind", "constant-velocity")
    assert Job(even).moved(np.zeros(1), np.zeros(1)).driveshaft_ripple() == pytest.approx([0.0], abs=0.0)


def test_joints_turn_by_the_angle_of_the_link() -> None:
    """The bar of the three-link turns most at full droop; the angle between its lines, by the cosine."""
    build = example("three-link-metric")
    moving = Job(build).moved(np.array([-0.14]), np.zeros(1))
    turns = []
    for part in (*build.links["lower"], *build.links["upper"], build.lateral_bar):
        ride = np.subtract(part.axle, part.frame)
        now = moving.point(part.axle)[:, 0] - np.array(part.frame)
        turns.append(np.arccos(ride @ now / np.linalg.norm(ride) / np.linalg.norm(now)))
    assert most_turned(moving, "frame") == pytest.approx([max(turns)], abs=1e-9)


def test_the_joints_of_radius_arms_are_among_those_that_turn() -> None:
    """Rolled, an arm turns about three axes at once: by the rotation vector of its attitude, from scipy."""
    build = example("tamarack/proposal")
    moving = Job(build).moved(np.array([0.02]), np.array([0.15]))
    turns = []
    for arm in build.links["arm"]:
        ends = (arm.frame, arm.axle_upper, arm.axle_lower)
        before = np.array(ends)
        after = np.array([ends[0], *(moving.point(end)[:, 0] for end in ends[1:])])
        middles = [(points[1] + points[2]) / 2 - points[0] for points in (before, after)]
        frames = []
        for along, points in zip(middles, (before, after), strict=True):
            first = along / np.linalg.norm(along)
            rise = points[1] - points[2]
            second = rise - first * (first @ rise)
            second /= np.linalg.norm(second)
            frames.append(np.column_stack([first, second, np.cross(first, second)]))
        turns.append(Rotation.from_matrix(frames[1] @ frames[0].T).magnitude())
    assert max(turns) > 0.1
    assert most_turned(moving, "frame")[0] >= max(turns) - 1e-12
    for arm, wanted in zip(build.links["arm"], turns, strict=True):
        assert turn_since_ride(moving, arm, "frame") == pytest.approx([wanted], abs=1e-10)


def test_the_bind_of_the_axle_is_the_largest_of_its_links_and_bar() -> None:
    found = cycle(example("tamarack/proposal"), steps=3, roll=0.15)
    parts = [column(found, name) for name in ("left-arm-bind", "right-arm-bind", "lateral-bar-bind")]
    np.testing.assert_array_equal(column(found, "bind"), np.max(parts, axis=0))
    assert column(found, "bind").min() > 1000


def test_the_bind_of_a_link_is_given_at_each_joint() -> None:
    """A joint is strained by its load over its stiffness; a bar's two joints carry the same; four links cannot bind."""
    build = example("tamarack/proposal")
    found = cycle(build, steps=2, roll=0.15)
    for part, joints in (
        (build.links["arm"].left, {"frame": "frame", "axle_upper": "upper-axle", "axle_lower": "lower-axle"}),
        (build.lateral_bar, {"frame": "frame", "axle": "axle"}),
    ):
        name = part.label.replace(" ", "-")
        loads = {key: column(found, f"{name}-{joint}-joint-bind") for key, joint in joints.items()}
        np.testing.assert_array_equal(column(found, f"{name}-bind"), np.max(list(loads.values()), axis=0))
        for key, joint in joints.items():
            strain = column(found, f"{name}-{joint}-joint-stretch")
            np.testing.assert_allclose(strain * getattr(part.joints, key).radial_stiffness, loads[key], rtol=1e-12)
            assert loads[key].min() > (1.0 if part is build.lateral_bar else 400.0)
    # A body on its joints: what it presses on the frame with, at its lever's end, is a fraction of what bends it.
    arm = [column(found, f"left-arm-{joint}-joint-bind") for joint in ("frame", "upper-axle", "lower-axle")]
    assert (3 * arm[0] < np.minimum(arm[1], arm[2])).all()
    names = {each.quantity.name for each in cycle(example("three-link-metric"), steps=1, roll=0.1).columns}
    assert {"left-lower-link-frame-joint-bind", "left-lower-link-axle-joint-stretch"} <= names
    assert not any("upper-axle-joint" in name for name in names)


def test_four_links_cannot_bind() -> None:
    found = cycle(example("three-link-metric"), steps=3, roll=0.1)
    assert not column(found, "bind").any()
    assert column(found, "right-upper-link-bind").tolist() == [0.0] * 7
    assert np.abs(column(found, "right-upper-link-stretch")).max() < 1e-9


def test_joints_that_resist_being_turned_bind_more() -> None:
    """A joint's moment is its stiffness times what it has turned: none at ride height, where it is bolted up. What it
    resists, the links carry: the bind is another than with joints that turn freely."""
    free = example("tamarack/proposal")
    stiff = free
    for joint in ("axle_upper", "axle_lower"):
        stiff = stiff.with_value(f"links.arm.both.joints.{joint}.torsional_stiffness", 2000.0)
    at = np.array([0.0, 0.0, 0.05]), np.array([0.0, 0.15, 0.0])
    moment = Job(stiff).moved(*at).handling.twist_moment
    assert moment[0] == pytest.approx(0.0, abs=1e-6)
    assert moment[1] > 50
    loads = [Job(build).moved(*at).handling.bind[1] for build in (free, stiff)]
    assert abs(loads[1] - loads[0]) > 1
    with pytest.raises(Unreached, match="no radius-arm joint has a torsional stiffness"):
        _ = Job(free).moved(*at).handling.twist_moment


def test_radius_arms_have_their_instant_centre_at_their_frame_joints() -> None:
    """Each arm is one piece with the axle in the side view, so that the axle turns about the joints at the frame. The
    arms run a little askew, and the lateral bar pulls on rubber joints: that is worth a few micrometres."""
    found = cycle(example("tamarack/proposal"), steps=1)
    frame = example("tamarack/proposal").links["arm"].left.frame
    assert column(found, "instant-centre-forward")[1] == pytest.approx(frame.x, abs=1e-5)
    assert column(found, "instant-centre-height")[1] == pytest.approx(frame.z, abs=1e-5)
    # Gillespie: anti-dive of a front axle (e/d) share L/h, the instant centre e above the floor and d behind the axle.
    vehicle = example("tamarack/proposal").vehicle
    reach = frame.z / -frame.x * vehicle.wheelbase / vehicle.centre_of_gravity_height
    assert column(found, "anti-dive")[1] == pytest.approx(vehicle.brake_share * reach, rel=2e-5)
    assert column(found, "anti-lift")[1] == pytest.approx(vehicle.drive_share * reach, rel=2e-5)


def test_the_instant_centre_is_where_the_links_meet_in_the_side_view_above_the_floor_of_that_pose() -> None:
    """Of a symmetrical four-link that rises straight, the lines of upper and lower links as seen from the side meet in
    the instant centre. The tyres stand on the floor, so that it is their static radius below the axle centre."""
    build = example("four-link-rear")
    found = cycle(build, steps=2)
    moving = Job(build).moved(found.heave, np.zeros_like(found.heave))
    lines = []
    for name in ("upper", "lower"):
        link = build.links[name].left
        lines.append((np.array(link.frame)[[0, 2]], moving.point(link.axle)[[0, 2]]))
    heights = []
    for pose, rise in enumerate(found.heave):
        (upper, upper_way), (lower, lower_way) = ((frame, axle[:, pose] - frame) for frame, axle in lines)
        along, _ = np.linalg.solve(np.column_stack([upper_way, -lower_way]), lower - upper)
        meet = upper + along * upper_way
        assert column(found, "instant-centre-forward")[pose] == pytest.approx(meet[0], abs=1e-6)
        heights.append(meet[1] - (Job(build).axle_centre.z + rise - build.vehicle.tyre.static_radius))
    assert column(found, "instant-centre-height") == pytest.approx(heights, abs=1e-6)
    assert np.ptp(found.heave) > 0.2


@pytest.mark.parametrize("name", [*SPECS, "four-link-rear"])
def test_instant_centre_and_anti_dive_use_one_floor_at_every_height(name: str) -> None:
    """Gillespie: (e/d) share L/h, the instant centre e above the floor and d from the axle towards the middle of the
    truck."""
    build = example(name)
    found, vehicle = cycle(build, steps=4), build.vehicle
    centre = Job(build).axle_centre.x + column(found, "axle-forward")
    inward = -1.0 if build.axle.position == "front" else 1.0
    away = inward * (column(found, "instant-centre-forward") - centre)
    reach = column(found, "instant-centre-height") / away * vehicle.wheelbase / vehicle.centre_of_gravity_height
    assert column(found, "anti-dive") == pytest.approx(vehicle.brake_share * reach, rel=1e-6)
    assert np.ptp(column(found, "anti-dive")) > 0.01


def test_the_yaw_is_the_difference_of_left_and_right_wheelbase() -> None:
    """Rolled and pitched at once, the axle's nose points elsewhere; the wheels stand where they stand."""
    sound = Job(read_build(read_file(EXAMPLES / "tamarack/proposal.buildcheck.yaml").data))
    heave = np.array([-0.1, 0.0, 0.08])
    moving = sound.moved(heave, np.full(3, 0.2))
    half = sound.build.vehicle.track / 2
    centre = sound.axle_centre
    left, right = (moving.point(Point(centre.x, centre.y + y, centre.z)) for y in (half, -half))
    across = left - right
    np.testing.assert_allclose(np.tan(moving.yaw), -across[0] / across[1], atol=1e-12)
    longer = moving.handling.wheelbase_change(Side.LEFT) - moving.handling.wheelbase_change(Side.RIGHT)
    assert np.all(np.sign(longer[np.abs(longer) > 1e-4]) == np.sign(-moving.yaw[np.abs(longer) > 1e-4]))


def test_a_job_has_every_quantity_by_its_name_and_names_the_nearest_for_another() -> None:
    job = Job(sound_build())
    assert job.quantity("caster").ride.value == pytest.approx(job.build.axle.caster, abs=1e-9)
    for quantity in quantities(job.build):
        if quantity.name == "twist-moment":
            continue  # no joint of this build states what it takes to turn it
        np.testing.assert_array_equal(job.quantity(quantity.name).values, quantity.over(job, job.lines.travel).values)
    roll = job.quantity("axle-yaw", job.lines.articulation)
    np.testing.assert_array_equal(roll.values, job.axle_yaw(job.lines.articulation).values)
    with pytest.raises(LookupError, match='there is no quantity "castor"; did you mean "caster"'):
        job.quantity("castor")


def test_amounts_are_read_and_shown_in_the_units_of_the_spec() -> None:
    build = sound_build()
    assert amount_in(build, "41 3/8 in", Dimension.LENGTH) == amount_in(build, 41.375, Dimension.LENGTH) == 1.050925
    assert shown_in(build, 1.050925, Dimension.LENGTH) == "41.375 in"
    assert shown_in(build.with_value("units", System.METRIC), 0.5, Dimension.LENGTH) == "500.0 mm"
