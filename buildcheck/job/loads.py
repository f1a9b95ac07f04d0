"""What links, bar, joints and springs carry in the cases that a builder asks about, at ride height and at full bump.

Every case is an equilibrium of the axle; see `buildcheck.motion.statics` and `load_cases`. Forces are in N; in a link
or a coilover tension is positive, at a joint of a radius arm there is the size of the force.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cached_property
from typing import NamedTuple

import numpy as np

from buildcheck.build import Build, Missing
from buildcheck.build.springs import BumpStop, Coilover
from buildcheck.job.curve import Array, Unreached
from buildcheck.job.layout import Bar
from buildcheck.job.moving import MovingAxle
from buildcheck.job.resting import RestingAxle
from buildcheck.motion.link_strike import link_strike
from buildcheck.motion.load_cases import (
    GRAVITY,
    LoadedAxle,
    WheelLifts,
    braking,
    bump_stop_hit,
    cornering,
    driving,
    static,
)
from buildcheck.motion.statics import (
    Load,
    Supports,
    UnheldAxle,
    axial_forces,
    combined,
    radius_arm_forces,
    side_by_side,
    together,
)

# Taken where the spec states no load cases. Common practice, no source: a hard stop and a hard bend on a dry road,
# three times the load at rest when the stops are hit, and the axle's own weight on the middle of a link.
BRAKING = 0.8
CORNERING = 0.7
FRICTION = 0.9
BUMP_STOP_HIT = 3.0
COMBINED = 0.7


class LoadCase(NamedTuple):
    """One case: its name, what it is, and whether the axle stands at ride height or at full bump in it."""

    name: str
    meaning: str


class Carried(NamedTuple):
    """What one part carries in each case, N. `joint` names a joint of a radius arm; empty for the part itself."""

    label: str
    path: str
    joint: str
    forces: tuple[float, ...]

    @property
    def largest(self) -> float:
        """The largest force of either sign."""
        return max(abs(force) for force in self.forces)


class LoadTable(NamedTuple):
    """All parts in all cases; `absent` says in words which cases could not be told, and why."""

    cases: tuple[LoadCase, ...]
    carried: tuple[Carried, ...]
    absent: tuple[str, ...]


class Loads:
    """The loads of one build. `at_bump` gives the moving axle and the number of its pose at full bump."""

    def __init__(self, resting: RestingAxle, at_bump: Callable[[], tuple[MovingAxle, int]]) -> None:
        self._build: Build = resting.build
        self._resting = resting
        self._at_bump = at_bump

    @cached_property
    def table(self) -> LoadTable:
        """What every part carries in every case."""
        try:
            heads = self._heads()
            supports = together(self._links(lambda bar: self._resting.rest.point(bar.axle)), self._springs)
        except (Missing, Unreached) as error:
            return LoadTable((), (), (f"all cases: {error}",))
        cases: list[LoadCase] = []
        columns: list[Array] = []
        absent: list[str] = []

        def add(case: LoadCase, solve: Callable[[], Array]) -> None:
            try:
                columns.append(solve())
                cases.append(case)
            except (Missing, WheelLifts, UnheldAxle, Unreached) as error:
                absent.append(f"{case.name}: {error}")

        # The cases at ride height differ in their loads alone, so they are solved at one go.
        loads: dict[LoadCase, Load] = {}
        for case, load in self._at_ride():
            try:
                loads[case] = load()
            except (Missing, WheelLifts, Unreached) as error:
                absent.append(f"{case.name}: {error}")
        strikes = self._strikes() if loads else []
        if loads:
            try:
                forces = axial_forces(supports, side_by_side(*loads.values(), *strikes))
            except UnheldAxle as error:
                return LoadTable((), (), (f"all cases: {error}",))
            values = self._values(supports, forces)
            cases.extend(loads)
            columns.extend(values[:, number] for number in range(len(loads)))
            if strikes:
                cases.append(ROCK_STRIKE)
                columns.append(_worst(values[:, len(loads) :]))
            else:
                absent.append(
                    f"{ROCK_STRIKE.name}: a rock on a radius arm is not told, since it bends otherwise than a link"
                )
            springs = forces[-len(self._coilovers) :, 0]
            hit = self._stated("bump_stop_hit", BUMP_STOP_HIT)
            add(
                LoadCase("bump stops hit", f"both stops hit at {hit:g} times the load at rest, at full bump"),
                lambda: self._hit(hit, springs),
            )
        rows = [Carried(*head, tuple(float(column[row]) for column in columns)) for row, head in enumerate(heads)]
        return LoadTable(tuple(cases), tuple(rows), tuple(absent))

    def largest(self, path: str) -> float:
        """The largest force that the part at a spec path carries at any of its joints, in any case, N.

        `path` may leave the side out (`links.arm`). Raises Missing when no case can be told, or no part stands there.
        """
        wanted = path.removesuffix(".both")
        found = [row.largest for row in self.table.carried if _is_at(row, wanted)]
        if not found or not self.table.cases:
            raise Missing(path)
        return max(found)

    def _at_ride(self) -> list[tuple[LoadCase, Callable[[], Load]]]:
        brake, corner = self._stated("braking", BRAKING), self._stated("cornering", CORNERING)
        both = f"a stop at {COMBINED * brake:.2g} g in a left bend at {COMBINED * corner:.2g} g"
        return [
            (LoadCase("at rest", "the truck standing on level ground"), lambda: self._at_rest),
            (LoadCase("braking", f"a stop at {brake:g} g"), lambda: self._at_rest + self._brake(brake)),
            (LoadCase("left bend", f"a bend to the left at {corner:g} g"), lambda: self._at_rest + self._bend(corner)),
            (
                LoadCase("right bend", f"a bend to the right at {corner:g} g"),
                lambda: self._at_rest + self._bend(-corner),
            ),
            (
                LoadCase("braking in a bend", both),
                lambda: self._at_rest + self._brake(COMBINED * brake) + self._bend(COMBINED * corner),
            ),
            (
                LoadCase("driving", "the largest drive torque, or what the tyres hold"),
                lambda: self._at_rest + self._drive(),
            ),
        ]

    def _stated(self, name: str, otherwise: float) -> float:
        if self._build.has("load_cases") and self._build.load_cases.has(name):
            return float(getattr(self._build.load_cases, name))
        return otherwise

    @cached_property
    def _axle(self) -> LoadedAxle:
        vehicle, axle = self._build.vehicle, self._build.axle
        centre = np.asarray(self._resting.rest.layout.centre)
        half = vehicle.track / 2
        contacts = np.array([[centre[0], centre[0]], [centre[1] + half, centre[1] - half], [0.0, 0.0]])
        try:
            return LoadedAxle(
                centre,
                contacts,
                vehicle.axle_load,
                vehicle.unsprung_mass,
                vehicle.total_mass,
                vehicle.wheelbase,
                vehicle.centre_of_gravity_height,
                axle.position == "front",
            )
        except ValueError as error:
            raise Unreached(f"the masses do not fit together: {error}") from error

    @cached_property
    def _at_rest(self) -> Load:
        return static(self._axle)

    def _brake(self, deceleration: float) -> Load:
        return braking(self._axle, deceleration, self._build.vehicle.brake_share)

    def _bend(self, lateral: float) -> Load:
        return cornering(self._axle, lateral)

    def _drive(self) -> Load:
        vehicle, axle = self._build.vehicle, self._build.axle
        ratio = axle.final_drive_ratio if axle.has("final_drive_ratio") else None
        return driving(
            self._axle,
            vehicle.drive_torque,
            vehicle.tyre.static_radius,
            self._stated("friction", FRICTION),
            axle_ratio=ratio,
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
        return Supports.between(np.asarray(self._axle.centre), ends, frames, [self._rate(each) for each in coilovers])

    @cached_property
    def _coilovers(self) -> list[Coilover]:
        """The coilovers that carry the truck; dampers without a spring carry nothing at rest."""
        named = self._build.coilovers
        parts = [part for name in sorted(named) for part in named[name]]
        carrying = [part for part in parts if not part.has("kind") or part.kind == "coilover"]
        if not carrying:
            raise Unreached("there are dampers, and no coilover that carries the truck")
        return carrying

    @property
    def _stops(self) -> list[BumpStop]:
        named = self._build.bump_stops
        return [part for name in sorted(named) for part in named[name]]

    def _rate(self, coilover: Coilover) -> float:
        # With six supports in all equilibrium alone decides; then the rate has no say.
        if len(self._resting.linkage.bars) + len(self._coilovers) == SIX and not coilover.has("springs"):
            return 1.0
        return 1.0 / sum(1.0 / spring.rate for spring in coilover.springs)

    def _hit(self, factor: float, springs: Array) -> Array:
        """At full bump the stops are supports, and the springs press with what they are compressed by there.

        `springs` is what they carry at rest, (coilovers,) N.
        """
        moving, pose = self._at_bump()
        poses = moving.poses
        if not poses.solved[pose]:
            raise Unreached("the axle cannot reach full bump")
        stops = self._stops
        centre = np.asarray(self._axle.centre) + np.array([poses.x[pose], poses.y[pose], poses.heave[pose]])
        links = replace(self._links(lambda bar: moving.point(bar.axle)[:, pose]), centre=centre)
        targets = np.array([moving.point(stop.target)[:, pose] for stop in stops]).T
        away = -np.array([stop.axis for stop in stops]).T
        held = together(links, Supports.along(centre, targets, away, [1.0] * len(stops)))
        loads = [self._at_rest, bump_stop_hit(self._axle, factor=factor)]
        pressed = []
        for at_rest, coilover in zip(springs, self._coilovers, strict=True):
            end, frame = moving.point(coilover.axle)[:, pose], np.array(coilover.frame)
            length = float(np.linalg.norm(frame - end))
            before = float(np.linalg.norm(frame - self._resting.rest.point(coilover.axle)))
            tension = float(at_rest) + self._rate(coilover) * (length - before)
            pressed.append(tension)
            loads.append(Load.at(centre, end, tension * (frame - end) / length))
        forces = axial_forces(held, combined(*loads))
        joints = self._values(held, np.concatenate([forces[: -len(stops)], pressed])[:, None])[:, 0]
        joints[-len(stops) :] = forces[-len(stops) :]
        return joints

    def _strikes(self) -> list[Load]:
        """A rock on the middle of each link on two joints in turn, with the truck at rest.

        A radius arm bends otherwise, so it is left out.
        """
        force = self._stated("rock_strike", self._build.vehicle.axle_load * GRAVITY)
        push = force * np.array([-1.0, 0.0, 1.0]) / np.sqrt(2.0)
        centre = np.asarray(self._axle.centre)
        return [
            self._at_rest + link_strike(centre, self._resting.rest.point(bar.axle), np.array(bar.frame), push).load
            for bar in self._resting.linkage.bars
            if not bar.arm and bar.path.startswith("links")
        ]

    def _heads(self) -> list[tuple[str, str, str]]:
        """Label, path and joint of each row, in the order of `_values`."""
        heads: list[tuple[str, str, str]] = []
        for bar in self._resting.linkage.bars:
            if not bar.arm:
                heads.append((bar.label, bar.path, ""))
            elif bar.arm == "axle_upper":  # the lower bar of the same arm comes next
                heads.extend((bar.label, bar.path, joint) for joint in ARM_JOINTS)
        heads.extend((each.label, each.path, "") for each in self._coilovers)
        if self._build.has("bump_stops"):
            heads.extend((each.label, each.path, "") for each in self._stops)
        return heads

    def _values(self, supports: Supports, forces: Array) -> Array:
        """What each row carries, (rows, cases), from the forces in links and springs (supports, cases)."""
        values: list[Array] = []
        for number, bar in enumerate(self._resting.linkage.bars):
            if not bar.arm:
                values.append(forces[number])
            elif bar.arm == "axle_upper":
                arm = radius_arm_forces(supports, forces, number, number + 1)
                values.extend(
                    np.sqrt(np.sum(pull**2, axis=0)) for pull in (arm.on_frame, arm.on_axle_upper, arm.on_axle_lower)
                )
        values.extend(forces[-len(self._coilovers) :])
        if self._build.has("bump_stops"):  # they carry nothing but where they are hit
            values.extend(np.zeros_like(forces[0]) for _ in self._stops)
        return np.array(values)


ARM_JOINTS = ("frame joint", "upper axle joint", "lower axle joint")
ROCK_STRIKE = LoadCase("rock strike", "a rock on the middle of each link in turn, from ahead and below")


def _worst(values: Array) -> Array:
    """Of each row (rows, cases) the value that is largest in size."""
    return np.asarray(np.take_along_axis(values, np.argmax(np.abs(values), axis=1)[:, None], axis=1)[:, 0])


SIX = 6


def _is_at(row: Carried, path: str) -> bool:
    at = row.path.removesuffix(".both")
    side = row.label.split(" ", 1)[0]
    return path in (at, row.path, f"{at}.{side}", at.rpartition(".")[0] if at.endswith((".left", ".right")) else at)
