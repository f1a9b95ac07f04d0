"""The bolts of a bracket carry its load, stand in from the edge, are tightened and stay tight."""

import math
from collections.abc import Iterator

from buildcheck.api import (
    Area,
    Attachment,
    Cure,
    Dimension,
    Finding,
    Job,
    Limit,
    LoadCase,
    Requirement,
    Sample,
    Unreached,
    Verdict,
    at_least,
    at_most,
    common_practice,
    does_not_apply,
    from_memory,
    hold,
    published,
    require,
    rule,
    within,
)

SHIGLEY = "Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed."

# How `locked_by` may be written that locks nothing for long.
SPRING_ONLY = ("split-lock-washer",)

# A lever that is zero but for rounding, m.
NO_LEVER = 1e-9
NOT_IN_SHEAR_ALONE = (
    "bolts are computed in shear alone; the height of this bracket, or the couple of its joints, also pulls on them, "
    "so have them worked out by someone who computes bolted joints"
)

BOLTS_CARRY = Limit(
    "bolts-carry",
    "load of the bracket as a share of what the bolts carry in shear",
    Dimension.RATIO,
    at_most(warning="50 %", error="67 %"),
    basis=from_memory(
        "Shigley's Mechanical Engineering Design, design factors after Vidosic",
        "a factor of 2 to 2.5 for loads that are known only on the average",
    ),
    error_basis=published(f"{SHIGLEY}, example 8-6", "a design factor of 1.5 on 0.577 of the proof strength"),
)
HELD_FROM_TURNING = Requirement(
    "held-from-turning",
    "more than one bolt, or a weld, keeps the bracket from turning",
    basis=common_practice("one bolt holds a bracket from turning by friction alone, which no load may depend on"),
)
EDGE = Limit(
    "edge-distance",
    "distance of the holes from the edge, as a share of the bolt's diameter",
    Dimension.RATIO,
    at_least(warning="150 %", error="125 %"),
    basis=published(
        "Brockenbrough and Merritt, Structural Steel Designer's Handbook, edge distance of fasteners",
        "one and a half diameters from the centre of the hole to the edge",
    ),
    error_basis=published(
        "Brockenbrough and Merritt, Structural Steel Designer's Handbook, table 5.13 (AISC 2005)",
        "the least is one and a quarter diameters, at rolled and thermal-cut edges",
    ),
)
PRELOAD = Limit(
    "preload",
    "preload that the tightening torque gives, as a share of the bolt's proof load",
    Dimension.RATIO,
    within(warning=("60 %", "90 %"), error=("40 %", "100 %")),
    basis=published(
        f"{SHIGLEY}, equations 8-27 and 8-31, table 8-15",
        "75 % of the proof load for a joint that is taken apart again, 90 % for one that is not; how far below it may "
        "be is common practice, no source",
    ),
    error_basis=common_practice("beyond its proof load a bolt stays longer; at less than half of it the joint slips"),
)
MOST_PRELOAD = Limit(
    "most-preload",
    "preload that the tightening torque gives where friction is least, as a share of the bolt's proof load",
    Dimension.RATIO,
    at_most(warning="100 %"),
    basis=common_practice(
        "beyond its proof load a bolt stays longer; how far friction can move the preload is on the page of this rule"
    ),
)
LOCKED = Requirement(
    "locked",
    "something keeps the bolts from coming loose",
    basis=common_practice("a bolt that slips back and forth in its joint turns itself out"),
)
STAYS_LOCKED = Requirement(
    "stays-locked",
    "what locks the bolts still does so when they are tight",
    basis=from_memory(
        "NASA Reference Publication 1228, Fastener Design Manual",
        "a split washer is flat once the bolt is tight, and then locks no more than a plain one",
    ),
    if_not=Verdict.WARNING,
)


def carry(job: Job, bracket: Attachment) -> Iterator[Finding]:
    """The load on the bolts, and that they hold the bracket from turning."""
    if bracket.method == "welded":
        return
    load, moment, carried = job.bracket_load(bracket), job.bracket_moment(bracket), job.bolts_carry(bracket)
    turned = moment.unknown is not None or moment.value > NO_LEVER * load
    yield hold(
        BOLTS_CARRY,
        load / carried,
        place=bracket.path_of("bolts"),
        effect="the bolts yield in shear and work loose",
        cure=lambda share: _more_bolts(bracket, load / carried / share),
        # Where the load of the load cases is unknown, the moment is unknown for the same reason.
        without=(moment.unknown, Unreached(NOT_IN_SHEAR_ALONE) if turned else None),
    )


