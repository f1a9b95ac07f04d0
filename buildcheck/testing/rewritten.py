"""The same spec written another way: in other units, with both sides written out, or mirrored.

These functions change the plain data of a spec, guided by the schema, so that the reading of a spec is tested too.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator
from random import Random
from typing import Any

from buildcheck.spec.quantity import Dimension, System, parse
from buildcheck.spec.schema import schema
from buildcheck.spec.units import UNITS

Step = str | int
Spec = dict[str, Any]
# Text that names no side of the truck, whatever words are in it: a left-hand thread is one on either side.
NO_SIDE = ("note", "notes", "name", "thread_hand")
OTHER = {"left": "right", "right": "left"}


def places_in(spec: Spec) -> Iterator[tuple[tuple[Step, ...], Any]]:
    """The path of every value of a spec, as its keys, with the piece of the schema that applies to it."""
    return _places(spec, schema(), ())


def _places(value: Any, node: Any, path: tuple[Step, ...]) -> Iterator[tuple[tuple[Step, ...], Any]]:
    node = resolved(node)
    yield path, node
    if isinstance(value, dict):
        for key, held in value.items():
            inner = node.get("properties", {}).get(key, node.get("additionalProperties"))
            if isinstance(inner, dict):
                yield from _places(held, inner, (*path, key))
    if isinstance(value, list):
        for index, (held, inner) in enumerate(zip(value, items_of(node, len(value)), strict=False)):
            yield from _places(held, inner, (*path, index))


def items_of(node: Any, count: int) -> list[Any]:
    """The pieces of the schema that apply to the first `count` items of a list."""
    return node["prefixItems"] if "prefixItems" in node else [node["items"]] * count if "items" in node else []


def resolved(node: Any) -> Any:
    """A piece of the schema, with a reference in it followed."""
    return schema()["$defs"][node["$ref"].rpartition("/")[2]] if "$ref" in node else node


def at(spec: Any, path: tuple[Step, ...]) -> Any:
    """The value of a spec under these keys."""
    for step in path:
        spec = spec[step]
    return spec


def spelled(random: Random, amount: float, dimension: Dimension, digits: int = 17) -> str:
    """An SI amount as text, in a random unit of its dimension and a random spelling of that unit."""
    unit = random.choice(UNITS[dimension])
    number = float(amount / float(unit.factor) - float(unit.offset))
    return f"{number:.{digits}g} {random.choice((unit.name, *unit.spellings))}".strip()


def in_other_units(random: Random, spec: Spec) -> Spec:
    """The spec in the other system of units, with every quantity in a random unit of its dimension."""
    system = System(spec["units"])
    other = copy.deepcopy(spec)
    other["units"] = "metric" if system is System.INCH_POUND else "inch-pound"
    for path, node in places_in(spec):
        if "quantity" in node:
            dimension = Dimension(node["quantity"]["dimension"])
            at(other, path[:-1])[path[-1]] = spelled(random, parse(at(spec, path), dimension, system), dimension)
    return other


def sides_written_out(spec: Spec) -> Spec:
    """The spec with `left` and `right` in place of every `both`."""
    written = copy.deepcopy(spec)
    for path, node in reversed(list(places_in(spec))):
        holder = at(written, path)
        if "both" in node.get("properties", ()) and "both" in holder:
            holder["left"] = holder.pop("both")
            holder["right"] = _points_mirrored(holder["left"], resolved(node["properties"]["left"]))
    return written


def mirror_image(spec: Spec) -> Spec:
    """The mirror image of the spec, with left and right exchanged."""
    image: Spec = _mirrored(spec, schema(), "")
    return image


def _mirrored(value: Any, node: Any, key: str) -> Any:
    node = resolved(node)
    if _is_triple(node):
        return _points_mirrored(value, node)
    if isinstance(value, dict):
        if key in ("pinion", "output"):  # here `left` is an angle to the left, not a side
            return {**_points_mirrored(value, node), "left": _negative(value["left"])} if "left" in value else value
        inner = node.get("properties", {})
        return {
            _swapped(name): _mirrored(held, inner.get(name, node.get("additionalProperties", {})), name)
            for name, held in value.items()
        }
    if isinstance(value, list):
        return [_mirrored(held, node.get("items", {}), "") for held in value]
    return _swapped(value) if isinstance(value, str) and key not in NO_SIDE else value


def _swapped(text: str) -> str:
    """A key, a choice or a spec path with its sides swapped; in a longer name, only a leading side."""
    if text.startswith(("left_", "right_")):
        return OTHER[text.partition("_")[0]] + text[text.index("_") :]
    return ".".join(OTHER.get(part, part) for part in text.split("."))


def _points_mirrored(value: Any, node: Any) -> Any:
    """A value with y negated in every point and direction; sides are not exchanged."""
    if _is_triple(node):
        return [value[0], _negative(value[1]), value[2]]
    copied = copy.deepcopy(value)
    for path, inner in list(_places(value, node, ())):
        if _is_triple(inner):
            x, y, z = at(value, path)
            at(copied, path[:-1])[path[-1]] = [x, _negative(y), z]
    return copied


def _is_triple(node: Any) -> bool:
    return any(node is schema()["$defs"][name] for name in ("point", "vector"))


def _negative(written: Any) -> Any:
    if not isinstance(written, str):
        return -written
    return written[1:] if written.startswith("-") else f"-{written}"
