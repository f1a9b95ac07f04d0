"""The stated load cases are as severe as normal use.

Checked: each load case under `load_cases` against the value assumed where none is stated; this axle's share of
the braking; for a driven axle, its share of the drive force and its largest torque; and that the centre of gravity is
well above the wheel centres. A value that is not stated is not checked here: the loads use the common case, or report
what is missing.

Risk: the loads on links, joints, welds and bolts are only as good as their load cases. A stop at 0 g, or an axle that
does no braking, removes a load case, and everything passes it.

Worked out: each value is divided by the common one: braking at 0.8 g, cornering at 0.7 g, 70 % of both
combined, a friction of 0.9, three times the load at rest on the bump stops, a rock with the weight on the axle, a ledge
half as high as the wheel centre, 1.8 times its load at rest on one wheel, and 1.75 times the force that tips the truck
over at a kerb. A stated value below the common one is a warning, so that the record says that the loads are those of
a milder use. The push of the drive torque is the torque divided by the loaded radius of the tyres, as a share of the
axle's weight.

Remedy: look the value up again. Leave out a value that you do not know.
"""

from collections.abc import Iterator
from typing import NamedTuple

from buildcheck.api import (
    Area,
    Build,
    Computed,
    Cure,
    Job,
    LoadCases,
    Rule,
    Sample,
    Set,
    Spot,
    Vehicle,
    Verdict,
    Way,
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
        Sample("a harder stop, and a kerb hit harder", {"load_cases": {"braking": 0.9, "kerb": 2}}),
        Sample("a road with less grip", {"load_cases": {"friction": 0.8}}, {"stated-load-case": Verdict.WARNING}),
        Sample(
            "a stop and a bend at 0 g",
            {"load_cases": {"braking": 0, "cornering": 0}, "vehicle.brake_share": 0, "vehicle.drive_torque": 0},
            {
                "stated-load-case": Verdict.ERROR,
                "brake-share": Verdict.WARNING,
                "drive-push": Verdict.ERROR,
            },
        ),
    ),
)

TOO_SMALL = "the loads computed from it are too small"


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
    return None if job.build.has("load_cases") else "the spec states no load cases, and the common ones are assumed"


def usual_one(job: Job, case: StatedCase) -> Iterator[Way]:
    """The value that is assumed where the spec states none."""
    usual = job.loads.usual(case.key)
    cure = Cure(f"write the usual {case.which}; or accept the stated one with a waiver that gives the reason")
    yield Way((), lambda _: ((case.path, usual),), lambda _: cure, 1)


@rule.check(
    made("load case", stated_cases, of=LoadCases),
    at_least(warning="100 %", error="50 %"),
    basis=common_practice(
        "braking at 0.8 g, cornering at 0.7 g, 70 % of both combined, a friction of 0.9, three times the load at rest "
        "on the bump stops, a rock with the weight on the axle, a ledge half as high as the wheel centre, and the "
        "upper ends of published ranges for one wheel and for a kerb; less than half of that is a typing error"
    ),
    when=cases_are_stated,
    change=(
        Computed(usual_one),
        Words("leave it out, so that the common one is assumed; or accept it with a waiver that gives the reason"),
    ),
    effect="the loads computed from it are those of a milder use",
)
def stated_load_case(job: Job, case: StatedCase) -> float:
    """Stated load case as a share of the one assumed where none is stated."""
    return job.loads.stated_share(case.key)


def vehicle_that_states(field: str) -> object:
    """The vehicle, where the spec states a field of it; a field that is not stated is not checked here."""

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
    basis=common_practice("both axles of a truck have brakes, and the rear one does at least a fifth of the braking"),
    place="brake_share",
    change=Words("look the brake share up again: both axles brake, the front one more"),
)
def brake_share(job: Job, vehicle: Vehicle) -> Spot:
    """Share of the braking done by this axle."""
    share = vehicle.brake_share
    return Spot(share).because(TOO_SMALL if share < 0.5 else "the loads of braking are too large")


@rule.check(
    vehicle_that_states("drive_share"),
    at_least(warning="20 %", error="5 %"),
    basis=common_practice("the drive share of a driven axle is about its share of the weight, and never near zero"),
    when=driven,
    place="drive_share",
    change=Words("look the drive share up again, or write that the axle is not driven"),
    effect=TOO_SMALL,
)
def drive_share(job: Job, vehicle: Vehicle) -> float:
    """Share of the drive force carried by a driven axle."""
    return vehicle.drive_share


@rule.check(
    vehicle_that_states("drive_torque"),
    at_least(warning="30 %", error="10 %"),
    basis=common_practice(
        "in its lowest gear a truck climbs three in ten; a torque too small to climb one in ten is a typing error"
    ),
    when=driven,
    change=(
        Set(
            "drive_torque",
            says="look the drive torque up again, in the lowest gear and at both wheels together: {amount} or more",
        ),
        Words("look the drive torque up again, in the lowest gear and at both wheels together"),
    ),
    effect=TOO_SMALL,
)
def drive_push(job: Job, vehicle: Vehicle) -> float:
    """Push of the largest drive torque at the tyres, as a share of the weight on the axle."""
    return job.loads.drive_push()


@rule.check(
    vehicle_that_states("centre_of_gravity_height"),
    at_least(warning="130 %", error="100 %"),
    basis=common_practice(
        "frame, engine and body are above the axles, so the centre of gravity is well above the wheel centres"
    ),
    change=(
        Set(
            "centre_of_gravity_height",
            says="look the height of the centre of gravity up again, from the floor: {amount} or more",
        ),
        Words("look the height of the centre of gravity up again, from the floor"),
    ),
    effect=TOO_SMALL,
)
def centre_of_gravity(job: Job, vehicle: Vehicle) -> float:
    """Height of the centre of gravity as a share of the tyre's loaded radius."""
    return vehicle.centre_of_gravity_height / vehicle.tyre.static_radius
