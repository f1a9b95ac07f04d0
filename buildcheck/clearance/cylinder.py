"""A solid round bar with flat ends: a tyre, a can, a shaft."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.axle.vectors import Array, aligned, dot, size, unit
from buildcheck.clearance.convex import (
    ROUNDING,
    Foot,
    Mask,
    Sum,
    bracket,
    corners,
    pick,
    refuse_radius,
    square_to,
    usable,
)

_NEWTON_STEPS = 60  # upper limit; three to six are typical


@dataclass(frozen=True, slots=True)
class Cylinder:
    """A solid round bar with flat ends: axis from ``start`` to ``end``, (3, ...) each, and ``radius``.

    Raises ValueError for a radius below 0 or an axis of zero length.
    """

    start: ArrayLike
    end: ArrayLike
    radius: float

    def __post_init__(self) -> None:
        refuse_radius(self.radius)
        start, end = aligned(self.start, self.end)
        if np.any(size(end - start) == 0):
            raise ValueError("a cylinder's axis needs a length")

    def _reach(self, points: Array) -> tuple[Array, Array, Array, Array]:
        """Unit vector of the axis, half its length, and for each point its height above the middle and its radial
        vector."""
        points, start, end = aligned(points, self.start, self.end)
        half = (end - start) / 2
        length = size(half)
        axis = half / length
        reach = points - (start + half)
        along = dot(reach, axis)
        return axis, length, along, reach - along * axis

    def distance(self, points: Array) -> Array:
        _, length, along, out = self._reach(points)
        past_side, past_end = size(out) - self.radius, np.abs(along) - length
        outside = np.hypot(np.maximum(past_side, 0.0), np.maximum(past_end, 0.0))
        distance: Array = outside + np.minimum(np.maximum(past_side, past_end), 0.0)
        return distance

    def lowest(self, start: Array, run: Array) -> Array:
        """Find where the slope of the squared distance passes 0.

        The formula of the distance changes where the segment passes the planes of the ends and the side. The minimum
        can be at one of these places, where the segment is nearest the axis, or between these places beside a rim,
        where it is a root of a quartic that Newton's method finds between brackets.
        """
        axis, length, along, out = self._reach(start)
        run, axis = aligned(run, axis)
        rate = dot(run, axis)
        across = run - rate * axis
        speed2 = dot(across, across)
        # The line's distance from the axis is hypot(least, speed (t - nearest)).
        nearest = -dot(out, across) / speed2
        nearest[~np.isfinite(nearest)] = 0.0
        closest = out + nearest * across
        least2 = dot(closest, closest)
        line = _Line(along, rate, nearest, least2, speed2, self.radius, length)
        half_chord = np.sqrt(np.maximum(self.radius**2 - least2, 0.0) / speed2)
        places = np.zeros((7, *nearest.shape))
        places[0] = nearest
        places[1], places[2] = nearest - half_chord, nearest + half_chord
        places[3], places[4] = (length - along) / rate, (-length - along) / rate
        places[5] = 1.0  # the last is already 0
        slopes, _ = line.slope(usable(places))
        before, after, place = bracket(places, slopes)
        beside_rim = (after - before > 1e-15) & ~np.isnan(slopes[0])
        if beside_rim.any():
            place[beside_rim] = line.lanes(beside_rim).turn(before[beside_rim], after[beside_rim], place[beside_rim])
        past_side, past_end = line.past(place)
        inside = np.maximum(past_side, past_end) <= ROUNDING
        if inside.any():
            place[inside] = line.lanes(inside).deepest()
        return place

    def foot(self, points: Array) -> Foot:
        axis, length, along, out = self._reach(points)
        axis = np.broadcast_to(axis, out.shape)
        past_side, past_end = size(out) - self.radius, np.abs(along) - length
        outward = np.where(size(out) > 0, unit(out), unit(square_to(axis)))
        endward = np.where(along < 0, -axis, axis)
        inside = np.maximum(past_side, past_end) <= 0
        corner = unit(np.maximum(past_side, 0.0) * outward + np.maximum(past_end, 0.0) * endward)
        normal = np.where(inside, np.where(past_side > past_end, outward, endward), corner)
        place = aligned(points, axis)[0] - self.distance(points) * normal
        return Foot(place, normal)

    def bounds(self) -> tuple[Array, Array]:
        start, end = aligned(self.start, self.end)
        reach = self.radius * np.sqrt(np.maximum(1 - unit(end - start) ** 2, 0.0))
        return corners(np.minimum(start, end) - reach, np.maximum(start, end) + reach)

    def sum(self) -> Sum:
        start, end = aligned(self.start, self.end)
        half = (end - start) / 2
        return Sum(start + half, (half,), unit(half), self.radius)


class _Line(NamedTuple):
    """A straight line beside a cylinder, as numbers.

    At the fraction t it is `along` + `rate` t from the middle of the axis, along the axis, and at the distance
    sqrt(`least2` + `speed2` (t - `nearest`)^2) from it. The cylinder has the `radius` and half the length `length`.
    """

    along: Array
    rate: Array
    nearest: Array
    least2: Array
    speed2: Array
    radius: float
    length: Array

    def lanes(self, chosen: Mask) -> "_Line":
        """Select the chosen of all poses."""

        def few(field: Array) -> Array:
            return np.broadcast_to(field, chosen.shape)[chosen]

        along, rate, nearest, least2, speed2, radius, length = self
        return _Line(few(along), few(rate), few(nearest), few(least2), few(speed2), radius, few(length))

    def past(self, place: Array) -> tuple[Array, Array]:
        """Distance of the line beyond the side and beyond the nearer end at t, m; - inside."""
        out = np.sqrt(self.least2 + self.speed2 * (place - self.nearest) ** 2)
        return out - self.radius, np.abs(self.along + self.rate * place) - self.length

    def slope(self, place: Array) -> tuple[Array, Array]:
        """Half the derivative of the squared distance at t, and the derivative of that."""
        past_side, past_end = self.past(place)
        beyond = np.maximum(past_side, 0.0)
        out = np.maximum(past_side + self.radius, 1e-300)  # avoids dividing by zero on the axis
        turning = self.speed2 * (place - self.nearest) / out
        endward = np.maximum(past_end, 0.0) * np.sign(self.along + self.rate * place) * self.rate
        bend = beyond * self.speed2 * (self.least2 / out) / (out * out)
        return beyond * turning + endward, turning**2 + bend + self.rate**2

    def turn(self, before: Array, after: Array, place: Array) -> Array:
        """Root of the slope between two places on either side of it, from a first guess."""
        for _ in range(_NEWTON_STEPS):
            slope, curvature = self.slope(place)
            before, after = np.where(slope <= 0, place, before), np.where(slope >= 0, place, after)
            step = place - slope / curvature
            step = np.where((step >= before) & (step <= after), step, (before + after) / 2)
            moved = np.abs(step - place)
            place = step
            # The next step would be the square of this one, and the distance is flat at its minimum.
            if moved.max() < 1e-6:
                break
        return place

    def deepest(self) -> Array:
        """Place inside that is deepest below side and ends: nearest the axis, mid-way, or equally near to side and an
        end."""
        places = np.zeros((8, *self.nearest.shape))
        places[0] = self.nearest
        square = self.speed2 - self.rate**2
        places[1] = -self.along / self.rate
        for row, sign in ((2, 1.0), (4, -1.0)):
            # least2 + speed2 (t - nearest)^2 = (sign (along + rate t) + radius - length)^2
            offset = sign * self.along + self.radius - self.length
            half = -(self.speed2 * self.nearest + sign * self.rate * offset)
            constant = self.least2 + self.speed2 * self.nearest**2 - offset**2
            root = np.sqrt(np.maximum(half**2 - square * constant, 0.0))
            # This form avoids cancellation.
            large = -half - np.where(half < 0, -root, root)
            places[row], places[row + 1] = large / square, constant / large
        places[6] = 1.0  # the last is already 0
        past_side, past_end = self.past(usable(places))
        return pick(places, np.maximum(past_side, past_end))
