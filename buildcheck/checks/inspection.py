"""`inspect`: apply rules to a build, with a shop's standard and the spec's waivers.

Pure: the same build, rules, standard and day give the same readings, in the same order.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from datetime import date
from functools import partial
from typing import NamedTuple

from buildcheck.build import Build, Stage
from buildcheck.checks.limit import Bounds, Limit, Requirement, Verdict
from buildcheck.checks.readings import readings_of
from buildcheck.checks.record_dates import RECORD_DATES, in_the_future
from buildcheck.checks.rule import Area, Reading, Rule
from buildcheck.checks.standard import Standard, SwitchedOff
from buildcheck.checks.tolerances import Tolerances, how_sure
from buildcheck.checks.waivers import WAIVERS, Situation, waive
from buildcheck.job import Job
from buildcheck.job.layout import Assumption

ORDER = {area: number for number, area in enumerate(Area)}

WITHOUT_CHECKS = {rule.name: rule for rule in (WAIVERS, RECORD_DATES)}
"""The rules whose readings the inspection itself makes, by name. They have a page like any other,
but no checks of a job."""


class LaterRule(NamedTuple):
    """A rule that belongs to a later stage of the job than the one inspected."""

    name: str
    title: str
    from_stage: Stage


class Inspection(NamedTuple):
    """All readings of a build at a stage, and the assumptions behind them.

    `later` are the rules left out because they belong to a later stage, `switched_off` those that the shop's standard
    does not apply. `sure` says whether the plus or minus of the readings was computed. `today` is the date used to
    judge waivers, `some_rules` says whether only some of the rules were selected. `looser` are the limits that the
    shop's standard has made looser than the built-in ones, each with the name of its rule.
    """

    stage: Stage
    readings: tuple[Reading, ...]
    assumptions: tuple[Assumption, ...]
    later: tuple[LaterRule, ...] = ()
    switched_off: tuple[SwitchedOff, ...] = ()
    sure: bool = False
    today: date | None = None
    some_rules: bool = False
    looser: tuple[tuple[str, Limit | Requirement], ...] = ()
    bounds: tuple[tuple[str, Bounds], ...] = ()
    """The bounds that were applied, SI, by `rule/limit`: those of the intended use, and of the shop's standard."""

    @property
    def of_stage(self) -> tuple[Reading, ...]:
        """The readings that the hold point of the stage is about: all but those of a check of a later stage."""
        return tuple(reading for reading in self.readings if reading.from_stage is None)


