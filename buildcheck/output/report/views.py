"""The three views of the drawing: which way each looks, how far it reaches, and the scale on paper.

The left side is the view from which the others are unfolded, since a link suspension shows most there. Projection:
third angle for inch-pound builds and first angle for metric ones, as ISO 5456-2 and the habit of the two worlds have it
(from memory). Scales are the preferred ones of ISO 5455 (from memory).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from buildcheck.job.curve import Array
from buildcheck.job.drawing import Drawing
from buildcheck.spec.quantity import System

Place = tuple[float, float]

SCALES = (5, 10, 20, 50, 100)
ROOM, ALONE = (250.0, 118.0), 165.0
"""Room on the smaller of A4 and Letter, landscape (mm): width and height for the two views above the title block, and
the height for the view from above, which has a sheet of its own."""

EDGE = 110.0
MARKS = 240.0
DIMENSIONS = 75.0
"""Margins of a view, mm of the truck: plain, for balloons, and for each row of dimensions and the room beyond it."""


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


FRONT = View("front", "B", "from the front", (1, 1.0), (2, -1.0), (0, 1.0))
SIDE = View("side", "A", "from the left", (0, -1.0), (2, -1.0), (1, 1.0))
TOP = View("top", "C", "from above", (0, -1.0), (1, 1.0), (2, 1.0))


class Sheet(NamedTuple):
    """The views of a drawing, their projection, and the scale on paper (1 to so many)."""

    side: View
    front: View
    top: View
    third_angle: bool
    scale: int
    rows: int = 1
    """Rows of dimensions that there is room for at an edge."""
    apart: bool = False
    """Whether each view is on a sheet of its own, since two of them do not fit on one."""

    @property
    def letter(self) -> float:
        """Height of the letters, mm of the truck: 2.5 mm on paper, the least of ISO 3098 (from memory)."""
        return 2.5 * self.scale

    @property
    def views(self) -> tuple[View, View, View]:
        return self.side, self.front, self.top


def sheet(drawn: Drawing, system: System, marked: frozenset[str]) -> Sheet:
    """The views, each framed so that it holds every member in every pose; views beside each other share their frame.

    `marked` names the views that need room for balloons.
    """
    low, high = _extent(drawn)
    rows = min(max(len({member.path.split(".")[1] for member in drawn.members if member.kind == "link"}), 1), 2)

    def framed(view: View, top: float, bottom: float) -> View:
        (across, sign), (down, downwards) = view.right, view.down
        left, right = sorted((low[across] * sign, high[across] * sign))
        upper, lower = sorted((low[down] * downwards, high[down] * downwards))
        aside = DIMENSIONS * (2 if view is FRONT else 1 + rows)
        return view._replace(
            left_edge=left * 1000 - aside,
            top_edge=upper * 1000 - top,
            width=(right - left) * 1000 + 2 * aside,
            height=(lower - upper) * 1000 + top + bottom,
        )

    above = MARKS if marked & {SIDE.name, FRONT.name} else EDGE
    side, front = (framed(view, above, DIMENSIONS * (1 + rows)) for view in (SIDE, FRONT))
    turned = EDGE / 2 + 1000 * _turned(drawn)
    top = framed(TOP, max(MARKS if TOP.name in marked else EDGE, turned), max(EDGE, turned))
    together = max((front.width + side.width) / ROOM[0], side.height / ROOM[1], top.height / ALONE)
    alone = max(max(view.width / ROOM[0], view.height / ALONE) for view in (side, front, top))
    apart = _scale(alone) < _scale(together)
    return Sheet(side, front, top, system is System.INCH_POUND, _scale(alone if apart else together), rows, apart)


def _scale(least: float) -> int:
    """The largest of the preferred scales at which what has to be made so much smaller fits."""
    return next((each for each in SCALES if each >= least), SCALES[-1])


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
