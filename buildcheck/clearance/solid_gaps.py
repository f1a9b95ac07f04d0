"""Gap between any two convex solids, in all poses at once.

If one is a bar or ball, `bar_gaps` is used. Between a half-space and another solid the gap is the height of the lowest
point above the plane. Two boxes or cylinders are replaced by one solid, the set of all differences of their points
(Minkowski difference), whose distance from the origin is their gap (for a cylinder and a box apart, `cylinder_box`
gives it in closed form wherever it can be verified):

- Apart, by the Gilbert-Johnson-Keerthi iteration: given a simplex of points of the solid and its point nearest to the
  origin, the solid's point farthest towards the origin is added, until the plane through that point, square to the
  direction, is as near to the origin as the nearest point, within 1e-9 m. The gap reported is the distance of the
  plane, never more than the true gap.
  Source: Gilbert, Johnson, Keerthi 1988, IEEE J. Robotics and Automation 4(2), from memory.
- In overlap, -(the shortest move of one, in any direction, that parts the two); `overlap` finds it.
"""

from typing import NamedTuple

import numpy as np

from buildcheck.axle.vectors import Array, aligned, cross, dot, size
from buildcheck.clearance.bar_gaps import clearance
from buildcheck.clearance.convex import Mask
from buildcheck.clearance.cylinder_box import gap_apart
from buildcheck.clearance.overlap import way_out
from buildcheck.clearance.pair import Pair
from buildcheck.clearance.solids import Box, Capsule, Cylinder, HalfSpace, Solid, Sum

TOLERANCE = 1e-9  # largest difference between the two bounds of a solved pose, m
_ROUNDS = 100
# The new point alone is never the nearest; these combine it with one of the three old ones, then with two.
_FIRST, _SECOND = np.array([0, 1, 2, 0, 1, 2]), np.array([0, 1, 2, 1, 2, 0])


class NearestPoints(NamedTuple):
    """The gap (...) in metres, and the point (3, ...) of each solid that is nearest to the other.

    In overlap they are the points that touch last as the two are pulled apart.
    """

    gap: Array
    first: Array
    second: Array


def gap(first: Solid, second: Solid, *, beyond: float = np.inf) -> Array:
    """Gap between two solids in each pose: (...) m, + apart, - in overlap; NaN where a point is NaN.

    Solids broadcast together. To save time, a pose whose gap is surely more than `beyond` m may get any number from
    `beyond` up to its true gap. The head of this module, and for bars that of `buildcheck.clearance.bar_gaps`, define
    the gap in overlap. The error is below 1e-7 m; the gap is too large by at most 1e-9 m.
    Raises ValueError for two half-spaces.
    """
    if isinstance(first, Capsule):
        return clearance(first, second).gap
    if isinstance(second, Capsule):
        return clearance(second, first).gap
    if isinstance(first, HalfSpace) or isinstance(second, HalfSpace):
        return nearest_points(first, second).gap
    return _of_hulls(first, second, beyond)


def _of_hulls(first: Solid, second: Solid, beyond: float) -> Array:
    """Gap of two boxes or cylinders; for a cylinder and a box in closed form wherever it is verified."""
    if isinstance(first, Box) and isinstance(second, Cylinder):
        return _of_hulls(second, first, beyond)
    if not (isinstance(first, Cylinder) and isinstance(second, Box)):
        return _parted(first, second, beyond).gap
    fields = aligned(first.start, first.end, second.lower, second.upper)
    shape = np.broadcast_shapes(*(field.shape[1:] for field in fields))
    start, end, lower, upper = (np.broadcast_to(field, (3, *shape)).reshape(3, -1) for field in fields)

    def lanes(chosen: Mask) -> tuple[Cylinder, Box]:
        return Cylinder(start[:, chosen], end[:, chosen], first.radius), Box(lower[:, chosen], upper[:, chosen])

    known = np.asarray(np.isfinite(start + end + lower + upper).all(axis=0))
    found = np.full(start.shape[1], np.nan)
    one, two = lanes(known)
    surely = Pair(one.sum(), two.sum()).surely_apart()
    found[known] = np.where(surely > max(beyond, 0.0), surely, np.nan)
    near = known & np.isnan(found)
    if near.any():
        found[near] = gap_apart(*lanes(near))
        hard = near & np.isnan(found)
        if hard.any():
            found[hard] = _parted(*lanes(hard), beyond).gap
    return found.reshape(shape)


