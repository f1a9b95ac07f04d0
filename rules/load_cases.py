"""The load cases are no milder than use brings.

Checked: each load case that the spec states under `load_cases`, against the one that is taken where none is
stated; this axle's share of the braking; and, of a driven axle, its share of the drive force and its largest
torque. The height of the centre of gravity must be well above the wheel centres. What is not stated is not checked
here: the loads take the common case, or say what they lack.

Risk: the loads on links, joints, welds and bolts are no better than the cases that they come from. A stop at 0 g, or
an axle that does no braking, removes a load case from every one of them, and all of them pass.

Worked out: each number is divided by what is common: a stop of 0.8 g, a bend of 0.7 g, 70 % of both at
once, a friction of 0.9, three times the load at rest on the bump stops, and a rock with the weight on the axle. The
push of the drive torque is the torque divided by the loaded radius of the tyres, as a share of the axle's weight.

Remedy: look the number up again. Leave out what you do not know.
"""

from collections.abc import Iterator
from typing import NamedTuple

from buildcheck.api import (
    Area,
    Build,
    Job,
    LoadCases,
    Rule,
    Sample,
    Set,
    Spot,
    Vehicle,
    Verdict,
    Words,
    at_least,
    between,
    common_practice,
    made,
)

rule = Rule(
    "load-cases",
    area=Area.RECORDS,
    page=__doc__,
    samples=(
        Sample("a harder stop on a road with less grip", {"load_cases": {"braking": 0.9, "friction": 0.8}}),
        Sample(
            "stops and bends that ask for nothing",
            {"load_cases": {"braking": 0, "cornering": 0}, "vehicle.brake_share": 0, "vehicle.drive_torque": 0},
            {
                "stated-load-case": Verdict.ERROR,
                "brake-share": Verdict.WARNING,
                "drive-push": Verdict.ERROR,
            },
        ),
    ),
)

MILDER = "the loads that are computed from it are too small"


class StatedCase(NamedTuple):
    """One number that the spec states under `load_cases`."""

    key: str
    path: str

    @property
    def which(self) -> str:
        return self.key.replace("_", " ")


def stated_cases(job: Job, cases: LoadCases) -> Iterator[StatedCase]:
    for key in cases.given():
        yield StatedCase(key, cases.path_of(key))


def cases_are_stated(job: Job, _: object) -> str | None:
    """Why the check does not apply; None where the spec states load cases."""
    return None if job.build.has("load_cases") else "the spec states no load cases, and the common ones are taken"


@rule.check(
    made("load case", stated_cases, of=LoadCases),
    at_least(warning="75 %", error="50 %"),
    basis=common_practice(
        "a stop at 0.8 g, a bend at 0.7 g, 70 % of both at once, a friction of 0.9, three times the load at rest on "
        "the bump stops and a rock with the weight on the axle; less than half of that is a slip of the pen"
    ),
    when=cases_are_stated,
    change=Words("leave it out, so that the common one is taken"),
    effect=MILDER,
)
def stated_load_case(job: Job, case: StatedCase) -> float:
    """Load case that the spec states, as a share of the one that is taken where none is stated."""
    return job.loads.stated_share(case.key)


def vehicle_that_states(field: str) -> object:
    """The vehicle, where the spec states a field of it: what is not stated is not checked here."""

    def find(job: Job, build: Build) -> Iterator[Vehicle]:
        if build.has("vehicle") and build.vehicle.has(field):
            yield build.vehicle

    return made("vehicle", find)


def driven(job: Job, _: object) -> str | None:
    """Why the check does not apply; None where the axle is driven."""
    return None if job.build.axle.driven else "the axle is not driven"


@rule.check(
    vehicle_that_states("brake_share"),
    between(warning=("20 %", "90 %")),
    basis=common_practice("both axles of a truck have brakes, and the rear one does a fifth of the work or more"),
    place="brake_share",
    change=Words("look the brake share up again: two axles share the braking, the front one with the larger part"),
)
def brake_share(job: Job, vehicle: Vehicle) -> Spot:
    """Share of the braking that this axle does."""
    share = vehicle.brake_share
    return Spot(share).because(MILDER if share < 0.5 else "the loads of a stop are too large")


@rule.check(
    vehicle_that_states("drive_share"),
    at_least(warning="20 %", error="5 %"),
    basis=common_practice("a driven axle brings about its share of the load on the road, and never next to nothing"),
    when=driven,
    place="drive_share",
    change=Words("look the drive share up again, or write that the axle is not driven"),
    effect=MILDER,
)
def drive_share(job: Job, vehicle: Vehicle) -> float:
    """Share of the drive force that a driven axle brings to the road."""
    return vehicle.drive_share


@rule.check(
    vehicle_that_states("drive_torque"),
    at_least(warning="30 %", error="10 %"),
    basis=common_practice(
        "in its lowest gear a truck climbs three in ten; a torque that does not climb one in ten is a slip of the pen"
    ),
    when=driven,
    change=(
        Set(
            "drive_torque",
            says="look the drive torque up again, in the lowest gear and at both wheels together: {amount} or more",
        ),
        Words("look the drive torque up again, in the lowest gear and at both wheels together"),
    ),
    effect=MILDER,
)
def drive_push(job: Job, vehicle: Vehicle) -> float:
    """Push of the largest drive torque at the tyres, as a share of the weight on the axle."""
    return job.loads.drive_push()


@rule.check(
    vehicle_that_states("centre_of_gravity_height"),
    at_least(warning="130 %", error="100 %"),
    basis=common_practice(
        "frame, engine and body are above the axles, so that the whole truck's centre of gravity is well above them too"
    ),
    change=(
        Set(
            "centre_of_gravity_height",
            says="look the height of the centre of gravity up again, from the floor: {amount} or more",
        ),
        Words("look the height of the centre of gravity up again, from the floor"),
    ),
    effect=MILDER,
)
def centre_of_gravity(job: Job, vehicle: Vehicle) -> float:
    """Height of the centre of gravity as a share of the tyre's loaded radius."""
    return vehicle.centre_of_gravity_height / vehicle.tyre.static_radius
