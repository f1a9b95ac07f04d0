"""Heat-sensitive parts are off and brackets are well tacked before welding on the axle.

Checked: from the tacked stage on, that no heat-sensitive part is still fitted near a weld: each kind that is always
asked for, and whatever else the spec names on the axle; that the spec has no part of which the record says that there
is none; the number of tacks on each bracket, and their length.

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
    LateralBar,
    Link,
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


def said_to_be_absent(job: Job, build: Build) -> Iterator[NearWeld]:
    """The kinds of part that the record says the truck has none of."""
    if build.has("records") and build.records.has("tacked") and build.records.tacked.has("near_welds"):
        given = build.records.tacked.near_welds.given()
        yield from (NearWeld(name.replace("_", " "), name) for name in given if given[name] == "none-there")


RUBBER = ("rubber", "polyurethane")


def there(job: Job, part: NearWeld) -> str:
    """The spec path of a part of a kind, where the spec has one; empty otherwise."""
    build = job.build
    driven = build.has("axle") and build.axle.has("driven") and build.axle.driven
    steered = build.has("steering") and build.steering.has("kingpins")
    if part.which in ("outer_joints", "seals"):
        return "axle.driven" if driven and (steered or part.which == "seals") else ""
    if part.which == "kingpin_bushings":
        return "steering.kingpins" if steered else ""
    found: list[Part] = []
    if part.which == "gas_charged_dampers":
        sections = [getattr(build, name) for name in ("coilovers", "bump_stops") if build.has(name)]
        dampers = [each for section in sections for sides in section.values() for each in sides]
        found = [each for each in dampers if each.has("gas_charged") and each.gas_charged]
    elif part.which == "rubber_bushings":
        joints = (
            joint for each in links_and_bar(build) if each.has("joints") for joint in each.joints.given().values()
        )
        found = [each for each in joints if each.has("kind") and each.kind in RUBBER]
    return found[0].path if found else ""


def links_and_bar(build: Build) -> list[Link | LateralBar]:
    links = [link for sides in (build.links.values() if build.has("links") else ()) for link in sides]
    return [*links, build.lateral_bar] if build.has("lateral_bar") else list(links)


@rule.must(
    made("kind of part said to be absent", said_to_be_absent),
    wanted="none of it in the spec",
    basis=common_practice("of two statements that differ one is wrong"),
    change=Words(lambda job, part: f"write what was done with the {part.label}: removed, shielded or fitted"),
    place=where_stated,
    effect="the part is heated where nobody looked for it",
    compares=True,
)
def none_there(job: Job, part: NearWeld) -> Answer:
    """The truck has no part of a kind that the record says it has none of."""
    path = there(job, part)
    return met(not path, "none there", otherwise=f"none there, and the spec has {path}")


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
