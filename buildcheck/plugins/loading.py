"""Load plugins: collect everything that each offers, and name each one that fails.

The built-in rules use the same entry point as a shop's. A plain Python file is loaded only when a person has named it:
a file is never run only because it is next to a spec.
"""

from __future__ import annotations

import inspect
import os
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache, cached_property
from importlib.metadata import EntryPoint, entry_points
from itertools import islice
from pathlib import Path
from pickle import PicklingError
from types import MappingProxyType
from typing import Any, NamedTuple

import pluggy

from buildcheck.checks.rule import Rule
from buildcheck.job.named_quantity import Family, Quantity
from buildcheck.plugins.contributions import KINDS, BoltGrade, JointKind, Kind, Metal, OutputFormat, ShopFields, name_of
from buildcheck.plugins.hooks import INTERFACE, PROJECT, HookSpecifications
from buildcheck.plugins.rule_files import RULE_FILE, files_of, module_of
from buildcheck.spec.additions import NOTHING_ADDED, Additions
from buildcheck.spec.guard import Mishap, Unusable, frames, guarded

ENTRY_POINT_GROUP = "buildcheck"
BUILT_IN = "buildcheck_rules"

PATIENCE = 1.0
"""Seconds that a plugin may take to load, and a rule for one spec, before it is reported as slow."""

MOST_OFFERED = 1000
"""The most things of one kind that a plugin may offer: a generator that never ends offers more."""


class PluginFailure(NamedTuple):
    """A plugin that could not be used, or only in part, and the reason in one sentence."""

    plugin: str
    sentence: str


@dataclass(frozen=True)
class Collected:
    """All that plugins offer, in their order, and the failures. A failed plugin does not affect the others.

    `owners` gives the plugin of each thing, by its field here and its name; built-in things have none. `installed` is
    whether the installed plugins are included, `files` are the rule files, by their full paths. `loaded` are the names
    of the plugins that could be loaded.

    Only these two are pickled: unpickling loads the same plugins.
    """

    rules: tuple[Rule, ...] = ()
    failures: tuple[PluginFailure, ...] = ()
    quantities: tuple[Quantity | Family, ...] = ()
    shop_fields: tuple[ShopFields, ...] = ()
    outputs: tuple[OutputFormat, ...] = ()
    joint_kinds: tuple[JointKind, ...] = ()
    bolt_grades: tuple[BoltGrade, ...] = ()
    metals: tuple[Metal, ...] = ()
    owners: Mapping[tuple[str, str], str] = field(default_factory=lambda: MappingProxyType({}))
    installed: bool = field(default=False, compare=False)
    files: tuple[str, ...] = field(default=(), compare=False)
    loaded: tuple[str, ...] = field(default=(), compare=False)

    def __reduce__(self) -> tuple[Any, ...]:
        if not self.installed and not self.files and self != Collected():
            raise PicklingError("these plugins were put together by hand, so they cannot be loaded in another process")
        return loaded, (self.installed, self.files)

    def __deepcopy__(self, memo: object) -> Collected:
        return self  # it is frozen

    @cached_property
    def additions(self) -> Additions:
        """Names that they add to the spec format, for the schema check and `read_build`."""
        offered = (self.joint_kinds, self.bolt_grades, self.metals, self.shop_fields, self.quantities)
        if not any(offered):
            return NOTHING_ADDED
        return Additions(
            joint_kinds={joint.name: joint.stiffness for joint in self.joint_kinds},
            bolt_grades={grade.name: (grade.strength,) for grade in self.bolt_grades},
            metals={metal.name: metal.treated_as for metal in self.metals},
            shop_fields={fields.key: fields.json_schema for fields in self.shop_fields},
            quantities={name_of(each): each for each in self.quantities},
        )


def installed_plugins() -> list[EntryPoint]:
    """Entry points of every installed plugin: the built-in rules, then the others in the order of their names."""
    # The built-in rules come first, so that no plugin can take the name of one.
    return sorted(
        entry_points(group=ENTRY_POINT_GROUP), key=lambda point: (point.value != BUILT_IN, point.name, point.value)
    )


