"""Rules from plugins: each that is unusable is a failure by name, and the rest goes on."""

from __future__ import annotations

from collections.abc import Callable
from importlib.metadata import EntryPoint
from typing import Any

import pytest
from made_plugins import (
    a_quantity,
    a_rule,
    maker,
    offering,
    parts_of,
    quantities_of,
    without_lines,
)

from buildcheck.api import (
    Area,
    Basis,
    Rule,
    rules_hook,
)
from buildcheck.plugins import loading as plugins
from buildcheck.plugins.loading import BUILT_IN, PluginFailure, collect, installed_plugins


@pytest.fixture
def plugin(monkeypatch: pytest.MonkeyPatch) -> Callable[..., EntryPoint]:
    return maker(monkeypatch)


def test_a_sound_plugin_adds_its_rules(plugin: Any) -> None:
    one, other = a_rule(), a_rule("shop-clamp")
    collected = collect([plugin(buildcheck_rules=offering(one, other))])
    assert [parts_of(rule) for rule in collected.rules] == [parts_of(one), parts_of(other)]
    assert collected.failures == ()


def test_the_built_in_rules_come_in_by_the_same_door() -> None:
    points = installed_plugins()
    assert points[0].value == BUILT_IN
    collected = collect()
    assert collected.failures == ()
    assert {"link-flatness", "limit-strap-length"} <= {added.name for added in collected.rules}
    again = collect([point for point in points if point.value == BUILT_IN])
    assert [rule.name for rule in again.rules] == [rule.name for rule in collected.rules]


def test_the_built_in_rules_come_first_so_that_no_plugin_takes_their_names(monkeypatch: pytest.MonkeyPatch) -> None:
    group = plugins.ENTRY_POINT_GROUP
    points = [EntryPoint("z", "z", group), EntryPoint("a", "b", group), EntryPoint("built-in", BUILT_IN, group)]
    points.append(EntryPoint("a", "a", group))
    monkeypatch.setattr(plugins, "entry_points", lambda group: points)
    assert [point.value for point in installed_plugins()] == [BUILT_IN, "a", "b", "z"]


@rules_hook
def buildcheck_rule() -> Any:
    """A hook whose name is misspelt."""
    return [a_rule()]


def raising(error: BaseException) -> Any:
    @rules_hook
    def buildcheck_rules() -> Any:
        raise error

    return buildcheck_rules


def returning_nothing() -> Any:
    @rules_hook
    def buildcheck_rules() -> Any:
        return None

    return buildcheck_rules


def unmarked() -> Any:
    return [a_rule()]


@rules_hook
def buildcheck_rules(job: object, build: object) -> Any:
    """A hook that wants to be called as a rule is."""
    return [a_rule()]


@rules_hook(wrapper=True)
def no_generator() -> Any:
    """A hook that says it wraps others, and does not."""
    return [a_rule()]


