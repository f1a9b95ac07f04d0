"""Specs drawn at random from the schema, and sound specs spoiled at random: the whole range of what a file can say.

Every choice comes from the `random.Random` handed in, so hypothesis can hand in one that it controls and shrinks.
"""

from __future__ import annotations

import copy
from random import Random
from typing import Any

from buildcheck.spec.quantity import Dimension, System, parse
from buildcheck.spec.schema import schema
from buildcheck.testing.rewritten import at, items_of, places_in, resolved, spelled

NAMES = ("arm", "lower", "upper", "b2")
ILL_TYPED: tuple[Any, ...] = (
    None, True, False, 0, -1, 1e300, 1e-300, "", "x", "1/0 in", "3 furlong", "2 kN", [], {}, [1, 2], [0, 0, 0],
    {"a": 1},
)  # fmt: skip


def drawn(random: Random) -> dict[str, Any]:
    """A spec drawn from the schema alone: any of its keys, any values that it allows, and now and then others."""
    spec: dict[str, Any] = drawn_value(random, schema(), ill=random.choice((0.0, 0.0, 0.02)))
    return spec


def spoiled(random: Random, sound: dict[str, Any]) -> dict[str, Any]:
    """A sound spec with one to five of its values changed, moved onto one another, left out or spoiled."""
    spec = copy.deepcopy(sound)
    for _ in range(random.randint(1, 5)):
        places = list(places_in(spec))
        path, node = random.choice(places)
        if not path:
            continue
        holder = at(spec, path[:-1])
        match random.randrange(6):
            case 0:
                del holder[path[-1]]
            case 1:
                holder[path[-1]] = random.choice(ILL_TYPED)
            case 2:
                same_kind = [place for place, other in places if place and other is node]
                holder[path[-1]] = copy.deepcopy(at(spec, random.choice(same_kind)))
            case _:
                holder[path[-1]] = drawn_value(random, node, ill=0.0)
    return spec


def drawn_value(random: Random, node: Any, ill: float) -> Any:
    """A value drawn from a piece of the schema; `ill` is the share of those that it does not allow."""
    node = resolved(node)
    if random.random() < ill:
        return random.choice(ILL_TYPED)
    if "const" in node:
        return node["const"]
    if "enum" in node:
        return random.choice(node["enum"])
    if "quantity" in node:
        return _quantity(random, node)
    kind = node["type"] if isinstance(node["type"], str) else random.choice(node["type"])
    match kind:
        case "object":
            return _object(random, node, ill)
        case "array":
            count = random.randint(node.get("minItems", 0), min(node["maxItems"], 3))
            return [drawn_value(random, inner, ill) for inner in items_of(node, count)]
        case "boolean":
            return random.random() < 0.5
        case "integer":
            return random.randint(node["minimum"], node["maximum"])
        case "number":
            return random.choice((1, -1, 0.5, random.uniform(node.get("minimum", -9), node.get("maximum", 9))))
        case _:
            return (
                node["examples"][0] if "pattern" in node else random.choice((node["examples"][0], "x", "other words"))
            )


def _object(random: Random, node: Any, ill: float) -> dict[str, Any]:
    properties = node.get("properties", {})
    needed = node.get("required", ())
    keys = [key for key in properties if key in needed or random.random() < 0.8]
    if "both" in properties:
        keys = random.choice([["both"], ["left", "right"], ["left"], ["right"]])
    ends = [key for key in properties if key in ("until_stage", "until_date")]
    if ends and random.random() >= ill:  # a waiver has one of them
        keys = [key for key in keys if key not in ends] + [random.choice(ends)]
    held = {key: drawn_value(random, properties[key], ill) for key in keys}
    if isinstance(node.get("additionalProperties"), dict):
        for name in random.sample(NAMES, random.randint(1, 3)):
            held[name] = drawn_value(random, node["additionalProperties"], ill)
    for condition in node.get("allOf", ()):
        if random.random() >= ill and _holds(condition["if"], held):
            _satisfy(random, condition["then"], properties, held)
    return held


def _holds(condition: Any, held: dict[str, Any]) -> bool:
    return all(held.get(key) == choice["const"] for key, choice in condition["properties"].items())


def _satisfy(random: Random, then: Any, properties: Any, held: dict[str, Any]) -> None:
    """Add what one choice needs, and take away what it does not go with."""
    for key in then.get("required", ()):
        held.setdefault(key, drawn_value(random, properties[key], 0.0))
    for refused in then.get("allOf", ()):
        held.pop(refused["not"]["required"][0], None)
    for key, inner in then.get("properties", {}).items():
        if isinstance(held.get(key), dict):
            _satisfy(random, inner["then"], properties, held[key])


def _quantity(random: Random, node: Any) -> Any:
    dimension = Dimension(node["quantity"]["dimension"])
    lowest, highest = (parse(node["quantity"][end], dimension, System.METRIC) for end in ("from", "to"))
    match random.randrange(6):
        case 0:
            return node["examples"][0]
        case 1:
            return node["quantity"][random.choice(("from", "to"))]
        case 2 if "number" in node["type"]:
            bare = random.choice((0, 0.5, 1, 12, 20))
            if all(lowest <= parse(bare, dimension, system) <= highest for system in System):
                return bare
    # Most of a range is far from any truck, so half of the draws stay near its lower end.
    share = random.random() * random.choice((1.0, 0.05))
    return spelled(random, lowest + (highest - lowest) * share, dimension, digits=6)
