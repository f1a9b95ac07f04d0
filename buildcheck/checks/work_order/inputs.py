"""The inputs of a build that a work order may change: the numbers that the spec states, with step and range."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Annotated, Any, get_args, get_origin

from buildcheck.build import Part, Point, Side
from buildcheck.build.forms import AROUND_THE_TRUCK
from buildcheck.build.part import fields
from buildcheck.build.reads import Cell
from buildcheck.checks.changes import REACHES, TIMES, step_of, twin_of
from buildcheck.checks.may_move import ANYWHERE, STAYS, Moves
from buildcheck.checks.subjects import index
from buildcheck.checks.work_order.yardstick import Edits
from buildcheck.job import Job
from buildcheck.job.cure import is_mirrored
from buildcheck.job.steps import zero
from buildcheck.spec.quantity import Dimension, System, parse


@dataclass(frozen=True)
class Input:
    """One number of the spec, with the same number of the other side where the two are mirror images.

    `paths` are where the spec writes it, `signs` how each moves when the first one increases; `value` is that of the
    first (SI). It stays between `lowest` and `highest`, and moves in multiples of `step`. `part` is what it belongs to,
    `field` its name there and `axis` the coordinate of a point.
    """

    part: Part
    field: str
    axis: str
    paths: tuple[str, ...]
    signs: tuple[float, ...]
    values: tuple[float, ...]
    dimension: Dimension
    step: float
    origin: float
    lowest: float
    highest: float
    reach: float

    @property
    def path(self) -> str:
        """Where the spec writes it first."""
        return self.paths[0]

    @property
    def value(self) -> float:
        """Its value in the spec, SI."""
        return self.values[0]

    @cached_property
    def cells(self) -> frozenset[Cell]:
        """The fields of the build that hold it."""
        drop = 2 if self.axis else 1
        return frozenset((path.rsplit(".", drop)[0], self.field) for path in self.paths)

    def edits(self, value: float) -> Edits:
        """The values written for a value of the first one; the others move with it."""
        change = value - self.value
        return tuple(
            (path, now + sign * change if index else value)
            for index, (path, sign, now) in enumerate(zip(self.paths, self.signs, self.values, strict=True))
        )

    def at(self, steps: int) -> float:
        """Its value after a number of steps. A point or a length moves by whole steps; other amounts lie on the
        multiples of the step: a torque becomes 85 lb-ft, never 83.7 lb-ft. It never leaves the range that a spec may
        state."""
        if steps == 0:
            return self.value
        return min(max(self._at(steps), self.lowest), self.highest)

    def _at(self, steps: int) -> float:
        if self.dimension is Dimension.LENGTH:
            return self.value + steps * self.step
        count = (self.value - self.origin) / self.step
        start = math.floor(count + 1e-6) if steps > 0 else math.ceil(count - 1e-6)
        return self.origin + (start + steps) * self.step

    def allows(self, value: float) -> bool:
        """Whether the value is in the range that a spec may state."""
        return self.lowest <= value <= self.highest

    @cached_property
    def most_steps(self) -> int:
        """How many steps it may be moved either way."""
        return max(1, math.floor(self.reach / self.step + 1e-6))

    def distance(self, value: float) -> float:
        """How far a value is from the present one, 1 being far for its kind."""
        if self.axis or self.dimension is Dimension.ANGLE:
            return (
                abs(value - self.value)
                / REACHES[Dimension.ANGLE if self.dimension is Dimension.ANGLE else Dimension.LENGTH]
            )
        low, high = sorted((abs(value - self.origin), abs(self.value - self.origin)))
        ratio = math.log(high / low) / math.log(TIMES) if low > 0.0 else 1.0
        if self.dimension is Dimension.LENGTH:
            return min(ratio, abs(value - self.value) / REACHES[Dimension.LENGTH])
        return ratio


def inputs_of(job: Job, cells: Collection[Cell], *, keep: Iterable[str] = ()) -> list[Input]:
    """The numbers that the spec of a job states in some fields of its build and that may be changed, each once.

    `keep` are spec paths that are not changed, nor anything below them.
    """
    found: dict[str, Input] = {}
    kept = tuple(keep)
    for held in index(job).values():
        for part, _ in held:
            for each in _of_part(job, part, cells):
                if each.path not in found and not any(is_within(path, above) for path in each.paths for above in kept):
                    found[each.path] = each
    seen: set[str] = set()
    once: list[Input] = []
    for each in found.values():
        if not seen.intersection(each.paths):
            seen.update(each.paths)
            once.append(each)
    return once


def within(inputs: Iterable[Input], moves: Moves, base: Job) -> Iterator[Input]:
    """The inputs that may be moved, each no farther from where the base has it, and in no other steps, than its spec
    says."""
    for each in inputs:
        found = [moves.range_of(path) for path in each.paths]
        if any(one is STAYS for one in found):
            continue
        one = found[0]
        if one is ANYWHERE:
            yield each
            continue
        start = float(base.build.value(each.path))
        yield replace(
            each,
            step=one.step or each.step,
            lowest=max(each.lowest, start + one.least),
            highest=min(each.highest, start + one.most),
            reach=min(each.reach, one.most - one.least),
        )


def is_within(path: str, above: str) -> bool:
    """Whether a spec path is another one, or is below it."""
    return path == above or path.startswith((f"{above}.", f"{above}["))


def _of_part(job: Job, part: Part, cells: Collection[Cell]) -> Iterator[Input]:
    if part.path.startswith("records") or (part.side is Side.RIGHT and part.path.endswith(".both")):
        return
    for name, kind in fields(type(part)).items():
        if (part.path, name) not in cells or not part.has(name) or type(part).SAID[name].for_people:
            continue
        if _is_of_metal_there(part, name):
            continue
        value = getattr(part, name)
        if isinstance(value, Point):
            for axis, bounds in zip("xyz", AROUND_THE_TRUCK, strict=True):
                yield _input(job, part, name, axis, Dimension.LENGTH, bounds)
        elif isinstance(value, float | int) and not isinstance(value, bool):
            dimension = get_args(kind)[1] if get_origin(kind) is Annotated else _plain(kind)
            between = type(part).SAID[name].between
            if between is not None and isinstance(dimension, Dimension):
                yield _input(job, part, name, "", dimension, between)


def _is_of_metal_there(part: Part, name: str) -> bool:
    """Whether a field is the strength of metal that is on the truck already: writing a larger one makes it no
    stronger. A slip of the pen in it is looked for by itself."""
    of_truck = name.startswith("parent_") or is_within(part.path, "vehicle") or is_within(part.path, "axle")
    return of_truck and name.endswith("_strength")


def _plain(kind: Any) -> Dimension | None:
    return Dimension.COUNT if kind is int else Dimension.RATIO if kind is float else None


def _input(job: Job, part: Part, name: str, axis: str, dimension: Dimension, bounds: tuple[Any, Any]) -> Input:
    system = job.build.units
    names = (name, axis) if axis else (name,)
    paths, signs = [part.path_of(*names)], [1.0]
    values = [float(job.build.value(paths[0]))]
    twin = _twin(job, part, name)
    if twin is not None:
        paths.append(twin.path_of(*names))
        signs.append(-1.0 if axis == "y" else 1.0)
        values.append(float(job.build.value(paths[1])))
    low, high = (_amount(bound, dimension) for bound in bounds)
    size = abs(values[0] - zero(dimension, system))
    reach = 2 * REACHES.get(dimension, TIMES * (size or step_of(job, dimension)))
    if dimension is Dimension.LENGTH and not axis:
        reach = max(reach, TIMES * size)
    return Input(
        part, name, axis, tuple(paths), tuple(signs), tuple(values), dimension, step_of(job, dimension),
        zero(dimension, system), low, high, reach,
    )  # fmt: skip


def _amount(bound: Any, dimension: Dimension) -> float:
    return parse(bound, dimension, System.METRIC)


def _twin(job: Job, part: Part, name: str) -> Part | None:
    """The part on the other side, written apart, whose field is the mirror image of this one's."""
    twin = twin_of(job, part)
    if twin is None or twin.path == part.path or not twin.has(name):
        return None
    return twin if is_mirrored(getattr(part, name), getattr(twin, name)) else None
