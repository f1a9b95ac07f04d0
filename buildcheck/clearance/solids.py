"""Simple convex solids that represent parts: bar, box, cylinder and half-space.

Points are (3, ...) in metres; the axes after the first broadcast from the right, so solids may move: a part that moves
with the axle has points (3, poses); one that also turns with the steering has (3, poses, locks), and the first is then
given as (3, poses, 1).

The signed distance to a convex solid (+ outside: to the nearest point of it; - inside: the depth to the nearest face)
is a convex function of position, hence of the position along a straight line. So it has one minimum there, and each
solid finds its place in closed form, except at a cylinder's rim, which takes a few Newton steps. These formulas divide
by zero where lines are square or parallel, and discard the result: `bar_gaps` silences numpy's warnings of that.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.axle.vectors import Array, aligned, dot, size, unit
from buildcheck.clearance.convex import (
    ROUNDING,
    Foot,
    Solid,
    Sum,
    bracket,
    corners,
    on_segment,
    pick,
    refuse_radius,
    square_to,
    usable,
)
from buildcheck.clearance.cylinder import Cylinder

__all__ = ["Box", "Capsule", "Cylinder", "Foot", "HalfSpace", "Solid", "Sum"]


@dataclass(frozen=True, slots=True)
class HalfSpace:
    """Everything behind a plane: ``point`` of the plane, ``normal`` out of the solid, both (3, ...).

    Raises ValueError for a normal of zero length.
    """

    point: ArrayLike
    normal: ArrayLike

    def __post_init__(self) -> None:
        if np.any(size(aligned(self.normal)[0]) == 0):
            raise ValueError("the normal of a plane needs a length")

    def distance(self, points: Array) -> Array:
        points, point, normal = aligned(points, self.point, self.normal)
        return dot(points - point, unit(normal))

    def lowest(self, start: Array, run: Array) -> Array:
        """Find the lower end: the distance is linear."""
        run, normal = aligned(run, self.normal)
        return np.where(dot(run, normal) < 0, 1.0, 0.0)

    def foot(self, points: Array) -> Foot:
        points, point, normal = aligned(points, self.point, self.normal)
        outward = unit(normal)
        place = points - dot(points - point, outward) * outward
        return Foot(place, np.broadcast_to(outward, place.shape))

    def bounds(self) -> tuple[Array, Array]:
        return np.full(3, -np.inf), np.full(3, np.inf)


@dataclass(frozen=True, slots=True)
class Capsule:
    """Everything within ``radius`` of the segment from ``start`` to ``end``, (3, ...) each; a ball if both are the
    same.

    Raises ValueError for a radius below 0.
    """

    start: ArrayLike
    end: ArrayLike
    radius: float

    def __post_init__(self) -> None:
        refuse_radius(self.radius)

    def distance(self, points: Array) -> Array:
        points, start, end = aligned(points, self.start, self.end)
        return size(points - on_segment(points, start, end - start)) - self.radius

    def lowest(self, start: Array, run: Array) -> Array:
        """Find the closest approach of the two lines, the feet of the other segment's ends, or an end of this one.

        The squared distance is a parabola in each of three parts of the segment: where the start, the end, or the
        inside of the other segment is nearest.
        """
        start, run, other, end = aligned(start, run, self.start, self.end)
        other_run = end - other
        apart = start - other
        own, both, theirs = dot(run, run), dot(run, other_run), dot(other_run, other_run)
        ahead, across = dot(run, apart), dot(other_run, apart)
        places = np.zeros((5, *np.broadcast_shapes(both.shape, across.shape)))
        places[0] = (both * across - theirs * ahead) / (own * theirs - both**2)
        places[1] = -ahead / own
        places[2] = (both - ahead) / own
        places[3] = 1.0  # the last is already 0
        usable(places)
        foot = np.clip((both * places + across) / theirs, 0.0, 1.0)
        foot = np.where(theirs > 0, foot, 0.0)
        gaps = apart[:, None] + run[:, None] * places - other_run[:, None] * foot
        return pick(places, dot(gaps, gaps))

    def foot(self, points: Array) -> Foot:
        points, start, end = aligned(points, self.start, self.end)
        on_axis = on_segment(points, start, end - start)
        apart = points - on_axis
        # On the axis itself every direction is equally near.
        square = unit(square_to(end - start))
        normal = np.where(size(apart) > 0, unit(apart), square)
        return Foot(on_axis + self.radius * normal, normal)

    def bounds(self) -> tuple[Array, Array]:
        start, end = aligned(self.start, self.end)
        low, high = corners(np.minimum(start, end), np.maximum(start, end))
        return low - self.radius, high + self.radius


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

    def lowest(self, start: Array, run: Array) -> Array:
        """Find where the slope of the squared distance passes 0; the slope is piecewise linear, with bends at the
        faces.

        Inside, the distance is the largest of six linear functions, lowest where two of them meet.
        """
        start, run, lower, upper = aligned(start, run, self.lower, self.upper)
        to_lower, to_upper = lower - start, upper - start
        shape = np.broadcast_shapes(to_lower.shape[1:], to_upper.shape[1:])
        bends = np.zeros((8, *shape))
        np.divide(to_lower, run, out=bends[:3])
        np.divide(to_upper, run, out=bends[3:6])
        bends[6] = 1.0  # the last is already 0
        usable(bends)
        travelled = run[:, None] * bends
        past = travelled - np.clip(travelled, to_lower[:, None], to_upper[:, None])
        _, _, place = bracket(bends, dot(past, run[:, None]))
        reach = start + run * place
        inside = np.maximum(lower - reach, reach - upper).max(axis=0) <= ROUNDING
        if inside.any():
            ways = (np.broadcast_to(field, (3, *shape))[:, inside] for field in (to_lower, to_upper, run))
            place[inside] = _deepest_in_box(*ways)
        return place

    def foot(self, points: Array) -> Foot:
        points, lower, upper = aligned(points, self.lower, self.upper)
        points, lower, upper = np.broadcast_arrays(points, lower, upper)
        past = np.maximum(lower - points, points - upper)
        outward = np.sign(points - (lower + upper) / 2)
        outward = np.where(outward == 0, 1.0, outward)
        nearest_face = np.arange(3).reshape((3,) + (1,) * (points.ndim - 1)) == past.argmax(axis=0)
        inside = past.max(axis=0) <= 0
        normal = np.where(inside, nearest_face * outward, unit(np.maximum(past, 0.0)) * outward)
        return Foot(points - self.distance(points) * normal, normal)

    def bounds(self) -> tuple[Array, Array]:
        lower, upper = aligned(self.lower, self.upper)
        return corners(lower, upper)

    def sum(self) -> Sum:
        lower, upper = aligned(self.lower, self.upper)
        lower, upper = np.broadcast_arrays(lower, upper)
        edges = np.eye(3).reshape((3, 3) + (1,) * (lower.ndim - 1))
        halves = (upper - lower) / 2
        return Sum((lower + upper) / 2, (halves * edges[0], halves * edges[1], halves * edges[2]), edges[0], 0.0)


def _deepest_in_box(to_lower: Array, to_upper: Array, run: Array) -> Array:
    """Deepest place of segments that enter a box: fractions (n,), from fields (3, n)."""
    levels, slopes = np.concatenate([-to_upper, to_lower]), np.concatenate([run, -run])
    first, second = _FACE_PAIRS
    places = np.zeros((len(first) + 2, run.shape[1]))
    np.divide(levels[first] - levels[second], slopes[second] - slopes[first], out=places[2:])
    places[1] = 1.0
    usable(places)
    past = (levels[:, None] + slopes[:, None] * places).max(axis=0)
    return pick(places, past)