UNUSABLE: list[tuple[str, dict[str, Any], str]] = [
    (
        "no interface stated",
        {"BUILDCHECK_INTERFACE": None, "buildcheck_rules": offering(a_rule())},
        "it does not state BUILDCHECK_INTERFACE; this version offers 2",
    ),
    (
        "another interface",
        {"BUILDCHECK_INTERFACE": 3, "buildcheck_rules": offering(a_rule())},
        "it needs interface 3 of buildcheck; this version offers 2",
    ),
    (
        "interface 1",
        {"BUILDCHECK_INTERFACE": 1, "buildcheck_rules": offering(a_rule())},
        "it is written to interface 1 of buildcheck, and this version offers 2: the form of rules has changed; see "
        '"From interface 1 to 2" in DEVELOPERS.md, or a new rule by `buildcheck rules --new NAME`',
    ),
    (
        "True for an interface",
        {"BUILDCHECK_INTERFACE": True, "buildcheck_rules": offering(a_rule())},
        "it needs interface True of buildcheck; this version offers 2",
    ),
    (
        "an interface that is no number",
        {"BUILDCHECK_INTERFACE": "1", "buildcheck_rules": offering(a_rule())},
        "it needs interface '1' of buildcheck; this version offers 2",
    ),
    (
        "a forgotten marker",
        {"buildcheck_rules": unmarked},
        "it implements no hook of buildcheck; mark buildcheck_rules with @hook",
    ),
    (
        "a misspelt hook",
        {"buildcheck_rule": buildcheck_rule},
        "it marks a hook that buildcheck does not have; those it has are buildcheck_rules, buildcheck_quantities, "
        "buildcheck_shop_fields, buildcheck_outputs, buildcheck_joint_kinds, buildcheck_bolt_grades, "
        "buildcheck_metals",
    ),
    (
        "a hook with arguments",
        {"buildcheck_rules": buildcheck_rules},
        "its buildcheck_rules takes job, build; a hook of buildcheck is called with no arguments",
    ),
    (
        "a hook that is no wrapper",
        {"buildcheck_rules": no_generator},
        "one of its hooks does not match the hook of buildcheck: Declared as wrapper=True or hookwrapper=True but "
        "function is not a generator function",
    ),
    (
        "a hook that raises",
        {"buildcheck_rules": raising(RuntimeError("no licence\nmore"))},
        "RuntimeError: no licence (plugins/test_loading.py)",
    ),
    (
        "a hook that leaves",
        {"buildcheck_rules": raising(SystemExit())},
        "SystemExit: no message (plugins/test_loading.py)",
    ),
    (
        "a hook that returns nothing",
        {"buildcheck_rules": returning_nothing()},
        "its buildcheck_rules returns NoneType; return the rules, in a list",
    ),
    (
        "no rule",
        {"buildcheck_rules": offering("hose")},
        "it offers str, which is not a rule; make one with Rule",
    ),
    (
        "a rule without a page",
        {"buildcheck_rules": offering(a_rule(page="The hose is fixed."))},
        "its rule 'shop-hose' has no page; write a title, an empty line and a text, and give them as page= "
        "(tests/made_plugins.py)",
    ),
    (
        "a rule whose page is empty",
        {"buildcheck_rules": offering(a_rule(page=""))},
        "its rule 'shop-hose' has no page; write a title, an empty line and a text, and give them as page= "
        "(tests/made_plugins.py)",
    ),
    (
        "a rule without a check",
        {"buildcheck_rules": offering(Rule("shop-hose", area=Area.SAFETY, page="A hose.\n\nA page."))},
        "its rule 'shop-hose' has no checks; write one below its `check` or `must`",
    ),
    (
        "a limit without a basis",
        {"buildcheck_rules": offering(a_rule(basis=Basis("")))},
        "its rule 'shop-hose' has a limit without a basis (tests/made_plugins.py)",
    ),
    (
        "a limit with a blank basis",
        {"buildcheck_rules": offering(a_rule(basis=Basis("\u200b")))},
        "its rule 'shop-hose' has a limit without a basis (tests/made_plugins.py)",
    ),
    (
        "a limit with a blank source",
        {"buildcheck_rules": offering(a_rule(basis=Basis("a page", "\u2800", "read")))},
        "its rule 'shop-hose' has a limit without a basis (tests/made_plugins.py)",
    ),
    (
        "a name with capitals",
        {"buildcheck_rules": offering(a_rule("ShopHose"))},
        "its rule 'ShopHose' needs a name of small letters and hyphens, such as link-flatness (tests/made_plugins.py)",
    ),
]


@pytest.mark.parametrize(("attributes", "sentence"), [row[1:] for row in UNUSABLE], ids=[row[0] for row in UNUSABLE])
def test_an_unusable_plugin_is_a_failure_by_name_and_the_rest_goes_on(
    plugin: Any, attributes: dict[str, Any], sentence: str
) -> None:
    sound = a_rule("shop-clamp")
    collected = collect([plugin("bad", **attributes), plugin("good", buildcheck_rules=offering(sound))])
    assert without_lines(collected.failures) == [PluginFailure("bad", sentence)]
    assert [parts_of(rule) for rule in collected.rules] == [parts_of(sound)]


def test_a_plugin_that_cannot_be_imported(plugin: Any) -> None:
    group = plugins.ENTRY_POINT_GROUP
    points = [
        EntryPoint("gone", "no_such_module_anywhere", group),
        EntryPoint("bare", f"{plugin().value}:nothing", group),
        plugin("good", buildcheck_rules=offering(a_rule())),
    ]
    collected = collect(points)
    assert [failure.plugin for failure in collected.failures] == ["gone", "bare"]
    assert collected.failures[0].sentence == "ModuleNotFoundError: No module named 'no_such_module_anywhere'"
    assert collected.failures[1].sentence.startswith("AttributeError: ")
    assert len(collected.rules) == 1


def test_a_name_that_is_taken_is_a_failure_and_the_plugins_other_rules_stay(plugin: Any) -> None:
    first, again, other = a_rule(), a_rule(), a_rule("shop-clamp")
    collected = collect(
        [plugin("one", buildcheck_rules=offering(first)), plugin("two", buildcheck_rules=offering(again, other))]
    )
    assert collected.failures == (PluginFailure("two", "its rule 'shop-hose' has a name that is already taken"),)
    assert [parts_of(rule) for rule in collected.rules] == [parts_of(first), parts_of(other)]


def test_an_interruption_while_loading_is_not_swallowed_and_names_the_plugin(plugin: Any) -> None:
    with pytest.raises(KeyboardInterrupt, match="the plugin hangs was being loaded"):
        collect([plugin("hangs", buildcheck_rules=raising(KeyboardInterrupt()))])


def test_a_plugin_that_is_slow_to_load_is_told_with_its_time_and_its_rules_are_used(
    plugin: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    clock = iter([0.0, 1.26, 5.0, 5.9])
    monkeypatch.setattr(plugins.time, "monotonic", lambda: next(clock))
    slow, quick = plugin("slow", buildcheck_rules=offering(a_rule())), plugin("quick", **quantities_of(a_quantity()))
    collected = collect([slow, quick])
    assert collected.failures == (PluginFailure("slow", "it is slow: it took 1.3 s to load"),)
    assert [rule.name for rule in collected.rules] == ["shop-hose"]
