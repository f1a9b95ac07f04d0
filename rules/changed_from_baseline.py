"""The plan is compared with the truck as it was.

Checked: by how much the wheelbase grows and the truck is raised, and what is left between tyre and fender at full
bump; that caster and pinion angle change together, as on a rigid axle; that the output still points where it did, and
the driveshaft is about as long; that the camber is still the same after welding; and that the numbers of the baseline
agree with each other: toe-in in degrees and by tape, the axle's offset and the gaps beside the tyres, the sizes
against the tyre and the track. Values that are not stated are not compared.

Risk: a tape misread on both sides alike passes a comparison of left with right, and the new suspension is built to it.
A plan that raises the truck by more than anyone meant is found when the driveshaft binds.

Worked out: as differences of stated numbers. A front axle that is turned in its links to gain a degree of caster lowers
its pinion by a degree, because both are on one housing; only cutting and turning its ends changes one alone. The gap to
the fender is the height of its lip above the wheel as it was, and what the truck is raised, less the tyre's radius and
the bump travel.

Remedy: measure again while the old suspension is in place; or change the plan.
"""

import math
from typing import Any

from buildcheck.api import (
    AlignedSide,
    Area,
    Baseline,
    BaselineSide,
    Job,
    Rule,
    Sample,
    Stage,
    Verdict,
    Words,
    at_least,
    at_most,
    between,
    common_practice,
    each,
)

rule = Rule(
    "changed-from-baseline",
    area=Area.RECORDS,
    page=__doc__,
    samples=(
        Sample("a truck that is raised an inch less", {"vehicle.ride_height": "11 1/4 in", "travel.bump": 4}),
        Sample(
            "both sides of the ride height misread by 10 in alike",
            {"records.baseline.sides.left.ride_height": 18, "records.baseline.sides.right.ride_height": 18},
            {"raised": Verdict.ERROR, "tyre-to-fender": Verdict.ERROR},
            values={"raised": "-5.75 in"},
        ),
        Sample(
            "ten degrees more caster on an axle whose pinion stays",
            {"records.baseline.sides.left.caster": -4, "records.baseline.sides.right.caster": -4},
            {"caster-with-pinion": Verdict.ERROR},
            # 6 - (-4) deg of caster and 6 - 5.5 deg of pinion.
            values={"caster-with-pinion": "10.5 deg"},
        ),
    ),
)

measure_again = Words("measure again while the old suspension is in place")
as_it_was: dict[str, Any] = {
    "effect": "a baseline that is wrong cannot be measured again after the first cut",
    "compares": True,
}


def mean_ride_height(baseline: Baseline) -> float:
    return (baseline.sides.left.ride_height + baseline.sides.right.ride_height) / 2


def raised_by(job: Job, baseline: Baseline) -> float:
    return job.build.vehicle.ride_height - mean_ride_height(baseline)


@rule.check(
    Baseline,
    between(warning=("-1 in", "5 in"), error=("-4 in", "10 in")),
    basis=common_practice(
        "trucks are raised by 2 to 4 in; 6 in and more ask for other driveshafts, lines and steering"
    ),
    change=Words("measure from the axle's tube to the frame again, before and as planned, at the same place"),
    place="sides",
    effect="driveshaft, steering, brake lines and the centre of gravity follow",
    compares=True,
)
def raised(job: Job, baseline: Baseline) -> float:
    """Planned height of the frame above the axle's tube less the one as it was."""
    return raised_by(job, baseline)


@rule.check(
    Baseline,
    between(warning=("-2 in", "2 in"), error=("-6 in", "6 in")),
    change=Words("measure the wheelbase again, or look over where the new axle is put"),
    basis=common_practice("an axle is moved an inch or two for a larger tyre; 6 in needs another fender"),
    place="sides",
    effect="tyre opening, driveshaft, brake lines and steering follow the axle",
    compares=True,
)
def wheelbase_moved(job: Job, baseline: Baseline) -> float:
    """Planned wheelbase less the mean of the two sides as it was; positive where the wheelbase grows."""
    sides = baseline.sides
    return job.build.vehicle.wheelbase - (sides.left.wheelbase + sides.right.wheelbase) / 2


