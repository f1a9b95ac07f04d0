"""The knuckle that the drag link moves, in every pose; and points of a knuckle at full lock."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from typing import Literal

import numpy as np

from buildcheck.build import Build, Point, Side
from buildcheck.job.curve import Array
from buildcheck.job.layout import distance
from buildcheck.motion.rotation import turn
from buildcheck.motion.steering import dead_point_side, kingpin_axis, swing, swung

LATERAL = np.array([0.0, 1.0, 0.0])


class Knuckle:
    """The knuckle that the drag link moves, with the steering wheel held straight ahead.

    `moved` carries a point of the axle, and `turned` a direction, through all poses: (3,) to (3, poses).
    """

    def __init__(self, build: Build, moved: Callable[[Point], Array], turned: Callable[[Array], Array]) -> None:
        link = build.steering.drag_link
        side = Side(link.knuckle)
        self._axis = _axis(build, side)
        self._centre = build.steering.kingpins[side].centre
        self._link = link
        self._moved = moved
        self._turned = turned

    @cached_property
    def _swing(self) -> Array:
        pitman = np.array(self._link.pitman)
        return swing(
            self._moved(self._centre),
            self._turned(self._axis),
            self._moved(self._link.arm),
            pitman,
            distance(self._link.pitman, self._link.arm),
            dead_point_side(np.array(self._centre), self._axis, np.array(self._link.arm), pitman),
        )

    @cached_property
    def arm_end(self) -> Array:
        """Where the steering arm's end stands in each pose: (3, poses) m."""
        return swung(self._moved(self._centre), self._turned(self._axis), self._moved(self._link.arm), self._swing)

    @cached_property
    def steer(self) -> Array:
        """Steer angle of its road wheel, seen from above against the vehicle: (poses,) rad, positive to the left."""
        # The wheel's spin axis, turned about the carried kingpin axis; its trace on the floor is the steer.
        x, y, _ = turn(self._turned(LATERAL), self._turned(self._axis), self._swing)
        return np.asarray(np.arctan2(-x, y))


def at_lock(build: Build, side: Side, point: Point) -> list[Point]:
    """Where a point of one side's knuckle stands at full lock to the left and to the right, the axle at ride height."""
    centre = np.array(build.steering.kingpins[side].centre)
    lock = build.steering.lock_angle
    return [Point(*swung(centre, _axis(build, side), np.array(point), angle)) for angle in (lock, -lock)]


def _axis(build: Build, side: Side) -> Array:
    name: Literal["left", "right"] = "left" if side is Side.LEFT else "right"
    return kingpin_axis(build.axle.caster, build.axle.kingpin_inclination, name)
