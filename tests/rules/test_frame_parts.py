"""A build that just passes and one that just fails at each limit of frame-parts."""

import pytest
from buildcheck_rules.frame_parts import rule as frame_parts
from edges import INCH, THREE_LINK, Edge, all_readings, check_complete, check_edge, edges, example, one_of_each_bound

from buildcheck.build import Build

IN = INCH
CROSSMEMBER, HEIGHT = "vehicle.obstacles.crossmember", "attachments.lateral_bar_frame_bracket.left.height"

BRACE = "attachments.lateral_bar_frame_bracket.left.brace"


def raised(build: Build, height: float) -> Build:
    """The crossmember at another height, m."""
    for end in ("start", "end"):
        build = build.with_value(f"{CROSSMEMBER}.{end}.z", height)
    return build


EDGES = [
    *edges(
        "crossmember-to-rail",
        "crossmember",
        CROSSMEMBER,
        raised,
        number=(0, 1),
        warn_above=(36 * IN, 40.5 * IN),
        fail_above=(40.5 * IN, 45 * IN),
    ),
    *edges(
        "foot-off-frame",
        "left lateral bar frame bracket",
        HEIGHT,
        HEIGHT,
        warn_above=(7.75 * IN, 5 * IN),
        fail_above=(5 * IN, 2 * IN),
    ),
    *edges(
        "brace-off-frame",
        "left lateral bar frame bracket",
        f"{BRACE}.far_end",
        f"{BRACE}.far_end.z",
        warn_above=(31 * IN, 27.5 * IN),
        fail_above=(27.5 * IN, 20 * IN),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(frame_parts, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(frame_parts, EDGES, [])


def test_a_frame_that_is_not_drawn_is_not_asked_for() -> None:
    assert {reading.applies for reading in all_readings(frame_parts, example(THREE_LINK))} == {False}
