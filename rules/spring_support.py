"""The springs hold the truck at ride height, do not bind and do not come loose.

Checked: the height at which the springs hold the truck, against the stated ride height; the coil-bind margin
when the bump stop is crushed; and the compression of the springs in full droop.

Risk: every angle of the build is drawn at one ride height. An inch off it, the truck has other link slopes, another
pinion angle and less travel one way. Coils that touch stop the axle before the bump stop does; a loose coil may return
beside its seat.

Worked out: springs in series have the rate 1 / sum(1 / k). They are compressed by the preload plus the
difference between the extended and the present length of the coilover; the gas of the damper adds its pressure times
the shaft's area. The lift is that force times the closing of the eyes for each unit that the axle rises (the mean of
the two sides), from the solved motion. The rise is the difference between the lift and half of the sprung axle load,
divided by the springs' rate at the wheel. Friction, bushings that wind up, and the rise of the gas pressure as the
shaft goes in are left out.

Remedy: the change line gives the preload, or the rate where the preload is not enough or would bind the coils.
"""

import math
from collections.abc import Iterator

from buildcheck.api import (
    Area,
    CannotTell,
    Coilover,
    CoilSpring,
    Computed,
    Cure,
    Dimension,
    Edit,
    Job,
    Resize,
    Rule,
    Sample,
    Side,
    Spot,
    Verdict,
    Way,
    Words,
    at_least,
    between,
    common_practice,
    from_memory,
    step_of,
)

rule = Rule(
    "spring-support",
    area=Area.SPRINGS,
    page=__doc__,
    samples=(
        Sample("the preload a quarter of an inch more", {"coilovers.coilover.both.preload": "1 1/8 in"}),
        Sample(
            "stiff springs with a short free length",
            {
                "coilovers.coilover.both.springs": [
                    {"rate": "300 lb/in", "free_length": 10, "solid_length": 5},
                    {"rate": "350 lb/in", "free_length": 10, "solid_length": "5 1/2 in"},
                ]
            },
            {"ride-height": Verdict.ERROR, "coil-bind": Verdict.ERROR},
        ),
    ),
)

GRAVITY = 9.80665  # m/s2


def carries(part: Coilover) -> bool:
    return not part.has("kind") or part.kind == "coilover"


def carries_load(job: Job, part: Coilover) -> str | None:
    """Why the check does not apply; None where the part is a coilover that carries load."""
    return None if carries(part) else "a damper carries nothing"


def carrying(job: Job, side: Side) -> list[Coilover]:
    return [part for part in job.coilovers_of(side) if carries(part)]


def lift_at_ride(job: Job) -> float:
    """Closing of the coilovers' eyes for each unit that the axle rises, at ride height: the mean of the two sides.

    Where the lateral bar leans, the axle shifts and the eyes of one side close faster than the other's, but neither
    side carries more load for it.
    """
    lifts = [
        -job.length(part, job.lines.travel).slope().ride.value
        for side in (Side.LEFT, Side.RIGHT)
        for part in carrying(job, side)
    ]
    lift = sum(lifts) / max(len(lifts), 1)
    if not lift > 0.0:
        raise CannotTell("the coilovers do not close as the axle rises, so they lift nothing")
    return lift


wind_the_seats = Resize(
    "preload",
    says="wind the spring seats of the {part} to {amount} {way} preload",
    ways_called=("more", "less"),
    least="0 in",
)


def other_rate(job: Job, coilover: Coilover) -> Iterator[Way]:
    """Springs with another combined rate in series, each changed by the same share."""
    rate, step = job.springs(coilover).rate, step_of(job, Dimension.STIFFNESS)

    def wanted(steps: int) -> float:
        return (round(rate / step) + steps) * step

    def edits(steps: int) -> tuple[tuple[str, float], ...]:
        return tuple((spring.path_of("rate"), spring.rate * wanted(steps) / rate) for spring in coilover.springs)

    def cure(steps: int) -> Cure:
        words = f"fit springs of {{amount}} combined, in series, in the {coilover.as_written}"
        edits = tuple(Edit(spring.path_of("rate"), spring.rate / rate, adds=False) for spring in coilover.springs)
        return Cure(words, wanted(steps), Dimension.STIFFNESS, makes=edits)

    yield Way((coilover,), edits, cure, math.floor(rate / step) - 1)


