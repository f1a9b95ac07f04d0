"""A build that just passes and one that just fails at each limit of ready-to-weld."""

import pytest
from buildcheck_rules.ready_to_weld import ready_to_weld
from edges import INCH, Edge, Need, all_readings, check_complete, check_edge, check_need, edges, example

from buildcheck.limit import Verdict

BRACKET = "left arm axle bracket"
AT = "attachments.arm_axle_bracket.left.weld.tacks"
STATE = "axle.heat_sensitive_parts.{}.state"
PARTS = ("axle_shaft_seals", "wheel_speed_wiring")

EDGES = [
    *edges("tacks", BRACKET, f"{AT}.count", f"{AT}.count", warn_below=(5.0, 3.0), fail_below=(5.0, 1.0)),
    *edges(
        "tack-length",
        BRACKET,
        f"{AT}.length",
        f"{AT}.length",
        warn_below=(INCH / 2, INCH / 4),
        fail_below=(INCH / 2, INCH / 8),
    ),
]
NEEDS = [
    Need(
        "heat-sensitive-parts",
        "whole build",
        met={STATE.format(name): "shielded" for name in PARTS},
        not_met={STATE.format(name): "fitted" for name in PARTS},
        finds=tuple(("whole build", "heat-sensitive-parts", STATE.format(name)) for name in PARTS),
    ),
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(ready_to_weld, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(ready_to_weld, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(ready_to_weld, EDGES, NEEDS)


def test_an_axle_of_which_no_heat_sensitive_part_is_named_is_not_checked() -> None:
    build = example().with_value("axle.heat_sensitive_parts", {})
    found = [each for each in all_readings(ready_to_weld, build) if each.subject == "whole build"]
    assert [(each.verdict, each.missing) for each in found] == [
        (Verdict.NOT_CHECKED, ("axle.heat_sensitive_parts",)),
    ]
