"""The rules whose checks read a value of the build: what a measurement of it is for."""

from __future__ import annotations

from collections.abc import Iterable

from buildcheck.build import Missing
from buildcheck.build.reads import Cell
from buildcheck.checks.rule import Rule
from buildcheck.checks.subjects import key_of
from buildcheck.job import Job, Unreached
from buildcheck.spec.guard import Mishap, guarded


def rules_that_read(job: Job, rules: Iterable[Rule]) -> dict[Cell, tuple[str, ...]]:
    """The names of the rules that have read each field, in their order, for the checks that `inspect` has made on this
    job."""
    found: dict[Cell, dict[str, None]] = {}
    for rule in rules:
        for check in rule.checks:
            try:
                with guarded(check.code):
                    subjects = check.subjects(job)
            except (Missing, Unreached, Mishap):  # its reading says so
                continue
            for subject in subjects if isinstance(subjects, list) else ():
                for cell in job.cells((check, key_of(subject))):
                    found.setdefault(cell, {})[rule.name] = None
    return {cell: tuple(names) for cell, names in found.items()}
