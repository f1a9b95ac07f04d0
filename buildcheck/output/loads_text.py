"""The loads of a build as text: what every part carries in every case."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from buildcheck.job.loads import LoadTable
from buildcheck.output import words
from buildcheck.output.outcome import Spec
from buildcheck.output.page import Page, Tint
from buildcheck.output.sheet import build_head, spec_head
from buildcheck.quantity import Dimension, System

# In a pipe there is no width to keep to; this one lies on a printed page.
_PRINTED = 80
_GAP = "  "


def sheet(spec: Spec, table: LoadTable, *, width: int | None = None, colour: bool = False) -> str:
    """The loads of one spec; `width` is the number of columns to keep to, None for a printed page's."""
    system = spec.build.units
    unit = words.unit(Dimension.FORCE, system)
    page = Page(width, colour=colour)
    page.heading("LOADS SHEET")
    build_head(page, spec)
    spec_head(page, spec)
    names = [f"{row.label}, {row.joint}" if row.joint else row.label for row in table.carried]
    first = max(map(len, names), default=0)
    for cases in _side_by_side(table, system, (width or _PRINTED) - first):
        page.blank()
        columns = [_cells(table, case, system) for case in cases]
        wide = [max(len(part) for part in (*_head(table.cases[case].name), *cells)) for case, cells in
                zip(cases, columns, strict=True)]  # fmt: skip
        for line in zip(*(_head(table.cases[case].name) for case in cases), strict=True):
            page.row(_row("", line, first, wide), Tint.HEADING)
        page.row(_row(f"({unit})", [""] * len(cases), first, wide).rstrip(), Tint.HEADING)
        for number, name in enumerate(names):
            page.row(_row(name, [cells[number] for cells in columns], first, wide))
    page.blank()
    page.text("Tension is positive; at a joint of a radius arm, the size of the force.", 0, 2)
    page.heading("CASES")
    for case in table.cases:
        page.text(f"{case.name}: {case.meaning}", 2, 4)
    if table.absent:
        page.heading("COULD NOT BE TOLD")
        for sentence in table.absent:
            page.text(words.printable(sentence), 2, 4)
    page.heading("TO MIND")
    page.text("These are loads on a truck that rides smoothly but for what each case says. They are for choosing "
              "joints, bolts and brackets with a margin, not for going without one.", 2, 4)  # fmt: skip
    return str(page)


def csv_rows(table: LoadTable, system: System) -> Iterator[Sequence[str]]:
    """The same as rows of a table: a head, then one row for each part or joint and case."""
    yield ("part", "joint", "spec path", "case", f"force ({words.unit(Dimension.FORCE, system)})")
    for row in table.carried:
        for case, force in zip(table.cases, row.forces, strict=True):
            yield (row.label, row.joint, row.path, case.name, words.number(force, Dimension.FORCE, system))


def _head(name: str) -> tuple[str, str]:
    first, _, rest = name.partition(" ")
    return (first, rest) if rest else ("", first)


def _cells(table: LoadTable, case: int, system: System) -> list[str]:
    return [words.number(row.forces[case], Dimension.FORCE, system) for row in table.carried]


def _side_by_side(table: LoadTable, system: System, room: int) -> Iterator[list[int]]:
    """The numbers of the cases that have room beside each other, table by table."""
    together: list[int] = []
    used = 0
    for case in range(len(table.cases)):
        wide = max(len(part) for part in (*_head(table.cases[case].name), *_cells(table, case, system))) + len(_GAP)
        if together and used + wide > room:
            yield together
            together, used = [], 0
        together.append(case)
        used += wide
    if together:
        yield together


def _row(name: str, cells: Sequence[str], first: int, wide: Sequence[int]) -> str:
    return _GAP.join([f"{name:<{first}}", *(f"{cell:>{size}}" for cell, size in zip(cells, wide, strict=True))])
