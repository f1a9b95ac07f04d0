"""A small panel of curves over one axis, as SVG: frame, round ticks, labels and units; black strokes on white.

Lengths are in the drawing's own unit, y downwards. The caller knows what the numbers mean.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple
from xml.sax.saxutils import escape

WIDTH, HEIGHT = 380.0, 230.0
STROKES = ("", "8 4", "2 3", "11 3 2 3")
"""Dashes of the curves of one panel, to distinguish them without colour."""

_LEFT, _TOP, _BOTTOM = 64.0, 36.0, 194.0
_LETTER = 6.4  # no letter of a 12-unit sans-serif face is much wider, taken together
_TITLE_LETTER = 7.2  # the same of bold ones
_LINE = 13.0
_ROOM = 120.0  # for labels at most, so that the frame keeps the larger part of the panel
_BESIDE = 14.0  # from the frame to a label
_SLIP = 1e-9  # what rounding may do to a number of steps


class Axis(NamedTuple):
    """An axis: its label with the unit, its two ends, the distance of its ticks, and how a number on it is shown with
    so many decimals."""

    label: str
    low: float
    high: float
    step: float
    shown: Callable[[float, int], str]

    def to_ticks(self) -> Axis:
        """The same axis, made longer to end on a tick at both ends."""
        low, high = math.floor(self.low / self.step + _SLIP), math.ceil(self.high / self.step - _SLIP)
        return self._replace(low=low * self.step, high=high * self.step)

    def ticks(self) -> Iterator[tuple[float, str]]:
        """The ticks on it, as numbers and as shown."""
        decimals = max(0, -math.floor(math.log10(self.step) + _SLIP))
        for count in range(math.ceil(self.low / self.step - _SLIP), math.floor(self.high / self.step + _SLIP) + 1):
            yield count * self.step, self.shown(count * self.step, decimals)


def round_step(low: float, high: float) -> float:
    """A round distance for ticks: 1, 2 or 5 times a power of ten, for at most six steps between two ends apart."""
    raw = (high - low) / 6
    power = 10.0 ** math.floor(math.log10(raw))
    return next(times * power for times in (1, 2, 5, 10) if times * power >= raw * (1 - _SLIP))


class Curve(NamedTuple):
    """A curve: the words at its end, and its height at each place along the panel's axis; None breaks it."""

    label: str
    heights: tuple[float | None, ...]


class Beyond(NamedTuple):
    """The area beyond a range of heights, hatched in a style of `HATCHES`; an end is infinite where there is none."""

    style: str
    low: float
    high: float


HATCHES = {"warning": 9, "error": 5}
"""The styles of hatching, with the distance of their lines."""


def hatches() -> Iterator[str]:
    """The patterns of the hatching, which a page of panels has once."""
    for style, apart in HATCHES.items():
        line = f'<path class="hatch {style}" d="M0 0V{apart}"/>'
        size = f'width="{apart}" height="{apart}" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"'
        yield f'<pattern id="beyond-{style}" {size}>{line}</pattern>'


def text(x: float, y: float, words: str, extra: str = "") -> str:
    """A line of text. The words are escaped; `extra` are attributes of our own."""
    return f'<text x="{x:.1f}" y="{y:.1f}"{extra and " " + extra}>{escape(words)}</text>'


def label_room(labels: Sequence[str]) -> float:
    """The room that the longest line of the labels needs at the ends of their curves."""
    return _BESIDE + _LETTER * max((len(line) for label in labels for line in _wrapped(label)), default=0)


def title_lines(title: str) -> list[str]:
    """A title of a panel in lines that are no wider than the panel."""
    return textwrap.wrap(title, int(WIDTH / _TITLE_LETTER), break_on_hyphens=False)


def _wrapped(label: str, most: int = 12) -> list[str]:
    """A label in lines that fit into the room for labels; of more than `most` lines the rest is left out."""
    return textwrap.wrap(label, int((_ROOM - _BESIDE) / _LETTER), max_lines=most, placeholder=" ...")


