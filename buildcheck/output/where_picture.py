"""A small picture of where a point is on the axle, drawn with letters: seen from above and from the left."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import zip_longest

from buildcheck.build import Build, Part, Point, Sides
from buildcheck.build.part import fields

WIDTH, HEIGHT = 33, 9
SECTIONS = ("axle", "links", "lateral_bar", "steering", "coilovers", "limit_straps", "bump_stops")


def picture(build: Build, point: Point) -> list[str]:
    """The points of a build as dots and one of them as X, from above (front at the top) and from the left (front at the
    left)."""
    points = list(_points(build))
    above = _drawn([(-each.y, -each.x) for each in points], (-point.y, -point.x))
    left = _drawn([(-each.x, -each.z) for each in points], (-point.x, -point.z))
    heads = (f"{'from above, front at the top':<{WIDTH}}", "from the left, front at the left")
    rows = [heads, *zip_longest(above, left, fillvalue="")]
    return [f"{one:<{WIDTH}}    {other}".rstrip() for one, other in rows]


def _points(build: Build) -> Iterator[Point]:
    for section in SECTIONS:
        if build.has(section):
            yield from _within(getattr(build, section))


def _within(held: object) -> Iterator[Point]:
    if isinstance(held, Point):
        yield held
    elif isinstance(held, Part):
        for name in fields(type(held)):
            if held.has(name):
                yield from _within(getattr(held, name))
    elif isinstance(held, Sides):
        for part in held:
            yield from _within(part)
    elif hasattr(held, "values"):
        for each in held.values():
            yield from _within(each)


def _drawn(points: Iterable[tuple[float, float]], marked: tuple[float, float]) -> list[str]:
    """A grid of letters with a dot at each point and X at one, both axes to one scale as far as letters allow."""
    every = [*points, marked]
    across, down = zip(*every, strict=True)
    # A letter is about twice as high as it is wide.
    scale = max((max(across) - min(across)) / (WIDTH - 1), (max(down) - min(down)) / (HEIGHT - 1) / 2, 1e-6)
    rows = [[" "] * WIDTH for _ in range(HEIGHT)]
    for place, letter in (*((each, ".") for each in every[:-1]), (marked, "X")):
        column = round((place[0] - min(across)) / scale)
        row = round((place[1] - min(down)) / scale / 2)
        rows[min(row, HEIGHT - 1)][min(column, WIDTH - 1)] = letter
    return ["".join(row).rstrip() for row in rows if "".join(row).strip()]
