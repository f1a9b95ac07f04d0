"""Assertions about the findings of a rule. They raise AssertionError with the findings, under any test runner."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from pathlib import Path
from typing import Any

from buildcheck.build import Build, Stage
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading, Rule, Sample
from buildcheck.plugins.loading import Collected, load_rule_files
from buildcheck.spec.additions import NOTHING_ADDED, Additions
from buildcheck.testing.specs import build_of, changed, sound_spec

SEVERITY = (Verdict.OK, Verdict.WAIVED, Verdict.NOT_CHECKED, Verdict.WARNING, Verdict.ERROR)


def rules_in(file: str | Path) -> Collected:
    """The rules and additions of a rule file, loaded as by `--plugin FILE`. Raises AssertionError where that fails."""
    collected = load_rule_files([file])
    if collected.failures:
        raise AssertionError("; ".join(f"{failure.plugin}: {failure.sentence}" for failure in collected.failures))
    return collected


def worst_by_limit(readings: Iterable[Reading]) -> dict[str, Verdict]:
    """Every limit that is not ok, with its worst verdict."""
    found: dict[str, Verdict] = {}
    for reading in readings:
        worst = max(found.get(reading.quantity, Verdict.OK), reading.verdict, key=SEVERITY.index)
        if worst is not Verdict.OK:
            found[reading.quantity] = worst
    return found


def assert_finds_exactly(
    rule: Rule,
    change: Mapping[str, Any],
    finds: Mapping[str, Verdict],
    *,
    place: str | Collection[str] = (),
    others: Iterable[Rule] = (),
    spec: dict[str, Any] | None = None,
    additions: Additions = NOTHING_ADDED,
) -> None:
    """Assert that a change makes a rule find exactly these limits, at this place.

    The change is made to a sound spec, or to `spec`, and inspected at the last stage of the job. `finds` maps every
    limit and requirement of the rule that is then not ok to its worst verdict; it is empty for a change that the rule
    passes. `place` is the place of all findings, or the set of their places. No reading of the rules in `others` may
    change its verdict. `additions` are the names that plugins add to a spec. The assertion fails where the rule finds
    something in the unchanged spec, leaves something unchecked, or fails itself.
    """
    before = sound_spec() if spec is None else spec
    after = changed(before, change)
    found = _readings(rule, build_of(after, additions))
    wanted = dict(finds)
    if worst_by_limit(found) != wanted:
        raise AssertionError(f"{rule.name} finds {_listed(found)}, and not {_words(wanted)}")
    if wanted and (already := worst_by_limit(_readings(rule, build_of(before, additions)))):
        raise AssertionError(f"{rule.name} finds {_words(already)} before anything is changed")
    places = {reading.place for reading in found if reading.verdict is not Verdict.OK}
    if place and places != ({place} if isinstance(place, str) else set(place)):
        raise AssertionError(f"{rule.name} finds it at {', '.join(sorted(places))}")
    for other in others:
        was, now = (
            [(r.subject, r.quantity, r.verdict) for r in _readings(other, build_of(data, additions))]
            for data in (before, after)
        )
        if other.name != rule.name and was != now:
            raise AssertionError(f"the change alters the findings of the rule {other.name} too")


def check_samples(rule: Rule, additions: Additions = NOTHING_ADDED) -> None:
    """Assert that every sample of a rule gives its stated findings, and that one passes and one does not. `additions`
    are the names that plugins add to a spec."""
    if {sample.passes for sample in rule.samples} != {True, False}:
        raise AssertionError(f"{rule.name} needs a sample that passes and one that finds")
    for sample in rule.samples:
        check_sample(rule, sample, additions=additions)


def check_sample(
    rule: Rule, sample: Sample, spec: dict[str, Any] | None = None, additions: Additions = NOTHING_ADDED
) -> None:
    """Assert that a sample of a rule gives its stated findings, on the sound spec or on another."""
    found = _readings(rule, build_of(changed(sound_spec() if spec is None else spec, sample.change), additions))
    if worst_by_limit(found) != dict(sample.finds):
        raise AssertionError(
            f"{rule.name}, {sample.says}: it finds {_listed(found)}, and not {_words(dict(sample.finds))}"
        )


def assert_never_fails(rule: Rule, build: Build) -> None:
    """Assert that a rule makes readings of a build and does not fail: missing data gives `not checked`."""
    _readings(rule, build)


def _readings(rule: Rule, build: Build) -> tuple[Reading, ...]:
    readings = inspect(build, [rule], stage=Stage.DRIVEN).readings
    failures = [f"{reading.subject}: {reading.failure}" for reading in readings if reading.failure]
    if failures or not readings:
        raise AssertionError(f"{rule.name}: {'; '.join(failures) or 'it makes no reading'}")
    return readings


def _words(finds: Mapping[str, Verdict]) -> str:
    return ", ".join(f"{limit} {verdict.value}" for limit, verdict in finds.items()) or "nothing"


def _listed(readings: Iterable[Reading]) -> str:
    bad = [reading for reading in readings if reading.verdict is not Verdict.OK]
    return (
        "; ".join(
            f"{r.subject}: {r.quantity or r.reason} {r.verdict.value}, value {r.value}, at {r.place}" for r in bad
        )
        or "nothing"
    )
