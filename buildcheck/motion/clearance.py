"""The smallest gap between a bar and what it may hit, for all poses at once.

The bar is a capsule: everything within a radius of a straight axis.  What it may hit is a convex solid.
The signed distance to a convex solid (outside: to the nearest point of it; inside: less than nothing, the
depth to the nearest face) is a convex function of the place, hence of the place along the bar's axis, so it
has one lowest value there.  Each solid names the few places along the axis where the lowest value can
stand; the gap is the lowest of them, less the bar's radius.

So where the bar's axis stays outside the solid the gap is the true distance between surfaces, or the true
overlap of the bar's skin; where the axis enters the solid it is -(depth of the deepest point of the axis
below the nearest face) - radius, which is not the shortest way to pull the two apart.

Points are (3, ...) in metres; the axes after the first broadcast from the right, so solids may move as well
as bars.
"""

from dataclasses import dataclass
from itertools import product
from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.motion.vectors import Array, aligned, dot, size, unit


class Clearance(NamedTuple):
    """Gap (...) in metres, less than 0 in overlap; and its place along the bar, from 0 (start) to 1 (end)."""

    gap: Array
    along: Array


class Solid(Protocol):
    """A convex solid."""

    def distance(self, points: Array) -> Array:
        """Signed distance of points (3, ...) to the surface, m, shape (...): + outside, - inside."""

    def candidates(self, start: Array, run: Array) -> Array:
        """Fractions t (n, ...), in any order, among which or 0 and 1 the distance of start + t run is lowest.

        Values outside 0..1 are moved to the nearer end, NaN and infinite ones are left out.
        """


def clearance(bar: "Capsule", solid: Solid) -> Clearance:
    """Smallest gap between a bar and a solid in each pose.

    What the gap means in overlap stands at the head of this module.  Bar and solid broadcast together.
    NaN, in the gap and the place, wherever a point is NaN.
    """
    if bar.start is bar.end:  # a ball has one place to measure from
        gap = solid.distance(aligned(bar.start)[0]) - bar.radius
        return Clearance(gap, np.where(np.isnan(gap), np.nan, 0.0))
    start, end = aligned(bar.start, bar.end)
    run = end - start
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        inner = solid.candidates(start, run)
    inner = np.where(np.isfinite(inner), np.clip(inner, 0.0, 1.0), 0.0)
    places = np.concatenate([np.zeros_like(inner[:1]), np.ones_like(inner[:1]), inner])
    gaps = solid.distance(_along(start, run, places))
    places = np.broadcast_to(places, gaps.shape)
    best = np.argmin(gaps, axis=0)[None]
    gap = np.take_along_axis(gaps, best, axis=0)[0] - bar.radius
    place = np.take_along_axis(places, best, axis=0)[0]
    return Clearance(gap, np.where(np.isnan(gap), np.nan, place))


def _along(start: Array, run: Array, places: Array) -> Array:
    """Points (3, n, ...) at the fractions (n, ...) of the segments from start, both (3, ...)."""
    start, run, places = aligned(start[:, None], run[:, None], places[None])
    return start + run * places


def _refuse_radius(radius: float) -> None:
    if not 0 <= radius < np.inf:
        raise ValueError(f"a radius must be 0 or more, not {radius}")


@dataclass(frozen=True, slots=True)
class HalfSpace:
    """Everything behind a plane: ``point`` of the plane, ``normal`` out of the solid, both (3, ...).

    Raises ValueError for a normal of no length.
    """

    point: ArrayLike
    normal: ArrayLike

    def __post_init__(self) -> None:
        if np.any(size(aligned(self.normal)[0]) == 0):
            raise ValueError("the normal of a plane needs a length")

    def distance(self, points: Array) -> Array:
        points, point, normal = aligned(points, self.point, self.normal)
        return dot(points - point, unit(normal))

    def candidates(self, start: Array, run: Array) -> Array:
        _, point = aligned(start, self.point)
        return np.zeros((1,) * point.ndim)  # the distance is linear: lowest at an end


@dataclass(frozen=True, slots=True)
class Capsule:
    """All within ``radius`` of the segment from ``start`` to ``end``, (3, ...) each; a ball if both are one.

    Raises ValueError for a radius below 0.
    """

    start: ArrayLike
    end: ArrayLike
    radius: float

    def __post_init__(self) -> None:
        _refuse_radius(self.radius)

    def distance(self, points: Array) -> Array:
        points, start, end = aligned(points, self.start, self.end)
        run = end - start
        length = dot(run, run)
        with np.errstate(divide="ignore", invalid="ignore"):
            foot = np.where(length == 0, 0.0, np.clip(dot(points - start, run) / length, 0.0, 1.0))
        return size(points - start - foot * run) - self.radius

    def candidates(self, start: Array, run: Array) -> Array:
        """The feet of the other segment's ends, and the closest approach of the two lines.

        The squared distance is a parabola in each of three stretches: nearest the start, the end, or the
        inside of the other.
        """
        start, run, other, end = aligned(start, run, self.start, self.end)
        other_run = end - other
        own, both, theirs = dot(run, run), dot(run, other_run), dot(other_run, other_run)
        apart = start - other
        crossing = (both * dot(other_run, apart) - theirs * dot(run, apart)) / (own * theirs - both**2)
        feet = (-dot(run, apart) / own, dot(run, end - start) / own)
        return np.stack(np.broadcast_arrays(crossing, *feet))


