"""The load cases are no milder than use brings."""

from collections.abc import Iterator
from functools import partial

from buildcheck.api import (
    Area,
    Build,
    Cure,
    Dimension,
    Finding,
    Job,
    Limit,
    Sample,
    Verdict,
    at_least,
    common_practice,
    does_not_apply,
    hold,
    rule,
    within,
)

STATED = Limit(
    "stated-load-case",
    "load case that the spec states, as a share of the one that is taken where none is stated",
    Dimension.RATIO,
    at_least(warning="75 %", error="50 %"),
    basis=common_practice(
        "a stop at 0.8 g, a bend at 0.7 g, 70 % of both at once, a friction of 0.9, three times the load at rest on "
        "the bump stops and a rock with the weight on the axle; less than half of that is a slip of the pen"
    ),
)
BRAKE_SHARE = Limit(
    "brake-share",
    "share of the braking that this axle does",
    Dimension.RATIO,
    within(warning=("20 %", "90 %")),
    basis=common_practice("both axles of a truck have brakes, and the rear one does a fifth of the work or more"),
)
DRIVE_SHARE = Limit(
    "drive-share",
    "share of the drive force that a driven axle brings to the road",
    Dimension.RATIO,
    at_least(warning="20 %", error="5 %"),
    basis=common_practice("a driven axle brings about its share of the load on the road, and never next to nothing"),
)
DRIVE_PUSH = Limit(
    "drive-push",
    "push of the largest drive torque at the tyres, as a share of the weight on the axle",
    Dimension.RATIO,
    at_least(warning="30 %", error="10 %"),
    basis=common_practice(
        "in its lowest gear a truck climbs three in ten; a torque that does not climb one in ten is a slip of the pen"
    ),
)
CENTRE_OF_GRAVITY = Limit(
    "centre-of-gravity",
    "height of the centre of gravity as a share of the tyre's loaded radius",
    Dimension.RATIO,
    at_least(warning="130 %", error="100 %"),
    basis=common_practice(
        "frame, engine and body are above the axles, so that the whole truck's centre of gravity is well above them too"
    ),
)

MILDER = "the loads that are computed from it are too small"


def _at_least(path: str, words: str, dimension: Dimension, of_one: float, wanted: float) -> Cure:
    """State at least the wanted share of an amount (SI)."""
    return Cure(words, wanted * of_one, dimension, path)


def brakes(job: Job, build: Build) -> Iterator[Finding]:
    """Share of the braking."""
    if build.has("vehicle") and build.vehicle.has("brake_share"):
        share = build.vehicle.brake_share
        yield hold(
            BRAKE_SHARE,
            share,
            place=build.vehicle.path_of("brake_share"),
            effect=MILDER if share < 0.5 else "the loads of a stop are too large",
            cure="look the brake share up again: two axles share the braking, the front one with the larger part",
        )


def drive(job: Job, build: Build) -> Iterator[Finding]:
    """Share of the drive, of an axle that is driven."""
    if not _driven(build) or not build.vehicle.has("drive_share"):
        return
    yield hold(
        DRIVE_SHARE,
        build.vehicle.drive_share,
        place=build.vehicle.path_of("drive_share"),
        effect=MILDER,
        cure="look the drive share up again, or write that the axle is not driven",
    )


def push(job: Job, build: Build) -> Iterator[Finding]:
    """Drive torque, of an axle that is driven."""
    if not _driven(build) or not build.vehicle.has("drive_torque"):
        return
    found, place = job.loads.drive_push(), build.vehicle.path_of("drive_torque")
    words = "look the drive torque up again, in the lowest gear and at both wheels together: {amount} or more"
    whole = build.vehicle.drive_torque / found if found else 0.0
    yield hold(
        DRIVE_PUSH,
        found,
        place=place,
        effect=MILDER,
        cure=partial(_at_least, place, words, Dimension.TORQUE, whole) if found else "look the drive torque up again",
    )


def _driven(build: Build) -> bool:
    stated = build.has("axle") and build.axle.has("driven") and not build.axle.driven
    return build.has("vehicle") and not stated


def centre_of_gravity(job: Job, build: Build) -> Iterator[Finding]:
    """Height of the centre of gravity."""
    if not build.has("vehicle") or not build.vehicle.has("centre_of_gravity_height"):
        return
    vehicle, place = build.vehicle, build.vehicle.path_of("centre_of_gravity_height")
    radius = vehicle.tyre.static_radius
    words = "look the height of the centre of gravity up again, from the floor: {amount} or more"
    yield hold(
        CENTRE_OF_GRAVITY,
        vehicle.centre_of_gravity_height / radius,
        place=place,
        effect=MILDER,
        cure=partial(_at_least, place, words, Dimension.LENGTH, radius),
    )


@rule(
    "load-cases",
    area=Area.RECORDS,
    subject="build",
    also=(("build", brakes), ("build", drive), ("build", push), ("build", centre_of_gravity)),
    limits=(STATED, BRAKE_SHARE, DRIVE_SHARE, DRIVE_PUSH, CENTRE_OF_GRAVITY),
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
def load_cases(job: Job, build: Build) -> Iterator[Finding]:
    """The load cases are no milder than use brings.

    What it checks: each load case that the spec states under `load_cases`, against the one that is taken where none is
    stated; this axle's share of the braking; and, of a driven axle, its share of the drive force and its largest
    torque. The height of the centre of gravity must be well above the wheel centres. What is not stated is not checked
    here: the loads take the common case, or say what they lack.

    Why: the loads on links, joints, welds and bolts are no better than the cases that they come from. A stop at 0 g, or
    an axle that does no braking, removes a load case from every one of them, and all of them pass.

    How it is computed: each number is divided by what is common: a stop of 0.8 g, a bend of 0.7 g, 70 % of both at
    once, a friction of 0.9, three times the load at rest on the bump stops, and a rock with the weight on the axle. The
    push of the drive torque is the torque divided by the loaded radius of the tyres, as a share of the axle's weight.

    To put it right: look the number up again. Leave out what you do not know.
    """
    if not build.has("load_cases"):
        yield does_not_apply("the spec states no load cases, and the common ones are taken")
        return
    for place, share in job.loads.stated_shares():
        yield hold(
            STATED,
            share,
            place=place,
            effect=MILDER,
            cure="leave it out, so that the common one is taken",
        )
