"""What a bracket carries: its net force, the moment that goes with it, and the load that rules hold it to."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from buildcheck.build import Missing, read_build
from buildcheck.job import Job, Unreached
from buildcheck.job.load_table import About, BracketForce
from buildcheck.spec.document import read_file

EXAMPLES = Path(__file__).parents[2] / "examples"
INCH = 0.0254


def data(name: str = "tamarack/proposal") -> dict[str, Any]:
    return read_file(EXAMPLES / f"{name}.buildcheck.yaml").data


def bracket_of(job: Job, name: str, side: str) -> BracketForce:
    return job.loads.on_bracket(getattr(job.build.attachments[name], side))


def joints(job: Job) -> dict[tuple[str, str], Any]:
    """Forces (cases, 3) by part and joint, in the cases of one load each, in which nothing is picked."""
    return {(row.label, row.joint): np.array(row.forces)[one_load(job)] for row in job.loads.table.joints}


def one_load(job: Job) -> list[int]:
    several = (
        "rock strike",
        "driving",
        "driving in reverse",
        "one wheel at a ledge",
        "one wheel at a kerb",
        "wheels turned standing",
        "one bump stop hit",
        "hanging on one strap",
        "articulated",
    )
    return [number for number, case in enumerate(job.loads.table.cases) if case.name not in several]


def at_ride(job: Job) -> list[int]:
    """The numbers, among those of `one_load`, of cases in which the axle stands at ride height."""
    away = ("bump stops hit", "hanging")
    return [at for at, number in enumerate(one_load(job)) if job.loads.table.cases[number].name not in away]


def test_two_joints_that_pull_against_each_other_leave_a_couple() -> None:
    spec = data()
    del spec["attachments"]["arm_axle_bracket"]["left"]["point"]
    job = Job(read_build(spec))
    found = bracket_of(job, "arm_axle_bracket", "left")
    upper, lower = (joints(job)["left arm", name] for name in ("axle_upper", "axle_lower"))
    ride = at_ride(job)
    numbers = one_load(job)
    np.testing.assert_allclose(np.array(found.forces)[numbers], upper + lower, atol=1e-6)
    lever = (np.array([3, 17.5, 18.4]) - [-3, 17.5, 15.2]) / 2 * INCH
    couple = np.linalg.norm(np.cross(lever, upper) + np.cross(-lever, lower), axis=1)
    assert found.about is About.JOINTS
    assert found.moments is not None
    np.testing.assert_allclose(np.array(found.moments)[numbers][ride], couple[ride], rtol=1e-9)
    larger = np.maximum(np.linalg.norm(upper, axis=1), np.linalg.norm(lower, axis=1))
    bears = np.maximum(larger, np.linalg.norm(upper + lower, axis=1))
    np.testing.assert_allclose(np.array(found.bears)[numbers], bears, rtol=1e-9)
    brake = [case.name for case in job.loads.table.cases].index("braking")
    assert found.bears[brake] > 5 * np.linalg.norm(found.forces[brake]) / 2


def test_two_joints_that_pull_alike_bring_their_net_force() -> None:
    """An arm so tall that the ground's force on the tyre passes between its joints: braking pulls both the same way."""
    spec = data()
    spec["links"]["arm"]["both"].update(frame=[-37, 16.5, 3], axle_upper=[0, 17.5, 20], axle_lower=[0, 17.5, -12])
    job = Job(read_build(spec))
    found, held = bracket_of(job, "arm_axle_bracket", "left"), joints(job)
    upper, lower = (np.linalg.norm(held["left arm", name], axis=1)[1] for name in ("axle_upper", "axle_lower"))
    net = float(np.linalg.norm(found.forces[1]))
    assert job.loads.table.cases[1].name == "braking"
    assert net > 1.1 * max(upper, lower)
    assert found.bears[1] == pytest.approx(net, rel=1e-12)


