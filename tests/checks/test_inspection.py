"""`inspect`: readings of what rules find, and of rules that fail."""

from __future__ import annotations

import math
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from sampling import sampled

from buildcheck.api import (
    Answer,
    Area,
    BrakeLine,
    Build,
    Computed,
    Cure,
    Dimension,
    Job,
    LimitStrap,
    Link,
    Missing,
    Move,
    Reading,
    Resize,
    Rule,
    Set,
    Spot,
    Stage,
    Unreached,
    Verdict,
    Way,
    Words,
    at_most,
    between,
    common_practice,
    inspect,
    made,
    met,
    published,
)
from buildcheck.build import Side, read_build
from buildcheck.checks.changes import Change
from buildcheck.checks.engine import worse_in
from buildcheck.checks.limit import Limit
from buildcheck.plugins.loading import collect
from buildcheck.spec.document import read_file, read_text
from buildcheck.spec.schema import problems_in

FOLDER = Path(__file__).parents[2] / "examples"
PRACTICE, TEARS = common_practice("as it is done"), published("a handbook", "it tears")
SHORTEN = Words("shorten it")

Compute = Callable[[Any, Any], Any]


def rule_of(
    *functions: Compute,
    name: str = "hose",
    area: Area = Area.SAFETY,
    subject: Any = Build,
    change: Change | tuple[Change, ...] = SHORTEN,
    **more: Any,
) -> Rule:
    """A rule that holds what each of these functions returns to 10 mm and 20 mm; the first is called `slack`."""
    rule = Rule(name, area=area, page="The hose holds.\n\nA page.")
    for number, function in enumerate(functions):
        function.__doc__ = "Slack of the hose."
        called = "slack" if number == 0 else f"slack-{number + 1}"
        limit = at_most(warning="10 mm", error="20 mm")
        rule.check(subject, limit, basis=PRACTICE, error_basis=TEARS, change=change, name=called, **more)(function)
    return rule


@pytest.fixture(scope="module")
def build() -> Build:
    document = read_text(
        "format: 1\nunits: metric\nlinks: {lower: {both: {kind: two-point}}, upper: {left: {kind: two-point}}}\n"
        "coilovers: {coilover: {right: {}}}",
        "a spec",
    )
    assert problems_in(document) == ()
    return read_build(document.data)


def readings_of(build: Build, *functions: Compute, **more: Any) -> tuple[Reading, ...]:
    return inspect(build, [rule_of(*functions, **more)]).readings


def only(build: Build, function: Compute, **more: Any) -> Reading:
    (reading,) = readings_of(build, function, **more)
    return reading


def value_of(value: Any) -> Compute:
    return lambda job, subject: value


def raising(error: BaseException) -> Compute:
    def function(job: Any, subject: Any) -> Any:
        raise error

    return function


@pytest.mark.parametrize(
    ("value", "verdict", "highest", "margin", "basis"),
    [
        (0.004, Verdict.OK, 0.01, 0.006, PRACTICE),
        (0.015, Verdict.WARNING, 0.01, -0.005, PRACTICE),
        (0.023, Verdict.ERROR, 0.02, -0.003, TEARS),
    ],
)
def test_a_held_quantity_becomes_a_reading(
    build: Build, value: float, verdict: Verdict, highest: float, margin: float, basis: Any
) -> None:
    reading = only(build, value_of(value), effect="it tears", place="brake_lines")
    assert (reading.verdict, reading.value, reading.lowest, reading.highest) == (verdict, value, None, highest)
    assert reading.margin == pytest.approx(margin)
    assert (reading.basis, reading.effect, reading.place) == (basis, "it tears", "brake_lines")
    assert (reading.rule, reading.area, reading.subject) == ("hose", Area.SAFETY, "whole build")
    assert (reading.quantity, reading.meaning, reading.dimension) == ("slack", "slack of the hose", Dimension.LENGTH)
    assert (reading.failure, reading.missing, reading.reason) == ("", (), "")


def test_a_band_shows_both_ends(build: Build) -> None:
    rule = rule_of(value_of(0.003))
    band = Limit("slack", "slack", Dimension.LENGTH, between(error=("1 mm", "2 mm")), PRACTICE)
    (reading,) = inspect(build, [rule.with_limits([replace(band, built_in=rule.limit("slack"))])]).readings
    assert (reading.verdict, reading.lowest, reading.highest) == (Verdict.ERROR, 0.001, 0.002)


