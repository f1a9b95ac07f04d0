"""Sheets for the bench as one self-contained page, made for print: black on white, with boxes to write and to tick in.

The drawing is that of the report, at ride height, small beside each line with its place marked.
"""

from __future__ import annotations

import base64
import hashlib
import math
from collections.abc import Iterable, Sequence
from functools import cache
from importlib.resources import files
from typing import Any, NamedTuple

import numpy as np
from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from buildcheck.build import Build, Point
from buildcheck.job import Job
from buildcheck.job.drawing import Drawing, drawing
from buildcheck.output import order_words, parts_words, words
from buildcheck.output.cautions import on_paper
from buildcheck.output.outcome import Spec
from buildcheck.output.report.shapes import outline
from buildcheck.output.report.views import View, sheet
from buildcheck.output.sheet import build_name, stated
from buildcheck.output.sheets.blocks import Block, Row, blocks
from buildcheck.output.text_layout import NUMBER
from buildcheck.output.words import printable
from buildcheck.shop.order_list import OrderList
from buildcheck.shop.sheets import Blank, Entry, Tightening
from buildcheck.spec.quantity import Dimension, System

TITLES = {
    "measure": "Measuring sheet",
    "cut": "Cut list",
    "order": "Order list",
    "torque": "Torque sheet",
    "follow-up": "Follow-up sheet",
}
LEFT_OUT = ("obstacle", "instant centre", "roll axis")
"""Kinds of member that the small drawing does without."""

ROOM = 60.0
"""Room about what is drawn, mm of the truck."""

MILE = 1609.344
DEFERS = "No approval: local codes and a qualified welder decide. Cautions: sheet 1."
"""At the foot of each sheet, for one that gets loose."""

ROUNDS = 3
"""Columns for torque checks after distances that the shop writes in, where the spec states none."""


class Content(NamedTuple):
    """The contents of a sheet; empty for what its kind does without."""

    entries: Sequence[Entry] = ()
    bolts: Sequence[Tightening] = ()
    listed: OrderList | None = None
    distances: Sequence[float] = ()


def page(spec: Spec, kind: str, stage: str, content: Content, version: str, *, paper: str = "") -> str:
    """The page of one spec. `version` is the tool's own; `paper` is the size of the sheets, "" for the printer's."""
    build, system = spec.build, spec.build.units
    placed = any(entry.at for entry in content.entries) or any(bolt.at for bolt in content.bolts)
    views = _views(build) if placed else ()
    name = build_name(spec)
    style = _text("sheet.css") + _on_each_sheet(f"{TITLES[kind]}, {stage}: {name}", paper)
    listed = content.listed
    text: str = _template().render(
        policy=f"default-src 'none'; style-src 'sha256-{_hash(style)}'",
        style=Markup(style),
        title=TITLES[kind],
        kind=kind,
        stage=stage,
        name=name,
        file=printable(spec.file),
        shop=stated(spec, "shop"),
        holds=words.kind_of_build(build),
        unit="inches" if system is System.INCH_POUND else "millimetres",
        version=version,
        cautions=on_paper(),
        symbols=views,
        blocks=[_block(block, views, system) for block in blocks(content.entries)],
        bolts=[_bolt(bolt, views, system) for bolt in content.bolts],
        distances=[_distance(each, system) for each in content.distances] or [""] * ROUNDS,
        cuts=[] if listed is None else _cuts(listed, system),
        lines=[] if listed is None else _lines(listed, system),
        packing=[] if listed is None else [(printable(each.name), order_words.packed(each)) for each in listed.packed],
        renewals=[] if listed is None else [(printable(each.name), printable(each.why)) for each in listed.renewals],
        absent=[] if listed is None else list(listed.absent),
        state="" if listed is None else order_words.state(listed),
        how_cut=order_words.HEADS,
    )  # fmt: skip
    return text


class _Symbol(NamedTuple):
    """A view of the truck at ride height, drawn once and shown beside each line."""

    name: str
    title: str
    view: View
    paths: tuple[Markup, ...]


def _views(build: Build) -> tuple[_Symbol, ...]:
    drawn, _ = drawing(Job(build), np.zeros(1), np.zeros(1), [0.0])
    points = [(float(x), float(y), float(z)) for x, y, z in (np.reshape(point, -1)[:3] for point in drawn.points)]
    drawn = drawn._replace(members=tuple(each for each in drawn.members if each.kind not in LEFT_OUT))
    framed = sheet(drawn, build.units, frozenset())
    symbols = []
    for view in (framed.side, framed.top):
        paths = tuple(
            Markup(outline(member.shape, [points[number] for number in member.points], member.size * 1000, view))
            for member in drawn.members
        )
        title = f"{view.title}, front to the left"
        symbols.append(_Symbol(view.name, title, _cropped(view, drawn, points), paths))
    return tuple(symbols)


def _cropped(view: View, drawn: Drawing, points: Sequence[tuple[float, float, float]]) -> View:
    """A view with its frame close about what is drawn; that of the report has room for dimensions."""
    places = [
        (x + way * room, y + way * room)
        for member in drawn.members
        for room in (500 * member.size if member.shape == "wheel" and view.name == "side" else ROOM,)
        for x, y in (view.place(points[number]) for number in member.points)
        if math.isfinite(x) and math.isfinite(y)
        for way in (-1, 1)
    ]
    across, down = zip(*places, strict=True)
    left, top = min(across) - ROOM, min(down) - ROOM
    return view._replace(left_edge=left, top_edge=top, width=max(across) + ROOM - left, height=max(down) + ROOM - top)


