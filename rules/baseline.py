"""The baseline is plausible: both sides agree, and it was taken in time, with the steering centred.

Checked: the readings of the baseline, left against right and against the plan, whether photographs were taken, the
steering was centred and the axle's centre line is marked on the rails, that the makers' instructions are at hand, and
that it was taken on or before the day of the spec, and no more than a year before it.

Risk: after the first cut nobody can measure the truck as it was. A misread tape in the baseline is found now or never,
and the ride height, the wheelbase and the pinion angle of the new suspension are set against it.

Worked out: as the difference of two readings. A value that is left out is not checked, and blocks the teardown.

Remedy: measure again while the old suspension is still in place.
"""

from datetime import date
from typing import Any

from buildcheck.api import (
    Answer,
    Area,
    Baseline,
    BaselineSide,
    Job,
    Rule,
    Sample,
    Stage,
    Verdict,
    Words,
    at_most,
    between,
    common_practice,
    met,
)

rule = Rule(
    "baseline",
    area=Area.RECORDS,
    page=__doc__,
    from_stage=Stage.TEARDOWN,
    entries=True,
    samples=(
        Sample("an axle that is a quarter inch askew", {"records.baseline.sides.left.wheelbase": "108 1/4 in"}),
        Sample(
            "a wheelbase read a foot short on one side",
            {"records.baseline.sides.left.wheelbase": 96},
            {"wheelbase-sides": Verdict.ERROR},
        ),
        Sample(
            "measured with the wheels turned",
            {"records.baseline.steering_centred": False},
            {"steering-centred": Verdict.ERROR},
        ),
    ),
)

agreement: dict[str, Any] = {
    "effect": "a baseline that is wrong cannot be measured again after the first cut",
}
of_sides: dict[str, Any] = {
    "change": Words("measure both sides again while the old suspension is in place"),
    "place": "sides",
    **agreement,
}


def has_a_shaft(job: Job, baseline: Baseline) -> str | None:
    """Why the check does not apply; None where a driveshaft turns the axle."""
    return None if job.build.axle.driven else "the axle is not driven"


def steered(job: Job, side: BaselineSide) -> str | None:
    """Why the check does not apply; None where the axle is steered."""
    return None if job.build.axle.position == "front" else "a rear axle has no caster"


@rule.check(
    Baseline,
    at_most(warning="5/8 in", error="2 in"),
    basis=common_practice("an axle that was 1/2 in askew pulled to one side; and 1/8 in for two readings of a tape"),
    **of_sides,
)
def wheelbase_sides(job: Job, baseline: Baseline) -> float:
    """Difference of the wheelbase on the left and on the right, as it was."""
    return abs(baseline.sides.left.wheelbase - baseline.sides.right.wheelbase)


@rule.check(
    Baseline,
    at_most(warning="1 1/8 in", error="3 in"),
    basis=common_practice("old springs sag by 1 in on one side; and 1/8 in for two readings of a tape"),
    **of_sides,
)
def ride_height_sides(job: Job, baseline: Baseline) -> float:
    """Difference of the ride height on the left and on the right, as it was."""
    return abs(baseline.sides.left.ride_height - baseline.sides.right.ride_height)


@rule.check(
    Baseline,
    at_most(warning="1 1/8 in", error="3 in"),
    basis=common_practice("old springs and a bent fender make up for 1 in; and 1/8 in for two readings of a tape"),
    **of_sides,
)
def fender_height_sides(job: Job, baseline: Baseline) -> float:
    """Difference of the height of the left fender and of the right one, as it was."""
    return abs(baseline.sides.left.fender_height - baseline.sides.right.fender_height)


@rule.check(
    Baseline,
    at_most(warning="5/8 in", error="2 in"),
    basis=common_practice("an axle on leaf springs sits within 1/2 in of the middle; and 1/8 in for two readings"),
    **of_sides,
)
def tyre_to_frame_sides(job: Job, baseline: Baseline) -> float:
    """Difference of the gap from tyre to frame on the left and on the right, as it was."""
    return abs(baseline.sides.left.tyre_to_frame - baseline.sides.right.tyre_to_frame)


@rule.check(
    Baseline,
    at_most(warning="3/8 in", error="1 in"),
    change=Words("measure both diagonals again, from the same two points of the frame"),
    basis=common_practice("a straight frame has diagonals within 1/4 in; and 1/8 in for two readings of a tape"),
    place="diagonal_left",
    effect="the frame is bent, or one of the diagonals was misread",
)
def diagonals(job: Job, baseline: Baseline) -> float:
    """Difference of the two diagonals from the frame to the axle, as it was."""
    return abs(baseline.diagonal_left - baseline.diagonal_right)


@rule.check(
    Baseline,
    between(warning=("-12 deg", "12 deg"), error=("-25 deg", "25 deg")),
    change=Words("put the gauge on the pinion flange again"),
    basis=common_practice(
        "pinions point up or down by a few degrees, by 12 deg on a lifted truck; 25 deg is a misread gauge"
    ),
    place="pinion_up",
    when=has_a_shaft,
    **agreement,
)
def pinion_angle(job: Job, baseline: Baseline) -> float:
    """Angle of the pinion to the floor, as it was; positive upward."""
    return baseline.pinion_up


@rule.check(
    Baseline,
    between(warning=("-10 deg", "10 deg"), error=("-25 deg", "25 deg")),
    change=Words("put the gauge on the transfer case's flange again"),
    basis=common_practice("an engine is set down by a few degrees to the rear; 25 deg is a misread gauge"),
    place="output_up",
    when=has_a_shaft,
    **agreement,
)
def output_angle(job: Job, baseline: Baseline) -> float:
    """Angle of the transfer case's output to the floor, as it was; positive upward."""
    return baseline.output_up


