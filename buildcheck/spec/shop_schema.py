"""Check that a plugin's schema for its fields can be used: valid, self-contained, and without misspelt keywords."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from jsonschema import Draft202012Validator
from jsonschema.exceptions import SchemaError

from buildcheck.spec.quantity import Dimension, System, parse

_ONE = (
    *("additionalProperties", "unevaluatedProperties", "unevaluatedItems", "propertyNames", "items", "contains"),
    *("not", "if", "then", "else", "contentSchema"),
)
_SEVERAL = ("allOf", "anyOf", "oneOf", "prefixItems")
_BY_NAME = ("properties", "patternProperties", "dependentSchemas", "$defs")
_PLAIN = (
    *("type", "enum", "const", "multipleOf", "maximum", "exclusiveMaximum", "minimum", "exclusiveMinimum"),
    *("maxLength", "minLength", "pattern", "maxItems", "minItems", "uniqueItems", "maxContains", "minContains"),
    *("maxProperties", "minProperties", "required", "dependentRequired", "format", "quantity", "thread"),
    *("$schema", "$id", "$comment", "$ref", "title", "description", "default", "deprecated", "readOnly", "writeOnly"),
    *("examples", "contentMediaType", "contentEncoding"),
)
_KNOWN = frozenset((*_ONE, *_SEVERAL, *_BY_NAME, *_PLAIN))


def fault_in(schema: Any) -> str:
    """Describe the fault of a plugin's schema in words; empty for a usable one.

    A usable one is a JSON Schema (2020-12) that refers to nothing outside itself and has no unknown keyword: the
    standard ignores these, and so also what a misspelt keyword should forbid. `quantity` is a keyword of buildcheck:
    `{"dimension": "length", "from": "0 in", "to": "4 in"}` for a number or text with a unit. It may
    have a `basis`, which says why.
    """
    if not isinstance(schema, Mapping):
        return f"is {type(schema).__name__}, and not a JSON Schema"
    try:
        Draft202012Validator.check_schema(schema)  # type: ignore[no-untyped-call,unused-ignore]  # theirs
    except SchemaError as error:
        return f"is not a valid JSON Schema: {error.message.partition(chr(10))[0][:200]}"
    for node in _nodes(schema):
        fault = _fault_of(node, schema)
        if fault:
            return fault
    return ""


def _nodes(schema: Any) -> Iterator[Mapping[str, Any]]:
    """Yield a schema and every schema in it."""
    if not isinstance(schema, Mapping):
        return  # true and false are schemas too
    yield schema
    for keyword in _ONE:
        yield from _nodes(schema.get(keyword))
    for keyword in _SEVERAL:
        for inner in schema.get(keyword, ()):
            yield from _nodes(inner)
    for keyword in _BY_NAME:
        for inner in schema.get(keyword, {}).values():
            yield from _nodes(inner)


def _fault_of(node: Mapping[str, Any], whole: Mapping[str, Any]) -> str:
    unknown = sorted(set(node) - _KNOWN)
    if unknown:
        return f"has the keyword {unknown[0]!r}, which is unknown"
    if "$id" in node and node is not whole:
        return "gives a part of itself an $id"
    if "$ref" in node and not _found(node["$ref"], whole):
        return f"refers to {node['$ref']!r}, which is not in it"
    if "quantity" in node:
        return _fault_of_quantity(node["quantity"])
    return ""


def _found(reference: str, whole: Any) -> bool:
    if not re.fullmatch("#(/.*)?", reference):
        return False
    for step in reference.split("/")[1:]:
        name = step.replace("~1", "/").replace("~0", "~")
        if not isinstance(whole, Mapping) or name not in whole:
            return False
        whole = whole[name]
    return isinstance(whole, Mapping | bool)


def _fault_of_quantity(quantity: Any) -> str:
    wanted = 'written like {"dimension": "length", "from": "0 in", "to": "4 in"}'
    if not isinstance(quantity, Mapping) or set(quantity) - {"basis"} != {"dimension", "from", "to"}:
        return f"has a quantity that is not {wanted}"
    try:
        dimension = Dimension(quantity["dimension"])
        least, most = (parse(quantity[end], dimension, System.METRIC) for end in ("from", "to"))
    except (ValueError, TypeError) as error:  # not a dimension, or not an amount of it
        return f"has a quantity that is not {wanted}: {error}"
    return "" if least <= most else f"has a quantity from {quantity['from']} down to {quantity['to']}"