_SIDES = np.array([signs for signs in product((-1, 0, 1), repeat=3) if any(signs)], dtype=np.float64).T
_FACE_PAIRS = np.triu_indices(6, 1)


@dataclass(frozen=True, slots=True)
class Box:
    """Everything between two corners, edges along x, y and z: ``lower`` and ``upper``, (3, ...) each.

    Raises ValueError where lower is above upper.
    """

    lower: ArrayLike
    upper: ArrayLike

    def __post_init__(self) -> None:
        lower, upper = aligned(self.lower, self.upper)
        if np.any(lower > upper):
            raise ValueError("a box's lower corner must be below its upper one in x, y and z")

    def distance(self, points: Array) -> Array:
        points, lower, upper = aligned(points, self.lower, self.upper)
        past = np.maximum(lower - points, points - upper)
        outside, inside = size(np.maximum(past, 0.0)), np.minimum(np.max(past, axis=0), 0.0)
        distance: Array = outside + inside
        return distance

    def candidates(self, start: Array, run: Array) -> Array:
        """The lowest place of each piece that the distance is made of.

        Outside, the squared distance is a parabola over each set of faces, edges or corners (26 of them);
        inside, the distance is the greatest of six straight lines, lowest where two of them meet.
        """
        start, run, lower, upper = aligned(start, run, self.lower, self.upper)
        sides = _SIDES.reshape(_SIDES.shape + (1,) * (start.ndim - 1))
        past = np.where(sides > 0, (start - upper)[:, None], (start - lower)[:, None]) * np.abs(sides)
        rates = run[:, None] * np.abs(sides)
        outside = -dot(past, rates) / dot(rates, rates)
        levels = np.concatenate(np.broadcast_arrays(start - upper, lower - start))
        slopes = np.concatenate(np.broadcast_arrays(run, -run))
        first, second = _FACE_PAIRS
        inside = (levels[first] - levels[second]) / (slopes[second] - slopes[first])
        return np.stack(np.broadcast_arrays(*outside, *inside))


_SECTIONS = 16
_ROUNDS = 13  # 8^-13 of the bar's length, 2e-12


@dataclass(frozen=True, slots=True)
class Cylinder:
    """A solid round bar with flat ends: axis from ``start`` to ``end``, (3, ...) each, and ``radius``.

    Raises ValueError for a radius below 0 or an axis of no length.
    """

    start: ArrayLike
    end: ArrayLike
    radius: float

    def __post_init__(self) -> None:
        _refuse_radius(self.radius)
        start, end = aligned(self.start, self.end)
        if np.any(size(end - start) == 0):
            raise ValueError("a cylinder's axis needs a length")

    def distance(self, points: Array) -> Array:
        points, start, end = aligned(points, self.start, self.end)
        half = (end - start) / 2
        axis = unit(half)
        reach = points - (start + half)
        along = dot(reach, axis)
        return self._signed(along, size(reach - along * axis), size(half))

    def _signed(self, along: Array, out: Array, half: Array) -> Array:
        """Signed distance of a place ``along`` the axis from its middle and ``out`` from it."""
        past_side, past_end = out - self.radius, np.abs(along) - half
        outside = np.hypot(np.maximum(past_side, 0.0), np.maximum(past_end, 0.0))
        return outside + np.minimum(np.maximum(past_side, past_end), 0.0)

    def candidates(self, start: Array, run: Array) -> Array:
        """The lowest place, closed in on: beside the rim it is a root of a quartic, so a search is simpler.

        The lowest of evenly spaced places has the lowest of all between its neighbours, the function being
        convex; each round narrows the bracket eightfold.
        """
        start, run, base, tip = aligned(start, run, self.start, self.end)
        half = (tip - base) / 2
        axis = unit(half)
        reach = start - (base + half)
        along, rate = dot(reach, axis), dot(run, axis)
        reach, run = reach - along * axis, run - rate * axis
        # from where the bar's line passes nearest: two numbers a pose instead of a vector a place
        speed = size(run)
        nearest = np.where(speed > 0, -dot(reach, run) / speed**2, 0.0)
        least = size(reach + nearest * run)
        steps = np.linspace(0.0, 1.0, _SECTIONS + 1).reshape((-1,) + (1,) * (start.ndim - 1))
        low, width = np.zeros(()), 1.0
        for _ in range(_ROUNDS):
            places = low + width * steps
            out = np.hypot(least, speed * (places - nearest))
            best = np.argmin(self._signed(along + rate * places, out, size(half)), axis=0)
            low = low + width * np.clip((best - 1) / _SECTIONS, 0.0, 1 - 2 / _SECTIONS)
            width = width * (2 / _SECTIONS)
        return np.stack([low, low + width / 2, low + width])
