"""The wheels at full lock: against textbook Ackermann steering, and against the motion's own whole linkage."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from buildcheck.build import Build, Missing, Side, read_build
from buildcheck.job import Job, Unreached
from buildcheck.spec.document import read_file
from buildcheck.steering.lock import steer

EXAMPLES = Path(__file__).parents[2] / "examples"
SIDES = (Side.LEFT, Side.RIGHT)


def example(name: str) -> Build:
    return read_build(read_file(EXAMPLES / f"{name}.buildcheck.yaml").data)


def upright(arm: float) -> Build:
    """The Tamarack with upright kingpins and its tie rod `arm` (m) outboard of them, ahead of the axle."""
    build = example("tamarack/proposal")
    build = build.with_value("axle.caster", 0.0).with_value("axle.kingpin_inclination", 0.0)
    reach = build.steering.kingpins.left.centre.y + arm
    return build.with_value("steering.tie_rod.left.y", reach).with_value("steering.tie_rod.right.y", -reach)


@pytest.mark.parametrize("arm", [0.0, 0.02, 0.04])
@pytest.mark.parametrize("side", SIDES)
def test_the_outer_wheel_follows_as_in_a_flat_trapezium(arm: float, side: Side) -> None:
    """Seen from above, a flat four-bar: the outer angle by a root of the tie rod's length, from scipy."""
    build = upright(arm)
    half = build.steering.kingpins.left.centre.y
    ahead = build.steering.tie_rod.left.x
    lock = build.steering.lock_angle

    def length(inner: float, outer: float) -> float:
        def end(centre: float, x: float, y: float, angle: float) -> np.ndarray:
            return np.array([x * np.cos(angle) - y * np.sin(angle), centre + x * np.sin(angle) + y * np.cos(angle)])

        near = end(half, ahead, arm, inner)
        far = end(-half, ahead, -arm, outer)
        return float(np.linalg.norm(near - far))

    straight = length(0.0, 0.0)
    outer = brentq(lambda angle: length(lock, angle) - straight, 0.0, 1.0, xtol=1e-14)
    found = Job(build).full_lock.full_lock(side)
    assert found.inner == pytest.approx(lock, abs=1e-12)
    assert found.outer == pytest.approx(outer, abs=1e-10)
    wheelbase = build.vehicle.wheelbase
    ideal = np.arctan(1 / (1 / np.tan(lock) + 2 * half / wheelbase))
    assert found.ackermann == pytest.approx((lock - outer) / (lock - ideal), abs=1e-9)
    # The point that the truck turns about, and the outer tyre's middle on its turned axle, in plane coordinates.
    outboard = build.vehicle.track / 2 - half
    tyre = np.array([wheelbase + outboard * np.sin(outer), half + outboard * np.cos(outer)])
    to_inner, to_outer = wheelbase / np.tan(lock) + half, wheelbase / np.tan(outer) - half
    for radius, aside in (
        (found.radius, (to_inner + to_outer) / 2), (found.by_inner, to_inner), (found.by_outer, to_outer),
    ):  # fmt: skip
        assert radius == pytest.approx(np.hypot(tyre[0], tyre[1] + aside), abs=1e-9)


@pytest.mark.parametrize("side", SIDES)
def test_a_bench_can_be_turned_whose_spec_states_no_travel(side: Side) -> None:
    data = read_file(EXAMPLES / "tamarack/proposal.buildcheck.yaml").data
    stated = Job(read_build(data)).full_lock.full_lock(side)
    del data["travel"]
    assert Job(read_build(data)).full_lock.full_lock(side) == stated


@pytest.mark.parametrize("side", SIDES)
def test_full_lock_at_ride_height_is_that_of_the_first_pose(side: Side) -> None:
    job = Job(example("tamarack/proposal"))
    found, links = job.full_lock.at_lock(side)
    assert not found.reach.any()
    told = job.full_lock.full_lock(side)
    inner, outer = (
        (found.left_wheel, found.right_wheel) if side is Side.LEFT else (-found.right_wheel, -found.left_wheel)
    )
    assert (inner[0], outer[0]) == pytest.approx((told.inner, told.outer), abs=1e-12)
    assert told.inner == pytest.approx(job.build.steering.lock_angle, abs=1e-12)
    assert min(links.at_arm[0], links.at_pitman[0]) == pytest.approx(told.drag_link, abs=1e-12)
    assert min(links.at_near[0], links.at_far[0]) == pytest.approx(told.tie_rod, abs=1e-12)


