"""A build that just passes and one that just fails at each limit of bolted-bracket."""

import numpy as np
import pytest
from buildcheck_rules.bolted_bracket import rule as bolted_bracket
from buildcheck_rules.weld_size import rule as weld_size
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
from buildcheck.spec.written import REMOVED

BRACKET = "right arm axle bracket"
AT = "attachments.arm_axle_bracket.right"
BAR_BRACKET = "right lateral bar axle bracket"
BAR = "attachments.lateral_bar_axle_bracket.right"

EDGES = [
    # On iron and on steel, and beside a weld.
    *(
        edge
        for base in ({}, {f"{BAR}.parent_material": "cast-steel"}, {f"{BAR}.method": "bolted-and-welded"})
        for edge in edges(
            "bolts-carry",
            BAR_BRACKET,
            f"{BAR}.bolts",
            f"{BAR}.design_load",
            base=base,
            warn_above=(6000 * POUND_FORCE, 14000 * POUND_FORCE),
            fail_above=(6000 * POUND_FORCE, 18000 * POUND_FORCE),
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
    *(
        edge
        for name in ("clamped", "unstretched")
        for edge in edges(
            name,
            BRACKET,
            f"{AT}.bolts",
            f"{AT}.bolts.circle_diameter",
            warn_above=(7 * INCH, 1.2 * INCH),
            fail_above=(7 * INCH, 0.6 * INCH),
        )
    ),
    *edges(
        "thread-engaged",
        BRACKET,
        f"{AT}.bolts.thread_engaged",
        f"{AT}.bolts.thread_engaged",
        fail_below=(1.5 * INCH, 0.7 * INCH),
    ),
    *edges(
        "stripping",
        BRACKET,
        f"{AT}.bolts.thread_engaged",
        f"{AT}.bolts.thread_engaged",
        fail_above=(1.5 * INCH, 1 * INCH),
    ),
]
NEEDS = [
    Need(
        "held-from-turning",
        BRACKET,
        met={f"{AT}.bolts.count": 2},
        not_met={f"{AT}.bolts.count": 1},
        finds=(
            (BRACKET, "bolts-carry", f"{AT}.bolts"),
            (BRACKET, "clamped", f"{AT}.bolts"),
            (BRACKET, "unstretched", f"{AT}.bolts"),
            (BRACKET, "held-from-turning", f"{AT}.bolts.count"),
        ),
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
    assert set(not_checked) == {(name, lost) for name in ("bolts-carry", "clamped", "unstretched")}
    held = [(each.verdict, each.missing) for each in readings if each.quantity == "bolts-carry"]
    assert set(held) == {(Verdict.NOT_CHECKED, lost)}


def found_of(data: dict[str, object], subject: str, quantity: str) -> list[Reading]:
    readings = all_readings(bolted_bracket, read_build(data))
    return [each for each in readings if (each.subject, each.quantity) == (subject, quantity)]


def carried(changes: dict[str, object], bracket: str = BAR_BRACKET) -> Reading:
    (found,) = found_of(with_data(example_data(), changes), bracket, "bolts-carry")
    return found


def value_of(reading: Reading) -> float:
    assert reading.value is not None
    return reading.value


@pytest.mark.parametrize(
    ("at", "bracket", "lost"),
    [
        (AT, BRACKET, "normal"),
        (AT, BRACKET, "bolts.pattern"),
        (AT, BRACKET, "bolts.circle_diameter"),
        (BAR, BAR_BRACKET, "bolts.spacing"),
        (BAR, BAR_BRACKET, "bolts.row_spacing"),
        (BAR, BAR_BRACKET, "bolts.to_upright"),
        (BAR, BAR_BRACKET, "bracket_yield_strength"),
        (BAR, BAR_BRACKET, "height"),
        (AT, BRACKET, "holds"),
    ],
)
def test_what_is_not_stated_is_named_and_the_known_part_can_break_the_limit(at: str, bracket: str, lost: str) -> None:
    data = example_data()
    part = data["attachments"][at.split(".")[1]]["right"]
    *inner, key = lost.split(".")
    del (part["bolts"] if inner else part)[key]
    (found,) = found_of(data, bracket, "bolts-carry")
    assert (found.verdict, found.missing) == (Verdict.NOT_CHECKED, (f"{at}.{lost}",))
    whole = carried({}, bracket)
    assert value_of(found) <= value_of(whole)
    (broken,) = found_of(with_data(data, {f"{at}.design_load": "200000 lbf"}), bracket, "bolts-carry")
    assert broken.verdict is Verdict.ERROR


def test_an_odd_number_of_bolts_is_not_in_two_rows() -> None:
    found = carried({f"{BAR}.bolts.count": 5})
    assert found.verdict is Verdict.NOT_CHECKED
    assert "5 bolts are not in two equal rows" in found.reason


@pytest.mark.parametrize("lost", ["axle.final_drive_ratio", "vehicle.total_mass"])
def test_a_load_left_out_is_never_ok(lost: str) -> None:
    data = example_data()
    section, key = lost.split(".")
    del data[section][key]
    (found,) = found_of(data, BRACKET, "bolts-carry")
    assert (found.verdict, found.missing) == (Verdict.NOT_CHECKED, (lost,))


def test_the_couple_of_two_joints_twists_the_bolts_without_any_lever() -> None:
    """The joints of the arm are 6.8 in apart and pull against each other; the foot is in the middle of them."""
    at_the_joints = {f"{AT}.point": [0, -17.5, 16.8], f"{AT}.design_load": "1 lbf"}
    found = carried(at_the_joints, BRACKET)
    wide = carried({**at_the_joints, f"{AT}.bolts.circle_diameter": 70}, BRACKET)
    assert value_of(found) > 1.5 * value_of(wide)


def test_a_higher_bracket_loads_its_bolts_more_and_a_brace_takes_the_sideways_part() -> None:
    axis = {f"{BAR}.normal": [0, 0, 1]}  # the bar then pulls across the bolts
    low, high, braced = (
        value_of(carried({**axis, f"{BAR}.height": height, **brace}))
        for height, brace in ((4, {f"{BAR}.brace": REMOVED}), (8, {f"{BAR}.brace": REMOVED}), (8, {}))
    )
    assert braced < low < high


def test_a_thin_foot_pries_on_its_bolts() -> None:
    thick, thin = (value_of(carried({f"{BAR}.bolts.foot_thickness": each})) for each in ("1 in", "1/4 in"))
    assert thin > 1.3 * thick


def test_the_load_of_a_bolt_is_that_of_hand_work() -> None:
    """The bar pulls 6000 lbf (as designed) along itself on a bracket of 5.4 in with bolts straight up, unbraced: by
    hand, with the threads of four 9/16-12 in the shear plane (0.162 in2), 3 by 2 1/2 in apart."""
    found = carried({f"{BAR}.normal": [0, 0, 1], f"{BAR}.brace": REMOVED, f"{BAR}.bolts.foot_thickness": "1 1/2 in"})
    bar = np.array([0.0, 33.0, 2.85]) / np.hypot(33.0, 2.85)
    across, along = 6000 * bar[1], 6000 * bar[2]
    shear = across / 4
    tension = along / 4 + across * 5.4 * np.hypot(1.5 / (4 * 1.5**2), 1.25 / (4 * 1.25**2))
    expected = np.hypot(shear / (0.577 * 120e3 * 0.162), tension / (120e3 * 0.182))
    assert value_of(found) == pytest.approx(expected, rel=5e-3)


def test_iron_needs_more_thread_than_steel_and_aluminium_most() -> None:
    verdicts = {}
    for metal in ("cast-steel", "ductile-iron", "aluminium"):
        data = example_data()
        data["axle"]["centre_section"]["material"] = metal
        changed = with_data(data, {f"{AT}.bolts.thread_engaged": "1.1 in", f"{AT}.parent_tensile_strength": "120 ksi"})
        verdicts[metal] = [each.verdict for each in found_of(changed, BRACKET, "thread-engaged")]
    longer = with_data(data, {f"{AT}.bolts.thread_engaged": "1.26 in"})
    assert verdicts == {"cast-steel": [Verdict.OK], "ductile-iron": [Verdict.OK], "aluminium": [Verdict.ERROR]}
    assert [each.verdict for each in found_of(longer, BRACKET, "thread-engaged")] == [Verdict.OK]


def test_a_nut_needs_no_tapped_thread() -> None:
    data = with_data(example_data(), {f"{AT}.bolts.threaded_into": "nut"})
    readings = [each for each in all_readings(bolted_bracket, read_build(data)) if each.subject == BRACKET]
    assert not {"thread-engaged", "stripping"} & {each.quantity for each in readings}


def test_one_bolt_and_a_weld_hold_a_bracket_from_turning() -> None:
    data = with_data(example_data(), {f"{AT}.bolts.count": 1, f"{AT}.method": "bolted-and-welded"})
    (found,) = found_of(data, BRACKET, "held-from-turning")
    assert (found.verdict, found.found) == (Verdict.OK, "1 bolt and a weld")


def test_a_bracket_that_u_bolts_hold_has_no_weld_and_its_u_bolts_are_not_computed() -> None:
    data = with_data(example_data(), {"attachments.arm_axle_bracket.right.method": "u-bolts"})
    found = [
        each for each in all_readings(bolted_bracket, read_build(data)) if each.subject == "right arm axle bracket"
    ]
    assert {each.verdict for each in found} == {Verdict.NOT_CHECKED}
    assert "to be worked out by someone qualified" in found[0].reason
    welds = [each for each in all_readings(weld_size, read_build(data)) if each.subject == "right arm axle bracket"]
    assert {each.reason for each in welds} == {"it is held by U-bolts"}


def test_the_change_for_bolts_that_a_thin_foot_pries_is_a_thicker_foot() -> None:
    """One that is thick enough as it is stays: then it is more bolts."""
    foot = "attachments.lateral_bar_axle_bracket.right.bolts.foot_thickness"

    def cure(changes: dict[str, object]) -> str:
        readings = all_readings(bolted_bracket, read_build(with_data(example_data(), changes)))
        (words,) = [
            each.cure.words
            for each in readings
            if (each.subject, each.quantity) == ("right lateral bar axle bracket", "bolts-carry") and each.cure
        ]
        return words

    assert cure({foot: "1/4 in"}) == "make the foot {amount} thick, so that it pries less"
    assert "such bolts" in cure({foot: "3 in", "attachments.lateral_bar_axle_bracket.right.design_load": "15000 lbf"})
