"""Turning the wheels of the standing truck: torques at the kingpins, forces in the steering, and the load on the axle.

The truck stands at ride height; the wheels are turned either way, straight ahead and at full lock to each side.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from buildcheck.axle.vectors import Array, aligned, cross, dot, size, unit
from buildcheck.build import Point, Side
from buildcheck.job.curve import Unreached
from buildcheck.job.kept import Keeper, kept
from buildcheck.job.linkage import LEFT, RIGHT, inner_to, kingpin_of, linkage_at_ride, other, turn_of
from buildcheck.job.resting import RestingAxle
from buildcheck.job.steering_damper import damper_share, damper_side, moving_end
from buildcheck.steering.forces import Push, SteeringForces, scrub_torque, steering_forces
from buildcheck.steering.linkage import Ends, Linkage, ends
from buildcheck.steering.lock import Reach, at_stop, steer
from buildcheck.steering.swing import swung
from buildcheck.strength.load_cases import GRAVITY
from buildcheck.strength.statics import Load

PLACES = ("straight ahead", "at full lock to the left", "at full lock to the right")
UPWARD = np.array([0.0, 0.0, 1.0])


class Standing(NamedTuple):
    """The steering in each position and direction in which the wheels are turned, on the last axis (columns).

    where:  the position and direction in words: `turned to the left, straight ahead`
    at:     the links' ends, (3, columns) m
    forces: in both rods, N
    loads:  on the axle, in addition to that at rest
    damper: force of the steering damper on what its fixed end is on, (3, columns) N; zero without one
    """

    where: tuple[str, ...]
    at: Ends
    forces: SteeringForces
    loads: list[Load]
    damper: Array


class _Damper(NamedTuple):
    """The steering damper: its moving end, (3, columns) m; its force there, and that force where the frame gives it,
    (3, columns) N; its torque about a kingpin, N m; its forces on the drag link and on the tie rod, whose first end is
    the near one."""

    point: Array
    push: Array
    from_frame: Array
    about: dict[Side, Array] = {}  # noqa: RUF012
    on_link: tuple[Push, ...] = ()
    on_rod: tuple[Push, ...] = ()


class StandingSteering(Keeper):
    """The steering of a build that stands at ride height, its wheels turned against the friction `mu` of the ground."""

    def __init__(self, resting: RestingAxle, friction: float) -> None:
        super().__init__(resting.store, "standing steering", friction)
        self._build = resting.build
        self._resting = resting
        self._friction = friction

    @kept
    def solved(self) -> Standing:
        """Forces and loads. Raises Missing for what the spec lacks of steering, tyre and weight, Unreached where the
        wheels do not reach full lock or the steering is at a dead point."""
        steering, swings, pitman = self._positions()
        # The ground resists: its torque is to the right, below zero, as the wheels are turned to the left.
        one_way = np.tile([-1.0, 1.0], len(pitman) // 2)
        at = _ends(steering, pitman, swings)
        near: Side = LEFT if steering.near_side == "left" else RIGHT
        centre = np.asarray(self._resting.rest.layout.centre)
        weight = self._build.vehicle.axle_load * GRAVITY / 2
        torques: dict[Side, Array] = {}
        couple, shifted = np.zeros((3, len(pitman))), np.zeros((3, len(pitman)))
        for side in (LEFT, RIGHT):
            pivot, axis = self._kingpin(side)
            straight = self._contact(side, np.zeros(1))
            contact = self._contact(side, swings[side])
            friction = one_way * self._scrub(pivot, axis, straight[:, 0], weight)
            lever, up = aligned(contact - pivot[:, None], weight * UPWARD)
            torques[side] = friction + dot(axis[:, None], cross(lever, up))
            couple = couple + friction * axis[:, None]
            shifted = shifted + cross(*aligned(contact - straight, weight * UPWARD))
        damper = self._damper(steering, at, swings, one_way)
        for side, torque in damper.about.items():
            torques[side] = torques[side] + torque
        forces = steering_forces(steering, at, torques[near], torques[other(near)], damper.on_link, damper.on_rod)
        if not all(np.isfinite(rod.first).all() for rod in (forces.drag_link, forces.tie_rod)):
            raise Unreached("the steering is at a dead point, where no force turns the wheels")
        # All that the frame does to axle, wheels and rods passes through the drag link's end at the pitman arm.
        loads = [
            Load.at(centre, at.pitman[:, each], -forces.drag_link.first[:, each])
            + Load.at(centre, damper.point[:, each], damper.from_frame[:, each])
            + Load.torque(couple[:, each] + shifted[:, each])
            for each in range(len(pitman))
        ]
        where = tuple(f"turned to the {way}, {place}" for place in PLACES for way in ("left", "right"))
        return Standing(where, at, forces, loads, -damper.push)

    def _damper(self, steering: Linkage, at: Ends, swings: dict[Side, Array], one_way: Array) -> _Damper:
        """The force with which the damper resists; nothing where the spec states none. It acts along its line, against
        the motion of its moving end."""
        build = self._build
        nothing = np.zeros((3, len(one_way)))
        stated = build.steering.has("stabiliser") and build.steering.stabiliser.has("force")
        if not stated:
            return _Damper(nothing, nothing, nothing)
        damper = build.steering.stabiliser

        def at_end(ends: Ends, swung_to: dict[Side, Array]) -> Array:
            rod = (ends.near, ends.far) if steering.near_side == "left" else (ends.far, ends.near)
            return moving_end(
                build,
                lambda: rod,
                lambda: (ends.pitman, ends.arm),
                lambda point, side: swung(*self._kingpin(side), self._resting.point(point), swung_to[side]),
            )

        end = at_end(at, swings)
        fixed = self._resting.point(damper.fixed) if damper.fixed_to == "axle" else np.array(damper.fixed)
        line = end - fixed[:, None]
        # Its length over the lock, from the right stop to the left one: whether it opens or closes to the left.
        opens = np.sign(size(line)[2] - size(line)[4])
        push = damper.force * opens * one_way * unit(line)
        from_frame = push if damper.fixed_to == "frame" else nothing
        if damper.steadies == "steering-arm":
            pivot, axis = self._kingpin(damper_side(damper))
            about = {damper_side(damper): dot(axis[:, None], cross(end - pivot[:, None], push))}
            return _Damper(end, push, from_frame, about)
        if damper.steadies == "drag-link":
            return _Damper(end, push, from_frame, on_link=(Push(damper_share(build), push),))
        from_left = damper_share(build)
        share = from_left if steering.near_side == "left" else 1.0 - from_left
        return _Damper(end, push, from_frame, on_rod=(Push(share, push),))

    def _positions(self) -> tuple[Linkage, dict[Side, Array], Array]:
        """The steering at ride height, swings of the knuckles and angles of the pitman arm, (columns,) rad each:
        straight ahead, at the left stop and at the right one, each twice, for the two directions."""
        build = self._build
        steering = linkage_at_ride(self._resting)
        lock = build.steering.lock_angle
        found = [steer(steering, np.zeros(1))]
        found += [at_stop(steering, turn_of(side), np.array([inner_to(build, side, lock)])) for side in (LEFT, RIGHT)]
        if any((each.reach != Reach.REACHED).any() for each in found):
            raise Unreached("the wheels do not reach full lock with the axle at ride height")
        swings = {
            LEFT: np.repeat([float(each.left[0]) for each in found], 2),
            RIGHT: np.repeat([float(each.right[0]) for each in found], 2),
        }
        return steering, swings, np.repeat([float(each.pitman[0]) for each in found], 2)

    def _kingpin(self, side: Side) -> tuple[Array, Array]:
        """A point (3,) of a kingpin axis of the axle at rest, m, and its direction (3,), pointing up."""
        pivot, axis = kingpin_of(self._build, side)
        return self._resting.point(Point(*pivot)), unit(self._resting.rest.direction(axis))

    def _contact(self, side: Side, swing: Array) -> Array:
        """Middle of the contact of a tyre with the ground, its knuckle swung by angles (columns,): (3, columns) m."""
        x, y, z = np.asarray(self._resting.rest.layout.centre)
        half = self._build.vehicle.track / 2
        wheel = np.array([x, y + half if side is LEFT else y - half, z])
        contact: Array = swung(*self._kingpin(side), wheel, swing) * np.array([[1.0], [1.0], [0.0]])
        return contact

    def _scrub(self, pivot: Array, axis: Array, contact: Array, weight: float) -> float:
        """Torque of the friction under one tyre about its kingpin, N m."""
        on_ground = pivot - pivot[2] / axis[2] * axis
        offset = float(np.hypot(*(contact - on_ground)[:2]))
        return float(scrub_torque(weight, self._friction, offset, self._build.vehicle.tyre.width))


def _ends(steering: Linkage, pitman: Array, swings: dict[Side, Array]) -> Ends:
    near, far = (LEFT, RIGHT) if steering.near_side == "left" else (RIGHT, LEFT)
    return ends(steering, pitman, swings[near], swings[far])
