"""Push-pull steering, and steering whose links end on each other, from the spec to what is read and drawn."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from rewritten_specs import moved_forward

from buildcheck.build import Build, Side, read_build
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Verdict
from buildcheck.job import Job, Unreached
from buildcheck.job.bodies import bodies_of
from buildcheck.job.cycle import Cycle, cycle
from buildcheck.job.drawing import drawing
from buildcheck.plugins.loading import collect
from buildcheck.spec.document import read_file
from buildcheck.testing.rewritten import mirror_image, sides_written_out

TAMARACK = Path(__file__).parents[2] / "examples" / "tamarack" / "proposal.buildcheck.yaml"
DEGREE = np.pi / 180
STUD = {"kind": "rod-end", "axis": [0, 0, 1], "misalignment": 25}


def spec(layout: str) -> dict[str, Any]:
    """The Tamarack with another steering."""
    data: dict[str, Any] = read_file(TAMARACK).data
    steering = data["steering"]
    match layout:
        case "push-pull":
            steering.update(layout="push-pull", pitman_arm={"pivot": [-34, 17, 29], "axis": [0, 1, 0]})
            steering["drag_link"].update(pitman=[-34.5, 18.5, 22], arm=[0, 21.5, 21.5], knuckle="left")
        case "link on rod":
            steering["drag_link"].update(pitman=[9.5, 14.5, 19], arm=[8.5, -22, 14.2], ends_on="tie-rod")
        case "rod on link":
            steering["tie_rod"].update(left=[8.5, 29.7, 20], right=[10.1, -20.5, 22.2], joined_to="drag-link")
    return data


LAYOUTS = pytest.mark.parametrize("layout", ["push-pull", "link on rod", "rod on link"])


def built(layout: str) -> Build:
    return read_build(spec(layout))


def wheels(found: Cycle) -> tuple[np.ndarray, np.ndarray]:
    columns = {column.quantity.name: column.values for column in found.columns}
    return columns["steer"], columns["other-wheel-steer"]


@LAYOUTS
@pytest.mark.parametrize("side", [Side.LEFT, Side.RIGHT])
def test_the_lock_of_the_cycle_and_full_lock_are_one(layout: str, side: Side) -> None:
    build = built(layout)
    lock = build.steering.lock_angle
    found = cycle(build, steps=2, lock=lock if side is Side.LEFT else -lock)
    told = Job(build).full_lock.full_lock(side)
    near, far = (abs(wheel[2]) for wheel in wheels(found))
    inner, outer = (near, far) if build.steering.drag_link.knuckle == side else (far, near)
    assert (inner, outer) == pytest.approx((lock, told.outer), abs=1e-11)
    assert found.unbroken


@LAYOUTS
def test_straight_ahead_at_ride_height_nothing_is_steered(layout: str) -> None:
    near, far = wheels(cycle(built(layout), steps=2))
    assert (near[2], far[2]) == pytest.approx((0.0, 0.0), abs=1e-12)
    assert np.abs(near).max() > 1e-4


@LAYOUTS
def test_its_mirror_image_steers_the_other_way(layout: str) -> None:
    one = cycle(built(layout), steps=2, roll=5 * DEGREE, lock=12 * DEGREE)
    image = cycle(
        read_build(mirror_image(sides_written_out(spec(layout)))), steps=2, roll=-5 * DEGREE, lock=-12 * DEGREE
    )
    for ours, theirs in zip(wheels(one), wheels(image), strict=True):
        np.testing.assert_allclose(ours, -theirs, rtol=0, atol=1e-11)


@LAYOUTS
def test_where_the_axles_are_drawn_from_changes_nothing(layout: str) -> None:
    one = cycle(built(layout), steps=2, lock=-12 * DEGREE)
    moved = cycle(read_build(moved_forward(spec(layout), 1.3)), steps=2, lock=-12 * DEGREE)
    for ours, theirs in zip(wheels(one), wheels(moved), strict=True):
        np.testing.assert_allclose(ours, theirs, rtol=0, atol=1e-11)


@LAYOUTS
def test_every_rule_of_the_steering_reads_it(layout: str) -> None:
    names = ("steering-lock", "lateral-bar-parallel", "clearance", "limit-strap-length")
    readings = inspect(built(layout), [rule for rule in collect().rules if rule.name in names]).readings
    assert {reading.rule for reading in readings} == set(names)
    for reading in readings:
        assert not reading.failure
        assert reading.verdict is not Verdict.NOT_CHECKED, reading


@LAYOUTS
def test_what_ends_the_travel_looks_at_its_links_too(layout: str) -> None:
    limits = Job(built(layout)).travel_limits
    assert limits.missing == limits.unknown == ()


@LAYOUTS
def test_the_links_are_drawn_at_their_lengths_between_what_holds_them(layout: str) -> None:
    build = built(layout)
    drawn, _ = drawing(Job(build), np.array([0.0, 0.06, -0.05]), np.array([0.0, 0.0, 0.1]), [-0.3, 0.0, 0.3])
    members = {member.label: member for member in drawn.members}

    def ends(label: str) -> list[np.ndarray]:
        return [np.asarray(drawn.points[number]) for number in members[f"steering {label}"].points]

    for label, part in (("drag link", build.steering.drag_link), ("tie rod", build.steering.tie_rod)):
        one, two = ends(label)
        lengths = np.linalg.norm(one - two, axis=1)
        assert lengths.shape == (3, 3)
        np.testing.assert_allclose(lengths, lengths[1, 0], rtol=0, atol=1e-9)
        # Between the spec's points, but for the end that is taken at the nearest point of the other's line.
        names = ("pitman", "arm") if label == "drag link" else ("left", "right")
        assert lengths[1, 0] == pytest.approx(np.linalg.norm(np.subtract(*(getattr(part, n) for n in names))), abs=2e-3)
    arms = {"steering arm", "left tie rod arm", "right tie rod arm"} & set(members)
    missing = {"push-pull": set(), "link on rod": {"steering arm"}, "rod on link": {"right tie rod arm"}}[layout]
    assert arms == {"steering arm", "left tie rod arm", "right tie rod arm"} - missing
    held, holding = ("drag link", "tie rod") if layout == "link on rod" else ("tie rod", "drag link")
    if layout != "push-pull":
        end, (first, last) = ends(held)[1], ends(holding)
        apart = np.linalg.norm(end - first, axis=1) + np.linalg.norm(end - last, axis=1)
        np.testing.assert_allclose(apart, np.linalg.norm(first - last, axis=1), rtol=0, atol=1e-9)


@LAYOUTS
def test_what_is_joined_may_touch_and_nothing_else_may(layout: str) -> None:
    job = Job(built(layout))
    pairs = {frozenset(pair) for pair in bodies_of(job.build, job.moving_about, np.array([-1.0, 0.0, 1.0])).pairs()}
    looked_at = {
        name: frozenset(pair) in pairs
        for name, pair in {
            "links": ("drag link", "tie rod"), "near tyre and drag link": (near(job), "drag link"),
            "near tyre and tie rod": (near(job), "tie rod"), "far tyre and tie rod": (far(job), "tie rod"),
        }.items()
    }  # fmt: skip
    assert looked_at == {
        "links": layout == "push-pull",
        "near tyre and drag link": layout == "link on rod",
        "near tyre and tie rod": layout == "rod on link",
        "far tyre and tie rod": False,
    }


def near(job: Job) -> str:
    return f"{job.build.steering.drag_link.knuckle} tyre"


def far(job: Job) -> str:
    return "left tyre" if near(job) == "right tyre" else "right tyre"


@pytest.mark.parametrize(
    ("layout", "rod", "joint", "known"),
    [
        ("link on rod", "drag_link", "arm", "pitman"),
        ("rod on link", "tie_rod", "right", "left"),
    ],
)
def test_a_stud_on_a_link_turns_by_what_nothing_tells(layout: str, rod: str, joint: str, known: str) -> None:
    data = spec(layout)
    for name, keys in (("drag_link", ("pitman", "arm")), ("tie_rod", ("left", "right"))):
        data["steering"][name]["joints"] = dict.fromkeys(keys, STUD)
    job = Job(read_build(data))
    for key in (joint, known):
        with pytest.raises(Unreached, match="is not known, because that can turn about its own line"):
            job.joints.tilt(getattr(job.build.steering, rod), key)
    other = job.build.steering.drag_link if rod == "tie_rod" else job.build.steering.tie_rod
    assert job.joints.tilt(other, "arm" if rod == "tie_rod" else "left").value > 0.0
