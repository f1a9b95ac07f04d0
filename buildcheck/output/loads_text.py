"""The loads of a build as text: what every tyre, part, link and bracket carries in every case."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from buildcheck.job.load_table import Force, LoadTable, size
from buildcheck.output import words
from buildcheck.output.outcome import Spec
from buildcheck.output.page import Page, Tint
from buildcheck.output.sheet import build_head, spec_head
from buildcheck.quantity import Dimension, System

# In a pipe there is no width to keep to; this one lies on a printed page.
_PRINTED = 80
_GAP = "  "

SIGNS = "Tension is positive; at a joint of a radius arm, and on a bracket, the size of the force."

NOTICED = 1e-6  # N m; less is what rounding leaves in a rod that nothing strikes

CAUTIONS = (
    "These are loads on a truck that rides smoothly but for what each case says. They are for choosing joints, bolts "
    "and brackets with a margin, not for going without one.",
)


class _Block(NamedTuple):
    """Rows of one unit: each a name, and a number for each case."""

    heading: str
    dimension: Dimension
    rows: list[tuple[str, Sequence[float]]]


def sheet(spec: Spec, table: LoadTable, *, width: int | None = None, colour: bool = False) -> str:
    """The loads of one spec; `width` is the number of columns to keep to, None for a printed page's."""
    system = spec.build.units
    page = Page(width, colour=colour)
    page.heading("LOADS SHEET")
    build_head(page, spec)
    spec_head(page, spec)
    for block in _blocks(table):
        if block.rows and table.cases:
            _table(page, table, block, system, width or _PRINTED)
    page.blank()
    page.text(SIGNS, 0, 2)
    page.heading("CASES")
    for case in table.cases:
        page.text(f"{case.name}: {case.meaning}", 2, 4)
    if table.absent:
        page.heading("COULD NOT BE TOLD")
        for sentence in table.absent:
            page.text(words.printable(sentence), 2, 4)
    page.heading("TO MIND")
    for caution in CAUTIONS:
        page.text(caution, 2, 4)
    return str(page)


def csv_rows(table: LoadTable, system: System) -> Iterator[Sequence[str]]:
    """The same as rows of a table: a head, then one row for each tyre, part, joint, link or bracket and case."""
    force, moment, stress = Dimension.FORCE, Dimension.TORQUE, Dimension.PRESSURE
    unit = words.unit(force, system)
    yield (
        "kind",
        "part",
        "joint",
        "spec path",
        "case",
        f"force ({unit})",
        f"forward ({unit})",
        f"to the left ({unit})",
        f"up ({unit})",
        f"bending moment ({words.unit(moment, system)})",
        f"stress ({words.unit(stress, system)})",
    )
    names = [case.name for case in table.cases]

    def number(value: float, dimension: Dimension = force) -> str:
        return words.number(value, dimension, system)

    def vector(value: Force) -> list[str]:
        return [number(size(value)), *(number(part) for part in value)]

    blank = [""] * 3
    for tyre in table.corners:
        for name, weight in zip(names, tyre.forces, strict=True):
            yield ("corner weight", tyre.label, "", tyre.path, name, number(weight), *blank, "", "")
    for row in table.carried:
        for name, value in zip(names, row.forces, strict=True):
            yield ("part", row.label, row.joint, row.path, name, number(value), *blank, "", "")
    for joint in table.joints:
        for name, pull in zip(names, joint.forces, strict=True):
            yield ("joint", joint.label, joint.joint, joint.path, name, *vector(pull), "", "")
    for link in table.bent:
        for at, name in enumerate(names):
            told = "" if link.stresses is None else number(link.stresses[at], stress)
            bending = number(link.moments[at], moment)
            yield ("link", link.label, "", link.path, name, number(link.thrusts[at]), *blank, bending, told)
    for bracket in table.brackets:
        for name, pull in zip(names, bracket.forces, strict=True):
            yield ("bracket", bracket.label, "", bracket.path, name, *vector(pull), "", "")


def _blocks(table: LoadTable) -> Iterator[_Block]:
    carried = [(f"{row.label}, {row.joint}" if row.joint else row.label, row.forces) for row in table.carried]
    bent = [(row.label, row.moments) for row in table.bent if max(row.moments) > NOTICED]
    stressed = [(row.label, row.stresses) for row in table.bent if row.stresses is not None]
    brackets = [(row.label, [size(force) for force in row.forces]) for row in table.brackets]
    yield _Block("weight on the tyres", Dimension.FORCE, [(row.label, row.forces) for row in table.corners])
    yield _Block("forces", Dimension.FORCE, list(carried))
    yield _Block("largest bending moment", Dimension.TORQUE, list(bent))
    yield _Block("largest stress", Dimension.PRESSURE, list(stressed))
    yield _Block("force on each bracket", Dimension.FORCE, list(brackets))


def _table(page: Page, table: LoadTable, block: _Block, system: System, width: int) -> None:
    heading = f"{block.heading} ({words.unit(block.dimension, system)})"
    first = max(len(heading), *(len(name) for name, _ in block.rows))
    cells = [
        [words.number(values[case], block.dimension, system) for _, values in block.rows]
        for case in range(len(table.cases))
    ]
    heads = [_head(case.name) for case in table.cases]
    wide = [max(len(part) for part in (*head, *column)) for head, column in zip(heads, cells, strict=True)]
    for cases in _side_by_side(wide, width - first):
        page.blank()
        columns = [wide[case] for case in cases]
        page.row(_row("", [heads[case][0] for case in cases], first, columns), Tint.HEADING)
        page.row(_row(heading, [heads[case][1] for case in cases], first, columns), Tint.HEADING)
        for number, (name, _) in enumerate(block.rows):
            page.row(_row(name, [cells[case][number] for case in cases], first, columns))


def _head(name: str) -> tuple[str, str]:
    first, _, rest = name.partition(" ")
    return (first, rest) if rest else ("", first)


def _side_by_side(wide: Sequence[int], room: int) -> Iterator[list[int]]:
    """The numbers of the cases that have room beside each other, table by table."""
    together: list[int] = []
    used = 0
    for case, columns in enumerate(wide):
        if together and used + columns + len(_GAP) > room:
            yield together
            together, used = [], 0
        together.append(case)
        used += columns + len(_GAP)
    if together:
        yield together


def _row(name: str, cells: Sequence[str], first: int, wide: Sequence[int]) -> str:
    return _GAP.join([f"{name:<{first}}", *(f"{cell:>{size}}" for cell, size in zip(cells, wide, strict=True))])
