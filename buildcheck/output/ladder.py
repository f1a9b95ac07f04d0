"""The travel ladder as SVG: a scale of axle height between two rails, with what each side meets on the way.

Left of the left rail is what the left wheel meets, right of the right rail what the right one does; what belongs to
neither has a rung across both. The stated travel is the band between the rails; where something ends the travel too
soon, the rest of the band is hatched. The report and the cycling sheet draw it from here.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from typing import NamedTuple
from xml.sax.saxutils import escape

from buildcheck.build import Missing, Side
from buildcheck.job import Job, Unreached
from buildcheck.job.ladder import Ladder, Rung, ladder
from buildcheck.output import words
from buildcheck.output.chart import round_step
from buildcheck.output.cycle_sections import ends_in_words
from buildcheck.output.words import printable
from buildcheck.spec.quantity import Dimension, System
from buildcheck.spec.units import USUAL

WIDTH = 368.0
LEFT, RIGHT = 152.0, 216.0
"""Places of the two rails."""

TOP, LEAST = 34.0, 400.0
LINE, LETTERS = 13.5, 23
"""Height of a line of a label, and the letters that it has room for."""

BESIDE = 12.0
"""From a rail to a label."""

ABOVE = 0.04
"""Room beyond the farthest thing on the ladder, as a share of its height."""


class Label(NamedTuple):
    """The words of a rung: their lines, the side they are on, and the height of their middle."""

    rung: Rung
    lines: tuple[str, ...]
    side: Side
    middle: float


class Scale(NamedTuple):
    """From axle height (m, up positive) to the height on the drawing: `zero` is that of ride height, `step` the change
    for each metre."""

    zero: float
    step: float

    def __call__(self, at: float) -> float:
        return self.zero + self.step * at


class LadderDrawing(NamedTuple):
    """The ladder as drawn: its height, its elements, the scale for a pointer, and each rung in words from the top."""

    height: float
    elements: tuple[str, ...]
    scale: Scale
    in_words: tuple[str, ...]

    @property
    def box(self) -> str:
        """The frame as an SVG viewBox."""
        return f"0 0 {WIDTH:.0f} {self.height:.0f}"


class Travel(NamedTuple):
    """The ladder of a build as drawn, what ends the travel each way, and what was not looked at."""

    drawing: LadderDrawing
    ends: tuple[str, ...]
    unknown: tuple[str, ...]


def travel(job: Job) -> Travel | None:
    """The ladder of a build with its words; None where nothing moves."""
    try:
        found = ladder(job)
    except (Missing, Unreached):
        return None
    if not found.bump and not found.droop:
        return None
    unknown = (*(f"{printable(path)} is not in the spec" for path in found.missing), *map(printable, found.unknown))
    return Travel(draw(found, job.build.units), tuple(ends_in_words(job.travel_limits, job.build.units)), unknown)


def draw(ladder: Ladder, system: System) -> LadderDrawing:
    """Draw a ladder in the shop's unit."""
    sides = _sides(ladder.rungs)
    texts = [_lines(rung, system) for rung in ladder.rungs]
    heights = {
        side: sum(len(lines) * LINE + 5 for lines, on in zip(texts, sides, strict=True) if on is side)
        for side in (Side.LEFT, Side.RIGHT)
    }
    tall = max(LEAST, 1.12 * max(heights.values()))
    high = max([ladder.bump, *(rung.at for rung in ladder.rungs)])
    low = min([-ladder.droop, *(rung.at for rung in ladder.rungs)])
    spare = max(high - low, 0.05) * ABOVE
    high, low = high + spare, low - spare
    scale = Scale(TOP + tall * high / (high - low), -tall / (high - low))
    labels = [
        *_placed(ladder.rungs, texts, sides, Side.LEFT, scale, tall),
        *_placed(ladder.rungs, texts, sides, Side.RIGHT, scale, tall),
    ]
    drawn = [
        *_stated(ladder, scale, system),
        *_rails(ladder, scale, high, low, system),
        *(element for label in labels for element in _rung(label, ladder, scale)),
    ]
    elements = tuple(sorted(drawn, key=_is_figure))  # figures last, so that no rung strikes them out
    return LadderDrawing(TOP + tall + 24, elements, scale, tuple(_in_words(ladder, system)))


def _is_figure(element: str) -> bool:
    return element.startswith(('<text class="small"', '<text class="scale"'))


def _sides(rungs: Sequence[Rung]) -> list[Side]:
    """The side on which each rung has its label; that of a rung across both is where there is more room."""
    sides = [rung.side for rung in rungs]
    for number, rung in enumerate(rungs):
        if rung.side is Side.CENTRE:
            near = {
                side: sum(
                    1.0 / (0.01 + abs(rung.at - other.at))
                    for other, on in zip(rungs, sides, strict=True)
                    if on is side and other is not rung
                )
                for side in (Side.LEFT, Side.RIGHT)
            }
            sides[number] = min(near, key=lambda side: near[side])
    return sides


def said(rung: Rung) -> str:
    """A rung in few words: `bump stop touches`; the side is that of its column."""
    text = rung.what.removeprefix("the ")
    return printable(text if rung.side is Side.CENTRE else text.removeprefix(f"{rung.side} "))


def height_of(rung: Rung, system: System) -> str:
    """Height of a rung with its sign, in the shop's unit: `+1.76`."""
    decimals = USUAL[system][Dimension.LENGTH].decimals - 1
    return words.number(rung.at, Dimension.LENGTH, system, decimals, sign=True)


def _lines(rung: Rung, system: System) -> tuple[str, ...]:
    return tuple(textwrap.wrap(f"{height_of(rung, system)} {said(rung)}", LETTERS, break_on_hyphens=False))


