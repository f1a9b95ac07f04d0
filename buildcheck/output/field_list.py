"""List the fields of one part of the build, for rule authors: meaning, unit and an example of each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, get_args, get_origin

from buildcheck.build import Build, Part, Point, Sides, Vector
from buildcheck.build.part import fields
from buildcheck.output import words
from buildcheck.output.text_layout import Page
from buildcheck.spec.names import no_such
from buildcheck.spec.quantity import Dimension, System
from buildcheck.spec.schema import schema

_COLUMN = 26


def text(part: str, system: System, *, width: int | None = None, colour: bool = False) -> str:
    """Return the text of every field of a part, as a rule reads it and a spec writes it. Raises LookupError, with the
    nearest name, for an unknown part."""
    kinds: dict[str, tuple[type[Part], Mapping[str, Any], str]] = {}
    for each in _parts(Build, schema(), ""):
        kinds.setdefault(each[0].__name__, each)
    called = {name.lower(): name for name in kinds}
    written = part.lower().replace("-", "").replace("_", "").replace(" ", "")
    if written not in called:
        raise LookupError(f"{no_such('part of the build', part, kinds)} (--fields build lists the sections of a spec)")
    kind, node, path = kinds[called[written]]
    page = Page(width, colour=colour)
    page.heading(kind.__name__.upper())
    page.text(node.get("description", ""), 2)
    page.text(f"Its class is {kind.__name__}; a spec writes it at {path or 'its top'}.", 2)
    page.blank()
    for name, declared in fields(kind).items():
        page.field(name, _described(declared, node["properties"][name], system), indent=2, column=_COLUMN)
    page.blank()
    page.text("buildcheck rules --quantities lists what is computed from them.", 2)
    return str(page)


def _described(declared: Any, node: Mapping[str, Any], system: System) -> str:
    whole = _resolved(node)
    said = node.get("description") or whole.get("description", "")
    example = next(iter(node.get("examples") or whole.get("examples") or ()), None)
    plain = example is not None and "{" not in str(example)
    return f"{_kind(declared, whole, system)}; {said}{f' Example: {example}' if plain else ''}"


def _kind(declared: Any, node: Mapping[str, Any], system: System) -> str:
    """The kind of a field in words, with the unit of a bare number."""
    if get_origin(declared) is Annotated:
        dimension = get_args(declared)[1]
        unit = words.unit(dimension, system)
        return f"{dimension.value}{f', {unit}' if unit else ''}"
    if declared in (Point, Vector):
        return (
            f"point: x, y and z, {words.unit(Dimension.LENGTH, system)}"
            if declared is Point
            else "direction: x, y and z"
        )
    if get_origin(declared) is Sides:
        return f"{_kind(get_args(declared)[0], node, system)} on each side: left and right, or both"
    if get_origin(declared) is dict:
        return f"by name, {_kind(get_args(declared)[1], node, system)}"
    if get_origin(declared) is tuple:
        return f"list of: {_kind(get_args(declared)[0], node, system)}"
    if "enum" in node:
        return f"one of {', '.join(map(str, node['enum']))}"
    if isinstance(declared, type) and issubclass(declared, Part):
        return declared.__name__
    return {str: "text", bool: "true or false", int: "whole number", float: "number"}.get(declared, "any value")


def _parts(declared: Any, node: Mapping[str, Any], path: str) -> Iterator[tuple[type[Part], Mapping[str, Any], str]]:
    """Every class of part that a field holds, at any depth, with its piece of the schema and where a spec writes it."""
    node = _resolved(node)
    if get_origin(declared) is Sides:
        one = {key: held for key, held in node["properties"]["both"].items() if key != "description"}  # of the side
        yield from _parts(get_args(declared)[0], one, f"{path}.both")
    elif get_origin(declared) is dict:
        yield from _parts(get_args(declared)[1], node["additionalProperties"], f"{path}.NAME")
    elif get_origin(declared) is tuple:
        yield from _parts(get_args(declared)[0], node["items"], f"{path}[0]")
    elif isinstance(declared, type) and issubclass(declared, Part):
        yield declared, node, path
        for name, inner in fields(declared).items():
            yield from _parts(inner, node["properties"][name], f"{path}.{name}" if path else name)


def _resolved(node: Mapping[str, Any]) -> Mapping[str, Any]:
    """A piece of the schema with what it refers to."""
    if "$ref" not in node:
        return node
    own = {key: value for key, value in node.items() if key != "$ref"}
    return {**_resolved(schema()["$defs"][node["$ref"].rpartition("/")[2]]), **own}
