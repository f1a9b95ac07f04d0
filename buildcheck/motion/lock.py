"""Steering through travel and lock: from the pitman arm to both road wheels, and back from a knuckle's stop.

The pitman arm turns about its sector shaft, its end pulls the drag link, the drag link swings the *near* knuckle about
its kingpin, and the tie rod swings the *far* one. Each step is a crank, a link of fixed length and a crank, closed as
in `steering` (a circle cut by a sphere), so nothing is iterated. Read the other way round, from a knuckle that stands
on its stop to the pitman arm, the same closure gives the lock.

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

from dataclasses import dataclass, replace
from enum import IntEnum
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from buildcheck.motion.cranks import Coupling, Crank, coupling
from buildcheck.motion.rotation import attitude, carry, carry_direction, turn
from buildcheck.motion.steering import dead_point_margin, swing_for_steer, transmission_angle
from buildcheck.motion.vectors import Array

if TYPE_CHECKING:
    from buildcheck.motion.poses import Poses

Turn = Literal["left", "right"]

SAME = 1e-6
"""Two swings of a knuckle closer than this, rad, are the same; next to a dead point half of the digits are lost."""


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
class Linkage:
    """The steering, its knuckles and their wheels, straight ahead.

    pitman:             the pitman arm about the sector shaft, fixed to the frame
    arm:                the near knuckle's steering arm about its kingpin, holding the drag link
    near_rod, far_rod:  the two knuckles about their kingpins, holding the tie rod
    near_spin, far_spin: (3, ...) axes of spin of the two wheels, pointing left; they carry camber and static toe
    near_side:          the side of the knuckle that the drag link moves
    """

    pitman: Crank
    arm: Crank
    near_rod: Crank
    far_rod: Crank
    near_spin: Array
    far_spin: Array
    near_side: Turn
    drag_link: Coupling
    tie_rod: Coupling


def linkage(
    *,
    shaft: tuple[ArrayLike, ArrayLike],
    pitman_end: ArrayLike,
    near_kingpin: tuple[ArrayLike, ArrayLike],
    arm_end: ArrayLike,
    near_rod_end: ArrayLike,
    far_kingpin: tuple[ArrayLike, ArrayLike],
    far_rod_end: ArrayLike,
    near_side: Turn,
    near_spin: ArrayLike = (0.0, 1.0, 0.0),
    far_spin: ArrayLike = (0.0, 1.0, 0.0),
) -> Linkage:
    """The steering as built, from points at ride height with the wheels straight ahead.

    Args:
        shaft: a point of the sector shaft and its direction; (3,) or (3, builds) as all that follow, points in m.
        pitman_end: drag link's end on the pitman arm.
        near_kingpin, far_kingpin: a point of each kingpin axis, and the axis pointing up. Near is the drag link's.
        arm_end: drag link's end on the near knuckle.
        near_rod_end, far_rod_end: the tie rod's ends.
        near_side: "left" or "right".
        near_spin, far_spin: axes of spin of the wheels, pointing left.

    Crossover and push-pull layouts differ in these numbers alone. Raises ValueError for any other side.
    """
    _refuse(near_side)
    pitman = _crank(*shaft, pitman_end)
    arm, near_rod = _crank(*near_kingpin, arm_end), _crank(*near_kingpin, near_rod_end)
    far_rod = _crank(*far_kingpin, far_rod_end)
    return Linkage(
        pitman=pitman,
        arm=arm,
        near_rod=near_rod,
        far_rod=far_rod,
        near_spin=np.asarray(near_spin, np.float64),
        far_spin=np.asarray(far_spin, np.float64),
        near_side=near_side,
        drag_link=coupling(pitman, arm),
        tie_rod=coupling(near_rod, far_rod),
    )


def _refuse(side: str) -> None:
    if side not in ("left", "right"):
        raise ValueError(f'a side is "left" or "right", not {side!r}')


def _crank(pivot: ArrayLike, axis: ArrayLike, end: ArrayLike) -> Crank:
    return Crank(*(np.asarray(part, np.float64) for part in (pivot, axis, end)))


def carried(at_ride: Linkage, poses: Poses) -> Linkage:
    """The same steering with its knuckles where the axle stands in each pose; the pitman arm stays with the frame.

    ``at_ride`` has points (3,), or (3, builds) beside poses (builds, poses); the answer has (3, ..., poses). Lengths
    and sides remain those of ride height. Poses that are not solved give NaN.
    """
    turned = attitude(poses)

    def moved(crank: Crank) -> Crank:
        pivot, end = carry(poses, crank.pivot, turned), carry(poses, crank.end, turned)
        return Crank(pivot, carry_direction(poses, crank.axis, turned), end)

    def still(link: Coupling) -> Coupling:
        return Coupling(link.length[..., None], link.first_side[..., None], link.second_side[..., None])

    pitman = at_ride.pitman
    return replace(
        at_ride,
        pitman=Crank(pitman.pivot[..., None], pitman.axis[..., None], pitman.end[..., None]),
        arm=moved(at_ride.arm),
        near_rod=moved(at_ride.near_rod),
        far_rod=moved(at_ride.far_rod),
        near_spin=carry_direction(poses, at_ride.near_spin, turned),
        far_spin=carry_direction(poses, at_ride.far_spin, turned),
        drag_link=still(at_ride.drag_link),
        tie_rod=still(at_ride.tie_rod),
    )


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

    A position counts as reached if both links reach at `cranks.STEPS` places on the way there from straight ahead: a
    gap in the reach that is narrower than such a step is not seen.
    """
    first, arm, near_rod, far_rod = steering.pitman, steering.arm, steering.near_rod, steering.far_rod
    near = steering.drag_link.second_angle(first, arm, pitman)
    asked = np.broadcast_to(np.asarray(pitman, np.float64), near.shape)
    by_drag_link = steering.drag_link.reaches(first, arm, asked) & np.isfinite(near)
    far = steering.tie_rod.second_angle(near_rod, far_rod, near)
    by_tie_rod = steering.tie_rod.reaches(near_rod, far_rod, near) & np.isfinite(far)
    reach = np.where(by_drag_link, np.where(by_tie_rod, Reach.REACHED, Reach.TIE_ROD), Reach.DRAG_LINK)
    known = np.broadcast_to(_known(steering), near.shape) & np.isfinite(asked)
    return _steered(steering, asked, near, far, np.where(known, reach, Reach.UNKNOWN).astype(np.int8))


