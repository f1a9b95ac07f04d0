"""A check, and its outcome on one subject of one job."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Coroutine, Generator
from contextlib import suppress
from dataclasses import dataclass, replace
from numbers import Real
from typing import Any, NamedTuple

from buildcheck.build import Missing, Stage
from buildcheck.build.paths import refuse_path
from buildcheck.checks.changes import Change
from buildcheck.checks.limit import Limit, Requirement, Verdict
from buildcheck.checks.subjects import Absent, NoneThere, Subject, key_of
from buildcheck.job import Job, PoseName, Spot, Unreached
from buildcheck.job.curve import Amounts
from buildcheck.spec.arguments import FUNCTION, NONE, TEXT, TRUE_OR_FALSE, WORDS, instance, refuse_any, series_of
from buildcheck.spec.guard import Mishap, Unusable, guarded, plain_text
from buildcheck.spec.place import blank
from buildcheck.spec.quantity import Dimension


class Answer(NamedTuple):
    """The answer of a yes/no check, made by `met`: whether it is met, the finding in words, and its effect."""

    met: bool
    found: str
    why: str = ""


def met(condition: object, found: str, otherwise: str, why: str = "") -> Answer:
    """The answer of a yes/no check: `found` in words where the condition is true, `otherwise` where it is not."""
    # The True and False of numpy are accepted; a count is not, although 1 equals True.
    if (isinstance(condition, Real) and not isinstance(condition, bool)) or condition not in (True, False):
        raise TypeError(f"met() needs True or False, got {condition!r}")
    # Computed words may be empty where they are not used.
    refuse_any(
        (
            ("met() for what it found", found, WORDS if condition else TEXT),
            ("otherwise=", otherwise, TEXT if condition else WORDS),
            ("why=", why, TEXT),
        )
    )
    return Answer(bool(condition), found if condition else otherwise, why)


class CannotTell(Exception):
    """Raised by a check that has no answer for this build; the message is the reason, in plain words."""


class Found(NamedTuple):
    """A check that was made: the value or the answer, the spec path of the input to change, and the effect on the
    road."""

    value: Spot | Answer
    place: str
    effect: str


class NotChecked(NamedTuple):
    """A check that could not be made: the missing spec paths, or the reason in words. `whether` is true where the spec
    does not say whether the check applies."""

    missing: tuple[str, ...]
    reason: str
    whether: bool = False


class NoNeed(NamedTuple):
    """A check that does not apply, and why."""

    why: str


class Silent(NamedTuple):
    """A check that gives no reading: it follows another that is not ok, or compares a value that is stated once."""


class Failed(NamedTuple):
    """A check whose own code failed, and how."""

    why: str


Outcome = Found | NotChecked | NoNeed | Silent | Failed
Words = str | Callable[[Job, Any], str]


class Of(NamedTuple):
    """The value that a check's value is a share of, as a function of (job, subject), and the dimension of both."""

    value: Callable[[Job, Any], Any]
    dimension: Dimension


