"""What rule is running, and how long each has taken: for whoever waits for one."""

from __future__ import annotations

import time
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from buildcheck.checks.check import Check
from buildcheck.plugins import PATIENCE, Collected, PluginFailure
from buildcheck.rule import Rule


class Watch:
    """Watches rules as they run; `running` names the one that runs, or is empty, and `seconds` says how long each took.

    Wall-clock time, with whatever of the motion a rule is the first to ask for.
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

    def _watched(self, name: str, check: Check) -> Check:
        def compute(job: Any, subject: Any) -> Any:
            began = time.monotonic()
            self.running = name
            try:
                found = check.compute(job, subject)
            except KeyboardInterrupt:  # the name has to stay, for whoever asks what was interrupted
                raise
            except BaseException:
                self.running = ""
                raise
            finally:
                self.seconds[name] = self.seconds.get(name, 0.0) + time.monotonic() - began
            self.running = ""
            return found

        vars(compute)["__wrapped__"] = check.compute  # whose place a failure names
        return replace(check, compute=compute)
