"""Bracket bolts carry their load and keep their edge distance.

Checked: for every bolted bracket, the load of its most loaded bolt in shear and tension together; that more than one
bolt holds it; the edge distance of the holes; that the foot stays clamped, and the bolts unstretched; and the thread in
tapped holes. bolt-tightening checks their torque and what locks them.

Risk: the clamping force of the bolts holds a bracket by friction. Loose bolts slip, work in their holes and break;
bolts that are too tight have stretched; a hole near the edge tears out.

Worked out: the load is that of the load cases on everything that the bracket holds, by equilibrium of the axle; or the
design load where that is larger, in the same direction. `normal` divides it into shear and pull, and the moment
about the middle of the bolts into twist and tip. By the elastic method each bolt takes its part of the shear, and of
the twist by its distance from the middle; of the pull, and of the tip by its distance from the axis through the middle.
The spec does not say how the pattern is turned in the plane of the foot, so the worst direction counts. A shear of
0.577 of the proof strength on shank or threads, and a pull of the proof load, are put together by distortion energy.

Prying: a thin foot bends between bolt and upright, and its edge presses back; the bolt then carries more than the pull.
The pull that the bolt can take is less by that (Tamboli; Thornton). Without `bolts.to_upright` and the yield strength
of the plate this is not known, and the bolts can break the limit but are never ok; the same holds where a load case,
the pattern, the direction of the bolts or the lever is not known.

A tight bolt carries only the share k_b / (k_b + k_m) of the pull, and the rest relieves what it clamps. The foot stays
closed while that rest is below the preload where friction is greatest, and the bolt unstretched while its share is
below what the preload leaves of its proof load. The foot is steel or as stated; frusta of 30 deg.

In a tapped hole the thread of the softer metal strips: pi d_m L F_s / 3 by NASA RP-1228, which is low on purpose; the
shear strength F_s is half of the stated tensile strength. A nut of the grade of its bolt is as strong as the bolt.

Remedy: the change line gives the number of bolts, the edge distance or the length of thread; or use a thicker foot, a
wider pattern, or a lower bracket.
"""

from buildcheck.api import (
    Answer,
    Area,
    Attachment,
    CannotTell,
    Dimension,
    Job,
    Missing,
    Part,
    Rule,
    Sample,
    Set,
    Spot,
    Verdict,
    Words,
    at_least,
    at_most,
    common_practice,
    from_memory,
    met,
    published,
)

SHIGLEY = "Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed."
HANDBOOK = "Brockenbrough and Merritt, Structural Steel Designer's Handbook"

AT = "attachments.arm_axle_bracket.right.bolts"
BAR = "attachments.lateral_bar_axle_bracket.right.bolts"