def stop_swing(at_ride: Linkage, side: Turn, lock: ArrayLike) -> Array:
    """Swing of the inner knuckle on its stop, rad, + to the left: shape (...), for `at_stop`.

    ``lock`` is the angle of the inner wheel at full lock, seen from above with the axle at ride height, (...) rad above
    0; ``side`` is the side turned to. NaN where the lean of the kingpin lets the wheel come to no such angle. Raises
    ValueError for any other side.
    """
    _refuse(side)
    near = side == at_ride.near_side
    axis = (at_ride.near_rod if near else at_ride.far_rod).axis
    wheel = np.asarray(lock, np.float64) * (1.0 if side == "left" else -1.0)
    return swing_for_steer(wheel, axis, at_ride.near_spin if near else at_ride.far_spin)


def at_stop(steering: Linkage, side: Turn, inner: ArrayLike) -> Steered:
    """The steering turned to one side until the inner knuckle has swung by ``inner`` (...), rad, + to the left.

    The inner knuckle is that of ``side``. Its stop sits on the axle, so one swing holds for all poses; for a wheel's
    angle that is stated at ride height, `stop_swing` tells the swing. The pitman arm's angle follows from
    the inner knuckle backwards through the links; then the links are followed forwards, and where they do not lead
    back to the same swing, a dead point lies in between: NaN, and ``reach`` says of which link.

    Raises ValueError for any other side.
    """
    _refuse(side)
    near_rod, far_rod = steering.near_rod, steering.far_rod
    stop = np.asarray(inner, np.float64)
    near = stop if side == steering.near_side else steering.tie_rod.first_angle(near_rod, far_rod, stop)
    pitman = steering.drag_link.first_angle(steering.pitman, steering.arm, near)
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


