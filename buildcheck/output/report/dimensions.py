"""Dimensions on the views at ride height, in the manner of ISO 129-1 (from memory): narrow lines, closed arrowheads,
the figure above its line and readable from below or from the right."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from buildcheck.build import Build, Side
from buildcheck.output import words
from buildcheck.output.report.motion import Motion
from buildcheck.output.report.views import Place, Sheet, View
from buildcheck.quantity import Dimension as Kind

STEP = 105.0
"""From the outline to the first dimension line, and from one to the next, mm of the truck."""

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
    floor = _floor(sheet.side)
    if centre is not None:
        x, _ = sheet.side.place(centre)
        left = sheet.side.left_edge + STEP
        made["side"].append(_upright(left, sheet.side.place(centre), (x, 0.0), amount(centre[2])))
    for link in _links(build):
        frame, end = place(f"{link}.frame", Side.LEFT), place(f"{link}.axle", Side.LEFT)
        if frame is None or end is None:
            continue
        start, stop = sheet.side.place(frame), sheet.side.place(end)
        number = len(made["side"])
        made["side"].append(_level(floor + STEP * number, stop, start, amount(abs(frame[0] - end[0]))))
        right = sheet.side.left_edge + sheet.side.width - STEP
        made["side"].append(_upright(right, start, (start[0], 0.0), amount(frame[2])))
        break
    if build.has("vehicle") and build.vehicle.has("track") and centre is not None:
        half, track = build.vehicle.track / 2, build.vehicle.track
        ends = [sheet.front.place((centre[0], centre[1] + sign * half, 0.0)) for sign in (-1, 1)]
        made["front"].append(_level(floor + STEP, ends[0], ends[1], amount(track)))
    spot = next((member for member in found.drawing.members if member.label == "roll centre"), None)
    if spot is not None and math.isfinite(points[spot.points[0]][2]):
        height = points[spot.points[0]]
        top = sheet.front.place(height)
        left = sheet.front.left_edge + STEP
        made["front"].append(_upright(left, top, (top[0], 0.0), f"roll centre {amount(height[2])}"))
    return made


def _floor(view: View) -> float:
    """The paper's height of the floor, from which heights are measured: z = 0."""
    return view.place((0.0, 0.0, 0.0))[1]


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
    arrows = f"M{left[0]:.1f} {height:.1f}l{long} {half}v{-2 * half}ZM{right[0]:.1f} {height:.1f}l{-long} {half}v{-2 * half}Z"
    return Figure(lines, arrows, text, ((left[0] + right[0]) / 2, height - 14), turned=False)


def _upright(across: float, start: Place, end: Place, text: str) -> Figure:
    upper, lower = sorted((start, end), key=lambda place: place[1])
    beyond = math.copysign(BEYOND, across - upper[0])
    lines = "".join(f"M{x + beyond:.1f} {y:.1f}H{across + beyond:.1f}" for x, y in (upper, lower))
    lines += f"M{across:.1f} {upper[1]:.1f}V{lower[1]:.1f}"
    long, half = ARROW
    arrows = f"M{across:.1f} {upper[1]:.1f}l{half} {long}h{-2 * half}ZM{across:.1f} {lower[1]:.1f}l{half} {-long}h{-2 * half}Z"
    return Figure(lines, arrows, text, (across - 14, (upper[1] + lower[1]) / 2), turned=True)
