"""Interface of the simple solids, and the algebra of the lowest point along a straight line."""

from typing import Any, ClassVar, NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from buildcheck.axle.vectors import Array, dot, size

Mask = NDArray[np.bool_]

ROUNDING = 1e-12  # metres: a segment this far outside or nearer may count as inside; the error is no larger


class Foot(NamedTuple):
    """Point (3, ...), m, of a solid's surface nearest to a given point, and the outward unit normal (3, ...) there."""

    place: Array
    normal: Array


class Solid(Protocol):
    """A convex solid; a dataclass of points and directions, (3, ...) each, and at most a `radius`."""

    __dataclass_fields__: ClassVar[dict[str, Any]]

    def distance(self, points: Array) -> Array:
        """Signed distance of points (3, ...) to the surface, m, shape (...): + outside, - inside."""

    def lowest(self, start: Array, run: Array) -> Array:
        """Fraction t (...) from 0 to 1 at which the distance of start + t run, (3, ...) each, is lowest.

        Any finite number or NaN where a point is NaN.
        """

    def foot(self, points: Array) -> Foot:
        """Find the point of the surface nearest to points (3, ...) outside or inside; any of them where there are
        several."""

    def bounds(self) -> tuple[Array, Array]:
        """Lower and upper corner, (3,) each, of a box around all poses of the solid; NaN poses left out."""


class Sum(NamedTuple):
    """A solid as the sum of its parts, for support points: all centre + sum of |t_i| <= 1 times halves_i + a disc.

    `centre` (3, ...) m; `halves` half-edges, (3, ...) m each; the disc of `radius` m square to `axis` (3, ...) of
    length 1, or none when `radius` is 0.
    """

    centre: Array
    halves: tuple[Array, ...]
    axis: Array
    radius: float

    def support(self, direction: Array) -> Array:
        """A point of the solid farthest along a direction (3, ...): (3, ...) m."""
        point = self.centre
        for half in self.halves:
            point = point + np.sign(dot(direction, half)) * half
        if self.radius:
            across = direction - dot(direction, self.axis) * self.axis
            # For a direction along the axis, rounding leaves an arbitrary remainder: all of the disc is equally far.
            across = across - dot(across, self.axis) * self.axis
            length = size(across)
            aslant = length > 1e-12 * size(direction)
            point = point + across * np.divide(self.radius, length, out=np.zeros_like(length), where=aslant)
        return point

    def lanes(self, shape: tuple[int, ...], chosen: Mask) -> "Sum":
        """Select the chosen (shape) of all poses, and put them on one axis."""

        def flat(field: Array) -> Array:
            field = field.reshape(field.shape[:1] + (1,) * (len(shape) + 1 - field.ndim) + field.shape[1:])
            return np.broadcast_to(field, (3, *shape))[:, chosen]

        return Sum(flat(self.centre), tuple(map(flat, self.halves)), flat(self.axis), self.radius)


def refuse_radius(radius: float) -> None:
    """Raise ValueError for an invalid radius: below zero, infinite, or NaN."""
    if not 0 <= radius < np.inf:
        raise ValueError(f"a radius must be 0 or more, not {radius}")


def corners(low: Array, high: Array) -> tuple[Array, Array]:
    """Smallest and largest coordinates of all poses, NaN left out; +inf and -inf when all are NaN."""
    low, high = low.reshape(3, -1), high.reshape(3, -1)
    return np.fmin.reduce(low, axis=1, initial=np.inf), np.fmax.reduce(high, axis=1, initial=-np.inf)


def bracket(places: Array, slopes: Array) -> tuple[Array, Array, Array]:
    """Bracket the minimum of a convex function: the last place before it, the first after it, and where the slope,
    interpolated between these, is 0.

    `places` (n, ...) from 0 to 1 including both ends, in any order, and the `slopes` there. A function that falls
    (rises) all the way has all three at its end (start); in a flat minimum the third is its middle.
    """
    down, up = slopes <= 0, slopes >= 0
    before, after = np.where(down, places, 0.0).max(axis=0), np.where(up, places, 1.0).min(axis=0)
    falling, rising = np.where(down, slopes, -np.inf).max(axis=0), np.where(up, slopes, np.inf).min(axis=0)
    share = falling / (falling - rising)
    share[~np.isfinite(share)] = 0.5
    return before, after, before + (after - before) * share


def usable(places: Array) -> Array:
    """Clip places (n, ...) to 0..1, in place; NaN becomes 0."""
    places[~np.isfinite(places)] = 0.0
    return np.clip(places, 0.0, 1.0, out=places)


def pick(places: Array, values: Array) -> Array:
    """Select from places (n, ...) the one with the lowest value."""
    picked: Array = np.take_along_axis(places, values.argmin(axis=0)[None], axis=0)[0]
    return picked


def on_segment(points: Array, start: Array, run: Array) -> Array:
    """Points of segments nearest to given points, all aligned."""
    length = dot(run, run)
    with np.errstate(divide="ignore", invalid="ignore"):
        fraction = np.where(length == 0, 0.0, np.clip(dot(points - start, run) / length, 0.0, 1.0))
    return start + fraction * run


def square_to(vector: Array) -> Array:
    """Any vector (3, ...) square to each vector (3, ...); arbitrary where that has zero length."""
    x, y, z = vector
    flat = np.abs(z) > np.abs(x)
    square = np.stack([np.where(flat, 0.0, -y), np.where(flat, -z, x), np.where(flat, y, 0.0)])
    return np.where(size(square) > 0, square, np.array([1.0, 0.0, 0.0]).reshape((3,) + (1,) * (vector.ndim - 1)))
