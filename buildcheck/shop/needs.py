"""The list of what a stage of the job still asks for: places to measure, and statements that its checks lack.

It follows from the rules and the spec: a check that could not be made names what it lacks, so that a new rule asks for
its fields by itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Annotated, Any, NamedTuple, get_args, get_origin

from buildcheck.build import Build, Missing, Part, Point, Side, Sides, Stage
from buildcheck.build.field import Field
from buildcheck.build.measured import measurements, planned
from buildcheck.build.part import Vector, fields
from buildcheck.build.paths import kind_of
from buildcheck.build.reads import Cell
from buildcheck.checks.hold_points import measured_at
from buildcheck.checks.inspection import Inspection
from buildcheck.checks.limit import Verdict
from buildcheck.checks.missing_data import stated_in_an_example
from buildcheck.checks.read_by import rules_that_read
from buildcheck.checks.rule import Rule
from buildcheck.job import Job, Unreached
from buildcheck.job.by_hand import first_read_by_hand
from buildcheck.shop.walk import on_the_walk, value_at
from buildcheck.spec.place import join, split
from buildcheck.spec.quantity import Dimension

MEASURED = "records.measured"
"""The list that the measurements themselves go into, which nobody is asked to write."""

BY_HAND = "records.cycled.sides"
ALIGNED = "records.aligned"
PLANNED_AT = {"caster": "axle.caster", "toe_in": "axle.toe_in"}
"""Where a spec plans what the alignment on the finished truck has to be."""


class Need(NamedTuple):
    """One thing that a stage still asks for.

    `path` is the spec path of the value. A `measured` one is added to the records, and the value that the spec has
    stays; any other is written at its path. `kind` says how it is answered: `point`, `amount`, `number`, `count`,
    `yes-no`, `word` or `text`; a `list` or a `group` is written by hand, or there is none. A `word` is one of
    `choices`; a `text` with choices may also be a word that a plugin adds. `planned` is the value in the spec, SI; None
    where it has none. `rules` are those that ask for it; empty for what the hold point of the stage itself asks for.
    """

    path: str
    measured: bool
    kind: str
    words: str
    dimension: Dimension | None
    choices: tuple[str, ...]
    planned: Point | float | None
    rules: tuple[str, ...]
    example: Any


def needs(job: Job, inspection: Inspection, rules: Iterable[Rule] = ()) -> tuple[Need, ...]:
    """Everything that the stage of an inspection still asks for: one walk round the truck for what the spec states, and
    then one with the tape for what is measured. In one place, in the order of the sections of a spec. `job` is the one
    that was inspected, and `rules` those that were applied."""
    build = job.build
    asked: dict[str, dict[str, None]] = {}
    for reading in inspection.readings:
        if reading.verdict is Verdict.NOT_CHECKED:
            for path in reading.missing:
                for leaf in leaves(path) if path != MEASURED else ():
                    asked.setdefault(leaf, {})[reading.rule] = None
    stated = [need for path, asking in asked.items() if (need := _stated(job, path, tuple(asking))) is not None]
    readers = rules_that_read(job, rules)
    measured = [_measured(build, path, readers) for path in _unmeasured(build, inspection.stage)]
    stated.sort(key=lambda need: (on_the_walk(build, need.path), _order(need.path)))
    measured.sort(key=lambda need: on_the_walk(build, need.path))
    return (*stated, *measured)


def leaves(path: str) -> Iterator[str]:
    """The values at a spec path that is a group: each field that a sound spec states, for each side; the path itself
    for a value."""
    try:
        kind: Any = kind_of(path)
    except ValueError:
        return
    origin = get_origin(kind)
    if origin is Sides:
        for side in (Side.LEFT, Side.RIGHT):
            yield from leaves(join(path, side.value))
    elif isinstance(kind, type) and issubclass(kind, Part):
        named = [name for name in fields(kind) if not kind.SAID[name].for_people and not kind.SAID[name].only_for]
        usual = [name for name in named if stated_in_an_example(kind, name)]
        for name in usual or named:  # the examples have no records of later stages
            yield from leaves(join(path, name))
    else:
        yield path


def _stated(job: Job, path: str, rules: tuple[str, ...]) -> Need | None:
    said, kind = field_at(path)
    if said is None:
        return None
    how, dimension = _how(said, kind)
    choices = tuple(map(str, said.one_of)) if how in ("word", "text") else ()
    return Need(path, False, how, said.words, dimension, choices, _planned(job, path), rules, said.example)


def _planned(job: Job, path: str) -> float | None:
    """The value that a record of the finished truck, or of the cycled axle, is compared with."""
    section, _, name = path.rpartition(".")
    try:
        if section.startswith(BY_HAND):
            return first_read_by_hand(job, name, Side(section.removeprefix(f"{BY_HAND}.")))
        of = PLANNED_AT.get(name) if section.startswith(ALIGNED) else None
        return None if of is None else float(job.build.value(of))
    except (Missing, Unreached):
        return None


def _measured(build: Build, path: str, readers: Mapping[Cell, tuple[str, ...]]) -> Need:
    said, kind = field_at(path)
    how, dimension = _how(said or Field(), kind)
    try:
        plan: Point | float | None = planned(build, path)
    except Missing:
        plan = None
    words = said.words if said is not None else ""
    above, _, name = path.rpartition(".")
    part = value_at(build, split(above))
    rules = readers.get((part.path, name), ()) if isinstance(part, Part) else ()
    return Need(path, True, how, words, dimension, (), plan, rules, said.example if said is not None else None)


def field_at(path: str) -> tuple[Field | None, Any]:
    """The description of the field at a spec path, and the kind of its value; None for one that has no field."""
    *above, last = split(path)
    holder = ""
    for step in above:
        holder = join(holder, step)
    owner = kind_of(holder) if holder else Build
    kind = kind_of(path)
    if isinstance(owner, type) and issubclass(owner, Part) and isinstance(last, str):
        return owner.SAID[last], kind
    return None, kind


def _how(said: Field, kind: Any) -> tuple[str, Dimension | None]:
    """How a field is answered, and its dimension."""
    if get_origin(kind) is Annotated:
        return "amount", next(each for each in get_args(kind) if isinstance(each, Dimension))
    if kind in (Point, Vector):
        return "point", Dimension.LENGTH if kind is Point else None
    if kind is bool:
        return "yes-no", None
    if kind is int:
        return "count", None
    if kind is float:
        return "number", None
    if get_origin(kind) in (tuple, dict):
        return "list" if get_origin(kind) is tuple else "group", None
    if said.one_of and not said.plugins_add:
        return "word", None
    return "text", None


def _unmeasured(build: Build, stage: Stage) -> Iterator[str]:
    """The places that are measured at a stage and have no measurement of that stage."""
    done = {each.of for each in measurements(build) if each.has("stage") and each.stage == stage.value}
    for path in measured_at(build, stage):
        by_axis = all(f"{path}.{axis}" in done for axis in Point._fields)
        if path not in done and not by_axis:
            yield path


def _order(path: str) -> tuple[Any, ...]:
    """The place of a path in the classes: sections and fields as they are declared, names as they are written."""
    found: list[Any] = []
    kind: Any = Build
    at = ""
    for step in split(path):
        declared = list(fields(kind)) if isinstance(kind, type) and issubclass(kind, Part) else []
        found.append((declared.index(str(step)), "") if step in declared else (0, str(step)))
        at = join(at, step)
        kind = kind_of(at)
    return tuple(found)
