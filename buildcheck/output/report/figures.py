"""The views as the page draws them: members in the order of their depth, with line types, marks and dimensions.

Line types in the manner of ISO 128-2 (from memory): wide continuous for the parts that hold the axle, narrow continuous
for what hangs on them, dashed for the right side where the left hides it, long-dashed dotted for axes, long-dashed
double-dotted for neighbouring parts and for the extreme positions of the axle.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from buildcheck.build import Build, Side
from buildcheck.job.drawing import FARTHEST, Member
from buildcheck.output import words
from buildcheck.output.report.angles import Angle, angles
from buildcheck.output.report.dimensions import Figure, Red, dimensions
from buildcheck.output.report.free_space import Ink, Stroke, freest
from buildcheck.output.report.letters import Flag, flags, wide
from buildcheck.output.report.marks import BALLOON, Anchor, Mark, marks
from buildcheck.output.report.motion import Motion
from buildcheck.output.report.parts_list import Pointer, balloons, pointers
from buildcheck.output.report.shapes import Point, cut_box, outline
from buildcheck.output.report.views import Place, Sheet, View
from buildcheck.spec.quantity import Dimension, System

WIDE = ("link", "bar", "steering", "axle", "driveshaft", "stop")
AXES = ("instant centre", "roll axis")
FLAG = 1.6
"""Height of L and R to that of the figures, on a narrow screen, where they are largest."""

IN_EXTREMES = ("axle tube", "left tyre", "right tyre", "lateral bar")


class Outline(NamedTuple):
    """A member in a view: its number, its line type, its name, its path at ride height, and whether it may move."""

    member: int
    style: str
    name: str
    path: str
    moves: bool


class Bar(NamedTuple):
    """The scale bar of a view, right at any size on the screen: its path, and its figure with its place."""

    path: str
    text: str
    at: Place


class Off(NamedTuple):
    """Text at the edge of a view for an instant centre that is off the sheet: its lines, their place, and whether they
    begin or end there."""

    lines: tuple[str, ...]
    at: Place
    anchor: str
    strokes: tuple[Stroke, ...]
    """Room of its letters, kept free of others."""


class Picture(NamedTuple):
    """One view, drawn."""

    view: View
    outlines: tuple[Outline, ...]
    extremes: tuple[str, ...]
    flags: tuple[Flag, ...]
    marks: tuple[Mark, ...]
    dimensions: tuple[Figure, ...]
    angles: tuple[Angle, ...]
    centre_lines: str
    breaks: str
    bar: Bar
    pointers: tuple[Pointer, ...]
    off: Off | None


def pictures(
    build: Build, found: Motion, sheet: Sheet, anchored: tuple[Anchor, ...], reds: tuple[Red, ...] = ()
) -> tuple[Picture, ...]:
    """The three views at ride height; `reds` are the findings that may be about a value that is drawn."""
    points = found.points_at(found.ride, found.straight)
    figures = dimensions(build, found, sheet)
    made = []
    for view in sheet.views:
        members = _shown(found, view)
        room = sheet.row * sheet.rows + 1.5 * sheet.letter
        marked, measures = marks(found, anchored, view, room), tuple(figures[view.name])
        strokes = [stroke for figure in measures for stroke in figure.strokes]
        strokes += [(seat.start, mark.end) for mark in marked for seat in (mark.wide, mark.narrow)]
        strokes += balloons([mark.wide.balloon for mark in marked], BALLOON)
        ink = Ink(view, (member for _, member in members), points, strokes)
        turned = angles(build, found, sheet, ink, reds) if view.name == "side" else []
        strokes += _of_angles(turned, sheet.letter)
        ink = Ink(view, (member for _, member in members), points, strokes)
        off = _off(found, points, view, ink, build.units, FLAG * sheet.letter) if view.name == "side" else None
        if off is not None:
            ink = Ink(view, (member for _, member in members), points, [*strokes, *off.strokes])
        flagged = tuple(flags([member for _, member in members], points, view, ink, FLAG * sheet.letter))
        taken = [(flag.at, FLAG * sheet.letter * wide(flag.letter)) for flag in flagged]
        named = pointers(found.drawing, points, view, ink, FLAG * sheet.letter, taken)
        made.append(
            Picture(
                view,
                _outlines(members, view, points, sheet),
                _extremes(found, view),
                flagged,
                marked,
                measures,
                tuple(turned),
                _centre_lines(found, view, points, sheet.letter),
                _breaks(members, view, points, sheet),
                _bar(view, build.units),
                tuple(named),
                off,
            )
        )
    return tuple(made)


def _bar(view: View, system: System) -> Bar:
    """A bar in two halves at the lower left corner of a view, which its dimensions leave free."""
    long, text = (508.0, "20 in") if system is System.INCH_POUND else (500.0, "500 mm")
    x, y, high = view.left_edge + 20, view.top_edge + view.height - 14, 18.0
    half = f"M{x:.1f} {y - high / 2:.1f}h{long / 2}M{x + long / 2:.1f} {y:.1f}v{-high}"
    path = f"M{x:.1f} {y:.1f}v{-high}h{long}v{high}Z{half}"
    return Bar(path, text, (x + long + 20, y))


def _off(found: Motion, points: list[Point], view: View, ink: Ink, system: System, letter: float) -> Off | None:
    """Direction of an instant centre that is off the sheet, written at the edge that it is beyond, where no line runs,
    as near as possible to the line to it."""
    way = next(
        (each for each in found.drawing.members if each.label == "instant centre" and each.shape == "axis"), None
    )
    if way is None or not all(math.isfinite(value) for number in way.points for value in points[number]):
        return None
    start, end = (points[number] for number in way.points)
    if view.holds(end):
        return None
    (x, y), (far_x, far_y) = view.place(start), view.place(end)
    ahead = end[0] - start[0]
    side = "ahead of" if ahead > 0 else "behind"
    if abs(ahead) >= FARTHEST - 1e-3:  # it is drawn no farther away, wherever it is
        says = [f"more than {FARTHEST:.0f} m ({FARTHEST / 0.3048:.0f} ft) {side} the axle"]
    else:
        across, up = (words.amount(abs(value), Dimension.LENGTH, system) for value in (ahead, end[2]))
        says = [f"{across} {side} the axle,", f"{up} {'above' if end[2] >= 0 else 'below'} the floor"]
    lines = ("instant centre off the sheet,", *says)
    left = far_x < x
    edge = view.left_edge + 20 if left else view.left_edge + view.width - 20
    leaves = y + (edge - x) / (far_x - x) * (far_y - y) if far_x != x else y
    width, height = 0.5 * letter * max(map(len, lines)), 1.2 * letter * len(lines)
    middle = edge + width / 2 if left else edge - width / 2
    levels = range(int(view.top_edge + height), int(view.top_edge + view.height - height), 20)
    tried = [(middle, float(level)) for level in sorted(levels, key=lambda level: abs(level - leaves))]
    _, level = freest(ink, tried, width, height)
    upper = level - height / 2
    rows = [upper + share * height for share in (0.0, 0.25, 0.5, 0.75, 1.0)]
    strokes = tuple(((middle - width / 2, row), (middle + width / 2, row)) for row in rows)
    return Off(lines, (edge, upper + letter), "start" if left else "end", strokes)


def _shown(found: Motion, view: View) -> list[tuple[int, Member]]:
    """The members of a view with their numbers."""
    hidden = {"front": AXES, "top": ("instant centre",), "side": ()}[view.name]
    return [each for each in enumerate(found.drawing.members) if each[1].shape != "axis" or each[1].kind not in hidden]


def _outlines(shown: list[tuple[int, Member]], view: View, points: list[Point], sheet: Sheet) -> tuple[Outline, ...]:
    axis, sign = view.nearer

    def depth(numbered: tuple[int, Member]) -> tuple[bool, bool, float]:
        _, member = numbered
        places = [points[number][axis] * sign for number in member.points]
        return member.kind != "obstacle", member.shape in ("spot", "axis"), sum(places) / len(places)

    # Tyres lie over all else and would hide it; they are drawn first, as thin outlines.
    members = sorted(shown, key=depth)
    members.sort(key=lambda numbered: numbered[1].kind not in ("obstacle", "tyre"))
    return tuple(
        Outline(
            number,
            _style(member, view),
            member.label,
            _path_of(member, view, points, sheet),
            member.kind != "obstacle",
        )
        for number, member in members
    )


def _path_of(member: Member, view: View, points: list[Point], sheet: Sheet) -> str:
    """The outline of a member; that of a rail is cut where the dimensions begin."""
    if _is_cut(member):
        return _cut(member, view, points, sheet)[0]
    return outline(member.shape, [points[each] for each in member.points], member.size * 1000, view)


def _is_cut(member: Member) -> bool:
    return member.kind == "obstacle" and member.shape == "box"


def _cut(member: Member, view: View, points: list[Point], sheet: Sheet) -> tuple[str, str]:
    low, high = (view.place(points[each]) for each in member.points)
    aside = sheet.row * (1.4 if view.name == "front" else sheet.rows + 0.4)
    within = view.left_edge + aside, view.left_edge + view.width - aside
    return cut_box(low, high, within, sheet.letter)


def _breaks(shown: list[tuple[int, Member]], view: View, points: list[Point], sheet: Sheet) -> str:
    """The break lines of a view."""
    return "".join(_cut(member, view, points, sheet)[1] for _, member in shown if _is_cut(member))


def _centre_lines(found: Motion, view: View, points: list[Point], letter: float) -> str:
    """The middle plane of the truck, and the axes of the tyres that are seen from their end, where they are drawn."""
    upper, lower = view.top_edge + letter, view.top_edge + view.height - letter
    if view.name == "front":
        return f"M0 {upper:.1f}V{min(lower, 3 * letter):.1f}"
    if view.name == "top":
        return f"M{view.left_edge + letter:.1f} 0H{view.left_edge + view.width - letter:.1f}"
    lines = ""
    for member in found.drawing.members:
        if member.kind == "tyre" and member.side is not Side.RIGHT:
            (x, y), far = view.place(points[member.points[0]]), 500 * member.size + letter
            if math.isfinite(x + y):
                lines += f"M{x - far:.1f} {y:.1f}H{x + far:.1f}M{x:.1f} {y - far:.1f}V{y + far:.1f}"
    return lines


def _of_angles(turned: list[Angle], letter: float) -> list[Stroke]:
    """The lines and the figures of angles as strokes that letters keep clear of."""
    strokes: list[Stroke] = []
    for each in turned:
        (x, y), half = each.at, 0.275 * letter * len(each.text)
        strokes += [*each.lines, each.leader]
        strokes += [((x - half, y - up * letter), (x + half, y - up * letter)) for up in (0.0, 0.36, 0.72)]
    return strokes


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
