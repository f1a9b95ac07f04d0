"""What plugins offer beside rules: refused by name where it is not whole, and there while it is in use."""

from __future__ import annotations

from collections.abc import Callable
from importlib.metadata import EntryPoint
from typing import Any

import pytest
from made_plugins import (
    a_quantity,
    a_rule,
    fields_of,
    maker,
    offering,
    offers,
    parts_of,
    quantities_of,
    room,
    without_lines,
)

from buildcheck.api import (
    BoltGrade,
    Dimension,
    Family,
    JointKind,
    Metal,
    OutputFormat,
    ShopFields,
)
from buildcheck.job.quantities import families, of_no_part
from buildcheck.plugins.loading import PluginFailure, collect
from buildcheck.spec.additions import NOTHING_ADDED


@pytest.fixture
def plugin(monkeypatch: pytest.MonkeyPatch) -> Callable[..., EntryPoint]:
    return maker(monkeypatch)


UNUSABLE: list[tuple[str, dict[str, Any], str]] = [
    (
        "one thing in place of a list",
        {"buildcheck_outputs": offers("buildcheck_outputs", OutputFormat("count", str))},
        "its buildcheck_outputs returns OutputFormat; return the outputs, in a list",
    ),
    (
        "a thing of another kind",
        {"buildcheck_quantities": offers("buildcheck_quantities", [a_rule()])},
        "it offers Rule, which is not a quantity; make one with Quantity or Family (tests/made_plugins.py)",
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
        "the schema of its shop.ours is not a valid JSON Schema: 'txt' is not valid under any of the given schemas",
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
        "the schema of its shop.ours is not a valid JSON Schema: '(' is not a 'regex'",
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
    assert without_lines(collected.failures) == [PluginFailure("bad", sentence)]
    assert [parts_of(rule) for rule in collected.rules] == [parts_of(sound)]


def everything() -> dict[str, Any]:
    return {
        **quantities_of(
            a_quantity(), Family("coilover", "coilover", "lean", "lean", "its lean", Dimension.ANGLE, room)
        ),
        **fields_of(ShopFields("ours", {"type": "object"})),
        "buildcheck_outputs": offers("buildcheck_outputs", [OutputFormat("count", str)]),
        "buildcheck_joint_kinds": offers("buildcheck_joint_kinds", [JointKind("dry-bushing", "2e7 N/m")]),
        "buildcheck_bolt_grades": offers("buildcheck_bolt_grades", [BoltGrade("shop-9", "900 MPa", "25 mm")]),
        "buildcheck_metals": offers("buildcheck_metals", [Metal("shop-iron", "gray-iron")]),
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
        ("metals", "shop-iron"),
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
        "its metal 'shop-iron' has a name that is already taken",
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


def test_what_plugins_add_is_one_frozen_value(plugin: Any) -> None:
    additions = collect([plugin("shop", **everything())]).additions
    assert additions.joint_kinds == {"dry-bushing": 2e7}
    assert additions.bolt_grades == {"shop-9": ((0.025, 900e6),)}
    assert additions.metals == {"shop-iron": "gray-iron"}
    assert additions.shop_fields == {"ours": {"type": "object"}}
    assert set(additions.quantities) == {"hose-room", "coilover-lean"}
    with pytest.raises(TypeError):
        additions.metals["other"] = "gray-iron"  # type: ignore[index]
    with pytest.raises(AttributeError):
        additions.metals = {}  # type: ignore[misc]


def test_a_collection_gives_the_same_additions_each_time(plugin: Any) -> None:
    collected = collect([plugin("shop", **everything())])
    assert collected.additions is collected.additions
    assert hash(collected.additions) != hash(collect([plugin("shop", **everything())]).additions)


def test_quantities_of_a_plugin_are_known_to_its_own_builds_alone(plugin: Any) -> None:
    additions = collect([plugin("shop", **everything())]).additions
    added = {each.name for each in of_no_part(additions)} - {each.name for each in of_no_part(NOTHING_ADDED)}
    assert added == {"hose-room"}
    of_parts = {each.family for each in families(additions)} - {each.family for each in families(NOTHING_ADDED)}
    assert of_parts == {"coilover-lean"}
