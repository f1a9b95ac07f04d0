"""Outlines of the members, as SVG path data in millimetres of the truck.

`report.js` draws the same outlines in the other poses; a browser test holds the two to each other at ride height.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from buildcheck.output.report.views import Place, View

BODY = 50.0
"""Diameter of a coilover's body where none is stated, mm."""

SPOT = 16.0
TURNS = 9

SHORT = 0.1
"""By this (mm) the radius of half an arc is stated too small: it is then widened to just reach both its ends. One too
large for ends that were rounded has its middle beside theirs, by far more than the rounding."""

FLAT = 2.0
"""A face that is seen as flat as this (mm) is drawn as a line: an ellipse so flat does not reach both its ends once
they are rounded, and is then drawn larger than it is."""

Point = tuple[float, float, float]


def outline(shape: str, points: Sequence[Point], size: float, view: View) -> str:
    """The outline of a member in a view; `points` m, `size` mm. "" where a point has no place."""
    if not all(math.isfinite(value) for point in points for value in point):
        return ""
    places = [view.place(point) for point in points]
    if shape == "bar" and size:
        return _bar(places[0], places[1], size / 2)
    if shape == "coil":
        return _coil(places[0], places[1], size or BODY)
    if shape == "disc":
        return _circle(places[0], size / 2)
    if shape == "wheel":
        return _wheel(places[0], places[1], 1000 * math.dist(*points), size / 2)
    if shape == "box":
        (left, top), (right, bottom) = places
        return _path([(left, top), (right, top), (right, bottom), (left, bottom)]) + "Z"
    if shape == "spot":
        x, y = places[0]
        cross = f"M{x - SPOT:.1f} {y:.1f}H{x + SPOT:.1f}M{x:.1f} {y - SPOT:.1f}V{y + SPOT:.1f}"
        return _circle(places[0], SPOT / 2) + cross
    return _path(places)


def cut_box(low: Place, high: Place, within: tuple[float, float], letter: float) -> tuple[str, str]:
    """A box that goes on beyond a range across the view, drawn as far as that, and the break lines where it is cut."""
    (left, right), (top, bottom) = sorted((low[0], high[0])), sorted((low[1], high[1]))
    first, last = max(left, within[0]), min(right, within[1])
    if first >= last:
        return "", ""
    edges, breaks = f"M{first:.1f} {top:.1f}H{last:.1f}M{first:.1f} {bottom:.1f}H{last:.1f}", ""
    for x, cut in ((first, left < within[0]), (last, right > within[1])):
        if cut:
            breaks += _break_line(x, top, bottom, letter)
        else:
            edges += f"M{x:.1f} {top:.1f}V{bottom:.1f}"
    return edges, breaks


def _break_line(x: float, top: float, bottom: float, letter: float) -> str:
    """A thin line with a zigzag in its middle, a little longer than what it cuts (ISO 128-2, from memory)."""
    middle, up, over = (top + bottom) / 2, letter / 3, letter / 2
    zigzag = f"l{up:.1f} {up / 2:.1f}l{-2 * up:.1f} {up:.1f}l{up:.1f} {up / 2:.1f}"
    return f"M{x:.1f} {top - over:.1f}V{middle - up:.1f}{zigzag}V{bottom + over:.1f}"


def _path(places: Sequence[Place]) -> str:
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in places)


def _circle(centre: Place, radius: float) -> str:
    x, y = centre
    arc = f"a{radius:.1f} {radius:.1f} 0 1 0"
    return f"M{x - radius:.1f} {y:.1f}{arc} {2 * radius:.1f} 0{arc} {-2 * radius:.1f} 0Z"


def _across(start: Place, end: Place) -> tuple[float, float, float]:
    """The unit vector square to the way from start to end, and their distance."""
    along = (end[0] - start[0], end[1] - start[1])
    length = math.hypot(*along)
    return (1.0, 0.0, 0.0) if length < 0.05 else (-along[1] / length, along[0] / length, length)


def _bar(start: Place, end: Place, radius: float) -> str:
    """A tube with round ends, so that one seen end-on is a circle."""
    x, y, _ = _across(start, end)
    x, y = x * radius, y * radius
    turn = f"A{radius - SHORT:.1f} {radius - SHORT:.1f} 0 0 0"
    return (
        f"M{start[0] + x:.1f} {start[1] + y:.1f}L{end[0] + x:.1f} {end[1] + y:.1f}"
        f"{turn} {end[0] - x:.1f} {end[1] - y:.1f}L{start[0] - x:.1f} {start[1] - y:.1f}"
        f"{turn} {start[0] + x:.1f} {start[1] + y:.1f}Z"
    )


def _wheel(outer: Place, inner: Place, width: float, radius: float) -> str:
    """A short cylinder: two faces, which are ellipses as they turn out of the paper, and the edges between them."""
    x, y, length = _across(outer, inner)
    flat = radius * math.sqrt(max(1.0 - (length / width) ** 2, 0.0)) if width else radius
    flat = flat - SHORT if flat > FLAT else 0.0
    turned = math.degrees(math.atan2(y, x))
    x, y = x * radius, y * radius
    arc = f"A{radius - SHORT:.1f} {flat:.1f} {turned:.3f} 1 0"
    faces = "".join(
        f"M{at[0] + x:.1f} {at[1] + y:.1f}{arc} {at[0] - x:.1f} {at[1] - y:.1f}{arc} {at[0] + x:.1f} {at[1] + y:.1f}"
        for at in (outer, inner)
    )
    edges = "".join(
        f"M{outer[0] + sign * x:.1f} {outer[1] + sign * y:.1f}L{inner[0] + sign * x:.1f} {inner[1] + sign * y:.1f}"
        for sign in (1, -1)
    )
    return faces + edges


def wheel_corners(outer: Place, inner: Place, radius: float) -> list[Place]:
    """The corners of a short cylinder that is seen from its side; none of one that is seen from its end."""
    x, y, length = _across(outer, inner)
    if not length:
        return []
    x, y = x * radius, y * radius
    return [(at[0] + sign * x, at[1] + sign * y) for at, sign in ((outer, 1), (outer, -1), (inner, -1), (inner, 1))]


def _coil(frame: Place, axle: Place, body: float) -> str:
    """A coil spring over a damper: body and shaft, and the spring as a zigzag between its seats."""
    x, y, length = _across(frame, axle)
    along = (y, -x) if length else (0.0, 0.0)

    def at(way: float, aside: float) -> Place:
        return frame[0] + along[0] * way * length + x * aside, frame[1] + along[1] * way * length + y * aside

    half, wide = body / 2, body * 0.95
    damper = _path([at(0.08, half), at(0.6, half), at(0.6, -half), at(0.08, -half)]) + "Z"
    shaft = _path([at(0, 0), at(0.08, 0)]) + _path([at(0.6, 0), at(1, 0)])
    seats = _path([at(0.12, wide), at(0.12, -wide)]) + _path([at(0.92, wide), at(0.92, -wide)])
    spring = _path([at(0.12 + 0.8 * turn / TURNS, wide * (-1) ** turn) for turn in range(TURNS + 1)])
    return damper + shaft + seats + spring + _circle(frame, 12) + _circle(axle, 12)
