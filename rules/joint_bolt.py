"""Bolts through the joints carry the largest load of the load cases.

Checked: the largest load on every joint of every link, of the lateral bar, of the coilovers and of the limit straps,
against the strength of the bolt through it.

Risk: a bolt in single shear hangs from one ear. It bends, works in its hole, and breaks under the head or at the first
thread; the axle then steers by itself.

Worked out: in double shear the bolt carries 0.577 of its proof strength on two areas, of the shank or, where the
threads lie in a shear plane, of the threads. In single shear it carries that on one area, and the load also bends it
over half of its grip, the total thickness that it clamps. The stresses of bending and shear are put together by
distortion energy. Where the spec does not state the grip, it is taken as the diameter of the bolt, the least that it
can be; the bolt can break the limit with it, and is never ok. The clamp of a tight bolt, which takes part of the
bending, is left out.

In double shear a bolt of up to three diameters of grip is not bent. A longer one is not bent while its clamp holds the
load by friction: 2 mu F_p / 1.1, with the preload where friction in the threads is greatest, and mu = 0.2 (EN 1993-1-8,
equation 3.6). One that slips, or that a clevis turns on, is a pin: M = F t / 8 with the grip t (EN 1993-1-8, 3.13),
where ears, sleeve and spacers lie close together, without a gap.

The load is the largest of the load cases; see link-strength. Where a case cannot be computed, the value is that of the
others; if it breaks no limit, it is not checked. Fatigue is not computed.

Remedy: put the joint between two ears; or use a thicker bolt or a higher grade, and keep the threads out of the ears.
"""

import math
from collections.abc import Iterator
from typing import Any

from buildcheck.api import (
    Area,
    Coilover,
    Computed,
    Cure,
    Dimension,
    Job,
    JointOf,
    LateralBar,
    LimitStrap,
    Link,
    OutOfReach,
    Part,
    Rule,
    Sample,
    Set,
    Spot,
    Verdict,
    Way,
    Words,
    any_of,
    at_most,
    from_memory,
    joints_of,
    made,
    step_of,
)

BAR_BOLT = "lateral_bar.joints.axle.bolt"

rule = Rule(
    "joint-bolt",
    area=Area.FASTENERS,
    page=__doc__,
    samples=(
        Sample("a harder stop", {"load_cases": {"braking": 0.9}}),
        Sample(
            "the bar on one ear, by a bolt that is thick enough",
            {f"{BAR_BOLT}.shear_planes": 1, f"{BAR_BOLT}.size": "1 1/4-7", f"{BAR_BOLT}.grip": "1 1/2 in"},
        ),
        Sample(
            "the bar on one ear, by a thin bolt of a low grade",
            {f"{BAR_BOLT}.shear_planes": 1, f"{BAR_BOLT}.size": "3/8-16", f"{BAR_BOLT}.grade": "sae-5"},
            {"strength": Verdict.ERROR},
        ),
        Sample(
            "a long bolt between two ears, hardly tightened",
            {f"{BAR_BOLT}.torque": "40 lb-ft", f"{BAR_BOLT}.grip": "4 in"},
            {"strength": Verdict.ERROR},
        ),
    ),
)

HeldPart = Link | LateralBar | Coilover | LimitStrap


def turns_on_its_bolt(joint: JointOf[HeldPart]) -> bool:
    return bool(joint.stated.has("kind") and joint.stated.kind == "clevis")


def slips(job: Job, joint: JointOf[HeldPart]) -> bool:
    """Whether the bolt is between two ears, and is bent because its clamp is too small for the load."""
    bolt, load = joint.stated.bolt, job.loads.at_joint(joint.part, joint.key).value
    return bool(bolt.shear_planes > 1 and job.strengths.bends(bolt, load, turns=turns_on_its_bolt(joint)))


def tightened(job: Job, joint: JointOf[HeldPart]) -> Part | None:
    """The bolt, where more torque keeps it from slipping."""
    bolt = joint.stated.bolt
    stated = bolt.has("torque") and not bolt.has("preload")
    return bolt if stated and slips(job, joint) and not turns_on_its_bolt(joint) else None


def bolt_of(job: Job, joint: JointOf[HeldPart]) -> Part:
    return joint.stated.bolt


def thicker(job: Job, joint: JointOf[HeldPart]) -> Iterator[Way]:
    """The next thicker bolts, in double shear and tightened to what they need; the spec states how this one is."""
    bolt = joint.stated.bolt
    sizes = job.strengths.thicker_bolts(bolt)

    def edits(steps: int) -> tuple[tuple[str, Any], ...]:
        if not 1 <= steps <= len(sizes):
            raise OutOfReach
        made: list[tuple[str, Any]] = [(bolt.path_of("size"), sizes[steps - 1])]
        if bolt.shear_planes == 1:
            made.append((bolt.path_of("shear_planes"), 2))
        if bolt.has("torque"):
            changed = job.edited(tuple(made))
            torque = changed.strengths.recommended_torque(changed.build.value(bolt.path))
            step = step_of(job, Dimension.TORQUE)
            made.append((bolt.path_of("torque"), math.floor(torque / step) * step))
        return tuple(made)

    def cure(steps: int) -> Cure:
        ears = "between two ears, " if bolt.shear_planes == 1 else ""
        return Cure(f"fit a bolt of {sizes[steps - 1]}, {ears}tightened to three quarters of its proof load")

    if sizes:
        yield Way((), edits, cure, len(sizes))


def stronger(job: Job, joint: JointOf[HeldPart]) -> str:
    """Advice for a stronger bolt, the most useful first."""
    bolt = joint.stated.bolt
    ways = ["put the joint between two ears"] if bolt.shear_planes == 1 else []
    ways.append("fit a thicker bolt, or one of a higher grade")
    if bolt.threads_in_shear_plane:
        ways.append("keep the threads out of the ears")
    return "; or ".join(ways)


@rule.check(
    any_of(
        made("joint of a link or bar", joints_of, of=Link | LateralBar),
        made("joint of a coilover", joints_of, of=Coilover),
        made("joint of a limit strap", joints_of, of=LimitStrap),
    ),
    at_most(warning="25 %", error="33 %"),
    physical_end="100 %",
    basis=from_memory(
        "Shigley's Mechanical Engineering Design, design factors after Vidosic",
        "a factor of 3 to 4 for loads that are uncertain",
    ),
    place=lambda job, joint: joint.stated.bolt.path,
    change=(
        Set("torque", says="tighten it to {amount}, so that its clamp holds the load").of(tightened),
        Set(
            "proof_strength",
            says="fit a bolt with a proof strength of {amount} or more, or a thicker one, or one in double shear",
        ).of(bolt_of),
        Computed(thicker),
        Words(stronger),
    ),
)
def strength(job: Job, joint: JointOf[HeldPart]) -> Spot:
    """Largest load on the joint as a share of the strength of its bolt."""
    bolt, worst = joint.stated.bolt, job.loads.at_joint(joint.part, joint.key)
    turns, bent = turns_on_its_bolt(joint), bolt.shear_planes == 1 or slips(job, joint)
    how = "bends, works in its hole and breaks" if bent else "works in its hole and shears off"
    if bent and bolt.shear_planes > 1 and not turns:
        how = f"slips, {how}"
    share = Spot(worst.value / job.strengths.across(bolt, worst.value, turns=turns)).under(f"in the {worst.case.label}")
    unknown = job.strengths.unknown_across(bolt, worst.value, turns=turns)
    return share.because(f"the bolt {how}").leaving_out(*unknown, *job.loads.cases_left_out(joint.part))
