"""A bracket holds every end of every part that locates or carries the axle.

Checked: that a bracket under `attachments` holds the frame end and the axle end of every link, lateral bar, coilover,
limit strap and bump stop, the fixed end of a steering stabiliser, and a carrier bearing. An end without a bracket is
not checked, because nothing is known of how it is fixed. The steering box and the ends of brake lines are checked where
a bracket holds them; elsewhere the record says that they are not. Each end of a part in the middle, such as the lateral
bar, is on one side of the truck, and its bracket must be on that side. One bracket holds each end, and its foot, where
the spec has its `point`, is near the end. No bracket on a knuckle, which turns, holds what carries or locates the axle.

Risk: the rules for welds and bolts look only at the brackets in the spec. A bracket that is left out would pass
unnoticed, and a bracket that tears off lets the axle go.

Worked out: a bracket lists in `holds` the parts that it carries, or single ends of parts (`links.arm.left.frame`). A
bracket whose parent is the frame or a crossmember holds the frame end, any other bracket the axle end. A bracket on the
left or right holds that part of a pair. The distance of a foot is from its `point` to the centre of the joint. The
target of a bump stop counts as held by a bracket. The two axle joints of a radius arm count as one end. The steering
box is held where a bracket holds `steering.pitman_arm`. The ends of drag link and tie rod are held by their studs, and
those of the driveshaft by its two joints, which other rules check.

Remedy: add the bracket under `attachments`, or add the path of the part to the `holds` of its bracket. Where two
brackets hold one end, take the part out of the `holds` of the one that does not carry it.
"""

import math
from collections.abc import Iterator

from buildcheck.api import (
    Answer,
    Area,
    Attachment,
    BrakeLine,
    Build,
    CannotTell,
    HeldEnd,
    Job,
    PitmanArm,
    Rule,
    Sample,
    Side,
    Verdict,
    Words,
    at_most,
    common_practice,
    each,
    made,
    met,
)

rule = Rule(
    "bracket-at-every-end",
    area=Area.RECORDS,
    page=__doc__,
    samples=(
        Sample(
            "a bracket that holds a link, and a hose that begins far off",
            {"attachments.arm_frame_bracket.both.holds": ["links.arm", "brake_lines.line"]},
            {"foot-near-its-end": Verdict.ERROR},
        ),
        Sample(
            "the frame end of the lateral bar on the right, and its bracket on the left",
            {"lateral_bar.frame": [5.5, -16.5, 22.75], "lateral_bar.axle": [5.5, 16.5, 19.9]},
            {"on-its-side": Verdict.ERROR},
        ),
        Sample(
            "an end named by itself",
            {"attachments.arm_frame_bracket.both.holds": "links.arm.frame"},
        ),
        Sample(
            "two brackets on the frame hold the same end",
            {"attachments.arm_frame_bracket.both.holds": ["links.arm", "lateral_bar"]},
            {"held-once": Verdict.ERROR},
        ),
        Sample(
            "a foot a yard from its joint",
            {"attachments.arm_frame_bracket.left.point": [2, 17.5, 22.5]},
            {"foot-near-its-end": Verdict.ERROR},
        ),
    ),
)


def ends(job: Job, build: Build) -> Iterator[HeldEnd]:
    """Every end that needs a bracket: those that carry the axle, the steering box, and the ends of brake lines."""
    yield from job.held_ends()
    if build.has("steering") and build.steering.has("pitman_arm"):
        yield HeldEnd(build.steering.pitman_arm, "frame")
    yield from job.hose_ends()


def bracket_is_asked_for(job: Job, end: HeldEnd) -> str | None:
    """Why the check does not apply; None where the end carries a computed load, or a bracket says that it holds it."""
    if not isinstance(end.part, BrakeLine | PitmanArm) or (job.build.has("attachments") and job.holders(end)):
        return None
    return (
        f"no bracket of the spec holds the {end.label}, and how it is fixed is not checked: no load is computed for it"
    )


