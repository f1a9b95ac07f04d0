"""A build that just passes and one that just fails at each limit of bump-stop-engagement."""

import pytest
from buildcheck_rules.bump_stop_engagement import bump_stop_engagement
from edges import (
    INCH,
    Edge,
    Need,
    check_complete,
    check_edge,
    check_need,
    edges,
    example_data,
    readings_of,
    with_data,
)

from buildcheck.build import read_build
from buildcheck.rule import Verdict

LEFT = "left bump stop"
BASE = "bump_stops.stop.both.base.z"

EDGES = [
    *edges(
        "coilover-left",
        LEFT,
        "coilovers.coilover.both.compressed_length",
        warn_below=(21.5 * INCH, 23 * INCH),
        fail_below=(21.5 * INCH, 24 * INCH),
    ),
    *edges(
        "stop-left",
        LEFT,
        BASE,
        warn_below=(26.4 * INCH, 25.9 * INCH),
        fail_below=(26.4 * INCH, 25.7 * INCH),
    ),
    *edges(
        "share-of-travel",
        LEFT,
        BASE,
        warn_below=(26.4 * INCH, 27.8 * INCH),
        fail_below=(27.5 * INCH, 28.5 * INCH),
        warn_above=(26.4 * INCH, 24.5 * INCH),
        fail_above=(24.5 * INCH, 23.3 * INCH),
    ),
    *edges(
        "both-together",
        "whole build",
        "bump_stops.stop.right.base.z",
        warn_above=(26.4 * INCH, 26.7 * INCH),
        fail_above=(26.4 * INCH, 25.4 * INCH),
    ),
    *edges(
        "on-target",
        LEFT,
        "bump_stops.stop.both.target_width",
        warn_below=(5 * INCH, 1.5 * INCH),
        fail_below=(5 * INCH, 0.5 * INCH),
    ),
    *edges(
        "gap-above",
        "whole build",
        "vehicle.obstacles.oil_pan.lower.z",
        warn_below=(24.6 * INCH, 23.7 * INCH),
        fail_below=(24.6 * INCH, 23 * INCH),
    ),
    *edges(
        "driveshaft-slip-left",
        "whole build",
        "driveshaft.shortest_length",
        warn_below=(30.5 * INCH, 31.8 * INCH),
        fail_below=(30.5 * INCH, 32.2 * INCH),
    ),
]
NEEDS = [Need("touches", LEFT, met={}, not_met={"bump_stops.stop.both.target": [0.5, 16.5, 14]})]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(bump_stop_engagement, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(bump_stop_engagement, need)


def test_a_part_that_the_axle_passes_on_its_way_up_is_found() -> None:
    """A pipe across the path of the axle tube, well clear of it at ride height, at full bump and in articulation."""
    pipe = {"shape": "capsule", "start": [-1, 0, 19], "end": [1, 0, 19], "radius": 0.25}
    data = with_data(example_data(), {"vehicle.obstacles": {"pipe": pipe}, "axle.centre_section.radius": 1})
    (reading,) = readings_of(bump_stop_engagement, read_build(data), "gap-above", "whole build")
    assert reading.verdict is Verdict.ERROR
    assert reading.pose is not None
    assert 0 < reading.pose.heave < 5 * INCH


def test_every_limit_has_its_edges() -> None:
    check_complete(bump_stop_engagement, EDGES, NEEDS)
