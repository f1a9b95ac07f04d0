"""The numbered mark of each item of the record on the drawing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from math import ceil, isfinite
from typing import NamedTuple

from buildcheck.build import Build, Missing, Side
from buildcheck.job.drawing import Drawing
from buildcheck.output.items import Item
from buildcheck.output.report.motion import Motion
from buildcheck.output.report.views import Place, View
from buildcheck.spec.place import split

SPACING, NARROW, THUMB = 125.0, 352.0, 24.3
"""From one balloon to the next, mm of the truck; and, where that is more, so many pixels that a balloon can be tapped
on a narrow screen, on which a view is `NARROW` pixels wide."""

BALLOON = 50.0
"""Radius of a balloon, mm of the truck, on a wide screen and on paper."""

SEEN_BEST = {
    "lateral_bar": "front",
    "steering": "top",
    "coilovers": "front",
    "bump_stops": "front",
    "limit_straps": "front",
}
"""The view that shows a section of the spec best; the side view does for the others."""


class Anchor(NamedTuple):
    """Target of an item: a number of a point of the drawing, and the view to show it in."""

    item: Item
    point: int
    view: str


class Mark(NamedTuple):
    """An item's balloon and its leader, from `start` to what it points at, mm of the truck.

    Items that point at one place are drawn together and share a leader, as ISO 6433 has it (from memory); `tie` is the
    stroke that joins a balloon to the one before it of the same place.
    """

    item: Item
    point: int
    balloon: Place
    start: Place
    end: Place
    tie: tuple[Place, Place] | None


def spacing(view: View) -> float:
    """From one balloon of a view to the next, mm of the truck."""
    return max(SPACING, THUMB * view.width / NARROW)


def radius(view: View) -> float:
    """Radius of a balloon on a narrow screen, mm of the truck."""
    return spacing(view) * 0.48


def anchors(build: Build, found: Motion, numbered: Sequence[Item]) -> tuple[tuple[Anchor, ...], tuple[Item, ...]]:
    """The items of each place on the drawing, and those without a place, or whose place does not reach ride
    height."""
    placed, general = [], []
    points = found.points_at(found.ride, found.straight)
    for item in numbered:
        point = _point(build, found.drawing, item)
        if point is None or not all(isfinite(each) for each in points[point]):
            general.append(item)
        else:
            placed.append(Anchor(item, point, view_of(item.reading.place)))
    return tuple(placed), tuple(general)


def marks(found: Motion, anchored: Sequence[Anchor], view: View) -> tuple[Mark, ...]:
    """The marks of one view at ride height: balloons along its upper edge, in the order of what they point at, so that
    leaders do not cross. Where one row has no room for all, those of one place are stacked in columns."""
    points = found.points_at(found.ride, found.straight)
    here = sorted(
        ((view.place(points[anchor.point]), anchor) for anchor in anchored if anchor.view == view.name),
        key=lambda each: (each[0], each[1].item.number),
    )
    groups = [(place, [anchor for _, anchor in each]) for place, each in groupby(here, key=lambda each: each[0])]
    apart = spacing(view)
    room = max(int((view.width - apart) / apart), 1)
    most = max((len(group) for _, group in groups), default=1)
    rows = next((n for n in range(1, most) if sum(ceil(len(group) / n) for _, group in groups) <= room), most)
    columns = [(place, group[start : start + rows]) for place, group in groups for start in range(0, len(group), rows)]
    made: list[Mark] = []
    for start in range(0, len(columns), room):
        band = columns[start : start + room]
        across = _spread([place[0] for place, _ in band], view)
        lowest = view.top_edge + apart / 2 + 10 + ((start // room + 1) * rows - 1) * apart
        for place, each in groupby(zip(across, band, strict=True), key=lambda column: column[1][0]):
            made += _group(place, [(x, anchors) for x, (_, anchors) in each], lowest, apart)
    return tuple(made)


def _group(
    place: Place, columns: Sequence[tuple[float, Sequence[Anchor]]], lowest: float, apart: float
) -> Iterator[Mark]:
    """The balloons of one place: columns upwards from `lowest`, tied to each other along it."""
    start = (columns[len(columns) // 2][0], lowest + BALLOON)
    for number, (x, column) in enumerate(columns):
        for up, anchor in enumerate(reversed(column)):
            y, tie = lowest - up * apart, None
            if up:
                tie = (x, y + BALLOON), (x, y + apart - BALLOON)
            elif number:
                tie = (columns[number - 1][0] + BALLOON, y), (x - BALLOON, y)
            yield Mark(anchor.item, anchor.point, (x, y), start, place, tie)


def _spread(wanted: Sequence[float], view: View) -> list[float]:
    """Places as near to those wanted (in rising order) as the spacing between them and the view's edges allow."""
    apart = spacing(view)
    low, high = view.left_edge + apart / 2, view.left_edge + view.width - apart / 2
    placed: list[float] = []
    for x in wanted:
        placed.append(max(x, placed[-1] + apart if placed else low))
    for index in range(len(placed) - 1, -1, -1):
        placed[index] = min(placed[index], high - apart * (len(placed) - 1 - index))
    return placed


def view_of(place: str) -> str:
    """Name of the view that shows a place of the spec best."""
    return SEEN_BEST.get(place.partition(".")[0], "side")


def _point(build: Build, drawn: Drawing, item: Item) -> int | None:
    side = next((side for side in Side if item.reading.subject.startswith(side.value)), Side.LEFT)
    for path in _paths(build, item.reading.place):
        for found in _at(drawn, path, side):
            return found
    return None


def _paths(build: Build, place: str) -> Iterator[str]:
    """The spec paths under which a place may be drawn, the narrowest first; that of a bracket is what it holds."""
    if place.startswith("attachments"):
        yield from _held(build, place)
        return
    while place:
        yield place
        place = place.rpartition(".")[0]


def _held(build: Build, place: str) -> Iterator[str]:
    try:
        bracket = build.value(".".join(str(step) for step in split(place)[:3]))
        held, parent = bracket.holds[0], bracket.parent
    except (Missing, ValueError, AttributeError, IndexError):
        return
    end = "frame" if parent in ("frame", "crossmember") else "axle"
    side = str(split(place)[2])
    for path in (held, f"{held}.{side}", f"{held}.both"):
        yield f"{path}.{end}"
        yield path


def _at(drawn: Drawing, path: str, side: Side) -> Iterator[int]:
    for one in (side, Side.CENTRE, Side.LEFT, Side.RIGHT):
        if (path, one) in drawn.places:
            yield drawn.places[path, one]
