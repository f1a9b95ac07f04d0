"""The axle in a batch of poses, and everything that moves with it: arrays with one number, or one point, per pose.

Points are (3, poses) in metres, vehicle axes; other quantities (poses,), SI. Poses that the axle cannot reach hold NaN.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Literal

import numpy as np

from buildcheck.axle.cardan import driveshaft_ripple, equal_joint, fluctuation
from buildcheck.axle.poses import Poses
from buildcheck.axle.rotation import carry_direction
from buildcheck.axle.spans import (
    across_angle,
    driveshaft_angles,
    front_view_angle,
    plan_angle,
    side_view_angle,
    span,
    stop_gap,
)
from buildcheck.build import Build, Part, Point
from buildcheck.build.chassis import Obstacle
from buildcheck.build.driveline import BrakeLine
from buildcheck.build.linkage import LateralBar, Link
from buildcheck.build.springs import BumpStop, Coilover, LimitStrap
from buildcheck.clearance.bar_gaps import clearance
from buildcheck.job.curve import Array
from buildcheck.job.handling import Handling
from buildcheck.job.kept import Keeper, kept
from buildcheck.job.knuckle_motion import Knuckle, OtherKnuckle, at_lock
from buildcheck.job.layout import held_point
from buildcheck.job.resting import RestingAxle, Solved
from buildcheck.job.solids import axle_solids, obstacle_solid

View = Literal["side", "front", "plan"]
ShaftEnd = Literal["output", "pinion"]
ANGLE_OF_VIEW = {"side": side_view_angle, "front": front_view_angle, "plan": plan_angle}
FORWARD = np.array([1.0, 0.0, 0.0])
LATERAL = np.array([0.0, 1.0, 0.0])


class MovingAxle(Keeper):
    """The axle of a build with its centre raised by `heave` (poses,) m and rolled by `roll` (poses,) rad.

    `lock` is the angle (rad, to the left positive) to which the steering wheel has turned the inner wheel, seen from
    above, with the axle at ride height.
    """

    def __init__(self, resting: RestingAxle, heave: Array, roll: Array, lock: float = 0.0) -> None:
        super().__init__(resting.store, "poses", heave.tobytes(), roll.tobytes(), lock)
        self.build: Build = resting.build
        self.resting = resting
        self._heave = heave
        self._roll = roll
        self._lock = lock

    @kept
    def _solved(self) -> Solved:
        return self.resting.solved(self._heave, self._roll)

    @kept
    def poses(self) -> Poses:
        """All poses, solved in one batch. Raises Unreached when the links leave the axle free."""
        return self._solved.poses

    @kept
    def attitude(self) -> Array:
        """Rotation of the axle in each pose from that at ride height: (3, 3, poses)."""
        return self._solved.attitude

    def point(self, point: Point) -> Array:
        """Position in each pose of a point of the axle given as in the spec: (3, poses) m, vehicle axes."""
        return self._solved.point(point)

    def direction(self, direction: Array) -> Array:
        """Direction in each pose of a direction (3,) of the axle given as in the spec: (3, poses)."""
        return carry_direction(self.poses, self.resting.rest.direction(direction), self.attitude)

    @kept
    def handling(self) -> Handling:
        """Effects of the links on handling."""
        return Handling(self.resting, self, self.poses, self.attitude)

    def keep_of(self, what: str, part: Part, compute: Callable[[], Array]) -> Array:
        """Compute a quantity of a part once."""
        return self.keep((what, part.path, part.side), compute)

    # The axle.

    @property
    def forward(self) -> Array:
        """Displacement of the axle centre forward from its position in the spec: (poses,) m; rearward negative."""
        return np.asarray(self.poses.x + self.resting.rest.displacement[0])

    @property
    def left(self) -> Array:
        """Displacement of the axle centre to the left from its position in the spec: (poses,) m; to the right
        negative."""
        return np.asarray(self.poses.y + self.resting.rest.displacement[1])

    @property
    def yaw(self) -> Array:
        """Yaw of the axle in plan, by the line of its wheels: (poses,) rad; positive with its nose to the left. This
        angle steers the truck and makes the left and right wheelbase differ; the nose of an axle that is pitched and
        rolled at once points in a slightly different direction."""
        x, y, _ = self.direction(LATERAL)
        return np.asarray(np.arctan2(-x, y))

    @property
    def pitch(self) -> Array:
        """Pitch of the axle: (poses,) rad; positive with its nose down."""
        x, y, z = self.direction(FORWARD)
        return np.asarray(np.arctan2(-z, np.hypot(x, y)))

    @property
    def pinion_up(self) -> Array:
        """Angle of the pinion above level, towards the driveshaft, in side view: (poses,) rad; down negative."""
        pinion, front = self.build.axle.pinion, self.build.axle.position == "front"
        x, _, z = self.direction(shaft_direction(pinion.up, pinion.left, forward=not front))
        return np.asarray(np.arctan2(z, np.abs(x)))

    # Links, bars and steering.

    def angle(self, view: View, part: Link | LateralBar) -> Array:
        """Angle of a link or bar in a view: (poses,) rad; signs as in `Job.angle`."""
        return ANGLE_OF_VIEW[view](np.array(part.frame), self.point(held_point(part)))

    def bar_to_drag_link(self, view: Literal["front", "plan"]) -> Array:
        """Angle between lateral bar and drag link in a view: (poses,) rad; sign as in `Job.bar_to_drag_link`."""
        bar = self.build.lateral_bar
        angle = across_angle(view, np.array(bar.frame), self.point(bar.axle))
        other = across_angle(view, self.knuckle.pitman_end, self.knuckle.arm_end)
        return np.asarray((angle - other + math.pi / 2) % math.pi - math.pi / 2)

    @kept
    def knuckle(self) -> Knuckle:
        """The knuckle that the drag link moves."""
        return Knuckle(self, self._lock)

    @kept
    def other_knuckle(self) -> OtherKnuckle:
        """The knuckle on the other side."""
        return OtherKnuckle(self.knuckle)

    # Springs, straps, stops, brake lines and driveline.

    def length(self, part: Coilover | LimitStrap) -> Array:
        """Distance between the two ends of a coilover or strap: (poses,) m."""
        return self.keep_of("length", part, lambda: span(np.array(part.frame), self.point(part.axle)))

    def brake_line_length(self, hose: BrakeLine) -> Array:
        """Distance between the ends of a brake line, the longest at either lock or straight ahead where it moves with
        the knuckle: (poses,) m."""

        def longest() -> Array:
            points = [hose.axle, *(at_lock(self.build, hose) if hose.moves_with == "knuckle" else ())]
            return np.asarray(np.max([span(np.array(hose.frame), self.point(point)) for point in points], axis=0))

        return self.keep_of("length", hose, longest)

    def driveshaft_length(self) -> Array:
        """Distance between the centres of the driveshaft's two joints: (poses,) m."""
        return span(np.array(self.build.driveshaft.output.point), self.point(self.build.axle.pinion.point))

    def driveshaft_angles(self) -> tuple[Array, Array]:
        """Angles of the driveshaft's joints, at the output and at the pinion: (poses,) rad each, 0 where straight."""
        output, pinion = self.build.driveshaft.output, self.build.axle.pinion
        front = self.build.axle.position == "front"
        return driveshaft_angles(
            np.array(output.point),
            shaft_direction(output.up, output.left, forward=front),
            self.point(pinion.point),
            self.direction(shaft_direction(pinion.up, pinion.left, forward=not front)),
        )

    def driveshaft_ripple(self) -> Array:
        """Largest minus smallest speed of the pinion over a turn of the output, relative to its mean: (poses,), 0 or
        more.

        A double Cardan or constant-velocity joint transmits speed evenly, so only single Cardan joints count.
        """
        shaft = self.build.driveshaft
        single = [joint.kind == "single-cardan" for joint in (shaft.output_joint, shaft.pinion_joint)]
        at_output, at_pinion = self.driveshaft_angles()
        if not all(single):
            uneven = at_output if single[0] else at_pinion if single[1] else np.zeros_like(at_output)
            return fluctuation(uneven)
        pinion, front = self.build.axle.pinion, self.build.axle.position == "front"
        return driveshaft_ripple(
            np.array(shaft.output.point),
            shaft_direction(shaft.output.up, shaft.output.left, forward=front),
            self.point(pinion.point),
            self.direction(shaft_direction(pinion.up, pinion.left, forward=not front)),
        )

    def equal_joint_angle(self) -> Array:
        """Angle of the one Cardan joint that would turn the pinion as unevenly as the driveshaft does: (poses,) rad."""
        return equal_joint(self.driveshaft_ripple())

    def stop_height(self, stop: BumpStop) -> Array:
        """Distance between a stop's base and its target, along the stop's axis: (poses,) m."""
        return self.keep_of("height", stop, lambda: self._stop(stop)[0] + stop.free_length)

    def stop_offset(self, stop: BumpStop) -> Array:
        """Distance of the centre of the target from the stop's axis: (poses,) m, 0 or more."""
        return self.keep_of("offset", stop, lambda: self._stop(stop)[1])

    def _stop(self, stop: BumpStop) -> tuple[Array, Array]:
        if stop.mounted_on == "axle":
            axis = self.direction(np.array(stop.axis))
            return stop_gap(self.point(stop.base), axis, stop.free_length, np.array(stop.target))
        return stop_gap(np.array(stop.base), np.array(stop.axis), stop.free_length, self.point(stop.target))

    def gap(self, obstacle: Obstacle) -> Array:
        """Smallest gap between an obstacle and the axle's tube or centre section: (poses,) m; negative in overlap."""

        def smallest() -> Array:
            solid = obstacle_solid(obstacle)
            gaps = [clearance(bar, solid).gap for bar in axle_solids(self.build.axle, self.point)]
            return np.asarray(np.min(gaps, axis=0))

        return self.keep_of("gap", obstacle, smallest)


def shaft_direction(up: float, left: float, *, forward: bool) -> Array:
    """Direction of a shaft that points forward or rearward, tilted up and to the left by the angles given (rad), both
    as projected on the side view and on the plan view."""
    return np.array([1.0 if forward else -1.0, math.tan(left), math.tan(up)])