@rule.check(
    Baseline,
    between(warning=("85 %", "115 %"), error=("60 %", "160 %")),
    change=Words("measure from joint centre to joint centre again"),
    basis=common_practice("the axle is moved by inches, and its joints stay about as far apart"),
    place="driveshaft_length",
    when=has_a_shaft,
    **agreement,
)
def driveshaft_length(job: Job, baseline: Baseline) -> float:
    """Length of the driveshaft as it was, as a share of that in the plan."""
    return baseline.driveshaft_length / job.driveshaft_length_at_ride()


@rule.check(
    BaselineSide,
    between(warning=("-2 deg", "12 deg"), error=("-10 deg", "20 deg")),
    change=Words("set up the gauge on this side again"),
    basis=common_practice("front axles have 2 to 9 deg of caster, less with tired springs; 20 deg is a misread gauge"),
    place="caster",
    when=steered,
    **agreement,
)
def caster_angle(job: Job, side: BaselineSide) -> float:
    """Caster of a wheel, as it was."""
    return side.caster


@rule.check(
    Baseline,
    at_most(warning="1/8 in", error="1/4 in"),
    change=Words("measure with a tape that is read to 1/16 in"),
    basis=common_practice("a steel tape is read to 1/16 in; a bracket is tapped over by 1/8 in"),
    place="tape_tolerance",
    **agreement,
)
def tape(job: Job, baseline: Baseline) -> float:
    """How far off the lengths of the baseline may be."""
    return baseline.tape_tolerance


@rule.check(
    Baseline,
    at_most(warning="0.5 deg", error="1.5 deg"),
    change=Words("measure with a gauge that shows a quarter of a degree"),
    basis=common_practice("an angle gauge shows 0.1 to 0.2 deg; caster that is 1.5 deg off is felt"),
    place="gauge_tolerance",
    **agreement,
)
def gauge(job: Job, baseline: Baseline) -> float:
    """How far off the angles of the baseline may be."""
    return baseline.gauge_tolerance


@rule.must(
    Baseline,
    wanted="yes",
    change=Words("centre the steering, with the pitman arm straight, and measure again"),
    basis=common_practice("tyres, drag link and lateral bar are measured with the wheels straight ahead"),
    effect="tyre gaps and the place of the axle were read with the wheels turned",
    place="steering_centred",
)
def steering_centred(job: Job, baseline: Baseline) -> Answer:
    """The steering was centred while the baseline was taken."""
    return met(baseline.steering_centred, "yes", otherwise="no")


@rule.must(
    Baseline,
    wanted="yes",
    otherwise=Verdict.WARNING,
    change=Words("photograph both sides, the driveshaft and the steering before anything is taken apart"),
    basis=common_practice("a photograph answers what nobody thought of measuring"),
    effect="what was not measured cannot be looked up",
    place="photographs",
)
def photographs(job: Job, baseline: Baseline) -> Answer:
    """Photographs were taken of the truck as it was."""
    return met(baseline.photographs, "yes", otherwise="no")


@rule.must(
    Baseline,
    wanted="yes",
    change=Words("drop a plumb line past each wheel centre, and mark its height and its place on both rails"),
    basis=common_practice("a mark on the frame is the only witness of where the axle was, once it is out"),
    effect="nobody can say any more by how much the axle was moved",
    place="rails_marked",
)
def rails_marked(job: Job, baseline: Baseline) -> Answer:
    """The axle's centre line is marked on both frame rails."""
    return met(baseline.rails_marked, "yes", otherwise="no")


@rule.must(
    Baseline,
    wanted="yes",
    otherwise=Verdict.WARNING,
    change=Words("get the instructions of each part, and read them before the first bolt"),
    basis=common_practice("a maker's torque, thread and limit go before any usual value"),
    effect="parts are fitted by guess",
    place="instructions_at_hand",
)
def instructions_at_hand(job: Job, baseline: Baseline) -> Answer:
    """The instructions of the makers of the new parts are at hand."""
    return met(baseline.instructions_at_hand, "yes", otherwise="no")


@rule.must(
    Baseline,
    wanted="on or before the day of the spec",
    otherwise=Verdict.WARNING,
    change=Words("look up the day, or write the day of this revision into build.date"),
    basis=common_practice("the plan is made from the baseline"),
    place="taken_on",
    effect="the plan was made before anybody had measured the truck",
    compares=True,
)
def taken_in_time(job: Job, baseline: Baseline) -> Answer:
    """The baseline was taken on or before the day of the spec."""
    planned = job.build.build.date
    return met(baseline.taken_on <= planned, baseline.taken_on, otherwise=f"{baseline.taken_on}, after {planned}")


@rule.must(
    Baseline,
    wanted="within a year before the spec",
    otherwise=Verdict.WARNING,
    change=Words("look up the day, or measure the truck as it is now"),
    basis=common_practice("springs sag and trucks are changed from one year to the next"),
    place="taken_on",
    effect="the plan is made for a truck as it no longer is",
    compares=True,
)
def recent(job: Job, baseline: Baseline) -> Answer:
    """The baseline was taken no more than a year before the day of the spec."""
    taken, planned = date.fromisoformat(baseline.taken_on), date.fromisoformat(job.build.build.date)
    return met((planned - taken).days <= DAYS_OF_A_YEAR, baseline.taken_on, otherwise=f"{taken}, long before {planned}")


DAYS_OF_A_YEAR = 366
