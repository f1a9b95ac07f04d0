"""Angles on the view from the left at ride height: slopes of the links, caster, and the pinion's angle, each as an arc
between the two lines that it lies between, in the manner of ISO 129-1 (from memory)."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from buildcheck.build import Build, Side
from buildcheck.output import words
from buildcheck.output.report.dimensions import ARROW, Red, links_of, red_of
from buildcheck.output.report.free_space import Ink, Stroke, freest
from buildcheck.output.report.motion import Motion
from buildcheck.output.report.parts_list import leader
from buildcheck.output.report.views import Place, Sheet
from buildcheck.output.words import printable
from buildcheck.spec.quantity import Dimension

AXIS = 11.0
"""Length of the lines of caster and pinion, in heights of a letter."""

TURNS, REACHES = 24, (1.6, 2.4, 3.4, 4.6, 6.0)
"""Directions and distances (heights of a letter) from an arc in which its figure may be."""


class Angle(NamedTuple):
    """An angle as it is drawn: the two lines (the second one the part's own), its arc and arrowheads, its figure with
    its place and the leader to the arc, its name, and the finding that it breaks, if any."""

    lines: tuple[Stroke, Stroke]
    arc: str
    arrows: str
    text: str
    name: str
    at: Place
    leader: Stroke
    red: Red | None


class Sides(NamedTuple):
    """An angle before its figure has a place: the point that both lines go through, the directions of the two on the
    paper (rad, downwards positive), the radius of its arc, and how long the lines are."""

    corner: Place
    level: float
    part: float
    radius: float
    long: float
    value: float
    what: str
    name: str
    red: Red | None


def angles(build: Build, found: Motion, sheet: Sheet, ink: Ink, reds: tuple[Red, ...]) -> list[Angle]:
    """The angles of the view from the left, each figure where no line runs."""
    view, letter = sheet.side, sheet.letter
    made: list[Angle] = []
    for sides in (*_slopes(build, found, sheet, reds), *_axle_angles(build, found, sheet, reds)):
        (x, y), middle = sides.corner, (sides.level + sides.part) / 2
        text = f"{sides.what}{words.amount(sides.value, Dimension.ANGLE, build.units)}"
        width = 0.55 * letter * len(text)
        on_arc = _on(sides.corner, middle, sides.radius)
        tried = [
            (on_arc[0] + math.cos(turn) * (reach * letter + width / 2), on_arc[1] + math.sin(turn) * reach * letter)
            for reach in REACHES
            for turn in (sides.level + 2 * math.pi * each / TURNS for each in range(TURNS))
        ]
        inside = [
            at
            for at in tried
            if abs(at[0] - view.left_edge - view.width / 2) < view.width / 2 - width / 2 - 2 * sheet.row
            and view.top_edge + 2 * letter < at[1] < -2 * letter
            and all(abs(at[0] - other.at[0]) > width or abs(at[1] - other.at[1]) > 1.6 * letter for other in made)
        ]
        at = freest(ink, inside or tried, width, letter)
        starts = leader((at[0] - on_arc[0], at[1] - on_arc[1]), letter)
        lines = tuple(((x, y), _on(sides.corner, way, sides.long)) for way in (sides.level, sides.part))
        made.append(
            Angle(
                (lines[0], lines[1]),
                _arc(sides),
                _heads(sides),
                text,
                sides.name,
                (at[0], at[1] + 0.36 * letter),
                ((on_arc[0] + starts[0], on_arc[1] + starts[1]), on_arc),
                sides.red,
            )
        )
    return made


def _slopes(build: Build, found: Motion, sheet: Sheet, reds: tuple[Red, ...]) -> Iterator[Sides]:
    points = found.points_at(found.ride, found.straight)
    for link in links_of(build):
        numbers = [found.drawing.places.get((f"{link.path}.{end}", link.side)) for end in ("frame", "axle")]
        if None in numbers:
            continue
        (x, y), (end_x, end_y) = (sheet.side.place(points[number]) for number in numbers if number is not None)
        long = math.hypot(end_x - x, end_y - y)
        if not math.isfinite(long) or long < 6 * sheet.letter:
            continue
        level = 0.0 if end_x > x else math.pi
        slope = math.asin((end_y - y) / long)
        part = slope if end_x > x else math.pi - slope
        name = f"{printable(link.label)}, slope at ride height"
        red = red_of(reds, link.path, ("slope-at-ride", "upper-slope-at-ride"))
        yield Sides((x, y), level, part, 0.55 * long, 0.62 * long, abs(slope), "", name, red)


def _axle_angles(build: Build, found: Motion, sheet: Sheet, reds: tuple[Red, ...]) -> Iterator[Sides]:
    points, long = found.points_at(found.ride, found.straight), AXIS * sheet.letter
    at_ride = {
        each.quantity.name: float(each.values[found.straight if len(each.values) > 1 else 0][found.ride])
        for each in found.followed
    }
    places = found.drawing.places
    number = next((at for (path, side), at in places.items() if side is Side.LEFT and "kingpins" in path), None)
    caster = at_ride.get("caster", math.nan)
    if number is not None and math.isfinite(caster):
        up = -math.pi / 2
        red = red_of(reds, "axle", ("caster-size",))
        corner = sheet.side.place(points[number])
        yield Sides(corner, up, up + caster, 0.85 * long, long, abs(caster), "caster ", "caster", red)
    pinion = at_ride.get("pinion-up", math.nan)
    joint, middle = (places.get((path, Side.CENTRE)) for path in ("axle.pinion", "axle.centre"))
    if joint is not None and middle is not None and math.isfinite(pinion):
        corner, centre = sheet.side.place(points[joint]), sheet.side.place(points[middle])
        back = corner[0] > centre[0]
        part = -pinion if back else math.pi + pinion
        level = 0.0 if back else math.pi
        way = "up" if pinion >= 0 else "down"
        red = red_of(reds, "axle.pinion", ("pinion-size",))
        yield Sides(corner, level, part, 0.85 * long, long, abs(pinion), f"pinion {way} ", f"pinion, {way}", red)


def _on(corner: Place, way: float, far: float) -> Place:
    return corner[0] + far * math.cos(way), corner[1] + far * math.sin(way)


def _arc(sides: Sides) -> str:
    (x, y), (end_x, end_y) = (_on(sides.corner, way, sides.radius) for way in (sides.level, sides.part))
    sweep = int(sides.part > sides.level)
    return f"M{x:.1f} {y:.1f}A{sides.radius:.1f} {sides.radius:.1f} 0 0 {sweep} {end_x:.1f} {end_y:.1f}"


def _heads(sides: Sides) -> str:
    """Arrowheads inside the arc where it has room for both, else from outside."""
    long, half = ARROW
    turn = sides.part - sides.level
    outside = abs(turn) * sides.radius < 3 * long
    heads = []
    for way, inwards in ((sides.level, math.copysign(1.0, turn)), (sides.part, -math.copysign(1.0, turn))):
        x, y = _on(sides.corner, way, sides.radius)
        along = (-outside or 1) * inwards
        back = (-math.sin(way) * along * long, math.cos(way) * along * long)
        aside = (math.cos(way) * half, math.sin(way) * half)
        heads.append(
            f"M{x:.1f} {y:.1f}l{back[0] + aside[0]:.1f} {back[1] + aside[1]:.1f}"
            f"l{-2 * aside[0]:.1f} {-2 * aside[1]:.1f}Z"
        )
    return "".join(heads)
