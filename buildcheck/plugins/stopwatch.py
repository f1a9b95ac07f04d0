"""Name the running rule on an interruption, and time each rule."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any

from buildcheck.checks.check import Check
from buildcheck.checks.rule import Rule
from buildcheck.checks.subjects import Subject
from buildcheck.job import Job
from buildcheck.plugins.loading import PATIENCE, Collected, PluginFailure


class Watch:
    """Watches rules as they run; `running` names the one that started last, and `seconds` is the time of each.

    This is wall-clock time, including the parts of the motion that a rule is the first to request. Python cannot stop a
    function that does not return, so an endless rule must be interrupted by the user; it is then named.
    """

    def __init__(self) -> None:
        self.running = ""
        self.seconds: dict[str, float] = {}

    def over(self, rules: Iterable[Rule]) -> tuple[Rule, ...]:
        """Return the rules with their functions watched."""
        return tuple(
            replace(rule, checks=tuple(self._watched(rule.name, check) for check in rule.checks)) for rule in rules
        )

    def slow(self, collected: Collected, spec: str, inspections: int = 1) -> tuple[PluginFailure, ...]:
        """Failures of the plugin rules that were slow, with their time: the mean over this number of inspections."""
        return tuple(
            PluginFailure(owner, f"its rule {rule!r} is slow: it took {seconds:.1f} s on {spec}")
            for rule, total in self.seconds.items()
            if (seconds := total / inspections) > PATIENCE and (owner := collected.owners.get(("rules", rule)))
        )

    def _watched(self, name: str, check: Check) -> Check:
        when = check.when and self._timed(name, check.when)
        subject = _WatchedSubject(check.subject, self._timed(name, check.subject.find))
        return replace(check, compute=self._timed(name, check.compute), when=when, subject=subject)

    def _timed(self, name: str, function: Callable[..., Any]) -> Callable[..., Any]:
        """Watch a function of the rule of that name. `running` keeps the name after the function, for the search for a
        change."""

        def timed(*arguments: Any) -> Any:
            began = time.monotonic()
            self.running = name
            try:
                return function(*arguments)
            finally:
                self.seconds[name] = self.seconds.get(name, 0.0) + time.monotonic() - began

        vars(timed)["__wrapped__"] = function  # a failure names the place of this function
        return timed


@dataclass(frozen=True)
class _WatchedSubject(Subject):
    """The subject of a check; a rule's own functions may find its objects."""

    watched: Subject
    timed: Callable[[Job], list[Any]]

    @property
    def noun(self) -> str:  # type: ignore[override]
        return self.watched.noun

    def find(self, job: Job) -> list[Any]:
        return self.timed(job)
