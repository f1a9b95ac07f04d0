"""The driveshaft follows the axle through its whole travel.

Checked: the slip that is left to go in and to come out, and the angle that each joint has left, where it is
least over the stated travel from full droop to full bump and through articulation. What is left beyond that, where
the limit straps come tight, is the business of limit-strap-length.

Risk: a slip that goes solid pushes the gearbox and the pinion apart. One that comes out drops the shaft. A joint
past its angle binds, and breaks its yoke at the first turn.

Worked out: the length is that between the two joint centres in each pose of the solved motion. A joint's
angle is that between the shaft and the shaft of the gearbox or of the pinion, which turns with the axle.

Remedy: another slip, or a longer shaft; a joint that bends farther, such as a double Cardan at the
gearbox; or the pinion turned up toward the gearbox. No joint is taken to bend by more than 45 deg (common practice,
no source).
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
            "a slip that is too long by two inches",
            {"driveshaft.shortest_length": 32.5},
            {"slip-left-to-go-in": Verdict.ERROR},
        ),
    ),
)

FOLLOWS = common_practice("a shaft that goes solid, comes apart or binds breaks itself or the gearbox")
longer_shaft = Words("take a longer driveshaft with more slip, or plan less travel")


def driven(job: Job, _: object) -> str | None:
    """Why the check does not apply; None where the axle is driven."""
    axle = job.build.axle
    return "nothing drives this axle" if axle.has("driven") and not axle.driven else None


@rule.check(
    Driveshaft,
    at_least(warning="1/2 in", error="0 in"),
    basis=FOLLOWS,
    change=(Resize("shortest_length", says="take a slip that goes in {amount} more"), longer_shaft),
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
    basis=FOLLOWS,
    change=(Resize("longest_length", says="take a slip that comes out {amount} more"), longer_shaft),
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
    basis=FOLLOWS,
    change=(
        # The most that a joint of a driveshaft bends; beyond it is another layout. Common practice, no source.
        Set("largest_angle", says="take a {part} that bends to {amount}, or turn the shafts", most="45 deg"),
        Words("no joint bends so far: turn the shafts toward each other there, or take a longer driveshaft"),
    ),
    when=driven,
    effect="the joint binds and breaks",
)
def joint_angle_left(job: Job, joint: ShaftJoint) -> Spot:
    """Angle that a joint of the driveshaft has left, where it bends most."""
    angles = [job.driveshaft_angle(job.end_of_shaft(joint), line).largest for line in job.lines.cycled]
    return least(joint.largest_angle - angle for angle in angles).lacking(*job.lines.without_articulation)
