"""Brackets on cast iron are bolted, or welded by a complete cast-iron procedure.

Checked: the material of every bracket and of its parent. Only metals that an arc joins may be welded: aluminium to
aluminium, or steel and iron to each other. On gray, ductile or malleable iron, and on an unidentified casting, bolts
need no special procedure; bolted-bracket checks their strength. A weld on gray iron, or on a casting that may be gray
iron, is an error. A weld on the other kinds of iron needs the complete procedure: preheat, a filler metal for iron and
a process that it is made for, post-heat or slow cooling, and peening. Each missing step is named, except on gray iron,
where no procedure makes the weld good. Steel tube, cast steel and forged ends weld as steel (ASM Handbook, Steel
Castings).

Risk: iron holds ten times the carbon of steel. Beside an ordinary weld it turns hard and cracks, often days later, and
the bracket tears off with a piece of the housing.

Worked out: from the statements in the spec. An unidentified casting is treated as iron.

Remedy: bolt the bracket to the drilled and tapped bosses; or write the complete procedure into the spec and
have it done by someone who welds iron. To identify a casting: look for its casting mark; drill it (iron gives crumbs,
steel curls); grind it (iron throws short red sparks, steel long bright ones); or have it analysed.

Some local codes forbid or restrict welding on axle and steering parts; the page of weld-procedure names three.
"""

from collections.abc import Iterator
from typing import NamedTuple