def held_from_turning(job: Job, bracket: Attachment) -> Iterator[Finding]:
    """How many bolts there are."""
    if bracket.method == "welded":
        return
    count, welded = bracket.bolts.count, bracket.method == "bolted-and-welded"
    yield require(
        HELD_FROM_TURNING,
        met=count > 1 or welded,
        found=("1 bolt" if count == 1 else f"{count} bolts") + (" and a weld" if welded else ""),
        wanted="two bolts or more, or a bolt and a weld",
        place=bracket.bolts.path_of("count"),
        effect="the bracket turns about its one bolt, and the bolt works loose",
        cure="use two bolts or more, as far apart as the foot allows",
    )


def _more_bolts(bracket: Attachment, times: float) -> Cure:
    bolts = bracket.bolts
    count = math.ceil(bolts.count * times)
    planes = "; or put them in double shear" if bolts.shear_planes == 1 else ""
    threads = "; or keep the threads out of the shear plane" if bolts.threads_in_shear_plane else ""
    return Cure(f"use {count} such bolts in place of {bolts.count}, or ones of a larger size or grade{planes}{threads}")


def edge(job: Job, bracket: Attachment) -> Iterator[Finding]:
    """The holes' distance from the edge."""
    if bracket.method == "welded":
        return
    diameter, place = job.strengths.diameter(bracket.bolts), bracket.bolts.path_of("edge_distance")
    yield hold(
        EDGE,
        bracket.bolts.edge_distance / diameter,
        place=place,
        effect="the bolt tears out through the edge",
        cure=lambda share: Cure("set the holes {amount} from the edge", share * diameter, Dimension.LENGTH, place),
    )


def locked(job: Job, bracket: Attachment) -> Iterator[Finding]:
    """What keeps the bolts tight."""
    if bracket.method == "welded":
        return
    by, place = bracket.bolts.locked_by, bracket.bolts.path_of("locked_by")
    for demand, met in ((LOCKED, by != "nothing"), (STAYS_LOCKED, by not in SPRING_ONLY)):
        yield require(
            demand,
            met=met,
            found=by.replace("-", " "),
            wanted="lock nuts, thread-locking compound, safety wire or the like",
            place=place,
            effect="the bolts turn out, and the bracket works on the rest",
            cure="lock them: all-metal lock nuts, thread-locking compound, safety wire, tab washers",
        )


def every_case(job: Job, case: LoadCase) -> Iterator[Finding]:
    """That no load case was left out of the brackets' loads; what it lacks is told by asking."""
    if job.build.has("attachments"):
        job.loads.tell(case.name)
    yield from ()


# What the samples leave unchecked: the brackets of their truck have heights and couples.
NOT_CHECKED_IN_TENSION = {"bolts-carry": Verdict.NOT_CHECKED}


