"""The work of a spec, as the report puts it first: a row for each change, with the items that it is for, then what is
left to decide.

Items that ask for the same inputs to be changed the same way are one row, with the largest amount that one of them asks
for. Each amount was tried for its own item alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from buildcheck.build import Build, Missing
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading
from buildcheck.checks.work_order import Named, WorkOrder
from buildcheck.job.cure import Cure
from buildcheck.output import words
from buildcheck.output import work_order_words as order_words
from buildcheck.output.items import Item
from buildcheck.output.outcome import Inspected
from buildcheck.output.sheet import line_of
from buildcheck.output.words import printable
from buildcheck.shop.sheets import named as named_at
from buildcheck.spec.quantity import Dimension, System


class Input(NamedTuple):
    """An input that a change sets: its place in the spec, and its value before and after; "" where it is not stated."""

    place: str
    was: str
    becomes: str


class Line(NamedTuple):
    """A row of the work: its number, what to do, the inputs, the signed amount, and the items that it is for.

    `path` is where it is on the drawing. `several` is whether its items ask for different amounts. `part` names the
    part that is changed, where the words do not.
    """

    number: int
    says: str
    inputs: tuple[Input, ...]
    by: str
    path: str
    items: tuple[Item, ...]
    several: bool = False
    part: str = ""

    @property
    def mends(self) -> tuple[tuple[str, tuple[Item, ...]], ...]:
        """The findings that it puts right: each limit in words, with the items of it."""
        found: dict[str, list[Item]] = {}
        for item in self.items:
            found.setdefault(item.reading.quantity.replace("-", " "), []).append(item)
        return tuple((name, tuple(items)) for name, items in found.items())

    @property
    def error(self) -> bool:
        """Whether it is for an error, so that it has to be put right."""
        return any(item.reading.verdict is Verdict.ERROR for item in self.items)

    @property
    def verdict(self) -> str:
        """The worst verdict of its items."""
        return (Verdict.ERROR if self.error else Verdict.WARNING).value

    @property
    def subject(self) -> str:
        """The part that its first item is about; "" for one that is for no single item."""
        return words.subject(self.items[0].reading) if self.items else ""


class Work(NamedTuple):
    """The changes that have an amount, and those that someone has to decide on; numbered through. `proven` is whether
    all changes together were inspected as a whole; `together` are the findings that only all of them put right."""

    changes: tuple[Line, ...]
    decide: tuple[Line, ...]
    proven: bool = False
    together: tuple[Item, ...] = ()

    @property
    def lines(self) -> tuple[Line, ...]:
        """All rows in their order."""
        return (*self.changes, *self.decide)


def work(spec: Inspected, numbered: Sequence[Item]) -> Work:
    """The work that the items of a spec ask for: errors before warnings, and what is for most items first."""
    groups: dict[object, list[Item]] = {}
    for item in numbered:
        groups.setdefault(_key(item), []).append(item)
    made = [_line(spec, items) for items in groups.values()]
    changes = sorted((line for line in made if line.inputs), key=_order)
    decide = sorted((line for line in made if not line.inputs), key=_order)
    return Work(_numbered(changes, 1), _numbered(decide, 1 + len(changes)))


def proven_work(spec: Inspected, numbered: Sequence[Item], order: WorkOrder) -> Work:
    """The work by a work order, whose lines were proven together: what remains after all of them is left to decide."""
    by_name = {
        _name(reading): item for item in numbered for reading in (item.reading, item.twin) if reading is not None
    }

    def named(readings: Iterable[Named]) -> tuple[Item, ...]:
        names = [(each.rule, each.quantity, each.subject, each.of) for each in readings]
        return tuple(dict.fromkeys(by_name[name] for name in names if name in by_name))

    changes = []
    for line in order.lines:
        first = line.changes[0]
        by = "" if first.by is None or first.dimension is None else _by(first.by, first.dimension, spec)
        inputs = tuple(
            Input(line_of(spec, each.path), order_words.value(spec, each.was, each.dimension),
                  order_words.value(spec, each.becomes, each.dimension))
            for each in line.changes
        )  # fmt: skip
        says, part = order_words.line(spec, line), _part(spec, [each.path for each in line.changes])
        changes.append(
            Line(line.number, says, inputs, by, first.path, named(line.mends), part=_unless_said(part, says))
        )
    left = named(reading for reading, _ in order.left)
    decide = [line._replace(inputs=(), by="", several=False) for line in work(spec, left).lines]
    in_lines = {item.number for line in changes for item in line.items} | {item.number for item in left}
    together = tuple(item for item in named(order.mended) if item.number not in in_lines)
    return Work(tuple(changes), _numbered(decide, 1 + len(changes)), order.proven, together)


def _name(reading: Reading) -> tuple[str, str, str, str]:
    return reading.rule, reading.quantity, reading.subject, reading.of


def _by(change: float, dimension: Dimension, spec: Inspected) -> str:
    return words.cure_change(Cure("", abs(change), dimension, "", change), spec.build.units)


def _numbered(lines: Iterable[Line], first: int) -> tuple[Line, ...]:
    return tuple(line._replace(number=number) for number, line in enumerate(lines, start=first))


def _order(line: Line) -> tuple[bool, int, int]:
    return not line.error, -len(line.items), line.items[0].number


def _key(item: Item) -> object:
    """The input that a change acts on, and which way; for words alone, the words."""
    cure = item.reading.cure
    if cure is None:
        return item.number
    if not cure.edits:
        return cure.words, cure.amount
    way = cure.change is None or cure.change > 0
    return cure.change is None, way, frozenset((edit.path, edit.share) for edit in cure.edits)


def _line(spec: Inspected, items: Sequence[Item]) -> Line:
    cures = [item.reading.cure for item in items]
    reading = items[0].reading
    if cures[0] is None:
        return Line(0, f"{words.title(reading)}: nothing is proposed", (), "", reading.place, tuple(items))
    cure = max((each for each in cures if each is not None), key=lambda each: each.size)
    system = spec.build.units
    says = printable(cure.words).replace("{amount}", words.cure_amount(cure, system))
    inputs = tuple(_input(spec, cure, number) for number in range(len(cure.edits)))
    by = words.cure_change(cure, system)
    sizes = {round(each.size, 9) for each in cures if each is not None}
    path = cure.edits[0].path if inputs else reading.place
    part = _unless_said(_part(spec, [edit.path for edit in cure.edits]), says)
    return Line(0, says, inputs, by, path, tuple(items), len(sizes) > 1, part)


def _part(spec: Inspected, paths: Sequence[str]) -> str:
    """The parts at some spec paths, by name: `left arm frame bracket`."""
    return printable(" and ".join(dict.fromkeys(named_at(spec.build, path)[0] for path in paths)))


def _unless_said(part: str, says: str) -> str:
    """The name of a part; "" where each of its words is said already."""
    return "" if set(re.findall(r"\w+", part)) <= set(re.findall(r"\w+", says)) else part


def _input(spec: Inspected, cure: Cure, number: int) -> Input:
    edit, system = cure.edits[number], spec.build.units
    assert cure.dimension is not None
    was = _stated(spec.build, edit.path)
    after = cure.size * edit.share + (was or 0.0) if edit.adds else cure.size * edit.share
    known = was is not None or not edit.adds
    return Input(
        line_of(spec, edit.path),
        "not stated" if was is None else _input_amount(was, cure.dimension, system),
        _input_amount(after, cure.dimension, system) if known else "",
    )


def _input_amount(value: float, dimension: Dimension, system: System) -> str:
    """An amount as it is written into the spec; a strength of thousands without a decimal that is zero."""
    return re.sub(r"(\d{4,})\.0(?= )", r"\1", words.limit_amount(value, dimension, system))


def _stated(build: Build, path: str) -> float | None:
    try:
        found = build.value(path)
    except Missing:
        return None
    return float(found) if isinstance(found, int | float) else None
