"""A build that just passes and one that just fails at each limit of bolted-bracket."""

import pytest
from buildcheck_rules.bolted_bracket import bolted_bracket
from edges import (
    INCH,
    POUND_FORCE,
    Edge,
    Need,
    all_readings,
    check_complete,
    check_edge,
    check_need,
    edges,
    example_data,
)

from buildcheck.build import read_build
from buildcheck.limit import Verdict

BRACKET = "right arm axle bracket"
AT = "attachments.arm_axle_bracket.right"
POUND_FOOT = 1.3558179483314004

EDGES = [
    # On iron and on steel, and beside a weld.
    *(
        edge
        for base in ({}, {f"{AT}.parent_material": "cast-steel"}, {f"{AT}.method": "bolted-and-welded"})
        for edge in edges(
            "bolts-carry",
            BRACKET,
            f"{AT}.bolts",
            f"{AT}.design_load",
            base=base,
            warn_above=(9500 * POUND_FORCE, 40000 * POUND_FORCE),
            fail_above=(9500 * POUND_FORCE, 60000 * POUND_FORCE),
        )
    ),
    *edges(
        "edge-distance",
        BRACKET,
        f"{AT}.bolts.edge_distance",
        f"{AT}.bolts.edge_distance",
        warn_below=(INCH, 0.8 * INCH),
        fail_below=(INCH, 0.7 * INCH),
    ),
    *edges(
        "preload",
        BRACKET,
        f"{AT}.bolts.torque",
        f"{AT}.bolts.torque",
        warn_below=(210 * POUND_FOOT, 150 * POUND_FOOT),
        fail_below=(210 * POUND_FOOT, 90 * POUND_FOOT),
        warn_above=(210 * POUND_FOOT, 270 * POUND_FOOT),
        fail_above=(210 * POUND_FOOT, 320 * POUND_FOOT),
    ),
]
NEEDS = [
    Need(
        "locked",
        BRACKET,
        met={f"{AT}.bolts.locked_by": "safety-wire"},
        not_met={f"{AT}.bolts.locked_by": "nothing"},
        finds=((BRACKET, "locked", f"{AT}.bolts.locked_by"),),
    ),
    Need(
        "stays-locked",
        BRACKET,
        met={f"{AT}.bolts.locked_by": "tab-washer"},
        not_met={f"{AT}.bolts.locked_by": "split-lock-washer"},
        finds=((BRACKET, "stays-locked", f"{AT}.bolts.locked_by"),),
    ),
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(bolted_bracket, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(bolted_bracket, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(bolted_bracket, EDGES, NEEDS)


def test_a_load_case_that_cannot_be_worked_out_is_not_checked_and_the_others_are_held() -> None:
    data = example_data()
    del data["axle"]["final_drive_ratio"]
    readings = all_readings(bolted_bracket, read_build(data))
    lacking = [(each.subject, each.missing) for each in readings if each.verdict is Verdict.NOT_CHECKED]
    assert lacking == [("load case driving", ("axle.final_drive_ratio",))]
    assert any(each.quantity == "bolts-carry" for each in readings)


@pytest.mark.parametrize(
    ("load", "found"),
    [
        ("1 lbf", [("", Verdict.NOT_CHECKED)]),
        ("60000 lbf", [("bolts-carry", Verdict.ERROR), ("", Verdict.NOT_CHECKED)]),
    ],
)
@pytest.mark.parametrize("lost", ["holds", "total_mass"])
def test_a_design_load_alone_can_break_the_limit_and_is_never_ok(
    load: str, found: list[tuple[str, Verdict]], lost: str
) -> None:
    data = example_data()
    bracket = data["attachments"]["arm_axle_bracket"]["right"]
    bracket["design_load"] = load
    del (bracket if lost == "holds" else data["vehicle"])[lost]
    readings = [each for each in all_readings(bolted_bracket, read_build(data)) if each.subject == BRACKET]
    assert [(each.quantity, each.verdict) for each in readings if each.verdict is not Verdict.OK] == found
