"""Brackets on a cast-iron centre section are bolted, or welded by the whole procedure for iron."""

import math
from collections.abc import Iterator

from buildcheck.api import (
    Area,
    Attachment,
    Cure,
    Dimension,
    Finding,
    Job,
    Limit,
    Requirement,
    Sample,
    Verdict,
    at_most,
    common_practice,
    from_memory,
    hold,
    published,
    require,
    rule,
    within,
)

IRON = {
    "gray-iron": "gray iron",
    "ductile-iron": "ductile iron",
    "malleable-iron": "malleable iron",
    "unknown-casting": "a casting that is not identified",
}
# Filler metals for welding iron: nickel and nickel-iron, by the classification of AWS A5.15.
IRON_FILLERS = ("ENi-", "ERNi-", "ENiFe", "ERNiFe", "ENiCu")

PROCEDURE = published(
    "TWI, How do you weld spheroidal or nodular cast iron, and What are the different types of cast iron",
    "iron cracks beside a weld unless it is heated before, filled with a suitable metal and cooled slowly",
)

IDENTIFIED = Requirement(
    "casting-identified",
    "the kind of casting is known before anything is welded to it",
    basis=published(
        "TWI, How do you weld cast iron",
        "determine its type and composition first, for what is right for one kind cracks another",
    ),
    if_not=Verdict.WARNING,
)
WELDS_AS_STEEL = Requirement(
    "welds-as-steel",
    "the parent welds as steel does",
    basis=published("ASM Handbook, Steel Castings", "cast steel welds as wrought steel of the same composition does"),
)
BOLTS_CARRY = Limit(
    "bolts-carry",
    "load of the bracket as a share of what the bolts carry in shear",
    Dimension.RATIO,
    at_most(warning="50 %", error="67 %"),
    basis=from_memory(
        "Shigley's Mechanical Engineering Design, design factors after Vidosic",
        "a factor of 2 to 2.5 for loads that are known only on the average",
    ),
    error_basis=published(
        "Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., example 8-6",
        "a design factor of 1.5 on 0.577 of the proof strength",
    ),
)
PREHEAT_STATED = Requirement("preheat", "a preheat is part of the procedure", basis=PROCEDURE)
PREHEAT = Limit(
    "preheat-temperature",
    "temperature of the casting before the first bead",
    Dimension.TEMPERATURE,
    within(warning=("250 degC", "650 degC"), error=("100 degC", "750 degC")),
    basis=published(
        "TWI, How do you weld spheroidal or nodular cast iron",
        "pearlitic grades take 250 degC and more; the upper bound is common practice, no source",
    ),
    error_basis=published(
        "TWI, How do you weld spheroidal or nodular cast iron",
        "ferritic grades take 100 to 200 degC when thick or complex; the upper bound is common practice, no source",
    ),
)
FILLER = Requirement(
    "filler",
    "the filler metal suits iron",
    basis=from_memory("AWS A5.15, scope", "nickel and nickel-iron rods and electrodes are classified for welding iron"),
)
POST_HEAT = Limit(
    "post-heat-temperature",
    "temperature at which the weld is held before it cools",
    Dimension.TEMPERATURE,
    within(warning=("590 degC", "650 degC"), error=("500 degC", "700 degC")),
    basis=published(
        "TWI, How do you weld spheroidal or nodular cast iron",
        "stress relief at 600 to 620 degC, then slow cooling; how far off it may be is common practice, no source",
    ),
)
COOLING = Requirement("cooling", "the weld is post-heated or cools slowly", basis=PROCEDURE)
PEENING = Requirement(
    "peening",
    "each short bead is peened while it is hot",
    basis=from_memory("AWS D11.2", "peening stretches the bead and takes the shrinkage stress out of it"),
)
GRAY = Requirement(
    "not-gray-iron",
    "no suspension bracket hangs on a weld to gray iron",
    basis=common_practice("gray iron has no ductility, and no source supports a weld that lives depend on"),
    if_not=Verdict.WARNING,
)

