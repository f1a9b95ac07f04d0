"""A build that just passes and one that just fails at each limit of rod-parts."""

import pytest
from buildcheck_rules.rod_parts import rule as rod_parts
from edges import INCH, Edge, Need, both, check_complete, check_edge, check_need, edges, one_of_each_bound

IN = INCH
ARM, ROD, BAR = "links.arm.both.tube", "steering.tie_rod", "lateral_bar"
JOINT = f"{BAR}.joints.frame"

EDGES = [
    *edges(
        "link-size",
        both("arm tube"),
        f"{ARM}.outside_diameter",
        f"{ARM}.outside_diameter",
        warn_below=(2 * IN, 0.7 * IN),
        fail_below=(0.7 * IN, 0.4 * IN),
        warn_above=(2 * IN, 3.5 * IN),
        fail_above=(3.5 * IN, 5 * IN),
    ),
    *edges(
        "steering-rod-size",
        "steering tie rod tube",
        f"{ROD}.tube.outside_diameter",
        f"{ROD}.tube.outside_diameter",
        warn_below=(1.25 * IN, 0.7 * IN),
        fail_below=(0.7 * IN, 0.4 * IN),
        warn_above=(1.25 * IN, 2.5 * IN),
        fail_above=(2.5 * IN, 4 * IN),
    ),
    *edges(
        "stud-height",
        "steering tie rod left joint stud",
        f"{ROD}.joints.left.stud.height",
        f"{ROD}.joints.left.stud.height",
        warn_below=(0.75 * IN, 0.5 * IN),
        fail_below=(0.5 * IN, 0.3 * IN),
        warn_above=(0.75 * IN, 3 * IN),
        fail_above=(3 * IN, 5 * IN),
    ),
    *edges(
        "forging-yield",
        "steering tie rod left joint stud",
        f"{ROD}.joints.left.stud.yield_strength",
        f"{ROD}.joints.left.stud.yield_strength",
        warn_below=(900e6, 350e6),
        fail_below=(350e6, 200e6),
        warn_above=(900e6, 1400e6),
        fail_above=(1400e6, 1900e6),
    ),
    *edges(
        "thread-of-shank",
        "lateral bar frame joint",
        f"{JOINT}.thread_engaged",
        f"{JOINT}.thread_engaged",
        warn_above=(1.5 * IN, 4 * IN),
        fail_above=(4 * IN, 6 * IN),
    ),
]

NEEDS: list[Need] = [
    Need(
        "not-cast",
        "lateral bar tube",
        met={f"{BAR}.tube.material": "alloy-steel"},
        not_met={f"{BAR}.tube.material": "cast-steel"},
        finds=(("lateral bar tube", "not-cast", f"{BAR}.tube.material"),),
    ),
    Need(
        "steering-on-balls",
        "steering tie rod",
        met={f"{ROD}.joints.left.kind": "rod-end"},
        not_met={f"{ROD}.joints.left.kind": "rubber"},
        finds=(("steering tie rod", "steering-on-balls", f"{ROD}.joints.left"),),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(rod_parts, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(rod_parts, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(rod_parts, EDGES, NEEDS)
