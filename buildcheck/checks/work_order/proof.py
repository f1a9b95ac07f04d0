"""The lines of a work order, proven: the build with all of them is inspected, and with each of them left out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from buildcheck.build import Missing
from buildcheck.build.part import Point
from buildcheck.build.paths import kind_of
from buildcheck.checks.work_order.columns import Option
from buildcheck.checks.work_order.result import Alternative, Line, ValueChange, WorkOrder
from buildcheck.checks.work_order.search import Plan, Search
from buildcheck.checks.work_order.yardstick import Edits, Score, Target
from buildcheck.job import Job, Unreached
from buildcheck.spec.quantity import Dimension

MOST_ALTERNATIVES, MOST_TRIED = 3, 12

# For so many lines a search is made for what else would do, which follows so many inputs for each reading.
MOST_SEARCHED, MOST_SOLVED_BESIDE = 2, 4

STOPPED = "the search was stopped before a change for it was found"

# Sections of a spec that are one part.
ALONE = ("lateral_bar", "driveshaft")

TO_DECIDE = "left to decide"

NOT_FOUND = "no change of one input was found that puts it right without breaking something else"


def proven(search: Search, plan: Plan) -> WorkOrder:
    """The work order of a plan: each line needed, the line that puts most right first, with what else would do."""
    return _Proof(search, plan).order()


def unproven(search: Search) -> WorkOrder | None:
    """The changes that a search had found when it was stopped; None where it had not even looked at the build."""
    plan, yardstick = search.so_far, search.yardstick
    if plan is None:
        return None
    start = yardstick.score(yardstick.base)
    bad = start.errors | start.warnings
    lines = [
        Line(
            number,
            _changes(yardstick.base, option.edits),
            option.slip,
            tuple(yardstick.named(yardstick.base, target) for target in sorted(option.mends & bad)),
        )
        for number, option in enumerate(_one_for_each_part(_one_for_each_input(plan.options)), start=1)
    ]
    left = sorted(plan.score.errors) + sorted(plan.score.warnings)
    mended = sorted(bad - plan.score.errors - plan.score.warnings)
    return WorkOrder(
        tuple(lines),
        tuple((yardstick.named(plan.job, target), STOPPED) for target in left),
        tuple(yardstick.named(yardstick.base, target) for target in mended),
        proven=False,
        finished=False,
        tried=yardstick.looks,
        stopped=True,
    )


class _Proof:
    """The proof of one plan."""

    def __init__(self, search: Search, plan: Plan) -> None:
        self.search, self.plan = search, plan
        self.yardstick, self.base = search.yardstick, search.yardstick.base
        self._planned = _written(plan.options)
        # The builds after the first changes of the plan are there already.
        self._made = {
            frozenset(_written(plan.options[: number + 1]).items()): job for number, job in enumerate(plan.jobs)
        }

    def order(self) -> WorkOrder:
        """The lines with what each puts right, and what they leave."""
        options, score = self._needed(_one_for_each_input(self.plan.options))
        options = _one_for_each_part(options)
        returns = self._returns(options, score)
        order = sorted(range(len(options)), key=lambda at: (not options[at].slip, -len(returns[at]), at))
        start = self.yardstick.score(self.base)
        bad = start.errors | start.warnings
        # Of what is not an error, others are named only where nothing is an error.
        others = {
            at: self._alternatives(options, at, score, searched=number <= MOST_SEARCHED)
            for number, at in enumerate(order, start=1)
            if not start.errors or not returns[at].isdisjoint(start.errors)
        }
        lines = [
            Line(
                number,
                _changes(self.base, options[at].edits),
                options[at].slip,
                tuple(self.yardstick.named(self.base, target) for target in sorted(returns[at] & bad)),
                others.get(at, ()),
            )
            for number, at in enumerate(order, start=1)
        ]
        job = self.job(options)
        left = sorted(score.errors) + sorted(score.warnings)
        return WorkOrder(
            tuple(lines),
            tuple((self.yardstick.named(job, target), self._why(job, target)) for target in left),
            tuple(self.yardstick.named(self.base, target) for target in sorted(bad - score.errors - score.warnings)),
            proven=score.losses == 0,
            finished=self.plan.finished,
            tried=self.yardstick.looks,
        )

    def _why(self, job: Job, target: Target) -> str:
        """Why no line puts a reading right, and what its check leaves to a decision."""
        searched = [NOT_FOUND] if self.yardstick.is_searched(target) else []
        advice = self.yardstick.advice(target, job)
        return "; ".join([*searched, f"{TO_DECIDE}: {advice}"] if advice else [NOT_FOUND])

    def job(self, options: Sequence[Option]) -> Job:
        """The build with some changes made. It is made from the one after the whole plan, with which it shares most."""
        written = _written(options)
        if not written:
            return self.base
        known = self._made.get(frozenset(written.items()))
        if known is not None:
            return known
        try:
            undone = {path: self.base.build.value(path) for path in self._planned if path not in written}
        except (Missing, LookupError):  # the spec does not state a value that the plan writes
            return self.yardstick.after(self.base, tuple(written.items()))
        edits = {**undone, **{path: value for path, value in written.items() if self._planned.get(path) != value}}
        return self.yardstick.after(self.plan.job, tuple(edits.items())) if edits else self.plan.job

    def _score(self, options: Sequence[Option]) -> Score:
        return self.yardstick.score(self.job(options))

    def _needed(self, options: list[Option]) -> tuple[list[Option], Score]:
        """The options without those that nothing needs, and the score with them."""
        score = self._score(options)
        at = 0
        while at < len(options) and len(options) > 1:
            rest = [*options[:at], *options[at + 1 :]]
            without = self._score(rest)
            if not _worse(without, score):
                options, score, at = rest, without, 0
                continue
            at += 1
        return options, score

    def _returns(self, options: list[Option], score: Score) -> list[frozenset[Target]]:
        """For each option the readings that are wrong again where it is left out."""
        returns = []
        for at in range(len(options)):
            without = self._score([*options[:at], *options[at + 1 :]])
            returns.append((without.errors | without.warnings) - score.errors - score.warnings)
        return returns

    def _alternatives(self, options: list[Option], at: int, score: Score, *, searched: bool) -> tuple[Alternative, ...]:
        """Other changes that do the same as an option, tried with all others made: those found beside it, and with
        `searched` those among the less likely inputs."""
        option, rest = options[at], [*options[:at], *options[at + 1 :]]
        found: dict[frozenset[str], Alternative] = {}
        for each, round_ in zip(self.plan.options, self.plan.rounds, strict=True):
            if not each.paths & option.paths:
                continue
            others = round_.as_good_as(each)
            self._try(others, option, rest, score, found)
            can_go_on = self.yardstick.looks < self.search.budget and not (round_.is_wide or round_.has_many)
            if searched and not found and can_go_on:
                round_.widen(MOST_SOLVED_BESIDE)
                more = (other for other in round_.as_good_as(each) if other not in others)
                self._try(more, option, rest, score, found)
        return tuple(found.values())[:MOST_ALTERNATIVES]

    def _try(
        self,
        others: Iterable[Option],
        option: Option,
        rest: list[Option],
        score: Score,
        found: dict[frozenset[str], Alternative],
    ) -> None:
        """Add to what was `found` each change that does the same as an option."""
        tried = 0
        for other in others:
            taken = {option.paths, *found}
            if other.paths in taken or any(other.paths & each.paths for each in rest):
                continue
            if len(found) >= MOST_ALTERNATIVES or tried >= MOST_TRIED:
                return
            tried += 1
            try:
                job = self.job([*rest, other])
                same = self.yardstick.score_unless(
                    job, lambda tally: tally.losses > score.losses or not tally.errors <= score.errors
                )
            except (Missing, Unreached, ValueError, LookupError):
                continue
            if same is not None:
                found[other.paths] = Alternative(_changes(self.base, other.edits), other.slip)


def _one_for_each_input(options: Iterable[Option]) -> list[Option]:
    """The options, with those merged that change the same input one after the other."""
    kept: list[Option] = []
    for option in options:
        before = next((each for each in kept if each.paths & option.paths), None)
        if before is None:
            kept.append(option)
            continue
        merged = Option(
            tuple(_written([before, option]).items()),
            before.mends | option.mends,
            option.distance,
            option.slip or before.slip,
        )
        kept[kept.index(before)] = merged
    return kept


def _one_for_each_part(options: Iterable[Option]) -> list[Option]:
    """The options, with those in one that change the same part of the truck: it is taken off once. What may be a slip
    of the pen is looked up by itself."""
    groups: dict[Any, list[Option]] = {}
    for number, option in enumerate(options):
        groups.setdefault(number if option.slip else _parts_of(option), []).append(option)
    return [group[0] if len(group) == 1 else _together(group) for group in groups.values()]


def _together(options: Sequence[Option]) -> Option:
    mends = frozenset().union(*(option.mends for option in options))
    return Option(tuple(_written(options).items()), mends, max(option.distance for option in options))


def _parts_of(option: Option) -> frozenset[tuple[str, ...]]:
    """The parts of the truck that an option changes, by the start of their paths: `links.arm`, `lateral_bar`."""
    parts = set()
    for path in option.paths:
        steps = path.split(".")
        parts.add(tuple(steps[:1] if steps[0] in ALONE else steps[:2]))
    return frozenset(parts)


def _written(options: Iterable[Option]) -> dict[str, Any]:
    """The values that some changes write, the last one at each path."""
    return {path: value for option in options for path, value in option.edits}


def _worse(one: Score, other: Score) -> bool:
    return bool(one.errors - other.errors or one.warnings - other.warnings or one.losses > other.losses)


def _changes(job: Job, edits: Edits) -> tuple[ValueChange, ...]:
    """The values that edits change, each coordinate of a point by itself."""
    changes = []
    for path, becomes in edits:
        try:
            was: Any = job.build.value(path)
        except Missing:
            was = None
        if isinstance(was, Point):
            for axis, one, other in zip("xyz", was, becomes, strict=True):
                if one != other:
                    changes.append(ValueChange(f"{path}.{axis}", one, other, Dimension.LENGTH))
        elif was != becomes:
            changes.append(ValueChange(path, was, becomes, dimension_at(job, path)))
    return tuple(changes)


def dimension_at(job: Job, path: str) -> Dimension | None:
    """The dimension of the value at a spec path; None where it is no amount."""
    declared = kind_of(path)
    for said in getattr(declared, "__metadata__", ()):
        if isinstance(said, Dimension):
            return said
    above, _, name = path.rpartition(".")
    if name in ("x", "y", "z") and isinstance(job.build.value(above), Point):
        return Dimension.LENGTH
    return Dimension.COUNT if declared is int else Dimension.RATIO if declared is float else None


__all__ = ["dimension_at", "proven"]
