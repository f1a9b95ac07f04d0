"""The numbers that follow the pose: what each dimension of the geometry does, and the rest in tables, left and right
side by side where both have them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from buildcheck.build import Side
from buildcheck.job.drawing import FARTHEST
from buildcheck.output import words
from buildcheck.output.report.motion import Followed, Motion, decimals, in_shop_units
from buildcheck.output.report.views import FRONT, SIDE, TOP
from buildcheck.spec.quantity import Dimension, System


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


class Note(NamedTuple):
    """A dimension of the geometry: its name, its numbers with their units, and what it does to the truck."""

    name: str
    cells: tuple[tuple[Cell, str], ...]
    effect: str
    meaning: str


class Notes(NamedTuple):
    """The dimensions that one view shows."""

    letter: str
    title: str
    notes: tuple[Note, ...]


_BRAKING = "share of the {way} under braking that the links take off the springs; above 100 % {beyond}"
_DRIVE = "share of the {way} under power that the links take off the springs; a large one makes the axle hop"

SAID = {
    SIDE: (
        ("Caster", ("caster",), "leaning kingpins bring the wheels back to straight ahead; less of it, and it wanders"),
        ("Pinion, up", ("pinion-up",), "has to stay near the line of the driveshaft, or its joints shake and bind"),
        (
            "Swing arm", ("swing-arm-length",),
            "the axle swings about the instant centre at its end; a short one turns caster and pinion more in travel",
        ),
        (
            "Instant centre, forward and up", ("instant-centre-forward", "instant-centre-height"),
            "the higher it is for its distance, the more the links hold up under braking and power",
        ),
        ("{braking}", ("anti-dive",), "{braked}"),
        ("{drive}", ("anti-lift",), "{driven}"),
    ),
    FRONT: (
        (
            "Roll centre, up", ("roll-centre-height",),
            "the body leans about it; a higher one leans less, and bumps on one side push the body sideways more",
        ),
        ("Axle, to the left", ("axle-left",), "the lateral bar swings the axle sideways; tyres have to clear"),
    ),
    TOP: (
        ("Roll axis, rising forward", ("roll-axis-slope",), "the axle turns about this line as the body leans"),
        (
            "Roll steer", ("roll-steer",),
            "so much of each degree of lean the axle steers by itself; at 0 % it keeps its course over a bump",
        ),
        ("Axle, forward", ("axle-forward",), "moves the tyres in their openings and the slip of the driveshaft"),
        ("Axle, turned to the left", ("axle-yaw",), "steers the truck without the steering wheel"),
        (
            "Wheelbase, change (left, right)", ("left-wheelbase-change", "right-wheelbase-change"),
            "a difference between the sides steers the axle",
        ),
        (
            "Bind", ("bind",),
            "the links hold the axle in more ways than it can move: so much load their bushings take up; 0 moves free",
        ),
        ("Bind in the lateral bar", ("lateral-bar-bind",), "the part of it that the lateral bar carries"),
        ("Twist in a radius arm's joint", ("twist-moment",), "the moment with which it resists; bushings wear by it"),
    ),
}  # fmt: skip
"""By view, the dimensions with their quantities and what each does."""

CAPTIONS = {
    "largest turn of a joint": "Largest turn of a link's joint, since ride height",
    "driveshaft": "Driveshaft",
    "steering": "Wheels turned, steering wheel held",
    "left and right": "Springs, straps, stops and hoses",
}
HEADINGS = {
    "frame-joint-turn": "at a frame end",
    "axle-joint-turn": "at an axle end",
    "steer": "wheel at the drag link",
    "other-wheel-steer": "the other wheel",
    "output-joint-angle": "angle of its upper joint",
    "pinion-joint-angle": "angle of its joint at the pinion",
    "driveshaft-ripple": "speed ripple at the pinion",
}
NOTED = {name for every in SAID.values() for _, names, _ in every for name in names}


def notes(found: Motion, system: System, *, rear: bool) -> tuple[Notes, ...]:
    """The effect of the dimensions of each view, at ride height; `rear` is whether it is a rear axle."""
    there = {each.quantity.name: (number, each) for number, each in enumerate(found.followed)}
    said = {
        "braking": "Anti-lift" if rear else "Anti-dive",
        "drive": "Anti-squat" if rear else "Anti-lift",
        "braked": _BRAKING.format(way="rise", beyond="the rear goes down")
        if rear
        else _BRAKING.format(way="dive", beyond="the nose rises"),
        "driven": _DRIVE.format(way="squat" if rear else "lift"),
    }
    made = []
    for view, every in SAID.items():
        rows = []
        for name, quantities, effect in every:
            held = [there[each] for each in quantities if each in there]
            if held:
                cells = tuple((_cell(found, number, each, system), _unit(each, system)) for number, each in held)
                meaning = "; ".join(each.quantity.meaning for _, each in held)
                rows.append(Note(name.format(**said), cells, effect.format(**said), meaning))
        if rows:
            made.append(Notes(view.letter, view.title, tuple(rows)))
    return tuple(made)


def tables(found: Motion, system: System) -> tuple[Table, ...]:
    """All else that follows the axle, at ride height."""
    groups: dict[str, dict[str, Row]] = {}
    for number, each in _the_rest(found):
        quantity = each.quantity
        side = next((side for side in (Side.LEFT, Side.RIGHT) if quantity.name.startswith(f"{side}-")), None)
        cell, unit = _cell(found, number, each, system), _unit(each, system)
        if side is None:
            rows = groups.setdefault(quantity.group, {})
            heading = HEADINGS.get(quantity.name, quantity.heading)
            rows[quantity.name] = Row(heading, unit, quantity.meaning, (cell,))
            continue
        heading = quantity.heading.removeprefix(f"{side} ")
        rows = groups.setdefault("left and right", {})
        at = 0 if side is Side.LEFT else 1
        cells: list[Cell | None] = list(rows[heading].cells) if heading in rows else [None, None]
        cells[at] = cell
        meaning = rows[heading].meaning if heading in rows else quantity.meaning
        rows[heading] = Row(heading, unit, meaning, tuple(cells))
    return tuple(
        Table(CAPTIONS.get(group, group), ("left", "right") if group == "left and right" else (), tuple(rows.values()))
        for group, rows in groups.items()
    )


def _the_rest(found: Motion) -> Iterator[tuple[int, Followed]]:
    return ((number, each) for number, each in enumerate(found.followed) if each.quantity.name not in NOTED)


def _unit(each: Followed, system: System) -> str:
    return words.unit(each.quantity.dimension, system)


def _cell(found: Motion, number: int, each: Followed, system: System) -> Cell:
    dimension = each.quantity.dimension
    row = each.values[found.straight if len(each.values) > 1 else 0]
    value = float(row[found.ride])
    text = words.number(value, dimension, system, decimals(dimension, system))
    if dimension is Dimension.LENGTH and abs(value) >= FARTHEST and not math.isnan(value):
        text = f"over {math.floor(far(system))}"
    return Cell(number, each.quantity.name, text)


def far(system: System) -> float:
    """The largest length that is given as a number, in the shop's unit; beyond it links are as good as parallel."""
    return float(in_shop_units(np.array(FARTHEST), Dimension.LENGTH, system))
