"""What becomes of what rules find: readings. What the spec lacks, what cannot be reached, and rules that fail."""

from __future__ import annotations

import math
from collections.abc import AsyncGenerator, Coroutine, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from numbers import Real

from buildcheck.build import Missing
from buildcheck.checks.check import Check
from buildcheck.engine import failed, held_to, not_checked, of_check, own_limit, required, without_quantity, worse
from buildcheck.job import Cure, Job, Unreached
from buildcheck.job.cure import Edit
from buildcheck.job.steps import at_least, nearest, step_in_words
from buildcheck.limit import Verdict
from buildcheck.mishap import Mishap, Unusable, guarded, plain_text
from buildcheck.quantity import Dimension
from buildcheck.rule import Finding, Function, Held, NotApplicable, Reading, Required, Rule

# A rule that finds more than this for one subject has lost its way.
MOST_FINDINGS = 500

# Rule, subject and quantity of a reading, and whether it is the first of those, the second and so on.
Name = tuple[str, str, str, str, int]


def readings_of(rules: Iterable[Rule], job: Job, *, cured: bool = True, heeding: Iterable[Rule] = ()) -> list[Reading]:
    """All readings of a job by these rules; not `cured`, without what to change.

    The amount of each change is a multiple of its step that was tried on the changed build and found to be enough. No
    change is told with a number that, made alone, would turn a reading of the rules to be heeded from ok to an
    error: it is then one step of several, in words.
    """
    heeded = [rule for rule in heeding if rule.heeded]
    return [
        reading
        for rule in rules
        for found in (dict(told_apart(_of_rule(rule, job, cured=cured))),)
        for name in found
        for reading in _settled(rule, name, found, job, heeded)
    ]


def _settled(
    rule: Rule, name: Name, found: Mapping[Name, Reading], job: Job, heeded: Sequence[Rule]
) -> Iterator[Reading]:
    """A reading with the amount of its change rounded and tried; with it the failure of a change that cannot be made.

    Readings of the rule that ask for one and the same change get one amount, where there is one that cures them all.
    """
    reading = found[name]
    change = reading.cure
    if change is None or (not change.edits and (change.amount is None or change.dimension is None)):
        yield reading
        return
    try:
        with guarded():
            job.changed_by(change)
            alike = {other: each for other, each in found.items() if each.cure == change}
            rounded = _rounded(rule, alike, change, job) or _rounded(rule, {name: reading}, change, job)
    except Mishap as mishap:
        yield reading
        yield failed(rule, reading.subject, f"the change that cures {reading.quantity} cannot be made: {mishap}")
        return
    if rounded is None:
        assert change.dimension is not None
        rounded = change.without_amount(step_in_words(change.dimension, job.build.units))
    if rounded.amount is not None and reading.without:
        rounded = rounded.leaving_out(*reading.without)
    yield reading._replace(cure=_heeding(rounded, job, heeded))


def _rounded(rule: Rule, readings: Mapping[Name, Reading], change: Cure, job: Job) -> Cure | None:
    """The change by a multiple of the step of its dimension: of the two on either side of the amount that the rule has
    worked out, the one that leaves more margin, where the readings are then ok; otherwise one of the next two. None
    where none of these is enough.

    A change that may be made by itself harms no more of the rule than the exact amount does. A change that the build
    has no input for states a least amount, and is rounded up.
    """
    if change.amount is None or change.dimension is None:
        return change
    system = job.build.units
    if not change.edits:
        return change.of_amount(at_least(change.amount, change.dimension, system))
    adds = all(edit.adds for edit in change.edits)
    for ring in nearest(change.amount, change.dimension, system, adds=adds):
        enough = {
            other: spared
            for other in map(change.of_amount, ring)
            if (spared := _spared(rule, readings, other, job)) is not None and _harms_no_more(rule, change, other, job)
        }
        if enough:
            # The margin of a partial value is not known: of two amounts the larger.
            partial = any(reading.without for reading in readings.values())
            return max(enough, key=lambda other: (enough[other], other.size if partial else 0.0))
    return None


def _spared(rule: Rule, readings: Mapping[Name, Reading], change: Cure, job: Job) -> float | None:
    """The least margin that readings have with a change made, as a share of what each was out by before; None where
    one of them still breaks its limit, or leaves out more than before."""
    after = _kept(rule, job.changed_by(change))
    if any(name not in after or not _spares(was, after[name]) for name, was in readings.items()):
        return None
    return min((after[name].margin or 0.0) / abs(was.margin or 1.0) for name, was in readings.items())


def _spares(before: Reading, after: Reading) -> bool:
    """Whether a change puts a reading right: it is then ok; or not checked, only for what it was without before."""
    return after.verdict is Verdict.OK or _no_more_left_out(before, after)


def _no_more_left_out(before: Reading, after: Reading) -> bool:
    """Whether a value that leaves something out breaks no limit, and left out as much before."""
    return after.verdict is Verdict.NOT_CHECKED and bool(after.without) and set(after.without) <= set(before.without)