def nearest_points(first: Solid, second: Solid) -> NearestPoints:
    """Gap of each pose as in `gap`, and the nearest points, (3, ...) m; NaN where a point is NaN.

    Where a bar's axis enters the other solid, the bar's point may be inside the bar.  Raises ValueError for two
    half-spaces.
    """
    if isinstance(second, Capsule) and not isinstance(first, Capsule):
        return _swapped(nearest_points(second, first))
    if isinstance(first, Capsule):
        found, along = clearance(first, second)
        start, end, fraction = aligned(first.start, first.end, along[None])
        on_axis = start + (end - start) * fraction
        foot = second.foot(on_axis)
        return NearestPoints(found, on_axis - first.radius * foot.normal, foot.place)
    if isinstance(second, HalfSpace) and not isinstance(first, HalfSpace):
        return _swapped(nearest_points(second, first))
    if isinstance(first, HalfSpace):
        point = _lowest(first, second)
        return NearestPoints(first.distance(point), first.foot(point).place, point)
    return _parted(first, second, np.inf)


def _swapped(found: NearestPoints) -> NearestPoints:
    return NearestPoints(found.gap, found.second, found.first)


def _lowest(plane: HalfSpace, other: Solid) -> Array:
    """Point of a box or cylinder nearest to a half-space, or deepest in it."""
    if not isinstance(other, Box | Cylinder):
        raise ValueError("two half-spaces have no gap")
    body = other.sum()
    normal, centre, axis, *halves = aligned(plane.normal, body.centre, body.axis, *body.halves)
    return Sum(centre, tuple(halves), axis, body.radius).support(-normal)


def _parted(first: Solid, second: Solid, beyond: float) -> NearestPoints:
    """Gap and nearest points of two boxes or cylinders."""
    assert isinstance(first, Box | Cylinder)
    assert isinstance(second, Box | Cylinder)
    one, two = first.sum(), second.sum()
    centres, others = aligned(one.centre, two.centre)
    away = centres - others
    shape = away.shape[1:]
    known: Mask = np.isfinite(dot(away, away))
    for body in (one, two):
        for half in body.halves:
            known = known & np.isfinite(dot(half, half))
    pair = Pair(one.lanes(shape, known), two.lanes(shape, known))
    gaps, ours, theirs = np.full(shape, np.nan), np.full((3, *shape), np.nan), np.full((3, *shape), np.nan)
    near = _nearest_of_hulls(pair, beyond)
    overlap = np.isnan(near.gap)
    if overlap.any():
        within = pair.lanes(overlap)
        move, depth = way_out(within)
        # Once moved apart by the overlap and a little more, the two have nearest points again.
        more = move * (depth + within.thousandth())
        parted = _nearest_of_hulls(within.moved(more), np.inf)
        near.gap[overlap] = -depth
        near.first[:, overlap], near.second[:, overlap] = parted.first - more, parted.second
    gaps[known], ours[:, known], theirs[:, known] = near
    return NearestPoints(gaps, ours, theirs)


