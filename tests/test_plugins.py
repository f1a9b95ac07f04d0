"""Rules from plugins: each that is unusable is a failure by name, and the rest goes on."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from importlib.metadata import EntryPoint
from types import ModuleType
from typing import Any

import pytest

from buildcheck import plugins
from buildcheck.api import (
    Area,
    BoltGrade,
    Dimension,
    Family,
    JointKind,
    MovingAxle,
    OutputFormat,
    Quantity,
    Requirement,
    Rule,
    ShopFields,
    common_practice,
    hook,
    rule,
    rules_hook,
)
from buildcheck.job.layout import ASSUMED_STIFFNESS
from buildcheck.job.quantities import ADDED, families, of_no_part
from buildcheck.plugins import BUILT_IN, INTERFACE, PluginFailure, collect, in_use, installed_plugins
from buildcheck.schema import ADDED_NAMES, OWNED_FIELDS
from buildcheck.strength import PROOF_STRENGTH

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
        "an interface that is no number",
        {"BUILDCHECK_INTERFACE": "1", "buildcheck_rules": offering(a_rule())},
        "it needs interface '1' of buildcheck; this version offers 1",
    ),
    (
        "a forgotten marker",
        {"buildcheck_rules": unmarked},
        "it implements no hook of buildcheck; mark buildcheck_rules with @rules_hook",
    ),
    (
        "a misspelt hook",
        {"buildcheck_rule": buildcheck_rule},
        "it marks a hook that buildcheck does not have; those it has are buildcheck_rules, buildcheck_quantities, "
        "buildcheck_shop_fields, buildcheck_outputs, buildcheck_joint_kinds, buildcheck_bolt_grades",
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
    (
        "one thing in place of a list",
        {"buildcheck_outputs": offers("buildcheck_outputs", OutputFormat("count", str))},
        "its buildcheck_outputs returns OutputFormat; return the outputs, in a list",
    ),
    (
        "a thing of another kind",
        {"buildcheck_quantities": offers("buildcheck_quantities", [a_rule()])},
        "it offers Rule, which is not a quantity; make one with Quantity or Family",
    ),
    (
        "a quantity with capitals",
        quantities_of(a_quantity(name="Room")),
        "its quantity 'Room' needs a name of small letters and hyphens, such as coilover-length",
    ),
    (
        "a quantity without a dimension",
        quantities_of(a_quantity(dimension="length")),
        "its quantity 'hose-room' needs a Dimension of buildcheck.api and a function that computes it",
    ),
    (
        "a quantity without a meaning",
        quantities_of(a_quantity(meaning="")),
        "its quantity 'hose-room' needs words for its heading, its meaning with its sign, and what it belongs to",
    ),
    (
        "a quantity of parts that there are none of",
        quantities_of(Family("hose", "hose", "room", "room", "room of the {part}", Dimension.LENGTH, room)),
        "its quantity 'room' is of the unknown kind of part 'hose'",
    ),
    (
        "a meaning with braces of its own",
        quantities_of(Family("coilover", "coilover", "room", "room", "room {left}", Dimension.LENGTH, room)),
        "its quantity 'room' may have {part} in its meaning, and no other braces",
    ),
    (
        "two keys",
        fields_of(ShopFields("one", {}), ShopFields("two", {})),
        "it owns one, two under shop; a plugin owns one key",
    ),
    (
        "a key with capitals",
        fields_of(ShopFields("Ours", {})),
        "its key 'Ours' under shop needs small letters, digits and underscores, as our_shop has",
    ),
    ("no schema", fields_of(ShopFields("ours", [])), "the schema of its shop.ours is list, and not a JSON Schema"),
    (
        "a wrong schema",
        fields_of(ShopFields("ours", {"type": "txt"})),
        "the schema of its shop.ours is no JSON Schema: 'txt' is not valid under any of the given schemas",
    ),
    (
        "a misspelt keyword deep in a schema",
        fields_of(ShopFields("ours", {"properties": {"bay": {"anyOf": [{"tpye": "integer"}]}}})),
        "the schema of its shop.ours has the keyword 'tpye', which is unknown",
    ),
    (
        "a schema that refers elsewhere",
        fields_of(ShopFields("ours", {"items": {"$ref": "https://example.com/a.json"}})),
        "the schema of its shop.ours refers to 'https://example.com/a.json', which is not in it",
    ),
    (
        "a schema that refers to what it lacks",
        fields_of(ShopFields("ours", {"$ref": "#/$defs/bay"})),
        "the schema of its shop.ours refers to '#/$defs/bay', which is not in it",
    ),
    (
        "a pattern that is none",
        fields_of(ShopFields("ours", {"patternProperties": {"(": {}}})),
        "the schema of its shop.ours is no JSON Schema: '(' is not a 'regex'",
    ),
    (
        "a quantity of no dimension",
        fields_of(ShopFields("ours", {"quantity": {"dimension": "colour", "from": "0 in", "to": "1 in"}})),
        'the schema of its shop.ours has a quantity that is not written like {"dimension": "length", "from": "0 in", '
        '"to": "4 in"}: \'colour\' is not a valid Dimension',
    ),
    (
        "a quantity upside down",
        fields_of(ShopFields("ours", {"quantity": {"dimension": "length", "from": "2 in", "to": "1 in"}})),
        "the schema of its shop.ours has a quantity from 2 in down to 1 in",
    ),
    (
        "an output that is no function",
        {"buildcheck_outputs": offers("buildcheck_outputs", [OutputFormat("count", "text")])},  # type: ignore[arg-type]
        "its output 'count' needs a function that writes it",
    ),
    (
        "a joint as stiff as a length",
        {"buildcheck_joint_kinds": offers("buildcheck_joint_kinds", [JointKind("dry-bushing", "0 lb/in")])},
        "its joint kind 'dry-bushing' needs amounts above zero",
    ),
    (
        "a grade with a space",
        {"buildcheck_bolt_grades": offers("buildcheck_bolt_grades", [BoltGrade("shop 9", "130 ksi", "1 in")])},
        "its bolt grade 'shop 9' needs a name of small letters, digits, dots and hyphens",
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


def test_an_interruption_while_loading_is_not_swallowed_and_names_the_plugin(plugin: Any) -> None:
    with pytest.raises(KeyboardInterrupt, match="the plugin hangs was being loaded"):
        collect([plugin("hangs", buildcheck_rules=raising(KeyboardInterrupt()))])


def everything() -> dict[str, Any]:
    return {
        **quantities_of(
            a_quantity(), Family("coilover", "coilover", "lean", "lean", "its lean", Dimension.ANGLE, room)
        ),
        **fields_of(ShopFields("ours", {"type": "object"})),
        "buildcheck_outputs": offers("buildcheck_outputs", [OutputFormat("count", str)]),
        "buildcheck_joint_kinds": offers("buildcheck_joint_kinds", [JointKind("dry-bushing", "2e7 N/m")]),
        "buildcheck_bolt_grades": offers("buildcheck_bolt_grades", [BoltGrade("shop-9", "900 MPa", "25 mm")]),
        "buildcheck_rules": offering(a_rule()),
    }


def test_whatever_a_plugin_offers_is_collected_with_its_owner(plugin: Any) -> None:
    collected = collect([plugin("shop", **everything())])
    assert collected.failures == ()
    assert [quantity.name for quantity in collected.quantities] == ["hose-room", "lean"]
    assert set(collected.owners) == {
        ("rules", "shop-hose"),
        ("quantities", "hose-room"),
        ("quantities", "coilover-lean"),
        ("shop_fields", "ours"),
        ("outputs", "count"),
        ("joint_kinds", "dry-bushing"),
        ("bolt_grades", "shop-9"),
    }
    assert set(collected.owners.values()) == {"shop"}


def test_a_second_plugin_with_the_same_names_is_told_each_of_them(plugin: Any) -> None:
    collected = collect([plugin("one", **everything()), plugin("two", **everything())])
    assert {failure.plugin for failure in collected.failures} == {"two"}
    assert [failure.sentence for failure in collected.failures] == [
        "its rule 'shop-hose' has a name that is already taken",
        "its quantity 'hose-room' has a name that is already taken",
        "its quantity 'coilover-lean' has a name that is already taken",
        "its shop field 'ours' has a name that is already taken",
        "its output 'count' has a name that is already taken",
        "its joint kind 'dry-bushing' has a name that is already taken",
        "its bolt grade 'shop-9' has a name that is already taken",
    ]


@pytest.mark.parametrize(
    ("offered", "what"),
    [
        (quantities_of(a_quantity(name="roll-steer")), "quantity 'roll-steer'"),
        (
            quantities_of(Family("coilover", "coilover", "length", "l", "length", Dimension.LENGTH, room)),
            "quantity 'coilover-length'",
        ),
        ({"buildcheck_outputs": offers("buildcheck_outputs", [OutputFormat("json", str)])}, "output 'json'"),
        (
            {"buildcheck_joint_kinds": offers("buildcheck_joint_kinds", [JointKind("rubber", "1 N/m")])},
            "joint kind 'rubber'",
        ),
        (
            {"buildcheck_bolt_grades": offers("buildcheck_bolt_grades", [BoltGrade("sae-8", "1 MPa", "1 in")])},
            "bolt grade 'sae-8'",
        ),
    ],
)
def test_the_names_of_buildchecks_own_are_taken(plugin: Any, offered: dict[str, Any], what: str) -> None:
    collected = collect([plugin("shop", **offered)])
    assert collected.failures == (PluginFailure("shop", f"its {what} has a name that is already taken"),)


def test_what_plugins_add_is_there_while_in_use_and_gone_after(plugin: Any) -> None:
    def known() -> list[set[Any]]:
        found = [ADDED, OWNED_FIELDS, ASSUMED_STIFFNESS, PROOF_STRENGTH, ADDED_NAMES]
        return [set(each) for each in found] + [{q.name for q in of_no_part()}, {f.family for f in families()}]

    before = known()
    with in_use(collect([plugin("shop", **everything())])):
        within = known()
        assert ASSUMED_STIFFNESS["dry-bushing"] == 2e7
        assert PROOF_STRENGTH["shop-9"] == ((0.025, 900e6),)
    assert [now - then for now, then in zip(within, before, strict=True)] == [
        {"hose-room", "coilover-lean"},
        {"ours"},
        {"dry-bushing"},
        {"shop-9"},
        {("joint.kind", "dry-bushing"), ("bolts.grade", "shop-9"), ("joint_bolt.grade", "shop-9")},
        {"hose-room"},
        {"coilover-lean"},
    ]
    assert known() == before


def test_a_plugin_that_is_slow_to_load_is_told_with_its_time_and_its_rules_are_used(
    plugin: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    clock = iter([0.0, 1.26, 5.0, 5.9])
    monkeypatch.setattr(plugins.time, "monotonic", lambda: next(clock))
    slow, quick = plugin("slow", buildcheck_rules=offering(a_rule())), plugin("quick", **quantities_of(a_quantity()))
    collected = collect([slow, quick])
    assert collected.failures == (PluginFailure("slow", "it is slow: it took 1.3 s to load"),)
    assert [rule.name for rule in collected.rules] == ["shop-hose"]