def test_the_moment_about_a_foot_that_is_placed() -> None:
    spec = data()
    spec["attachments"]["lateral_bar_axle_bracket"]["right"]["point"] = [5.5, -14, 17]
    spec["attachments"]["lateral_bar_frame_bracket"]["left"]["point"] = [4, 17, 27]
    job = Job(read_build(spec))
    for name, side, end, lever in (
        ("lateral_bar_axle_bracket", "right", "axle", (0.0, -2.5, 2.9)),
        ("lateral_bar_frame_bracket", "left", "frame", (1.5, -0.5, -4.25)),
    ):
        found = bracket_of(job, name, side)
        pull = joints(job)["lateral bar", end]
        moment = np.linalg.norm(np.cross(np.array(lever) * INCH, pull), axis=1)
        assert found.about is About.FOOT
        assert found.moments is not None
        picked = np.array(found.moments)[one_load(job)]
        chosen = slice(None) if end == "frame" else at_ride(job)  # the axle's brackets turn with it
        np.testing.assert_allclose(picked[chosen], moment[chosen], rtol=1e-9, atol=1e-9)
        assert found.bears == pytest.approx(tuple(np.linalg.norm(found.forces, axis=1)))


def test_a_bracket_on_the_axle_turns_with_it() -> None:
    """At full bump the lever is the axle's, turned as the axle is; here by the moving axle's own attitude."""
    spec = data()
    spec["attachments"]["lateral_bar_axle_bracket"]["right"]["point"] = [5.5, -14, 17]
    job = Job(read_build(spec))
    hit = [case.name for case in job.loads.table.cases].index("bump stops hit")
    found = bracket_of(job, "lateral_bar_axle_bracket", "right")
    pose = int(job.lines.travel.picks[-1])
    build = job.build
    joint = job.moving.point(build.lateral_bar.axle)[:, pose]
    foot = job.moving.point(build.attachments["lateral_bar_axle_bracket"].right.point)[:, pose]
    (pull,) = [row.forces[hit] for row in job.loads.table.joints if (row.label, row.joint) == ("lateral bar", "axle")]
    assert found.moments is not None
    assert found.moments[hit] == pytest.approx(float(np.linalg.norm(np.cross(joint - foot, pull))), rel=1e-9)


def test_the_height_alone_gives_the_most_that_the_moment_can_be() -> None:
    job = Job(read_build(data()))
    found = bracket_of(job, "lateral_bar_frame_bracket", "left")
    assert found.about is About.HEIGHT
    assert found.moments == pytest.approx(tuple(7.75 * INCH * np.linalg.norm(found.forces, axis=1)))
    spec = data()
    del spec["attachments"]["lateral_bar_frame_bracket"]["left"]["height"]
    assert bracket_of(Job(read_build(spec)), "lateral_bar_frame_bracket", "left").moments is None


def test_several_parts_on_one_bracket_are_added_up() -> None:
    """The net force by their directions; the load on its welds by their sizes."""
    spec = data()
    spec["attachments"]["arm_axle_bracket"]["left"]["holds"] = ["links.arm.left", "coilovers.coilover.left"]
    job = Job(read_build(spec))
    found, held = bracket_of(job, "arm_axle_bracket", "left"), joints(job)
    upper, lower, spring = (
        held["left arm", "axle_upper"],
        held["left arm", "axle_lower"],
        held["left coilover", "axle"],
    )
    numbers = one_load(job)
    np.testing.assert_allclose(np.array(found.forces)[numbers], upper + lower + spring, atol=1e-6)
    sizes = [np.linalg.norm(each, axis=1) for each in (upper, lower, spring)]
    np.testing.assert_allclose(np.array(found.bears)[numbers], np.maximum(sizes[0], sizes[1]) + sizes[2], rtol=1e-9)
    assert job.bracket_load(job.build.attachments["arm_axle_bracket"].left) == pytest.approx(
        max(*found.bears, 9500 * 4.4482216152605)
    )
    stated = job.build.with_value("attachments.arm_axle_bracket.left.design_load", 1.0)
    assert Job(stated).bracket_load(stated.attachments["arm_axle_bracket"].left) == max(found.bears)