HOW_TO_FIND_OUT = (
    "look for the casting mark; drill a small hole (iron gives crumbs and dust, steel gives curls); strike it (gray "
    "iron sounds dull); grind it (iron throws short red sparks, steel long bright ones); or have a sample analysed"
)


@rule(
    "cast-iron-attachment",
    area=Area.WELDS,
    subject="attachment",
    limits=(
        IDENTIFIED,
        WELDS_AS_STEEL,
        BOLTS_CARRY,
        PREHEAT_STATED,
        PREHEAT,
        FILLER,
        POST_HEAT,
        COOLING,
        PEENING,
        GRAY,
    ),
    samples=(
        Sample(
            "the bracket welded to ductile iron by the whole procedure",
            {
                "attachments.arm_axle_bracket.right.method": "welded",
                "attachments.arm_axle_bracket.right.weld": {
                    "filler": "ENiFe-CI",
                    "preheat": "550 degF",
                    "cooling": "slow",
                    "peened": True,
                },
            },
        ),
        Sample(
            "the bracket welded to ductile iron as if it were steel",
            {
                "attachments.arm_axle_bracket.right.method": "welded",
                "attachments.arm_axle_bracket.right.weld": {"filler": "ER70S-6"},
            },
            {
                "preheat": Verdict.ERROR,
                "filler": Verdict.ERROR,
                "cooling": Verdict.ERROR,
                "peening": Verdict.ERROR,
            },
        ),
        Sample(
            "bolts of a lower grade under a greater load",
            {
                "attachments.arm_axle_bracket.right.design_load": "40000 lbf",
                "attachments.arm_axle_bracket.right.bolts.grade": "sae-5",
            },
            {"bolts-carry": Verdict.ERROR},
        ),
    ),
)
def cast_iron_attachment(job: Job, bracket: Attachment) -> Iterator[Finding]:
    """Brackets on cast iron are bolted, or welded by the whole procedure for iron.

    What it checks: the material of every bracket and of what it is fixed to. On gray, ductile or malleable iron, and on
    a casting that is not identified, bolts are sufficient where they carry the design load; a weld needs the whole
    procedure: preheat, a filler metal for iron, post-heat or slow cooling, and peening. Each missing piece is named.
    Steel tube, cast steel and forged ends weld as steel.

    Why: iron holds ten times the carbon of steel. Beside an ordinary weld it turns hard and cracks, often days later,
    and the bracket tears off with the piece of housing that it was welded to.

    How it is computed: the shear load that the bolts carry is 0.577 of their proof strength, times the area of shank
    or thread in each shear plane. The load is the larger of the design load that the spec states and what the load
    cases bring on the part that the bracket holds: braking, bends, driving, the bump stops and a rock, by equilibrium
    of the axle.

    To put it right: bolt the bracket to the drilled and tapped bosses; or write the whole procedure into the spec and
    have it done by someone who welds iron. To find out what a casting is: look for its casting mark; drill it (iron
    gives crumbs, steel curls); grind it (iron throws short red sparks, steel long bright ones); or have it analysed.
    """
    iron = list(_iron_parts(job, bracket))
    if not iron:
        parent = job.parent_material(bracket)
        yield require(
            WELDS_AS_STEEL,
            met=parent != "aluminium" or bracket.method == "bolted",
            found=parent.replace("-", " "),
            wanted="steel, or the whole procedure for iron",
            place=_place_of_parent(bracket),
            effect="" if parent != "aluminium" else "aluminium and steel do not fuse",
            cure="bolt the bracket",
        )
        return
    for material, place in iron:
        yield require(
            IDENTIFIED,
            met=material != "unknown-casting",
            found=IRON[material],
            wanted="gray, ductile or malleable iron, or cast steel",
            place=place,
            effect="it is treated as iron until it is known",
            cure=HOW_TO_FIND_OUT,
        )
    if bracket.method != "bolted":
        for material, place in iron:
            yield _not_gray(material, place)
        yield from _welded(bracket)
    if bracket.method != "welded":
        load, carried = job.bracket_load(bracket), job.bolts_carry(bracket)
        yield hold(
            BOLTS_CARRY,
            load / carried,
            place=bracket.path_of("bolts"),
            effect="the bolts yield in shear and work loose",
            cure=lambda share: _more_bolts(bracket, load / carried / share),
        )


