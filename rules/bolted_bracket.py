"""Bracket bolts carry their load, keep their edge distance, are tight and stay tight.

Checked: for every bolted bracket, its load against the shear strength of the bolts; that more than one bolt
holds it; the edge distance of the holes; the preload that the tightening torque gives; and that something locks the
bolts for good.

Risk: the clamping force of the bolts holds a bracket by friction. Loose bolts slip, work in their holes and break;
bolts that are too tight have stretched; a hole near the edge tears out.

Worked out: the shear strength of a bolt is 0.577 of its proof strength, times the area of shank or thread in
each shear plane. The load is the larger of the stated design load and the load cases' load on everything that the
bracket holds: braking, cornering, driving, the bump stops and a rock, by equilibrium of the axle. Where a load case
cannot be computed, or the spec does not say what the bracket holds, the known load can break the limit but is never ok.
A bracket with a height, or with two joints that turn it, also pulls on its bolts. Bolts in tension are not computed, so
these bolts are not checked unless shear alone already breaks the limit.

The preload is the torque divided by K d, where d is the bolt's diameter and K depends on the threads: 0.30 dry, 0.20
plated or with thread locker, 0.18 oiled, 0.12 with anti-seize. A stated preload takes precedence. The proof
load is the tensile stress area times the proof strength of the grade. The preload of a torque differs from bolt to
bolt: by 35 % either way for plated threads, by 25 % for oiled threads and those with anti-seize or thread locker
(Journal of Failure Analysis and Prevention, 2019, doi 10.1007/s11668-019-00693-z). Dry threads give from 35 % less to
half as much again, because many torque charts use K = 0.20 for them.

Remedy: the change line gives the edge distance; or the torque for 75 % of the proof load, or for less where
the least friction would take the bolt beyond 95 %.
"""

from buildcheck.api import (
    Answer,
    Area,
    Attachment,
    CannotTell,
    Dimension,
    Job,
    Part,
    Rule,
    Sample,
    Set,
    SetTo,
    Spot,
    Unreached,
    Verdict,
    Words,
    at_least,
    at_most,
    between,
    common_practice,
    each,
    from_memory,
    met,
    published,
)

SHIGLEY = "Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed."
HANDBOOK = "Brockenbrough and Merritt, Structural Steel Designer's Handbook"

# Not checked in the samples: the brackets of their truck have heights and couples.
NOT_CHECKED_IN_TENSION = {"bolts-carry": Verdict.NOT_CHECKED}

rule = Rule(
    "bolted-bracket",
    area=Area.FASTENERS,
    page=__doc__,
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


def bolted(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where the bracket is bolted."""
    if bracket.method == "u-bolts":
        raise CannotTell("it is held by U-bolts, whose strength and torque are to be worked out by someone qualified")
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
    at_most(warning="50 %", error="67 %"),
    physical_end="100 %",
    basis=from_memory(
        "Shigley's Mechanical Engineering Design, design factors after Vidosic",
        "a factor of 2 to 2.5 for loads that are known only on average",
    ),
    error_basis=published(f"{SHIGLEY}, example 8-6", "a design factor of 1.5 on 0.577 of the proof strength"),
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


def states_preload(job: Job, bracket: Attachment) -> bool:
    return bracket.bolts.has("preload")


def goes_by_torque(job: Job, bracket: Attachment) -> bool:
    return not states_preload(job, bracket)


by_torque = each(Attachment, where=goes_by_torque)
right_torque = SetTo(
    "torque", lambda job, bolts: job.strengths.recommended_torque(bolts), says="tighten to {amount}"
).of(lambda job, bracket: bracket.bolts if goes_by_torque(job, bracket) else None)
right_preload = SetTo(
    "preload", lambda job, bolts: job.strengths.recommended_preload(bolts), says="tighten to a preload of {amount}"
).of(lambda job, bracket: bracket.bolts if states_preload(job, bracket) else None)
tighten_well = Words("tighten the bolts to three quarters of their proof load")

STRETCHED, SLIPS = "the bolts have stretched", "the bracket slips on its bolts"


@rule.check(
    Attachment,
    between(warning=("60 %", "90 %"), error=("40 %", "100 %")),
    physical_end="100 %",
    basis=published(
        f"{SHIGLEY}, equations 8-27 and 8-31, table 8-15",
        "75 % of the proof load for a joint that is taken apart again, 90 % for a permanent one; the lower bound is "
        "common practice, no source",
    ),
    error_basis=common_practice("beyond its proof load a bolt stays stretched; below 40 % of it the joint slips"),
    change=(right_torque, right_preload, tighten_well),
    when=bolted,
    place=lambda job, bracket: bracket.bolts.path_of("preload" if states_preload(job, bracket) else "torque"),
)
def preload(job: Job, bracket: Attachment) -> Spot:
    """Preload that the tightening torque gives, as a share of the bolt's proof load."""
    bolts, strengths = bracket.bolts, job.strengths
    found = strengths.preload(bolts)
    too_much = found > strengths.recommended_preload(bolts)
    return Spot(found / strengths.proof_load(bolts)).because(STRETCHED if too_much else SLIPS)


@rule.check(
    by_torque,
    at_most(warning="100 %"),
    basis=common_practice(
        "beyond its proof load a bolt stays stretched; the page of this rule gives the scatter of the preload"
    ),
    change=(right_torque, tighten_well),
    when=bolted,
    place="bolts.torque",
    effect=STRETCHED,
)
def most_preload(job: Job, bracket: Attachment) -> float:
    """Preload that the tightening torque gives where friction is least, as a share of the bolt's proof load."""
    return job.strengths.most_preload(bracket.bolts) / job.strengths.proof_load(bracket.bolts)


@rule.check(
    by_torque,
    at_least(error="40 %"),
    basis=common_practice(
        "below 40 % of its proof load the joint slips; the page of this rule gives the scatter of the preload"
    ),
    change=(right_torque, tighten_well),
    when=bolted,
    place="bolts.torque",
    effect=SLIPS,
)
def least_preload(job: Job, bracket: Attachment) -> float:
    """Preload that the tightening torque gives where friction is most, as a share of the bolt's proof load."""
    return job.strengths.least_preload(bracket.bolts) / job.strengths.proof_load(bracket.bolts)


LOCKS = "lock nuts, thread-locking compound, safety wire or the like"
lock_them = Words("lock them: all-metal lock nuts, thread-locking compound, safety wire, tab washers")
TURN_OUT = "the bolts turn out, and the bracket works loose on the remaining ones"


@rule.must(
    Attachment,
    wanted=LOCKS,
    basis=common_practice("a bolt that slips back and forth in its joint turns itself out"),
    change=lock_them,
    when=bolted,
    place="bolts.locked_by",
    effect=TURN_OUT,
)
def locked(job: Job, bracket: Attachment) -> Answer:
    """Something keeps the bolts from coming loose."""
    by = bracket.bolts.locked_by
    return met(by != "nothing", by.replace("-", " "), otherwise="nothing")


@rule.must(
    Attachment,
    wanted=LOCKS,
    basis=from_memory(
        "NASA Reference Publication 1228, Fastener Design Manual",
        "a split washer is flat once the bolt is tight, and then locks no better than a plain one",
    ),
    otherwise=Verdict.WARNING,
    change=lock_them,
    when=bolted,
    place="bolts.locked_by",
    effect=TURN_OUT,
)
def stays_locked(job: Job, bracket: Attachment) -> Answer:
    """The lock of the bolts still works when they are tight."""
    by = bracket.bolts.locked_by
    return met(by != "split-lock-washer", by.replace("-", " "), otherwise="split lock washer")
