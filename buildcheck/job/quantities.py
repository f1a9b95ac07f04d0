"""All named quantities of the axle over its travel: the values that a builder reads while cycling it.

A quantity is defined once, with its name, dimension, meaning and sign; tables, curves and rules use that name.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from buildcheck.build import Build, Missing, Part, Side
from buildcheck.job.built_in_quantities import DRIVELINE, FAMILIES, WHOLE_AXLE
from buildcheck.job.curve import Array, Unreached
from buildcheck.job.moving import MovingAxle
from buildcheck.job.named_quantity import Absent, Family, Quantity
from buildcheck.job.subjects import SUBJECTS
from buildcheck.spec.additions import Additions
from buildcheck.spec.guard import Mishap, guarded, plain_text

NOT_STEERED = "a rear axle without steering has none"


def families(additions: Additions) -> tuple[Family, ...]:
    """Quantities that every part of a kind has: the built-in ones, then those that plugins add."""
    return (*FAMILIES, *(added for added in additions.quantities.values() if isinstance(added, Family)))


def of_no_part(additions: Additions) -> tuple[Quantity, ...]:
    """Quantities that do not belong to a single part: the built-in ones, then those that plugins add."""
    added = (each for each in additions.quantities.values() if isinstance(each, Quantity))
    return (*WHOLE_AXLE, *DRIVELINE, *added)


def all_values(moving: MovingAxle) -> Iterator[tuple[Quantity, Array] | Absent]:
    """Every quantity of a build over its poses, in the order of the truck; for one without values, the reason."""
    for quantity in quantities(moving.build):
        yield values_or_absent(quantity, moving)


def values_or_absent(quantity: Quantity, moving: MovingAxle) -> tuple[Quantity, Array] | Absent:
    """One quantity of a build over its poses, or the reason why it has no values."""
    if quantity.steers and _is_rear(moving.build) and not moving.build.has("steering"):
        return Absent(quantity.name, quantity.heading, "", NOT_STEERED)
    added = moving.build.additions.quantities.get(quantity.family or quantity.name)
    if added is None:  # a built-in one; its failure is a fault of buildcheck
        return _values_or_absent(quantity, moving)
    try:
        with guarded(added.of):
            return _values_or_absent(quantity, moving)
    except Mishap as failed:
        return Absent(quantity.name, quantity.heading, "", f"its plugin failed: {failed}", str(failed))


def _values_or_absent(quantity: Quantity, moving: MovingAxle) -> tuple[Quantity, Array] | Absent:
    try:
        return quantity, _values(quantity, moving)
    except Missing as missing:
        path = plain_text(missing.path)
        return Absent(quantity.name, quantity.heading, path, f"the spec lacks {path}")
    except Unreached as unreached:
        return Absent(quantity.name, quantity.heading, "", plain_text(str(unreached)))


def _values(quantity: Quantity, moving: MovingAxle) -> Array:
    values = np.asarray(quantity.of(moving), float)
    poses = moving.poses.solved.shape
    if values.shape != poses:
        raise ValueError(f"it gives an array of shape {values.shape}; one number per pose would be {poses}")
    return values


def quantities(build: Build) -> Iterator[Quantity]:
    """All quantities of a build, part by part, whether or not it defines them."""
    alone, of_parts = of_no_part(build.additions), families(build.additions)
    rear = _is_rear(build)
    yield from (_at_rear(each) if rear else each for each in alone[: len(WHOLE_AXLE)])
    for side in (Side.LEFT, Side.RIGHT, Side.CENTRE):
        for family in of_parts:
            for part in _parts(build, family.kind):
                if part.side is side:
                    yield from _of_part(family, part)
    for family in of_parts:
        try:
            next(SUBJECTS[family.kind](build))
        except Missing as missing:
            yield family.without_part(missing.path)
    yield from alone[len(WHOLE_AXLE) :]


def _is_rear(build: Build) -> bool:
    return build.has("axle") and build.axle.has("position") and build.axle.position == "rear"


def _at_rear(quantity: Quantity) -> Quantity:
    if quantity.at_rear is None:
        return quantity
    heading, meaning = quantity.at_rear
    return quantity._replace(heading=heading, meaning=meaning)


def _of_part(family: Family, part: Part) -> Iterator[Quantity]:
    """Yield the quantity of a part that has it. Where the plugin's function for this fails, reading the quantity
    fails."""
    try:
        suits = family.suits(part)
    except Mishap as mishap:
        failure = str(mishap)

        def failing(_: MovingAxle) -> Array:
            raise Mishap(failure)

        yield family.of_part(part)._replace(of=failing)
        return
    if suits:
        yield family.of_part(part)


def _parts(build: Build, kind: str) -> list[Any]:
    try:
        return list(SUBJECTS[kind](build))
    except Missing:
        return []
