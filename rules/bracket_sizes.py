"""The sizes of a bracket are in proportion.

Checked: a bracket's hole against the width of its plates; the height of its joint, and that of its gussets against it;
that the joint is on the outer side of the foot; the pattern of its bolts against its width, their distance from each
other and from the upright, and the thickness of the foot; the strength of its metal, and of the metal that it is
screwed to; and that a bracket on the end of the axle is there. Values that are not stated are not compared.

Risk: a size that is too large by a digit makes a bracket strong in the computer. The plate in the shop is the smaller
one.

Worked out: by dividing one size by the other as written. The outer side of a foot is that of the bracket's `normal`,
from the stated point of its foot; without one, on the axle, from the centre line of the tube or the centre of the
housing.

Remedy: measure the bracket again, or look at its drawing.
"""

import math
from collections.abc import Iterable
from typing import Any

from buildcheck.api import (
    Area,
    Attachment,
    Bolts,
    CannotTell,
    Dimension,
    Job,
    Missing,
    Point,
    Rule,
    Sample,
    Verdict,
    Words,
    amount_in,
    at_least,
    at_most,
    between,
    common_practice,
    each,
    published,
)

FRAME_BRACKET, BOLTED = "attachments.arm_frame_bracket.both", "attachments.arm_axle_bracket.right"

rule = Rule(
    "bracket-sizes",
    area=Area.RECORDS,
    page=__doc__,
    samples=(
        Sample("a hole a quarter of an inch farther from the edge", {f"{FRAME_BRACKET}.hole_edge": 2}),
        Sample(
            "a bracket whose normal points into the frame",
            {f"{FRAME_BRACKET}.normal": [0, 0, 1]},
            {"joint-outside-foot": Verdict.ERROR},
        ),
        Sample(
            "plate that is said to be as strong as a bolt",
            {f"{FRAME_BRACKET}.bracket_yield_strength": "150 ksi"},
            {"yield-of-bracket": Verdict.ERROR},
        ),
    ),
)

shapes: dict[str, Any] = {
    "change": Words("measure the bracket again, or look at its drawing"),
    "effect": "the bracket is taken to carry what it cannot",
    "compares": True,
}


@rule.check(
    Attachment,
    at_most(warning="75 %", error="100 %"),
    basis=common_practice("the plates of a bracket are widest at their root, and the hole is in their middle"),
    place="hole_edge",
    **shapes,
)
def hole_to_width(job: Job, bracket: Attachment) -> float:
    """Distance from the hole of a joint to the edge of the plate, as a share of the plate's width at its root."""
    return bracket.hole_edge / bracket.root_width


def has_plates(job: Job, bracket: Attachment) -> bool:
    return bracket.has("height") and bracket.has("plates")


@rule.check(
    each(Attachment, where=has_plates),
    between(warning=("1/2 in", "14 in"), error=("3/8 in", "24 in")),
    basis=common_practice("a bolt of 1/2 in needs its head's room below it; brackets above 14 in are towers"),
    place="height",
    **shapes,
)
def joint_height(job: Job, bracket: Attachment) -> float:
    """Stated height of the joint of a bracket above what the bracket is fixed to."""
    return bracket.height


def middle_of_held(job: Job, bracket: Attachment) -> Point:
    """The middle of the ends that a bracket holds."""
    points = [end.point for end in job.held_ends() if any(holder is bracket for holder in job.holders(end))]
    if not points:
        raise Missing(bracket.path_of("holds"))
    return Point(*(sum(each) / len(points) for each in zip(*points, strict=True)))


def foot_is_known(job: Job, bracket: Attachment) -> bool:
    """Whether a bracket states the point of its foot, or is on the tube or the housing of the axle."""
    return bracket.has("point") or (bracket.has("parent") and bracket.parent in ("axle-tube", "centre-section"))


def along(one: Iterable[float], other: Iterable[float]) -> float:
    """Scalar product of two vectors."""
    return sum(a * b for a, b in zip(one, other, strict=True))


