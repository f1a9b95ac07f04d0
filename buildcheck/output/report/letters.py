"""Words on the drawing: L and R to tell the sides apart, and the names of the instant and the roll centre."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from buildcheck.build import Side
from buildcheck.job.drawing import Member
from buildcheck.output.report.free_space import Ink, freest
from buildcheck.output.report.shapes import Point
from buildcheck.output.report.views import Place, View

TOGETHER = 25.0
"""So near to each other (mm of the truck) the frame ends of a pair are one place in the view from the left."""

ROOM = (0.8, 1.0)
"""Width of one letter and height, of the height of the letters; they are drawn that much larger on a narrow screen."""

NAMED = ("instant centre", "roll centre")
"""The points that have their name beside them, a word a line, with a leader."""

SMALL = 0.55
"""Width of a letter of a name, as a share of that of a letter that is alone."""

WAYS = ((0, -1), (0, 1), (-1, 0), (1, 0), (-1, -1), (1, -1), (-1, 1), (1, 1))
"""The sides of a point where its letter may be placed: over it first, then under it, beside it, and aslant."""


class Flag(NamedTuple):
    """A letter or a name on the drawing, its middle at a place that stays so far `aside` of a point as that moves. From
    a name a leader runs to the point; it begins at `start`, which is aside of the point too."""

    letter: str
    point: int
    at: Place
    aside: Place
    start: Place | None


def flags(members: Sequence[Member], points: Sequence[Point], view: View, ink: Ink, letter: float) -> list[Flag]:
    """The letters and names of a view, each where no line runs, as far as there is such a place; `letter` is their
    height, mm of the truck."""
    # A member that does not reach this pose is not drawn, and has no letters.
    members = [each for each in members if all(math.isfinite(c) for number in each.points for c in points[number])]
    made: list[Flag] = []
    taken: list[tuple[Place, float]] = []

    def put(text: str, point: int, places: Sequence[Place]) -> None:
        width, height = ROOM[0] * letter * wide(text), ROOM[1] * letter * _lines(text)
        inside = [place for place in places if _holds(view, place, width, height)] or places
        free = [
            place
            for place in inside
            if all(abs(place[0] - at[0]) > (width + other) / 2 or abs(place[1] - at[1]) > height for at, other in taken)
        ]
        place = freest(ink, free or inside, width, height)
        x, y = view.place(points[point])
        aside = place[0] - x, place[1] - y
        made.append(Flag(text, point, place, aside, _start(aside, width, height) if text in NAMED else None))
        taken.append((place, width))

    for text, point in _named(members, points, view):
        put(text, point, _about(view.place(points[point]), letter, text))
    if view.name == "side":
        for text, point, reach in _frame_ends(members, points, view):
            put(text, point, _about(view.place(points[point]), letter, text, reach))
    else:
        for member in members:
            if member.shape == "wheel":
                put(member.side.value[0].upper(), member.points[0], list(_in_tyre(member, points, view)))
    return made


def _named(members: Sequence[Member], points: Sequence[Point], view: View) -> Iterator[tuple[str, int]]:
    """The instant centre in the view from the left, the roll centre there and from the front."""
    named = {"side": NAMED, "front": ("roll centre",)}.get(view.name, ())
    for member in members:
        at = member.points[0]
        if member.shape == "spot" and member.label in named and view.holds(points[at]):
            yield member.label, at


def _frame_ends(members: Sequence[Member], points: Sequence[Point], view: View) -> list[tuple[str, int, float]]:
    """The frame ends of the links with their letters, one for the two of a pair that hide each other, and how far the
    link reaches about it."""
    found: list[tuple[str, int, float]] = []
    for member in members:
        if member.kind != "link" or member.shape != "bar" or member.side is Side.CENTRE:
            continue
        end = member.points[0]
        hidden = [each for each in found if math.dist(view.place(points[each[1]]), view.place(points[end])) < TOGETHER]
        if hidden:
            found[found.index(hidden[0])] = ("L R", *hidden[0][1:])
        else:
            found.append((member.side.value[0].upper(), end, member.size * 500))
    return found


def wide(text: str) -> float:
    """Width of a text as a number of letters that are alone."""
    return max(map(len, text.split())) * SMALL if text in NAMED else len(text.replace(" ", ""))


def _lines(text: str) -> int:
    """Number of lines that a text is drawn in."""
    return len(text.split()) if text in NAMED else 1


def _start(aside: Place, width: float, height: float) -> Place:
    """Start of a leader at the edge of a name of that size, the point that it names at (0, 0)."""
    inside = min(size / abs(way) if way else math.inf for size, way in zip((width / 2, height / 2), aside, strict=True))
    left = max(1.0 - inside, 0.0)
    return aside[0] * left, aside[1] * left


def _holds(view: View, place: Place, width: float, height: float) -> bool:
    """Whether the frame of a view holds a text of that size with its middle at a place."""
    across, down = place[0] - view.left_edge, place[1] - view.top_edge
    return width / 2 <= across <= view.width - width / 2 and height / 2 <= down <= view.height - height / 2


def _about(place: Place, letter: float, text: str, reach: float = 16.0) -> list[Place]:
    """Places about a point, nearest first."""
    right, down = reach + 0.55 * letter * wide(text), reach + 0.8 * letter * _lines(text)
    return [(place[0] + far * x * right, place[1] + far * y * down) for far in (1.0, 1.4, 1.8) for x, y in WAYS]


def _in_tyre(member: Member, points: Sequence[Point], view: View) -> Iterator[Place]:
    """Places in a tyre: in its middle from above, from the front in its lower half, where fewer parts are."""
    (x, y), (other_x, other_y) = (view.place(points[number]) for number in member.points)
    x, y, radius = (x + other_x) / 2, (y + other_y) / 2, member.size * 500
    for share in (0.7, 0.5, 0.8, 0.3, -0.7, 0.0) if view.name == "front" else (0.0, 0.5, -0.5, 0.75, -0.75):
        yield (x, y + share * radius) if view.name == "front" else (x + share * radius, y)
