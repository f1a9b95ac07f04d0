"""What rule is running, and how long each has taken: for whoever waits for one."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import Any

from buildcheck.checks.check import Check
from buildcheck.plugins import PATIENCE, Collected, PluginFailure
from buildcheck.readings import findings_of
from buildcheck.rule import Function, Rule


class Watch:
    """Watches rules as they run; `running` names the one that runs, or is empty, and `seconds` says how long each took.

    Wall-clock time, with the cures that a rule works out, and with whatever of the motion it is the first to ask for.
    Python cannot end a function that does not return, so that a rule which loops for ever is ended by the person
    who waits, and then named.
    """

    def __init__(self) -> None:
        self.running = ""
        self.seconds: dict[str, float] = {}

    def over(self, rules: Iterable[Rule]) -> tuple[Rule, ...]:
        """The same rules, watched."""
        return tuple(
            replace(rule, checks=tuple(self._watched(rule.name, check) for check in rule.checks)) for rule in rules
        )

    def slow(self, collected: Collected, spec: str, inspections: int = 1) -> tuple[PluginFailure, ...]:
        """A failure for each rule of a plugin that took longer than anybody's patience, with its time; of so many
        inspections, the mean."""
        return tuple(
            PluginFailure(owner, f"its rule {rule!r} is slow: it took {seconds:.1f} s on {spec}")
            for rule, total in self.seconds.items()
            if (seconds := total / inspections) > PATIENCE and (owner := collected.owners.get(("rules", rule)))
        )

    def _watched(self, name: str, check: Check | Function) -> Check | Function:
        if isinstance(check, Check):
            return replace(check, compute=self._timed(name, check.compute))

        def function(job: Any, subject: Any) -> Iterator[Any]:
            began = time.monotonic()
            self.running = name
            try:
                yield from findings_of(check.function(job, subject))
            except (KeyboardInterrupt, GeneratorExit):  # an interruption in a cure closes this: the name has to stay
                raise
            except BaseException:
                self.running = ""
                raise
            finally:
                self.seconds[name] = self.seconds.get(name, 0.0) + time.monotonic() - began
            self.running = ""

        return Function(check.subject, function)

    def _timed(self, name: str, compute: Callable[[Any, Any], Any]) -> Callable[[Any, Any], Any]:
        def timed(job: Any, subject: Any) -> Any:
            began = time.monotonic()
            self.running = name
            try:
                return compute(job, subject)
            finally:
                self.seconds[name] = self.seconds.get(name, 0.0) + time.monotonic() - began

        return timed
