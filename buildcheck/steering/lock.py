"""Steering through travel and lock: from the pitman arm to both road wheels, and back from a knuckle's stop.

The pitman arm turns about its sector shaft, its end pulls the drag link, the drag link swings the *near* knuckle about
its kingpin, and the tie rod swings the *far* one. Each step is a crank, a link of fixed length and a crank, closed as
in `swing` (a circle cut by a sphere), so nothing is iterated. Read the other way round, from a knuckle that stands
on its stop to the pitman arm, the same closure gives the lock.

Where the tie rod ends on the drag link, the drag link swings the near knuckle as before, and the tie rod reaches from
its place on the drag link to the far knuckle: closed form too, but the way back from the far knuckle. Where the drag
link ends on the tie rod, both knuckles stand where the tie rod puts them for one angle of the near one, and that angle
is the one at which the drag link has its length: one equation, and closed form the way back. Either equation may have
several roots; `root_following` says how the one is kept that grows out of straight ahead at ride height.

Of the two ways to close a link, the one that is continuous with straight ahead at ride height holds, and ends at the
dead point of the driven crank, where the two meet. Beyond it there is no answer, only NaN and the link that stood in
the way.

Angles are radians. Those of a knuckle are right-handed about its kingpin axis pointing up: + turns the wheel left. The
pitman arm's is right-handed about the sector shaft's direction as given, so which way + steers depends on the layout.
Vehicle axes (x forward, y left, z up), metres; vectors hold (x, y, z) on their first axis, and the axes after it
broadcast from the right. For several lock positions by several poses give pitman angles of shape (locks, 1) beside
points of shape (3, poses).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from buildcheck.axle.vectors import Array, aligned, dot, size
from buildcheck.steering.linkage import Ends, Joined, Linkage, Turn, between, ends, refuse_side
from buildcheck.steering.root_following import followed
from buildcheck.steering.swing import transmission_angle, wheel_steer

SAME = 1e-6
"""Two swings of a knuckle closer than this, rad, are the same; next to a dead point half of the digits are lost."""

STEPS = 24
"""The way from straight ahead to a position is looked at in so many places."""

FEW = 8
"""And followed, where that is how a position is found, in so many stages at first."""


class Reach(IntEnum):
    """Whether a position of the steering can be come to, and what stands in the way."""

    REACHED = 0
    DRAG_LINK = 1
    """The drag link comes to a dead point, or is too short or too long, on the way from straight ahead."""
    TIE_ROD = 2
    """The tie rod does."""
    UNKNOWN = 3
    """A point or angle is not a number: a pose of the axle that is not solved."""


@dataclass(frozen=True, slots=True)
class Steered:
    """Positions of the steering: arrays (...), rad; NaN in all but ``reach`` where a position is not reached.

    pitman:      angle of the pitman arm
    left, right: swing of each knuckle about its kingpin, + to the left
    left_wheel, right_wheel: steer of each wheel seen from above against the vehicle, + to the left; it includes the
                 axle's yaw where the linkage was carried through poses
    reach:       int8, of Reach
    """

    pitman: Array
    left: Array
    right: Array
    left_wheel: Array
    right_wheel: Array
    reach: NDArray[np.int8]


def steer(steering: Linkage, pitman: ArrayLike) -> Steered:
    """Both knuckles and wheels with the pitman arm turned by an angle from straight ahead: ``pitman`` (...), rad.

    A position counts as reached if both links reach at STEPS places on the way there from straight ahead: a gap in the
    reach that is narrower than such a step is not seen.
    """
    shape = np.broadcast_shapes(np.shape(pitman), *(np.shape(each)[1:] for each in _fields(steering)))
    asked = np.broadcast_to(np.asarray(pitman, np.float64), shape)
    by = _by_tie_rod if steering.joined is Joined.LINK_ON_ROD else _by_knuckle
    near, far, reach = by(steering, asked)
    known = np.broadcast_to(_known(steering), shape) & np.isfinite(asked)
    return _steered(steering, asked, near, far, np.where(known, reach, Reach.UNKNOWN).astype(np.int8))


def _by_knuckle(steering: Linkage, pitman: Array) -> tuple[Array, Array, NDArray[np.int_]]:
    """Swings of the near and the far knuckle, and the reach, where the drag link ends on the near knuckle."""
    way = np.linspace(0.0, 1.0, STEPS + 1).reshape(-1, *(1,) * pitman.ndim) * pitman
    near = steering.drag_link.second_angle(steering.pitman, steering.arm, way)
    near_end = ends(steering, way, near, 0.0).near
    far = steering.far_rod.reaching(near_end, steering.tie_rod.length, steering.tie_rod.second_side)
    by_drag_link, by_tie_rod = (np.isfinite(angle).all(axis=0) for angle in (near, far))
    reach = np.where(by_drag_link, np.where(by_tie_rod, Reach.REACHED, Reach.TIE_ROD), Reach.DRAG_LINK)
    return near[-1], far[-1], reach


def _by_tie_rod(steering: Linkage, pitman: Array) -> tuple[Array, Array, NDArray[np.int_]]:
    """The same where the drag link ends on the tie rod: by the swing of the near knuckle at which it has its length.

    The pitman arm's end is first brought from where it stood to the axle at ride height to where it stands to the axle
    in the pose, and then turned; along that way the root is followed.
    """
    rod, far_rod, built = steering.tie_rod, steering.far_rod, steering.drag_link.length

    def place(stage: Array) -> Array:
        brought = between(steering.straight, steering.pitman.end, np.minimum(stage, 1.0))
        brought, turned = aligned(brought, steering.pitman.turned(np.maximum(stage - 1.0, 0.0) * pitman))
        return np.where(stage < 1.0, brought, turned)

    def moving(near: Array) -> tuple[Ends, Array]:
        at = ends(steering, pitman, near, rod.second_angle(steering.near_rod, far_rod, near))
        return at, _rod_way(steering, at)

    def gap(near: Array, stage: Array) -> tuple[Array, Array]:
        at, way = moving(near)
        return _gap(place(stage), at.arm, way, built)

    near, found = followed(gap, np.zeros(pitman.shape), 2.0, 2 * FEW)
    # What ended the way is the link that was nearest to its dead point there.
    at, way = moving(near)
    tie_rod = transmission_angle(at.far - at.near, far_rod.way(at.far))
    drag_link = transmission_angle(at.arm - at.pitman, way)
    ended = np.where(tie_rod < drag_link, Reach.TIE_ROD, Reach.DRAG_LINK)
    far = rod.second_angle(steering.near_rod, far_rod, near)
    return near, far, np.where(found, Reach.REACHED, ended)


def _gap(held: Array, end: Array, way: Array, length: Array) -> tuple[Array, Array]:
    """How much farther apart two points are than a link is long, as a share of that, and its slope as one moves."""
    held, end, way = aligned(held, end, way)
    apart = size(end - held)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(apart / length - 1.0), np.asarray(dot(end - held, way) / (apart * length))


def _rod_way(steering: Linkage, at: Ends) -> Array:
    """Which way the place on the tie rod that holds the drag link moves as the near knuckle swings, m for each rad."""
    near, far = aligned(steering.near_rod.way(at.near), steering.far_rod.way(at.far))
    return between(near, far * _ratio(at.far - at.near, near, far), steering.share)


def _ratio(link: Array, first: Array, second: Array) -> Array:
    """How fast the second end of a link of fixed length goes along its way for the first's going along its own."""
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(dot(link, first) / dot(link, second))


