"""The axle is set as an axle that steers and drives is set, and it is where the rest of the spec puts it.

Checked: the size and the sign of caster, kingpin inclination, toe-in, lock and the pinion's angles; that toe-in in
degrees and toe-in by tape say the same; that the axle's centre is where the wheelbase puts it, and on the line of its
tube; that the tube is in the middle, and its bending stress at rest; and how far the steering axes meet the floor
inside the middle of the tyres (the scrub radius). Values that are not stated are not compared.

Risk: all other rules trust these numbers. A caster with the wrong sign, or a pinion that points at the floor, is found
when the truck is driven: it wanders, shakes, or wears out its joints.

Worked out: from the numbers as written. Toe-in by tape is the tyre's diameter times the tangent of the toe-in. The
steering axis goes from the kingpin's centre to the floor at its inclination. The tube is a beam with the wheels' loads
at half the track and the springs at their lower eyes; a hit on the bump stops brings about three times that stress.

Remedy: turn the axle in its links for caster and pinion angle; cut and turn the tube's ends where the two ask for
different things; or measure again what is named.
"""

import math
from typing import Any

from buildcheck.api import (
    Area,
    Axle,
    AxleTube,
    CannotTell,
    Job,
    Kingpin,
    Part,
    Rule,
    Sample,
    Side,
    Steering,
    Verdict,
    Words,
    at_most,
    between,
    common_practice,
)

rule = Rule(
    "axle-setting",
    area=Area.AXLE,
    page=__doc__,
    samples=(
        Sample("a degree more caster", {"axle.caster": 7}),
        Sample(
            "a caster with its sign changed",
            {"axle.caster": -6},
            {"caster-size": Verdict.ERROR},
            values={"caster-size": "-6 deg"},
        ),
        Sample(
            "a pinion that points at the floor, and an axle 4 in behind its place",
            {"axle.pinion.up": -12, "axle.centre": [-4, 0, 16.6]},
            {"pinion-size": Verdict.ERROR, "axle-place": Verdict.ERROR, "centre-on-tube": Verdict.ERROR},
            values={"axle-place": "4 in", "centre-on-tube": "4 in"},
        ),
    ),
)

as_written: dict[str, Any] = {"compares": True}


def again(what: str) -> Words:
    return Words(f"look up or measure {what} again; the sign may be wrong")


def on_steered_axle(job: Job, part: Part) -> str | None:
    return None if job.build.axle.position == "front" else "a rear axle has no steering"


@rule.check(
    Axle,
    between(warning=("2 deg", "10 deg"), error=("0 deg", "15 deg")),
    basis=common_practice("solid front axles on large tyres run 4 to 8 deg; without caster the wheels do not return"),
    change=Words("turn the axle in its links until the caster is within the limits; the pinion turns with it"),
    when=on_steered_axle,
    place="caster",
    effect="the truck wanders or shakes with too little, and steers heavily with too much",
    **as_written,
)
def caster_size(job: Job, axle: Axle) -> float:
    """Caster as planned, positive with the steering axis leaning rearward at the top."""
    return axle.caster


@rule.check(
    Axle,
    between(warning=("4 deg", "16 deg"), error=("0 deg", "25 deg")),
    basis=common_practice("the knuckles of trucks lean inboard by 5 to 14 deg; it is forged in"),
    change=again("the kingpin inclination"),
    when=on_steered_axle,
    place="kingpin_inclination",
    effect="steering angles and scrub radius are computed for knuckles that do not exist",
    **as_written,
)
def inclination_size(job: Job, axle: Axle) -> float:
    """Kingpin inclination, positive leaning inboard at the top."""
    return axle.kingpin_inclination


def toe_by_tape(job: Job, angle: float) -> float:
    """Toe-in as a tape reads it across the tyres at hub height, m, from its angle, rad."""
    return job.build.vehicle.tyre.diameter * math.tan(angle)


@rule.check(
    Axle,
    between(warning=("-0.15 deg", "0.35 deg"), error=("-0.6 deg", "1 deg")),
    basis=common_practice("a solid front axle is set to 0 to 1/8 in of toe-in; more wears the tyres"),
    change=again("the toe-in"),
    when=on_steered_axle,
    place="toe_in",
    effect="the tyres wear, and with toe-out the steering wanders",
    **as_written,
)
def toe_size(job: Job, axle: Axle) -> float:
    """Total toe-in as planned; negative for toe-out."""
    return axle.toe_in


@rule.check(
    Axle,
    at_most(warning="1/16 in", error="1/4 in"),
    basis=common_practice("both say the same; a tape across two tyres is read to 1/16 in"),
    change=Words("leave out the one that is not set by, or work it out from the other and the tyre's diameter"),
    place="toe_in_by_tape",
    effect="the wheels are set to one of two toe-ins",
    **as_written,
)
def toe_by_tape_off(job: Job, axle: Axle) -> float:
    """Difference between toe-in by tape and the same toe-in from its angle and the tyre's diameter."""
    return abs(axle.toe_in_by_tape - toe_by_tape(job, axle.toe_in))


def driven(job: Job, axle: Axle) -> str | None:
    return "nothing drives this axle" if axle.has("driven") and not axle.driven else None


