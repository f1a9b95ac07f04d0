"""Curves over the travel, level and straight ahead, within their limits; as proposed and, where it was, as measured."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from buildcheck.build import Build, Missing, Side
from buildcheck.checks.limit import Bounds
from buildcheck.job import Job, Unreached
from buildcheck.job.curve import Array
from buildcheck.output import words
from buildcheck.output.chart import Axis, beyond, path, round_step
from buildcheck.output.curve_limits import HELD, Allowed, Held
from buildcheck.output.items import Item
from buildcheck.output.report.motion import Followed, Motion, decimals, in_shop_units
from buildcheck.spec.quantity import Dimension, System, parse
from buildcheck.spec.units import USUAL

WIDTH, HEIGHT = 404.0, 232.0
LEFT, RIGHT, TOP, BOTTOM = 64.0, 326.0, 18.0, 184.0


class Kind(NamedTuple):
    """A panel: its title, the quantities in it, the check that holds what it shows, the findings that have their place
    on it (`rule/limit`), and whether it is over articulation."""

    title: str
    names: tuple[str, ...]
    held: Held | None = None
    findings: tuple[str, ...] = ()
    rolled: bool = False


class Line(NamedTuple):
    """A curve: its label and the height of that, its path, the number of its quantity, and whether it is `measured`."""

    label: str
    label_at: float
    path: str
    quantity: int
    style: str


class Worst(NamedTuple):
    """A finding on a panel: its number, its verdict, and its place."""

    number: int
    verdict: str
    at: tuple[float, float]


class Panel(NamedTuple):
    """A panel as it is drawn. `scale` is (x of zero, x for each unit, y of zero, y for each unit); `rolled` is whether
    it is over articulation. `forbidden` are what is beyond a limit: style, top and height. `calm` is whether it says
    nothing that needs a look: it is well inside its limits, or has none."""

    title: str
    unit: str
    across: str
    lines: tuple[Line, ...]
    ticks_across: tuple[tuple[float, str], ...]
    ticks_up: tuple[tuple[float, str], ...]
    ride: float
    forbidden: tuple[tuple[str, float, float], ...]
    says: str
    in_words: tuple[str, ...]
    scale: tuple[float, float, float, float]
    worst: tuple[Worst, ...]
    rolled: bool
    calm: bool


def panels(
    build: Build, found: Motion, bounds: Mapping[str, Bounds], numbered: Sequence[Item], measured: Build | None
) -> tuple[Panel, ...]:
    """The panels that the build has quantities for; none without travel. `bounds` are those that were applied, by
    `rule/limit`, `numbered` the findings."""
    other = {} if measured is None else _measured(measured, found)
    by_name = {each.quantity.name: (number, each) for number, each in enumerate(found.followed)}
    made = []
    for kind in KINDS:
        shown = [by_name[name] for name in kind.names if name in by_name]
        if shown and len(found.rolls if kind.rolled else found.heaves) >= 3:
            made.append(_panel(kind, shown, found, bounds, numbered, {} if kind.rolled else other, build))
    return tuple(made)


KINDS = (
    Kind(
        "Bump steer", ("steer", "other-wheel-steer"), HELD["steer"],
        ("lateral-bar-parallel/bump-steer-total", "lateral-bar-parallel/bump-steer-rate"),
    ),
    Kind("Axle fore and aft", ("axle-forward",), HELD["axle-forward"], ("link-flatness/fore-and-aft",)),
    Kind(
        "Yaw of the axle", ("axle-yaw",), HELD["axle-yaw"],
        ("side-symmetry/yaw-over-travel", "side-symmetry/yaw-at-ride"),
    ),
    *(
        Kind(f"Driveshaft joint at the {end}", (f"{end}-joint-angle",), HELD[f"{end}-joint-angle"])
        for end in ("output", "pinion")
    ),
    Kind("Caster", ("caster",)),
    Kind("Pinion, up", ("pinion-up",)),
    Kind("Lateral shift", ("axle-left",)),
    Kind("Largest turn of a link joint", ("frame-joint-turn", "axle-joint-turn")),
    Kind("Yaw of the axle, as it rolls", ("axle-yaw",), findings=("link-flatness/roll-steer",), rolled=True),
    Kind("Steer, as the axle rolls", ("steer", "other-wheel-steer"), rolled=True),
    Kind("Largest turn of a link joint, as the axle rolls", ("frame-joint-turn", "axle-joint-turn"), rolled=True),
)  # fmt: skip


def _values(found: Motion, each: Followed, *, rolled: bool) -> Array:
    """A quantity straight ahead, over the travel, or over articulation at ride height."""
    row = each.values[found.straight if len(each.values) > 1 else 0]
    if not rolled:
        return np.asarray(row[found.travel])
    ride = int(np.argmin(np.abs(found.heaves)))
    return np.asarray(row[[found.number(ride, roll) for roll in range(len(found.rolls))]])


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
    kind: Kind,
    shown: Sequence[tuple[int, Followed]],
    found: Motion,
    bounds: Mapping[str, Bounds],
    numbered: Sequence[Item],
    other: dict[str, Array],
    build: Build,
) -> Panel:
    system, rolled = build.units, kind.rolled
    dimension = shown[0][1].quantity.dimension
    rows = [_values(found, each, rolled=rolled) for _, each in shown]
    steps, way = (found.rolls, Dimension.ANGLE) if rolled else (found.heaves, Dimension.LENGTH)
    ride = int(np.argmin(np.abs(steps)))
    allowed = kind.held and kind.held.allowed(build, bounds, rows[0], ride, dimension)
    curves: list[tuple[str, int, Array, str]] = []
    for (number, each), row in zip(shown, rows, strict=True):
        name = _label(each, build, many=len(shown) > 1)
        style = "right" if name == Side.RIGHT or (number != shown[0][0] and name != Side.LEFT) else "left"
        curves.append((name, number, in_shop_units(row, dimension, system), style))
        if each.quantity.name in other:
            values = in_shop_units(other[each.quantity.name], dimension, system)
            # In the room beside the panel a side and the whole word have no place together.
            curves.append(
                (
                    f"{name.removesuffix(' end')} meas." if name else "measured",
                    number,
                    values,
                    f"measured measured-{style}",
                )
            )
    limits = [] if allowed is None else [_shop(end, dimension, system) for end in allowed.ends]
    known = [float(value) for _, _, values, _ in curves for value in values if math.isfinite(value)]
    across = _axis(in_shop_units(steps, way, system).tolist(), way, system)
    up = _axis([*known, *limits], dimension, system).to_ticks()
    x_of = _line(across.low, across.high, LEFT, RIGHT)
    y_of = _line(up.low, up.high, BOTTOM, TOP)
    places = in_shop_units(steps, way, system)

    def y(value: float) -> float:
        return y_of[0] + y_of[1] * value

    ends = [next((y(float(v)) for v in values[::-1] if math.isfinite(v)), BOTTOM) for _, _, values, _ in curves]
    lines = [
        Line(name, at, path(_points(x_of[0] + x_of[1] * places, y_of[0] + y_of[1] * values)), number, style)
        for (name, number, values, style), at in zip(curves, _apart(ends), strict=True)
    ]

    def band(style: str, limit: tuple[float, float]) -> Iterator[tuple[str, float, float]]:
        """The areas beyond a limit, above and below."""
        low, high = (y(_shop(end, dimension, system)) if math.isfinite(end) else end for end in limit)
        yield from ((style, *area) for area in beyond(low, high, TOP, BOTTOM))

    def worst() -> Iterator[Worst]:
        for item in numbered:
            reading, pose = item.reading, item.reading.pose
            if pose is None or f"{reading.rule}/{reading.quantity}" not in kind.findings:
                continue
            if bool(pose.roll) != rolled and pose.roll:
                continue
            at = float(np.interp(pose.roll if rolled else pose.heave, steps, np.arange(len(steps))))
            value = float(np.interp(at, np.arange(len(steps)), in_shop_units(rows[0], dimension, system)))
            place = float(np.interp(at, np.arange(len(steps)), places))
            if math.isfinite(value):
                yield Worst(item.number, reading.verdict.value, (x_of[0] + x_of[1] * place, y(value)))

    return Panel(
        title=kind.title,
        unit=words.unit(dimension, system),
        across=f"{'left side up' if rolled else 'axle height'}, {words.unit(way, system)}",
        lines=tuple(lines),
        ticks_across=tuple((x_of[0] + x_of[1] * at, text) for at, text in across.ticks()),
        ticks_up=tuple((y(at), text) for at, text in up.ticks()),
        ride=x_of[0],
        forbidden=() if allowed is None else (*band("warning", allowed.warning), *band("error", allowed.error)),
        says="" if allowed is None else allowed.says,
        in_words=tuple(
            _in_words(name, values, ride, decimals(dimension, system), rolled=rolled) for name, _, values, _ in curves
        ),
        scale=(*x_of, *y_of),
        worst=tuple(worst()),
        rolled=rolled,
        calm=_calm(rows, allowed, kind, numbered),
    )


def _calm(rows: Sequence[Array], allowed: Allowed | None, kind: Kind, numbered: Sequence[Item]) -> bool:
    """Whether a panel may be folded: no finding is about it, and it stays in the inner half of what is allowed."""
    if any(f"{item.reading.rule}/{item.reading.quantity}" in kind.findings for item in numbered):
        return False
    if allowed is None:
        return kind.title not in ALWAYS
    low, high = (max(one, other) if one < 0 else min(one, other) for one, other in zip(*allowed[:2], strict=True))
    middle = (low + high) / 2 if math.isfinite(low + high) else 0.0
    reach = high - middle if math.isfinite(high) else middle - low
    return all(bool((np.abs(row[np.isfinite(row)] - middle) < reach / 2).all()) for row in rows)


ALWAYS = ("Bump steer", "Caster")
"""The curves that a builder looks at in any case."""


def _in_words(name: str, values: Array, ride: int, places: int, *, rolled: bool) -> str:
    """A curve in words: its values at full droop, at ride height and at full bump; or right side up, level, left side
    up."""
    called = ("right up", "level", "left up") if rolled else ("droop", "ride", "bump")
    ends = tuple(zip(called, (0, ride, len(values) - 1), strict=True))
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


def _points(across: Array, up: Array) -> list[tuple[float, float] | None]:
    return [(x, y) if math.isfinite(y) else None for x, y in zip(across.tolist(), up.tolist(), strict=True)]


def _apart(ends: Sequence[float]) -> list[float]:
    """Heights for labels at these ends that keep clear of each other."""
    order = sorted(range(len(ends)), key=lambda index: ends[index])
    placed = [0.0] * len(ends)
    last = -math.inf
    for index in order:
        last = placed[index] = max(ends[index], last + 14)
    over = max(last - BOTTOM, 0.0)
    return [at - over for at in placed]
