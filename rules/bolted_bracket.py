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
never ok; nor is what the other load cases bring where one of them cannot be worked out.

The preload is the torque divided by K d, d the bolt's diameter and K from the condition of the threads: 0.30 dry,
0.20 plated or with thread locker, 0.18 oiled, 0.12 with anti-seize; where the spec states a preload, that counts.
The proof load is the tensile stress area times the proof strength of the grade. The preload of a torque differs
from bolt to bolt: by 35 % either way for plated threads, by 25 % for oiled threads and those with anti-seize or
thread locker (Journal of Failure Analysis and Prevention, 2019, doi 10.1007/s11668-019-00693-z); dry threads give
from 35 % less to half as much again, as many torque charts take K = 0.20 for them.

To put it right: the change line gives the torque for 75 % of the proof load, or for less where the least friction
would take the bolt beyond 95 %; or the edge distance.
"""

from buildcheck.api import (
    Answer,
    Area,
    Attachment,
    Bolts,
    Dimension,
    Job,
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

# How `locked_by` may be written that locks nothing for long.
SPRING_ONLY = ("split-lock-washer",)

# A lever that is zero but for rounding, m.
NO_LEVER = 1e-9
NOT_IN_SHEAR_ALONE = Unreached(
    "bolts are computed in shear alone; the height of this bracket, or the couple of its joints, also pulls on them, "
    "so have them worked out by someone who computes bolted joints"
)

# What the samples leave unchecked: the brackets of their truck have heights and couples.
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


def welded(job: Job, bracket: Attachment) -> str | None:
    return "it is welded" if bracket.method == "welded" else None


def bolts(job: Job, bracket: Attachment) -> Bolts:
    return bracket.bolts


@rule.check(
    Attachment,
    at_most(warning="50 %", error="67 %"),
    basis=from_memory(
        "Shigley's Mechanical Engineering Design, design factors after Vidosic",
        "a factor of 2 to 2.5 for loads that are known only on the average",
    ),
    error_basis=published(f"{SHIGLEY}, example 8-6", "a design factor of 1.5 on 0.577 of the proof strength"),
    when=welded,
    place="bolts",
    change=(
        Set("count", says="use {amount} such bolts, or ones of a larger size or grade").of(bolts),
        Words("use more bolts, or ones of a larger size or grade, in double shear and with no thread in a shear plane"),
    ),
    effect="the bolts yield in shear and work loose",
)
def bolts_carry(job: Job, bracket: Attachment) -> Spot:
    """Load of the bracket as a share of what the bolts carry in shear."""
    load, moment, carried = job.bracket_load(bracket), job.bracket_moment(bracket), job.bolts_carry(bracket)
    # Where the load of the load cases is unknown, the moment is unknown for the same reason.
    turned = moment.unknown is not None or moment.value > NO_LEVER * load
    # A case that cannot be worked out may load the bracket more than all the others.
    left_out = (moment.unknown, *job.loads.cases_left_out(), NOT_IN_SHEAR_ALONE if turned else None)
    return Spot(load / carried).leaving_out(*left_out)


@rule.must(
    Attachment,
    wanted="two bolts or more, or a bolt and a weld",
    basis=common_practice("one bolt holds a bracket from turning by friction alone, which no load may depend on"),
    when=welded,
    place="bolts.count",
    change=Words("use two bolts or more, as far apart as the foot allows"),
    effect="the bracket turns about its one bolt, and the bolt works loose",
)
def held_from_turning(job: Job, bracket: Attachment) -> Answer:
    """More than one bolt, or a weld, keeps the bracket from turning."""
    count, has_weld = bracket.bolts.count, bracket.method == "bolted-and-welded"
    found = ("1 bolt" if count == 1 else f"{count} bolts") + (" and a weld" if has_weld else "")
    return met(count > 1 or has_weld, found, otherwise=found)


@rule.check(
    Attachment,
    at_least(
        warning="150 %",
        error="125 %",
        of=lambda job, bracket: job.strengths.diameter(bracket.bolts),
        amounts=Dimension.LENGTH,
    ),
    basis=published(
        "Brockenbrough and Merritt, Structural Steel Designer's Handbook, edge distance of fasteners",
        "one and a half diameters from the centre of the hole to the edge",
    ),
    error_basis=published(
        "Brockenbrough and Merritt, Structural Steel Designer's Handbook, table 5.13 (AISC 2005)",
        "the least is one and a quarter diameters, at rolled and thermal-cut edges",
    ),
    when=welded,
    place="bolts.edge_distance",
    change=(
        Set("edge_distance", says="set the holes {amount} from the edge").of(bolts),
        Words("set the holes further from the edge, or take a wider foot"),
    ),
    effect="the bolt tears out through the edge",
)
def edge_distance(job: Job, bracket: Attachment) -> float:
    """Distance of the holes from the edge, as a share of the bolt's diameter."""
    return float(bracket.bolts.edge_distance)


