"""The numbers beside the slides: quantities in tables, left and right side by side where both have them."""

from __future__ import annotations

from typing import NamedTuple

from buildcheck.build import Side
from buildcheck.output import words
from buildcheck.output.report.motion import Motion, decimals
from buildcheck.spec.quantity import System


class Cell(NamedTuple):
    """A number that follows the pose: which quantity it is, its name, and its text at ride height."""

    quantity: int
    name: str
    text: str


class Row(NamedTuple):
    """A line of a table. `meaning` says what the number is and what its sign means."""

    heading: str
    unit: str
    meaning: str
    cells: tuple[Cell | None, ...]


class Table(NamedTuple):
    """Quantities of one part of the truck; `columns` names the sides where the table has both."""

    caption: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]


def tables(found: Motion, system: System) -> tuple[Table, ...]:
    """All that follows the axle, at ride height."""
    groups: dict[str, dict[str, Row]] = {}
    for number, each in enumerate(found.followed):
        quantity = each.quantity
        side = next((side for side in (Side.LEFT, Side.RIGHT) if quantity.name.startswith(f"{side}-")), None)
        row = each.values[found.straight if len(each.values) > 1 else 0]
        text = words.number(float(row[found.ride]), quantity.dimension, system, decimals(quantity.dimension, system))
        cell, unit = Cell(number, quantity.name, text), words.unit(quantity.dimension, system)
        if side is None:
            rows = groups.setdefault(quantity.group, {})
            rows[quantity.name] = Row(quantity.heading, unit, quantity.meaning, (cell,))
            continue
        heading = quantity.heading.removeprefix(f"{side} ")
        rows = groups.setdefault("left and right", {})
        at = 0 if side is Side.LEFT else 1
        cells: list[Cell | None] = list(rows[heading].cells) if heading in rows else [None, None]
        cells[at] = cell
        meaning = rows[heading].meaning if heading in rows else quantity.meaning
        rows[heading] = Row(heading, unit, meaning, tuple(cells))
    return tuple(
        Table(group, ("left", "right") if group == "left and right" else (), tuple(rows.values()))
        for group, rows in groups.items()
    )
