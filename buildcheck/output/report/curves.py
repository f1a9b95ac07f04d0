"""Curves over the travel, level and straight ahead, within their limits; as proposed and, where it was, as measured."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

import numpy as np

from buildcheck.build import Build, Missing, Side
from buildcheck.checks.rule import Reading
from buildcheck.job import Job, Unreached
from buildcheck.job.curve import Array
from buildcheck.output import words
from buildcheck.output.chart import Axis, round_step
from buildcheck.output.report.motion import Followed, Motion, decimals, in_shop_units
from buildcheck.spec.quantity import Dimension, System, parse
from buildcheck.spec.units import USUAL

WIDTH, HEIGHT = 404.0, 232.0
LEFT, RIGHT, TOP, BOTTOM = 64.0, 326.0, 18.0, 184.0
OPEN = math.inf


class Allowed(NamedTuple):
    """The range (SI) that a curve has to stay within, and the words for where it comes from."""

    low: float
    high: float
    says: str


class Kind(NamedTuple):
    """A panel: its title, the quantities in it, and the limits of what it shows, from the build and the readings."""

    title: str
    names: tuple[str, ...]
    allowed: Callable[[Build, Sequence[Reading], Sequence[Followed]], Allowed | None]


class Line(NamedTuple):
    """A curve: its label and the height of that, its path, the number of its quantity, and whether it is `measured`."""

    label: str
    label_at: float
    path: str
    quantity: int
    style: str


class Panel(NamedTuple):
    """A panel as it is drawn. `scale` is (x of zero, x for each unit, y of zero, y for each unit)."""

    title: str
    unit: str
    across: str
    lines: tuple[Line, ...]
    ticks_across: tuple[tuple[float, str], ...]
    ticks_up: tuple[tuple[float, str], ...]
    ride: float
    forbidden: tuple[tuple[float, float], ...]
    says: str
    in_words: tuple[str, ...]
    scale: tuple[float, float, float, float]


def panels(build: Build, found: Motion, readings: Sequence[Reading], measured: Build | None) -> tuple[Panel, ...]:
    """The panels that the build has quantities for; none without travel."""
    if len(found.heaves) < 3:
        return ()
    other = {} if measured is None else _measured(measured, found)
    by_name = {each.quantity.name: (number, each) for number, each in enumerate(found.followed)}
    made = []
    for kind in _kinds(build):
        shown = [by_name[name] for name in kind.names if name in by_name]
        if shown:
            allowed = kind.allowed(build, readings, [_level(found, each) for _, each in shown])
            made.append(_panel(kind.title, shown, found, allowed, other, build))
    return tuple(made)


def _kinds(build: Build) -> Iterator[Kind]:
    yield Kind("Bump steer", ("steer", "other-wheel-steer"), _fits("bump-steer-total"))
    yield Kind("Caster", ("caster",), _nothing)
    yield Kind("Pinion, up", ("pinion-up",), _nothing)
    yield Kind("Axle fore and aft", ("axle-forward",), _about_ride("fore-and-aft"))
    yield Kind("Wheelbase change", ("left-wheelbase-change", "right-wheelbase-change"), _nothing)
    yield Kind("Lateral shift", ("axle-left",), _nothing)
    yield Kind("Yaw of the axle", ("axle-yaw",), _about_ride("yaw-over-travel"))
    names = sorted(build.coilovers) if build.has("coilovers") else []
    for name in names:
        parts = list(build.coilovers[name])
        labels = tuple(f"{part.label.replace(' ', '-')}-length" for part in parts)
        title = parts[0].label.removeprefix(f"{parts[0].side} ").capitalize()
        yield Kind(f"{title} length", labels, _between(lambda _, part=parts[0]: part, "compressed", "extended"))  # type: ignore[misc]
    yield Kind(
        "Driveshaft length", ("driveshaft-length",), _between(lambda build: build.driveshaft, "shortest", "longest")
    )
    for end in ("output", "pinion"):
        yield Kind(f"Driveshaft joint at the {end}", (f"{end}-joint-angle",), _joint(f"{end}_joint"))
    yield Kind("Largest turn of a link joint", ("frame-joint-turn", "axle-joint-turn"), _nothing)


# What limits a curve: numbers of the spec, or of a reading that was held to them.


def _nothing(build: Build, readings: Sequence[Reading], shown: Sequence[Followed]) -> Allowed | None:
    return None


def _between(part_of: Callable[[Build], object], low: str, high: str) -> Callable[..., Allowed | None]:
    def allowed(build: Build, readings: Sequence[Reading], shown: Sequence[Followed]) -> Allowed | None:
        try:
            part = part_of(build)
            ends = (getattr(part, f"{low}_length"), getattr(part, f"{high}_length"))
        except Missing:
            return None
        shown_ends = [words.amount(end, Dimension.LENGTH, build.units) for end in ends]
        return Allowed(*ends, f"{low} {shown_ends[0]}, {high} {shown_ends[1]}, by the spec")

    return allowed


def _joint(name: str) -> Callable[..., Allowed | None]:
    def allowed(build: Build, readings: Sequence[Reading], shown: Sequence[Followed]) -> Allowed | None:
        try:
            largest = getattr(build.driveshaft, name).largest_angle
        except Missing:
            return None
        return Allowed(-OPEN, largest, f"at most {words.amount(largest, Dimension.ANGLE, build.units)}, by the spec")

    return allowed


def _about_ride(limit: str) -> Callable[..., Allowed | None]:
    """A limit on the change from ride height."""

    def allowed(build: Build, readings: Sequence[Reading], shown: Sequence[Followed]) -> Allowed | None:
        reading = _reading(readings, limit)
        if reading is None or reading.highest is None:
            return None
        ride = _at_ride(shown[0])
        low = -reading.highest if reading.lowest is None else reading.lowest
        return Allowed(ride + low, ride + reading.highest, f"{words.wanted(reading, build.units)} from ride height")

    return allowed


def _fits(limit: str) -> Callable[..., Allowed | None]:
    """A limit on the difference between the two ends: the curve has to fit in a band of that height, wherever it is."""

    def allowed(build: Build, readings: Sequence[Reading], shown: Sequence[Followed]) -> Allowed | None:
        reading = _reading(readings, limit)
        values = shown[0].values[0]
        known = values[np.isfinite(values)]
        if reading is None or reading.highest is None or not known.size:
            return None
        middle = (float(known.max()) + float(known.min())) / 2
        half = reading.highest / 2
        return Allowed(middle - half, middle + half, f"{words.wanted(reading, build.units)} from droop to bump")

    return allowed


def _reading(readings: Sequence[Reading], limit: str) -> Reading | None:
    return next((reading for reading in readings if reading.quantity == limit and reading.value is not None), None)


def _level(found: Motion, each: Followed) -> Followed:
    row = each.values[found.straight if len(each.values) > 1 else 0]
    return each._replace(values=row[found.travel][None, :])


def _at_ride(each: Followed) -> float:
    return float(each.values[0][each.values.shape[1] // 2])


def _measured(build: Build, found: Motion) -> dict[str, Array]:
    """Every quantity of the build as measured, over the travel; nothing where it cannot move."""
    moving = Job(build).moved(found.heaves, np.zeros(len(found.heaves)))
    values: dict[str, Array] = {}
    for each in found.followed:
        quantity = each.quantity
        try:
            values[quantity.name] = np.asarray(quantity.of(moving))
        except (Missing, Unreached):
            continue
    return values


# The panel.


def _panel(
    title: str,
    shown: Sequence[tuple[int, Followed]],
    found: Motion,
    allowed: Allowed | None,
    other: dict[str, Array],
    build: Build,
) -> Panel:
    system = build.units
    dimension = shown[0][1].quantity.dimension
    curves: list[tuple[str, int, Array, str]] = []
    for number, each in shown:
        name = _label(each, build, many=len(shown) > 1)
        style = "right" if name == Side.RIGHT or (number != shown[0][0] and name != Side.LEFT) else "left"
        curves.append((name, number, in_shop_units(_level(found, each).values[0], dimension, system), style))
        if each.quantity.name in other:
            values = in_shop_units(other[each.quantity.name], dimension, system)
            # In the room beside the panel a side and the whole word have no place together.
            curves.append(
                (
                    f"{name.removeprefix('at ')} meas." if name else "measured",
                    number,
                    values,
                    f"measured measured-{style}",
                )
            )
    limits = [] if allowed is None else [_shop(end, dimension, system) for end in allowed[:2] if math.isfinite(end)]
    known = [float(value) for _, _, values, _ in curves for value in values if math.isfinite(value)]
    across = _axis(in_shop_units(found.heaves, Dimension.LENGTH, system).tolist(), Dimension.LENGTH, system)
    up = _axis([*known, *limits], dimension, system).to_ticks()
    x_of = _line(across.low, across.high, LEFT, RIGHT)
    y_of = _line(up.low, up.high, BOTTOM, TOP)
    places = in_shop_units(found.heaves, Dimension.LENGTH, system)

    def y(value: float) -> float:
        return y_of[0] + y_of[1] * value

    ends = [next((y(float(v)) for v in values[::-1] if math.isfinite(v)), BOTTOM) for _, _, values, _ in curves]
    lines = [
        Line(name, at, _path(x_of[0] + x_of[1] * places, y_of[0] + y_of[1] * values), number, style)
        for (name, number, values, style), at in zip(curves, _apart(ends), strict=True)
    ]
    forbidden = []
    if allowed is not None:
        low, high = (_shop(end, dimension, system) if math.isfinite(end) else end for end in allowed[:2])
        forbidden = [
            (top, bottom - top) for top, bottom in ((TOP, y(high)), (y(low), BOTTOM)) if math.isfinite(top + bottom)
        ]
    return Panel(
        title=title,
        unit=words.unit(dimension, system),
        across=f"axle height, {words.unit(Dimension.LENGTH, system)}",
        lines=tuple(lines),
        ticks_across=tuple((x_of[0] + x_of[1] * at, text) for at, text in across.ticks()),
        ticks_up=tuple((y(at), text) for at, text in up.ticks()),
        ride=x_of[0],
        forbidden=tuple(each for each in forbidden if each[1] > 0),
        says="" if allowed is None else allowed.says,
        in_words=tuple(_in_words(name, values, found, decimals(dimension, system)) for name, _, values, _ in curves),
        scale=(*x_of, *y_of),
    )


def _in_words(name: str, values: Array, found: Motion, places: int) -> str:
    """A curve in words: its values at full droop, at ride height and at full bump."""
    ride = int(np.argmin(np.abs(found.heaves)))
    ends = (("droop", 0), ("ride", ride), ("bump", len(found.heaves) - 1))
    said = [f"{end} {values[at]:z.{places}f}" if math.isfinite(values[at]) else f"{end} no number" for end, at in ends]
    return f"{name + ': ' if name else ''}{', '.join(said)}"


def _label(each: Followed, build: Build, *, many: bool) -> str:
    """The side that a quantity belongs to, that of the road wheel for a steer angle; else its heading, among many."""
    name = each.quantity.name
    if name in ("steer", "other-wheel-steer"):
        near = Side(build.steering.drag_link.knuckle)
        return near.value if name == "steer" else (Side.RIGHT if near is Side.LEFT else Side.LEFT).value
    for side in (Side.LEFT, Side.RIGHT):
        if name.startswith(f"{side}-"):
            return side.value
    return each.quantity.heading if many else ""


def _shop(value: float, dimension: Dimension, system: System) -> float:
    return float(in_shop_units(np.array(value), dimension, system))


def _axis(known: Sequence[float], dimension: Dimension, system: System) -> Axis:
    """An axis over all of these numbers; wide enough that what does not move is not blown up to noise."""
    unit = words.unit(dimension, system)
    low, high = min(known, default=0.0), max(known, default=0.0)
    spare = max(20.0 * 10.0 ** -USUAL[system][dimension].decimals - (high - low), 0.0) / 2
    low, high = low - spare, high + spare

    def shown(number: float, decimals: int) -> str:
        return words.number(parse(f"{number:.12g} {unit}".strip(), dimension, system), dimension, system, decimals)

    return Axis("", low, high, round_step(low, high), shown)


def _line(low: float, high: float, start: float, end: float) -> tuple[float, float]:
    """A scale as the paper's place of zero, and its change for each unit."""
    slope = (end - start) / (high - low)
    return start - low * slope, slope


def _path(across: Array, up: Array) -> str:
    parts, pen_down = [], False
    for x, y in zip(across.tolist(), up.tolist(), strict=True):
        if math.isfinite(y):
            parts.append(f"{'L' if pen_down else 'M'}{x:.1f} {y:.1f}")
        pen_down = math.isfinite(y)
    return "".join(parts)


def _apart(ends: Sequence[float]) -> list[float]:
    """Heights for labels at these ends that keep clear of each other."""
    order = sorted(range(len(ends)), key=lambda index: ends[index])
    placed = [0.0] * len(ends)
    last = -math.inf
    for index in order:
        last = placed[index] = max(ends[index], last + 14)
    over = max(last - BOTTOM, 0.0)
    return [at - over for at in placed]
