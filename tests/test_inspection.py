"""`inspect`: what becomes of what rules find, and of rules that fail."""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from buildcheck.api import (
    Area,
    Build,
    Cure,
    Dimension,
    Finding,
    Job,
    Limit,
    Missing,
    Reading,
    Requirement,
    Rule,
    Spot,
    Stage,
    Unreached,
    Verdict,
    at_most,
    common_practice,
    harmed,
    hold,
    inspect,
    published,
    require,
    within,
)
from buildcheck.build import read_build
from buildcheck.document import read_file, read_text
from buildcheck.plugins import collect
from buildcheck.rule import Function
from buildcheck.schema import problems_in

FOLDER = Path(__file__).parent.parent / "examples"
PRACTICE = common_practice("as it is done")
SLACK = Limit(
    "slack",
    "slack of the hose",
    Dimension.LENGTH,
    at_most(warning="10 mm", error="20 mm"),
    PRACTICE,
    error_basis=published("a handbook", "it tears"),
)
FIXED = Requirement("fixed", "the hose is fixed", PRACTICE, if_not=Verdict.WARNING)

Yields = Callable[[Any, Any], Any]


def rule_of(*functions: Yields, name: str = "hose", area: Area = Area.SAFETY, subject: str = "build") -> Rule:
    return Rule(
        name=name,
        area=area,
        title="The hose holds",
        page="A page.",
        limits=(SLACK, FIXED),
        checks=tuple(Function(subject, function) for function in functions),
        samples=(),
    )


@pytest.fixture(scope="module")
def build() -> Build:
    document = read_text(
        "format: 1\nunits: metric\nlinks: {lower: {both: {kind: two-point}}, upper: {left: {kind: two-point}}}\n"
        "coilovers: {coilover: {right: {}}}",
        "a spec",
    )
    assert problems_in(document) == ()
    return read_build(document.data)


def readings_of(build: Build, *functions: Yields, subject: str = "build") -> tuple[Reading, ...]:
    return inspect(build, [rule_of(*functions, subject=subject)]).readings


def only(build: Build, function: Function) -> Reading:
    (reading,) = readings_of(build, function)
    return reading


def holds(value: Any, **more: Any) -> Function:
    return lambda job, subject: [hold(SLACK, value, place="brake_lines", **more)]


@pytest.mark.parametrize(
    ("value", "verdict", "highest", "margin", "basis"),
    [
        (0.004, Verdict.OK, 0.01, 0.006, PRACTICE),
        (0.015, Verdict.WARNING, 0.01, -0.005, PRACTICE),
        (0.023, Verdict.ERROR, 0.02, -0.003, SLACK.error_basis),
    ],
)
def test_a_held_quantity_becomes_a_reading(
    build: Build, value: float, verdict: Verdict, highest: float, margin: float, basis: Any
) -> None:
    reading = only(build, holds(value, effect="it tears"))
    assert (reading.verdict, reading.value, reading.lowest, reading.highest) == (verdict, value, None, highest)
    assert reading.margin == pytest.approx(margin)
    assert (reading.basis, reading.effect, reading.place) == (basis, "it tears", "brake_lines")
    assert (reading.rule, reading.area, reading.subject) == ("hose", Area.SAFETY, "whole build")
    assert (reading.quantity, reading.meaning, reading.dimension) == ("slack", "slack of the hose", Dimension.LENGTH)
    assert (reading.failure, reading.missing, reading.reason) == ("", (), "")


def test_a_band_shows_both_ends(build: Build) -> None:
    band = Limit("slack", "slack", Dimension.LENGTH, within(error=("1 mm", "2 mm")), PRACTICE, built_in=SLACK)
    (reading,) = inspect(build, [rule_of(holds(0.003)).with_limits([band])]).readings
    assert (reading.verdict, reading.lowest, reading.highest) == (Verdict.ERROR, 0.001, 0.002)


@pytest.mark.parametrize(("met", "verdict", "cured"), [(True, Verdict.OK, False), (False, Verdict.WARNING, True)])
def test_a_requirement_becomes_a_reading(build: Build, met: bool, verdict: Verdict, cured: bool) -> None:
    reading = only(
        build,
        lambda job, subject: [
            require(FIXED, met=met, found="loose", wanted="a clip", place="brake_lines", cure="clip it")
        ],
    )
    assert (reading.verdict, reading.found, reading.required, reading.value) == (verdict, "loose", "a clip", None)
    assert (reading.cure == Cure("clip it")) is cured


