"""Loads of links, bar, joints, springs, stops, straps and brackets in the load cases.

Every case is an equilibrium of the axle; see `strength.statics` and `strength.load_cases`. Forces are in N, in vehicle
axes (ISO 8855); in a link or a coilover tension is positive; at a joint of a radius arm the load is the magnitude of
the force.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import accumulate, pairwise
from typing import Any, NamedTuple

import numpy as np

from buildcheck.build import Build, Missing, Part, Point
from buildcheck.build.attachment import Attachment
from buildcheck.build.linkage import LateralBar, Link, Stabiliser
from buildcheck.build.part import Vector
from buildcheck.build.springs import BumpStop, Coilover, LimitStrap
from buildcheck.job.cases_away import CasesAway, Hung, Travel
from buildcheck.job.curve import Array, Curve, Spot, Unreached, least
from buildcheck.job.foot_loads import FootLoad, foot_load
from buildcheck.job.kept import Keeper, kept
from buildcheck.job.layout import FOUR, Assumption, Member, held_point
from buildcheck.job.load_cases import (
    ARTICULATED,
    BUMP_STOPS_HIT,
    HANGING,
    ONE_STOP_HIT,
    ONE_STRAP,
    ROCK_STRIKE,
    STANDING,
    Cases,
    cases_of,
    stated_share,
    usual_number,
)
from buildcheck.job.load_rows import Rows
from buildcheck.job.load_table import Bent, BracketForce, FootForces, LoadCase, LoadTable, Worst, size
from buildcheck.job.loaded_parts import Columns, carrying_coilovers, joined_columns, link_loads, parts_of
from buildcheck.job.resting import RestingAxle
from buildcheck.job.springs import rate_of
from buildcheck.job.standing_steering import Standing
from buildcheck.strength.link_strike import arm_strike, link_strike
from buildcheck.strength.load_cases import GRAVITY, WheelLifts
from buildcheck.strength.statics import Load, Supports, UnheldAxle, axial_forces, side_by_side, together

SIX = 6

# Bind at a joint, as a share of its rating, past which the layout is at fault and not the size of a part.
MOST_BIND = 1.0


class SolvedCases(NamedTuple):
    """The load cases that can be computed, their loads on each part, and why each other case cannot be computed."""

    cases: tuple[LoadCase, ...]
    rows: Rows
    refused: dict[str, Missing | Unreached]


class Loads(Keeper):
    """Loads of one build. `travel` returns the axle moved through its poses; see `Travel`."""

    def __init__(self, resting: RestingAxle, travel: Travel) -> None:
        super().__init__(resting.store, "loads")
        self._build: Build = resting.build
        self._resting = resting
        self._travel = travel
        self._cases = Cases(resting)

    @kept
    def table(self) -> LoadTable:
        """Loads of every part in every case that can be computed; a case that cannot be does not affect the others."""
        try:
            cases, rows, refused = self._solved
        except (Missing, Unreached) as error:
            lacking = self._cases.lacking
            if isinstance(error, Missing) and error.path in lacking:
                return LoadTable((), (), tuple(f"all cases: the spec lacks {path}" for path in lacking))
            return LoadTable((), (), (f"all cases: {error}",))
        brackets, unknown = self._brackets()
        return LoadTable(
            cases,
            tuple(rows.carried()),
            tuple(f"{name}: {why}" for name, why in refused.items()),
            tuple(rows.corners()),
            tuple(rows.joints()),
            tuple(rows.bent()),
            brackets,
            unknown,
        )

    @property
    def assumptions(self) -> tuple[Assumption, ...]:
        """Assumptions of the cases for numbers that the spec does not state; empty until the loads are requested."""
        return self.table.assumptions if self.has_kept("table") else ()

    def _brackets(self) -> tuple[tuple[BracketForce, ...], tuple[str, ...]]:
        """Loads on the brackets whose held parts the spec gives; and in words, the ones whose load is not known."""
        found: list[BracketForce] = []
        unknown: list[str] = []
        for bracket in parts_of(self._build.attachments) if self._build.has("attachments") else ():
            if not bracket.has("holds"):
                continue
            try:
                found.append(self.on_bracket(bracket)._replace(foot=self._foot(bracket)))
            except (Missing, Unreached) as error:
                unknown.append(f"{bracket.label}: {error}")
        return tuple(found), tuple(unknown)

    def _foot(self, bracket: Attachment) -> FootForces | None:
        if not bracket.has("normal"):
            return None
        lever = bracket.has("point") or bracket.has("height")
        return self.on_foot(bracket, bracket.normal).by_case(lever=lever)

    def on_bracket(self, bracket: Attachment) -> BracketForce:
        """Load on a bracket from all parts that it holds, in each case; see `BracketForce`.

        Raises Missing or Unreached where no case can be computed, and as `Rows.bracket` does.
        """
        return self.keep(("bracket", bracket.path, bracket.side), lambda: self._solved.rows.bracket(bracket))

    def on_foot(self, bracket: Attachment, normal: Vector) -> FootLoad:
        """Force and moment of a bracket on its foot, whose normal is given; see `FootLoad`. Raises as `on_bracket`."""
        return self.keep(("foot", bracket.path, bracket.side, normal), lambda: _on_foot(self._solved, bracket, normal))

    def held_joints(self, bracket: Attachment) -> tuple[tuple[Any, str], ...]:
        """The parts that a bracket holds, each with the key of its joint there. Raises as `on_bracket`."""
        return self.keep(
            ("held", bracket.path, bracket.side),
            lambda: tuple((end.part, end.joint) for end in self._solved.rows.held(bracket)),
        )

    def at_joint(self, part: Link | LateralBar | Coilover | LimitStrap, joint: str) -> Worst:
        """Largest force at one joint of a part, N, and its case; `joint` is its key (`frame`, `axle_upper`).

        Raises Missing or Unreached where no case can be computed, and Unreached for a damper without a spring.
        """
        self.refuse_none()
        if isinstance(part, LimitStrap):  # no other case loads it
            self.refuse_left_out(HANGING)
        if isinstance(part, Coilover) and all(each is not part for each in self._coilovers):
            raise Unreached("the load of a damper without a spring is not computed")
        where = (part.label, part.path, joint)
        row = next(row for row in self.table.joints if (row.label, row.path, row.joint) == where)
        return self.table.worst(tuple(size(force) for force in row.forces))

    def worst(self, values: tuple[float, ...]) -> Worst:
        """Return the largest of values, one for each case of the table, and its case. Raises as `at_joint` does."""
        self.refuse_none()
        return self.table.worst(values)

    def pressed(self, part: Link | LateralBar) -> Worst:
        """Largest compression along a link or bar, N, zero or more, and its case. Raises as `at_joint` does."""
        return self.table.worst(self.within(part).pressed)

    def within(self, part: Link | LateralBar) -> Bent:
        """Internal loads of a link or the lateral bar in each case. Raises Missing or Unreached where none can be
        computed."""
        self.refuse_none()
        return next(row for row in self.table.bent if (row.label, row.path) == (part.label, part.path))

    def on_strap(self, strap: LimitStrap) -> tuple[Worst, tuple[Missing | Unreached, ...]]:
        """Largest tension of a limit strap, N, and its case; and the reason where the case of one strap cannot be
        computed. Raises Missing or Unreached where the tension with the axle hanging on all straps cannot be."""
        self.refuse_none()
        self.refuse_left_out(HANGING)
        rows = [row for row in self.table.carried if (row.label, row.path) == (strap.label, strap.path)]
        return self.table.worst(rows[0].forces), self.cases_left_out(strap)

    @kept
    def bind(self) -> Spot:
        """Largest load at a rated joint from the bind of links and bar alone, through travel and articulation, as a
        share of the rating. Raises Missing where no joint of theirs is rated."""
        moving, lines = self._travel.along()
        shares = []
        for part in (member.part for member in self._members):
            rated = part.joints.given() if part.has("joints") else {}
            for key, joint in rated.items():
                if joint.has("load_rating"):
                    released = -moving.handling.bind_at(part, key) / joint.load_rating
                    shares += [Curve(released[line.picks], line).smallest for line in lines.cycled]
        if not shares:
            raise Missing(f"{self._members[0].part.path_of('joints')}.frame.load_rating")
        return -least(shares)

    def _carried(self, case: Callable[[], Columns]) -> Columns:
        """A case with bind in it. Raises Unreached where a member is one too many and breaks a joint by the bind alone:
        the sizes that it would ask for mean nothing."""
        spare = self._resting.spare_member
        if spare is not None and self._breaks_a_joint:
            raise Unreached(f"the {spare.label} is one member too many (rule axle-location)")
        return case()

    @property
    def _breaks_a_joint(self) -> bool:
        try:
            return self.bind.value > MOST_BIND
        except Missing:
            return False  # without a rating nothing is compared with the loads of joints either

    @property
    def standing(self) -> Standing:
        """The steering as the wheels of the standing truck are turned. Raises as `StandingSteering.solved`."""
        return self._cases.standing.solved

    def least_weight_left(self) -> Worst:
        """Smallest share of its static load that a tyre of the axle keeps in any stop or bend, and the case: below zero
        where it lifts off the ground, so that the case cannot be computed. Raises Missing for masses and lengths."""
        return self._cases.least_weight_left()

    def stated_share(self, name: str) -> float:
        """A number of `load_cases`, by its key, as a share of the value assumed where none is stated. Raises Missing
        for the load with which a rock strike is compared."""
        return stated_share(self._build, name)

    def usual(self, name: str) -> float:
        """The value assumed for a number of `load_cases` where the spec states none, SI. Raises Missing as
        `stated_share` does."""
        return usual_number(self._build, name)

    def drive_push(self) -> float:
        """Force of the largest drive torque at the tyres, as a share of the weight on the axle. Raises Missing for what
        the spec lacks."""
        vehicle = self._build.vehicle
        return vehicle.drive_torque / (vehicle.tyre.static_radius * vehicle.axle_load * GRAVITY)

    def cases_left_out(self, part: Part | None = None) -> tuple[Missing | Unreached, ...]:
        """Reasons of the cases that cannot be computed where others can: the true maximum can then be above the
        table's. Each reason says which cases, and of how many. Of a `part` only the cases count that can load it: a
        limit strap is loaded by the axle that hangs on it, and by no other."""
        try:
            solved = self._solved
        except (Missing, Unreached):
            return ()
        loading = (
            (HANGING, ONE_STRAP)
            if isinstance(part, LimitStrap)
            else (*(each.name for each in solved.cases), *solved.refused)
        )
        cases: dict[str, list[str]] = {}
        for case, why in solved.refused.items() if solved.cases else ():
            if case in loading:
                cases.setdefault(str(why), []).append(case)
        reasons = {str(why): why for why in solved.refused.values()}
        return tuple(_of_cases(reasons[each], named, len(loading)) for each, named in cases.items())

    def refuse_left_out(self, case: str) -> None:
        """Raise Missing or Unreached where the case of this name cannot be computed and others can, so that these do
        not pass for all. Where none can be, requesting any load raises the reason."""
        try:
            solved = self._solved
        except (Missing, Unreached):
            return
        if solved.cases and case in solved.refused:
            raise solved.refused[case]

    def refuse_none(self) -> None:
        """Raise Missing or Unreached, the reason why no case can be computed, where none can."""
        _ = self._solved

    @kept
    def _solved(self) -> SolvedCases:
        """Results of the cases that can be computed. Raises Missing or Unreached where none can."""
        try:
            return self._solve()
        except UnheldAxle as error:
            raise _as_rule_error(error) from error

    def _solve(self) -> SolvedCases:
        """Compute `_solved`. Raises Missing, Unreached or UnheldAxle where no case can be computed: for example where a
        lateral bar is missing without which the links hardly hold the axle, and their computed loads would be
        meaningless."""
        self._resting.refuse_without_lateral_bar()
        supports = together(self._links(self._resting.rest.point), self._springs)
        at_rest, ways = self._cases.at_rest, self._cases.at_ride()
        # The cases at ride height differ only in their loads, so they are solved together.
        loads: list[Load] = []
        corners: list[Array] = []
        counts: dict[str, int] = {}
        refused: dict[str, Missing | Unreached] = {}
        for case in cases_of(self._build):
            if case.name not in ways:
                continue
            try:
                found = ways[case.name]()
            except (Missing, WheelLifts, Unreached) as error:
                refused[case.name] = _as_rule_error(error)
                continue
            loads.extend(found)
            corners.extend(load.corners for load in found)
            counts[case.name] = len(found)
        strikes, struck = self._strikes()
        if strikes:
            counts[ROCK_STRIKE] = len(strikes)
        forces = axial_forces(supports, side_by_side(*loads, *strikes))
        hits = np.concatenate([np.zeros((3, len(self._members), len(loads))), struck], axis=2)
        columns = [self._columns(supports, forces, hits, np.array(corners + [at_rest.corners] * len(strikes)).T)]
        springs = forces[len(self._resting.linkage.bars) :, 0]
        nothing = np.zeros((3, len(self._members), 1))
        at_rest_alone = self._columns(supports, forces[:, :1], nothing, at_rest.corners[:, None])
        away = CasesAway(
            self._resting,
            self._cases,
            self._travel,
            self._links,
            Hung(self._coilovers, springs, self._stops, self._straps),
        )
        solved: dict[str, Callable[[], Columns]] = {
            BUMP_STOPS_HIT: away.stops_hit,
            ONE_STOP_HIT: lambda: self._carried(away.one_stop_hit),
            HANGING: away.hanging,
            ONE_STRAP: lambda: self._carried(away.on_one_strap),
            ARTICULATED: lambda: self._carried(lambda: away.articulated(at_rest_alone)),
        }
        for case in cases_of(self._build):
            if case.name not in solved:
                continue
            try:
                columns.append(solved[case.name]())
            except (Missing, UnheldAxle, Unreached) as error:
                refused[case.name] = _as_rule_error(error)
            else:
                counts[case.name] = columns[-1].corners.shape[1]
        cases = tuple(case for case in cases_of(self._build) if case.name in counts)
        ends = list(accumulate(counts.values(), initial=0))
        groups = tuple(range(*pair) for pair in pairwise(ends))
        damper = self._damper(counts, groups)
        rows = Rows(self._members, self._coilovers, self._stops, self._straps, joined_columns(columns), groups, damper)
        return SolvedCases(cases, rows, refused)

    def _damper(self, counts: dict[str, int], groups: tuple[range, ...]) -> tuple[Stabiliser, Array | None] | None:
        """The steering damper, and its force (3, columns) N on what its fixed end is on, which only the turning of the
        wheels loads, or None where the spec does not state it or that case cannot be computed; None without a
        damper."""
        build = self._build
        if not (build.has("steering") and build.steering.has("stabiliser")):
            return None
        if not build.steering.stabiliser.has("force") or STANDING not in counts:
            return build.steering.stabiliser, None
        force = np.zeros((3, groups[-1].stop))
        force[:, list(groups[list(counts).index(STANDING)])] = self.standing.damper
        return build.steering.stabiliser, force

    def _columns(self, supports: Supports, forces: Array, struck: Array, corners: Array) -> Columns:
        """Make the columns of cases at ride height from the forces in links and springs."""
        bars = len(self._resting.linkage.bars)
        pull = supports.forces_on_axle(forces)
        stops, straps, count = len(self._stops), len(self._straps), forces.shape[1]
        return Columns(
            *link_loads(self._resting.linkage, self._resting.rest.point, pull[:, :bars], struck),
            forces[bars:],
            pull[:, bars:],
            np.zeros((stops, count)),  # they carry load only where they are hit
            np.zeros((3, stops, count)),
            np.zeros((straps, count)),
            np.zeros((3, straps, count)),
            corners,
            np.repeat(np.asarray(self._resting.rest.attitude)[:, :, None], count, axis=2),
        )

    def _links(self, place: Callable[[Point], Array]) -> Supports:
        linkage, centre = self._resting.linkage, np.asarray(self._resting.rest.layout.centre)
        ends = np.array([place(bar.axle) for bar in linkage.supports]).T
        frames = np.array([bar.frame for bar in linkage.supports]).T
        # Exactly four constraints cannot load each other: only springs beyond two deflect.
        stiffness = linkage.layout.stiffness if len(linkage.bars) > FOUR else np.full(len(linkage.bars), np.inf)
        return Supports.between(centre, ends, frames, stiffness)

    @property
    def _springs(self) -> Supports:
        coilovers = self._coilovers
        for each in coilovers:
            if np.array_equal(self._resting.rest.point(each.axle), each.frame):
                raise Unreached(f"the {each.label} has its two ends at one point")
        ends = np.array([self._resting.rest.point(each.axle) for each in coilovers]).T
        frames = np.array([each.frame for each in coilovers]).T
        # With six supports in total, equilibrium alone determines the forces; then the rate does not matter.
        decided = len(self._resting.linkage.bars) + len(coilovers) == SIX
        rates = [1.0 if decided and not each.has("springs") else rate_of(each) for each in coilovers]
        return Supports.between(np.asarray(self._cases.axle.centre), ends, frames, rates)

    @kept
    def _members(self) -> tuple[Member, ...]:
        return self._resting.linkage.members

    @kept
    def _coilovers(self) -> list[Coilover]:
        carrying = carrying_coilovers(self._build)
        if not carrying:
            raise Unreached("there are dampers, and no coilover that carries the truck")
        return carrying

    @kept
    def _stops(self) -> list[BumpStop]:
        return parts_of(self._build.bump_stops) if self._build.has("bump_stops") else []

    @kept
    def _straps(self) -> list[LimitStrap]:
        return parts_of(self._build.limit_straps) if self._build.has("limit_straps") else []

    def _strikes(self) -> tuple[list[Load], Array]:
        """Loads of a rock on the middle of each link or arm in turn, with the truck at rest: on the axle, and on each
        link, (3, members, strikes) N."""
        linkage, place = self._resting.linkage, self._resting.rest.point
        push, centre = self._cases.rock, np.asarray(self._cases.axle.centre)
        struck = [number for number, member in enumerate(self._members) if member.can_be_struck]
        loads: list[Load] = []
        for member in (self._members[number] for number in struck):
            if member.is_arm:
                felt = arm_strike(centre, linkage.placed_arm(member, place), push).load
            else:
                felt = link_strike(centre, place(held_point(member.part)), np.array(member.part.frame), push).load
            loads.append(self._cases.at_rest + felt)
        pushed = np.zeros((3, len(self._members), len(struck)))
        pushed[:, struck, range(len(struck))] = push[:, None]
        return loads, pushed


class CasesLack(Missing):
    """The spec lacks what some load cases, out of so many, need; the others can be computed."""

    def __init__(self, path: str, cases: tuple[str, ...], of: int) -> None:
        super().__init__(path)
        self.cases = cases
        self.of = of

    def __str__(self) -> str:
        return f"{_named(self.cases, self.of)}: {Missing(self.path)}"

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.path, self.cases, self.of)


def _of_cases(why: Missing | Unreached, cases: Sequence[str], of: int) -> Missing | Unreached:
    if isinstance(why, Missing):
        return CasesLack(why.path, tuple(cases), of)
    return Unreached(f"{_named(cases, of)}: {why}")


def _named(cases: Sequence[str], of: int) -> str:
    """Load cases by name: `2 of 14 load cases are missing, braking and driving`."""
    *others, last = cases
    names = f"{', '.join(others)} and {last}" if others else last
    return f"{len(cases)} of {of} load cases {'are' if others else 'is'} missing, {names}"


def _as_rule_error(error: Exception) -> Missing | Unreached:
    """Convert an error to Missing or Unreached, the two that rules handle."""
    return error if isinstance(error, Missing | Unreached) else Unreached(str(error))


def _on_foot(solved: SolvedCases, bracket: Attachment, normal: Vector) -> FootLoad:
    return foot_load(solved.rows, tuple(case.name for case in solved.cases), bracket, normal)


def least_force(loads: Loads, bracket: Attachment, why: Missing | Unreached) -> Spot:
    """Largest net force on a bracket, or its design load, N, and in words the load that decides. Raises `why` where
    neither is known."""
    stated = bracket.design_load if bracket.has("design_load") else 0.0
    try:
        worst = loads.worst(tuple(size(force) for force in loads.on_bracket(bracket).forces))
    except (Missing, Unreached):
        if not stated:
            raise why from None
        return Spot(float(stated)).under("under the design load")
    if stated > worst.value:
        return Spot(float(stated)).under("under the design load")
    return Spot(worst.value).under(f"in the {worst.case.label}")