from buildcheck.api import (
    Answer,
    Area,
    Attachment,
    Choose,
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
                    "process": "shielded-metal-arc",
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

# Metals that no procedure makes weldable, and castings that may be one of them.
NEVER_WELDED = ("gray-iron", "unknown-casting")


class Casting(NamedTuple):
    """One part that is or may be iron: a bracket or its parent. `field` of the bracket states the metal."""

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
    """The parts that are or may be iron: the parent, once for each field that states its metal, then the bracket."""
    for field, metal in job.parent_materials(bracket).items():
        if metal in IRON:
            yield Casting(bracket, field, metal)
    if bracket.bracket_material in IRON:
        yield Casting(bracket, "bracket_material", bracket.bracket_material)


def own_metals(bracket: Attachment) -> set[str]:
    """The metal of the bracket itself; empty where the spec does not state it."""
    return {bracket.bracket_material} if bracket.has("bracket_material") else set()


class IronWelded(NamedTuple):
    """The parts of one weld that are or may be iron. `path` and `label` are those of the bracket's weld, or of the
    metal that decides whether it may be welded at all."""

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
        """The first casting that is or may be gray iron; where there is none, the first."""
        return next((each for each in self.castings if each.metal in NEVER_WELDED), self.castings[0])

    def path_of(self, *names: str) -> str:
        return self.bracket.path_of("weld", *names)


def welded_iron(job: Job, bracket: Attachment) -> Iterator[IronWelded]:
    """The welded castings. None where the other part is aluminium, which no arc joins to any kind of iron."""
    parent = set(job.parent_materials(bracket).values())
    found = () if {"aluminium"} in (parent, own_metals(bracket)) else tuple(castings(job, bracket))
    if found and bracket.not_welded is None:
        iron = IronWelded(bracket, found, "", bracket.label)
        yield iron._replace(path=iron.worst.path)


def welds_on_iron(job: Job, bracket: Attachment) -> Iterator[IronWelded]:
    """The weld of an iron bracket or to an iron parent, which needs the complete procedure."""
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
        "determine its type and composition first: a procedure that suits one kind cracks another",
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
    return bracket.not_welded


def metals_welded(job: Job, bracket: Attachment) -> tuple[str, str]:
    """The metals of a bracket and of its parent."""
    _ = bracket.method  # raises Missing where it is not stated: the bracket may be bolted
    return bracket.bracket_material, job.parent_material(bracket)


def odd_metal(job: Job, bracket: Attachment) -> str:
    """The spec path of the metal to change: the parent's where only the parent is aluminium, else the bracket's."""
    own, parent = metals_welded(job, bracket)
    if parent != "aluminium" or own == "aluminium":
        return bracket.path_of("bracket_material")
    return bracket.path_of("parent_material" if bracket.has("parent_material") else "parent")


@rule.must(
    Attachment,
    wanted="both of aluminium, or both of steel or iron",
    basis=from_memory(
        "AWS Welding Handbook, welding of dissimilar metals",
        "aluminium and iron form a brittle layer where they melt together, so no arc joins aluminium to steel or iron",
    ),
    change=Words("bolt the bracket, or make it of the metal of its parent"),
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
# Of pearlitic grades, by the source of the procedure: 500 degF, K.
PREHEAT = 533.15

CRACKS = "the casting cracks beside the weld, often days later"


@rule.must(
    made("welded iron", welded_iron, of=Attachment),
    wanted="ductile or malleable iron, cast steel, or bolts",
    basis=common_practice("gray iron has no ductility, and no source supports a weld on it that lives depend on"),
    change=Words("bolt the bracket"),
    effect=CRACKS,
)
def not_gray_iron(job: Job, iron: IronWelded) -> Answer:
    """No suspension bracket is welded to gray iron, or to a casting that may be gray iron."""
    metal = IRON[iron.worst.metal]
    return met(iron.worst.metal not in NEVER_WELDED, metal, otherwise=metal)


# No procedure makes a weld on gray iron good, so the steps of the procedure are not asked for there.
MAY_BE_WELDED = ("not-gray-iron",)


@rule.must(
    weld_on_iron,
    wanted="a preheat temperature",
    basis=PROCEDURE,
    change=(
        Choose("preheat", (PREHEAT,), says="preheat the casting to 500 degF (260 degC)").of(weld_of),
        Words("state the preheat with its unit: 500 degF (260 degC) or more for a pearlitic grade"),
    ),
    follows=MAY_BE_WELDED,
    place="preheat",
    effect=CRACKS,
)
def preheat(job: Job, iron: IronWelded) -> Answer:
    """The procedure states a preheat."""
    return met(iron.weld.has("preheat"), "stated", otherwise="not stated")


@rule.check(
    weld_on_iron,
    between(warning=("250 degC", "650 degC"), error=("100 degC", "750 degC")),
    basis=published(
        "TWI, How do you weld spheroidal or nodular cast iron",
        "pearlitic grades need 250 degC or more; the upper bound is common practice, no source",
    ),
    error_basis=published(
        "TWI, How do you weld spheroidal or nodular cast iron",
        "ferritic grades need 100 to 200 degC when thick or complex; the upper bound is common practice, no source",
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
CORED = "ENiFeT"
# Nickel-iron for each process, by the same classification; covered electrodes for any other.
NICKEL_IRON = {"gas-metal-arc": "ERNiFeMn-CI", "gas-tungsten-arc": "ERNiFeMn-CI", "flux-cored-arc": "ENiFeT3-CI"}
COVERED = "ENiFe-CI"


def nickel_iron(job: Job, iron: IronWelded) -> list[str]:
    """The filler for the process that the weld states."""
    weld = iron.weld
    return [NICKEL_IRON.get(weld.process, COVERED) if weld.has("process") else COVERED]


@rule.must(
    weld_on_iron,
    wanted="a nickel or nickel-iron filler (ENi-CI, ENiFe-CI, ENiFeMn-CI), by its AWS class",
    basis=from_memory("AWS A5.15, scope", "nickel and nickel-iron rods and electrodes are classified for welding iron"),
    change=(
        Choose("filler", nickel_iron, says="use the filler {value}").of(weld_of),
        Words("use ENiFe-CI for ductile iron and for joints of iron to steel"),
    ),
    follows=MAY_BE_WELDED,
    place="filler",
    effect="a steel filler takes up carbon from the iron and turns hard",
)
def filler(job: Job, iron: IronWelded) -> Answer:
    """The filler metal suits iron."""
    stated = iron.weld.filler if iron.weld.has("filler") else "not stated"
    return met(stated.startswith(IRON_FILLERS), stated, otherwise=stated)


def processes_of(filler: str) -> tuple[str, ...]:
    """The welding processes that a nickel filler is made for, by its class."""
    if filler.startswith("ER"):
        return "gas-metal-arc", "gas-tungsten-arc"
    return ("flux-cored-arc",) if filler.startswith(CORED) else ("shielded-metal-arc",)


@rule.must(
    weld_on_iron,
    wanted="a filler that is made for the process",
    basis=from_memory(
        "AWS A5.15, classification",
        "ENi and ENiFe are covered electrodes, ENiFeT cored wire, ERNi and ERNiFe bare wire and rods",
    ),
    change=(
        Choose("process", ("shielded-metal-arc",), says="weld it by {value}").of(
            lambda job, iron: iron.weld if iron.weld.filler == COVERED else None
        ),
        Words("choose the process of the filler: covered electrodes are ENiFe-CI, bare wire and rods ERNiFeMn-CI"),
    ),
    follows=(*MAY_BE_WELDED, "filler"),
    place="process",
    effect="the weld cannot be made as it is written down, and what is made instead has no procedure",
)
def filler_for_process(job: Job, iron: IronWelded) -> Answer:
    """The filler for iron is made for the welding process."""
    process, suited = iron.weld.process, processes_of(iron.weld.filler)
    return met(process in suited, process, otherwise=f"{process}, with {iron.weld.filler} for {' or '.join(suited)}")


@rule.check(
    post_heated_weld,
    between(warning=("590 degC", "650 degC"), error=("500 degC", "700 degC")),
    basis=published(
        "TWI, How do you weld spheroidal or nodular cast iron",
        "stress relief at 600 to 620 degC, then slow cooling; the bounds around it are common practice, no source",
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
    change=(
        Choose("cooling", ("slow", "furnace"), says="let it cool over hours: {value}").of(weld_of),
        Words("wrap the casting and let it cool over hours, or hold it at the post-heat first"),
    ),
    follows=MAY_BE_WELDED,
    place="cooling",
    effect=CRACKS,
)
def cooling(job: Job, iron: IronWelded) -> Answer:
    """The weld cools slowly, or where its cooling is not stated gets a post-heat."""
    if not iron.weld.has("cooling"):
        return met(iron.weld.has("post_heat"), "post-heat", otherwise="not stated")
    stated = iron.weld.cooling.replace("-", " ")
    return met(iron.weld.cooling in ("slow", "furnace"), stated, otherwise=stated)


@rule.must(
    weld_on_iron,
    wanted="each short bead peened while hot",
    basis=from_memory("AWS D11.2", "peening stretches the bead and relieves its shrinkage stress"),
    change=(
        Choose("peened", (True,), says="peen each short bead while it is hot").of(weld_of),
        Words("weld short beads, and peen each while it is hot"),
    ),
    follows=MAY_BE_WELDED,
    place="peened",
    effect="the shrinking bead pulls the casting apart",
)
def peening(job: Job, iron: IronWelded) -> Answer:
    """Each short bead is peened while it is hot."""
    stated = iron.weld.has("peened")
    return met(stated and iron.weld.peened, "peened", otherwise="not peened" if stated else "not stated")
