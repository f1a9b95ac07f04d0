"""A build that just passes and one that just fails at each limit of axle-location."""

import pytest
from buildcheck_rules.axle_location import axle_location
from edges import THREE_LINK, Edge, Need, check_complete, check_edge, check_need, edges, example, readings_of, turned

from buildcheck.limit import Verdict
from buildcheck.rule import Reading

# Four bars hold the axle here, each of which keeps its length; where more do, they stretch before they run out.
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


@pytest.mark.parametrize("edge", EDGES[:2], ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(axle_location, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(axle_location, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(axle_location, EDGES, NEEDS)
