"""Parts that turn with the wheels, in every pose of the axle and at shares of full lock: (3, poses, locks)."""

from __future__ import annotations

import numpy as np

from buildcheck.axle.rotation import turn
from buildcheck.build import Build, Point, Side
from buildcheck.build.linkage import DragLink, TieRod
from buildcheck.job.curve import Array, Unreached
from buildcheck.job.kept import Keeper, kept
from buildcheck.job.linkage import LEFT, RIGHT, inner_to, joined_of, kingpin_of, linkage_at_ride, turn_of
from buildcheck.job.moving import MovingAxle
from buildcheck.steering.cranks import Crank, coupling
from buildcheck.steering.linkage import Ends, Joined, Linkage, carried, ends, with_axis
from buildcheck.steering.lock import at_stop
from buildcheck.steering.swing import swung


class Turned(Keeper):
    """Knuckles and pitman arm of a build with its axle moved and its wheels at shares (locks,) of full lock, left
    positive.

    The driver is assumed to hold the inner knuckle at that share of its swing to the stop, the same in every pose;
    straight ahead, the knuckle that the drag link moves. The other knuckle follows through the tie rod, and the pitman
    arm through the drag link. NaN where a link does not reach. Raises Missing where the spec lacks a part of the
    steering.
    """

    def __init__(self, build: Build, moving: MovingAxle, shares: Array) -> None:
        super().__init__(moving.store, *moving.key, "turned", shares.tobytes())
        self._build = build
        self._moving = moving
        self._shares = shares

    @kept
    def _joined(self) -> Joined:
        return joined_of(self._build.steering)

    @kept
    def _steering(self) -> Linkage:
        """Steering with its knuckles moved with the axle: points (3, poses, 1)."""
        return with_axis(carried(linkage_at_ride(self._moving.resting), self._moving.poses))

    @kept
    def _swings(self) -> dict[Side, Array]:
        """Swing of each knuckle, to the left positive, rad: (locks,), because the tie rod moves with the axle; but
        (poses, locks) where it ends on the drag link."""
        if self._joined is Joined.ROD_ON_LINK:
            return self._swings_by_drag_link()
        steering = self._build.steering
        rod, lock = steering.tie_rod, steering.lock_angle
        cranks = {
            side: Crank(*kingpin_of(self._build, side), np.array(end))
            for side, end in ((LEFT, rod.left), (RIGHT, rod.right))
        }
        stops = {side: inner_to(self._build, side, lock) for side in (LEFT, RIGHT)}
        tie_rod = coupling(cranks[LEFT], cranks[RIGHT])
        inner = np.where(self._shares >= 0, self._shares * stops[LEFT], -self._shares * stops[RIGHT])
        return {
            LEFT: np.where(self._shares >= 0, inner, tie_rod.first_angle(cranks[LEFT], cranks[RIGHT], inner)),
            RIGHT: np.where(self._shares >= 0, tie_rod.second_angle(cranks[LEFT], cranks[RIGHT], inner), inner),
        }

    def _swings_by_drag_link(self) -> dict[Side, Array]:
        lock = self._build.steering.lock_angle
        near = Side(self._build.steering.drag_link.knuckle)
        inner = np.where(self._shares == 0.0, near, np.where(self._shares > 0.0, LEFT, RIGHT))
        shape = (len(self._moving.poses.x), len(self._shares))
        swings = {LEFT: np.full(shape, np.nan), RIGHT: np.full(shape, np.nan)}
        for side in (LEFT, RIGHT):
            picked = inner == side
            if picked.any():
                stop = np.abs(self._shares[picked]) * inner_to(self._build, side, lock)
                found = at_stop(self._steering, turn_of(side), stop)
                swings[LEFT][:, picked], swings[RIGHT][:, picked] = found.left, found.right
        return swings

    def point(self, point: Point | Array, side: Side) -> Array:
        """Positions (3, poses, locks) m of a point (3,) of a knuckle, given at ride height with the wheels straight
        ahead."""
        moving = self._moving
        centre, axis = kingpin_of(self._build, side)
        carried_point, pivot = (moving.point(Point(*each))[:, :, None] for each in (point, centre))
        return swung(pivot, moving.direction(axis)[:, :, None], carried_point, self._swings[side])

    def direction(self, direction: Array, side: Side) -> Array:
        """Directions (3, poses, locks) of a direction (3,) of a knuckle, given with the wheels straight ahead."""
        axis = self._moving.direction(kingpin_of(self._build, side)[1])[:, :, None]
        return turn(self._moving.direction(direction)[:, :, None], axis, self._swings[side])

    @kept
    def _ends(self) -> tuple[Ends, Array]:
        """Ends of the links, (3, poses, locks) m, and angle of the pitman arm, (poses, locks) rad: its end runs on a
        circle about the sector shaft, at the drag link's length from the link's other end."""
        steering = self._steering
        near = Side(self._build.steering.drag_link.knuckle)
        swings = self._swings[near], self._swings[RIGHT if near is LEFT else LEFT]
        link = steering.drag_link
        angle = steering.pitman.reaching(ends(steering, 0.0, *swings).arm, link.length, link.first_side)
        return ends(steering, angle, *swings), angle

    @property
    def arm_end(self) -> Array:
        """Drag link's end at the part that it moves: (3, poses, locks) m."""
        return self._ends[0].arm

    @property
    def pitman_end(self) -> Array:
        """Drag link's end at the pitman arm: (3, poses, locks) m."""
        return self._ends[0].pitman

    @property
    def rod_ends(self) -> tuple[Array, Array]:
        """Left and right end of the tie rod: (3, poses, locks) m each."""
        if self._joined is not Joined.ROD_ON_LINK:
            rod = self._build.steering.tie_rod
            return self.point(rod.left, LEFT), self.point(rod.right, RIGHT)
        at = self._ends[0]
        return (at.near, at.far) if self._steering.near_side == "left" else (at.far, at.near)

    def on_pitman(self, direction: Array) -> Array:
        """Directions (3, poses, locks) of a direction (3,) of the pitman arm, given with the wheels straight ahead."""
        return turn(direction[:, None, None], self._steering.pitman.axis, self._ends[1])

    def stud(self, rod: DragLink | TieRod, key: str, direction: Array) -> Array:
        """Directions (3, poses, locks) of the stud of one of a rod's joints, turned with the part to which it is fixed.

        `direction` (3,) is that straight ahead. Raises Unreached where the part is the other rod, whose rotation about
        its own line is not known.
        """
        if key == "pitman":
            return self.on_pitman(direction)
        near = Side(self._build.steering.drag_link.knuckle) if isinstance(rod, DragLink) else Side(key)
        on_rod = isinstance(rod, DragLink) and self._joined is Joined.LINK_ON_ROD
        if self._joined is Joined.ROD_ON_LINK and isinstance(rod, TieRod):
            on_rod = near == self._build.steering.drag_link.knuckle
        if on_rod:
            held_by = "tie rod" if isinstance(rod, DragLink) else "drag link"
            raise Unreached(
                f"the direction of the stud on the {held_by} is not known, because that can turn about its own line"
            )
        return self.direction(direction, near)