def panel(
    title: str, across: Axis, up: Axis, places: Sequence[float], curves: Sequence[Curve], mark: tuple[float, str],
    room: float, limits: Sequence[Beyond] = (),
) -> Iterator[str]:  # fmt: skip
    """A panel: curves over `places` along the axis `across`. `mark` is a place to mark, with its word; `room` is left
    for the labels at the right. What is beyond the `limits` is hatched. Each line of the title after the first is drawn
    above the panel."""
    right = WIDTH - room
    left = max(_LEFT, 26 + _LETTER * max(len(shown) for _, shown in up.ticks()))

    def x(place: float) -> float:
        return left + (right - left) * (place - across.low) / (across.high - across.low)

    def y(height: float) -> float:
        return _BOTTOM - (_BOTTOM - _TOP) * (height - up.low) / (up.high - up.low)

    lines = title_lines(title)
    for number, line in enumerate(lines):
        yield text(0, 14 - _LINE * (len(lines) - 1 - number), line, 'class="title"')
    for limit in limits:
        for start, height in beyond(y(limit.low), y(limit.high), _TOP, _BOTTOM):
            size = f'x="{left:.1f}" y="{start:.1f}" width="{right - left:.1f}" height="{height:.1f}"'
            yield f'<rect class="beyond" style="fill: url(#beyond-{limit.style})" {size}/>'
            edge = start + height if start <= _TOP else start
            yield _line(left, edge, right, edge, f"limit {limit.style}")
    for at, shown in across.ticks():
        yield _line(x(at), _TOP, x(at), _BOTTOM, "grid")
        yield text(x(at), _BOTTOM + 15, shown, 'text-anchor="middle"')
    for at, shown in up.ticks():
        yield _line(left, y(at), right, y(at), "zero" if at == 0 else "grid")
        yield text(left - 5, y(at) + 4, shown, 'text-anchor="end"')
    yield _line(x(mark[0]), _TOP - 4, x(mark[0]), _BOTTOM, "mark")
    yield text(x(mark[0]), _TOP - 7, mark[1], 'text-anchor="middle" class="small"')
    yield f'<rect x="{left:.1f}" y="{_TOP:.1f}" width="{right - left:.1f}" height="{_BOTTOM - _TOP:.1f}"/>'
    yield text((left + right) / 2, _BOTTOM + 31, across.label, 'text-anchor="middle"')
    middle = (_TOP + _BOTTOM) / 2
    yield text(14, middle, up.label, f'text-anchor="middle" transform="rotate(-90 14 {middle:.1f})"')
    ends: list[_End] = []
    # Lines of labels that there is room for beside the frame, shared among the curves.
    most = int((_BOTTOM - _TOP) / _LINE) // max(len(curves), 1)
    for curve, dashes in zip(curves, STROKES, strict=False):
        points = [
            None if height is None else (x(at), y(height)) for at, height in zip(places, curve.heights, strict=True)
        ]
        known = [point for point in points if point is not None]
        if known:
            yield f'<path d="{path(points)}" stroke-dasharray="{dashes or "none"}"/>'
            ends.append(_End(*known[-1], _wrapped(curve.label, most)))
    for end, label_y in _apart(ends):
        yield _line(end.x, end.y, right + 6, label_y, "leader")
        for number, label in enumerate(end.lines):
            yield text(right + 9, label_y + 4 + _LINE * (number - (len(end.lines) - 1) / 2), label)


class _End(NamedTuple):
    """The end of a curve, and its label in lines."""

    x: float
    y: float
    lines: list[str]

    @property
    def half(self) -> float:
        """Half of the height that the label takes."""
        return _LINE * len(self.lines) / 2


def path(points: Sequence[tuple[float, float] | None]) -> str:
    """The path through points, as an SVG writes it; None breaks it."""
    parts, pen_down = [], False
    for point in points:
        if point is not None:
            parts.append(f"{'L' if pen_down else 'M'}{point[0]:.1f} {point[1]:.1f}")
        pen_down = point is not None
    return "".join(parts)


def beyond(low: float, high: float, top: float, bottom: float) -> Iterator[tuple[float, float]]:
    """The areas of a frame beyond a range: top and height of each. `low` and `high` are the places of the range's ends,
    infinite where it has none, y downwards; areas of no height are left out."""
    for start, end in ((top, high), (low, bottom)):
        if math.isfinite(start + end) and end > start:
            yield start, end - start


def _apart(ends: Sequence[_End]) -> Iterator[tuple[_End, float]]:
    """The ends of the curves from the top down, each with the height of its label's middle, which keeps the label clear
    of the others and beside the frame."""
    ordered = sorted(ends, key=lambda end: end.y)
    heights: list[float] = []
    lowest_free = _TOP - _LINE / 2
    for end in ordered:
        heights.append(max(end.y, lowest_free + end.half))
        lowest_free = heights[-1] + end.half
    highest_free = _BOTTOM + _LINE / 2
    for index in range(len(heights) - 1, -1, -1):  # those pushed below the frame go up again, and push on
        heights[index] = min(heights[index], highest_free - ordered[index].half)
        highest_free = heights[index] - ordered[index].half
    yield from zip(ordered, heights, strict=True)


def _line(x1: float, y1: float, x2: float, y2: float, kind: str) -> str:
    return f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" class="{kind}"/>'
