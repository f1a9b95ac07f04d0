"""How rules come in: the hook that a plugin implements, and the manager that collects from all of them.

The built-in rules come in by the same entry point as a shop's.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from importlib.metadata import EntryPoint, entry_points
from typing import Any, NamedTuple

import pluggy

from buildcheck.build import Stage
from buildcheck.mishap import told
from buildcheck.rule import Area, Limit, Requirement, Rule

PROJECT = "buildcheck"
ENTRY_POINT_GROUP = "buildcheck"
BUILT_IN = "buildcheck_rules"

# The version of the interface that rules are written to. A plugin states the one it needs in `BUILDCHECK_INTERFACE`.
INTERFACE = 1

_NAME = re.compile("[a-z][a-z0-9]*(-[a-z0-9]+)*")

hook_specification = pluggy.HookspecMarker(PROJECT)
rules_hook = pluggy.HookimplMarker(PROJECT)


class HookSpecifications:
    """What a plugin may implement."""

    @hook_specification
    def buildcheck_rules(self) -> Iterable[Rule]:
        """The rules that the plugin adds, each made with `buildcheck.rule`."""
        raise AssertionError("a hook specification is never called")


class PluginFailure(NamedTuple):
    """A plugin that could not be used, and why, in one sentence."""

    plugin: str
    sentence: str


class Collected(NamedTuple):
    """Rules by plugin order, and the plugins that failed. A failed plugin takes nothing else with it."""

    rules: tuple[Rule, ...]
    failures: tuple[PluginFailure, ...]


def installed_plugins() -> list[EntryPoint]:
    """The entry points of every installed plugin: the built-in rules, then the others in the order of their names."""
    # The built-in rules come first, so that no plugin can take the name of one.
    return sorted(
        entry_points(group=ENTRY_POINT_GROUP), key=lambda point: (point.value != BUILT_IN, point.name, point.value)
    )


def collect(points: Iterable[EntryPoint] | None = None) -> Collected:
    """Load every plugin and gather its rules.

    Each plugin is loaded and called by itself, so that one that fails is reported by name and the others go on.
    """
    failures: list[PluginFailure] = []
    rules: dict[str, Rule] = {}
    for point in installed_plugins() if points is None else points:
        try:
            added = _rules_of(point)
        except KeyboardInterrupt:
            raise
        except BaseException as error:  # whatever a plugin does on import, the others still run
            failures.append(PluginFailure(point.name, _sentence(error)))
            continue
        for rule in added:
            if rule.name in rules:
                failures.append(PluginFailure(point.name, f"its rule {rule.name!r} has a name that is already taken"))
            else:
                rules[rule.name] = rule
    return Collected(tuple(rules.values()), tuple(failures))


class Unusable(Exception):
    """A plugin that does not keep to the interface; the message says how."""


def _rules_of(point: EntryPoint) -> list[Rule]:
    module = point.load()
    wanted = getattr(module, "BUILDCHECK_INTERFACE", None)
    if wanted is None:
        raise Unusable(f"it does not state BUILDCHECK_INTERFACE; this version offers {INTERFACE}")
    if wanted != INTERFACE:
        raise Unusable(f"it needs interface {wanted!r} of buildcheck; this version offers {INTERFACE}")
    manager = pluggy.PluginManager(PROJECT)
    manager.add_hookspecs(HookSpecifications)
    manager.register(module, point.name)
    try:
        manager.check_pending()
    except pluggy.PluginValidationError as unknown:
        raise Unusable("it marks a hook that buildcheck does not have; the one it has is buildcheck_rules") from unknown
    implementations = manager.hook.buildcheck_rules.get_hookimpls()
    if not implementations:
        raise Unusable("it implements no hook of buildcheck; mark buildcheck_rules with @rules_hook")
    added: list[Any] = []
    for implementation in implementations:
        offered: Any = implementation.function()
        if not isinstance(offered, Iterable):
            raise Unusable(f"its buildcheck_rules returns {type(offered).__name__}; return the rules, in a list")
        added.extend(offered)
    for rule in added:
        _refuse_incomplete(rule)
    return added


def _refuse_incomplete(rule: object) -> None:
    if not isinstance(rule, Rule):
        raise Unusable(f"it offers {type(rule).__name__}, which is not a rule; make one with @rule")
    if not _NAME.fullmatch(rule.name):
        raise Unusable(f"its rule {rule.name!r} needs a name of small letters and hyphens, such as link-flatness")
    if not isinstance(rule.area, Area) or not isinstance(rule.from_stage, Stage):
        raise Unusable(f"its rule {rule.name!r} needs one of the areas and one of the stages of buildcheck.api")
    if not rule.title or not rule.page:
        raise Unusable(f"its rule {rule.name!r} has no page; write a docstring of a title and a text")
    for limit in rule.limits:
        if not isinstance(limit, Limit | Requirement) or not limit.basis.text:
            raise Unusable(f"its rule {rule.name!r} has a limit without a basis")


def _sentence(error: BaseException) -> str:
    return str(error) if isinstance(error, Unusable) else told(error)