def at_stop(steering: Linkage, side: Turn, inner: ArrayLike) -> Steered:
    """The steering turned to one side until the inner knuckle has swung by ``inner`` (...), rad, + to the left.

    The inner knuckle is that of ``side``. Its stop sits on the axle, so one swing holds for all poses; for a wheel's
    angle that is stated at ride height, `swing.swing_for_steer` tells the swing. The pitman arm's angle follows from
    the inner knuckle backwards through the links; then the links are followed forwards, and where they do not lead
    back to the same swing, a dead point lies in between: NaN, and ``reach`` says of which link.

    Raises ValueError for any other side.
    """
    refuse_side(side)
    stop = np.asarray(inner, np.float64)
    near, pitman = _backwards(steering, side, stop)
    found = steer(steering, pitman)
    there = found.left if side == "left" else found.right
    near, stop = np.broadcast_to(near, there.shape), np.broadcast_to(stop, there.shape)
    known = np.broadcast_to(_known(steering), there.shape) & np.isfinite(stop)
    # What the forward way says of an angle that is itself wrong or missing is put right here.
    reach = np.where(np.isnan(near), Reach.TIE_ROD, np.where(np.isnan(pitman), Reach.DRAG_LINK, found.reach))
    astray = (reach == Reach.REACHED) & ~(np.abs(there - stop) <= SAME)
    found_near = found.left if steering.near_side == "left" else found.right
    reach = np.where(astray, np.where(np.abs(found_near - near) <= SAME, Reach.TIE_ROD, Reach.DRAG_LINK), reach)
    reach = np.where(known, reach, Reach.UNKNOWN).astype(np.int8)
    near_first = steering.near_side == "left"
    near, far = (found.left, found.right) if near_first else (found.right, found.left)
    return _steered(steering, found.pitman, near, far, reach)


def _backwards(steering: Linkage, side: Turn, stop: Array) -> tuple[Array, Array]:
    """The near knuckle's swing and the pitman arm's angle with the knuckle of ``side`` swung by ``stop``: (...) rad."""
    rod, link, is_near = steering.tie_rod, steering.drag_link, side == steering.near_side
    if steering.joined is Joined.ROD_ON_LINK and not is_near:
        pitman = _pitman_for_far(steering, stop)
        return link.second_angle(steering.pitman, steering.arm, pitman), pitman
    near = stop if is_near else rod.first_angle(steering.near_rod, steering.far_rod, stop)
    far = np.asarray(0.0)  # where the drag link ends on the near knuckle, its end does not hang on the far one
    if steering.joined is Joined.LINK_ON_ROD:
        far = rod.second_angle(steering.near_rod, steering.far_rod, stop) if is_near else stop
        near = np.where(np.isnan(far), np.nan, near)
    arm_end = ends(steering, 0.0, near, far).arm
    return near, steering.pitman.reaching(arm_end, link.length, link.first_side)


