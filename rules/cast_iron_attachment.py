"""Brackets on cast iron are bolted, or welded by the whole procedure for iron.

Checked: the material of every bracket and of what it is fixed to. What is welded must be of metals that an
arc joins: aluminium to aluminium, or steel and iron among themselves. On gray, ductile or malleable iron, and on a
casting that is not identified, bolts need no procedure of their own, and bolted-bracket checks what they carry; a
weld on gray iron, or on a casting that may be gray iron, is an error, and one on the other kinds needs the whole
procedure: preheat, a filler metal for iron, post-heat or slow cooling, and peening. Each missing piece is named;
none is asked for on gray iron, since no procedure makes that weld good.
Steel tube, cast steel and forged ends weld as steel (ASM Handbook, Steel Castings).

Risk: iron holds ten times the carbon of steel. Beside an ordinary weld it turns hard and cracks, often days later,
and the bracket tears off with the piece of housing that it was welded to.

Worked out: as the spec states. A casting that is not identified is treated as iron.

Remedy: bolt the bracket to the drilled and tapped bosses; or write the whole procedure into the spec and
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
            "the bracket welded to gray iron as if it were steel",
            {
                "axle.centre_section.material": "gray-iron",
                "attachments.arm_axle_bracket.right.method": "welded",
                "attachments.arm_axle_bracket.right.weld": {"filler": "ER70S-6"},
            },
            {"not-gray-iron": Verdict.ERROR},
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

# What is no good to weld by any procedure, or may be.
NEVER_WELDED = ("gray-iron", "unknown-casting")


class Casting(NamedTuple):
    """One part that is of iron, or may be: a bracket, or what it is fixed to. `field` of the bracket says which."""

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


def castings(job: Job, bracket: Attachment) -> Iterator[Casting]:
    """What is of iron, or may be: the parent by each field that states its metal, and then the bracket itself."""
    for field, metal in job.parent_materials(bracket).items():
        if metal in IRON:
            yield Casting(bracket, field, metal)
    if bracket.bracket_material in IRON:
        yield Casting(bracket, "bracket_material", bracket.bracket_material)


def own_metals(bracket: Attachment) -> set[str]:
    """The metal of the bracket itself; empty where the spec does not state it."""
    return {bracket.bracket_material} if bracket.has("bracket_material") else set()


class IronWelded(NamedTuple):
    """What is of iron, or may be, on either side of one weld. `path` and `label` are those of the bracket's weld, or of
    the metal that decides whether it may be welded at all."""

    bracket: Attachment
    castings: tuple[Casting, ...]
    path: str
    label: str

    @property
    def side(self) -> Side:
        return self.bracket.side

    @property
    def weld(self) -> Weld:
        return self.bracket.weld

    @property
    def worst(self) -> Casting:
        """The first casting that is gray iron, or may be; otherwise the first."""
        return next((each for each in self.castings if each.metal in NEVER_WELDED), self.castings[0])

    def path_of(self, *names: str) -> str:
        return self.bracket.path_of("weld", *names)


def welded_iron(job: Job, bracket: Attachment) -> Iterator[IronWelded]:
    """The castings that are welded. No arc joins iron to aluminium, so that there the kind of iron does not matter."""
    parent = set(job.parent_materials(bracket).values())
    found = () if {"aluminium"} in (parent, own_metals(bracket)) else tuple(castings(job, bracket))
    if found and bracket.method != "bolted":
        iron = IronWelded(bracket, found, "", bracket.label)
        yield iron._replace(path=iron.worst.path)


def welds_on_iron(job: Job, bracket: Attachment) -> Iterator[IronWelded]:
    """The weld of a bracket that is of iron or fixed to iron, for which the whole procedure is needed."""
    if "aluminium" not in {*job.parent_materials(bracket).values(), *own_metals(bracket)}:
        for iron in welded_iron(job, bracket):
            yield iron._replace(path=iron.path_of(), label=f"{iron.label} weld")


def post_heated_welds(job: Job, bracket: Attachment) -> Iterator[IronWelded]:
    return (iron for iron in welds_on_iron(job, bracket) if bracket.has("weld") and bracket.weld.has("post_heat"))


def weld_of(job: Job, iron: IronWelded) -> Weld:
    return iron.weld


weld_on_iron = made("weld on iron", welds_on_iron, of=Attachment)
post_heated_weld = made("weld on iron", post_heated_welds, of=Attachment)


@rule.must(
    made("casting", castings, of=Attachment),
    wanted="gray, ductile or malleable iron, or cast steel",
    basis=published(
        "TWI, How do you weld cast iron",
        "determine its type and composition first, for what is right for one kind cracks another",
    ),
    otherwise=Verdict.WARNING,
    change=Words(
        "look for the casting mark; drill a small hole (iron gives crumbs and dust, steel gives curls); strike it "
        "(gray iron sounds dull); grind it (iron throws short red sparks, steel long bright ones); or have a sample "
        "analysed"
    ),
    effect="it is treated as iron until it is known",
)
def casting_identified(job: Job, casting: Casting) -> Answer:
    """The kind of casting is known."""
    metal = IRON[casting.metal]
    return met(casting.metal != "unknown-casting", metal, otherwise=metal)


def welded(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where the bracket is welded."""
    return "it is bolted" if bracket.method == "bolted" else None


