"""A build that just passes and one that just fails at each limit of truck-support."""

import pytest
from buildcheck_rules.truck_support import rule as truck_support
from edges import Edge, Need, all_readings, check_complete, check_edge, check_need, edges, example

from buildcheck.build import Stage
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Verdict
from buildcheck.plugins.loading import collect
from buildcheck.testing import build_of, changed, sound_spec

POUND = 0.45359237
STANDS = "support.stands"
FIRST, SECOND = "support stands 1", "support stands 2"

# The example's axle carries 2,650 lb.
EDGES = [
    *edges(
        "stand-rating",
        FIRST,
        f"{STANDS}[0].rating",
        f"{STANDS}[0].rating",
        warn_below=(5000 * POUND, 3000 * POUND),
        fail_below=(3000 * POUND, 2000 * POUND),
    ),
]
NEEDS = [
    Need(
        "pair-of-stands",
        FIRST,
        met={f"{STANDS}": [{"where": "frame", "count": 2, "rating": "12000 lb"}]},
        not_met={f"{STANDS}": [{"where": "frame", "count": 1, "rating": "12000 lb"}]},
        finds=((FIRST, "pair-of-stands", f"{STANDS}[0].count"),),
    ),
    *(
        Need(
            name,
            "support",
            met={f"support.{field}": True},
            not_met={f"support.{field}": False},
            finds=(("support", name, f"support.{field}"),),
        )
        for name, field in (
            ("wheels-chocked", "wheels_chocked"),
            ("level-floor", "level_floor"),
            ("stands-clear", "stands_clear"),
            ("springs-unloaded", "springs_unloaded"),
        )
    ),
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(truck_support, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(truck_support, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(truck_support, EDGES, NEEDS)


def test_a_truck_of_which_no_stands_are_stated_is_not_checked() -> None:
    found = all_readings(truck_support, example("minimal.buildcheck.yaml"))
    assert found
    assert {each.verdict for each in found} == {Verdict.NOT_CHECKED}
    assert {path for each in found for path in each.missing} >= {"support.wheels_chocked", "support.level_floor"}


def test_stands_that_are_too_weak_are_found_at_the_proposal_by_the_rules_that_are_in_use() -> None:
    light = {"support.stands": [{"where": "frame rails", "count": 2, "rating": "500 lb"}]}
    build = build_of(changed(sound_spec(), light))
    found = inspect(build, collect().rules, only={"truck-support"}, stage=Stage.PROPOSAL, changes=False).readings
    assert [(each.quantity, each.verdict) for each in found] == [("stand-rating", Verdict.ERROR)]
