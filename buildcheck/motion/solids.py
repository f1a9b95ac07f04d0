"""The simple convex solids that parts are measured as: bar, box, cylinder and half-space.

Points are (3, ...) in metres; the axes after the first broadcast from the right, so solids may move: a part carried
through all poses has points (3, poses), one that turns with the steering too (3, poses, locks), and beside that one the
first is given as (3, poses, 1).

The signed distance to a convex solid (+ outside: to the nearest point of it; - inside: the depth to the nearest face) is
a convex function of the place, hence of the place along a straight line; so it has one lowest value there, and each
solid finds where in closed form, but for a cylinder's rim, which takes a few Newton steps.
"""

from dataclasses import dataclass
from typing import Any, ClassVar, NamedTuple, Protocol

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.motion.vectors import Array, aligned, dot, size, unit


class Foot(NamedTuple):
    """The place of a solid's surface nearest to a point (3, ...), m, and the unit normal (3, ...) out of it there."""

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
        """The place of the surface nearest to points (3, ...) outside or inside; one of them where there are many."""

    def bounds(self) -> tuple[Array, Array]:
        """Lower and upper corner, (3,) each, of a box about all poses of the solid; NaN poses left out."""


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
            # What rounding leaves of a direction along the axis points anywhere: all of the disc is as far.
            across = across - dot(across, self.axis) * self.axis
            length = size(across)
            aslant = length > 1e-12 * size(direction)
            point = point + across * np.divide(self.radius, length, out=np.zeros_like(length), where=aslant)
        return point

    def lanes(self, shape: tuple[int, ...], chosen: Array) -> "Sum":
        """The same for the chosen (shape) of all poses, laid out along one axis."""

        def flat(field: Array) -> Array:
            field = field.reshape(field.shape[:1] + (1,) * (len(shape) + 1 - field.ndim) + field.shape[1:])
            return np.broadcast_to(field, (3, *shape))[:, chosen]

        return Sum(flat(self.centre), tuple(map(flat, self.halves)), flat(self.axis), self.radius)


def _refuse_radius(radius: float) -> None:
    if not 0 <= radius < np.inf:
        raise ValueError(f"a radius must be 0 or more, not {radius}")


def _corners(low: Array, high: Array) -> tuple[Array, Array]:
    """Lowest and highest of all poses, NaN left out; +inf and -inf when there are no others."""
    low, high = low.reshape(3, -1), high.reshape(3, -1)
    return np.fmin.reduce(low, axis=1, initial=np.inf), np.fmax.reduce(high, axis=1, initial=-np.inf)