# Cures.


def test_a_cure_is_asked_for_only_where_the_limit_is_broken_and_with_a_good_value(build: Build) -> None:
    asked: list[float] = []

    def cure(target: float) -> Cure:
        asked.append(target)
        return Cure("shorten it", 0.1, Dimension.LENGTH)

    assert only(build, holds(0.005, cure=cure)).cure is None
    assert only(build, holds(0.05, cure=cure)).cure == Cure("shorten it", 0.1, Dimension.LENGTH)
    assert asked == [pytest.approx(0.01 - 0.05 * 0.04, rel=1e-12)]


MASS, PINION, CUT = Missing("vehicle.total_mass"), Missing("axle.pinion"), Unreached("the axle cannot reach full bump")


@pytest.mark.parametrize(
    ("without", "missing", "reason", "other_reason"),
    [
        (PINION, ("axle.pinion",), "the spec lacks axle.pinion", ""),
        (CUT, (), "the axle cannot reach full bump", "the axle cannot reach full bump"),
        (
            (PINION, None, CUT, PINION, MASS),
            ("axle.pinion", "vehicle.total_mass"),
            "the spec lacks axle.pinion; the axle cannot reach full bump; the spec lacks vehicle.total_mass",
            "the axle cannot reach full bump",
        ),
    ],
    ids=["what the spec lacks", "what is not reached", "several, each said once"],
)
@pytest.mark.parametrize(
    ("value", "verdict"),
    [
        (0.010, Verdict.NOT_CHECKED),
        (0.011, Verdict.WARNING),
        (0.020, Verdict.WARNING),
        (0.021, Verdict.ERROR),
    ],
)
def test_a_value_that_leaves_something_out_can_break_a_limit_and_is_never_ok(
    build: Build, value: float, verdict: Verdict, without: Any, missing: tuple[str, ...], reason: str, other_reason: str
) -> None:
    found = only(build, holds(value, without=without, cure="shorten it", effect="it chafes", of="left"))
    assert (found.quantity, found.meaning, found.of, found.value) == ("slack", "slack of the hose", "left", value)
    assert found.verdict is verdict
    said = (found.missing, found.reason, found.other_reason, found.effect, found.cure)
    if verdict is Verdict.NOT_CHECKED:
        assert said == (missing, reason, other_reason, "", None)
    else:
        assert said == ((), "", "", f"it chafes; {reason}", Cure("shorten it"))


@pytest.mark.parametrize("without", [None, (), (None,)])
def test_a_value_that_leaves_nothing_out_is_ok(build: Build, without: Any) -> None:
    found = only(build, holds(0.01, without=without))
    assert (found.verdict, found.reason) == (Verdict.OK, "")


@pytest.mark.parametrize(
    ("after", "amount"), [(PINION, 0.025), (None, 0.025), (CUT, None), ((PINION, CUT), None)], ids=str
)
def test_a_change_of_a_partial_value_has_an_amount_where_no_more_is_left_out_after_it(
    hose: Build, after: Any, amount: float | None
) -> None:
    """25 mm more hose is enough; what is left out is the same after it, nothing, or something else."""

    def function(job: Job, subject: object) -> Iterator[Finding]:
        more = job.build.value(HOSE) - 0.4
        cure = Cure("make it {amount} longer", 0.0245, Dimension.LENGTH, HOSE, 0.0245)
        yield hold(SLACK, 0.034 - more, place=HOSE, without=after if more else PINION, cure=lambda _: cure)

    reading = only(hose, function)
    assert reading.verdict is Verdict.ERROR
    assert reading.cure is not None
    assert reading.cure.amount == (None if amount is None else pytest.approx(amount))
    said = "; the amount does not count what is left out: the spec lacks axle.pinion"
    assert (said in reading.cure.words) is (amount is not None)


def test_an_error_that_becomes_not_checked_for_what_it_was_without_before_is_not_harmed(hose: Build) -> None:
    def function(job: Job, subject: object) -> Iterator[Finding]:
        yield hold(SLACK, 0.434 - job.build.value(HOSE), place=HOSE, without=PINION)

    change = Cure("make it {amount} longer", 0.03, Dimension.LENGTH, HOSE, 0.03)
    assert harmed(rule_of(function), Job(hose), change) == ()
    shorter = change._replace(change=-0.03)
    assert harmed(rule_of(function), Job(hose), shorter) == ("slack",)


