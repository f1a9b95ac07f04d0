"""Sign-off in the report: whether the stage can be signed off, and what blocks it."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
from reports import inspected, report_of

from buildcheck.build import Stage
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Verdict
from buildcheck.output.outcome import Inspected
from buildcheck.output.report.sign_off import rows, whose_stage
from buildcheck.plugins.loading import collect

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
    (row,) = [row for row in rows(spec) if row.now]
    return row.state, row.beneath


def with_only(spec: Inspected, *verdicts: Verdict) -> Inspected:
    """The same inspection with the readings of these verdicts alone."""
    readings = tuple(each for each in spec.readings if each.verdict in verdicts)
    return Inspected(spec.file, spec.document, spec.build, spec.inspection._replace(readings=readings))


def test_with_errors_and_warnings_it_cannot_be_signed_off_and_says_how_many() -> None:
    spec = inspected(FAULTS)
    errors, warnings, unchecked = (
        len(spec.with_verdict(each)) for each in (Verdict.ERROR, Verdict.WARNING, Verdict.NOT_CHECKED)
    )
    assert min(errors, warnings) > 1
    state, told = now(spec)
    assert state == "cannot be signed off yet"
    expected = [f"{errors} errors, neither fixed nor waived", f"{warnings} warnings, neither fixed nor waived"]
    assert list(told[bool(unchecked) :][:2]) == expected
    assert now(with_only(spec, Verdict.WARNING, Verdict.OK))[0] == "cannot be signed off yet"


def test_with_nothing_left_the_plan_can_be_signed_off() -> None:
    spec = with_only(inspected(METRIC), Verdict.OK)
    state, told = now(spec)
    assert state == "can be signed off"
    assert told[-1] == f"{len(spec.with_verdict(Verdict.OK))} readings within limits"


def test_what_was_not_checked_is_said_before_what_is_within_limits() -> None:
    spec = with_only(inspected(EXAMPLES / "minimal.buildcheck.yaml"), Verdict.OK, Verdict.NOT_CHECKED)
    unchecked, within = len(spec.with_verdict(Verdict.NOT_CHECKED)), len(spec.with_verdict(Verdict.OK))
    assert min(unchecked, within) > 1
    state, told = now(spec)
    assert state == "cannot be signed off yet"
    assert told[0] == f"{unchecked} readings not checked"
    assert told[-1] == f"{within} readings within limits"
    page = report_of(EXAMPLES / "minimal.buildcheck.yaml")
    assert f"in all: <span class=q>{unchecked} readings</span> not checked, " in page
    assert page.index("<span>not checked</span>") < page.index("<span>within limits</span>")


def test_where_nothing_was_checked_nothing_is_signed_off() -> None:
    state, told = now(inspected("format: 1\nunits: metric\n"))
    assert state == "cannot be signed off yet"
    assert told[0] == "nothing was checked"


def test_a_waived_reading_is_listed_and_blocks_nothing() -> None:
    text = (EXAMPLES / "tamarack" / "proposal.buildcheck.yaml").read_text(encoding="utf-8")
    spec = inspected(text + WAIVERS)
    assert len(spec.with_verdict(Verdict.WAIVED)) == 1
    point = with_only(spec, Verdict.OK, Verdict.WAIVED).hold_point
    assert "1 reading waived" in point.accepted
    assert not any("waived" in sentence for sentence in point.blocking)


def test_the_other_stages_say_what_the_spec_has_of_them() -> None:
    text = METRIC.read_text(encoding="utf-8") + (
        'records:\n  baseline: {taken_on: "2026-03-01", taken_by: J. Doe}\n  measured:\n'
        '    - {stage: tacked, of: axle.caster, value: 5.1, measured_on: "2026-03-20"}\n'
        '    - {stage: tacked, of: axle.caster, value: 5.2, measured_on: "2026-03-21"}\n'
    )
    spec = inspected(text)
    told = {row.name: (row.state, row.beneath) for row in rows(at(spec, Stage.CYCLED))}
    assert told["proposal"] == ("earlier in the job", ())
    assert told["teardown"][0] == "earlier in the job"
    assert told["teardown"][1][-1] == "baseline taken on 2026-03-01 by J. Doe"
    assert told["teardown"][1][0].startswith("the baseline does not say that it was taken with photographs")
    assert told["tacked"][1][0].startswith("29 of 29 values not measured at the stage tacked: ")
    assert told["tacked"][1][-1] == "2 values measured, the last on 2026-03-21"
    assert told["cycled"][0] == "cannot be signed off yet"
    assert told["final-weld"] == ("to come", ())
    teardown = rows(at(inspected(METRIC), Stage.TACKED))[1]
    assert (teardown.name, teardown.beneath) == ("teardown", ("no baseline is in the spec (records.baseline)",))


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
    assert "every error and warning is fixed or waived" in page
    assert "It is not an approval." in page
    assert not re.search(r"(?<!-)\bsafe\b", page.lower())
