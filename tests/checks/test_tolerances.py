"""The plus or minus of each reading, compared with values computed by hand."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np
import pytest

from buildcheck.api import (
    Area,
    Build,
    Coilover,
    Job,
    LimitStrap,
    Link,
    Reading,
    Rule,
    Unreached,
    Verdict,
    Words,
    at_most,
    common_practice,
    inspect,
    made,
)
from buildcheck.build import Side, Stage, read_build
from buildcheck.checks import tolerances
from buildcheck.checks.tolerances import COLUMNS, DRAWS, Tolerances, _coins, off_by_tolerance
from buildcheck.plugins.loading import collect
from buildcheck.spec.document import read_text
from buildcheck.spec.quantity import Dimension
from buildcheck.spec.schema import problems_in
from buildcheck.testing import sound_spec

SIXTEENTH = 0.0254 / 16
SPEC = """
format: 1
units: inch-pound
vehicle: {axle_load: 2600, wheelbase: 105}
axle: {caster: 6, centre: [0, 0, 15]}
links:
  lower: {both: {kind: two-point, frame: [-30, 16, 18], axle: [0, 16, 12]}}
limit_straps:
  strap: {both: {frame: [1, 15, 30], axle: [1, 15, 14], length: 20, stretch: 1/2}}
coilovers:
  coilover: {both: {frame: [2, 15, 34], axle: [2, 15, 14], extended_length: 24, preload: 0}}
