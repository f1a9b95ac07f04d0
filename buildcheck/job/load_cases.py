"""Load cases of one build: the description of each, and its load on the axle.

Numbers that the spec does not state are assumed by common practice, and reported in the sentence of the case and as its
`Assumption`.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress

import numpy as np

from buildcheck.build import Build, Missing
from buildcheck.job.curve import Array, Unreached
from buildcheck.job.kept import Keeper, kept
from buildcheck.job.layout import Assumption, held_more_than_once
from buildcheck.job.load_table import LoadCase, Worst
from buildcheck.job.resting import RestingAxle
from buildcheck.job.standing_steering import StandingSteering
from buildcheck.spec.quantity import Dimension
from buildcheck.strength.load_cases import (
    GRAVITY,
    GroundLoad,
    LoadedAxle,
    WheelLifts,
    Wheels,
    at_a_kerb,
    at_a_ledge,
    braking,
    cornering,
    driving,
    static,
    weight_left,
)

# Assumed where the spec does not state them: a hard stop and a hard bend on a dry road, not quite the whole of both at
# once, three times the load at rest when the stops are hit, the axle's own load on the middle of a link, an axle that
# drives alone, a ledge half as high as the wheel centre, and the upper ends of the published ranges for one wheel on
# rough ground (1.3 to 1.8 times its load) and for a kerb (1.4 to 1.75 times the force that tips the truck over).
BRAKING = 0.8
CORNERING = 0.7
COMBINED = 0.7
FRICTION = 0.9
BUMP_STOP_HIT = 3.0
DRIVE_SHARE = 1.0
LEDGE = 0.5
ONE_WHEEL = 1.8
KERB = 1.75
COMMON_PRACTICE = "common practice, no source"
PUBLISHED = "H. Ibrahim, Loads on Vehicle Structures, lecture notes, table of dynamic factors"
ASSUMED = {
    "braking": BRAKING,
    "cornering": CORNERING,
    "combined": COMBINED,
    "friction": FRICTION,
    "bump_stop_hit": BUMP_STOP_HIT,
    "one_wheel": ONE_WHEEL,
    "kerb": KERB,
}

# A spec does not give the driveshaft's direction of rotation; (3,) each, the two axes about which it may turn
# right-handed.
EITHER_WHEEL = (Wheels.LEFT, Wheels.RIGHT)
EITHER_WAY = ((-1.0, 0.0, 0.0), (1.0, 0.0, 0.0))

NEEDED_OF_VEHICLE = (
    "wheelbase",
    "track",
    "axle_load",
    "unsprung_mass",
    "total_mass",
    "centre_of_gravity_height",
)

LEDGE_CASE = "one wheel at a ledge"
KERB_CASE = "one wheel at a kerb"
REVERSE = "driving in reverse"
STANDING = "wheels turned standing"
ROCK_STRIKE = "rock strike"
BUMP_STOPS_HIT = "bump stops hit"
ONE_STOP_HIT = "one bump stop hit"
HANGING = "hanging"
ONE_STRAP = "hanging on one strap"
ARTICULATED = "articulated"


class CaseNumbers:
    """The numbers of a build's load cases: each as stated in the spec, or assumed by common practice.

    `assumed` lists those that were read and that the spec does not state.
    """

    def __init__(self, build: Build) -> None:
        self._build = build
        self._assumed: dict[Assumption, None] = {}
        self._stated = False

    @property
    def words(self) -> str:
        """Note on the assumed numbers among those read, to add to a sentence that gives them; empty where the spec
        states them all."""
        if not self._assumed:
            return ""
        names: dict[str, list[str]] = {}
        for assumption in self._assumed:
            names.setdefault(assumption.basis, []).append(assumption.path.rpartition(".")[2].replace("_", " "))
        named = self._stated or len(names) > 1
        each = [f"{' and '.join(which)}: {basis}" if named else basis for basis, which in names.items()]
        return f" ({'; '.join(each)})"

    @property
    def assumed(self) -> tuple[Assumption, ...]:
        """Assumptions for the numbers read that are not stated, in the order in which they were read."""
        return tuple(self._assumed)

    def braking(self) -> float:
        """Deceleration of a hard stop, in g."""
        return self._case("braking", "deceleration of a hard stop", BRAKING, unit="g")

    def cornering(self) -> float:
        """Lateral acceleration in a hard bend, in g."""
        return self._case("cornering", "lateral acceleration in a hard bend", CORNERING, unit="g")

    def combined(self) -> float:
        """Share of both that acts at once when braking in a bend."""
        what = "share of the stop and of the bend that act at once when braking in a bend"
        return self._case("combined", what, COMBINED, Dimension.RATIO)

    def friction(self) -> float:
        """Friction of tyre on ground."""
        return self._case("friction", "friction of tyre on ground", FRICTION)

    def bump_stop_hit(self) -> float:
        """Wheel load when both bump stops are hit, as a multiple of the load at rest."""
        what = "wheel load when the bump stops are hit"
        return self._case("bump_stop_hit", what, BUMP_STOP_HIT, unit="times the load at rest")

    def one_wheel(self) -> float:
        """Load of one wheel on rough ground, as a multiple of its load at rest."""
        what = "load of one wheel on rough ground"
        return self._case("one_wheel", what, ONE_WHEEL, unit="times its load at rest", basis=PUBLISHED)

    def kerb(self) -> float:
        """Side force of a kerb on one wheel, as a multiple of the force that tips the truck over."""
        what = "side force of a kerb on one wheel"
        return self._case("kerb", what, KERB, unit="times the force that tips the truck over", basis=PUBLISHED)

    def ledge(self) -> float:
        """Height of the ledge against which one wheel is driven, m. Raises Missing where neither it nor the loaded
        radius of the tyre is stated."""
        if self.states("ledge"):
            self._stated = True
            return self._build.load_cases.ledge
        what = "height of a ledge, half that of the wheel centre"
        return self._case("ledge", what, usual_ledge(self._build), Dimension.LENGTH)

    def rock_strike(self) -> float:
        """Magnitude of the force of a rock on a link, N. Raises Missing where neither it nor the axle's load is
        stated."""
        if self.states("rock_strike"):
            self._stated = True
            return self._build.load_cases.rock_strike
        weight = self._build.vehicle.axle_load * GRAVITY
        what = "force of a rock on a link, the weight on the axle"
        return self._case("rock_strike", what, weight, Dimension.FORCE)

    def drive_share(self) -> float:
        """Share of this axle in the whole drive force. Raises Unreached where it is stated as zero, which is wrong for
        a driven axle."""
        vehicle = self._build.vehicle
        if not vehicle.has("drive_share"):
            what = "this axle's share of the drive force"
            self._note(
                Assumption(vehicle.path_of("drive_share"), what, DRIVE_SHARE, Dimension.RATIO, "", COMMON_PRACTICE)
            )
            return DRIVE_SHARE
        if not vehicle.drive_share > 0.0:
            raise Unreached(f"{vehicle.path_of('drive_share')} is zero, but the axle is driven")
        self._stated = True
        return vehicle.drive_share

    def states(self, name: str) -> bool:
        """Whether the spec states a number of the load cases."""
        return self._build.has("load_cases") and self._build.load_cases.has(name)

    def _case(
        self,
        name: str,
        what: str,
        otherwise: float,
        dimension: Dimension | None = None,
        unit: str = "",
        basis: str = COMMON_PRACTICE,
    ) -> float:
        if self.states(name):
            self._stated = True
            return float(getattr(self._build.load_cases, name))
        self._note(Assumption(f"load_cases.{name}", what, otherwise, dimension, unit, basis))
        return otherwise

    def _note(self, assumption: Assumption) -> None:
        self._assumed[assumption] = None


def stated_share(build: Build, name: str) -> float:
    """A number of the load cases that the spec states, as a share of the value assumed where none is stated.

    Raises Missing for a rock strike and a ledge where the spec lacks the load on the axle or the loaded radius of the
    tyre, from which the assumed value follows.
    """
    return float(getattr(build.load_cases, name) / usual_number(build, name))


def usual_number(build: Build, name: str) -> float:
    """The value assumed for a number of the load cases where none is stated, SI. Raises Missing as `stated_share`
    does."""
    if name == "rock_strike":
        return float(build.vehicle.axle_load * GRAVITY)
    return float(usual_ledge(build) if name == "ledge" else ASSUMED[name])


def usual_ledge(build: Build) -> float:
    """Height of the ledge assumed where none is stated, m: half the loaded radius of the tyre."""
    return LEDGE * build.vehicle.tyre.static_radius


def cases_of(build: Build) -> tuple[LoadCase, ...]:
    """Every load case of a build, whether or not it can be computed, in the order in which they are listed. An axle
    that is not driven has no driving case, one that is stated to have no straps no hanging case, and one whose links
    cannot bind no binding case."""
    cases = [_at_rest(), _braking(build), *_bends(build), *_braking_in_bends(build)]
    if not build.has("axle") or not build.axle.has("driven") or build.axle.driven:
        cases.extend(_driving(build))
    cases.extend([_at_a_ledge(build), _at_a_kerb(build)])
    if steered(build):
        cases.append(_turned_standing(build))
    cases.extend([_rock_strike(build), _bump_stops_hit(build), _one_stop_hit(build)])
    if not build.has("limit_straps") or build.limit_straps:
        cases.append(LoadCase(HANGING, "off the ground, the axle hanging at full droop on its straps"))
        what = "at full articulation, either wheel in turn off the ground, that side hanging on its strap"
        cases.append(LoadCase(ONE_STRAP, what))
    if build.has("links") and held_more_than_once(build):
        what = "the load at rest plus the bind of the links at full articulation, with either side up"
        cases.append(LoadCase(ARTICULATED, what))
    return tuple(cases)


def _at_rest() -> LoadCase:
    return LoadCase("at rest", "the truck standing on level ground, half of the axle's load on each tyre")


def _braking(build: Build) -> LoadCase:
    numbers = CaseNumbers(build)
    return _case_with_notes(numbers, "braking", f"a stop at {numbers.braking():g} g")


def _bends(build: Build) -> list[LoadCase]:
    numbers = CaseNumbers(build)
    words = f"at {numbers.cornering():g} g, with the axle's share, by mass, of the overturning moment"
    return [_case_with_notes(numbers, f"{side} bend", f"a bend to the {side} {words}") for side in ("left", "right")]


def _braking_in_bends(build: Build) -> list[LoadCase]:
    numbers = CaseNumbers(build)
    brake, corner, share = numbers.braking(), numbers.cornering(), numbers.combined()
    words = f"a stop at {share * brake:.2g} g in a {{side}} bend at {share * corner:.2g} g, {_percent(share)} of each"
    return [
        _case_with_notes(numbers, f"braking in a {side} bend", words.format(side=side)) for side in ("left", "right")
    ]


def steered(build: Build) -> bool:
    """Whether the wheels of the axle are steered, or the spec does not say that it is a rear one."""
    return (
        build.has("steering")
        or not build.has("axle")
        or not build.axle.has("position")
        or build.axle.position == "front"
    )


def _driving(build: Build) -> list[LoadCase]:
    numbers = CaseNumbers(build)
    try:
        share = f"; the axle has {_percent(numbers.drive_share())} of the drive force"
    except (Missing, Unreached):  # then the case cannot be computed, and gives the reason
        share = ""
    words = (
        f"the largest drive torque, or what the tyres hold at a friction of {numbers.friction():g}{share}; the torque "
        "of the driveshaft turns the axle, either way, against its springs alone"
    )
    return [_case_with_notes(numbers, "driving", words), _case_with_notes(numbers, REVERSE, f"backward: {words}")]


def _at_a_ledge(build: Build) -> LoadCase:
    numbers = CaseNumbers(build)
    factor = numbers.one_wheel()
    with suppress(Missing):  # then the case cannot be computed, and gives the reason
        numbers.ledge()
    words = (
        "either wheel in turn driven into a ledge, which pushes back and up through its hub; the wheel carries "
        f"{factor:g} times its load at rest"
    )
    return _case_with_notes(numbers, LEDGE_CASE, words)


def _at_a_kerb(build: Build) -> LoadCase:
    numbers = CaseNumbers(build)
    words = (
        f"either wheel in turn pushed inward by a kerb, at {numbers.kerb():g} times the force that tips the truck "
        "over, with the whole load of the axle on that wheel"
    )
    return _case_with_notes(numbers, KERB_CASE, words)


def _turned_standing(build: Build) -> LoadCase:
    numbers = CaseNumbers(build)
    words = (
        f"the wheels of the standing truck turned either way, straight ahead and at full lock, at a friction of "
        f"{numbers.friction():g}; the lateral bar and the links hold the axle against the drag link"
    )
    return _case_with_notes(numbers, STANDING, words)


def _rock_strike(build: Build) -> LoadCase:
    numbers = CaseNumbers(build)
    size = "" if numbers.states("rock_strike") else ", with the weight on the axle"
    try:
        numbers.rock_strike()
    except Missing:  # as above
        size = ""
    words = f"a rock on the middle of each link or arm in turn, from ahead and below{size}, the truck at rest"
    return _case_with_notes(numbers, ROCK_STRIKE, words)


def _bump_stops_hit(build: Build) -> LoadCase:
    numbers = CaseNumbers(build)
    words = f"both stops hit at {numbers.bump_stop_hit():g} times the load at rest, at full bump"
    return _case_with_notes(numbers, BUMP_STOPS_HIT, words)


def _one_stop_hit(build: Build) -> LoadCase:
    numbers = CaseNumbers(build)
    words = (
        f"at full articulation, either wheel in turn driven into its stop at {numbers.bump_stop_hit():g} times its "
        "load at rest, the other one on the ground"
    )
    return _case_with_notes(numbers, ONE_STOP_HIT, words)


def _case_with_notes(numbers: CaseNumbers, name: str, meaning: str) -> LoadCase:
    """Make the case; its sentence notes the numbers that are assumed."""
    return LoadCase(name, meaning + numbers.words, numbers.assumed)


def _percent(share: float) -> str:
    return f"{100 * share:.3g} %"


class Cases(Keeper):
    """Loads of the cases of one build on its axle."""

    def __init__(self, resting: RestingAxle) -> None:
        super().__init__(resting.store, "load cases")
        self._build: Build = resting.build
        self._resting = resting
        self._numbers = CaseNumbers(resting.build)

    @kept
    def axle(self) -> LoadedAxle:
        """The axle on the ground at ride height. Raises Unreached for inconsistent masses."""
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

    @property
    def lacking(self) -> tuple[str, ...]:
        """Spec paths of masses and lengths that are not stated and that every case needs."""
        vehicle, axle = ("vehicle", *NEEDED_OF_VEHICLE), ("axle", "position")
        found: list[str] = []
        for section, *names in (vehicle, axle):
            for name in names:
                try:
                    getattr(getattr(self._build, section), name)
                except Missing as missing:
                    found.append(missing.path)
        return tuple(dict.fromkeys(found))

    @kept
    def at_rest(self) -> GroundLoad:
        """Load of the truck standing on level ground."""
        return static(self.axle)

    def at_ride(self) -> dict[str, Callable[[], list[GroundLoad]]]:
        """Functions that compute the whole load of each case at ride height, by the case's name; of several loads the
        worst counts. They raise Missing, Unreached or WheelLifts for a case that cannot be computed."""
        return {
            "at rest": lambda: [self.at_rest],
            "braking": lambda: [self.at_rest + self._brake(1.0)],
            "left bend": lambda: [self.at_rest + self._bend(1.0)],
            "right bend": lambda: [self.at_rest + self._bend(-1.0)],
            "braking in a left bend": lambda: [self._both(1.0)],
            "braking in a right bend": lambda: [self._both(-1.0)],
            "driving": lambda: [self.at_rest + each for each in self._drive(1.0)],
            REVERSE: lambda: [self.at_rest + each for each in self._drive(-1.0)],
            LEDGE_CASE: lambda: [self.at_rest + self._ledge(wheel) for wheel in EITHER_WHEEL],
            KERB_CASE: lambda: [self.at_rest + self._kerb(wheel) for wheel in EITHER_WHEEL],
            STANDING: lambda: [self.at_rest + each for each in self.standing.solved.loads],
        }

    def least_weight_left(self) -> Worst:
        """Smallest share of its static load that a tyre of the axle keeps in any stop or bend, and the case: below zero
        where it lifts off the ground. Raises Missing for masses and lengths that the spec lacks."""
        vehicle, front = self._build.vehicle, self._build.axle.position == "front"
        numbers = CaseNumbers(self._build)
        brake, bend, share = numbers.braking(), numbers.cornering(), numbers.combined()
        asked = {
            "braking": (brake, 0.0),
            "left bend": (0.0, bend),
            "braking in a left bend": (share * brake, share * bend),
        }
        return min(
            (
                Worst(
                    weight_left(
                        vehicle.axle_load,
                        vehicle.total_mass,
                        vehicle.track,
                        vehicle.wheelbase,
                        vehicle.centre_of_gravity_height,
                        *asked[case.name],
                        front=front,
                    ),
                    case,
                )
                for case in cases_of(self._build)
                if case.name in asked
            ),
            key=lambda worst: worst.value,
        )

    @property
    def hit(self) -> float:
        """Wheel load when both bump stops are hit, as a multiple of the load at rest."""
        return self._numbers.bump_stop_hit()

    @property
    def rock(self) -> Array:
        """Force of a rock on a link, (3,) N: from ahead and below."""
        push: Array = self._numbers.rock_strike() * np.array([-1.0, 0.0, 1.0]) / np.sqrt(2.0)
        return push

    def _both(self, left: float) -> GroundLoad:
        share = self._numbers.combined()
        load = self.at_rest + self._brake(share) + self._bend(left * share)
        if (load.corners < 0.0).any():  # if one alone lifted a wheel, it would have raised an error
            raise WheelLifts(
                "Stop and bend together lift the inner wheel off the ground: use less of either, or more track."
            )
        return load

    def _brake(self, share: float) -> GroundLoad:
        return braking(self.axle, share * self._numbers.braking(), self._build.vehicle.brake_share)

    def _bend(self, left: float) -> GroundLoad:
        return cornering(self.axle, left * self._numbers.cornering())

    @property
    def standing(self) -> StandingSteering:
        """The steering as the wheels of the standing truck are turned."""
        return StandingSteering(self._resting, self._numbers.friction())

    def _ledge(self, wheel: Wheels) -> GroundLoad:
        try:
            return at_a_ledge(self.axle, wheel, self._numbers.ledge(), self._numbers.one_wheel())
        except ValueError as error:
            raise Unreached(f"load_cases.ledge does not fit the wheel: {error}") from error

    def _kerb(self, wheel: Wheels) -> GroundLoad:
        return at_a_kerb(self.axle, wheel, self._numbers.kerb())

    def _drive(self, forward: float) -> list[GroundLoad]:
        vehicle, axle = self._build.vehicle, self._build.axle
        _ = axle.driven  # must be stated
        return [
            driving(
                self.axle,
                forward * vehicle.drive_torque,
                vehicle.tyre.static_radius,
                self._numbers.friction(),
                axle_ratio=axle.final_drive_ratio,
                drive_share=self._numbers.drive_share(),
                shaft_turns=way,
            )
            for way in EITHER_WAY
        ]
