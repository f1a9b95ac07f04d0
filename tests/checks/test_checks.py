"""Outcomes of checks: missing data, failures and follow-on checks affect only the check itself."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest

from buildcheck.api import (
    Area,
    Attachment,
    Build,
    Coilover,
    Dimension,
    Driveshaft,
    Job,
    Joint,
    LateralBar,
    Link,
    Move,
    Obstacle,
    Pair,
    Reading,
    Resize,
    Rule,
    Set,
    ShaftJoint,
    Spot,
    TieRod,
    Unreached,
    Verdict,
    Words,
    any_of,
    at_least,
    at_most,
    between,
    common_practice,
    each,
    inspect,
    made,
    met,
)
from buildcheck.build import Missing, read_build
from buildcheck.spec.quantity import System
from buildcheck.testing import changed, sound_build, sound_spec

BASIS = common_practice("a test")
INCH = 0.0254
NOTHING = Words("nothing to change")


def a_rule() -> Rule:
    return Rule("a-test", area=Area.LINKS, page="A test.\n\nA page.")


def readings(rule: Rule, build: Build | None = None) -> dict[tuple[str, str], Reading]:
    found = inspect(build or sound_build(), [rule]).readings
    return {(reading.subject, reading.quantity or ",".join(reading.unchecked)): reading for reading in found}


def without(*paths: str, name: str = "tamarack/proposal.buildcheck.yaml") -> Build:
    data = sound_spec(name)
    for path in paths:
        *steps, last = path.split(".")
        held: Any = data
        for step in steps:
            held = held[step]
        del held[last]
    return read_build(data)


def test_a_missing_value_does_not_stop_other_checks_and_names_the_checks_that_need_it() -> None:
    rule = a_rule()

    @rule.check(Coilover, at_least(error="1 in"), basis=BASIS, change=NOTHING)
    def stroke(job: Any, coilover: Coilover) -> float:
        """Stroke."""
        return coilover.extended_length - coilover.compressed_length

    @rule.check(Coilover, at_least(error="1 in"), basis=BASIS, change=NOTHING)
    def length(job: Any, coilover: Coilover) -> float:
        """Length."""
        return coilover.extended_length

    @rule.check(Coilover, at_least(error="10 %"), basis=BASIS, change=NOTHING)
    def share(job: Any, coilover: Coilover) -> float:
        """Share."""
        return coilover.compressed_length / coilover.extended_length

    found = readings(rule, without("coilovers.coilover.both.compressed_length"))
    assert {key: reading.verdict for key, reading in found.items()} == {
        ("left coilover", "length"): Verdict.OK,
        ("right coilover", "length"): Verdict.OK,
        ("left coilover", "stroke,share"): Verdict.NOT_CHECKED,
        ("right coilover", "stroke,share"): Verdict.NOT_CHECKED,
    }
    assert found["left coilover", "stroke,share"].missing == ("coilovers.coilover.both.compressed_length",)


def test_a_failing_check_does_not_affect_the_others() -> None:
    rule = a_rule()

    @rule.check(Build, at_least(error="1 in"), basis=BASIS, change=NOTHING)
    def broken(job: Any, build: Build) -> float:
        """Broken."""
        return 1 / 0

    @rule.check(Build, at_least(error="1 in"), basis=BASIS, change=NOTHING)
    def whole(job: Any, build: Build) -> float:
        """Whole."""
        return 1.0

    found = readings(rule)
    assert found["whole build", "whole"].verdict is Verdict.OK
    assert found["whole build", ""].verdict is Verdict.ERROR
    assert "ZeroDivisionError" in found["whole build", ""].failure


@pytest.mark.parametrize("value", [None, math.nan, math.inf, True, "5 in"])
def test_a_value_that_is_not_a_number_is_a_failure_and_never_ok(value: object) -> None:
    rule = a_rule()
    rule.check(Build, at_least(error="1 in"), basis=BASIS, change=NOTHING, name="odd")(documented(lambda *_: value))
    (reading,) = readings(rule).values()
    assert reading.verdict is Verdict.ERROR
    assert reading.failure


def documented(function: Callable[..., Any]) -> Callable[..., Any]:
    function.__doc__ = "A value."
    return function


def test_a_partial_value_is_an_error_where_it_breaks_its_limit_and_else_not_checked() -> None:
    for amount, verdict in ((2.0, Verdict.NOT_CHECKED), (0.01, Verdict.ERROR)):
        rule = a_rule()
        rule.check(Build, at_least(error="1 m"), basis=BASIS, change=NOTHING, name="part")(
            documented(lambda *_, amount=amount: Spot(amount).lacking("travel.articulation"))
        )
        (reading,) = readings(rule).values()
        assert reading.verdict is verdict
        assert "the spec lacks travel.articulation" in (reading.reason or reading.effect)


@pytest.mark.parametrize(
    ("left_out", "words"),
    [
        (Missing("travel.articulation"), "make the length of the left and right arm {amount} shorter; the amount does"),
        (
            Unreached("2 of 9 poses are missing"),
            "make the length of the left and right arm {amount} shorter; the amount",
        ),
    ],
)
def test_an_amount_is_given_without_what_is_left_out_and_says_so(left_out: Missing | Unreached, words: str) -> None:
    rule = a_rule()
    rule.check(Link, at_most(error="36 in"), basis=BASIS, change=(Resize("length"), NOTHING), name="x")(
        documented(lambda job, link: Spot(link.length).leaving_out(left_out))
    )
    build = read_build(changed(sound_spec(), {"links.arm.both.length": 37}))
    for reading in inspect(build, [rule]).readings:
        assert (reading.verdict, reading.cure and reading.cure.words.startswith(words)) == (Verdict.ERROR, True)
        assert reading.cure is not None
        assert reading.cure.words.endswith(str(left_out))


def test_no_amount_is_given_where_the_changed_build_leaves_out_more() -> None:
    rule = a_rule()

    def longer(job: Job, link: Link) -> Spot:
        """Length, with more left out for a shorter link."""
        return Spot(link.length).leaving_out(Unreached(f"the part below {link.length:.3f} m is missing"))

    rule.check(Link, at_most(error="36 in"), basis=BASIS, change=(Resize("length"), NOTHING), name="x")(longer)
    build = read_build(changed(sound_spec(), {"links.arm.both.length": 37}))
    found = inspect(build, [rule]).readings
    assert {(each.verdict, each.cure and each.cure.words) for each in found} == {(Verdict.ERROR, "nothing to change")}


def test_a_check_that_follows_one_that_is_not_ok_gives_no_second_reading() -> None:
    for is_so, expected in ((True, {"so", "then"}), (False, {"so"})):
        rule = a_rule()
        rule.must(Coilover, wanted="so", basis=BASIS, change=NOTHING, name="so")(
            documented(lambda job, part, is_so=is_so: met(is_so or part.side == "right", "so", otherwise="not so"))
        )
        rule.check(Pair[Coilover], at_least(error="1 m"), basis=BASIS, change=NOTHING, follows=("so",), name="then")(
            documented(lambda *_: 2.0)
        )
        assert {reading.quantity for reading in inspect(sound_build(), [rule]).readings} == expected


def test_a_reason_not_to_apply_is_given_once() -> None:
    rule = a_rule()
    for name in ("one", "two"):
        rule.check(
            Build, at_least(error="1 m"), basis=BASIS, change=NOTHING, name=name, when=lambda job, build: "not here"
        )(documented(lambda *_: 2.0))
    (reading,) = inspect(sound_build(), [rule]).readings
    assert (reading.verdict, reading.reason, reading.applies) == (Verdict.OK, "not here", False)


def test_a_comparison_is_silent_where_one_side_of_it_is_absent_and_a_rule_never_is() -> None:
    rule = a_rule()
    rule.check(Build, at_most(error="1 m"), basis=BASIS, change=NOTHING, name="compared", compares=True)(
        documented(lambda job, build: build.vehicle.wheelbase)
    )
    (reading,) = inspect(without("vehicle.wheelbase"), [rule]).readings
    assert (reading.verdict, reading.quantity, reading.applies) == (Verdict.OK, "", False)
    assert reading.reason == "the spec lacks the values to compare"
    rule.check(Build, at_most(error="1 m"), basis=BASIS, change=NOTHING, name="alone")(
        documented(lambda job, build: build.vehicle.wheelbase)
    )
    (reading,) = inspect(without("vehicle.wheelbase"), [rule]).readings
    assert (reading.verdict, reading.unchecked) == (Verdict.NOT_CHECKED, ("alone",))


@pytest.mark.parametrize("subject", [Coilover, each(Joint, of=LateralBar), Pair[Coilover]])
def test_a_comparison_is_silent_where_the_spec_describes_no_such_part(subject: Any) -> None:
    data = sound_spec()
    for coilovers in ({}, None):
        data.pop("coilovers", None)
        if coilovers is not None:
            data["coilovers"] = coilovers
        data["lateral_bar"].pop("joints", None)
        rule = a_rule()
        rule.check(subject, at_most(error="1 m"), basis=BASIS, change=NOTHING, name="compared", compares=True)(
            documented(lambda *_: 2.0)
        )
        (reading,) = inspect(read_build(data), [rule]).readings
        assert (reading.verdict, reading.applies) == (Verdict.OK, False)


def test_a_requirement_whose_verdict_is_not_checked_gives_its_finding_as_the_reason() -> None:
    rule = a_rule()
    rule.must(Coilover, wanted="on the left", otherwise=Verdict.NOT_CHECKED, basis=BASIS, change=NOTHING, name="left")(
        documented(lambda job, part: met(part.side == "left", "on the left", otherwise="nobody looks at the right"))
    )
    left, right = inspect(sound_build(), [rule]).readings
    assert (left.verdict, left.quantity) == (Verdict.OK, "left")
    assert (right.verdict, right.quantity, right.unchecked) == (Verdict.NOT_CHECKED, "", ("left",))
    assert (right.reason, right.cure) == ("nobody looks at the right", None)


SUBJECTS = [
    (Link, ["left arm", "right arm"]),
    (Link | LateralBar, ["left arm", "right arm", "lateral bar"]),
    (Pair[Link], ["arm"]),
    (each(ShaftJoint, of=Driveshaft), ["driveshaft output joint", "driveshaft pinion joint"]),
    (each(Joint, of=LateralBar), ["lateral bar frame joint", "lateral bar axle joint"]),
    (each(Link, where=lambda job, link: link.side == "left"), ["left arm"]),
    (Obstacle, ["crossmember", "left frame rail", "oil pan", "right frame rail"]),
    (any_of(LateralBar, each(Link, where=lambda job, link: link.side == "left")), ["lateral bar", "left arm"]),
]


@pytest.mark.parametrize(("subject", "labels"), SUBJECTS, ids=[str(number) for number in range(len(SUBJECTS))])
def test_subjects_are_found_wherever_they_are_written(subject: Any, labels: list[str]) -> None:
    rule = a_rule()
    rule.check(subject, at_least(error="1 m"), basis=BASIS, change=NOTHING, name="found")(documented(lambda *_: 2.0))
    assert [reading.subject for reading in inspect(sound_build(), [rule]).readings] == labels


def test_a_part_that_the_truck_has_and_the_spec_does_not_describe_is_not_checked() -> None:
    rule = a_rule()
    rule.check(each(ShaftJoint, of=Driveshaft), at_least(error="1 deg"), basis=BASIS, change=NOTHING, name="angle")(
        documented(lambda job, joint: joint.largest_angle)
    )
    found = inspect(without("driveshaft.pinion_joint"), [rule]).readings
    assert [(reading.subject, reading.verdict, reading.missing) for reading in found] == [
        ("driveshaft output joint", Verdict.OK, ()),
        ("driveshaft pinion joint", Verdict.NOT_CHECKED, ("driveshaft.pinion_joint.largest_angle",)),
    ]


def test_a_missing_kind_of_subject_does_not_hide_the_other_kinds() -> None:
    data = sound_spec()
    del data["lateral_bar"]
    data["vehicle"]["obstacles"], data["coilovers"] = {}, {}
    rule = a_rule()
    kinds = any_of(LateralBar, each(Obstacle, may_be_none=True), Coilover, Link)
    rule.check(kinds, at_least(error="1 m"), basis=BASIS, change=NOTHING, name="x")(documented(lambda *_: 2.0))
    found = inspect(read_build(data), [rule]).readings
    assert [(reading.subject, reading.verdict, reading.reason) for reading in found] == [
        ("lateral bar", Verdict.NOT_CHECKED, "the spec lacks lateral_bar"),
        ("coilover", Verdict.NOT_CHECKED, "no coilover to check"),
        ("left arm", Verdict.OK, ""),
        ("right arm", Verdict.OK, ""),
    ]


def test_a_subject_that_one_owner_cannot_make_is_not_checked_and_the_others_are() -> None:
    def itself(job: Any, link: Link) -> Any:
        if link.side == "left":
            raise Unreached("the left one cannot go there")
        yield link

    rule = a_rule()
    rule.check(made("link", itself, of=Link), at_least(error="1 m"), basis=BASIS, change=NOTHING, name="x")(
        documented(lambda *_: 2.0)
    )
    found = inspect(sound_build(), [rule]).readings
    assert [(reading.subject, reading.verdict, reading.reason, reading.missing) for reading in found] == [
        ("left arm", Verdict.NOT_CHECKED, "the left one cannot go there", ()),
        ("right arm", Verdict.OK, "", ()),
    ]


def test_missing_and_empty_sections_are_not_checked_except_for_optional_parts() -> None:
    def verdict(subject: Any, build: Build) -> tuple[Verdict, str]:
        rule = a_rule()
        rule.check(subject, at_least(error="1 m"), basis=BASIS, change=NOTHING, name="x")(documented(lambda *_: 2.0))
        (reading,) = inspect(build, [rule]).readings
        return reading.verdict, reading.missing[0] if reading.missing else reading.reason

    data = sound_spec()
    data["vehicle"]["obstacles"] = {}
    data["coilovers"] = {}
    empty = read_build(data)
    assert verdict(Coilover, without("coilovers")) == (Verdict.NOT_CHECKED, "coilovers")
    assert verdict(Obstacle, without("vehicle.obstacles")) == (Verdict.NOT_CHECKED, "vehicle.obstacles")
    assert verdict(Coilover, empty) == (Verdict.NOT_CHECKED, "no coilover to check")
    assert verdict(Obstacle, empty) == (Verdict.NOT_CHECKED, "no obstacle to check")
    assert verdict(each(Obstacle, may_be_none=True), empty) == (Verdict.OK, "the spec says that there is no obstacle")


REFUSED = [
    (at_most(), "bounds nothing"),
    (at_most(error="5"), "needs one kind of unit"),
    (at_most(warning="5 deg", error="1 in"), "needs one kind of unit"),
    (at_most(warning="5 lb"), "may be a mass or a force"),
    (at_most(warning="10 deg", error="5 deg"), "may be swapped"),
    (at_least(warning="1 in", error="2 in"), "may be swapped"),
    (between(error=("2 in", "1 in")), "may be swapped"),
]


@pytest.mark.parametrize(("limit", "why"), REFUSED, ids=[why for _, why in REFUSED])
def test_an_impossible_limit_is_refused_when_the_rule_is_loaded(limit: Any, why: str) -> None:
    rule = a_rule()
    with pytest.raises(ValueError, match=why):
        rule.check(Build, limit, basis=BASIS, change=NOTHING, name="x")(documented(lambda *_: 2.0))
    assert rule.checks == ()


def test_a_list_of_changes_that_does_not_end_in_words_a_second_check_of_a_name_and_no_docstring_are_refused() -> None:
    rule = a_rule()
    fine = {"basis": BASIS, "change": NOTHING, "name": "x"}
    with pytest.raises(ValueError, match="ends in Words"):
        rule.check(Link, at_most(error="5 deg"), **{**fine, "change": Move("frame")})(documented(lambda *_: 1.0))
    with pytest.raises(ValueError, match="docstring"):
        rule.check(Link, at_most(error="5 deg"), **fine)(lambda *_: 1.0)
    rule.check(Link, at_most(error="5 deg"), **fine)(documented(lambda *_: 1.0))
    with pytest.raises(ValueError, match="already"):
        rule.check(Link, at_most(error="5 deg"), **fine)(documented(lambda *_: 1.0))
    with pytest.raises(TypeError, match="class of the build"):
        rule.check(str, at_most(error="5 deg"), **{**fine, "name": "y"})(documented(lambda *_: 1.0))


def test_a_limit_is_of_the_dimension_of_its_units() -> None:
    assert at_most(warning="1 in", error="2 in").dimension is Dimension.LENGTH
    assert between(warning=("-8 %", "8 %")).dimension is Dimension.RATIO
    assert at_least(error="200 lbf").dimension is Dimension.FORCE


def changed_by(change: Any, amount: Callable[[Any, Any], float], limit: Any, subject: Any = Link) -> list[Reading]:
    rule = a_rule()
    rule.check(subject, limit, basis=BASIS, change=(change, NOTHING), name="x")(documented(amount))
    return list(inspect(sound_build(), [rule]).readings)


def test_a_move_is_the_smallest_step_that_passes_for_both_sides_and_is_written_once() -> None:
    # The frame end is 19.7 in high: 16 is 59.2 sixteenths lower, so 60 of them, 3 3/4 in.
    found = changed_by(Move("frame", axis="z"), lambda job, link: link.frame.z, at_most(error="16 in"))
    for reading in found:
        assert reading.cure is not None
        assert reading.cure.words == "move the frame end of the left and right arm down {amount}"
        assert reading.cure.amount == pytest.approx(3.75 * 0.0254)
        assert (reading.cure.path, reading.cure.also) == ("links.arm.both.frame.z", ())


def test_a_move_across_is_outward_on_both_sides() -> None:
    found = changed_by(Move("frame", axis="y"), lambda job, link: abs(link.frame.y), at_least(error="17 in"))
    assert [reading.cure.words for reading in found if reading.cure] == [
        "move the frame end of the left and right arm outward {amount}"
    ] * 2
    assert all(reading.cure and reading.cure.amount == pytest.approx(0.5 * 0.0254) for reading in found)


def test_an_amount_is_set_to_a_value_of_its_grid_and_not_beyond_what_is_made() -> None:
    subject = each(ShaftJoint, of=Driveshaft)
    for most, words in (("45 deg", "take one of {amount}"), ("30 deg", "nothing to change")):
        change = Set("largest_angle", says="take one of {amount}", most=most)
        found = changed_by(change, lambda job, joint: joint.largest_angle, at_least(error="30.1 deg"), subject)
        assert [reading.cure.words for reading in found if reading.cure] == [words] * 2
        if most == "45 deg":
            amounts = [math.degrees(reading.cure.amount) for reading in found if reading.cure and reading.cure.amount]
            assert amounts == pytest.approx([30.5] * 2)


def test_words_may_say_by_how_much_a_value_is_outside_its_limit() -> None:
    rule = a_rule()
    rule.check(Build, at_least(error="1 in"), basis=BASIS, change=Words("make {amount} more room"), name="room")(
        documented(lambda *_: 0.6 * 0.0254)
    )
    (reading,) = readings(rule).values()
    assert reading.cure is not None
    # 0.4 in, up to the next sixteenth.
    assert (reading.cure.words, reading.cure.edits) == ("make {amount} more room", ())
    assert reading.cure.amount == pytest.approx(7 / 16 * 0.0254)


TACKS = "attachments.arm_frame_bracket.both.weld.tacks.length"


@pytest.mark.parametrize(
    ("now", "limit", "steps"),
    [
        ("0.23 in", at_least(error="0.24 in"), 4),
        ("0.26 in", at_most(error="0.255 in"), 4),
        ("1/4 in", at_least(error="0.26 in"), 5),
        ("1/4 in", at_most(error="0.24 in"), 3),
    ],
)
def test_a_set_amount_is_the_first_multiple_of_its_step_that_passes(now: str, limit: Any, steps: int) -> None:
    """From an amount that is no multiple itself, the one next to it, of sixteenths of an inch."""
    rule = a_rule()
    subject = each(Attachment, where=lambda job, bracket: bracket.path in TACKS)
    change = Set("length", says="make it {amount}").of(lambda job, bracket: bracket.weld.tacks)
    rule.check(subject, limit, basis=BASIS, change=(change, NOTHING), name="x")(
        documented(lambda job, bracket: bracket.weld.tacks.length)
    )
    found = inspect(read_build(changed(sound_spec(), {TACKS: now})), [rule]).readings
    assert [reading.cure.amount for reading in found if reading.cure] == pytest.approx([steps * INCH / 16] * 2)


@pytest.mark.parametrize(("units", "amount"), [("inch-pound", (490 + 459.67) * 5 / 9), ("metric", 250 + 273.15)])
def test_a_temperature_is_set_to_a_multiple_of_the_degrees_that_the_spec_is_in(units: str, amount: float) -> None:
    """More than 249 degC is 480.2 degF: 490 degF, or 250 degC."""
    preheat = "attachments.arm_frame_bracket.both.weld.preheat"
    rule = a_rule()
    subject = each(Attachment, where=lambda job, part: part.path in preheat)
    change = Set("preheat", says="preheat to {amount}").of(lambda job, part: part.weld)
    rule.check(subject, at_least(error="249 degC"), basis=BASIS, change=(change, NOTHING), name="x")(
        documented(lambda job, part: part.weld.preheat)
    )
    build = read_build(changed(sound_spec(), {preheat: "100 degC"})).with_value("units", System(units))
    found = inspect(build, [rule]).readings
    assert [reading.cure.amount for reading in found if reading.cure] == pytest.approx([amount] * 2)


def test_a_change_that_makes_another_reading_of_the_rule_worse_is_passed_over_for_one_that_does_not() -> None:
    rule = a_rule()
    longer = Resize("extended_length", says="make it {amount} {way}")
    shorter = Resize("compressed_length", says="close it {amount} {way}")
    rule.check(Coilover, at_least(error="16 in"), basis=BASIS, change=(longer, shorter, NOTHING), name="stroke")(
        documented(lambda job, part: part.extended_length - part.compressed_length)
    )
    rule.check(Coilover, at_most(error="36 in"), basis=BASIS, change=NOTHING, name="extended")(
        documented(lambda job, part: part.extended_length)
    )
    found = readings(rule)
    cure = found["left coilover", "stroke"].cure
    assert cure is not None
    assert cure.words == "close it {amount} shorter"


def test_a_pose_that_cannot_be_reached_affects_only_its_own_check() -> None:
    rule = a_rule()

    def raises(*_: object) -> float:
        """A value."""
        raise Unreached("the axle cannot go there")

    rule.check(Build, at_least(error="1 in"), basis=BASIS, change=NOTHING, name="far")(raises)
    rule.check(Build, at_least(error="1 in"), basis=BASIS, change=NOTHING, name="near")(documented(lambda *_: 1.0))
    found = readings(rule)
    assert found["whole build", "near"].verdict is Verdict.OK
    assert found["whole build", "far"].reason == "the axle cannot go there"


WRONGLY_MADE: list[Any] = [
    lambda: Words("take {part}"),
    lambda: Words("take a {"),
    lambda: Words(5),  # type: ignore[arg-type]
    lambda: Move("frame", axis="q"),
    lambda: Resize("length", says="make it {longer}"),
    lambda: each(Link, where=5),  # type: ignore[arg-type]
    lambda: made("gap", 5),  # type: ignore[arg-type]
]


@pytest.mark.parametrize("make", WRONGLY_MADE)
def test_arguments_that_cannot_work_are_refused_at_once(make: Any) -> None:
    with pytest.raises((TypeError, ValueError)):
        make()


@pytest.mark.parametrize("path", ["[", "links.arm.up.frame", "hoses", "steering.kingpins.left.top"])
def test_a_rule_may_name_a_missing_path_that_no_spec_can_have(path: str) -> None:
    rule = a_rule()

    def lacks(*_: object) -> Any:
        """A value."""
        raise Missing(path)

    rule.check(Link, at_most(error="1 in"), basis=BASIS, change=NOTHING, name="asked")(lacks)
    rule.check(Link, at_most(error="1 in"), basis=BASIS, change=NOTHING, name="asked-when", when=lacks)(
        documented(lambda *_: 2.0)
    )
    found = inspect(sound_build(), [rule]).readings
    assert {(each.verdict, each.missing) for each in found} == {(Verdict.NOT_CHECKED, (path,))}


def test_a_check_that_may_not_apply_asks_only_for_the_value_that_decides_it() -> None:
    rule = a_rule()

    def welded(job: object, bracket: Attachment) -> str | None:
        return "it is bolted" if bracket.method == "bolted" else None

    rule.check(Attachment, at_most(error="1 in"), basis=BASIS, change=NOTHING, name="leg", when=welded)(
        documented(lambda job, bracket: bracket.weld.leg)
    )
    bracket = "attachments.arm_frame_bracket.both.method"
    found = inspect(without(bracket), [rule]).readings
    assert {(each.verdict, each.missing) for each in found if each.subject == "left arm frame bracket"} == {
        (Verdict.NOT_CHECKED, (bracket,))
    }


def test_a_part_with_ends_called_left_and_right_is_no_pair() -> None:
    """A tie rod has such ends: a check that follows another is made on the rod, not on its ends."""
    rule = a_rule()
    rule.must(TieRod, wanted="so", basis=BASIS, change=NOTHING, name="so")(
        documented(lambda job, rod: met(isinstance(rod, TieRod), "so", otherwise="not so"))
    )
    rule.check(TieRod, at_least(error="1 m"), basis=BASIS, change=NOTHING, follows=("so",), name="then")(
        documented(lambda job, rod: 0.5)
    )
    assert readings(rule)["steering tie rod", "then"].verdict is Verdict.ERROR


def test_a_check_that_follows_one_that_could_not_be_made_is_named_with_it() -> None:
    rule = a_rule()
    rule.must(Coilover, wanted="so", basis=BASIS, change=NOTHING, name="so")(
        documented(lambda job, part: met(part.extended_length > 0.0, "so", otherwise="not so"))
    )
    rule.check(Coilover, at_least(error="1 in"), basis=BASIS, change=NOTHING, follows=("so",), name="then")(
        documented(lambda job, part: part.compressed_length)
    )
    found = inspect(without("coilovers.coilover.both.extended_length"), [rule]).readings
    assert {(each.verdict, each.missing, each.unchecked) for each in found} == {
        (Verdict.NOT_CHECKED, ("coilovers.coilover.both.extended_length",), ("so", "then"))
    }