def _harms_no_more(rule: Rule, exact: Cure, change: Cure, job: Job) -> bool:
    """Whether a change that may be made by itself makes nothing of the rule worse that the exact amount does not."""
    if change.change is None:
        return True
    harm = set(harmed(rule, job, change))
    return not harm or harm <= set(harmed(rule, job, exact))


def _heeding(change: Cure, job: Job, heeded: Sequence[Rule]) -> Cure:
    """The change, in words where alone it would make an error of a reading of the rules to be heeded."""
    if not heeded or change.change is None:
        return change
    changed = job.changed_by(change)
    broken = [
        f"{name} of the {subject}"
        for other in heeded
        for (_, subject, _, name, _), (was, is_now) in _before_and_after(other, job, changed).items()
        if was.verdict is Verdict.OK and is_now.verdict is Verdict.ERROR
    ]
    return change.beside(*broken)


def _before_and_after(rule: Rule, job: Job, changed: Job) -> dict[Name, tuple[Reading, Reading]]:
    """The readings of a rule that a build and a changed one have both."""
    before, after = _kept(rule, job), _kept(rule, changed)
    return {name: (before[name], after[name]) for name in before if name in after}


def _kept(rule: Rule, job: Job) -> dict[Name, Reading]:
    """The readings of a rule, without what to change, kept for the next who asks what a change does."""
    return job.keep((rule.name, rule.limits), lambda: dict(told_apart(_of_rule(rule, job, cured=False))))


# A reading that is not ok already is worse where its margin falls by more than this, SI: a millimetre, a tenth of a
# percent. What moves less than that on the way is not what anybody looks at.
SLIGHT = 0.001


def harmed(rule: Rule, job: Job, change: Cure) -> tuple[str, ...]:
    """The limits and requirements of a rule of which some reading is worse with a change made to the build than it was:
    for a cure, so that what puts one reading right puts no other wrong. They are judged as the rule has them, whatever
    a shop's standard makes of them; `change` must have a number."""
    return harmed_by(rule, job, job.changed_by(change))


def harmed_by(rule: Rule, job: Job, changed: Job) -> tuple[str, ...]:
    """The limits of a rule of which some reading is worse on a changed build than before, or has vanished."""
    before, after = _kept(rule, job), _kept(rule, changed)
    worse = {key[3] for key in before.keys() - after.keys()}
    worse |= {
        key[3]
        for key, reading in after.items()
        if (_is_worse(before[key], reading) if key in before else reading.verdict is not Verdict.OK)
    }
    return tuple(limit.name for limit in rule.limits if limit.name in worse)


def _is_worse(before: Reading, after: Reading) -> bool:
    if _no_more_left_out(before, after):
        return False  # it was an error or a warning before, or not checked for the same
    if after.verdict is not before.verdict:
        return worse(after.verdict, before.verdict)
    if after.verdict is Verdict.OK or before.margin is None or after.margin is None:
        return False
    return after.margin < before.margin - SLIGHT


def told_apart(readings: Iterable[Reading]) -> Iterator[tuple[Name, Reading]]:
    """Each reading with a name by which to know it again among those of another build, whose places and poses may
    differ: its rule, subject and quantity, which of several of the subject it is, and of several of those whether it is
    the first, the second and so on."""
    count: dict[tuple[str, str, str, str], int] = {}
    for reading in readings:
        key = (reading.rule, reading.subject, reading.of, reading.quantity)
        count[key] = count.get(key, 0) + 1
        yield (*key, count[key]), reading


def _of_rule(rule: Rule, job: Job, *, cured: bool) -> list[Reading]:
    """All readings of a rule; one that says nothing at all is told, so that nobody takes its silence for a pass."""
    found = _said_once(_apply(rule, job, cured=cured))
    if not found and all(isinstance(check, Check) and check.compares for check in rule.checks):
        reason = "the spec states no two things that this rule compares"
        return [without_quantity(rule, "whole build", Verdict.OK)._replace(reason=reason)]
    return found or [not_checked(rule, "whole build", (), "the rule says nothing of this spec")]


def _said_once(readings: Iterable[Reading]) -> list[Reading]:
    """The readings of a rule, with what several of its checks say for one reason said once: that something cannot be
    checked, with the names of these checks, or that they do not apply."""
    said: dict[tuple[str, tuple[str, ...], str, Verdict], int] = {}
    kept: list[Reading] = []
    for reading in readings:
        key = (reading.subject, reading.missing, reading.reason, reading.verdict)
        compared = bool(reading.quantity or reading.failure)
        if not compared and key in said:
            first = kept[said[key]]
            kept[said[key]] = first._replace(unchecked=(*first.unchecked, *reading.unchecked))
            continue
        if not compared:
            said[key] = len(kept)
        kept.append(reading)
    return kept


