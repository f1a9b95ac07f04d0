"""The schemas themselves: no unknown keyword, nothing undescribed, no object left open, every example valid."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from buildcheck.build import Stage
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Area
from buildcheck.spec.quantity import Dimension, System
from buildcheck.spec.schema import _validator, schema

SPEC, READINGS, STANDARD = "build-spec.schema.json", "readings.schema.json", "shop-standard.schema.json"
SIGN_OFF, ORDER, COMPARISON = "sign-off.schema.json", "order.schema.json", "comparison.schema.json"
NAMES = (SPEC, READINGS, STANDARD, SIGN_OFF, ORDER, COMPARISON)

# Keywords of the draft whose value is a schema, a list of schemas, or schemas by name; those with plain values; ours.
ONE = {"items", "contains", "not", "if", "then", "else", "propertyNames", "additionalProperties"}
MANY = {"allOf", "anyOf", "prefixItems"}
BY_NAME = {"properties", "$defs", "dependentSchemas"}
PLAIN = {
    "$schema", "$id", "$ref", "title", "description", "examples", "type", "required", "const", "enum", "pattern",
    "format", "minimum", "maximum", "minLength", "maxLength", "minItems", "maxItems", "minProperties",
    "pluginsAdd",
}  # fmt: skip
OURS = set(_validator(System.METRIC).VALIDATORS) - set(Draft202012Validator.VALIDATORS)
# Objects that are meant to be open: a shop's own fields, which the plugin that owns them checks.
OPEN = {(SPEC, "/properties/shop")}
CONDITIONS = ("/if", "/then", "/else", "/not", "/contains", "/dependentSchemas/", "/propertyNames", "/allOf", "/anyOf")


def parts(node: Any, at: str = "") -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Every schema within a schema, with where it stands."""
    if not isinstance(node, dict):
        return
    yield at, node
    for keyword, value in node.items():
        if keyword in ONE:
            yield from parts(value, f"{at}/{keyword}")
        elif keyword in MANY:
            for index, each in enumerate(value):
                yield from parts(each, f"{at}/{keyword}/{index}")
        elif keyword in BY_NAME:
            for name, each in value.items():
                yield from parts(each, f"{at}/{keyword}/{name}")


def described_parts(name: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """The same without the parts of conditions, which only tell cases apart."""
    return ((at, node) for at, node in parts(schema(name)) if not any(word in at for word in CONDITIONS))


def resolved(name: str, node: Mapping[str, Any]) -> Mapping[str, Any]:
    """A schema with what it refers to; its own words go first."""
    while "$ref" in node:
        target = schema(name)["$defs"][node["$ref"].removeprefix("#/$defs/")]
        node = {**target, **{key: value for key, value in node.items() if key != "$ref"}}
    return node


@pytest.mark.parametrize("name", NAMES)
def test_every_keyword_is_one_of_the_draft_or_ours(name: str) -> None:
    Draft202012Validator.check_schema(schema(name))
    known = ONE | MANY | BY_NAME | PLAIN | OURS
    unknown = {(at, word) for at, node in parts(schema(name)) for word in node if word not in known}
    assert unknown == set()


@pytest.mark.parametrize("name", NAMES)
def test_the_top_is_an_object_so_that_an_empty_file_is_not_valid(name: str) -> None:
    assert schema(name)["type"] == "object"
    assert not Draft202012Validator(schema(name)).is_valid(None)
    assert not Draft202012Validator(schema(name)).is_valid({})


@pytest.mark.parametrize("name", NAMES)
def test_every_property_is_described_and_has_a_type(name: str) -> None:
    bare = [
        at
        for at, node in described_parts(name)
        if at and at.rsplit("/", 2)[-2] in ("properties", "$defs") and not resolved(name, node).get("description")
    ]
    untyped = [at for at, node in described_parts(name) if "type" not in resolved(name, node)]
    assert (bare, untyped) == ([], [])


@pytest.mark.parametrize("name", NAMES)
def test_every_object_is_closed(name: str) -> None:
    open_ones = {
        (name, at)
        for at, node in described_parts(name)
        if "object" in node.get("type", ()) and not isinstance(node.get("additionalProperties", True), dict)
        if node.get("additionalProperties", True) is not False
    }
    assert open_ones == {place for place in OPEN if place[0] == name}


@pytest.mark.parametrize("name", NAMES)
def test_every_required_key_is_a_property(name: str) -> None:
    stray = [
        (at, key)
        for at, node in described_parts(name)
        for key in node.get("required", ())
        if key not in node.get("properties", {})
    ]
    assert stray == []


@pytest.mark.parametrize("name", NAMES)
def test_every_reference_leads_somewhere_and_every_definition_is_used(name: str) -> None:
    used = {node["$ref"] for _, node in parts(schema(name)) if "$ref" in node}
    assert used == {f"#/$defs/{defined}" for defined in schema(name)["$defs"]}


@pytest.mark.parametrize("system", System)
@pytest.mark.parametrize("name", NAMES)
def test_every_example_is_valid(name: str, system: System) -> None:
    """By buildcheck's own validator, which knows quantities; the examples of a spec in both systems of units."""
    base = type(_validator(system)) if name == SPEC else Draft202012Validator
    wrong, tried = [], 0
    for at, node in described_parts(name):
        validator = base({**copy.deepcopy(dict(node)), "$defs": schema(name)["$defs"]})
        for example in node.get("examples", ()):
            tried += 1
            wrong += [(at, example, error.message) for error in validator.iter_errors(example)]
    assert wrong == []
    assert tried > 30


@pytest.mark.parametrize("name", NAMES)
def test_every_value_that_is_no_object_has_an_example(name: str) -> None:
    bare = [
        at
        for at, node in described_parts(name)
        if "/properties/" in at
        and at.rsplit("/", 2)[-2] == "properties"
        and resolved(name, node)["type"] not in ("object", "array")
        and not resolved(name, node).get("examples")
        and resolved(name, node)["type"] != ["object", "null"]
    ]
    assert bare == []


def test_the_words_of_the_readings_are_those_of_the_code() -> None:
    reading = schema(READINGS)["$defs"]["reading"]["properties"]
    spec = schema(READINGS)["$defs"]["spec"]["properties"]
    assert reading["area"]["enum"] == [area.value for area in Area]
    assert reading["verdict"]["enum"] == [verdict.value for verdict in Verdict]
    assert reading["dimension"]["enum"] == [*(dimension.value for dimension in Dimension), None]
    assert spec["stage"]["enum"] == [stage.value for stage in Stage]
    assert spec["left_for_later"]["items"]["properties"]["from_stage"]["enum"] == [stage.value for stage in Stage]
    assert spec["build"]["properties"]["units"]["enum"] == [system.value for system in System]
    assert schema(SPEC)["$defs"]["build_information"]["properties"]["stage"]["enum"] == [stage.value for stage in Stage]
