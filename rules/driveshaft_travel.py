"""The driveshaft follows the axle through its whole travel."""

import math
from collections.abc import Iterator
from functools import partial
from typing import Literal

from buildcheck.api import (
    Area,
    Build,
    Cure,
    Dimension,
    Finding,
    Job,
    Limit,
    Sample,
    Verdict,
    at_least,
    common_practice,
    does_not_apply,
    hold,
    least,
    rule,
)

FOLLOWS = common_practice("a shaft that goes solid, comes apart or binds breaks itself or the gearbox")

SLIP_IN = Limit(
    "slip-left-to-go-in",
    "slip that the driveshaft has left to go in, where it is shortest",
    Dimension.LENGTH,
    at_least(warning="1/2 in", error="0 in"),
    basis=FOLLOWS,
)
SLIP_OUT = Limit(
    "slip-left-to-come-out",
    "slip that the driveshaft has left to come out, where it is longest",
    Dimension.LENGTH,
    at_least(warning="1/2 in", error="0 in"),
    basis=FOLLOWS,
)
ANGLE_LEFT = Limit(
    "joint-angle-left",
    "angle that a joint of the driveshaft has left, where it bends most",
    Dimension.ANGLE,
    at_least(warning="2 deg", error="0 deg"),
    basis=FOLLOWS,
)

# The most that a joint of a driveshaft bends, rad: a larger change is no cure but another layout. Common practice, no
# source.
MOST_OF_ANY = math.radians(45)


@rule(
    "driveshaft-travel",
    area=Area.DRIVELINE,
    heeded=True,
    subject="build",
    limits=(SLIP_IN, SLIP_OUT, ANGLE_LEFT),
    samples=(
        Sample("joints that bend two degrees less", {"driveshaft.pinion_joint.largest_angle": 20}),
        Sample(
            "a slip that is too long by two inches",
            {"driveshaft.shortest_length": 32.5},
            {"slip-left-to-go-in": Verdict.ERROR},
        ),
    ),
)
def driveshaft_travel(job: Job, build: Build) -> Iterator[Finding]:
    """The driveshaft follows the axle through its whole travel.

    What it checks: the slip that is left to go in and to come out, and the angle that each joint has left, where it is
    least over the stated travel from full droop to full bump and through articulation. What is left beyond that, where
    the limit straps come tight, is the business of limit-strap-length.

    Why: a slip that goes solid pushes the gearbox and the pinion apart. One that comes out drops the shaft. A joint
    past its angle binds, and breaks its yoke at the first turn.

    How it is computed: the length is that between the two joint centres in each pose of the solved motion. A joint's
    angle is that between the shaft and the shaft of the gearbox or of the pinion, which turns with the axle.

    To put it right: another slip, or a longer shaft; a joint that bends farther, such as a double Cardan at the
    gearbox; or the pinion turned up toward the gearbox. No joint is taken to bend by more than 45 deg (common practice,
    no source).
    """
    if build.axle.has("driven") and not build.axle.driven:
        yield does_not_apply("nothing drives this axle")
        return
    shaft = build.driveshaft
    lengths = [job.driveshaft_length(line) for line in job.lines.cycled]
    in_left = least(length.smallest - shaft.shortest_length for length in lengths)
    out_left = least(shaft.longest_length - length.largest for length in lengths)
    yield hold(
        SLIP_IN,
        in_left,
        place=shaft.path_of("shortest_length"),
        effect="the slip goes solid, and the shaft pushes the gearbox and the pinion apart",
        cure=partial(_shorter, in_left.value),
    )
    yield hold(
        SLIP_OUT,
        out_left,
        place=shaft.path_of("longest_length"),
        effect="the slip comes apart",
        cure=partial(_longer, out_left.value),
    )
    ends: tuple[Literal["output", "pinion"], ...] = ("output", "pinion")
    for end in ends:
        joint = shaft.output_joint if end == "output" else shaft.pinion_joint
        left = least(joint.largest_angle - job.driveshaft_angle(end, line).largest for line in job.lines.cycled)
        yield hold(
            ANGLE_LEFT,
            left,
            place=joint.path_of("largest_angle"),
            effect=f"the joint at the {end} binds and breaks",
            cure=partial(_bends_more, end, joint.largest_angle, left.value),
        )
    job.lines.need_articulation()


def _shorter(left: float, target: float) -> Cure:
    less = target - left
    return Cure("take a slip that goes in {amount} more", less, Dimension.LENGTH, "driveshaft.shortest_length", -less)


def _longer(left: float, target: float) -> Cure:
    more = target - left
    return Cure("take a slip that comes out {amount} more", more, Dimension.LENGTH, "driveshaft.longest_length", more)


def _bends_more(end: str, rating: float, left: float, target: float) -> Cure:
    more = target - left
    if rating + more > MOST_OF_ANY:
        return Cure(
            f"no joint bends so far: turn the shafts toward each other at the {end}, or take a longer driveshaft"
        )
    words = f"take a joint at the {end} that bends {{amount}} more, or turn the shafts toward each other"
    return Cure(words, more, Dimension.ANGLE, f"driveshaft.{end}_joint.largest_angle", more)