HOSE = "brake_lines.hose.both.free_length"


@pytest.fixture(scope="module")
def hose() -> Build:
    document = read_text("format: 1\nunits: metric\nbrake_lines: {hose: {both: {free_length: 400}}}\n", "spec")
    return read_build(document.data)


def longer_by(exact: float, slack: Callable[[float], float], **more: Any) -> Function:
    """A rule whose reading is `slack` of how much longer than 400 mm the hose is (mm), and whose change is `exact`."""

    def function(job: Job, subject: object) -> Iterator[Finding]:
        value = slack(1000 * job.build.value(HOSE) - 400) / 1000
        cure = Cure("make it {amount} longer", exact / 1000, Dimension.LENGTH, HOSE, exact / 1000)._replace(**more)
        yield hold(SLACK, value, place=HOSE, cure=lambda _: cure)

    return function


@pytest.mark.parametrize(
    ("exact", "slack", "amount"),
    [
        # Ok from 10.2 mm on: rounded up, though the nearest is 10 mm.
        (10.4, lambda more: 20.2 - more, 11),
        # Ok up to 10.8 mm alone, as where two limits meet: rounded down.
        (10.6, lambda more: 20 if more > 10.8 or more < 9.9 else 0, 10),
        # Ok next to the two on either side alone.
        (10.6, lambda more: 20 if 9.5 < more < 11.5 or not more else 0, 9),
        # Aimed at the middle of what is ok: the nearest, which leaves most.
        (10.4, lambda more: 9.5 + abs(more - 10.4) if more else 15, 10),
        # Less than one step is one step.
        (0.2, lambda more: 10.1 - more, 1),
    ],
)
def test_the_amount_of_a_change_is_a_step_that_was_tried_and_is_enough(
    hose: Build, exact: float, slack: Callable[[float], float], amount: float
) -> None:
    assert only(hose, longer_by(exact, slack)).cure == Cure(
        "make it {amount} longer",
        pytest.approx(amount / 1000),
        Dimension.LENGTH,
        HOSE,
        pytest.approx(amount / 1000),
    )


def test_a_change_of_which_no_step_is_enough_is_told_in_words(hose: Build) -> None:
    narrow = longer_by(10.5, lambda more: 0 if abs(more - 10.5) < 0.1 else 15)
    assert only(hose, narrow).cure == Cure(
        "make it longer; find the amount by trial, for no multiple of 1 mm is enough by itself"
    )
    to_reach = longer_by(
        10.5,
        lambda more: 0 if abs(more + 400 - 10.5) < 0.1 else 15,
        words="make it {amount} long",
        change=None,
    )
    assert only(hose, to_reach).cure == Cure(
        "make it a suitable amount long; find the amount by trial, for no multiple of 1 mm is enough by itself"
    )


def test_an_input_without_a_change_is_set_to_the_amount(hose: Build) -> None:
    to_reach = longer_by(410.3, lambda more: 20.2 - more, words="make it {amount} long", change=None)
    assert only(hose, to_reach).cure == Cure("make it {amount} long", pytest.approx(0.411), Dimension.LENGTH, HOSE)


def test_an_amount_that_the_build_has_no_input_for_is_rounded_up(hose: Build) -> None:
    asked = longer_by(10.4, lambda more: 15, path="", change=None)
    assert only(hose, asked).cure == Cure("make it {amount} longer", pytest.approx(0.011), Dimension.LENGTH)


def test_a_step_that_harms_more_of_its_rule_than_the_exact_amount_is_not_taken(hose: Build) -> None:
    """Ok from 10.2 mm on, but another reading of the rule is worse from 10.5 mm on."""

    def other(job: Job, subject: object) -> Iterator[Finding]:
        more = 1000 * job.build.value(HOSE) - 400
        yield hold(SLACK, 0.0 if more < 10.5 else 0.015, place=HOSE, of="the other")

    reading = readings_of(hose, longer_by(10.3, lambda more: 20.2 - more), other)[0]
    assert reading.cure == Cure("make it longer; find the amount by trial, for no multiple of 1 mm is enough by itself")


