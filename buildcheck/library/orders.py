"""The work order for Python programs: what to change in a spec, proven, and the spec with it done."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from buildcheck.build import Missing, Stage
from buildcheck.checks import inspection as inspecting
from buildcheck.checks.rule import Rule
from buildcheck.checks.standard import Standard
from buildcheck.checks.work_order import BUDGET, Line, WorkOrder
from buildcheck.checks.work_order import work_order as search
from buildcheck.job import Job
from buildcheck.library.functions import known_rules, known_stage, standard_from
from buildcheck.library.spec import SPEC, Spec
from buildcheck.output import work_order_words as words
from buildcheck.plugins.loading import Collected
from buildcheck.plugins.standard_output import prints_to_standard_error
from buildcheck.spec.arguments import Kind, refuse_any
from buildcheck.spec.quantity import written_like
from buildcheck.spec.written import stated_at


@dataclass(frozen=True)
class Order:
    """The work order of a spec, for the stage that was inspected. `record` is all of it in SI; its lines are numbered
    from 1.

    It compares changed specs with limits, and is not an approval.
    """

    spec: Spec
    stage: Stage
    record: WorkOrder

    @property
    def lines(self) -> tuple[Line, ...]:
        """The changes to make, all together, the one that puts most right first."""
        return self.record.lines

    @property
    def sentences(self) -> tuple[str, ...]:
        """Each line in words, in the units of the spec: `move the frame end of the left arm down 3/16 in`."""
        return tuple(words.line(self.spec, line) for line in self.lines)

    def changes(self, accept: Iterable[int] | None = None) -> dict[str, Any]:
        """The values that the lines write, by spec path, as the spec writes them: for `Spec.changed`.

        `accept` are the numbers of some lines; without it, all. Raises LookupError for a number that is not there.
        """
        wanted = [line.number for line in self.lines] if accept is None else list(accept)
        numbered = {line.number: line for line in self.lines}
        for number in wanted:
            if number not in numbered:
                raise LookupError(f"the work order has no line {number}; its lines are 1 to {len(self.lines)}")
        return {
            change.path: _written(self.spec, change.path, change.becomes, change.dimension)
            for number in sorted(set(wanted))
            for change in numbered[number].changes
        }

    def revised(self, accept: Iterable[int] | None = None) -> Spec:
        """The spec with the lines, or some of them, carried out. Its `text` keeps every other byte."""
        changes = self.changes(accept)
        return self.spec.changed(changes, checked=True) if changes else self.spec

    def __str__(self) -> str:
        return "\n".join(f"{line.number}. {text}" for line, text in zip(self.lines, self.sentences, strict=True))


def _written(spec: Spec, path: str, value: Any, dimension: Any) -> Any:
    """A value as the spec writes it, in the style of the one that is there."""
    if dimension is None:  # a list of one may be written without its brackets
        return (value[0] if len(value) == 1 else list(value)) if isinstance(value, tuple) else value
    old = stated_at(spec.document.data, path)
    return written_like(old, value, dimension, spec.build.units)


def work_order(
    spec: Spec,
    *,
    stage: Stage | str | None = None,
    only: str | Collection[str] = (),
    standard: str | os.PathLike[str] | None = None,
    today: date | None = None,
    plugins: Collected | None = None,
    keep: Collection[str] = (),
    budget: int = BUDGET,
) -> Order:
    """The smallest set of changes found after which inspecting the spec again gives no error, and where possible no
    warning.

    The arguments are those of `inspect`; further, `keep` are spec paths that are not changed, nor anything below them,
    and `budget` is the most changed builds that are looked at. The same arguments give the same work order on every
    machine. What is waived is left alone. Raises as `inspect` does, and LookupError for a path of `keep` that the spec
    does not have.
    """
    refuse_any((("work_order()", spec, SPEC), ("keep=", keep, _PATHS)))
    for path in keep:
        try:
            spec.build.value(path)
        except (Missing, ValueError):
            raise LookupError(f"keep={path!r} is not in the spec") from None
    used = spec.plugins if plugins is None else plugins
    with prints_to_standard_error():
        held_to = None if standard is None else standard_from(os.fspath(standard), used)
        rules = used.rules if held_to is None else held_to.with_own(used.rules)
        at = known_stage(stage)
        return order_for(
            spec,
            used.rules,
            stage=at,
            only=known_rules(only, rules),
            standard=held_to,
            today=today,
            keep=keep,
            budget=budget,
        )


def order_for(
    spec: Spec,
    rules: Sequence[Rule],
    *,
    stage: Stage | None = None,
    only: frozenset[str] | None = None,
    standard: Standard | None = None,
    today: date | None = None,
    keep: Collection[str] = (),
    budget: int = BUDGET,
    after_each: Callable[[int], None] = lambda looks: None,
    may_be_stopped: bool = False,
) -> Order:
    """The work order of a spec for some rules; the other arguments are those of `work_order`, read, and of the
    search."""
    build, day = spec.build, today or date.today()
    job = Job(build)
    found = inspecting.inspect(
        build, rules, stage=stage, standard=standard, today=day, only=only, changes=False, job=job
    )
    applied = inspecting.rules_in_use(build, rules, stage=stage, standard=standard, only=only).applied
    record = search(job, applied, found, keep=keep, budget=budget, after_each=after_each, may_be_stopped=may_be_stopped)
    return Order(spec, found.stage, record)


_PATHS = Kind(
    "spec paths, such as links.arm.both.frame",
    lambda value: (
        isinstance(value, Collection) and not isinstance(value, str) and all(isinstance(e, str) for e in value)
    ),
)
