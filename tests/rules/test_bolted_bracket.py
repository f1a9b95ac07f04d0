"""A build that just passes and one that just fails at each limit of bolted-bracket."""

import pytest
from buildcheck_rules.bolted_bracket import rule as bolted_bracket
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
    one_of_each_bound,
    with_data,
)

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading

BRACKET = "right arm axle bracket"
AT = "attachments.arm_axle_bracket.right"
BAR_BRACKET = "right lateral bar axle bracket"
BAR = "attachments.lateral_bar_axle_bracket.right"

EDGES = [
    # On iron and on steel, and beside a weld; without a lever, so that shear is all that the bolts bear.
    *(
        edge
        for base in ({}, {f"{BAR}.parent_material": "cast-steel"}, {f"{BAR}.method": "bolted-and-welded"})
        for edge in edges(
            "bolts-carry",
            BAR_BRACKET,
            f"{BAR}.bolts",
            f"{BAR}.design_load",
            base={f"{BAR}.height": 0, **base},
            warn_above=(6000 * POUND_FORCE, 18000 * POUND_FORCE),
            fail_above=(6000 * POUND_FORCE, 28000 * POUND_FORCE),
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
]
IN_TENSION = ((BRACKET, "bolts-carry", f"{AT}.bolts"), (BAR_BRACKET, "bolts-carry", f"{BAR}.bolts"))
NEEDS = [
    Need(
        "held-from-turning",
        BRACKET,
        met={f"{AT}.bolts.count": 2},
        not_met={f"{AT}.bolts.count": 1},
        finds=(*IN_TENSION, (BRACKET, "held-from-turning", f"{AT}.bolts.count")),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(bolted_bracket, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_each_requirement_is_met_in_one_build_and_not_in_the_other(need: Need) -> None:
    check_need(bolted_bracket, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(bolted_bracket, EDGES, NEEDS)


def test_a_load_case_that_cannot_be_worked_out_leaves_every_bracket_not_checked() -> None:
    """The load of the other cases can break the limit, and is never ok."""
    data = example_data()
    del data["axle"]["final_drive_ratio"]
    readings = all_readings(bolted_bracket, read_build(data))
    lost = ("axle.final_drive_ratio",)
    not_checked = [(each.quantity, each.missing) for each in readings if each.verdict is Verdict.NOT_CHECKED]
    assert set(not_checked) == {("bolts-carry", lost)}
    held = [(each.verdict, each.missing) for each in readings if each.quantity == "bolts-carry"]
    assert set(held) == {(Verdict.NOT_CHECKED, lost)}


@pytest.mark.parametrize(
    ("load", "found"),
    [
        ("1 lbf", [("bolts-carry", Verdict.NOT_CHECKED)]),
        ("60000 lbf", [("bolts-carry", Verdict.ERROR)]),
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


def found_of(data: dict[str, object], subject: str, quantity: str) -> list[Reading]:
    readings = all_readings(bolted_bracket, read_build(data))
    return [each for each in readings if (each.subject, each.quantity) == (subject, quantity)]


@pytest.mark.parametrize(
    "change",
    [
        {f"{BAR}.height": 12, f"{BAR}.braced": False},
        {f"{BAR}.height": 0.001},
        {f"{BAR}.point": [5.5, -16.5, 18]},
    ],
    ids=["12 in high and not braced", "hardly any height", "the foot given"],
)
def test_bolts_that_a_lever_pulls_on_are_not_checked(change: dict[str, object]) -> None:
    (found,) = found_of(with_data(example_data(), change), BAR_BRACKET, "bolts-carry")
    assert found.verdict is Verdict.NOT_CHECKED
    assert "bolts are computed in shear alone" in found.reason


def test_bolts_of_a_bracket_of_unknown_height_are_not_checked() -> None:
    data = example_data()
    del data["attachments"]["lateral_bar_axle_bracket"]["right"]["height"]
    (found,) = found_of(data, BAR_BRACKET, "bolts-carry")
    assert (found.verdict, found.missing) == (Verdict.NOT_CHECKED, (f"{BAR}.height",))
    assert found.reason.startswith(f"the spec lacks {BAR}.height; bolts are computed in shear alone")


@pytest.mark.parametrize(("load", "verdict"), [("1 lbf", Verdict.NOT_CHECKED), ("60000 lbf", Verdict.ERROR)])
def test_a_load_left_out_and_a_lever_are_both_named(load: str, verdict: Verdict) -> None:
    data = with_data(example_data(), {f"{AT}.design_load": load})
    del data["vehicle"]["total_mass"]
    (found,) = found_of(data, BRACKET, "bolts-carry")
    assert found.verdict is verdict
    assert "the spec lacks vehicle.total_mass; bolts are computed in shear alone" in (found.reason or found.effect)
    assert found.missing == (("vehicle.total_mass",) if verdict is Verdict.NOT_CHECKED else ())
    assert found.other_reason == found.reason.removeprefix("the spec lacks vehicle.total_mass; ")


def test_the_couple_of_two_joints_pulls_on_bolts_whatever_the_height() -> None:
    data = with_data(example_data(), {f"{AT}.height": 0})
    del data["attachments"]["arm_axle_bracket"]["right"]["point"]
    assert [each.verdict for each in found_of(data, BRACKET, "bolts-carry")] == [Verdict.NOT_CHECKED]


def test_a_foot_at_the_joint_has_no_lever() -> None:
    data = with_data(example_data(), {f"{BAR}.point": [5.5, -16.5, 19.9]})
    assert [each.verdict for each in found_of(data, BAR_BRACKET, "bolts-carry")] == [Verdict.OK]


def test_shear_that_breaks_the_limit_is_an_error_whatever_the_lever() -> None:
    (found,) = found_of(with_data(example_data(), {f"{BAR}.design_load": 40000}), BAR_BRACKET, "bolts-carry")
    assert found.verdict is Verdict.ERROR


def test_one_bolt_and_a_weld_hold_a_bracket_from_turning() -> None:
    data = with_data(example_data(), {f"{AT}.bolts.count": 1, f"{AT}.method": "bolted-and-welded"})
    (found,) = found_of(data, BRACKET, "held-from-turning")
    assert (found.verdict, found.found) == (Verdict.OK, "1 bolt and a weld")
