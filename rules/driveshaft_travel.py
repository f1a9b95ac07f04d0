"""The driveshaft follows the axle through its whole travel.

Checked: the slip remaining at the shortest and the longest driveshaft length, and the smallest angle remaining
at each joint, over the stated travel from full droop to full bump and through articulation. limit-strap-length checks
them beyond that, where the limit straps come tight.

Risk: a slip that goes solid pushes the gearbox and the pinion apart. A slip that comes out drops the shaft. A joint
beyond its angle binds, and breaks its yoke at the first turn.

Worked out: the length is the distance between the two joint centres in each pose of the solved motion. The
angle of a joint is the one between the driveshaft and the shaft of the gearbox or of the pinion; the pinion turns with
the axle.

Remedy: fit another slip, or a longer shaft; a joint that bends farther, such as a double Cardan at the
gearbox; or turn the pinion up toward the gearbox. No change asks a joint to bend more than 45 deg (common practice, no
source).
"""

from buildcheck.api import (
    Area,
    Driveshaft,
    Job,
    Resize,
    Rule,
    Sample,
    Set,
    ShaftJoint,
    Spot,
    Verdict,
    Words,
    at_least,
    common_practice,
    each,
    least,
)

rule = Rule(
    "driveshaft-travel",
    area=Area.DRIVELINE,
    page=__doc__,
    samples=(
        Sample("joints that bend two degrees less", {"driveshaft.pinion_joint.largest_angle": 20}),
        Sample(
            "a slip that goes solid two inches too soon",
            {"driveshaft.shortest_length": 32.5},
            {"slip-left-to-go-in": Verdict.ERROR},
        ),
    ),
)

FOLLOWS = common_practice("a shaft that goes solid, comes apart or binds breaks, or breaks the gearbox")
longer_shaft = Words("fit a longer driveshaft with more slip, or plan less travel")


def driven(job: Job, _: object) -> str | None:
    """Why the check does not apply; None where the axle is driven."""
    axle = job.build.axle
    return "nothing drives this axle" if axle.has("driven") and not axle.driven else None


@rule.check(
    Driveshaft,
    at_least(warning="1/2 in", error="0 in"),
    physical_end="0 in",
    basis=FOLLOWS,
    change=(Resize("shortest_length", says="fit a slip that goes in {amount} more"), longer_shaft),
    when=driven,
    effect="the slip goes solid, and the shaft pushes the gearbox and the pinion apart",
)
def slip_left_to_go_in(job: Job, shaft: Driveshaft) -> Spot:
    """Slip remaining at the shortest driveshaft length."""
    lengths = [job.driveshaft_length(line).smallest for line in job.lines.cycled]
    return least(length - shaft.shortest_length for length in lengths).lacking(*job.lines.without_articulation)


@rule.check(
    Driveshaft,
    at_least(warning="1/2 in", error="0 in"),
    physical_end="0 in",
    basis=FOLLOWS,
    change=(Resize("longest_length", says="fit a slip that comes out {amount} more"), longer_shaft),
    when=driven,
    effect="the slip comes apart",
)
def slip_left_to_come_out(job: Job, shaft: Driveshaft) -> Spot:
    """Slip remaining at the longest driveshaft length."""
    lengths = [job.driveshaft_length(line).largest for line in job.lines.cycled]
    return least(shaft.longest_length - length for length in lengths).lacking(*job.lines.without_articulation)


@rule.check(
    each(ShaftJoint, of=Driveshaft),
    at_least(warning="2 deg", error="0 deg"),
    physical_end="0 deg",
    basis=FOLLOWS,
    change=(
        # The largest angle of any driveshaft joint; beyond it another layout is needed. Common practice, no source.
        Set("largest_angle", says="fit a {part} that bends to {amount}, or turn the shafts", most="45 deg"),
        Words("no joint bends this far: turn the shafts toward each other there, or fit a longer driveshaft"),
    ),
    when=driven,
    effect="the joint binds and breaks",
)
def joint_angle_left(job: Job, joint: ShaftJoint) -> Spot:
    """Angle remaining at a driveshaft joint where it bends most."""
    angles = [job.driveshaft_angle(job.end_of_shaft(joint), line).largest for line in job.lines.cycled]
    return least(joint.largest_angle - angle for angle in angles).lacking(*job.lines.without_articulation)
