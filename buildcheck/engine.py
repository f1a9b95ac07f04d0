"""From a check to its readings, and the search for the change that brings one inside its limit."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Any

from buildcheck.build import Missing, Side
from buildcheck.checks.changes import OutOfReach, Way, Words
from buildcheck.checks.check import Answer, Check, Failed, Found, NoNeed, NotChecked, Outcome, Silent, refuse_place
from buildcheck.checks.search import smallest_step
from buildcheck.checks.subjects import Absent, Key, NoneThere, key_of, same_on
from buildcheck.job import Cure, Job, Unreached
from buildcheck.limit import SEVERITY, Limit, Requirement, Verdict
from buildcheck.mishap import Mishap, guarded, plain_text
from buildcheck.rule import Held, Loosened, Reading, Replaced, Required, Rule

SIDES = (Side.LEFT, Side.RIGHT)

# The names of the limits that a change makes worse, of a rule, on a changed job.
Harm = Callable[[Rule, Job, Job], tuple[str, ...]]


def of_check(rule: Rule, check: Check, job: Job, harm: Harm | None) -> Iterator[Reading]:
    """The readings of one check: one for each subject. Without `harm` no change is searched for."""
    try:
        with guarded(check.compute):
            subjects = _subjects(check, job)
    except Mishap as mishap:
        yield failed(rule, check.noun, f"{check.name}: {mishap}")
        return
    if check.compares and not isinstance(subjects, list):
        return  # what is not stated contradicts nothing
    if isinstance(subjects, NoNeed):
        yield without_quantity(rule, check.noun, Verdict.OK)._replace(reason=subjects.why)
    elif isinstance(subjects, NotChecked):
        yield not_checked(rule, check.noun, subjects.missing, subjects.reason)._replace(unchecked=(check.name,))
    else:
        for label, subject in subjects:
            yield from _of_subject(rule, check, job, subject, label, harm)


def _subjects(check: Check, job: Job) -> list[tuple[str, Any]] | NoNeed | NotChecked:
    """The subjects of a check, each with its label; or why there are none."""
    try:
        subjects = check.subject.find(job)
    except Missing as missing:
        # A check that does not apply to the build needs no part to say so.
        subjects = [Absent(missing.path, check.noun)]
    except NoneThere as none:
        return NoNeed(plain_text(str(none)))
    except Unreached as none:
        return NotChecked((), plain_text(str(none)))
    return [(plain_text(getattr(subject, "label", "") or "whole build"), subject) for subject in subjects]


def _of_subject(rule: Rule, check: Check, job: Job, subject: Any, label: str, harm: Harm | None) -> Iterator[Reading]:
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
            reading = _reading(rule, check, subject, label, outcome)
            if harm is None or reading.verdict in (Verdict.OK, Verdict.NOT_CHECKED):
                yield reading
                return
            try:
                with guarded(check.compute):
                    cure = _cure(rule, check, job, subject, harm)
            except Mishap as mishap:
                yield reading
                yield failed(rule, label, f"in the change of {check.name}, {mishap}")
            else:
                yield reading._replace(cure=cure)


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


def _reading(rule: Rule, check: Check, subject: Any, label: str, found: Found) -> Reading:
    limit, value = rule.limit(check.name), found.value
    if isinstance(value, Answer):
        assert isinstance(limit, Requirement)
        return required(
            rule, label, Required(limit, value.met, value.found, found.place, check.wanted, found.effect, "")
        )
    assert isinstance(limit, Limit)
    which = plain_text(str(getattr(subject, "which", "")))
    return held_to(
        rule,
        label,
        Held(
            limit,
            value.value,
            found.place,
            value.pose,
            found.effect,
            cure="",
            of=which,
            without=value.without,
            missing=value.missing,
        ),
    )


def _cure(rule: Rule, check: Check, job: Job, subject: Any, harm: Harm) -> Cure:
    """The first change of the list of which some amount makes the check ok and harms nothing of the rule. Where all
    harm, the first of those, as a last step after what the checks that it would break ask for in words; but a slip of
    the pen that harms something explains nothing. Where none makes it ok, the words at the end of the list."""
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
            if second is None and not change.is_slip:
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


def held_to(rule: Rule, label: str, finding: Held) -> Reading:
    """The reading of a number. Raises ValueError for one that is not finite, and for a place that no spec has."""
    refuse_place(finding.place)
    limit = own_limit(rule, finding.limit)
    if not math.isfinite(finding.value):
        raise ValueError(f"{limit.name} came out as {finding.value}")
    verdict = limit.bounds.verdict(finding.value)
    lowest, highest = limit.bounds.wanted(verdict)
    partial = bool(finding.without) and verdict is Verdict.OK
    effect = "; ".join(filter(None, (finding.effect, *finding.without)))
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
        # What is left out can take all of a margin.
        margin=None if partial else limit.bounds.margin(finding.value, verdict),
        pose=finding.pose,
        effect="" if partial else effect,
        missing=finding.missing if partial else (),
        reason="; ".join(finding.without) if partial else "",
        without=finding.without,
        of=finding.of,
        basis=limit.basis_of(verdict),
        replaced=_replaced(limit, verdict),
        loosened=_loosened(limit, verdict, finding.value),
    )


def worse(verdict: Verdict, other: Verdict) -> bool:
    """Whether a verdict is worse than another one."""
    return SEVERITY.index(verdict) > SEVERITY.index(other)


def own_limit(rule: Rule, limit: Limit) -> Limit:
    """The rule's limit that a finding is held to, as a shop standard may have changed it."""
    known = rule.limit(limit.name)
    if not isinstance(known, Limit) or (known is not limit and limit not in (known, known.built_in)):
        raise LookupError(f"the limit {limit.name!r} is of another rule; {rule.name} has one of that name of its own")
    return known


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


def required(rule: Rule, label: str, finding: Required) -> Reading:
    """The reading of something that must be so. Where it is not so and that makes it not checked, the reason is what
    was found."""
    refuse_place(finding.place)
    requirement = rule.limit(finding.requirement.name)
    if not isinstance(requirement, Requirement) or finding.requirement not in (requirement, requirement.built_in):
        raise LookupError(
            f"the requirement {finding.requirement.name!r} is of another rule; {rule.name} has one of that name of its"
            " own"
        )
    if requirement.if_not is Verdict.WAIVED:
        raise TypeError(f"{requirement.name!r} is waived if not met; only a spec waives")
    verdict, built_in = Verdict.OK if finding.met else requirement.if_not, requirement.built_in
    loosened = None
    if verdict is Verdict.NOT_CHECKED:
        return not_checked(rule, label, (), finding.found)._replace(place=finding.place, unchecked=(requirement.name,))
    if built_in is not None and not finding.met and worse(built_in.if_not, verdict):
        loosened = Loosened(built_in.if_not, built_in.basis)
    return Reading(
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
