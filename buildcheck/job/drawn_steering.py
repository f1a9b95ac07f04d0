"""Points that turn with the wheels, where they are drawn."""

from __future__ import annotations

from functools import cached_property
from typing import Literal

import numpy as np

from buildcheck.build import Point, Side
from buildcheck.build.linkage import Steering
from buildcheck.job.curve import Array
from buildcheck.job.knuckle import pitman_at
from buildcheck.job.layout import distance
from buildcheck.job.moving import MovingAxle
from buildcheck.motion.steering import dead_point_side, kingpin_axis, swing, swung


class Steered:
    """Both knuckles of a moving axle, with the steering wheel held at the lock that the axle was moved with."""

    def __init__(self, moving: MovingAxle, lock: float) -> None:
        self.moving = moving
        self._lock = lock

    @property
    def _steering(self) -> Steering:
        return self.moving.build.steering

    @property
    def _near(self) -> Side:
        return Side(self._steering.drag_link.knuckle)

    @property
    def pitman_end(self) -> Array:
        """Where the pitman arm's end stands: (3, poses) m, the same in all."""
        end = (
            np.array(self._steering.drag_link.pitman) if self._lock == 0.0 else pitman_at(self.moving.build, self._lock)
        )
        return np.repeat(end[:, None], len(self.moving.poses.x), axis=1)

    def point(self, point: Point, side: Side) -> Array:
        """Where a point of a knuckle, as the spec places it straight ahead, stands in each pose: (3, poses) m."""
        swing_of_it = self.moving.knuckle.swing if side is self._near else self._other_swing
        return swung(self._centre(side), self._axis(side), self.moving.point(point), swing_of_it)

    @cached_property
    def _other_swing(self) -> Array:
        """Swing of the knuckle that the tie rod moves: what a drag link is to the other knuckle, the tie rod is to this
        one, so that the same closed form holds."""
        rod, far = self._steering.tie_rod, Side.RIGHT if self._near is Side.LEFT else Side.LEFT
        ends = {Side.LEFT: rod.left, Side.RIGHT: rod.right}
        placed = (np.array(self._steering.kingpins[far].centre), self._placed_axis(far))
        return swing(
            self._centre(far),
            self._axis(far),
            self.moving.point(ends[far]),
            self.point(ends[self._near], self._near),
            distance(rod.left, rod.right),
            dead_point_side(*placed, np.array(ends[far]), np.array(ends[self._near])),
        )

    def _centre(self, side: Side) -> Array:
        return self.moving.point(self._steering.kingpins[side].centre)

    def _axis(self, side: Side) -> Array:
        return self.moving.direction(self._placed_axis(side))

    def _placed_axis(self, side: Side) -> Array:
        name: Literal["left", "right"] = "left" if side is Side.LEFT else "right"
        axle = self.moving.build.axle
        return kingpin_axis(axle.caster, axle.kingpin_inclination, name)
