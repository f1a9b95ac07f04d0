"""Bracket bolts carry their load and keep their edge distance.

Checked: for every bolted bracket, its load against the shear strength of the bolts; that more than one bolt
holds it; and the edge distance of the holes. bolt-tightening checks their torque and what locks them.

Risk: the clamping force of the bolts holds a bracket by friction. Loose bolts slip, work in their holes and break;
bolts that are too tight have stretched; a hole near the edge tears out.

Worked out: the shear strength of a bolt is 0.577 of its proof strength, times the area of shank or thread in
each shear plane. The load is the larger of the stated design load and the load cases' load on everything that the
bracket holds: braking, cornering, driving, the bump stops and a rock, by equilibrium of the axle. Where a load case
cannot be computed, or the spec does not say what the bracket holds, the known load can break the limit but is never ok.
A bracket with a height, or with two joints that turn it, also pulls on its bolts. Bolts in tension are not computed, so
these bolts are not checked unless shear alone already breaks the limit.

Remedy: the change line gives the number of bolts, or the edge distance.
"""

from buildcheck.api import (
    Answer,
    Area,
    Attachment,
    Dimension,
    Job,
    Part,
    Rule,
    Sample,
    Set,
    Spot,
    Unreached,
    Verdict,
    Words,
    at_least,
    at_most,
    common_practice,
    from_memory,
    met,
    published,
)

HANDBOOK = "Brockenbrough and Merritt, Structural Steel Designer's Handbook"

# Not checked in the samples: the brackets of their truck have heights and couples.
NOT_CHECKED_IN_TENSION = {"bolts-carry": Verdict.NOT_CHECKED}

rule = Rule(
    "bolted-bracket",
    area=Area.FASTENERS,
    page=__doc__,
    samples=(
        Sample(
            "a bracket without a lever, and a welded one",
            {
                "attachments.lateral_bar_axle_bracket.right.height": 0,
                "attachments.arm_axle_bracket.right.method": "welded",
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
        Sample(
            "bolts near the edge",
            {
                "attachments.lateral_bar_axle_bracket.right.bolts.edge_distance": "5/8 in",
            },
            {
                "edge-distance": Verdict.ERROR,
                **NOT_CHECKED_IN_TENSION,
            },
        ),
        Sample(
            "one bolt in place of four",
            {"attachments.lateral_bar_axle_bracket.right.bolts.count": 1},
            {"bolts-carry": Verdict.ERROR, "held-from-turning": Verdict.ERROR},
        ),
    ),
)


def bolted(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where the bracket is bolted."""
    return "it is welded" if bracket.method == "welded" else None


def bolts_of(job: Job, bracket: Attachment) -> Part:
    return bracket.bolts


# A lever shorter than this is zero within rounding, m.
NO_LEVER = 1e-9
NOT_IN_SHEAR_ALONE = (
    "bolts are computed in shear alone, and the height of this bracket or the couple of its joints also pulls on them; "
    "ask someone who computes bolted joints"
)


def more_bolts(job: Job, bracket: Attachment) -> str:
    bolts = bracket.bolts
    planes = "; or put them in double shear" if bolts.shear_planes == 1 else ""
    threads = "; or keep the threads out of the shear plane" if bolts.threads_in_shear_plane else ""
    return f"use more such bolts, or ones of a larger size or grade{planes}{threads}"


@rule.check(
    Attachment,
    at_most(warning="25 %", error="33 %"),
    basis=from_memory(
        "Shigley's Mechanical Engineering Design, design factors after Vidosic",
        "a factor of 3 to 4 for loads that are uncertain",
    ),
    change=(
        Set("count", says="use {amount} such bolts, or ones of a larger size or grade").of(bolts_of),
        Words(more_bolts),
    ),
    when=bolted,
    place="bolts",
    effect="the bolts yield in shear and work loose",
)
def bolts_carry(job: Job, bracket: Attachment) -> Spot:
    """Load of the bracket as a share of the shear strength of its bolts."""
    load, moment = job.bracket_load(bracket), job.bracket_moment(bracket)
    pulled = moment.unknown is not None or moment.value > NO_LEVER * load
    share = Spot(load / job.bolts_carry(bracket))
    # A load case that cannot be computed may load the bracket more than all the others.
    left_out = job.loads.cases_left_out()
    return share.leaving_out(moment.unknown, *left_out, Unreached(NOT_IN_SHEAR_ALONE) if pulled else None)


@rule.must(
    Attachment,
    wanted="two bolts or more, or a bolt and a weld",
    basis=common_practice("one bolt keeps a bracket from turning by friction alone, and no load may depend on that"),
    change=(
        Set("count", says="use {amount} bolts or more, as far apart as the foot allows").of(bolts_of),
        Words("use two bolts or more, as far apart as the foot allows"),
    ),
    when=bolted,
    effect="the bracket turns about its one bolt, and the bolt works loose",
)
def held_from_turning(job: Job, bracket: Attachment) -> Answer:
    """More than one bolt, or a weld, keeps the bracket from turning."""
    count, welded = bracket.bolts.count, bracket.method == "bolted-and-welded"
    found = ("1 bolt" if count == 1 else f"{count:.0f} bolts") + (" and a weld" if welded else "")
    return met(count > 1 or welded, found, otherwise=found)


def diameter(job: Job, bracket: Attachment) -> float:
    return job.strengths.diameter(bracket.bolts)


@rule.check(
    Attachment,
    at_least(warning="150 %", error="125 %", of=diameter, amounts=Dimension.LENGTH),
    basis=published(
        f"{HANDBOOK}, edge distance of fasteners", "one and a half diameters from the centre of the hole to the edge"
    ),
    error_basis=published(
        f"{HANDBOOK}, table 5.13 (AISC 2005)",
        "at least one and a quarter diameters, at rolled and thermal-cut edges",
    ),
    change=(
        Set("edge_distance", says="set the holes {amount} from the edge").of(bolts_of),
        Words("set the holes farther from the edge, or use bolts of a smaller diameter and a higher grade"),
    ),
    when=bolted,
    effect="the bolt tears out through the edge",
)
def edge_distance(job: Job, bracket: Attachment) -> float:
    """Distance of the holes from the edge, as a share of the bolt's diameter."""
    return float(bracket.bolts.edge_distance)
