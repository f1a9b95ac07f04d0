"""The springs carry the truck at the ride height that the spec states, and do not run out either way."""

import math
from collections.abc import Iterator
from functools import partial

from buildcheck.api import (
    Area,
    Coilover,
    Cure,
    Dimension,
    Edit,
    Finding,
    Job,
    Limit,
    Sample,
    Side,
    Spot,
    Unreached,
    Verdict,
    at_least,
    common_practice,
    does_not_apply,
    from_memory,
    harmed,
    hold,
    rule,
    within,
)

GRAVITY = 9.80665

SAME_SHARE = 1e-9  # what rounding makes of a share

RIDE_HEIGHT = Limit(
    "ride-height",
    "how much higher the truck rides than the spec states",
    Dimension.LENGTH,
    within(warning=("-1/2 in", "1/2 in"), error=("-1 1/2 in", "1 1/2 in")),
    basis=common_practice(
        "half an inch is wound out at the spring seats; more takes other springs, and every angle moves with it"
    ),
)
COIL_BIND = Limit(
    "coil-bind",
    "what the coils have left before they touch, as a share of what they are compressed by, with the stop crushed",
    Dimension.RATIO,
    at_least(warning="15 %", error="0 %"),
    basis=from_memory(
        "Budynas and Nisbett, Shigley's Mechanical Engineering Design, helical compression springs",
        "a spring keeps 15 % of its deflection in hand before it closes",
    ),
    error_basis=common_practice("coils that touch are a solid bar, and something bends"),
)
SEATED = Limit(
    "seated-at-droop",
    "how far the springs are still compressed in full droop",
    Dimension.LENGTH,
    at_least(warning="1/8 in"),
    basis=common_practice("a coil without load leaves its seat, and comes back beside it"),
)


def _carries(part: Coilover) -> bool:
    return not part.has("kind") or part.kind == "coilover"


def _carrying(job: Job, side: Side) -> list[Coilover]:
    return [part for part in job.coilovers_of(side) if _carries(part)]


def _lift(job: Job) -> float:
    """How far the eyes of the coilovers close for each unit that the axle rises, at ride height.

    The mean of the two sides: where the lateral bar leans, one side's eyes close faster than the other's as the axle
    shifts, and neither side carries more for it.
    """
    each = [
        -job.length(part, job.lines.travel).slope().ride.value
        for side in (Side.LEFT, Side.RIGHT)
        for part in _carrying(job, side)
    ]
    lift = sum(each) / max(len(each), 1)
    if not lift > 0.0:
        raise Unreached("the coilovers do not close as the axle rises, so they lift nothing")
    return lift


def _rise(job: Job, coilover: Coilover) -> float:
    """How much higher the truck rides on this side than stated, m: what its springs lift too much, over their rate at
    the wheel."""
    vehicle, lift = job.build.vehicle, _lift(job)
    pressed = rate = 0.0
    for part in _carrying(job, coilover.side):
        springs = job.springs(part)
        pressed += springs.force(job.length(part, job.lines.travel).ride.value) + springs.gas_force
        rate += springs.rate
    return (pressed * lift - (vehicle.axle_load - vehicle.unsprung_mass) * GRAVITY / 2) / (rate * lift**2)


def _wound(job: Job, coilover: Coilover, preload: float) -> Cure:
    """The spring seats wound to so much more or less preload, on both sides where they are wound alike."""
    wound = job.together(coilover, "preload")
    paths, way = wound.paths("preload"), "more" if preload > 0.0 else "less"
    words = f"wind the spring seats of the {wound.label} to {{amount}} {way} preload"
    return Cure(words, abs(preload), Dimension.LENGTH, paths[0], preload, tuple(paths[1:]))


def _height_at(job: Job, coilover: Coilover, rise: float) -> Cure:
    """The preload at which the truck rides so much too high; where there is not so much of it to take off, or where
    more would bind the coils, the rate."""
    now, lift = _rise(job, coilover), _lift(job)
    springs, length = job.springs(coilover), job.length(coilover, job.lines.travel).ride.value
    if springs.compression(length) <= 0.0:
        return Cure(
            "the springs hang loose at ride height; look the lengths of the coilover and of its springs up again"
        )
    preload = (rise - now) * lift
    wound = _wound(job, coilover, preload)
    if coilover.preload + preload >= 0.0 and not harmed(spring_support, job, wound):
        return wound
    room = springs.compression(length) - rise * lift
    wanted = (springs.force(length) - springs.rate * now * lift) / room if room > 0.0 else 0.0
    if wanted <= 0.0:
        return Cure("no spring brings it there; look the masses and the lengths of the coilover up again")
    words = f"put springs of {{amount}} together, in series, in the {coilover.as_written}"
    words += "" if preload < 0.0 else "; more preload would bind the coils of these"
    shares = [(each.path_of("rate"), each.rate / springs.rate) for each in coilover.springs]
    return Cure(
        words,
        wanted,
        Dimension.STIFFNESS,
        coilover.path_of("springs"),
        makes=tuple(Edit(path, share, adds=False) for path, share in shares),
    )