def test_links_made_to_other_lengths_move_the_steering_to_where_the_axle_rests() -> None:
    """A lateral bar made 10 mm longer than drawn pushes the axle aside, and with it the knuckles but not the pitman
    arm; straight ahead the drag link then turns the wheels."""
    build = example("tamarack/proposal")
    drawn = Job(build).full_lock.at_ride
    bar = build.lateral_bar
    job = Job(build.with_value("lateral_bar.length", float(np.linalg.norm(np.subtract(bar.frame, bar.axle))) + 0.01))
    rests = job.full_lock.at_ride
    shift = rests.arm.pivot - drawn.arm.pivot
    assert abs(shift[1]) == pytest.approx(0.01, abs=2e-3)
    np.testing.assert_array_equal(rests.pitman.end, drawn.pitman.end)
    assert float(rests.drag_link.length) == float(drawn.drag_link.length)
    held = job.moved(np.zeros(1), np.zeros(1)).knuckle.swing[0]
    assert abs(held) > 0.02
    near = steer(rests, 0.0).right
    assert near == pytest.approx(held, abs=1e-12)


@pytest.mark.parametrize("side", SIDES)
def test_an_axle_that_rests_yawed_takes_its_stops_along(side: Side) -> None:
    """One arm of the faulty proposal is made too long: both wheels stand turned with the axle before they steer."""
    job = Job(example("tamarack/proposal-with-faults"))
    yaw = job.moved(np.zeros(1), np.zeros(1)).yaw[0]
    lock = job.build.steering.lock_angle
    assert abs(yaw) > 0.3 * np.pi / 180
    told = job.full_lock.full_lock(side)
    assert told.inner == pytest.approx(lock + (yaw if side is Side.LEFT else -yaw), abs=1e-4)
    held = job.moved(np.zeros(1), np.zeros(1), lock if side is Side.LEFT else -lock)
    inner, outer = held.knuckle.steer[0], held.other_knuckle.steer[0]
    assert job.build.steering.drag_link.knuckle == "right"
    if side is Side.LEFT:
        inner, outer = outer, inner
    assert (abs(inner), abs(outer)) == pytest.approx((told.inner, told.outer), abs=1e-11)


def test_the_least_angles_are_those_of_the_poses() -> None:
    job = Job(example("tamarack/proposal"))
    _, links = job.full_lock.at_lock(Side.LEFT)
    drag, tie = job.full_lock.least_angles(Side.LEFT)
    assert drag.value == min(links.at_arm.min(), links.at_pitman.min())
    assert tie.value == min(links.at_near.min(), links.at_far.min())


def test_a_lock_out_of_reach_names_the_obstacle() -> None:
    build = example("tamarack/proposal").with_value("steering.pitman_arm.pivot.x", 15 * 0.0254)
    lock = Job(build).full_lock
    assert lock.in_the_way(Side.RIGHT).startswith("the drag link reaches its dead point, or is too short or too long")
    with pytest.raises(Unreached, match="full lock to the right: the drag link"):
        lock.full_lock(Side.RIGHT)


def test_links_that_each_end_on_the_other_steer_nothing() -> None:
    build = example("tamarack/proposal").with_value("steering.drag_link.ends_on", "tie-rod")
    job = Job(build.with_value("steering.tie_rod.joined_to", "drag-link"))
    sentence = "the drag link ends on the tie rod and the tie rod on the drag link"
    with pytest.raises(Unreached, match=sentence):
        _ = job.moving.knuckle.steer
    with pytest.raises(Unreached, match=sentence):
        _ = job.full_lock.at_ride


def test_what_the_spec_lacks_is_named() -> None:
    build = example("tamarack/proposal")
    steering = build.steering
    kept = {key: value for key, value in steering.given().items() if key != "pitman_arm"}
    job = Job(build.changed(steering=type(steering)(steering.path, steering.label, steering.side, kept)))
    with pytest.raises(Missing, match=r"steering\.pitman_arm"):
        _ = job.full_lock.at_ride
