"""A build that just passes and one that just fails at each limit of axle-location."""

from functools import reduce
from operator import getitem

import pytest
from buildcheck_rules.axle_location import rule as axle_location
from edges import (
    SOUND,
    THREE_LINK,
    Edge,
    Need,
    all_readings,
    check_complete,
    check_edge,
    check_need,
    edges,
    example,
    example_data,
    one_of_each_bound,
    readings_of,
    turned,
)

from buildcheck.build import Build, Stage, read_build
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading
from buildcheck.job import Job
from buildcheck.job.load_cases import ARTICULATED, ONE_STOP_HIT, ONE_STRAP

REAR = "four-link-rear.buildcheck.yaml"
# A lateral bar beside triangulated links, which hold the axle without it.
BAR = {"frame": [-108, 15, 22], "axle": [-108, -18, 20], "joints": {"frame": {"radial_stiffness": "8000 N/mm"}}}

# Four bars hold the axle here, and each keeps its length; more than four stretch before they run out of reach.
EDGES = [
    *edges(
        "firmness",
        "whole build",
        "links",
        "lateral_bar.axle.y",
        warn_below=(0.39, 0.405),
        fail_below=(0.39, 0.409),
        build=THREE_LINK,
    ),
    *edges(
        "bind",
        "whole build",
        "lateral_bar",
        "lateral_bar.joints.frame.radial_stiffness",
        fail_above=(8e6, 1e7),
        build=REAR,
        base={"lateral_bar": BAR},
    ),
    *edges("travel-reached", "whole build", "travel.droop", "travel.droop", build=THREE_LINK, fail_below=(0.4, 0.7)),
]
SIDEWAYS_FREE = {
    "links.arm.both.frame": [-37, 17.5, 19.7],
    "lateral_bar.frame": [40, 0, 20],
    "lateral_bar.axle": [5, 0, 19.9],
}
NEEDS = [
    Need("held", "whole build", met={}, not_met=SIDEWAYS_FREE, finds=(("whole build", "held", "links"),)),
    Need(
        "assembled",
        "whole build",
        met={},
        not_met={"lateral_bar.length": 10},
        finds=(("whole build", "assembled", "links"),),
    ),
]


def reached(end: str, stated: float) -> list[Reading]:
    """The three shares of the stated travel that are reached, with one end of it stated otherwise."""
    build = turned(example(THREE_LINK), f"travel.{end}", stated)
    return readings_of(axle_location, build, "travel-reached", "whole build")