def _known(steering: Linkage) -> NDArray[np.bool_]:
    """Where all points of the linkage are numbers."""
    cranks = (steering.pitman, steering.arm, steering.near_rod, steering.far_rod)
    fields = [part for crank in cranks for part in (crank.pivot, crank.axis, crank.end)]
    finite = [np.all(np.isfinite(field), axis=0) for field in (*fields, steering.near_spin, steering.far_spin)]
    shape = np.broadcast_shapes(*(part.shape for part in finite))
    known: NDArray[np.bool_] = np.all([np.broadcast_to(part, shape) for part in finite], axis=0)
    return known


def _steered(steering: Linkage, pitman: Array, near: Array, far: Array, reach: NDArray[np.int8]) -> Steered:
    """The two knuckles by side, with their wheels; NaN where not reached."""
    reached = reach == Reach.REACHED
    pitman, near, far = (np.where(reached, angle, np.nan) for angle in (pitman, near, far))
    near_wheel = _wheel(steering.near_spin, steering.near_rod.axis, near)
    far_wheel = _wheel(steering.far_spin, steering.far_rod.axis, far)
    if steering.near_side == "left":
        return Steered(pitman, near, far, near_wheel, far_wheel, reach)
    return Steered(pitman, far, near, far_wheel, near_wheel, reach)


def _wheel(spin: Array, axis: Array, angle: Array) -> Array:
    x, y, _ = turn(spin, axis, angle)
    steered: Array = np.arctan2(-x, y)
    return steered


@dataclass(frozen=True, slots=True)
class Transmission:
    """How well each link turns what it drives: angles (...), rad, a right angle best and 0 at the dead point.

    at_arm:    drag link at the near knuckle; at 0 the drag link no longer turns the wheel
    at_pitman: drag link at the pitman arm; at 0 the wheels no longer turn the steering wheel, and it can do no more
    at_near, at_far: tie rod at either knuckle
    arm_margin, rod_margin: `dead_point_margin` of the drag link at the near knuckle and of the tie rod at the far one
    """

    at_arm: Array
    at_pitman: Array
    at_near: Array
    at_far: Array
    arm_margin: Array
    rod_margin: Array


def transmission(steering: Linkage, steered: Steered) -> Transmission:
    """Transmission angles and dead point margins in positions of `steer` or `at_stop`; NaN where not reached.

    The least of them over travel and lock is ``numpy.nanmin`` of each; look at ``steered.reach`` first, for a position
    that is not reached has none.
    """
    near, far = (steered.left, steered.right) if steering.near_side == "left" else (steered.right, steered.left)
    pitman, arm = steering.pitman, steering.arm
    pitman_end, arm_end = pitman.turned(steered.pitman), arm.turned(near)
    near_end, far_end = steering.near_rod.turned(near), steering.far_rod.turned(far)
    rod = steering.far_rod
    return Transmission(
        at_arm=transmission_angle(arm.pivot, arm.axis, arm_end, pitman_end),
        at_pitman=transmission_angle(pitman.pivot, pitman.axis, pitman_end, arm_end),
        at_near=transmission_angle(steering.near_rod.pivot, steering.near_rod.axis, near_end, far_end),
        at_far=transmission_angle(rod.pivot, rod.axis, far_end, near_end),
        arm_margin=dead_point_margin(arm.pivot, arm.axis, arm.end, pitman_end, steering.drag_link.length),
        rod_margin=dead_point_margin(rod.pivot, rod.axis, rod.end, near_end, steering.tie_rod.length),
    )


def steer_change(at_ride: Linkage, poses: Poses, pitman: ArrayLike) -> tuple[Array, Array]:
    """Steer that the axle's motion gives each wheel with the steering wheel held: left and right, rad, + to the left.

    With heave it is bump steer and with roll it is roll steer; both include the yaw of the axle. It is the wheel's
    angle in each pose less that at ride height with the pitman arm at the same ``pitman`` angle, which is one angle (),
    or (locks,) beside poses (poses,). Shape (poses,), or (locks, poses), or with builds (builds, poses) for one angle.
    NaN where the steering does not reach, in the pose or at ride height.
    """
    angle = np.asarray(pitman, np.float64)[..., None]
    there, ride = steer(carried(at_ride, poses), angle), steer(at_ride, angle[..., 0])
    return there.left_wheel - ride.left_wheel[..., None], there.right_wheel - ride.right_wheel[..., None]
