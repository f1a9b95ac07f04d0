"""Points that turn with the wheels, where they are drawn."""

from __future__ import annotations

from buildcheck.build import Point, Side
from buildcheck.job.curve import Array
from buildcheck.job.linkage import kingpin_of
from buildcheck.job.moving import MovingAxle
from buildcheck.motion.steering import swung


class Steered:
    """Both knuckles of a moving axle, with the steering wheel held at the lock that the axle was moved with."""

    def __init__(self, moving: MovingAxle) -> None:
        self.moving = moving

    @property
    def pitman_end(self) -> Array:
        """Where the drag link's frame end stands: (3, poses) m."""
        return self.moving.knuckle.pitman_end

    @property
    def arm_end(self) -> Array:
        """Where the drag link's axle end stands: (3, poses) m."""
        return self.moving.knuckle.arm_end

    def rod_end(self, side: Side) -> Array:
        """Where the tie rod's end on one side stands: (3, poses) m."""
        knuckle = self.moving.knuckle
        return knuckle.ends.near if side is knuckle.side else knuckle.ends.far

    def point(self, point: Point, side: Side) -> Array:
        """Where a point of a knuckle, as the spec places it straight ahead, stands in each pose: (3, poses) m."""
        moving, knuckle = self.moving, self.moving.knuckle
        centre, axis = kingpin_of(moving.build, side)
        swing = knuckle.swing if side is knuckle.side else knuckle.other_swing
        return swung(moving.point(Point(*centre)), moving.direction(axis), moving.point(point), swing)
