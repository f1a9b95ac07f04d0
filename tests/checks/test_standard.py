"""A shop's standard: its changes, additions and demands, and every mistake reported at its place."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import pytest
from buildcheck_rules import buildcheck_rules
from hypothesis import given
from hypothesis import strategies as st
from sampling import draws, sampled

from buildcheck.api import (
    Answer,
    Area,
    Build,
    Job,
    Reading,
    Rule,
    Spot,
    Stage,
    Verdict,
    Words,
    at_least,
    at_most,
    between,
    common_practice,
    inspect,
    met,
)
from buildcheck.build import read_build
from buildcheck.checks.limit import Basis, Bounds, Limit
from buildcheck.checks.shop_limits import WHERE
from buildcheck.checks.standard import Standard
from buildcheck.checks.standard_chain import NotUsable
from buildcheck.checks.standard_chain import written as with_bases
from buildcheck.checks.standard_file import read_standard
from buildcheck.job.cycle import cycle
from buildcheck.job.quantities import families, of_no_part
from buildcheck.output import words
from buildcheck.spec.additions import NOTHING_ADDED
from buildcheck.spec.document import Unreadable, read_file, read_text
from buildcheck.spec.place import Problem
from buildcheck.spec.quantity import Dimension, System
from buildcheck.spec.schema import STANDARD_SCHEMA, problems_in, schema
from buildcheck.spec.units import UNITS

EXAMPLES = Path(__file__).parents[2] / "examples"
SHOWN = EXAMPLES / "shop-standard" / "shop.standard.yaml"
HEAD = "format: 1\nunits: inch-pound\nshop: a bench\n"
SPEC = "format: 1\nunits: inch-pound\nbuild: {intended_use: %s}\nvehicle: {track: 63, wheelbase: 108}\n"
INCH = 0.0254

NARROWER = Words("make it narrower")
TRACK: dict[str, Any] = {
    "limit": between(warning=("40 in", "60 in"), error=("30 in", "70 in")),
    "basis": common_practice("a door is wide"),
    "change": NARROWER,
    "place": "vehicle.track",
    "name": "track",
}

size = Rule("size", area=Area.AXLE, page="It has a size.\n\nChecked: the size.")


@size.check(Build, **TRACK)
def track(job: Job, build: Build) -> float:
    """Track of the axle."""
    return build.vehicle.track


@size.check(
    Build,
    at_most(warning="100 in"),
    basis=common_practice("a shop is long"),
    change=Words("make it shorter"),
    place="vehicle.wheelbase",
)
def base(job: Job, build: Build) -> float:
    """Wheelbase."""
    return build.vehicle.wheelbase


@size.must(
    Build,
    wanted="level",
    basis=common_practice("water runs"),
    change=Words("level it"),
    place="support",
    otherwise=Verdict.WARNING,
)
def level(job: Job, build: Build) -> Answer:
    """The floor is level."""
    return met(False, "level", otherwise="a slope")


late = Rule("late", area=Area.RECORDS, page="It comes late.\n\nChecked: the mass.", from_stage=Stage.CYCLED)


@late.check(Build, **{**TRACK, "place": "vehicle.unsprung_mass"})
def unsprung(job: Job, build: Build) -> float:
    """Mass of the axle."""
    return build.vehicle.unsprung_mass


RULES = (size, late)
BUILT_IN = tuple(buildcheck_rules())


def standard(text: str, rules: tuple[Rule, ...] = RULES) -> Standard:
    return read_standard(read_text(f"{HEAD}{text}", "shop.standard.yaml"), rules)


def build(use: str = "street") -> Build:
    document = read_text(SPEC % use if use else SPEC.replace("build: {intended_use: %s}\n", ""), "a spec")
    assert problems_in(document) == ()
    return read_build(document.data)


def example(name: str) -> Build:
    return read_build(read_file(EXAMPLES / name).data)


def verdicts(by: Standard | None, use: str = "street", stage: Stage | None = None) -> dict[str, str]:
    readings = inspect(build(use), RULES, standard=by, stage=stage).readings
    return {reading.quantity or reading.rule: reading.verdict.value for reading in readings}


def of(readings: tuple[Reading, ...], quantity: str) -> Reading:
    return next(reading for reading in readings if reading.quantity == quantity)


# What a standard changes.


def test_without_a_standard_the_built_in_limits_count() -> None:
    assert verdicts(None) == {"track": "warning", "base": "warning", "level": "warning"}


def test_another_limit_shows_both_bases() -> None:
    by = standard("limits: [{rule: size, limit: track, error: {above: 5 ft}, basis: our door is narrow}]")
    reading = of(inspect(build(), RULES, standard=by).readings, "track")
    assert reading.verdict is Verdict.ERROR
    assert reading.highest == pytest.approx(60 * INCH)
    assert words.whole_basis(reading, System.INCH_POUND) == (
        "shop standard of a bench: our door is narrow; the built-in limit is between 30.000 in and 70.000 in, "
        "common practice, no source: a door is wide"
    )
    assert reading.cure is not None


def test_what_is_not_written_stays_as_it_is_built_in() -> None:
    by = standard("limits: [{rule: size, limit: track, warning: {above: 50}, basis: ours}]")
    changed = by.applied_to(RULES, None)[0].limit("track")
    assert isinstance(changed, Limit)
    expected = (40 * INCH, 50 * INCH, 30 * INCH, 70 * INCH)
    assert tuple(changed.bounds) == pytest.approx(expected)
    assert changed.basis_of(Verdict.WARNING) == Basis("ours", "shop standard of a bench", "shop standard")
    assert changed.basis_of(Verdict.ERROR) == TRACK["basis"]
    assert by.applied_to(RULES, None)[0].limits[1:] == size.limits[1:]


def test_the_shop_answers_for_the_range_that_its_error_narrows() -> None:
    by = standard("limits: [{rule: size, limit: track, error: {above: 55}, basis: ours}]")
    narrow = build().with_value("vehicle.track", 50 * INCH)
    reading = of(inspect(narrow, RULES, standard=by).readings, "track")
    assert (reading.verdict, reading.highest) == (Verdict.OK, pytest.approx(55 * INCH))
    assert reading.basis is not None
    assert reading.basis.text == "ours"


def test_a_bound_can_be_removed_or_added() -> None:
    by = standard(
        "limits:\n"
        "  - {rule: size, limit: track, warning: {above: none}, basis: ours}\n"
        "  - {rule: size, limit: base, error: {above: 105}, basis: ours}\n"
    )
    readings = inspect(build(), RULES, standard=by).readings
    assert of(readings, "track").verdict is Verdict.OK
    long = of(readings, "base")
    assert long.verdict is Verdict.ERROR
    assert words.whole_basis(long, System.INCH_POUND).endswith("ours; there is no such limit built in")


def test_a_bare_number_is_in_the_units_of_the_standard() -> None:
    metric = (
        HEAD.replace("inch-pound", "metric") + "limits: [{rule: size, limit: track, error: {above: 1500}, basis: b}]"
    )
    changed = read_standard(read_text(metric, "s"), RULES).applied_to(RULES, None)[0].limit("track")
    assert isinstance(changed, Limit)
    assert changed.bounds.fail_above == 1.5


def test_a_limit_by_intended_use() -> None:
    by = standard(
        "limits:\n"
        "  - {rule: size, limit: track, warning: {above: 65}, uses: [trail, desert], basis: off the road}\n"
        "  - {rule: size, limit: track, error: {above: 62}, basis: on it}\n"
        "  - {rule: size, limit: base, error: {above: 90}, uses: [work], basis: at work}\n"
    )
    assert [verdicts(by, use)["track"] for use in ("street", "trail", "desert", "")] == ["error", "ok", "ok", "error"]
    assert [verdicts(by, use)["base"] for use in ("street", "work")] == ["warning", "error"]


def test_a_requirement_that_counts_as_an_error_shows_both_bases() -> None:
    by = standard("counts_as: [{rule: size, requirement: level, if_not: error, basis: the jack rolls}]")
    reading = of(inspect(build(), RULES, standard=by).readings, "level")
    assert reading.verdict is Verdict.ERROR
    assert words.whole_basis(reading, System.INCH_POUND) == (
        "shop standard of a bench: the jack rolls; built in, it is warning if not met, "
        "common practice, no source: water runs"
    )


def test_what_a_required_rule_leaves_unchecked_is_an_error_from_its_stage_on() -> None:
    by = standard("required: [{rule: late, from_stage: tacked, basis: we weigh}]\nedition: '2'\n")
    assert verdicts(by, stage=Stage.TEARDOWN).get("late") is None
    reading = next(
        each for each in inspect(build(), RULES, standard=by, stage=Stage.TACKED).readings if each.rule == "late"
    )
    assert (reading.verdict, reading.place) == (Verdict.ERROR, "vehicle.unsprung_mass")
    assert (reading.found, reading.required) == (
        "not checked: the spec lacks vehicle.unsprung_mass",
        "checked, from stage tacked on",
    )
    assert str(reading.basis) == "shop standard of a bench, 2: we weigh"
    assert reading.cure is not None
    assert reading.cure.words == "write vehicle.unsprung_mass into the spec"
    assert verdicts(None, stage=Stage.CYCLED)["late"] == "not checked"


def test_a_rule_switched_off_is_not_applied_and_is_listed_with_its_reason() -> None:
    by = standard("switched_off: [{rule: size, reason: we only paint}]")
    found = inspect(build(), RULES, standard=by)
    assert found.readings == ()
    assert [(each.name, each.reason) for each in found.switched_off] == [("size", "we only paint")]
    assert [each.name for each in found.later] == ["late"]


# What passes only by a looser limit.

LOOSE = {
    "a warning taken away": ("warning: {above: none}", 63, "ok", ("warning", 40, 70, 40, 60)),
    "a warning farther out": ("warning: {above: 65}", 63, "ok", ("warning", 40, 65, 40, 60)),
    "an error farther out": ("error: {above: 80}", 71, "warning", ("error", 30, 80, 30, 70)),
    "an error taken away": ("error: {above: none}", 71, "warning", ("error", 30, None, 30, 70)),
    "both farther out": ("warning: {above: 80}, error: {above: 90}", 71, "ok", ("error", 30, 90, 30, 70)),
    "at the other end": ("warning: {below: 20}, error: {below: 10}", 29, "ok", ("error", 10, 70, 30, 70)),
    "on the built-in warning": ("warning: {above: 65}", 60, "ok", None),
    "on the built-in error": ("error: {above: 80}", 70, "warning", None),
    "beyond the looser one too": ("error: {above: 80}", 81, "error", None),
    "a stricter one": ("error: {above: 62}", 63, "error", None),
    "a stricter warning": ("warning: {above: 50}", 55, "warning", None),
}


@pytest.mark.parametrize(("bounds", "track", "verdict", "wanted"), LOOSE.values(), ids=LOOSE)
def test_what_passes_only_by_a_looser_limit_says_so_with_both_limits(
    bounds: str, track: float, verdict: str, wanted: tuple[str, float | None, float, float, float] | None
) -> None:
    by = standard(f"limits: [{{rule: size, limit: track, {bounds}, basis: ours}}]")
    reading = of(inspect(build().with_value("vehicle.track", track * INCH), RULES, standard=by).readings, "track")
    assert reading.verdict.value == verdict
    if wanted is None:
        assert reading.loosened is None
        return
    instead_of, *limits = wanted
    assert reading.loosened is not None
    assert (reading.loosened.instead_of.value, reading.loosened.basis) == (instead_of, TRACK["basis"])
    found = reading.loosened[2:]
    assert found == tuple(None if limit is None else pytest.approx(limit * INCH) for limit in limits)


def test_its_words_name_both_limits() -> None:
    by = standard("limits: [{rule: size, limit: track, error: {above: none}, basis: ours}]")
    reading = of(inspect(build().with_value("vehicle.track", 71 * INCH), RULES, standard=by).readings, "track")
    assert words.loosened(reading, System.INCH_POUND) == (
        "warning by the shop standard (at least 30.000 in), error as built in (between 30.000 in and 70.000 in)"
    )
    strict = of(inspect(build(), RULES).readings, "track")
    assert words.loosened(strict, System.INCH_POUND) == ""


def test_a_limit_for_one_use_is_held_against_the_built_in_one() -> None:
    by = standard(
        "limits:\n"
        "  - {rule: size, limit: track, error: {above: 61}, basis: ours}\n"
        "  - {rule: size, limit: track, warning: {above: 65}, uses: [trail], basis: ours}\n"
    )
    for use, loosened in (("trail", True), ("street", False)):
        reading = of(inspect(build(use), RULES, standard=by).readings, "track")
        assert (reading.loosened is not None) is loosened


@pytest.mark.parametrize(("is_met", "loosened"), [(False, True), (True, False)])
def test_a_requirement_made_milder_says_so(is_met: bool, loosened: bool) -> None:
    broom = Rule("broom", area=Area.SAFETY, page="The floor is swept.\n\nChecked: the floor.")

    @broom.must(Build, wanted="no dust", basis=common_practice("sparks find dust"), change=Words("sweep it"))
    def swept(job: Job, build: Build) -> Answer:
        """The floor is swept."""
        return met(is_met, "no dust", otherwise="dust")

    by = standard("counts_as: [{rule: broom, requirement: swept, if_not: warning, basis: b}]", (broom,))
    [reading] = inspect(build(), (broom,), standard=by).readings
    assert (reading.loosened is not None) is loosened
    assert words.loosened(reading, System.INCH_POUND) == (
        "warning by the shop standard, error as built in" if loosened else ""
    )
    stricter = standard("counts_as: [{rule: size, requirement: level, if_not: error, basis: b}]")
    assert of(inspect(build(), RULES, standard=stricter).readings, "level").loosened is None


def test_a_waived_reading_keeps_its_loosened_verdict() -> None:
    spec = SPEC % "street" + (
        "waivers: [{rule: size, place: vehicle.track, reason: r, who: w, date: '2026-01-01', until_stage: tacked}]\n"
    )
    by = standard("limits: [{rule: size, limit: track, error: {above: 80}, basis: ours}]")
    waived = read_build(read_text(spec, "a spec").data).with_value("vehicle.track", 71 * INCH)
    reading = of(inspect(waived, RULES, standard=by, today=date(2026, 1, 2)).readings, "track")
    assert reading.verdict is Verdict.WAIVED
    assert words.loosened(reading, System.INCH_POUND).startswith("warning by the shop standard (")


@pytest.mark.parametrize("waived", [False, True])
@pytest.mark.parametrize(
    ("bounds", "track", "verdict", "said", "tally"),
    [
        (
            "error: {above: none}, warning: {above: none}",
            71,
            "not checked",
            "not checked; error by the built-in limit (between 30.000 in and 70.000 in), and not by the shop "
            "standard's (at least 30.000 in)",
            "1 reading not checked that is an error by the built-in limit, and not by the looser one of the shop "
            "standard",
        ),
        (
            "warning: {above: none}",
            61,
            "not checked",
            "not checked; warning by the built-in limit (between 40.000 in and 60.000 in), and not by the shop "
            "standard's (between 40.000 in and 70.000 in)",
            "1 reading not checked that is a warning by the built-in limit, and not by the looser one of the shop "
            "standard",
        ),
        (
            "error: {above: none}",
            71,
            "warning",
            "warning by the shop standard (at least 30.000 in), error as built in (between 30.000 in and 70.000 in)",
            "1 reading is a warning and not an error only by a looser limit of the shop standard",
        ),
    ],
)
def test_a_partial_value_that_only_the_built_in_limit_fails_is_not_checked_and_is_named(
    bounds: str, track: float, verdict: str, said: str, tally: str, waived: bool
) -> None:
    door = Rule("door", area=Area.SAFETY, page="The doors fit.\n\nChecked: the track, as far as it is known.")

    @door.check(Build, **TRACK)
    def known_track(job: Job, build: Build) -> Spot:
        """Track of the axle."""
        return Spot(build.vehicle.track).lacking("vehicle.door")

    by = standard(f"limits: [{{rule: door, limit: track, {bounds}, basis: ours}}]", (door,))
    spec = SPEC % "street" + (
        "waivers: [{rule: door, place: vehicle.track, reason: r, who: w, date: '2026-01-01', until_stage: tacked}]\n"
        if waived
        else ""
    )
    wide = read_build(read_text(spec, "a spec").data).with_value("vehicle.track", track * INCH)
    reading = of(inspect(wide, (door,), standard=by, today=date(2026, 1, 2)).readings, "track")
    # A waiver waives warnings and errors; what was not checked is neither.
    assert reading.verdict.value == ("waived" if waived and verdict == "warning" else verdict)
    assert words.loosened(reading, System.INCH_POUND) == said
    assert words.loosened_tally([reading]) == tally


def test_only_the_rules_asked_for_are_applied() -> None:
    by = standard(
        "own_limits: [{name: own, quantity: caster, where: ride, error: {below: 1}, basis: b, message: m, area: axle}]"
    )
    assert {reading.rule for reading in inspect(build(), RULES, standard=by, only=["own"]).readings} == {"own"}
    assert {reading.rule for reading in inspect(build(), RULES, standard=by, only=["size"]).readings} == {"size"}


def test_inspect_is_pure() -> None:
    by = read_standard(read_file(SHOWN), BUILT_IN)
    tamarack = example("tamarack/proposal-with-faults.buildcheck.yaml")
    only = {"link-flatness", "droop-to-spare", "caster-for-the-road", "limit-strap-length"}
    first, second = (inspect(tamarack, BUILT_IN, standard=by, only=only) for _ in range(2))
    assert first.readings == second.readings
    assert len(first.readings) > 10


# Limits of the shop's own.

OWN = (
    "own_limits:\n"
    "  - name: ours\n"
    "    quantity: {quantity}\n"
    "    where: {where}\n"
    "    warning: {warning}\n"
    "    error: {error}\n"
    "    basis: a basis\n"
    "    message: change it\n"
    "    area: springs\n"
)


def own_text(quantity: str, where: str, warning: str = "{below: none}", error: str = "{below: 0}") -> str:
    text = OWN.replace("{quantity}", quantity).replace("{where}", where)
    return text.replace("{warning}", warning).replace("{error}", error)


def own(
    build: Build, quantity: str, where: str, warning: str = "{below: none}", error: str = "{below: 0}"
) -> tuple[Reading, ...]:
    by = standard(own_text(quantity, where, warning, error))
    return inspect(build, RULES, standard=by, only=["ours"]).readings


@pytest.fixture(scope="module")
def tamarack() -> Build:
    return example("tamarack/proposal.buildcheck.yaml")


def test_an_own_limit_on_every_part_of_a_kind_is_that_of_the_cycling_sheet(tamarack: Build) -> None:
    readings = own(tamarack, "coilover-droop-to-spare", "travel", "{below: 40}", "{below: 1}")
    # The same twenty steps each way as the job's own line, so the worst of them is the same number.
    columns = {column.quantity.name: column.values for column in cycle(tamarack, steps=20).columns}
    assert [(reading.subject, reading.verdict) for reading in readings] == [
        ("left coilover", Verdict.WARNING),
        ("right coilover", Verdict.WARNING),
    ]
    for reading in readings:
        values = columns[f"{reading.subject.replace(' ', '-')}-droop-to-spare"]
        assert reading.value == pytest.approx(values.min(), rel=1e-12)
        assert reading.pose is not None
        assert reading.pose.name == "full droop"
        assert reading.place == "coilovers.coilover.both"
        assert (reading.rule, reading.quantity, reading.area) == ("ours", "coilover-droop-to-spare", Area.SPRINGS)
        assert str(reading.basis) == "shop standard of a bench: a basis"
        assert reading.cure is not None
        assert reading.cure.words == "change it"


def held_at(tamarack: Build, quantity: str, where: str, value: str) -> float:
    """The value that a limit is compared with, in degrees or metres, computed from the lines of the job."""
    job = Job(tamarack)
    if where == "lock":
        columns = [
            next(each.values for each in cycle(tamarack, steps=20, lock=lock).columns if each.quantity.name == quantity)
            for lock in (tamarack.steering.lock_angle, -tamarack.steering.lock_angle)
        ]
        values, ride = np.concatenate(columns), np.repeat([each[20] for each in columns], 41)
    else:
        line = getattr(job.lines, where)
        values = job.quantity(quantity, line).values[: line.declared]
        ride = job.quantity(quantity, line).ride.value
    pick = {
        "largest": values.max,
        "smallest": values.min,
        "farthest-from-zero": lambda: values[np.abs(values).argmax()],
        "change": lambda: (values - ride)[np.abs(values - ride).argmax()],
    }
    return float(pick[value]())


@pytest.mark.parametrize("value", ["largest", "smallest", "farthest-from-zero", "change"])
@pytest.mark.parametrize("where", ["travel", "bump", "droop", "articulation", "lock"])
def test_an_own_limit_is_held_where_and_by_which_value_it_says(tamarack: Build, where: str, value: str) -> None:
    """A bound a hair beyond the value passes, and one a hair short of it does not."""
    found = math.degrees(held_at(tamarack, "caster", where, value))
    end, hair = ("above", 1e-6) if found > 0 else ("below", -1e-6)
    outcome = []
    for bound in (found + hair, found - hair):
        text = own_text("caster", where, "{above: none}", f"{{{end}: {bound!r}}}")
        by = standard(text.replace("    basis:", f"    value: {value}\n    basis:"))
        (reading,) = inspect(tamarack, RULES, standard=by, only=["ours"]).readings
        assert math.degrees(reading.value or 0) == pytest.approx(found, rel=1e-9)
        assert reading.pose is not None
        outcome.append(reading.verdict)
    assert outcome == [Verdict.OK, Verdict.ERROR]
    which = "change from ride height, " if value == "change" else f"{value.replace('-', ' ')} "
    assert reading.meaning.startswith(f"{which}{WHERE[where]}: ")


@pytest.mark.parametrize("where", ["bump", "droop", "lock"])
def test_an_own_limit_without_a_value_is_held_at_the_worst_of_the_way(tamarack: Build, where: str) -> None:
    low, high = (math.degrees(held_at(tamarack, "caster", where, value)) for value in ("smallest", "largest"))
    for bounds, worst in ((f"{{below: {low + 1e-6!r}}}", low), (f"{{above: {high - 1e-6!r}}}", high)):
        [reading] = own(tamarack, "caster", where, "{above: none}", bounds)
        assert (reading.verdict, math.degrees(reading.value or 0)) == (Verdict.ERROR, pytest.approx(worst))
    [reading] = own(tamarack, "caster", where, "{above: none}", f"{{below: {low - 1e-6!r}, above: {high + 1e-6!r}}}")
    assert reading.verdict is Verdict.OK


def changes_text(quantity: str, error: str, changes: str, where: str = "ride") -> str:
    return own_text(quantity, where, "{above: none}", error).replace(
        "    basis:", f"    changes: {changes}\n    basis:"
    )


@pytest.mark.parametrize(
    ("quantity", "error", "changes", "words_", "edits"),
    [
        (
            "coilover-length", "{above: 27 in}", "[{move: frame, axis: z}]",
            "move the frame end of the left and right coilover down {amount}", {"coilovers.coilover.both.frame.z"},
        ),
        (
            "coilover-droop-to-spare", "{below: 9 in}", "[{resize: extended_length}]",
            "make the extended length of the left and right coilover {amount} longer",
            {"coilovers.coilover.both.extended_length"},
        ),
        (
            "roll-centre-height", "{above: 21 in}", "[{move: lateral_bar.frame, axis: z}]",
            "move the frame end of the lateral bar down {amount}", {"lateral_bar.frame.z"},
        ),
        (  # the first that is enough
            "coilover-droop-to-spare", "{below: 9 in}", "[{move: axle, axis: x}, {set: extended_length}]",
            "set the extended length of the left and right coilover to {amount}",
            {"coilovers.coilover.both.extended_length"},
        ),
        ("coilover-length", "{above: 3 in}", "[{move: frame, axis: z}]", "change it", set()),  # none is enough
    ],
)  # fmt: skip
def test_a_change_of_an_own_limit_is_found_by_trying_and_is_enough(
    tamarack: Build, quantity: str, error: str, changes: str, words_: str, edits: set[str]
) -> None:
    by = standard(changes_text(quantity, error, changes))
    found = inspect(tamarack, RULES, standard=by, only=["ours"]).readings
    assert {each.verdict for each in found} == {Verdict.ERROR}
    for reading in found:
        assert reading.cure is not None
        assert reading.cure.words == words_
        assert {edit.path for edit in reading.cure.edits} == edits
        if edits:
            changed = Job(tamarack).changed_by(reading.cure).build
            after = inspect(changed, RULES, standard=by, only=["ours"]).readings
            assert {each.verdict for each in after} == {Verdict.OK}


def test_an_own_limit_on_one_part(tamarack: Build) -> None:
    [reading] = own(tamarack, "right-coilover-bump-to-spare", "travel", "{below: 40}")
    columns = {column.quantity.name: column.values for column in cycle(tamarack, steps=20).columns}
    assert reading.value == pytest.approx(columns["right-coilover-bump-to-spare"].min(), rel=1e-12)
    assert reading.verdict is Verdict.WARNING
    assert reading.meaning == "over the travel: remaining compression stroke of the right coilover"


def test_an_own_limit_on_the_whole_axle_takes_the_worse_of_both_ends(tamarack: Build) -> None:
    values = next(column.values for column in cycle(tamarack, steps=20).columns if column.quantity.name == "caster")
    degrees = [math.degrees(value) for value in (values.min(), values.max())]
    middle = sum(degrees) / 2
    [low] = own(tamarack, "caster", "travel", f"{{below: {middle}, above: 79}}", "{below: -80, above: 80}")
    [high] = own(tamarack, "caster", "travel", f"{{below: -79, above: {middle}}}", "{below: -80, above: 80}")
    assert math.degrees(low.value or 0) == pytest.approx(degrees[0])
    assert math.degrees(high.value or 0) == pytest.approx(degrees[1])
    assert {low.verdict, high.verdict} == {Verdict.WARNING}


def test_an_error_at_one_end_is_worse_than_a_wider_warning_at_the_other(tamarack: Build) -> None:
    values = next(column.values for column in cycle(tamarack, steps=20).columns if column.quantity.name == "caster")
    low, high = (math.degrees(value) for value in (values.min(), values.max()))
    [reading] = own(
        tamarack,
        "caster",
        "travel",
        f"{{below: {high - 0.02}}}",
        f"{{above: {high - 0.01}}}",
    )
    assert reading.verdict is Verdict.ERROR
    assert math.degrees(reading.value or 0) == pytest.approx(high)
    assert low < high


def test_an_own_limit_at_ride_height_needs_no_travel(tamarack: Build) -> None:
    [stated] = own(tamarack, "caster", "ride", error="{below: 89}")
    without = Build(
        "", "", tamarack.side, {name: value for name, value in tamarack.given().items() if name != "travel"}
    )
    [reading] = own(without, "caster", "ride", error="{below: 89}")
    assert reading.value == pytest.approx(tamarack.axle.caster)
    assert stated == reading
    assert reading.pose is not None
    assert reading.pose.name == "ride height"
    [not_checked] = own(without, "caster", "travel", error="{below: 89}")
    assert (not_checked.verdict, not_checked.missing) == (Verdict.NOT_CHECKED, ("travel.bump", "travel.droop"))


def test_an_own_limit_in_articulation(tamarack: Build) -> None:
    [over] = own(tamarack, "left-coilover-droop-to-spare", "travel", "{below: 90}")
    [articulated] = own(tamarack, "left-coilover-droop-to-spare", "articulation", "{below: 90}")
    assert articulated.pose is not None
    assert abs(articulated.pose.roll) > 0.05
    assert over.value != articulated.value


@pytest.fixture(scope="module")
def listed(tamarack: Build) -> set[str]:
    """The quantities with a number in each pose of the build, by their names in a standard."""
    columns = [column for column in cycle(tamarack).columns if all(map(math.isfinite, column.values))]
    return {column.quantity.family or column.quantity.name for column in columns}


@pytest.mark.parametrize(
    "quantity", [each.name for each in of_no_part(NOTHING_ADDED)] + [each.family for each in families(NOTHING_ADDED)]
)
@pytest.mark.parametrize("where", ["travel", "ride", "articulation"])
def test_every_quantity_can_be_held(tamarack: Build, listed: set[str], quantity: str, where: str) -> None:
    assert len(listed) > 20
    found = own(tamarack, quantity, where, error="{above: -1e9}")
    readings = [reading for reading in found if not reading.reason.endswith("has no such joint")]
    wanted = Verdict.ERROR if quantity in listed else Verdict.NOT_CHECKED
    assert {reading.verdict for reading in readings} == {wanted}
    assert all((reading.value is None) is (wanted is Verdict.NOT_CHECKED) for reading in readings)
    assert all(bool(reading.reason) is (wanted is Verdict.NOT_CHECKED) for reading in readings)


def test_a_joint_that_a_link_does_not_have_is_not_held_and_not_silent() -> None:
    limits = {"link-axle-joint-bind": {"lateral bar"}, "link-upper-axle-joint-bind": {"left arm", "right arm"}}
    for name, having in limits.items():
        readings = own(example("tamarack/proposal.buildcheck.yaml"), name, "articulation", error="{above: -1e9}")
        assert {each.subject for each in readings if each.verdict is Verdict.ERROR} == having
        rest = [each for each in readings if each.subject not in having]
        assert rest
        assert all(each.reason == f"the {each.subject} has no such joint" for each in rest)


def test_a_quantity_that_cannot_be_computed_is_not_checked_and_says_why() -> None:
    [none] = own(build(), "coilover-droop-to-spare", "travel")
    lacks = ("coilovers", "travel.bump", "travel.droop", "links", "axle.position", "vehicle.tyre.static_radius")
    assert (none.verdict, none.missing) == (Verdict.NOT_CHECKED, lacks)
    [no_part] = own(example("tamarack/proposal.buildcheck.yaml"), "left-rear-coilover-droop-to-spare", "travel")
    assert no_part.verdict is Verdict.NOT_CHECKED
    assert no_part.reason == (
        "the build has no part that left-rear-coilover-droop-to-spare is of; did you mean left-coilover-droop-to-spare?"
    )
    [far] = own(example("minimal.buildcheck.yaml"), "left-panhard-coilover-droop-to-spare", "travel")
    assert far.reason == "the build has no part that left-panhard-coilover-droop-to-spare is of"


def test_a_document_that_holds_nothing_is_not_called_a_spec() -> None:
    for text in ("", "- a\n"):
        with pytest.raises(Unreadable) as caught:
            read_text(text, "shop.standard.yaml")
        assert all("spec" not in problem.sentence for problem in caught.value.problems)


def test_an_own_limit_by_use_and_stage() -> None:
    text = (
        OWN.replace("{quantity}", "caster")
        .replace("{where}", "ride")
        .replace("{warning}", "{below: 1}")
        .replace("{error}", "{below: 0}")
    )
    by = standard(f"{text}    uses: [trail]\n    from_stage: tacked\n")

    def applied(use: str, stage: Stage) -> bool:
        return "ours" in {reading.rule for reading in inspect(build(use), RULES, standard=by, stage=stage).readings}

    assert applied("trail", Stage.TACKED)
    assert not applied("street", Stage.TACKED)
    assert not applied("trail", Stage.PROPOSAL)
    later = inspect(build("trail"), RULES, standard=by).later
    assert [each.name for each in later] == ["ours", "late"]


ROOM = Rule("room", area=Area.AXLE, page="There is room.\n\nChecked: the room.")


@ROOM.check(
    Build,
    at_least(warning="1 in", error="1/4 in"),
    physical_end="0 in",
    basis=common_practice("a hand fits"),
    change=NARROWER,
    place="vehicle.track",
)
def gap(job: Job, build: Build) -> float:
    """Room beside the axle."""
    return (64 - build.vehicle.track / INCH) * INCH


@ROOM.check(Build, at_most(error="64 in"), basis=common_practice("a door"), change=NARROWER, follows=("gap",))
def after(job: Job, build: Build) -> float:
    """Track, where there is room."""
    return build.vehicle.track


@pytest.mark.parametrize(
    ("bounds", "past"),
    [
        ("error: {below: 1/8}", False),
        ("error: {below: 0}", False),
        ("error: {below: -1/16}", True),
        ("error: {below: none}", True),
        ("warning: {below: none}", False),
        ("error: {below: 1/2}", False),
    ],
)
def test_a_limit_past_its_physical_end_says_so_with_a_basis(bounds: str, past: bool) -> None:
    text = f"limits: [{{rule: room, limit: gap, {bounds}, basis: b%s}}]"
    if not past:
        standard(text % "", (ROOM,))
        with pytest.raises(NotUsable, match="not past a physical end"):
            standard(text % ", beyond_physical: true", (ROOM,))
        return
    with pytest.raises(NotUsable, match=r"leaves values past 0\.000 in without an error.*beyond_physical: true"):
        standard(text % "", (ROOM,))
    found = inspect(build(), (ROOM,), standard=standard(text % ", beyond_physical: true", (ROOM,)))
    assert [(rule, limit.name) for rule, limit in found.looser] == [("room", "gap")]


@pytest.mark.parametrize(
    ("bounds", "looser"),
    [
        ("warning: {above: 61}", True),
        ("warning: {above: 59}", False),
        ("error: {above: 71}", True),
        ("error: {above: none}", True),
        ("error: {below: 31}", False),
        ("warning: {below: 41, above: 60}", False),
        ("warning: {below: 39, above: 59}", True),
    ],
)
def test_a_limit_that_is_looser_at_one_end_is_named_whatever_the_readings_say(bounds: str, looser: bool) -> None:
    by = standard(f"limits: [{{rule: size, limit: track, {bounds}, basis: b}}]")
    named = [(rule, limit.name) for rule, limit in inspect(build(), RULES, standard=by).looser]
    assert named == ([("size", "track")] if looser else [])


def test_a_requirement_made_milder_is_named_and_one_made_stricter_is_not() -> None:
    text = "counts_as: [{rule: size, requirement: level, if_not: %s, basis: b}]"
    assert inspect(build(), RULES, standard=standard(text % "error")).looser == ()
    severe = Rule("size", area=Area.AXLE, page="It has a size.\n\nChecked: the size.")
    must = severe.must(
        Build, wanted="level", basis=common_practice("water runs"), change=NARROWER, place="support", name="level"
    )
    must(level)
    found = inspect(build(), (severe,), standard=standard(text % "warning", (severe,)))
    assert [(rule, limit.name) for rule, limit in found.looser] == [("size", "level")]


def test_one_limit_is_switched_off_and_the_others_of_its_rule_are_not() -> None:
    by = standard("switched_off: [{rule: size, limit: track, reason: we only paint}]")
    assert verdicts(by) == {"base": "warning", "level": "warning"}
    found = inspect(build(), RULES, standard=by)
    assert [each.name for each in found.switched_off] == ["size/track"]


def test_what_follows_a_limit_that_is_switched_off_is_checked() -> None:
    by = standard("switched_off: [{rule: room, limit: gap, reason: r}]", (ROOM,))
    assert [each.quantity for each in inspect(build(), (ROOM,), standard=by).readings] == ["after"]


def test_a_rule_whose_limits_are_all_switched_off_is_not_applied() -> None:
    off = ", ".join(f"{{rule: size, limit: {limit}, reason: r}}" for limit in ("track", "base", "level"))
    found = inspect(build(), RULES, standard=standard(f"switched_off: [{off}]"))
    assert found.readings == ()
    assert [each.name for each in found.later] == ["late"]


def test_what_is_switched_off_or_required_for_some_uses_is_so_for_those_alone() -> None:
    by = standard("switched_off: [{rule: size, uses: [trail], reason: r}]")
    assert verdicts(by, "trail") == {}
    assert "track" in verdicts(by, "street")
    assert "track" in verdicts(by, "")
    by = standard(
        "required: [{rule: late, from_stage: tacked, uses: [trail], basis: b},"
        " {rule: late, from_stage: cycled, basis: b}]"
    )
    assert verdicts(by, "trail", Stage.TACKED)["late"] == "error"
    assert "late" not in verdicts(by, "street", Stage.TACKED)
    assert verdicts(by, "street", Stage.CYCLED)["late"] == "error"


def test_a_limit_of_the_shops_own_can_be_required_and_never_waived() -> None:
    own = own_text("caster", "ride")
    by = standard(
        f"{own}required: [{{rule: ours, from_stage: proposal, basis: b}}]\nnever_waived: [{{rule: ours, basis: c}}]\n"
    )
    [reading] = [each for each in inspect(build(), RULES, standard=by).readings if each.rule == "ours"]
    assert reading.verdict is Verdict.ERROR
    assert reading.found.startswith("not checked")
    ban = by.ban_on_waiving("ours")
    assert ban is not None
    assert ban.basis.text == "c"


# A standard that builds on another.

BASE = """limits:
  - {rule: size, limit: track, error: {above: 80}, basis: the base}
  - {rule: size, limit: base, warning: {above: 90}, uses: [trail, work], basis: the base}
