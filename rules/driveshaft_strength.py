"""The driveshaft carries the torque, and turns smoothly at the speed that the truck reaches.

Checked: the shear stress in its tube under the largest torque of the driveline; its speed at the vehicle's top speed
against the speed at which it whirls; how unevenly it turns the pinion at ride height, and the angle of each single
Cardan joint there, for that speed; that the stated top speed suits the intended use; and, for a shaft of two pieces,
that the carrier bearing is near the joint behind it and that the output points as the first piece runs.

Risk: a tube that is too small twists off. A shaft that whirls bends, tears out its joints and beats through the floor.
Uneven turning shakes the truck, and breaks joints, gears and the transfer case in the end.

Worked out: the torque at the pinion is that at the wheels over the final drive's ratio, without loss. The stress is
T r / J. The critical speed is that of a straight steel tube on two pivots as long as the shaft is at its longest in the
travel; slip and joints count as tube, so a heavy slip whirls sooner. Two single Cardan joints turn as unevenly as one
joint at a certain angle; a double Cardan or constant-velocity joint turns evenly. The pinion's angular acceleration is
the square of the shaft's speed times the square of that angle. Only ride height counts, where a truck is driven fast.

Remedy: a larger tube, a shorter shaft or one of two pieces; turn the pinion until the joints cancel (two single
Cardans: equal angles; a double Cardan at the output: the pinion at the shaft).
"""

import math
from typing import Any

from buildcheck.api import (
    Area,
    CannotTell,
    CarrierBearing,
    Dimension,
    Driveshaft,
    Job,
    Part,
    Resize,
    Rule,
    Sample,
    Set,
    ShaftJoint,
    Spot,
    Vehicle,
    Verdict,
    Words,
    at_least,
    at_most,
    by_use,
    common_practice,
    each,
    from_memory,
    least,
    published,
)

rule = Rule(
    "driveshaft-strength",
    area=Area.DRIVELINE,
    page=__doc__,
    samples=(
        Sample("a larger tube", {"driveshaft.tube.outside_diameter": 3}),
        Sample(
            "a tube that is far too small",
            {"driveshaft.tube.outside_diameter": 1, "driveshaft.tube.wall": "1/16 in"},
            {"torsion": Verdict.ERROR},
            # 15 220 lb-in at the pinion, a radius of 0.5 in, J of 0.04063 in4, and 34.62 ksi.
            values={"torsion": "541.05 %"},
        ),
        Sample(
            "a pinion turned up, away from the driveshaft",
            {"axle.pinion.up": 18},
            {"uneven": Verdict.ERROR, "joint-at-speed": Verdict.WARNING},
        ),
    ),
)  # fmt: skip

BREAKS = "the shaft twists off"


def driven(job: Job, _: object) -> str | None:
    """Why the check does not apply; None where the axle is driven."""
    axle = job.build.axle
    return "nothing drives this axle" if axle.has("driven") and not axle.driven else None


def shear_yield(job: Job, shaft: Driveshaft) -> float:
    return job.strengths.shear_yield(shaft)


def tube_of(job: Job, shaft: Driveshaft) -> Part:
    return shaft.tube


@rule.check(
    Driveshaft,
    at_most(warning="50 %", error="75 %", of=shear_yield, amounts=Dimension.PRESSURE),
    basis=from_memory(
        "Shigley's Mechanical Engineering Design, 9th ed., equations 3-37 and 5-21",
        "T r / J against 0.577 of the yield strength; half of it is left for shock, welds and the slip's splines",
    ),
    change=(Resize("outside_diameter", says="make its tube {amount} larger").of(tube_of), Words("take a larger tube")),
    when=driven,
    place="tube.outside_diameter",
    effect=BREAKS,
)
def torsion(job: Job, shaft: Driveshaft) -> float:
    """Shear stress in the driveshaft's tube under the largest torque of the driveline, as a share of its yield."""
    return job.strengths.torsion(shaft)


def longest(job: Job, shaft: Driveshaft) -> Spot:
    """The longest distance between the shaft's joints over the stated travel, m."""
    found = -least(-job.driveshaft_length(line).largest for line in job.lines.cycled)
    return found.lacking(*job.lines.without_articulation)


def whirls_at(job: Job, shaft: Driveshaft) -> float:
    return job.strengths.critical_speed(shaft, longest(job, shaft).value)


@rule.check(
    Driveshaft,
    at_most(warning="60 %", error="70 %", of=whirls_at, amounts=Dimension.ROTATION_SPEED),
    basis=published(
        "IMS Ltd, drive shaft joint selection, technical data page",
        "a shaft of a road vehicle turns at no more than 0.7 of its critical speed",
    ),
    change=(
        Resize("outside_diameter", says="make its tube {amount} larger").of(tube_of),
        Words("take a larger tube, or a shaft of two pieces with a carrier bearing"),
    ),
    when=driven,
    place="tube.outside_diameter",
    effect="the shaft whirls, bends and tears out its joints",
)
def whirl(job: Job, shaft: Driveshaft) -> Spot:
    """Speed of the driveshaft at the top speed, as a share of the speed at which it whirls at its longest."""
    return Spot(job.strengths.shaft_speed()).partial_as(longest(job, shaft))


# Square roots of the largest angular accelerations, rad/s2, as SAE AE-7 has them for cars and light trucks.
EVEN_ENOUGH, SLOW_ENOUGH = math.sqrt(400.0), math.sqrt(1000.0)
AE_7 = "SAE AE-7, Universal Joint and Driveshaft Design Manual"


