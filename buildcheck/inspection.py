"""`inspect`: rules over a build. Pure: the same build and rules give the same readings, in the same order."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from buildcheck.build import Build, Missing, Stage
from buildcheck.job import Cure, Job, Unreached
from buildcheck.job.layout import Assumption
from buildcheck.mishap import told
from buildcheck.rule import (
    Area,
    Check,
    Finding,
    Held,
    Limit,
    NotApplicable,
    Reading,
    Required,
    Requirement,
    Rule,
    Verdict,
)

# A rule that finds more than this for one subject has lost its way.
MOST_FINDINGS = 500


class Inspection(NamedTuple):
    """All readings of a build at a stage, and what had to be assumed to make them."""

    stage: Stage
    readings: tuple[Reading, ...]
    assumptions: tuple[Assumption, ...]


def inspect(build: Build, rules: Iterable[Rule], *, stage: Stage | None = None) -> Inspection:
    """Run rules over a build.

    `stage` stands in for the spec's own; without either it is the proposal. A rule that belongs to a later stage is
    left out. What the spec lacks makes a reading `not checked`; a rule that raises makes an error reading of its own;
    the rest still run. Readings come sorted by area, rule and subject.
    """
    if stage is None:
        stage = build.build.stage if build.has("build") and build.build.has("stage") else Stage.PROPOSAL
    job = Job(build)
    applied = [rule for rule in rules if rule.from_stage.number <= stage.number]
    order = list(Area)
    applied.sort(key=lambda rule: (order.index(rule.area), rule.name))
    readings = tuple(reading for rule in applied for reading in _said_once(_apply(rule, job)))
    return Inspection(stage, readings, job.assumptions)


def _said_once(readings: Iterable[Reading]) -> Iterator[Reading]:
    """The readings of a rule, with what several of its functions could not check for one reason said once."""
    said: set[tuple[str, tuple[str, ...], str]] = set()
    for reading in readings:
        key = (reading.subject, reading.missing, reading.reason)
        if reading.verdict is Verdict.NOT_CHECKED and key in said:
            continue
        if reading.verdict is Verdict.NOT_CHECKED:
            said.add(key)
        yield reading


def _apply(rule: Rule, job: Job) -> Iterator[Reading]:
    for check in rule.checks:
        try:
            subjects = list(job.subjects(check.subject))
        except Missing as missing:
            yield _not_checked(rule, check.subject.replace("-", " "), (missing.path,), f"no {check.subject} to check")
            continue
        except KeyError:
            yield _failed(rule, check.subject, f"it asks for subjects of the unknown kind {check.subject!r}")
            continue
        if not subjects:
            yield _not_checked(rule, check.subject.replace("-", " "), (), f"no {check.subject} to check")
        for subject in subjects:
            yield from _apply_to(rule, check, job, subject, getattr(subject, "label", "") or "whole build")


def _apply_to(rule: Rule, check: Check, job: Job, subject: object, label: str) -> Iterator[Reading]:
    try:
        for number, finding in enumerate(check.function(job, subject), start=1):
            if number > MOST_FINDINGS:
                raise RuntimeError(f"more than {MOST_FINDINGS} findings for one subject")
            yield from _with_cure(rule, label, finding, _reading(rule, label, finding))
    except Missing as missing:
        yield _not_checked(rule, label, (missing.path,), "")
    except Unreached as unreached:
        yield _not_checked(rule, label, (), str(unreached))
    except KeyboardInterrupt:
        raise
    except BaseException as error:  # a rule that fails, however it does, must not take the others with it
        yield _failed(rule, label, told(error))


def _with_cure(rule: Rule, label: str, finding: Finding, reading: Reading) -> Iterator[Reading]:
    """The reading with its cure; a cure that cannot be had takes nothing from the reading."""
    if not isinstance(finding, Held) or not finding.cure or reading.verdict is Verdict.OK:
        yield reading
        return
    if isinstance(finding.cure, str):
        yield reading._replace(cure=Cure(finding.cure))
        return
    limit = rule.limit(finding.limit)
    assert isinstance(limit, Limit)
    try:
        cure = finding.cure(limit.bounds.good(finding.value))
    except (Missing, Unreached):
        yield reading
    except KeyboardInterrupt:
        raise
    except BaseException as error:
        yield reading
        yield _failed(rule, label, f"in the cure of {finding.limit}, {told(error)}")
    else:
        yield reading._replace(cure=cure)


def _reading(rule: Rule, label: str, finding: Finding) -> Reading:
    if isinstance(finding, Held):
        limit = rule.limit(finding.limit)
        if not isinstance(limit, Limit):
            raise TypeError(f"{finding.limit!r} is a requirement; use require(), not hold()")
        return _held(rule, limit, label, finding)
    if isinstance(finding, Required):
        requirement = rule.limit(finding.requirement)
        if not isinstance(requirement, Requirement):
            raise TypeError(f"{finding.requirement!r} is a limit; use hold(), not require()")
        return _required(rule, requirement, label, finding)
    if isinstance(finding, NotApplicable):
        return _without_quantity(rule, label, Verdict.OK)._replace(reason=finding.why)
    raise TypeError(f"a rule yields hold(...), require(...) or does_not_apply(...), not {finding!r}")


def _held(rule: Rule, limit: Limit, label: str, finding: Held) -> Reading:
    if not math.isfinite(finding.value):
        raise ValueError(f"{limit.name} came out as {finding.value}")
    verdict = limit.bounds.verdict(finding.value)
    lowest, highest = limit.bounds.wanted(verdict)
    return Reading(
        rule=rule.name,
        area=rule.area,
        subject=label,
        quantity=limit.name,
        meaning=limit.meaning,
        verdict=verdict,
        place=finding.place,
        dimension=limit.dimension,
        value=finding.value,
        lowest=lowest if math.isfinite(lowest) else None,
        highest=highest if math.isfinite(highest) else None,
        margin=limit.bounds.margin(finding.value, verdict),
        pose=finding.pose,
        effect=finding.effect,
        basis=limit.basis_of(verdict),
    )


def _required(rule: Rule, requirement: Requirement, label: str, finding: Required) -> Reading:
    verdict = Verdict.OK if finding.met else requirement.if_not
    reading = Reading(
        rule=rule.name,
        area=rule.area,
        subject=label,
        quantity=requirement.name,
        meaning=requirement.meaning,
        verdict=verdict,
        place=finding.place,
        found=finding.found,
        required=finding.wanted,
        effect=finding.effect,
        basis=requirement.basis,
    )
    return reading if finding.met or not finding.cure else reading._replace(cure=Cure(finding.cure))


def _not_checked(rule: Rule, label: str, missing: tuple[str, ...], reason: str) -> Reading:
    return _without_quantity(rule, label, Verdict.NOT_CHECKED)._replace(
        place=missing[0] if missing else "",
        missing=missing,
        reason=reason or (f"the spec lacks {missing[0]}" if missing else ""),
    )


def _failed(rule: Rule, label: str, failure: str) -> Reading:
    return _without_quantity(rule, label, Verdict.ERROR)._replace(failure=f"the rule failed: {failure}")


def _without_quantity(rule: Rule, label: str, verdict: Verdict) -> Reading:
    """A reading in which nothing was compared."""
    return Reading(rule.name, rule.area, label, quantity="", meaning=rule.title, verdict=verdict, place="")
