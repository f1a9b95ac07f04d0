"""A build that just passes and one that just fails at each limit of limit-strap-length."""

import pytest
from buildcheck_rules.limit_strap_length import limit_strap_length
from edges import DEGREE, INCH, Edge, Need, check_complete, check_edge, check_need, edges

LEFT = "left limit strap"

EDGES = [
    *edges(
        "coilover-left",
        LEFT,
        "coilovers.coilover.both.extended_length",
        warn_below=(35.5 * INCH, 34 * INCH),
        fail_below=(35.5 * INCH, 33.5 * INCH),
    ),
    *edges(
        "brake-line-slack",
        LEFT,
        "brake_lines.line.both.free_length",
        warn_below=(25 * INCH, 22 * INCH),
        fail_below=(25 * INCH, 21 * INCH),
    ),
    *edges(
        "driveshaft-slip-left",
        LEFT,
        "driveshaft.longest_length",
        warn_below=(36 * INCH, 32.5 * INCH),
        fail_below=(36 * INCH, 32 * INCH),
    ),
    *edges(
        "driveshaft-angle-left",
        LEFT,
        "driveshaft.output_joint.largest_angle",
        warn_below=(28 * DEGREE, 12 * DEGREE),
        fail_below=(28 * DEGREE, 10 * DEGREE),
    ),
    *edges("droop-lost", LEFT, "limit_straps.strap.both.length", warn_above=(19.5 * INCH, 18 * INCH)),
    *edges(
        "both-together",
        "whole build",
        "limit_straps.strap.right.length",
        warn_above=(19.5 * INCH, 20 * INCH),
        fail_above=(19.5 * INCH, 20.5 * INCH),
    ),
]
NEEDS = [Need("comes-tight", LEFT, met={}, not_met={"limit_straps.strap.both.length": 30})]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(limit_strap_length, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(limit_strap_length, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(limit_strap_length, EDGES, NEEDS)
