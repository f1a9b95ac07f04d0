"""`inspect`: rules over a build, as a shop's standard has them and with what the spec waives.

Pure: the same build, rules, standard and day give the same readings, in the same order.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from datetime import date
from typing import NamedTuple

from buildcheck.build import Build, Stage
from buildcheck.checks.readings import readings_of
from buildcheck.checks.rule import Area, Reading, Rule
from buildcheck.checks.standard import Standard, SwitchedOff
from buildcheck.checks.tolerances import Tolerances, how_sure
from buildcheck.checks.waivers import Situation, waive
from buildcheck.job import Job
from buildcheck.job.layout import Assumption

ORDER = {area: number for number, area in enumerate(Area)}


class LaterRule(NamedTuple):
    """A rule that belongs to a later stage of the job than the one inspected."""

    name: str
    title: str
    from_stage: Stage


class Inspection(NamedTuple):
    """All readings of a build at a stage, and what had to be assumed to make them.

    `later` are the rules left out because they belong to a later stage, `switched_off` those that the shop's standard
    does not apply. `taken_as_exact` are the spec paths of the tolerances that the spec does not state; None where
    nobody asked how sure the readings are. `today` is the day that it was judged by, `some_rules` says whether only
    some of the rules were asked for.
    """

    stage: Stage
    readings: tuple[Reading, ...]
    assumptions: tuple[Assumption, ...]
    later: tuple[LaterRule, ...] = ()
    switched_off: tuple[SwitchedOff, ...] = ()
    taken_as_exact: tuple[str, ...] | None = None
    today: date | None = None
    some_rules: bool = False


def inspect(
    build: Build,
    rules: Iterable[Rule],
    *,
    stage: Stage | None = None,
    standard: Standard | None = None,
    today: date | None = None,
    only: Collection[str] | None = None,
    sure: bool = False,
    changes: bool = True,
) -> Inspection:
    """Run rules over a build.

    `stage` stands in for the spec's own; without either it is the proposal. A rule that belongs to a later stage is
    left out. What the spec lacks makes a reading `not checked`; a rule that raises makes an error reading of its own;
    the rest still run. Readings come sorted by area and rule.

    `standard` changes the rules, and adds the shop's own limits to them. Readings that the build's waivers cover are
    `waived`; `today` is the day that they are judged by, and without one a waiver that ends with a day waives nothing.
    `only` are the names of the rules to apply, where it is not all: waivers of the others are left alone.
    `sure` also works out how sure each reading is, which takes as long as `DRAWS` more inspections. Without `changes`
    the readings do not say what to change, which saves the search for it.
    """
    if stage is None:
        stage = build.build.stage if build.has("build") and build.build.has("stage") else Stage.PROPOSAL
    use = _use(build)
    offered = tuple(rule.for_use(use) for rule in rules)
    standing = offered if standard is None else standard.applied_to(offered, use)
    chosen = [rule for rule in standing if only is None or rule.name in only]
    at_stage = (rule.at_stage(stage) for rule in chosen if rule.from_stage.number <= stage.number)
    applied = sorted((rule for rule in at_stage if rule.checks), key=_order_of_rule)
    now = {rule.name for rule in applied}
    later = (rule for rule in chosen if rule.name not in now)
    job = Job(build)
    readings: Sequence[Reading] = readings_of(applied, job, changes=changes, heeding=standing)
    if sure:
        readings = how_sure(readings, build, lambda other: readings_of(applied, Job(other), changes=False))
    if standard is not None:
        readings = [standard.demanding(reading, stage) for reading in readings]
    every = offered if standard is None else standard.with_own(offered)
    situation = Situation([rule.name for rule in every], [rule.name for rule in applied], stage, standard, today, only)
    waived = waive(build, readings, situation)
    return Inspection(
        stage,
        tuple(sorted(waived, key=lambda reading: _order(reading.area, reading.rule))),
        job.assumptions,
        tuple(LaterRule(rule.name, rule.title, rule.from_stage) for rule in sorted(later, key=_order_of_rule)),
        () if standard is None else tuple(off for off in standard.switched_off if only is None or off.rule in only),
        Tolerances(build).taken_as_exact if sure else None,
        today,
        only is not None,
    )


def _use(build: Build) -> str | None:
    return build.build.intended_use if build.has("build") and build.build.has("intended_use") else None


def _order_of_rule(rule: Rule) -> tuple[int, str]:
    return _order(rule.area, rule.name)


def _order(area: Area, rule: str) -> tuple[int, str]:
    return ORDER[area], rule
