"""The two knuckles in every pose with the steering wheel held, and points of a knuckle at full lock."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from buildcheck.build import Build, Point, Side
from buildcheck.build.driveline import BrakeLine
from buildcheck.job.curve import Array
from buildcheck.job.kept import Keeper, kept
from buildcheck.job.layout import distance, refuse_no_length
from buildcheck.job.linkage import LATERAL, joined_of, kingpin_of, linkage_at_ride, other, pitman_at, swing_to
from buildcheck.steering.cranks import Crank
from buildcheck.steering.linkage import Ends, Joined, carried
from buildcheck.steering.lock import ends_of, steer
from buildcheck.steering.swing import dead_point_side, swung, wheel_steer

if TYPE_CHECKING:
    from buildcheck.job.moving import MovingAxle


class Knuckle(Keeper):
    """The knuckle that the drag link moves, or, where the drag link ends on the tie rod, the one that the spec names.

    `lock` is the angle (rad, to the left positive) to which the steering wheel has turned the inner wheel at ride
    height, measured as in `swing_to`. Raises Missing where the spec lacks the drag link; Unreached where the drag link
    and the tie rod each end on the other.
    """

    def __init__(self, moving: MovingAxle, lock: float = 0.0) -> None:
        super().__init__(moving.store, *moving.key, "knuckle")
        build = moving.build
        self.moving = moving
        self._lock = lock
        self._link = build.steering.drag_link
        self._joined = joined_of(build.steering)
        self.side = Side(self._link.knuckle)

    @kept
    def _both(self) -> tuple[Array, Array, Ends]:
        """Swings (poses,) rad of this knuckle and of the other one, and the ends of the links; raises Missing without a
        tie rod."""
        at_ride = linkage_at_ride(self.moving.resting, straight=self._lock == 0.0)
        pitman = pitman_at(self.moving.build, at_ride, self._lock) if self._lock else 0.0
        there = carried(at_ride, self.moving.poses)
        found = steer(there, pitman)
        near, far = (found.left, found.right) if self.side is Side.LEFT else (found.right, found.left)
        return near, far, ends_of(there, found)

    @property
    def _alone(self) -> bool:
        """Whether the drag link alone sets the angle of this knuckle, so that the spec need not have a tie rod."""
        return self._lock == 0.0 and self._joined is not Joined.LINK_ON_ROD

    @property
    def _arm(self) -> Crank:
        """The knuckle with the drag link's end, moved with the axle: (3, poses)."""
        centre, axis = kingpin_of(self.moving.build, self.side)
        return Crank(self.moving.point(Point(*centre)), self.moving.direction(axis), self.moving.point(self._link.arm))

    @kept
    def swing(self) -> Array:
        """Swing of the knuckle about its kingpin in each pose: (poses,) rad, to the left positive."""
        if not self._alone:
            return self._both[0]
        link = self._link
        refuse_no_length(link, link.pitman, link.arm)
        pitman, arm = np.array(link.pitman), np.array(link.arm)
        built = dead_point_side(*kingpin_of(self.moving.build, self.side), arm, pitman)
        return self._arm.reaching(pitman, distance(link.pitman, link.arm), built)

    @property
    def other_swing(self) -> Array:
        """Swing of the other knuckle about its kingpin in each pose: (poses,) rad, to the left positive."""
        return self._both[1]

    @property
    def ends(self) -> Ends:
        """Positions of the ends of the drag link and of the tie rod in each pose: (3, poses) m."""
        return self._both[2]

    @kept
    def arm_end(self) -> Array:
        """Position of the drag link's axle end in each pose: (3, poses) m."""
        return self._arm.turned(self.swing) if self._alone else self.ends.arm

    @property
    def pitman_end(self) -> Array:
        """Position of the drag link's frame end: (3, poses) m, the same in all."""
        if self._lock:
            return self.ends.pitman
        return np.repeat(np.array(self._link.pitman)[:, None], len(self.moving.poses.x), axis=1)

    @kept
    def steer(self) -> Array:
        """Steer angle of its road wheel, seen from above against the vehicle: (poses,) rad, positive to the left."""
        return _steer(self.moving, self.side, self.swing)


class OtherKnuckle(Keeper):
    """The knuckle on the other side; `near` is the one that the drag link moves. Raises Missing without a tie rod."""

    def __init__(self, near: Knuckle) -> None:
        super().__init__(near.store, *near.key, "other")
        _ = near.moving.build.steering.tie_rod
        self._near = near

    @kept
    def steer(self) -> Array:
        """Steer angle of its road wheel, seen from above against the vehicle: (poses,) rad, positive to the left."""
        return _steer(self._near.moving, other(self._near.side), self._near.other_swing)


def _steer(moving: MovingAxle, side: Side, swing: Array) -> Array:
    axis = kingpin_of(moving.build, side)[1]
    return wheel_steer(moving.direction(LATERAL), moving.direction(axis), swing)


def at_lock(build: Build, hose: BrakeLine) -> list[Point]:
    """Positions of the knuckle end of a hose at full lock to the left and to the right, with the axle at ride height.

    The wheel on its side is assumed to turn as far outwards as inwards. As the outer wheel it may turn less, because of
    the tie rod; a hose that is long enough for the larger angle is long enough for that too. Raises Unreached where the
    lean of the kingpin keeps the wheel from reaching such a lock.
    """
    side = Side.LEFT if hose.axle.y > 0 else Side.RIGHT
    centre, axis = kingpin_of(build, side)
    lock = build.steering.lock_angle
    swings = [swing_to(build, side, wheel) for wheel in (lock, -lock)]
    return [Point(*swung(centre, axis, np.array(hose.axle), angle)) for angle in swings]
