"""The job: a build with its motion, and every quantity that a rule can request.

This is the only bridge from the build to the arrays of `buildcheck.axle`. Everything is solved on first use and kept.
Requesting something that the spec lacks raises `Missing`; requesting a pose that the axle cannot reach raises
`Unreached`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Literal

import numpy as np

from buildcheck.axle.handling import slopes
from buildcheck.build import Build, Missing, Point, Side
from buildcheck.build.attachment import Attachment
from buildcheck.build.chassis import Obstacle
from buildcheck.build.driveline import BrakeLine, ShaftJoint
from buildcheck.build.linkage import LateralBar, Link
from buildcheck.build.reads import note
from buildcheck.build.springs import BumpStop, Coilover, LimitStrap
from buildcheck.job.bodies import Pair
from buildcheck.job.bracket_bolts import BracketBolts
from buildcheck.job.bracket_feet import Foot, foot_of
from buildcheck.job.bracket_plates import BracketPlates
from buildcheck.job.bracket_stiffeners import BracketStiffeners
from buildcheck.job.bracket_welds import BracketWeld
from buildcheck.job.cases_away import Travel
from buildcheck.job.changed_jobs import Changes
from buildcheck.job.curve import Array, Curve, Line, PoseName, Spot, Unreached
from buildcheck.job.envelope import LOCKS, envelope
from buildcheck.job.gaps import NEAR, Gaps
from buildcheck.job.held_ends import HeldEnd, held_by, held_ends, holders, hose_ends, likely_held
from buildcheck.job.joints import Joints
from buildcheck.job.kept import SLOW, kept
from buildcheck.job.layout import Assumption, axle_centre, held_point, refuse_no_length
from buildcheck.job.lines import Lines, lines_of
from buildcheck.job.loads import Loads
from buildcheck.job.lock import TurnedAxle
from buildcheck.job.moving import ANGLE_OF_VIEW, LATERAL, MovingAxle, ShaftEnd, View
from buildcheck.job.parts import Parts
from buildcheck.job.resting import RestingAxle, solve_together
from buildcheck.job.springs import Springs
from buildcheck.job.steered_parts import Turned
from buildcheck.job.steering_damper import SteeringDamper
from buildcheck.job.steering_loads import SteeringLoads
from buildcheck.job.strengths import Strengths
from buildcheck.job.travel_limits import TravelLimits, travel_limits
from buildcheck.job.welding import Welding
from buildcheck.spec.names import no_such
from buildcheck.spec.quantity import Dimension


class Job(Parts, Changes):
    """A build with its motion: adds the motion and its results to `Parts` and `Changes`."""

    def __init__(
        self,
        build: Build,
        like: Job | None = None,
        *,
        gaps_within: float = NEAR,
        gaps_between: frozenset[Pair] | None = None,
    ) -> None:
        """Make the job. `like` is the job of the build that was changed to get this one: values that the change does
        not affect are not computed again. Gaps wider than `gaps_within`, m, are not listed; nor are those of other
        pairs of bodies than `gaps_between`, where these are given."""
        super().__init__(build, like)
        self._gaps_within = gaps_within
        self._gaps_between = gaps_between
        self._resting: RestingAxle = RestingAxle(self.store, build)

    def of(self, build: Build) -> Job:
        """Make the job of a changed build."""
        return Job(build, self, gaps_within=self._gaps_within, gaps_between=self._gaps_between)

    # The motion.

    @property
    def assumptions(self) -> tuple[Assumption, ...]:
        """Assumptions about the joints, used to place the axle, and about the load cases, used to compute the loads.
        Each is empty until a rule has requested it. There are none about the joints when exactly four constraints hold
        the axle."""
        loads = self._loads.assumptions if self.has_kept("_loads") else ()
        return (*self._resting.assumptions, *loads)

    @property
    def unassembled(self) -> str:
        """Reason why links of the lengths made cannot be joined to the axle at ride height, in words; empty when they
        can."""
        return self._resting.unassembled

    @property
    def free_motions(self) -> tuple[str, ...]:
        """Motions that the links leave free, in words; empty when they hold the axle in four independent ways."""
        return self._resting.free_motions

    @property
    def firmness(self) -> float:
        """Firmness of the links against the motion that they resist least, from 0: 1 is one link in line with it, 0 is
        free. See `axle.poses.Hold`."""
        return self._resting.weakest_hold.firmness

    @property
    def links_hold_sideways(self) -> bool:
        """Whether the links are designed to hold the axle sideways without a lateral bar, as triangulated ones do.
        `firmness` is how well they do it."""
        return self._resting.links_hold_sideways

    @property
    def spare_member(self) -> Link | LateralBar | None:
        """The link or bar that the axle does not need, where two-point links and bar over-constrain it."""
        return self._resting.spare_member

    @property
    def least_held(self) -> str:
        """Motion that the links resist least, in words."""
        return self._resting.weakest_hold.motion

    @kept
    def lines(self) -> Lines:
        """Lines of poses through which the axle is cycled."""
        return lines_of(self.build.travel)

    @kept
    def moving(self) -> MovingAxle:
        """Arrays of the axle in every pose of every line."""
        return MovingAxle(self._resting, self.lines.heave, self.lines.roll)

    @kept
    def moving_about(self) -> MovingAxle:
        """The axle at ride height, followed by all poses of travel and articulation together."""
        heave, roll = envelope(self.build)
        return MovingAxle(self._resting, np.append(0.0, heave), np.append(0.0, roll))

    def moved(self, heave: Array, roll: Array, lock: float = 0.0) -> MovingAxle:
        """Move the axle to given poses: rise of its centre (m), roll (rad), and the lock held (rad, to the left)."""
        return MovingAxle(self._resting, heave, roll, lock)

    @staticmethod
    def moved_together(jobs: Iterable[Job], heave: Array, roll: Array) -> list[MovingAxle]:
        """Move the axles of many jobs to the same poses (poses,), m and rad, solved in one batch where they can be."""
        held = list(jobs)
        solve_together((job._resting for job in held), heave, roll)
        return [job.moved(heave, roll) for job in held]

    @kept
    def _at_ride(self) -> MovingAxle:
        """The axle at ride height alone."""
        return self.moved(np.zeros(1), np.zeros(1))

    @property
    def loads(self) -> Loads:
        """Loads of links, bar, joints and springs in the load cases."""
        note(SLOW)
        return self._loads

    @kept
    def _loads(self) -> Loads:
        return Loads(self._resting, Travel(lambda: (self.moving, self.lines), lambda: self.moving_about))

    @kept
    def steering_damper(self) -> SteeringDamper:
        """The steering damper in all poses of `moving_about`, at all shares of lock."""
        moving = self.moving_about
        return SteeringDamper(self.build, moving, Turned(self.build, moving, np.array(LOCKS)))

    @property
    def steering_loads(self) -> SteeringLoads:
        """Loads of the steering as the wheels of the standing truck are turned."""
        return SteeringLoads(self.build, self.loads.standing)

    @kept
    def strengths(self) -> Strengths:
        """Strengths of bolts, links and welds."""
        return Strengths(self.build)

    @kept
    def welding(self) -> Welding:
        """The welds: what their process, filler and settings amount to."""
        return Welding(self.build)

    def springs(self, coilover: Coilover) -> Springs:
        """Springs of a coilover: force and compression at a length."""
        return Springs(coilover)

    def reached(self, line: Line) -> float:
        """Share of a line's stated travel that the axle can follow from its start without a break: 0 to 1."""
        solved = self.moving.poses.solved[line.picks][: line.declared]
        return 1.0 if solved.all() else float(solved.argmin()) / line.declared

    @staticmethod
    def _number(value: float, what: str) -> float:
        if not math.isfinite(value):
            raise Unreached(f"{what} has no value in this build")
        return value

    @staticmethod
    def _curve(values: Array, line: Line, dimension: Dimension) -> Curve:
        return Curve(values[line.picks], line, dimension)

    # Quantities by name.

    def quantity(self, name: str, line: Line | None = None) -> Curve:
        """Return a quantity of the moving axle by its name in `buildcheck cycle`, over a line of poses.

        The quantity is built in or from a plugin; the default line is straight travel. SI, with the sign that its
        meaning states. Raises LookupError, with the nearest name, for one that the build does not have; Missing or
        Unreached where the build does not define it.
        """
        from buildcheck.job.quantities import quantities  # imported here because `quantities` imports jobs

        offered = {each.name: each for each in quantities(self.build)}
        if name not in offered:
            raise LookupError(no_such("quantity", name, offered))
        return offered[name].over(self, self.lines.travel if line is None else line)

    # The axle.

    @property
    def axle_centre(self) -> Point:
        """Axle centre at ride height, as the spec places it, m, vehicle axes."""
        return axle_centre(self.build)

    def at_ride(self, point: Point) -> Array:
        """Place of a point of the axle at ride height, with links of the lengths made: (3,) m, vehicle axes.

        It is where the spec has it unless a link or the bar has a stated length. Raises Missing and Unreached where the
        axle then has no place.
        """
        return self._resting.point(point) if self.build.has("links") else np.array(point)

    def axle_forward(self, line: Line) -> Curve:
        """Displacement of the axle centre forward from its position in the spec at ride height, m; rearward
        negative."""
        return self._curve(self.moving.forward, line, Dimension.LENGTH)

    def axle_yaw(self, line: Line) -> Curve:
        """Yaw of the axle, rad; positive with the nose of the axle to the left."""
        return self._curve(self.moving.yaw, line, Dimension.ANGLE)

    def axle_yaw_at_ride(self) -> Spot:
        """Yaw of the axle at ride height (rad, same sign), for which the spec need not state any travel."""
        x, y, _ = self._resting.rest.direction(LATERAL)
        return Spot(math.atan2(-x, y), PoseName(0.0, 0.0, "ride height"), dimension=Dimension.ANGLE)

    def roll_steer(self) -> Spot:
        """Yaw of the axle per unit of roll at ride height, rad/rad; positive yaws to the left as the left side rises.
        Raises Missing where the spec lacks a lateral bar that the links need: the axle then has no roll axis."""
        self._resting.refuse_without_lateral_bar()
        if self.free_motions:
            raise Unreached(f"the axle has no roll axis: {self.free_motions[0]}")
        return Spot(float(slopes(self._resting.rest.layout).roll.yaw), PoseName(0.0, 0.0, "ride height"))

    # Links and bars.

    def angle(self, view: View, part: Link | LateralBar, line: Line) -> Curve:
        """Angle of a link or bar as seen from the side, from the front or from above, rad.

        From the side and from the front it is the slope, positive where the axle end is the lower. From above it is the
        angle to the fore-and-aft line, positive where the frame end is further left.
        """
        return self._curve(self.moving.angle(view, part), line, Dimension.ANGLE)

    def angle_at_ride(self, view: View, part: Link | LateralBar) -> Spot:
        """The angle at ride height (rad, same sign), for which the spec need not state any travel.

        Raises Unreached where it is undefined, as for a link seen end on.
        """
        angle = float(ANGLE_OF_VIEW[view](np.array(part.frame), self._resting.point(held_point(part))))
        value = self._number(angle, f"the angle of the {part.label}")
        return Spot(value, PoseName(0.0, 0.0, "ride height"), dimension=Dimension.ANGLE)

    def bar_to_drag_link(self, view: Literal["front", "plan"], line: Line) -> Curve:
        """Angle between the lateral bar and the drag link as seen from the front or from above, rad.

        Zero when they are parallel, whatever the order of their ends; positive when the bar rises more to the left
        (front), or runs more forward to the left (plan), than the drag link.
        """
        return self._curve(self.moving.bar_to_drag_link(view), line, Dimension.ANGLE)

    def bar_to_drag_link_at_ride(self, view: Literal["front", "plan"]) -> Spot:
        """The angle at ride height (rad, same sign), for which the spec need not state any travel.

        Raises Unreached where it is undefined.
        """
        angle = float(self._at_ride.bar_to_drag_link(view)[0])
        value = self._number(angle, "the angle between the lateral bar and the drag link")
        return Spot(value, PoseName(0.0, 0.0, "ride height"), dimension=Dimension.ANGLE)

    # Steering.

    def steer(self, line: Line) -> Curve:
        """Steer angle of the road wheel that the drag link moves, with the steering wheel held, rad.

        Seen from above, against the vehicle, so it includes the yaw of the axle; positive to the left.
        """
        return self._curve(self.moving.knuckle.steer, line, Dimension.ANGLE)

    @kept
    def full_lock(self) -> TurnedAxle:
        """The steering turned to its stops, at ride height and in the poses of `moving_about`."""
        return TurnedAxle(self._resting, lambda: self.moving_about)

    @kept
    def joints(self) -> Joints:
        """Misalignment of the joints of links, bar, drag link and tie rod."""
        return Joints(self)

    # Springs, straps, stops, brake lines and driveline.

    def length(self, part: Coilover | LimitStrap, line: Line) -> Curve:
        """Distance between the two ends of a coilover or strap, m."""
        return self._curve(self.moving.length(part), line, Dimension.LENGTH)

    def brake_line_length(self, hose: BrakeLine, line: Line) -> Curve:
        """Distance between the ends of a brake line, m; the longest at either lock or straight ahead where it moves
        with the knuckle."""
        return self._curve(self.moving.brake_line_length(hose), line, Dimension.LENGTH)

    def driveshaft_length(self, line: Line) -> Curve:
        """Distance between the centres of the driveshaft's two joints, m."""
        return self._curve(self.moving.driveshaft_length(), line, Dimension.LENGTH)

    @staticmethod
    def end_of_shaft(joint: ShaftJoint) -> ShaftEnd:
        """End of the driveshaft at which a joint is: `output` or `pinion`."""
        return "pinion" if joint.path.endswith("pinion_joint") else "output"

    def driveshaft_angle(self, end: ShaftEnd, line: Line) -> Curve:
        """Angle of one of the driveshaft's joints, rad: 0 where the two shafts run in one line, up to a right angle."""
        return self._curve(self._driveshaft_angles[0 if end == "output" else 1], line, Dimension.ANGLE)

    @kept
    def _driveshaft_angles(self) -> tuple[Array, Array]:
        return self.moving.driveshaft_angles()

    def driveshaft_length_at_ride(self) -> float:
        """Distance between the centres of the driveshaft's two joints at ride height, m."""
        shaft = self.build.driveshaft
        refuse_no_length(shaft, shaft.output.point, self.build.axle.pinion.point)
        return self._number(float(self._at_ride.driveshaft_length()[0]), "the length of the driveshaft")

    def driveshaft_angle_at_ride(self, end: ShaftEnd) -> float:
        """Angle of one of the driveshaft's joints at ride height (rad), for which the spec need not state any
        travel."""
        angle = float(self._at_ride.driveshaft_angles()[0 if end == "output" else 1][0])
        return self._number(angle, f"the angle of the driveshaft's {end} joint")

    def equal_joint_angle_at_ride(self) -> float:
        """Angle of the one Cardan joint that would turn the pinion as unevenly as the driveshaft does at ride height,
        rad."""
        return self._number(float(self._at_ride.equal_joint_angle()[0]), "the unevenness of the driveshaft")

    def stop_height(self, stop: BumpStop, line: Line) -> Curve:
        """Distance between a stop's base and its target, along the stop's axis, m: less than the stop's free length
        where it is compressed."""
        return self._curve(self.moving.stop_height(stop), line, Dimension.LENGTH)

    def stop_offset(self, stop: BumpStop, line: Line) -> Curve:
        """Distance of the centre of the target from the stop's axis, m, 0 or more."""
        return self._curve(self.moving.stop_offset(stop), line, Dimension.LENGTH)

    # Brackets.

    def held_ends(self) -> Iterator[HeldEnd]:
        """Every end that a bracket has to hold, whether or not one does. Raises Missing where the spec has no part with
        such an end."""
        return held_ends(self.build)

    def hose_ends(self) -> Iterator[HeldEnd]:
        """Both ends of every brake line, which a bracket may hold."""
        return hose_ends(self.build)

    def holders(self, end: HeldEnd) -> list[Attachment]:
        """Brackets that hold one end of a part, on the same member and not on the other side of a pair; empty where
        none does. Raises Missing where the spec has no brackets, or where the only one that may hold it lacks its
        parent."""
        place = end.part.path, end.part.side, end.end
        return self.keep((holders, *place), lambda: holders(self.build, end))

    def likely_held(self, path: str) -> list[str]:
        """The parts that a path in `holds` may mean which names none, the likeliest first. Raises as `holders`."""
        return likely_held(self.build, path)

    def foot_of(self, bracket: Attachment) -> Foot | None:
        """Foot of a bracket on the tube or the casting of the axle, as far as known; see `Foot`. None for any other
        bracket, and where its place is not known. Raises Missing for what the spec lacks of the axle."""
        place = bracket.path, bracket.side
        return self.keep((foot_of, *place), lambda: foot_of(self.build, bracket, self._held_by.get(place, ())))

    @kept
    def _held_by(self) -> dict[tuple[str, Side], list[HeldEnd]]:
        try:
            return held_by(self.build)
        except Missing:
            return {}

    def weld_of(self, bracket: Attachment) -> BracketWeld:
        """Weld of a bracket: its lines and stresses."""
        return BracketWeld(self.build, self.loads, bracket)

    def plates_of(self, bracket: Attachment) -> BracketPlates:
        """Plates of a bracket: their stress at the root and at the holes."""
        return BracketPlates(self.loads, self.strengths, bracket)

    def stiffeners_of(self, bracket: Attachment) -> BracketStiffeners:
        """Gussets and the brace of a bracket: their stresses and their welds."""
        return BracketStiffeners(self.build, self.loads, self.strengths, bracket)

    def bolts_of(self, bracket: Attachment) -> BracketBolts:
        """Bolts of a bracket: their loads and strengths."""
        return BracketBolts(self.loads, self.strengths, bracket)

    # Clearance.

    def gap_to(self, obstacle: Obstacle, line: Line) -> Curve:
        """Smallest gap between an obstacle of the vehicle and the axle's tube or centre section, m; negative in
        overlap."""
        return self._curve(self.keep(("gap", obstacle.path), lambda: self.moving.gap(obstacle)), line, Dimension.LENGTH)

    @property
    def gaps(self) -> Gaps:
        """Smallest gap of every pair of parts that may touch, over travel, articulation and lock."""
        note(SLOW)
        return self._gaps

    @kept
    def _gaps(self) -> Gaps:
        return Gaps(self.moving_about, self._gaps_within, self._gaps_between)

    @property
    def travel_limits(self) -> TravelLimits:
        """Limits of the travel: how far the axle goes each way before something binds, reaches its end or touches."""
        note(SLOW)
        return self._travel_limits

    @kept
    def _travel_limits(self) -> TravelLimits:
        return travel_limits(self._resting)
