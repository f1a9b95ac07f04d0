"""Waivers: waived readings stay in the record, and invalid, ended or unneeded waivers are reported."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date
from typing import Any, NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildcheck.api import (
    Answer,
    Area,
    Build,
    Inspection,
    Job,
    Link,
    Reading,
    Rule,
    Stage,
    Verdict,
    Words,
    at_most,
    between,
    common_practice,
    inspect,
    made,
    met,
)
from buildcheck.build import read_build
from buildcheck.checks.limit import Basis
from buildcheck.checks.rule import Waived
from buildcheck.checks.standard import NeverWaived, Standard, SwitchedOff, WaiverTerms
from buildcheck.checks.waivers import WAIVERS
from buildcheck.output.outcome import Inspected, Status
from buildcheck.spec.document import read_text
from buildcheck.spec.schema import problems_in

HEAD = "format: 1\nunits: metric\nbuild: {stage: tacked}\n"
TODAY = date(2026, 3, 14)
# What each rule finds: place and width in metres.
FOUND = {
    "wide": [
        ("links.arm.left.frame", 1.5),
        ("links.arm.left.axle", 2.5),
        ("links.arms.left.frame", 2.5),
        ("axle", 0.5),
    ],
    "broad": [("links.arm.left.frame", 2.5), ("vehicle.track", 1.5)],
    "late": [("axle", 3.0)],
    "fine": [("axle", 0.5)],
}


WIDTH: dict[str, Any] = {
    "limit": at_most(warning="1 m", error="2 m"),
    "basis": common_practice("a door is wide"),
    "change": Words("make it narrower"),
    "name": "width",
}


class Place(NamedTuple):
    """A place of the spec where something has a width, m."""

    path: str
    width: float
    label: str = ""


def a_rule(name: str, area: Area = Area.SAFETY, from_stage: Stage = Stage.PROPOSAL) -> Rule:
    return Rule(name, area=area, page="It is not too wide.\n\nChecked: the width.", from_stage=from_stage)


def finding(name: str, area: Area = Area.LINKS, from_stage: Stage = Stage.PROPOSAL) -> Rule:
    rule = a_rule(name, area, from_stage)

    @rule.check(made("place", lambda job, build: [Place(*found) for found in FOUND[name]]), **WIDTH, effect="it rubs")
    def width(job: Job, place: Place) -> float:
        """Width."""
        return place.width

    return rule


breaks = a_rule("breaks")


@breaks.check(Build, **WIDTH, place="axle")
def wide(job: Job, build: Build) -> float:
    """Width."""
    return 3.0


@breaks.check(Build, **{**WIDTH, "name": "other-width"})
def divided(job: Job, build: Build) -> float:
    """Width."""
    raise ZeroDivisionError("division by zero")


blind = a_rule("blind", Area.WELDS)


@blind.check(Build, **WIDTH, place="vehicle.track")
def track(job: Job, build: Build) -> float:
    """Track."""
    return build.vehicle.track


RULES = (
    finding("wide"),
    finding("broad", Area.AXLE),
    finding("fine", Area.SPRINGS),
    finding("late", from_stage=Stage.CYCLED),
)
WAIVER = {
    "rule": "wide",
    "limit": "width",
    "place": "links.arm.left.frame",
    "up_to": "3 m",
    "reason": "clears the crossmember",
    "who": "the foreman",
    "date": "2026-03-01",
    "until_stage": "tacked",
}
ERROR = {"covers": "error"}


def waiver(**changes: str | None) -> dict[str, str]:
    return {key: value for key, value in {**WAIVER, **changes}.items() if value is not None}


def spec(*waivers: dict[str, str]) -> str:
    listed = "".join(f"  - {{{', '.join(f'{key}: {value!r}' for key, value in each.items())}}}\n" for each in waivers)
    return f"{HEAD}waivers:\n{listed}" if waivers else HEAD


def build(*waivers: dict[str, str]) -> Build:
    document = read_text(spec(*waivers), "a spec")
    assert problems_in(document) == ()
    return read_build(document.data)


def inspected(*waivers: dict[str, str], rules: Sequence[Rule] = RULES, **options: Any) -> Inspection:
    return inspect(build(*waivers), rules, **{"today": TODAY, **options})


def own(found: Inspection) -> list[tuple[str, str, str, str]]:
    """The readings of the waivers themselves."""
    return [
        (reading.verdict.value, reading.quantity, reading.place, reading.found or reading.reason)
        for reading in found.readings
        if reading.rule == "waivers"
    ]


def verdicts(found: Inspection) -> list[tuple[str, str, str]]:
    return [(each.rule, each.place, each.verdict.value) for each in found.readings if each.rule != "waivers"]


PLAIN = [
    ("wide", "links.arm.left.frame", "warning"),
    ("wide", "links.arm.left.axle", "error"),
    ("wide", "links.arms.left.frame", "error"),
    ("wide", "axle", "ok"),
    ("broad", "links.arm.left.frame", "error"),
    ("broad", "vehicle.track", "warning"),
    ("fine", "axle", "ok"),
]


def with_waived(*indices: int) -> list[tuple[str, str, str]]:
    return [(*each[:2], "waived") if index in indices else each for index, each in enumerate(PLAIN)]


# What a waiver waives.


def test_nothing_is_waived_without_a_waiver() -> None:
    assert verdicts(inspected()) == PLAIN
    assert own(inspected()) == []


def test_a_reading_of_the_rule_at_the_place_is_waived_and_stays_whole() -> None:
    found = inspected(waiver())
    assert verdicts(found) == with_waived(0)
    assert own(found) == []
    waived, plain = found.readings[0], inspected().readings[0]
    assert waived.waived == Waived(
        Verdict.WARNING,
        "clears the crossmember",
        "the foreman",
        "2026-03-01",
        "stage tacked",
        "waivers[0]",
        "up to 3000.0 mm",
    )
    assert waived._replace(verdict=plain.verdict, waived=None) == plain


@pytest.mark.parametrize(
    ("place", "waived"),
    [
        ("links.arm.left", (0, 1)),
        ("links.arm", (0, 1)),
        ("links", (0, 1, 2)),
        ("links.arm.left.axle", (1,)),
        ('links["arm"].left.axle', (1,)),
    ],
)
def test_a_waiver_covers_all_places_below_its_own(place: str, waived: tuple[int, ...]) -> None:
    found = inspected(waiver(place=place, **ERROR))
    assert verdicts(found) == with_waived(*waived)
    assert own(found) == []


def test_several_waivers_may_cover_one_reading_and_the_first_is_named() -> None:
    found = inspected(waiver(place="links.arm", **ERROR), waiver(who="the owner"))
    assert verdicts(found) == with_waived(0, 1)
    assert own(found) == []
    assert [each.waived.who for each in found.readings if each.waived] == ["the foreman", "the foreman"]


def test_a_waived_error_does_not_count_for_the_exit_status() -> None:
    def status(*waivers: dict[str, str]) -> Status:
        document = read_text(spec(*waivers), "a spec")
        found = inspect(read_build(document.data), RULES[:1], today=TODAY)
        return Inspected("a spec", document, read_build(document.data), found).status

    assert status() is Status.ERRORS_FOUND
    assert status(waiver(place="links", **ERROR)) is Status.NOTHING_WORSE_THAN_A_WARNING
    assert status(waiver(place="links", until_stage="proposal")) is Status.ERRORS_FOUND


def test_a_waiver_that_is_not_needed_does_not_count_as_a_check() -> None:
    document = read_text(spec(waiver(rule="fine", place="axle")), "a spec")
    off = Standard("a bench", switched_off=(SwitchedOff("fine", "r"),))
    found = inspect(read_build(document.data), [RULES[2]], today=TODAY, standard=off)
    assert [each[0] for each in own(found)] == ["warning"]
    assert Inspected("a spec", document, read_build(document.data), found).status is Status.NOTHING_CHECKED


# What it was agreed for.


@pytest.mark.parametrize("covers", [None, "warning"])
def test_a_waiver_that_does_not_say_error_covers_warnings_only(covers: str | None) -> None:
    found = inspected(waiver(place="links.arm", covers=covers))
    assert verdicts(found) == with_waived(0)
    sentence = "it covers warnings only, and 1 reading is an error: width of the whole build"
    assert own(found) == [("error", "agreed-for-this", "waivers[0]", sentence)]


def test_it_says_how_many_errors_it_does_not_cover_and_what_to_write() -> None:
    [said] = [each for each in inspected(waiver(place="links")).readings if each.rule == "waivers"]
    assert said.found.startswith("it covers warnings only, and 2 readings are errors: ")
    assert said.cure is not None
    assert said.cure.words.endswith("write covers: error")
    assert said.effect == "the errors and warnings that it should waive still count"


@pytest.mark.parametrize(("width", "stays"), [(2.0, False), (2.001, True)])
def test_a_warning_that_became_an_error_is_no_longer_covered(
    width: float, stays: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(FOUND, "wide", [("links.arm.left.frame", width)])
    assert (inspected(waiver()).readings[0].verdict is Verdict.ERROR) is stays
    assert [each[1] for each in own(inspected(waiver()))] == ["agreed-for-this"] * stays


def test_an_error_that_another_waiver_covers_makes_no_waiver_invalid() -> None:
    both = waiver(place="links.arm"), waiver(place="links.arm.left.axle", **ERROR)
    for waivers in (both, both[::-1]):
        assert verdicts(inspected(*waivers)) == with_waived(0, 1)
        assert own(inspected(*waivers)) == []


def test_what_it_covers_is_a_warning_or_an_error() -> None:
    [problem] = problems_in(read_text(spec(waiver(covers="eror")), "a spec"))
    assert problem.sentence.startswith("waivers[0].covers must be one of warning, error")
    assert problem.sentence.endswith('did you mean "error"?')


# Its end.


@pytest.mark.parametrize(
    ("stage", "holds"), [("teardown", True), ("tacked", True), ("cycled", False), ("final-weld", False)]
)
def test_a_waiver_holds_through_its_stage(stage: str, holds: bool) -> None:
    found = inspected(waiver(), stage=Stage(stage))
    assert (found.readings[0].verdict is Verdict.WAIVED) is holds
    if not holds:
        sentence = f"it ended with stage tacked, and the stage is now {stage}"
        assert own(found) == [("error", "not-ended", "waivers[0].until_stage", sentence)]


@pytest.mark.parametrize(("today", "holds"), [("2026-03-31", True), ("2026-04-01", True), ("2026-04-02", False)])
def test_a_waiver_holds_through_its_day(today: str, holds: bool) -> None:
    ends = waiver(until_stage=None, until_date="2026-04-01")
    found = inspected(ends, today=date.fromisoformat(today))
    assert (found.readings[0].verdict is Verdict.WAIVED) is holds
    if holds:
        assert found.readings[0].waived is not None
        assert found.readings[0].waived.until == "2026-04-01"
        assert own(found) == []
    else:
        sentence = f"it ended on 2026-04-01, and today is {today}"
        assert own(found) == [("error", "not-ended", "waivers[0].until_date", sentence)]


def test_without_a_day_a_date_cannot_be_judged_and_nothing_is_waived() -> None:
    found = inspected(
        waiver(until_stage=None, until_date="2999-01-01"), waiver(place="links.arm.left.axle", **ERROR), today=None
    )
    assert verdicts(found) == with_waived(1)
    reason = "the present date is not given, so the waiver may have ended, and it waives nothing"
    assert own(found) == [("not checked", "", "waivers[0].until_date", reason)]


# What is in no order.


@pytest.mark.parametrize(
    ("changes", "path", "sentence"),
    [
        ({"reason": None}, "waivers[0].reason", 'waivers[0] needs "reason", which is not there'),
        ({"reason": " "}, "waivers[0].reason", "waivers[0].reason is blank; write something"),
        ({"who": None}, "waivers[0].who", 'waivers[0] needs "who", which is not there'),
        ({"date": None}, "waivers[0].date", 'waivers[0] needs "date", which is not there'),
        ({"until_stage": None}, "waivers[0].until_stage", 'waivers[0] has no end; write "until_stage" or "until_date"'),
        (
            {"until_date": "2026-04-01"},
            "waivers[0].until_date",
            'a waiver has one end; write "until_stage" or "until_date", not both',
        ),
    ],
)
def test_a_waiver_without_a_reason_or_an_end_is_refused(
    changes: dict[str, str | None], path: str, sentence: str
) -> None:
    [problem] = problems_in(read_text(spec(waiver(**changes)), "a spec"))
    assert (problem.line, problem.path, problem.sentence) == (5, path, sentence)


@pytest.mark.parametrize("lacking", ["reason", "who", "date", "rule", "place"])
def test_an_incomplete_waiver_is_an_error_in_a_build_made_without_the_schema(lacking: str) -> None:
    found = inspect(read_build(read_text(spec(waiver(**{lacking: None})), "a spec").data), RULES, today=TODAY)
    assert verdicts(found) == PLAIN
    assert own(found) == [("error", "in-order", f"waivers[0].{lacking}", f"it lacks waivers[0].{lacking}")]


def test_a_waiver_without_an_end_is_an_error_in_a_build_made_without_the_schema() -> None:
    found = inspect(read_build(read_text(spec(waiver(until_stage=None)), "a spec").data), RULES, today=TODAY)
    assert own(found) == [("error", "in-order", "waivers[0]", "it has no end")]
    assert verdicts(found) == PLAIN


def test_an_unknown_rule_is_an_error_with_the_nearest_name() -> None:
    found = inspected(waiver(rule="wyde"))
    assert verdicts(found) == PLAIN
    assert own(found) == [("error", "in-order", "waivers[0].rule", 'there is no rule "wyde"; did you mean "wide"?')]


def test_an_invalid_place_is_an_error() -> None:
    found = inspected(waiver(place="links..arm"))
    assert verdicts(found) == PLAIN
    [(verdict, name, place, sentence)] = own(found)
    assert (verdict, name, place) == ("error", "in-order", "waivers[0].place")
    assert sentence.startswith('"links..arm" is not a spec path')


# What is no longer needed.


def test_a_rule_that_no_longer_fires_is_a_warning() -> None:
    assert own(inspected(waiver(rule="fine", place="axle"))) == [
        ("warning", "needed", "waivers[0].place", "fine finds nothing there")
    ]


def test_a_rule_that_fires_elsewhere_says_where() -> None:
    found = inspected(waiver(rule="broad", place="axle"))
    places = "broad finds nothing there; what it finds is at links.arm.left.frame, vehicle.track"
    assert own(found) == [("warning", "needed", "waivers[0].place", places)]
    assert verdicts(found) == PLAIN


def test_a_reading_within_limits_is_not_waived() -> None:
    assert own(inspected(waiver(place="axle")))[0][:2] == ("warning", "needed")
    assert verdicts(inspected(waiver(place="axle"))) == PLAIN


def test_whether_a_rule_still_fires_is_not_known_where_it_could_not_check() -> None:
    found = inspected(waiver(rule="blind", place="vehicle"), rules=(*RULES, blind))
    reason = "blind could not check everything (the spec lacks vehicle.track), so this waiver may or may not be needed"
    assert own(found) == [("not checked", "", "waivers[0]", reason)]


def test_a_waiver_of_a_rule_that_was_not_applied_is_not_judged() -> None:
    later = waiver(rule="late", place="axle")
    assert own(inspected(later)) == []
    assert own(inspected(later, stage=Stage.CYCLED))[0][:2] == ("error", "not-ended")
    assert own(inspected(waiver(rule="wyde"), waiver(rule="broad", place="axle"), only=["wide"])) == []


def test_a_rule_that_the_standard_switches_off_needs_no_waiver() -> None:
    off = Standard("a bench", switched_off=(SwitchedOff("wide", "we only paint"),))
    assert own(inspected(waiver(), standard=off)) == [
        ("warning", "needed", "waivers[0].rule", "the shop standard switches wide off")
    ]


# What cannot be waived.


def test_a_standard_may_forbid_a_waiver_and_the_reading_keeps_its_verdict() -> None:
    basis = Basis("it lets go", "shop standard of a bench", "shop standard")
    never = Standard("a bench", never_waived=(NeverWaived("wide", basis),))
    found = inspected(waiver(), waiver(rule="broad", **ERROR), standard=never)
    assert verdicts(found) == with_waived(4)
    assert own(found) == [
        ("error", "allowed", "waivers[0].rule", "the standard allows no waiver of wide, so this one waives nothing")
    ]
    assert next(each for each in found.readings if each.rule == "waivers").basis == basis


def test_the_failure_of_a_rule_cannot_be_waived() -> None:
    found = inspected(waiver(rule="breaks", place="axle", **ERROR), rules=(*RULES, breaks))
    of_rule = [reading for reading in found.readings if reading.rule == "breaks"]
    assert [(each.verdict, bool(each.failure)) for each in of_rule] == [(Verdict.WAIVED, False), (Verdict.ERROR, True)]
    elsewhere = inspected(waiver(rule="breaks", limit="other-width", place="axle"), rules=(*RULES, breaks))
    assert own(elsewhere) == []
    assert sum(bool(each.failure) for each in elsewhere.readings) == 1


# How far a waiver goes.


@pytest.mark.parametrize(("up_to", "holds"), [("1.5 m", True), ("1500 mm", True), ("1.499 m", False), (1600, True)])
def test_a_value_beyond_the_accepted_one_is_an_error(up_to: str, holds: bool) -> None:
    found = inspected(waiver(up_to=up_to))
    assert verdicts(found) == (with_waived(0) if holds else PLAIN)
    if not holds:
        said = "it accepts width up to 1499.0 mm, and wide finds more on the whole build"
        assert own(found) == [("error", "within-its-size", "waivers[0].up_to", said)]


level = a_rule("level")


@level.check(
    Build,
    between(warning=("-1 deg", "1 deg"), error=("-3 deg", "3 deg")),
    basis=common_practice("a level bench"),
    change=Words("level it"),
    place="axle",
)
def slope(job: Job, build: Build) -> float:
    """Slope."""
    return math.radians(-2.0)


@level.must(Build, wanted="level", basis=common_practice("water runs"), change=Words("level it"), place="axle")
def is_level(job: Job, build: Build) -> Answer:
    """The floor is level."""
    return met(False, "level", otherwise="a slope of  two degrees")


SLOPE = {"rule": "level", "limit": "slope", "place": "axle"}


@pytest.mark.parametrize(
    ("up_to", "holds"), [("-2 deg", True), ("-2.5 deg", True), ("-1.9 deg", False), ("2.5 deg", False)]
)
def test_it_is_measured_on_the_side_of_the_limit_that_is_broken(up_to: str, holds: bool) -> None:
    found = inspected(waiver(**SLOPE, up_to=up_to), rules=(level,))
    assert ("level", "axle", "waived" if holds else "warning") in verdicts(found)
    assert [each[1] for each in own(found)] == ([] if holds else ["within-its-size"])


@pytest.mark.parametrize(
    ("accepts", "holds"), [("a slope of two degrees", True), ("A slope of two degrees", True), ("a slope", False)]
)
def test_a_waiver_of_a_requirement_accepts_what_was_found_and_nothing_else(accepts: str, holds: bool) -> None:
    is_so = {"rule": "level", "limit": "is-level", "place": "axle", "up_to": None, "accepts": accepts}
    found = inspected(waiver(**is_so, **ERROR), rules=(level,))
    [verdict] = [each.verdict for each in found.readings if each.quantity == "is-level"]
    assert verdict is (Verdict.WAIVED if holds else Verdict.ERROR)
    assert [each[1:3] for each in own(found)] == ([] if holds else [("within-its-size", "waivers[0].accepts")])


def test_a_waiver_of_the_old_form_covers_warnings_only_and_asks_for_the_rest() -> None:
    old = waiver(place="links.arm", limit=None, up_to=None, covers="error")
    found = inspected(old)
    assert verdicts(found) == with_waived(0)
    said = [(verdict, name) for verdict, name, _, _ in own(found)]
    assert said == [("warning", "sized"), ("error", "agreed-for-this")]
    cures = [each.cure.words for each in found.readings if each.rule == "waivers" and each.cure is not None]
    assert cures[0].startswith("write limit, and up_to")
    assert cures[1].endswith("write limit, up_to or accepts, and covers: error")


@pytest.mark.parametrize(
    ("changes", "place", "said"),
    [
        ({"limit": "widht"}, "limit", 'there is no limit of wide called "widht"; did you mean "width"?'),
        ({"limit": None}, "up_to", "it has up_to, and names no limit"),
        ({"up_to": None}, "limit", "width is of a value, and it does not say how far it goes"),
        ({"up_to": None, "accepts": "wide"}, "accepts", "width is of a value, and it has accepts"),
        ({"accepts": "wide"}, "up_to", "width is of a value, and it has up_to and accepts"),
        ({"up_to": "0.5 m"}, "up_to", "it accepts up to 500.0 mm, which is within the limit anyway"),
        ({"up_to": "3 deg"}, "up_to", '"3 deg" cannot be read as a length: "deg" is a unit of angle, not of length'),
    ],
)
def test_a_waiver_whose_size_is_not_one_of_its_limit_waives_nothing(
    changes: dict[str, Any], place: str, said: str
) -> None:
    found = inspected(waiver(**changes))
    assert verdicts(found) == PLAIN
    [(verdict, name, at, sentence)] = own(found)
    assert (verdict, name, at) == ("error", "in-order", f"waivers[0].{place}")
    assert sentence.startswith(said)


moved = a_rule("moved")


@moved.check(Link, **{**WIDTH, "name": "by-place"}, place=lambda job, link: f"links.arm.{link.side}.axle")
def by_place(job: Job, link: Link) -> float:
    """Width."""
    return 1.5


LINKS = "links: {arm: {both: {kind: two-point, frame: [0, 400, 600], axle: [900, 400, 500]}}}\n"


@pytest.mark.parametrize(
    ("place", "waived"),
    [
        ("links.arm.left", ["left"]),
        ("links.arm.left.frame", ["left"]),  # the repair was there once
        ("links.arm.both", ["left", "right"]),
        ("links.arm.right.axle", ["right"]),
        ("links.other", []),
    ],
)
def test_a_waiver_holds_for_its_part_where_the_place_of_the_repair_moves(place: str, waived: list[str]) -> None:
    text = spec(waiver(rule="moved", limit="by-place", place=place, up_to="1.6 m")) + LINKS
    document = read_text(text, "a spec")
    assert problems_in(document) == ()
    found = inspect(read_build(document.data), (moved,), today=TODAY)
    assert [each.path for each in found.readings if each.verdict is Verdict.WAIVED] == [
        f"links.arm.{side}" for side in waived
    ]


# The terms of a shop's standard.

TERMS = Basis("looked at again", "shop standard of a bench", "shop standard")


def by_terms(longest_days: int | None = None, who: tuple[str, ...] = ()) -> Standard:
    return Standard("a bench", waivers=WaiverTerms(longest_days, who, TERMS))


@pytest.mark.parametrize(
    ("who", "holds"), [(("The foreman",), True), (("the owner", "the foreman"), True), (("me",), False)]
)
def test_a_standard_may_say_who_accepts_a_deviation(who: tuple[str, ...], holds: bool) -> None:
    found = inspected(waiver(), standard=by_terms(who=who))
    assert verdicts(found) == (with_waived(0) if holds else PLAIN)
    said = [("error", "allowed", "waivers[0].who", "the foreman accepted it")]
    assert own(found) == ([] if holds else said)


@pytest.mark.parametrize(("days", "holds"), [(31, True), (30, False)])
def test_a_standard_may_say_how_long_a_waiver_runs(days: int, holds: bool) -> None:
    found = inspected(waiver(until_stage=None, until_date="2026-04-01"), standard=by_terms(days))
    assert verdicts(found) == (with_waived(0) if holds else PLAIN)
    said = "it runs until 2026-04-01, longer than 30 days from 2026-03-01"
    assert own(found) == ([] if holds else [("error", "allowed", "waivers[0].until_date", said)])


@pytest.mark.parametrize(("days", "holds"), [(13, True), (12, False)])
def test_a_waiver_until_a_stage_ends_by_the_longest_time(days: int, holds: bool) -> None:
    found = inspected(waiver(), standard=by_terms(days))
    assert verdicts(found) == (with_waived(0) if holds else PLAIN)
    said = "by the standard it ended on 2026-03-13, and today is 2026-03-14"
    assert own(found) == ([] if holds else [("error", "not-ended", "waivers[0].date", said)])


# All of them.


def test_a_reading_of_a_waiver_says_what_to_change_and_is_in_the_area_records() -> None:
    found = inspected(waiver(rule="x"), waiver(until_stage="proposal"), waiver(rule="fine"), waiver(place="["))
    said = [reading for reading in found.readings if reading.rule == "waivers"]
    assert len(said) == 4
    assert all(each.cure is not None and each.cure.words and each.basis and each.required for each in said)
    assert {each.area for each in said} == {Area.RECORDS}
    assert [each.subject for each in said] == ["waivers 1", "waivers 2", "waivers 3", "waivers 4"]
    known = {limit.name for limit in WAIVERS.limits}
    assert {each.quantity for each in said} <= known
    order = list(Area)
    assert [order.index(each.area) for each in found.readings] == sorted(
        order.index(each.area) for each in found.readings
    )


FIRING = [index for index, each in enumerate(PLAIN) if each[2] in ("warning", "error")]


@given(st.sampled_from(FIRING), st.booleans(), st.dates(date(2026, 3, 1), date(2027, 1, 1)))
def test_waiving_a_reading_changes_nothing_but_that_reading(index: int, by_stage: bool, today: date) -> None:
    name, place, _ = PLAIN[index]
    end = {"until_stage": "final-weld"} if by_stage else {"until_stage": None, "until_date": today.isoformat()}
    before, after = inspected(today=today), inspected(waiver(rule=name, place=place, **end, **ERROR), today=today)
    assert len(before.readings) == len(after.readings)
    changed = [
        number for number, pair in enumerate(zip(before.readings, after.readings, strict=True)) if pair[0] != pair[1]
    ]
    assert changed == [index]
    waived = after.readings[index]
    assert waived._replace(verdict=before.readings[index].verdict, waived=None) == before.readings[index]
    assert (before.stage, before.assumptions, before.later) == (after.stage, after.assumptions, after.later)


@given(
    st.permutations(
        [waiver(place="links.arm", **ERROR), waiver(rule="broad", **ERROR), waiver(rule="fine"), waiver(rule="x")]
    )
)
def test_the_order_of_waivers_does_not_matter(waivers: list[dict[str, str]]) -> None:
    found = inspected(*waivers)
    assert verdicts(found) == with_waived(0, 1, 4)
    assert sorted(each[:2] for each in own(found)) == [("error", "in-order"), ("warning", "needed")]


def test_the_same_is_said_each_time() -> None:
    many: list[tuple[Reading, ...]] = [
        inspected(waiver(place="links"), waiver(rule="x"), waiver(rule="fine")).readings for _ in range(2)
    ]
    assert many[0] == many[1]


def test_a_waiver_with_a_future_date_waives_nothing() -> None:
    found = inspected(waiver(date="2026-03-15"))
    assert own(found) == [
        ("error", "in-order", "waivers[0].date", "it was agreed on 2026-03-15, and today is 2026-03-14")
    ]


# A space, one that does not break, one without width, a soft hyphen, marks of direction, braille without dots, fillers.
UNSEEN = [" ", "\u00a0", "\u200b", "\u00ad", "\u202e\u2066", "\ufeff", "\u2800", "\u3164\u115f", "\u3000\u2003"]


@pytest.mark.parametrize("text", UNSEEN)
@pytest.mark.parametrize("key", ["reason", "who"])
def test_invisible_text_is_blank(key: str, text: str) -> None:
    written = spec(waiver()).replace(repr(WAIVER[key]), f'"{text.encode("unicode_escape").decode()}"')
    document = read_text(written, "a spec")
    [problem] = problems_in(document)
    assert (problem.path, problem.sentence) == (f"waivers[0].{key}", f"waivers[0].{key} is blank; write something")
    unseen_by_a_schema = inspect(read_build(document.data), RULES, today=TODAY)
    assert own(unseen_by_a_schema) == [("error", "in-order", f"waivers[0].{key}", "it is blank")]
    assert verdicts(unseen_by_a_schema) == PLAIN


def test_a_word_with_an_invisible_character_is_not_blank() -> None:
    assert own(inspected(waiver(reason="it\u00a0fits", who="J. Doe"))) == []


def test_a_blank_reason_does_not_count() -> None:
    document = read_text(
        HEAD
        + 'waivers:\n  - {rule: wide, place: axle, reason: " ", who: a, date: "2026-03-01", until_stage: cycled}\n',
        "x",
    )
    (problem,) = problems_in(document)
    assert (problem.sentence, problem.line) == ("waivers[0].reason is blank; write something", 5)
