"""The JSON Schema of a spec, made from the field declarations of the classes of the build."""

from __future__ import annotations

import re
from collections.abc import Iterator
from enum import StrEnum
from typing import Annotated, Any, get_args, get_origin

from buildcheck.build import forms
from buildcheck.build.build import Build
from buildcheck.build.field import Field
from buildcheck.build.part import METALS, MetalName, Part, Point, Sides, Vector, fields
from buildcheck.spec.quantity import Dimension

Node = dict[str, Any]
Definitions = dict[str, tuple[Any, Node]]
"""The entries of `$defs`: by name, the kind of value and its schema."""

SIDE_WORDS = {
    "both": "The same on both sides, written as the left one; the right is its mirror image.",
    "left": "The left one, as the driver sees it; y is positive.",
    "right": "The right one; y is negative.",
    "centre": "A single one at or near the middle of the vehicle.",
}


def spec_schema() -> Node:
    """The schema of a build spec."""
    top = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "urn:buildcheck:build-spec:1",
        "title": "buildcheck build spec",
    }
    return top | schema_of(Build)


def schema_of(kind: type[Part]) -> Node:
    """The schema of a part in a spec: its keys, and under `$defs` the parts in it.

    Raises ValueError for a class that does not say what it must of one of its fields.
    """
    if not issubclass(kind, Part):
        raise ValueError(f"{kind.__name__} is no Part of buildcheck.api")
    definitions: Definitions = {}
    whole = _group(kind, definitions)
    return whole | ({"$defs": {name: node for name, (_, node) in definitions.items()}} if definitions else {})


def _group(kind: type[Part], definitions: Definitions) -> Node:
    declared = fields(kind)
    needed = [name for name in declared if kind.SAID[name].needed]
    for name, held in declared.items():
        _refuse_unclear(f"{kind.__name__}.{name}", held, kind.SAID[name])
    return {
        "type": "object",
        "description": _class_words(kind),
        **({"required": needed} if needed else {}),
        "properties": {name: _field(declared[name], kind.SAID[name], definitions) for name in declared},
        "additionalProperties": False,
        **_conditions(kind),
    }


def _refuse_unclear(what: str, kind: Any, said: Field) -> None:
    """Raise ValueError for a field whose declaration does not say which values it may have."""
    if not isinstance(said, Field):
        raise ValueError(f"{what} is given {said!r}; what is said of it is `field(...)`")
    origin = get_origin(kind)
    whole = isinstance(kind, type) and (kind in SHARED or issubclass(kind, Part | StrEnum | str | int | float))
    if not said.as_written and not whole and origin not in (Annotated, Sides, dict, tuple):
        raise ValueError(f"{what} is of a kind that no field can be")
    if (origin is Annotated or kind in (int, float)) and not said.one_of and said.between is None:
        raise ValueError(f"{what} is a number, and needs between=(least, most)")
    if origin is tuple and not said.how_many[1]:
        raise ValueError(f"{what} is a list, and needs how_many=(least, most)")


def _field(kind: Any, said: Field, definitions: Definitions) -> Node:
    node = _value(kind, said, definitions)
    if said.words:
        node["description"] = said.words
    if said.example is not None:
        node["examples"] = [said.example]
    return node


def _value(kind: Any, said: Field, definitions: Definitions) -> Node:
    """Schema of a value, by its kind."""
    origin, inner = get_origin(kind), get_args(kind)
    if said.as_written:
        return dict(AS_WRITTEN[said.as_written])
    if origin is Annotated:
        return _amount(inner[1], said.between)
    if origin is Sides:
        return _sides(inner[0], definitions, ("both", "left", "right"))
    if origin is dict:
        return _named(inner[1], definitions)
    if origin is tuple:
        return _list(inner[0], said, definitions)
    if kind in SHARED:
        return _reference(kind, definitions)
    if issubclass(kind, Part):
        return _part(kind, definitions)
    if said.one_of or issubclass(kind, StrEnum):
        return _choice(kind, said.one_of or tuple(kind), said.plugins_add)
    if kind is str:
        text = dict(forms.FORMS[said.form]) if said.form else {"minLength": 1, "maxLength": said.longest}
        return {"type": "string", **text}
    if kind is bool:
        return {"type": "boolean", "examples": [True]}
    return {"type": "integer" if kind is int else "number", **_bounds(said.between, "minimum", "maximum")}


