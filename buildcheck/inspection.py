"""`inspect`: rules over a build, as a shop's standard has them and with what the spec waives.

Pure: the same build, rules, standard and day give the same readings, in the same order.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import date
from typing import NamedTuple

from buildcheck.build import Build, Missing, Stage
from buildcheck.build.part import fields
from buildcheck.how_sure import Tolerances, how_sure
from buildcheck.job import Cure, Job, Unreached
from buildcheck.job.layout import Assumption
from buildcheck.mishap import told
from buildcheck.names import no_such
from buildcheck.place import split
from buildcheck.rule import (
    Area,
    Check,
    Finding,
    Held,
    Limit,
    NotApplicable,
    Reading,
    Replaced,
    Required,
    Requirement,
    Rule,
    Verdict,
)
from buildcheck.standard import Standard, SwitchedOff
from buildcheck.waivers import Situation, waive

# A rule that finds more than this for one subject has lost its way.
MOST_FINDINGS = 500


class Inspection(NamedTuple):
    """All readings of a build at a stage, and what had to be assumed to make them.

    `later` are the rules left out because they belong to a later stage, `switched_off` those that the shop's standard
    does not apply. `taken_as_exact` are the spec paths of the tolerances that the spec does not state; None where nobody
    asked how sure the readings are.
    """

    stage: Stage
    readings: tuple[Reading, ...]
    assumptions: tuple[Assumption, ...]
    later: tuple[Rule, ...] = ()
    switched_off: tuple[SwitchedOff, ...] = ()
    taken_as_exact: tuple[str, ...] | None = None


def inspect(
    build: Build,
    rules: Iterable[Rule],
    *,
    stage: Stage | None = None,
    standard: Standard | None = None,
    today: date | None = None,
    only: Collection[str] | None = None,
    sure: bool = False,
) -> Inspection:
    """Run rules over a build.

    `stage` stands in for the spec's own; without either it is the proposal. A rule that belongs to a later stage is
    left out. What the spec lacks makes a reading `not checked`; a rule that raises makes an error reading of its own;
    the rest still run. Readings come sorted by area and rule.

    `standard` changes the rules, and adds the shop's own limits to them. Readings that the build's waivers cover are
    `waived`; `today` is the day that they are judged by, and without one a waiver that ends with a day waives nothing.
    `only` are the names of the rules to apply, where it is not all: waivers of the others are left alone.
    `sure` also works out how sure each reading is, which takes as long as `DRAWS` more inspections.
    """
    if stage is None:
        stage = build.build.stage if build.has("build") and build.build.has("stage") else Stage.PROPOSAL
    offered = tuple(rules)
    standing = offered if standard is None else standard.applied_to(offered, _use(build))
    chosen = [rule for rule in standing if only is None or rule.name in only]
    applied = sorted((rule for rule in chosen if rule.from_stage.number <= stage.number), key=_order_of_rule)
    job = Job(build)
    readings: Sequence[Reading] = _taken(applied, job)
    if sure:
        readings = how_sure(readings, build, lambda other: _taken(applied, Job(other), cured=False))
    if standard is not None:
        readings = [standard.demanding(reading, stage) for reading in readings]
    every = offered if standard is None else standard.with_own(offered)
    situation = Situation([rule.name for rule in every], [rule.name for rule in applied], stage, standard, today, only)
    waived = waive(build, readings, situation)
    return Inspection(
        stage,
        tuple(sorted(waived, key=lambda reading: _order(reading.area, reading.rule))),
        job.assumptions,
        tuple(sorted((rule for rule in chosen if rule.from_stage.number > stage.number), key=_order_of_rule)),
        () if standard is None else tuple(off for off in standard.switched_off if only is None or off.rule in only),
        Tolerances(build).taken_as_exact if sure else None,
    )


def _taken(rules: Iterable[Rule], job: Job, *, cured: bool = True) -> list[Reading]:
    """All readings of a job by these rules; not `cured`, without what to change."""
    return [reading for rule in rules for reading in _of_rule(rule, job, cured=cured)]


# A reading that is not ok already is worse where its margin falls by more than this, SI: a millimetre, a tenth of a
# percent. What moves less than that on the way is not what anybody looks at.
SLIGHT = 0.001


def harmed(rule: Rule, job: Job, change: Cure) -> tuple[str, ...]:
    """The limits and requirements of a rule of which some reading is worse with a change made to the build than it was:
    for a cure, so that what puts one reading right puts no other wrong. They are judged as the rule has them, whatever
    a shop's standard makes of them; `change` must have a number."""
    before, after = (_numbered(_of_rule(rule, each, cured=False)) for each in (job, job.changed_by(change)))
    worse = {name for _, name, _ in before.keys() - after.keys()}  # no more to be told
    worse |= {
        key[1]
        for key, reading in after.items()
        if (_is_worse(before[key], reading) if key in before else reading.verdict is not Verdict.OK)
    }
    return tuple(limit.name for limit in rule.limits if limit.name in worse)


