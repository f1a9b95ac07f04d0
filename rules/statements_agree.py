"""Two statements of one thing agree, and nothing is stated of what is said not to be there."""

from collections.abc import Iterator

from buildcheck.api import (
    Area,
    Attachment,
    Build,
    Dimension,
    Finding,
    Job,
    Limit,
    Missing,
    Requirement,
    Sample,
    Verdict,
    at_most,
    common_practice,
    does_not_apply,
    hold,
    require,
    rule,
    within,
)

BELIEVED = common_practice("of two statements that differ one is wrong, and the other rules believe either of them")

DRIVEN = Requirement("driven", "an axle that is not driven has nothing that drives it", BELIEVED)
LAYOUT = Requirement(
    "steering-layout", "a crossover drag link runs across the truck, a push-pull one fore and aft", BELIEVED
)
METHOD = Requirement("method", "a bracket that is bolted has no weld, and one that is welded has no bolts", BELIEVED)
PARENT_MATERIAL = Requirement(
    "parent-material", "the bracket states the material that the frame or the axle part itself is of", BELIEVED
)
PARENT_THICKNESS = Limit(
    "parent-thickness",
    "parent thickness that the bracket states, as a share of that of the frame or of the wall of the axle tube",
    Dimension.RATIO,
    within(warning=("90 %", "110 %")),
    basis=common_practice(
        "a mill makes a wall to a tenth; a frame that is doubled at a bracket is worth a second look"
    ),
)
FOOT_OFF_MEMBER = Limit(
    "foot-off-member",
    "how far the stated height or point sets the foot of the bracket off the axle tube or the casting",
    Dimension.LENGTH,
    at_most(error="1/4 in"),
    basis=common_practice("a tape reads a height to a quarter of an inch, around a tube and off a casting"),
)
ON_ITS_PARENT = Requirement(
    "on-its-parent",
    "the bracket stands at the part of the axle that it names: the tube or the centre section",
    basis=common_practice(
        "a stated foot is believed to a quarter of an inch; without one a bracket may reach an inch further to the one "
        "than to the other"
    ),
)
PARTS_OF_AXLE = {"axle-tube": "axle tube", "centre-section": "centre section"}
# How much nearer a bracket may be to the other one, m: the foot by its stated point, or else what it holds.
FOOT_NEARER, HELD_NEARER = 0.25 * 0.0254, 0.0254

ONE_SECTION = Requirement("one-section", "a link is made of one tube or of one section, of one material", BELIEVED)


def _driven(build: Build) -> Iterator[Finding]:
    """Whether anything drives an axle that is not driven."""
    if not build.has("axle") or not build.axle.has("driven"):
        return
    axle = build.axle
    drives = ["driveshaft"] if build.has("driveshaft") else []
    drives += [axle.path_of(name) for name in ("pinion", "final_drive_ratio") if axle.has(name)]
    if build.has("vehicle"):
        vehicle = build.vehicle
        named = [name for name in ("drive_torque", "drive_share") if vehicle.has(name)]
        drives += [vehicle.path_of(name) for name in named if getattr(vehicle, name) > 0.0]
    met = axle.driven or not drives
    yield require(
        DRIVEN,
        met=met,
        found="no contradiction" if met else f"not driven, beside {', '.join(drives)}",
        wanted="driven: true, or an axle without these",
        place=axle.path_of("driven"),
        effect="" if met else "the load case driving and the driveshaft are not looked at",
        cure="write that the axle is driven, or leave out what drives it",
    )


def _layout(build: Build) -> Iterator[Finding]:
    """Whether the drag link runs as the layout of the steering says."""
    if not build.has("steering") or not build.steering.has("layout") or not build.steering.has("drag_link"):
        return
    link = build.steering.drag_link
    if not link.has("pitman") or not link.has("arm"):
        return
    across = abs(link.pitman.y - link.arm.y) >= abs(link.pitman.x - link.arm.x)
    yield require(
        LAYOUT,
        met=across == (build.steering.layout == "crossover"),
        found=f"{build.steering.layout}, and a drag link that runs more {'across' if across else 'fore and aft'}",
        wanted="crossover for a drag link that runs across, push-pull for one that runs fore and aft",
        place=build.steering.path_of("layout"),
        effect="its angle to the lateral bar is held to the wrong limits, or to none",
        cure="write the other layout, or measure the drag link again",
    )


def _brackets(job: Job, build: Build) -> Iterator[Finding]:
    """How each bracket is fixed, and to what."""
    for name in sorted(build.attachments if build.has("attachments") else ()):
        for bracket in build.attachments[name]:
            yield from _method(bracket)
            yield from _parent(job, bracket)
            yield from _foot(job, bracket)


def _method(bracket: Attachment) -> Iterator[Finding]:
    other = {"bolted": "weld", "welded": "bolts"}.get(bracket.method if bracket.has("method") else "")
    if other:
        yield require(
            METHOD,
            met=not bracket.has(other),
            found=f"the {bracket.label} is {bracket.method}" + (f", beside its {other}" if bracket.has(other) else ""),
            wanted="bolted-and-welded where it is both",
            place=bracket.path_of("method"),
            effect=f"no rule looks at its {other}" if bracket.has(other) else "",
            cure=f"write bolted-and-welded, or leave out its {other}",
        )


