"""Sign-off: what the report says may be signed, and what it says stands against it."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
from reports import inspected, report_of

from buildcheck.build import Stage
from buildcheck.inspection import inspect
from buildcheck.limit import Verdict
from buildcheck.output.items import items
from buildcheck.output.outcome import Inspected
from buildcheck.output.report.signing import hold_points, whose_stage
from buildcheck.plugins import collect

EXAMPLES = Path(__file__).parents[2] / "examples"
FAULTS = EXAMPLES / "tamarack" / "proposal-with-faults.buildcheck.yaml"
METRIC = EXAMPLES / "three-link-metric.buildcheck.yaml"
SPECS = sorted(EXAMPLES.glob("**/*.buildcheck.yaml"))
WAIVERS = """\
waivers:
  - {rule: link-flatness, place: links.arm.both.frame, reason: room, who: J. Doe, date: "2026-03-14",
     until_stage: tacked}
"""


def at(spec: Inspected, stage: Stage) -> Inspected:
    """The same spec, inspected as at another stage."""
    inspection = inspect(spec.build, collect().rules, stage=stage, today=date(2026, 4, 2))
    return Inspected(spec.file, spec.document, spec.build, inspection, inspection.later)


def now(spec: Inspected) -> tuple[str, tuple[str, ...]]:
    (point,) = [point for point in hold_points(spec) if point.now]
    return point.state, point.told


def with_only(spec: Inspected, *verdicts: Verdict) -> Inspected:
    """The same inspection with the readings of these verdicts alone."""
    readings = tuple(each for each in spec.readings if each.verdict in verdicts)
    return Inspected(spec.file, spec.document, spec.build, spec.inspection._replace(readings=readings))


def test_with_errors_and_warnings_it_is_not_to_be_signed_and_says_how_many() -> None:
    spec = inspected(FAULTS)
    errors, warnings, unchecked = (
        len(spec.with_verdict(each)) for each in (Verdict.ERROR, Verdict.WARNING, Verdict.NOT_CHECKED)
    )
    assert min(errors, warnings) > 1
    state, told = now(spec)
    assert state == "not to be signed yet"
    numbered = items(spec)
    assert sum(2 if item.twin else 1 for item in numbered) == errors + warnings > len(numbered)
    assert re.fullmatch(rf"\d+ items \({errors} readings\) to put right, neither put right nor waived", told[0])
    assert re.fullmatch(r"\d+ items? (\(\d+ readings\) )?to look at, neither put right nor waived", told[1])
    assert any(line.startswith(f"{unchecked} reading") for line in told) == bool(unchecked)
    assert now(with_only(spec, Verdict.WARNING, Verdict.OK))[0] == "not to be signed yet"


def test_with_nothing_left_it_may_be_signed() -> None:
    spec = with_only(inspected(METRIC), Verdict.OK)
    assert now(spec) == ("may be signed", ())


def test_what_was_not_checked_is_not_covered() -> None:
    spec = with_only(inspected(EXAMPLES / "minimal.buildcheck.yaml"), Verdict.OK, Verdict.NOT_CHECKED)
    number = len(spec.with_verdict(Verdict.NOT_CHECKED))
    assert number > 1
    covered = f"{number} readings not checked, which no signature here covers"
    assert now(spec) == ("may be signed for what was checked", (covered,))


def test_where_nothing_was_checked_nothing_is_signed() -> None:
    state, told = now(inspected("format: 1\nunits: metric\n"))
    assert state == "not to be signed yet"
    assert told[0] == "nothing was checked"


def test_what_a_rule_failed_to_read_stands_against_it() -> None:
    spec = with_only(inspected(METRIC), Verdict.OK)
    failed = spec.readings[0]._replace(failure="it broke", verdict=Verdict.ERROR)
    inspection = spec.inspection._replace(readings=(failed, *spec.readings[1:]))
    state, told = now(Inspected(spec.file, spec.document, spec.build, inspection))
    assert (state, told) == ("not to be signed yet", ("1 reading that a rule failed to make",))


def test_what_is_waived_stands_against_nothing_and_is_told() -> None:
    text = (EXAMPLES / "tamarack" / "proposal.buildcheck.yaml").read_text(encoding="utf-8")
    spec = inspected(text + WAIVERS)
    assert len(spec.with_verdict(Verdict.WAIVED)) == 1
    assert now(with_only(spec, Verdict.OK, Verdict.WAIVED)) == ("may be signed", ("1 reading waived",))


def test_the_other_stages_say_what_the_spec_has_of_them() -> None:
    text = METRIC.read_text(encoding="utf-8") + (
        'records:\n  baseline: {taken_on: "2026-03-01", taken_by: J. Doe}\n  measured:\n'
        '    - {stage: tacked, of: axle.caster, value: 5.1, measured_on: "2026-03-20"}\n'
        '    - {stage: tacked, of: axle.caster, value: 5.2, measured_on: "2026-03-21"}\n'
    )
    spec = inspected(text)
    told = {point.name: (point.state, point.told) for point in hold_points(at(spec, Stage.CYCLED))}
    assert told["proposal"] == ("earlier in the job", ())
    assert told["teardown"] == ("earlier in the job", ("baseline taken on 2026-03-01 by J. Doe",))
    assert told["tacked"] == ("earlier in the job", ("2 values measured, the last on 2026-03-21",))
    assert told["cycled"][1][-1] == "nothing measured at this stage is in the spec"
    assert told["final-weld"] == ("to come", ())
    teardown = hold_points(inspected(METRIC))[1]
    assert (teardown.name, teardown.told) == ("teardown", ("no baseline is in the spec",))


def test_it_says_which_stage_it_is_for_and_which_the_spec_names() -> None:
    spec = inspected(METRIC)
    assert whose_stage(spec) == "The spec says that the job is at proposal, and this inspection is for that stage."
    assert whose_stage(at(spec, Stage.TACKED)) == (
        "This inspection is for the stage tacked, though the spec says that the job is at proposal."
    )
    assert whose_stage(inspected("format: 1\nunits: metric\n")) == (
        "This inspection is for the stage proposal; the spec does not say how far the job is."
    )


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.name.split(".")[0])
def test_the_page_says_it_and_never_that_anything_is_safe(spec: Path) -> None:
    page = report_of(spec)
    state, _ = now(inspected(spec))
    assert f"open: {state}" in page
    assert f"<b>{state}</b>" in page
    assert "every warning is looked at and then put right or waived too" in page
    assert not re.search(r"(?<!-)\bsafe\b", page.lower())