def _iron_parts(job: Job, bracket: Attachment) -> Iterator[tuple[str, str]]:
    """Which of the two that are joined is iron, or may be, and where the spec says so."""
    parent = job.parent_material(bracket)
    if parent in IRON:
        yield parent, _place_of_parent(bracket)
    if bracket.has("bracket_material") and bracket.bracket_material in IRON:
        yield bracket.bracket_material, bracket.path_of("bracket_material")


def _place_of_parent(bracket: Attachment) -> str:
    return bracket.path_of("parent_material" if bracket.has("parent_material") else "parent")


def _more_bolts(bracket: Attachment, times: float) -> Cure:
    bolts = bracket.bolts
    count = math.ceil(bolts.count * times)
    planes = "; or put them in double shear" if bolts.shear_planes == 1 else ""
    threads = "; or keep the threads out of the shear plane" if bolts.threads_in_shear_plane else ""
    return Cure(f"use {count} such bolts in place of {bolts.count}, or ones of a larger size or grade{planes}{threads}")


CRACKS = "the casting cracks beside the weld, often days later"


def _not_gray(material: str, place: str) -> Finding:
    return require(
        GRAY,
        met=material not in ("gray-iron", "unknown-casting"),
        found=IRON[material],
        wanted="ductile or malleable iron, cast steel, or bolts",
        place=place,
        effect=CRACKS,
        cure="bolt the bracket",
    )


def _welded(bracket: Attachment) -> Iterator[Finding]:
    weld = bracket.weld
    preheat = weld.path_of("preheat")
    yield require(
        PREHEAT_STATED,
        met=weld.has("preheat"),
        found="stated" if weld.has("preheat") else "not stated",
        wanted="a preheat temperature",
        place=preheat,
        effect=CRACKS,
        cure="state the preheat, 500 degF (260 degC) or more for a pearlitic grade, with its unit",
    )
    if weld.has("preheat"):
        yield hold(
            PREHEAT,
            weld.preheat,
            place=preheat,
            effect=CRACKS,
            cure=lambda wanted: Cure("preheat to {amount}", wanted, Dimension.TEMPERATURE, preheat),
        )
    filler = weld.filler if weld.has("filler") else "not stated"
    yield require(
        FILLER,
        met=filler.startswith(IRON_FILLERS),
        found=filler,
        wanted="a nickel or nickel-iron filler (ENi-CI, ENiFe-CI, ENiFeMn-CI), by its AWS class",
        place=weld.path_of("filler"),
        effect="a steel filler takes up carbon from the iron and turns hard",
        cure="use ENiFe-CI for ductile iron and for joints of iron to steel",
    )
    cooling = weld.cooling if weld.has("cooling") else "not stated"
    if weld.has("post_heat"):
        yield hold(
            POST_HEAT,
            weld.post_heat,
            place=weld.path_of("post_heat"),
            effect=CRACKS,
            cure=lambda wanted: Cure("hold it at {amount}", wanted, Dimension.TEMPERATURE, weld.path_of("post_heat")),
        )
    slow = cooling in ("slow", "furnace") or (weld.has("post_heat") and cooling == "not stated")
    yield require(
        COOLING,
        met=slow,
        found="post-heat" if slow and cooling == "not stated" else cooling.replace("-", " "),
        wanted="post-heat, or slow cooling under a blanket or in a furnace",
        place=weld.path_of("cooling"),
        effect=CRACKS,
        cure="wrap the casting and let it cool over hours, or hold it at the post-heat first",
    )
    peened = weld.has("peened") and weld.peened
    yield require(
        PEENING,
        met=peened,
        found="peened" if peened else "not stated" if not weld.has("peened") else "not peened",
        wanted="each short bead peened while hot",
        place=weld.path_of("peened"),
        effect="the shrinking bead pulls the casting apart",
        cure="weld short beads, and peen each while it is hot",
    )