@rule.check(
    each(BaselineSide),
    at_least(warning="1/2 in", error="0 in"),
    basis=common_practice("at full bump the tyre stays clear of the fender's lip, whichever way it flexes"),
    change=Words("trim the fender, plan less bump travel, or take a smaller tyre"),
    place="fender_height",
    effect="the tyre is cut by the fender",
    compares=True,
)
def tyre_to_fender(job: Job, side: BaselineSide) -> float:
    """Gap between tyre and fender lip at full bump, from the baseline and what the truck is raised."""
    vehicle, raise_by = job.build.vehicle, raised_by(job, job.build.records.baseline)
    return side.fender_height + raise_by - vehicle.tyre.diameter / 2 - job.build.travel.bump


def on_front_axle(job: Job, baseline: Baseline) -> bool:
    return job.build.axle.position == "front"


@rule.check(
    each(Baseline, where=on_front_axle),
    at_most(warning="2 deg", error="5 deg"),
    basis=common_practice(
        "an axle is rigid: what is added to its caster is taken from its pinion; a gauge is 0.2 deg off"
    ),
    change=Words("look up the signs of caster and pinion angle, or plan to cut and turn the ends of the axle"),
    place="pinion_up",
    effect="the axle can be set to the one or to the other, not to both",
    compares=True,
)
def caster_with_pinion(job: Job, baseline: Baseline) -> float:
    """How much of the planned change of caster the change of the pinion's angle does not explain."""
    left, right, axle = baseline.sides.left, baseline.sides.right, job.build.axle
    caster = axle.caster - (left.caster + right.caster) / 2
    return abs(caster + axle.pinion.up - baseline.pinion_up)


@rule.check(
    Baseline,
    at_most(warning="1 1/4 deg", error="3 deg"),
    basis=common_practice("a straight axle has one caster; the gauge is set up twice"),
    change=measure_again,
    place="sides",
    **as_it_was,
)
def caster_sides(job: Job, baseline: Baseline) -> float:
    """Difference of the caster on the left and on the right, as it was."""
    return abs(baseline.sides.left.caster - baseline.sides.right.caster)


@rule.check(
    each(BaselineSide),
    between(warning=("-1 deg", "1 deg"), error=("-2.5 deg", "2.5 deg")),
    basis=common_practice("a straight solid axle has camber within half a degree; two degrees is a bent one"),
    change=Words("measure again; if it is so, the axle or a knuckle is bent"),
    place="camber",
    **as_it_was,
)
def camber_as_it_was(job: Job, side: BaselineSide) -> float:
    """Camber of the wheel, as it was; positive where its top leans out."""
    return side.camber


@rule.check(
    AlignedSide,
    at_most(warning="0.5 deg", error="1.5 deg"),
    basis=common_practice("camber is forged into a solid axle; brackets welded to one face of its tube bow it"),
    change=Words("straighten the tube, by heat on the other face or in a press, or look for worn ball joints"),
    place="camber",
    effect="the tyres wear on one edge, and the axle's bearings run askew",
    compares=True,
    from_stage=Stage.ALIGNED,
)
def camber_changed(job: Job, wheel: AlignedSide) -> float:
    """Difference between the camber of the finished truck and the one as it was."""
    return abs(wheel.camber - job.build.records.baseline.sides[wheel.side].camber)


@rule.check(
    Baseline,
    at_most(warning="2 deg", error="5 deg"),
    basis=common_practice(
        "the transfer case stays where it is; only the rake of the truck changes, by a degree or two"
    ),
    change=Words("put the gauge on the output's flange again, or write down why it is turned"),
    place="output_up",
    effect="the joints of the driveshaft are computed for another transfer case",
    compares=True,
)
def output_turned(job: Job, baseline: Baseline) -> float:
    """Difference between the planned angle of the output and the one as it was."""
    return abs(job.build.driveshaft.output.up - baseline.output_up)


