"""The readings of rules on a job, made from the outcomes of their checks."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from buildcheck.build import Side
from buildcheck.checks.check import Answer, Check, Failed, Found, NoNeed, NotChecked, Silent
from buildcheck.checks.engine import Looked, change_for, looked_at, worse
from buildcheck.checks.limit import Limit, Requirement, Verdict
from buildcheck.checks.missing_data import MissingData
from buildcheck.checks.rule import Loosened, Reading, Replaced, Rule
from buildcheck.checks.subjects import key_of
from buildcheck.job import Job, Spot
from buildcheck.spec.guard import Mishap, guarded, plain_text
from buildcheck.spec.place import with_side

# Rule, subject and quantity of a reading, and whether it is the first of those, the second and so on.
Name = tuple[str, str, str, str, int]


def readings_of(
    rules: Iterable[Rule],
    job: Job,
    *,
    changes: bool = True,
    all_missing: bool = False,
    heeding: Iterable[Rule] = (),
) -> list[Reading]:
    """All readings of a job by these rules. Without `changes` they do not say what to change, and a check that could
    not be made names only the first missing value, unless `all_missing` are asked for.

    The amount of each change is the smallest multiple of its step that was tried and found to be enough. A change that
    alone would turn a reading of the rules in `heeding` from ok to an error says so.
    """
    advice = Advice(tuple(heeding) if changes else None, MissingData(job)) if changes or all_missing else None
    return [reading for rule in rules for reading in _of_rule(rule, job, advice)]


class Advice(NamedTuple):
    """The data behind the advice in readings: the rules that no change may break, None for no changes at all, and the
    missing data of checks."""

    heeding: tuple[Rule, ...] | None
    missing_data: MissingData


def known_by_name(readings: Iterable[Reading]) -> Iterator[tuple[Name, Reading]]:
    """Each reading with a name that finds it again among the readings of another build, whose places and poses may
    differ: its rule, subject, `of` and quantity, and its number among readings with the same four."""
    count: dict[tuple[str, str, str, str], int] = {}
    for reading in readings:
        key = (reading.rule, reading.subject, reading.of, reading.quantity)
        count[key] = count.get(key, 0) + 1
        yield (*key, count[key]), reading


def _of_rule(rule: Rule, job: Job, advice: Advice | None) -> list[Reading]:
    """All readings of a rule. A rule without any is `not checked`, so that its silence is not taken for a pass."""
    found = _said_once(reading for check in rule.checks for reading in _of_check(rule, check, job, advice))
    if not found and all(check.compares for check in rule.checks):
        return [_does_not_apply(rule, "whole build", "the spec lacks the values to compare")]
    return found or [not_checked(rule, "whole build", (), "the rule makes no reading of this spec")]


def _said_once(readings: Iterable[Reading]) -> list[Reading]:
    """The readings of a rule, with those merged that are not checked, or do not apply, for the same reason; a merged
    reading names all its checks."""
    said: dict[tuple[str, tuple[str, ...], str, Verdict], int] = {}
    kept: list[Reading] = []
    for reading in readings:
        key = (reading.subject, reading.missing, reading.reason, reading.verdict)
        compared = bool(reading.quantity or reading.failure)
        if not compared and key in said:
            first = kept[said[key]]
            kept[said[key]] = first._replace(unchecked=tuple(dict.fromkeys((*first.unchecked, *reading.unchecked))))
            continue
        if not compared:
            said[key] = len(kept)
        kept.append(reading)
    return kept


def _of_check(rule: Rule, check: Check, job: Job, advice: Advice | None) -> Iterator[Reading]:
    """The readings of one check: one for each subject."""
    looked = looked_at(rule, check, job)
    if check.compares and isinstance(looked, NoNeed | NotChecked):
        return  # a value that is not stated is not compared
    match looked:
        case NoNeed(why):
            yield _does_not_apply(rule, check.noun, why)
        case NotChecked(missing, reason):
            yield not_checked(rule, check.noun, missing, reason, check.name)
        case Failed(why):
            yield failed(rule, check.noun, why)
        case _:
            for each in looked:
                yield from _of_subject(rule, check, job, each, advice)


def _of_subject(rule: Rule, check: Check, job: Job, looked: Looked, advice: Advice | None) -> Iterator[Reading]:
    label, subject, outcome = looked
    match outcome:
        case Silent():
            return
        case NoNeed(why):
            yield _does_not_apply(rule, label, why)
        case NotChecked(missing, reason):
            every = advice.missing_data.of(rule, check, looked, missing) if advice and missing else missing
            yield not_checked(rule, label, every, reason, check.name)
        case Failed(why):
            yield failed(rule, label, why)
        case Found():
            which = plain_text(str(getattr(subject, "which", "")))
            reading = _of_found(rule, check, label, which, outcome)._replace(path=_own_path(subject))
            if advice is None or advice.heeding is None or reading.verdict in (Verdict.OK, Verdict.NOT_CHECKED):
                yield reading
                return
            try:
                with guarded(check.compute):
                    change = change_for(rule, check, job, subject, outcome, advice.heeding)
            except Mishap as mishap:  # the reading is still good where its change fails
                yield reading
                yield failed(rule, label, f"in the change of {check.name}, {mishap}")
            else:
                yield reading._replace(cure=change)


def _own_path(subject: Any) -> str:
    """The spec path of a subject, on its own side also where the spec writes both sides once."""
    key = key_of(subject)
    path = plain_text(key.path)
    return with_side(path, key.side) if key.side in (Side.LEFT, Side.RIGHT) else path


def _of_found(rule: Rule, check: Check, label: str, which: str, found: Found) -> Reading:
    limit, value = rule.limit(check.name), found.value
    if isinstance(value, Answer):
        assert isinstance(limit, Requirement)
        return _of_answer(rule, check, limit, label, value, found)._replace(of=which)
    assert isinstance(limit, Limit)
    return _of_number(rule, limit, label, value, found)._replace(of=which)


def _of_number(rule: Rule, limit: Limit, label: str, spot: Spot, found: Found) -> Reading:
    bounds = limit.bounds_for(spot)
    verdict = bounds.verdict(spot.value)
    lowest, highest = bounds.wanted(verdict)
    partial = bool(spot.without) and verdict is Verdict.OK
    return Reading(
        rule=rule.name,
        area=rule.area,
        subject=label,
        quantity=limit.name,
        meaning=limit.meaning,
        verdict=Verdict.NOT_CHECKED if partial else verdict,
        place=found.place,
        dimension=limit.dimension,
        value=spot.value,
        lowest=lowest if math.isfinite(lowest) else None,
        highest=highest if math.isfinite(highest) else None,
        # The part that is left out can use up any margin.
        margin=None if partial else bounds.margin(spot.value, verdict),
        error_margin=None if partial else bounds.error_margin(spot.value),
        pose=spot.pose,
        case=spot.case,
        effect="" if partial else "; ".join(filter(None, (found.effect, *spot.without))),
        missing=spot.missing if partial else (),
        reason="; ".join(spot.without) if partial else "",
        without=spot.without,
        amounts=spot.amounts,
        tolerance=spot.tolerance,
        basis=limit.basis_of(verdict),
        replaced=_replaced(limit, verdict),
        loosened=_loosened(limit, verdict, spot),
    )


def _of_answer(rule: Rule, check: Check, wanted: Requirement, label: str, answer: Answer, found: Found) -> Reading:
    verdict, built_in = Verdict.OK if answer.met else wanted.if_not, wanted.built_in
    if verdict is Verdict.NOT_CHECKED:
        return not_checked(rule, label, (), answer.found, check.name)._replace(place=found.place)
    loosened = None
    if built_in is not None and not answer.met and worse(built_in.if_not, verdict):
        loosened = Loosened(built_in.if_not, built_in.basis)
    return Reading(
        rule=rule.name,
        area=rule.area,
        subject=label,
        quantity=wanted.name,
        meaning=wanted.meaning,
        verdict=verdict,
        place=found.place,
        found=answer.found,
        required=check.wanted,
        effect=found.effect,
        basis=wanted.basis,
        replaced=None if built_in is None else Replaced(built_in.basis, if_not=built_in.if_not),
        loosened=loosened,
    )


def _loosened(limit: Limit, verdict: Verdict, spot: Spot) -> Loosened | None:
    """The built-in verdict where a shop's standard gives a milder one."""
    built_in = limit.built_in
    if built_in is None:
        return None
    instead_of = built_in.bounds_for(spot).verdict(spot.value)
    if not worse(instead_of, verdict):
        return None
    # A value outside this range gets that verdict; for a warning it is the range that is ok.
    own, before = (
        one.bounds_for(spot).wanted(Verdict.ERROR if instead_of is Verdict.ERROR else Verdict.OK)
        for one in (limit, built_in)
    )
    ends = (end if math.isfinite(end) else None for end in (*own, *before))
    return Loosened(instead_of, built_in.basis_of(instead_of), *ends)