@rule(
    "bolted-bracket",
    area=Area.FASTENERS,
    subject="attachment",
    also=(
        ("attachment", carry),
        ("attachment", held_from_turning),
        ("attachment", edge),
        ("attachment", locked),
        ("load-case", every_case),
    ),
    limits=(BOLTS_CARRY, HELD_FROM_TURNING, EDGE, PRELOAD, MOST_PRELOAD, LOCKED, STAYS_LOCKED),
    samples=(
        Sample(
            "bolts of a lower grade under a greater load",
            {
                "attachments.arm_axle_bracket.right.design_load": "40000 lbf",
                "attachments.arm_axle_bracket.right.bolts.grade": "sae-5",
                "attachments.arm_axle_bracket.right.bolts.torque": "150 lb-ft",
            },
            {"bolts-carry": Verdict.ERROR},
        ),
        Sample(
            "plated threads tightened by the handbook",
            {
                "attachments.arm_axle_bracket.right.bolts.thread_condition": "plated",
                "attachments.arm_axle_bracket.right.bolts.torque": "198 lb-ft",
            },
            NOT_CHECKED_IN_TENSION,
        ),
        Sample(
            "bolts near the edge, oiled and then tightened as if dry, and not locked",
            {
                "attachments.lateral_bar_axle_bracket.right.bolts.edge_distance": "5/8 in",
                "attachments.lateral_bar_axle_bracket.right.bolts.thread_condition": "oiled",
                "attachments.lateral_bar_axle_bracket.right.bolts.torque": "230 lb-ft",
                "attachments.lateral_bar_axle_bracket.right.bolts.locked_by": "nothing",
            },
            {
                "edge-distance": Verdict.ERROR,
                "preload": Verdict.ERROR,
                "most-preload": Verdict.WARNING,
                "locked": Verdict.ERROR,
                **NOT_CHECKED_IN_TENSION,
            },
        ),
        Sample(
            "one bolt in place of four",
            {"attachments.lateral_bar_axle_bracket.right.bolts.count": 1},
            {"bolts-carry": Verdict.WARNING, "held-from-turning": Verdict.ERROR},
        ),
    ),
)
def bolted_bracket(job: Job, bracket: Attachment) -> Iterator[Finding]:
    """The bolts of a bracket carry its load, stand in from the edge, are tightened and stay tight.

    What it checks: every bracket that is bolted: its load against what the bolts carry in shear, that more than one
    bolt holds it, the distance of the holes from the edge, the preload that the tightening torque gives, and that
    something locks the bolts for good.

    Why: a bracket does not hang on its bolts but on the friction that they clamp up. Bolts that are not tight slip,
    work in their holes and break; bolts that are too tight have stretched; a hole near the edge tears out.

    How it is computed: the shear load that the bolts carry is 0.577 of their proof strength, times the area of shank or
    thread in each shear plane. The load is the larger of the design load that the spec states and what the load cases
    bring on all that the bracket holds: braking, bends, driving, the bump stops and a rock, by equilibrium of the axle;
    what of the cases is common practice and not stated is told with the readings. A bracket with a height, or with two
    joints that turn it, also pulls on its bolts. Bolts in tension are not computed, so its bolts are not checked,
    unless shear alone already breaks the limit; and one bolt alone lets the bracket turn. Where the load cases cannot
    be worked out, or where the spec does not say what the bracket holds, a design load alone can break the limit but is
    never ok.

    The preload is the torque divided by K d, d the bolt's diameter and K from the condition of the threads: 0.30 dry,
    0.20 plated or with thread locker, 0.18 oiled, 0.12 with anti-seize; where the spec states a preload, that counts.
    The proof load is the tensile stress area times the proof strength of the grade. The preload of a torque differs
    from bolt to bolt: by 35 % either way for plated threads, by 25 % for oiled threads and those with anti-seize or
    thread locker (Journal of Failure Analysis and Prevention, 2019, doi 10.1007/s11668-019-00693-z); dry threads give
    from 35 % less to half as much again, as many torque charts take K = 0.20 for them.

    To put it right: the change line gives the torque for 75 % of the proof load, or for less where the least friction
    would take the bolt beyond 95 %; or the edge distance.
    """
    if bracket.method == "welded":
        yield does_not_apply("it is welded")
        return
    bolts, strengths = bracket.bolts, job.strengths
    proof = strengths.proof_load(bolts)
    stated = bolts.has("preload")
    place = bolts.path_of("preload" if stated else "torque")
    preload = strengths.preload(bolts)
    wanted = strengths.recommended_preload(bolts)

    def tighten(_: float) -> Cure:
        if stated:
            return Cure("tighten to a preload of {amount}", wanted, Dimension.FORCE, place)
        return Cure("tighten to {amount}", strengths.recommended_torque(bolts), Dimension.TORQUE, place)

    stretched = "the bolts have stretched"
    yield hold(
        PRELOAD,
        preload / proof,
        place=place,
        effect=stretched if preload > wanted else "the bracket slips on its bolts",
        cure=tighten,
    )
    if not stated:
        yield hold(MOST_PRELOAD, strengths.most_preload(bolts) / proof, place=place, effect=stretched, cure=tighten)