def test_a_bracket_with_unknown_loads_is_reported() -> None:
    spec = data()
    spec["attachments"]["arm_axle_bracket"]["left"]["holds"] = ["links.arm.left", "steering.drag_link"]
    del spec["attachments"]["lateral_bar_frame_bracket"]["left"]["parent"]
    job = Job(read_build(spec))
    assert job.loads.table.unknown == (
        "left arm axle bracket: no load is known of steering.drag_link",
        "left lateral bar frame bracket: the spec lacks attachments.lateral_bar_frame_bracket.left.parent",
    )
    assert [row.label for row in job.loads.table.brackets] == [
        "right arm axle bracket",
        "left arm frame bracket",
        "right arm frame bracket",
        *(f"{side} coilover {name}" for name in ("axle bracket", "frame bracket") for side in ("left", "right")),
        "right lateral bar axle bracket",
        *(f"{side} stop {name}" for name in ("axle pad", "frame bracket") for side in ("left", "right")),
        *(f"{side} strap {name}" for name in ("axle bracket", "frame bracket") for side in ("left", "right")),
    ]
    with pytest.raises(Unreached, match=r"no load is known of steering\.drag_link"):
        bracket_of(job, "arm_axle_bracket", "left")
    with pytest.raises(Missing, match="parent"):
        bracket_of(job, "lateral_bar_frame_bracket", "left")


def test_a_load_of_zero_is_a_load_that_is_not_known() -> None:
    """A strap carries nothing except in the case `hanging`; where that case cannot be computed its load is unknown."""
    spec = data()
    spec["attachments"]["strap_bracket"] = {"both": {"holds": "limit_straps.strap", "parent": "frame"}}
    assert max(bracket_of(Job(read_build(spec)), "strap_bracket", "left").bears) > 0.0
    del spec["travel"]["droop"]
    job = Job(read_build(spec))
    assert max(bracket_of(job, "arm_frame_bracket", "left").bears) > 0.0
    with pytest.raises(Unreached, match=r"no load case that can be computed loads the left limit strap"):
        bracket_of(job, "strap_bracket", "left")


def test_a_part_without_a_load_is_not_hidden_by_another_on_its_bracket() -> None:
    spec = data()
    holds = ["limit_straps.strap", "coilovers.coilover"]
    spec["attachments"]["strap_bracket"] = {"both": {"holds": holds, "parent": "frame"}}
    del spec["travel"]["droop"]
    with pytest.raises(Unreached, match=r"no load case that can be computed loads the left limit strap"):
        bracket_of(Job(read_build(spec)), "strap_bracket", "left")


DAMPER = {
    "fixed": [2.5, 18, 17],
    "fixed_to": "axle",
    "moving": [8.5, -1, 14.2],
    "steadies": "tie-rod",
    "extended_length": 24,
    "compressed_length": 14,
    "force": "300 lbf",
}
MOUNT = {"holds": "steering.stabiliser", "parent": "axle-tube", "height": "1 in"}


def test_the_bracket_of_a_steering_damper_carries_its_force() -> None:
    """As the wheels of the standing truck are turned, and in no other case."""
    spec = read_file(EXAMPLES / "tamarack/proposal.buildcheck.yaml").data
    spec["steering"]["stabiliser"] = dict(DAMPER)
    spec["attachments"]["damper_mount"] = {"left": MOUNT}
    job = Job(read_build(spec))
    (row,) = [each for each in job.loads.table.brackets if each.label == "left damper mount"]
    for case, force in zip(job.loads.table.cases, row.forces, strict=True):
        wanted = 300 * 4.4482216152605 if case.name == "wheels turned standing" else 0.0
        assert np.linalg.norm(force) == pytest.approx(wanted)
    del spec["steering"]["stabiliser"]["force"]
    job = Job(read_build(spec))
    assert job.loads.table.unknown == ("left damper mount: the spec lacks steering.stabiliser.force",)
