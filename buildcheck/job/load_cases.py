"""The load cases that a builder asks about, for one build: what each is, and what it puts on the axle."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property

import numpy as np

from buildcheck.build import Build
from buildcheck.job.curve import Array, Unreached
from buildcheck.job.load_table import LoadCase
from buildcheck.job.resting import RestingAxle
from buildcheck.motion.load_cases import GRAVITY, GroundLoad, LoadedAxle, braking, cornering, driving, static

# Taken where the spec states no load cases. Common practice, no source: a hard stop and a hard bend on a dry road,
# three times the load at rest when the stops are hit, and the axle's own load on the middle of a link.
BRAKING = 0.8
CORNERING = 0.7
FRICTION = 0.9
BUMP_STOP_HIT = 3.0
COMBINED = 0.7
# A driven axle that brings nothing to the road would make the truck accelerate without end.
LEAST_SHARE = 0.01

ROCK_STRIKE = LoadCase(
    "rock strike", "a rock on the middle of each link or arm in turn, from ahead and below, with the truck at rest"
)
HANGING = LoadCase("hanging", "off the ground, the axle hanging at full droop on its straps")


class Cases:
    """The cases of one build."""

    def __init__(self, resting: RestingAxle) -> None:
        self._build: Build = resting.build
        self._resting = resting

    @cached_property
    def axle(self) -> LoadedAxle:
        """The axle on the ground at ride height. Unreached for masses that do not fit together."""
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
    def at_rest(self) -> GroundLoad:
        """The truck standing on level ground."""
        return static(self.axle)

    def at_ride(self) -> list[tuple[LoadCase, Callable[[], GroundLoad]]]:
        """The cases in which the axle stands at ride height, with the whole load of each."""
        brake, corner = self._stated("braking", BRAKING), self._stated("cornering", CORNERING)
        both = f"a stop at {COMBINED * brake:.2g} g in a left bend at {COMBINED * corner:.2g} g"
        cases: list[tuple[LoadCase, Callable[[], GroundLoad]]] = [
            (LoadCase("at rest", "the truck standing on level ground"), lambda: self.at_rest),
            (LoadCase("braking", f"a stop at {brake:g} g"), lambda: self.at_rest + self._brake(brake)),
            (
                LoadCase("left bend", f"a bend to the left at {corner:g} g"),
                lambda: self.at_rest + cornering(self.axle, corner),
            ),
            (
                LoadCase("right bend", f"a bend to the right at {corner:g} g"),
                lambda: self.at_rest + cornering(self.axle, -corner),
            ),
            (
                LoadCase("braking in a bend", both),
                lambda: self.at_rest + self._brake(COMBINED * brake) + cornering(self.axle, COMBINED * corner),
            ),
        ]
        if not self._build.axle.has("driven") or self._build.axle.driven:
            driven = LoadCase("driving", "the largest drive torque, or what the tyres hold")
            cases.append((driven, lambda: self.at_rest + self._drive()))
        return cases

    @property
    def hit(self) -> float:
        """How many times the load at rest presses when both bump stops are hit."""
        return self._stated("bump_stop_hit", BUMP_STOP_HIT)

    @property
    def bump_stops_hit(self) -> LoadCase:
        """Both bump stops hit, at full bump."""
        return LoadCase("bump stops hit", f"both stops hit at {self.hit:g} times the load at rest, at full bump")

    @property
    def rock(self) -> Array:
        """The force of a rock on a link, (3,) N: from ahead and below."""
        force = self._stated("rock_strike", self._build.vehicle.axle_load * GRAVITY)
        push: Array = force * np.array([-1.0, 0.0, 1.0]) / np.sqrt(2.0)
        return push

    def _stated(self, name: str, otherwise: float) -> float:
        if self._build.has("load_cases") and self._build.load_cases.has(name):
            return float(getattr(self._build.load_cases, name))
        return otherwise

    def _brake(self, deceleration: float) -> GroundLoad:
        return braking(self.axle, deceleration, self._build.vehicle.brake_share)

    def _drive(self) -> GroundLoad:
        vehicle, axle = self._build.vehicle, self._build.axle
        ratio = axle.final_drive_ratio if axle.has("final_drive_ratio") else None
        return driving(
            self.axle,
            vehicle.drive_torque,
            vehicle.tyre.static_radius,
            self._stated("friction", FRICTION),
            axle_ratio=ratio,
            # Where the spec does not say, this axle drives alone, which loads it most.
            drive_share=max(vehicle.drive_share, LEAST_SHARE) if vehicle.has("drive_share") else 1.0,
        )