def _marks(at: Sequence[Point], views: Iterable[_Symbol]) -> list[dict[str, Any]]:
    """The views with the places marked; none where there is no one place."""
    found = []
    for symbol in views if at else ():
        places = [symbol.view.place(point) for point in at]
        rings = [{"x": f"{x:.0f}", "y": f"{y:.0f}", "r": _ring(symbol.view)} for x, y in places]
        found.append({"name": symbol.name, "box": Markup(symbol.view.box), "rings": rings})
    return found


def _ring(view: View) -> str:
    return f"{max(view.width, view.height) / 18:.0f}"


def _block(block: Block, views: Sequence[_Symbol], system: System) -> dict[str, Any]:
    return {
        "title": printable(block.title),
        "columns": [(printable(column.name), printable(column.words)) for column in block.columns],
        "placed": any(entry.at for row in block.rows for entry in row.entries),
        "rows": [_row(row, views, system) for row in block.rows],
    }


def _row(row: Row, views: Sequence[_Symbol], system: System) -> dict[str, Any]:
    first = row.entries[0]
    return {
        "number": row.number,
        "name": printable(row.name),
        "said": printable(row.said),
        "path": printable(first.path if len(row.entries) == 1 else first.path.rpartition(".")[0]),
        "why": printable(_why(row.entries)),
        "marks": _marks(first.at, views),
        "cells": [
            {
                "blanks": [_blank(blank, system) for blank in cell.blanks],
                "choices": [printable(choice) for choice in cell.choices],
            }
            for cell in row.cells
        ],
    }


MOST_RULES = 4
"""So many rules are named beside a question; of more the number is said."""


def _why(entries: Sequence[Entry]) -> str:
    rules = list(dict.fromkeys(rule for entry in entries for rule in entry.rules))
    if entries[0].measured:
        more = f" and {len(rules) - MOST_RULES} more rules" if len(rules) > MOST_RULES else ""
        needed = f", and {', '.join(rules[:MOST_RULES])}{more} need it" if rules else ""
        return f"measured for the hold point{needed}"
    return f"asked for by {', '.join(rules)}"


def _blank(blank: Blank, system: System) -> dict[str, str]:
    proposed = ""
    if blank.proposed is not None:
        proposed = (
            parts_words.length(blank.proposed, system)
            if blank.dimension is Dimension.LENGTH
            else words.amount(blank.proposed, blank.dimension or Dimension.RATIO, system)
        )
    unit = words.unit(blank.dimension, system) if blank.dimension is not None else ""
    return {"name": blank.name, "proposed": proposed, "unit": unit}


def _distance(metres: float, system: System) -> str:
    """A distance on the road, which no tape measures: `50 mi`."""
    return f"{metres / MILE:.0f} mi" if system is System.INCH_POUND else f"{metres / 1000:.0f} km"


def _bolt(bolt: Tightening, views: Iterable[_Symbol], system: System) -> dict[str, Any]:
    torque = next((fact for fact in bolt.facts if fact.name == "torque"), None)
    others = [fact for fact in bolt.facts if fact.name != "torque"]
    return {
        "label": printable(bolt.label),
        "number": bolt.number,
        "facts": parts_words.facts(others, system) or "not in the spec",
        "torque": "" if torque is None else parts_words.value(torque, system),
        "lacks": order_words.lacks(bolt.unknown),
        "marks": _marks(bolt.at, views),
    }


def _cuts(listed: OrderList, system: System) -> list[dict[str, Any]]:
    return [
        {
            "number": cut.number,
            "label": printable(cut.label),
            "tube": parts_words.facts(cut.tube, system) or "not in the spec",
            "from": order_words.how_cut(cut, system),
            "length": "" if cut.length is None else parts_words.length(cut.length, system),
            "no_length": order_words.no_length(cut),
            "why": printable(cut.why),
            "lacks": order_words.lacks(cut.unknown),
        }
        for cut in listed.cuts
    ]


def _lines(listed: OrderList, system: System) -> list[dict[str, Any]]:
    return [
        {
            "number": line.number,
            "kind": line.kind,
            "words": order_words.of_line(line, system),
            "for": order_words.used_for(line),
            "lacks": order_words.lacks(line.unknown),
        }
        for line in listed.lines
    ]


def _on_each_sheet(text: str, paper: str) -> str:
    """The style of each sheet: its size, and at its foot which one it is, for when it gets loose."""
    plain = (one if one.isascii() and (one.isalnum() or one in " ,.-:") else f"\\{ord(one):x} " for one in text[:110])
    size = f"@page{{size:{paper or 'auto'} landscape}}"
    foot = f'@page{{@bottom-left{{content:"{"".join(plain)}"}}}}'
    middle = f'@page{{@bottom-center{{content:"{DEFERS}"}}}}'
    number = '@page{@bottom-right{content:"Sheet " counter(page) " of " counter(pages)}}'
    return "\n".join(("", size, foot, middle, number))


def _hash(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _text(name: str) -> str:
    return files(__package__).joinpath(name).read_text(encoding="utf-8")


def _unbroken(value: Any) -> Any:
    """Text in which no line ends between a number and its fraction or its unit. Markup stays as it is, such as the
    numbers of a drawing."""
    return NUMBER.sub("\\1\u00a0", value) if isinstance(value, str) and not isinstance(value, Markup) else value


@cache
def _template() -> Any:
    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, finalize=_unbroken
    )
    return environment.from_string(_text("sheet.html"))
