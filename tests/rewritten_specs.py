"""The same build written another way that only our own laws need: another order, moved, jittered.

All of it is done on the plain data of a spec, led by the schema, so that what reads the spec is what is tested.
"""

from __future__ import annotations

import copy
from random import Random
from typing import Any

from buildcheck.spec.quantity import Dimension, System, parse
from buildcheck.spec.schema import schema
from buildcheck.testing.rewritten import Spec, at, places_in


def shuffled(random: Random, value: Any) -> Any:
    """With the keys of every group in another order; lists stay as they are, for their order means something."""
    if isinstance(value, dict):
        keys = list(value)
        random.shuffle(keys)
        return {key: shuffled(random, value[key]) for key in keys}
    return [shuffled(random, held) for held in value] if isinstance(value, list) else value


def moved_forward(spec: Spec, metres: float) -> Spec:
    """With the origin moved rearward by so much: every x grows."""
    return _with_points(spec, lambda point: [_in_metres(spec, point[0], metres), *point[1:]])


def jittered(random: Random, spec: Spec, metres: float) -> Spec:
    """With every coordinate of every point moved by up to so much."""
    return _with_points(
        spec, lambda point: [_in_metres(spec, number, random.uniform(-metres, metres)) for number in point]
    )


def _with_points(spec: Spec, moved: Any) -> Spec:
    changed = copy.deepcopy(spec)
    for path, node in places_in(spec):
        if node is schema()["$defs"]["point"]:
            at(changed, path[:-1])[path[-1]] = moved(at(spec, path))
    return changed


def _in_metres(spec: Spec, written: Any, more: float) -> str:
    return f"{parse(written, Dimension.LENGTH, System(spec['units'])) + more!r} m"
