"""Steering at full lock: the swing of each knuckle, what prevents full lock, and the turning circle."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from buildcheck.build import Side
from buildcheck.job.curve import Array, PoseName, Spot, Unreached, poses_missing
from buildcheck.job.kept import Keeper, kept
from buildcheck.job.layout import axle_centre
from buildcheck.job.linkage import LEFT, RIGHT, inner_to, kingpin_of, linkage_at_ride, other, turn_of
from buildcheck.job.moving import MovingAxle
from buildcheck.job.resting import RestingAxle
from buildcheck.spec.quantity import Dimension
from buildcheck.steering.linkage import Linkage, carried
from buildcheck.steering.lock import Reach, Steered, Transmission, at_stop, transmission
from buildcheck.steering.turning_circle import (
    ackermann_share,
    centre_by_both,
    centre_by_inner,
    centre_by_outer,
    outer_tyre_radius,
)

IN_THE_WAY = {
    int(Reach.DRAG_LINK): "the drag link reaches its dead point, or is too short or too long",
    int(Reach.TIE_ROD): "the tie rod reaches its dead point, or is too short or too long",
}


def _in_the_way(reach: NDArray[np.int8]) -> str:
    return IN_THE_WAY.get(int(reach), "the links do not let the axle reach that pose")


class FullLock(NamedTuple):
    """The wheels at the stated lock to one side, with the axle at ride height: rad, SI.

    inner, outer:  angles of the wheel on that side and of the other one in plan, relative to the vehicle, as
                   magnitudes; the inner one is the lock that the spec states plus the yaw of the axle at rest
    ackermann:     their difference as a share of the ideal difference: 1 ideal, 0 parallel
    radius:        of the path of the middle of the outer front tyre, m, by both wheels; NaN where the angles are not
                   those of a turn
    by_inner, by_outer: the same by either wheel alone; all three are equal where both roll about one point
    drag_link, tie_rod: the smallest transmission angle of that link at either of its ends; at 0 the linkage is at its
                        dead point
    """

    inner: float
    outer: float
    ackermann: float
    radius: float
    by_inner: float
    by_outer: float
    drag_link: float
    tie_rod: float


class TurnedAxle(Keeper):
    """The whole steering of a build, from pitman arm to both wheels, turned to its stops.

    `about` returns the axle in all poses of its travel and articulation, which the spec must state for that; full lock
    at ride height needs neither. Raises Missing where the spec lacks a part of the steering, Unreached for links that
    each end on the other.
    """

    def __init__(self, resting: RestingAxle, about: Callable[[], MovingAxle]) -> None:
        super().__init__(resting.store, "turned axle")
        self._build = resting.build
        self._resting = resting
        self._about = about

    @kept
    def at_ride(self) -> Linkage:
        """Steering at ride height with the wheels straight ahead."""
        return linkage_at_ride(self._resting)

    @kept
    def carried(self) -> Linkage:
        """Steering with its knuckles moved with the axle to each pose: points (3, poses)."""
        return carried(self.at_ride, self._about().poses)

    def at_lock(self, side: Side) -> tuple[Steered, Transmission]:
        """Steering turned to its stop on one side in every pose, and its transmission angles."""

        def turned() -> tuple[Steered, Transmission]:
            stop = inner_to(self._build, side, self._build.steering.lock_angle)
            found = at_stop(self.carried, turn_of(side), stop)
            return found, transmission(self.carried, found)

        return self.keep(("at lock", side), turned)

    def in_the_way(self, side: Side) -> str:
        """Reason why the wheels do not reach full lock to one side in some pose, in words; empty where they always
        do."""
        found, _ = self.at_lock(side)
        stopped = found.reach != Reach.REACHED
        if not stopped.any():
            return ""
        first = int(stopped.argmax())
        where = "already at ride height" if first == 0 else "on the way through the travel"
        return f"{_in_the_way(found.reach[first])}, {where}"

    def least_angles(self, side: Side) -> tuple[Spot, Spot]:
        """Smallest transmission angle, rad, of the drag link and of the tie rod at full lock to one side, over the
        poses in which it is reached. Raises Unreached where there is none."""
        _, links = self.at_lock(side)
        return self._least(links.at_arm, links.at_pitman, side), self._least(links.at_near, links.at_far, side)

    def _least(self, one: Array, other_end: Array, side: Side) -> Spot:
        angles = np.fmin(one, other_end)
        if np.isnan(angles).all():
            raise Unreached(f"the wheels reach full lock to the {side} in no pose of the axle")
        lock = self._build.steering.lock_angle * (1.0 if side is LEFT else -1.0)
        worst, poses = int(np.nanargmin(angles)), self._about().poses
        at = PoseName(float(poses.heave[worst]), float(poses.roll[worst]), lock=lock)
        whose = f"the axle at full lock to the {side}"
        without = poses_missing(np.isfinite(angles), whose, "the links do not reach there")
        return Spot(float(angles[worst]), at, without, dimension=Dimension.ANGLE)

    def at_ride_height(self, side: Side, lock: float, called: str = "that lock") -> Steered:
        """Steering with the inner wheel turned to one side by `lock` (rad, above 0; see `swing_to`) at ride height.
        Raises Unreached where it does not reach it, with the reason; `called` is the name of the lock in the
        message."""
        found = at_stop(self.at_ride, turn_of(side), inner_to(self._build, side, lock))
        if found.reach != Reach.REACHED:
            raise Unreached(f"the wheels do not reach {called} to the {side}: {_in_the_way(found.reach)}")
        return found

    def full_lock(self, side: Side) -> FullLock:
        """State of the wheels at full lock to one side at ride height. Raises Unreached where they do not reach it."""
        found = self.at_ride_height(side, self._build.steering.lock_angle, "full lock")
        links = transmission(self.at_ride, found)
        wheels = {LEFT: abs(float(found.left_wheel)), RIGHT: abs(float(found.right_wheel))}
        inner, outer = wheels[side], wheels[other(side)]
        vehicle = self._build.vehicle
        wheelbase, on_floor = vehicle.wheelbase, {each: self._kingpin_on_floor(each) for each in (LEFT, RIGHT)}
        apart = abs(on_floor[LEFT] - on_floor[RIGHT])
        outboard = vehicle.track / 2 - abs(on_floor[other(side)] - axle_centre(self._build).y)
        both, by_inner, by_outer = (
            float(outer_tyre_radius(centre, outer, apart, wheelbase, outboard))
            for centre in (
                centre_by_both(inner, outer, wheelbase),
                centre_by_inner(inner, apart, wheelbase),
                centre_by_outer(outer, apart, wheelbase),
            )
        )
        return FullLock(
            inner,
            outer,
            float(ackermann_share(inner, outer, apart, wheelbase)),
            both,
            by_inner,
            by_outer,
            float(np.fmin(links.at_arm, links.at_pitman)),
            float(np.fmin(links.at_near, links.at_far)),
        )

    def _kingpin_on_floor(self, side: Side) -> float:
        """Distance to the left at which a kingpin axis meets the floor, m."""
        (_, y, z), axis = kingpin_of(self._build, side)
        return float(y - axis[1] / axis[2] * z)
