"""A steering linkage: pitman arm, drag link, tie rod and the two knuckles, and how the links are joined to each other.

The drag link and the tie rod each end on a knuckle; or the tie rod's near end is fixed to the drag link; or the drag
link's axle end is fixed to the tie rod. A link that holds the end of another may turn about its own line, and nothing
says how far, so such an end is taken to lie on the line between the two ends of the link that holds it: that point does
not move as the link turns about that line.

Vehicle axes (x forward, y left, z up), metres; vectors hold (x, y, z) on their first axis, and the axes after it
broadcast from the right.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.axle.rotation import attitude, carry, carry_direction
from buildcheck.axle.vectors import Array, aligned, dot
from buildcheck.steering.cranks import Coupling, Crank, coupling

if TYPE_CHECKING:
    from buildcheck.axle.poses import Poses

Turn = Literal["left", "right"]


class Joined(Enum):
    """Where the links of a steering end."""

    KNUCKLES = "knuckles"
    """The drag link on the near knuckle, the tie rod on both."""
    ROD_ON_LINK = "rod on link"
    """The drag link on the near knuckle; the tie rod on the far knuckle and on the drag link."""
    LINK_ON_ROD = "link on rod"
    """The tie rod on both knuckles; the drag link on the tie rod."""


@dataclass(frozen=True, slots=True)
class Linkage:
    """The steering, its knuckles and their wheels, straight ahead.

    pitman:             the pitman arm about the sector shaft, fixed to the frame
    arm:                the near knuckle about its kingpin with the drag link's end, which is on it or on the tie rod
    near_rod, far_rod:  the two knuckles about their kingpins with the tie rod's ends; the near one may be on the drag
                        link
    near_spin, far_spin: (3, ...) axes of spin of the two wheels, pointing left; they carry camber and static toe
    near_side:          the side of the knuckle that the drag link moves, or, where it moves the tie rod, of either
    joined:             where the links end
    share:              (...) how far along the link that holds it the other's end lies: along the drag link from the
                        pitman arm, along the tie rod from the near knuckle; 1 and 0 where each ends on the knuckles
    straight:           (3, ...) where the pitman arm's end would stand had it gone along with the axle from ride height
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
    joined: Joined
    share: Array
    straight: Array


@dataclass(frozen=True, slots=True)
class Ends:
    """Where the links' ends stand: (3, ...) m. The drag link's at the pitman arm and at what it moves, and the tie
    rod's towards the near and the far knuckle."""

    pitman: Array
    arm: Array
    near: Array
    far: Array


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
    joined: Joined = Joined.KNUCKLES,
) -> Linkage:
    """The steering as built, from points at ride height with the wheels straight ahead.

    Args:
        shaft: a point of the sector shaft and its direction; (3,) or (3, builds) as all that follow, points in m.
        pitman_end: drag link's end on the pitman arm.
        near_kingpin, far_kingpin: a point of each kingpin axis, and the axis pointing up. Near is the drag link's.
        arm_end: drag link's other end. Fixed to the tie rod, it is taken at its nearest point on the tie rod's line.
        near_rod_end, far_rod_end: the tie rod's ends. Fixed to the drag link, the near one is taken likewise.
        near_side: "left" or "right".
        near_spin, far_spin: axes of spin of the wheels, pointing left.
        joined: where the links end.

    Crossover and push-pull layouts differ in these numbers alone. Raises ValueError for any other side.
    """
    refuse_side(near_side)
    pitman_end, arm_end, near_rod_end, far_rod_end = (
        np.asarray(end, np.float64) for end in (pitman_end, arm_end, near_rod_end, far_rod_end)
    )
    share = np.asarray(float(joined is Joined.KNUCKLES))
    if joined is Joined.ROD_ON_LINK:
        share = _share(pitman_end, arm_end, near_rod_end)
        near_rod_end = between(pitman_end, arm_end, share)
    elif joined is Joined.LINK_ON_ROD:
        share = _share(near_rod_end, far_rod_end, arm_end)
        arm_end = between(near_rod_end, far_rod_end, share)
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
        joined=joined,
        share=share,
        straight=pitman_end,
    )


def refuse_side(side: str) -> None:
    """Raise ValueError for what is neither "left" nor "right"."""
    if side not in ("left", "right"):
        raise ValueError(f'a side is "left" or "right", not {side!r}')


def between(first: Array, last: Array, share: Array) -> Array:
    """The point a share (...) of the way from one point (3, ...) to another: (3, ...)."""
    first, last, along = aligned(first, last, np.asarray(share)[None])
    return np.asarray(first + along * (last - first))


def _share(first: Array, last: Array, point: Array) -> Array:
    """How far along the line from ``first`` to ``last`` the nearest point to ``point`` lies: (...)."""
    first, last, point = aligned(first, last, point)
    way = last - first
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(dot(point - first, way) / dot(way, way))


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

    still = with_axis(at_ride)
    return replace(
        still,
        arm=moved(at_ride.arm),
        near_rod=moved(at_ride.near_rod),
        far_rod=moved(at_ride.far_rod),
        near_spin=carry_direction(poses, at_ride.near_spin, turned),
        far_spin=carry_direction(poses, at_ride.far_spin, turned),
        straight=carry(poses, at_ride.straight, turned),
    )


def with_axis(steering: Linkage) -> Linkage:
    """The same steering beside one more axis, of poses or of locks, after those that its points have."""

    def wide(crank: Crank) -> Crank:
        return Crank(crank.pivot[..., None], crank.axis[..., None], crank.end[..., None])

    return replace(
        steering,
        pitman=wide(steering.pitman),
        arm=wide(steering.arm),
        near_rod=wide(steering.near_rod),
        far_rod=wide(steering.far_rod),
        near_spin=steering.near_spin[..., None],
        far_spin=steering.far_spin[..., None],
        drag_link=steering.drag_link.with_axis(),
        tie_rod=steering.tie_rod.with_axis(),
        share=steering.share[..., None],
        straight=steering.straight[..., None],
    )


def ends(steering: Linkage, pitman: ArrayLike, near: ArrayLike, far: ArrayLike) -> Ends:
    """Where the links' ends stand with the pitman arm and the knuckles turned by angles (...), rad; NaN for NaN."""
    at_pitman, far_end = steering.pitman.turned(pitman), steering.far_rod.turned(far)
    if steering.joined is Joined.LINK_ON_ROD:
        near_end = steering.near_rod.turned(near)
        return Ends(at_pitman, between(near_end, far_end, steering.share), near_end, far_end)
    arm_end = steering.arm.turned(near)
    if steering.joined is Joined.ROD_ON_LINK:
        return Ends(at_pitman, arm_end, between(at_pitman, arm_end, steering.share), far_end)
    return Ends(at_pitman, arm_end, steering.near_rod.turned(near), far_end)