def collect(points: Iterable[EntryPoint] | None = None) -> Collected:
    """Load every installed plugin and collect what it offers.

    Each plugin is loaded and called by itself, so that one that fails is reported by name and the others still run.
    """
    collected = Collected(installed=points is None)
    for point in installed_plugins() if points is None else points:
        collected = _joined(collected, point.name, point.load, patient=point.value == BUILT_IN)
    return collected


def load_rule_files(paths: Iterable[str | Path], after: Collected | None = None) -> Collected:
    """Run plain Python files as plugins, and add what they offer to the things collected before.

    This runs their code: pass only files that a person has named, on the command line or in a shop standard of their
    choice. A file named twice is run once. The plugin's name is its path; its folder is not put on Python's path, so
    that no other file in it is run.
    """
    paths = [*paths]
    if any(not str(path) for path in paths):
        raise ValueError("a rule file needs a name, and one is empty")
    once = {os.path.realpath(file): str(file) for path in paths for file in files_of(Path(path))}
    collected = Collected() if after is None else after
    for path, name in once.items():
        collected = _joined(collected, name, lambda path=path, name=name: module_of(Path(path), name), patient=False)  # type: ignore[misc]
    return replace(collected, files=(*collected.files, *once))


@cache
def loaded(installed: bool, files: tuple[str, ...]) -> Collected:
    """Load the installed plugins, if `installed`, and then these rule files; once in a process."""
    return load_rule_files(files, after=collect() if installed else None)


def usual() -> Collected:
    """Load the installed plugins, once in a process."""
    return loaded(True, ())


class Halted(KeyboardInterrupt):
    """An interruption while a plugin was being loaded; the message names the plugin."""


def _joined(so_far: Collected, plugin: str, load: Callable[[], Any], *, patient: bool) -> Collected:
    """Add the offers and the failures of one plugin to those collected so far."""
    began = time.monotonic()
    failures, owners = list(so_far.failures), dict(so_far.owners)
    try:
        with guarded():
            offered, refused = _offered(load(), plugin)
    except KeyboardInterrupt as stopped:
        if patient:
            raise
        raise Halted(f"the plugin {plugin} was being loaded") from stopped
    except Mishap as mishap:  # whatever a plugin raises on import, the others still run
        return replace(so_far, failures=(*failures, PluginFailure(plugin, str(mishap))))
    failures.extend(PluginFailure(plugin, sentence) for sentence in refused)
    taken_up: dict[str, Any] = {}
    for kind in KINDS:
        kept = {name_of(each): each for each in getattr(so_far, kind.collected)}
        built_in = frozenset(kind.taken())
        for each in offered[kind.collected]:
            name = name_of(each)
            if name in kept or name in built_in:
                failures.append(PluginFailure(plugin, f"its {kind.noun} {name!r} has a name that is already taken"))
                continue
            kept[name] = each
            if not patient:
                owners[kind.collected, name] = plugin
        taken_up[kind.collected] = tuple(kept.values())
    seconds = time.monotonic() - began
    if seconds > PATIENCE and not patient:
        failures.append(PluginFailure(plugin, f"it is slow: it took {seconds:.1f} s to load"))
    names = (*so_far.loaded, plugin)
    return replace(so_far, failures=tuple(failures), owners=MappingProxyType(owners), loaded=names, **taken_up)


