"""Load cases away from ride height: on the stops, on the straps, and the bind of the links at full articulation.

At full bump and full droop, two stops or two straps hold the axle beside its links. On one stop or one strap, the
ground under the other wheel is the second support: what it carries follows from equilibrium.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Literal, NamedTuple

import numpy as np

from buildcheck.build import Point, Side
from buildcheck.build.springs import BumpStop, Coilover, LimitStrap
from buildcheck.job.curve import Array, Unreached
from buildcheck.job.envelope import HEIGHTS
from buildcheck.job.layout import held_more_than_once
from buildcheck.job.lines import Lines
from buildcheck.job.load_cases import Cases
from buildcheck.job.loaded_parts import Columns, joined_columns, link_loads
from buildcheck.job.moving import MovingAxle
from buildcheck.job.resting import RestingAxle
from buildcheck.job.springs import rate_of
from buildcheck.strength.load_cases import GRAVITY, bump_stop_hit
from buildcheck.strength.statics import Load, Supports, axial_forces, combined, together

# Stiffness, N/m, of stops, straps and the ground where they hold the axle on one side: next to that of links and their
# joints, as good as rigid.
AS_GOOD_AS_RIGID = 1e10
UPWARD = np.array([0.0, 0.0, 1.0])


class Travel(NamedTuple):
    """The axle moved: `along` returns it with the lines of its poses, `about` in poses of travel and articulation
    together, after the one at ride height. Both raise Missing where the spec does not state the travel."""

    along: Callable[[], tuple[MovingAxle, Lines]]
    about: Callable[[], MovingAxle]


class Hung(NamedTuple):
    """The coilovers that carry the truck, the force in each at rest, N, tension positive, the stops and the straps."""

    coilovers: Sequence[Coilover]
    springs: Array
    stops: Sequence[BumpStop]
    straps: Sequence[LimitStrap]


class Place(NamedTuple):
    """One pose of the moving axle."""

    moving: MovingAxle
    pose: int

    def point(self, point: Point) -> Array:
        """Position of a point of the axle, (3,) m."""
        position: Array = self.moving.point(point)[:, self.pose]
        return position

    @property
    def centre(self) -> Array:
        """Position of the axle centre, (3,) m."""
        poses = self.moving.poses
        moved = np.array([poses.x[self.pose], poses.y[self.pose], poses.heave[self.pose]])
        centre: Array = np.asarray(self.moving.resting.rest.layout.centre) + moved
        return centre

    @property
    def attitude(self) -> Array:
        """Rotation of the axle from the spec to this pose, (3, 3)."""
        return np.array([self.moving.direction(axis)[:, self.pose] for axis in np.eye(3)]).T


class CasesAway:
    """The load cases away from ride height of one build; `links` makes its links supports of the axle in a pose.

    Each case raises Missing for what the spec lacks of it, Unreached where the axle does not reach its pose or the part
    that the case loads would carry nothing.
    """

    def __init__(
        self,
        resting: RestingAxle,
        cases: Cases,
        travel: Travel,
        links: Callable[[Callable[[Point], Array]], Supports],
        hung: Hung,
    ) -> None:
        self._build = resting.build
        self._resting = resting
        self._cases = cases
        self._travel = travel
        self._links = links
        self._hung = hung

    def stops_hit(self) -> Columns:
        """At full bump the stops are supports."""
        place = self._along(-1, "full bump")
        _ = self._build.bump_stops  # raises Missing without any
        stops = list(range(len(self._hung.stops)))
        load = self._cases.at_rest + bump_stop_hit(self._cases.axle, factor=self._cases.hit)
        return self._held(place, stops, [], load, load.corners)

    def hanging(self) -> Columns:
        """At full droop the straps are supports, and the axle's own weight hangs on them."""
        _ = self._build.limit_straps  # raises Missing where the spec does not say whether there are any
        place = self._along(0, "full droop")
        columns = self._held(place, [], list(range(len(self._hung.straps))), self._weight(place), np.zeros(2))
        if (columns.straps < 0.0).any():
            raise Unreached("the springs leave a strap slack")
        return columns

    def one_stop_hit(self) -> Columns:
        """At full articulation, either side up against its stop."""
        _ = self._build.bump_stops  # raises Missing without any
        push = self._cases.hit * self._cases.axle.axle_load * GRAVITY / 2
        return joined_columns([self._one_side(side, self._hung.stops, push) for side in (Side.LEFT, Side.RIGHT)])

    def on_one_strap(self) -> Columns:
        """At full articulation, either side down on its strap, with its wheel off the ground."""
        _ = self._build.limit_straps  # as above
        return joined_columns([self._one_side(side, self._hung.straps, 0.0) for side in (Side.LEFT, Side.RIGHT)])

    def articulated(self, rest: Columns) -> Columns:
        """At full articulation, right wheel up and left wheel up: the columns at rest plus the bind of the links in
        that pose; the bending moments of the two are added as if in the same direction."""
        columns = []
        for number in (0, -1):
            place = self._along(number, "full articulation", "articulation")
            bind = self._link_loads(place, self._bind(place))
            columns.append(
                replace(
                    rest,
                    on_axle=rest.on_axle + bind[0],
                    on_frame=rest.on_frame + bind[1],
                    moments=rest.moments + bind[2],
                    thrusts=rest.thrusts + bind[3],
                    attitude=place.attitude[:, :, None],
                )
            )
        return joined_columns(columns)

    def _along(self, number: int, name: str, line: Literal["travel", "articulation"] = "travel") -> Place:
        moving, lines = self._travel.along()
        return _reached(moving, int(getattr(lines, line).picks[number]), name)

    def _one_side(self, side: Side, parts: Sequence[BumpStop] | Sequence[LimitStrap], push: float) -> Columns:
        """Columns with the stops or straps of one side as supports, a force `push` (N) of the ground on that wheel, and
        the ground under the other one as a support."""
        up = (side is Side.LEFT) == (parts is self._hung.stops)  # whether the left side is up
        raised = parts is self._hung.stops
        # Poses after that at ride height: for each roll, right wheel up first, the heights from the lowest up.
        first = -HEIGHTS if up else 1
        place = _reached(self._travel.about(), first + (HEIGHTS - 1 if raised else 0), "full articulation")
        held = [number for number, part in enumerate(parts) if part.side is side]
        if not held:
            raise Unreached(f"there is none on the {side} side")
        contacts = [place.point(Point(*contact)) for contact in self._cases.axle.contacts.T]
        wheel, across = (0, 1) if side is Side.LEFT else (1, 0)
        load = self._weight(place) + Load.at(place.centre, contacts[wheel], push * UPWARD)
        corners = np.zeros(2)
        corners[wheel] = push
        return self._held(
            place, held if raised else [], [] if raised else held, load, corners, (across, contacts[across])
        )

    def _weight(self, place: Place) -> Load:
        """Weight of the axle, at its centre."""
        weight = self._cases.axle.unsprung_mass * GRAVITY
        return Load.at(place.centre, place.centre, -weight * UPWARD)

    def _bind(self, place: Place) -> Array:
        """Force of each bar on the axle by the bind of the links in a pose, (3, bars) N."""
        pull: Array = place.moving.handling.bind_pull[:, :, place.pose]
        return pull

    def _link_loads(self, place: Place, pull: Array) -> tuple[Array, Array, Array, Array]:
        linkage = self._resting.linkage
        return link_loads(linkage, place.point, pull[:, :, None], np.zeros((3, len(linkage.members), 1)))

    def _springs(self, place: Place) -> tuple[Array, Array, Load]:
        """Forces of the springs at their lengths, which never pull: in each, (coilovers,) N, on the axle, (3,
        coilovers) N, and their load on it."""
        forces, pulls = [], []
        load = Load(np.zeros(3), np.zeros(3))
        for at_rest, coilover in zip(self._hung.springs, self._hung.coilovers, strict=True):
            end, frame = place.point(coilover.axle), np.array(coilover.frame)
            length = float(np.linalg.norm(frame - end))
            before = float(np.linalg.norm(frame - self._resting.rest.point(coilover.axle)))
            tension = min(float(at_rest) + rate_of(coilover) * (length - before), 0.0)
            forces.append(tension)
            pulls.append(tension * (frame - end) / length)
            load = load + Load.at(place.centre, end, pulls[-1])
        return np.array(forces), np.array(pulls).T, load

    def _held(
        self,
        place: Place,
        stops: Sequence[int],
        straps: Sequence[int],
        load: Load,
        corners: Array,
        ground: tuple[int, Array] | None = None,
    ) -> Columns:
        """Columns of a pose in which the links, some stops, some straps and, if given, the ground at one contact hold
        the axle, whose springs push with their force at that length."""
        centre = place.centre
        ends: list[Array] = []
        towards: list[Array] = []
        for number in stops:
            end, way = _at_stop(place, self._hung.stops[number])
            ends.append(end)
            towards.append(way)
        for number in straps:
            strap = self._hung.straps[number]
            ends.append(place.point(strap.axle))
            towards.append(np.array(strap.frame) - ends[-1])
        if ground is not None:
            ends.append(ground[1])
            towards.append(UPWARD)
        bars = len(self._resting.linkage.bars)
        bind = np.zeros((3, bars))
        loads = [load]
        if ground is not None and held_more_than_once(self._build):
            bind = self._bind(place)
            ends_of_bars = [place.point(bar.axle) for bar in self._resting.linkage.bars]
            loads += [Load.at(centre, end, pull) for end, pull in zip(ends_of_bars, bind.T, strict=True)]
        springs, spring_pulls, pushed = self._springs(place)
        stiffness = 1.0 if ground is None else AS_GOOD_AS_RIGID
        links = replace(self._links(place.point), centre=centre)
        held = together(links, Supports.along(centre, np.array(ends).T, np.array(towards).T, [stiffness] * len(ends)))
        forces = axial_forces(held, combined(*loads, pushed))
        pull = held.forces_on_axle(forces)
        hung = self._hung
        in_stops, in_straps = np.zeros(len(hung.stops)), np.zeros(len(hung.straps))
        stop_pulls, strap_pulls = np.zeros((3, len(hung.stops))), np.zeros((3, len(hung.straps)))
        at = bars + len(stops)
        in_stops[list(stops)], stop_pulls[:, list(stops)] = forces[bars:at], pull[:, bars:at]
        last = at + len(straps)
        in_straps[list(straps)], strap_pulls[:, list(straps)] = forces[at:last], pull[:, at:last]
        if ground is not None:
            _refuse_loose(in_stops[list(stops)], in_straps[list(straps)], float(forces[-1]))
            corners = corners.copy()
            corners[ground[0]] = forces[-1]
        return Columns(
            *self._link_loads(place, pull[:, :bars] + bind),
            springs[:, None],
            spring_pulls[:, :, None],
            in_stops[:, None],
            stop_pulls[:, :, None],
            in_straps[:, None],
            strap_pulls[:, :, None],
            np.asarray(corners)[:, None],
            place.attitude[:, :, None],
        )


def _reached(moving: MovingAxle, pose: int, name: str) -> Place:
    if not moving.poses.solved[pose]:
        raise Unreached(f"the axle cannot reach {name}")
    return Place(moving, pose)


def _at_stop(place: Place, stop: BumpStop) -> tuple[Array, Array]:
    """Where a stop pushes on the axle, (3,) m, and the direction from there towards its frame end, (3,)."""
    axis = np.array(stop.axis)
    if stop.has("mounted_on") and stop.mounted_on == "axle":
        return place.point(stop.base), place.moving.direction(axis)[:, place.pose]
    return place.point(stop.target), -axis


def _refuse_loose(stops: Array, straps: Array, ground: float) -> None:
    """Raise Unreached where a support could only pull that pushes, or push that pulls: the axle is then not there."""
    if (stops > 0.0).any():
        raise Unreached("the springs keep the axle off its stop")
    if (straps < 0.0).any():
        raise Unreached("the springs leave the strap slack")
    if ground < 0.0:
        raise Unreached("the other wheel leaves the ground")
