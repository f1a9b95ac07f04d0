"""Statements in the spec do not contradict each other.

Checked: that an axle that is not driven has no driveshaft, pinion, final drive, drive torque or drive share; that the
drag link runs as the steering layout says; that a bolted bracket has no weld and a welded one no bolts; that a bracket
and its parent state the same material and thickness of the parent; that bolts with a nut have no tapped hole; that a
damper has no springs; that the height or foot of a bracket on the axle is possible at its place; that this bracket is
at the part of the axle that it names; and that a link has a tube or a section, not both.

Risk: a rule reads one of two statements and never the other. A bracket that calls a ductile-iron housing steel would be
welded as on steel; an axle stated as not driven loses a load case.

Worked out: by comparing the statements. A value stated once is not compared. A crossmember may differ from the
frame in material and thickness. The foot of a bracket is at most its height away from the middle of the parts that it
holds. So a height is wrong where it is less than the distance from that middle to the surface of the axle tube, or of
the sphere of the casting; a stated foot is wrong where it is off that surface. A bracket whose foot is nearer to the
casting than to the bare tube is not on the tube, and the reverse; without a stated foot, the middle of the parts that
it holds counts. A forged link states the tube of equal strength.

Remedy: find out which of the two is true, and leave out the other.
"""

from buildcheck.api import (
    Answer,
    Area,
    Attachment,
    Axle,
    Bolts,
    Choose,
    Coilover,
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
            "the same housing material stated at the bracket and at the axle",
            {"attachments.arm_axle_bracket.right.parent_material": "ductile-iron"},
        ),
        Sample(
            "steel stated for the parent of a bracket on ductile iron, and a driveshaft on an axle that is not driven",
            {"attachments.arm_axle_bracket.right.parent_material": "carbon-steel", "axle.driven": False},
            {"parent-material": Verdict.ERROR, "driven": Verdict.ERROR},
        ),
    ),
)

ONE_IS_WRONG = common_practice("of two statements that differ one is wrong, and other rules may use the wrong one")


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
    basis=ONE_IS_WRONG,
    change=Words("write that the axle is driven, or leave out what drives it"),
    place="driven",
    effect="the load case driving and the driveshaft are not checked",
    compares=True,
)
def driven(job: Job, axle: Axle) -> Answer:
    """An axle that is not driven has no driving parts or torque."""
    there = drives(job, axle)
    return met(axle.driven or not there, "no contradiction", otherwise=f"not driven, but with {', '.join(there)}")


@rule.must(
    Steering,
    wanted="crossover for a drag link that runs across, push-pull for one that runs fore and aft",
    basis=ONE_IS_WRONG,
    change=Words("write the other layout, or measure the drag link again"),
    place="layout",
    effect="its angle to the lateral bar is checked against the wrong limits, or against none",
    compares=True,
)
def steering_layout(job: Job, steering: Steering) -> Answer:
    """A crossover drag link runs across the truck, a push-pull one fore and aft."""
    one, other = steering.drag_link.pitman, steering.drag_link.arm
    across = abs(one.y - other.y) >= abs(one.x - other.x)
    found = f"{steering.layout}, with a drag link that runs more {'across' if across else 'fore and aft'}"
    return met(across == (steering.layout == "crossover"), found, otherwise=found)


OTHER_METHOD = {"bolted": "weld", "u-bolts": "weld", "welded": "bolts"}


def fixed_in_one_way(job: Job, bracket: Attachment) -> bool:
    return bracket.method in OTHER_METHOD


@rule.must(
    each(Attachment, where=fixed_in_one_way),
    wanted="bolted-and-welded for a bracket with bolts and a weld",
    basis=ONE_IS_WRONG,
    change=Words(lambda job, bracket: f"write bolted-and-welded, or leave out its {OTHER_METHOD[bracket.method]}"),
    place="method",
    effect=lambda job, bracket: f"no rule checks its {OTHER_METHOD[bracket.method]}",
    compares=True,
)
def method(job: Job, bracket: Attachment) -> Answer:
    """A bolted bracket has no weld, and a welded one has no bolts."""
    other, found = OTHER_METHOD[bracket.method], f"the {bracket.label} is {bracket.method}"
    return met(not bracket.has(other), found, otherwise=f"{found}, and has its {other} stated")


def not_on_crossmember(job: Job, bracket: Attachment) -> bool:
    """Whether the parent is not a crossmember, which may differ from the frame in material and thickness."""
    return bracket.parent != "crossmember"


def metal_of_parent(job: Job, bracket: Attachment) -> tuple[str]:
    return (job.parent_of(bracket).material,)


@rule.must(
    each(Attachment, where=not_on_crossmember),
    wanted="the material of the frame or the axle part itself",
    basis=ONE_IS_WRONG,
    change=(
        Choose("parent_material", metal_of_parent, says="find out what it is fixed to, and write {value} where it is"),
        Words("find out what the bracket is fixed to, and state it once: leave out parent_material"),
    ),
    place="parent_material",
    effect="it is welded as if to another metal",
    compares=True,
)
def parent_material(job: Job, bracket: Attachment) -> Answer:
    """The bracket states the same parent material as the frame or the axle part itself."""
    stated, itself = (metal.replace("-", " ") for metal in (bracket.parent_material, job.parent_of(bracket).material))
    found = f"the {bracket.label}, on {stated}"
    return met(stated == itself, found, otherwise=f"{found} by its own statement and on {itself} by the part's")


