"""The lines of a view, so that letters can be set where none runs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

import numpy as np

from buildcheck.job.drawing import Member
from buildcheck.output.report.shapes import BODY, SPOT, Point, wheel_corners
from buildcheck.output.report.views import Place, View

STEP = 10.0
"""From one looked-at place of a line to the next, mm of the truck."""

CLEAR = 12.0
"""Free space kept about a letter, mm of the truck."""

FAR_IS_AS_BAD = 20
"""A thin line under a letter costs as much as so many places later in the order of preference."""

Stroke = tuple[Place, Place]


class Ink:
    """The lines of a view, as places along them and how far the lines reach about those, mm of the truck."""

    def __init__(
        self, view: View, members: Iterable[Member], points: Sequence[Point], strokes: Iterable[Stroke]
    ) -> None:
        """`points` are those of the drawing in the pose that is drawn, m; `strokes` are drawn beside the members."""
        found = [stroke for member in members for stroke in _strokes(member, points, view)]
        found += [(*stroke, 0.0) for stroke in strokes]
        # A line that does not reach this pose has no place.
        found = [stroke for stroke in found if all(math.isfinite(each) for end in stroke[:2] for each in end)]
        ends = np.array([(start, end) for start, end, _ in found]).reshape(-1, 2, 2)
        way = ends[:, 1] - ends[:, 0]
        steps = np.maximum(np.hypot(*way.T) // STEP, 1.0)
        # Every line is looked at from its start to its end, in as many steps as it is long.
        line = np.repeat(np.arange(len(found)), steps.astype(int) + 1)
        share = (np.arange(len(line)) - np.searchsorted(line, line)) / steps[line]
        self._places = ends[line, 0] + share[:, None] * way[line]
        self._reach = np.array([reach for *_, reach in found])[line]

    def under(self, middle: Place, width: float, height: float) -> int:
        """Length of the lines under a letter about `middle`, in steps; 0 where it is clear of all."""
        off = np.abs(self._places - np.array(middle))
        room = np.array([width / 2, height / 2]) + (self._reach + CLEAR)[:, None]
        return int((off < room).all(axis=1).sum())


def freest(ink: Ink, places: Sequence[Place], width: float, height: float) -> Place:
    """The best of some places for a letter, the most wanted first."""
    step, best, least = width / STEP / FAR_IS_AS_BAD, places[0], math.inf
    for order, place in enumerate(places):
        if order * step >= least:  # none that follows can be better
            break
        cost = ink.under(place, width, height) + order * step
        if cost < least:
            best, least = place, cost
    return best


def _strokes(member: Member, points: Sequence[Point], view: View) -> Iterator[tuple[Place, Place, float]]:
    """The lines of a member, each with how far it reaches to its sides."""
    held = [points[number] for number in member.points]
    if not all(math.isfinite(value) for point in held for value in point):
        return
    places, size = [view.place(point) for point in held], member.size * 1000
    if member.shape == "disc":
        yield from _ring(places[0], size / 2)
    elif member.shape == "wheel":
        corners = wheel_corners(places[0], places[1], size / 2)
        if corners:
            yield from ((start, end, 0.0) for start, end in zip(corners, corners[1:] + corners[:1], strict=True))
        else:
            yield from _ring(places[0], size / 2)
    elif member.shape == "box":
        (left, top), (right, bottom) = places
        corners = [(left, top), (right, top), (right, bottom), (left, bottom)]
        yield from ((start, end, 0.0) for start, end in zip(corners, corners[1:] + corners[:1], strict=True))
    elif member.shape == "spot":
        yield places[0], places[0], SPOT
    else:
        reach = {"bar": size / 2, "coil": (size or BODY) * 0.95}.get(member.shape, 0.0)
        yield from ((start, end, reach) for start, end in pairwise(places))


def _ring(centre: Place, radius: float) -> Iterator[tuple[Place, Place, float]]:
    number = max(int(math.pi * radius / STEP), 8)
    around = [
        (
            centre[0] + radius * math.cos(2 * math.pi * at / number),
            centre[1] + radius * math.sin(2 * math.pi * at / number),
        )
        for at in range(number + 1)
    ]
    return ((start, end, 0.0) for start, end in pairwise(around))