@rule.check(
    Axle,
    between(warning=("-3 deg", "18 deg"), error=("-10 deg", "30 deg")),
    basis=common_practice(
        "a pinion points level or up to the driveshaft; below level its oil leaves its front bearing"
    ),
    change=Words("turn the axle in its links; or look up the angle and its sign again"),
    when=driven,
    place="pinion.up",
    effect="the pinion's joint bends by more than it needs to, or its bearing runs dry",
    **as_written,
)
def pinion_size(job: Job, axle: Axle) -> float:
    """How far the pinion points up at ride height; negative for down."""
    return axle.pinion.up


@rule.check(
    Axle,
    at_most(warning="4 deg", error="12 deg"),
    basis=common_practice("a pinion is square to its axle within the angle that a housing is offset by"),
    change=again("how far the pinion points to the side"),
    when=driven,
    place="pinion.left",
    effect="the angle of the pinion's joint is computed for another housing",
    **as_written,
)
def pinion_aside(job: Job, axle: Axle) -> float:
    """How far the pinion points to either side, seen from above."""
    return abs(axle.pinion.left)


@rule.check(
    Axle,
    at_most(warning="1 in", error="3 in"),
    basis=common_practice("the spec is measured from under the front axle, so the rear one is a wheelbase behind it"),
    change=Words("measure the axle's centre and the wheelbase again, from the floor under the front axle"),
    place="centre",
    effect="wheelbase, links and loads are those of different trucks",
    **as_written,
)
def axle_place(job: Job, axle: Axle) -> float:
    """Distance, fore and aft, of the axle's centre from where the wheelbase puts it."""
    front = axle.position == "front"
    return abs(axle.centre.x - (0.0 if front else -job.build.vehicle.wheelbase))


@rule.check(
    AxleTube,
    at_most(warning="1/2 in", error="2 in"),
    basis=common_practice("the tube is straight, and the axle's centre is on its centre line"),
    change=Words("measure both ends of the tube and the axle's centre again, from the same floor"),
    place="left_end",
    effect="brackets, clearance and loads are computed for a tube that is somewhere else",
    **as_written,
)
def centre_on_tube(job: Job, tube: AxleTube) -> float:
    """Distance of the axle's centre from the centre line of its tube, seen from the side."""
    left, right, centre = tube.left_end, tube.right_end, job.axle_centre
    share = (centre.y - right.y) / (left.y - right.y) if left.y != right.y else 0.5
    return math.hypot(right.x + share * (left.x - right.x) - centre.x, right.z + share * (left.z - right.z) - centre.z)


@rule.check(
    AxleTube,
    at_most(warning="1 in", error="4 in"),
    basis=common_practice("the two ends of an axle are a mirror pair, wherever its differential is"),
    change=Words("measure both ends of the tube again, from the vehicle's middle plane"),
    place="left_end",
    effect="one wheel is computed nearer to the frame than the other",
    **as_written,
)
def tube_in_middle(job: Job, tube: AxleTube) -> float:
    """Distance of the tube's middle from the vehicle's middle plane."""
    return abs(tube.left_end.y + tube.right_end.y) / 2


@rule.check(
    Kingpin,
    between(warning=("-1 in", "5 in"), error=("-4 in", "9 in")),
    basis=common_practice("the steering axis meets the floor an inch or four inside the middle of a truck's tyre"),
    change=Words("measure the kingpins, the track and the kingpin inclination again; or take wheels of another offset"),
    when=on_steered_axle,
    place="centre",
    effect="a stone or a brake on one side turns the wheels; or one of these numbers is wrong",
    **as_written,
)
def scrub_radius(job: Job, kingpin: Kingpin) -> float:
    """Distance from the middle of the tyre inboard to where the steering axis meets the floor; negative outboard."""
    centre, axle = kingpin.centre, job.build.axle
    outboard = centre.y if kingpin.side is Side.LEFT else -centre.y
    return job.build.vehicle.track / 2 - outboard - centre.z * math.tan(axle.kingpin_inclination)


@rule.check(
    Steering,
    between(warning=("18 deg", "42 deg"), error=("12 deg", "50 deg")),
    basis=common_practice("front axles of trucks turn their inner wheel by 25 to 40 deg"),
    change=Words("measure the angle of the inner wheel at its stop again"),
    when=on_steered_axle,
    place="lock_angle",
    effect="clearance, joints and hoses are checked at another lock than the truck has",
    **as_written,
)
def lock_size(job: Job, steering: Steering) -> float:
    """Angle of the inner wheel at full lock."""
    return steering.lock_angle


def lever_of_wheel(job: Job, side: Side) -> float:
    """Distance from the middle of a tyre inboard to the spring that carries the truck on its side, m."""
    springs = [each for each in job.coilovers_of(side) if not each.has("kind") or each.kind == "coilover"]
    if not springs:
        raise CannotTell(f"no spring carries the truck on the {side}")
    return job.build.vehicle.track / 2 - min(abs(each.axle.y) for each in springs)


@rule.check(
    AxleTube,
    at_most(warning="12 ksi", error="20 ksi"),
    basis=common_practice("three times as much in a hard hit stays below the yield of mild tube, 35 ksi"),
    error_basis=common_practice("a hard hit, three times as much, bends any mild tube"),
    change=Words("measure the tube's diameter and wall again, or sleeve it, or brace it with a truss"),
    place="outside_diameter",
    effect="the axle bends, and its wheels lean",
    **as_written,
)
def tube_stress(job: Job, tube: AxleTube) -> float:
    """Bending stress in the axle's tube at the springs, with the truck at rest."""
    lever = max(lever_of_wheel(job, side) for side in (Side.LEFT, Side.RIGHT))
    return job.strengths.axle_tube_stress(tube, job.wheel_load() * lever)
