"""Two statements of one thing agree, and nothing is stated of what is said not to be there.

Checked: that an axle that is not driven has no driveshaft, pinion, final drive, drive torque or share of the
drive; that the drag link runs as the layout of the steering says; that a bolted bracket has no weld and a welded
one no bolts; that a bracket states the material and the thickness of the frame or axle part that it is fixed to as
that part itself does; that the height or the foot of a bracket on the axle can be so where it is; that such a
bracket is at the part of the axle that it names; and that a link has a tube or a section.

Risk: a rule asks one of the two statements, and never sees the other. A housing of ductile iron that a bracket calls
steel would be welded as steel, and an axle that is said not to be driven loses a load case.

Worked out: by comparing what is stated. What is stated once contradicts nothing. A crossmember may be of
another material and another thickness than the frame. The foot of a bracket is at most its height away from the
middle of what it holds, so that a height that is less than the distance of that from the surface of the axle tube,
or of the sphere of the casting, is false; so is a point of a foot that is off that surface. A bracket whose foot is
nearer to the casting than to the bare tube is not on the tube, and the other way round; where no foot is stated the
middle of what it holds counts. A forged link states the tube that is as strong.

Remedy: find out which of the two is true, and leave the other out.
"""

from buildcheck.api import (
    Answer,
    Area,
    Attachment,
    Axle,
    Job,
    Link,
    Rule,
    Sample,
    Steering,
    Verdict,
    Words,
    at_most,
    between,
    common_practice,
    each,
    met,
)