def _pitman_for_far(steering: Linkage, stop: Array) -> Array:
    """The pitman arm's angle (...) that swings the far knuckle by ``stop`` (...) where the tie rod ends on the drag
    link: followed from the arm straight ahead as the knuckle swings on from where that leaves it. NaN for none."""
    shape = np.broadcast_shapes(stop.shape, *(np.shape(each)[1:] for each in _fields(steering)))
    link, rod = steering.drag_link, steering.tie_rod

    def moving(pitman: Array) -> tuple[Ends, Array]:
        near = link.second_angle(steering.pitman, steering.arm, pitman)
        at = ends(steering, pitman, near, 0.0)
        arm, near_arm = aligned(steering.pitman.way(at.pitman), steering.arm.way(at.arm))
        return at, between(arm, near_arm * _ratio(at.arm - at.pitman, arm, near_arm), steering.share)

    straight, _ = moving(np.zeros(shape))
    begins = steering.far_rod.reaching(straight.near, rod.length, rod.second_side)

    def gap(pitman: Array, stage: Array) -> tuple[Array, Array]:
        at, way = moving(pitman)
        return _gap(steering.far_rod.turned(begins + stage * (stop - begins)), at.near, way, rod.length)

    pitman, found = followed(gap, np.zeros(shape), 1.0, FEW)
    return np.where(found, pitman, np.nan)


def _fields(steering: Linkage) -> tuple[Array, ...]:
    """All points and directions of a linkage: (3, ...) each."""
    cranks = (steering.pitman, steering.arm, steering.near_rod, steering.far_rod)
    parts = (part for crank in cranks for part in (crank.pivot, crank.axis, crank.end))
    return (*parts, steering.near_spin, steering.far_spin, steering.straight)


def _known(steering: Linkage) -> NDArray[np.bool_]:
    """Where all points of the linkage are numbers."""
    finite = [np.all(np.isfinite(field), axis=0) for field in _fields(steering)]
    shape = np.broadcast_shapes(*(part.shape for part in finite))
    known: NDArray[np.bool_] = np.all([np.broadcast_to(part, shape) for part in finite], axis=0)
    return known


def _steered(steering: Linkage, pitman: Array, near: Array, far: Array, reach: NDArray[np.int8]) -> Steered:
    """The two knuckles by side, with their wheels; NaN where not reached."""
    reached = reach == Reach.REACHED
    pitman, near, far = (np.where(reached, angle, np.nan) for angle in (pitman, near, far))
    near_wheel = wheel_steer(steering.near_spin, steering.near_rod.axis, near)
    far_wheel = wheel_steer(steering.far_spin, steering.far_rod.axis, far)
    if steering.near_side == "left":
        return Steered(pitman, near, far, near_wheel, far_wheel, reach)
    return Steered(pitman, far, near, far_wheel, near_wheel, reach)


def ends_of(steering: Linkage, steered: Steered) -> Ends:
    """Where the links' ends stand in positions of `steer` or `at_stop`: (3, ...) m; NaN where not reached."""
    near, far = (steered.left, steered.right) if steering.near_side == "left" else (steered.right, steered.left)
    return ends(steering, steered.pitman, near, far)


@dataclass(frozen=True, slots=True)
class Transmission:
    """How well each link moves what it drives: angles (...), rad, a right angle best and 0 at the dead point.

    at_arm:    drag link at what it moves, the near knuckle's arm or the tie rod; at 0 it no longer turns the wheels
    at_pitman: drag link at the pitman arm; at 0 the wheels no longer turn the steering wheel, and it can do no more
    at_near, at_far: tie rod at either knuckle; at_near is NaN where the rod ends on the drag link, and turns no arm
    """

    at_arm: Array
    at_pitman: Array
    at_near: Array
    at_far: Array


def transmission(steering: Linkage, steered: Steered) -> Transmission:
    """Transmission angles in positions of `steer` or `at_stop`; NaN where not reached.

    The least of them over travel and lock is ``numpy.nanmin`` of each; look at ``steered.reach`` first, for a position
    that is not reached has none.
    """
    at = ends_of(steering, steered)
    link, rod = at.arm - at.pitman, at.far - at.near
    on_rod = steering.joined is Joined.LINK_ON_ROD
    at_near = transmission_angle(rod, steering.near_rod.way(at.near))
    return Transmission(
        at_arm=transmission_angle(link, _rod_way(steering, at) if on_rod else steering.arm.way(at.arm)),
        at_pitman=transmission_angle(link, steering.pitman.way(at.pitman)),
        at_near=np.full_like(at_near, np.nan) if steering.joined is Joined.ROD_ON_LINK else at_near,
        at_far=transmission_angle(rod, steering.far_rod.way(at.far)),
    )
