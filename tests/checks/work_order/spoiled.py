"""Sound builds with one to three inputs spoiled, drawn with a seed: what a work order is tried on.

`spoiled.json` holds what was drawn. Each entry names an example, the values that are written into it, and the spec
paths of the inputs that are spoiled. Putting these back mends it, so every one can be mended.

    python tests/checks/work_order/spoiled.py SEED NUMBER    # draw others, and print them
"""

from __future__ import annotations

import json
import math
import random
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Any, NamedTuple, get_args, get_origin

import buildcheck
from buildcheck.build import Part, Point, Side, Vector
from buildcheck.build.part import fields
from buildcheck.checks.subjects import index
from buildcheck.job import Job
from buildcheck.spec.quantity import Dimension, System, written_like
from buildcheck.spec.units import UNITS, USUAL
from buildcheck.spec.written import stated_at

ROOT = Path(__file__).parents[3]
EXAMPLES = {
    "examples/tamarack/proposal.buildcheck.yaml": 5,
    "examples/three-link-metric.buildcheck.yaml": 4,
    "examples/four-link-rear.buildcheck.yaml": 4,
    "examples/minimal.buildcheck.yaml": 1,
}
"""The sound builds, and how often each is drawn."""


class Leaf(NamedTuple):
    """A number of a spec with a unit: its part and field, and the coordinate of a point; a direction has `axis` "v"."""

    part: Part
    field: str
    axis: str
    dimension: Dimension | None


class Spoiled(NamedTuple):
    """One entry: the example, the values written into it, and the paths of the inputs that are spoiled."""

    example: str
    changes: dict[str, Any]
    paths: list[str]


def spoiled() -> list[Spoiled]:
    """The builds that were drawn."""
    file = Path(__file__).with_name("spoiled.json")
    return [Spoiled(**each) for each in json.loads(file.read_text(encoding="utf-8"))]


def draw(seed: int, number: int) -> Iterator[Spoiled]:
    """Builds with one to three inputs spoiled, each of which alone is an error."""
    rng = random.Random(seed)
    specs = {name: buildcheck.read(ROOT / name) for name in EXAMPLES}
    leaves = {name: list(leaves_of(spec)) for name, spec in specs.items()}
    for _ in range(number):
        name = rng.choices(list(EXAMPLES), list(EXAMPLES.values()))[0]
        changes: dict[str, Any] = {}
        paths: list[str] = []
        for _ in range(rng.randint(1, 3)):
            one = _one(rng, specs[name], leaves[name], paths)
            changes.update(one)
            paths += one
        yield Spoiled(name, changes, paths)


def leaves_of(spec: buildcheck.Spec) -> Iterator[Leaf]:
    """Every number of a spec that has a unit, and every direction."""
    seen: set[str] = set()
    for held in index(Job(spec.build)).values():
        for part, _ in held:
            if part.path.startswith("records") or part.path in seen:
                continue
            seen.add(part.path)
            for name, kind in fields(type(part)).items():
                value = getattr(part, name, None)
                if isinstance(value, Point):
                    yield from (Leaf(part, name, axis, Dimension.LENGTH) for axis in "xyz")
                elif isinstance(value, Vector):
                    yield Leaf(part, name, "v", None)
                elif get_origin(kind) is Annotated and isinstance(value, float):
                    yield Leaf(part, name, "", get_args(kind)[1])


def _one(rng: random.Random, spec: buildcheck.Spec, leaves: list[Leaf], others: list[str]) -> dict[str, Any]:
    """A change of one input that is an error by itself, of a part that none of the others is of."""
    while True:
        changes = _drawn(rng, spec, rng.choice(leaves))
        whole = {path.replace(".left.", ".both.").replace(".right.", ".both.") for path in (*others, *changes)}
        if not changes or len(whole) < len(others) + len(changes):
            continue
        try:
            found = buildcheck.inspect(spec.changed(changes), changes=False)
        except buildcheck.SpecProblems:
            continue
        if found.errors:
            return changes


def _drawn(rng: random.Random, spec: buildcheck.Spec, leaf: Leaf) -> dict[str, Any]:
    """The values that spoil a leaf: another sign, another unit, two ends exchanged, or another number."""
    part, name, axis, dimension = leaf
    if axis == "v" or dimension is None:
        turned = rng.choice([each for each in "xyz" if abs(getattr(getattr(part, name), each)) > 0.3])
        return {part.path_of(name, turned): -getattr(getattr(part, name), turned)}
    path, how = part.path_of(*((name, axis) if axis else (name,))), rng.random()
    now, old = spec.build.value(path), stated_at(spec.document.data, path)
    new = None
    if axis and how < 0.08:
        new = -now
    elif how < 0.16:
        new = _in_another_unit(rng, now, dimension, spec.build.units)
    elif axis and how < 0.2:
        return _exchanged(rng, spec, part, name)
    elif axis:
        new = now + rng.choice((-1, 1)) * rng.uniform(1.0, 8.0) * 0.0254
    elif dimension is Dimension.ANGLE:
        new = now + rng.choice((-1, 1)) * math.radians(rng.uniform(2.0, 20.0))
    elif dimension is Dimension.TEMPERATURE:
        new = now + rng.choice((-1, 1)) * rng.uniform(30.0, 200.0)
    else:
        new = now * math.exp(rng.choice((-1, 1)) * rng.uniform(math.log(1.15), math.log(3.0)))
    if new is None:
        return {}
    if part.side is not Side.CENTRE and path.split(".")[2:3] == ["both"] and rng.random() < 0.3:
        side = rng.choice(("left", "right"))
        path, new = path.replace(".both.", f".{side}.", 1), -new if axis == "y" and side == "right" else new
    return {path: written_like(old, new, dimension, spec.build.units)}


def _in_another_unit(rng: random.Random, now: float, dimension: Dimension, system: System) -> float | None:
    """The same number in the unit of the other system, read the wrong way round or converted once too often."""
    usual = {unit.name: unit for unit in UNITS[dimension]}
    own, other = (usual[USUAL[each][dimension].unit] for each in (system, *(e for e in System if e is not system)))
    if own is other:
        return None
    written, meant = rng.choice(((own, other), (other, own)))
    return (now / float(written.factor) - float(written.offset) + float(meant.offset)) * float(meant.factor)


def _exchanged(rng: random.Random, spec: buildcheck.Spec, part: Part, name: str) -> dict[str, Any]:
    points = [each for each, value in part.given().items() if isinstance(value, Point) and each != name]
    if not points:
        return {}
    one, other = part.path_of(name), part.path_of(rng.choice(points))
    return {one: stated_at(spec.document.data, other), other: stated_at(spec.document.data, one)}


if __name__ == "__main__":
    drawn = [each._asdict() for each in draw(int(sys.argv[1]), int(sys.argv[2]))]
    sys.stdout.write(json.dumps(drawn, indent=1, ensure_ascii=False) + "\n")