rule = Rule(
    "bolted-bracket",
    area=Area.FASTENERS,
    page=__doc__,
    samples=(
        Sample("a harder stop", {"load_cases": {"braking": 0.9}}),
        Sample(
            "bolts of a lower grade under a greater load",
            {
                "attachments.arm_axle_bracket.right.design_load": "40000 lbf",
                f"{AT}.grade": "sae-5",
                f"{AT}.torque": "150 lb-ft",
            },
            {"bolts-carry": Verdict.ERROR, "clamped": Verdict.ERROR, "unstretched": Verdict.ERROR},
        ),
        Sample(
            "bolts near the edge, in short threads",
            {f"{BAR}.edge_distance": "5/8 in", f"{BAR}.thread_engaged": "5/8 in"},
            {"edge-distance": Verdict.ERROR, "thread-engaged": Verdict.ERROR, "stripping": Verdict.ERROR},
        ),
        Sample(
            "one bolt in place of four",
            {f"{BAR}.count": 1},
            {
                "bolts-carry": Verdict.ERROR,
                "held-from-turning": Verdict.ERROR,
                "clamped": Verdict.ERROR,
                "unstretched": Verdict.ERROR,
            },
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


def pried_bolts(job: Job, bracket: Attachment) -> Part | None:
    """The bolts of a bracket, where its foot bends under them so much that they can take less pull."""
    if not bracket.bolts.has("foot_thickness"):
        return None
    try:
        bolts = job.bolts_of(bracket)
        return bracket.bolts if bolts.pried() < 0.99 * bolts.in_tension() else None
    except Missing:
        return None


def more_bolts(job: Job, bracket: Attachment) -> str:
    bolts = bracket.bolts
    planes = "; or put them in double shear" if bolts.shear_planes == 1 else ""
    threads = "; or keep the threads out of the shear plane" if bolts.threads_in_shear_plane else ""
    return f"use more such bolts, or ones of a larger size or grade{planes}{threads}"


@rule.check(
    Attachment,
    at_most(warning="25 %", error="33 %"),
    physical_end="100 %",
    basis=from_memory(
        "Shigley's Mechanical Engineering Design, design factors after Vidosic",
        "a factor of 3 to 4 for loads that are uncertain",
    ),
    change=(
        Set("foot_thickness", says="make the foot {amount} thick, so that it pries less").of(pried_bolts),
        Set("count", says="use {amount} such bolts, or ones of a larger size or grade").of(bolts_of),
        Words(more_bolts),
    ),
    when=bolted,
    place="bolts",
)
def bolts_carry(job: Job, bracket: Attachment) -> Spot:
    """Load of the most loaded bolt, in shear and tension together, as a share of its strength."""
    return job.bolts_of(bracket).share()


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


@rule.check(
    Attachment,
    at_most(warning="50 %", error="100 %"),
    physical_end="100 %",
    basis=common_practice("half is kept in reserve for loads that are not modelled"),
    error_basis=published(f"{SHIGLEY}, equation 8-30", "beyond it the joint opens, and the bolt bears the whole load"),
    change=Words("tighten to a higher preload, or use more bolts or a wider pattern"),
    when=bolted,
    place="bolts",
)
def clamped(job: Job, bracket: Attachment) -> Spot:
    """Pull that relieves the foot at the most loaded bolt, as a share of the least preload."""
    bolts = job.bolts_of(bracket)
    preload = bracket.bolts.preload if bracket.bolts.has("preload") else job.strengths.least_preload(bracket.bolts)
    pull = bolts.most_pull()
    share = Spot((1 - bolts.constant(job.parent_material(bracket))) * pull.value / preload)
    lifts = "the foot lifts, rocks and works loose"
    return share.under(pull.case).because(lifts).leaving_out(*job.loads.cases_left_out())


@rule.check(
    Attachment,
    at_most(warning="50 %", error="100 %"),
    physical_end="100 %",
    basis=common_practice("half is kept in reserve for loads that are not modelled"),
    error_basis=published(f"{SHIGLEY}, equations 8-24 and 8-29", "beyond it the bolt is loaded above its proof load"),
    change=Words("use more or thicker bolts, a higher grade or a wider pattern; or tighten to a lower preload"),
    when=bolted,
    place="bolts",
)
def unstretched(job: Job, bracket: Attachment) -> Spot:
    """Share of the pull that the most loaded bolt carries itself, of what its preload leaves of the proof load."""
    bolts = job.bolts_of(bracket)
    left = job.strengths.proof_load(bracket.bolts) - job.strengths.preload(bracket.bolts)
    if left <= 0.0:
        raise CannotTell("the preload leaves nothing of the proof load; bolt-tightening has that")
    pull = bolts.most_pull()
    share = Spot(bolts.constant(job.parent_material(bracket)) * pull.value / left)
    stretch = "the bolts stretch and lose their clamp"
    return share.under(pull.case).because(stretch).leaving_out(*job.loads.cases_left_out())


def screwed_in(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where the bolts are screwed into tapped holes."""
    return bolted(job, bracket) or ("nuts hold the bolts" if bracket.bolts.threaded_into == "nut" else None)


# Least length of thread in a tapped hole, in diameters.
ENGAGED = {"aluminium": 2.0, "gray-iron": 1.5, "ductile-iron": 1.5, "malleable-iron": 1.5, "unknown-casting": 1.5}


def least_engaged(job: Job, bracket: Attachment) -> float:
    return ENGAGED.get(job.parent_material(bracket), 1.0) * job.strengths.diameter(bracket.bolts)


@rule.check(
    Attachment,
    at_least(error="100 %", of=least_engaged, amounts=Dimension.LENGTH),
    basis=common_practice("a thread of one diameter in steel, one and a half in iron, two in aluminium"),
    change=(
        Set("thread_engaged", says="engage {amount} of full thread").of(bolts_of),
        Words("tap deeper and use longer bolts, or use through bolts with nuts"),
    ),
    when=screwed_in,
    place="bolts.thread_engaged",
    effect="the thread pulls out",
)
def thread_engaged(job: Job, bracket: Attachment) -> float:
    """Length of thread in the tapped holes, as a share of the least for the metal."""
    return float(bracket.bolts.thread_engaged)


@rule.check(
    Attachment,
    at_most(error="100 %"),
    physical_end="100 %",
    basis=published(
        "NASA Reference Publication 1228, Fastener Design Manual",
        "pi d L F / 3 for a thread in a tapped hole; half of the tensile strength as its shear strength is common "
        "practice, no source",
    ),
    change=(
        Set("thread_engaged", says="engage {amount} of full thread").of(bolts_of),
        Set("torque", says="tighten the bolts to {amount}").of(bolts_of),
        Words("tap deeper and use longer bolts, or use through bolts with nuts"),
    ),
    when=screwed_in,
    place="bolts.thread_engaged",
    effect="the thread pulls out as the bolt is tightened",
)
def stripping(job: Job, bracket: Attachment) -> float:
    """Greatest preload as a share of the pull at which the tapped thread strips."""
    bolts = bracket.bolts
    preload = bolts.preload if bolts.has("preload") else job.strengths.most_preload(bolts)
    return float(preload / job.bolts_of(bracket).strips_at())
