"""Every wheel stays on the ground in the stops and bends that the build is held to."""

from collections.abc import Iterator

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
    Worst,
    at_least,
    common_practice,
    from_memory,
    hold,
    rule,
)

WEIGHT_LEFT = Limit(
    "weight-left",
    "share of its weight at rest that a wheel keeps in the worst stop or bend of the load cases",
    Dimension.RATIO,
    at_least(warning="15 %", error="0 %"),
    basis=common_practice("springs and tyres give, and the body leans outward, which a rigid truck does not"),
    error_basis=from_memory(
        "T. D. Gillespie, Fundamentals of Vehicle Dynamics, SAE 1992, chapter 9",
        "a truck whose inner wheels lift before its tyres slide rolls over on a flat road; and a wheel off the ground "
        "neither steers nor brakes",
    ),
)

HEIGHT = "vehicle.centre_of_gravity_height"


def _effect(worst: Worst) -> str:
    if "bend" in worst.case.name:
        return f"{worst.case.name}: the inner wheel goes light, and the truck may roll over"
    return f"{worst.case.name}: the wheels of this axle go light, and neither hold it nor slow it"


def _lower(job: Job, target: float) -> Cure:
    change = job.resize(HEIGHT, "it", lambda changed: changed.loads.least_weight_left().value, target)
    wider = ", or widen the track" if "bend" in job.loads.least_weight_left().case.name else ""
    if change is None:
        return Cure(f"lower the centre of gravity{wider}: no step of half a metre is enough")
    return change._replace(words=f"lower the centre of gravity {{amount}}{wider}")


@rule(
    "wheel-contact",
    area=Area.SAFETY,
    subject="build",
    limits=(WEIGHT_LEFT,),
    samples=(
        Sample("a slower bend", {"load_cases": {"cornering": 0.5}}),
        Sample(
            "the weight far up",
            {"vehicle.centre_of_gravity_height": 52},
            {"weight-left": Verdict.ERROR},
        ),
    ),
)
def wheel_contact(job: Job, build: Build) -> Iterator[Finding]:
    """Every wheel stays on the ground in the stops and bends that the build is held to.

    What it checks: how much of its weight at rest the lighter wheel of the axle keeps in the stop, in the bend, and in
    both at once, as the load cases have them.

    Why: a lift and taller tyres raise the weight, and the track stays as it was. A truck that lifts its inner wheels in
    a bend which its tyres still hold does not slide: it rolls over.

    How it is computed: the truck is rigid, and each axle takes the overturning moment by its share of the mass. In a
    bend alone, the wheel lifts at half the track over the height of the centre of gravity, in g. The springs, which let
    the body lean outward, make it sooner; so does a trip over a kerb or a side slope. Where the load cases state no
    stop and no bend, 0.8 g and 0.7 g are taken, and 70 % of each for both at once (common practice, no source).

    To put it right: lower the ride height, carry loads low, or widen the track. A gentler load case only hides it.
    """
    worst = job.loads.least_weight_left()
    yield hold(
        WEIGHT_LEFT,
        worst.value,
        place=HEIGHT,
        effect=_effect(worst),
        cure=lambda target: _lower(job, target),
    )
