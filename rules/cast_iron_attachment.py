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

from collections.abc import Iterator
from typing import NamedTuple

from buildcheck.api import (
    Answer,
    Area,
    Attachment,
    Job,
    Rule,
    Sample,
    Set,
    Side,
    Verdict,
    Weld,
    Words,
    between,
    common_practice,
    each,
    from_memory,
    made,
    met,
    published,
)

rule = Rule(
    "cast-iron-attachment",
    area=Area.WELDS,
    page=__doc__,
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
CRACKS = "the casting cracks beside the weld, often days later"


class IronPart(NamedTuple):
    """The bracket, or what it is fixed to, where that is iron or may be; `field` is the key that says so."""

    bracket: Attachment
    field: str
    metal: str

    @property
    def path(self) -> str:
        return self.bracket.path_of(self.field)

    @property
    def label(self) -> str:
        return self.bracket.label

    @property
    def side(self) -> Side:
        return self.bracket.side


def made_of(bracket: Attachment) -> str:
    """What the bracket is of; empty where the spec does not say."""
    return str(bracket.bracket_material) if bracket.has("bracket_material") else ""


def iron_parts(job: Job, bracket: Attachment) -> Iterator[IronPart]:
    for field, metal in job.parent_materials(bracket).items():
        if metal in IRON:
            yield IronPart(bracket, field, metal)
    if made_of(bracket) in IRON:
        yield IronPart(bracket, "bracket_material", made_of(bracket))


def welded_iron_parts(job: Job, bracket: Attachment) -> Iterator[IronPart]:
    # Aluminium stated beside the iron of the housing does not hide the iron.
    joins = made_of(bracket) != "aluminium" and set(job.parent_materials(bracket).values()) != {"aluminium"}
    if bracket.method != "bolted" and joins:
        yield from iron_parts(job, bracket)


@rule.must(
    made("part of iron", iron_parts, of=Attachment),
    name="casting-identified",
    wanted="gray, ductile or malleable iron, or cast steel",
    otherwise=Verdict.WARNING,
    basis=published(
        "TWI, How do you weld cast iron",
        "determine its type and composition first, for what is right for one kind cracks another",
    ),
    change=Words(
        "look for the casting mark; drill a small hole (iron gives crumbs and dust, steel gives curls); strike it "
        "(gray iron sounds dull); grind it (iron throws short red sparks, steel long bright ones); or have a sample "
        "analysed"
    ),
    effect="it is treated as iron until it is known",
)
def casting_identified(job: Job, part: IronPart) -> Answer:
    """The kind of casting is known before anything is welded to it."""
    return met(part.metal != "unknown-casting", IRON[part.metal], otherwise=IRON[part.metal])


@rule.must(
    made("part of iron", welded_iron_parts, of=Attachment),
    name="not-gray-iron",
    wanted="ductile or malleable iron, cast steel, or bolts",
    basis=common_practice("gray iron has no ductility, and no source supports a weld that lives depend on"),
    change=Words("bolt the bracket"),
    effect=CRACKS,
)
def not_gray_iron(job: Job, part: IronPart) -> Answer:
    """No suspension bracket hangs on a weld to gray iron."""
    gray = part.metal in ("gray-iron", "unknown-casting")
    return met(not gray, IRON[part.metal], otherwise=IRON[part.metal])


def place_of_odd_metal(job: Job, bracket: Attachment) -> str:
    if made_of(bracket) == "aluminium":
        return bracket.path_of("bracket_material")
    return bracket.path_of("parent_material" if bracket.has("parent_material") else "parent")


@rule.must(
    Attachment,
    wanted="both of aluminium, or both of steel or iron",
    basis=from_memory(
        "AWS Welding Handbook, welding of dissimilar metals",
        "aluminium and iron form a brittle layer where they melt together, so that no arc joins the one to steel or to "
        "cast iron",
    ),
    when=lambda job, bracket: "it is bolted" if bracket.method == "bolted" else None,
    change=Words("bolt the bracket, or make it of what its parent is of"),
    place=place_of_odd_metal,
    effect="the bead cracks along the joint, at once or at the first load",
)
def can_be_welded(job: Job, bracket: Attachment) -> Answer:
    """Bracket and parent can be welded to each other."""
    metals = (str(bracket.bracket_material), str(job.parent_material(bracket)))
    found = f"a bracket of {metals[0].replace('-', ' ')} on {metals[1].replace('-', ' ')}"
    return met(metals.count("aluminium") != 1, found, otherwise=found)


def is_welded_iron(job: Job, bracket: Attachment) -> bool:
    """Whether a weld joins iron to something that it can be welded to; it then needs the whole procedure."""
    if bracket.method == "bolted" or "aluminium" in (job.parent_material(bracket), made_of(bracket)):
        return False
    return any(iron_parts(job, bracket))


def weld_on_iron(job: Job, bracket: Attachment) -> Weld:
    """The weld of a bracket that joins iron. Missing where the metals are not known, so that nobody asks for a preheat
    on steel."""
    is_welded_iron(job, bracket)
    return bracket.weld


welded_iron = each(Attachment, where=is_welded_iron)


@rule.must(
    welded_iron,
    wanted="a preheat temperature",
    basis=PROCEDURE,
    change=Words("state the preheat, 500 degF (260 degC) or more for a pearlitic grade, with its unit"),
    place="weld.preheat",
    effect=CRACKS,
)
def preheat(job: Job, bracket: Attachment) -> Answer:
    """A preheat is part of the procedure."""
    return met(weld_on_iron(job, bracket).has("preheat"), "stated", otherwise="not stated")


@rule.check(
    welded_iron,
    between(warning=("250 degC", "650 degC"), error=("100 degC", "750 degC")),
    basis=published(
        "TWI, How do you weld spheroidal or nodular cast iron",
        "pearlitic grades take 250 degC and more; the upper bound is common practice, no source",
    ),
    error_basis=published(
        "TWI, How do you weld spheroidal or nodular cast iron",
        "ferritic grades take 100 to 200 degC when thick or complex; the upper bound is common practice, no source",
    ),
    change=(
        Set("preheat", says="preheat to {amount}").of(lambda job, bracket: bracket.weld),
        Words("preheat to 500 degF (260 degC) or more for a pearlitic grade"),
    ),
    follows=("preheat",),
    place="weld.preheat",
    effect=CRACKS,
)
def preheat_temperature(job: Job, bracket: Attachment) -> float:
    """Temperature of the casting before the first bead."""
    return float(weld_on_iron(job, bracket).preheat)


@rule.must(
    welded_iron,
    wanted="a nickel or nickel-iron filler (ENi-CI, ENiFe-CI, ENiFeMn-CI), by its AWS class",
    basis=from_memory("AWS A5.15, scope", "nickel and nickel-iron rods and electrodes are classified for welding iron"),
    change=Words("use ENiFe-CI for ductile iron and for joints of iron to steel"),
    place="weld.filler",
    effect="a steel filler takes up carbon from the iron and turns hard",
)
def filler(job: Job, bracket: Attachment) -> Answer:
    """The filler metal suits iron."""
    weld = weld_on_iron(job, bracket)
    stated = str(weld.filler) if weld.has("filler") else "not stated"
    return met(stated.startswith(IRON_FILLERS), stated, otherwise=stated)


def has_post_heat(job: Job, bracket: Attachment) -> bool:
    return is_welded_iron(job, bracket) and bracket.weld.has("post_heat")


@rule.check(
    each(Attachment, where=has_post_heat),
    between(warning=("590 degC", "650 degC"), error=("500 degC", "700 degC")),
    basis=published(
        "TWI, How do you weld spheroidal or nodular cast iron",
        "stress relief at 600 to 620 degC, then slow cooling; how far off it may be is common practice, no source",
    ),
    change=(
        Set("post_heat", says="hold it at {amount}").of(lambda job, bracket: bracket.weld),
        Words("hold it at 600 to 620 degC"),
    ),
    place="weld.post_heat",
    effect=CRACKS,
)
def post_heat_temperature(job: Job, bracket: Attachment) -> float:
    """Temperature at which the weld is held before it cools."""
    return float(weld_on_iron(job, bracket).post_heat)


@rule.must(
    welded_iron,
    wanted="post-heat, or slow cooling under a blanket or in a furnace",
    basis=PROCEDURE,
    change=Words("wrap the casting and let it cool over hours, or hold it at the post-heat first"),
    place="weld.cooling",
    effect=CRACKS,
)
def cooling(job: Job, bracket: Attachment) -> Answer:
    """The weld is post-heated or cools slowly."""
    weld = weld_on_iron(job, bracket)
    if not weld.has("cooling"):
        return met(weld.has("post_heat"), "post-heat", otherwise="not stated")
    stated = str(weld.cooling).replace("-", " ")
    return met(weld.cooling in ("slow", "furnace"), stated, otherwise=stated)


@rule.must(
    welded_iron,
    wanted="each short bead peened while hot",
    basis=from_memory("AWS D11.2", "peening stretches the bead and takes the shrinkage stress out of it"),
    change=Words("weld short beads, and peen each while it is hot"),
    place="weld.peened",
    effect="the shrinking bead pulls the casting apart",
)
def peening(job: Job, bracket: Attachment) -> Answer:
    """Each short bead is peened while it is hot."""
    weld = weld_on_iron(job, bracket)
    if not weld.has("peened"):
        return met(False, "", otherwise="not stated")
    return met(weld.peened, "peened", otherwise="not peened")
