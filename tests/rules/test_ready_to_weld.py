"""A build that just passes and one that just fails at each limit of ready-to-weld."""

from typing import Any

import pytest
from buildcheck_rules.ready_to_weld import OFF
from buildcheck_rules.ready_to_weld import rule as ready_to_weld
from edges import (
    INCH,
    Edge,
    Need,
    all_readings,
    check_complete,
    check_edge,
    check_need,
    edges,
    example,
    example_data,
    one_of_each_bound,
)

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict

BRACKET = "left arm axle bracket"
AT = "attachments.arm_axle_bracket.left.weld.tacks"
STATE = "axle.heat_sensitive_parts.{}.state"
TACKED = "records.tacked"
LISTED = f"{TACKED}.near_welds"
LABELS = {name.replace("_", " ") for name in OFF}
PARTS = {"axle_shaft_seals": "axle shaft seals", "wheel_speed_wiring": "wheel speed wiring"}

# A truck without any of these parts.
NOTHING: dict[str, Any] = {"axle.driven": False, "steering": {}, "coilovers": {}, "bump_stops": {}, "links": {}}

EDGES = [
    *edges(
        "tacks",
        BRACKET,
        f"{AT}.count",
        f"{AT}.count",
        base={TACKED: {"near_welds": OFF}},
        warn_below=(5.0, 3.0),
        fail_below=(5.0, 1.0),
    ),
    *edges(
        "tack-length",
        BRACKET,
        f"{AT}.length",
        f"{AT}.length",
        base={TACKED: {"near_welds": OFF}},
        warn_below=(INCH / 2, INCH / 4),
        fail_below=(INCH / 2, INCH / 8),
    ),
]
NEEDS = [
    Need(
        "heat-sensitive-parts",
        subject,
        met={TACKED: {"near_welds": OFF}, **{STATE.format(name): "shielded" for name in PARTS}},
        not_met={TACKED: {"near_welds": OFF}, **{STATE.format(name): "fitted" for name in PARTS}},
        finds=tuple((label, "heat-sensitive-parts", STATE.format(name)) for name, label in PARTS.items()),
    )
    for subject in PARTS.values()
]
NEEDS += [
    Need(
        "heat-sensitive-parts",
        name.replace("_", " "),
        met={TACKED: {"near_welds": {**OFF, name: "shielded"}}},
        not_met={TACKED: {"near_welds": {**OFF, name: "fitted"}}},
        finds=((name.replace("_", " "), "heat-sensitive-parts", f"{LISTED}.{name}"),),
    )
    for name in OFF
]
THERE = ("outer_joints", "seals", "kingpin_bushings", "gas_charged_dampers", "rubber_bushings")
NEEDS += [
    Need(
        "none-there",
        name.replace("_", " "),
        met={TACKED: {"near_welds": {**OFF, name: "none-there"}}, **NOTHING},
        not_met={TACKED: {"near_welds": {**OFF, name: "none-there"}}},
        finds=((name.replace("_", " "), "none-there", f"{LISTED}.{name}"),),
    )
    for name in THERE
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(ready_to_weld, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_each_requirement_is_met_in_one_build_and_not_in_the_other(need: Need) -> None:
    check_need(ready_to_weld, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(ready_to_weld, EDGES, NEEDS)


def test_what_is_always_asked_for_is_not_checked_until_it_is_answered() -> None:
    """A shop's own names may be left out, and do not stand in for the fixed list."""
    for build in (example(), example().with_value("axle.heat_sensitive_parts", {})):
        found = [each for each in all_readings(ready_to_weld, build) if each.verdict is Verdict.NOT_CHECKED]
        assert [each.missing for each in found] == [(f"{LISTED}.{name}",) for name in OFF]


def test_where_nothing_is_welded_none_of_them_is_asked_for() -> None:
    data = example_data()
    for bracket in (side for sides in data["attachments"].values() for side in sides.values()):
        bracket["method"] = "bolted"
    found = [each for each in all_readings(ready_to_weld, read_build(data)) if each.subject in LABELS]
    assert {(each.verdict, each.reason) for each in found} == {(Verdict.OK, "nothing is welded")}
    assert len(found) == len(OFF)


def test_without_welding_on_the_axle_heat_sensitive_parts_are_not_checked() -> None:
    """Brackets of unstated method may be welded, so that the parts are then not checked."""
    data = example_data()
    brackets = [side for sides in data["attachments"].values() for side in sides.values()]
    for bracket in brackets:
        bracket["method"] = "bolted"
    assert parts_of(data) == {(Verdict.OK, "nothing is welded to the axle")}
    on_axle = data["attachments"]["arm_axle_bracket"]["left"]
    del on_axle["method"]
    lacks = "the spec lacks attachments.arm_axle_bracket.left.method"
    assert parts_of(data) == {(Verdict.NOT_CHECKED, lacks)}
    on_axle["method"] = "bolted-and-welded"
    assert parts_of(data) == {(Verdict.OK, "")}


def parts_of(data: dict[str, Any]) -> set[tuple[Verdict, str]]:
    readings = all_readings(ready_to_weld, read_build(data))
    return {(each.verdict, each.reason) for each in readings if each.subject in PARTS.values()}