"""
LENGTH, ANGLE, MASS = at_most(warning="20.1 in"), at_most(warning="60 deg"), at_most(warning="4000 lb")


def build_of(records: str = "", spec: str = SPEC) -> Build:
    document = read_text(spec + (f"records: {{{records}}}\n" if records else ""), "a spec")
    assert problems_in(document) == ()
    return read_build(document.data)


def rule_of(function: Any, subject: Any = Build, limit: Any = LENGTH) -> Rule:
    rule = Rule("how-long", area=Area.LINKS, page="How long it is.\n\nA page.")
    return with_check(rule, function, subject, limit)


def with_check(rule: Rule, function: Any, subject: Any = Build, limit: Any = LENGTH) -> Rule:
    dimension = Dimension.MASS if limit is MASS else None  # lb is also a force
    basis, change = common_practice("as it is done"), Words("change it")
    rule.check(subject, limit, basis=basis, change=change, dimension=dimension)(function)
    return rule


def readings(function: Any, records: str, *, spec: str = SPEC, **more: Any) -> tuple[Reading, ...]:
    return inspect(build_of(records, spec), [rule_of(function, **more)], sure=True).readings


def only(function: Any, records: str, **more: Any) -> float | None:
    (reading,) = readings(function, records, **more)
    return reading.plus_or_minus


def strap_length(job: Job, build: Build) -> float:
    """Length of a strap."""
    return build.limit_straps["strap"].left.length


def strap_span(job: Job, build: Build) -> float:
    """Distance of the ends of a strap."""
    strap = build.limit_straps["strap"].left
    return math.dist(strap.frame, strap.axle)


def link_slope(job: Job, link: Link) -> float:
    """Slope of a link."""
    return math.atan2(link.frame.z - link.axle.z, link.axle.x - link.frame.x)


def test_the_columns_of_the_design_are_balanced_and_square_to_each_other() -> None:
    part = build_of().limit_straps["strap"].left
    design = np.array([[next_coin(part, draw, number) for number in range(COLUMNS)] for draw in range(DRAWS)])
    assert np.array_equal(design.T @ design, DRAWS * np.eye(COLUMNS))
    assert np.array_equal(design.sum(axis=0), np.zeros(COLUMNS))


def next_coin(part: Any, draw: int, number: int) -> int:
    coins = _coins(part, draw)
    for _ in range(number):
        next(coins)
    return next(coins)


def test_a_number_of_the_spec_is_known_as_well_as_its_tape() -> None:
    assert only(strap_length, "tape_tolerance: 1/16") == pytest.approx(SIXTEENTH, rel=1e-12)


def test_bought_parts_and_chosen_values_count_as_exact() -> None:
    def stretch(job: Job, build: Build) -> float:
        """Stretch of a strap."""
        return build.limit_straps["strap"].left.stretch

    assert only(stretch, "tape_tolerance: 1/16") == 0.0


def test_a_distance_is_known_as_well_as_its_two_ends() -> None:
    # Both ends along the strap: the root of two squares. Across it they do nothing, to first order.
    assert only(strap_span, "tape_tolerance: 0.001") == pytest.approx(math.sqrt(2) * 0.0000254, rel=1e-4)


def test_a_slope_is_known_as_well_as_both_ends_over_its_length() -> None:
    found = readings(link_slope, "tape_tolerance: 0.001", subject=Link, limit=ANGLE)
    expected = math.sqrt(2) * 0.001 / math.hypot(30, 6)
    assert [reading.subject for reading in found] == ["left lower link", "right lower link"]
    assert [reading.plus_or_minus for reading in found] == pytest.approx([expected, expected], rel=1e-3)


def test_left_and_right_are_measured_each_for_itself() -> None:
    def across(job: Job, build: Build) -> float:
        """Difference of two straps."""
        pair = build.limit_straps["strap"]
        return pair.left.length - pair.right.length

    (reading,) = readings(across, "tape_tolerance: 1/16")
    assert reading.value == 0.0
    assert reading.plus_or_minus == pytest.approx(math.sqrt(2) * SIXTEENTH, rel=1e-12)


def test_each_tool_has_its_own_tolerance() -> None:
    def caster(job: Job, build: Build) -> float:
        """Caster."""
        return build.axle.caster

    def load(job: Job, build: Build) -> float:
        """Load on the axle."""
        return build.vehicle.axle_load

    def wheelbase(job: Job, build: Build) -> float:
        """Wheelbase."""
        return build.vehicle.wheelbase

    rule = with_check(with_check(rule_of(caster, limit=ANGLE), load, limit=MASS), wheelbase)
    found = inspect(build_of("gauge_tolerance: 0.25, scale_tolerance: 20"), [rule], sure=True).readings
    assert [reading.plus_or_minus for reading in found] == pytest.approx(
        [math.radians(0.25), 20 * 0.45359237, SIXTEENTH], rel=1e-9
    )


def test_without_a_stated_tolerance_the_usual_one_is_assumed_and_said() -> None:
    inspection = inspect(build_of(), [rule_of(strap_length)], sure=True)
    (reading,) = inspection.readings
    assert reading.plus_or_minus == pytest.approx(SIXTEENTH, rel=1e-12)
    assumed = {each.path: each.value for each in inspection.assumptions}
    assert assumed["records.tape_tolerance"] == pytest.approx(SIXTEENTH)
    assert assumed["records.gauge_tolerance"] == pytest.approx(math.radians(0.2))
    assert assumed["records.scale_tolerance"] == 5.0
    assert all(each.basis == "common practice, no source" for each in inspection.assumptions)


def test_without_a_request_there_is_no_plus_or_minus() -> None:
    inspection = inspect(build_of("tape_tolerance: 1/16"), [rule_of(strap_length)])
    assert inspection.readings[0].plus_or_minus is None
    assert not inspection.sure
    assert inspection.assumptions == ()


def test_only_missing_tolerances_are_assumed() -> None:
    inspection = inspect(build_of("tape_tolerance: 1/16"), [rule_of(strap_length)], sure=True)
    assert [each.path for each in inspection.assumptions] == ["records.gauge_tolerance", "records.scale_tolerance"]


@pytest.mark.parametrize(
    ("stage", "sure"), [("proposal", False), ("teardown", False), ("tacked", True), ("driven", True)]
)
def test_from_tacked_on_it_is_computed_unless_the_caller_says_otherwise(stage: str, sure: bool) -> None:
    build, rules = build_of(), [rule_of(strap_length)]
    assert inspect(build, rules, stage=Stage(stage), sure=None).sure is sure
    assert not inspect(build, rules, stage=Stage(stage), sure=False).sure
    assert inspect(build, rules, stage=Stage(stage), sure=True).sure


def test_a_reading_near_its_limit_names_the_input_that_it_depends_on_most() -> None:
    def span(job: Job, build: Build) -> float:
        """Length of a strap and a tenth of another."""
        pair = build.limit_straps["strap"]
        return pair.left.length + pair.right.length / 10

    of_span = at_most(warning="22.05 in")
    measured = 'measured: [{of: limit_straps.strap.right.length, value: 20, tolerance: "1 1/2 in"}]'
    (near,) = readings(span, "tape_tolerance: 1/16", limit=of_span)
    assert (near.depends_on, near.plus_or_minus) == (
        "limit_straps.strap.left.length",
        pytest.approx(math.hypot(1, 0.1) * SIXTEENTH, rel=1e-9),
    )
    (other,) = readings(span, f"tape_tolerance: 1/16, {measured}", limit=of_span)
    assert (other.depends_on, other.plus_or_minus) == (
        "limit_straps.strap.right.length",
        pytest.approx(math.hypot(1 / 16, 0.15) * 0.0254, rel=1e-9),
    )
    (far,) = readings(span, "tape_tolerance: 1/16", limit=at_most(warning="30 in"))
    assert far.depends_on == ""


@pytest.mark.parametrize(
    ("of", "expected"),
    [
        ("limit_straps.strap.both.length", 1 / 4),
        ("limit_straps.strap.left.length", 1 / 4),
        ("limit_straps.strap.right.length", 1 / 16),
        ("limit_straps.strap.both.frame", 1 / 16),
    ],
)
def test_a_measurement_has_its_own_tolerance(of: str, expected: float) -> None:
    records = f'tape_tolerance: 1/16, measured: [{{of: {of}, value: 20, tolerance: "1/4 in"}}]'
    assert only(strap_length, records) == pytest.approx(expected * 0.0254, rel=1e-12)


@pytest.mark.parametrize(
    ("of", "value"), [("limit_straps.strap.both.frame", "[1, 15, 30]"), ("limit_straps.strap.left.frame.z", "30")]
)
def test_the_measurement_of_a_point_is_that_of_its_coordinates(of: str, value: str) -> None:
    records = f"tape_tolerance: 0, measured: [{{of: {of}, value: {value}, tolerance: 0.01}}]"
    assert only(strap_span, records) == pytest.approx(0.000254, rel=1e-3)


def test_a_measurement_with_an_invalid_tolerance_keeps_that_of_the_tape() -> None:
    records = 'tape_tolerance: 1/16, measured: [{of: limit_straps.strap.both.length, value: 20, tolerance: "3 deg"}]'
    assert only(strap_length, records) == pytest.approx(SIXTEENTH, rel=1e-12)


def test_no_length_becomes_negative() -> None:
    build = build_of("tape_tolerance: 1/16")
    found = {
        off_by_tolerance(build, Tolerances(build), draw).coilovers["coilover"].left.preload for draw in range(DRAWS)
    }
    assert found == {0.0, SIXTEENTH}


@pytest.mark.parametrize("tolerance", ["1e200 in", "-1/16 in", "3 in"])
def test_a_tolerance_that_no_tool_has_is_left_to_the_rules_on_records(tolerance: str) -> None:
    of = f'of: limit_straps.strap.both.length, value: 20, tolerance: "{tolerance}"'
    assert only(strap_length, f"tape_tolerance: 1/16, measured: [{{{of}}}]") == pytest.approx(SIXTEENTH, rel=1e-12)


def test_a_link_is_cut_to_its_own_length_and_does_not_grow_with_its_bracket() -> None:
    build = build_of("tape_tolerance: 1/16")
    moved = off_by_tolerance(build, Tolerances(build), 3)
    left = moved.links["lower"].left
    assert abs(left.length - math.hypot(30, 6) * 0.0254) == pytest.approx(SIXTEENTH, rel=1e-9)
    assert left.length != pytest.approx(math.dist(left.frame, left.axle), rel=1e-9)


def test_the_build_itself_stays_as_it_was() -> None:
    build = build_of("tape_tolerance: 1/16, gauge_tolerance: 1, scale_tolerance: 10")
    off_by_tolerance(build, Tolerances(build), 0)
    assert build == build_of("tape_tolerance: 1/16, gauge_tolerance: 1, scale_tolerance: 10")


def test_a_reading_absent_from_one_draw_is_not_known() -> None:
    def reaches(job: Job, strap: LimitStrap) -> float:
        """Length of a strap that is not too long."""
        if strap.side is Side.LEFT and strap.length > 20 * 0.0254:
            raise Unreached("it is too long")
        return strap.length

    left, right = readings(reaches, "tape_tolerance: 1/16", subject=LimitStrap)
    assert left.plus_or_minus == math.inf
    assert left.too_near_to_tell
    assert right.plus_or_minus == pytest.approx(SIXTEENTH, rel=1e-12)


def test_a_rule_that_fails_in_a_draw_keeps_its_reading() -> None:
    def divides(job: Job, coilover: Coilover) -> float:
        """A number where there is no preload."""
        return 0.1 / (1.0 if coilover.preload == 0.0 else 0.0)

    found = readings(divides, "tape_tolerance: 1/16", subject=Coilover)
    assert [(reading.verdict, reading.plus_or_minus) for reading in found] == [(Verdict.OK, math.inf)] * 2


@pytest.mark.parametrize(("tolerance", "near"), [("3/32", False), ("1/8", True)])
def test_a_reading_with_a_margin_below_its_uncertainty_is_marked(tolerance: str, near: bool) -> None:
    (reading,) = readings(strap_length, f"tape_tolerance: {tolerance}")  # a tenth of an inch to spare
    assert reading.verdict is Verdict.OK
    assert reading.too_near_to_tell is near


def test_the_order_and_the_units_of_the_spec_mean_nothing() -> None:
    turned = """
