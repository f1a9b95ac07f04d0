"""Links, bar and steering rods are of a metal that bends before it breaks.

Checked: the metal of every link, of the lateral bar, of the drag link and of the tie rod.

Risk: iron breaks without bending, and the axle or a wheel then goes where it likes. Aluminium has no load below which
it never cracks: a rod of it breaks after years of loads that it carried well.

Worked out: from the spec. Solid aluminium bar is used for links where weight counts; then its strength and its life
have to be worked out by somebody qualified, since the checks of strength here are for steel.

Remedy: make it of steel: drawn tube or bar of carbon or alloy steel.
"""

from buildcheck.api import (
    Answer,
    Area,
    DragLink,
    Job,
    LateralBar,
    Link,
    Part,
    Rule,
    Sample,
    Section,
    TieRod,
    Tube,
    Verdict,
    Words,
    common_practice,
    met,
)

rule = Rule(
    "link-material",
    area=Area.LINKS,
    page=__doc__,
    samples=(
        Sample("arms of alloy steel", {"links.arm.both.tube.material": "alloy-steel"}),
        Sample(
            "arms of aluminium",
            {"links.arm.both.tube.material": "aluminium"},
            {"tough-link": Verdict.WARNING},
        ),
        Sample(
            "a tie rod of aluminium and a lateral bar of iron",
            {"steering.tie_rod.tube.material": "aluminium", "lateral_bar.tube.material": "ductile-iron"},
            {"tough-rod": Verdict.ERROR, "not-of-iron": Verdict.ERROR},
        ),
    ),
)

IRON = ("gray-iron", "ductile-iron", "malleable-iron", "unknown-casting")
of_steel = Words("make it of drawn tube or bar of carbon or alloy steel")


def made_of(part: Part) -> Tube | Section:
    """The tube of a link or rod, or its section of another shape."""
    return part.section if isinstance(part, Link) and part.has("section") and not part.has("tube") else part.tube


def place_of_metal(job: Job, part: Part) -> str:
    return made_of(part).path_of("material")


@rule.must(
    Link | LateralBar,
    wanted="steel or aluminium",
    basis=common_practice("iron breaks without bending first"),
    change=of_steel,
    place=place_of_metal,
    effect="it snaps at the first hard hit",
)
def not_of_iron(job: Job, part: Link | LateralBar) -> Answer:
    """The link is not of iron."""
    metal = made_of(part).material
    return met(metal not in IRON, metal, otherwise=metal)


@rule.must(
    Link | LateralBar,
    wanted="steel",
    otherwise=Verdict.WARNING,
    basis=common_practice("aluminium has no load below which it never cracks, so its life has to be worked out"),
    change=of_steel,
    follows=("not-of-iron",),
    place=place_of_metal,
    effect="it cracks after years, at loads that it carried before",
)
def tough_link(job: Job, part: Link | LateralBar) -> Answer:
    """The link is of steel."""
    metal = made_of(part).material
    return met(metal != "aluminium", metal, otherwise=metal)


def on_steered_axle(job: Job, part: Part) -> str | None:
    return None if job.build.axle.position == "front" else "a rear axle has no steering"


@rule.must(
    DragLink | TieRod,
    wanted="steel",
    basis=common_practice("a rod of the steering bends visibly before it breaks, which iron and aluminium do not"),
    change=of_steel,
    when=on_steered_axle,
    place="tube.material",
    effect="it cracks unseen, and the wheels are no longer steered",
)
def tough_rod(job: Job, rod: DragLink | TieRod) -> Answer:
    """The rod of the steering is of steel."""
    metal = rod.tube.material
    return met("steel" in metal, metal, otherwise=metal)