def test_readings_that_ask_for_one_change_get_one_amount_that_cures_them_all(hose: Build) -> None:
    """The one would take 10 mm, which leaves it more; the other needs 11 mm."""
    one = longer_by(10.4, lambda more: 9.0 + abs(more - 10.4) if more else 15)
    other = longer_by(10.4, lambda more: 20.2 - more)
    amounts = [reading.cure and reading.cure.amount for reading in readings_of(hose, one, other)]
    assert amounts == [pytest.approx(0.011)] * 2


@pytest.mark.parametrize("error", [Missing("axle.pinion"), Unreached("the axle cannot reach full bump")])
def test_a_cure_that_cannot_be_had_takes_nothing_from_the_reading(build: Build, error: Exception) -> None:
    reading = only(build, holds(0.05, cure=raising(error)))
    assert (reading.verdict, reading.value, reading.cure) == (Verdict.ERROR, 0.05, None)


def test_a_cure_that_fails_leaves_the_reading_and_is_a_failure_beside_it(build: Build) -> None:
    def function(job: Job, subject: object) -> Iterator[Finding]:
        yield hold(SLACK, 0.05, place="brake_lines", cure=raising(ZeroDivisionError("division by zero")))
        yield hold(SLACK, 0.06, place="brake_lines")

    first, failed, last = readings_of(build, function)
    assert (first.verdict, first.value, first.failure) == (Verdict.ERROR, 0.05, "")
    sentence = (
        "the rule failed: in the cure of slack, ZeroDivisionError: division by zero (tests/test_inspection.py, line "
    )
    assert failed.failure.startswith(sentence)
    assert last.value == 0.06


def test_a_cure_that_is_none_is_a_failure_beside_the_reading(build: Build) -> None:
    found = readings_of(build, holds(0.03, cure=lambda target: "make it longer"))
    assert [(reading.quantity, reading.cure) for reading in found] == [("slack", None), ("", None)]
    assert "gives 'make it longer'; give a Cure" in found[1].failure


def raising(error: BaseException) -> Callable[[float], Cure]:
    def cure(target: float) -> Cure:
        raise error

    return cure


# Rules that fail.


def leaves(job: Job, subject: object) -> Iterator[Finding]:
    sys.exit(0)
    yield


def recurses(job: Job, subject: object) -> Any:
    return recurses(job, subject)


@pytest.mark.parametrize(
    ("function", "failure"),
    [
        (lambda job, subject: 1 / 0, "ZeroDivisionError: division by zero"),
        (leaves, "SystemExit: 0"),
        (recurses, "RecursionError"),
        (
            lambda job, subject: None,
            ": it returned None; did you forget to write `yield`? (tests/test_inspection.py, line ",
        ),
        (
            lambda job, subject: ["nonsense"],
            "TypeError: a rule yields hold(...), require(...) or does_not_apply(...), not 'nonsense'",
        ),
        (holds(math.nan), "ValueError: slack came out as nan"),
        (holds(math.inf), "ValueError: slack came out as inf"),
        (holds(Spot(math.nan)), "ValueError: slack came out as nan"),
        (
            lambda job, subject: [hold(replace(SLACK, name="slak"), 0.1, place="")],
            "LookupError: rule a-failing has no limit 'slak'; it has slack, fixed",
        ),
        (
            lambda job, subject: [hold(FIXED, 0.1, place="")],
            "'fixed' is no limit; hold() takes one of the rule's limits, require() the others",
        ),
        (
            lambda job, subject: [require(SLACK, met=True, found="", wanted="", place="")],
            "'slack' is no requirement; require() takes one of the rule's, hold() its limits",
        ),
        (
            lambda job, subject: [hold(SLACK, 0.1, place=5)],
            "TypeError: the place of slack needs a text, got 5 (tests/test_inspection.py, line ",
        ),
        (
            lambda job, subject: [hold(SLACK, 0.1, place="lateral_baar.frame")],
            'there is no section "lateral_baar"; did you mean "lateral_bar"?',
        ),
        (lambda job, subject: job.build.axel, "AttributeError: Build has no field 'axel'"),
    ],
)
def test_a_rule_that_fails_is_an_error_of_its_own_and_the_others_still_run(
    build: Build, function: Function, failure: str
) -> None:
    failing = rule_of(function, name="a-failing")
    sound = rule_of(holds(0.0), name="b-sound")
    failed, fine = inspect(build, [sound, failing]).readings
    assert failed.failure.startswith("the rule failed: ")
    assert failure in failed.failure
    assert (failed.verdict, failed.rule, failed.quantity, failed.value) == (Verdict.ERROR, "a-failing", "", None)
    assert (fine.rule, fine.verdict) == ("b-sound", Verdict.OK)


