"""A build that just passes and one that just fails at each limit of bump-stop-engagement."""

import pytest
from buildcheck_rules.bump_stop_engagement import rule as bump_stop_engagement
from edges import (
    INCH,
    STRAIGHT,
    Edge,
    Need,
    check_complete,
    check_edge,
    check_need,
    edges,
    example_data,
    one_of_each_bound,
    readings_of,
    with_data,
)

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict

LEFT = "left bump stop"
BASE = "bump_stops.stop.both.base"
HEIGHT = f"{BASE}.z"
# A shorter coilover and no obstacles, so that each edge is reached without the others.
ROOM = {"coilovers.coilover.both.compressed_length": 16, "vehicle.obstacles": {}}
# A stop that is crushed on the way of the articulation.
LOW = {**ROOM, "bump_stops.stop.both.base": [0.5, 16.5, 23.5]}
WHEEL_UP = {"travel.bump": 1.5, "travel.articulation": 20}

EDGES = [
    # Straight bump, where the stop is crushed; and articulation, with the stop out of the way.
    *edges(
        "coilover-left",
        "left coilover",
        BASE,
        "coilovers.coilover.both.compressed_length",
        number=0,
        warn_below=(21.5 * INCH, 23 * INCH),
        fail_below=(21.5 * INCH, 24 * INCH),
    ),
    *edges(
        "coilover-left",
        "right coilover",
        BASE,
        "coilovers.coilover.both.compressed_length",
        number=1,
        warn_below=(21.5 * INCH, 24 * INCH),
        fail_below=(21.5 * INCH, 25 * INCH),
    ),
    *edges(
        "stop-left",
        ("left bump stop", "right bump stop"),
        BASE,
        HEIGHT,
        warn_below=(26.4 * INCH, 25.9 * INCH),
        fail_below=(26.4 * INCH, 25.7 * INCH),
    ),
    *edges(
        "share-of-travel",
        ("left bump stop", "right bump stop"),
        BASE,
        HEIGHT,
        warn_below=(26.4 * INCH, 27.8 * INCH),
        fail_below=(27.3 * INCH, 28.1 * INCH),
        warn_above=(26.4 * INCH, 24.5 * INCH),
        fail_above=(24.5 * INCH, 23.3 * INCH),
    ),
    *edges(
        "stop-force",
        ("left bump stop", "right bump stop"),
        "bump_stops.stop.both.stiffness",
        "bump_stops.stop.both.stiffness",
        warn_below=(1.6e5, 0.4e5),
        fail_below=(0.4e5, 0.1e5),
        warn_above=(1.6e5, 6e5),
        fail_above=(6e5, 12e5),
    ),
    *edges(
        "pad-to-stop",
        ("left bump stop", "right bump stop"),
        "bump_stops.stop.both.target_width",
        "bump_stops.stop.both.target_width",
        warn_above=(5 * INCH, 15 * INCH),
        fail_above=(15 * INCH, 23 * INCH),
    ),
    *edges(
        "both-together",
        "bump stop",
        "bump_stops.stop.right.base",
        "bump_stops.stop.right.base.z",
        base={"bump_stops.stop.right.diameter": 2.25},
        warn_above=(26.4 * INCH, 26.7 * INCH),
        fail_above=(26.6 * INCH, 27.2 * INCH),
    ),
    *edges(
        "both-together",
        "bump stop",
        "bump_stops.stop.left.base",
        "bump_stops.stop.right.base.z",
        base={"bump_stops.stop.right.diameter": 2.25},
        warn_above=(26.4 * INCH, 26.1 * INCH),
    ),
    *edges(
        "on-target",
        LEFT,
        "bump_stops.stop.both.target_width",
        "bump_stops.stop.both.target_width",
        base=STRAIGHT,
        warn_below=(5 * INCH, 1.5 * INCH),
        fail_below=(5 * INCH, 0.1 * INCH),
    ),
    *edges(
        "on-target",
        LEFT,
        "bump_stops.stop.both.target_width",
        "bump_stops.stop.both.target_width",
        base=WHEEL_UP,
        warn_below=(5 * INCH, 1.5 * INCH),
        fail_below=(5 * INCH, 0.5 * INCH),
    ),
    # Beyond full bump it is the stop's to prevent; on the way, and in articulation, it is in the way.
    *edges(
        "gap-above",
        "oil pan",
        BASE,
        "vehicle.obstacles.oil_pan.lower.z",
        warn_below=(24.6 * INCH, 23.7 * INCH),
        fail_below=(24.6 * INCH, 23 * INCH),
    ),
    *edges(
        "gap-above",
        "left frame rail",
        "vehicle.obstacles.left_frame_rail",
        "vehicle.obstacles.left_frame_rail.lower.z",
        base=WHEEL_UP,
        warn_below=(28 * INCH, 21.5 * INCH),
        fail_below=(28 * INCH, 20.8 * INCH),
    ),
    *edges(
        "gap-above",
        "right frame rail",
        "vehicle.obstacles.right_frame_rail",
        "vehicle.obstacles.right_frame_rail.lower.z",
        base=WHEEL_UP,
        warn_below=(28 * INCH, 21.5 * INCH),
    ),
]
NEEDS = [
    Need(
        "touches",
        LEFT,
        met={},
        not_met={**ROOM, "bump_stops.stop.both.target": [0.5, 16.5, 14], "bump_stops.stop.both.target_width": 6},
        finds=tuple((f"{side} bump stop", "touches", BASE) for side in ("left", "right")),
    )
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(bump_stop_engagement, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_each_requirement_is_met_in_one_build_and_not_in_the_other(need: Need) -> None:
    check_need(bump_stop_engagement, need)


def test_a_part_that_the_axle_passes_on_its_way_up_is_found() -> None:
    """A pipe across the path of the axle tube, well clear of it at ride height, at full bump and in articulation."""
    pipe = {"shape": "capsule", "start": [-1, 0, 19], "end": [1, 0, 19], "radius": 0.25}
    data = with_data(example_data(), {"vehicle.obstacles": {"pipe": pipe}, "axle.centre_section.radius": 1})
    straight, *_ = readings_of(bump_stop_engagement, read_build(data), "gap-above", "pipe")
    assert (straight.verdict, straight.place) == (Verdict.ERROR, "vehicle.obstacles.pipe")
    assert straight.pose is not None
    assert 0 < straight.pose.heave < 5 * INCH


def test_in_articulation_the_coilover_is_read_where_the_stop_is_crushed() -> None:
    """A low stop is crushed before the wheel is fully up, so that the coilover keeps more than it would at the end."""
    end = readings_of(
        bump_stop_engagement, read_build(with_data(example_data(), ROOM)), "coilover-left", "left coilover"
    )
    low = readings_of(
        bump_stop_engagement, read_build(with_data(example_data(), LOW)), "coilover-left", "left coilover"
    )
    assert low[1].pose is not None
    assert end[1].pose is not None
    assert 0 < low[1].pose.roll < end[1].pose.roll
    assert low[1].value is not None
    assert end[1].value is not None
    assert low[1].value > end[1].value + 0.01


def test_the_first_of_two_stops_on_a_side_ends_the_travel() -> None:
    """A second pair, an inch lower, is crushed an inch sooner; the coilovers are then spared by it."""
    data = with_data(example_data(), {})
    second = {**data["bump_stops"]["stop"]["both"], "base": [2, 16.5, 25.7], "target": [2, 16.5, 19.2]}
    build = read_build(with_data(data, {"bump_stops.second_stop": {"both": second}}))
    (straight, _) = readings_of(bump_stop_engagement, build, "coilover-left", "left coilover")
    assert straight.place == "bump_stops.second_stop.both.base"


def test_every_limit_has_its_edges() -> None:
    check_complete(bump_stop_engagement, EDGES, NEEDS)