def _parent(job: Job, bracket: Attachment) -> Iterator[Finding]:
    try:
        metals = list(job.parent_materials(bracket).values())
    except Missing:  # what is not stated contradicts nothing
        metals = []
    if len(metals) == 2:
        stated, member = (metal.replace("-", " ") for metal in metals)
        met = stated == member
        yield require(
            PARENT_MATERIAL,
            met=met,
            found=f"the {bracket.label}, on {stated}"
            + ("" if met else f" by its own words and on {member} by the part's"),
            wanted=f"{member}, as the {bracket.parent.replace('-', ' ')} itself",
            place=bracket.path_of("parent_material"),
            effect="" if met else "it is welded as if it were fixed to another metal",
            cure="find out what it is fixed to, and state it once: leave out parent_material",
        )
    try:
        known = job.strengths.thickness_of_parent(bracket)
    except Missing:
        return
    # A crossmember may be of another thickness than the frame, so that its own statement contradicts nothing.
    if bracket.has("parent_thickness") and bracket.parent != "crossmember":
        yield hold(
            PARENT_THICKNESS,
            bracket.parent_thickness / known,
            place=bracket.path_of("parent_thickness"),
            of=bracket.label,
            effect="the leg of its weld is held to another steel than the one on the truck",
            cure="measure the thickness there again, and leave out parent_thickness where it is that of the whole part",
        )


def _foot(job: Job, bracket: Attachment) -> Iterator[Finding]:
    """Whether the foot of a bracket on the axle is at the part that it names."""
    try:
        foot = job.foot_of(bracket)
    except Missing:  # what is not stated contradicts nothing
        return
    if foot is None:
        return
    if foot.short is not None:
        yield hold(
            FOOT_OFF_MEMBER,
            foot.short,
            place=bracket.path_of("point" if foot.stated else "height"),
            of=bracket.label,
            effect="its weld or its bolts are computed with too short a lever",
            cure="measure from the surface that the bracket is fixed to up to the middle of what it holds",
        )
    if bracket.parent not in foot.off or len(foot.off) < len(PARTS_OF_AXLE):
        return
    (other,) = set(foot.off) - {bracket.parent}
    met = foot.off[bracket.parent] <= foot.off[other] + (FOOT_NEARER if foot.stated else HELD_NEARER)
    yield require(
        ON_ITS_PARENT,
        met=met,
        found=f"the {bracket.label}, on the {PARTS_OF_AXLE[bracket.parent]}"
        + ("" if met else f", and nearer to the {PARTS_OF_AXLE[other]}"),
        wanted=f"on the {PARTS_OF_AXLE[bracket.parent if met else other]}, where it is",
        place=bracket.path_of("parent"),
        effect="" if met else "it is welded or bolted as if it were fixed to another metal",
        cure="find out what it is fixed to and write that as its parent, or state the point of its foot",
    )


def _links(build: Build) -> Iterator[Finding]:
    """What each link is made of."""
    for name in sorted(build.links if build.has("links") else ()):
        for link in build.links[name]:
            if not link.has("tube") or not link.has("section"):
                continue
            stated = [each.material for each in (link.tube, link.section) if each.has("material")]
            # A forged link has no shape to compute with, and states the tube that is as strong.
            met = link.section.has("shape") and link.section.shape == "forged" and len(set(stated)) < 2
            yield require(
                ONE_SECTION,
                met=met,
                found=f"the {link.label}, of {'a forging and its tube' if met else 'a tube and of a section'}",
                wanted="a tube or a section, of one material",
                place=link.path_of("section"),
                effect="" if met else "its strength is that of the tube alone",
                cure="leave out the one that it is not made of",
            )


@rule(
    "statements-agree",
    area=Area.RECORDS,
    subject="build",
    limits=(DRIVEN, LAYOUT, METHOD, PARENT_MATERIAL, PARENT_THICKNESS, FOOT_OFF_MEMBER, ON_ITS_PARENT, ONE_SECTION),
    samples=(
        Sample(
            "the housing stated with the bracket as it is with the axle",
            {"attachments.arm_axle_bracket.right.parent_material": "ductile-iron"},
        ),
        Sample(
            "steel stated for a bracket on the ductile housing, and an axle with a driveshaft that is not driven",
            {"attachments.arm_axle_bracket.right.parent_material": "carbon-steel", "axle.driven": False},
            {"parent-material": Verdict.ERROR, "driven": Verdict.ERROR},
        ),
    ),
)
def statements_agree(job: Job, build: Build) -> Iterator[Finding]:
    """Two statements of one thing agree, and nothing is stated of what is said not to be there.

    What it checks: that an axle that is not driven has no driveshaft, pinion, final drive, drive torque or share of the
    drive; that the drag link runs as the layout of the steering says; that a bolted bracket has no weld and a welded
    one no bolts; that a bracket states the material and the thickness of the frame or axle part that it is fixed to as
    that part itself does; that the height or the foot of a bracket on the axle can be so where it is; that such a
    bracket is at the part of the axle that it names; and that a link has a tube or a section.

    Why: a rule asks one of the two statements, and never sees the other. A housing of ductile iron that a bracket calls
    steel would be welded as steel, and an axle that is said not to be driven loses a load case.

    How it is computed: by comparing what is stated. What is stated once contradicts nothing. A crossmember may be of
    another material and another thickness than the frame. The foot of a bracket is at most its height away from the
    middle of what it holds, so that a height that is less than the distance of that from the surface of the axle tube,
    or of the sphere of the casting, is false; so is a point of a foot that is off that surface. A bracket whose foot is
    nearer to the casting than to the bare tube is not on the tube, and the other way round; where no foot is stated the
    middle of what it holds counts. A forged link states the tube that is as strong.

    To put it right: find out which of the two is true, and leave the other out.
    """
    found = [*_driven(build), *_layout(build), *_brackets(job, build), *_links(build)]
    yield from found or [does_not_apply("nothing is stated twice")]
