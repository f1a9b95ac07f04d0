"""Heat-sensitive parts are off and brackets are well tacked before welding on the axle.

Checked: from the tacked stage on, that no heat-sensitive part is still fitted near a weld: each kind that is always
asked for, and whatever else the spec names on the axle; the number of tacks on each bracket, and their length.

Risk: damage to a seal or a sensor wire shows weeks later. A bracket on too few tacks moves while the axle is cycled, or
is pulled aside when the first bead cools.

Worked out: from the statements in the spec.

Remedy: take the parts off; add tacks, one near each corner.
"""

from collections.abc import Iterator
from typing import NamedTuple

from buildcheck.api import (
    Answer,
    Area,
    Attachment,
    Build,
    Dimension,
    HeatSensitivePart,
    Job,
    NearWelds,
    Part,
    Rule,
    Sample,
    Set,
    Stage,
    Verdict,
    Words,
    at_least,
    common_practice,
    made,
    met,
)

OFF = dict.fromkeys(NearWelds.SAID, "removed")

rule = Rule(
    "ready-to-weld",
    area=Area.WELDS,
    page=__doc__,
    from_stage=Stage.TACKED,
    samples=(
        Sample(
            "six tacks",
            {"attachments.arm_frame_bracket.both.weld.tacks.count": 6, "records.tacked": {"near_welds": OFF}},
        ),
        Sample(
            "one short tack, and the seals still in the tubes",
            {
                "attachments.arm_frame_bracket.both.weld.tacks": {"count": 1, "length": "1/8 in"},
                "axle.heat_sensitive_parts.axle_shaft_seals.state": "fitted",
                "records.tacked": {"near_welds": {**OFF, "gas_charged_dampers": "fitted"}},
            },
            {"tacks": Verdict.ERROR, "tack-length": Verdict.ERROR, "heat-sensitive-parts": Verdict.ERROR},
        ),
    ),
)

AXLE_SIDE = ("axle-tube", "centre-section", "axle-end", "knuckle")


class NearWeld(NamedTuple):
    """A kind of part that every truck is asked about; `which` is its field in `records.tacked.near_welds`."""

    label: str
    which: str
    path: str = "records.tacked.near_welds"


def heat_sensitive(job: Job, build: Build) -> Iterator[NearWeld | HeatSensitivePart]:
    """Each kind that is always asked for, and then the parts that the spec names."""
    for name in NearWelds.SAID:
        yield NearWeld(name.replace("_", " "), name)
    if build.has("axle") and build.axle.has("heat_sensitive_parts"):
        named = build.axle.heat_sensitive_parts
        yield from (named[name] for name in sorted(named))


def welded_near(job: Job, part: NearWeld | HeatSensitivePart) -> Attachment | None:
    """The first bracket that is welded to the axle, or for a kind of part that may be anywhere to axle or frame; None
    where there is none."""
    anywhere = isinstance(part, NearWeld)
    named = job.build.attachments
    brackets = (bracket for name in sorted(named) for bracket in named[name])
    return next((each for each in brackets if each.not_welded is None and (anywhere or each.parent in AXLE_SIDE)), None)


def a_weld_is_near(job: Job, part: NearWeld | HeatSensitivePart) -> str | None:
    """Why the check does not apply; None where a bracket is welded."""
    if welded_near(job, part):
        return None
    return "nothing is welded" if isinstance(part, NearWeld) else "nothing is welded to the axle"


def where_stated(job: Job, part: NearWeld | HeatSensitivePart) -> str:
    return f"{part.path}.{part.which if isinstance(part, NearWeld) else 'state'}"


@rule.must(
    made("heat-sensitive part", heat_sensitive),
    wanted="removed, shielded, or none there",
    basis=common_practice("seals, bearings, hoses, wiring and gas charges near a weld are taken off before welding"),
    change=Words(lambda job, part: f"take off or shield the {part.label}"),
    when=a_weld_is_near,
    place=where_stated,
)
def heat_sensitive_parts(job: Job, part: NearWeld | HeatSensitivePart) -> Answer:
    """Parts that welding heat or current can damage are off, or shielded."""
    bracket = welded_near(job, part)
    assert bracket is not None  # otherwise the check does not apply
    state = getattr(job.build.records.tacked.near_welds, part.which) if isinstance(part, NearWeld) else part.state
    damage = f"the heat damages the {part.label}; the {bracket.label} is welded near it"
    return met(state != "fitted", state, otherwise=state, why=damage)


def welded(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where the bracket is welded."""
    return bracket.not_welded


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
    effect="the bracket is pulled aside while it is welded",
)
def tacks(job: Job, bracket: Attachment) -> float:
    """Number of tacks on the bracket."""
    return bracket.weld.tacks.count


@rule.check(
    Attachment,
    at_least(warning="3/8 in", error="3/16 in"),
    basis=common_practice("about half an inch holds the axle while it is cycled, and melts into the final bead"),
    error_basis=common_practice("a spot cracks when it has to lift the axle"),
    change=(Set("length", says="make each tack {amount} long").of(tacks_of), Words("make each tack longer")),
    when=welded,
    effect="the tacks crack when the axle is lifted",
)
def tack_length(job: Job, bracket: Attachment) -> float:
    """Length of each tack."""
    return bracket.weld.tacks.length
