"""A build that just passes and one that just fails at each limit of parts-in-place."""

import pytest
from buildcheck_rules.parts_in_place import rule as parts_in_place
from edges import INCH, Edge, both, check_complete, check_edge, edges, example, one_of_each_bound, readings_of

from buildcheck.build import Build

IN = INCH
RAIL, HOSE = "vehicle.obstacles.left_frame_rail", "brake_lines.line.both"
ROD, KINGPIN = "steering.tie_rod", "steering.kingpins.both.centre"
THINNER = {"vehicle.obstacles.crossmember.radius": 1}  # no higher than the rail
IN_THE_MIDDLE = {"axle.centre_section.where": "middle", "axle.centre_section.centre": [0, 0, 16.6]}


def longer_rod(build: Build, outboard: float) -> Build:
    """The tie rod with its left end at another distance from the middle."""
    return build.with_value(f"{ROD}.left.y", outboard)


def both_ends_at(build: Build, height: float) -> Build:
    """The tie rod with both ends at another height."""
    return build.with_value(f"{ROD}.left.z", height).with_value(f"{ROD}.right.z", height)


EDGES = [
    *edges(
        "obstacles-apart",
        "crossmember",
        "vehicle.obstacles.crossmember",
        f"{RAIL}.lower.y",
        number=2,
        base=THINNER,
        warn_above=(12 * IN, 3 * IN),
        fail_above=(3 * IN, -13 * IN),
    ),
    *edges(
        "drawn-alike",
        "frame rail",
        "vehicle.obstacles.right_frame_rail",
        f"{RAIL}.upper.x",
        warn_above=(24 * IN, 28 * IN),
        fail_above=(28 * IN, 36 * IN),
    ),
    *edges(
        "beside-tyre",
        both("brake line"),
        f"{HOSE}.frame",
        f"{HOSE}.axle.y",
        warn_below=(26 * IN, 26.9 * IN),
        fail_below=(26.9 * IN, 28 * IN),
    ),
    *edges(
        "rod-inside-wheels",
        "steering tie rod",
        f"{ROD}.left",
        longer_rod,
        warn_below=(29.7 * IN, 33 * IN),
        fail_below=(33 * IN, 36 * IN),
    ),
    *edges(
        "rod-to-kingpin",
        "steering tie rod",
        f"{ROD}.left",
        both_ends_at,
        warn_below=(14 * IN, 10 * IN),
        fail_below=(10 * IN, 7 * IN),
        warn_above=(20 * IN, 26 * IN),
        fail_above=(26 * IN, 32 * IN),
    ),
    *edges(
        "kingpin-height",
        both("kingpin"),
        KINGPIN,
        f"{KINGPIN}.z",
        warn_above=(17 * IN, 21 * IN),
        fail_above=(21 * IN, 25 * IN),
    ),
    *edges(
        "kingpin-beside-tube",
        both("kingpin"),
        KINGPIN,
        f"{KINGPIN}.y",
        warn_below=(28.5 * IN, 25.2 * IN),
        fail_below=(25.2 * IN, 24 * IN),
        warn_above=(28.5 * IN, 32 * IN),
        fail_above=(32 * IN, 35 * IN),
    ),
    *edges(
        "housing-in-the-middle",
        "axle centre section",
        "axle.centre_section.where",
        "axle.centre_section.centre.y",
        base=IN_THE_MIDDLE,
        warn_above=(0.5 * IN, 4 * IN),
        fail_above=(4 * IN, 8 * IN),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(parts_in_place, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(parts_in_place, EDGES, [])


def test_a_tie_rod_drawn_in_the_middle_of_the_truck_makes_no_rule_fail() -> None:
    build = example().with_value(f"{ROD}.left.y", 0.0).with_value(f"{ROD}.right.y", 0.0)
    (found,) = readings_of(parts_in_place, build, "rod-to-kingpin", "steering tie rod")
    assert not found.failure
    assert found.value is not None
