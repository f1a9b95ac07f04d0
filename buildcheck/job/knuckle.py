"""The knuckle that the drag link moves, in every pose; and points of a knuckle at full lock."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from typing import Literal

import numpy as np

from buildcheck.build import Build, Point, Side
from buildcheck.build.driveline import BrakeLine
from buildcheck.build.linkage import Steering
from buildcheck.job.curve import Array, Unreached
from buildcheck.job.layout import distance
from buildcheck.motion.rotation import turn
from buildcheck.motion.steering import dead_point_side, kingpin_axis, swing, swung, tie_rod_swing

LATERAL = np.array([0.0, 1.0, 0.0])


class Knuckle:
    """The knuckle that the drag link moves, with the steering wheel held.

    `moved` carries a point of the axle, and `turned` a direction, through all poses: (3,) to (3, poses). `lock` is the
    angle (rad, to the left positive) by which the steering wheel has turned the knuckle at ride height.
    """

    def __init__(
        self,
        build: Build,
        moved: Callable[[Point], Array],
        turned: Callable[[Array], Array],
        lock: float = 0.0,
    ) -> None:
        link = build.steering.drag_link
        refuse_unsolved(build.steering)
        side = Side(link.knuckle)
        self._axis = _axis(build, side)
        self._centre = build.steering.kingpins[side].centre
        self._link = link
        self._pitman = np.array(link.pitman) if lock == 0.0 else pitman_at(build, lock)
        self._moved = moved
        self._turned = turned

    @cached_property
    def swing(self) -> Array:
        """How far the knuckle swings about its kingpin in each pose: (poses,) rad, to the left positive."""
        link = self._link
        return swing(
            self._moved(self._centre),
            self._turned(self._axis),
            self._moved(link.arm),
            self._pitman,
            distance(link.pitman, link.arm),
            dead_point_side(np.array(self._centre), self._axis, np.array(link.arm), np.array(link.pitman)),
        )

    @cached_property
    def arm_end(self) -> Array:
        """Where the steering arm's end stands in each pose: (3, poses) m."""
        return swung(self._moved(self._centre), self._turned(self._axis), self._moved(self._link.arm), self.swing)

    @cached_property
    def steer(self) -> Array:
        """Steer angle of its road wheel, seen from above against the vehicle: (poses,) rad, positive to the left."""
        # The wheel's spin axis, turned about the carried kingpin axis; its trace on the floor is the steer.
        x, y, _ = turn(self._turned(LATERAL), self._turned(self._axis), self.swing)
        return np.asarray(np.arctan2(-x, y))


class OtherKnuckle:
    """The knuckle that the tie rod moves, with the steering wheel held; `near` is the one that the drag link moves."""

    def __init__(
        self,
        build: Build,
        near: Knuckle,
        moved: Callable[[Point], Array],
        turned: Callable[[Array], Array],
    ) -> None:
        rod = build.steering.tie_rod
        refuse_unsolved(build.steering)
        near_side = Side(build.steering.drag_link.knuckle)
        self._side = Side.RIGHT if near_side is Side.LEFT else Side.LEFT
        ends = {Side.LEFT: rod.left, Side.RIGHT: rod.right}
        self._near_end, self._end = ends[near_side], ends[self._side]
        kingpins = build.steering.kingpins
        self._near_centre, self._centre = kingpins[near_side].centre, kingpins[self._side].centre
        self._near_axis, self._axis = _axis(build, near_side), _axis(build, self._side)
        self._near, self._moved, self._turned = near, moved, turned

    @cached_property
    def steer(self) -> Array:
        """Steer angle of its road wheel, seen from above against the vehicle: (poses,) rad, positive to the left."""
        far_end, axis = np.array(self._end), self._axis
        swing_of_it = tie_rod_swing(
            self._moved(self._near_centre),
            self._turned(self._near_axis),
            self._moved(self._near_end),
            self._near.swing,
            self._moved(self._centre),
            self._turned(axis),
            self._moved(self._end),
            distance(self._near_end, self._end),
            dead_point_side(np.array(self._centre), axis, far_end, np.array(self._near_end)),
        )
        x, y, _ = turn(self._turned(LATERAL), self._turned(axis), swing_of_it)
        return np.asarray(np.arctan2(-x, y))


# Two angles of a knuckle that are nearer than this (rad) are one and the same.
SAME_ANGLE = 1e-6


def pitman_at(build: Build, lock: float) -> Array:
    """Where the pitman arm's end stands when it has turned the knuckle by `lock` (rad) with the axle at ride height.

    (3,) m; NaN where the pitman arm cannot turn it that far. The pitman arm swings about its shaft until the drag link
    fits between it and the turned steering arm: the same closed form as that of the knuckle.
    """
    steering = build.steering
    link, arm = steering.drag_link, steering.pitman_arm
    side = Side(link.knuckle)
    turned = swung(np.array(steering.kingpins[side].centre), _axis(build, side), np.array(link.arm), lock)
    pivot, shaft, end = np.array(arm.pivot), np.array(arm.axis), np.array(link.pitman)
    built = dead_point_side(pivot, shaft, end, np.array(link.arm))
    made = distance(link.pitman, link.arm)
    at = swung(pivot, shaft, end, swing(pivot, shaft, end, turned, made, built))
    # Beyond its dead point the knuckle does not come along: with the arm there it stands somewhere else.
    centre, axis, held = np.array(steering.kingpins[side].centre), _axis(build, side), np.array(link.arm)
    stands = swing(centre, axis, held, at, made, dead_point_side(centre, axis, held, np.array(link.pitman)))
    return at if abs(float(stands) - lock) < SAME_ANGLE else np.full(3, np.nan)


def at_lock(build: Build, hose: BrakeLine) -> list[Point]:
    """Where the end of a hose that turns with the knuckle on its side stands at full lock to the left and to the right,
    the axle at ride height."""
    side = Side.LEFT if hose.axle.y > 0 else Side.RIGHT
    centre = np.array(build.steering.kingpins[side].centre)
    lock = build.steering.lock_angle
    return [Point(*swung(centre, _axis(build, side), np.array(hose.axle), angle)) for angle in (lock, -lock)]


def refuse_unsolved(steering: Steering) -> None:
    """Raises Unreached, in a plain sentence, for the layouts of steering that a spec can state and that are not
    solved."""
    if steering.has("drag_link") and steering.drag_link.has("ends_on") and steering.drag_link.ends_on == "tie-rod":
        raise Unreached("a drag link that ends on the tie rod is not solved yet")
    refuse_unsolved_tie_rod(steering)


def refuse_unsolved_tie_rod(steering: Steering) -> None:
    """The same for what concerns the tie rod alone."""
    if steering.has("tie_rod") and steering.tie_rod.has("joined_to") and steering.tie_rod.joined_to == "drag-link":
        raise Unreached("a tie rod that is joined to the drag link is not solved yet")


def kingpin_of(build: Build, side: Side) -> tuple[Array, Array]:
    """A point (3,) of a kingpin axis at ride height, m, and the axis (3,), pointing up, of length 1."""
    return np.array(build.steering.kingpins[side].centre), _axis(build, side)


def _axis(build: Build, side: Side) -> Array:
    name: Literal["left", "right"] = "left" if side is Side.LEFT else "right"
    return kingpin_axis(build.axle.caster, build.axle.kingpin_inclination, name)
