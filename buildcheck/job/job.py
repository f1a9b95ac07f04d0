"""The job: a build with its motion, and every quantity that a rule can ask of it.

This is the only bridge from the build to the arrays of `buildcheck.motion`. Everything is solved on first use and
kept. Asking for something that the spec lacks raises `Missing`; asking for a pose that the axle cannot reach raises
`Unreached`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from functools import cached_property
from typing import Any, Literal

import numpy as np

from buildcheck.build import Build, Missing, Part, Point, Side
from buildcheck.build.attachment import Attachment
from buildcheck.build.driveline import BrakeLine
from buildcheck.build.linkage import LateralBar, Link
from buildcheck.build.part import PartType
from buildcheck.build.springs import BumpStop, Coilover, LimitStrap
from buildcheck.job.cure import LEAST, Cure, solve_change
from buildcheck.job.curve import Array, Curve, Line, PoseName, Spot, Unreached
from buildcheck.job.envelope import envelope
from buildcheck.job.gaps import Gaps
from buildcheck.job.joints import Joints
from buildcheck.job.layout import Assumption, axle_centre, distance, held_point, made_length
from buildcheck.job.lines import Lines, lines_of
from buildcheck.job.loads import Loads
from buildcheck.job.lock import TurnedAxle
from buildcheck.job.moving import ANGLE_OF_VIEW, MovingAxle, ShaftEnd, View
from buildcheck.job.resting import RestingAxle
from buildcheck.job.springs import Springs
from buildcheck.job.strengths import Strengths
from buildcheck.job.subjects import SUBJECTS, Pair
from buildcheck.job.travel_limits import TravelLimits, travel_limits
from buildcheck.motion.handling import slopes
from buildcheck.place import split
from buildcheck.quantity import Dimension

# Links that hold the axle no more firmly than this are not meant to do without a lateral bar, so a spec without one is
# a spec that lacks it. Common practice, no source.
MEANT_TO_HOLD = 0.05


class Job:
    """A build with its motion."""

    def __init__(self, build: Build) -> None:
        self.build = build
        self._resting = RestingAxle(build)

    # What rules are called with.

    def subjects(self, kind: str) -> Iterator[Part | Pair]:
        """The parts of one kind: `build`, `link`, `coilover`, `limit-strap`, `bump-stop`, `attachment` or `pair`.

        Raises Missing when the spec lacks the section that would hold them, and KeyError for a kind unknown.
        """
        return SUBJECTS[kind](self.build)

    # The motion.

    @property
    def assumptions(self) -> tuple[Assumption, ...]:
        """What had to be assumed of the joints to place the axle; empty when the links hold it exactly once, and
        as long as no rule has asked for the motion."""
        return self._resting.assumptions

    @property
    def unassembled(self) -> str:
        """Why the links as they are made cannot be joined to the axle at ride height, in words; empty when they can."""
        return self._resting.unassembled

    @property
    def free_motions(self) -> tuple[str, ...]:
        """What the links leave free, in words; empty when they hold the axle in four independent ways."""
        return self._resting.free_motions

    @property
    def firmness(self) -> float:
        """How firmly the links hold the axle where they hold it least: 1 is one link square on, 0 is free."""
        return self._resting.weakest_hold.firmness

    @property
    def links_hold_sideways(self) -> bool:
        """Whether the links alone are meant to hold the axle, as triangulated ones do, so that no lateral bar is
        wanting. How firmly they do is another question."""
        return not self.free_motions and self.firmness >= MEANT_TO_HOLD

    @property
    def least_held(self) -> str:
        """The motion that the links hold least, in words."""
        return self._resting.weakest_hold.motion

    @cached_property
    def lines(self) -> Lines:
        """The lines of poses that the axle is cycled through."""
        return lines_of(self.build.travel)

    @cached_property
    def moving(self) -> MovingAxle:
        """The axle in every pose of every line, as arrays."""
        return MovingAxle(self._resting, self.lines.heave, self.lines.roll)

    @cached_property
    def moving_about(self) -> MovingAxle:
        """The axle at ride height, and then in all poses of travel and articulation together."""
        heave, roll = envelope(self.build)
        return MovingAxle(self._resting, np.append(0.0, heave), np.append(0.0, roll))

    def moved(self, heave: Array, roll: Array, lock: float = 0.0) -> MovingAxle:
        """The axle in poses of one's own: rise of its centre (m), roll (rad), and the lock held (rad, to the left)."""
        return MovingAxle(self._resting, heave, roll, lock)

    @cached_property
    def loads(self) -> Loads:
        """What links, bar, joints and springs carry in the cases that a builder asks about."""
        return Loads(self._resting, lambda: (self.moving, self.lines.travel.picks))

    @cached_property
    def strengths(self) -> Strengths:
        """What bolts, links and welds can bear."""
        return Strengths(self.build)

    def springs(self, coilover: Coilover) -> Springs:
        """What the springs of a coilover do at a length."""
        return Springs(coilover)

    def reached(self, line: Line) -> float:
        """The share of a line's stated travel that the axle can follow without a break, 0 to 1."""
        solved = self.moving.poses.solved[line.picks][: line.declared]
        return 1.0 if solved.all() else float(solved.argmin()) / line.declared

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
        return Curve(values[line.picks], line)

    # The axle.

    @property
    def axle_centre(self) -> Point:
        """The axle centre at ride height, as the spec places it, m."""
        return axle_centre(self.build)

    def axle_forward(self, line: Line) -> Curve:
        """How far the axle centre stands forward of where the spec puts it at ride height, m."""
        return self._curve(self.moving.forward, line)

    def axle_left(self, line: Line) -> Curve:
        """How far the axle centre stands to the left of where the spec puts it at ride height, m."""
        return self._curve(self.moving.left, line)

    def axle_yaw(self, line: Line) -> Curve:
        """Yaw of the axle, rad; positive with the nose of the axle to the left."""
        return self._curve(self.moving.yaw, line)

    def axle_pitch(self, line: Line) -> Curve:
        """Pitch of the axle, rad; positive with its nose down, which takes caster away from a front axle."""
        return self._curve(self.moving.pitch, line)

    def roll_steer(self) -> Spot:
        """Yaw of the axle for each unit of roll at ride height; positive yaws to the left as the left side rises."""
        return Spot(float(slopes(self._resting.rest.layout).roll.yaw), PoseName(0.0, 0.0, "ride height"))

    # Links and bars.

    def angle(self, view: View, part: Link | LateralBar, line: Line) -> Curve:
        """Angle of a link or bar as seen from the side, from the front or from above, rad.

        From the side and from the front it is the slope, positive with the axle end the lower. From above it is
        the angle to the fore-and-aft line, positive with the frame end more to the left.
        """
        return self._curve(self.moving.angle(view, part), line)

    def angle_at_ride(self, view: View, part: Link | LateralBar) -> Spot:
        """The same angle at ride height alone, for which the spec need not state any travel."""
        angle = float(ANGLE_OF_VIEW[view](np.array(part.frame), self._resting.point(held_point(part))))
        return Spot(self._number(angle, f"the angle of the {part.label}"), PoseName(0.0, 0.0, "ride height"))

    def bar_to_drag_link(self, view: Literal["front", "plan"], line: Line) -> Curve:
        """Angle between the lateral bar and the drag link as seen from the front or from above, rad.

        Zero when they run parallel, whichever of their ends is which; positive when the bar rises more to the left
        (front), or runs more forward to the left (plan), than the drag link.
        """
        return self._curve(self.moving.bar_to_drag_link(view), line)

    @property
    def drag_link_length(self) -> float:
        """Length of the drag link, joint centre to joint centre, m."""
        link = self.build.steering.drag_link
        return distance(link.pitman, link.arm)

    def made_length(self, part: Link | LateralBar) -> float:
        """The length a link or bar is made to, m: as stated, else the distance of its points."""
        return made_length(part)

    def drawn_length(self, part: Link | LateralBar) -> float:
        """The distance of a link's or bar's points, m, whatever length it is made to."""
        return distance(part.frame, held_point(part))

    def alike(self, link: Link) -> list[Link]:
        """A link and those that the spec writes under the same name for other sides; one for a pair under `both`."""
        name = split(link.path)[1]
        found = {each.path: each for each in self.build.links[str(name)]}
        return list(found.values())

    # Steering.

    def steer(self, line: Line) -> Curve:
        """Steer angle of the road wheel that the drag link moves, with the steering wheel held, rad.

        Seen from above, against the vehicle, so it includes the yaw of the axle; positive to the left.
        """
        return self._curve(self.moving.knuckle.steer, line)

    @cached_property
    def full_lock(self) -> TurnedAxle:
        """The steering turned to its stops, in the poses of `moving_about`, ride height first."""
        return TurnedAxle(self.moving_about)

    @cached_property
    def joints(self) -> Joints:
        """How far the joints of links, bar, drag link and tie rod are turned."""
        return Joints(self)

    # Springs, straps, stops, and what bends or slides with the axle.

    def length(self, part: Coilover | LimitStrap, line: Line) -> Curve:
        """Distance between the two ends of a coilover or strap, m."""
        return self._curve(self.moving.length(part), line)

    def brake_line_length(self, hose: BrakeLine, line: Line) -> Curve:
        """Distance that a brake line has to bridge, m; the longest at either lock or straight ahead where it moves
        with the knuckle."""
        return self._curve(self.moving.brake_line_length(hose), line)

    def driveshaft_length(self, line: Line) -> Curve:
        """Distance between the centres of the driveshaft's two joints, m."""
        return self._curve(self.moving.driveshaft_length(), line)

    def driveshaft_angle(self, end: ShaftEnd, line: Line) -> Curve:
        """Angle of one of the driveshaft's joints, rad."""
        return self._curve(self.moving.driveshaft_angles()[0 if end == "output" else 1], line)

    def stop_height(self, stop: BumpStop, line: Line) -> Curve:
        """Room between a stop's base and what it lands on, along the stop's axis, m: less than the stop's free
        length where it works."""
        return self._curve(self.moving.stop_height(stop), line)

    def stop_offset(self, stop: BumpStop, line: Line) -> Curve:
        """How far the centre of the target stands aside of the stop's axis, m."""
        return self._curve(self.moving.stop_offset(stop), line)

    # The parts that work on one side, by their names.

    def coilovers_of(self, side: Side) -> list[Coilover]:
        """The coilovers and dampers of one side. Missing when the spec has none there."""
        return self._of_side("coilovers", side)

    def limit_straps_of(self, side: Side) -> list[LimitStrap]:
        """The limit straps of one side, and those in the middle. Missing when the spec has none."""
        return self._of_side("limit_straps", side)

    def bump_stops_of(self, side: Side) -> list[BumpStop]:
        """The bump stops of one side, and those in the middle. Missing when the spec has none."""
        return self._of_side("bump_stops", side)

    def _of_side(self, section: str, side: Side) -> list[Any]:
        named = getattr(self.build, section)
        found = [named[name][each] for name in sorted(named) for each in (side, Side.CENTRE) if each in named[name]]
        if not found:
            raise Missing(f"{section}.{next(iter(sorted(named)))}.{side.value}")
        return found

    def stands_in_spec(self, path: str) -> bool:
        """Whether the spec has something at a path, which may leave the side out (`links.arm`)."""
        try:
            self.build.value(path)
        except (Missing, ValueError):
            return False
        return True

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
        if bracket.parent == "axle-tube":
            return build.axle.tube.material
        if bracket.parent == "axle-end":
            return build.axle.ends.material
        raise Missing(bracket.path_of("parent_material"))  # a knuckle, of which the spec says no material of its own

    def bolts_carry(self, bracket: Attachment) -> float:
        """The load at which a bracket's bolts come to their proof load in shear, N. Missing where no strength is known
        for them."""
        return self.strengths.in_shear(bracket.bolts)

    def bracket_load(self, bracket: Attachment) -> float:
        """The load that a bracket has to carry, N: the larger of what the spec states and what the load cases bring.

        Missing when the spec states none, and none can be computed for what the bracket holds.
        """
        stated = bracket.design_load if bracket.has("design_load") else 0.0
        if not bracket.has("holds"):
            return stated or bracket.design_load
        try:
            # Parts on one bracket are taken to pull together, since their signs differ from case to case.
            return max(stated, self.loads.largest_on(bracket))
        except (Missing, Unreached):
            return stated or bracket.design_load

    # Clearance.

    def gap_to_obstacle(self, name: str, line: Line) -> Curve:
        """Smallest gap between an obstacle of the vehicle and the axle's tube or centre section, m; negative where
        they overlap."""
        return self._curve(self.moving.gap(self.build.vehicle.obstacles[name]), line)

    @cached_property
    def gaps(self) -> Gaps:
        """The smallest gap of every pair of parts that may touch, over travel, articulation and lock."""
        return Gaps(self.moving_about)

    @cached_property
    def travel_limits(self) -> TravelLimits:
        """What ends the travel: how far the axle goes each way before something binds, ends or touches."""
        return travel_limits(self._resting)

    # What to change.

    def move(
        self, path: str | Sequence[str], what: str, quantity: Callable[[Job], float], target: float
    ) -> Cure | None:
        """How far to move a point, along one axis, for a quantity to come to its target.

        `path` ends in the axis (`lateral_bar.frame.z`), `what` is what a person calls the point; of several paths all
        move alike. The quantity is asked of changed builds, so the number is the motion's own. None when no move
        within half a metre does it.
        """
        paths = [path] if isinstance(path, str) else list(path)
        change = self._change(paths, quantity, target)
        if change is None:
            return None
        words = f"move {what} {WAYS[paths[0][-1]][change < 0]} {{amount}}"
        return Cure(words, abs(change), Dimension.LENGTH, paths[0], change, tuple(paths[1:]))

    def resize(self, path: str, what: str, quantity: Callable[[Job], float], target: float) -> Cure | None:
        """How much longer or shorter to make something for a quantity to come to its target; otherwise as `move`."""
        change = self._change([path], quantity, target)
        if change is None:
            return None
        way = "longer" if change > 0 else "shorter"
        return Cure(f"make {what} {{amount}} {way}", abs(change), Dimension.LENGTH, path, change)

    def changed_by(self, cure: Cure) -> Job:
        """The job of the build with a change made."""
        assert cure.change is not None
        return Job(_changed(self.build, [cure.path, *cure.also], cure.change))

    def _change(self, paths: Sequence[str], quantity: Callable[[Job], float], target: float) -> float | None:
        def changed(change: float) -> float:
            try:
                # Without a change it is this job, which has its motion solved.
                return quantity(Job(_changed(self.build, paths, change)) if change else self)
            except Unreached:
                return math.nan

        found = solve_change(changed, target)
        return found if found is None else math.copysign(max(abs(found), LEAST), found)


WAYS = {"x": ("forward", "rearward"), "y": ("to the left", "to the right"), "z": ("up", "down")}


def _changed(build: Build, paths: Sequence[str], change: float) -> Build:
    for path in paths:
        build = build.with_value(path, build.value(path) + change)
    return build
