"""A steering linkage: pitman arm, drag link, tie rod and the two knuckles, and how its links are joined.

The drag link and the tie rod each end on a knuckle; or the tie rod's near end is fixed to the drag link; or the drag
link's axle end is fixed to the tie rod. A link that holds the end of another may turn about its own line by an unknown
angle. Such an end is therefore assumed to lie on the line between the two ends of the link that holds it: a point there
does not move as the link turns about that line.

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
    """Parts on which the drag link and the tie rod end."""

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
    near_side:          the side of the knuckle that the drag link moves; of either knuckle where it moves the tie rod
    joined:             parts on which the links end
    share:              (...) position of the joint between the links as a share of the length of the link that carries
                        it: of the drag link from the pitman arm, of the tie rod from the near knuckle; 1 where
                        both links end on the knuckles
    straight:           (3, ...) position that the pitman arm's end would have if it had moved with the axle from ride
                        height
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
    """Positions of the links' ends, (3, ...) m: of the drag link at the pitman arm and at the part that it moves, and
    of the tie rod towards the near and the far knuckle."""

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
    """Make the steering as built from points at ride height with the wheels straight ahead.

    Args:
        shaft: a point of the sector shaft and its direction; (3,) or (3, builds), as for all others, points in m.
        pitman_end: drag link's end on the pitman arm.
        near_kingpin, far_kingpin: a point of each kingpin axis, and the axis pointing up. Near is the drag link's.
        arm_end: drag link's other end. If fixed to the tie rod, its nearest point on the tie rod's line is used.
        near_rod_end, far_rod_end: the tie rod's ends. If the near one is fixed to the drag link, its nearest point on
            the drag link's line is used.
        near_side: "left" or "right".
        near_spin, far_spin: axes of spin of the wheels, pointing left.
        joined: parts on which the links end.

    Crossover and push-pull layouts differ only in these numbers. Raises ValueError for any other side.
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
    """Raise ValueError for a side that is neither "left" nor "right"."""
    if side not in ("left", "right"):
        raise ValueError(f'a side is "left" or "right", not {side!r}')


def between(first: Array, last: Array, share: Array) -> Array:
    """Point at a share (...) of the way from one point (3, ...) to another: (3, ...)."""
    first, last, along = aligned(first, last, np.asarray(share)[None])
    return np.asarray(first + along * (last - first))


def _share(first: Array, last: Array, point: Array) -> Array:
    """Share of the way from ``first`` to ``last`` at which the line is nearest to ``point``: (...)."""
    first, last, point = aligned(first, last, point)
    way = last - first
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(dot(point - first, way) / dot(way, way))


def _crank(pivot: ArrayLike, axis: ArrayLike, end: ArrayLike) -> Crank:
    return Crank(*(np.asarray(part, np.float64) for part in (pivot, axis, end)))


def carried(at_ride: Linkage, poses: Poses) -> Linkage:
    """Move the knuckles of a steering with the axle to each pose; the pitman arm stays with the frame.

    ``at_ride`` has points (3,), or (3, builds) with poses (builds, poses); the result has (3, ..., poses). Lengths and
    sides remain those at ride height. Poses that are not solved give NaN.
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
    """Add one more axis, of poses or of locks, after the axes of a steering's points."""

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
    """Positions of the links' ends with the pitman arm and the knuckles turned by angles (...), rad; NaN for NaN."""
    at_pitman, far_end = steering.pitman.turned(pitman), steering.far_rod.turned(far)
    if steering.joined is Joined.LINK_ON_ROD:
        near_end = steering.near_rod.turned(near)
        return Ends(at_pitman, between(near_end, far_end, steering.share), near_end, far_end)
    arm_end = steering.arm.turned(near)
    if steering.joined is Joined.ROD_ON_LINK:
        return Ends(at_pitman, arm_end, between(at_pitman, arm_end, steering.share), far_end)
    return Ends(at_pitman, arm_end, steering.near_rod.turned(near), far_end)