@dataclass(frozen=True, eq=False)
class Check:
    """One quantity of one kind of subject with one limit; or a requirement.

    `compute(job, subject)` returns the value or the `Answer`. `place` is the field of the subject to change, or a
    function of (job, subject) that returns a spec path; without it, the subject itself. `when` returns why the check
    does not apply, or None. `follows` names checks of the same rule that must be ok first. `compares` marks a check of
    two statements of the spec, which gives no reading where either is absent. With `of`, the limit is on the share of
    another value.
    """

    name: str
    subject: Subject
    compute: Callable[[Job, Any], Any]
    limit: Limit | Requirement
    place: Words = ""
    effect: Words = ""
    wanted: str = ""
    changes: tuple[Change, ...] = ()
    when: Callable[[Job, Any], str | None] | None = None
    follows: tuple[str, ...] = ()
    compares: bool = False
    from_stage: Stage | None = None
    of: Of | None = None

    def __post_init__(self) -> None:
        refuse_any((f"{name}=", getattr(self, name), kind) for name, kind in _ARGUMENTS.items())

    @property
    def code(self) -> Callable[..., Any]:
        """The rule author's function."""
        return self.compute

    @property
    def noun(self) -> str:
        """The noun for the subject in messages."""
        return self.subject.noun

    def on(self, job: Job, subject: Any) -> Outcome:
        """The outcome on a subject, computed once for each job. Raises nothing but KeyboardInterrupt."""

        def outcome() -> Outcome:
            # The inputs of the subject count as read by the check. A failure here is reported by `subjects_of`.
            with suppress(Exception), guarded(self.compute):
                self.subjects(job)
            return self._on(job, subject)

        return job.keep((self, key_of(subject)), outcome)

    def takes_long(self, job: Job, subject: Any) -> bool:
        """Whether its outcome on a subject, already computed, needed the loads, the gaps or the travel limits."""
        return job.took_long((self, key_of(subject)))

    def subjects(self, job: Job) -> list[Any] | NoneThere:
        """The subjects in a job, found once for each job; or why the build has none of the kind. Raises Missing and
        Unreached as `Subject.find` does."""

        def found() -> list[Any] | NoneThere:
            try:
                return self.subject.find(job)
            except NoneThere as none:
                return none

        return job.keep(self.subject, found)

    def inside(self, outcome: Outcome, limit: Limit | Requirement, without: Collection[str] = ()) -> float:
        """How far an outcome is inside the range without a warning, negative outside, minus infinity where it is not
        known: what a search for a change makes positive. One that no longer applies is inside. Of a value that leaves
        something out it is not known, unless that is all among what may be left `without`."""
        if isinstance(outcome, NoNeed):
            return 0.0
        if not isinstance(outcome, Found):
            return -math.inf
        if isinstance(outcome.value, Answer):
            return 0.0 if outcome.value.met else -math.inf
        assert isinstance(limit, Limit)
        bounds, value = limit.bounds_for(outcome.value), outcome.value.value
        if bounds.verdict(value) is Verdict.OK:
            if not set(outcome.value.without) <= set(without):
                return -math.inf
            return max(bounds.margin(value, Verdict.OK), 0.0)
        return min(bounds.margin(value, Verdict.WARNING), -math.ulp(1.0))

    def _on(self, job: Job, subject: Any) -> Outcome:
        try:
            with guarded(self.compute):
                return self._tried(job, subject)
        except Mishap as mishap:  # whatever a check does must not take the others with it
            return Failed(str(mishap))

    def _tried(self, job: Job, subject: Any) -> Outcome:
        try:
            why = self._why_not(job, subject)
        except (Unreached, CannotTell) as reason:
            return NotChecked((), plain_text(str(reason)))
        except Missing as missing:
            return Silent() if self.compares else NotChecked((plain_text(missing.path),), "", whether=True)
        if why is None:
            return self._looked(job, subject)
        if not isinstance(why, str) or blank(why):
            raise Unusable(f"its `when` returned {why!r}; return None, or why the check does not apply")
        return NoNeed(plain_text(why))

    def _looked(self, job: Job, subject: Any) -> Outcome:
        try:
            if isinstance(subject, Absent):
                if self.compares:
                    return Silent()
                return NotChecked((), subject.why) if subject.why else NotChecked((subject.path,), "")
            value = self._value(job, subject)
            effect = value.why or words_of(self.effect, job, subject)
            return Found(value, _place(self, job, subject), _text(effect, "its effect"))
        except Missing as missing:
            return Silent() if self.compares else NotChecked((plain_text(missing.path),), "")
        except (Unreached, CannotTell) as reason:
            return NotChecked((), plain_text(str(reason)))

    def _value(self, job: Job, subject: Any) -> Spot | Answer:
        if self.of is None:
            return _plain(self.name, self.compute(job, subject), self.limit)
        measured = _spot(self.name, self.compute(job, subject), self.of.dimension)
        against = _spot(f"what {self.name} is a share of", self.of.value(job, subject), self.of.dimension)
        if against.value <= 0.0:
            raise CannotTell(f"what {self.name} is a share of came out as {against.value:g}")
        share = replace(measured / against, amounts=Amounts(measured.value, against.value, self.of.dimension))
        return _plain(self.name, share, self.limit)

    def _why_not(self, job: Job, subject: Any) -> str | None:
        try:
            return None if self.when is None else self.when(job, subject)
        except AttributeError:
            if isinstance(subject, Absent):
                return None  # `when` reads a field of a part that is absent
            raise