def _nearest_of_hulls(pair: Pair, beyond: float) -> NearestPoints:
    """Gaps and nearest points of poses along one axis; NaN where the two overlap.

    A pose ends early, with its current lower bound, once that is above `beyond`.
    """
    count = pair.one.centre.shape[1]
    found = NearestPoints(np.full(count, np.nan), np.full((3, count), np.nan), np.full((3, count), np.nan))
    lane = np.arange(count)
    if np.isfinite(beyond):
        surely = pair.surely_apart()
        far = surely > max(beyond, 0.0)
        found.gap[far] = surely[far]
        lane, pair = lane[~far], pair.lanes(~far)
        count = lane.size
    difference, ours = pair.support(pair.two.centre - pair.one.centre)
    points, own = np.stack([difference] * 3, axis=1), np.stack([ours] * 3, axis=1)
    nearest, witness, lower = difference, ours, np.full(count, -np.inf)
    limit = max(beyond, 0.0)
    for _ in range(_ROUNDS):
        if not lane.size:
            break
        new, new_own = pair.support(-nearest)
        length = size(nearest)
        bound = np.divide(dot(nearest, new), length, out=np.zeros_like(length), where=length > 0)
        lower = np.maximum(lower, bound)
        closer, weights, slots = _closest(new, points)
        stuck = size(closer) >= length
        inside: Mask = (lower <= 0) & (_holds_origin(new, points) | (length < 1e-13))
        apart = ~inside & ((length - lower <= TOLERANCE) | (lower > limit) | stuck)
        done = inside | apart
        if done.any():
            # Where rounding stops the search before the bounds agree, neither bound is above 0: the solids touch.
            settled = apart & (lower > 0)
            found.gap[lane[settled]] = lower[settled]
            found.first[:, lane[settled]] = witness[:, settled]
            found.second[:, lane[settled]] = (witness - nearest)[:, settled]
        go = ~done
        pair, lane, lower = pair.lanes(go), lane[go], lower[go]
        weights, slots, new, new_own = weights[:, go], slots[:, go], new[:, go], new_own[:, go]
        points, own = _renewed(points[:, :, go], new, slots), _renewed(own[:, :, go], new_own, slots)
        nearest, witness = (points * weights).sum(axis=1), (own * weights).sum(axis=1)
    else:
        settled = lower > 0
        found.gap[lane[settled]] = lower[settled]
        found.first[:, lane[settled]] = witness[:, settled]
        found.second[:, lane[settled]] = (witness - nearest)[:, settled]
    return found


def _renewed(points: Array, new: Array, slots: Array) -> Array:
    """The new point and the two old ones in use: (3, 3, n)."""
    kept = np.take_along_axis(points, np.broadcast_to(slots, (3, *slots.shape)), axis=1)
    return np.concatenate([new[:, None], kept], axis=1)


def _closest(new: Array, points: Array) -> tuple[Array, Array, Array]:
    """Point nearest to the origin on the triangles between a new point (3, n) and two of three others (3, 3, n).

    Returns the point (3, n), the weights (3, n) of the new point and the two others, and the numbers of these (2, n).
    """
    edges = points - new[:, None]
    square, ahead = dot(edges, edges), -dot(edges, new[:, None])
    turn = edges[:, _FIRST[3:]], edges[:, _SECOND[3:]]
    both = dot(*turn)
    one, two = square[_FIRST[3:]], square[_SECOND[3:]]
    ahead_one, ahead_two = ahead[_FIRST[3:]], ahead[_SECOND[3:]]
    area = one * two - both**2
    shares = np.zeros((2, 6, new.shape[1]))
    with np.errstate(divide="ignore", invalid="ignore"):
        shares[0, :3] = np.where(square > 0, np.clip(ahead / square, 0.0, 1.0), 0.0)
        shares[0, 3:] = (ahead_one * two - ahead_two * both) / area
        shares[1, 3:] = (ahead_two * one - ahead_one * both) / area
        first, second = shares
        usable = (first >= 0) & (second >= 0) & (first + second <= 1)
    usable[3:] &= area > 1e-15 * one * two
    first, second = np.where(usable, first, 0.0), np.where(usable, second, 0.0)
    places = new[:, None] + first * edges[:, _FIRST] + second * edges[:, _SECOND]
    best = np.where(usable, dot(places, places), np.inf).argmin(axis=0)
    lanes = np.arange(len(best))
    one_share, two_share = first[best, lanes], second[best, lanes]
    return (
        places[:, best, lanes],
        np.stack([1 - one_share - two_share, one_share, two_share]),
        np.stack([_FIRST[best], _SECOND[best]]),
    )


def _holds_origin(new: Array, points: Array) -> Mask:
    """Whether the origin lies in the tetrahedron of a point (3, n) and three others (3, 3, n)."""
    one, two, three = (points[:, index] - new for index in range(3))
    volume = dot(one, cross(two, three))
    shares = np.stack([-dot(new, cross(two, three)), -dot(new, cross(three, one)), -dot(new, cross(one, two))])
    shares *= np.sign(volume)
    within: Mask = (volume != 0) & np.all(shares >= 0, axis=0) & (shares.sum(axis=0) <= np.abs(volume))
    return within