def inspect(
    build: Build,
    rules: Iterable[Rule],
    *,
    stage: Stage | None = None,
    standard: Standard | None = None,
    today: date | None = None,
    only: Collection[str] | None = None,
    sure: bool | None = False,
    changes: bool = True,
    all_missing: bool = False,
    job: Job | None = None,
) -> Inspection:
    """Apply rules to a build.

    `stage` replaces the spec's own; without either it is the proposal. A check of a later stage is left out, unless
    its rule is on entries and one that is written already breaks its limit. Missing data makes a reading `not
    checked`; a rule that raises makes an error reading, and the others still run. The readings are sorted by area and
    rule.

    `standard` changes the rules and adds the shop's own limits. Readings that the build's waivers cover are `waived`;
    `today` is the date used to judge them, and without it a waiver that ends on a date waives nothing. `only` are the
    names of the rules to apply, if not all; waivers of other rules are not judged. `sure` also computes the plus or
    minus of each reading, which takes as long as `DRAWS` more inspections; None computes it from `tacked` on, where
    the numbers are those of a tape. Without `changes` the readings do not say what to change, which saves that search;
    they then name only the first missing value of each check, or with `all_missing` all of them. `job` is the job of
    the build, where there is one: what it has computed is not computed again.
    """
    in_use = rules_in_use(build, rules, stage=stage, standard=standard, only=only)
    stage, use, offered, applied = in_use.stage, in_use.use, in_use.offered, in_use.applied
    job = Job(build) if job is None else job
    if sure is None:
        sure = stage.number >= Stage.TACKED.number
    readings_at = partial(readings_of, job=job, changes=changes, all_missing=all_missing, heeding=in_use.in_force)
    ahead = [
        reading._replace(from_stage=later)
        for later, rules_of_stage in in_use.ahead
        for reading in readings_at(rules_of_stage)
        if reading.verdict in (Verdict.WARNING, Verdict.ERROR)
    ]
    early = {reading.rule for reading in ahead}
    made = (*applied, *(rule for _, later in in_use.ahead for rule in later if rule.name in early))
    readings: Sequence[Reading] = [*readings_at(applied), *ahead]
    if sure:
        readings = how_sure(readings, job, made)
    if standard is not None:
        readings = [standard.demanding(reading, stage, use) for reading in readings]
    every = offered if standard is None else standard.with_own(offered)
    situation = Situation(
        {rule.name: rule for rule in (*every, *in_use.in_force)},  # those in force replace the others
        {rule.name for rule in made},
        stage,
        standard,
        today,
        only,
        use,
        build.units,
    )
    waived = waive(build, readings, situation)
    if today is not None and (only is None or RECORD_DATES.name in only):
        waived = (*waived, *in_the_future(build, today))
    return Inspection(
        stage,
        tuple(sorted(waived, key=lambda reading: _order(reading.area, reading.rule))),
        (*job.assumptions, *(Tolerances(build).assumed if sure else ())),
        tuple(LaterRule(rule.name, rule.title, rule.from_stage) for rule in in_use.later),
        () if standard is None else tuple(off for off in standard.off_for(use) if only is None or off.rule in only),
        sure,
        today,
        only is not None,
        tuple(
            (rule.name, rule.limit(check.name))
            for rule in applied
            for check in rule.checks
            if rule.limit(check.name).looser_than_built_in
        ),
        tuple(
            (f"{rule.name}/{limit.name}", limit.bounds)
            for rule in applied
            for limit in rule.limits
            if isinstance(limit, Limit)
        ),
    )


class InUse(NamedTuple):
    """The rules of an inspection for the intended use that the spec states, if any: those offered, those in force under
    the shop's standard, those applied at the stage, and those of later stages; `ahead` are the rules on entries with
    the checks that start at each later stage."""

    stage: Stage
    use: str | None
    offered: tuple[Rule, ...]
    in_force: tuple[Rule, ...]
    applied: tuple[Rule, ...]
    later: tuple[Rule, ...]
    ahead: tuple[tuple[Stage, tuple[Rule, ...]], ...]


def rules_in_use(
    build: Build,
    rules: Iterable[Rule],
    *,
    stage: Stage | None = None,
    standard: Standard | None = None,
    only: Collection[str] | None = None,
) -> InUse:
    """The rules that an inspection of a build applies; the arguments are those of `inspect`."""
    if stage is None:
        stage = build.build.stage if build.has("build") and build.build.has("stage") else Stage.PROPOSAL
    use = _use(build)
    offered = tuple(rule.for_use(use) for rule in rules)
    in_force = offered if standard is None else standard.applied_to(offered, use)
    chosen = [rule for rule in in_force if only is None or rule.name in only]
    at_stage = (rule.at_stage(stage) for rule in chosen)
    applied = sorted((rule for rule in at_stage if rule.checks), key=_order_of_rule)
    now = {rule.name for rule in applied}
    later = sorted((rule for rule in chosen if rule.name not in now), key=_order_of_rule)
    ahead = tuple(
        (each, tuple(of_stage for rule in chosen if rule.entries and (of_stage := rule.of_stage(each)).checks))
        for each in Stage
        if each.number > stage.number
    )
    return InUse(stage, use, offered, in_force, tuple(applied), tuple(later), ahead)


def _use(build: Build) -> str | None:
    return build.build.intended_use if build.has("build") and build.build.has("intended_use") else None


def _order_of_rule(rule: Rule) -> tuple[int, str]:
    return _order(rule.area, rule.name)


def _order(area: Area, rule: str) -> tuple[int, str]:
    return ORDER[area], rule