@pytest.mark.parametrize(("is_met", "verdict", "cured"), [(True, Verdict.OK, False), (False, Verdict.WARNING, True)])
def test_a_requirement_becomes_a_reading(build: Build, is_met: bool, verdict: Verdict, cured: bool) -> None:
    rule = Rule("hose", area=Area.SAFETY, page="The hose holds.\n\nA page.")

    @rule.must(Build, wanted="a clip", basis=PRACTICE, change=Words("clip it"), otherwise=Verdict.WARNING)
    def fixed(job: Job, build: Build) -> Answer:
        """The hose is fixed."""
        return met(is_met, "fixed", otherwise="loose")

    (reading,) = inspect(build, [rule]).readings
    found = "fixed" if is_met else "loose"
    assert (reading.verdict, reading.found, reading.required, reading.value) == (verdict, found, "a clip", None)
    assert (reading.cure == Cure("clip it")) is cured


# What a value leaves out.

MASS, PINION, CUT = Missing("vehicle.total_mass"), Missing("axle.pinion"), Unreached("the axle cannot reach full bump")


class Hose(NamedTuple):
    """One of two hoses that a rule makes of a build."""

    which: str
    path: str = "brake_lines"
    label: str = "hose"


@pytest.mark.parametrize(
    ("without", "missing", "reason", "other_reason"),
    [
        ((PINION,), ("axle.pinion",), "the spec lacks axle.pinion", ""),
        ((CUT,), (), "the axle cannot reach full bump", "the axle cannot reach full bump"),
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
    left = made("hose", lambda job, build: [Hose("left")])
    found = only(build, value_of(Spot(value).leaving_out(*without)), subject=left, effect="it chafes")
    assert (found.quantity, found.meaning, found.of, found.value) == ("slack", "slack of the hose", "left", value)
    assert found.verdict is verdict
    said = (found.missing, found.reason, found.other_reason, found.effect, found.cure)
    if verdict is Verdict.NOT_CHECKED:
        assert said == (missing, reason, other_reason, "", None)
    else:
        assert said == ((), "", "", f"it chafes; {reason}", Cure("shorten it"))


@pytest.mark.parametrize("without", [(), (None,)])
def test_a_value_that_leaves_nothing_out_is_ok(build: Build, without: Any) -> None:
    found = only(build, value_of(Spot(0.01).leaving_out(*without)))
    assert (found.verdict, found.reason) == (Verdict.OK, "")


def test_a_partial_value_can_fail_and_never_passes(build: Build) -> None:
    """More than 10 mm is a warning, more than 20 mm an error; the spot is without some poses."""
    for value, verdict in ((0.005, Verdict.NOT_CHECKED), (0.015, Verdict.WARNING), (0.025, Verdict.ERROR)):
        reading = only(build, value_of(Spot(value, None, ("4 of 26 poses are missing",))), effect="it tears")
        assert (reading.verdict, reading.quantity, reading.value) == (verdict, "slack", value)
        said = reading.reason if verdict is Verdict.NOT_CHECKED else reading.effect
        assert said.endswith("4 of 26 poses are missing")
        whole = only(build, value_of(Spot(value)))
        assert whole.verdict is (Verdict.OK if verdict is Verdict.NOT_CHECKED else verdict)


# What to change.

HOSE = "brake_lines.hose.both.free_length"
LONGER = Resize("free_length", says="make it {amount} {way}")
TAKE_ANOTHER = Words("take another hose")


@pytest.fixture(scope="module")
def hose() -> Build:
    document = read_text("format: 1\nunits: metric\nbrake_lines: {hose: {both: {free_length: 400}}}\n", "spec")
    return read_build(document.data)


def slack_of(slack: Callable[[float], float]) -> Compute:
    """Slack, as a function of how much longer than 400 mm the hose is; both in mm."""
    return lambda job, line: slack(1000 * line.free_length - 400) / 1000


def cures(hose: Build, *functions: Compute, change: Any = (LONGER, TAKE_ANOTHER)) -> list[Cure | None]:
    """The changes for the left and the right hose, for the first of these checks."""
    readings = readings_of(hose, *functions, subject=BrakeLine, change=change)
    return [reading.cure for reading in readings if reading.quantity == "slack"]


def longer(amount: float, way: str = "longer") -> Cure:
    step = pytest.approx(abs(amount) / 1000)
    return Cure(f"make it {{amount}} {way}", step, Dimension.LENGTH, HOSE, pytest.approx(amount / 1000))


def test_what_to_change_is_asked_for_only_where_the_limit_is_broken(build: Build) -> None:
    asked: list[Any] = []

    def words(job: Job, subject: Any) -> str:
        asked.append(subject)
        return "shorten it"

    assert only(build, value_of(0.01), change=Words(words)).cure is None
    assert asked == []
    assert only(build, value_of(0.011), change=Words(words)).cure == Cure("shorten it")
    assert asked != []


@pytest.mark.parametrize(
    ("slack", "cure"),
    [
        # Ok from 10.2 mm on: rounded up, though the nearest is 10 mm.
        (lambda more: 20.2 - more, longer(11)),
        # The same the other way.
        (lambda more: 20.2 + more, longer(-11, "shorter")),
        # Less than one step is one step.
        (lambda more: 10.1 - more, longer(1)),
        # Just as much as the step.
        (lambda more: 20.0 - more, longer(10)),
    ],
)
def test_the_amount_of_a_change_is_the_smallest_step_that_is_enough(
    hose: Build, slack: Callable[[float], float], cure: Cure
) -> None:
    assert cures(hose, slack_of(slack)) == [cure, cure]


def test_without_a_step_that_is_enough_the_words_are_used(hose: Build) -> None:
    narrow = slack_of(lambda more: 0 if abs(more - 10.5) < 0.1 else 15)
    assert cures(hose, narrow) == [Cure("take another hose")] * 2


def test_an_input_is_set_to_an_amount(hose: Build) -> None:
    setting = Set("free_length", says="make it {amount} long")
    wanted = Cure("make it {amount} long", pytest.approx(0.411), Dimension.LENGTH, HOSE)
    assert cures(hose, slack_of(lambda more: 20.7 - more), change=(setting, TAKE_ANOTHER)) == [wanted] * 2


def test_by_how_much_a_value_is_outside_is_rounded_up_in_words(hose: Build) -> None:
    wanted = Cure("make it {amount} longer", pytest.approx(0.011), Dimension.LENGTH)
    assert cures(hose, slack_of(lambda more: 20.4), change=Words("make it {amount} longer")) == [wanted] * 2


def test_a_change_that_harms_another_check_of_its_rule_is_the_last_step(hose: Build) -> None:
    """Ok from 10.2 mm on, but another reading of the rule is worse from 10.5 mm on."""
    other = slack_of(lambda more: 0.0 if more < 10.5 else 15.0)
    found = cures(hose, slack_of(lambda more: 20.2 - more), other, change=(LONGER, Words("see to it")))
    assert [cure.words for cure in found if cure] == ["see to it"] * 2
    harmless = slack_of(lambda more: 0.0 if more < 11.5 else 15.0)
    assert cures(hose, slack_of(lambda more: 20.2 - more), harmless) == [longer(11)] * 2


def test_left_and_right_get_one_amount_that_puts_both_right(hose: Build) -> None:
    """The left one alone needs 11 mm, the right one 12 mm."""

    def slack(job: Job, line: BrakeLine) -> float:
        needed = 0.0218 if line.side is Side.RIGHT else 0.0202
        return needed - (line.free_length - 0.4)

    assert cures(hose, slack) == [longer(12)] * 2


@pytest.mark.parametrize(
    ("after", "amount"), [((PINION,), 0.024), ((None,), 0.024), ((CUT,), None), ((PINION, CUT), None)], ids=str
)
def test_a_change_of_a_partial_value_has_an_amount_where_no_more_is_left_out_after_it(
    hose: Build, after: Any, amount: float | None
) -> None:
    """24 mm more hose is enough; what is left out is the same after it, nothing, or something else."""

    def slack(job: Job, line: BrakeLine) -> Spot:
        more = line.free_length - 0.4
        return Spot(0.034 - more).leaving_out(*(after if more else (PINION,)))

    for cure in cures(hose, slack):
        assert cure is not None
        assert cure.amount == (None if amount is None else pytest.approx(amount))
        said = "; the amount does not count what is left out: the spec lacks axle.pinion"
        assert (said in cure.words) is (amount is not None)


def test_an_error_that_becomes_not_checked_without_leaving_out_more_does_not_count_as_harm(hose: Build) -> None:
    rule = rule_of(lambda job, subject: Spot(0.434 - job.build.value(HOSE)).leaving_out(PINION))
    job = Job(hose)
    assert worse_in(rule, job, job.edited(((HOSE, 0.43),))) == ()
    assert worse_in(rule, job, job.edited(((HOSE, 0.37),))) == ("slack",)


def test_an_amount_from_a_part_of_the_poses_says_what_it_does_not_count(hose: Build) -> None:
    def slack(job: Job, line: BrakeLine) -> Spot:
        return Spot(0.43 - line.free_length, None, ("4 of 26 poses are missing",))

    for cure in cures(hose, slack):
        assert cure is not None
        assert (
            cure.words
            == "make it {amount} longer; the amount does not count what is left out: 4 of 26 poses are missing"
        )
        assert cure.amount == pytest.approx(0.02)


def test_without_the_input_to_change_the_words_are_used(build: Build) -> None:
    reading = only(build, value_of(0.05), change=(Move("frame").of(raising(PINION)), SHORTEN))
    assert (reading.verdict, reading.value, reading.cure) == (Verdict.ERROR, 0.05, Cure("shorten it"))


def test_a_failing_change_leaves_the_reading_and_adds_a_failure(build: Build) -> None:
    change = Words(raising(ZeroDivisionError("division by zero")))
    first, failed, last = readings_of(build, value_of(0.05), value_of(0.001), change=change)
    assert (first.verdict, first.value, first.failure) == (Verdict.ERROR, 0.05, "")
    sentence = (
        "the rule failed: in the change of slack, ZeroDivisionError: division by zero (checks/test_inspection.py, line "
    )
    assert failed.failure.startswith(sentence)
    assert (last.value, last.verdict) == (0.001, Verdict.OK)


@pytest.mark.parametrize(
    ("cure", "said"),
    [
        ("make it longer", "TypeError: a change gives 'make it longer'; it needs a Cure"),
        (Cure("by {amount}", math.nan, Dimension.LENGTH), "its amounts need to be finite numbers"),
        (Cure("by {amount}", True, Dimension.LENGTH), "its amounts need to be finite numbers"),
        (Cure("by {amount}", 0.1), "an amount needs its dimension"),
        (Cure("it", path=5), "its words and its paths need to be texts"),  # type: ignore[arg-type]
    ],
)
def test_an_invalid_computed_change_is_a_failure_next_to_the_reading(hose: Build, cure: Any, said: str) -> None:
    def ways(job: Job, line: BrakeLine) -> list[Way]:
        return [Way((line,), lambda steps: ((HOSE, 0.4 + steps / 1000),), lambda steps: cure, 50)]

    found = readings_of(hose, slack_of(lambda more: 20.2 - more), subject=BrakeLine, change=(Computed(ways), SHORTEN))
    assert [(reading.quantity, reading.cure) for reading in found] == [("slack", None), ("", None)] * 2
    assert said in found[1].failure


def test_a_change_that_cannot_be_made_is_a_failure_of_the_rule_that_offers_it(hose: Build) -> None:
    ways = Computed(lambda job, line: iter([Way((line,), lambda steps: (("brake_linez", steps),), longer, 50)]))
    offering = rule_of(value_of(0.1), name="a-offering", subject=BrakeLine, change=(ways, SHORTEN))
    readings = inspect(hose, [offering, rule_of(value_of(0.0), name="b-sound")]).readings
    assert [(reading.rule, reading.verdict, bool(reading.failure)) for reading in readings] == [
        ("a-offering", Verdict.ERROR, False),
        ("a-offering", Verdict.ERROR, True),
        ("a-offering", Verdict.ERROR, False),
        ("a-offering", Verdict.ERROR, True),
        ("b-sound", Verdict.OK, False),
    ]
    assert readings[1].failure.startswith("the rule failed: in the change of slack, AttributeError: ")


# Rules that fail.


def leaves(job: Job, subject: object) -> float:
    sys.exit(0)


def recurses(job: Job, subject: object) -> Any:
    return recurses(job, subject)


@pytest.mark.parametrize(
    ("function", "failure"),
    [
        (lambda job, subject: 1 / 0, "ZeroDivisionError: division by zero"),
        (leaves, "SystemExit: 0"),
        (recurses, "RecursionError"),
        (
            value_of(None),
            ": slack returns nothing; did you forget to write `return`? (checks/test_inspection.py, line ",
        ),
        (value_of(["nonsense"]), "slack returns ['nonsense']; return a number, a spot of a curve, or met(...)"),
        (value_of(math.nan), "ValueError: slack came out as nan"),
        (value_of(math.inf), "ValueError: slack came out as inf"),
        (value_of(Spot(math.nan)), "ValueError: slack came out as nan"),
        (value_of(met(True, "fixed", otherwise="")), "slack answers with met(...), but has a limit"),
        (lambda job, subject: job.build.axel, "AttributeError: Build has no field 'axel'"),
    ],
)
def test_a_rule_that_fails_is_an_error_of_its_own_and_the_others_still_run(
    build: Build, function: Compute, failure: str
) -> None:
    failing = rule_of(function, name="a-failing")
    sound = rule_of(value_of(0.0), name="b-sound")
    failed, fine = inspect(build, [sound, failing]).readings
    assert failed.failure.startswith("the rule failed: ")
    assert failure in failed.failure
    assert (failed.verdict, failed.rule, failed.quantity, failed.value) == (Verdict.ERROR, "a-failing", "", None)
    assert (fine.rule, fine.verdict) == ("b-sound", Verdict.OK)


@pytest.mark.parametrize(
    ("more", "failure"),
    [
        (
            {"place": lambda job, subject: 5},
            "TypeError: its place needs a text, got 5 (checks/test_inspection.py, line ",
        ),
        ({"place": "lateral_baar.frame"}, "lateral_baar"),
    ],
)
def test_a_place_that_no_spec_has_is_a_failure(build: Build, more: dict[str, Any], failure: str) -> None:
    failed = only(build, value_of(0.1), **more)
    assert failed.failure.startswith("the rule failed: ")
    assert failure in failed.failure


def test_one_failing_check_of_a_rule_does_not_affect_its_others(build: Build) -> None:
    for functions in ((raising(ZeroDivisionError()), value_of(0.0)), (value_of(0.0), raising(ZeroDivisionError()))):
        readings = readings_of(build, *functions)
        assert sorted((bool(reading.failure), reading.verdict) for reading in readings) == [
            (False, Verdict.OK),
            (True, Verdict.ERROR),
        ]


def test_a_failing_subject_does_not_affect_the_next(build: Build) -> None:
    def slack(job: Job, link: Link) -> float:
        if link.label == "left lower link":
            raise RuntimeError("not this one")
        return 0.0

    readings = readings_of(build, slack, subject=Link)
    assert [(reading.subject, bool(reading.failure)) for reading in readings] == [
        ("left lower link", True),
        ("right lower link", False),
        ("left upper link", False),
    ]


def test_an_interruption_is_not_swallowed(build: Build) -> None:
    with pytest.raises(KeyboardInterrupt):
        readings_of(build, raising(KeyboardInterrupt()))


# What cannot be checked.


def test_missing_data_is_named_and_the_other_subjects_are_checked(build: Build) -> None:
    def slack(job: Job, link: Link) -> float:
        return 0.0 if link.label == "right lower link" else link.length

    readings = readings_of(build, slack, subject=Link)
    assert [(reading.verdict, reading.missing) for reading in readings] == [
        (Verdict.NOT_CHECKED, ("links.lower.both.length",)),
        (Verdict.OK, ()),
        (Verdict.NOT_CHECKED, ("links.upper.left.length",)),
    ]
    assert readings[0].reason == "the spec lacks links.lower.both.length"
    assert readings[0].place == "links.lower.both.length"
    assert readings[0].failure == ""


def test_a_missing_section_is_named(build: Build) -> None:
    (reading,) = readings_of(build, value_of(0.0), subject=BrakeLine)
    assert (reading.verdict, reading.missing, reading.subject) == (
        Verdict.NOT_CHECKED,
        ("brake_lines",),
        "brake line",
    )
    assert reading.reason


def test_a_kind_without_a_subject_is_never_passed_in_silence() -> None:
    empty = read_build({"format": 1, "units": "metric", "limit_straps": {}})
    (reading,) = readings_of(empty, value_of(0.0), subject=LimitStrap)
    assert (reading.verdict, reading.reason) == (Verdict.NOT_CHECKED, "no limit strap to check")


def test_a_pose_out_of_reach_is_a_reason(build: Build) -> None:
    reading = only(build, raising(Unreached("the axle cannot reach full droop")))
    assert (reading.verdict, reading.reason, reading.missing, reading.place) == (
        Verdict.NOT_CHECKED,
        "the axle cannot reach full droop",
        (),
        "",
    )


# Stages and order.


def test_a_rule_of_a_later_stage_waits(build: Build) -> None:
    later = replace(rule_of(value_of(0.0)), from_stage=Stage.CYCLED)
    assert inspect(build, [later]).readings == ()
    assert inspect(build, [later], stage=Stage.TACKED).readings == ()
    assert len(inspect(build, [later], stage=Stage.CYCLED).readings) == 1
    assert len(inspect(build, [later], stage=Stage.FINAL_WELD).readings) == 1


def test_a_wrong_entry_is_reported_when_it_is_written(build: Build) -> None:
    """What is only missing, and what is no entry, waits for its stage."""
    waits = replace(rule_of(value_of(0.023), value_of(0.0), raising(Unreached("later"))), from_stage=Stage.CYCLED)
    assert inspect(build, [waits]).readings == ()
    later = replace(waits, entries=True)
    early = inspect(build, [later])
    assert [(each.quantity, each.verdict) for each in early.readings] == [("slack", Verdict.ERROR)]
    assert [each.name for each in early.later] == ["hose"]
    assert len(inspect(build, [later], stage=Stage.CYCLED).readings) == 3
    half = replace(rule_of(value_of(0.0)), entries=True)
    half.check(Build, at_most(error="20 mm"), basis=PRACTICE, change=SHORTEN, name="late", from_stage=Stage.CYCLED)(
        named("Slack of another hose.", value_of(0.023))
    )
    assert [each.quantity for each in inspect(build, [half]).readings] == ["slack", "late"]


def named(says: str, function: Compute) -> Compute:
    function.__doc__ = says
    return function


def test_the_stage_is_the_specs_own_unless_another_is_asked_for() -> None:
    data = {"format": 1, "units": "metric", "build": {"stage": "tacked"}}
    assert inspect(read_build(data), []).stage is Stage.TACKED
    assert inspect(read_build(data), [], stage=Stage.CYCLED).stage is Stage.CYCLED
    assert inspect(read_build({"format": 1, "units": "metric", "build": {}}), []).stage is Stage.PROPOSAL
    assert inspect(read_build({"format": 1, "units": "metric"}), []).stage is Stage.PROPOSAL


def test_readings_come_by_area_then_rule_then_subject_whatever_the_order_of_the_rules(build: Build) -> None:
    rules = [
        rule_of(value_of(0.0), name="z", area=Area.LINKS),
        rule_of(value_of(0.0), name="a", area=Area.SAFETY),
        rule_of(value_of(0.0), name="b", area=Area.LINKS, subject=Link),
        rule_of(value_of(0.0), name="c", area=Area.AXLE),
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


@sampled(2)
@pytest.mark.parametrize("path", sorted(FOLDER.rglob("*.buildcheck.yaml")), ids=lambda path: path.name)
def test_the_same_build_and_rules_give_the_same_readings(path: Path) -> None:
    build, rules = read_build(read_file(path).data), collect().rules
    first = inspect(build, rules)
    assert first == inspect(build, rules[::-1])
    assert first.readings
    assert not [reading for reading in first.readings if reading.failure]


def test_a_rule_that_says_nothing_is_not_checked(build: Build) -> None:
    (reading,) = readings_of(build, value_of(0.0), subject=made("hose", lambda job, build: []))
    assert (reading.verdict, reading.reason) == (Verdict.NOT_CHECKED, "the rule makes no reading of this spec")
