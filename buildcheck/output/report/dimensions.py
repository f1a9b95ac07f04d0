"""Dimensions on the views at ride height, in the manner of ISO 129-1 (from memory): narrow lines, closed arrowheads,
the figure above its line and readable from below or from the right."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from buildcheck.build import Build, Side
from buildcheck.output import words
from buildcheck.output.report.motion import Motion
from buildcheck.output.report.views import Place, Sheet
from buildcheck.quantity import Dimension as Kind

STEP = 75.0
"""From the edge of the view to the dimension line, mm of the truck."""

ARROW = (34.0, 7.0)
BEYOND = 16.0


class Figure(NamedTuple):
    """A dimension as it is drawn: path of its lines, path of its arrowheads, and its figure with place and turn."""

    lines: str
    arrows: str
    text: str
    at: Place
    turned: bool


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
    below = sheet.side.top_edge + sheet.side.height - STEP
    if centre is not None:
        x, _ = sheet.side.place(centre)
        left = sheet.side.left_edge + STEP
        made["side"].append(_upright(left, sheet.side.place(centre), (x, 0.0), amount(centre[2])))
    for link in _links(build):
        frame, end = place(f"{link}.frame", Side.LEFT), place(f"{link}.axle", Side.LEFT)
        if frame is None or end is None:
            continue
        start, stop = sheet.side.place(frame), sheet.side.place(end)
        made["side"].append(_level(below, stop, start, amount(abs(frame[0] - end[0]))))
        right = sheet.side.left_edge + sheet.side.width - STEP
        made["side"].append(_upright(right, start, (start[0], 0.0), amount(frame[2])))
        break
    if build.has("vehicle") and build.vehicle.has("track") and centre is not None:
        half, track = build.vehicle.track / 2, build.vehicle.track
        ends = [sheet.front.place((centre[0], centre[1] + sign * half, 0.0)) for sign in (-1, 1)]
        made["front"].append(_level(below, ends[0], ends[1], amount(track)))
    spot = next((member for member in found.drawing.members if member.label == "roll centre"), None)
    if spot is not None and math.isfinite(points[spot.points[0]][2]):
        centre_of_roll = points[spot.points[0]]
        top = sheet.front.place(centre_of_roll)
        if sheet.front.top_edge < top[1] < below:
            text = f"roll centre {amount(centre_of_roll[2])}"
            made["front"].append(_upright(sheet.front.left_edge + STEP, top, (top[0], 0.0), text))
    return made


def _links(build: Build) -> Iterator[str]:
    if build.has("links"):
        for name in sorted(build.links):
            for link in build.links[name]:
                if link.side is Side.LEFT:
                    yield link.path


def _level(height: float, start: Place, end: Place, text: str) -> Figure:
    left, right = sorted((start, end))
    lines = "".join(f"M{x:.1f} {y + BEYOND:.1f}V{height + BEYOND:.1f}" for x, y in (left, right))
    lines += f"M{left[0]:.1f} {height:.1f}H{right[0]:.1f}"
    long, half = ARROW
    heads = ((left[0], long), (right[0], -long))
    arrows = "".join(f"M{x:.1f} {height:.1f}l{way} {half}v{-2 * half}Z" for x, way in heads)
    return Figure(lines, arrows, text, ((left[0] + right[0]) / 2, height - 14), turned=False)


def _upright(across: float, start: Place, end: Place, text: str) -> Figure:
    upper, lower = sorted((start, end), key=lambda place: place[1])
    beyond = math.copysign(BEYOND, across - upper[0])
    lines = "".join(f"M{x + beyond:.1f} {y:.1f}H{across + beyond:.1f}" for x, y in (upper, lower))
    lines += f"M{across:.1f} {upper[1]:.1f}V{lower[1]:.1f}"
    long, half = ARROW
    heads = ((upper[1], long), (lower[1], -long))
    arrows = "".join(f"M{across:.1f} {y:.1f}l{half} {way}h{-2 * half}Z" for y, way in heads)
    return Figure(lines, arrows, text, (across - 14, (upper[1] + lower[1]) / 2), turned=True)