def test_what_a_rule_found_before_it_failed_stands(build: Build) -> None:
    def function(job: Job, subject: object) -> Iterator[Finding]:
        yield hold(SLACK, 0.05, place="brake_lines")
        raise RuntimeError("then this")

    first, failed = readings_of(build, function, holds(0.0))[:2]
    assert (first.value, first.verdict) == (0.05, Verdict.ERROR)
    assert failed.failure.startswith("the rule failed: RuntimeError: then this (tests/test_inspection.py, line ")


def test_one_failing_check_of_a_rule_takes_nothing_from_its_others(build: Build) -> None:
    failed, fine = readings_of(build, lambda job, subject: 1 / 0, holds(0.0))
    assert failed.failure
    assert fine.verdict is Verdict.OK


def test_a_subject_that_fails_takes_nothing_from_the_next(build: Build) -> None:
    def function(job: Job, link: Any) -> Iterator[Finding]:
        if link.label == "left lower link":
            raise RuntimeError("not this one")
        yield hold(SLACK, 0.0, place=link.path)

    readings = readings_of(build, function, subject="link")
    assert [(reading.subject, bool(reading.failure)) for reading in readings] == [
        ("left lower link", True),
        ("right lower link", False),
        ("left upper link", False),
    ]


@pytest.mark.parametrize(
    ("path", "why"),
    [("links.lower.both.kind", "TypeError"), ("links.lower.both.length", "Missing"), ("links.lowr", "")],
)
def test_a_change_that_cannot_be_made_is_a_failure_of_the_rule_that_tells_it(build: Build, path: str, why: str) -> None:
    telling = rule_of(
        lambda job, subject: [
            hold(SLACK, 0.1, place="links", cure=lambda _: Cure("move it {amount}", 0.1, Dimension.LENGTH, path, 0.1))
        ],
        name="a-telling",
    )
    heeded = replace(rule_of(holds(0.0), name="b-heeded"), heeded=True)
    held, failed, fine = inspect(build, [telling, heeded]).readings
    assert (held.verdict, held.rule, held.failure) == (Verdict.ERROR, "a-telling", "")
    assert (failed.verdict, failed.rule) == (Verdict.ERROR, "a-telling")
    assert failed.failure.startswith(f"the rule failed: the change that cures slack cannot be made: {why}")
    assert (fine.verdict, fine.rule) == (Verdict.OK, "b-heeded")


def test_an_unknown_kind_of_subject_is_an_error_of_the_rule(build: Build) -> None:
    (reading,) = readings_of(build, holds(0.0), subject="wheel")
    assert reading.failure == "the rule failed: it asks for subjects of the unknown kind 'wheel'"


def test_an_interruption_is_not_swallowed(build: Build) -> None:
    def function(job: Job, subject: object) -> Any:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        readings_of(build, function)


# What cannot be checked.


def test_what_the_spec_lacks_is_named_and_the_other_subjects_go_on(build: Build) -> None:
    def function(job: Job, link: Any) -> Iterator[Finding]:
        yield hold(SLACK, 0.0 if link.label == "right lower link" else link.length, place=link.path)

    readings = readings_of(build, function, subject="link")
    assert [(reading.verdict, reading.missing) for reading in readings] == [
        (Verdict.NOT_CHECKED, ("links.lower.both.length",)),
        (Verdict.OK, ()),
        (Verdict.NOT_CHECKED, ("links.upper.left.length",)),
    ]
    assert readings[0].reason == "the spec lacks links.lower.both.length"
    assert readings[0].place == "links.lower.both.length"
    assert readings[0].failure == ""


def test_a_section_that_the_spec_lacks_is_named(build: Build) -> None:
    (reading,) = readings_of(build, holds(0.0), subject="limit-strap")
    assert (reading.verdict, reading.missing, reading.subject) == (
        Verdict.NOT_CHECKED,
        ("limit_straps",),
        "limit strap",
    )
    assert reading.reason


def test_a_kind_without_a_subject_is_never_passed_in_silence(build: Build, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Job, "subjects", lambda self, kind: iter(()))
    (reading,) = readings_of(build, holds(0.0), subject="link")
    assert (reading.verdict, reading.reason) == (Verdict.NOT_CHECKED, "no link to check")


