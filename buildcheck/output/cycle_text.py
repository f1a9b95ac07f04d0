"""A cycle as text: the sheet that lies beside the jack while the axle is moved, one row a height."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from buildcheck.job.cycle import Column
from buildcheck.output import words
from buildcheck.output.cautions import CYCLING
from buildcheck.output.cycle_sections import at_full_lock, ends_of_travel, smallest_gaps
from buildcheck.output.cycle_words import (
    HEIGHT,
    HEIGHT_MEANING,
    OUT_OF_REACH,
    absent,
    breaks,
    for_information,
    held,
    way,
)
from buildcheck.output.outcome import Cycled, Refused, Spec
from buildcheck.output.sheet import build_head, head, plugins_head, refusal, spec_head
from buildcheck.output.text_layout import Page
from buildcheck.spec.quantity import Dimension, System

# In a pipe there is no width to keep to; this one lies on a printed page.
_PRINTED = 80
_GAP = "  "
_NAMES = len("ride height")
_NONE = "none"


class _Shown(NamedTuple):
    """A column as shown: the words of its head, the last one its unit; a cell for each pose, and the spread."""

    head: tuple[str, ...]
    cells: tuple[str, ...]

    @property
    def width(self) -> int:
        return max(map(len, (*self.head, *self.cells)))

    def deep_head(self, depth: int) -> tuple[str, ...]:
        """The head in so many lines, one word a line, the unit in the last."""
        return ("",) * (depth - len(self.head)) + self.head


class _Block(NamedTuple):
    """Columns of one group that are side by side in a table."""

    name: str
    columns: tuple[_Shown, ...]

    @property
    def width(self) -> int:
        return max(sum(column.width + len(_GAP) for column in self.columns) - len(_GAP), len(self.name))


def sheet(spec: Cycled, *, width: int | None = None, colour: bool = False, meanings: bool = False) -> str:
    """The sheet of one spec.

    `width` is the number of columns to keep to, None for running text that is not wrapped and tables that fit a
    printed page. A wider table is split into several, each with the heights. `meanings` adds what each column
    means.
    """
    page = Page(width, colour=colour)
    page.heading("CYCLING SHEET")
    build_head(page, spec)
    head(page, "way", way(spec))
    head(page, "held", held(spec))
    spec_head(page, spec)
    plugins_head(page, spec.plugins)
    heights = _heights(spec)
    for table in _tables(spec, (width or _PRINTED) - _NAMES - heights.width - len(_GAP)):
        page.blank()
        _table(page, spec, heights, table)
    page.blank()
    page.text("spread: the largest less the smallest of the rows above it", 0, 2)
    _notes(page, spec)
    for heading, sentences in (
        ("AT FULL LOCK", at_full_lock(spec)),
        ("WHAT ENDS THE TRAVEL", ends_of_travel(spec)),
    ):
        _section(page, heading, list(sentences))
    _gaps(page, spec)
    page.heading("COLUMNS")
    if meanings:
        page.text(f"{HEIGHT}: {HEIGHT_MEANING}", 2, 4)
        for column in spec.cycle.columns:
            page.text(f"{column.quantity.group}, {column.quantity.heading} ({column.quantity.name}): "
                      f"{column.quantity.meaning}", 2, 4)  # fmt: skip
    else:
        page.text("What each one means, and its sign: give --meanings too.", 2, 4)
    _section(page, "FOR INFORMATION ONLY", list(filter(None, [for_information(spec)])))
    page.heading("CAUTIONS")
    for caution in CYCLING:
        page.text(caution, 2, 4)
    return str(page)


def refused(spec: Refused, heading: str = "CYCLING SHEET: NOT CYCLED") -> str:
    """Text in place of the sheet, for a spec that cannot be read or is not valid."""
    page = Page(None, colour=False)
    refusal(page, spec, heading)
    return str(page)


def not_cycled(spec: Spec, reasons: Iterable[str]) -> str:
    """Text in place of the sheet, for a spec whose axle cannot be cycled, with the reason."""
    page = Page(None, colour=False)
    page.heading("CYCLING SHEET: NOT CYCLED")
    spec_head(page, spec)
    page.blank()
    for reason in reasons:
        page.text(reason, 2, 4)
    return str(page)


def _notes(page: Page, spec: Cycled) -> None:
    _section(page, "CANNOT FOLLOW", list(breaks(spec)))
    _section(page, "NOT COMPUTED", absent(spec))


def _gaps(page: Page, spec: Cycled) -> None:
    """The smallest gaps as a table, smallest first."""
    rows = list(smallest_gaps(spec))
    if not rows:
        return
    unit = words.unit(Dimension.LENGTH, spec.build.units)
    heads = (f"gap, {unit}", "between", "where")
    wide = [max(len(row[column]) for row in (heads, *rows)) for column in range(2)]
    page.heading("SMALLEST GAPS")
    column = 2 + wide[0] + len(_GAP) + wide[1] + len(_GAP)
    for number, (gap, pair, where) in enumerate((heads, *rows)):
        label = f"{gap:>{wide[0]}}{_GAP}{pair}"
        page.field(label, where, indent=2, column=column, bold=not number)


def _section(page: Page, heading: str, sentences: Sequence[str]) -> None:
    """A heading with its sentences, where there are any."""
    if sentences:
        page.heading(heading)
        for sentence in sentences:
            page.text(sentence, 2, 4)


def _heights(spec: Cycled) -> _Shown:
    system = spec.build.units
    cells = [words.number(pose.heave, Dimension.LENGTH, system, sign=True) for pose in spec.cycle.poses]
    return _Shown((*HEIGHT.split(), words.unit(Dimension.LENGTH, system)), (*cells, ""))


def _shown(column: Column, system: System) -> _Shown:
    dimension = column.quantity.dimension
    unit = words.unit(dimension, system)
    cells = [_NONE if math.isnan(value) else words.number(value, dimension, system) for value in column.values.tolist()]
    spread = _NONE if math.isnan(column.spread) else words.difference(column.spread, dimension, system)
    return _Shown((*column.quantity.heading.split(), unit), (*cells, spread.removesuffix(f" {unit}")))


def _tables(spec: Cycled, room: int) -> Iterator[tuple[_Block, ...]]:
    """The blocks of each table: whole groups side by side as long as there is room for them."""
    table: list[_Block] = []
    for block in _blocks(spec, room):
        if table and sum(each.width + len(_GAP) for each in (*table, block)) > room:
            yield tuple(table)
            table = []
        table.append(block)
    if table:
        yield tuple(table)


def _blocks(spec: Cycled, room: int) -> Iterator[_Block]:
    """The groups, each whole where it has room in a table of its own, else in parts."""
    for group, columns in groupby(spec.cycle.columns, key=lambda column: column.quantity.group):
        name = group.upper()
        parts: list[list[_Shown]] = [[]]
        for column in columns:
            shown = _shown(column, spec.build.units)
            if parts[-1] and _Block(name, (*parts[-1], shown)).width + len(_GAP) > room:
                name = f"{group.upper()}, MORE"
                parts.append([])
            parts[-1].append(shown)
        if len(parts) > 1 and len(parts[-1]) == 1 and len(parts[-2]) > 2:  # no column is left alone
            parts[-1].insert(0, parts[-2].pop())
        for number, part in enumerate(parts):
            yield _Block(f"{group.upper()}, MORE" if number else group.upper(), tuple(part))


def _table(page: Page, spec: Cycled, heights: _Shown, blocks: Sequence[_Block]) -> None:
    columns = [column for block in blocks for column in block.columns]
    depth = max(len(column.head) for column in (heights, *columns))

    def line(name: str, height: str, texts: Iterable[str]) -> str:
        left = iter(texts)
        cells = [[f"{next(left):>{column.width}}" for column in block.columns] for block in blocks]
        parts = [f"{_GAP.join(row):<{block.width}}" for row, block in zip(cells, blocks, strict=True)]
        return _GAP.join([f"{name:<{_NAMES}}", f"{height:>{heights.width}}", *parts])

    names = [f"{block.name:<{block.width}}" for block in blocks]
    page.row(_GAP.join([" " * _NAMES, " " * heights.width, *names]), bold=True)
    for heads in zip(*(column.deep_head(depth) for column in (heights, *columns)), strict=True):
        page.row(line("", heads[0], heads[1:]))
    for index, pose in enumerate(spec.cycle.poses):
        height, cells = heights.cells[index], [column.cells[index] for column in columns]
        reached = spec.cycle.reached[index]
        row = line(pose.name, height, cells) if reached else f"{pose.name:<{_NAMES}}{_GAP}{height}{_GAP}{OUT_OF_REACH}"
        page.row(row, bold=bool(pose.name))
    page.row(line("spread", "", [column.cells[-1] for column in columns]))
