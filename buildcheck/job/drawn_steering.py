"""Positions of points that turn with the wheels, for drawings."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from buildcheck.build import Point, Side
from buildcheck.job.curve import Array
from buildcheck.job.job import Job
from buildcheck.job.linkage import LATERAL, kingpin_of
from buildcheck.job.moving import MovingAxle
from buildcheck.job.steered_parts import Turned
from buildcheck.steering.swing import swung


class Held:
    """The steering in the poses in which the wheels are held at a lock of the pose.

    As in readings over lock, the inner knuckle is at a share of its swing to the stop that does not depend on the pose.
    `heave`, `roll` and `lock` are (poses,), m and rad; a pose with lock 0 is not held. `picks` are the held ones.
    Raises Missing where the spec lacks parts of the steering.
    """

    def __init__(self, job: Job, heave: Array, roll: Array, lock: Array) -> None:
        self.picks = np.flatnonzero(lock)
        if self.picks.size:
            share, self._which = np.unique(lock[self.picks] / job.build.steering.lock_angle, return_inverse=True)
            moving = job.moved(heave[self.picks], roll[self.picks])
            self._turned = Turned(job.build, moving, share)

    def put(self, points: Array, of: Callable[[Turned], Array]) -> Array:
        """Replace points (3, poses) in the held poses; `of` gives the new ones (3, held poses, locks)."""
        if not self.picks.size:
            return points
        points = points.copy()
        points[:, self.picks] = of(self._turned)[:, np.arange(self.picks.size), self._which]
        return points

    def steer(self, steer: Array, side: Side) -> Array:
        """Replace steer angles of a road wheel (poses,) rad, to the left positive, in the held poses."""
        if not self.picks.size:
            return steer
        across = self.put(np.zeros((3, len(steer))), lambda turned: turned.direction(LATERAL, side))
        steer = steer.copy()
        steer[self.picks] = np.arctan2(-across[0], across[1])[self.picks]
        return steer


class Steered:
    """Both knuckles of a moving axle, with the steering wheel at the lock of the moving axle; in the poses that are
    `held`, the wheels are at the locks of these."""

    def __init__(self, moving: MovingAxle, held: Held) -> None:
        self.moving = moving
        self._held = held

    @property
    def pitman_end(self) -> Array:
        """Position of the drag link's frame end: (3, poses) m."""
        return self._held.put(self.moving.knuckle.pitman_end, lambda turned: turned.pitman_end)

    @property
    def arm_end(self) -> Array:
        """Position of the drag link's axle end: (3, poses) m."""
        return self._held.put(self.moving.knuckle.arm_end, lambda turned: turned.arm_end)

    def rod_end(self, side: Side) -> Array:
        """Position of the tie rod's end on one side: (3, poses) m."""
        knuckle = self.moving.knuckle
        by_wheel = knuckle.ends.near if side is knuckle.side else knuckle.ends.far
        return self._held.put(by_wheel, lambda turned: turned.rod_ends[0 if side is Side.LEFT else 1])

    def point(self, point: Point, side: Side) -> Array:
        """Position in each pose of a point of a knuckle that the spec places straight ahead: (3, poses) m."""
        moving, knuckle = self.moving, self.moving.knuckle
        centre, axis = kingpin_of(moving.build, side)
        swing = knuckle.swing if side is knuckle.side else knuckle.other_swing
        by_wheel = swung(moving.point(Point(*centre)), moving.direction(axis), moving.point(point), swing)
        return self._held.put(by_wheel, lambda turned: turned.point(point, side))
