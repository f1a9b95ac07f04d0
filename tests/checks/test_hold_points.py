"""Hold points: what each stage needs before it can be signed off, and what blocks it."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from signed_specs import BASELINE, DAYS, SIDE, entries, plain, read, spec

from buildcheck.build import Build, Stage
from buildcheck.checks.hold_points import HoldPoint, hold_points, measured_at
from buildcheck.checks.inspection import Inspection
from buildcheck.checks.limit import Verdict, common_practice
from buildcheck.checks.rule import Area, Loosened, Reading, Waived
from buildcheck.checks.standard import SwitchedOff
from buildcheck.job.held_ends import HeldEnd
from buildcheck.job.layout import Assumption
from buildcheck.spec.quantity import Dimension

TODAY = date(2026, 4, 2)
FINE = Reading("flat", Area.LINKS, "left arm", "slope", "slope", Verdict.OK, "links", basis=common_practice("b"))
BAD = FINE._replace(verdict=Verdict.ERROR)
DOUBTFUL = FINE._replace(verdict=Verdict.WARNING)
UNKNOWN = FINE._replace(verdict=Verdict.NOT_CHECKED, reason="the spec lacks travel")
BROKEN = FINE._replace(verdict=Verdict.ERROR, failure="it broke")
ASIDE = FINE._replace(reason="it is bolted")
WAIVED = FINE._replace(verdict=Verdict.WAIVED, waived=Waived(Verdict.WARNING, "r", "w", "d", "u", "waivers[0]"))
LOOSE = FINE._replace(loosened=Loosened(Verdict.ERROR, common_practice("b"), None, 2.0, None, 1.0))
NEAR = FINE._replace(margin=0.1, plus_or_minus=0.2)
NEEDED = (Stage.TACKED, Stage.CYCLED, Stage.FINAL_WELD)
WHOLE = entries(*NEEDED)


def at(stage: Stage, build: Build, *readings: Reading, chosen: bool = True, **changes: Any) -> HoldPoint:
    inspection = Inspection(stage, readings or (FINE,), (), today=TODAY)._replace(**changes)
    (point,) = [each for each in hold_points(build, inspection, chosen=chosen) if each.now]
    assert point.stage is stage
    return point


def blocking(stage: Stage, text: str, *readings: Reading, **changes: Any) -> tuple[str, ...]:
    return at(stage, read(text), *readings, **changes).blocking


# What the inspection found.

SOUND = read(plain())


def test_with_everything_within_limits_the_plan_can_be_signed_off() -> None:
    point = at(Stage.PROPOSAL, SOUND, FINE, FINE, ASIDE)
    assert (point.can_be_signed_off, point.blocking, point.accepted) == (True, (), ())
    assert point.recorded == ("2 readings within limits",)


@pytest.mark.parametrize(
    ("readings", "changes", "sentence"),
    [
        ((FINE, BROKEN), {}, "1 reading that a rule failed to make"),
        ((FINE,), {"some_rules": True}, "only some of the rules were applied (--only, --area)"),
        ((ASIDE,), {}, "nothing was checked"),
        ((FINE, UNKNOWN, UNKNOWN), {}, "2 readings not checked"),
        ((FINE, BAD), {}, "1 error, neither fixed nor waived"),
        ((FINE, DOUBTFUL, DOUBTFUL), {}, "2 warnings, neither fixed nor waived"),
    ],
)
def test_what_the_inspection_leaves_open_blocks(
    readings: tuple[Reading, ...], changes: dict[str, Any], sentence: str
) -> None:
    point = at(Stage.PROPOSAL, SOUND, *readings, **changes)
    assert (point.blocking, point.can_be_signed_off) == ((sentence,), False)


def test_no_reading_at_all_blocks() -> None:
    inspection = Inspection(Stage.PROPOSAL, (), (), today=TODAY)
    assert hold_points(SOUND, inspection)[0].blocking == ("nothing was checked",)


def test_what_was_not_checked_is_said_first() -> None:
    point = at(Stage.TEARDOWN, SOUND, DOUBTFUL, BAD, FINE, UNKNOWN, BROKEN, some_rules=True)
    assert point.blocking == (
        "1 reading that a rule failed to make",
        "only some of the rules were applied (--only, --area)",
        "1 reading not checked",
        "1 error, neither fixed nor waived",
        "1 warning, neither fixed nor waived",
        "no baseline is in the spec (records.baseline)",
    )
    assert point.recorded[0] == "1 reading within limits"


def test_what_a_signature_accepts_is_named_and_blocks_nothing() -> None:
    off = (SwitchedOff("clearance", "r"), SwitchedOff("weld-size", "r"))
    assumed = (Assumption("load_cases.braking", "braking", 0.8, Dimension.COUNT),)
    point = at(Stage.PROPOSAL, SOUND, WAIVED, LOOSE, NEAR, switched_off=off, assumptions=assumed)
    assert point.can_be_signed_off
    assert point.accepted == (
        "1 reading waived",
        "1 reading milder only by a looser limit of the shop standard",
        "2 rules switched off by the shop standard: clearance, weld-size",
        "1 reading too near to a limit to be sure",
        "1 number assumed, since the spec does not state them",
    )


def test_a_milder_standard_that_the_user_did_not_name_blocks() -> None:
    found = "by a standard that was found beside the spec; name the standard to accept it: --standard FILE"
    point = at(Stage.PROPOSAL, SOUND, LOOSE, chosen=False, switched_off=(SwitchedOff("clearance", "r"),))
    assert point.blocking == (f"1 reading made milder {found}", f"1 rule switched off {found}")
    assert point.accepted == ()
    assert at(Stage.PROPOSAL, SOUND, FINE, chosen=False).can_be_signed_off, "a stricter one may be found anywhere"


@pytest.mark.parametrize("chosen", [True, False])
def test_what_was_not_checked_and_fails_by_the_built_in_limit_is_named_where_it_blocks(chosen: bool) -> None:
    hidden = LOOSE._replace(verdict=Verdict.NOT_CHECKED, reason="the spec lacks vehicle.door")
    point = at(Stage.PROPOSAL, SOUND, FINE, hidden, UNKNOWN, chosen=chosen)
    assert point.blocking[0] == "2 readings not checked, 1 of them an error by the built-in limit"
    assert point.accepted == ()


# The baseline.


@pytest.mark.parametrize("stage", [Stage.TEARDOWN, *NEEDED])
def test_with_everything_on_record_each_stage_can_be_signed_off(stage: Stage) -> None:
    assert at(stage, read(spec(WHOLE))).blocking == ()
    assert blocking(stage, spec(WHOLE, {})) == ("no baseline is in the spec (records.baseline)",)


@pytest.mark.parametrize(
    ("key", "value", "sentence"),
    [
        ("taken_on", None, "the baseline has no day (records.baseline.taken_on)"),
        ("taken_by", None, "the baseline has no name of who took it (records.baseline.taken_by)"),
        ("photographs", None, "the baseline does not say that it was taken with photographs "
                              "(records.baseline.photographs: true)"),
        ("photographs", "false", "the baseline does not say that it was taken with photographs "
                                 "(records.baseline.photographs: true)"),
        ("steering_centred", "false", "the baseline does not say that it was taken with steering centred "
                                      "(records.baseline.steering_centred: true)"),
        ("sides", None, "the baseline does not state records.baseline.sides.left.wheelbase, "
                        "records.baseline.sides.left.ride_height, records.baseline.sides.right.wheelbase, "
                        "records.baseline.sides.right.ride_height"),
        ("sides", f"{{left: {SIDE}, right: {{wheelbase: 2700}}}}",
         "the baseline does not state records.baseline.sides.right.ride_height"),
    ],
)  # fmt: skip
def test_an_incomplete_baseline_blocks(key: str, value: str | None, sentence: str) -> None:
    given = {name: text for name, text in {**BASELINE, key: value}.items() if text is not None}
    assert blocking(Stage.TEARDOWN, spec([], given)) == (sentence,)


def test_a_baseline_written_once_for_both_sides_is_one_of_each() -> None:
    assert blocking(Stage.TEARDOWN, spec([], {**BASELINE, "sides": f"{{both: {SIDE}}}"})) == ()


# What is measured.


def test_what_is_measured_at_each_stage() -> None:
    assert measured_at(SOUND, Stage.PROPOSAL) == measured_at(SOUND, Stage.TEARDOWN) == []
    tacked = measured_at(SOUND, Stage.TACKED)
    assert tacked == [
        *(f"links.lower.{side}.{end}" for side in ("left", "right") for end in ("frame", "axle")),
        "links.upper.right.frame",
        "links.upper.right.axle",
        "lateral_bar.frame",
        "lateral_bar.axle",
        *(f"coilovers.coilover.{side}.{end}" for side in ("left", "right") for end in ("frame", "axle")),
        *(f"limit_straps.strap.{side}.{end}" for side in ("left", "right") for end in ("frame", "axle")),
        *(f"bump_stops.stop.{side}.{end}" for side in ("left", "right") for end in ("base", "target")),
        *(
            f"links.{link}.{field}"
            for link in ("lower.left", "lower.right", "upper.right")
            for field in ("length", "joints.frame.thread_engaged")
        ),
        *("lateral_bar.length", "lateral_bar.joints.frame.thread_engaged", "lateral_bar.joints.axle.thread_engaged"),
    ]
    points = [place for place in tacked if not place.endswith(("length", "thread_engaged"))]
    cycled = ["travel.bump", "travel.droop", "travel.articulation", "steering.lock_angle"]
    assert measured_at(SOUND, Stage.CYCLED) == cycled
    welded = measured_at(SOUND, Stage.FINAL_WELD)
    assert welded[: len(points)] == points
    assert {path.rpartition(".")[2] for path in welded[len(points) :]} == {"leg"}
    assert all(path.startswith("attachments.") for path in welded[len(points) :])


@pytest.mark.parametrize("stage", NEEDED)
def test_one_missing_measurement_blocks_and_is_named(stage: Stage) -> None:
    needed = measured_at(SOUND, stage)
    left = [each for each in WHOLE if (each["stage"], each["of"]) != (stage.value, needed[-1])]
    assert blocking(stage, spec(left)) == (
        f"1 of {len(needed)} values not measured at the stage {stage.value}: {needed[-1]}",
    )


def test_one_measurement_of_something_else_is_not_enough() -> None:
    one = [{"stage": "tacked", "of": "axle.caster", "value": "5", "measured_on": '"2026-03-10"', "measured_by": "J"}]
    (sentence,) = blocking(Stage.TACKED, spec(one))
    assert sentence.startswith("29 of 29 values not measured at the stage tacked: links.lower.left.frame, ")


def test_missing_records_of_an_earlier_stage_block_a_later_one() -> None:
    assert [each.partition(":")[0] for each in blocking(Stage.FINAL_WELD, spec(entries(Stage.FINAL_WELD)))] == [
        "29 of 29 values not measured at the stage tacked",
        "4 of 4 values not measured at the stage cycled",
    ]


@pytest.mark.parametrize(
    ("key", "what"),
    [("measured_on", "the day on which it was measured"), ("measured_by", "the name of who measured it")],
)
def test_a_measurement_without_a_day_or_a_name_blocks(key: str, what: str) -> None:
    first = {name: value for name, value in WHOLE[0].items() if name != key}
    assert blocking(Stage.TACKED, spec([first, *WHOLE[1:]])) == (
        f"1 of 29 values without {what}, at the stage tacked: links.lower.left.frame",
    )


def test_a_measurement_that_cannot_be_read_does_not_count() -> None:
    first = {**WHOLE[0], "value": "900"}  # one number is no point
    assert blocking(Stage.TACKED, spec([first, *WHOLE[1:]]))[0].startswith("1 of 29 values not measured")


def test_a_measurement_of_another_stage_or_of_none_does_not_count() -> None:
    for stage in ({"stage": "cycled"}, {}):
        first = {name: value for name, value in WHOLE[0].items() if name != "stage"} | stage
        assert blocking(Stage.TACKED, spec([first, *WHOLE[1:]]))[0].startswith("1 of 29 values not measured")


def test_three_measured_coordinates_count_as_a_point_and_two_do_not() -> None:
    first, rest = WHOLE[0], WHOLE[1:]
    values = first["value"].strip("[]").split(", ")
    axes = [{**first, "of": f"{first['of']}.{axis}", "value": one} for axis, one in zip("xyz", values, strict=True)]
    assert blocking(Stage.TACKED, spec([*axes, *rest])) == ()
    assert blocking(Stage.TACKED, spec([*axes[:2], *rest]))[0].startswith("1 of 29 values not measured")


def test_what_the_spec_writes_once_for_both_sides_may_be_measured_so() -> None:
    both = [
        {**each, "of": each["of"].replace(".left.", ".both.")}
        for each in WHOLE
        if not each["of"].startswith("coilovers.coilover.right")
    ]
    text = spec(both)
    assert "coilovers.coilover.both.frame" in text
    found = blocking(Stage.TACKED, text)
    written_once = "both" in {part.path.rpartition(".")[2] for part in read(plain()).coilovers["coilover"]}
    assert written_once
    assert not any("coilovers" in sentence for sentence in found)


@pytest.mark.parametrize("name", ["both_arms", "bothy", "left_and_right", "lower"])
def test_a_side_within_a_name_is_not_a_side(name: str) -> None:
    """The coilovers under another name, written once and measured once for both sides."""
    build = read(plain().replace("\n  coilover:\n", f"\n  {name}:\n", 1))
    held = list(build.coilovers[name])
    assert [part.path for part in held] == [f"coilovers.{name}.both"] * 2
    own = [part.own_path_of("frame") for part in held]
    assert own == [f"coilovers.{name}.{side}.frame" for side in ("left", "right")]
    assert all(part.as_written.startswith("left and right ") for part in held)
    assert [HeldEnd(part, "frame").path for part in held] == [f"coilovers.{name}.{side}" for side in ("left", "right")]
    assert [
        place
        for place in measured_at(build, Stage.TACKED)
        if place.startswith("coilovers.") and place.endswith(".frame")
    ] == own
    value = str([round(1000 * each, 6) for each in held[0].frame])
    once = f"""records:
  measured:
    - {{stage: tacked, of: coilovers.{name}.both.frame, value: {value}, measured_on: "2026-03-10", measured_by: J}}