def test_a_pose_out_of_reach_is_a_reason(build: Build) -> None:
    def function(job: Job, subject: object) -> Iterator[Finding]:
        raise Unreached("the axle cannot reach full droop")
        yield

    reading = only(build, function)
    assert (reading.verdict, reading.reason, reading.missing, reading.place) == (
        Verdict.NOT_CHECKED,
        "the axle cannot reach full droop",
        (),
        "",
    )


# Stages and order.


def test_a_partial_value_can_fail_and_never_passes(build: Build) -> None:
    """More than 10 mm is a warning, more than 20 mm an error; the spot is without some poses."""
    for value, verdict in ((0.005, Verdict.NOT_CHECKED), (0.015, Verdict.WARNING), (0.025, Verdict.ERROR)):
        reading = only(build, holds(Spot(value, None, "4 of 26 poses are missing"), effect="it tears"))
        assert (reading.verdict, reading.quantity, reading.value) == (verdict, SLACK.name, value)
        said = reading.reason if verdict is Verdict.NOT_CHECKED else reading.effect
        assert said.endswith("4 of 26 poses are missing")
        assert only(build, holds(Spot(value))).verdict is (Verdict.OK if verdict is Verdict.NOT_CHECKED else verdict)


def test_an_amount_is_not_worked_out_from_a_part_of_the_poses(build: Build) -> None:
    def amount(_: float) -> Cure:
        raise AssertionError("asked for")

    assert only(build, holds(Spot(1.0, None, "4 of 26 poses are missing"), cure=amount)).cure is None
    worded = only(build, holds(Spot(1.0, None, "4 of 26 poses are missing"), cure="take a longer hose"))
    assert worded.cure == Cure("take a longer hose")


def test_a_rule_of_a_later_stage_waits(build: Build) -> None:
    later = replace(rule_of(holds(0.0)), from_stage=Stage.CYCLED)
    assert inspect(build, [later]).readings == ()
    assert inspect(build, [later], stage=Stage.TACKED).readings == ()
    assert len(inspect(build, [later], stage=Stage.CYCLED).readings) == 1
    assert len(inspect(build, [later], stage=Stage.FINAL_WELD).readings) == 1


def test_the_stage_is_the_specs_own_unless_another_is_asked_for() -> None:
    data = {"format": 1, "units": "metric", "build": {"stage": "tacked"}}
    assert inspect(read_build(data), []).stage is Stage.TACKED
    assert inspect(read_build(data), [], stage=Stage.CYCLED).stage is Stage.CYCLED
    assert inspect(read_build({"format": 1, "units": "metric", "build": {}}), []).stage is Stage.PROPOSAL
    assert inspect(read_build({"format": 1, "units": "metric"}), []).stage is Stage.PROPOSAL


def test_readings_come_by_area_then_rule_then_subject_whatever_the_order_of_the_rules(build: Build) -> None:
    rules = [
        rule_of(holds(0.0), name="z", area=Area.LINKS),
        rule_of(holds(0.0), name="a", area=Area.SAFETY),
        rule_of(holds(0.0), name="b", area=Area.LINKS, subject="link"),
        rule_of(holds(0.0), name="c", area=Area.AXLE),
    ]
    wanted = [
        ("b", "left lower link"),
        ("b", "right lower link"),
        ("b", "left upper link"),
        ("z", "whole build"),
        ("c", "whole build"),
        ("a", "whole build"),
    ]
    for order in (rules, rules[::-1]):
        assert [(reading.rule, reading.subject) for reading in inspect(build, order).readings] == wanted


@pytest.mark.parametrize("path", sorted(FOLDER.rglob("*.buildcheck.yaml")), ids=lambda path: path.name)
def test_the_same_build_and_rules_give_the_same_readings(path: Path) -> None:
    build, rules = read_build(read_file(path).data), collect().rules
    first = inspect(build, rules)
    assert first == inspect(build, rules[::-1])
    assert first.readings
    assert not [reading for reading in first.readings if reading.failure]


def test_a_rule_that_says_nothing_is_told(build: Build) -> None:
    (reading,) = readings_of(build, lambda job, subject: [])
    assert (reading.verdict, reading.reason) == (Verdict.NOT_CHECKED, "the rule says nothing of this spec")
