"""Dimensions on the views at ride height, in the manner of ISO 129-1 (from memory): narrow lines, closed arrowheads,
the figure above its line and readable from below or from the right."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import NamedTuple

from buildcheck.build import Build, Side
from buildcheck.build.linkage import Link
from buildcheck.output import words
from buildcheck.output.report.free_space import Stroke
from buildcheck.output.report.motion import Motion
from buildcheck.output.report.views import Place, Sheet
from buildcheck.output.words import printable
from buildcheck.spec.quantity import Dimension as Kind

SIDES = (Side.LEFT, Side.RIGHT)
LEAST = 0.15
"""Apart enough (m) for a dimension across the truck to have room between its arrowheads."""

ARROW = (34.0, 7.0)
BEYOND = 16.0


Span = tuple[float, Place, Place, str]
"""A length (m), the two places it lies between, and what it is."""


class Red(NamedTuple):
    """A finding whose value the drawing shows, marked there as with a red pencil: its number, its verdict, its limit's
    name, and the place in the spec."""

    number: int
    verdict: str
    limit: str
    place: str


def red_of(reds: tuple[Red, ...], path: str, limits: tuple[str, ...]) -> Red | None:
    """The first finding on one of these limits at a path or below it."""
    return next((each for each in reds if each.limit in limits and f"{each.place}.".startswith(f"{path}.")), None)


class Figure(NamedTuple):
    """A dimension as it is drawn: its lines (extension lines first), path of its arrowheads, its figure with place and
    turn, and its name, for readers who cannot see the drawing."""

    strokes: tuple[Stroke, ...]
    arrows: str
    text: str
    name: str
    at: Place
    turned: bool

    @property
    def lines(self) -> str:
        """The lines as a path."""
        return "".join(f"M{a:.1f} {b:.1f}L{c:.1f} {d:.1f}" for (a, b), (c, d) in self.strokes)


def dimensions(build: Build, found: Motion, sheet: Sheet) -> dict[str, list[Figure]]:
    """The dimensions of each view by its name, of what the spec holds."""
    points = found.points_at(found.ride, found.straight)

    def amount(value: float) -> str:
        return words.amount(value, Kind.LENGTH, build.units, None if build.units.value == "metric" else 2)

    def place(path: str, side: Side = Side.CENTRE) -> tuple[float, float, float] | None:
        number = found.drawing.places.get((path, side))
        return None if number is None else points[number]

    made: dict[str, list[Figure]] = {view.name: [] for view in sheet.views}
    centre = place("axle.centre") or place("axle")
    floor, edge, rows = sheet.side.top_edge + sheet.side.height, sheet.side.left_edge, sheet.rows
    below = [floor - sheet.row * (rows - row) for row in range(rows)]
    left = [edge + sheet.row * (rows - row) for row in range(rows)]
    right = [edge + sheet.side.width - sheet.row * (rows - row) for row in range(rows)]
    held = [
        (
            place(f"{link.path}.frame", link.side),
            place(f"{link.path}.axle", link.side),
            link.path,
            printable(link.label),
        )
        for link in links_of(build)
    ][:rows]
    links = [(frame, end, path, label) for frame, end, path, label in held if frame is not None and end is not None]
    # What is at the frame is measured at the edge that is nearer to the frame ends, the rest at the other.
    at_frame, at_axle = (right, left) if all(frame[0] <= end[0] for frame, end, *_ in links) else (left, right)
    if centre is not None:
        x, _ = sheet.side.place(centre)
        name = "height of the axle centre"
        made["side"].append(_upright(at_axle[0], sheet.side.place(centre), (x, 0.0), amount(centre[2]), name))
    lengths: list[Span] = []
    heights: list[Span] = []
    spreads: dict[str, list[Span]] = {"frame": [], "axle": []}
    for frame, end, path, label in links:
        start, stop = sheet.side.place(frame), sheet.side.place(end)
        lengths.append((abs(frame[0] - end[0]), stop, start, f"{label}, from end to end along the truck"))
        heights.append((frame[2], start, (start[0], 0.0), f"{label}, height of its frame end"))
        for name, found_there in spreads.items():
            pair = [place(f"{path}.{name}", side) or place(f"{_other(path)}.{name}", side) for side in SIDES]
            if pair[0] is not None and pair[1] is not None and pair[0][1] - pair[1][1] > LEAST:
                places = sheet.top.place(pair[0]), sheet.top.place(pair[1])
                what = f"{label.removeprefix('left ')}, from left to right at the {name}"
                found_there.append((pair[0][1] - pair[1][1], *places, what))

    # The shorter ones lie nearer to the parts, so that no extension line crosses a dimension line.
    def stacked(
        draw: Callable[[float, Place, Place, str, str], Figure], edges: list[float], spans: list[Span]
    ) -> list[Figure]:
        return [
            draw(at, start, end, amount(length), name)
            for at, (length, start, end, name) in zip(edges, sorted(spans), strict=False)
        ]

    made["side"] += stacked(_level, below, lengths) + stacked(_upright, at_frame, heights)
    made["top"] += stacked(_upright, at_frame, spreads["frame"]) + stacked(_upright, at_axle, spreads["axle"])
    if centre is not None and any(member.kind == "tyre" for member in found.drawing.members):
        half, track = build.vehicle.track / 2, build.vehicle.track
        ends = [sheet.front.place((centre[0], centre[1] + sign * half, 0.0)) for sign in (-1, 1)]
        made["front"].append(_level(below[0], ends[0], ends[1], amount(track), "track"))
    spot = next((member for member in found.drawing.members if member.label == "roll centre"), None)
    if spot is not None and math.isfinite(points[spot.points[0]][2]):
        centre_of_roll = points[spot.points[0]]
        top = sheet.front.place(centre_of_roll)
        if sheet.front.top_edge < top[1] < below[0]:
            text, name = f"roll centre {amount(centre_of_roll[2])}", "height of the roll centre"
            made["front"].append(_upright(sheet.front.left_edge + sheet.row, top, (top[0], 0.0), text, name))
    return made


def links_of(build: Build) -> Iterator[Link]:
    """One link of each name, the left where there is one; those on both sides first."""
    if build.has("links"):
        named = [list(build.links[name]) for name in sorted(build.links)]
        for sides in sorted(named, key=len, reverse=True):
            yield min(sides, key=lambda each: each.side is not Side.LEFT)


def _other(path: str) -> str:
    """The same part of the right side, where the two sides are written apart."""
    return f"{path.removesuffix('.left')}.right"


def _level(height: float, start: Place, end: Place, text: str, name: str) -> Figure:
    left, right = sorted((start, end))
    extensions = tuple(((x, y + BEYOND), (x, height + BEYOND)) for x, y in (left, right))
    long, half = ARROW
    heads = ((left[0], long), (right[0], -long))
    arrows = "".join(f"M{x:.1f} {height:.1f}l{way} {half}v{-2 * half}Z" for x, way in heads)
    line = (left[0], height), (right[0], height)
    return Figure((*extensions, line), arrows, text, name, ((left[0] + right[0]) / 2, height - 14), turned=False)


def _upright(across: float, start: Place, end: Place, text: str, name: str) -> Figure:
    upper, lower = sorted((start, end), key=lambda place: place[1])
    beyond = math.copysign(BEYOND, across - upper[0])
    extensions = tuple(((x + beyond, y), (across + beyond, y)) for x, y in (upper, lower))
    long, half = ARROW
    heads = ((upper[1], long), (lower[1], -long))
    arrows = "".join(f"M{across:.1f} {y:.1f}l{half} {way}h{-2 * half}Z" for y, way in heads)
    line = (across, upper[1]), (across, lower[1])
    return Figure((*extensions, line), arrows, text, name, (across - 14, (upper[1] + lower[1]) / 2), turned=True)