def _replaced(limit: Limit, verdict: Verdict) -> Replaced | None:
    """The built-in range and basis, where a shop's standard is the basis of a reading of this verdict."""
    built_in = limit.built_in
    if built_in is None or limit.basis_of(verdict) == built_in.basis_of(verdict):
        return None
    lowest, highest = built_in.bounds.wanted(verdict)
    return Replaced(
        built_in.basis_of(verdict),
        lowest if math.isfinite(lowest) else None,
        highest if math.isfinite(highest) else None,
    )


def not_checked(rule: Rule, label: str, missing: tuple[str, ...], reason: str, *checks: str) -> Reading:
    """The reading of a check that could not be made, with the missing data or the reason in words."""
    return _without_quantity(rule, label, Verdict.NOT_CHECKED)._replace(
        place=missing[0] if missing else "",
        missing=missing,
        reason=reason or (f"the spec lacks {missing[0]}" if missing else ""),
        unchecked=checks,
    )


def failed(rule: Rule, label: str, failure: str) -> Reading:
    """The reading of a rule whose own code failed."""
    return _without_quantity(rule, label, Verdict.ERROR)._replace(failure=f"the rule failed: {failure}")


def _does_not_apply(rule: Rule, label: str, why: str) -> Reading:
    return _without_quantity(rule, label, Verdict.OK)._replace(reason=why)


def _without_quantity(rule: Rule, label: str, verdict: Verdict) -> Reading:
    """A reading without a comparison."""
    return Reading(rule.name, rule.area, label, quantity="", meaning=rule.title, verdict=verdict, place="")
