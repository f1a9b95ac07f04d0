"""The views as the page draws them: members in the order of their depth, with line types, marks and dimensions.

Line types in the manner of ISO 128-2 (from memory): wide continuous for the parts that hold the axle, narrow continuous
for what hangs on them, dashed for the right side where the left hides it, long-dashed dotted for axes, long-dashed
double-dotted for neighbouring parts and for the extreme positions of the axle.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from buildcheck.build import Build, Side
from buildcheck.job.drawing import Member
from buildcheck.output.report.dimensions import Figure, dimensions
from buildcheck.output.report.marks import Anchor, Mark, marks
from buildcheck.output.report.motion import Motion
from buildcheck.output.report.shapes import Point, outline
from buildcheck.output.report.views import Place, Sheet, View

WIDE = ("link", "bar", "steering", "axle", "driveshaft", "stop")
AXES = ("instant centre", "roll axis")
IN_EXTREMES = ("axle tube", "left tyre", "right tyre", "lateral bar")


TOGETHER = 25.0
"""So near to each other (mm of the truck) the frame ends of a pair are one place in the view from the left."""


class Outline(NamedTuple):
    """A member in a view: its number, its line type, its name, and its path at ride height."""

    member: int
    style: str
    name: str
    path: str


class Flag(NamedTuple):
    """A letter on the drawing: L or R, at a place that stays so far `aside` of a point as it moves."""

    letter: str
    point: int
    at: Place
    aside: Place


class Picture(NamedTuple):
    """One view, drawn."""

    view: View
    outlines: tuple[Outline, ...]
    extremes: tuple[str, ...]
    flags: tuple[Flag, ...]
    marks: tuple[Mark, ...]
    dimensions: tuple[Figure, ...]


def pictures(build: Build, found: Motion, sheet: Sheet, anchored: tuple[Anchor, ...]) -> tuple[Picture, ...]:
    """The three views at ride height."""
    points = found.points_at(found.ride, found.straight)
    figures = dimensions(build, found, sheet)
    return tuple(
        Picture(
            view,
            _outlines(found, view, points),
            _extremes(found, view),
            tuple(_flags(found, view, points)),
            marks(found, anchored, view),
            tuple(figures[view.name]),
        )
        for view in sheet.views
    )


def _outlines(found: Motion, view: View, points: list[Point]) -> tuple[Outline, ...]:
    axis, sign = view.nearer

    def depth(numbered: tuple[int, Member]) -> tuple[bool, bool, float]:
        _, member = numbered
        places = [points[number][axis] * sign for number in member.points]
        return member.kind != "obstacle", member.shape in ("spot", "axis"), sum(places) / len(places)

    hidden = {"front": AXES, "top": ("instant centre",), "side": ()}[view.name]
    # Tyres lie over all else and would hide it; they are drawn first, as thin outlines.
    members = sorted(
        (each for each in enumerate(found.drawing.members) if each[1].shape != "axis" or each[1].kind not in hidden),
        key=depth,
    )
    members.sort(key=lambda numbered: numbered[1].kind not in ("obstacle", "tyre"))
    return tuple(
        Outline(
            number,
            _style(member, view),
            member.label,
            outline(member.shape, [points[each] for each in member.points], member.size * 1000, view),
        )
        for number, member in members
    )


def _style(member: Member, view: View) -> str:
    if member.kind == "obstacle":
        return "phantom"
    if member.kind in AXES:
        return "centre" if member.shape == "axis" else "spot"
    if member.shape == "spot":
        return "spot"
    if view.name == "side" and member.side is Side.RIGHT:
        return "hidden"
    return "wide" if member.kind in WIDE else "narrow"


def _extremes(found: Motion, view: View) -> tuple[str, ...]:
    """The axle at full droop and full bump, level; nothing in the view from above, where they lie on each other."""
    if len(found.heaves) < 3 or view.name == "top":
        return ()
    shown = [member for member in found.drawing.members if member.label in IN_EXTREMES]
    if view.name == "side":
        shown = [member for member in shown if member.side is not Side.RIGHT]
    paths = []
    for pose in (int(found.travel[0]), int(found.travel[-1])):
        points = found.points_at(pose, found.straight)
        paths += [
            outline(member.shape, [points[each] for each in member.points], member.size * 1000, view)
            for member in shown
        ]
    return tuple(path for path in paths if path)


def _flags(found: Motion, view: View, points: list[Point]) -> list[Flag]:
    """IC and RC at the instant centre and the roll centre; L and R at both tyres where both are to be seen, at the
    frame ends of the links where one hides the other."""
    kind = "link" if view.name == "side" else "tyre"
    made: list[Flag] = []
    for member in found.drawing.members:
        if member.kind == kind and member.side is not Side.CENTRE and member.shape in ("bar", "wheel"):
            number = member.points[0]
            places = [view.place(points[each]) for each in member.points]
            x, y = places[0]
            if member.shape == "wheel":
                x, y = (places[0][0] + places[1][0]) / 2, (places[0][1] + places[1][1]) / 2
            # Over the tyre from the front, in its middle from above, over or under the frame end of a link.
            aside = {"front": -member.size * 500 - 25, "top": 22, "side": 95 if member.side is Side.RIGHT else -45}
            y += aside[view.name]
            letter = member.side.value[0].upper()
            if view.name == "side" and member.side is Side.RIGHT:
                hidden = [each for each in made if math.dist(each.at, (x, y - 140)) < TOGETHER]
                if hidden:  # the left lies right before it: one flag for the two
                    made[made.index(hidden[0])] = hidden[0]._replace(letter="L R")
                    continue
            made.append(Flag(letter, number, (x, y), (x - places[0][0], y - places[0][1])))
        elif member.kind in AXES and member.shape == "spot" and view.name != "top":
            x, y = view.place(points[member.points[0]])
            if math.isfinite(x + y) and (view.name == "side" or member.kind == "roll axis"):
                letter = "IC" if member.kind == "instant centre" else "RC"
                made.append(Flag(letter, member.points[0], (x + 95, y - 14), (95, -14)))
    return made