# Not the least torque that passes: the middle of what is allowed leaves the most room for friction either way.
tighten = (
    SetTo(
        "torque",
        says="tighten to {amount}",
        recommended=lambda job, bolts: job.strengths.recommended_torque(bolts),
    ).of(lambda job, bracket: None if bracket.bolts.has("preload") else bracket.bolts),
    SetTo(
        "preload",
        says="tighten to a preload of {amount}",
        recommended=lambda job, bolts: job.strengths.recommended_preload(bolts),
    ).of(lambda job, bracket: bracket.bolts if bracket.bolts.has("preload") else None),
    Words("take bolts of another size or grade, and tighten to 75 % of their proof load"),
)


def place_of_preload(job: Job, bracket: Attachment) -> str:
    return bracket.bolts.path_of("preload" if bracket.bolts.has("preload") else "torque")


def too_tight_or_too_loose(job: Job, bracket: Attachment) -> str:
    if job.strengths.preload(bracket.bolts) > job.strengths.recommended_preload(bracket.bolts):
        return "the bolts have stretched"
    return "the bracket slips on its bolts"


@rule.check(
    Attachment,
    between(warning=("60 %", "90 %"), error=("40 %", "100 %")),
    basis=published(
        f"{SHIGLEY}, equations 8-27 and 8-31, table 8-15",
        "75 % of the proof load for a joint that is taken apart again, 90 % for one that is not; how far below it may "
        "be is common practice, no source",
    ),
    error_basis=common_practice("beyond its proof load a bolt stays longer; at less than half of it the joint slips"),
    when=welded,
    place=place_of_preload,
    change=tighten,
    effect=too_tight_or_too_loose,
)
def preload(job: Job, bracket: Attachment) -> float:
    """Preload that the tightening torque gives, as a share of the bolt's proof load."""
    return job.strengths.preload(bracket.bolts) / job.strengths.proof_load(bracket.bolts)


def by_torque(job: Job, bracket: Attachment) -> bool:
    """Whether the bolts are tightened by their torque, of which friction takes more or less."""
    return bracket.method == "welded" or not bracket.bolts.has("preload")


@rule.check(
    each(Attachment, where=by_torque),
    at_most(warning="100 %"),
    basis=common_practice(
        "beyond its proof load a bolt stays longer; how far friction can move the preload is on the page of this rule"
    ),
    when=welded,
    place="bolts.torque",
    change=tighten,
    effect="the bolts have stretched",
)
def most_preload(job: Job, bracket: Attachment) -> float:
    """Preload that the tightening torque gives where friction is least, as a share of the bolt's proof load."""
    return job.strengths.most_preload(bracket.bolts) / job.strengths.proof_load(bracket.bolts)


@rule.check(
    each(Attachment, where=by_torque),
    at_least(error="40 %"),
    basis=common_practice(
        "at less than half of its proof load the joint slips; how far friction can move the preload is on the page of "
        "this rule"
    ),
    when=welded,
    place="bolts.torque",
    change=tighten,
    effect="the bracket slips on its bolts",
)
def least_preload(job: Job, bracket: Attachment) -> float:
    """Preload that the tightening torque gives where friction is most, as a share of the bolt's proof load."""
    return job.strengths.least_preload(bracket.bolts) / job.strengths.proof_load(bracket.bolts)


LOCKS = "lock nuts, thread-locking compound, safety wire or the like"
lock_them = Words("lock them: all-metal lock nuts, thread-locking compound, safety wire, tab washers")
TURN_OUT = "the bolts turn out, and the bracket works on the rest"


@rule.must(
    Attachment,
    wanted=LOCKS,
    basis=common_practice("a bolt that slips back and forth in its joint turns itself out"),
    when=welded,
    place="bolts.locked_by",
    change=lock_them,
    effect=TURN_OUT,
)
def locked(job: Job, bracket: Attachment) -> Answer:
    """Something keeps the bolts from coming loose."""
    by = str(bracket.bolts.locked_by)
    return met(by != "nothing", by.replace("-", " "), otherwise=by)


@rule.must(
    Attachment,
    wanted=LOCKS,
    otherwise=Verdict.WARNING,
    basis=from_memory(
        "NASA Reference Publication 1228, Fastener Design Manual",
        "a split washer is flat once the bolt is tight, and then locks no more than a plain one",
    ),
    when=welded,
    place="bolts.locked_by",
    change=lock_them,
    effect=TURN_OUT,
)
def stays_locked(job: Job, bracket: Attachment) -> Answer:
    """What locks the bolts still does so when they are tight."""
    by = str(bracket.bolts.locked_by).replace("-", " ")
    return met(bracket.bolts.locked_by not in SPRING_ONLY, by, otherwise=by)
