"""The outcomes of the checks of a rule on a build, and the change that brings one inside its limit.

A change is found by trial: the check is evaluated on changed builds, step by step, until it is inside its limit. So a
rule needs no solver, and every printed amount has been tried.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from buildcheck.build import Missing, Side
from buildcheck.checks.changes import Change, OutOfReach, Way, Words
from buildcheck.checks.check import Answer, CannotTell, Check, Failed, Found, NoNeed, NotChecked, Outcome, Silent
from buildcheck.checks.limit import SEVERITY, Limit, Requirement, Verdict
from buildcheck.checks.rule import Rule
from buildcheck.checks.search import smallest_step
from buildcheck.checks.subjects import Absent, Key, NoneThere, key_of, same_on
from buildcheck.job import Cure, Job, Unreached
from buildcheck.job.steps import at_least
from buildcheck.job.subjects import Pair
from buildcheck.spec.guard import Mishap, Unusable, guarded, plain_text

SIDES = (Side.LEFT, Side.RIGHT)

# A reading that is not ok gets worse where its margin falls by more than this, SI: a millimetre, a tenth of a percent.
# A smaller change has no practical effect.
SLIGHT = 0.001


class Looked(NamedTuple):
    """One subject of a check, its name for people, and the outcome of the check on it."""

    label: str
    subject: Any
    outcome: Outcome


class Judged(NamedTuple):
    """The part of an outcome that is compared between builds: its verdict and, for a number, its margin."""

    label: str
    verdict: Verdict
    margin: float | None
    without: tuple[str, ...]


def looked_at(rule: Rule, check: Check, job: Job) -> Sequence[Looked] | NoNeed | NotChecked | Failed:
    """The outcome of a check on each of its subjects; or why it has none. Computed once for each job."""
    return job.keep(look_key(rule, check), lambda: _look(rule, check, job))


def look_key(rule: Rule, check: Check) -> tuple[Hashable, ...]:
    """The key under which the outcomes of a check on all its subjects are stored."""
    # The checks that it follows are judged by the limits of the rule, which a shop's standard may have changed;
    # one of a later stage is not followed.
    return check, tuple(rule.limit(each.name) for each in rule.checks if each.name in check.follows)


def _look(rule: Rule, check: Check, job: Job) -> Sequence[Looked] | NoNeed | NotChecked | Failed:
    subjects = subjects_of(check, job)
    if isinstance(subjects, NoNeed | NotChecked | Failed):
        return subjects
    return [Looked(label, subject, outcome_on(rule, check, job, subject)) for label, subject in subjects]


def subjects_of(check: Check, job: Job) -> list[tuple[str, Any]] | NoNeed | NotChecked | Failed:
    """The subjects of a check, each with its name for people; or why it has none."""
    try:
        with guarded(check.compute):
            return _subjects(check, job)
    except Mishap as mishap:
        return Failed(f"{check.name}: {mishap}")


def _subjects(check: Check, job: Job) -> list[tuple[str, Any]] | NoNeed | NotChecked:
    try:
        found = check.subjects(job)
    except Missing as missing:
        # A check that does not apply can report that without the part.
        found = [Absent(plain_text(missing.path), check.noun)]
    except Unreached as none:
        return NotChecked((), plain_text(str(none)))
    if isinstance(found, NoneThere):
        return NoNeed(plain_text(str(found)))
    known: dict[Key, str] = {}
    for subject in found:
        key, label = key_of(subject), plain_text(getattr(subject, "label", "") or "whole build")
        if key in known:
            raise Unusable(
                f"two of its subjects are {known[key]!r} and {label!r}, of one path and side;"
                " give each a `which` of its own"
            )
        known[key] = label
    return list(zip(known.values(), found, strict=True))


def outcome_on(rule: Rule, check: Check, job: Job, subject: Any) -> Outcome:
    """The outcome of a check on a subject: `Silent` where a check that it follows is not ok, `NotChecked` where that
    one could not be made."""
    for name in check.follows:
        before = next((each for each in rule.checks if each.name == name), None)
        if before is None:  # a shop's standard has switched it off, or it belongs to a later stage
            continue
        # A tie rod, too, has a `left` and a `right`: its ends.
        for each in (subject.left, subject.right) if isinstance(subject, Pair) else (subject,):
            found = before.on(job, each)
            if isinstance(found, NotChecked) and not check.compares:
                return found
            if before.inside(found, rule.limit(name)) < 0.0:
                return Silent()
    return check.on(job, subject)


def judged(rule: Rule, job: Job) -> Mapping[tuple[str, Key], Judged]:
    """The outcomes of the checks of a rule on a build, by the check's name and the subject's key."""
    return job.keep((rule.name, rule.limits, rule.checks), lambda: _judge(rule, job))


def _judge(rule: Rule, job: Job) -> dict[tuple[str, Key], Judged]:
    found: dict[tuple[str, Key], Judged] = {}
    for check in rule.checks:
        looked = looked_at(rule, check, job)
        if isinstance(looked, NoNeed | NotChecked | Failed):
            continue
        for label, subject, outcome in looked:
            if isinstance(outcome, Found):
                found[check.name, key_of(subject)] = _judge_one(label, outcome, rule.limit(check.name))
    return found


def _judge_one(label: str, found: Found, limit: Limit | Requirement) -> Judged:
    value = found.value
    if isinstance(value, Answer):
        assert isinstance(limit, Requirement)
        return Judged(label, Verdict.OK if value.met else limit.if_not, None, ())
    assert isinstance(limit, Limit)
    bounds = limit.bounds_for(value)
    verdict = bounds.verdict(value.value)
    partial = bool(value.without) and verdict is Verdict.OK
    margin = None if partial else bounds.margin(value.value, verdict)
    return Judged(label, Verdict.NOT_CHECKED if partial else verdict, margin, value.without)


def worse_in(rule: Rule, job: Job, changed: Job) -> tuple[str, ...]:
    """The checks of a rule with a reading that is worse on a changed build, is new and not ok, or has vanished."""
    before, after = judged(rule, job), judged(rule, changed)
    harmed = {name for name, _ in before.keys() - after.keys()}
    for key, now in after.items():
        if _is_worse(before[key], now) if key in before else now.verdict is not Verdict.OK:
            harmed.add(key[0])
    return tuple(limit.name for limit in rule.limits if limit.name in harmed)


def _is_worse(before: Judged, after: Judged) -> bool:
    if no_more_left_out(before, after):
        return False  # not checked for the same reason as before, or better than the error or warning before
    if after.verdict is not before.verdict:
        return worse(after.verdict, before.verdict)
    if after.verdict is Verdict.OK or before.margin is None or after.margin is None:
        return False
    return after.margin < before.margin - SLIGHT


def no_more_left_out(before: Judged, after: Judged) -> bool:
    """Whether a partial value breaks no limit and leaves out nothing that it did not leave out before."""
    return after.verdict is Verdict.NOT_CHECKED and bool(after.without) and set(after.without) <= set(before.without)


def worse(verdict: Verdict, other: Verdict) -> bool:
    """Whether a verdict is worse than another one."""
    return SEVERITY.index(verdict) > SEVERITY.index(other)


def broken_in(rules: Iterable[Rule], job: Job, changed: Job) -> tuple[str, ...]:
    """The readings of some rules that turn from ok to an error on a changed build, in words.

    Checks that need the loads, the gaps or the travel limits are left out: computing these again for every change takes
    too long.
    """
    broken: list[str] = []
    for rule in rules:
        for check in rule.checks:
            sound, limit = _sound(rule, check, job), rule.limit(check.name)
            if changed.carries(look_key(rule, check)):
                continue  # the change affects none of its inputs
            subjects = subjects_of(check, changed) if sound else []
            if isinstance(subjects, NoNeed | NotChecked | Failed):
                continue
            for label, subject in subjects:
                outcome = outcome_on(rule, check, changed, subject) if key_of(subject) in sound else None
                if isinstance(outcome, Found) and _judge_one(label, outcome, limit).verdict is Verdict.ERROR:
                    broken.append(f"{check.name} of the {label}")
    return tuple(broken)


def _sound(rule: Rule, check: Check, job: Job) -> frozenset[Key]:
    """The subjects on which a check is ok and quick."""

    def sound() -> frozenset[Key]:
        looked, limit = looked_at(rule, check, job), rule.limit(check.name)
        if isinstance(looked, NoNeed | NotChecked | Failed):
            return frozenset()
        return frozenset(
            key_of(subject)
            for label, subject, outcome in looked
            if isinstance(outcome, Found)
            and not check.takes_long(job, subject)
            and _judge_one(label, outcome, limit).verdict is Verdict.OK
        )

    return job.keep(("sound", *look_key(rule, check), rule.limit(check.name)), sound)


def change_for(rule: Rule, check: Check, job: Job, subject: Any, found: Found, heeding: Iterable[Rule] = ()) -> Cure:
    """The first change in the list with an amount that makes a check ok on a subject and breaks nothing else.

    Where every change breaks a reading of another rule in `heeding`, the first of them is returned and names that
    reading. Where every change makes a reading of the same rule worse, the first of them is returned as the last step,
    after the changes that those checks ask for. Where no amount makes the check ok, the words at the end of the list
    are returned.
    """
    others = [other for other in heeding if other.name != rule.name]
    in_words = _last_words(rule, check, job, subject, found)
    second: Cure | None = None
    third: Cure | None = None
    for change, way in ways_of(check, job, subject):
        steps = _steps(rule, check, job, subject, found, way)
        if steps is None:
            continue
        cure = way.cure(steps)
        if not isinstance(found.value, Answer) and found.value.without:
            cure = cure.leaving_out(*found.value.without)
        changed = job.edited(way.edits(steps))
        harmed = worse_in(rule, job, changed)
        broken = () if harmed else broken_in(others, job, changed)
        if not harmed and not broken:
            return cure
        if broken:
            second = second or (None if change.is_slip else cure.beside(*broken))
        elif third is None and not change.is_slip:  # a correction that harms something is not the typing error
            first = [_asked_first(rule, name) for name in harmed]
            third = in_words if in_words.words in first else cure.after(*first)
    return second or third or in_words


def ways_of(check: Check, job: Job, subject: Any) -> Iterator[tuple[Change, Way]]:
    """Every way that a check's changes offer for a subject, in order, each with its change."""
    for change in check.changes:
        if isinstance(change, Words):
            return
        try:
            for way in change.ways(job, subject):
                yield change, way
        except (CannotTell, Missing, Unreached):
            continue  # this change cannot be computed, but the next may be


