"""The classes of the build and the schema of the spec say the same, in both directions, so that neither can drift."""

from __future__ import annotations

from enum import StrEnum
from types import UnionType
from typing import Annotated, Any, get_args, get_origin

import pytest

from buildcheck.build import Build, Part, Point, Sides, Stage, Vector
from buildcheck.build.part import METALS, MetalName, NamedPart, fields
from buildcheck.job.layout import ASSUMED_STIFFNESS
from buildcheck.spec.schema import schema
from buildcheck.strength.bolts import PROOF_STRENGTH
from buildcheck.testing.rewritten import resolved

SIDES = {"both", "left", "right", "centre"}
# Values that stay as they are written, because what they mean is known only from elsewhere in the spec.
AS_WRITTEN = {"records.measured.value", "records.measured.tolerance", "shop"}


def differences(kind: Any, node: Any, path: str, seen: set[type]) -> list[str]:
    """Where a declared field and its piece of the schema differ."""
    node = resolved(node)
    if get_origin(kind) is Annotated:
        wanted = node.get("quantity", {}).get("dimension")
        return [] if wanted == get_args(kind)[1] else [f"{path} is {get_args(kind)[1]}, in the schema {wanted}"]
    if kind in (Point, Vector):
        name = kind.__name__.lower()
        return [] if node is schema()["$defs"][name] else [f"{path} is no {name} in the schema"]
    if get_origin(kind) is Sides:
        keys = set(node.get("properties", ()))
        if not {"both", "left", "right"} <= keys <= SIDES or node["additionalProperties"] is not False:
            return [f"{path} has no sides in the schema"]
        return [
            line
            for key in sorted(keys)
            for line in differences(get_args(kind)[0], node["properties"][key], f"{path}.{key}", seen)
        ]
    if get_origin(kind) is dict:
        inner = node.get("additionalProperties")
        if not isinstance(inner, dict) or "propertyNames" not in node:
            return [f"{path} has no names of its own in the schema"]
        return differences(get_args(kind)[1], inner, f"{path}.*", seen)
    if get_origin(kind) is tuple:
        one_or_more = [node.get("type")] if isinstance(node.get("type"), str) else node.get("type", [])
        if "array" not in one_or_more or "maxItems" not in node:
            return [f"{path} is no list with an end in the schema"]
        return differences(get_args(kind)[0], node["items"], path, seen)
    if kind is Any:
        return [] if path in AS_WRITTEN else [f"{path} is not read"]
    assert not isinstance(kind, UnionType), f"{path}: nothing is optional in a declaration"
    if issubclass(kind, Part):
        return part_differences(kind, node, path, seen)
    if issubclass(kind, StrEnum):
        return [] if node.get("enum") == list(kind) else [f"{path} has other choices in the schema"]
    if kind is MetalName:
        return [] if tuple(node.get("enum", ())) == METALS else [f"{path} is no metal in the schema"]
    wanted_type = {str: "string", bool: "boolean", int: "integer", float: "number"}[kind]
    return [] if node.get("type") == wanted_type and "quantity" not in node else [f"{path} is no {wanted_type}"]


def part_differences(kind: type[Part], node: Any, path: str, seen: set[type]) -> list[str]:
    seen.add(kind)
    if node.get("type") != "object" or node.get("additionalProperties") is not False:
        return [f"{path} is no closed group of keys in the schema"]
    declared, written = fields(kind), node["properties"]
    found = [f"{path}: {name} is declared, and not in the schema" for name in declared if name not in written]
    found += [f"{path}: {name} is in the schema, and not declared" for name in written if name not in declared]
    for name in declared:
        if name in written:
            inner = f"{path}.{name}" if path else name
            found += differences(declared[name], written[name], inner, seen)
    return found


def all_parts() -> set[type[Part]]:
    found: set[type[Part]] = set()
    waiting = [Part]
    while waiting:
        for kind in waiting.pop().__subclasses__():
            if kind.__module__.startswith("buildcheck."):
                found.add(kind)
                waiting.append(kind)
    return found


def test_every_class_agrees_with_the_schema_in_both_directions() -> None:
    seen: set[type] = set()
    assert differences(Build, schema(), "", seen) == []
    assert seen == all_parts() - {NamedPart}, "a class that no spec can fill"


def test_a_difference_would_be_found() -> None:
    class Tyre(Part):
        diameter: Annotated[float, "mass"]
        colour: str

    node = {
        "type": "object",
        "additionalProperties": False,
        "properties": {"diameter": {"quantity": {"dimension": "length"}}, "width": {}},
    }
    Tyre.__annotations__.update(diameter=Annotated[float, "mass"], colour=str)
    assert differences(Tyre, node, "tyre", set()) == [
        "tyre: colour is declared, and not in the schema",
        "tyre: width is in the schema, and not declared",
        "tyre.diameter is mass, in the schema length",
    ]


@pytest.mark.parametrize("kind", sorted(all_parts(), key=lambda kind: kind.__name__), ids=lambda kind: kind.__name__)
def test_no_field_hides_an_attribute_that_every_part_has(kind: type[Part]) -> None:
    assert not set(fields(kind)) & (set(dir(Part)) | Part.NOT_IN_THE_SPEC)


def test_every_choice_of_the_schema_has_what_is_computed_from_it() -> None:
    definitions = schema()["$defs"]
    assert set(definitions["joint"]["properties"]["kind"]["enum"]) == set(ASSUMED_STIFFNESS) - {"typical"}
    assert set(definitions["bolts"]["properties"]["grade"]["enum"]) == set(PROOF_STRENGTH)
    assert definitions["measurement"]["properties"]["stage"]["enum"] == list(Stage)


def test_a_definition_that_nothing_refers_to_is_dead() -> None:
    referred: set[str] = set()

    def walk(node: Any) -> None:
        if isinstance(node, dict):
            if isinstance(node.get("$ref"), str):
                referred.add(node["$ref"].rpartition("/")[2])
            for held in node.values():
                walk(held)
        elif isinstance(node, list):
            for held in node:
                walk(held)

    walk(schema())
    assert referred == set(schema()["$defs"])


def test_every_key_is_described_for_whoever_writes_one() -> None:
    bare: list[str] = []

    def walk(node: Any, path: str) -> None:
        for key, held in node.get("properties", {}).items():
            if not held.get("description") and not resolved(held).get("description"):
                bare.append(f"{path}.{key}")
            walk(held, f"{path}.{key}")

    walk(schema(), "")
    for name, node in schema()["$defs"].items():
        assert node.get("description"), name
        walk(node, name)
    assert bare == []
