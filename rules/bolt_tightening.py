"""Bolts of brackets and joints are tight and stay tight.

Checked: for the bolts of every bolted bracket, and for the bolt through every joint, the preload that the tightening
torque gives; that stated preload and torque, and stated proof strength and grade, agree; that something locks them for
good, and that what locks a bolt in a tapped hole is no nut. A proposal need not say yet how the bolts through the
joints are tightened; their lock is due when the truck is tacked, their torque with the final welds.

Risk: the clamping force of a bolt holds what it joins by friction. A loose bolt slips, works in its hole and breaks;
one that is too tight has stretched.

Worked out: the preload is the torque divided by K d, where d is the bolt's diameter and K depends on the threads: 0.30
dry, 0.20 plated or with thread locker, 0.18 oiled, 0.12 with anti-seize. A stated preload takes precedence. The proof
load is the tensile stress area times the proof strength of the grade. The preload of a torque differs from bolt to
bolt: by 35 % either way for plated threads, by 25 % for oiled threads and those with anti-seize or thread locker
(Journal of Failure Analysis and Prevention, 2019, doi 10.1007/s11668-019-00693-z). Dry threads give from 35 % less to
half as much again, because many torque charts use K = 0.20 for them.

Remedy: the change line gives the torque for 75 % of the proof load, or for less where the least friction would take the
bolt beyond 95 %.
"""

from collections.abc import Callable
from typing import Any