def _asked_first(rule: Rule, name: str) -> str:
    """The advice of a check that a change would break."""
    last = rule.named(name).changes[-1]
    if isinstance(last, Words) and isinstance(last.text, str) and "{amount}" not in last.text:
        return last.text
    return f"see to {name}"


def _last_words(rule: Rule, check: Check, job: Job, subject: Any, found: Found) -> Cure:
    """The words at the end of a check's changes; `{amount}` in them is the amount by which the value is outside its
    limit, rounded up to a step that a shop can measure."""
    last, limit = check.changes[-1], rule.limit(check.name)
    assert isinstance(last, Words)
    cure = last.cure(job, subject)
    if "{amount}" not in cure.words or isinstance(found.value, Answer) or not isinstance(limit, Limit):
        return cure
    outside = max(-limit.bounds_for(found.value).margin(found.value.value, Verdict.WARNING), 0.0)
    amount = at_least(outside, limit.dimension, job.build.units)
    return cure._replace(amount=amount, dimension=limit.dimension)


def _steps(rule: Rule, check: Check, job: Job, subject: Any, found: Found, way: Way) -> int | None:
    """The smallest number of steps that makes the check ok on all subjects that the change is made to."""
    limit = rule.limit(check.name)
    keys = _changed_together(check, job, subject, way)
    # Data that is left out now, because it is missing or a pose has no solution, may be left out afterwards, and the
    # change says so; nothing else may be.
    without = () if isinstance(found.value, Answer) else found.value.without

    def margin(steps: int) -> float:
        try:
            changed = job.edited(way.edits(steps)) if steps else job
            found = check.subjects(changed)
        except (Missing, OutOfReach, Unreached, ValueError):
            return -math.inf
        if isinstance(found, NoneThere):
            return -math.inf
        subjects = {key_of(each): each for each in found}
        if any(key not in subjects for key in keys):
            return -math.inf  # a change must not remove the subject that it puts right
        return min(check.inside(outcome_on(rule, check, changed, subjects[key]), limit, without) for key in keys)

    return smallest_step(margin, way.most)


def _changed_together(check: Check, job: Job, subject: Any, way: Way) -> list[Key]:
    """The keys of a subject, and of its twin on the other side where the change is made to both."""
    key = key_of(subject)
    twins = [same_on(key, part.side) for part in way.parts if key.side in SIDES and part.side != key.side]
    found = check.subjects(job) if twins else []
    there = set() if isinstance(found, NoneThere) else set(map(key_of, found))
    return [key, *(twin for twin in twins if twin in there)]