def _bounds(between: tuple[Any, Any] | None, least: str, most: str) -> Node:
    assert between is not None  # or the class had been refused
    return {least: between[0], most: between[1]}


def _amount(dimension: Dimension, between: tuple[str, str] | None) -> Node:
    typed: Node = {"type": ["number", "string"]}
    if dimension is Dimension.SPEED:
        typed = {"type": "string", "pattern": forms.WITH_UNIT}
    return {**typed, "quantity": {"dimension": dimension.value, **_bounds(between, "from", "to"), "basis": forms.BASIS}}


def _choice(kind: Any, choices: tuple[Any, ...], plugins_add: str) -> Node:
    if kind is int:
        (only,) = choices
        return {"type": "integer", "const": only, "examples": [only]}
    names = [str(choice) for choice in choices]
    added = {"pluginsAdd": plugins_add} if plugins_add else {}
    return {"type": "string", "enum": names, **added, "examples": names[:1]}


def _part(kind: type[Part], definitions: Definitions) -> Node:
    name = re.sub("(?<=[a-z])(?=[A-Z])", "_", kind.__name__).lower()
    if name not in definitions:
        definitions[name] = (kind, {})  # its place goes before those of the parts in it
        definitions[name] = (kind, _group(kind, definitions))
    if definitions[name][0] is not kind:
        raise ValueError(f"two classes are called {kind.__name__}")
    return {"$ref": f"#/$defs/{name}"}


def _reference(kind: Any, definitions: Definitions) -> Node:
    name, node = SHARED[kind]
    definitions.setdefault(name, (kind, node))
    return {"$ref": f"#/$defs/{name}"}


def _sides(kind: type[Part], definitions: Definitions, sides: tuple[str, ...]) -> Node:
    part = _part(kind, definitions)
    return {
        "type": "object",
        "properties": {side: {**part, "description": SIDE_WORDS[side]} for side in sides},
        "additionalProperties": False,
        "minProperties": 1,
        "dependentSchemas": {"both": {"allOf": [_without("left"), _without("right")]}},
    }


def _named(kind: Any, definitions: Definitions) -> Node:
    """Parts under names of the builder's own. One that may be on both sides may also be in the middle, and its name is
    none of a side."""
    if get_origin(kind) is Sides:
        (part,) = get_args(kind)
        inner = {**_sides(part, definitions, tuple(SIDE_WORDS)), "description": _class_words(part)}
        pattern = forms.NAME_BESIDE_SIDES
    else:
        inner, pattern = _part(kind, definitions), forms.NAME
    return {
        "type": "object",
        "additionalProperties": inner,
        "propertyNames": {"pattern": pattern},
        "minProperties": 1,
    }


def _list(kind: Any, said: Field, definitions: Definitions) -> Node:
    least, most = said.how_many
    # One of a kind that may be written without its list has the example of the field.
    item = _field(kind, Field(example=said.example) if said.or_one else Field(), definitions)
    node = {"type": "array", "items": item, **({"minItems": least} if least else {}), "maxItems": most}
    return {**item, **node, "type": [item["type"], "array"]} if said.or_one else node


def _conditions(kind: type[Part]) -> Node:
    """Conditions between the keys of a part."""
    assert not (kind.EXACTLY_ONE and kind.NEVER_TOGETHER), "each needs the `if` of the schema for itself"
    conditions: Node = {}
    if kind.VARIES_BY:
        conditions["allOf"] = list(_variants(kind))
    if kind.EXACTLY_ONE:
        one, other = kind.EXACTLY_ONE
        conditions |= {
            "dependentSchemas": {one: _without(other)},
            "if": _without(other),
            "then": {"required": [one]},
        }
    if kind.NEVER_TOGETHER:
        (first, this), (second, that) = kind.NEVER_TOGETHER.items()
        conditions |= {"if": _stated(first, {"const": this}), "then": _where_stated(second, {"not": {"const": that}})}
    return conditions