def _placed(
    rungs: Sequence[Rung],
    texts: Sequence[tuple[str, ...]],
    sides: Sequence[Side],
    side: Side,
    scale: Scale,
    tall: float,
) -> Iterator[Label]:
    """The labels of one side from the top down, each as near to its rung as the others allow."""
    here = [(rung, lines) for rung, lines, on in zip(rungs, texts, sides, strict=True) if on is side]
    halves = [len(lines) * LINE / 2 + 2.5 for _, lines in here]
    middles: list[float] = []
    free = TOP - 14
    for (rung, _), half in zip(here, halves, strict=True):
        middles.append(max(scale(rung.at), free + half))
        free = middles[-1] + half
    last = TOP + tall + 14
    for number in range(len(middles) - 1, -1, -1):
        middles[number] = min(middles[number], last - halves[number])
        last = middles[number] - halves[number]
    for (rung, lines), middle in zip(here, middles, strict=True):
        yield Label(rung, lines, side, middle)


def _stated(ladder: Ladder, scale: Scale, system: System) -> Iterator[str]:
    """The band of the stated travel between the rails, with what is lost of it, and its two ends with their amount."""
    top, bottom = scale(ladder.bump), scale(-ladder.droop)
    yield f'<rect class="travel" x="{LEFT}" y="{top:.1f}" width="{RIGHT - LEFT}" height="{bottom - top:.1f}"/>'
    up = [rung.at for rung in ladder.rungs if ladder.early(rung) and rung.at >= 0.0]
    down = [rung.at for rung in ladder.rungs if ladder.early(rung) and rung.at <= 0.0]
    for first, end in ((min(up, default=None), ladder.bump), (max(down, default=None), -ladder.droop)):
        if first is not None:
            one, other = sorted((scale(first), scale(end)))
            size = f'x="{LEFT}" y="{one:.1f}" width="{RIGHT - LEFT}" height="{other - one:.1f}"'
            yield f'<rect class="lost" {size}/><rect class="lost-hatch" {size}/>'
    for at, way, beside in ((ladder.bump, "bump", -5.0), (-ladder.droop, "droop", 13.0)):
        if at:
            amount = words.amount(abs(at), Dimension.LENGTH, system)
            yield f'<path class="stated" d="M{LEFT - 5} {scale(at):.1f}H{RIGHT + 5}"/>'
            yield (
                f'<text class="small" text-anchor="middle" x="{(LEFT + RIGHT) / 2}" y="{scale(at) + beside:.1f}">'
                f"<title>stated {way}</title>{escape(amount)}</text>"
            )


def _rails(ladder: Ladder, scale: Scale, high: float, low: float, system: System) -> Iterator[str]:
    for x in (LEFT, RIGHT):
        yield f'<path class="rail" d="M{x} {scale(high):.1f}V{scale(low):.1f}"/>'
    for x, anchor, side in ((LEFT - BESIDE, "end", "left"), (RIGHT + BESIDE, "start", "right")):
        yield f'<text class="head" text-anchor="{anchor}" x="{x}" y="13">{side}</text>'
    unit = words.unit(Dimension.LENGTH, system)
    yield f'<text class="head" text-anchor="middle" x="{(LEFT + RIGHT) / 2}" y="13">{unit}</text>'
    one = float(words.number(1.0, Dimension.LENGTH, system, 9))
    step = round_step(low * one, high * one)
    for count in range(round(low * one / step) - 1, round(high * one / step) + 2):
        at = count * step / one
        if not low <= at <= high:
            continue
        y = scale(at)
        yield f'<path class="{"ride" if not count else "tick"}" d="M{LEFT} {y:.1f}H{RIGHT}"/>'
        # The ends of the stated travel have their own figures.
        if count and min(abs(y - scale(end)) for end in (ladder.bump, -ladder.droop)) < LINE + 4:
            continue
        text = "ride height" if not count else words.number(at, Dimension.LENGTH, system, 0, sign=True)
        yield f'<text class="scale" text-anchor="middle" x="{(LEFT + RIGHT) / 2}" y="{y + 4:.1f}">{text}</text>'


def _rung(label: Label, ladder: Ladder, scale: Scale) -> Iterator[str]:
    """A rung, its leader and its words."""
    rung, y = label.rung, scale(label.rung.at)
    style = "early" if ladder.early(rung) else "end" if rung.ends else "begin"
    left = label.side is Side.LEFT
    rail, x, anchor = (LEFT, LEFT - BESIDE, "end") if left else (RIGHT, RIGHT + BESIDE, "start")
    inner = rail + (16 if left else -16)
    if rung.side is Side.CENTRE:
        inner = RIGHT if left else LEFT
    yield f'<g class="rung {style}" data-at="{rung.at:.6f}">'
    yield f'<path d="M{inner} {y:.1f}H{rail}L{x + (3 if left else -3):.1f} {label.middle:.1f}"/>'
    first = label.middle - LINE * (len(label.lines) - 1) / 2 + 4
    for number, line in enumerate(label.lines):
        yield f'<text text-anchor="{anchor}" x="{x}" y="{first + number * LINE:.1f}">{escape(line)}</text>'
    yield "</g>"


def _in_words(ladder: Ladder, system: System) -> Iterator[str]:
    """Each rung as a sentence, from the top down."""
    for rung in ladder.rungs:
        amount = words.amount(abs(rung.at), Dimension.LENGTH, system)
        where = f"{amount} {'up' if rung.at > 0 else 'down'}" if rung.at else "already at ride height"
        early = ", before the stated end" if ladder.early(rung) else ""
        yield f"{printable(rung.what)}: {where}{early}"
