"""The wheels turned: how far each knuckle swings, what stands in the way, and what it means on the road."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from typing import Literal, NamedTuple

import numpy as np

from buildcheck.build import Build, Point, Side
from buildcheck.job.curve import Array, PoseName, Spot, Unreached
from buildcheck.job.knuckle import LATERAL, kingpin_of, refuse_unsolved, refuse_unsolved_tie_rod
from buildcheck.job.layout import axle_centre
from buildcheck.job.moving import MovingAxle
from buildcheck.motion.cranks import Coupling, Crank, coupling
from buildcheck.motion.lock import Linkage, Reach, Steered, Transmission, at_stop, linkage, transmission
from buildcheck.motion.steering import swing_for_steer
from buildcheck.motion.turning import ackermann_share, turning_radius

LEFT, RIGHT = Side.LEFT, Side.RIGHT
Turn = Literal["left", "right"]

IN_THE_WAY = {
    int(Reach.DRAG_LINK): "the drag link comes to its dead point, or does not reach",
    int(Reach.TIE_ROD): "the tie rod comes to its dead point, or does not reach",
}


def other(side: Side) -> Side:
    """The other side."""
    return RIGHT if side is LEFT else LEFT


class FullLock(NamedTuple):
    """The wheels turned to one side as far as the stated lock, the axle at ride height: rad, SI.

    inner, outer:  how far the wheel on that side and the other one are turned, as magnitudes
    ackermann:     their difference as a share of that at which both roll about one point: 1 ideal, 0 parallel
    radius:        of the circle that the middle of the outer front tyre runs on, m
    drag_link, tie_rod: the smallest angle between that link and the arm that it turns, at either of its ends; at 0 the
                   linkage stands at its dead point
    """

    inner: float
    outer: float
    ackermann: float
    radius: float
    drag_link: float
    tie_rod: float


class KnuckleSwings:
    """How far both knuckles swing about their kingpins as the wheels are turned to their stops: the tie rod's doing.

    Both knuckles ride on the axle, so these are the same in every pose. Missing where the spec lacks the kingpins, the
    tie rod or the lock angle.
    """

    def __init__(self, build: Build) -> None:
        steering = build.steering
        rod = steering.tie_rod
        refuse_unsolved_tie_rod(steering)
        self._cranks = {
            side: Crank(*kingpin_of(build, side), np.array(end)) for side, end in ((LEFT, rod.left), (RIGHT, rod.right))
        }
        self._rod = coupling(self._cranks[LEFT], self._cranks[RIGHT])
        self._lock = steering.lock_angle

    def inner(self, side: Side) -> float:
        """Swing of a knuckle that turns its own wheel to the stated lock on its own side: rad, to the left positive."""
        sign = 1.0 if side is LEFT else -1.0
        found = float(swing_for_steer(sign * self._lock, self._cranks[side].axis, LATERAL))
        if not np.isfinite(found):
            raise Unreached(f"the lean of the {side} kingpin lets its wheel come to no such lock")
        return found

    def at(self, shares: Array) -> dict[Side, Array]:
        """Swing of each knuckle at shares (locks,) of full lock, to the left positive; NaN beyond the tie rod's dead
        point."""
        left, right = self._cranks[LEFT], self._cranks[RIGHT]
        inner = np.where(shares >= 0, shares * self.inner(LEFT), -shares * self.inner(RIGHT))
        return {
            LEFT: np.where(shares >= 0, inner, self._rod.first_angle(left, right, inner)),
            RIGHT: np.where(shares >= 0, self._rod.second_angle(left, right, inner), inner),
        }


class TurnedAxle:
    """The whole steering of a build, from pitman arm to both wheels, in the poses of a moving axle, ride height first.

    Missing where the spec lacks a part of the steering, Unreached for a layout that is not solved.
    """

    def __init__(self, moving: MovingAxle) -> None:
        self._build = moving.build
        self._moving = moving
        refuse_unsolved(moving.build.steering)
        self._swings = KnuckleSwings(moving.build)
        self._found: dict[Side, tuple[Steered, Transmission]] = {}

    @cached_property
    def drawn(self) -> Linkage:
        """The steering as the spec draws it, the wheels straight ahead."""
        steering = self._build.steering
        link, rod, arm = steering.drag_link, steering.tie_rod, steering.pitman_arm
        near = Side(link.knuckle)
        ends = {LEFT: rod.left, RIGHT: rod.right}
        name: Turn = "left" if near is LEFT else "right"
        return linkage(
            shaft=(np.array(arm.pivot), np.array(arm.axis)),
            pitman_end=np.array(link.pitman),
            near_kingpin=kingpin_of(self._build, near),
            arm_end=np.array(link.arm),
            near_rod_end=np.array(ends[near]),
            far_kingpin=kingpin_of(self._build, other(near)),
            far_rod_end=np.array(ends[other(near)]),
            near_side=name,
        )

    @cached_property
    def carried(self) -> Linkage:
        """The same with its knuckles where the axle stands: points (3, poses)."""
        steering = self._build.steering
        drawn, near = self.drawn, Side(steering.drag_link.knuckle)
        ends = {LEFT: steering.tie_rod.left, RIGHT: steering.tie_rod.right}

        def crank(side: Side, end: Point) -> Crank:
            centre, axis = steering.kingpins[side].centre, kingpin_of(self._build, side)[1]
            return Crank(self._moving.point(centre), self._moving.direction(axis), self._moving.point(end))

        def still(link: Coupling) -> Coupling:
            return Coupling(link.length[..., None], link.first_side[..., None], link.second_side[..., None])

        pitman = Crank(drawn.pitman.pivot[:, None], drawn.pitman.axis[:, None], drawn.pitman.end[:, None])
        spin = self._moving.direction(LATERAL)
        return replace(
            drawn,
            pitman=pitman,
            arm=crank(near, steering.drag_link.arm),
            near_rod=crank(near, ends[near]),
            far_rod=crank(other(near), ends[other(near)]),
            near_spin=spin,
            far_spin=spin,
            drag_link=still(drawn.drag_link),
            tie_rod=still(drawn.tie_rod),
        )

    def at_lock(self, side: Side) -> tuple[Steered, Transmission]:
        """The steering turned to its stop on one side in every pose, and how well its links turn their arms there."""
        if side not in self._found:
            name: Turn = "left" if side is LEFT else "right"
            found = at_stop(self.carried, name, self._swings.inner(side))
            self._found[side] = found, transmission(self.carried, found)
        return self._found[side]

    def in_the_way(self, side: Side) -> str:
        """What keeps the wheels from full lock to one side in any of the poses, in words; empty where nothing does."""
        found, _ = self.at_lock(side)
        stopped = found.reach != Reach.REACHED
        if not stopped.any():
            return ""
        first = int(stopped.argmax())
        way = IN_THE_WAY.get(int(found.reach[first]), "the links do not let the axle come there")
        return f"{way}, {'already at ride height' if first == 0 else 'on the way through the travel'}"

    def least_angles(self, side: Side) -> tuple[Spot, Spot]:
        """The smallest angle, rad, that the drag link and the tie rod make with an arm that they turn, at full lock to
        one side in any of the poses that it is come to in. Unreached where that is none."""
        _, links = self.at_lock(side)
        return self._least(links.at_arm, links.at_pitman), self._least(links.at_near, links.at_far)

    def _least(self, one: Array, other_end: Array) -> Spot:
        angles = np.fmin(one, other_end)
        if np.isnan(angles).all():
            raise Unreached("the wheels come to full lock in no pose of the axle")
        worst, poses = int(np.nanargmin(angles)), self._moving.poses
        return Spot(float(angles[worst]), PoseName(float(poses.heave[worst]), float(poses.roll[worst])))

    def full_lock(self, side: Side) -> FullLock:
        """What the wheels do at full lock to one side at ride height. Unreached where they do not come to it."""
        pose = 0
        found, links = self.at_lock(side)
        if found.reach[pose] != Reach.REACHED:
            way = IN_THE_WAY.get(int(found.reach[pose]), "the links do not let the axle come there")
            raise Unreached(f"the wheels do not come to full lock to the {side}: {way}")
        wheels = {LEFT: abs(float(found.left_wheel[pose])), RIGHT: abs(float(found.right_wheel[pose]))}
        inner, outer = wheels[side], wheels[other(side)]
        vehicle = self._build.vehicle
        on_floor = {each: self._kingpin_on_floor(each) for each in (LEFT, RIGHT)}
        apart = abs(on_floor[LEFT] - on_floor[RIGHT])
        outboard = vehicle.track / 2 - abs(on_floor[other(side)] - axle_centre(self._build).y)
        return FullLock(
            inner,
            outer,
            float(ackermann_share(inner, outer, apart, vehicle.wheelbase)),
            float(turning_radius(outer, vehicle.wheelbase, outboard)),
            float(min(links.at_arm[pose], links.at_pitman[pose])),
            float(min(links.at_near[pose], links.at_far[pose])),
        )

    def _kingpin_on_floor(self, side: Side) -> float:
        """How far to the left a kingpin axis meets the floor, m."""
        (_, y, z), axis = kingpin_of(self._build, side)
        return float(y - axis[1] / axis[2] * z)
