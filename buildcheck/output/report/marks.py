"""The numbered balloon of each change on the drawing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil, isfinite
from typing import NamedTuple

from buildcheck.build import Build, Missing, Side
from buildcheck.job.drawing import Drawing
from buildcheck.job.load_rows import END_NAMES
from buildcheck.output.report.motion import Motion
from buildcheck.output.report.views import Place, View
from buildcheck.output.report.work import Line
from buildcheck.spec.place import split

SPACING, BALLOON = 125.0, 50.0
"""From one balloon to the next, and the radius of one, mm of the truck, on a wide screen and on paper."""

NARROW, THUMB = 288.0, 46.0
"""Width of a view on a small telephone, and the room that a balloon takes there so that a thumb hits it, pixels."""

SEEN_BEST = {
    "lateral_bar": "front",
    "steering": "top",
    "coilovers": "front",
    "bump_stops": "front",
    "limit_straps": "front",
}
"""The view that shows a section of the spec best; the side view does for the others."""


class Anchor(NamedTuple):
    """Target of a change: a number of a point of the drawing, and the view to show it in."""

    line: Line
    point: int
    view: str


class Seat(NamedTuple):
    """The middle of a balloon and the start of its leader, mm of the truck."""

    balloon: Place
    start: Place


class Mark(NamedTuple):
    """A change's balloon: its seats on a wide and on a narrow screen, and the end of its leader, mm of the truck."""

    line: Line
    point: int
    end: Place
    wide: Seat
    narrow: Seat


def thumb(view: View) -> float:
    """Room of a balloon on a narrow screen, mm of the truck."""
    return THUMB * view.width / NARROW


def rows(view: View, number: int, apart: float) -> int:
    """Rows that so many balloons take along the upper edge of a view."""
    return ceil(number / max(int(view.width / apart - 0.5), 1))


def anchors(build: Build, found: Motion, lines: Sequence[Line]) -> tuple[tuple[Anchor, ...], tuple[Line, ...]]:
    """The changes of each place on the drawing, and those without a place, or whose place does not reach ride
    height."""
    placed, general = [], []
    points = found.points_at(found.ride, found.straight)
    for line in lines:
        point = _point(build, found.drawing, line)
        if point is None or not all(isfinite(each) for each in points[point]):
            general.append(line)
        else:
            placed.append(Anchor(line, point, view_of(line.path)))
    return tuple(placed), tuple(general)


def marks(found: Motion, anchored: Sequence[Anchor], view: View, dimensions: float = 0.0) -> tuple[Mark, ...]:
    """The marks of one view at ride height: balloons along its upper edge, in the order of what they point at, so that
    leaders do not cross; more than one row of them along both edges, those of the upper places on the upper one. The
    lower ones are above the room that `dimensions` take there, mm of the truck. On a narrow screen they are above the
    frame of the view, which makes room for them there."""
    points = found.points_at(found.ride, found.straight)
    here = sorted(
        ((view.place(points[anchor.point]), anchor) for anchor in anchored if anchor.view == view.name),
        key=lambda each: (each[0], each[1].line.number),
    )
    places = [place for place, _ in here]
    narrow = _seats([x for x, _ in places], view, thumb(view), view.top_edge - thumb(view) / 2, thumb(view) * ROUND)
    return tuple(
        Mark(anchor.line, anchor.point, place, *seats)
        for (place, anchor), *seats in zip(here, _on_margins(places, view, dimensions), narrow, strict=True)
    )


def _on_margins(places: Sequence[Place], view: View, dimensions: float) -> list[Seat]:
    """Seats on a wide screen and on paper for places in rising order."""
    if rows(view, len(places), SPACING) > 1 and view.name != "top":
        by_height = sorted(range(len(places)), key=lambda at: (places[at][1], at))
        upper, lower = set(by_height[: len(places) // 2]), set(by_height[len(places) // 2 :])
    else:
        upper, lower = set(range(len(places))), set()
    seats: dict[int, Seat] = {}
    for chosen, sign in ((upper, 1.0), (lower, -1.0)):
        at = sorted(chosen)
        across = [places[number][0] for number in at]
        count = rows(view, len(at), SPACING)
        bottom = view.top_edge + view.height - dimensions - SPACING / 2
        start = view.top_edge + 10 + SPACING * (count - 0.5) if sign > 0 else bottom
        for number, seat in zip(at, _seats(across, view, SPACING, start, sign * BALLOON), strict=True):
            seats[number] = seat
    return [seats[number] for number in range(len(places))]


ROUND = 0.42
"""Radius of a balloon on a narrow screen, as a share of its room."""


def _seats(across: Sequence[float], view: View, apart: float, lowest: float, radius: float) -> list[Seat]:
    """Seats in as many rows as they take, one after the other from row to row, so that leaders of an upper row pass
    between the balloons of a lower one."""
    number = rows(view, len(across), apart)
    places = _spread(across, view, apart / max(number, 1), apart)
    return [
        Seat((x, y), (x, y + radius)) for x, y in ((x, lowest - apart * (at % number)) for at, x in enumerate(places))
    ]


def _spread(wanted: Sequence[float], view: View, step: float, room: float) -> list[float]:
    """Places as near to those wanted (in rising order) as the step between them and the view's edges allow."""
    low, high = view.left_edge + room / 2, view.left_edge + view.width - room / 2
    placed: list[float] = []
    for x in wanted:
        placed.append(max(x, placed[-1] + step if placed else low))
    for index in range(len(placed) - 1, -1, -1):
        placed[index] = min(placed[index], high - step * (len(placed) - 1 - index))
    return placed


def view_of(place: str) -> str:
    """Name of the view that shows a place of the spec best."""
    return SEEN_BEST.get(place.partition(".")[0], "side")


def _point(build: Build, drawn: Drawing, line: Line) -> int | None:
    side = next((side for side in Side if line.subject.startswith(side.value)), Side.LEFT)
    for path in _paths(build, line.path):
        for found in _at(drawn, path, side):
            return found
    return None


def _paths(build: Build, place: str) -> Iterator[str]:
    """The spec paths under which a place may be drawn, the narrowest first; that of a bracket is what it holds."""
    if place.startswith("attachments"):
        yield from _held(build, place)
        return
    while place:
        yield place
        place = place.rpartition(".")[0]


def _held(build: Build, place: str) -> Iterator[str]:
    try:
        bracket = build.value(".".join(str(step) for step in split(place)[:3]))
        held, parent = bracket.holds[0], bracket.parent
    except (Missing, ValueError, AttributeError, IndexError):
        return
    end = "frame" if parent in ("frame", "crossmember") else "axle"
    side = str(split(place)[2])
    part, _, named = held.rpartition(".")
    if part and named in END_NAMES:  # one end of a part
        held, end = part, named
    for path in (held, f"{held}.{side}", f"{held}.both"):
        yield f"{path}.{end}"
        yield path


def _at(drawn: Drawing, path: str, side: Side) -> Iterator[int]:
    for one in (side, Side.CENTRE, Side.LEFT, Side.RIGHT):
        if (path, one) in drawn.places:
            yield drawn.places[path, one]