"""
    found = read(plain().replace("\n  coilover:\n", f"\n  {name}:\n", 1) + once)
    blocked = " ".join(at(Stage.TACKED, found).blocking)
    assert f"coilovers.{name}.right.axle" in blocked
    assert f"coilovers.{name}.right.frame" not in blocked
    assert f"coilovers.{name}.left.frame" not in blocked


# Days.


def moved(stage: Stage, day: str, *, of: str = "") -> list[dict[str, str]]:
    """The measurements with one of a stage, or the first, on another day."""
    place = of or measured_at(SOUND, stage)[0]
    return [
        {**each, "measured_on": f'"{day}"'} if (each["stage"], each["of"]) == (stage.value, place) else each
        for each in WHOLE
    ]


def test_a_future_date_blocks_and_today_does_not() -> None:
    assert blocking(Stage.TACKED, spec(moved(Stage.FINAL_WELD, "2026-04-02"))) == ()
    assert blocking(Stage.TACKED, spec(moved(Stage.FINAL_WELD, "2026-04-03"))) == (
        "the measurement of links.lower.left.frame (records.measured[33].measured_on) is dated 2026-04-03, which is in "
        "the future: today is 2026-04-02",
    )
    (baseline,) = blocking(Stage.TEARDOWN, spec([], {**BASELINE, "taken_on": '"2026-04-03"'}))
    assert baseline.startswith("the baseline (records.baseline.taken_on) is dated 2026-04-03, which is in the future")
    (revised,) = blocking(Stage.PROPOSAL, plain().replace('date: "2026-04-02"', 'date: "2027-01-01"'))
    assert revised.startswith("the revision of the spec (build.date) is dated 2027-01-01")


@pytest.mark.parametrize(("stage", "before"), [(Stage.CYCLED, Stage.TACKED), (Stage.FINAL_WELD, Stage.CYCLED)])
def test_a_later_stage_is_not_measured_before_an_earlier_one(stage: Stage, before: Stage) -> None:
    place = measured_at(SOUND, stage)[0]
    assert blocking(stage, spec(moved(stage, DAYS[before]))) == ()
    (sentence,) = blocking(stage, spec(moved(stage, "2026-03-09")))
    assert sentence.startswith(f"{place} was measured at the stage {stage.value} on 2026-03-09, before ")
    assert sentence.endswith(f" at the stage {before.value} on {DAYS[before]}; measure it again")


def test_brackets_that_are_measured_again_are_cycled_again() -> None:
    again = {**WHOLE[0], "measured_on": '"2026-03-15"'}
    (sentence,) = blocking(Stage.CYCLED, spec([*WHOLE, again]))
    assert "before links.lower.left.frame at the stage tacked on 2026-03-15; measure it again" in sentence


@pytest.mark.parametrize(("day", "fine"), [("2026-03-10", True), ("2026-03-11", False)])
def test_the_baseline_is_taken_before_anything_is_tacked(day: str, fine: bool) -> None:
    found = blocking(Stage.TACKED, spec(WHOLE, {**BASELINE, "taken_on": f'"{day}"'}))
    late = f"the baseline is dated {day}, after the first measurement of what was tacked, on 2026-03-10"
    assert found == (() if fine else (late,))


def test_without_a_day_no_date_is_judged_and_nothing_is_signed_off() -> None:
    assert blocking(Stage.TEARDOWN, spec([]), today=None) == (
        "the present date is not given, so the dates of the records cannot be judged",
    )


# All of them.


def test_the_other_stages_say_what_is_on_record_and_are_not_judged() -> None:
    inspection = Inspection(Stage.TACKED, (FINE, BAD), (), today=TODAY)
    points = {point.stage: point for point in hold_points(read(spec(entries(Stage.TACKED), {})), inspection)}
    assert list(points) == list(Stage)
    assert [point.stage for point in points.values() if point.now] == [Stage.TACKED]
    others = [point for point in points.values() if not point.now]
    assert not any(point.can_be_signed_off or point.blocking or point.accepted for point in others)
    assert points[Stage.TEARDOWN].lacking == ("no baseline is in the spec (records.baseline)",)
    assert points[Stage.TACKED].recorded == ("1 reading within limits", "29 values measured, the last on 2026-03-10")
    whole = {point.stage: point for point in hold_points(read(spec([])), inspection)}
    assert whole[Stage.TEARDOWN].recorded == ("baseline taken on 2026-03-01 by J. Doe",)
    assert whole[Stage.TEARDOWN].lacking == ()


@pytest.mark.parametrize(("name", "fine"), [("-", False), ("?", False), ("12", False), ("J", True), ("Å", True)])
def test_a_name_has_a_letter(name: str, fine: bool) -> None:
    taken = blocking(Stage.TEARDOWN, spec([], {**BASELINE, "taken_by": f'"{name}"'}))
    assert taken == (() if fine else ("the baseline has no name of who took it (records.baseline.taken_by)",))
    first = {**WHOLE[0], "measured_by": f'"{name}"'}
    without = "1 of 29 values without the name of who measured it, at the stage tacked: links.lower.left.frame"
    assert blocking(Stage.TACKED, spec([first, *WHOLE[1:]])) == (() if fine else (without,))
