"""A build that just passes and one that just fails at each limit of link-flatness."""

import pytest
from buildcheck_rules.link_flatness import link_flatness
from edges import INCH, Edge, check_complete, check_edge, edges

FRAME_END = "links.arm.both.frame.z"

EDGES = [
    *edges(
        "slope-at-ride",
        "left arm",
        FRAME_END,
        warn_above=(19 * INCH, 21 * INCH),
        fail_above=(21 * INCH, 25 * INCH),
    ),
    *edges(
        "slope-in-travel",
        "left arm",
        FRAME_END,
        warn_above=(20 * INCH, 24 * INCH),
        fail_above=(24 * INCH, 29 * INCH),
    ),
    *edges(
        "fore-and-aft",
        "whole build",
        FRAME_END,
        warn_below=(17 * INCH, 20 * INCH),
        fail_below=(20 * INCH, 24 * INCH),
        warn_above=(24 * INCH, 27 * INCH),
        fail_above=(29 * INCH, 34 * INCH),
    ),
    *edges(
        "roll-steer",
        "whole build",
        FRAME_END,
        warn_below=(19 * INCH, 21 * INCH),
        fail_below=(21 * INCH, 25 * INCH),
        warn_above=(16 * INCH, 12 * INCH),
        fail_above=(13 * INCH, 9 * INCH),
    ),
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(link_flatness, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(link_flatness, EDGES, ())