def metals_welded(job: Job, bracket: Attachment) -> tuple[str, str]:
    """What a bracket is of, and what it is welded to."""
    _ = bracket.method  # read so that a bracket which does not state it is not checked: it may be bolted
    return bracket.bracket_material, job.parent_material(bracket)


def odd_metal(job: Job, bracket: Attachment) -> str:
    """The place of the metal that does not go with the other: of the parent's where that alone is aluminium."""
    own, parent = metals_welded(job, bracket)
    if parent != "aluminium" or own == "aluminium":
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
    change=Words("bolt the bracket, or make it of what its parent is of"),
    when=welded,
    place=odd_metal,
    effect="the bead cracks along the joint, at once or at the first load",
)
def can_be_welded(job: Job, bracket: Attachment) -> Answer:
    """Bracket and parent can be welded to each other."""
    own, parent = metals_welded(job, bracket)
    found = f"a bracket of {own} on {parent}".replace("-", " ")
    return met((own == "aluminium") == (parent == "aluminium"), found, otherwise=found)


PROCEDURE = published(
    "TWI, How do you weld spheroidal or nodular cast iron, and What are the different types of cast iron",
    "iron cracks beside a weld unless it is heated before, filled with a suitable metal and cooled slowly",
)
CRACKS = "the casting cracks beside the weld, often days later"


@rule.must(
    made("welded iron", welded_iron, of=Attachment),
    wanted="ductile or malleable iron, cast steel, or bolts",
    basis=common_practice("gray iron has no ductility, and no source supports a weld that lives depend on"),
    change=Words("bolt the bracket"),
    effect=CRACKS,
)
def not_gray_iron(job: Job, iron: IronWelded) -> Answer:
    """No suspension bracket hangs on a weld to gray iron, or to a casting that may be gray."""
    metal = IRON[iron.worst.metal]
    return met(iron.worst.metal not in NEVER_WELDED, metal, otherwise=metal)


# No procedure makes a weld on gray iron good, so that nothing of the procedure is asked there.
MAY_BE_WELDED = ("not-gray-iron",)


@rule.must(
    weld_on_iron,
    wanted="a preheat temperature",
    basis=PROCEDURE,
    change=Words("state the preheat, 500 degF (260 degC) or more for a pearlitic grade, with its unit"),
    follows=MAY_BE_WELDED,
    place="preheat",
    effect=CRACKS,
)
def preheat(job: Job, iron: IronWelded) -> Answer:
    """A preheat is part of the procedure."""
    return met(iron.weld.has("preheat"), "stated", otherwise="not stated")


