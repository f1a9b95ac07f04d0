"""The lines of a work order, proven: the build with all of them is inspected, and with each of them left out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from buildcheck.build import Missing
from buildcheck.build.part import Point
from buildcheck.build.paths import kind_of
from buildcheck.checks.work_order.columns import Option
from buildcheck.checks.work_order.result import Alternative, Line, Named, ValueChange, WorkOrder
from buildcheck.checks.work_order.search import Plan, Round, Search
from buildcheck.checks.work_order.yardstick import Edits, Score, Target, Yardstick
from buildcheck.job import Job, Unreached
from buildcheck.spec.quantity import Dimension

MOST_ALTERNATIVES, MOST_TRIED = 5, 16

# For so many lines a search is made for what else would do.
MOST_SEARCHED = 2

NOT_FOUND = "no change of one input was found that puts it right without breaking something else"


def proven(search: Search, plan: Plan) -> WorkOrder:
    """The work order of a plan: each line needed, the line that puts most right first, with what else would do."""
    yardstick, base = search.yardstick, search.yardstick.base
    options = _one_for_each_input(plan.options)
    score = _score(yardstick, options)
    options, score, returns = _needed(yardstick, options, score)
    order = sorted(range(len(options)), key=lambda at: (not options[at].slip, -_weight(returns[at]), at))
    start = yardstick.score(base)
    bad = start.errors | start.warnings
    lines = []
    for number, at in enumerate(order, start=1):
        rest = [*options[:at], *options[at + 1 :]]
        lines.append(
            Line(
                number,
                _changes(base, options[at].edits),
                options[at].slip,
                tuple(_named(yardstick, base, target) for target in sorted(returns[at] & bad)),
                _alternatives(search, plan, options[at], rest, score, searched=number <= MOST_SEARCHED),
            )
        )
    left = sorted(score.errors) + sorted(score.warnings)
    job = _made(yardstick, options)
    return WorkOrder(
        tuple(lines),
        tuple((_named(yardstick, job, target), NOT_FOUND) for target in left),
        tuple(_named(yardstick, base, target) for target in sorted(bad - score.errors - score.warnings)),
        proven=score.losses == 0,
        finished=plan.finished,
        tried=yardstick.looks,
    )


def _one_for_each_input(options: Iterable[Option]) -> list[Option]:
    """The options, with those merged that change the same input one after the other."""
    kept: list[Option] = []
    for option in options:
        before = next((each for each in kept if each.paths & option.paths), None)
        if before is None:
            kept.append(option)
            continue
        written = dict(before.edits) | dict(option.edits)
        merged = Option(
            tuple(written.items()), before.mends | option.mends, option.distance, option.slip or before.slip
        )
        kept[kept.index(before)] = merged
    return kept


def _edits(options: Iterable[Option]) -> Edits:
    return tuple(edit for option in options for edit in option.edits)


def _made(yardstick: Yardstick, options: Sequence[Option]) -> Job:
    return yardstick.after(yardstick.base, _edits(options)) if options else yardstick.base


def _score(yardstick: Yardstick, options: Sequence[Option]) -> Score:
    return yardstick.score(_made(yardstick, options))


def _needed(
    yardstick: Yardstick, options: list[Option], score: Score
) -> tuple[list[Option], Score, list[frozenset[Target]]]:
    """The options without those that nothing needs, the score with them, and for each the readings that are wrong again
    where it is left out."""
    if len(options) == 1:
        start = yardstick.score(yardstick.base)
        return options, score, [(start.errors | start.warnings) - score.errors - score.warnings]
    at = 0
    while at < len(options) and len(options) > 1:
        rest = [*options[:at], *options[at + 1 :]]
        without = _score(yardstick, rest)
        if not _worse(without, score):
            options, score, at = rest, without, 0
            continue
        at += 1
    returns = []
    for at in range(len(options)):
        without = _score(yardstick, [*options[:at], *options[at + 1 :]])
        returns.append((without.errors | without.warnings) - score.errors - score.warnings)
    return options, score, returns


def _worse(one: Score, other: Score) -> bool:
    return bool(one.errors - other.errors or one.warnings - other.warnings or one.losses > other.losses)


def _weight(targets: Iterable[Target]) -> int:
    return sum(1 for _ in targets)


def _alternatives(
    search: Search, plan: Plan, option: Option, rest: list[Option], score: Score, *, searched: bool
) -> tuple[Alternative, ...]:
    """What else does the same as an option, tried with all others made: what was found beside it, and with `searched`
    what a search in its place finds."""
    yardstick = search.yardstick
    found: dict[frozenset[str], Alternative] = {}
    beside = [each for chosen, each in zip(plan.options, plan.others, strict=True) if chosen.paths & option.paths]
    _try(yardstick, [other for each in beside for other in each], option, rest, score, found)
    if searched and len(found) < MOST_ALTERNATIVES and yardstick.looks < search.budget:
        job = _made(yardstick, rest)
        in_its_place = Round(search, job, yardstick.score(job), (), most_solved=4)
        _try(yardstick, in_its_place.candidates, option, rest, score, found)
    return tuple(found.values())[:MOST_ALTERNATIVES]


def _try(
    yardstick: Yardstick,
    others: Iterable[Option],
    option: Option,
    rest: list[Option],
    score: Score,
    found: dict[frozenset[str], Alternative],
) -> None:
    """Add to what was `found` each change that does the same as an option."""
    numbers = yardstick.quick
    for other in list(others)[:MOST_TRIED]:
        taken = {option.paths, *found}
        if len(found) >= MOST_ALTERNATIVES or other.paths in taken or any(other.paths & each.paths for each in rest):
            continue
        try:
            job = _made(yardstick, [*rest, other])
            quick = yardstick.score(job, numbers)
            if quick.errors - score.errors or quick.losses > score.losses:
                continue
            tried = yardstick.score(job)
        except (Missing, Unreached, ValueError, LookupError):
            continue
        if not tried.errors - score.errors and tried.losses <= score.losses:
            found[other.paths] = Alternative(_changes(yardstick.base, other.edits), other.slip)


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


def _named(yardstick: Yardstick, job: Job, target: Target) -> Named:
    return yardstick.named(job, target)


__all__ = ["dimension_at", "proven"]