required: [{rule: late, from_stage: cycled, basis: the base}]
never_waived: [{rule: size, basis: the base}]
second_signer: {from_stage: tacked, basis: the base}
plugins: [our-plugin]
"""


def chain(tmp_path: Path, text: str, base: str = BASE, rules: tuple[Rule, ...] = RULES) -> Standard:
    (tmp_path / "lib").mkdir(exist_ok=True)
    (tmp_path / "lib" / "base.yaml").write_text(HEAD.replace("a bench", "all of us") + base, encoding="utf-8")
    file = tmp_path / "shop.standard.yaml"
    file.write_text(f"{HEAD}based_on: lib/base.yaml\n{text}", encoding="utf-8")
    document, bases = with_bases(read_file(file))
    return read_standard(document, rules, bases=bases)


def test_a_standard_keeps_what_it_does_not_decide_from_the_one_it_is_based_on(tmp_path: Path) -> None:
    by = chain(tmp_path, "")
    assert by.shop == "a bench"
    track = of(inspect(build(), RULES, standard=by).readings, "track")
    assert (track.verdict, str(track.basis)) == (Verdict.WARNING, "common practice, no source: a door is wide")
    assert by.changes[0].limit.error_basis == Basis("the base", "shop standard of all of us", "shop standard")
    assert by.second_signer is not None
    assert by.plugins == ("our-plugin",)
    assert by.requirement_of("late", None) is not None
    assert by.ban_on_waiving("size") is not None


def test_a_standard_decides_over_the_one_it_is_based_on_use_by_use(tmp_path: Path) -> None:
    by = chain(
        tmp_path,
        "limits:\n  - {rule: size, limit: base, warning: {above: 95}, uses: [trail], basis: ours}\n"
        "  - {rule: size, limit: track, error: {above: 75}, basis: ours}\n",
    )
    assert [(each.limit.name, sorted(each.uses), each.limit.basis.text) for each in by.changes] == [
        ("base", ["work"], "the base"),
        ("base", ["trail"], "ours"),
        ("track", [], "a door is wide"),
    ]
    assert by.changes[2].limit.bounds.fail_above == pytest.approx(75 * INCH)


def test_what_the_base_switches_off_is_not_decided_again(tmp_path: Path) -> None:
    with pytest.raises(NotUsable, match='"size" is switched off in the standard that this one is based on'):
        chain(
            tmp_path,
            "limits: [{rule: size, limit: base, warning: {above: 95}, basis: ours}]\n",
            "switched_off: [{rule: size, reason: r}]\n",
        )


@pytest.mark.parametrize(
    ("base", "said"),
    [
        (
            "limits: [{rule: sise, limit: track, error: {above: 1}, basis: b}]\n",
            'base.yaml:4:11: there is no rule "sise"',
        ),
        ("limit: []\n", 'base.yaml:4:1: "limit" is not a section'),
        ("based_on: base.yaml\n", "it is based on itself"),
        ("based_on: ../shop.standard.yaml\n", "it is based on itself"),
        ("based_on: gone.yaml\n", "gone.yaml:1:1: there is no such file"),
    ],
)
def test_a_mistake_in_the_base_is_reported_where_it_is_named(tmp_path: Path, base: str, said: str) -> None:
    with pytest.raises(NotUsable) as refused:
        chain(tmp_path, "", base)
    [problem] = refused.value.problems
    assert (problem.line, problem.column, problem.path) == (4, 1, "based_on")
    assert said in problem.sentence


def test_its_digest_changes_with_the_base(tmp_path: Path) -> None:
    chain(tmp_path, "")
    before = with_bases(read_file(tmp_path / "shop.standard.yaml")).digest
    chain(tmp_path, "", BASE.replace("80", "81"))
    assert with_bases(read_file(tmp_path / "shop.standard.yaml")).digest != before


# Mistakes, each with its place.

NEVER = "this warning can never be given, since the error above comes first; write one that comes before it, or none"
MISTAKES = [
    ("limits: [{rule: sise, limit: track, error: {above: 1}, basis: b}]", (4, 11, "limits[0].rule"),
     'there is no rule "sise"; did you mean "size"?'),
    ("limits: [{rule: size, limit: trak, error: {above: 1}, basis: b}]", (4, 23, "limits[0].limit"),
     'there is no limit of size called "trak"; did you mean "track"?'),
    ("limits: [{rule: size, limit: level, error: {above: 1}, basis: b}]", (4, 23, "limits[0].limit"),
     '"level" of size is not a limit; write it under counts_as'),
    ("limits: [{rule: size, limit: track, error: {above: 60 inn}, basis: b}]", (4, 45, "limits[0].error.above"),
     '"60 inn" cannot be read as a length: "inn" is not a unit of length (the nearest is in); '
     'write it like 41 3/8 in'),
    ("limits: [{rule: size, limit: track, error: {above: 60 deg}, basis: b}]", (4, 45, "limits[0].error.above"),
     '"60 deg" cannot be read as a length: "deg" is a unit of angle, not of length; write it like 41 3/8 in'),
    ("limits: [{rule: size, limit: track, basis: b}]", (4, 10, "limits[0]"),
     'limits[0] has no bound; write "warning" or "error"'),
    ("limits: [{rule: size, limit: base, warning: {above: none}, basis: b}]", (4, 10, "limits[0]"),
     "limits[0] bounds nothing; give it a bound, or switch the rule off"),
    ("limits: [{rule: size, limit: track, warning: {below: 65}, basis: b}]", (4, 10, "limits[0]"),
     "limits[0] leaves no value that is within limits; look at below and above"),
    ("limits: [{rule: size, limit: track, warning: {above: 70}, basis: b}]", (4, 47, "limits[0].warning.above"), NEVER),
    ("limits: [{rule: size, limit: track, warning: {above: 66}, error: {above: 65}, basis: b}]",
     (4, 47, "limits[0].warning.above"), NEVER),
    ("limits: [{rule: size, limit: track, warning: {below: 30}, basis: b}]", (4, 47, "limits[0].warning.below"),
     NEVER.replace("above", "below")),
    ("own_limits: [{name: own, quantity: caster, where: ride, warning: {below: 1}, error: {below: 2}, basis: b, "
     "message: m, area: axle}]", (4, 67, "own_limits[0].warning.below"), NEVER.replace("above", "below")),
    ("limits:\n  - {rule: size, limit: base, error: {above: 1}, basis: b}\n"
     "  - {rule: size, limit: base, error: {above: 2}, basis: b}\n", (6, 5, "limits[1]"),
     '"base" of size is here a second time; keep one of them'),
    ("limits:\n  - {rule: size, limit: base, error: {above: 1}, uses: [work, trail], basis: b}\n"
     "  - {rule: size, limit: base, error: {above: 2}, uses: [trail], basis: b}\n", (6, 5, "limits[1]"),
     '"base" of size is here for trail a second time; keep one of them'),
    ("limits: [{rule: size, limit: track, error: {above: 1}}]", (4, 10, "limits[0].basis"),
     'limits[0] needs "basis", which is not there'),
    ("counts_as: [{rule: size, requirement: levl, if_not: error, basis: b}]", (4, 26, "counts_as[0].requirement"),
     'there is no requirement of size called "levl"; did you mean "level"?'),
    ("counts_as: [{rule: size, requirement: track, if_not: error, basis: b}]", (4, 26, "counts_as[0].requirement"),
     '"track" of size is not a requirement; write it under limits'),
    ("counts_as: [{rule: size, requirement: level, if_not: waived, basis: b}]", (4, 46, "counts_as[0].if_not"),
     'counts_as[0].if_not must be one of warning, error, and this is the text "waived"'),
    ("required: [{rule: lat, from_stage: tacked, basis: b}]", (4, 13, "required[0].rule"),
     'there is no rule "lat"; did you mean "late"?'),
    ("required: [{rule: late, from_stage: taked, basis: b}]", (4, 25, "required[0].from_stage"),
     'required[0].from_stage must be one of proposal, teardown, tacked, cycled, final-weld, reassembled, aligned, '
     'driven, '
     'and this is the text "taked"; did you mean "tacked"?'),
    ("switched_off: [{rule: late}]", (4, 16, "switched_off[0].reason"),
     'switched_off[0] needs "reason", which is not there'),
    ("switched_off: [{rule: late, reason: r}, {rule: late, reason: r}]", (4, 41, "switched_off[1]"),
     '"late" is here a second time; keep one of them'),
    ("required: [{rule: late, from_stage: tacked, basis: b}]\nswitched_off: [{rule: late, reason: r}]",
     (4, 13, "required[0].rule"), '"late" is switched off in this same standard'),
    ("switched_off: [{rule: size, limit: trak, reason: r}]", (4, 29, "switched_off[0].limit"),
     'there is no limit of size called "trak"; did you mean "track"?'),
    ("switched_off: [{rule: size, limit: track, reason: r}, {rule: size, limit: track, uses: [work], reason: r},\n"
     "  {rule: size, limit: track, reason: r}]", (5, 3, "switched_off[2]"),
     '"track" of size is here a second time; keep one of them'),
    ("switched_off: [{rule: late, reason: '\u200b'}]", (4, 29, "switched_off[0].reason"),
     "switched_off[0].reason is blank; write something"),
    ("limits: [{rule: size, limit: track, error: {above: 80}, basis: ' '}]", (4, 57, "limits[0].basis"),
     "limits[0].basis is blank; write something"),
    ("limits: [{rule: size, limit: track, error: {above: 80}, basis: b}]\nswitched_off: [{rule: size, reason: r}]",
     (4, 11, "limits[0].rule"), '"size" is switched off in this same standard'),
    ("limits: [{rule: size, limit: track, error: {above: 80}, uses: [work], basis: b}]\n"
     "switched_off: [{rule: size, limit: track, uses: [work, trail], reason: r}]",
     (4, 11, "limits[0].rule"), '"track" of size is switched off in this same standard'),
    ("never_waived: [{rule: late, basis: b}]\nswitched_off: [{rule: late, reason: r}]",
     (4, 17, "never_waived[0].rule"), '"late" is switched off in this same standard'),
    ("counts_as: [{rule: size, requirement: level, if_not: error, basis: b}]\n"
     "switched_off: [{rule: size, limit: level, reason: r}]",
     (4, 14, "counts_as[0].rule"), '"level" of size is switched off in this same standard'),
    ("second_signer: {from_stage: tacked, basis: ' '}", (4, 37, "second_signer.basis"),
     "second_signer.basis is blank; write something"),
    ("limits: [{rule: size, limit: track, error: {above: 71}, basis: b, beyond_physical: true}]",
     (4, 67, "limits[0].beyond_physical"), "this limit is not past a physical end; leave it out"),
    ("own_limits: [{name: own, quantity: brake-line-slack, where: travel, error: {below: -1}, basis: b, message: m, "
     "area: axle}]", (4, 14, "own_limits[0]"),
     "own_limits[0] leaves values past 0.000 in without an error, and past that parts touch, bind or break; stay "
     "within it, or write beyond_physical: true and why in the basis"),
    ("never_waived: [{rule: lates, basis: b}]", (4, 17, "never_waived[0].rule"),
     'there is no rule "lates"; did you mean "late"?'),
    ("own_limits: [{name: size, quantity: caster, where: ride, error: {below: 1}, basis: b, message: m, area: axle}]",
     (4, 15, "own_limits[0].name"), 'there is a rule "size" already; choose another name'),
    ("own_limits: [{name: own, quantity: castor, where: ride, error: {below: 1}, basis: b, message: m, area: axle}]",
     (4, 26, "own_limits[0].quantity"), 'there is no quantity "castor"; did you mean "caster"?'),
    ("own_limits: [{name: own, quantity: left-coilover-drop-to-spare, where: ride, error: {below: 1}, basis: b, "
     "message: m, area: axle}]", (4, 26, "own_limits[0].quantity"),
     'there is no quantity "left-coilover-drop-to-spare"; did you mean "left-coilover-droop-to-spare"?'),
    ("own_limits: [{name: own, quantity: caster, where: ride, error: {below: 1 in}, basis: b, message: m, area: axle}]",
     (4, 65, "own_limits[0].error.below"),
     '"1 in" cannot be read as an angle: "in" is a unit of length, not of angle; write it like 5.5 deg'),
    ("own_limits: [{name: own, quantity: caster, where: ride, value: largest, error: {below: 1}, basis: b, message: m,"
     " area: axle}]", (4, 57, "own_limits[0].value"), "at ride height there is only one value; leave it out"),
    *((f"own_limits: [{{name: own, quantity: {quantity}, where: ride, error: {{below: 1}}, basis: b, message: m, "
       f"area: axle,\n  changes: [{change}]}}]", (5, column, f"own_limits[0].changes[0]{key}"), sentence)
      for quantity, change, column, key, sentence in (
        ("caster", "{move: lateral_bar.fraem, axis: z}", 14, ".move",
         'there is no field "fraem"; did you mean "frame"?'),
        ("caster", "{resize: lateral_bar.frame}", 14, ".resize",
         '"lateral_bar.frame" is not a length, so it cannot be changed by resize'),
        ("caster", "{move: lateral_bar.length, axis: z}", 14, ".move",
         '"lateral_bar.length" is not a point, so it cannot be changed by move'),
        ("caster", "{set: lateral_bar.tube}", 14, ".set",
         '"lateral_bar.tube" is not an amount, so it cannot be changed by set'),
        ("caster", "{move: lateral_bar.frame}", 13, "", "own_limits[0].changes[0] needs one of move with its axis, "
         "resize, or set"),
        ("caster", "{resize: a, set: b}", 13, "",
         "own_limits[0].changes[0] needs one of move with its axis, resize, or set"),
        ("coilover-length", "{resize: extended_lenght}", 14, ".resize",
         'there is no field "extended_lenght"; did you mean "extended_length"?'),
      )),
    ("own_limits: [{name: Own, quantity: caster, where: ride, error: {below: 1}, basis: b, message: m, area: axle}]",
     (4, 15, "own_limits[0].name"),
     'own_limits[0].name must be written like droop-to-spare, and this is the text "Own"'),
    ("own_limits: [{name: own, quantity: caster, where: ride, basis: b, message: m, area: axle}]",
     (4, 14, "own_limits[0]"), 'own_limits[0] has no bound; write "warning" or "error"'),
    ("severities: [{rule: size, requirement: level, if_not: error, basis: b}]", (4, 1, "severities"),
     '"severities" is now called "counts_as"; rename it'),
    ("limit: []", (4, 1, "limit"), '"limit" is not a section of a shop standard; did you mean "limits"?'),
]  # fmt: skip


def mistakes(text: str, rules: tuple[Rule, ...] = RULES) -> list[tuple[tuple[int, int, str], str]]:
    with pytest.raises(NotUsable) as refused:
        standard(text, rules)
    return [((each.line, each.column, each.path), each.sentence) for each in refused.value.problems]


@pytest.mark.parametrize(("text", "place", "sentence"), MISTAKES, ids=[each[2][:60] for each in MISTAKES])
def test_a_mistake_gives_one_sentence_at_its_place(text: str, place: tuple[int, int, str], sentence: str) -> None:
    assert mistakes(text) == [(place, sentence)]


def test_all_mistakes_are_reported_at_once_in_the_order_of_the_file() -> None:
    listed = mistakes(
        "never_waived: [{rule: sise, basis: b}]\n"
        "limits: [{rule: late, limit: trak, error: {above: 1}, basis: b}]\n"
        "own_limits: [{name: own, quantity: steeer, where: ride, error: {below: 1}, basis: b, message: m, area: axle}]"
    )
    assert [place for place, _ in listed] == [
        (4, 17, "never_waived[0].rule"),
        (5, 23, "limits[0].limit"),
        (6, 26, "own_limits[0].quantity"),
    ]


def test_a_missing_shop_is_reported_for_the_whole_file() -> None:
    with pytest.raises(NotUsable) as refused:
        read_standard(read_text("format: 1\nunits: metric\n", "s"), RULES)
    assert [each.sentence for each in refused.value.problems] == ['a shop standard needs "shop", which is not there']


def test_a_name_that_is_taken_is_refused() -> None:
    text = HEAD + own_text("caster", "ride").replace("name: ours", "name: waivers")
    with pytest.raises(NotUsable, match='there is a rule "waivers" already'):
        read_standard(read_text(text, "s"), RULES, ["waivers"])


def test_plugin_files_are_named_before_the_rules_are_known() -> None:
    limits = "limits: [{rule: unknown, limit: a, error: {above: 1}, basis: b}]\n"
    text = f"{HEAD}plugins: [ours.py, more/rules.py]\n{limits}"
    found = with_bases(read_text(text, "bench/s"))
    assert found.plugin_files == (Path("bench/ours.py"), Path("bench/more/rules.py"))
    with pytest.raises(NotUsable):
        with_bases(read_text(f"{HEAD}plugins: 3\n", "s"))


def test_the_words_of_the_schema_are_those_of_the_spec_and_the_code() -> None:
    spec, ours = schema(), schema(STANDARD_SCHEMA)
    assert (
        ours["$defs"]["uses"]["items"]["enum"]
        == spec["$defs"]["build_information"]["properties"]["intended_use"]["enum"]
    )
    assert ours["$defs"]["stage"]["enum"] == [stage.value for stage in Stage]
    assert ours["properties"]["own_limits"]["items"]["properties"]["area"]["enum"] == [area.value for area in Area]
    assert ours["properties"]["units"]["enum"] == [system.value for system in System]


# Properties.


def si(value: float, dimension: Dimension) -> str | None:
    """An SI value as a standard writes it, to the last digit."""
    unit = next(unit.name for unit in UNITS[dimension] if unit.factor == 1 and (unit.offset == 0 or unit.name == "K"))
    return "none" if not math.isfinite(value) else f"{value!r} {unit}"


def same_again(rules: tuple[Rule, ...]) -> list[dict[str, Any]]:
    """Every limit of the rules, as entries of a standard that leave it as it is."""
    entries = []
    for each in rules:
        for limit in each.limits:
            if isinstance(limit, Limit):
                b = limit.bounds
                ends = {
                    "warning": {"below": si(b.warn_below, limit.dimension), "above": si(b.warn_above, limit.dimension)},
                    "error": {"below": si(b.fail_below, limit.dimension), "above": si(b.fail_above, limit.dimension)},
                }
                entries.append({"rule": each.name, "limit": limit.name, **ends, "basis": "as built in"})
    return entries


def written(content: dict[str, Any]) -> str:
    return json.dumps({"format": 1, "units": "inch-pound", "shop": "a bench", **content}, indent=1)


def compared(reading: Reading) -> tuple[Any, ...]:
    return (*reading[:13], reading.pose, reading.effect, reading.cure, reading.missing, reading.reason)


@sampled(1)
@pytest.mark.parametrize("name", ["tamarack/proposal.buildcheck.yaml", "tamarack/proposal-with-faults.buildcheck.yaml"])
def test_limits_equal_to_the_built_in_ones_give_the_same_verdicts(name: str) -> None:
    entries = same_again(BUILT_IN)
    assert len(entries) > 40
    by = read_standard(read_text(written({"limits": entries}), "s"), BUILT_IN)
    plain = inspect(example(name), BUILT_IN).readings
    held = inspect(example(name), BUILT_IN, standard=by).readings
    assert [compared(reading) for reading in held] == [compared(reading) for reading in plain]
    assert {reading.basis.text for reading in held if reading.basis and reading.value is not None} == {"as built in"}


FULL: dict[str, Any] = {
    "edition": "2026",
    "limits": [
        {"rule": "size", "limit": "track", "warning": {"below": "35 in", "above": 50}, "basis": "a"},
        {"rule": "size", "limit": "track", "error": {"above": "66 in"}, "uses": ["trail", "work"], "basis": "b"},
        {"rule": "late", "limit": "track", "warning": {"above": "1200 mm"}, "basis": "c"},
    ],
    "counts_as": [{"rule": "size", "requirement": "level", "if_not": "error", "basis": "d"}],
    "required": [{"rule": "late", "from_stage": "tacked", "basis": "e"}],
    "own_limits": [
        {"name": "own", "quantity": "caster", "where": "ride", "error": {"below": "1 deg"}, "basis": "f",
         "message": "m", "area": "axle", "from_stage": "tacked"},
        {"name": "other", "quantity": "left-coilover-length", "where": "travel", "warning": {"above": "20 in"},
         "basis": "g", "message": "m", "area": "springs", "uses": ["work"]},
    ],
    "never_waived": [{"rule": "size", "basis": "h"}],
}  # fmt: skip


def shuffled(value: Any, random: Random) -> Any:
    """The same with the keys of every group, and the entries of every list, in another order."""
    if isinstance(value, dict):
        keys = list(value)
        random.shuffle(keys)
        return {key: shuffled(value[key], random) for key in keys}
    if isinstance(value, list):
        mixed = [shuffled(each, random) for each in value]
        random.shuffle(mixed)
        return mixed
    return value


def made_of(by: Standard, use: str | None) -> dict[str, Any]:
    return {each.name: (each.limits, each.from_stage, each.area, each.page) for each in by.applied_to(RULES, use)}


@given(st.randoms(use_true_random=False))
@draws(50)
def test_the_order_of_keys_and_entries_does_not_matter(random: Random) -> None:
    plain = read_standard(read_text(written(FULL), "s"), RULES)
    mixed = read_standard(read_text(written(shuffled(FULL, random)), "s"), RULES)
    for use in (None, "street", "trail", "work"):
        assert made_of(mixed, use) == made_of(plain, use)
    assert set(mixed.required) == set(plain.required)
    assert set(mixed.never_waived) == set(plain.never_waived)


# The place of a name in FULL: the keys that lead to it.
NAMED = [
    ("limits", 0, "rule"),
    ("limits", 1, "limit"),
    ("counts_as", 0, "rule"),
    ("counts_as", 0, "requirement"),
    ("required", 0, "rule"),
    ("own_limits", 0, "quantity"),
    ("own_limits", 1, "quantity"),
    ("never_waived", 0, "rule"),
]
UNIT_AT = [("limits", 0, "warning", "below"), ("limits", 2, "warning", "above"), ("own_limits", 0, "error", "below")]
KNOWN = (
    {each.name for each in RULES}
    | {limit.name for each in RULES for limit in each.limits}
    | {each.name for each in of_no_part(NOTHING_ADDED)}
    | {each.family for each in families(NOTHING_ADDED)}
)


def spoiled(name: str, random: Random) -> str:
    """The name with one letter left out, doubled, or changed for another."""
    at = random.randrange(len(name))
    letter = random.choice("abcdefghijklmnopqrstuvwxyz")
    return random.choice(
        [name[:at] + name[at + 1 :], name[:at] + letter + name[at:], name[:at] + letter + name[at + 1 :]]
    )


def with_value(content: Any, steps: tuple[Any, ...], value: Any) -> Any:
    if not steps:
        return value
    if isinstance(content, list):
        return [with_value(each, steps[1:], value) if index == steps[0] else each for index, each in enumerate(content)]
    return {key: with_value(each, steps[1:], value) if key == steps[0] else each for key, each in content.items()}


@given(st.randoms(use_true_random=False), st.sampled_from(NAMED + UNIT_AT))
@draws(200)
def test_a_mistyped_name_or_unit_gives_one_sentence_with_its_place(random: Random, steps: tuple[Any, ...]) -> None:
    old: Any = FULL
    for step in steps:
        old = old[step]
    amount, _, name = str(old).rpartition(" ")
    new = spoiled(name, random)
    # Another known name, unit or part is no mistake; nor is one without a letter, which the schema has words for.
    units = {
        spelling
        for unit in (*UNITS[Dimension.LENGTH], *UNITS[Dimension.ANGLE])
        for spelling in (unit.name, *unit.spellings)
    }
    if not new or new in KNOWN or new in units or (steps[0] == "own_limits" and new.endswith("-coilover-length")):
        return
    text = written(with_value(FULL, steps, f"{amount} {new}".strip()))
    with pytest.raises(NotUsable) as refused:
        read_standard(read_text(text, "s"), RULES)
    [problem] = refused.value.problems
    path = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in steps).lstrip(".")
    assert problem.path == path
    line = text.split("\n")[problem.line - 1]
    assert line.strip(" ,") == f'"{steps[-1]}": {json.dumps(f"{amount} {new}".strip())}'
    assert problem.column == line.index('"') + 1
    assert "\n" not in problem.sentence


def places(content: Any, steps: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The keys that lead to every value, from the top."""
    yield steps
    inner = enumerate(content) if isinstance(content, list) else content.items() if isinstance(content, dict) else ()
    for key, value in inner:
        yield from places(value, (*steps, key))


