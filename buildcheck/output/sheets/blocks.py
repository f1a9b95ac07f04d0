"""The entries of a sheet in blocks: what is asked of several parts alike is one table, with a column for each field."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from buildcheck.shop.sheets import SEEN_GAPS, Blank, Entry

MOST_COLUMNS = 4
"""A table with more columns has no room for handwriting; its fields are listed one below the other."""


class Column(NamedTuple):
    """A column of a block: the field, and what it is in words."""

    name: str
    words: str


class Cell(NamedTuple):
    """The box or tick for one field."""

    blanks: tuple[Blank, ...]
    choices: tuple[str, ...]


class Row(NamedTuple):
    """One row of a block: its number on the sheet, the part or the field, and a cell for each column. `said` are the
    words for it alone, where the columns do not say them; `entries` are those that it holds."""

    number: int
    name: str
    said: str
    cells: tuple[Cell, ...]
    entries: tuple[Entry, ...]


class Block(NamedTuple):
    """Rows that ask for the same; without columns a list of the fields of one part, by the name of the part."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]


def blocks(entries: Sequence[Entry]) -> tuple[Block, ...]:
    """The entries in their order, those that ask for the same of one part after another together."""
    made: list[Block] = []
    number = 0
    for block in _joined(_pieces(entries)):
        rows = tuple(row._replace(number=number + place) for place, row in enumerate(block.rows, start=1))
        number += len(rows)
        made.append(block._replace(rows=rows))
    return tuple(made)


def _pieces(entries: Sequence[Entry]) -> Iterator[Block]:
    """A block for each point, and one for the other fields of each part."""
    for (part, _, is_point), each in groupby(entries, key=lambda one: (one.part, one.at, _is_point(one))):
        held = tuple(each)
        if is_point:
            for entry in held:
                columns = tuple(Column(blank.name, "") for blank in entry.blanks)
                cells = tuple(Cell((blank,), ()) for blank in entry.blanks)
                name = f"{part}: {entry.field}"
                yield Block("", columns, (Row(0, name, entry.words, cells, (entry,)),))
        elif len(held) <= MOST_COLUMNS:
            columns = tuple(Column(entry.field, entry.words) for entry in held)
            cells = tuple(Cell(entry.blanks, entry.choices) for entry in held)
            yield Block("", columns, (Row(0, part, "", cells, held),))
        else:
            rows = (Row(0, entry.field, entry.words, (Cell(entry.blanks, entry.choices),), (entry,)) for entry in held)
            yield Block(part, (), tuple(rows))


def _is_point(entry: Entry) -> bool:
    return len(entry.blanks) > 1 and entry.path != SEEN_GAPS


def _joined(pieces: Iterator[Block]) -> Iterator[Block]:
    """Blocks one after another with the same columns as one; a part alone is listed, with others that are."""
    tables = (_table(columns, tuple(each)) for columns, each in groupby(pieces, key=lambda block: block.columns))
    for title, each in groupby((block for made in tables for block in made), key=_name_of_list):
        if title is None:
            yield from each
        else:
            yield Block(title, (), tuple(row for block in each for row in block.rows))


def _table(columns: tuple[Column, ...], each: tuple[Block, ...]) -> tuple[Block, ...]:
    rows = tuple(row for block in each for row in block.rows)
    if not columns:
        return each
    if len(rows) > 1 or _is_point(rows[0].entries[0]):
        return (Block("", columns, rows),)
    return (Block("", (), tuple(_alone(entry) for entry in rows[0].entries)),)


def _alone(entry: Entry) -> Row:
    name = entry.field if entry.part == entry.field else f"{entry.part}: {entry.field}"
    return Row(0, name, entry.words, (Cell(entry.blanks, entry.choices),), (entry,))


def _name_of_list(block: Block) -> str | None:
    """The title of a list, by which lists that have none come together; None for a table."""
    return None if block.columns else block.title
