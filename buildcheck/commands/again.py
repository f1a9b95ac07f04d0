"""A spec that is inspected again and again while it is edited: what an edit leaves as it was is not computed again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildcheck.job import Job
from buildcheck.plugins.stopwatch import Watch

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from buildcheck.build import Build
    from buildcheck.checks.rule import Rule
    from buildcheck.library.spec import Spec
    from buildcheck.output.outcome import Refused


class Again:
    """The spec as it was last read, its job, and the rules. The job of an edited spec takes over every value that read
    nothing of the edit; older ones are let go, so that memory stays as it is."""

    def __init__(self) -> None:
        self.watch = Watch()
        self._spec: Spec | Refused | None = None
        self._job: Job | None = None
        self._rules: tuple[Sequence[Rule], tuple[Rule, ...]] | None = None

    def edited(self) -> None:
        """The spec was saved: it is read anew."""
        self._spec = None

    def spec(self, read: Callable[[], Spec | Refused]) -> Spec | Refused:
        """The spec; `read` reads it where it was edited."""
        if self._spec is None:
            self._spec = read()
        return self._spec

    def rules(self, rules: Sequence[Rule]) -> tuple[Rule, ...]:
        """The rules, watched; the same ones for the same rules, since what a check found is kept by the check."""
        if self._rules is None or self._rules[0] is not rules:
            self._rules = rules, self.watch.over(rules)
        self.watch.seconds.clear()
        return self._rules[1]

    def job(self, build: Build) -> Job:
        """The job of a build."""
        if self._job is None or self._job.build is not build:
            if self._job is not None:
                self._job.store.let_go()
            self._job = Job(build, self._job)
        return self._job
