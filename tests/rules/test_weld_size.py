"""A build that just passes and one that just fails at each limit of weld-size."""

import math

import numpy as np
import pytest
from buildcheck_rules.weld_size import rule as weld_size
from edges import (
    INCH,
    POUND_FORCE,
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

BRACKET = "left arm axle bracket"
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
        warn_above=(20 * INCH, 15 * INCH),
        fail_above=(20 * INCH, 2 * INCH),
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
    assert set(not_checked) == {("throat-stress", lost)}
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
    """6000 lbf on 14 in of 3/16 weld of E70, 7 3/4 in above the foot: by hand, shear 6000 / (0.707 x 3/16 x 14),
    bending 46 500 / (0.707 x 3/16 x 14^2 / 12), of 21 ksi.

    Braced, the upright part of the load remains: at most at full droop, where the bar lies 17 degrees from level.
    """
    braced, bare = throat({}), throat({f"{BAR}.braced": False, f"{BAR}.weld.filler": "ER70S-6"})
    shear, bending = 6000 / (0.707 * 3 / 16 * 14), 46500 / (0.707 * 3 / 16 * 14**2 / 12)
    assert bare.value == pytest.approx(math.hypot(shear, bending) / 21000, rel=2e-3)
    job = Job(read_build(example_data()))
    bar = job.build.lateral_bar
    run = np.array(bar.frame) - job.moving.point(bar.axle)[:, job.lines.travel.picks[0]]
    upright = math.hypot(run[0], run[2]) / np.linalg.norm(run)
    assert upright == pytest.approx(math.sin(math.radians(17.2)), rel=0.02)
    assert braced.value == pytest.approx(math.hypot(shear, upright * bending) / 21000, rel=2e-3)
    assert (braced.verdict, bare.verdict) == (Verdict.OK, Verdict.ERROR)
    assert bare.cure is not None
    assert bare.cure.words.endswith("or brace the bracket sideways")
    assert bare.cure.amount is not None
    longer = throat({f"{BAR}.braced": False, f"{BAR}.weld.length": bare.cure.amount / INCH})
    assert longer.verdict is Verdict.OK


def test_a_brace_that_would_not_help_is_not_recommended() -> None:
    """The bracket of an arm is turned by its couple and by fore-and-aft loads."""
    build = read_build(with_data(example_data(), {f"{AT}.length": 6}))
    (found,) = [
        each for each in all_readings(weld_size, build) if (each.quantity, each.subject) == ("throat-stress", BRACKET)
    ]
    assert found.cure is not None
    assert found.cure.words == "make the weld {amount} long in total, or weld on a larger foot"


def stresses(data: dict[str, object], subject: str) -> list[tuple[Verdict, float | None, tuple[str, ...]]]:
    return [
        (each.verdict, each.value, each.missing)
        for each in all_readings(weld_size, read_build(data))
        if each.quantity == "throat-stress" and each.subject == subject
    ]


def test_an_unknown_lever_is_not_checked_unless_the_weld_breaks_without_it() -> None:
    """The arm's bracket on 30, 15 and 10 in of weld, without height and foot: its couple alone takes less than half of
    what the weld bears, more than half, and more than all."""
    data = example_data()
    del data["attachments"]["arm_axle_bracket"]["left"]["point"]
    missing = ("attachments.arm_axle_bracket.left.height",)
    for inches, verdict, low, high, lacks in (
        (30, Verdict.NOT_CHECKED, 0.0, 0.5, missing),
        (15, Verdict.WARNING, 0.5, 1.0, ()),
        (10, Verdict.ERROR, 1.0, 2.0, ()),
    ):
        ((found, share, lacking),) = stresses(with_data(data, {f"{AT}.length": inches}), BRACKET)
        assert (found, lacking) == (verdict, lacks)
        assert share is not None
        assert low < share <= high


def test_a_bracket_of_one_joint_without_height_is_not_checked() -> None:
    data = example_data()
    for key in ("height", "braced"):
        del data["attachments"]["lateral_bar_frame_bracket"]["left"][key]
    missing = ("attachments.lateral_bar_frame_bracket.left.height",)
    share = pytest.approx(6000 / (0.707 * 3 / 16 * 14) / 21000, rel=2e-3)
    assert stresses(data, "left lateral bar frame bracket") == [(Verdict.NOT_CHECKED, share, missing)]
    data["attachments"]["lateral_bar_frame_bracket"]["left"]["height"] = 0
    assert stresses(data, "left lateral bar frame bracket") == [(Verdict.OK, share, ())]


@pytest.mark.parametrize("design_load", [9500, 100])
def test_the_couple_of_two_joints_counts_whatever_is_known_of_the_height(design_load: int) -> None:
    """On 6 in of weld: by hand, the couple over 0.707 x 3/16 x 6^2 / 12 and the load over 0.707 x 3/16 x 6."""
    data = with_data(example_data(), {f"{AT}.length": 6, "attachments.arm_axle_bracket.left.design_load": design_load})
    del data["attachments"]["arm_axle_bracket"]["left"]["point"]
    job = Job(read_build(data))
    carried = job.loads.on_bracket(job.build.attachments["arm_axle_bracket"].left)
    assert carried.moments is not None
    couple, load = max(carried.moments) / INCH / POUND_FORCE, max(*carried.bears, design_load * POUND_FORCE)
    stress = math.hypot(couple / (0.707 * 3 / 16 * 3), load / POUND_FORCE / (0.707 * 3 / 16 * 6))
    for changes in ({}, {"attachments.arm_axle_bracket.left.height": 0}):
        ((verdict, share, _),) = stresses(with_data(data, changes), BRACKET)
        assert (verdict, share) == (Verdict.ERROR, pytest.approx(stress / 21000, rel=2e-3))
    assert stress / 21000 == pytest.approx({9500: 4.007, 100: 3.982}[design_load], rel=1e-2)


ARM = "attachments.arm_axle_bracket.left"
UNLOADED = {f"{ARM}.design_load": "100 lbf", f"{ARM}.weld.length": 2}


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
    assert lacking(lost, UNLOADED) == [("throat-stress", Verdict.NOT_CHECKED, f"{ARM}.weld.length")]


@pytest.mark.parametrize("lost", ["vehicle.total_mass", f"{ARM}.holds"])
def test_a_design_load_that_breaks_the_limit_by_itself_is_still_an_error(lost: str) -> None:
    found = lacking(lost, {f"{ARM}.design_load": "60000 lbf"})
    assert found == [("throat-stress", Verdict.ERROR, f"{ARM}.weld.length")]


def test_no_design_load_and_no_load_cases_is_not_checked() -> None:
    data = example_data()
    del data["vehicle"]["total_mass"]
    del data["attachments"]["arm_axle_bracket"]["left"]["design_load"]
    found = [each for each in all_readings(weld_size, read_build(data)) if each.subject == BRACKET]
    assert [each.quantity for each in found if each.verdict is Verdict.OK] == ["least-leg", "largest-leg", "length"]
    assert [each.missing for each in found if each.verdict is not Verdict.OK] == [("vehicle.total_mass",)]


def test_a_bracket_of_unknown_metal_is_not_taken_for_steel() -> None:
    assert lacking(f"{ARM}.bracket_material", {}) == [("", Verdict.NOT_CHECKED, f"{ARM}.bracket_material")]
