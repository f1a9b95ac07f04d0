"""From a check to its readings, and the search for the change that brings one inside its limit."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Any

from buildcheck.build import Missing, Side
from buildcheck.checks.changes import OutOfReach, Way, Words
from buildcheck.checks.check import Answer, Check, Failed, Found, NoNeed, NotChecked, Outcome, Silent, words_of
from buildcheck.checks.search import smallest_step
from buildcheck.checks.subjects import Absent, Key, NoneThere, key_of, same_on
from buildcheck.job import Cure, Job, Unreached
from buildcheck.limit import SEVERITY, Limit, Requirement, Verdict
from buildcheck.mishap import told
from buildcheck.rule import Held, Loosened, Reading, Replaced, Required, Rule

SIDES = (Side.LEFT, Side.RIGHT)

# The names of the limits that a change makes worse, of a rule, on a changed job.
Harm = Callable[[Rule, Job, Job], tuple[str, ...]]


def of_check(rule: Rule, check: Check, job: Job, harm: Harm | None) -> Iterator[Reading]:
    """The readings of one check: one for each subject. Without `harm` no change is searched for."""
    try:
        subjects = check.subject.find(job)
    except Missing as missing:
        # A check that does not apply to the build needs no part to say so.
        subjects = [Absent(missing.path, check.subject.noun)]
    except NoneThere as none:
        yield without_quantity(rule, check.subject.noun, Verdict.OK)._replace(reason=str(none))
        return
    except Unreached as none:
        yield not_checked(rule, check.subject.noun, (), str(none))._replace(unchecked=(check.name,))
        return
    for subject in subjects:
        yield from _of_subject(rule, check, job, subject, harm)


def _of_subject(rule: Rule, check: Check, job: Job, subject: Any, harm: Harm | None) -> Iterator[Reading]:
    label = getattr(subject, "label", "") or "whole build"
    outcome = outcome_of(rule, check, job, subject)
    match outcome:
        case Silent():
            return
        case NoNeed(why):
            yield without_quantity(rule, label, Verdict.OK)._replace(reason=why)
        case NotChecked(missing, reason):
            yield not_checked(rule, label, missing, reason)._replace(unchecked=(check.name,))
        case Failed(why):
            yield failed(rule, label, why)
        case Found():
            reading = _reading(rule, check, job, subject, label, outcome)
            if harm is None or reading.verdict in (Verdict.OK, Verdict.NOT_CHECKED):
                yield reading
                return
            try:
                yield reading._replace(cure=_cure(rule, check, job, subject, harm))
            except KeyboardInterrupt:
                raise
            except BaseException as error:
                yield reading
                yield failed(rule, label, f"in the change of {check.name}, {told(error)}")


def outcome_of(rule: Rule, check: Check, job: Job, subject: Any) -> Outcome:
    """What came of a check on a subject, and silence where a check that it follows is not ok."""
    for name in check.follows:
        before = rule.named(name)
        for each in (
            (subject.left, subject.right) if hasattr(subject, "left") and hasattr(subject, "right") else (subject,)
        ):
            outcome = before.on(job, each)
            if before.inside(outcome, rule.limit(name)) < 0.0:
                return Silent()
    return check.on(job, subject)


def _reading(rule: Rule, check: Check, job: Job, subject: Any, label: str, found: Found) -> Reading:
    limit, value = rule.limit(check.name), found.value
    effect = value.why or words_of(check.effect, job, subject)
    if isinstance(value, Answer):
        assert isinstance(limit, Requirement)
        return required(
            rule, limit, label, Required(check.name, value.met, value.found, found.place, check.wanted, effect, "")
        )
    assert isinstance(limit, Limit)
    which = str(getattr(subject, "which", ""))
    return held(
        rule,
        limit,
        label,
        Held(
            check.name,
            value.value,
            found.place,
            value.pose,
            effect,
            cure="",
            of=which,
            without=value.without,
            missing=value.missing,
        ),
    )


def _cure(rule: Rule, check: Check, job: Job, subject: Any, harm: Harm) -> Cure:
    """The first change of the list of which some amount makes the check ok and harms nothing of the rule. Where all
    harm, the first of those, as a last step after what the checks that it would break ask for in words. Where none
    makes it ok, the words at the end of the list."""
    in_words = _last_words(check, job, subject)
    second: Cure | None = None
    for change in check.changes:
        if isinstance(change, Words):
            break
        try:
            ways = list(change.ways(job, subject))
        except Missing:
            continue
        for way in ways:
            steps = _steps(rule, check, job, subject, way)
            if steps is None:
                continue
            cure = way.cure(steps)
            broken = harm(rule, job, job.edited(way.edits(steps)))
            if not broken:
                return cure
            if second is None:
                first = [_asked_first(rule, name) for name in broken]
                second = in_words if in_words.words in first else cure.after(*first)
    return second or in_words


def _asked_first(rule: Rule, name: str) -> str:
    """What a check that a change would break asks for in words."""
    last = rule.named(name).changes[-1]
    return last.text if isinstance(last, Words) and isinstance(last.text, str) else f"see to {name}"


def _last_words(check: Check, job: Job, subject: Any) -> Cure:
    """What a check asks for in words, where no amount can be given."""
    last = check.changes[-1]
    assert isinstance(last, Words)
    return last.cure(job, subject)


def _steps(rule: Rule, check: Check, job: Job, subject: Any, way: Way) -> int | None:
    """The smallest number of steps that makes the check ok on all subjects that the change is made to."""
    limit = rule.limit(check.name)
    keys = _changed_together(check, job, subject, way)

    def margin(steps: int) -> float:
        try:
            changed = job.edited(way.edits(steps)) if steps else job
            subjects = {key_of(each): each for each in check.subject.find(changed)}
        except (Missing, NoneThere, OutOfReach, Unreached, ValueError):
            return -math.inf
        if any(key not in subjects for key in keys):
            return -math.inf  # a change must not make what it mends disappear
        return min(check.inside(outcome_of(rule, check, changed, subjects[key]), limit) for key in keys)

    return smallest_step(margin, way.most)


def _changed_together(check: Check, job: Job, subject: Any, way: Way) -> list[Key]:
    """The keys of a subject, and of its like on the other side where the change is made to both."""
    key = key_of(subject)
    likes = [same_on(key, part.side) for part in way.parts if key.side in SIDES and part.side != key.side]
    there = {key_of(each) for each in check.subject.find(job)} if likes else set()
    return [key, *(like for like in likes if like in there)]


def held(rule: Rule, limit: Limit, label: str, finding: Held) -> Reading:
    """The reading of a number. Raises ValueError for one that is not finite."""
    if not math.isfinite(finding.value):
        raise ValueError(f"{limit.name} came out as {finding.value}")
    verdict = limit.bounds.verdict(finding.value)
    lowest, highest = limit.bounds.wanted(verdict)
    # The worst of what could be looked at; what could not be looked at may be worse.
    partial = bool(finding.without) and verdict is Verdict.OK
    effect = "; ".join(filter(None, (finding.effect, finding.without)))
    return Reading(
        rule=rule.name,
        area=rule.area,
        subject=label,
        quantity=limit.name,
        meaning=limit.meaning,
        verdict=Verdict.NOT_CHECKED if partial else verdict,
        place=finding.place,
        dimension=limit.dimension,
        value=finding.value,
        lowest=lowest if math.isfinite(lowest) else None,
        highest=highest if math.isfinite(highest) else None,
        margin=limit.bounds.margin(finding.value, verdict),
        pose=finding.pose,
        effect="" if partial else effect,
        missing=finding.missing if partial else (),
        reason=finding.without if partial else "",
        of=finding.of,
        basis=limit.basis_of(verdict),
        replaced=_replaced(limit, verdict),
        loosened=_loosened(limit, verdict, finding.value),
    )


def worse(verdict: Verdict, other: Verdict) -> bool:
    """Whether a verdict is worse than another one."""
    return SEVERITY.index(verdict) > SEVERITY.index(other)


def _loosened(limit: Limit, verdict: Verdict, value: float) -> Loosened | None:
    """The built-in verdict where a shop's standard gives a milder one."""
    built_in = limit.built_in
    if built_in is None:
        return None
    instead_of = built_in.bounds.verdict(value)
    if not worse(instead_of, verdict):
        return None
    # The range that a value leaves to be given that verdict: for a warning it is the one that is fine.
    own, before = (
        one.bounds.wanted(Verdict.ERROR if instead_of is Verdict.ERROR else Verdict.OK) for one in (limit, built_in)
    )
    ends = (end if math.isfinite(end) else None for end in (*own, *before))
    return Loosened(instead_of, built_in.basis_of(instead_of), *ends)


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


