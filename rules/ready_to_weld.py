"""Before an arc is struck on the axle, what it would spoil is off, and the brackets are well tacked.

Checked: from the tacked stage on, that no heat-sensitive part is still fitted where anything is welded to
the axle, and how many tacks hold each bracket, and how long they are.

Risk: a seal or a sensor wire that was cooked shows weeks later. A bracket on too few tacks moves while the axle is
cycled, or draws aside as soon as the first bead cools.

Worked out: as the spec states.

Remedy: take the parts off; add tacks, one near each corner.
"""

from buildcheck.api import (
    Answer,
    Area,
    Attachment,
    Dimension,
    HeatSensitivePart,
    Job,
    Part,
    Rule,
    Sample,
    Set,
    Stage,
    Verdict,
    Words,
    at_least,
    common_practice,
    met,
)

rule = Rule(
    "ready-to-weld",
    area=Area.WELDS,
    page=__doc__,
    from_stage=Stage.TACKED,
    samples=(
        Sample("six tacks", {"attachments.arm_frame_bracket.both.weld.tacks.count": 6}),
        Sample(
            "two spots, and the seals still in the tubes",
            {
                "attachments.arm_frame_bracket.both.weld.tacks": {"count": 1, "length": "1/8 in"},
                "axle.heat_sensitive_parts.axle_shaft_seals.state": "fitted",
            },
            {"tacks": Verdict.ERROR, "tack-length": Verdict.ERROR, "heat-sensitive-parts": Verdict.ERROR},
        ),
    ),
)

AXLE_SIDE = ("axle-tube", "centre-section", "axle-end", "knuckle")


def welded_to_the_axle(job: Job) -> Attachment | None:
    """The first bracket that is welded to the axle; None where there is none."""
    named = job.build.attachments
    brackets = (bracket for name in sorted(named) for bracket in named[name])
    return next((each for each in brackets if each.method != "bolted" and each.parent in AXLE_SIDE), None)


def axle_is_welded(job: Job, part: HeatSensitivePart) -> str | None:
    """Why the check does not apply; None where a bracket is welded to the axle."""
    return None if welded_to_the_axle(job) else "nothing is welded to the axle"


@rule.must(
    HeatSensitivePart,
    wanted="removed or shielded",
    basis=common_practice("seals, bearings, hoses and wiring near a weld are taken off before the arc is struck"),
    change=Words(lambda job, part: f"take off or shield the {part.label}"),
    when=axle_is_welded,
    place="state",
)
def heat_sensitive_parts(job: Job, part: HeatSensitivePart) -> Answer:
    """What welding heat or current can spoil is off the axle, or shielded."""
    bracket = welded_to_the_axle(job)
    assert bracket is not None  # or the check does not apply
    spoils = f"the heat spoils the {part.label}; the {bracket.label} is welded to the axle"
    return met(part.state != "fitted", part.state, otherwise=part.state, why=spoils)


def welded(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where the bracket is welded."""
    return "it is bolted" if bracket.method == "bolted" else None


def tacks_of(job: Job, bracket: Attachment) -> Part:
    return bracket.weld.tacks


@rule.check(
    Attachment,
    at_least(warning="4", error="2"),
    dimension=Dimension.COUNT,
    basis=common_practice("a tack near each corner keeps the bracket square while it is cycled and welded"),
    error_basis=common_practice("a bracket on one tack turns about it"),
    change=(
        Set("count", says="make {amount} tacks, one near each corner").of(tacks_of),
        Words("add tacks until there is one near each corner"),
    ),
    when=welded,
    effect="the bracket draws aside while it is welded",
)
def tacks(job: Job, bracket: Attachment) -> float:
    """How many tacks hold the bracket."""
    return bracket.weld.tacks.count


@rule.check(
    Attachment,
    at_least(warning="3/8 in", error="3/16 in"),
    basis=common_practice("half an inch or so holds the axle while it is cycled, and is taken up by the final bead"),
    error_basis=common_practice("a spot cracks when the axle is lifted by it"),
    change=(Set("length", says="make each tack {amount} long").of(tacks_of), Words("make each tack longer")),
    when=welded,
    effect="the tacks crack as the axle is lifted",
)
def tack_length(job: Job, bracket: Attachment) -> float:
    """Length of each tack."""
    return bracket.weld.tacks.length