_ARGUMENTS = {
    "place": TEXT | FUNCTION,
    "effect": TEXT | FUNCTION,
    "wanted": TEXT,
    "when": FUNCTION | NONE,
    "follows": series_of(WORDS, "a tuple of names of checks"),
    "compares": TRUE_OR_FALSE,
    "from_stage": instance("a Stage of buildcheck.api", Stage) | NONE,
    "changes": series_of(instance("a change", Change), "changes of buildcheck.api"),
}


def words_of(words: Words, job: Job, subject: Any) -> str:
    """The words that a check states, or computes for a job and a subject."""
    return words if isinstance(words, str) else words(job, subject)


def _plain(name: str, returned: object, limit: Limit | Requirement) -> Spot | Answer:
    """The value that a check returned, as plain data. Raises an error for anything but a number or an answer, for one
    of these in place of the other, and for a number of another dimension than the limit's."""
    if isinstance(returned, Coroutine):
        returned.close()  # otherwise Python warns that it was never awaited
        raise Unusable(f"{name} is an async function; write `def` in place of `async def`")
    if isinstance(returned, Generator):
        raise Unusable(f"{name} yields; write `return` in place of `yield`, and a check for each number")
    if isinstance(returned, Answer):
        if isinstance(limit, Limit):
            raise Unusable(f"{name} answers with met(...), but has a limit; register it with `must`")
        return Answer(returned.met, _text(returned.found, "what it found"), _text(returned.why, "what follows from it"))
    if returned is not None and isinstance(limit, Requirement):
        raise Unusable(f"{name} returns {returned!r}; a check that is registered with `must` returns met(...)")
    return _spot(name, returned, None if isinstance(limit, Requirement) else limit.dimension)


def _spot(name: str, returned: object, wanted: Dimension | None) -> Spot:
    """A number that a rule's function returned, as plain data. Raises an error for anything else."""
    if returned is None:
        raise Unusable(f"{name} returns nothing; did you forget to write `return`?")
    if isinstance(returned, bool) or not isinstance(returned, Spot | Real):
        raise Unusable(f"{name} returns {returned!r}; return a number, a spot of a curve, or met(...)")
    spot = returned if isinstance(returned, Spot) else Spot(float(returned))
    if isinstance(spot.value, bool) or not isinstance(spot.value, Real):
        raise Unusable(f"{name} returns a spot of {spot.value!r}, which is not a number")
    if wanted is not None and spot.dimension not in (None, wanted):
        raise Unusable(f"{name} computes {_a(str(spot.dimension))}, and its limit is {_a(str(wanted))}")
    if not math.isfinite(spot.value):
        raise ValueError(f"{name} came out as {spot.value}")
    pose = spot.pose
    if pose is not None:
        if not isinstance(pose, PoseName):
            raise TypeError(f"the pose of {name} is {pose!r}; take it from a spot of a curve")
        pose = PoseName(float(pose.heave), float(pose.roll), _text(pose.name, "the name of a pose"), float(pose.lock))
    return Spot(
        float(spot.value),
        pose,
        tuple(_text(each, "what is left out") for each in spot.without),
        tuple(_text(path, "a spec path that is missing") for path in spot.missing),
        _text(spot.why, "what follows from it"),
        spot.dimension,
        spot.amounts,
        float(spot.tolerance),
        _text(spot.case, "the load that decides"),
    )


def _a(noun: str) -> str:
    return f"{'an' if noun[0] in 'aeiou' else 'a'} {noun}"


def _place(check: Check, job: Job, subject: Any) -> str:
    """The spec path of the input to change. Raises TypeError or ValueError for a path that no spec can have."""
    place: object = check.place
    if callable(place):
        place = place(job, subject)
    elif place and hasattr(subject, "path_of"):
        place = subject.path_of(*str(place).split("."))
    # Made plain before the test for empty: a plugin's own text class could run any code in that test.
    plain = _text(place, "its place") or _text(getattr(subject, "path", ""), "the path of a subject")
    refuse_path(plain)
    return plain


def _text(words: object, what: str) -> str:
    if not isinstance(words, str):
        raise TypeError(f"{what} needs a text, got {words!r}")
    return plain_text(words)