def inside_foot(job: Job, bracket: Attachment) -> Point:
    """The point of a bracket's foot, or one inside the member that it is fixed to."""
    if bracket.has("point"):
        return bracket.point
    axle = job.build.axle
    if bracket.parent == "centre-section":
        return axle.centre_section.centre
    left, held = axle.tube.left_end, middle_of_held(job, bracket)
    tube = [b - a for a, b in zip(left, axle.tube.right_end, strict=True)]
    if not any(tube):
        raise CannotTell("both ends of the axle tube are in one place")
    share = along([b - a for a, b in zip(left, held, strict=True)], tube) / along(tube, tube)
    return Point(*(a + share * t for a, t in zip(left, tube, strict=True)))


@rule.check(
    each(Attachment, where=foot_is_known),
    at_least(warning="-1/2 in", error="-1 in"),
    basis=common_practice("a bracket sticks out of what it is fixed to, and its joint is at its outer end"),
    change=Words("turn the sign of the normal, or measure its foot again"),
    place="normal",
    effect="its bolts or welds are computed as pushed on where they are pulled off",
    compares=True,
)
def joint_outside_foot(job: Job, bracket: Attachment) -> float:
    """Distance of the joints of a bracket from its foot, along its normal."""
    foot, held = inside_foot(job, bracket), middle_of_held(job, bracket)
    return along([b - a for a, b in zip(foot, held, strict=True)], bracket.normal) / math.hypot(*bracket.normal)


def height_of_joint(job: Job, bracket: Attachment) -> float:
    """How far the farthest joint of a bracket is above its foot, m: as stated, or from where the two are."""
    return job.plates_of(bracket).farthest_joint()


def has_gussets(job: Job, bracket: Attachment) -> bool:
    """Whether a bracket has gussets, and a joint above its foot that they can be compared with."""
    if not bracket.has("gussets"):
        return False
    known = bracket.has("height") or (bracket.has("point") and any(job.plates_of(bracket).holes()))
    return known and height_of_joint(job, bracket) > 0.0


@rule.check(
    each(Attachment, where=has_gussets),
    at_most(warning="150 %", error="300 %", of=height_of_joint, amounts=Dimension.LENGTH),
    basis=common_practice("gussets end at the joint, or at the edge of the plates an inch or two beyond it"),
    place="gussets.height",
    **shapes,
)
def gussets_to_height(job: Job, bracket: Attachment) -> float:
    """Height of the gussets of a bracket, as a share of the height of its joint above the foot."""
    return bracket.gussets.height


def on_axle_end(job: Job, bracket: Attachment) -> bool:
    return bracket.parent in ("axle-end", "knuckle")


@rule.check(
    each(Attachment, where=on_axle_end),
    at_most(warning="6 in", error="10 in"),
    basis=common_practice("yoke and knuckle are within a few inches of the end of the axle's tube"),
    change=Words("find out what the bracket is fixed to, and write that as its parent"),
    place="parent",
    effect="it is welded or bolted as if to another metal",
    compares=True,
)
def near_axle_end(job: Job, bracket: Attachment) -> float:
    """Distance along the axle of a bracket that is on the axle's end or knuckle from the end of the tube."""
    point = bracket.point if bracket.has("point") else middle_of_held(job, bracket)
    tube = job.build.axle.tube
    return abs(point.y - (tube.right_end if point.y < 0.0 else tube.left_end).y)


def pattern_size(bolts: Bolts) -> float:
    """The largest dimension of a pattern of bolts, centre to centre, m."""
    if bolts.pattern == "circle":
        return bolts.circle_diameter
    rows = 2 if bolts.pattern == "rectangle" else 1
    line = (bolts.count / rows - 1) * bolts.spacing
    return max(line, bolts.row_spacing) if rows == 2 else line


def root_width(job: Job, bracket: Attachment) -> float:
    return bracket.root_width


@rule.check(
    Attachment,
    at_most(warning="150 %", error="220 %", of=root_width, amounts=Dimension.LENGTH),
    basis=common_practice("the foot of a bracket is little larger than the plates that stand on it"),
    place="bolts.pattern",
    **shapes,
)
def pattern_to_width(job: Job, bracket: Attachment) -> float:
    """Size of the pattern of a bracket's bolts as a share of the width of its plates at their root."""
    return pattern_size(bracket.bolts)