SEVERITY = (Verdict.OK, Verdict.WARNING, Verdict.ERROR, Verdict.NOT_CHECKED)


def _is_worse(before: Reading, after: Reading) -> bool:
    if after.verdict is not before.verdict:
        return SEVERITY.index(after.verdict) > SEVERITY.index(before.verdict)
    if after.verdict is Verdict.OK or before.margin is None or after.margin is None:
        return False
    return after.margin < before.margin - SLIGHT


def _numbered(readings: Iterable[Reading]) -> dict[tuple[str, str, int], Reading]:
    """Readings by subject and quantity, numbered where there are several of those."""
    count: dict[tuple[str, str], int] = {}
    found = {}
    for reading in readings:
        key = (reading.subject, reading.quantity)
        count[key] = count.get(key, 0) + 1
        found[(*key, count[key])] = reading
    return found


def _use(build: Build) -> str | None:
    return build.build.intended_use if build.has("build") and build.build.has("intended_use") else None


def _order_of_rule(rule: Rule) -> tuple[int, str]:
    return _order(rule.area, rule.name)


def _order(area: Area, rule: str) -> tuple[int, str]:
    return list(Area).index(area), rule


def _of_rule(rule: Rule, job: Job, *, cured: bool) -> list[Reading]:
    """All readings of a rule; one that says nothing at all is told, so that nobody takes its silence for a pass."""
    found = list(_said_once(_apply(rule, job, cured=cured)))
    return found or [_not_checked(rule, "whole build", (), "the rule says nothing of this spec")]


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


def _apply(rule: Rule, job: Job, *, cured: bool) -> Iterator[Reading]:
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
            yield from _apply_to(rule, check, job, subject, getattr(subject, "label", "") or "whole build", cured=cured)


def _apply_to(rule: Rule, check: Check, job: Job, subject: object, label: str, *, cured: bool) -> Iterator[Reading]:
    try:
        findings = check.function(job, subject)
        if findings is None:
            raise TypeError("it returns nothing; a rule yields what it finds: write `yield hold(...)`")
        for number, finding in enumerate(findings, start=1):
            if number > MOST_FINDINGS:
                raise RuntimeError(f"more than {MOST_FINDINGS} findings for one subject")
            reading = _reading(rule, label, finding)
            yield from _with_cure(rule, label, finding, reading) if cured else (reading,)
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
    if isinstance(finding, Held | Required):
        _refuse_place(finding.place)
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


def _refuse_place(place: object) -> None:
    """Raise TypeError or ValueError for a place that no spec can have, so that nobody is sent to the wrong line."""
    if not isinstance(place, str):
        raise TypeError(f"its place is {place!r}; a place is a spec path, such as links.arm.both.frame")
    section = next(iter(split(place)), "")
    if section and section not in fields(Build):
        raise ValueError(no_such("section", str(section), fields(Build)))


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
        replaced=_replaced(limit, verdict),
    )


def _replaced(limit: Limit, verdict: Verdict) -> Replaced | None:
    """What is built in where a shop's standard is what a reading of this verdict stands on."""
    built_in = limit.built_in
    if built_in is None or limit.basis_of(verdict) == built_in.basis_of(verdict):
        return None
    lowest, highest = built_in.bounds.wanted(verdict)
    return Replaced(
        built_in.basis_of(verdict),
        lowest if math.isfinite(lowest) else None,
        highest if math.isfinite(highest) else None,
    )


def _required(rule: Rule, requirement: Requirement, label: str, finding: Required) -> Reading:
    if requirement.if_not is Verdict.WAIVED:
        raise TypeError(f"{requirement.name!r} is waived if not met; only a spec waives")
    verdict, built_in = Verdict.OK if finding.met else requirement.if_not, requirement.built_in
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
        replaced=None if built_in is None else Replaced(built_in.basis, if_not=built_in.if_not),
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
