"""The poses that the report can show, and all that follows the axle through them, as plain data for the page.

The poses are a grid, close enough that what lies between follows from a cubic through the four nearest on each slide;
`tests/output/test_report_drawing.py` holds that to poses that are solved.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from buildcheck.build import Build, Missing, Point
from buildcheck.checks.rule import Reading
from buildcheck.job import Job
from buildcheck.job.curve import Array, PoseName, Unreached
from buildcheck.job.drawing import FARTHEST, Drawing, drawing
from buildcheck.job.drawn_steering import Held
from buildcheck.job.layout import axle_centre
from buildcheck.job.linkage import other
from buildcheck.job.moving import MovingAxle
from buildcheck.job.named_quantity import Absent, Quantity
from buildcheck.job.overruns import Overrun, overruns
from buildcheck.job.quantities import all_values
from buildcheck.output import words
from buildcheck.output.words import printable
from buildcheck.spec.quantity import Dimension, System, parse
from buildcheck.spec.units import USUAL

HEAVES, ROLLS, LOCKS = 12, 3, 3
"""Steps on each side of ride height, of level and of straight ahead."""

TENTHS = 10_000.0
"""Points are handed to the page in tenths of a millimetre, which is less than a line is wide."""


NO_WHEELS = np.zeros((2, 1))


class Followed(NamedTuple):
    """A quantity over all poses, SI: (locks, poses); one row where the lock changes nothing in it."""

    quantity: Quantity
    values: Array


class Motion(NamedTuple):
    """A build in every pose that the report shows.

    `heaves`, `rolls` and `locks` are the positions of the three slides. Poses are numbered with the heave fastest, then
    the roll; behind those of the slides come the poses of the readings, `of_reading`, at their exact place and with a
    lock of their own, whatever the slide of the lock says. `overruns` are the parts that some pose drives past their
    end; `wheels` (2, poses) is the rise of the left and of the right wheel from ride height, m.
    """

    heaves: Array
    rolls: Array
    locks: Array
    heave: Array
    roll: Array
    drawing: Drawing
    followed: tuple[Followed, ...]
    absent: tuple[Absent, ...]
    of_reading: dict[tuple[float, float, float], int]
    overruns: tuple[Overrun, ...] = ()
    wheels: Array = NO_WHEELS

    @property
    def ride(self) -> int:
        """The number of the pose at ride height."""
        return self.number(int(np.argmin(np.abs(self.heaves))), int(np.argmin(np.abs(self.rolls))))

    @property
    def straight(self) -> int:
        """The number of the lock at which the wheels point straight ahead."""
        return int(np.argmin(np.abs(self.locks)))

    def number(self, heave: int, roll: int) -> int:
        """The number of a pose of the slides."""
        return roll * len(self.heaves) + heave

    @property
    def travel(self) -> NDArray[np.intp]:
        """The poses from full droop to full bump, level."""
        return self.number(0, int(np.argmin(np.abs(self.rolls)))) + np.arange(len(self.heaves))

    def points_at(self, pose: int, lock: int) -> list[tuple[float, float, float]]:
        """Every point of the drawing in one pose, m."""
        return [_at(point, pose, lock) for point in self.drawing.points]


def motion(job: Job, readings: tuple[Reading, ...]) -> Motion:
    """A build through its stated travel, articulation and lock; in its one pose where the spec states none of them."""
    build = job.build
    heaves = _steps(-_stated(build, "travel", "droop"), _stated(build, "travel", "bump"), HEAVES)
    tilt, lock = _stated(build, "travel", "articulation"), _lock(job)
    rolls, locks = _steps(-tilt, tilt, ROLLS), _steps(-lock, lock, LOCKS)
    found = dict.fromkeys(place_of(reading.pose) for reading in readings if reading.pose is not None)
    slides = len(heaves) * len(rolls)
    of_reading = {place: slides + number for number, place in enumerate(found)}
    heave = np.array([*np.tile(heaves, len(rolls)), *(place[0] for place in found)])
    roll = np.array([*np.repeat(rolls, len(heaves)), *(place[1] for place in found)])
    held = np.array([*np.zeros(slides), *(place[2] for place in found)])
    drawn, moving = drawing(job, heave, roll, locks.tolist(), held)
    if not moving:  # nothing moves: the one pose that the spec places
        zero = np.zeros(1)
        return Motion(zero, zero, zero, zero, zero, drawn, (), (), {})
    followed, absent = _followed(moving, int(np.argmin(np.abs(locks))), Held(job, heave, roll, held))
    return Motion(
        heaves, rolls, locks, heave, roll, drawn, followed, absent, of_reading,
        overruns(job, heave, roll, locks, held), _wheels(build, moving[0], heave),
    )  # fmt: skip


def _wheels(build: Build, moving: MovingAxle, heave: Array) -> Array:
    """Rise of the left and of the right wheel centre; that of the axle centre where the spec states no track."""
    try:
        x, y, z = axle_centre(build)
        half = build.vehicle.track / 2
        return np.array([moving.point(Point(x, y + side * half, z))[2] - z for side in (1, -1)])
    except Missing:
        return np.array([heave, heave])


def place_of(pose: PoseName) -> tuple[float, float, float]:
    """A pose without its name: heave (m), roll and lock (rad)."""
    return pose.heave, pose.roll, pose.lock


STEER = {"steer": lambda near: near, "other-wheel-steer": other}
"""The quantities that the lock changes, each with the side of its wheel, by the side that the drag link moves."""


OF_ONE_JOINT = ("-bind", "-stretch")
"""Ends of the names of quantities that only `cycle` shows: there is one for each joint, and most are zero."""


def _followed(
    moving: tuple[MovingAxle, ...], straight: int, held: Held
) -> tuple[tuple[Followed, ...], tuple[Absent, ...]]:
    followed, absent = [], []
    for found in all_values(moving[straight]):
        if isinstance(found, Absent):
            absent.append(found)
            continue
        quantity, values = found
        if quantity.name.endswith(OF_ONE_JOINT):
            continue
        rows = [values]
        if quantity.name in STEER:
            side = STEER[quantity.name](moving[straight].knuckle.side)
            rows = [held.steer(np.asarray(quantity.of(each)), side) for each in moving]
        if any(np.isfinite(row).any() for row in rows):
            followed.append(Followed(quantity, np.array(rows)))
    return tuple(followed), tuple(absent)


def record(found: Motion, system: System) -> dict[str, Any]:
    """All of it as plain data: lengths of the drawing in tenths of a millimetre, quantities in the shop's unit.

    A quantity that the lock changes has a row for each lock; poses of the readings are in that for straight ahead."""
    slides, kinds = (found.heaves, found.rolls, found.locks), (Dimension.LENGTH, Dimension.ANGLE, Dimension.ANGLE)
    grid = len(found.heaves) * len(found.rolls)

    def rows(values: Array) -> list[Array]:
        return [row if lock == found.straight else row[..., :grid] for lock, row in enumerate(values)]

    return {
        "nodes": [
            [round(value, 6) for value in in_shop_units(values, dimension, system).tolist()]
            for values, dimension in zip(slides, kinds, strict=True)
        ],
        "shown": [decimals(dimension, system) for dimension in kinds],
        "said": _said(system),
        "ride": found.ride,
        "straight": found.straight,
        "held": [
            {
                "words": words.pose(PoseName(heave, roll, lock=lock), system),
                "at": [
                    round(float(in_shop_units(np.array(at), dimension, system)), 6)
                    for at, dimension in zip((heave, roll, lock), kinds, strict=True)
                ],
            }
            for heave, roll, lock in found.of_reading
        ],
        "points": [
            [_point(row) for row in rows(point)] if point.ndim == 3 else _point(point) for point in found.drawing.points
        ],
        "members": [
            {"shape": member.shape, "points": member.points, "size": round(member.size * 1000, 1)}
            for member in found.drawing.members
        ],
        "quantities": [
            {
                "decimals": decimals(each.quantity.dimension, system),
                "far": _far(each, system),
                "rough": is_rough(found, each, system),
                "values": [
                    _changes(_shop(row, each, system))
                    for row in (rows(each.values) if len(each.values) > 1 else each.values)
                ],
            }
            for each in found.followed
        ],
        "wheels": [_changes(_whole(wheel * TENTHS)) for wheel in found.wheels],
        "overruns": [_overrun(each, rows, system) for each in found.overruns],
    }


def is_rough(found: Motion, each: Followed, system: System) -> bool:
    """Whether a quantity is not as smooth as its grid is fine: the cubic through a position's four neighbours misses it
    by more than it may. Between positions such a quantity is shown as approximate."""
    dimension = each.quantity.dimension
    if not np.isfinite(each.values).all():
        return True
    one = 10.0 ** -decimals(dimension, system)
    grid = len(found.heaves) * len(found.rolls)
    values = in_shop_units(each.values[:, :grid], dimension, system)
    values = values.reshape(len(values), len(found.rolls), len(found.heaves))
    for axis, nodes in enumerate((found.locks, found.rolls, found.heaves)):
        along = np.moveaxis(values, axis, -1)
        for at in range(2, along.shape[-1] - 2):
            near = np.array([at - 2, at - 1, at + 1, at + 2])
            guess = along[..., near] @ _cubic(nodes[near], float(nodes[at]))
            if not (np.abs(guess - along[..., at]) <= MISSED * one).all():
                return True
    return False


MISSED = 3.5
"""So many of the last shown decimal: seven times what the cubic then misses half-way between two positions by, as its
error goes with the product of the distances to the four."""


def _cubic(nodes: Array, at: float) -> Array:
    """Shares of four positions in the cubic through them."""
    others = [np.delete(nodes, number) for number in range(len(nodes))]
    return np.array([np.prod((at - rest) / (node - rest)) for node, rest in zip(nodes, others, strict=True)])


def _overrun(each: Overrun, rows: Callable[[Array], list[Array]], system: System) -> dict[str, Any]:
    """A part that is overrun in words, with `{}` for the amount, and what it has left in each pose, in tenths of the
    last decimal that is shown; a row for each lock where the lock changes it."""
    dimension = each.margin.dimension
    places = min(2, USUAL[system][dimension].decimals)
    left = in_shop_units(np.atleast_2d(each.left), dimension, system) * 10.0 ** (places + 1)
    return {
        "says": printable(each.margin.overrun),
        "quantity": each.margin.quantity,
        "unit": words.unit(dimension, system),
        "decimals": places,
        "left": [_changes(_whole(row)) for row in (rows(left) if len(left) > 1 else left)],
    }


def _said(system: System) -> list[list[tuple[str, int]]]:
    """How `words.pose` says a number above and one below zero on each slide: words with `{}` for the number, and the
    decimals of that."""
    length, angle = (
        parse(f"1 {words.unit(dimension, system)}", dimension, system)
        for dimension in (Dimension.LENGTH, Dimension.ANGLE)
    )
    one = (PoseName(length, 0.0), PoseName(0.0, angle), PoseName(0.0, 0.0, lock=angle))
    other = (PoseName(-length, 0.0), PoseName(0.0, -angle), PoseName(0.0, 0.0, lock=-angle))
    return [[_template(words.pose(pose, system)) for pose in both] for both in zip(one, other, strict=True)]


def _template(said: str) -> tuple[str, int]:
    number = re.search(r"1(?:\.(0*))?", said)
    assert number is not None
    return said.removeprefix("with the ").replace(number[0], "{}", 1), len(number[1] or "")


def decimals(dimension: Dimension, system: System) -> int:
    """The decimals with which a quantity is shown beside the slides."""
    return USUAL[system][dimension].decimals


def in_shop_units(values: Array, dimension: Dimension, system: System) -> Array:
    """SI values in the unit that the shop reads them in; not for temperatures, whose scale starts elsewhere."""
    unit = words.unit(dimension, system)
    return values / parse(f"1 {unit}" if unit else 1, dimension, system)


def _shop(row: Array, each: Followed, system: System) -> list[int | None]:
    """The values as whole numbers of the last decimal that is shown."""
    dimension = each.quantity.dimension
    if dimension is Dimension.LENGTH:  # one without end is far too
        row = np.clip(row, -2 * FARTHEST, 2 * FARTHEST)
    return _whole(in_shop_units(row, dimension, system) * 10.0 ** decimals(dimension, system))


def _point(point: Array) -> list[Any]:
    """A point as whole tenths of a millimetre: [x, y, z], or a list for each axis, of the changes from pose to pose."""
    whole = point * TENTHS
    return _whole(whole) if point.ndim == 1 else [_changes(_whole(axis)) for axis in whole]


def _changes(values: list[int | None]) -> list[int | None]:
    """The first value, then how much each differs from the last one that is known: far shorter to write."""
    last, made = 0, []
    for value in values:
        made.append(None if value is None else value - last)
        last = last if value is None else value
    return made


def _far(each: Followed, system: System) -> int:
    """The length from which on a number is not given, as whole units of the last decimal; 0 for what is no length."""
    if each.quantity.dimension is not Dimension.LENGTH:
        return 0
    (number,) = _whole(
        in_shop_units(np.array([FARTHEST]), Dimension.LENGTH, system) * 10.0 ** decimals(Dimension.LENGTH, system)
    )
    return number or 0


def _whole(values: Array) -> list[int | None]:
    rounded = np.rint(values)
    if np.isfinite(rounded).all():
        return [int(value) for value in rounded.tolist()]
    return [int(value) if math.isfinite(value) else None for value in rounded.tolist()]


def _at(point: Array, pose: int, lock: int) -> tuple[float, float, float]:
    chosen = point if point.ndim == 1 else point[:, pose] if point.ndim == 2 else point[lock, :, pose]
    x, y, z = np.rint(chosen * TENTHS).tolist()
    return x / TENTHS, y / TENTHS, z / TENTHS


def _stated(build: Build, section: str, name: str) -> float:
    part = getattr(build, section) if build.has(section) else None
    return float(getattr(part, name)) if part is not None and part.has(name) else 0.0


def _lock(job: Job) -> float:
    """The lock that the steering can be turned to; none where the spec lacks what turns it."""
    lock, level = _stated(job.build, "steering", "lock_angle"), np.zeros(1)
    try:
        _ = job.moved(level, level, lock).knuckle.steer
    except (Missing, Unreached):
        return 0.0
    return lock


def _steps(low: float, high: float, steps: int) -> Array:
    """From low through zero to high; without what would be nothing but zero."""
    down = np.linspace(low, 0.0, steps + 1)[:-1] if low else np.zeros(0)
    up = np.linspace(0.0, high, steps + 1)[1:] if high else np.zeros(0)
    return np.concatenate([down, [0.0], up])
