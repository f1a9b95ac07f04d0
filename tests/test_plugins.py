"""Rules from plugins: each that is unusable is a failure by name, and the rest goes on."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from importlib.metadata import EntryPoint
from types import ModuleType
from typing import Any

import pytest

from buildcheck import api, plugins
from buildcheck.api import Area, Requirement, Rule, common_practice, rule, rules_hook
from buildcheck.plugins import BUILT_IN, INTERFACE, PluginFailure, collect, installed_plugins

PRACTICE = common_practice("as it is done")
NEED = Requirement("fixed", "it is fixed", PRACTICE)
SOUND_PAGE = "The hose is fixed.\n\nWhat it checks: the hose."


def a_rule(name: str = "shop-hose", page: str = SOUND_PAGE, **more: Any) -> Rule:
    def function(job: object, build: object) -> Iterator[Any]:
        yield from ()

    function.__doc__ = page
    settings: dict[str, Any] = {"area": Area.SAFETY, "subject": "build", "limits": (NEED,), **more}
    return rule(name, **settings)(function)


@pytest.fixture
def plugin(monkeypatch: pytest.MonkeyPatch) -> Callable[..., EntryPoint]:
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


def test_a_sound_plugin_adds_its_rules(plugin: Any) -> None:
    one, other = a_rule(), a_rule("shop-clamp")
    collected = collect([plugin(buildcheck_rules=offering(one, other))])
    assert collected.rules == (one, other)
    assert collected.failures == ()


def test_the_built_in_rules_come_in_by_the_same_door() -> None:
    points = installed_plugins()
    assert points[0].value == BUILT_IN
    collected = collect()
    assert collected.failures == ()
    assert {"link-flatness", "limit-strap-length"} <= {added.name for added in collected.rules}
    assert collect([point for point in points if point.value == BUILT_IN]).rules == collected.rules


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


UNUSABLE: list[tuple[str, dict[str, Any], str]] = [
    (
        "no interface stated",
        {"BUILDCHECK_INTERFACE": None, "buildcheck_rules": offering(a_rule())},
        "it does not state BUILDCHECK_INTERFACE; this version offers 1",
    ),
    (
        "another interface",
        {"BUILDCHECK_INTERFACE": 2, "buildcheck_rules": offering(a_rule())},
        "it needs interface 2 of buildcheck; this version offers 1",
    ),
    (
        "a forgotten marker",
        {"buildcheck_rules": unmarked},
        "it implements no hook of buildcheck; mark buildcheck_rules with @rules_hook",
    ),
    (
        "a misspelt hook",
        {"buildcheck_rule": buildcheck_rule},
        "it marks a hook that buildcheck does not have; the one it has is buildcheck_rules",
    ),
    ("a hook that raises", {"buildcheck_rules": raising(RuntimeError("no licence\nmore"))}, "RuntimeError: no licence"),
    ("a hook that leaves", {"buildcheck_rules": raising(SystemExit())}, "SystemExit: no message"),
    (
        "a hook that returns nothing",
        {"buildcheck_rules": returning_nothing()},
        "its buildcheck_rules returns NoneType; return the rules, in a list",
    ),
    (
        "no rule",
        {"buildcheck_rules": offering("hose")},
        "it offers str, which is not a rule; make one with @rule",
    ),
    (
        "a rule without a page",
        {"buildcheck_rules": offering(a_rule(page="The hose is fixed."))},
        "its rule 'shop-hose' has no page; write a docstring of a title and a text",
    ),
    (
        "a rule without a docstring",
        {"buildcheck_rules": offering(a_rule(page=""))},
        "its rule 'shop-hose' has no page; write a docstring of a title and a text",
    ),
    (
        "a limit without a basis",
        {"buildcheck_rules": offering(a_rule(limits=(Requirement("fixed", "it is fixed", common_practice("")),)))},
        "its rule 'shop-hose' has a limit without a basis",
    ),
    (
        "a limit that is none",
        {"buildcheck_rules": offering(a_rule(limits=("1 in",)))},
        "its rule 'shop-hose' has a limit without a basis",
    ),
    (
        "a name with capitals",
        {"buildcheck_rules": offering(a_rule("ShopHose"))},
        "its rule 'ShopHose' needs a name of small letters and hyphens, such as link-flatness",
    ),
    (
        "an area of its own",
        {"buildcheck_rules": offering(a_rule(area="hoses"))},
        "its rule 'shop-hose' needs one of the areas and one of the stages of buildcheck.api",
    ),
    (
        "a stage of its own",
        {"buildcheck_rules": offering(a_rule(from_stage="painted"))},
        "its rule 'shop-hose' needs one of the areas and one of the stages of buildcheck.api",
    ),
]


@pytest.mark.parametrize(("attributes", "sentence"), [row[1:] for row in UNUSABLE], ids=[row[0] for row in UNUSABLE])
def test_an_unusable_plugin_is_a_failure_by_name_and_the_rest_goes_on(
    plugin: Any, attributes: dict[str, Any], sentence: str
) -> None:
    sound = a_rule("shop-clamp")
    collected = collect([plugin("bad", **attributes), plugin("good", buildcheck_rules=offering(sound))])
    assert collected.failures == (PluginFailure("bad", sentence),)
    assert collected.rules == (sound,)


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
    assert collected.rules[0] is first
    assert collected.rules[1] is other


def test_an_interruption_while_loading_is_not_swallowed(plugin: Any) -> None:
    with pytest.raises(KeyboardInterrupt):
        collect([plugin(buildcheck_rules=raising(KeyboardInterrupt()))])


def test_the_public_interface_is_exact_and_sorted() -> None:
    public = {
        name for name, value in vars(api).items() if not name.startswith("_") and not isinstance(value, ModuleType)
    }
    assert set(api.__all__) == public
    assert list(api.__all__) == sorted(api.__all__)
    assert len(set(api.__all__)) == len(api.__all__)


@pytest.mark.parametrize("name", api.__all__)
def test_every_public_name_is_documented(name: str) -> None:
    value = getattr(api, name)
    if name == "Finding":  # a name for two classes, each documented
        assert all(kind.__doc__ for kind in value.__args__)
        return
    text = vars(value).get("__doc__") if isinstance(value, type) else value.__doc__
    assert text, f"{name} has no docstring"
    assert not text.startswith(f"{name}("), f"{name} has only the docstring that a dataclass makes of itself"
