"""The three views of the drawing: which way each looks, how far it reaches, and the scale on paper.

The left side is the view from which the others are unfolded, since a link suspension shows most there. Projection:
third angle for inch-pound builds and first angle for metric ones, as ISO 5456-2 and the habit of the two worlds have it
(from memory). All three share one sheet, so that points line up from view to view. Scales are the preferred ones of
ISO 5455 (from memory), with 1 : 15, 25, 30 and 40 between them, where the next preferred one would leave half of the
sheet empty.

Views are called by the first letter of the side of the truck that they show, so that they are not taken for zones of
the frame, which go from A to D, or for L and R.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from buildcheck.job.curve import Array
from buildcheck.job.drawing import Drawing
from buildcheck.spec.quantity import System

Place = tuple[float, float]

SCALES = (5, 10, 15, 20, 25, 30, 40, 50, 100)
ROOM = (252.0, 158.0)
"""Room for the views within the frame of the smaller of A4 and Letter, landscape, above the title block (mm): width of
the two that are beside each other, height of the two that are below each other."""

ROW, EDGE, MARKS = 3.75, 3.0, 10.0
"""Margins of a view on paper (mm): each row of dimensions and the room beyond it; plain; and for balloons."""


LEAST = 0.7
"""A view holds at least this (m) of the truck, however small what it shows."""


class View(NamedTuple):
    """A view: the vehicle axes (0 x, 1 y, 2 z) that run to the right and down on the paper, with their signs, the axis
    that comes out of the paper, and its frame in millimetres of the truck."""

    name: str
    letter: str
    title: str
    right: tuple[int, float]
    down: tuple[int, float]
    nearer: tuple[int, float]
    left_edge: float = 0.0
    top_edge: float = 0.0
    width: float = 0.0
    height: float = 0.0

    def place(self, point: tuple[float, float, float]) -> Place:
        """Place of a point (m) on the paper, mm of the truck."""
        (across, sign), (down, downwards) = self.right, self.down
        return point[across] * sign * 1000, point[down] * downwards * 1000

    def holds(self, point: tuple[float, float, float]) -> bool:
        """Whether a point (m) lies within the frame; one that has no place does not."""
        x, y = self.place(point)
        return 0 <= x - self.left_edge <= self.width and 0 <= y - self.top_edge <= self.height

    @property
    def box(self) -> str:
        """The frame as an SVG viewBox."""
        return f"{self.left_edge:.0f} {self.top_edge:.0f} {self.width:.0f} {self.height:.0f}"


FRONT = View("front", "F", "from the front", (1, 1.0), (2, -1.0), (0, 1.0))
SIDE = View("side", "S", "from the left", (0, -1.0), (2, -1.0), (1, 1.0))
TOP = View("top", "T", "from above", (0, -1.0), (1, 1.0), (2, 1.0))


class Sheet(NamedTuple):
    """The views of a drawing, their projection, and the scale on paper (1 to so many)."""

    side: View
    front: View
    top: View
    third_angle: bool
    scale: int
    rows: int = 1
    """Rows of dimensions that there is room for at an edge."""

    @property
    def letter(self) -> float:
        """Height of the letters, mm of the truck: 2.5 mm on paper, the least of ISO 3098 (from memory)."""
        return 2.5 * self.scale

    @property
    def row(self) -> float:
        """From one dimension line to the next, mm of the truck."""
        return ROW * self.scale

    @property
    def views(self) -> tuple[View, View, View]:
        return self.side, self.front, self.top


def sheet(drawn: Drawing, system: System, marked: frozenset[str]) -> Sheet:
    """The views at the largest scale at which all three fit one sheet.

    `marked` names the views that need room for balloons.
    """
    extent, turned = _extent(drawn), 1000 * _turned(drawn)
    rows = min(max(len({member.path.split(".")[1] for member in drawn.members if member.kind == "link"}), 1), 2)
    for scale in SCALES:
        side, front, top = (_framed(view, extent, scale, rows, marked, turned) for view in (SIDE, FRONT, TOP))
        width, height = front.width + side.width, side.height + top.height
        if width <= ROOM[0] * scale and height <= ROOM[1] * scale:
            break
    return Sheet(side, front, top, system is System.INCH_POUND, scale, rows)


def _framed(
    view: View, extent: tuple[list[float], list[float]], scale: int, rows: int, marked: frozenset[str], turned: float
) -> View:
    """A view framed so that it holds every member in every pose; views beside each other share their frame. In the one
    from above a turned wheel may reach beyond the frame's edge, by less than the wheel is wide."""
    low, high = extent
    (across, sign), (down, downwards) = view.right, view.down
    left, right = sorted((low[across] * sign, high[across] * sign))
    upper, lower = sorted((low[down] * downwards, high[down] * downwards))
    row, edge, marks = ROW * scale, EDGE * scale, MARKS * scale
    aside = row * (2 if view is FRONT else 1 + rows)
    if view is TOP:
        above, below = marks if TOP.name in marked else max(edge, turned / 2), max(edge, turned / 2)
    else:
        above, below = marks if marked & {SIDE.name, FRONT.name} else edge, row * (1 + rows)
    return view._replace(
        left_edge=left * 1000 - aside,
        top_edge=upper * 1000 - above,
        width=(right - left) * 1000 + 2 * aside,
        height=(lower - upper) * 1000 + above + below,
    )


def _extent(drawn: Drawing) -> tuple[list[float], list[float]]:
    """The lowest and the highest coordinates of all that belongs to the truck, m, the floor among it."""
    low, high = np.full(3, np.inf), np.full(3, -np.inf)
    for member in drawn.members:
        if member.kind in ("obstacle", "instant centre", "roll axis"):
            continue
        flat = [_flat(drawn.points[number]) for number in member.points]
        room = np.full(3, member.size / 2)
        if member.shape == "wheel":  # its faces are where they are; it is round about them
            room[1] = 0.0
        for points in flat:
            known = points[:, np.isfinite(points).all(axis=0)]
            if known.size:
                low, high = np.minimum(low, known.min(axis=1) - room), np.maximum(high, known.max(axis=1) + room)
    low[2] = min(low[2], 0.0)
    if not np.isfinite(low).all():
        low, high = np.zeros(3), np.zeros(3)
    # A part alone has room about it, for its dimensions and the scale bar.
    spare = np.maximum(LEAST - (high - low), 0.0) / 2
    return (low - spare).tolist(), (high + spare).tolist()


def _flat(point: Array) -> Array:
    """A point of the drawing in all its poses and locks: (3, n)."""
    return np.moveaxis(point, -2, 0).reshape(3, -1) if point.ndim > 1 else point[:, None]


def _turned(drawn: Drawing) -> float:
    """Farthest reach of a turned wheel to the side of its own faces, m."""
    reach = [0.0]
    for member in drawn.members:
        if member.shape == "wheel":
            outer, inner = (_flat(drawn.points[number]) for number in member.points)
            aside = np.abs(outer - inner)[0] / np.linalg.norm(outer - inner, axis=0) * member.size / 2
            reach += aside[np.isfinite(aside)].tolist()
    return max(reach)
