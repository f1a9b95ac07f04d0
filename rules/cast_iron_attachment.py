"""What is welded can be welded to each other; on cast iron brackets are bolted, or welded by the whole procedure."""

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
    common_practice,
    does_not_apply,
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
CAN_BE_WELDED = Requirement(
    "can-be-welded",
    "bracket and parent can be welded to each other",
    basis=from_memory(
        "AWS Welding Handbook, welding of dissimilar metals",
        "aluminium and iron form a brittle layer where they melt together, so that no arc joins the one to steel or to "
        "cast iron",
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
)

HOW_TO_FIND_OUT = (
    "look for the casting mark; drill a small hole (iron gives crumbs and dust, steel gives curls); strike it (gray "
    "iron sounds dull); grind it (iron throws short red sparks, steel long bright ones); or have a sample analysed"
)


def can_be_welded(job: Job, bracket: Attachment) -> Iterator[Finding]:
    """Whether an arc joins the two metals at all."""
    if bracket.method == "bolted":
        return
    metals = {"bracket": str(bracket.bracket_material), "parent": str(job.parent_material(bracket))}
    light = [name for name, metal in metals.items() if metal == "aluminium"]
    yield require(
        CAN_BE_WELDED,
        met=len(light) != 1,
        found=f"a bracket of {metals['bracket'].replace('-', ' ')} on {metals['parent'].replace('-', ' ')}",
        wanted="both of aluminium, or both of steel or iron",
        place=_place_of_parent(bracket) if light == ["parent"] else bracket.path_of("bracket_material"),
        effect="" if len(light) != 1 else "the bead cracks along the joint, at once or at the first load",
        cure="bolt the bracket, or make it of what its parent is of",
    )


@rule(
    "cast-iron-attachment",
    area=Area.WELDS,
    subject="attachment",
    also=(("attachment", can_be_welded),),
    limits=(
        IDENTIFIED,
        CAN_BE_WELDED,
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
            "a bracket of aluminium welded to the steel of the axle tube",
            {"attachments.arm_axle_bracket.left.bracket_material": "aluminium"},
            {"can-be-welded": Verdict.ERROR},
        ),
    ),
)
def cast_iron_attachment(job: Job, bracket: Attachment) -> Iterator[Finding]:
    """Brackets on cast iron are bolted, or welded by the whole procedure for iron.

    What it checks: the material of every bracket and of what it is fixed to. What is welded must be of metals that an
    arc joins: aluminium to aluminium, or steel and iron among themselves. On gray, ductile or malleable iron, and on a
    casting that is not identified, bolts need no procedure of their own, and bolted-bracket checks what they carry; a
    weld on gray iron, or on a casting that may be gray iron, is an error, and one on the other kinds needs the whole
    procedure: preheat, a filler metal for iron, post-heat or slow cooling, and peening. Each missing piece is named.
    Steel tube, cast steel and forged ends weld as steel (ASM Handbook, Steel Castings).

    Why: iron holds ten times the carbon of steel. Beside an ordinary weld it turns hard and cracks, often days later,
    and the bracket tears off with the piece of housing that it was welded to.

    How it is computed: as the spec states. A casting that is not identified is treated as iron.

    To put it right: bolt the bracket to the drilled and tapped bosses; or write the whole procedure into the spec and
    have it done by someone who welds iron. To find out what a casting is: look for its casting mark; drill it (iron
    gives crumbs, steel curls); grind it (iron throws short red sparks, steel long bright ones); or have it analysed.
    """
    iron = list(_iron_parts(job, bracket))
    if not iron:
        if bracket.method == "bolted":
            yield does_not_apply("it is bolted, and not to iron")
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
    if bracket.method != "bolted" and "aluminium" not in (job.parent_material(bracket), _made_of(bracket)):
        for material, place in iron:
            yield _not_gray(material, place)
        yield from _welded(bracket)


def _iron_parts(job: Job, bracket: Attachment) -> Iterator[tuple[str, str]]:
    """Which of the two that are joined is iron, or may be, and where the spec says so."""
    for field, parent in job.parent_materials(bracket).items():
        if parent in IRON:
            yield parent, bracket.path_of(field)
    if _made_of(bracket) in IRON:
        yield bracket.bracket_material, bracket.path_of("bracket_material")


def _made_of(bracket: Attachment) -> str:
    """What the bracket is of; empty where the spec does not say."""
    return bracket.bracket_material if bracket.has("bracket_material") else ""


def _place_of_parent(bracket: Attachment) -> str:
    return bracket.path_of("parent_material" if bracket.has("parent_material") else "parent")


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
