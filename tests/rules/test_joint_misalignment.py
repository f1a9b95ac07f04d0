"""A build that just passes and one that just fails at each limit of joint-misalignment."""

from typing import Any

import pytest
from buildcheck_rules.joint_misalignment import rule as joint_misalignment
from edges import (
    ARTICULATED,
    DEGREE,
    STRAIGHT,
    Edge,
    all_readings,
    check_complete,
    check_edge,
    edges,
    example,
    example_data,
    one_of_each_bound,
    with_data,
)

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict

LIMIT = "misalignment-left"
ARM, BAR = "links.arm.both.joints", "lateral_bar.joints"
STUDS = {
    "steering.drag_link.joints": {
        "pitman": {"kind": "rod-end", "axis": [0, 0, 1], "misalignment": 30},
        "arm": {"kind": "rod-end", "axis": [0, 0, 1], "misalignment": 30},
    },
    "steering.tie_rod.joints": {
        "left": {"kind": "rod-end", "axis": [0, 0, 1], "misalignment": 30},
        "right": {"kind": "rod-end", "axis": [0, 0, 1], "misalignment": 30},
    },
}

# (subject, rating, which reading, a rating that is good and one that is not): in straight travel, and in articulation.
TRAVEL = [
    ("right arm", f"{ARM}.frame.misalignment", 0, 22, 2),
    ("left arm", f"{ARM}.axle_upper.misalignment", 1, 8, 0.5),
    ("right arm", f"{ARM}.axle_lower.misalignment", 2, 8, 0.5),
    ("lateral bar", f"{BAR}.frame.misalignment", 0, 16, 0.2),
    ("lateral bar", f"{BAR}.axle.misalignment", 1, 16, 0.2),
]
STEERING = [
    (f"steering {rod.replace('_', ' ')}", f"steering.{rod}.joints.{end}.misalignment", number, 30, 0.5)
    for rod, ends in (("drag_link", ("pitman", "arm")), ("tie_rod", ("left", "right")))
    for number, end in enumerate(ends)
]


def both_bounds(way: tuple[str, str, int, float, float], base: dict[str, Any]) -> list[Edge]:
    subject, rating, number, good, bad = way
    bracket = (good * DEGREE, bad * DEGREE)
    return edges(LIMIT, subject, rating, rating, number=number, base=base, warn_below=bracket, fail_below=bracket)


WAYS: list[tuple[list[tuple[str, str, int, float, float]], dict[str, Any]]] = [
    (TRAVEL, STRAIGHT),
    (TRAVEL, ARTICULATED),
    (STEERING, STUDS),
]
EDGES = [edge for ways, base in WAYS for way in ways for edge in both_bounds(way, base)]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(joint_misalignment, edge)


def unchecked(changes: dict[str, Any], *without: str) -> list[tuple[str, str]]:
    data = with_data(example_data(), changes)
    for path in without:
        *steps, last = path.split(".")
        held: Any = data
        for step in steps:
            held = held[step]
        del held[last]
    return [
        (reading.subject, reading.place)
        for reading in all_readings(joint_misalignment, read_build(data))
        if reading.verdict is Verdict.NOT_CHECKED
    ]


def test_every_joint_that_is_not_rated_is_named() -> None:
    found = unchecked({}, f"{ARM}.frame.misalignment", f"{ARM}.axle_lower.misalignment", BAR)
    assert found == [
        ("left arm", f"{ARM}.frame.misalignment"),
        ("left arm", f"{ARM}.axle_lower.misalignment"),
        ("right arm", f"{ARM}.frame.misalignment"),
        ("right arm", f"{ARM}.axle_lower.misalignment"),
        ("lateral bar", f"{BAR}.frame.misalignment"),
        ("lateral bar", f"{BAR}.axle.misalignment"),
    ]


def test_a_rated_joint_of_the_steering_needs_the_direction_of_its_stud() -> None:
    joints = {"arm": {"kind": "rod-end", "misalignment": 30}}
    assert unchecked({"steering.drag_link.joints": joints}) == [
        ("steering drag link", "steering.drag_link.joints.arm.axis")
    ]


def test_without_the_bolt_the_whole_turn_counts() -> None:
    """A link in line with the vehicle turns about a bolt straight across it, which is no misalignment; where the
    direction of the bolt is not stated, the whole turn counts."""
    build = example("three-link-metric.buildcheck.yaml")
    listed = all_readings(joint_misalignment, build)
    joint = build.links["upper"].right.joints.frame
    without = type(joint)(joint.path, joint.label, joint.side, {k: v for k, v in joint.given().items() if k != "axis"})
    without_bolt = all_readings(joint_misalignment, build.with_value("links.upper.right.joints.frame", without))
    changed = [(a.value, b.value) for a, b in zip(listed, without_bolt, strict=True) if a.value != b.value]
    assert len(changed) == 1
    assert all(b is not None and a is not None and b < a - 2 * DEGREE for a, b in changed)


@pytest.mark.parametrize(
    ("rating", "articulation", "change", "words"),
    [
        (7, 12, True, "fit a joint that is rated for {amount} more"),
        (7, 20, False, "no joint of its kind turns this far: fit a spherical one"),
        (7, 40, False, "turn its bracket"),
    ],
)
def test_no_change_asks_for_a_joint_that_does_not_exist(
    rating: int, articulation: int, change: bool, words: str
) -> None:
    """A rubber joint turns 15 deg at most and a spherical one 40 deg; beyond that another layout is needed."""
    joint = f"{ARM}.axle_upper.misalignment"
    build = read_build(with_data(example_data(), {joint: rating, "travel.articulation": articulation}))
    found = [each for each in all_readings(joint_misalignment, build) if each.place == joint]
    right = next(each for each in found if each.subject == "right arm")
    assert right.cure is not None
    assert (right.cure.change is not None) is change
    assert right.cure.words.startswith(words)


def test_without_articulation_straight_travel_is_still_checked() -> None:
    data = with_data(example_data(), {})
    del data["travel"]["articulation"]
    found = all_readings(joint_misalignment, read_build(data))
    assert [each.value is not None for each in found].count(True) == len(found) == 8
    assert {(each.verdict, each.missing) for each in found} == {(Verdict.NOT_CHECKED, ("travel.articulation",))}


def test_every_limit_has_its_edges() -> None:
    check_complete(joint_misalignment, EDGES, ())