from buildcheck.api import (
    Answer,
    Area,
    Attachment,
    Bolts,
    CannotTell,
    Job,
    JointBolt,
    Rule,
    Sample,
    SetTo,
    Spot,
    Stage,
    Verdict,
    Words,
    any_of,
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

BRACKET = "attachments.arm_axle_bracket.right.bolts"
JOINT = "lateral_bar.joints.frame.bolt"

rule = Rule(
    "bolt-tightening",
    area=Area.FASTENERS,
    page=__doc__,
    samples=(
        Sample(
            "plated threads tightened by the handbook",
            {f"{BRACKET}.thread_condition": "plated", f"{BRACKET}.torque": "198 lb-ft"},
        ),
        Sample(
            "bolts oiled and then tightened as if dry, and not locked",
            {
                f"{BRACKET}.thread_condition": "oiled",
                f"{BRACKET}.torque": "320 lb-ft",
                f"{BRACKET}.locked_by": "nothing",
            },
            {"preload": Verdict.ERROR, "most-preload": Verdict.WARNING, "locked": Verdict.ERROR},
        ),
        Sample(
            "a bolt through a joint by hand, with a split washer",
            {f"{JOINT}.torque": "40 lb-ft", f"{JOINT}.locked_by": "split-lock-washer"},
            {"preload": Verdict.ERROR, "least-preload": Verdict.ERROR, "stays-locked": Verdict.WARNING},
        ),
    ),
)

AnyBolt = Bolts | JointBolt


def is_due(job: Job, bolt: AnyBolt) -> bool:
    """Whether the spec has to give the tightening of a bolt at every stage, or gives it."""
    return isinstance(bolt, Bolts) or bolt.has("torque") or bolt.has("preload")


def goes_by_torque(job: Job, bolt: AnyBolt) -> bool:
    return is_due(job, bolt) and not bolt.has("preload")


def any_bolt(where: Callable[[Job, AnyBolt], bool]) -> Any:
    """Every bolt that `where` accepts; a bolted bracket without bolts is missed."""
    return any_of(
        each(Bolts, of=Attachment, where=where, may_be_none=True), each(JointBolt, where=where, may_be_none=True)
    )


by_torque = any_bolt(goes_by_torque)
right_torque = SetTo("torque", lambda job, bolt: job.strengths.recommended_torque(bolt), says="tighten to {amount}").of(
    lambda job, bolt: bolt if goes_by_torque(job, bolt) else None
)
right_preload = SetTo(
    "preload", lambda job, bolt: job.strengths.recommended_preload(bolt), says="tighten to a preload of {amount}"
).of(lambda job, bolt: bolt if bolt.has("preload") else None)
tighten_well = Words("tighten to three quarters of the proof load")

STRETCHED, SLIPS = "it has stretched", "what it clamps slips"


@rule.check(
    any_bolt(is_due),
    between(warning=("60 %", "90 %"), error=("40 %", "100 %")),
    physical_end="100 %",
    basis=published(
        f"{SHIGLEY}, equations 8-27 and 8-31, table 8-15",
        "75 % of the proof load for a joint that is taken apart again, 90 % for a permanent one; the lower bound is "
        "common practice, no source",
    ),
    error_basis=common_practice("beyond its proof load a bolt stays stretched; below 40 % of it the joint slips"),
    change=(right_torque, right_preload, tighten_well),
    place=lambda job, bolt: bolt.path_of("preload" if bolt.has("preload") else "torque"),
)
def preload(job: Job, bolt: AnyBolt) -> Spot:
    """Preload that the tightening torque gives, as a share of the bolt's proof load."""
    found = job.strengths.preload(bolt)
    too_much = found > job.strengths.recommended_preload(bolt)
    return Spot(found / job.strengths.proof_load(bolt)).because(STRETCHED if too_much else SLIPS)


@rule.check(
    by_torque,
    at_most(warning="100 %"),
    basis=common_practice(
        "beyond its proof load a bolt stays stretched; the page of this rule gives the scatter of the preload"
    ),
    change=(right_torque, tighten_well),
    place="torque",
    effect=STRETCHED,
)
def most_preload(job: Job, bolt: AnyBolt) -> float:
    """Preload that the tightening torque gives where friction is least, as a share of the bolt's proof load."""
    return job.strengths.most_preload(bolt) / job.strengths.proof_load(bolt)


@rule.check(
    by_torque,
    at_least(error="40 %"),
    basis=common_practice(
        "below 40 % of its proof load the joint slips; the page of this rule gives the scatter of the preload"
    ),
    change=(right_torque, tighten_well),
    place="torque",
    effect=SLIPS,
)
def least_preload(job: Job, bolt: AnyBolt) -> float:
    """Preload that the tightening torque gives where friction is most, as a share of the bolt's proof load."""
    return job.strengths.least_preload(bolt) / job.strengths.proof_load(bolt)


def states_both(job: Job, bolt: AnyBolt) -> bool:
    return bolt.has("preload") and bolt.has("torque")


@rule.check(
    any_bolt(states_both),
    between(warning=("60 %", "155 %"), error=("40 %", "250 %")),
    basis=common_practice("of two statements that differ one is wrong; the page gives the scatter of a torque"),
    change=Words("tighten to one of the two, and leave the other out"),
    place="torque",
    effect="the bolt is computed for one preload and tightened to another",
    compares=True,
)
def preload_to_torque(job: Job, bolt: AnyBolt) -> float:
    """Stated preload of a bolt as a share of the one that its stated torque gives."""
    return bolt.preload / job.strengths.preload_by_torque(bolt)


def states_proof(job: Job, bolt: AnyBolt) -> bool:
    return bolt.has("proof_strength") and bolt.has("grade")


@rule.check(
    any_bolt(states_proof),
    between(warning=("90 %", "115 %"), error=("70 %", "140 %")),
    basis=common_practice("bolts of one grade are proven to within a tenth of it; others have another mark"),
    change=Words("read the mark on the head, and state the grade or the proof strength, not both"),
    place="proof_strength",
    effect="the bolt is computed for a strength that its head does not show",
    compares=True,
)
def proof_to_grade(job: Job, bolt: AnyBolt) -> float:
    """Stated proof strength of a bolt as a share of that of its grade in its size."""
    graded = job.strengths.proof_of_grade(bolt)
    if graded is None:
        raise CannotTell(f"{bolt.grade} is not made in {bolt.size}")
    return bolt.proof_strength / graded


@rule.must(
    JointBolt,
    wanted="a torque and how the threads are, or a preload",
    basis=common_practice("whoever puts the truck together tightens to the number on the sheet"),
    otherwise=Verdict.WARNING,
    change=Words("state the torque and how the threads are, or the preload"),
    from_stage=Stage.FINAL_WELD,
    effect="it is tightened by feel",
)
def tightening_stated(job: Job, bolt: JointBolt) -> Answer:
    """The spec gives the tightening of the bolt through the joint."""
    return met(is_due(job, bolt), "stated", otherwise="neither")


LOCKS = "lock nuts, thread-locking compound, safety wire or the like"
lock_them = Words("lock it: all-metal lock nut, thread-locking compound, safety wire, tab washer")
TURNS_OUT = "it turns out, and what it clamps works loose"


def has_lock_to_state(job: Job, bolt: AnyBolt) -> bool:
    """Whether the spec has to say at every stage what locks a bolt, or says it."""
    return isinstance(bolt, Bolts) or bolt.has("locked_by")


with_lock = any_bolt(has_lock_to_state)


@rule.must(
    with_lock,
    wanted=LOCKS,
    basis=common_practice("a bolt that slips back and forth in its joint turns itself out"),
    change=lock_them,
    place="locked_by",
    effect=TURNS_OUT,
)
def locked(job: Job, bolt: AnyBolt) -> Answer:
    """Something keeps the bolt from coming loose."""
    return met(bolt.locked_by != "nothing", bolt.locked_by.replace("-", " "), otherwise="nothing")


@rule.must(
    with_lock,
    wanted=LOCKS,
    basis=from_memory(
        "NASA Reference Publication 1228, Fastener Design Manual",
        "a split washer is flat once the bolt is tight, and then locks no better than a plain one",
    ),
    otherwise=Verdict.WARNING,
    change=lock_them,
    place="locked_by",
    effect=TURNS_OUT,
)
def stays_locked(job: Job, bolt: AnyBolt) -> Answer:
    """The lock of the bolt still works when it is tight."""
    by = bolt.locked_by
    return met(by != "split-lock-washer", by.replace("-", " "), otherwise="split lock washer")


LOCKS_OF_NUTS = ("all-metal-lock-nut", "nylon-insert-lock-nut", "jam-nut", "castle-nut-and-cotter-pin", "staked-thread")


def is_tapped(job: Job, bolts: Bolts) -> bool:
    return bolts.has("threaded_into") and bolts.threaded_into == "parent" and bolts.has("locked_by")


@rule.must(
    each(Bolts, of=Attachment, where=is_tapped, may_be_none=True),
    wanted="a lock of the bolt itself: compound, safety wire, tab or wedge washer",
    basis=common_practice("a bolt in a tapped hole has no nut"),
    change=Words("state what locks the bolt in its hole, or write that the bolts are screwed into nuts"),
    place="locked_by",
    effect=TURNS_OUT,
    compares=True,
)
def lock_fits(job: Job, bolts: Bolts) -> Answer:
    """Bolts that are screwed into the parent are not locked by a nut that they do not have."""
    by = bolts.locked_by.replace("-", " ")
    return met(bolts.locked_by not in LOCKS_OF_NUTS, by, otherwise=f"{by}, in a tapped hole")


@rule.must(
    JointBolt,
    wanted=LOCKS,
    basis=common_practice("lock nuts and compound are bought with the bolts, and a bolt that slips turns itself out"),
    otherwise=Verdict.WARNING,
    change=Words("state what locks it"),
    from_stage=Stage.TACKED,
    effect=TURNS_OUT,
)
def lock_stated(job: Job, bolt: JointBolt) -> Answer:
    """The spec says what keeps the bolt through the joint from coming loose."""
    return met(has_lock_to_state(job, bolt), "stated", otherwise="not stated")