def _offered(module: Any, plugin: str) -> tuple[dict[str, list[Any]], list[str]]:
    """Offers of a plugin's module, by field of `Collected`, and a sentence on each thing that cannot be used; raises
    Unusable where the module breaks the interface."""
    wanted = getattr(module, "BUILDCHECK_INTERFACE", None)
    if wanted is None:
        raise Unusable(f"it does not state BUILDCHECK_INTERFACE; this version offers {INTERFACE}")
    if type(wanted) is int and 1 <= wanted < INTERFACE:
        raise Unusable(
            f"it is written to interface {wanted} of buildcheck, and this version offers {INTERFACE}: the form of rules"
            ' has changed; see "From interface 1 to 2" in DEVELOPERS.md, or a new rule by `buildcheck rules --new NAME`'
        )
    if type(wanted) is not int or wanted != INTERFACE:
        raise Unusable(f"it needs interface {wanted!r} of buildcheck; this version offers {INTERFACE}")
    manager = pluggy.PluginManager(PROJECT)
    manager.add_hookspecs(HookSpecifications)
    try:
        manager.register(module, plugin)
    except pluggy.PluginValidationError as unfit:
        reason = str(unfit).strip().splitlines()[-1]  # the lines before name the plugin and the hook
        raise Unusable(
            _with_arguments(module) or f"one of its hooks does not match the hook of buildcheck: {reason}"
        ) from unfit
    hooks = ", ".join(kind.hook for kind in KINDS)
    try:
        manager.check_pending()
    except pluggy.PluginValidationError as unknown:
        raise Unusable(f"it marks a hook that buildcheck does not have; those it has are {hooks}") from unknown
    refused: list[str] = []
    offered = {kind.collected: list(_of_kind(manager, kind, refused)) for kind in KINDS}
    if not any(getattr(manager.hook, kind.hook).get_hookimpls() for kind in KINDS):
        raise Unusable("it implements no hook of buildcheck; mark buildcheck_rules with @hook")
    if len(offered["shop_fields"]) > 1:
        keys = ", ".join(fields.key for fields in offered["shop_fields"])
        raise Unusable(f"it owns {keys} under shop; a plugin owns one key")
    return offered, refused


def _with_arguments(module: Any) -> str:
    """Sentence on the hook of a module that takes arguments; empty where none does."""
    for kind in KINDS:
        function = getattr(module, kind.hook, None)
        named = list(inspect.signature(function).parameters) if callable(function) else []
        if named:
            return f"its {kind.hook} takes {', '.join(named)}; a hook of buildcheck is called with no arguments"
    return ""


def _of_kind(manager: pluggy.PluginManager, kind: Kind, refused: list[str]) -> Iterator[Any]:
    """Yield the things of one kind that a plugin offers, in plain data. For each that cannot be used, a sentence is
    added to `refused`."""
    added: list[Any] = []
    for implementation in getattr(manager.hook, kind.hook).get_hookimpls():
        found: Any = implementation.function()
        if not isinstance(found, Iterable) or isinstance(found, (str, *kind.made_of)):
            raise Unusable(f"its {kind.hook} returns {type(found).__name__}; return the {kind.noun}s, in a list")
        added.extend(islice(found, MOST_OFFERED + 1 - len(added)))
        if len(added) > MOST_OFFERED:
            raise Unusable(f"its {kind.hook} returns more than {MOST_OFFERED} {kind.noun}s")
    for each in added:
        try:
            with guarded(_function_of(each)):
                whole = _whole(each, kind)
        except Mishap as mishap:
            refused.append(str(mishap))
        else:
            yield whole


def _whole(offered: Any, kind: Kind) -> Any:
    if not isinstance(offered, kind.made_of):
        raise Unusable(
            f"it offers {type(offered).__name__}, which is not a {kind.noun}; make one with {kind.made_with}"
        )
    return kind.whole(offered)


def _function_of(offered: Any) -> object:
    """Function whose place in the file shows an author the thing that is meant; None where there is none."""
    return offered.checks[0].code if type(offered) is Rule and offered.checks else None


def plugin_of(error: BaseException) -> str:
    """Plugin whose code raised an exception, by its traceback; empty where it was buildcheck's own code."""
    named = {point.module.partition(".")[0]: point.name for point in installed_plugins() if point.value != BUILT_IN}
    for _, module, _ in frames(error.__traceback__):
        if module.startswith(RULE_FILE):
            return module.removeprefix(RULE_FILE)
        if module.partition(".")[0] in named:
            return named[module.partition(".")[0]]
    return ""
