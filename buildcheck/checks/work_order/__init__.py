"""The work order: the few changes that mend a build, as one list that is proven."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from buildcheck.build import Build, Side
from buildcheck.build.measured import measurements
from buildcheck.checks.inspection import Inspection
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Rule
from buildcheck.checks.work_order.proof import proven, unproven
from buildcheck.checks.work_order.result import Alternative, Line, Named, ValueChange, WorkOrder
from buildcheck.checks.work_order.search import Search
from buildcheck.checks.work_order.yardstick import Yardstick
from buildcheck.job import Job
from buildcheck.spec.place import with_side

__all__ = ["BUDGET", "Alternative", "Line", "Named", "ValueChange", "WorkOrder", "work_order"]

BUDGET = 3000
"""The most changed builds that are looked at. A count, and no time, so that every machine finds the same."""


def work_order(
    job: Job,
    rules: Iterable[Rule],
    inspection: Inspection,
    *,
    keep: Iterable[str] = (),
    budget: int = BUDGET,
    after_each: Callable[[int], None] = lambda looks: None,
    may_be_stopped: bool = False,
) -> WorkOrder:
    """The smallest set of changes found after which the build of a job has no error, and where possible no warning.

    `rules` are those that the inspection applied, `rules_in_use(...).applied`; what it waived is left alone. `keep` are
    spec paths that are not changed, nor is what was measured: it is there on the truck. The result depends on nothing
    else: the same build, rules, paths and budget give the same work order.

    `after_each` is called with the number of changed builds looked at. With `may_be_stopped`, Ctrl-C ends the search,
    and the best list up to then is returned, marked as not proven.
    """
    waived = {
        (each.rule, each.quantity, each.subject, each.of)
        for each in inspection.readings
        if each.verdict is Verdict.WAIVED
    }
    yardstick = Yardstick(rules, job, waived=waived, after_each=after_each)
    search = Search(yardstick, keep=(*keep, *_measured(job.build)), budget=budget)
    try:
        return proven(search, search.plan())
    except KeyboardInterrupt:
        found = unproven(search) if may_be_stopped else None
        if found is None:
            raise
        return found


def _measured(build: Build) -> Iterator[str]:
    """The spec paths of what was measured on the truck; where the spec writes both sides once, the path of both."""
    for each in measurements(build):
        yield each.of
        for side in (Side.LEFT, Side.RIGHT):
            yield with_side(each.of, "both", instead_of=side.value)
