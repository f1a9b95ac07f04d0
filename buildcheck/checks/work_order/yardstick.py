"""The readings of a changed build, judged against those of the build as it is written.

Fewer errors alone prove nothing: a reading may vanish, or can no longer be made. So every build is compared with one
and the same base, and a reading that is gone or newly not checked counts for more than an error.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field
from functools import partial
from typing import Any, NamedTuple

from buildcheck.build import Missing
from buildcheck.build.reads import Cell
from buildcheck.checks.changes import Words
from buildcheck.checks.check import Answer, Check, Failed, Found, NoNeed, NotChecked, Outcome, Silent
from buildcheck.checks.engine import look_key, looked_at, outcome_on
from buildcheck.checks.limit import Limit, Verdict
from buildcheck.checks.rule import Rule
from buildcheck.checks.subjects import Key, NoneThere, key_of
from buildcheck.checks.work_order.result import Named
from buildcheck.job import Job, Unreached
from buildcheck.spec.guard import plain_text

# What a reading adds to the score of a build: an error, how far it is outside its limit, a warning, and a reading that
# is gone or can no longer be made. They weigh candidates against each other and decide no verdict.
AN_ERROR, HOW_FAR, A_WARNING, A_LOSS = 1.0, 0.3, 0.3, 2.0

# A reading that broke its limit, and is then only in part within it, is hardly better than it was.
OPENED = {Verdict.ERROR: 0.9, Verdict.WARNING: 0.25}

# How far a requirement without a number is outside, in scales of a limit.
NOT_MET = 3.0

CHOSEN = frozenset({"Gap", "TravelEnd"})
"""Subjects that the job chooses by where the parts are: of a part that no longer comes near there is no gap."""

NOWHERE = Key("", "", "", "")
"""The key of a check as a whole, where it has no subjects."""


class Judged(NamedTuple):
    """One reading: its verdict, how far it is outside its limit in scales of the limit, and what it leaves out.

    `lost` says that it is not checked for another reason than missing data, such as a pose without a solution.
    """

    verdict: Verdict
    outside: float = 0.0
    without: frozenset[str] = frozenset()
    lost: bool = False
    applies: bool = True

    @property
    def is_bad(self) -> bool:
        """Whether it adds to the score of a build."""
        return self.verdict in (Verdict.ERROR, Verdict.WARNING) or self.lost


class Target(NamedTuple):
    """A reading that is not as it should be: the number of its check, and the key of its subject."""

    check: int
    key: Key


class Held(NamedTuple):
    """A check with the rule that it belongs to."""

    rule: Rule
    check: Check


Edits = tuple[tuple[str, Any], ...]
"""Values to write at spec paths, SI."""


@dataclass(frozen=True)
class Score:
    """How far a build is from one without errors. `losses` are readings that the base has and this build lacks."""

    total: float
    errors: frozenset[Target]
    warnings: frozenset[Target]
    losses: int


@dataclass
class Tally:
    """A score as it grows, check by check: the total never falls, and what was found stays."""

    total: float = 0.0
    errors: set[Target] = field(default_factory=set)
    warnings: set[Target] = field(default_factory=set)
    losses: int = 0

    @property
    def score(self) -> Score:
        """The findings up to now."""
        return Score(self.total, frozenset(self.errors), frozenset(self.warnings), self.losses)


class Yardstick:
    """Judges builds by the checks of some rules, always against one base."""

    def __init__(
        self,
        rules: Iterable[Rule],
        base: Job,
        *,
        waived: Collection[tuple[str, str, str, str]] = (),
        after_each: Callable[[int], None] = lambda looks: None,
    ) -> None:
        self.held = [Held(rule, check) for rule in rules for check in rule.checks]
        self.base = base
        self.looks = 0
        """Changed builds looked at so far: what the budget of a search is counted in."""
        self._after_each = after_each
        self._waived: frozenset[Target] = frozenset()
        self._depends: dict[int, list[frozenset[Cell]]] = {}
        self._made_from: dict[int, tuple[Job, Job]] = {}
        self._known: dict[tuple[int, int], dict[Key, Judged]] = {}
        self._margins: dict[tuple[int, Target], tuple[Job, float]] = {}
        numbers = range(len(self.held))
        for number in numbers:
            self.readings(number, base)
        self.slow = frozenset(number for number in numbers if base.took_long(look_key(*self.held[number])))
        """The checks that need the loads, the gaps or the limits of the travel."""
        self.quick = frozenset(numbers) - self.slow
        self._in_order = sorted(
            numbers, key=lambda number: (number in self.slow, self._is_of_the_travel(number), number)
        )
        if waived:
            self._waived = frozenset(
                Target(number, key)
                for number in numbers
                for key in self.readings(number, base)
                if self.named(base, Target(number, key))[:4] in waived
            )
            self._known.clear()
        self._bad = frozenset(
            number for number in numbers if any(each.is_bad for each in self.readings(number, base).values())
        )

    def _is_of_the_travel(self, number: int) -> bool:
        """Whether a check is on the gaps or on what ends the travel, which take longest to find."""
        return any(key.kind in CHOSEN for key in self.readings(number, self.base))

    def after(self, job: Job, edits: Edits) -> Job:
        """The job of a build with some values changed, judged from the readings that the change cannot touch."""
        changed = job.edited(edits)
        if id(changed) not in self._made_from and changed is not self.base:
            self.look()
            self._made_from[id(changed)] = (changed, job)
        return changed

    def look(self) -> None:
        """Count one more changed build."""
        self.looks += 1
        self._after_each(self.looks)

    def readings(self, number: int, job: Job) -> dict[Key, Judged]:
        """The readings of one check on a build, by the key of the subject."""
        known = self._known.get((id(job), number))
        if known is None:
            _, before = self._made_from.get(id(job), (job, None))
            if before is not None and job.store.changed.isdisjoint(self.depends_of(before)[number]):
                known = self.readings(number, before)
            else:
                known = self._readings(number, job)
            self._known[id(job), number] = known
        return known

    def depends_of(self, job: Job) -> list[frozenset[Cell]]:
        """The fields of the build that each check depends on."""
        known = self._depends.get(id(job))
        if known is None:
            for number in range(len(self.held)):
                self.readings(number, job)
            known = self._depends[id(job)] = [job.cells(look_key(*each)) for each in self.held]
        return known

    def judged(self, target: Target, job: Job) -> Judged | None:
        """One reading of a build; None where it is not there."""
        return self.readings(target.check, job).get(target.key)

    def _readings(self, number: int, job: Job) -> dict[Key, Judged]:
        rule, check = self.held[number]
        looked = looked_at(rule, check, job)
        if isinstance(looked, NoNeed | NotChecked | Failed):
            return {NOWHERE: self._judge(number, NOWHERE, looked)}
        return {
            key: self._judge(number, key, each.outcome)
            for each in looked
            if not isinstance(each.outcome, Silent)
            for key in [key_of(each.subject)]
        }

    def _judge(self, number: int, key: Key, outcome: Outcome) -> Judged:
        rule, check = self.held[number]
        if isinstance(outcome, NoNeed):
            return Judged(Verdict.OK, applies=False)
        if isinstance(outcome, Failed):
            return Judged(Verdict.NOT_CHECKED, lost=True)
        if isinstance(outcome, NotChecked):
            return Judged(Verdict.NOT_CHECKED, lost=not outcome.missing)
        assert isinstance(outcome, Found)
        value, limit = outcome.value, rule.limit(check.name)
        if isinstance(value, Answer):
            if value.met:
                return Judged(Verdict.OK)
            assert not isinstance(limit, Limit)
            return self._unless_waived(number, key, Judged(limit.if_not, NOT_MET))
        assert isinstance(limit, Limit)
        verdict = limit.bounds.verdict(value.value)
        if verdict is Verdict.OK:
            return Judged(Verdict.NOT_CHECKED if value.without else verdict, 0.0, frozenset(value.without))
        outside = -limit.bounds.margin(value.value, verdict) / scale_of(limit)
        return self._unless_waived(number, key, Judged(verdict, outside, frozenset(value.without)))

    def _unless_waived(self, number: int, key: Key, judged: Judged) -> Judged:
        return Judged(Verdict.OK) if Target(number, key) in self._waived else judged

    def score(self, job: Job, numbers: Iterable[int] | None = None) -> Score:
        """The score of a build, compared with the base; by some checks only, or by all."""
        found = Tally()
        for number in self._in_order if numbers is None else numbers:
            self._add(found, number, job)
        return found.score

    def score_unless(self, job: Job, stop: Callable[[Tally], bool]) -> Score | None:
        """The score of a build by all checks; None as soon as what was found up to then says `stop`. The checks that
        take longest come last."""
        found = Tally()
        for number in self._in_order:
            self._add(found, number, job)
            if stop(found):
                return None
        return found.score

    def _add(self, found: Tally, number: int, job: Job) -> None:
        before, now = self.readings(number, self.base), self.readings(number, job)
        if now is before and number not in self._bad:
            return
        for key, judged in now.items():
            if judged.verdict is Verdict.ERROR:
                found.errors.add(Target(number, key))
                found.total += AN_ERROR + HOW_FAR * math.log1p(judged.outside)
            elif judged.verdict is Verdict.WARNING:
                found.warnings.add(Target(number, key))
                found.total += A_WARNING + 0.1 * math.log1p(judged.outside)
            elif judged.verdict is Verdict.NOT_CHECKED and judged.lost:
                found.total += AN_ERROR
        lost = _losses(before, now, partial(self._is_elsewhere, number, job))
        found.losses += lost
        found.total += A_LOSS * lost
        for key, judged in now.items():
            was = before[key].verdict if key in before else None
            if judged.verdict is Verdict.NOT_CHECKED and judged.without and was in OPENED:
                found.losses += 1
                found.total += OPENED[was]

    def _is_elsewhere(self, number: int, job: Job, subject: tuple[str, str, str]) -> bool:
        """Whether another check of the same rule has a reading on a subject: a link may be an upper one, or a lower."""
        rule = self.held[number].rule
        return any(
            subject in map(_of, self.readings(other, job))
            for other, held in enumerate(self.held)
            if held.rule is rule and other != number
        )

    def named(self, job: Job, target: Target) -> Named:
        """The name of a reading of a build."""
        rule, check = self.held[target.check]
        judged = self.readings(target.check, job)[target.key]
        looked = looked_at(rule, check, job)
        found = None
        if not isinstance(looked, NoNeed | NotChecked | Failed):
            found = next((each for each in looked if key_of(each.subject) == target.key), None)
        label, which = (check.noun, "") if found is None else (found.label, str(getattr(found.subject, "which", "")))
        return Named(rule.name, check.name, label, plain_text(which), judged.verdict)

    def advice(self, target: Target, job: Job) -> str:
        """The words in which the check of a reading says what to do where no change of an amount will do; empty
        where it has none."""
        check = self.held[target.check].check
        last = check.changes[-1] if check.changes else None
        if not isinstance(last, Words):
            return ""
        looked = looked_at(*self.held[target.check], job)
        found = () if isinstance(looked, NoNeed | NotChecked | Failed) else looked
        subject = next((each.subject for each in found if key_of(each.subject) == target.key), None)
        words = "" if subject is None else last.cure(job, subject).words
        return "" if "{amount}" in words else words

    def is_searched(self, target: Target) -> bool:
        """Whether the check of a reading asks for a change of an amount, which can be searched for."""
        return any(not isinstance(change, Words) for change in self.held[target.check].check.changes)

    # One reading.

    def margin(self, target: Target, job: Job) -> float:
        """How far a reading is inside its limit, in scales of the limit; negative where it is outside, and minus
        infinity where it cannot be made. A reading that is no longer there is inside: `score` judges that."""
        known = self._margins.get((id(job), target))
        if known is None:  # the job is kept with it, so that no other gets its identity
            known = self._margins[id(job), target] = (job, self._margin(target, job))
        return known[1]

    def _margin(self, target: Target, job: Job) -> float:
        rule, check = self.held[target.check]
        try:
            found = job.keep(("by key", check.subject), lambda: _by_key(check.subjects(job)))
        except (Missing, Unreached):
            return -math.inf
        if found is None:
            return -math.inf
        subject = found.get(target.key)
        if subject is None:
            return 0.0
        limit = rule.limit(check.name)
        outcome = outcome_on(rule, check, job, subject)
        if isinstance(outcome, Silent):
            return -math.inf
        start = self.judged(target, self.base)
        inside = check.inside(outcome, limit, start.without if start else ())
        return inside / scale_of(limit) if isinstance(limit, Limit) else inside

    def cells(self, target: Target, job: Job) -> frozenset[Cell]:
        """The fields of the build that a reading depends on."""
        rule, check = self.held[target.check]
        return job.cells(look_key(rule, check) if target.key == NOWHERE else (check, target.key))


def _by_key(found: list[Any] | NoneThere) -> dict[Key, Any] | None:
    return None if isinstance(found, NoneThere) else {key_of(each): each for each in found}


def scale_of(limit: Limit) -> float:
    """The amount by which a value outside a limit is called far outside: the room between warning and error, else the
    size of the bound."""
    low, high, bottom, top = limit.bounds
    rooms = [abs(one - other) for one, other in ((low, bottom), (high, top)) if math.isfinite(one - other)]
    sizes = [abs(bound) for bound in limit.bounds if math.isfinite(bound)]
    return max((room for room in rooms if room > 0.0), default=0.0) or max(sizes, default=0.0) or 0.01


def _losses(
    before: Mapping[Key, Judged], now: Mapping[Key, Judged], elsewhere: Callable[[tuple[str, str, str]], bool]
) -> int:
    """How many readings of a check are gone, or newly not checked; `elsewhere` says whether another check of the rule
    has one on a subject."""
    whole = NOWHERE in before and before[NOWHERE].verdict is Verdict.NOT_CHECKED
    open_before = Counter(key[:2] for key, each in before.items() if each.verdict is Verdict.NOT_CHECKED)
    open_now = Counter(
        key[:2]
        for key, each in now.items()
        if each.verdict is Verdict.NOT_CHECKED and not (key in before and _leaves_no_more_out(before[key], each))
    )
    # An end that changes its side is another subject, and not checked as before.
    lost = 0 if whole else sum(max(number - open_before[part], 0) for part, number in open_now.items())
    if NOWHERE in now:
        return lost
    had = {_of(key) for key, each in before.items() if each.verdict in (Verdict.OK, Verdict.WARNING) and each.applies}
    has = set(map(_of, now))
    gone = {subject for subject in had - has if not (subject[0] in CHOSEN and has)}
    # Another field of the same part may name it now: the metal of a casting, once it is stated.
    renamed = Counter(map(_part_of, has - had))
    lost_parts = Counter(_part_of(subject) for subject in gone if not elsewhere(subject))
    return lost + (lost_parts - renamed).total()


def _leaves_no_more_out(before: Judged, now: Judged) -> bool:
    return bool(now.without) and now.without <= before.without


def _part_of(subject: tuple[str, str, str]) -> tuple[str, str, str]:
    """A subject by its kind, the part of the spec that it is of (`links.arm.left`), and its side."""
    kind, path, side = subject
    return kind, ".".join(path.split(".")[:3]), side


def _of(key: Key) -> tuple[str, str, str]:
    return key.kind, key.path, key.side
