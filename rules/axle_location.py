"""The links hold the axle, and let it go where it is meant to."""

from collections.abc import Iterator
from functools import partial

from buildcheck.api import (
    Area,
    Build,
    Cure,
    Dimension,
    Finding,
    Job,
    Limit,
    Line,
    Requirement,
    Sample,
    Spot,
    Verdict,
    at_least,
    common_practice,
    hold,
    require,
    rule,
)

HELD = Requirement(
    "held",
    "the links and the lateral bar hold the axle fore and aft, sideways, in pitch and in yaw",
    basis=common_practice("an axle may rise and roll; anything else it can do is a wobble"),
)
ASSEMBLED = Requirement(
    "assembled",
    "the links, as long as they are made, can be joined to the axle at ride height",
    basis=common_practice("what cannot be bolted together on the floor is not a build"),
)
FIRMNESS = Limit(
    "firmness",
    "how firmly the links hold the axle where they hold it least, against one link that pulls square on",
    Dimension.RATIO,
    at_least(warning="12 %", error="5 %"),
    basis=common_practice("a link holds along its own line; one that is nearly square to a motion hardly holds it"),
)
REACHED = Limit(
    "travel-reached",
    "share of the stated travel that the axle can follow",
    Dimension.RATIO,
    at_least(error="100 %"),
    basis=common_practice("travel that the links cannot follow ends in a bent link or a torn bracket"),
)


@rule(
    "axle-location",
    area=Area.AXLE,
    subject="build",
    limits=(ASSEMBLED, HELD, FIRMNESS, REACHED),
    samples=(
        Sample("the arms a little longer", {"links.arm.both.frame": [-37.5, 14.9, 21.5]}),
        Sample(
            "a three-link whose upper link is too short for the droop that is stated",
            {
                "links.arm.both": {"kind": "two-point", "frame": [-37, 16.5, 17], "axle": [-3, 17.5, 15.2]},
                "links.upper": {"right": {"kind": "two-point", "frame": [-10, -8, 23.5], "axle": [2, -8, 23]}},
                "travel.droop": 14,
            },
            {"travel-reached": Verdict.ERROR},
        ),
        Sample(
            "the bar laid fore and aft between parallel arms, so that nothing holds the axle sideways",
            {
                "links.arm.both.frame": [-37, 17.5, 19.7],
                "lateral_bar.frame": [40, 0, 20],
                "lateral_bar.axle": [5, 0, 19.9],
            },
            {"held": Verdict.ERROR},
        ),
    ),
)
def axle_location(job: Job, build: Build) -> Iterator[Finding]:
    """The links hold the axle, and let it go where it is meant to.

    What it checks: that the links can be joined to the axle at all; that they and the lateral bar hold the axle in four
    independent ways, so that it can rise and roll and do nothing else; how firmly they hold it where they hold it
    least; and that it can follow the whole travel that the spec states.

    A lateral bar that is not in the spec holds nothing, at any stage. Fewer than four constraints are an error even
    where their points are not stated yet.

    Why: an axle that is free to yaw or to walk sideways steers the truck by itself. A link that runs out of reach
    before the stops work bends, or tears its bracket off.

    How it is computed: every two-point link and the lateral bar keep one distance each, a radius arm keeps two. Their
    independence is that of the constraint equations at ride height, and the firmness their smallest singular value,
    angles taken at the links' typical distance from the axle centre. The travel is then solved pose by pose, from full
    droop to full bump and through articulation, and each pose must be reached without a break from ride height.

    To put it right: add the link that is missing (often the upper link, or the lateral bar), or state less travel, or
    make the link that runs out of reach longer.
    """
    apart = job.unassembled
    free = "" if apart else "; ".join(job.free_motions)
    if not free:  # where a free axle would stand is not known
        yield require(
            ASSEMBLED,
            met=not apart,
            found=apart or "the links can be joined to the axle",
            wanted="links that reach from their frame ends to their axle ends",
            place="links",
            cure="check the lengths and the points of the links",
        )
    if apart:
        return
    yield require(
        HELD,
        met=not free,
        found=f"{free}{_without_bar(build, free)}" or "held in four independent ways",
        wanted="nothing free but rise and roll",
        place="links",
        effect="" if not free else "the axle moves by itself under braking and cornering",
        cure="add a link or a lateral bar, or move one so that it does not do the same work as another",
    )
    if free:
        return
    yield hold(
        FIRMNESS,
        job.firmness,
        place="links",
        effect=f"{job.least_held} although links hold it on paper{_without_bar(build, job.least_held)}",
        cure="splay the links more, add one that runs square to that motion, or fit a lateral bar",
    )
    # Each stroke begins at the middle, so that what is reached of it is what the axle can follow from there.
    for stated, strokes in _strokes(job):
        stroke = min(strokes, key=job.reached)
        yield hold(
            REACHED,
            Spot(job.reached(stroke), stroke.pose(stroke.end)),
            place=f"travel.{stated}",
            effect="a link runs out of reach before the travel ends",
            cure=partial(_less_travel, stated, stroke.end - job.axle_forward(stroke).farthest),
        )


def _without_bar(build: Build, free: str) -> str:
    """A reminder for an axle that is free sideways. The spec names its links, so an absent bar is a bar not fitted."""
    return "; lateral_bar is not in the spec" if "sideways" in free and not build.has("lateral_bar") else ""


def _strokes(job: Job) -> Iterator[tuple[str, tuple[Line, ...]]]:
    yield "droop", (job.lines.droop,)
    yield "bump", (job.lines.bump,)
    yield "articulation", (job.lines.right_up, job.lines.left_up)


def _less_travel(stated: str, less: float, _: float) -> Cure:
    dimension = Dimension.ANGLE if stated == "articulation" else Dimension.LENGTH
    words = f"state {{amount}} less {stated}, or make the link that runs out longer"
    return Cure(words, less, dimension, f"travel.{stated}", -less)
