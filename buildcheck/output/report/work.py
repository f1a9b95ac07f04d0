"""The work of a spec, as the report puts it first: a row for each change, with the items that it is for, then what is
left to decide.

Items that ask for the same inputs to be changed the same way are one row, with the largest amount that one of them asks
for. Each amount was tried for its own item alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from buildcheck.build import Build, Missing
from buildcheck.checks.limit import Verdict
from buildcheck.job.cure import Cure
from buildcheck.output import words
from buildcheck.output.items import Item
from buildcheck.output.outcome import Inspected
from buildcheck.output.sheet import line_of
from buildcheck.output.words import printable


class Input(NamedTuple):
    """An input that a change sets: its place in the spec, and its value before and after; "" where it is not stated."""

    place: str
    was: str
    becomes: str


class Line(NamedTuple):
    """A row of the work: its number, what to do, the inputs, the signed amount, and the items that it is for.

    `path` is where it is on the drawing. `several` is whether its items ask for different amounts.
    """

    number: int
    says: str
    inputs: tuple[Input, ...]
    by: str
    path: str
    items: tuple[Item, ...]
    several: bool = False

    @property
    def mends(self) -> tuple[tuple[str, tuple[Item, ...]], ...]:
        """What it puts right: each limit in words, with the items of it."""
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
        """The part that its first item is about."""
        return words.subject(self.items[0].reading)


class Work(NamedTuple):
    """The changes that have an amount, and those that someone has to decide on; numbered through."""

    changes: tuple[Line, ...]
    decide: tuple[Line, ...]

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


def _numbered(lines: Iterable[Line], first: int) -> tuple[Line, ...]:
    return tuple(line._replace(number=number) for number, line in enumerate(lines, start=first))


def _order(line: Line) -> tuple[bool, int, int]:
    return not line.error, -len(line.items), line.items[0].number


def _key(item: Item) -> object:
    """What a change acts on, and which way; for words alone, the words."""
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
    return Line(0, says, inputs, by, path, tuple(items), len(sizes) > 1)


def _input(spec: Inspected, cure: Cure, number: int) -> Input:
    edit, system = cure.edits[number], spec.build.units
    assert cure.dimension is not None
    was = _stated(spec.build, edit.path)
    after = cure.size * edit.share + (was or 0.0) if edit.adds else cure.size * edit.share
    known = was is not None or not edit.adds
    return Input(
        line_of(spec, edit.path),
        "not stated" if was is None else words.limit_amount(was, cure.dimension, system),
        words.limit_amount(after, cure.dimension, system) if known else "",
    )


def _stated(build: Build, path: str) -> float | None:
    try:
        found = build.value(path)
    except Missing:
        return None
    return float(found) if isinstance(found, int | float) else None
