"""A cycle as a picture (SVG): each quantity from full droop to full bump, in small panels.

Black on white, with no font, script or picture from elsewhere: it prints as it looks. The curves differ by
their strokes and by the words at their ends. The panels are in two columns; on a narrow screen a style rule puts them
one below the other, at twice the size.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple
from xml.sax.saxutils import escape

from buildcheck.build import Side
from buildcheck.checks.limit import Bounds
from buildcheck.job import Job
from buildcheck.job.cycle import Column
from buildcheck.output import words
from buildcheck.output.chart import (
    HEIGHT,
    STROKES,
    WIDTH,
    Axis,
    Beyond,
    Curve,
    hatches,
    label_room,
    panel,
    round_step,
    text,
    title_lines,
)
from buildcheck.output.curve_limits import HELD, Allowed
from buildcheck.output.cycle_words import absent, breaks, held, way
from buildcheck.output.ladder import travel
from buildcheck.output.outcome import Cycled
from buildcheck.output.sheet import build_name
from buildcheck.output.words import printable
from buildcheck.spec.quantity import Dimension, System, parse
from buildcheck.spec.units import USUAL

_GAP = 20.0
_MARGIN = 16.0
_PAGE = 2 * WIDTH + _GAP
_LETTERS = 56  # that a line of text has room for on a narrow screen
_LINE = 16.0
_SMALL_LETTERS = 72  # of the small ones, below a panel
_FLAT = 4.0  # a curve that takes less than one part in so many of a panel's height says nothing there

_STYLE = """\
.cycling-sheet { width: 100%; max-width: 1100px; height: auto; display: block; margin: 0 auto; background: #fff; }
.cycling-sheet text { font: 12px sans-serif; fill: #000; }
.cycling-sheet .title { font-weight: bold; }
.cycling-sheet .small { font-size: 10px; }
.cycling-sheet .grid { stroke: #bbb; stroke-width: 0.6; }
.cycling-sheet .zero { stroke: #000; stroke-width: 1; }
.cycling-sheet .mark { stroke: #000; stroke-width: 0.8; }
.cycling-sheet .leader { stroke: #000; stroke-width: 0.5; }
.cycling-sheet rect { fill: none; stroke: #000; stroke-width: 0.8; }
.cycling-sheet .beyond { stroke: none; }
.cycling-sheet .hatch { stroke-width: 0.7; }
.cycling-sheet .hatch.error { stroke-width: 1.6; }
.cycling-sheet .limit { stroke: #000; stroke-width: 0.9; }
.cycling-sheet path { fill: none; stroke: #000; stroke-width: 1.8; }
.cycling-sheet .ladder path { stroke-width: 1.4; }
.cycling-sheet .ladder .tick { stroke: #bbb; stroke-width: 0.6; }
.cycling-sheet .ladder .ride { stroke-width: 0.8; stroke-dasharray: 12 3 2 3; }
.cycling-sheet .ladder .rail, .cycling-sheet .ladder .stated { stroke-width: 3; }
.cycling-sheet .ladder .travel { fill: #eee; stroke: none; }
.cycling-sheet .ladder .lost { fill: #fff; stroke: none; }
.cycling-sheet .ladder .lost-hatch { fill: url(#lost); stroke: none; }
.cycling-sheet .ladder .begin path { stroke-dasharray: 4 3; }
.cycling-sheet .ladder .early path { stroke-width: 2.6; }
.cycling-sheet .ladder .head, .cycling-sheet .ladder .early text { font-weight: bold; }
.cycling-sheet .ladder .small { paint-order: stroke; stroke: #fff; stroke-width: 3px; }
.cycling-sheet .ladder .scale { font-size: 11px; paint-order: stroke; stroke: #fff; stroke-width: 3px; }
"""


class _Drawn(NamedTuple):
    """A part of the page: its height, its elements, and how far they reach above their own origin."""

    height: float
    elements: tuple[str, ...]
    above: float = 0.0


class _Plot(NamedTuple):
    """Content of one panel: columns of one dimension with the words at their ends; of a group, or of one thing."""

    group: str
    thing: str
    dimension: Dimension
    columns: tuple[tuple[str, Column], ...]

    @property
    def title(self) -> str:
        title = self.thing or f"{self.group}: {', '.join(label for label, _ in self.columns)}"
        return f"{title[:1].upper()}{title[1:]}"

    def joined(self, label: str, column: Column) -> _Plot:
        """The panel with one more curve."""
        return self._replace(columns=(*self.columns, (label, column)))

    def extent(self, system: System) -> tuple[float, float]:
        """The lowest and the highest point, in the shop's unit; far enough apart that what does not move is not blown
        up to noise."""
        return _extent([column for _, column in self.columns], self.dimension, system)

    def flattens(self, system: System) -> bool:
        """Whether one of its curves would lie all but flat beside the others."""
        low, high = self.extent(system)
        each = [_extent([column], self.dimension, system) for _, column in self.columns]
        return high - low > _FLAT * min(top - bottom for bottom, top in each)


def picture(spec: Cycled, bounds: Mapping[str, Bounds] | None = None) -> str:
    """The picture of one spec, a document of its own. `bounds` are those of the checks, by `rule/limit`; what is beyond
    them is hatched where the axle is cycled level and straight ahead, as the checks have it."""
    name = build_name(spec)
    title = f"Cycling sheet: {name}"
    top = _lines([title, way(spec), held(spec), printable(spec.file)], first_bold=True)
    notes = [*breaks(spec), *absent(spec)]
    bottom = _lines([*notes, "Computed from the spec, not measured."])
    panels = [*_ladder(spec), *_panels(spec, bounds or {})]
    wide, height = _places(top, panels, bottom, columns=2)
    narrow, narrow_height = _places(top, panels, bottom, columns=1)
    width, height = _PAGE + 2 * _MARGIN, height + 2 * _MARGIN
    hatched = any('class="beyond"' in each for part in panels for each in part.elements)
    patterns = [f"<defs>{''.join(hatches())}</defs>"] if hatched else []
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="cycling-sheet" role="img" width="{width:.0f}" '
        f'height="{height:.0f}" viewBox="{-_MARGIN:.0f} {-_MARGIN:.0f} {width:.0f} {height:.0f}" '
        'preserveAspectRatio="xMidYMin meet">',
        f"<title>{escape(title)}</title>",
        *patterns,
        f"<style>\n{_STYLE}{_narrow_style(width / height, narrow, narrow_height)}</style>",
    ]
    for index, ((x, y), part) in enumerate(zip(wide, (top, *panels, bottom), strict=True)):
        lines += [f'<g class="part-{index}" transform="translate({x:.0f} {y:.0f})">', *part.elements, "</g>"]
    return "\n".join([*lines, "</svg>"]) + "\n"


def _narrow_style(ratio: float, places: Sequence[tuple[float, float]], height: float) -> str:
    """The rules for a narrow screen. They do not hold in a frame of the picture's own `ratio`, where another page shows
    it: such a frame does not grow with what is in it."""
    frame = (f"(max-aspect-ratio: {0.99 * ratio:.4f})", f"(min-aspect-ratio: {1.01 * ratio:.4f})")
    rules = [f".cycling-sheet {{ aspect-ratio: {_PAGE + 2 * _MARGIN:.0f} / {2 * (height + _MARGIN):.0f}; }}"]
    rules += [
        f".cycling-sheet .part-{index} {{ transform: translate({2 * x:.0f}px, {2 * y:.0f}px) scale(2); }}"
        for index, (x, y) in enumerate(places)
    ]
    narrow = ", ".join(f"(max-width: 600px) and {one}" for one in frame)
    return f"@media {narrow} {{\n" + "\n".join(rules) + "\n}\n"


def _places(
    top: _Drawn, panels: Sequence[_Drawn], bottom: _Drawn, *, columns: int
) -> tuple[list[tuple[float, float]], float]:
    """Place of each part, and the height of the page."""
    places = [(0.0, 0.0)]
    y = top.height + _GAP
    for start in range(0, len(panels), columns):
        row = panels[start : start + columns]
        y += max(each.above for each in row)
        places += [(number * (WIDTH + _GAP), y) for number in range(len(row))]
        y += max(each.height for each in row) + _GAP
    return [*places, (0.0, y)], y + bottom.height


def _lines(paragraphs: Sequence[str], *, first_bold: bool = False) -> _Drawn:
    elements: list[str] = []
    for number, paragraph in enumerate(paragraphs):
        for line in textwrap.wrap(paragraph, _LETTERS):
            bold = 'class="title"' if first_bold and number == 0 else ""
            elements.append(text(0, _LINE * (len(elements) + 1) - 3, line, bold))
    return _Drawn(_LINE * len(elements) + 4, tuple(elements))


def _ladder(spec: Cycled) -> Iterator[_Drawn]:
    """The travel ladder, as the report draws it."""
    found = travel(Job(spec.build))
    if found is not None:
        title = text(0, -4, "Travel ladder: what ends the travel, and where", 'class="title"')
        hatch = '<path d="M0 0V7" style="stroke-width: 1"/>'
        size = 'width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"'
        pattern = f'<pattern id="lost" {size}>{hatch}</pattern>'
        elements = (title, f"<defs>{pattern}</defs>", '<g class="ladder">', *found.drawing.elements, "</g>")
        yield _Drawn(found.drawing.height, elements, _LINE)


def _panels(spec: Cycled, bounds: Mapping[str, Bounds]) -> Iterator[_Drawn]:
    system, cycle = spec.build.units, spec.cycle
    plots = list(_plots(cycle.columns, system))
    room = label_room([label for plot in plots for label, _ in _merged(plot.columns, system)])
    places = [_shop(pose.heave, Dimension.LENGTH, system) for pose in cycle.poses]
    across = _axis("axle height", Dimension.LENGTH, system, places[0], places[-1])
    for plot in plots:
        curves = [Curve(label, _heights(column, system)) for label, column in _merged(plot.columns, system)]
        allowed = _allowed(spec, plot, bounds)
        ends = [] if allowed is None else [_shop(end, plot.dimension, system) for end in allowed.ends]
        low, high = plot.extent(system)
        up = _axis(plot.dimension.value, plot.dimension, system, min([low, *ends]), max([high, *ends])).to_ticks()
        whole = all(None not in curve.heights for curve in curves)
        title = plot.title if whole else f"{plot.title} (not at every height)"
        limits = [] if allowed is None else list(_beyond(allowed, plot.dimension, system))
        elements = tuple(panel(title, across, up, places, curves, (0.0, "ride height"), room, limits))
        said = textwrap.wrap(allowed.says, _SMALL_LETTERS) if allowed is not None else []
        notes = tuple(text(0, HEIGHT + 12 * number + 8, line, 'class="small"') for number, line in enumerate(said))
        yield _Drawn(HEIGHT + 12 * len(said), (*elements, *notes), _LINE * (len(title_lines(title)) - 1))


def _allowed(spec: Cycled, plot: _Plot, bounds: Mapping[str, Bounds]) -> Allowed | None:
    """The ranges of the check that holds what a panel shows; None where none does, or not in this cycle."""
    cycle = spec.cycle
    first = plot.columns[0][1]
    held = HELD.get(first.quantity.name)
    if held is None or cycle.roll or cycle.lock or None in _heights(first, spec.build.units):
        return None
    ride = min(range(len(cycle.poses)), key=lambda number: abs(cycle.poses[number].heave))
    return held.allowed(spec.build, bounds, first.values, ride, plot.dimension)


def _beyond(allowed: Allowed, dimension: Dimension, system: System) -> Iterator[Beyond]:
    for style, ends in (("warning", allowed.warning), ("error", allowed.error)):
        low, high = (_shop(end, dimension, system) if math.isfinite(end) else end for end in ends)
        yield Beyond(style, low, high)


WITH = {"other-wheel-steer": "steer"}
"""The quantities whose panel shows the limits of a check on another; any other has a panel without limits."""


def _plots(columns: Sequence[Column], system: System) -> Iterator[_Plot]:
    """Left and right of one thing together; else what a group has of one dimension, where no curve flattens another."""
    together: dict[tuple[str, str, Dimension], list[_Plot]] = {}
    for column in columns:
        quantity = column.quantity
        side, _, rest = quantity.name.partition("-")
        if side in (Side.LEFT, Side.RIGHT):
            title = quantity.heading.removeprefix(f"{side} ")
            plots = together.setdefault((title, rest, quantity.dimension), [_Plot("", title, quantity.dimension, ())])
            plots[0] = plots[0].joined(side, column)
            continue
        alone = quantity.name if quantity.name in HELD else WITH.get(quantity.name, "")
        plots = together.setdefault((quantity.group, alone, quantity.dimension), [])
        for index, plot in enumerate(plots):
            wider = plot.joined(quantity.heading, column)
            if len(wider.columns) <= len(STROKES) and not wider.flattens(system):
                plots[index] = wider
                break
        else:
            plots.append(_Plot(quantity.group, "", quantity.dimension, ((quantity.heading, column),)))
    for plots in together.values():
        yield from plots


def _merged(found: Sequence[tuple[str, Column]], system: System) -> Iterator[tuple[str, Column]]:
    """Two curves that would lie on each other as one, with both labels."""
    left: dict[tuple[str, ...], tuple[list[str], Column]] = {}
    for label, column in found:
        shown = tuple(words.number(value, column.quantity.dimension, system) for value in column.values.tolist())
        left.setdefault(shown, ([], column))[0].append(label)
    for labels, column in left.values():
        yield " and ".join(labels), column


def _extent(columns: Sequence[Column], dimension: Dimension, system: System) -> tuple[float, float]:
    known = [height for column in columns for height in _heights(column, system) if height is not None] or [0.0]
    low, high = min(known), max(known)
    spare = max(10.0 ** (1 - USUAL[system][dimension].decimals) - (high - low), 0.0) / 2
    return low - spare, high + spare


def _heights(column: Column, system: System) -> tuple[float | None, ...]:
    dimension = column.quantity.dimension
    return tuple(_shop(value, dimension, system) if math.isfinite(value) else None for value in column.values.tolist())


def _shop(value: float, dimension: Dimension, system: System) -> float:
    return float(words.number(value, dimension, system, 9))


def _axis(label: str, dimension: Dimension, system: System, low: float, high: float) -> Axis:
    unit = words.unit(dimension, system)

    def shown(number: float, decimals: int) -> str:
        return words.number(parse(f"{number:.12g} {unit}", dimension, system), dimension, system, decimals)

    return Axis(f"{label}, {unit}" if unit else label, low, high, round_step(low, high), shown)