@rule.check(
    each(Attachment, where=not_on_crossmember),
    between(warning=("90 %", "110 %")),
    basis=common_practice(
        "a mill makes a wall to within a tenth; a frame doubled at a bracket should be checked again"
    ),
    change=Words(
        "measure the thickness there again, and leave out parent_thickness where it equals that of the whole part"
    ),
    place="parent_thickness",
    effect="the leg of its weld is checked against the wrong thickness",
    compares=True,
)
def parent_thickness(job: Job, bracket: Attachment) -> float:
    """Parent thickness that the bracket states, as a share of the thickness of the frame or of the axle tube's wall."""
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
    change=Words("measure from the surface that the bracket is fixed to up to the middle of the parts that it holds"),
    place=foot_place,
    effect="its weld or its bolts are computed with too short a lever",
    compares=True,
)
def foot_off_member(job: Job, bracket: Attachment) -> float:
    """Distance from the foot of the bracket, by its stated height or point, to the axle tube or the casting."""
    foot = job.foot_of(bracket)
    assert foot is not None and foot.short is not None  # the check is made only where both are known
    return foot.short


PARTS_OF_AXLE = {"axle-tube": "axle tube", "centre-section": "centre section"}
# How much nearer to the other part a stated foot may be, or without one the parts that the bracket holds, m.
FOOT_NEARER, HELD_NEARER = 0.25 * 0.0254, 0.0254


def beside_both(job: Job, bracket: Attachment) -> bool:
    """Whether the spec says how far the bracket is from the tube and from the centre section."""
    foot = job.foot_of(bracket)
    return foot is not None and set(foot.off) == set(PARTS_OF_AXLE)


@rule.must(
    each(Attachment, where=beside_both),
    wanted="at the part of the axle that it names",
    basis=common_practice(
        "a stated foot is right to a quarter of an inch; without one, a bracket may reach an inch further to its parent"
    ),
    change=Words("find out what the bracket is fixed to and write that as its parent, or state the point of its foot"),
    place="parent",
    effect="it is welded or bolted as if to another metal",
    compares=True,
)
def on_its_parent(job: Job, bracket: Attachment) -> Answer:
    """The bracket is at the part of the axle that it names: the tube or the centre section."""
    foot = job.foot_of(bracket)
    assert foot is not None  # the check is made only where both distances are known
    (other,) = set(foot.off) - {bracket.parent}
    nearer = foot.off[bracket.parent] - foot.off[other]
    found = f"the {bracket.label}, on the {PARTS_OF_AXLE[bracket.parent]}"
    allowed = FOOT_NEARER if foot.stated else HELD_NEARER
    return met(nearer <= allowed, found, otherwise=f"{found}, and nearer to the {PARTS_OF_AXLE[other]}")


@rule.must(
    Link,
    wanted="a tube or a section, of one material",
    basis=ONE_IS_WRONG,
    change=Words("leave out the one that it is not made of"),
    place="section",
    effect="its strength is computed from the tube alone",
    compares=True,
)
def one_section(job: Job, link: Link) -> Answer:
    """A link is made of one tube or of one section, of one material."""
    tube, section = link.tube, link.section
    materials = {part.material for part in (tube, section) if part.has("material")}
    # A forging has no shape to compute with, so it states the tube of equal strength.
    forged = section.has("shape") and section.shape == "forged" and len(materials) < 2
    both = f"the {link.label}, of a tube and of a section"
    return met(forged, f"the {link.label}, of a forging and its tube", otherwise=both)


def has_nut(job: Job, bolts: Bolts) -> bool:
    return bolts.threaded_into == "nut"


@rule.must(
    each(Bolts, where=has_nut),
    wanted="a nut, or a length of thread in a tapped hole",
    basis=ONE_IS_WRONG,
    change=Words("write that the bolts are screwed into the parent, or leave out thread_engaged"),
    place="threaded_into",
    effect="the threads of the tapped hole are not checked",
    compares=True,
)
def nut_or_thread(job: Job, bolts: Bolts) -> Answer:
    """Bolts that have a nut state no thread in a tapped hole."""
    stated = bolts.has("thread_engaged")
    return met(not stated, "a nut", otherwise="a nut, and a thread in a tapped hole")


def is_damper(job: Job, part: Coilover) -> bool:
    return part.has("kind") and part.kind == "damper"


@rule.must(
    each(Coilover, where=is_damper),
    wanted="a coilover, or a damper without springs",
    basis=ONE_IS_WRONG,
    change=Words("write that it is a coilover, or leave out its springs"),
    place="kind",
    effect="its springs carry nothing in any rule",
    compares=True,
)
def damper_or_springs(job: Job, part: Coilover) -> Answer:
    """A damper has no springs."""
    return met(not part.has("springs"), "a damper", otherwise="a damper, with springs stated")