def required(rule: Rule, requirement: Requirement, label: str, finding: Required) -> Reading:
    """The reading of something that must be so."""
    if requirement.if_not is Verdict.WAIVED:
        raise TypeError(f"{requirement.name!r} is waived if not met; only a spec waives")
    verdict, built_in = Verdict.OK if finding.met else requirement.if_not, requirement.built_in
    loosened = None
    if built_in is not None and not finding.met and worse(built_in.if_not, verdict):
        loosened = Loosened(built_in.if_not, built_in.basis)
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
        loosened=loosened,
    )
    return reading if finding.met or not finding.cure else reading._replace(cure=Cure(finding.cure))


def not_checked(rule: Rule, label: str, missing: tuple[str, ...], reason: str) -> Reading:
    """The reading of what could not be checked, for what the spec lacks or for a reason in words."""
    return without_quantity(rule, label, Verdict.NOT_CHECKED)._replace(
        place=missing[0] if missing else "",
        missing=missing,
        reason=reason or (f"the spec lacks {missing[0]}" if missing else ""),
    )


def failed(rule: Rule, label: str, failure: str) -> Reading:
    """The reading of a rule whose own code failed."""
    return without_quantity(rule, label, Verdict.ERROR)._replace(failure=f"the rule failed: {failure}")


def without_quantity(rule: Rule, label: str, verdict: Verdict) -> Reading:
    """A reading in which nothing was compared."""
    return Reading(rule.name, rule.area, label, quantity="", meaning=rule.title, verdict=verdict, place="")
