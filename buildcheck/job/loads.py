"""What links, bar, joints, springs, stops, straps and brackets carry in the cases that a builder asks about.

Every case is an equilibrium of the axle; see `buildcheck.motion.statics` and `load_cases`. Forces are in N, in vehicle
axes (ISO 8855); in a link or a coilover tension is positive, at a joint of a radius arm there is the size of the force.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from buildcheck.build import Build, Missing
from buildcheck.build.attachment import Attachment
from buildcheck.build.linkage import LateralBar, Link
from buildcheck.build.springs import BumpStop, Coilover, LimitStrap
from buildcheck.job.curve import Array, Unreached
from buildcheck.job.layout import Bar
from buildcheck.job.load_cases import HANGING, ROCK_STRIKE, Cases
from buildcheck.job.load_rows import Rows, is_at, is_on
from buildcheck.job.load_table import Bent, LoadCase, LoadTable
from buildcheck.job.members import (
    Columns,
    Member,
    beside,
    borne_by_links,
    carrying_coilovers,
    members_of,
    standing,
)
from buildcheck.job.moving import MovingAxle
from buildcheck.job.resting import RestingAxle
from buildcheck.job.springs import rate_of
from buildcheck.motion.link_strike import arm_strike, link_strike
from buildcheck.motion.load_cases import GroundLoad, WheelLifts, bump_stop_hit
from buildcheck.motion.statics import Load, Supports, UnheldAxle, axial_forces, combined, side_by_side, together

SIX = 6


class Loads:
    """The loads of one build. `travel` gives the moving axle and the numbers of its poses from full droop to full
    bump."""

    def __init__(self, resting: RestingAxle, travel: Callable[[], tuple[MovingAxle, NDArray[np.intp]]]) -> None:
        self._build: Build = resting.build
        self._resting = resting
        self._travel = travel
        self._cases = Cases(resting)
        self._why_none: Missing | Unreached | None = None
        self._refused: dict[LoadCase, Missing | Unreached] = {}

    @cached_property
    def table(self) -> LoadTable:
        """What every part carries in every case."""
        try:
            cases, columns, groups, absent = self._solved()
        except (Missing, Unreached, UnheldAxle) as error:
            self._why_none = _as_ours(error)
            return LoadTable((), (), (f"all cases: {error}",))
        rows = Rows(self._build, self._members, self._coilovers, self._stops, self._straps, columns, groups)
        return LoadTable(
            cases,
            tuple(rows.carried()),
            absent,
            tuple(rows.corners()),
            tuple(rows.joints()),
            tuple(rows.bent()),
            tuple(rows.brackets()),
        )

    def largest(self, path: str) -> float:
        """The largest force that the part at a spec path carries at any of its joints, in any case, N.

        `path` may leave the side out (`links.arm`). Raises Missing when no case can be told, or no part stands there.
        """
        self._told()
        found = [row.largest for row in self.table.carried if is_at(row.label, row.path, path)]
        found += [row.largest for row in self.table.joints if is_at(row.label, row.path, path)]
        if not found:
            raise Missing(path.removesuffix(".both"))
        return max(found)

    def largest_on(self, bracket: Attachment) -> float:
        """The largest force that what a bracket holds brings on it at any one joint in any case, N; several parts on
        one bracket are taken to pull together. Raises as `largest` does."""
        self._told()
        return sum(max(self._on_bracket(bracket, path), default=0.0) or self.largest(path) for path in bracket.holds)

    def _on_bracket(self, bracket: Attachment, path: str) -> list[float]:
        return [row.largest for row in self.table.joints if is_on(bracket, row.joint, row.label, row.path, path)]

    def at_joint(self, part: Link | LateralBar, joint: str) -> float:
        """The largest force at one joint of a link or bar in any case, N; `joint` is its key (`frame`, `axle_upper`).

        Missing or Unreached where no case can be told.
        """
        self._told()
        where = (part.label, part.path, joint)
        return next(row.largest for row in self.table.joints if (row.label, row.path, row.joint) == where)

    def within(self, part: Link | LateralBar) -> Bent:
        """What a link or the lateral bar bears within, in each case. Missing or Unreached where none can be told."""
        self._told()
        return next(row for row in self.table.bent if (row.label, row.path) == (part.label, part.path))

    def on_strap(self, strap: LimitStrap) -> float:
        """What a limit strap carries with the axle hanging on it, N. Missing or Unreached where that cannot be
        told."""
        self._told()
        if HANGING in self._refused:
            raise self._refused[HANGING]
        rows = [row for row in self.table.carried if (row.label, row.path) == (strap.label, strap.path)]
        return max(rows[0].forces)

    def all_told(self) -> None:
        """Raises Missing or Unreached for the first case that cannot be told, so that nobody takes the rest for all."""
        self._told()
        for why in self._refused.values():
            raise why

    def _told(self) -> None:
        """Raises why no case can be told, where none can."""
        if not self.table.cases and self._why_none is not None:
            raise self._why_none

    def _solved(self) -> tuple[tuple[LoadCase, ...], Columns, tuple[range, ...], tuple[str, ...]]:
        """The cases, their columns, which columns are each case's, and what could not be told."""
        bars = self._resting.linkage.bars
        supports = together(self._links(lambda bar: self._resting.rest.point(bar.axle)), self._springs)
        absent: list[str] = []
        # The cases at ride height differ in their loads alone, so they are solved at one go.
        loads: dict[LoadCase, GroundLoad] = {}
        for case, load in self._cases.at_ride():
            try:
                loads[case] = load()
            except (Missing, WheelLifts, Unreached) as error:
                self._refused[case] = _as_ours(error)
                absent.append(f"{case.name}: {error}")
        at_rest = self._cases.at_rest
        strikes, struck = self._strikes()
        forces = axial_forces(supports, side_by_side(*loads.values(), *strikes))
        corners = np.array([load.corners for load in loads.values()] + [at_rest.corners] * len(strikes)).T
        hits = np.concatenate([np.zeros((3, len(bars), len(loads))), struck], axis=2)
        told = [self._columns(supports, forces, hits, corners)]
        cases = list(loads)
        groups = [range(number, number + 1) for number in range(len(loads))]
        if strikes:
            cases.append(ROCK_STRIKE)
            groups.append(range(len(loads), len(loads) + len(strikes)))
        springs = forces[len(bars) :, 0]
        for case, solve in ((self._cases.bump_stops_hit, self._hit), (HANGING, self._hang)):
            if case is HANGING and not self._straps:
                continue
            try:
                told.append(solve(springs))
            except (Missing, WheelLifts, UnheldAxle, Unreached) as error:
                self._refused[case] = _as_ours(error)
                absent.append(f"{case.name}: {error}")
                continue
            cases.append(case)
            groups.append(range(groups[-1].stop, groups[-1].stop + 1))
        return tuple(cases), beside(told), tuple(groups), tuple(absent)

    def _columns(self, supports: Supports, forces: Array, struck: Array, corners: Array) -> Columns:
        """The columns of cases at ride height, from the forces in links and springs."""
        bars = len(self._resting.linkage.bars)
        pull = supports.forces_on_axle(forces)
        stops, straps, count = len(self._stops), len(self._straps), forces.shape[1]
        frames = np.array([bar.frame for bar in self._resting.linkage.bars]).T
        return Columns(
            *borne_by_links(self._members, supports.axle[:, :bars], frames, pull[:, :bars], struck),
            forces[bars:],
            pull[:, bars:],
            np.zeros((stops, count)),  # they carry nothing but where they are hit
            np.zeros((3, stops, count)),
            np.zeros((straps, count)),
            np.zeros((3, straps, count)),
            corners,
        )

    def _links(self, points: Callable[[Bar], Array]) -> Supports:
        linkage, centre = self._resting.linkage, np.asarray(self._resting.rest.layout.centre)
        ends = np.array([points(bar) for bar in linkage.bars]).T
        frames = np.array([bar.frame for bar in linkage.bars]).T
        return Supports.between(centre, ends, frames, linkage.layout.stiffness)

    @property
    def _springs(self) -> Supports:
        coilovers = self._coilovers
        for each in coilovers:
            if np.array_equal(self._resting.rest.point(each.axle), each.frame):
                raise Unreached(f"the {each.label} has its two ends at one point")
        ends = np.array([self._resting.rest.point(each.axle) for each in coilovers]).T
        frames = np.array([each.frame for each in coilovers]).T
        # With six supports in all equilibrium alone decides; then the rate has no say.
        decided = len(self._resting.linkage.bars) + len(coilovers) == SIX
        rates = [1.0 if decided and not each.has("springs") else rate_of(each) for each in coilovers]
        return Supports.between(np.asarray(self._cases.axle.centre), ends, frames, rates)

    @cached_property
    def _members(self) -> list[Member]:
        return members_of(self._resting.linkage.bars)

    @cached_property
    def _coilovers(self) -> list[Coilover]:
        carrying = carrying_coilovers(self._build)
        if not carrying:
            raise Unreached("there are dampers, and no coilover that carries the truck")
        return carrying

    @cached_property
    def _stops(self) -> list[BumpStop]:
        return standing(self._build.bump_stops) if self._build.has("bump_stops") else []

    @cached_property
    def _straps(self) -> list[LimitStrap]:
        return standing(self._build.limit_straps) if self._build.has("limit_straps") else []

    def _hit(self, springs: Array) -> Columns:
        """At full bump the stops are supports; `springs` is what the springs carry at rest, (coilovers,) N."""
        moving, pose = self._at(-1, "full bump")
        _ = self._build.bump_stops  # without any there is nothing to hit
        stops = self._stops
        ends, towards = [], []
        for stop in stops:
            on_axle = stop.has("mounted_on") and stop.mounted_on == "axle"
            ends.append(moving.point(stop.base if on_axle else stop.target)[:, pose])
            axis = np.array(stop.axis)
            towards.append(moving.direction(axis)[:, pose] if on_axle else -axis)
        load = self._cases.at_rest + bump_stop_hit(self._cases.axle, factor=self._cases.hit)
        return self._away(moving, pose, springs, np.array(ends).T, np.array(towards).T, load, len(stops))

    def _hang(self, springs: Array) -> Columns:
        """At full droop the straps are supports, and the axle's own weight hangs on them."""
        moving, pose = self._at(0, "full droop")
        ends = np.array([moving.point(strap.axle)[:, pose] for strap in self._straps]).T
        frames = np.array([strap.frame for strap in self._straps]).T
        at_rest = self._cases.at_rest
        off_the_ground = replace(
            at_rest,
            force=at_rest.force - at_rest.ground.sum(axis=1),
            moment=np.zeros(3),  # the weight is at the centre
            ground=np.zeros_like(at_rest.ground),
        )
        columns = self._away(moving, pose, springs, ends, frames - ends, off_the_ground, 0)
        if (columns.straps < 0.0).any():
            raise Unreached("the springs leave a strap slack")
        return columns

    def _at(self, number: int, name: str) -> tuple[MovingAxle, int]:
        moving, poses = self._travel()
        pose = int(poses[number])
        if not moving.poses.solved[pose]:
            raise Unreached(f"the axle cannot reach {name}")
        return moving, pose

    def _away(
        self, moving: MovingAxle, pose: int, springs: Array, ends: Array, towards: Array, load: GroundLoad, stops: int
    ) -> Columns:
        """A case away from ride height: held by the links and by supports at `ends`, the first `stops` of them stops,
        the rest straps; the springs press with what they are compressed by there, and never pull."""
        poses = moving.poses
        centre = np.asarray(self._cases.axle.centre) + np.array([poses.x[pose], poses.y[pose], poses.heave[pose]])
        links = replace(self._links(lambda bar: moving.point(bar.axle)[:, pose]), centre=centre)
        held = together(links, Supports.along(centre, ends, towards, [1.0] * ends.shape[1]))
        pressed: list[float] = []
        pulls: list[Array] = []
        loads: list[Load] = [load]
        for at_rest, coilover in zip(springs, self._coilovers, strict=True):
            end, frame = moving.point(coilover.axle)[:, pose], np.array(coilover.frame)
            length = float(np.linalg.norm(frame - end))
            before = float(np.linalg.norm(frame - self._resting.rest.point(coilover.axle)))
            tension = min(float(at_rest) + rate_of(coilover) * (length - before), 0.0)
            pressed.append(tension)
            pulls.append(tension * (frame - end) / length)
            loads.append(Load.at(centre, end, pulls[-1]))
        forces = axial_forces(held, combined(*loads))
        pull = held.forces_on_axle(forces)[:, :, None]
        bars = len(self._resting.linkage.bars)
        frames = np.array([bar.frame for bar in self._resting.linkage.bars]).T
        last, last_pull = forces[bars:, None], pull[:, bars:]
        no_stops, no_straps = len(self._stops), len(self._straps)
        return Columns(
            *borne_by_links(self._members, links.axle, frames, pull[:, :bars], np.zeros_like(pull[:, :bars])),
            np.array(pressed)[:, None],
            np.array(pulls).T[:, :, None],
            last if stops else np.zeros((no_stops, 1)),
            last_pull if stops else np.zeros((3, no_stops, 1)),
            np.zeros((no_straps, 1)) if stops else last,
            np.zeros((3, no_straps, 1)) if stops else last_pull,
            load.corners[:, None],
        )

    def _strikes(self) -> tuple[list[Load], Array]:
        """A rock on the middle of each link or arm in turn, with the truck at rest: what the axle feels of each, and
        what strikes each bar in it, (3, bars, strikes) N."""
        bars, push, centre = self._resting.linkage.bars, self._cases.rock, np.asarray(self._cases.axle.centre)
        struck: list[Member] = [member for member in self._members if member.can_be_struck]
        loads: list[Load] = []
        shares = np.zeros((3, len(bars), len(struck)))
        for number, member in enumerate(struck):
            ends = [self._resting.rest.point(bars[bar].axle) for bar in member.bars]
            frame = np.array(bars[member.bars[0]].frame)
            if member.is_arm:
                felt = arm_strike(centre, ends[0], ends[1], frame, push).load
            else:
                felt = link_strike(centre, ends[0], frame, push).load
            loads.append(self._cases.at_rest + felt)
            shares[:, list(member.bars), number] = push[:, None] / len(member.bars)
        return loads, shares


def _as_ours(error: Exception) -> Missing | Unreached:
    """The same as one of the two that a rule may meet."""
    return error if isinstance(error, Missing | Unreached) else Unreached(str(error))
