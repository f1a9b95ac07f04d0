"""The parts are there, and were looked over, before they are needed.

Checked: that as many of each part are ordered as the spec fits, and no more than twice as many; that no more arrived
than were ordered; that no name is nearly that of a part of the spec; and from the teardown on, that as many arrived as
were ordered, and that they were inspected.

Risk: a truck that is apart and waits for a part blocks the shop. A joint with the wrong thread, a spring of another
rate or a cracked casting is sent back while it is new; once a bracket is welded to suit it, it stays.

Worked out: by counting. How many of a part the spec fits is known where the name in the packing list is that of the
part: `coilover`, `radius_arm`, `lower_link`, `limit_strap`. Of any other name, such as `seal_kit`, no number is known,
so that a slip of the pen would leave a part uncounted.

Remedy: order what is missing; wait with the cut until it is there; look over each part against its drawing.
"""

from difflib import get_close_matches

from buildcheck.api import (
    Answer,
    Area,
    Build,
    Dimension,
    Job,
    PackedPart,
    Rule,
    Sample,
    Stage,
    Verdict,
    Words,
    at_least,
    at_most,
    common_practice,
    each,
    met,
)

rule = Rule(
    "parts-arrived",
    area=Area.RECORDS,
    page=__doc__,
    samples=(
        Sample(
            "every part there and looked over",
            {
                "parts": {
                    "coilover": {"ordered": 2, "arrived": 2, "inspected": True},
                    "lateral_bar": {"ordered": 1, "arrived": 1, "inspected": True},
                }
            },
        ),
        Sample(
            "one coilover for two sides",
            {"parts": {"coilover": {"ordered": 1, "arrived": 1, "inspected": True}}},
            {"ordered-enough": Verdict.ERROR},
            values={"ordered-enough": "50 %"},
        ),
        Sample(
            "one of two arrived, and nobody looked at it",
            {"parts": {"coilover": {"ordered": 2, "arrived": 1, "inspected": False}}},
            {"as-ordered": Verdict.WARNING, "inspected": Verdict.ERROR},
        ),
    ),
)


# Two names that share this much of their letters are taken for one with a slip of the pen: one letter of eight or so.
ALIKE = 0.8


def named(part: PackedPart) -> str:
    """The name of a part in the packing list, as words in the singular."""
    return part.path.rpartition(".")[2].replace("_", " ").removesuffix("s")


def fitted(build: Build) -> dict[str, int]:
    """How many of each part the spec fits, by the names that a packing list may give it."""
    count: dict[str, int] = {}
    for section, noun in (
        ("links", "link"),
        ("coilovers", "coilover"),
        ("limit_straps", "limit strap"),
        ("bump_stops", "bump stop"),
        ("brake_lines", "brake line"),
    ):
        for name, sides in (getattr(build, section) if build.has(section) else {}).items():
            number = len(list(sides))
            called = name.replace("_", " ")
            kinds = {noun, called, f"{called} {noun}"}
            if section == "links":
                arm = all(link.kind == "radius-arm" for link in sides)
                kinds = {called, f"{called} link", *(("arm", "radius arm") if arm else (noun,))}
            for kind in kinds:
                count[kind] = count.get(kind, 0) + number
    for section, noun in (("lateral_bar", "lateral bar"), ("driveshaft", "driveshaft")):
        if build.has(section):
            count[noun] = 1
    for name in ("drag_link", "tie_rod", "pitman_arm"):
        if build.has("steering") and build.steering.has(name):
            count[name.replace("_", " ")] = 1
    return count


def is_fitted(job: Job, part: PackedPart) -> bool:
    return named(part) in fitted(job.build)


def meant(job: Job, part: PackedPart) -> str:
    """The name of a part of the spec that is nearly that of the packing list; "" where none is. A name with a word more
    or less is that of something else: `coilover_bolts`."""
    name, known = named(part), fitted(job.build)
    near = "" if name in known else next(iter(get_close_matches(name, known, 1, ALIKE)), "")
    words, others = set(name.split()), set(near.split())
    return "" if words < others or others < words else near


def needed(job: Job, part: PackedPart) -> float:
    return fitted(job.build)[named(part)]


@rule.check(
    each(PackedPart, where=is_fitted),
    at_least(error="100 %", of=needed, amounts=Dimension.COUNT),
    basis=common_practice("every side needs its own"),
    change=Words(lambda job, part: f"order {needed(job, part):.0f} of them"),
    place="ordered",
    effect="the truck is apart, and a part for it is missing",
    compares=True,
)
def ordered_enough(job: Job, part: PackedPart) -> float:
    """How many of a part are ordered, as a share of those that the spec fits."""
    return part.ordered


@rule.check(
    each(PackedPart, where=is_fitted),
    at_most(warning="200 %", of=needed, amounts=Dimension.COUNT),
    basis=common_practice("a spare of each at the most"),
    change=Words(lambda job, part: f"order {needed(job, part):.0f} of them, and a spare of what breaks"),
    place="ordered",
    effect="a typing error in an order is paid for",
    compares=True,
)
def ordered_too_many(job: Job, part: PackedPart) -> float:
    """How many of a part are ordered, as a share of those that the spec fits."""
    return part.ordered


@rule.must(
    PackedPart,
    wanted="the name of a part of the spec, or of something else",
    otherwise=Verdict.WARNING,
    basis=common_practice("a slip of the pen is found at the desk"),
    change=Words(lambda job, part: f"write {meant(job, part).replace(' ', '_')}, or a name that is less like it"),
    effect="the spec does not know how many of it the truck needs, so that none is missed",
    compares=True,
)
def well_named(job: Job, part: PackedPart) -> Answer:
    """No name in the packing list is nearly that of a part of the spec."""
    near = meant(job, part)
    return met(not near, named(part), otherwise=f'"{named(part)}"; did you mean "{near}"?')


@rule.must(
    PackedPart,
    wanted="as many as were ordered",
    otherwise=Verdict.WARNING,
    basis=common_practice("a truck is not taken apart before its parts are there"),
    change=Words("count again, and wait with the cut until what is missing has arrived"),
    place="arrived",
    effect="the truck is apart, and a part for it is missing",
    from_stage=Stage.TEARDOWN,
)
def as_ordered(job: Job, part: PackedPart) -> Answer:
    """As many of a part arrived as were ordered."""
    found = f"{part.arrived} of {part.ordered}"
    return met(part.arrived == part.ordered, found, otherwise=found)


def ordered(job: Job, part: PackedPart) -> float:
    return part.ordered


@rule.check(
    PackedPart,
    at_most(warning="100 %", of=ordered, amounts=Dimension.COUNT),
    basis=common_practice("no more arrive than were ordered, or somebody else's parts did"),
    change=Words("count again what was ordered and what arrived"),
    place="arrived",
    effect="one of the two counts is wrong",
    compares=True,
)
def more_than_ordered(job: Job, part: PackedPart) -> float:
    """How many of a part arrived, as a share of those that were ordered."""
    return part.arrived


@rule.must(
    PackedPart,
    wanted="yes",
    basis=common_practice("a part that is wrong is sent back while it is new, not once a bracket is made for it"),
    change=Words("look over each of them: size, thread and side, and cracks in what is cast or welded"),
    place="inspected",
    effect="a wrong part is welded in",
    from_stage=Stage.TEARDOWN,
)
def inspected(job: Job, part: PackedPart) -> Answer:
    """The parts were inspected after they arrived."""
    return met(part.inspected, "yes", otherwise="no")
