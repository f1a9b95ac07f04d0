"""A build that just passes and one that just fails at each limit of link-flatness."""

import pytest
from buildcheck_rules.link_flatness import rule as link_flatness
from edges import (
    INCH,
    THREE_LINK,
    Edge,
    check_complete,
    check_edge,
    edges,
    example_data,
    one_of_each_bound,
    readings_of,
    with_data,
)

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict

FRAME_END = "links.arm.both.frame.z"
PLACE = "links.arm.both.frame"

EDGES = [
    *edges(
        "slope-at-ride",
        ("left arm", "right arm"),
        PLACE,
        FRAME_END,
        warn_above=(19 * INCH, 21 * INCH),
        fail_above=(21 * INCH, 25 * INCH),
    ),
    *edges(
        "upper-slope-at-ride",
        "right upper link",
        "links.upper.right.frame",
        "links.upper.right.frame.z",
        build=THREE_LINK,
        warn_above=(0.6, 0.8),
    ),
    # The lateral bar swings the axle to one side, so the two arms do not reach the same slope in travel.
    *edges(
        "slope-in-travel",
        "left arm",
        PLACE,
        FRAME_END,
        warn_above=(20 * INCH, 24 * INCH),
        fail_above=(24 * INCH, 29 * INCH),
    ),
    *edges(
        "slope-in-travel",
        "right arm",
        PLACE,
        FRAME_END,
        number=0,
        warn_above=(15 * INCH, 5 * INCH),
        fail_above=(10 * INCH, 0.5 * INCH),
    ),
    *edges(
        "fore-and-aft",
        "whole build",
        PLACE,
        FRAME_END,
        number=1,
        warn_below=(17 * INCH, 20 * INCH),
        fail_below=(20 * INCH, 24 * INCH),
    ),
    *edges(
        "fore-and-aft",
        "whole build",
        PLACE,
        FRAME_END,
        number=0,
        warn_above=(24 * INCH, 27 * INCH),
        fail_above=(29 * INCH, 34 * INCH),
    ),
    *edges(
        "roll-steer",
        "whole build",
        PLACE,
        FRAME_END,
        warn_below=(19 * INCH, 21 * INCH),
        fail_below=(21 * INCH, 25 * INCH),
        warn_above=(16 * INCH, 12 * INCH),
        fail_above=(13 * INCH, 9 * INCH),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(link_flatness, edge)


@pytest.mark.parametrize("side", ["left", "right"])
def test_the_steepest_link_is_the_one_to_change(side: str) -> None:
    """One arm's frame end raised: the movement of the whole axle is reported at that arm, on either side."""
    y = 16.5 if side == "left" else -16.5
    build = read_build(with_data(example_data(), {f"links.arm.{side}.frame": [-37, y, 25]}))
    (roll_steer,) = readings_of(link_flatness, build, "roll-steer", "whole build")
    assert (roll_steer.verdict, roll_steer.place) == (Verdict.WARNING, f"links.arm.{side}.frame")


def test_every_limit_has_its_edges() -> None:
    check_complete(link_flatness, EDGES, ())
