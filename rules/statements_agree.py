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
    common_practice,
    does_not_apply,
    hold,
    require,
    rule,
    within,
)

BELIEVED = common_practice("of two statements that differ one is wrong, and the other rules believe either of them")

DRIVEN = Requirement("driven", "an axle that is not driven has nothing that drives it", BELIEVED)
POSITION = Requirement("position", "a front axle is near the origin, a rear axle a wheelbase behind it", BELIEVED)
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


def _position(build: Build) -> Iterator[Finding]:
    """Whether the axle is where a front or a rear one is."""
    if not build.has("axle") or not build.has("vehicle"):
        return
    axle = build.axle
    if not axle.has("position") or not build.vehicle.has("wheelbase"):
        return
    for holder, name in ((axle, "centre"), (axle.tube if axle.has("tube") else axle, "left_end")):
        if name in holder.given():
            x = getattr(holder, name).x
            at_front = x > -build.vehicle.wheelbase / 2
            yield require(
                POSITION,
                met=at_front == (axle.position == "front"),
                found=f"a {axle.position} axle nearer to where the {'front' if at_front else 'rear'} one is",
                wanted="x near 0 for a front axle, near minus the wheelbase for a rear one",
                place=holder.path_of(name),
                effect="braking moves weight the other way in every load",
                cure="correct the position of the axle, or measure x from the front axle",
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
    if bracket.has("parent_thickness"):
        yield hold(
            PARENT_THICKNESS,
            bracket.parent_thickness / known,
            place=bracket.path_of("parent_thickness"),
            of=bracket.label,
            effect="the leg of its weld is held to another steel than the one on the truck",
            cure="measure the thickness there again, and leave out parent_thickness where it is that of the whole part",
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
    limits=(DRIVEN, POSITION, LAYOUT, METHOD, PARENT_MATERIAL, PARENT_THICKNESS, ONE_SECTION),
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
    drive; that a front axle is near the origin and a rear one a wheelbase behind it; that the drag link runs as the
    layout of the steering says; that a bolted bracket has no weld and a welded one no bolts; that a bracket states the
    material and the thickness of the frame or axle part that it is fixed to as that part itself does; and that a link
    has a tube or a section.

    Why: a rule asks one of the two statements, and never sees the other. A housing of ductile iron that a bracket calls
    steel would be welded as steel, and an axle that is said not to be driven loses a load case.

    How it is computed: by comparing what is stated. What is stated once contradicts nothing. A crossmember may be of
    another material than the frame. A forged link states the tube that is as strong.

    To put it right: find out which of the two is true, and leave the other out.
    """
    found = [*_driven(build), *_position(build), *_layout(build), *_brackets(job, build), *_links(build)]
    yield from found or [does_not_apply("nothing is stated twice")]
