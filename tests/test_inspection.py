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
    band = Limit("slack", "slack", Dimension.LENGTH, within(error=("1 mm", "2 mm")), PRACTICE)
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
        return Cure("shorten it", 0.1)

    assert only(build, holds(0.005, cure=cure)).cure is None
    assert only(build, holds(0.05, cure=cure)).cure == Cure("shorten it", 0.1)
    assert asked == [pytest.approx(0.01 - 0.05 * 0.04, rel=1e-12)]


@pytest.mark.parametrize(
    ("without", "missing", "reason"),
    [
        (Missing("axle.pinion"), ("axle.pinion",), "the spec lacks axle.pinion"),
        (Unreached("the axle cannot reach full bump"), (), "the axle cannot reach full bump"),
    ],
)
@pytest.mark.parametrize(
    ("value", "verdicts"),
    [
        (0.01, [Verdict.NOT_CHECKED]),
        (0.011, [Verdict.WARNING, Verdict.NOT_CHECKED]),
        (0.021, [Verdict.ERROR, Verdict.NOT_CHECKED]),
    ],
)
def test_a_value_that_leaves_something_out_can_break_a_limit_and_is_never_ok(
    build: Build,
    value: float,
    verdicts: list[Verdict],
    without: Missing | Unreached,
    missing: tuple[str, ...],
    reason: str,
) -> None:
    found = readings_of(build, holds(value, without=without))
    assert [each.verdict for each in found] == verdicts
    assert (found[-1].quantity, found[-1].missing, found[-1].reason) == ("", missing, reason)
    assert all(each.value == value for each in found[:-1])


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
    assert failed.failure == "the rule failed: in the cure of slack, ZeroDivisionError: division by zero"
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
        (lambda job, subject: None, "TypeError: it returns nothing; a rule yields what it finds"),
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
        (lambda job, subject: [hold(FIXED, 0.1, place="")], "'fixed' is a requirement; use require(), not hold()"),
        (
            lambda job, subject: [require(SLACK, met=True, found="", wanted="", place="")],
            "'slack' is a limit; use hold(), not require()",
        ),
        (lambda job, subject: [hold(SLACK, 0.1, place=5)], "TypeError: its place is 5; a place is a spec path"),
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
    assert failed.failure == "the rule failed: RuntimeError: then this"


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
