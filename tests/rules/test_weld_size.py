"""A build that just passes and one that just fails at each limit of weld-size."""

import math

import pytest
from buildcheck_rules.weld_size import rule as weld_size
from edges import (
    INCH,
    SOUND,
    THREE_LINK,
    Edge,
    all_readings,
    check_complete,
    check_edge,
    edges,
    example_data,
    one_of_each_bound,
    with_data,
)

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading
from buildcheck.job import Job
from buildcheck.output import words
from buildcheck.spec.written import REMOVED

BRACKET = "left arm axle bracket"
KSI = 6894757.293168361
AT = "attachments.arm_axle_bracket.left.weld"

EDGES = [
    *edges("least-leg", BRACKET, f"{AT}.leg", f"{AT}.leg", fail_below=(3 / 16 * INCH, INCH / 16)),
    *edges(
        "largest-leg",
        BRACKET,
        f"{AT}.leg",
        f"{AT}.leg",
        warn_above=(0.15 * INCH, INCH / 4),
        fail_above=(0.15 * INCH, INCH / 2),
    ),
    *edges("length", BRACKET, f"{AT}.length", f"{AT}.length", fail_below=(15 * INCH, INCH / 2)),
    *edges(
        "throat-stress",
        BRACKET,
        f"{AT}.length",
        f"{AT}.length",
        warn_above=(24 * INCH, 5 * INCH),
        fail_above=(24 * INCH, 5 * INCH),
    ),
    *edges(
        "base-metal",
        BRACKET,
        f"{AT}.leg",
        "attachments.arm_axle_bracket.left.bracket_yield_strength",
        base={"axle.tube.yield_strength": "100 ksi"},
        warn_above=(36 * KSI, 10 * KSI),
        fail_above=(36 * KSI, 8 * KSI),
    ),
    *edges(
        "pattern-filled",
        BRACKET,
        f"{AT}.length",
        f"{AT}.pattern_length",
        fail_above=(8 * INCH, 6 * INCH),
    ),
    *edges(
        "pattern-used",
        BRACKET,
        f"{AT}.length",
        f"{AT}.pattern_length",
        warn_below=(8 * INCH, 16 * INCH),
        fail_below=(16 * INCH, 40 * INCH),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(weld_size, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(weld_size, EDGES, [])


@pytest.mark.parametrize(
    "change",
    [{"kind": "groove"}, {"kind": "plug"}],
)
def test_a_weld_that_the_tables_do_not_know_is_not_checked(change: dict[str, str]) -> None:
    weld = {**example_data()["attachments"]["arm_frame_bracket"]["both"]["weld"], **change}
    build = read_build(with_data(example_data(), {"attachments.arm_frame_bracket.both.weld": weld}))
    found = [each for each in all_readings(weld_size, build) if each.subject == "left arm frame bracket"]
    assert {each.verdict for each in found} == {Verdict.NOT_CHECKED}
    assert change["kind"] in found[0].reason


def legs(thickness: str, leg: str, name: str) -> dict[str, tuple[Verdict, str]]:
    """The verdicts and changes of least-leg and largest-leg, with one bracket and its parent of that thickness."""
    data = example_data(name)
    data["attachments"] = {
        "frame_bracket": {
            "left": {
                "parent": "frame",
                "parent_thickness": thickness,
                "parent_material": "carbon-steel",
                "bracket_material": "carbon-steel",
                "bracket_thickness": thickness,
                "method": "welded",
                "weld": {"kind": "fillet", "leg": leg},
            }
        }
    }
    build = read_build(data)
    return {
        each.quantity: (each.verdict, "" if each.cure is None else words.change(each.cure, build.units))
        for each in all_readings(weld_size, build)
        if each.quantity in ("least-leg", "largest-leg")
    }


@pytest.mark.parametrize(
    ("thickness", "leg", "name", "least", "largest"),
    [
        # 4.76 mm is the inch column's 3/16 in, and too little for the metric one's 5 mm.
        ("10 mm", "3/16 in", THREE_LINK, (Verdict.ERROR, "make the leg 5 mm"), (Verdict.OK, "")),
        ("10 mm", "3/16 in", SOUND, (Verdict.OK, ""), (Verdict.OK, "")),
        ("10 mm", "5 mm", THREE_LINK, (Verdict.OK, ""), (Verdict.OK, "")),
        ("6 mm", "2 mm", THREE_LINK, (Verdict.ERROR, "make the leg 3 mm"), (Verdict.OK, "")),
        ("20 mm", "7 mm", THREE_LINK, (Verdict.ERROR, "make the leg 8 mm"), (Verdict.OK, "")),
        ("1/2 in", "1/8 in", SOUND, (Verdict.ERROR, "make the leg 3/16 in"), (Verdict.OK, "")),
        ("0.3 in", "0.27 in", SOUND, (Verdict.OK, ""), (Verdict.WARNING, "make the leg 3/16 in")),
        ("10 mm", "9 mm", THREE_LINK, (Verdict.OK, ""), (Verdict.WARNING, "make the leg 8 mm")),
        (
            "0.1 in",
            "1/8 in",
            SOUND,
            (Verdict.OK, ""),
            (
                Verdict.WARNING,
                "use thicker steel: no common leg lies between the smallest and the largest for the thinner part",
            ),
        ),
    ],
)
def test_legs_follow_the_column_of_the_specs_units_and_common_sizes(
    thickness: str, leg: str, name: str, least: tuple[Verdict, str], largest: tuple[Verdict, str]
) -> None:
    assert legs(thickness, leg, name) == {"least-leg": least, "largest-leg": largest}


def test_a_printed_length_is_never_too_short() -> None:
    """Four legs of 0.76 in are 3.04 in, which to the nearest sixteenth would be 3 1/16 in or less."""
    build = with_data(example_data(), {f"{AT}.leg": 0.76, f"{AT}.length": 3})
    (found,) = [
        each
        for each in all_readings(weld_size, read_build(build))
        if (each.quantity, each.subject) == ("length", BRACKET)
    ]
    assert found.cure is not None
    assert found.cure.amount == pytest.approx(3.25 * INCH)


def test_a_load_case_that_cannot_be_worked_out_leaves_every_bracket_not_checked() -> None:
    """The load of the other cases can break the limit, and is never ok."""
    data = example_data()
    del data["axle"]["final_drive_ratio"]
    readings = all_readings(weld_size, read_build(data))
    lost = ("axle.final_drive_ratio",)
    not_checked = [(each.quantity, each.missing) for each in readings if each.verdict is Verdict.NOT_CHECKED]
    assert set(not_checked) == {("throat-stress", lost), ("base-metal", lost)}
    held = [(each.verdict, each.missing) for each in readings if each.quantity == "throat-stress"]
    assert set(held) == {(Verdict.NOT_CHECKED, lost)}


BAR = "attachments.lateral_bar_frame_bracket.left"


def throat(changes: dict[str, object]) -> Reading:
    build = read_build(with_data(example_data(), changes))
    (found,) = [
        each
        for each in all_readings(weld_size, build)
        if each.quantity == "throat-stress" and each.subject == "left lateral bar frame bracket"
    ]
    return found


def test_the_lever_of_a_bracket_bends_its_weld_and_a_brace_takes_the_sideways_part() -> None:
    """20 000 lbf along the bar on 14 in of 3/16 weld of E70, all round 5 by 2 in, 7 3/4 in below the rail: by hand, in
    the pose of the load, with the tables' I of 5^2 (3 x 2 + 5) / 6 and 2^2 (3 x 5 + 2) / 6, of 21 ksi."""
    load = {f"{BAR}.design_load": "20000 lbf"}  # more than any load case brings
    braced, bare = throat(load), throat({**load, f"{BAR}.brace": REMOVED})
    job = Job(read_build(example_data()))
    rows = job.loads.table.joints
    pulls = next(row for row in rows if (row.label, row.joint) == ("lateral bar", "frame")).forces
    across = max(math.hypot(x, y) / math.dist((x, y, z), (0, 0, 0)) for x, y, z in pulls if abs(y) > 1)
    bent = math.hypot(2.5 / (5**2 * 11 / 6), 1 / (2**2 * 17 / 6))
    lines = 0.707 * 3 / 16 * 21000
    assert bare.value == pytest.approx(math.hypot(20000 / 14, 20000 * across * 7.75 * bent) / lines, rel=0.03)
    assert (braced.value or 1.0) < 0.2 * (bare.value or 0.0)


def test_what_is_offered_for_a_weld_that_is_too_short_is_enough() -> None:
    build = with_data(example_data(), {f"{AT}.length": 12})
    found = next(
        each
        for each in all_readings(weld_size, read_build(build))
        if (each.quantity, each.subject) == ("throat-stress", BRACKET)
    )
    assert found.verdict is Verdict.ERROR
    assert found.cure is not None
    assert found.cure.words == "make the weld {amount} long in total"
    assert found.cure.amount is not None
    longer = with_data(build, {f"{AT}.length": found.cure.amount / INCH})
    assert [verdict for verdict, _, _ in stresses(longer, BRACKET)] == [Verdict.OK]


def stresses(data: dict[str, object], subject: str) -> list[tuple[Verdict, float | None, tuple[str, ...]]]:
    return [
        (each.verdict, each.value, each.missing)
        for each in all_readings(weld_size, read_build(data))
        if each.quantity == "throat-stress" and each.subject == subject
    ]


@pytest.mark.parametrize("lost", ["point", "normal", "weld.pattern", "weld.pattern_length", "weld.pattern_width"])
def test_what_is_not_known_is_named_and_the_force_alone_can_break_the_limit(lost: str) -> None:
    """The larger of 9500 lbf and the load cases, on the whole length."""
    data = example_data()
    bracket = data["attachments"]["arm_axle_bracket"]["left"]
    *inner, key = lost.split(".")
    del (bracket["weld"] if inner else bracket)[key]
    named = "height" if lost == "point" else lost
    ((verdict, share, missing),) = stresses(data, BRACKET)
    assert (verdict, missing) == (Verdict.NOT_CHECKED, (f"attachments.arm_axle_bracket.left.{named}",))
    assert share == pytest.approx(9500 / 24 / (0.707 * 3 / 16 * 21000), rel=2e-3)
    ((broken, _, _),) = stresses(with_data(data, {f"{AT}.length": 3}), BRACKET)
    assert broken is Verdict.ERROR


def test_a_bracket_of_one_joint_without_height_is_not_checked() -> None:
    data = example_data()
    for key in ("height", "brace"):
        del data["attachments"]["lateral_bar_frame_bracket"]["left"][key]
    missing = ("attachments.lateral_bar_frame_bracket.left.height",)
    share = pytest.approx(6000 / (0.707 * 3 / 16 * 14) / 21000, rel=2e-3)
    assert stresses(data, "left lateral bar frame bracket") == [(Verdict.NOT_CHECKED, share, missing)]
    data["attachments"]["lateral_bar_frame_bracket"]["left"]["height"] = 0
    assert stresses(data, "left lateral bar frame bracket") == [(Verdict.OK, share, ())]


def test_one_straight_line_of_weld_is_not_checked() -> None:
    build = read_build(with_data(example_data(), {f"{AT}.pattern": "line", f"{AT}.pattern_length": 30}))
    found = [each for each in all_readings(weld_size, build) if each.subject == BRACKET]
    unchecked = [each for each in found if each.verdict is Verdict.NOT_CHECKED]
    assert {name for each in unchecked for name in (each.unchecked or (each.quantity,))} == {
        "throat-stress",
        "base-metal",
    }
    assert "does not hold a moment about itself" in unchecked[0].reason


@pytest.mark.parametrize(
    ("changes", "of"),
    [
        ({"bracket_yield_strength": "20 ksi"}, 20),
        ({"bracket_yield_strength": "90 ksi"}, 50),  # then the tube is the weaker, by its own statement
        ({"bracket_yield_strength": "90 ksi", "parent_yield_strength": "40 ksi"}, 40),
    ],
)
def test_the_weaker_metal_counts(changes: dict[str, str], of: float) -> None:
    """On the legs the stress is 0.707 of that on the throat; 0.40 of the yield strength is allowed."""
    data = with_data(
        example_data(), {f"attachments.arm_axle_bracket.left.{key}": value for key, value in changes.items()}
    )
    found = {each.quantity: each.value for each in all_readings(weld_size, read_build(data)) if each.subject == BRACKET}
    throat_stress, base = found["throat-stress"], found["base-metal"]
    assert throat_stress is not None
    assert base == pytest.approx(throat_stress * 21 * 0.707 / (0.40 * of))


def test_a_parent_of_unknown_strength_is_named() -> None:
    data = example_data()
    del data["axle"]["tube"]["yield_strength"]
    found = [
        (each.verdict, each.missing)
        for each in all_readings(weld_size, read_build(data))
        if (each.subject, each.quantity) == (BRACKET, "base-metal")
    ]
    assert found == [(Verdict.NOT_CHECKED, ("attachments.arm_axle_bracket.left.parent_yield_strength",))]


ARM = "attachments.arm_axle_bracket.left"
UNLOADED = {
    f"{ARM}.design_load": "100 lbf",
    f"{ARM}.weld.length": 2,
    f"{ARM}.weld.pattern_length": 0.5,
    f"{ARM}.weld.pattern_width": 0.5,
}


def lacking(lost: str, changes: dict[str, object]) -> list[tuple[str, Verdict, str]]:
    """The findings on the left arm's axle bracket, other than ok, with a key of the spec left out."""
    data = with_data(example_data(), changes)
    held, keys = data, lost.split(".")
    for key in keys[:-1]:
        held = held[key]
    del held[keys[-1]]
    return [
        (each.quantity, each.verdict, each.place)
        for each in all_readings(weld_size, read_build(data))
        if each.subject == BRACKET and each.verdict is not Verdict.OK
    ]


@pytest.mark.parametrize("lost", ["vehicle.total_mass", f"{ARM}.holds"])
def test_a_design_load_alone_is_never_ok(lost: str) -> None:
    """Nobody knows what the load cases would bring on it."""
    assert lacking(lost, UNLOADED) == [
        ("throat-stress", Verdict.NOT_CHECKED, f"{ARM}.weld.length"),
        ("base-metal", Verdict.NOT_CHECKED, f"{ARM}.weld.leg"),
    ]


@pytest.mark.parametrize("lost", ["vehicle.total_mass", f"{ARM}.holds"])
def test_a_design_load_that_breaks_the_limit_by_itself_is_still_an_error(lost: str) -> None:
    found = lacking(lost, {f"{ARM}.design_load": "90000 lbf"})
    assert found == [
        ("throat-stress", Verdict.ERROR, f"{ARM}.weld.length"),
        ("base-metal", Verdict.ERROR, f"{ARM}.weld.leg"),
    ]


def test_no_design_load_and_no_load_cases_is_not_checked() -> None:
    data = example_data()
    del data["vehicle"]["total_mass"]
    del data["attachments"]["arm_axle_bracket"]["left"]["design_load"]
    found = [each for each in all_readings(weld_size, read_build(data)) if each.subject == BRACKET]
    assert [each.quantity for each in found if each.verdict is Verdict.OK] == [
        "least-leg",
        "largest-leg",
        "length",
        "pattern-filled",
        "pattern-used",
    ]
    assert [each.missing for each in found if each.verdict is not Verdict.OK] == [("vehicle.total_mass",)]


def test_a_bracket_of_unknown_metal_is_not_taken_for_steel() -> None:
    assert lacking(f"{ARM}.bracket_material", {}) == [("", Verdict.NOT_CHECKED, f"{ARM}.bracket_material")]
