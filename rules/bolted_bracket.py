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


def shear(job: Job, bracket: Attachment) -> Iterator[Finding]:
    """The bolts in shear."""
    if bracket.method == "welded":
        return
    load, carried = job.bracket_load(bracket), job.bolts_carry(bracket)
    yield hold(
        BOLTS_CARRY,
        load / carried,
        place=bracket.path_of("bolts"),
        effect="the bolts yield in shear and work loose",
        cure=lambda share: _more_bolts(bracket, load / carried / share),
        without=job.load_left_out(bracket),
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


@rule(
    "bolted-bracket",
    area=Area.FASTENERS,
    subject="attachment",
    also=(("attachment", shear), ("attachment", edge), ("attachment", locked), ("load-case", every_case)),
    limits=(BOLTS_CARRY, EDGE, PRELOAD, LOCKED, STAYS_LOCKED),
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
                "attachments.arm_axle_bracket.right.bolts.torque": "212 lb-ft",
            },
        ),
        Sample(
            "bolts near the edge, oiled and then tightened as if dry, and not locked",
            {
                "attachments.lateral_bar_axle_bracket.right.bolts.edge_distance": "5/8 in",
                "attachments.lateral_bar_axle_bracket.right.bolts.thread_condition": "oiled",
                "attachments.lateral_bar_axle_bracket.right.bolts.torque": "230 lb-ft",
                "attachments.lateral_bar_axle_bracket.right.bolts.locked_by": "nothing",
            },
            {"edge-distance": Verdict.ERROR, "preload": Verdict.ERROR, "locked": Verdict.ERROR},
        ),
    ),
)
def bolted_bracket(job: Job, bracket: Attachment) -> Iterator[Finding]:
    """The bolts of a bracket carry its load, stand in from the edge, are tightened and stay tight.

    What it checks: every bracket that is bolted: its load against what the bolts carry in shear, the distance of the
    holes from the edge, the preload that the tightening torque gives, and that something locks the bolts for good.

    Why: a bracket does not hang on its bolts but on the friction that they clamp up. Bolts that are not tight slip,
    work in their holes and break; bolts that are too tight have stretched; a hole near the edge tears out.

    How it is computed: the shear load that the bolts carry is 0.577 of their proof strength, times the area of shank or
    thread in each shear plane. The load is the larger of the design load that the spec states and what the load cases
    bring on all that the bracket holds: braking, bends, driving, the bump stops and a rock, by equilibrium of the axle;
    what of the cases is common practice and not stated is told with the readings. Where the load cases cannot be worked
    out, or where the spec does not say what the bracket holds, a design load alone can break the limit but is never ok.
    The preload is the torque divided by
    K d, d the bolt's diameter and K from the condition of the threads: 0.30 dry, 0.20 plated or with thread locker,
    0.18 oiled, 0.12 with anti-seize; where the spec states a preload, that counts. The proof load is the tensile stress
    area times the proof strength of the grade. The torque tells the preload no better than within a quarter.

    To put it right: the change line gives the torque for 75 % of the proof load, or the edge distance.
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
    yield hold(
        PRELOAD,
        preload / proof,
        place=place,
        effect="the bolts have stretched" if preload > wanted else "the bracket slips on its bolts",
        cure=lambda _: (
            Cure("tighten to a preload of {amount}", wanted, Dimension.FORCE, place)
            if stated
            else Cure("tighten to {amount}", strengths.torque_for(bolts, wanted), Dimension.TORQUE, place)
        ),
    )