def _bracket(places: Array, slopes: Array) -> tuple[Array, Array, Array]:
    """The last place before the bottom of a convex function, the first after it, and where a straight slope is 0.

    `places` (n, ...) from 0 to 1 with both ends among them, in any order, and the `slopes` there. A function that
    falls (rises) all the way has all three at its end (start); in a flat bottom the third is its middle.
    """
    down, up = slopes <= 0, slopes >= 0
    before, after = np.where(down, places, 0.0).max(axis=0), np.where(up, places, 1.0).min(axis=0)
    falling, rising = np.where(down, slopes, -np.inf).max(axis=0), np.where(up, slopes, np.inf).min(axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = falling / (falling - rising)
    share[~np.isfinite(share)] = 0.5
    return before, after, before + (after - before) * share


def _usable(places: Array) -> Array:
    """Places (n, ...) moved into 0..1, in place; those that are no number become 0."""
    places[~np.isfinite(places)] = 0.0
    return np.clip(places, 0.0, 1.0, out=places)


def _pick(places: Array, values: Array) -> Array:
    """Of places (n, ...), the one with the lowest value."""
    picked: Array = np.take_along_axis(places, values.argmin(axis=0)[None], axis=0)[0]
    return picked


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

    def lowest(self, start: Array, run: Array) -> Array:
        """The distance is linear: lowest at an end."""
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
        return size(points - _on_segment(points, start, end - start)) - self.radius

    def lowest(self, start: Array, run: Array) -> Array:
        """The closest approach of the two lines, the feet of the other segment's ends, or an end of this one.

        The squared distance is a parabola in each of three stretches: nearest the start, the end, or the inside of
        the other.
        """
        start, run, other, end = aligned(start, run, self.start, self.end)
        other_run = end - other
        apart = start - other
        own, both, theirs = dot(run, run), dot(run, other_run), dot(other_run, other_run)
        ahead, across = dot(run, apart), dot(other_run, apart)
        places = np.zeros((5, *np.broadcast_shapes(both.shape, across.shape)))
        with np.errstate(divide="ignore", invalid="ignore"):
            places[0] = (both * across - theirs * ahead) / (own * theirs - both**2)
            places[1] = -ahead / own
            places[2] = (both - ahead) / own
            places[3] = 1.0  # and 0 stands in the last
            _usable(places)
            foot = np.clip((both * places + across) / theirs, 0.0, 1.0)
        foot = np.where(theirs > 0, foot, 0.0)
        gaps = apart[:, None] + run[:, None] * places - other_run[:, None] * foot
        return _pick(places, dot(gaps, gaps))

    def foot(self, points: Array) -> Foot:
        points, start, end = aligned(points, self.start, self.end)
        on_axis = _on_segment(points, start, end - start)
        apart = points - on_axis
        # On the axis itself every way out is as long.
        square = unit(_square_to(end - start))
        normal = np.where(size(apart) > 0, unit(apart), square)
        return Foot(on_axis + self.radius * normal, normal)

    def bounds(self) -> tuple[Array, Array]:
        start, end = aligned(self.start, self.end)
        low, high = _corners(np.minimum(start, end), np.maximum(start, end))
        return low - self.radius, high + self.radius


def _on_segment(points: Array, start: Array, run: Array) -> Array:
    """The points of segments nearest to points, all aligned."""
    length = dot(run, run)
    with np.errstate(divide="ignore", invalid="ignore"):
        fraction = np.where(length == 0, 0.0, np.clip(dot(points - start, run) / length, 0.0, 1.0))
    return start + fraction * run


def _square_to(vector: Array) -> Array:
    """Some vector (3, ...) square to each vector (3, ...); any where that has no length."""
    x, y, z = vector
    flat = np.abs(z) > np.abs(x)
    square = np.stack([np.where(flat, 0.0, -y), np.where(flat, -z, x), np.where(flat, y, 0.0)])
    return np.where(size(square) > 0, square, np.array([1.0, 0.0, 0.0]).reshape((3,) + (1,) * (vector.ndim - 1)))


_ROUNDING = 1e-12  # metres: a segment that stays as far outside as that may count as inside, and loses no more by it
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
        """Where the slope of the squared distance passes 0: it is a broken line that bends at the planes of the faces.

        Inside, the distance is the greatest of six straight lines, lowest where two of them meet.
        """
        start, run, lower, upper = aligned(start, run, self.lower, self.upper)
        to_lower, to_upper = lower - start, upper - start
        shape = np.broadcast_shapes(to_lower.shape[1:], to_upper.shape[1:])
        bends = np.zeros((8, *shape))
        with np.errstate(divide="ignore", invalid="ignore"):
            np.divide(to_lower, run, out=bends[:3])
            np.divide(to_upper, run, out=bends[3:6])
        bends[6] = 1.0  # and 0 stands in the last
        _usable(bends)
        travelled = run[:, None] * bends
        past = travelled - np.clip(travelled, to_lower[:, None], to_upper[:, None])
        _, _, place = _bracket(bends, dot(past, run[:, None]))
        reach = start + run * place
        inside = np.maximum(lower - reach, reach - upper).max(axis=0) <= _ROUNDING
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
        return _corners(lower, upper)

    def sum(self) -> Sum:
        lower, upper = aligned(self.lower, self.upper)
        lower, upper = np.broadcast_arrays(lower, upper)
        edges = np.eye(3).reshape((3, 3) + (1,) * (lower.ndim - 1))
        halves = (upper - lower) / 2
        return Sum((lower + upper) / 2, (halves * edges[0], halves * edges[1], halves * edges[2]), edges[0], 0.0)


def _deepest_in_box(to_lower: Array, to_upper: Array, run: Array) -> Array:
    """Where on segments that enter a box the nearest face is farthest: fractions (n,), from fields (3, n)."""
    levels, slopes = np.concatenate([-to_upper, to_lower]), np.concatenate([run, -run])
    first, second = _FACE_PAIRS
    places = np.zeros((len(first) + 2, run.shape[1]))
    with np.errstate(divide="ignore", invalid="ignore"):
        np.divide(levels[first] - levels[second], slopes[second] - slopes[first], out=places[2:])
    places[1] = 1.0
    _usable(places)
    past = (levels[:, None] + slopes[:, None] * places).max(axis=0)
    return _pick(places, past)


_NEWTON_STEPS = 60  # a bound; three to six are the rule


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

    def _reach(self, points: Array) -> tuple[Array, Array, Array, Array]:
        """The axis (of length 1), half its length, and points by their height over its middle and their way out."""
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
        """Where the slope of the squared distance passes 0.

        The distance changes its form where the segment passes the planes of the ends and the side; it can turn at
        those, where the segment is nearest the axis, or between those beside a rim, there a root of a quartic that
        Newton's method finds between brackets.
        """
        axis, length, along, out = self._reach(start)
        run, axis = aligned(run, axis)
        rate = dot(run, axis)
        across = run - rate * axis
        speed2 = dot(across, across)
        # The line's way out from the axis is hypot(least, speed (t - nearest)).
        with np.errstate(divide="ignore", invalid="ignore"):
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
        places[5] = 1.0  # and 0 stands in the last
        slopes, _, past_side, past_end = line.slope(_usable(places))
        before, after, place = _bracket(places, slopes)
        beside_rim = (after - before > 1e-15) & ~np.isnan(slopes[0])
        if beside_rim.any():
            place[beside_rim] = line.lanes(beside_rim).turn(before[beside_rim], after[beside_rim], place[beside_rim])
        _, _, past_side, past_end = line.slope(place)
        inside = np.maximum(past_side, past_end) <= _ROUNDING
        if inside.any():
            place[inside] = line.lanes(inside).deepest()
        return place

    def foot(self, points: Array) -> Foot:
        axis, length, along, out = self._reach(points)
        axis = np.broadcast_to(axis, out.shape)
        past_side, past_end = size(out) - self.radius, np.abs(along) - length
        outward = np.where(size(out) > 0, unit(out), unit(_square_to(axis)))
        endward = np.where(along < 0, -axis, axis)
        inside = np.maximum(past_side, past_end) <= 0
        corner = unit(np.maximum(past_side, 0.0) * outward + np.maximum(past_end, 0.0) * endward)
        normal = np.where(inside, np.where(past_side > past_end, outward, endward), corner)
        place = aligned(points, axis)[0] - self.distance(points) * normal
        return Foot(place, normal)

    def bounds(self) -> tuple[Array, Array]:
        start, end = aligned(self.start, self.end)
        reach = self.radius * np.sqrt(np.maximum(1 - unit(end - start) ** 2, 0.0))
        return _corners(np.minimum(start, end) - reach, np.maximum(start, end) + reach)

    def sum(self) -> Sum:
        start, end = aligned(self.start, self.end)
        half = (end - start) / 2
        return Sum(start + half, (half,), unit(half), self.radius)


class _Line(NamedTuple):
    """A straight line beside a cylinder, as numbers: at the fraction t it stands `along` + `rate` t from the middle of the
    axis, and sqrt(`least2` + `speed2` (t - `nearest`)^2) out from it."""

    along: Array
    rate: Array
    nearest: Array
    least2: Array
    speed2: Array
    radius: float
    length: Array

    def lanes(self, chosen: Array) -> "_Line":
        """The same for the chosen of all poses."""
        fields = (np.broadcast_to(field, chosen.shape)[chosen] for field in self[:5])
        return _Line(*fields, self.radius, np.broadcast_to(self.length, chosen.shape)[chosen])

    def slope(self, place: Array) -> tuple[Array, Array, Array, Array]:
        """Half the slope of the squared distance and of that slope, and how far past the side and the end, at t."""
        ahead = place - self.nearest
        height = self.along + self.rate * place
        out = np.sqrt(self.least2 + self.speed2 * ahead * ahead)
        past_side, past_end = out - self.radius, np.abs(height) - self.length
        beyond_side, beyond_end = np.maximum(past_side, 0.0), np.maximum(past_end, 0.0)
        with np.errstate(divide="ignore", invalid="ignore"):
            turning = np.where(out > 0, self.speed2 * ahead / out, 0.0)
            bend = np.where(out > 0, self.speed2 * self.least2 / out**3, 0.0)
        slope = beyond_side * turning + beyond_end * np.sign(height) * self.rate
        curvature = turning**2 + beyond_side * bend + self.rate**2
        return slope, curvature, past_side, past_end

    def turn(self, before: Array, after: Array, place: Array) -> Array:
        """The root of the slope between two places on either side of it, from a first guess."""
        for _ in range(_NEWTON_STEPS):
            slope, curvature, _, _ = self.slope(place)
            before, after = np.where(slope <= 0, place, before), np.where(slope >= 0, place, after)
            with np.errstate(divide="ignore", invalid="ignore"):
                step = place - slope / curvature
            step = np.where((step >= before) & (step <= after), step, (before + after) / 2)
            moved = np.abs(step - place)
            place = step
            # The distance is flat at its bottom: an error of 1e-9 in the place is 1e-18 in it.
            if moved.max() < 1e-9:
                break
        return place

    def deepest(self) -> Array:
        """Where inside the nearest of side and ends is farthest: beside the axis, mid-way, or where side and an end are
        as near."""
        places = np.zeros((8, *self.nearest.shape))
        places[0] = self.nearest
        square = self.speed2 - self.rate**2
        with np.errstate(divide="ignore", invalid="ignore"):
            places[1] = -self.along / self.rate
            for row, sign in ((2, 1.0), (4, -1.0)):
                # least2 + speed2 (t - nearest)^2 = (sign (along + rate t) + radius - length)^2
                offset = sign * self.along + self.radius - self.length
                half = -(self.speed2 * self.nearest + sign * self.rate * offset)
                constant = self.least2 + self.speed2 * self.nearest**2 - offset**2
                root = np.sqrt(np.maximum(half**2 - square * constant, 0.0))
                # The form that loses no digits to cancelling.
                large = -half - np.where(half < 0, -root, root)
                places[row], places[row + 1] = large / square, constant / large
        places[6] = 1.0  # and 0 stands in the last
        _, _, past_side, past_end = self.slope(_usable(places))
        return _pick(places, np.maximum(past_side, past_end))