@rule.check(
    weld_on_iron,
    between(warning=("250 degC", "650 degC"), error=("100 degC", "750 degC")),
    basis=published(
        "TWI, How do you weld spheroidal or nodular cast iron",
        "pearlitic grades take 250 degC and more; the upper bound is common practice, no source",
    ),
    error_basis=published(
        "TWI, How do you weld spheroidal or nodular cast iron",
        "ferritic grades take 100 to 200 degC when thick or complex; the upper bound is common practice, no source",
    ),
    change=(Set("preheat", says="preheat to {amount}").of(weld_of), Words("preheat to 500 degF (260 degC) or more")),
    follows=(*MAY_BE_WELDED, "preheat"),
    effect=CRACKS,
)
def preheat_temperature(job: Job, iron: IronWelded) -> float:
    """Temperature of the casting before the first bead."""
    return iron.weld.preheat


# Nickel and nickel-iron, by the classification of AWS A5.15.
IRON_FILLERS = ("ENi-", "ERNi-", "ENiFe", "ERNiFe", "ENiCu")


@rule.must(
    weld_on_iron,
    wanted="a nickel or nickel-iron filler (ENi-CI, ENiFe-CI, ENiFeMn-CI), by its AWS class",
    basis=from_memory("AWS A5.15, scope", "nickel and nickel-iron rods and electrodes are classified for welding iron"),
    change=Words("use ENiFe-CI for ductile iron and for joints of iron to steel"),
    follows=MAY_BE_WELDED,
    place="filler",
    effect="a steel filler takes up carbon from the iron and turns hard",
)
def filler(job: Job, iron: IronWelded) -> Answer:
    """The filler metal suits iron."""
    stated = iron.weld.filler if iron.weld.has("filler") else "not stated"
    return met(stated.startswith(IRON_FILLERS), stated, otherwise=stated)


@rule.check(
    post_heated_weld,
    between(warning=("590 degC", "650 degC"), error=("500 degC", "700 degC")),
    basis=published(
        "TWI, How do you weld spheroidal or nodular cast iron",
        "stress relief at 600 to 620 degC, then slow cooling; how far off it may be is common practice, no source",
    ),
    change=(
        Set("post_heat", says="hold it at {amount}").of(weld_of),
        Words("hold it at 1100 to 1150 degF (600 to 620 degC)"),
    ),
    follows=MAY_BE_WELDED,
    effect=CRACKS,
)
def post_heat_temperature(job: Job, iron: IronWelded) -> float:
    """Temperature at which the weld is held before it cools."""
    return iron.weld.post_heat


@rule.must(
    weld_on_iron,
    wanted="post-heat, or slow cooling under a blanket or in a furnace",
    basis=PROCEDURE,
    change=Words("wrap the casting and let it cool over hours, or hold it at the post-heat first"),
    follows=MAY_BE_WELDED,
    place="cooling",
    effect=CRACKS,
)
def cooling(job: Job, iron: IronWelded) -> Answer:
    """The weld cools slowly; where its cooling is not stated, a post-heat will do."""
    if not iron.weld.has("cooling"):
        return met(iron.weld.has("post_heat"), "post-heat", otherwise="not stated")
    stated = iron.weld.cooling.replace("-", " ")
    return met(iron.weld.cooling in ("slow", "furnace"), stated, otherwise=stated)


@rule.must(
    weld_on_iron,
    wanted="each short bead peened while hot",
    basis=from_memory("AWS D11.2", "peening stretches the bead and takes the shrinkage stress out of it"),
    change=Words("weld short beads, and peen each while it is hot"),
    follows=MAY_BE_WELDED,
    place="peened",
    effect="the shrinking bead pulls the casting apart",
)
def peening(job: Job, iron: IronWelded) -> Answer:
    """Each short bead is peened while it is hot."""
    stated = iron.weld.has("peened")
    return met(stated and iron.weld.peened, "peened", otherwise="not peened" if stated else "not stated")