@rule.check(
    Baseline,
    at_most(warning="3 in", error="8 in"),
    basis=common_practice("the joints stay about as far apart where the axle is moved by an inch or two"),
    change=Words("measure from joint centre to joint centre again, and both points of the plan"),
    place="driveshaft_length",
    effect="the driveshaft is ordered to another length than it needs",
    compares=True,
)
def driveshaft_changed(job: Job, baseline: Baseline) -> float:
    """Difference between the driveshaft's length at ride height as planned and as it was."""
    return abs(job.driveshaft_length_at_ride() - baseline.driveshaft_length)


@rule.check(
    Baseline,
    between(warning=("-0.5 deg", "0.6 deg"), error=("-1.5 deg", "2 deg")),
    basis=common_practice("a worn truck toes in or out by a quarter of an inch"),
    change=measure_again,
    place="toe_in",
    **as_it_was,
)
def toe_as_it_was(job: Job, baseline: Baseline) -> float:
    """Total toe-in, as it was."""
    return baseline.toe_in


@rule.check(
    Baseline,
    at_most(warning="1/8 in", error="3/8 in"),
    basis=common_practice(
        "both say the same: the tyre's diameter times the tangent of the angle; a tape reads 1/16 in"
    ),
    change=measure_again,
    place="toe_in_by_tape",
    **as_it_was,
)
def toe_by_tape(job: Job, baseline: Baseline) -> float:
    """Difference between toe-in by tape, as it was, and the same from its angle."""
    return abs(baseline.toe_in_by_tape - job.build.vehicle.tyre.diameter * math.tan(baseline.toe_in))


@rule.check(
    Baseline,
    at_most(warning="3/8 in", error="1 1/4 in"),
    basis=common_practice("both say where the axle is across the frame; four readings of a tape are 1/8 in each off"),
    change=Words("measure the offset and the gaps from tyre to frame again, with the wheels straight ahead"),
    place="axle_offset",
    **as_it_was,
)
def offset_by_gaps(job: Job, baseline: Baseline) -> float:
    """Difference between the stated offset of the axle and half the difference of the gaps from tyre to frame."""
    left, right = baseline.sides.left, baseline.sides.right
    return abs(baseline.axle_offset - (left.tyre_to_frame - right.tyre_to_frame) / 2)


sizes: dict[str, Any] = {"change": measure_again, **as_it_was}


@rule.check(
    Baseline,
    between(warning=("10 in", "26 in"), error=("5 in", "34 in")),
    basis=common_practice("frames of trucks are 24 to 44 in wide outside"),
    place="sides",
    **sizes,
)
def half_frame(job: Job, baseline: Baseline) -> float:
    """Half the width of the frame that the track, the tyres and the gaps beside them leave."""
    vehicle, sides = job.build.vehicle, baseline.sides
    gap = (sides.left.tyre_to_frame + sides.right.tyre_to_frame) / 2
    return (vehicle.track - vehicle.tyre.width) / 2 - gap


@rule.check(
    Baseline,
    between(warning=("70 %", "200 %"), error=("50 %", "300 %")),
    basis=common_practice(
        "a diagonal goes from one frame rail across to the other wheel, and some way along the frame"
    ),
    place="diagonal_left",
    **sizes,
)
def diagonal_to_track(job: Job, baseline: Baseline) -> float:
    """Mean of the two diagonals, as it was, as a share of the track."""
    return (baseline.diagonal_left + baseline.diagonal_right) / 2 / job.build.vehicle.track


@rule.check(
    Baseline,
    between(warning=("45 %", "130 %"), error=("25 %", "180 %")),
    basis=common_practice("bumpers are between hub height and a little above the tyre"),
    place="bumper_height",
    **sizes,
)
def bumper_to_tyre(job: Job, baseline: Baseline) -> float:
    """Height of the bumper, as it was, as a share of the tyre's diameter."""
    return baseline.bumper_height / job.build.vehicle.tyre.diameter