def _apply(rule: Rule, job: Job, *, cured: bool) -> Iterator[Reading]:
    for check in rule.checks:
        if isinstance(check, Check):
            yield from of_check(rule, check, job, harmed_by if cured else None)
            continue
        try:
            subjects = list(job.subjects(check.subject))
        except Missing as missing:
            yield not_checked(rule, check.subject.replace("-", " "), (missing.path,), "")
            continue
        except KeyError:
            yield failed(rule, check.subject, f"it asks for subjects of the unknown kind {check.subject!r}")
            continue
        if not subjects:
            yield not_checked(rule, check.subject.replace("-", " "), (), f"no {check.subject} to check")
        for subject in subjects:
            yield from _apply_to(rule, check, job, subject, getattr(subject, "label", "") or "whole build", cured=cured)


def _apply_to(rule: Rule, check: Function, job: Job, subject: object, label: str, *, cured: bool) -> list[Reading]:
    readings: list[Reading] = []
    try:
        with guarded(check.function):
            try:
                findings = findings_of(check.function(job, subject))
                try:
                    for number, finding in enumerate(findings, start=1):
                        if number > MOST_FINDINGS:
                            raise RuntimeError(f"more than {MOST_FINDINGS} findings for one subject")
                        readings.extend(_readings(rule, label, finding, cured=cured))
                except BaseException:
                    _close(findings)
                    raise
            except Missing as missing:
                readings.append(not_checked(rule, label, (plain_text(missing.path),), ""))
            except Unreached as unreached:
                readings.append(not_checked(rule, label, (), plain_text(str(unreached))))
    except Mishap as mishap:  # a rule that fails, however it does, must not take the others with it
        readings.append(failed(rule, label, str(mishap)))
    return readings


def findings_of(returned: object) -> Iterator[object]:
    """Iterate over what a rule's function returned. Raises Unusable for what cannot be findings, as where it never
    yields."""
    if isinstance(returned, Coroutine | AsyncGenerator):
        if isinstance(returned, Coroutine):
            returned.close()  # else Python warns that nobody waited for it
        raise Unusable("it is an async function; write `def` in place of `async def`")
    if isinstance(returned, str | bytes | Finding) or not isinstance(returned, Iterable):
        shown = "a finding" if isinstance(returned, Finding) else repr(returned)
        raise Unusable(f"it returned {shown}; did you forget to write `yield`?")
    return iter(returned)


def _close(findings: object) -> None:
    """Close a rule's generator here, inside the guard, and not when Python drops it; what it raises hides nothing."""
    close = getattr(findings, "close", None)
    if close is not None:
        with suppress(Mishap), guarded():
            close()


def _readings(rule: Rule, label: str, finding: object, *, cured: bool) -> list[Reading]:
    """The reading that a finding makes, with its cure; a cure that fails takes nothing from the reading."""
    if isinstance(finding, Required):
        reading = required(rule, label, Required.checked(finding))
        asked = cured and finding.cure and reading.verdict is not Verdict.OK
        return [reading._replace(cure=Cure(plain_text(finding.cure))) if asked else reading]
    if isinstance(finding, NotApplicable):
        return [without_quantity(rule, label, Verdict.OK)._replace(reason=NotApplicable.checked(finding).why)]
    if not isinstance(finding, Held):
        raise TypeError(f"a rule yields hold(...), require(...) or does_not_apply(...), not {finding!r}")
    held = Held.checked(finding)
    reading = held_to(rule, label, held)
    if not cured or not held.cure or reading.verdict in (Verdict.OK, Verdict.NOT_CHECKED):
        return [reading]
    if held.unsolved and not isinstance(held.cure, str):
        return [reading]  # an amount computed from the poses that are known may not be enough
    try:
        with guarded(held.cure):
            try:
                return [reading._replace(cure=_cure(held, own_limit(rule, held.limit).bounds.good(held.value)))]
            except (Missing, Unreached):
                return [reading]
    except Mishap as mishap:
        return [reading, failed(rule, label, f"in the cure of {reading.quantity}, {mishap}")]


def _cure(held: Held, wanted: float) -> Cure | None:
    """The cure of a finding, in plain data. Raises TypeError or ValueError for what is none."""
    if isinstance(held.cure, str):
        return Cure(held.cure)
    made: object = held.cure(wanted)
    if made is None:
        return None
    if not isinstance(made, Cure):
        raise TypeError(f"it gives {made!r}; give a Cure, or None where there is none")
    words, amount, dimension, path, change, also, makes = made
    if not all(isinstance(text, str) for text in (words, path, *also, *(edit.path for edit in makes))):
        raise TypeError(f"it gives {made!r}; its words and its paths need to be texts")
    if not isinstance(dimension, Dimension | None) or (amount is not None and dimension is None):
        raise TypeError(f"it gives {made!r}; an amount needs its dimension")
    numbers = [_finite(number, made) for number in (amount, change)]
    plain = tuple(plain_text(text) for text in also)
    edits = tuple(Edit(plain_text(edit.path), float(edit.share), bool(edit.adds)) for edit in makes)
    return Cure(plain_text(words), numbers[0], dimension, plain_text(path), numbers[1], plain, edits)


def _finite(number: object, made: Cure) -> float | None:
    if number is None:
        return None
    if isinstance(number, bool) or not isinstance(number, Real) or not math.isfinite(number):
        raise ValueError(f"it gives {made!r}; its amount and its change need to be finite numbers")
    return float(number)
