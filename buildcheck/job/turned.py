"""What turns with the wheels, in every pose of the axle and at shares of full lock: (3, poses, locks)."""

from __future__ import annotations

from functools import cached_property

import numpy as np

from buildcheck.build import Build, Point, Side
from buildcheck.job.curve import Array
from buildcheck.job.knuckle import kingpin_of, refuse_unsolved
from buildcheck.job.lock import KnuckleSwings
from buildcheck.job.moving import MovingAxle
from buildcheck.motion.cranks import Crank, coupling
from buildcheck.motion.rotation import turn
from buildcheck.motion.steering import swung


class Turned:
    """The knuckles and the pitman arm of a build with its axle moved and its wheels at shares (locks,) of full lock, to
    the left positive.

    The driver is taken to hold the wheels at that lock, so the knuckles swing alike in every pose, and the pitman arm
    stands where the drag link puts it. NaN where a link does not reach. Missing where the spec lacks what turns.
    """

    def __init__(self, build: Build, moving: MovingAxle, shares: Array) -> None:
        self._build = build
        self._moving = moving
        self._shares = shares

    @cached_property
    def _swings(self) -> dict[Side, Array]:
        return KnuckleSwings(self._build).at(self._shares)

    def point(self, point: Point | Array, side: Side) -> Array:
        """A point (3,) of a knuckle, as it stands at ride height, wheels straight ahead: (3, poses, locks) m."""
        moving = self._moving
        centre, axis = kingpin_of(self._build, side)
        carried, pivot = (moving.point(Point(*each))[:, :, None] for each in (point, centre))
        return swung(pivot, moving.direction(axis)[:, :, None], carried, self._swings[side])

    def direction(self, direction: Array, side: Side) -> Array:
        """A direction (3,) of a knuckle, wheels straight ahead: (3, poses, locks)."""
        axis = self._moving.direction(kingpin_of(self._build, side)[1])[:, :, None]
        return turn(self._moving.direction(direction)[:, :, None], axis, self._swings[side])

    @cached_property
    def arm_end(self) -> Array:
        """The drag link's end at the knuckle: (3, poses, locks) m."""
        link = self._build.steering.drag_link
        return self.point(link.arm, Side(link.knuckle))

    @cached_property
    def _pitman(self) -> tuple[Crank, Array]:
        """The pitman arm and its angle (poses, locks): its end runs on a circle about the sector shaft, and stands
        where the drag link's length puts it."""
        steering = self._build.steering
        link, arm = steering.drag_link, steering.pitman_arm
        refuse_unsolved(steering)
        centre, axis = kingpin_of(self._build, Side(link.knuckle))
        drawn = Crank(np.array(arm.pivot), np.array(arm.axis), np.array(link.pitman))
        rod = coupling(drawn, Crank(centre, axis, np.array(link.arm)))
        crank = Crank(*(each[:, None, None] for each in (drawn.pivot, drawn.axis, drawn.end)))
        held = Crank(np.zeros((3, 1, 1)), axis[:, None, None], self.arm_end)
        return crank, rod.first_angle(crank, held, 0.0)

    @property
    def pitman_end(self) -> Array:
        """The drag link's end at the pitman arm: (3, poses, locks) m."""
        crank, angle = self._pitman
        return crank.turned(angle)

    def on_pitman(self, direction: Array) -> Array:
        """A direction (3,) of the pitman arm, wheels straight ahead: (3, poses, locks)."""
        crank, angle = self._pitman
        return turn(direction[:, None, None], crank.axis, angle)