def even_enough(job: Job, shaft: Driveshaft) -> float:
    return EVEN_ENOUGH / job.strengths.shaft_speed()


def with_a_single_cardan(job: Job, shaft: Driveshaft) -> str | None:
    """Why the check does not apply; None where the driveshaft has a single Cardan joint."""
    kinds = (shaft.output_joint.kind, shaft.pinion_joint.kind)
    return driven(job, shaft) or (None if "single-cardan" in kinds else "its joints turn evenly at any angle")


def pinion_of(job: Job, shaft: Part) -> Part:
    return job.build.axle.pinion


turn_the_pinion = (
    Set("up", says="set the pinion to {amount} up").of(pinion_of),
    Words("turn the pinion until the angles of the two joints cancel, or fit a joint that turns evenly"),
)


@rule.check(
    Driveshaft,
    at_most(warning="100 %", error="250 %", of=even_enough, amounts=Dimension.ANGLE),
    basis=from_memory(AE_7, "an angular acceleration of 400 rad/s2 or less, torsional"),
    error_basis=common_practice("six times that acceleration is felt through the whole truck"),
    change=turn_the_pinion,
    when=with_a_single_cardan,
    effect="the truck shakes, and gears and joints wear out",
)
def uneven(job: Job, shaft: Driveshaft) -> float:
    """Angle of the one joint that would turn the pinion as unevenly as the driveshaft does at ride height, as a share
    of the one that is even enough at the top speed."""
    return job.equal_joint_angle_at_ride()


def slow_enough(job: Job, joint: ShaftJoint) -> float:
    return SLOW_ENOUGH / job.strengths.shaft_speed()


def single(job: Job, joint: ShaftJoint) -> str | None:
    """Why the check does not apply; None for a single Cardan joint."""
    return driven(job, joint) or (None if joint.kind == "single-cardan" else f"a {joint.kind} joint turns evenly")


@rule.check(
    each(ShaftJoint, of=Driveshaft),
    at_most(warning="100 %", error="200 %", of=slow_enough, amounts=Dimension.ANGLE),
    basis=from_memory(AE_7, "an angular acceleration of the middle shaft of 1000 rad/s2 or less"),
    error_basis=common_practice("at four times that acceleration needles and yokes do not last"),
    change=(
        Set("up", says="set the pinion to {amount} up").of(pinion_of),
        Words("bring the shafts nearer to one line at this joint, or fit a joint that turns evenly"),
    ),
    when=single,
    effect="the shaft shakes, and the joint wears out",
)
def joint_at_speed(job: Job, joint: ShaftJoint) -> float:
    """Angle of a single Cardan joint at ride height, as a share of the largest for the top speed."""
    return job.driveshaft_angle_at_ride(job.end_of_shaft(joint))


@rule.check(
    Vehicle,
    by_use(
        otherwise=at_least(warning="55 mph"),
        street=at_least(warning="65 mph"),
        trail=at_least(warning="25 mph"),
        desert=at_least(warning="75 mph"),
        work=at_least(warning="50 mph"),
    ),
    basis=common_practice("a truck is driven as fast as its use allows, and its shaft turns with it"),
    change=(Set("top_speed"), Words("state the speed that the truck is driven at")),
    place="top_speed",
    effect="the shaft is checked for less speed than it sees",
    compares=True,
)
def speed_for_use(job: Job, vehicle: Vehicle) -> float:
    """Stated top speed of the vehicle."""
    return vehicle.top_speed


two_pieces: dict[str, Any] = {
    "change": Words("measure the carrier bearing, the joint behind it and the joint at the gearbox again"),
    "effect": "lengths and angles are computed for another shaft",
    "compares": True,
}


@rule.check(
    CarrierBearing,
    at_most(warning="8 in", error="20 in"),
    basis=common_practice("the joint behind a carrier bearing is a hand's breadth away, or the stub whips"),
    place="point",
    **two_pieces,
)
def bearing_to_joint(job: Job, bearing: CarrierBearing) -> float:
    """Distance of the carrier bearing from the joint behind it, the output of the moving piece."""
    return math.dist(bearing.point, job.build.driveshaft.output.point)


@rule.check(
    CarrierBearing,
    at_most(warning="1.5 deg", error="5 deg"),
    basis=common_practice("the joint behind the bearing is on the first piece, and its shaft points as that runs"),
    place="gearbox_point",
    **two_pieces,
)
def output_off_first_piece(job: Job, bearing: CarrierBearing) -> float:
    """Angle between the first piece, gearbox to carrier bearing, and the stated direction of the output."""
    output, start, end = job.build.driveshaft.output, bearing.gearbox_point, bearing.point
    run = [b - a for a, b in zip(start, end, strict=True)]
    way = [math.copysign(1.0, run[0]), math.tan(output.left), math.tan(output.up)]
    length = math.hypot(*run) * math.hypot(*way)
    if length == 0.0:
        raise CannotTell("the joint at the gearbox and the carrier bearing are in one place")
    return math.acos(max(-1.0, min(1.0, sum(a * b for a, b in zip(run, way, strict=True)) / length)))


@rule.check(
    CarrierBearing,
    at_most(error="0 in"),
    basis=common_practice("the gearbox, the carrier bearing and the joint behind it follow each other"),
    place="gearbox_point",
    **two_pieces,
)
def bearing_out_of_order(job: Job, bearing: CarrierBearing) -> float:
    """How far the gearbox's joint is nearer to the axle than the carrier bearing, along the vehicle."""
    axle = job.axle_centre.x
    return abs(bearing.point.x - axle) - abs(bearing.gearbox_point.x - axle)
