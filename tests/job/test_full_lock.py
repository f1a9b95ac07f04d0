"""The wheels at full lock: against textbook Ackermann steering, and against the motion's own whole linkage."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from buildcheck.build import Build, Missing, Side, read_build
from buildcheck.document import read_file
from buildcheck.job import Job, Unreached
from buildcheck.motion.lock import carried

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
    outboard = build.vehicle.track / 2 - half
    assert found.radius == pytest.approx(wheelbase / np.sin(outer) + outboard, abs=1e-9)


@pytest.mark.parametrize("name", ["tamarack/proposal", "three-link-metric"])
@pytest.mark.parametrize("side", SIDES)
def test_the_job_carries_the_steering_as_the_motion_does(name: str, side: Side) -> None:
    job = Job(example(name))
    ours = job.full_lock
    theirs = carried(ours.drawn, job.moving_about.poses)
    for crank in ("arm", "near_rod", "far_rod"):
        for field in ("pivot", "axis", "end"):
            np.testing.assert_allclose(
                getattr(getattr(ours.carried, crank), field), getattr(getattr(theirs, crank), field), rtol=0, atol=1e-12
            )
    found, _ = ours.at_lock(side)
    assert not found.reach.any()
    inner = found.left_wheel if side is Side.LEFT else found.right_wheel
    sign = 1.0 if side is Side.LEFT else -1.0
    assert inner[0] == pytest.approx(sign * job.build.steering.lock_angle, abs=1e-12)


def test_the_least_angles_are_those_of_the_poses() -> None:
    job = Job(example("tamarack/proposal"))
    _, links = job.full_lock.at_lock(Side.LEFT)
    drag, tie = job.full_lock.least_angles(Side.LEFT)
    assert drag.value == min(links.at_arm.min(), links.at_pitman.min())
    assert tie.value == min(links.at_near.min(), links.at_far.min())


def test_a_lock_that_is_not_come_to_says_what_stands_in_the_way() -> None:
    build = example("tamarack/proposal").with_value("steering.pitman_arm.pivot.x", 15 * 0.0254)
    lock = Job(build).full_lock
    assert lock.in_the_way(Side.RIGHT).startswith("the drag link comes to its dead point, or does not reach")
    with pytest.raises(Unreached, match="full lock to the right: the drag link"):
        lock.full_lock(Side.RIGHT)


@pytest.mark.parametrize(
    ("path", "value", "sentence"),
    [
        ("steering.drag_link.ends_on", "tie-rod", "a drag link that ends on the tie rod is not solved yet"),
        ("steering.tie_rod.joined_to", "drag-link", "a tie rod that is joined to the drag link is not solved yet"),
    ],
)
def test_layouts_that_are_not_solved_say_so(path: str, value: str, sentence: str) -> None:
    job = Job(example("tamarack/proposal").with_value(path, value))
    with pytest.raises(Unreached, match=sentence):
        _ = job.moving.knuckle.steer
    with pytest.raises(Unreached, match=sentence):
        _ = job.full_lock


def test_what_the_spec_lacks_is_named() -> None:
    build = example("tamarack/proposal")
    steering = build.steering
    kept = {key: value for key, value in steering.given().items() if key != "pitman_arm"}
    job = Job(build.changed(steering=type(steering)(steering.path, steering.label, steering.side, kept)))
    with pytest.raises(Missing, match=r"steering\.pitman_arm"):
        _ = job.full_lock.drawn
