"""Inspections in which every number is known exactly, for tests that are not about what the tolerances leave open."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING
from unittest.mock import patch

from buildcheck.checks.rule import Reading, Rule
from buildcheck.checks.tolerances import how_sure
from buildcheck.job import Job

if TYPE_CHECKING:  # read by every run of the tests, also by those that inspect nothing
    from buildcheck.checks.rule import Reading, Rule
    from buildcheck.job import Job


@contextmanager
def known_exactly(*, but: str = "") -> Iterator[None]:
    """Leave out the computation of the plus or minus, which takes as long as 24 more inspections; `but` is a rule whose
    numbers it is computed for."""

    def sure(readings: Sequence[Reading], job: Job, rules: Sequence[Rule]) -> tuple[Reading, ...]:
        named = [rule for rule in rules if rule.name == but]
        computed = iter(how_sure([each for each in readings if each.rule == but], job, named) if named else ())
        return tuple(next(computed) if each.rule == but else _exact(each) for each in readings)

    with patch("buildcheck.checks.inspection.how_sure", sure):
        yield


def _exact(reading: Reading) -> Reading:
    return reading if reading.value is None else reading._replace(plus_or_minus=0.0)