@pytest.mark.parametrize(("number", "end", "good", "bad"), [(0, "droop", 0.3, 0.6), (1, "bump", 0.4, 0.7)])
def test_one_pose_out_of_reach_is_found(number: int, end: str, good: float, bad: float) -> None:
    """The share counts poses, so it cannot come as near to the limit as one likes: one pose less is the next value."""
    while bad - good > 1e-9:
        middle = (good + bad) / 2
        if all(reading.verdict is Verdict.OK for reading in reached(end, middle)):
            good = middle
        else:
            bad = middle
    assert [reading.value for reading in reached(end, good)] == [1.0] * 3
    just_bad = reached(end, bad)
    assert [reading.value for reading in just_bad] == [20 / 21 if n == number else 1.0 for n in range(3)]
    worst = just_bad[number]
    assert (worst.verdict, worst.place) == (Verdict.ERROR, f"travel.{end}")
    assert worst.pose is not None
    assert worst.pose.name == f"full {end}"


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES[:3], ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(axle_location, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_each_requirement_is_met_in_one_build_and_not_in_the_other(need: Need) -> None:
    check_need(axle_location, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(axle_location, EDGES, NEEDS)


def test_a_bar_beside_triangulated_links_is_one_member_too_many_and_sizes_no_part() -> None:
    """The loads of the bind are left out, so that no joint is asked to carry them, and say which member is at fault."""
    data = example_data(REAR)
    data["lateral_bar"] = {"frame": BAR["frame"], "axle": BAR["axle"]}
    build = read_build(data)
    [bind] = readings_of(axle_location, build, "bind", "whole build")
    assert (bind.verdict, bind.place) == (Verdict.ERROR, "lateral_bar")
    assert bind.cure is not None
    assert bind.cure.words.startswith("leave the lateral bar out")
    assert "the lateral bar is one member too many" in bind.effect
    loads = Job(build).loads
    bound = [
        f"{name}: the lateral bar is one member too many (rule axle-location)"
        for name in (ONE_STOP_HIT, ONE_STRAP, ARTICULATED)
    ]
    assert [each for each in loads.table.absent if "too many" in each] == bound
    held = ("ledge", "braking", "rest", "kerb", "cornering", "driving")
    assert any(word in loads.at_joint(build.lateral_bar, "axle").case.name for word in held)


def test_a_layout_without_a_member_to_spare_has_no_bind() -> None:
    """Four bars hold the axle exactly; two radius arms and a bar share their work in the joints."""
    for name in (REAR, THREE_LINK, SOUND):
        assert Job(example(name)).spare_member is None


@pytest.mark.parametrize("stage", list(Stage))
@pytest.mark.parametrize(
    ("name", "gone", "found"),
    [
        (THREE_LINK, ["lateral_bar"], "the axle can move sideways; lateral_bar is not in the spec"),
        (THREE_LINK, ["links.lower"], "the axle can pitch; the axle can yaw"),
        (THREE_LINK, ["links.upper"], "the axle can pitch"),
        (SOUND, ["links.arm"], "the axle can move fore and aft; the axle can pitch; the axle can yaw"),
        (
            REAR,
            ["links.upper"],
            "the axle can move sideways; the axle can pitch; lateral_bar is not in the spec",
        ),
        (
            SOUND,
            ["links.arm", "lateral_bar"],
            "the axle can move fore and aft; the axle can move sideways; the axle can pitch; the axle can yaw; "
            "lateral_bar is not in the spec",
        ),
        (
            THREE_LINK,
            ["lateral_bar", "links.lower.both.frame"],
            "at least 1 of fore and aft, sideways, pitch and yaw free, by the number of links; "
            "lateral_bar is not in the spec",
        ),
    ],
    ids=str,
)
def test_a_free_axle_is_an_error_at_every_stage_and_says_which_motion_is_free(
    stage: Stage, name: str, gone: list[str], found: str
) -> None:
    readings = inspect(without(name, *gone), [axle_location], stage=stage).readings
    assert [(reading.quantity, reading.verdict, reading.found) for reading in readings] == [
        ("held", Verdict.ERROR, found)
    ]


def test_level_links_in_one_plane_do_not_hold_pitch() -> None:
    """Three links that run straight fore and aft at one height: the axle can pitch about the line of their ends."""
    data = example_data(THREE_LINK)
    for part in (data["links"]["lower"]["both"], data["links"]["upper"]["right"]):
        part["frame"][1:] = part["axle"][1:] = [part["axle"][1], 370]
    [reading] = all_readings(axle_location, read_build(data))
    assert (reading.quantity, reading.verdict, reading.found) == ("held", Verdict.ERROR, "the axle can pitch")


def test_arms_that_hardly_hold_the_axle_sideways_are_an_error_without_a_bar() -> None:
    readings = all_readings(axle_location, without(SOUND, "lateral_bar"))
    [firmness] = [reading for reading in readings if reading.quantity == "firmness"]
    assert firmness.verdict is Verdict.ERROR
    assert firmness.effect.startswith("the axle can move sideways")
    assert firmness.effect.endswith("lateral_bar is not in the spec")


def test_a_spec_that_names_no_links_yet_is_not_checked() -> None:
    [reading] = all_readings(axle_location, without(SOUND, "links"))
    assert (reading.verdict, reading.missing) == (Verdict.NOT_CHECKED, ("links",))


def test_a_missing_point_of_enough_links_is_not_checked() -> None:
    [reading] = all_readings(axle_location, without(THREE_LINK, "links.lower.both.frame"))
    assert (reading.verdict, reading.missing) == (Verdict.NOT_CHECKED, ("links.lower.both.frame",))


def without(name: str, *paths: str) -> Build:
    """An example without what is at these spec paths."""
    data = example_data(name)
    for path in paths:
        *above, last = path.split(".")
        del reduce(getitem, above, data)[last]
    return read_build(data)
