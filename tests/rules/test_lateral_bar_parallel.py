"""A build that just passes and one that just fails at each limit of lateral-bar-parallel."""

import pytest
from buildcheck_rules.lateral_bar_parallel import rule as lateral_bar_parallel
from edges import INCH, Edge, Need, check_complete, check_edge, check_need, edges, one_of_each_bound

HEIGHT = "lateral_bar.frame.z"

EDGES = [
    *edges(
        "front-view-angle",
        "whole build",
        "lateral_bar.frame",
        HEIGHT,
        warn_above=(23 * INCH, 25 * INCH),
        fail_above=(21 * INCH, 19 * INCH),
    ),
    *edges(
        "plan-view-angle",
        "whole build",
        "lateral_bar.frame",
        "lateral_bar.frame.x",
        warn_above=(5.5 * INCH, 3 * INCH),
        fail_above=(3 * INCH, -2 * INCH),
    ),
    # The pitman arm's end moves along the drag link's own length.
    *edges(
        "length-ratio",
        "whole build",
        "lateral_bar.frame",
        "steering.drag_link.pitman.y",
        warn_below=(10 * INCH, 4 * INCH),
        fail_below=(4 * INCH, -8 * INCH),
        warn_above=(15 * INCH, 20 * INCH),
        fail_above=(20 * INCH, 30 * INCH),
    ),
    *edges(
        "bump-steer-rate",
        "whole build",
        "lateral_bar.frame",
        HEIGHT,
        warn_above=(22.75 * INCH, 21.5 * INCH),
        fail_above=(21.5 * INCH, 19.5 * INCH),
    ),
    *edges(
        "bump-steer-total",
        "whole build",
        "lateral_bar.frame",
        HEIGHT,
        warn_above=(22.75 * INCH, 21.5 * INCH),
        fail_above=(22.75 * INCH, 19.5 * INCH),
    ),
]
BAR_TURNED_ABOUT = {"lateral_bar.frame": [5.5, -16.5, 22.75], "lateral_bar.axle": [5.5, 16.5, 19.9]}
NEEDS = [
    Need(
        "same-way",
        "whole build",
        met={},
        not_met=BAR_TURNED_ABOUT,
        finds=(
            ("whole build", "same-way", "lateral_bar.frame"),
            ("whole build", "front-view-angle", "lateral_bar.frame"),
            ("whole build", "bump-steer-rate", "lateral_bar.frame"),
            ("whole build", "bump-steer-total", "lateral_bar.frame"),
        ),
    )
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(lateral_bar_parallel, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_each_requirement_is_met_in_one_build_and_not_in_the_other(need: Need) -> None:
    check_need(lateral_bar_parallel, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(lateral_bar_parallel, EDGES, NEEDS)
