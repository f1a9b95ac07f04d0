"""Before an arc is struck on the axle, what it would spoil is off, and the brackets are well tacked."""

from collections.abc import Iterator

from buildcheck.api import (
    Area,
    Attachment,
    Build,
    Cure,
    Dimension,
    Finding,
    Job,
    Limit,
    Missing,
    Requirement,
    Sample,
    Stage,
    Verdict,
    at_least,
    common_practice,
    does_not_apply,
    hold,
    require,
    rule,
)

AXLE_SIDE = ("axle-tube", "centre-section", "axle-end", "knuckle")

HEAT = Requirement(
    "heat-sensitive-parts",
    "what welding heat or current can spoil is off the axle, or shielded",
    basis=common_practice("seals, bearings, hoses and wiring near a weld are taken off before the arc is struck"),
)
TACKS = Limit(
    "tacks",
    "how many tacks hold the bracket",
    Dimension.COUNT,
    at_least(warning="4", error="2"),
    basis=common_practice("a tack near each corner keeps the bracket square while it is cycled and welded"),
    error_basis=common_practice("a bracket on one tack turns about it"),
)
TACK_LENGTH = Limit(
    "tack-length",
    "length of each tack",
    Dimension.LENGTH,
    at_least(warning="3/8 in", error="3/16 in"),
    basis=common_practice("half an inch or so holds the axle while it is cycled, and is taken up by the final bead"),
    error_basis=common_practice("a spot cracks when the axle is lifted by it"),
)


def heat(job: Job, build: Build) -> Iterator[Finding]:
    """Every heat-sensitive part of an axle that is welded on."""
    welded = [
        bracket
        for name in sorted(build.attachments)
        for bracket in build.attachments[name]
        if bracket.method != "bolted" and bracket.parent in AXLE_SIDE
    ]
    if not welded:
        yield does_not_apply("nothing is welded to the axle")
        return
    parts = build.axle.heat_sensitive_parts
    if not parts:  # which the schema refuses, and a build that was put together by hand may hold
        raise Missing(build.axle.path_of("heat_sensitive_parts"))
    for name in sorted(parts):
        part = parts[name]
        yield require(
            HEAT,
            met=part.state != "fitted",
            found=part.state,
            wanted="removed or shielded",
            place=part.path_of("state"),
            effect=f"the heat spoils the {name.replace('_', ' ')}; it is welded at the {welded[0].label}",
            cure=f"take off or shield the {name.replace('_', ' ')}",
        )


@rule(
    "ready-to-weld",
    area=Area.WELDS,
    subject="attachment",
    also=(("build", heat),),
    limits=(HEAT, TACKS, TACK_LENGTH),
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
def ready_to_weld(job: Job, bracket: Attachment) -> Iterator[Finding]:
    """Before an arc is struck on the axle, what it would spoil is off, and the brackets are well tacked.

    What it checks: from the tacked stage on, that no heat-sensitive part is still fitted where anything is welded to
    the axle, and how many tacks hold each bracket, and how long they are.

    Why: a seal or a sensor wire that was cooked shows weeks later. A bracket on too few tacks moves while the axle is
    cycled, or draws aside as soon as the first bead cools.

    How it is computed: as the spec states.

    To put it right: take the parts off; add tacks, one near each corner.
    """
    if bracket.method == "bolted":
        yield does_not_apply("it is bolted")
        return
    tacks = bracket.weld.tacks
    yield hold(
        TACKS,
        tacks.count,
        place=tacks.path_of("count"),
        effect="the bracket draws aside while it is welded",
        cure="add tacks until there is one near each corner",
    )
    yield hold(
        TACK_LENGTH,
        tacks.length,
        place=tacks.path_of("length"),
        effect="the tacks crack as the axle is lifted",
        cure=lambda wanted: Cure("make each tack {amount} long", wanted, Dimension.LENGTH, tacks.path_of("length")),
    )