limit_straps:
  strap: {both: {length: 508 mm, axle: [1, 15, 14], frame: [1, 15, 762 mm]}}
links:
  lower: {both: {axle: [0, 16, 12], frame: [-30, 16, 18], kind: two-point}}
units: inch-pound
format: 1
"""
    for function, subject, limit in ((link_slope, Link, ANGLE), (strap_span, Build, LENGTH)):
        plain = readings(function, "tape_tolerance: 1/16", subject=subject, limit=limit)
        other = readings(function, "tape_tolerance: 1.5875 mm", subject=subject, limit=limit, spec=turned)
        assert [each.plus_or_minus for each in plain] == pytest.approx([each.plus_or_minus for each in other], rel=1e-9)


class Gap(NamedTuple):
    which: str
    width: float
    path: str = "limit_straps"
    label: str = "strap"


def test_each_of_several_readings_is_compared_with_itself_in_every_draw() -> None:
    """The first of two gaps is listed only in some draws; the second must not be taken for it then."""

    def gaps(job: Job, build: Build) -> Iterator[Gap]:
        strap = build.limit_straps["strap"]
        if strap.left.length <= 20 * 0.0254:
            yield Gap("strap and frame", 0.3)
        yield Gap("strap and axle", strap.right.length)

    def width(job: Job, gap: Gap) -> float:
        """Width of a gap."""
        return gap.width

    first, second = readings(width, "tape_tolerance: 1/16", subject=made("gap", gaps))
    assert (first.of, first.plus_or_minus) == ("strap and frame", math.inf)
    assert second.plus_or_minus == pytest.approx(SIXTEENTH, rel=1e-12)


def test_the_gaps_that_are_not_computed_again_change_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Only the gaps that have a reading are screened, and only those too near to tell are computed input by input."""
    build = read_build({**sound_spec("three-link-metric.buildcheck.yaml"), "records": {"tape_tolerance": "3 mm"}})
    rules = [rule for rule in collect().rules if rule.name == "clearance"]
    some = [*tolerances.inputs_of(tolerances.with_lengths(build), Tolerances(build))][::9]
    monkeypatch.setattr(tolerances, "inputs_of", lambda held, known: iter(some))
    readings = inspect(build, rules, sure=True, changes=False).readings
    assert any(each.depends_on for each in readings)
    monkeypatch.setattr(tolerances, "_pairs_of", lambda job, values=None: None)
    for one, other in zip(inspect(build, rules, sure=True, changes=False).readings, readings, strict=True):
        assert (one.subject, one.of, one.value, one.depends_on) == (
            other.subject,
            other.of,
            other.value,
            other.depends_on,
        )
        assert one.plus_or_minus == pytest.approx(other.plus_or_minus, rel=1e-12)
