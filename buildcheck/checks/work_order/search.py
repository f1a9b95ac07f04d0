"""The smallest set of changes after which a build has no errors: slips of the pen, then few inputs changed little."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from buildcheck.build import Missing, Part
from buildcheck.checks.changes import OutOfReach, Way, Words
from buildcheck.checks.check import CannotTell
from buildcheck.checks.engine import ways_of
from buildcheck.checks.subjects import NoneThere, key_of
from buildcheck.checks.work_order.columns import Column, Option, Tried, badness
from buildcheck.checks.work_order.inputs import Input, inputs_of, is_within
from buildcheck.checks.work_order.slips import parts_of, slips_of
from buildcheck.checks.work_order.yardstick import Edits, Score, Target, Yardstick
from buildcheck.job import Job, Unreached

A_LINE = 0.25
FAR = 0.25
A_SLIP = 0.1

MOST_LINES = 12
MOST_SEEN, MOST_SLOW = 5, 2
MOST_COLUMNS = 24
MOST_SOLVED = 8
MOST_SLIPS = 80
MOST_INSPECTED = 8


class Choice(NamedTuple):
    """An option, the build that it makes, and its score."""

    option: Option
    job: Job
    score: Score

    @property
    def worth(self) -> float:
        """The score, with what the change itself costs."""
        return self.score.total + A_LINE + FAR * min(self.option.distance, 4.0) + (A_SLIP if self.option.slip else 0.0)


class Plan(NamedTuple):
    """Changes, one after the other, and the build after all of them."""

    options: tuple[Option, ...]
    job: Job
    score: Score
    others: tuple[tuple[Option, ...], ...] = ()


class Search:
    """Looks for the changes that mend a build."""

    def __init__(self, yardstick: Yardstick, *, keep: Iterable[str] = (), budget: int = 3000) -> None:
        self.yardstick, self.keep, self.budget = yardstick, tuple(keep), budget

    def plan(self) -> Plan:
        """The changes found, in the order in which they were found."""
        job = self.yardstick.base
        score = self.yardstick.score(job)
        options: list[Option] = []
        others: list[tuple[Option, ...]] = []
        while score.errors and len(options) < MOST_LINES and self.yardstick.looks < self.budget:
            choices = self.choices(job, score)
            if not choices or choices[0].worth >= score.total:
                break
            best = choices[0]
            as_good = tuple(
                choice.option
                for choice in choices[1:]
                if len(choice.score.errors) + choice.score.losses <= len(best.score.errors) + best.score.losses
            )
            options.append(best.option)
            others.append(as_good)
            job, score = best.job, best.score
        return Plan(tuple(options), job, score, tuple(others))

    def choices(self, job: Job, score: Score) -> list[Choice]:
        """The single changes that improve a build, each inspected, the best first."""
        targets = self._seen(job, score)
        every = [target for target in score.errors if target.key.kind]
        found: dict[Edits, Option] = {}
        for option in (*self._by_slip(job, targets, every), *self._by_column(job, targets, every)):
            found.setdefault(option.edits, option)
        ranked = sorted(found.values(), key=lambda option: -len(option.mends) + A_LINE * option.distance)
        choices = []
        for option in ranked[:MOST_INSPECTED]:
            changed = self._made(job, option.edits)
            if changed is not None:
                choices.append(Choice(option, changed, self.yardstick.score(changed)))
        return sorted(choices, key=lambda choice: choice.worth)

    def _seen(self, job: Job, score: Score) -> list[Target]:
        """The readings by which candidates are screened: of each check some, the quick ones first."""
        held = self.yardstick.held

        def slow(target: Target) -> tuple[bool, int]:
            check = held[target.check].check
            return job.took_long((check, target.key)), target.check

        ordered = sorted((each for each in score.errors if each.key.kind), key=slow)
        quick = [target for target in ordered if not slow(target)[0]]
        ordered, most = (quick, MOST_SEEN) if quick else (ordered, MOST_SLOW)
        first = {target.check: target for target in reversed(ordered)}
        firsts = [target for target in ordered if first[target.check] is target]
        rest = [target for target in ordered if first[target.check] is not target]
        return (firsts + rest)[:most]

    def _inputs(self, job: Job, targets: list[Target]) -> list[Input]:
        """The inputs that the readings depend on, those first that explain most of them and little else: numbers of the
        parts that the readings are about, and numbers on which few other checks depend."""
        cells = {target: self.yardstick.cells(target, job) for target in targets}
        depends = self.yardstick.depends_of(job)
        wrong = {target.check for target in targets}
        about = Counter(path for target in targets for path in _named(target))
        weight: dict[str, float] = {}
        inputs = inputs_of(job, set().union(*cells.values()), keep=self.keep)
        for each in inputs:
            touched = sum(not each.cells.isdisjoint(found) for found in cells.values())
            if not touched:
                continue
            others = [number for number, found in enumerate(depends) if not each.cells.isdisjoint(found)]
            own = sum(number in wrong for number in others) / len(others) if others else 1.0
            local = sum(count for path, count in about.items() if is_within(each.part.path, path)) / len(targets)
            weight[each.path] = touched / len(targets) * (1.0 + 2.0 * min(local, 1.0)) * own**0.5
        return sorted((each for each in inputs if each.path in weight), key=lambda each: -weight[each.path])

    def _by_column(self, job: Job, targets: list[Target], every: list[Target]) -> Iterator[Option]:
        inputs = self._inputs(job, every)
        ways = list(self._ways(job, targets))
        asked = {path for way in ways for path in way.paths}
        inputs.sort(key=lambda each: each.path not in asked)
        columns = [column for column in ways if column.most < 1000]
        covered = {column.paths for column in columns}
        columns += [
            Column.of(each, named=each.path in asked)
            for each in inputs
            if frozenset(each.paths) not in covered
        ][:MOST_COLUMNS]
        tried = [Tried(self.yardstick, job, column, targets) for column in columns]
        helps = sorted(((each.helps(), -at, each) for at, each in enumerate(tried)), reverse=True, key=lambda x: x[:2])
        for help_, _, each in helps[:MOST_SOLVED]:
            if help_ > 0.02:
                yield from each.options()

    def _ways(self, job: Job, targets: list[Target]) -> Iterator[Column]:
        """The changes that the checks of some readings ask for, as columns."""
        seen: set[frozenset[str]] = set()
        for target in targets:
            check = self.yardstick.held[target.check].check
            try:
                found = check.subjects(job)
            except (Missing, Unreached):
                continue
            subject = None if isinstance(found, NoneThere) else next((s for s in found if key_of(s) == target.key), None)
            if subject is None:
                continue
            for change, way in ways_of(check, job, subject):
                try:
                    edits = way.edits(1)
                except OutOfReach:
                    edits = ()
                paths = frozenset(path for path, _ in edits)
                if not paths or paths in seen or self._is_kept(paths):
                    continue
                seen.add(paths)
                yield Column(paths, _cells(job, paths), way.edits, _distance(job, way), way.most, named=True)

    def _is_kept(self, paths: Iterable[str]) -> bool:
        return any(is_within(path, above) for path in paths for above in self.keep)

    def _by_slip(self, job: Job, targets: list[Target], every: list[Target]) -> Iterator[Option]:
        inputs = self._inputs(job, every)[:MOST_COLUMNS]
        parts = parts_of(job, {each.part.path for each in inputs} | {path for t in targets for path, _ in self.yardstick.cells(t, job)})
        start = {target: badness(self.yardstick.margin(target, job)) for target in targets}
        found = []
        for number, slip in enumerate(slips_of(job, inputs, parts)):
            if number > MOST_SLIPS:
                break
            if self._is_kept(path for path, _ in slip.edits):
                continue
            changed = self._made(job, slip.edits, inspect=False)
            if changed is None:
                continue
            self.yardstick.looks += 1
            gain, mends = 0.0, []
            for target in targets:
                margin = self.yardstick.margin(target, changed)
                gain += start[target] - badness(margin)
                if margin >= 0.0:
                    mends.append(target)
            if mends and gain > 0.5:
                found.append((gain, -number, Option(slip.edits, frozenset(mends), 0.5, slip.words)))
        for _, _, option in sorted(found, key=lambda each: each[:2], reverse=True)[:MOST_INSPECTED]:
            yield option

    def _made(self, job: Job, edits: Edits, *, inspect: bool = True) -> Job | None:
        try:
            return self.yardstick.after(job, edits) if inspect else job.edited(edits)
        except (Missing, Unreached, ValueError, LookupError):
            return None


def _named(target: Target) -> set[str]:
    """The spec path of the part that a reading is about."""
    return {target.key.path} if target.key.path else set()


def _cells(job: Job, paths: Iterable[str]) -> frozenset[tuple[str, str]]:
    cells = set()
    for path in paths:
        above, _, name = path.rpartition(".")
        cells.add((above, name))
        higher, _, field = above.rpartition(".")
        cells.add((higher, field))
    return frozenset(cells)


def _distance(job: Job, way: Way) -> Any:
    def distance(steps: int) -> float:
        return 2.0 * abs(steps) / way.most if way.most > 20 else 0.3

    return distance
