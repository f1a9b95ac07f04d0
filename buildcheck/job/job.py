"""The job: a build with its motion, and every quantity that a rule can ask of it.

This is the only bridge from the build to the arrays of `buildcheck.motion`. Everything is solved on first use and
kept. Asking for something that the spec lacks raises `Missing`; asking for a pose that the axle cannot reach raises
`Unreached`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from functools import cached_property
from typing import Literal

import numpy as np

from buildcheck.build import Build, Missing, Part, Point, Side
from buildcheck.build.attachment import Attachment
from buildcheck.build.chassis import Obstacle
from buildcheck.build.driveline import BrakeLine
from buildcheck.build.linkage import LateralBar, Link
from buildcheck.build.part import PartType
from buildcheck.build.springs import BumpStop, Coilover, LimitStrap
from buildcheck.job.cure import Cure, solve_change
from buildcheck.job.curve import Array, Curve, Line, PoseName, Spot, Unreached
from buildcheck.job.knuckle import Knuckle, at_lock
from buildcheck.job.layout import (
    Assumption,
    Linkage,
    axle_point,
    distance,
    linkage,
    made_as_placed,
    made_length,
)
from buildcheck.job.lines import Lines, lines_of
from buildcheck.job.solids import axle_solids, obstacle_solid
from buildcheck.job.subjects import SUBJECTS, Pair
from buildcheck.motion.clearance import clearance
from buildcheck.motion.handling import slopes
from buildcheck.motion.poses import FreeAxle, Poses, free_motions, solve
from buildcheck.motion.rotation import attitude, carry, carry_direction
from buildcheck.motion.settle import Rest, Unassembled, as_placed, settle
from buildcheck.motion.spans import (
    across_angle,
    driveshaft_angles,
    front_view_angle,
    plan_angle,
    side_view_angle,
    span,
    stop_gap,
)
from buildcheck.quantity import Dimension
from buildcheck.strength import proof_strength, shear_capacity, thread

View = Literal["side", "front", "plan"]
ShaftEnd = Literal["output", "pinion"]
_ANGLE_OF_VIEW = {"side": side_view_angle, "front": front_view_angle, "plan": plan_angle}


class Job:
    """A build with its motion."""

    def __init__(self, build: Build) -> None:
        self.build = build
        self._carried: dict[Point, Array] = {}
        self._kept: dict[tuple[str, ...], Array] = {}

    # What rules are called with.

    def subjects(self, kind: str) -> Iterator[Part | Pair]:
        """The parts of one kind: `build`, `link`, `coilover`, `limit-strap`, `bump-stop`, `attachment` or `pair`.

        Raises Missing when the spec lacks the section that would hold them, and KeyError for a kind unknown.
        """
        return SUBJECTS[kind](self.build)

    # The motion.

    @cached_property
    def _linkage(self) -> Linkage:
        return linkage(self.build)

    @property
    def assumptions(self) -> tuple[Assumption, ...]:
        """What had to be assumed of the joints to place the axle; empty when the links hold it exactly once, and
        as long as no rule has asked for the motion."""
        return self._linkage.assumptions if "_linkage" in self.__dict__ else ()

    @cached_property
    def free_motions(self) -> tuple[str, ...]:
        """What the links leave free, in words; empty when they hold the axle in four independent ways."""
        return free_motions(self._linkage.layout)

    @cached_property
    def _rest(self) -> Rest:
        if made_as_placed(self.build):
            return as_placed(self._linkage.layout)
        try:
            return settle(self._linkage.layout, self._linkage.lengths)
        except (FreeAxle, Unassembled) as error:
            raise Unreached(str(error)) from error

    @cached_property
    def lines(self) -> Lines:
        """The lines of poses that the axle is cycled through."""
        return lines_of(self.build.travel)

    @cached_property
    def poses(self) -> Poses:
        """Every pose of every line, solved in one batch."""
        try:
            return solve(self._rest.layout, self.lines.heave, self.lines.roll)
        except FreeAxle as free:
            raise Unreached(str(free)) from free

    @cached_property
    def _attitude(self) -> Array:
        return attitude(self.poses)

    @property
    def heave(self) -> Line:
        """Both wheels together, from full droop through ride height to full bump."""
        return self.lines.travel

    @property
    def roll(self) -> Line:
        """Articulation, from right wheel up to left wheel up, at the middle of the travel."""
        return self.lines.articulation

    def reached(self, line: Line) -> float:
        """The share of a line's stated travel that the axle can follow without a break, 0 to 1."""
        solved = self.poses.solved[line.index][: line.declared]
        return 1.0 if solved.all() else float(solved.argmin()) / line.declared

    def _moved(self, point: Point) -> Array:
        if point not in self._carried:
            self._carried[point] = carry(self.poses, self._rest.point(point), self._attitude)
        return self._carried[point]

    def _keep(self, what: str, part: Part, compute: Callable[[], Array]) -> Array:
        """A quantity of a part over all poses, computed once."""
        key = (what, part.path, part.side)
        if key not in self._kept:
            self._kept[key] = compute()
        return self._kept[key]

    def _turned(self, direction: Array) -> Array:
        return carry_direction(self.poses, self._rest.direction(direction), self._attitude)

    @staticmethod
    def _number(value: float, what: str) -> float:
        if not math.isfinite(value):
            raise Unreached(f"{what} has no value in this build")
        return value

    def same(self, part: PartType) -> PartType:
        """The part of this job's build that stands where a part of another build stood: for a changed build."""
        path = part.path.removesuffix(".both")
        where = f"{path}.{part.side}" if path != part.path else path
        found = self.build.value(where)
        assert isinstance(found, type(part))
        return found

    def _curve(self, values: Array, line: Line) -> Curve:
        return Curve(values[line.index], line)

    # The axle.

    def axle_forward(self, line: Line) -> Curve:
        """How far the axle centre stands forward of where the spec puts it at ride height, m."""
        return self._curve(self.poses.x + self._rest.displacement[0], line)

    def axle_left(self, line: Line) -> Curve:
        """How far the axle centre stands to the left of where the spec puts it at ride height, m."""
        return self._curve(self.poses.y + self._rest.displacement[1], line)

    def axle_yaw(self, line: Line) -> Curve:
        """Yaw of the axle, rad; positive with the nose of the axle to the left."""
        x, y, _ = self._turned(np.array([1.0, 0.0, 0.0]))
        return self._curve(np.arctan2(y, x), line)

    def axle_pitch(self, line: Line) -> Curve:
        """Pitch of the axle, rad; positive turns the pinion of a front axle up and the caster down."""
        x, y, z = self._turned(np.array([1.0, 0.0, 0.0]))
        return self._curve(np.arctan2(-z, np.hypot(x, y)), line)

    def roll_steer(self) -> Spot:
        """Yaw of the axle for each unit of roll at ride height; positive yaws to the left as the left side rises."""
        return Spot(float(slopes(self._rest.layout).roll.yaw), PoseName(0.0, 0.0, "ride height"))

    # Links and bars.

    def angle(self, view: View, part: Link | LateralBar, line: Line) -> Curve:
        """Angle of a link or bar as seen from the side, from the front or from above, rad.

        From the side and from the front it is the slope, positive with the axle end the lower. From above it is
        the angle to the fore-and-aft line, positive with the frame end more to the left.
        """
        axle = axle_point(part) if isinstance(part, Link) else part.axle
        return self._curve(_ANGLE_OF_VIEW[view](np.array(part.frame), self._moved(axle)), line)

    def angle_at_ride(self, view: View, part: Link | LateralBar) -> Spot:
        """The same angle at ride height alone, for which the spec need not state any travel."""
        axle = axle_point(part) if isinstance(part, Link) else part.axle
        at_rest = np.array(axle) if made_as_placed(self.build) else self._rest.point(axle)
        angle = float(_ANGLE_OF_VIEW[view](np.array(part.frame), at_rest))
        return Spot(self._number(angle, f"the angle of the {part.label}"), PoseName(0.0, 0.0, "ride height"))

    def bar_to_drag_link(self, view: Literal["front", "plan"], line: Line) -> Curve:
        """Angle between the lateral bar and the drag link as seen from the front or from above, rad.

        Zero when they run parallel, whichever of their ends is which; positive when the bar rises more to the left
        (front), or runs more forward to the left (plan), than the drag link.
        """
        bar, link = self.build.lateral_bar, self.build.steering.drag_link
        angle = across_angle(view, np.array(bar.frame), self._moved(bar.axle))
        other = across_angle(view, np.array(link.pitman), self._knuckle.arm_end)
        return self._curve((angle - other + math.pi / 2) % math.pi - math.pi / 2, line)

    @property
    def drag_link_length(self) -> float:
        """Length of the drag link, joint centre to joint centre, m."""
        link = self.build.steering.drag_link
        return distance(link.pitman, link.arm)

    def made_length(self, part: Link | LateralBar) -> float:
        """The length a link or bar is made to, m: as stated, else the distance of its points."""
        return made_length(part)

    # Steering.

    @cached_property
    def _knuckle(self) -> Knuckle:
        return Knuckle(self.build, self._moved, self._turned)

    def steer(self, line: Line) -> Curve:
        """Steer angle of the road wheel that the drag link moves, with the steering wheel held, rad.

        Seen from above, against the vehicle, so it includes the yaw of the axle; positive to the left.
        """
        return self._curve(self._knuckle.steer, line)

    # Springs, straps, stops, and what bends or slides with the axle.

    def length(self, part: Coilover | LimitStrap, line: Line) -> Curve:
        """Distance between the two ends of a coilover or strap, m."""
        apart = self._keep("length", part, lambda: span(np.array(part.frame), self._moved(part.axle)))
        return self._curve(apart, line)

    def brake_line_length(self, side: Side, line: Line) -> Curve:
        """Distance that the brake line of one side has to bridge, m; the longest at either lock or straight ahead
        where it moves with the knuckle."""
        hose = self.brake_line(side)
        return self._curve(self._keep("length", hose, lambda: self._longest(side, hose)), line)

    def _longest(self, side: Side, hose: BrakeLine) -> Array:
        points = [hose.axle, *(at_lock(self.build, side, hose.axle) if hose.moves_with == "knuckle" else ())]
        return np.asarray(np.max([span(np.array(hose.frame), self._moved(point)) for point in points], axis=0))

    def driveshaft_length(self, line: Line) -> Curve:
        """Distance between the centres of the driveshaft's two joints, m."""
        shaft = self.build.driveshaft
        return self._curve(span(np.array(shaft.output.point), self._moved(self.build.axle.pinion.point)), line)

    def driveshaft_angle(self, end: ShaftEnd, line: Line) -> Curve:
        """Angle of one of the driveshaft's joints, rad."""
        output, pinion = self.build.driveshaft.output, self.build.axle.pinion
        front = self.build.axle.position == "front"
        angles = driveshaft_angles(
            np.array(output.point),
            shaft_direction(output.up, output.left, forward=front),
            self._moved(pinion.point),
            self._turned(shaft_direction(pinion.up, pinion.left, forward=not front)),
        )
        return self._curve(angles[0 if end == "output" else 1], line)

    def stop_height(self, stop: BumpStop, line: Line) -> Curve:
        """Room between a stop's base and what it lands on, along the stop's axis, m: less than the stop's free
        length where it works."""
        height = self._keep("height", stop, lambda: self._stop(stop)[0] + stop.free_length)
        return self._curve(height, line)

    def stop_offset(self, stop: BumpStop, line: Line) -> Curve:
        """How far the centre of the target stands aside of the stop's axis, m."""
        return self._curve(self._keep("offset", stop, lambda: self._stop(stop)[1]), line)

    def _stop(self, stop: BumpStop) -> tuple[Array, Array]:
        if stop.mounted_on == "axle":
            axis = self._turned(np.array(stop.axis))
            return stop_gap(self._moved(stop.base), axis, stop.free_length, np.array(stop.target))
        return stop_gap(np.array(stop.base), np.array(stop.axis), stop.free_length, self._moved(stop.target))

    # The parts of one side; Missing when the spec lacks them.

    def coilover(self, side: Side) -> Coilover:
        return self.build.coilovers[side]

    def limit_strap(self, side: Side) -> LimitStrap:
        return self.build.limit_straps[side]

    def bump_stop(self, side: Side) -> BumpStop:
        return self.build.bump_stops[side]

    def brake_line(self, side: Side) -> BrakeLine:
        """The brake line of one side, or the single one in the middle."""
        lines = self.build.brake_lines
        return lines[Side.CENTRE if Side.CENTRE in lines else side]

    # What brackets are fixed to, and by.

    def parent_material(self, bracket: Attachment) -> str:
        """The material that a bracket is fixed to: as stated, or that of the axle part or frame that it names."""
        if bracket.has("parent_material"):
            return bracket.parent_material
        build = self.build
        if bracket.parent in ("frame", "crossmember"):
            return build.vehicle.frame.material
        if bracket.parent == "centre-section":
            return build.axle.centre_section.material
        return build.axle.tube.material if bracket.parent == "axle-tube" else build.axle.ends.material

    def bolts_carry(self, bracket: Attachment) -> float:
        """The load at which a bracket's bolts yield in shear, N. Missing where no strength is known for them."""
        bolts = bracket.bolts
        size = thread(bolts.size)
        strength = bolts.proof_strength if bolts.has("proof_strength") else proof_strength(bolts.grade, size.diameter)
        if strength is None:  # a grade that is not made in that size: the spec has to say
            raise Missing(bolts.path_of("proof_strength"))
        area = size.minor_area if bolts.threads_in_shear_plane else size.shank_area
        return shear_capacity(area, strength, bolts.count, bolts.shear_planes)

    # Clearance.

    def gap_to_obstacle(self, name: str, line: Line) -> Curve:
        """Smallest gap between an obstacle of the vehicle and the axle's tube or centre section, m; negative where
        they overlap."""
        obstacle = self.build.vehicle.obstacles[name]
        return self._curve(self._keep("gap", obstacle, lambda: self._gap(obstacle)), line)

    def _gap(self, obstacle: Obstacle) -> Array:
        solid = obstacle_solid(obstacle)
        gaps = [clearance(bar, solid).gap for bar in axle_solids(self.build.axle, self._moved)]
        return np.asarray(np.min(gaps, axis=0))

    # What to change.

    def move(self, path: str, what: str, quantity: Callable[[Job], float], target: float) -> Cure | None:
        """How far to move a point, along one axis, for a quantity to come to its target.

        `path` ends in the axis (`lateral_bar.frame.z`), `what` is what a person calls the point. The quantity is
        asked of changed builds, so the number is the motion's own. None when no move within half a metre does it.
        """
        axis = path.rpartition(".")[2]
        ways = {"x": ("forward", "rearward"), "y": ("to the left", "to the right"), "z": ("up", "down")}[axis]
        change = self._change(path, quantity, target)
        if change is None:
            return None
        way = ways[0] if change > 0 else ways[1]
        return Cure(f"move {what} {way} {{amount}}", abs(change), Dimension.LENGTH, path, change)

    def resize(self, path: str, what: str, quantity: Callable[[Job], float], target: float) -> Cure | None:
        """How much longer or shorter to make something for a quantity to come to its target; otherwise as `move`."""
        change = self._change(path, quantity, target)
        if change is None:
            return None
        way = "longer" if change > 0 else "shorter"
        return Cure(f"make {what} {{amount}} {way}", abs(change), Dimension.LENGTH, path, change)

    def _change(self, path: str, quantity: Callable[[Job], float], target: float) -> float | None:
        now = self.build.value(path)

        def changed(change: float) -> float:
            try:
                return quantity(Job(self.build.with_value(path, now + change)))
            except Unreached:
                return math.nan

        return solve_change(changed, target)


def shaft_direction(up: float, left: float, *, forward: bool) -> Array:
    """Direction of a shaft that points forward or rearward, tilted up and to the left by the angles given (rad), both
    as projected on the side view and on the plan view."""
    return np.array([1.0 if forward else -1.0, math.tan(left), math.tan(up)])
