"""The lines of a work order, proven: the build with all of them is inspected, and with each of them left out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from buildcheck.build import Missing
from buildcheck.build.part import Point
from buildcheck.build.paths import kind_of
from buildcheck.checks.work_order.columns import Option
from buildcheck.checks.work_order.result import Alternative, Line, Named, ValueChange, WorkOrder
from buildcheck.checks.work_order.search import Plan
from buildcheck.checks.work_order.yardstick import Edits, Score, Target, Yardstick
from buildcheck.job import Job, Unreached
from buildcheck.spec.quantity import Dimension

MOST_ALTERNATIVES = 5
NOT_FOUND = "no change of one input was found that puts it right without breaking something else"


def proven(yardstick: Yardstick, plan: Plan, *, budget: int) -> WorkOrder:
    """The work order of a plan: each line needed, the line that puts most right first, with what else would do."""
    base = yardstick.base
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
                _alternatives(yardstick, plan, options[at], rest, score, budget),
            )
        )
    left = sorted(score.errors) + sorted(score.warnings)
    job = _made(yardstick, options)
    return WorkOrder(
        tuple(lines),
        tuple((_named(yardstick, job, target), NOT_FOUND) for target in left),
        tuple(_named(yardstick, base, target) for target in sorted(bad - score.errors - score.warnings)),
        proven=score.losses == 0,
        finished=yardstick.looks < budget,
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
    yardstick: Yardstick, plan: Plan, option: Option, rest: list[Option], score: Score, budget: int
) -> tuple[Alternative, ...]:
    """What else was found that does the same as an option, tried with all others made."""
    found: list[Alternative] = []
    seen = {option.paths}
    others = next(
        (each for chosen, each in zip(plan.options, plan.others, strict=True) if chosen.paths & option.paths), ()
    )
    for other in others:
        if len(found) == MOST_ALTERNATIVES or yardstick.looks >= budget:
            break
        if other.paths in seen or any(other.paths & each.paths for each in rest):
            continue
        try:
            tried = _score(yardstick, [*rest, other])
        except (Missing, Unreached, ValueError, LookupError):
            continue
        if not tried.errors - score.errors and tried.losses <= score.losses:
            seen.add(other.paths)
            found.append(Alternative(_changes(yardstick.base, other.edits), other.slip))
    return tuple(found)


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
