"""Every wheel stays on the ground in the braking and cornering load cases.

Checked: the share of its weight at rest that the lighter wheel of the axle keeps in the stop, in the bend, and
in both combined, as the load cases state them.

Risk: a lift and taller tyres raise the centre of gravity, and the track stays the same. A truck that lifts its inner
wheels in a bend which its tyres still hold does not slide: it rolls over.

Worked out: the truck is rigid, and each axle takes the overturning moment by its share of the mass. In a bend
alone, the wheel lifts at half the track over the height of the centre of gravity, in g. Springs let the body lean
outward, and a kerb or a side slope adds to that, so the real wheel lifts sooner. Where the load cases state no braking
or cornering, 0.8 g and 0.7 g are assumed, and 70 % of each for both combined (common practice, no source).

Remedy: lower the ride height, carry loads low, or widen the track. A milder load case only hides the fault.
"""

from buildcheck.api import (
    Area,
    Build,
    Job,
    Resize,
    Rule,
    Sample,
    Spot,
    Verdict,
    Words,
    at_least,
    common_practice,
    from_memory,
)

rule = Rule(
    "wheel-contact",
    area=Area.SAFETY,
    page=__doc__,
    samples=(
        Sample("less cornering", {"load_cases": {"cornering": 0.5}}),
        Sample(
            "a high centre of gravity",
            {"vehicle.centre_of_gravity_height": 52},
            {"weight-left": Verdict.ERROR},
        ),
    ),
)


@rule.check(
    Build,
    at_least(warning="15 %", error="0 %"),
    physical_end="0 %",
    basis=common_practice("springs and tyres give and the body leans outward, which the rigid model leaves out"),
    error_basis=from_memory(
        "T. D. Gillespie, Fundamentals of Vehicle Dynamics, SAE 1992, chapter 9",
        "a truck whose inner wheels lift before its tyres slide rolls over on a flat road, and a wheel off the ground "
        "neither steers nor brakes",
    ),
    change=(
        Resize(
            "centre_of_gravity_height",
            says="lower the centre of gravity {amount}, or widen the track",
        ).of(lambda job, build: build.vehicle),
        Words("lower the centre of gravity and widen the track: lowering it by half a foot is not enough"),
    ),
)
def weight_left(job: Job, build: Build) -> Spot:
    """Share of its weight at rest that a wheel keeps in the worst load case of braking or cornering."""
    worst = job.loads.least_weight_left()
    if "bend" in worst.case.name:
        return Spot(worst.value).because(f"{worst.case.name}: the inner wheel goes light, and the truck may roll over")
    return Spot(worst.value).because(
        f"{worst.case.name}: the wheels of this axle go light, and have little grip to steer or brake"
    )
