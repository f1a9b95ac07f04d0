"""The parts by name: letters on the drawing, each with a leader to its part, and the item list that says what they are,
in the manner of ISO 6433 and ISO 7573 (from memory)."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from buildcheck.build import Side
from buildcheck.job.drawing import Drawing, Member
from buildcheck.output.report.free_space import Ink, Stroke, freest
from buildcheck.output.report.shapes import Point
from buildcheck.output.report.views import FRONT, SIDE, TOP, Place, View

LETTERS = "abcdefghjkmnpqrstuvwxyz"
"""Not i, l and o, which look like numbers. The circled numbers are the items of the record, capitals are sides."""

SEEN_BEST = {
    "link": "side", "driveshaft": "side", "hose": "top", "bar": "front", "coilover": "front", "strap": "front",
    "stop": "front", "steering": "top", "stabiliser": "top", "obstacle": "side", "tyre": "top", "axle": "top",
}  # fmt: skip

SHARES = (0.4, 0.6, 0.3, 0.7, 0.15, 0.85)
"""Places along a part where its leader may end."""

REACHES = (2.0, 3.0, 4.2)
"""Distances of the letter from there, in heights of the letter."""

AROUND = tuple(
    (math.cos(turn * math.pi / 6), math.sin(turn * math.pi / 6)) for turn in (9, 8, 10, 7, 11, 3, 2, 4, 1, 5)
)


class Entry(NamedTuple):
    """A line of the item list: the letter, what the part is called, how many there are, and the view that names it."""

    letter: str
    name: str
    number: int
    view: str


class Pointer(NamedTuple):
    """A letter and its leader. The target is at a share of the way between two points of the drawing, `at` at ride
    height; the letter is so far `aside` of it, and the leader begins at `start`, aside of it too."""

    letter: str
    points: tuple[int, int]
    share: float
    at: Place
    aside: Place
    start: Place


class _Named(NamedTuple):
    name: str
    members: tuple[Member, ...]

    @property
    def shown(self) -> Member:
        return min(self.members, key=lambda member: member.side is Side.RIGHT)


def item_list(drawn: Drawing) -> tuple[Entry, ...]:
    """The parts that are drawn, in the order of the drawing."""
    letters = {view.name: view.letter for view in (SIDE, FRONT, TOP)}
    return tuple(
        Entry(letter, each.name, len(each.members), letters[SEEN_BEST[each.shown.kind]])
        for letter, each in _lettered(drawn)
    )


def _lettered(drawn: Drawing) -> Iterator[tuple[str, _Named]]:
    """The parts with their letters, left and right as one."""
    found: dict[str, list[Member]] = {}
    for member in drawn.members:
        if member.kind in SEEN_BEST and member.shape != "spot":
            name = _without_side(member.label)
            if member.shape != "line" or not name.endswith((" yoke", " arm")) or name == "pitman arm":
                found.setdefault(name, []).append(member)
    for number, (name, members) in enumerate(found.items()):
        again, at = divmod(number, len(LETTERS))
        yield LETTERS[at] * (again + 1), _Named(name, tuple(members))


def _without_side(label: str) -> str:
    """A label without its side, which obstacles have in the name alone."""
    return label.removeprefix("left ").removeprefix("right ")


def pointers(
    drawn: Drawing, points: Sequence[Point], view: View, ink: Ink, letter: float, taken: Sequence[tuple[Place, float]]
) -> list[Pointer]:
    """The letters of one view, where no line runs, as far as there is such a place. `letter` is their height, mm of the
    truck; `taken` are the places and widths of other letters."""
    made: list[Pointer] = []
    used = list(taken)
    for text, part in _lettered(drawn):
        member = part.shown
        ends = _ends(member)
        places = [view.place(points[number]) for number in ends]
        if SEEN_BEST[member.kind] != view.name or not all(math.isfinite(value) for place in places for value in place):
            continue
        width = 0.8 * letter * len(text)
        tried = [
            (share, (at[0] + x * reach * letter, at[1] + y * reach * letter))
            for reach in REACHES
            for share, at in _targets(member, places, view)
            for x, y in AROUND
        ]
        free = [
            (share, place)
            for share, place in tried
            if _within(view, place, letter)
            and all(math.dist(place, other) > (letter + size) * 0.75 for other, size in used)
        ]
        if not free:
            continue
        best = freest(ink, [place for _, place in free], width, letter)
        share = next(share for share, place in free if place == best)
        at = _between(places, share)
        aside = best[0] - at[0], best[1] - at[1]
        made.append(Pointer(text, ends, share, at, aside, leader(aside, letter)))
        used.append((best, width))
    return made


def leader(aside: Place, letter: float) -> Place:
    """Start of a leader, clear of its letter: aside of the target, like the letter."""
    far = math.hypot(*aside)
    left = max(1.0 - 0.62 * letter / far, 0.0) if far else 0.0
    return aside[0] * left, aside[1] * left


def _ends(member: Member) -> tuple[int, int]:
    return member.points[0], member.points[-1]


def _targets(member: Member, places: Sequence[Place], view: View) -> Iterator[tuple[float, Place]]:
    """Places on a part for a leader to end, the most wanted first."""
    # The middle of a tyre has the letter of its side.
    for share in {"wheel": (0.85,), "disc": (0.5,)}.get(member.shape, SHARES):
        at = _between(places, share)
        if _within(view, at, 0.0):
            yield share, at


def _between(places: Sequence[Place], share: float) -> Place:
    (x, y), (other_x, other_y) = places
    return x + share * (other_x - x), y + share * (other_y - y)


def _within(view: View, place: Place, room: float) -> bool:
    x, y = place[0] - view.left_edge, place[1] - view.top_edge
    return room <= x <= view.width - room and room <= y <= view.height - room


def balloons(places: Sequence[Place], radius: float) -> Iterator[Stroke]:
    """Balloons as strokes that letters keep clear of."""
    for x, y in places:
        for up in (-0.6, 0.0, 0.6):
            yield (x - radius, y + up * radius), (x + radius, y + up * radius)