def _crushed(job: Job, coilover: Coilover) -> Spot:
    """The coilover where the stop on its side is crushed, and no sooner than at full bump."""
    bump, length = job.lines.bump, job.length(coilover, job.lines.bump)
    ends = [bump.end]
    for stop in job.bump_stops_of(coilover.side):
        crushed = job.stop_height(stop, bump).first_at_most(stop.crushed_length)
        ends.append(length.farthest if crushed is None else crushed)
    return length.at(max(ends[0], min(ends[1:])))


def room(job: Job, coilover: Coilover) -> Iterator[Finding]:
    """What the coils have left when the stop is crushed."""
    if _carries(coilover):
        length = _crushed(job, coilover)
        left = job.springs(coilover).room_before_bind(length.value)
        if not math.isfinite(left.share):
            raise Unreached(f"the springs of the {coilover.label} are still loose where the stop is crushed")
        yield hold(
            COIL_BIND,
            Spot(left.share, length.pose),
            place=f"{left.path}.free_length",
            effect="the coils touch before the stop has stopped the axle",
            cure=partial(_more_room, job, coilover, length.value),
        )


def _more_room(job: Job, coilover: Coilover, length: float, wanted: float) -> Cure:
    """As much more between free and solid length in every spring that has too little left."""
    short = [room for room in job.springs(coilover).rooms(length) if room.share < wanted]
    more = max(wanted * room.taken - room.left for room in short)
    paths = [f"{room.path}.free_length" for room in short]
    a_spring = "a spring" if len(short) == 1 else "springs"
    words = (
        f"take {a_spring} in the {coilover.as_written} with {{amount}} more between free and solid length, or let the "
        "stop end the travel sooner"
    )
    change = Cure(words, more, Dimension.LENGTH, paths[0], more, tuple(paths[1:]))
    after = job.changed_by(change)
    if after.springs(after.same(coilover)).room_before_bind(length).share < wanted - SAME_SHARE:
        return Cure("set the ring under the upper spring so that it stops sooner, or take springs with more room")
    return change


def seat(job: Job, coilover: Coilover) -> Iterator[Finding]:
    """How far the springs are compressed in full droop."""
    if _carries(coilover):
        length = job.length(coilover, job.lines.travel).start
        compressed = job.springs(coilover).compression(length.value)
        yield hold(
            SEATED,
            Spot(compressed, length.pose),
            place=coilover.path_of("preload"),
            effect="the coil is loose on its seat",
            cure=lambda wanted: _seated_by(job, coilover, wanted - compressed),
        )


def _seated_by(job: Job, coilover: Coilover, preload: float) -> Cure:
    """So much more preload; where the truck would then stand too high or the coils bind, other springs."""
    wound = _wound(job, coilover, preload)
    if not harmed(spring_support, job, wound):
        return wound
    return Cure(f"put springs in the {coilover.as_written} that are softer, and longer when they are free")


@rule(
    "spring-support",
    area=Area.SPRINGS,
    heeded=True,
    subject="coilover",
    limits=(RIDE_HEIGHT, COIL_BIND, SEATED),
    also=(("coilover", room), ("coilover", seat)),
    samples=(
        Sample("the preload a quarter of an inch more", {"coilovers.coilover.both.preload": "1 1/8 in"}),
        Sample(
            "springs that are too stiff, and short in free length",
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
def spring_support(job: Job, coilover: Coilover) -> Iterator[Finding]:
    """The springs hold the truck at its ride height, and run out neither way.

    What it checks: how much higher or lower than stated the truck will stand on its springs; what the coils have left
    before they touch when the bump stop is crushed; and whether they are still pressed in full droop.

    Why: every angle of the build is drawn at one ride height. A truck that stands an inch off it has other link slopes,
    another pinion angle and less travel one way. Coils that touch stop the axle before the bump stop has; a loose coil
    comes back beside its seat.

    How it is computed: springs in series have the rate 1 / sum(1 / k); they are compressed by the preload and by what
    the coilover is shorter than extended, and the gas of the damper adds its pressure on the shaft's area. What they
    lift is that force times how far the eyes close as the axle rises (the mean of the two sides), from the solved
    motion. It is held against half of the axle's load without the unsprung mass; what is left over, divided by the
    springs' rate at the wheel, is the rise. Friction, bushings that wind up, and the gain of the gas as the shaft goes
    in are left out.

    To put it right: the change line gives the preload, or the rate where preload does not reach or would bind the
    coils.
    """
    if not _carries(coilover):
        yield does_not_apply("a damper carries nothing")
        return
    rise = _rise(job, coilover)
    yield hold(
        RIDE_HEIGHT,
        rise,
        place=coilover.path_of("preload"),
        effect=f"the truck stands {'high' if rise > 0 else 'low'}, and every link slope is another than drawn",
        cure=lambda wanted: _height_at(job, coilover, wanted),
    )
