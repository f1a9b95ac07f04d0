"""Steering through travel and lock: from the pitman arm to both road wheels, and from a knuckle's stop to the arm.

The pitman arm turns about its sector shaft, its end pulls the drag link, the drag link swings the *near* knuckle about
its kingpin, and the tie rod swings the *far* one. Each step is a crank, a link of fixed length and a crank, solved as
in `swing` (intersection of a circle and a sphere), without iteration. In the other direction, from a knuckle on its
stop to the pitman arm, the same closure gives the lock.

Where the tie rod ends on the drag link, the drag link swings the near knuckle as before, and the tie rod runs from its
joint on the drag link to the far knuckle. This is closed form too, except from the far knuckle back to the pitman arm.
Where the drag link ends on the tie rod, the angle of the near knuckle sets that of the far one through the tie rod, and
the near angle is found at which the drag link has its length: one equation; the way back is closed form. Either
equation may have several roots; `root_following` keeps the one that is continuous with straight ahead at ride height.

Of the two solutions for a link, the one that is continuous with straight ahead at ride height is used. It ends at the
dead point of the driven crank, where the two meet. Beyond it the result is NaN, with the link that has reached its dead
point.

Angles are radians. Those of a knuckle are right-handed about its kingpin axis pointing up: + turns the wheel left. The
pitman arm's is right-handed about the sector shaft's direction as given, so which way + steers depends on the layout.
Vehicle axes (x forward, y left, z up), metres; vectors hold (x, y, z) on their first axis, and the axes after it
broadcast from the right. For several lock positions in several poses give pitman angles of shape (locks, 1) with points
of shape (3, poses).
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
"""Two swings of a knuckle closer than this, rad, count as equal; next to a dead point half of the digits are lost."""

STEPS = 24
"""Number of places checked on the way from straight ahead to a position."""

FEW = 8
"""Number of stages first tried where a position is found by following a root."""


class Reach(IntEnum):
    """Whether the steering can reach a position, and otherwise why not."""

    REACHED = 0
    DRAG_LINK = 1
    """The drag link reaches a dead point, or is too short or too long, on the way from straight ahead."""
    TIE_ROD = 2
    """The tie rod reaches a dead point, or is too short or too long, on the way from straight ahead."""
    UNKNOWN = 3
    """A point or angle is not a number: a pose of the axle that is not solved."""


@dataclass(frozen=True, slots=True)
class Steered:
    """Positions of the steering: arrays (...), rad; NaN in all but ``reach`` where a position is not reached.

    pitman:      angle of the pitman arm
    left, right: swing of each knuckle about its kingpin, + to the left
    left_wheel, right_wheel: steer of each wheel in plan relative to the vehicle, + to the left; it includes the axle's
                 yaw where the linkage was moved through poses by `carried`
    reach:       int8, of Reach
    """

    pitman: Array
    left: Array
    right: Array
    left_wheel: Array
    right_wheel: Array
    reach: NDArray[np.int8]


def steer(steering: Linkage, pitman: ArrayLike) -> Steered:
    """Turn the pitman arm by an angle ``pitman`` (...), rad, from straight ahead, and find both knuckles and wheels.

    A position counts as reached if both links reach at STEPS places on the way from straight ahead: a gap in the reach
    that is narrower than one step is not found.
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
    """The same where the drag link ends on the tie rod: finds the near swing at which the drag link has its length.

    The pitman arm's end is first moved, relative to the axle, from its position at ride height to that in the pose, and
    then turned; the root is followed along that way.
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
    # The link that was nearest to its dead point ended the way.
    at, way = moving(near)
    tie_rod = transmission_angle(at.far - at.near, far_rod.way(at.far))
    drag_link = transmission_angle(at.arm - at.pitman, way)
    ended = np.where(tie_rod < drag_link, Reach.TIE_ROD, Reach.DRAG_LINK)
    far = rod.second_angle(steering.near_rod, far_rod, near)
    return near, far, np.where(found, Reach.REACHED, ended)


def _gap(held: Array, end: Array, way: Array, length: Array) -> tuple[Array, Array]:
    """Excess of the distance of two points over a link's length, as a share of that, and its derivative as ``end``
    moves."""
    held, end, way = aligned(held, end, way)
    apart = size(end - held)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(apart / length - 1.0), np.asarray(dot(end - held, way) / (apart * length))


def _rod_way(steering: Linkage, at: Ends) -> Array:
    """Derivative of the position of the drag link's joint on the tie rod with the near knuckle's swing, m/rad."""
    near, far = aligned(steering.near_rod.way(at.near), steering.far_rod.way(at.far))
    return between(near, far * _ratio(at.far - at.near, near, far), steering.share)


def _ratio(link: Array, first: Array, second: Array) -> Array:
    """Speed of the second end of a link of fixed length along its path, per unit of speed of the first along its
    own."""
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(dot(link, first) / dot(link, second))


def at_stop(steering: Linkage, side: Turn, inner: ArrayLike) -> Steered:
    """Turn the steering to one side until the inner knuckle has swung by ``inner`` (...), rad, + to the left.

    The inner knuckle is that of ``side``. Its stop is on the axle, so the same swing applies in all poses; for a wheel
    angle stated at ride height, `swing.swing_for_steer` gives the swing. The pitman arm's angle is found from the inner
    knuckle backwards through the links; then the links are followed forwards. Where they do not lead back to the same
    swing, there is a dead point in between: NaN, and ``reach`` gives the link.

    Raises ValueError for any other side.
    """
    refuse_side(side)
    stop = np.asarray(inner, np.float64)
    near, pitman = _backwards(steering, side, stop)
    found = steer(steering, pitman)
    there = found.left if side == "left" else found.right
    near, stop = np.broadcast_to(near, there.shape), np.broadcast_to(stop, there.shape)
    known = np.broadcast_to(_known(steering), there.shape) & np.isfinite(stop)
    # Where the angle itself is wrong or missing, the reach found forwards is corrected here.
    reach = np.where(np.isnan(near), Reach.TIE_ROD, np.where(np.isnan(pitman), Reach.DRAG_LINK, found.reach))
    astray = (reach == Reach.REACHED) & ~(np.abs(there - stop) <= SAME)
    found_near = found.left if steering.near_side == "left" else found.right
    reach = np.where(astray, np.where(np.abs(found_near - near) <= SAME, Reach.TIE_ROD, Reach.DRAG_LINK), reach)
    reach = np.where(known, reach, Reach.UNKNOWN).astype(np.int8)
    near_first = steering.near_side == "left"
    near, far = (found.left, found.right) if near_first else (found.right, found.left)
    return _steered(steering, found.pitman, near, far, reach)


def _backwards(steering: Linkage, side: Turn, stop: Array) -> tuple[Array, Array]:
    """Swing of the near knuckle and angle of the pitman arm with the knuckle of ``side`` swung by ``stop``: (...)
    rad."""
    rod, link, is_near = steering.tie_rod, steering.drag_link, side == steering.near_side
    if steering.joined is Joined.ROD_ON_LINK and not is_near:
        pitman = _pitman_for_far(steering, stop)
        return link.second_angle(steering.pitman, steering.arm, pitman), pitman
    near = stop if is_near else rod.first_angle(steering.near_rod, steering.far_rod, stop)
    far = np.asarray(0.0)  # not used where the drag link ends on the near knuckle
    if steering.joined is Joined.LINK_ON_ROD:
        far = rod.second_angle(steering.near_rod, steering.far_rod, stop) if is_near else stop
        near = np.where(np.isnan(far), np.nan, near)
    arm_end = ends(steering, 0.0, near, far).arm
    return near, steering.pitman.reaching(arm_end, link.length, link.first_side)


def _pitman_for_far(steering: Linkage, stop: Array) -> Array:
    """Angle of the pitman arm (...), rad, that swings the far knuckle by ``stop`` (...), rad; the tie rod is on the
    drag link.

    The root is followed from the arm straight ahead, as the far knuckle swings from its position there. NaN for none.
    """
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
    """Points and directions of a linkage: (3, ...) each."""
    cranks = (steering.pitman, steering.arm, steering.near_rod, steering.far_rod)
    parts = (part for crank in cranks for part in (crank.pivot, crank.axis, crank.end))
    return (*parts, steering.near_spin, steering.far_spin, steering.straight)


def _known(steering: Linkage) -> NDArray[np.bool_]:
    """Mask of the positions in which all points of the linkage are numbers."""
    finite = [np.all(np.isfinite(field), axis=0) for field in _fields(steering)]
    shape = np.broadcast_shapes(*(part.shape for part in finite))
    known: NDArray[np.bool_] = np.all([np.broadcast_to(part, shape) for part in finite], axis=0)
    return known


def _steered(steering: Linkage, pitman: Array, near: Array, far: Array, reach: NDArray[np.int8]) -> Steered:
    """Arrange both knuckles by side, with their wheels; NaN where not reached."""
    reached = reach == Reach.REACHED
    pitman, near, far = (np.where(reached, angle, np.nan) for angle in (pitman, near, far))
    near_wheel = wheel_steer(steering.near_spin, steering.near_rod.axis, near)
    far_wheel = wheel_steer(steering.far_spin, steering.far_rod.axis, far)
    if steering.near_side == "left":
        return Steered(pitman, near, far, near_wheel, far_wheel, reach)
    return Steered(pitman, far, near, far_wheel, near_wheel, reach)


def ends_of(steering: Linkage, steered: Steered) -> Ends:
    """Positions of the links' ends in positions of `steer` or `at_stop`: (3, ...) m; NaN where not reached."""
    near, far = (steered.left, steered.right) if steering.near_side == "left" else (steered.right, steered.left)
    return ends(steering, steered.pitman, near, far)


@dataclass(frozen=True, slots=True)
class Transmission:
    """Transmission angle of each link at each end (...), rad; a right angle is best, 0 is the dead point.

    at_arm:    drag link at the part that it moves, the near knuckle's arm or the tie rod; at 0 it cannot turn the
               wheels
    at_pitman: drag link at the pitman arm; at 0 the wheels cannot turn the steering wheel, and the drag link is at its
               limit
    at_near, at_far: tie rod at each knuckle; at_near is NaN where the rod ends on the drag link, where it turns no arm
    """

    at_arm: Array
    at_pitman: Array
    at_near: Array
    at_far: Array


def transmission(steering: Linkage, steered: Steered) -> Transmission:
    """Transmission angles in positions of `steer` or `at_stop`; NaN where not reached.

    The least over travel and lock is ``numpy.nanmin`` of each; check ``steered.reach`` first, because a position that
    is not reached has no angles.
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