rule = Rule(
    "statements-agree",
    area=Area.RECORDS,
    page=__doc__,
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

BELIEVED = common_practice("of two statements that differ one is wrong, and the other rules believe either of them")


def drives(job: Job, axle: Axle) -> list[str]:
    """The spec paths of everything that drives the axle."""
    found = [axle.path_of(name) for name in ("pinion", "final_drive_ratio") if axle.has(name)]
    if job.build.has("driveshaft"):
        found.insert(0, "driveshaft")
    vehicle = job.build.vehicle if job.build.has("vehicle") else None
    for name in ("drive_torque", "drive_share"):
        if vehicle and vehicle.has(name) and getattr(vehicle, name) > 0.0:
            found.append(vehicle.path_of(name))
    return found


@rule.must(
    Axle,
    wanted="driven: true, or an axle without these",
    basis=BELIEVED,
    change=Words("write that the axle is driven, or leave out what drives it"),
    place="driven",
    effect="the load case driving and the driveshaft are not looked at",
    compares=True,
)
def driven(job: Job, axle: Axle) -> Answer:
    """An axle that is not driven has nothing that drives it."""
    there = drives(job, axle)
    return met(axle.driven or not there, "no contradiction", otherwise=f"not driven, beside {', '.join(there)}")


@rule.must(
    Steering,
    wanted="crossover for a drag link that runs across, push-pull for one that runs fore and aft",
    basis=BELIEVED,
    change=Words("write the other layout, or measure the drag link again"),
    place="layout",
    effect="its angle to the lateral bar is held to the wrong limits, or to none",
    compares=True,
)
def steering_layout(job: Job, steering: Steering) -> Answer:
    """A crossover drag link runs across the truck, a push-pull one fore and aft."""
    one, other = steering.drag_link.pitman, steering.drag_link.arm
    across = abs(one.y - other.y) >= abs(one.x - other.x)
    found = f"{steering.layout}, and a drag link that runs more {'across' if across else 'fore and aft'}"
    return met(across == (steering.layout == "crossover"), found, otherwise=found)


OTHER_METHOD = {"bolted": "weld", "welded": "bolts"}


def fixed_in_one_way(job: Job, bracket: Attachment) -> bool:
    return bracket.method in OTHER_METHOD


@rule.must(
    each(Attachment, where=fixed_in_one_way),
    wanted="bolted-and-welded where it is both",
    basis=BELIEVED,
    change=Words(lambda job, bracket: f"write bolted-and-welded, or leave out its {OTHER_METHOD[bracket.method]}"),
    place="method",
    effect=lambda job, bracket: f"no rule looks at its {OTHER_METHOD[bracket.method]}",
    compares=True,
)
def method(job: Job, bracket: Attachment) -> Answer:
    """A bracket that is bolted has no weld, and one that is welded has no bolts."""
    other, found = OTHER_METHOD[bracket.method], f"the {bracket.label} is {bracket.method}"
    return met(not bracket.has(other), found, otherwise=f"{found}, beside its {other}")


def not_on_crossmember(job: Job, bracket: Attachment) -> bool:
    """A crossmember may differ from the frame in material and thickness, so that its own statement contradicts
    nothing."""
    return bracket.parent != "crossmember"


@rule.must(
    each(Attachment, where=not_on_crossmember),
    wanted="the material of the frame or the axle part itself",
    basis=BELIEVED,
    change=Words("find out what it is fixed to, and state it once: leave out parent_material"),
    place="parent_material",
    effect="it is welded as if it were fixed to another metal",
    compares=True,
)
def parent_material(job: Job, bracket: Attachment) -> Answer:
    """The bracket states the material that the frame or the axle part itself is of."""
    stated, itself = (metal.replace("-", " ") for metal in (bracket.parent_material, job.parent_of(bracket).material))
    found = f"the {bracket.label}, on {stated}"
    return met(stated == itself, found, otherwise=f"{found} by its own words and on {itself} by the part's")


@rule.check(
    each(Attachment, where=not_on_crossmember),
    between(warning=("90 %", "110 %")),
    basis=common_practice(
        "a mill makes a wall to a tenth; a frame that is doubled at a bracket is worth a second look"
    ),
    change=Words(
        "measure the thickness there again, and leave out parent_thickness where it is that of the whole part"
    ),
    place="parent_thickness",
    effect="the leg of its weld is held to another steel than the one on the truck",
    compares=True,
)
def parent_thickness(job: Job, bracket: Attachment) -> float:
    """Parent thickness that the bracket states, as a share of that of the frame or of the wall of the axle tube."""
    return bracket.parent_thickness / job.strengths.thickness_of_parent(bracket)


def reaches_known(job: Job, bracket: Attachment) -> bool:
    foot = job.foot_of(bracket)
    return foot is not None and foot.short is not None


def foot_place(job: Job, bracket: Attachment) -> str:
    return bracket.path_of("point" if bracket.has("point") else "height")


@rule.check(
    each(Attachment, where=reaches_known),
    at_most(error="1/4 in"),
    basis=common_practice("a tape reads a height to a quarter of an inch, around a tube and off a casting"),
    change=Words("measure from the surface that the bracket is fixed to up to the middle of what it holds"),
    place=foot_place,
    effect="its weld or its bolts are computed with too short a lever",
    compares=True,
)
def foot_off_member(job: Job, bracket: Attachment) -> float:
    """Distance by which the stated height or point sets the foot of the bracket off the axle tube or the casting."""
    foot = job.foot_of(bracket)
    assert foot is not None and foot.short is not None  # it is of a bracket whose reach is known
    return foot.short


PARTS_OF_AXLE = {"axle-tube": "axle tube", "centre-section": "centre section"}
# How much nearer a bracket may be to the other one, m: the foot by its stated point, or else what it holds.
FOOT_NEARER, HELD_NEARER = 0.25 * 0.0254, 0.0254


def beside_both(job: Job, bracket: Attachment) -> bool:
    """Whether the spec says how far the bracket is from the tube and from the centre section."""
    foot = job.foot_of(bracket)
    return foot is not None and set(foot.off) == set(PARTS_OF_AXLE)


@rule.must(
    each(Attachment, where=beside_both),
    wanted="at the part of the axle that it names",
    basis=common_practice(
        "a stated foot is believed to a quarter of an inch; without one a bracket may reach an inch further to the one "
        "than to the other"
    ),
    change=Words("find out what it is fixed to and write that as its parent, or state the point of its foot"),
    place="parent",
    effect="it is welded or bolted as if it were fixed to another metal",
    compares=True,
)
def on_its_parent(job: Job, bracket: Attachment) -> Answer:
    """The bracket stands at the part of the axle that it names: the tube or the centre section."""
    foot = job.foot_of(bracket)
    assert foot is not None  # it is of a bracket of which the distances to both are known
    (other,) = set(foot.off) - {bracket.parent}
    nearer = foot.off[bracket.parent] - foot.off[other]
    found = f"the {bracket.label}, on the {PARTS_OF_AXLE[bracket.parent]}"
    allowed = FOOT_NEARER if foot.stated else HELD_NEARER
    return met(nearer <= allowed, found, otherwise=f"{found}, and nearer to the {PARTS_OF_AXLE[other]}")


@rule.must(
    Link,
    wanted="a tube or a section, of one material",
    basis=BELIEVED,
    change=Words("leave out the one that it is not made of"),
    place="section",
    effect="its strength is that of the tube alone",
    compares=True,
)
def one_section(job: Job, link: Link) -> Answer:
    """A link is made of one tube or of one section, of one material."""
    tube, section = link.tube, link.section
    materials = {part.material for part in (tube, section) if part.has("material")}
    # A forged link has no shape to compute with, and states the tube that is as strong.
    forged = section.has("shape") and section.shape == "forged" and len(materials) < 2
    of_both = f"the {link.label}, of a tube and of a section"
    return met(forged, f"the {link.label}, of a forging and its tube", otherwise=of_both)