def on_the_side_of(end: HeldEnd, bracket: Attachment) -> bool:
    """Whether a bracket may be on the side of an end; one in the middle, or of unknown side, may."""
    return Side.CENTRE in (bracket.side, end.side) or bracket.side is end.side


def holder(job: Job, end: HeldEnd) -> Attachment:
    """The bracket that holds an end; of several, preferably one on the side of the end."""
    brackets = job.holders(end)
    if not brackets:
        where = "the frame or a crossmember" if end.on_frame else "the axle"
        raise CannotTell(f"no bracket on {where} holds {end.path}")
    return next((bracket for bracket in brackets if on_the_side_of(end, bracket)), brackets[0])


@rule.must(
    made("held end", ends),
    wanted="a bracket on the side of the end",
    basis=common_practice("a typing error is found at the desk, or on the truck"),
    change=Words("move the bracket to the other side in the spec, or change the sign of y of the end"),
    when=bracket_is_asked_for,
    place=lambda job, end: holder(job, end).path_of("holds"),
    effect="its load is computed for a bracket in another place",
)
def on_its_side(job: Job, end: HeldEnd) -> Answer:
    """The bracket is on the same side of the truck as the end that it holds."""
    bracket = holder(job, end)
    found = f"the {bracket.label}"
    return met(on_the_side_of(end, bracket), found, otherwise=f"{found}, and the end is on the {end.side}")


def near_holders(job: Job, end: HeldEnd) -> list[Attachment]:
    """The brackets that hold an end, on its side."""
    return [bracket for bracket in job.holders(end) if on_the_side_of(end, bracket)]


@rule.must(
    made("held end", ends),
    wanted="one bracket",
    basis=common_practice("a joint sits in one bracket, which takes its whole load"),
    change=Words("take the part out of the `holds` of the bracket that does not carry this end"),
    when=bracket_is_asked_for,
    place=lambda job, end: near_holders(job, end)[-1].path_of("holds"),
    effect="both brackets are computed for the whole load, and one of them does not exist or carries something else",
    follows=("on-its-side",),
    compares=True,
)
def held_once(job: Job, end: HeldEnd) -> Answer:
    """One bracket holds each end."""
    brackets = near_holders(job, end)
    named = " and ".join(f"the {bracket.label}" for bracket in brackets)
    return met(len(brackets) == 1, named, otherwise=named)


def on_a_knuckle(job: Job, bracket: Attachment) -> bool:
    return bracket.has("parent") and bracket.parent == "knuckle"


def is_of_axle(job: Job, end: HeldEnd) -> bool:
    """Whether an end carries or locates the axle, and does not turn with a wheel."""
    return not isinstance(end.part, BrakeLine | PitmanArm)


@rule.must(
    each(Attachment, where=on_a_knuckle),
    wanted="hoses only",
    basis=common_practice("a knuckle turns with its wheel; what carries or locates the axle is fixed to what does not"),
    change=Words("find out what the bracket is fixed to, and write that as its parent"),
    place="parent",
    effect="the part is pushed and pulled as the wheels are turned",
    compares=True,
)
def nothing_on_a_knuckle(job: Job, bracket: Attachment) -> Answer:
    """A bracket on a knuckle holds no link, bar, coilover, strap or stop."""
    held = [end for end in job.held_ends() if is_of_axle(job, end) and any(one is bracket for one in job.holders(end))]
    return met(not held, "nothing of the axle", otherwise=" and ".join(f"the {end.label}" for end in held))


@rule.check(
    made("held end", ends),
    at_most(error="12 in"),
    basis=common_practice("a bracket reaches a few inches from its foot to its joint"),
    change=Words("correct the point of the bracket, or the end that it holds"),
    when=bracket_is_asked_for,
    place=lambda job, end: holder(job, end).path_of("point"),
    effect="the moment on its foot is computed with a lever that it does not have",
    follows=("on-its-side", "held-once"),
    compares=True,
)
def foot_near_its_end(job: Job, end: HeldEnd) -> float:
    """Distance of the foot of a bracket from the end that it holds."""
    return math.dist(holder(job, end).point, end.point)
