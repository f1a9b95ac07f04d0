"""Plugins made by hand, for the tests of how they come in."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterable
from importlib.metadata import EntryPoint
from types import ModuleType
from typing import Any

import pytest

from buildcheck.api import (
    Answer,
    Area,
    Build,
    Dimension,
    Job,
    MovingAxle,
    Quantity,
    Rule,
    Words,
    common_practice,
    hook,
    met,
    rules_hook,
)
from buildcheck.plugins import loading as plugins
from buildcheck.plugins.hooks import INTERFACE
from buildcheck.plugins.loading import PluginFailure

PRACTICE = common_practice("as it is done")
SOUND_PAGE = "The hose is fixed.\n\nChecked: the hose."


def a_rule(name: str = "shop-hose", page: str = SOUND_PAGE, basis: Any = PRACTICE, **more: Any) -> Rule:
    """A rule with one check, which is met; `more` are other settings of the rule."""
    rule = Rule(name, page=page, **{"area": Area.SAFETY, **more})

    @rule.must(Build, wanted="a clip", basis=basis, change=Words("fit a clip"))
    def fixed(job: Job, build: Build) -> Answer:
        """It is fixed."""
        return met(True, "a clip", otherwise="loose")

    return rule


def parts_of(rule: Rule) -> dict[str, Any]:
    """Everything that a rule is made of: two rules are the same where this is."""
    checks = [{**vars(check), "subject": check.noun} for check in rule.checks]
    return {**vars(rule), "checks": checks}


def maker(monkeypatch: pytest.MonkeyPatch) -> Callable[..., EntryPoint]:
    """Makes a module that can be imported, and its entry point."""
    made = 0

    def make(name: str = "shop", **attributes: Any) -> EntryPoint:
        nonlocal made
        made += 1
        module = ModuleType(f"shop_plugin_{made}")
        vars(module).update({"BUILDCHECK_INTERFACE": INTERFACE, **attributes})
        monkeypatch.setitem(sys.modules, module.__name__, module)
        return EntryPoint(name, module.__name__, plugins.ENTRY_POINT_GROUP)

    return make


def offering(*rules: Any) -> Any:
    @rules_hook
    def buildcheck_rules() -> Any:
        return list(rules)

    return buildcheck_rules


def offers(name: str, offered: Any) -> Any:
    """An implementation of any of the hooks."""

    def function() -> Any:
        return offered

    function.__name__ = name
    return hook(function)


def room(moving: MovingAxle, *part: Any) -> Any:
    return moving.forward


def a_quantity(**more: Any) -> Quantity:
    settings: dict[str, Any] = {
        "name": "hose-room",
        "group": "axle",
        "heading": "room",
        "meaning": "room for the hose; less is nearer",
        "dimension": Dimension.LENGTH,
        "of": room,
    }
    return Quantity(**{**settings, **more})


def quantities_of(*offered: Any) -> dict[str, Any]:
    return {"buildcheck_quantities": offers("buildcheck_quantities", offered)}


def fields_of(*offered: Any) -> dict[str, Any]:
    return {"buildcheck_shop_fields": offers("buildcheck_shop_fields", offered)}


def without_lines(failures: Iterable[PluginFailure]) -> list[PluginFailure]:
    """The failures with the file in which the plugin failed, without the line and what is written there."""
    return [PluginFailure(plugin, re.sub(r", line \d+(: .*)?\)$", ")", sentence)) for plugin, sentence in failures]