look_up = Words("look up the masses, and the lengths of the coilover and of its springs, again")


@rule.check(
    Coilover,
    between(warning=("-1/2 in", "1/2 in"), error=("-1 1/2 in", "1 1/2 in")),
    basis=common_practice("the spring seats adjust half an inch; more needs other springs, and every angle changes"),
    # Both springs in series change together, which no single field expresses.
    change=(wind_the_seats, Computed(other_rate), look_up),
    when=carries_load,
)
def ride_height(job: Job, coilover: Coilover) -> Spot:
    """Height of the truck above the stated ride height on this side; negative where it is lower."""
    vehicle, lift = job.build.vehicle, lift_at_ride(job)
    pressed = rate = 0.0
    for part in carrying(job, coilover.side):
        springs = job.springs(part)
        pressed += springs.force(job.length(part, job.lines.travel).ride.value) + springs.gas_force
        rate += springs.rate
    sprung = (vehicle.axle_load - vehicle.unsprung_mass) * GRAVITY / 2
    rise = (pressed * lift - sprung) / (rate * lift**2)
    height = "high" if rise > 0 else "low"
    return Spot(rise).because(f"the truck rides {height}, and every link slope differs from the drawn one")


def length_when_crushed(job: Job, coilover: Coilover) -> Spot:
    """Length of the coilover where the stop on its side is crushed, at full bump or beyond."""
    bump, length = job.lines.bump, job.length(coilover, job.lines.bump)
    ends = []
    for stop in job.bump_stops_of(coilover.side):
        crushed = job.stop_height(stop, bump).first_at_most(stop.crushed_length)
        ends.append(length.farthest if crushed is None else crushed)
    return length.at(max(bump.end, min(ends)))


def tightest_spring(job: Job, coilover: Coilover) -> CoilSpring:
    """The spring with the least room before its coils touch when the stop is crushed."""
    room = job.springs(coilover).room_before_bind(length_when_crushed(job, coilover).value)
    return next(spring for spring in coilover.springs if spring.path == room.path)


@rule.check(
    Coilover,
    at_least(warning="15 %", error="0 %"),
    physical_end="0 %",
    basis=from_memory(
        "Budynas and Nisbett, Shigley's Mechanical Engineering Design, helical compression springs",
        "a spring keeps 15 % of its deflection in reserve before it closes",
    ),
    error_basis=common_practice("coils that touch act as a solid bar, and something bends"),
    change=(
        Resize(
            "free_length",
            says="replace the {part} with one whose free length is {amount} {way}, or let the stop end the travel "
            "sooner",
        ).of(tightest_spring),
        Words("set the stop ring under the upper spring to act sooner, or fit springs with more room"),
    ),
    when=carries_load,
    effect="the coils touch before the stop ends the travel",
)
def coil_bind(job: Job, coilover: Coilover) -> Spot:
    """Coil-bind margin with the stop crushed, as a share of the deflection."""
    length = length_when_crushed(job, coilover)
    left = job.springs(coilover).room_before_bind(length.value)
    if not math.isfinite(left.share):
        raise CannotTell(f"the springs of the {coilover.label} are still loose where the stop is crushed")
    return Spot(left.share, length.pose)


@rule.check(
    Coilover,
    at_least(warning="1/8 in"),
    basis=common_practice("an unloaded coil leaves its seat, and may not return to it"),
    change=(wind_the_seats, Words("fit softer springs with a longer free length")),
    when=carries_load,
    effect="the coil is loose on its seat",
)
def seated_at_droop(job: Job, coilover: Coilover) -> Spot:
    """Compression of the springs in full droop."""
    length = job.length(coilover, job.lines.travel).start
    return Spot(job.springs(coilover).compression(length.value), length.pose)
