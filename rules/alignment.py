"""The finished truck is aligned as planned.

Checked: once it is aligned, the caster and camber of each wheel, the toe-in and the direction of the axle, against
the plan and left against right; and that the steering wheel is straight.

Risk: too little caster lets the wheels wander and shake; uneven caster or an axle that points aside pulls to one side.

Worked out: from what the records state.

Remedy: turn the axle in its links, or correct the ball joints; shorten or lengthen a link to square the axle.
"""

from buildcheck.api import (
    Aligned,
    AlignedSide,
    Answer,
    Area,
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

AS_PLANNED = {
    "sides": {"left": {"caster": 6.1, "camber": 0.2}, "right": {"caster": 5.9, "camber": 0.3}},
    "toe_in": 0.1,
    "thrust": 0.05,
    "wheel_centred": True,
}

rule = Rule(
    "alignment",
    area=Area.BAR_AND_STEERING,
    page=__doc__,
    from_stage=Stage.ALIGNED,
    entries=True,
    samples=(
        Sample("as planned", {"records.aligned": AS_PLANNED}),
        Sample(
            "a twisted axle that points aside",
            {
                "records.aligned": {
                    "sides": {"left": {"caster": 8.5, "camber": 2.5}, "right": {"caster": 5.9, "camber": 0.3}},
                    "toe_in": 0.9,
                    "thrust": 0.7,
                    "wheel_centred": False,
                }
            },
            {
                "caster-off-plan": Verdict.ERROR,
                "caster-sides": Verdict.ERROR,
                "camber": Verdict.ERROR,
                "toe-off-plan": Verdict.ERROR,
                "thrust": Verdict.ERROR,
                "wheel-centred": Verdict.WARNING,
            },
        ),
    ),
)


@rule.check(
    AlignedSide,
    between(warning=("-1 deg", "1 deg"), error=("-2 deg", "2 deg")),
    basis=common_practice("a caster gauge is right to half a degree; two degrees less is felt as wander"),
    change=Words("turn the axle in its links until the caster is as planned; the pinion turns with it"),
    place="caster",
    effect="the steering wanders with too little caster, and is heavy with too much",
)
def caster_off_plan(job: Job, wheel: AlignedSide) -> float:
    """Measured caster less the planned one."""
    return wheel.caster - job.build.axle.caster


@rule.check(
    Aligned,
    at_most(warning="0.75 deg", error="2 deg"),
    basis=common_practice("beyond half a degree, and a quarter for the gauge, it pulls to the side with less caster"),
    change=Words("look for a twisted axle or a bent knuckle, and set both sides to one angle"),
    place="sides",
    effect="the truck pulls to the side with less caster",
)
def caster_sides(job: Job, aligned: Aligned) -> float:
    """Difference of the caster of the two wheels."""
    return abs(aligned.sides.left.caster - aligned.sides.right.caster)


@rule.check(
    AlignedSide,
    between(warning=("-1 deg", "1 deg"), error=("-2 deg", "2 deg")),
    basis=common_practice("a straight solid axle has camber within half a degree; two degrees is a bent one"),
    change=Words("look for a bent axle tube, worn ball joints or a bent knuckle"),
    place="camber",
    effect="the tyre wears on one edge, and the axle may be bent",
)
def camber(job: Job, wheel: AlignedSide) -> float:
    """Camber of the wheel; positive where its top leans out."""
    return wheel.camber


@rule.check(
    Aligned,
    between(warning=("-0.2 deg", "0.2 deg"), error=("-0.6 deg", "0.6 deg")),
    basis=common_practice("toe is set to a tenth of a degree, 1/16 in across a 35 in tyre; half a degree eats tyres"),
    change=Words("turn the tie rod until the toe-in is as planned, and tighten its clamps"),
    place="toe_in",
    effect="tyres wear, and the steering wanders",
)
def toe_off_plan(job: Job, aligned: Aligned) -> float:
    """Measured toe-in less the planned one."""
    return aligned.toe_in - job.build.axle.toe_in


@rule.check(
    Aligned,
    between(warning=("-0.2 deg", "0.2 deg"), error=("-0.5 deg", "0.5 deg")),
    basis=common_practice("an axle that points aside by 1/4 deg is 1/4 in out of square over its track"),
    change=Words("shorten or lengthen a link of one side until the axle is square to the frame"),
    place="thrust",
    effect="the truck goes crabwise, or pulls",
)
def thrust(job: Job, aligned: Aligned) -> float:
    """Direction of the axle against the middle line of the vehicle; positive to the left."""
    return aligned.thrust


@rule.must(
    Aligned,
    wanted="yes",
    otherwise=Verdict.WARNING,
    basis=common_practice("the steering box has its middle where the wheel is straight, and least play there"),
    change=Words("centre the box, then set the length of the drag link"),
    place="wheel_centred",
    effect="the steering box runs off its middle, where it has play",
)
def wheel_centred(job: Job, aligned: Aligned) -> Answer:
    """The steering wheel is straight with the truck running straight."""
    return met(aligned.wheel_centred, "yes", otherwise="no")