def bolt_diameter(job: Job, bolts: Bolts) -> float:
    return job.strengths.diameter(bolts)


def pitch_of(bolts: Bolts) -> float:
    """The least distance of two bolts of a pattern, centre to centre, m."""
    if bolts.pattern == "circle":
        return bolts.circle_diameter * math.sin(math.pi / bolts.count)
    return min(bolts.spacing, bolts.row_spacing) if bolts.pattern == "rectangle" else bolts.spacing


def several(job: Job, bolts: Bolts) -> bool:
    return bolts.count > 1


@rule.check(
    each(Bolts, where=several),
    at_least(warning="267 %", error="200 %", of=bolt_diameter, amounts=Dimension.LENGTH),
    basis=published("AISC 360, section J3.3", "bolts are at least 2 2/3 diameters apart, centre to centre"),
    error_basis=common_practice("closer than two diameters, the heads touch and no socket goes on"),
    place="count",
    **shapes,
)
def bolts_apart(job: Job, bolts: Bolts) -> float:
    """Least distance between the bolts of a bracket as a share of their diameter."""
    return pitch_of(bolts)


@rule.check(
    Bolts,
    at_least(warning="100 %", error="75 %", of=bolt_diameter, amounts=Dimension.LENGTH),
    basis=common_practice("a head is 1 1/2 diameters across its flats, and its washer 2"),
    place="to_upright",
    **shapes,
)
def head_beside_upright(job: Job, bolts: Bolts) -> float:
    """Distance of the bolts of a bracket from its upright as a share of their diameter."""
    return bolts.to_upright


@rule.check(
    Bolts,
    between(warning=("3/16 in", "1 1/4 in"), error=("1/8 in", "2 in")),
    basis=common_practice("feet are of 1/4 to 1 in plate"),
    place="foot_thickness",
    **shapes,
)
def foot_thickness(job: Job, bolts: Bolts) -> float:
    """Stated thickness of the foot under the bolts."""
    return bolts.foot_thickness


# A middling yield strength of plate of each metal, and a middling tensile strength of what threads are cut into, MPa.
MIDDLING_YIELD = {
    "carbon-steel": 300, "alloy-steel": 600, "forged-steel": 500, "cast-steel": 350, "aluminium": 270,
    "gray-iron": 200, "ductile-iron": 350, "malleable-iron": 280, "unknown-casting": 280,
}  # fmt: skip
MIDDLING_TENSILE = {
    "carbon-steel": 450, "alloy-steel": 800, "forged-steel": 700, "cast-steel": 550, "aluminium": 310,
    "gray-iron": 250, "ductile-iron": 450, "malleable-iron": 380, "unknown-casting": 300,
}  # fmt: skip

strengths = {**shapes, "change": Words("look up the strength of this metal again, and its unit")}


@rule.check(
    Attachment,
    between(warning=("45 %", "200 %"), error=("30 %", "300 %")),
    basis=common_practice("plate of carbon steel yields at 200 to 550 MPa, alloy steel at 350 to 1000"),
    place="bracket_yield_strength",
    **strengths,
)
def yield_of_bracket(job: Job, bracket: Attachment) -> float:
    """Stated yield strength of a bracket's plate as a share of a middling one of its metal."""
    middling = amount_in(job.build, f"{MIDDLING_YIELD[bracket.bracket_material]} MPa", Dimension.PRESSURE)
    return bracket.bracket_yield_strength / middling


@rule.check(
    Attachment,
    between(warning=("50 %", "200 %"), error=("35 %", "300 %")),
    basis=common_practice("gray iron breaks at 150 to 350 MPa, ductile iron at 400 to 700, cast steel at 400 to 700"),
    place="parent_tensile_strength",
    **strengths,
)
def tensile_of_parent(job: Job, bracket: Attachment) -> float:
    """Stated tensile strength of what a bracket is screwed to, as a share of a middling one of its metal."""
    middling = amount_in(job.build, f"{MIDDLING_TENSILE[job.parent_material(bracket)]} MPa", Dimension.PRESSURE)
    return bracket.parent_tensile_strength / middling