ILL_TYPED: tuple[Any, ...] = (
    *(None, True, 0, -1, 1e300, 1e-300, "", "x", "none", "1/0 in", "3 furlong", "-40", [], {}, [1], {"above": 1}),
    *({"above": "none"}, {"below": "1e9 in"}, ["trail", "trail"], "link", "\x1b[1m", "{amount}{0}"),
)


@given(st.sampled_from(list(places(FULL))[1:]), st.sampled_from(ILL_TYPED))
@draws(300)
def test_whatever_a_standard_holds_it_is_read_or_refused_in_plain_sentences(steps: tuple[Any, ...], value: Any) -> None:
    text = written(with_value(FULL, steps, value))
    problems: tuple[Problem, ...] = ()
    try:
        by = read_standard(read_text(text, "s"), RULES)
    except (NotUsable, Unreadable) as refused:
        by, problems = None, refused.problems
    assert (by is None) is bool(problems)
    assert all(each.sentence.isprintable() and each.line >= 1 for each in problems)
    if by is not None:
        readings = inspect(build(), RULES, standard=by, stage=Stage.TACKED).readings
        assert [each for each in readings if each.failure] == []


def test_the_example_is_valid_for_the_built_in_rules_and_says_that_it_is_invented() -> None:
    by = read_standard(read_file(SHOWN), BUILT_IN)
    assert by.title == "shop standard of an invented shop, March 2026"
    assert [each.name for each in by.own_rules] == ["droop-to-spare", "caster-for-the-road"]
    assert "Every number and reason in it is invented." in SHOWN.read_text(encoding="utf-8")
    assert all(limit.bounds != Bounds() for each in by.own_rules for limit in each.limits if isinstance(limit, Limit))