def _variants(kind: type[Part]) -> Iterator[Node]:
    """Return, for each choice of the field that a part varies by, the fields required and the fields refused."""
    declared = fields(kind)
    groups = {name: held for name, held in declared.items() if isinstance(held, type) and issubclass(held, Part)}
    for choice in kind.SAID[kind.VARIES_BY].one_of:
        needed = [name for name in declared if choice in kind.SAID[name].needed_for]
        inside = {
            name: {"if": {"type": "object"}, "then": refused}
            for name, held in groups.items()
            if held.GROUPS and (refused := _refused(held, choice))
        }
        then = {
            **({"required": needed} if needed else {}),
            **_refused(kind, choice),
            **({"properties": inside} if inside else {}),
        }
        yield {"if": _stated(kind.VARIES_BY, {"const": choice}), "then": then}


def _refused(kind: type[Part], choice: str) -> Node:
    """Condition that a part has no field that belongs to another choice."""
    others = [name for name in fields(kind) if kind.SAID[name].only_for not in ("", choice)]
    return {"allOf": [_without(name) for name in others]} if others else {}


def _without(key: str) -> Node:
    return {"not": {"required": [key]}}


def _stated(path: str, node: Node) -> Node:
    """Condition that a path is present and its value fits a schema."""
    for step in reversed(path.split(".")):
        node = {"type": "object", "properties": {step: node}, "required": [step]}
    return node


def _where_stated(path: str, node: Node) -> Node:
    """Condition that the value at a path fits a schema, where the path is present."""
    for step in reversed(path.split(".")):
        node = {"properties": {step: node}}
    return node


def _class_words(kind: type[Part]) -> str:
    """Description of a class, for the author of a spec: the first paragraph of its docstring."""
    return " ".join((kind.__doc__ or "").partition("\n\n")[0].split())


def _coordinate(between: tuple[str, str]) -> Node:
    return {**_amount(Dimension.LENGTH, between), "examples": ["-7/8 in"]}


ANY_AMOUNT: Node = {"type": ["number", "string"], "maxLength": forms.LONGEST_AMOUNT}
ANY_POINT: Node = {"items": _coordinate(forms.ANYWHERE), "minItems": 3, "maxItems": 3}
AS_WRITTEN: dict[str, Node] = {
    "amount": ANY_AMOUNT,
    "amount or point": {**ANY_AMOUNT, **ANY_POINT, "type": ["number", "string", "array"]},
    "group": {"type": "object"},
}

POINT: Node = {
    "type": "array",
    "description": "A point [x, y, z] in vehicle axes (ISO 8855): x forward, y left, z up. The origin is on the "
    "floor, in the vehicle's middle plane, under the front axle's centre line at ride height.",
    "prefixItems": [_coordinate(between) for between in forms.AROUND_THE_TRUCK],
    "minItems": 3,
    "maxItems": 3,
    "examples": [[-41.25, "17 1/2 in", 19]],
}

VECTOR: Node = {
    "type": "array",
    "description": "A direction [x, y, z] in vehicle axes; only its direction counts, not its length. One of the three "
    "at least 0.001 in size.",
    "items": {"type": "number", "minimum": -forms.LONGEST_DIRECTION, "maximum": forms.LONGEST_DIRECTION},
    "minItems": 3,
    "maxItems": 3,
    "contains": {
        "type": "number",
        "anyOf": [{"minimum": forms.SHORTEST_DIRECTION}, {"maximum": -forms.SHORTEST_DIRECTION}],
    },
    "examples": [[0, 0, -1]],
}

METAL: Node = {
    "type": "string",
    "description": "Material. An `unknown-casting` is treated as iron until it is identified; "
    "`cast-steel`, `forged-steel` and steel tube weld as steel.",
    "enum": list(METALS),
    "pluginsAdd": "metals",
    "examples": ["ductile-iron"],
}

SHARED: dict[Any, tuple[str, Node]] = {Point: ("point", POINT), Vector: ("vector", VECTOR), MetalName: ("metal", METAL)}
"""The kinds of value that many classes hold, each with its name under `$defs`."""
