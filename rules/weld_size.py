"""Fillet welds on steel brackets are large enough for the steel and for the load.

Checked: on every bracket welded to steel, the leg of the fillet against the smallest and the largest leg for the
thinner of the two parts, the length of the weld, and the stress on its throat and in the metal beside it.

Risk: thick steel chills a small bead so fast that it cracks; a bead larger than the thinner part burns its edge away; a
weld that is too short tears.

Worked out: the load is that of the load cases on everything that the bracket holds, or the design load where that is
larger, in the same direction. `normal` divides it into a part in the plane of the foot and a part across it, and the
moment about the middle of the foot into twist and tip. The weld is taken as lines (`weld.pattern`): along them the part
in the plane is even, and the twist by the distance from the middle over J; across them the pull is even, and the tip by
the distance over I; the two are added at right angles. The spec does not say how the pattern is turned in the plane of
the foot, so the worst direction counts. Where less is welded than the lines have room for, it is spread evenly. Lines
longer than a hundred legs count less (AISC 360). One straight line does not hold a moment about itself.

The allowable stress is 0.30 of the filler's strength, which its AWS class gives, on the throat of 0.707 of the leg; and
0.40 of the yield strength of the weaker of the two metals on the leg, where the weld melts into them. A sideways brace
takes the moment of the sideways part of the force; the fore-and-aft and upright parts, and the couple of two joints
that pull against each other, remain. Where a case, the pattern, the normal or the lever is not known, the known force
can break the limit but is never ok.

Some local codes forbid or restrict welding on axle and steering parts; the page of weld-procedure names three.

Fatigue is not computed: a fillet that carries load is one of the worst details there is under repeated loads, whatever
its size (AISC 360, appendix 3, category E and worse, from memory).

The smallest leg is from the table's inch column for a spec in inch-pound units, and from its metric column for a metric
one. cast-iron-attachment checks welds to cast iron.

Remedy: the change line gives the next common leg or length that is enough. Where the leg has no room, make the
foot larger.
"""

from buildcheck.api import (
    Area,
    Attachment,
    CannotTell,
    Job,
    NextSize,
    Rule,
    Sample,
    Spot,
    Verdict,
    Weld,
    Words,
    at_least,
    at_most,
    common_practice,
    published,
)

rule = Rule(
    "weld-size",
    area=Area.WELDS,
    page=__doc__,
    samples=(
        Sample(
            "a larger foot",
            {
                "attachments.arm_frame_bracket.both.weld.pattern_length": 16,
                "attachments.arm_frame_bracket.both.weld.length": 44,
            },
        ),
        Sample(
            "a small and short weld",
            {
                "attachments.arm_axle_bracket.left.weld.leg": "1/16 in",
                "attachments.arm_axle_bracket.left.weld.length": 3,
            },
            {
                "least-leg": Verdict.ERROR,
                "throat-stress": Verdict.ERROR,
                "base-metal": Verdict.ERROR,
                "pattern-used": Verdict.ERROR,
            },
        ),
    ),
)


def welded(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where the bracket is welded."""
    return bracket.not_welded


def weld_of(job: Job, bracket: Attachment) -> Weld:
    return bracket.weld


def fillet_on_steel(job: Job, bracket: Attachment) -> Weld:
    """The weld of a bracket. Raises CannotTell for all but a fillet on steel: the tables and stresses are for these."""
    ask = "ask someone who computes such welds"
    for material in (job.parent_material(bracket), bracket.bracket_material):
        if "steel" not in material:
            metal = material.replace("-", " ")
            raise CannotTell(f"it is welded to or made of {metal}, and the tables are for steel: {ask}")
    if bracket.weld.has("kind") and bracket.weld.kind != "fillet":
        raise CannotTell(f"it is a {bracket.weld.kind} weld: {ask}")
    return bracket.weld


next_leg = NextSize("leg", lambda job: job.strengths.common_legs(), says="make the leg {amount}").of(weld_of)
thicker = Words("use thicker steel: no common leg lies between the smallest and the largest for the thinner part")


@rule.check(
    Attachment,
    at_least(error="100 %"),
    basis=published(
        "AISC 360, table J2.4",
        "1/8 in up to 1/4 in of steel, 3/16 in up to 1/2 in, 1/4 in up to 3/4 in, 5/16 in beyond; where the spec is in "
        "metric units, 3 mm up to 6 mm, 5 mm up to 13 mm, 6 mm up to 19 mm, 8 mm beyond",
    ),
    change=(next_leg, thicker),
    when=welded,
    place="weld.leg",
    effect="the steel chills the bead, and it cracks",
)
def least_leg(job: Job, bracket: Attachment) -> float:
    """Leg of the fillet as a share of the smallest leg allowed for the thinner part."""
    return fillet_on_steel(job, bracket).leg / job.strengths.least_leg(bracket)


@rule.check(
    Attachment,
    at_most(warning="100 %", error="150 %"),
    basis=published(
        "AISC 360, section J2.2b",
        "along an edge, the thickness itself below 1/4 in (6 mm); from there on 1/16 in (2 mm) less, so that the edge "
        "remains",
    ),
    error_basis=common_practice("half as much again burns the edge away and distorts the part"),
    change=(next_leg, thicker),
    when=welded,
    place="weld.leg",
    effect="the edge of the thinner part burns away",
)
def largest_leg(job: Job, bracket: Attachment) -> float:
    """Leg of the fillet as a share of the largest leg allowed for the thinner part."""
    return fillet_on_steel(job, bracket).leg / job.strengths.largest_leg(bracket)


@rule.check(
    Attachment,
    at_least(error="100 %"),
    basis=published("AISC 360, section J2.2b", "a fillet is at least four times as long as its leg"),
    change=(
        NextSize("length", lambda job: job.strengths.common_lengths(), says="weld {amount} or more").of(weld_of),
        Words("make the weld four times as long as its leg, or longer"),
    ),
    when=welded,
    place="weld.length",
    effect="so short a weld is all start and crater",
)
def length(job: Job, bracket: Attachment) -> float:
    """Length of the weld as a share of the shortest allowed, four legs."""
    weld = fillet_on_steel(job, bracket)
    return weld.length / (4 * weld.leg)


UNCERTAIN = common_practice(
    "the allowable stress has a factor of 2 on the strength of the filler; for loads that are uncertain it is 3 to 4"
)
next_length = NextSize(
    "length", lambda job: job.strengths.common_lengths(), says="make the weld {amount} long in total"
).of(weld_of)
wider_foot = NextSize(
    "pattern_width", lambda job: job.strengths.common_lengths(), says="make the foot {amount} wide, with as much weld"
).of(lambda job, bracket: bracket.weld if bracket.weld.has("pattern_width") else None)
longer_foot = NextSize(
    "pattern_length", lambda job: job.strengths.common_lengths(), says="make the foot {amount} long, with as much weld"
).of(lambda job, bracket: bracket.weld if bracket.weld.has("pattern_length") else None)
larger_foot = Words("weld on a larger foot, all round; lower the bracket, or brace it")


@rule.check(
    Attachment,
    at_most(warning="50 %", error="67 %"),
    physical_end="100 %",
    basis=UNCERTAIN,
    error_basis=published(
        "Budynas and Nisbett, Shigley's Mechanical Engineering Design, tables 9-1, 9-2 and 9-6",
        "0.30 of the filler's strength on the throat, 14.85 kip/in for each inch of leg of E70; two thirds of that are "
        "a factor of 3 on 0.60 of the strength",
    ),
    change=(next_length, next_leg, wider_foot, longer_foot, larger_foot),
    when=welded,
    place="weld.length",
    name="throat-stress",
)
def share_of_allowable_stress(job: Job, bracket: Attachment) -> Spot:
    """Stress on the throat under the bracket's load, as a share of the allowable stress."""
    fillet_on_steel(job, bracket)
    return job.weld_of(bracket).share_of_throat().because(TEARS)


TEARS = "the weld tears, starting at its end"


@rule.check(
    Attachment,
    at_most(warning="67 %", error="100 %"),
    basis=common_practice("a third is kept in reserve: the heat of the weld softens drawn tube and plate"),
    error_basis=published(
        "Budynas and Nisbett, Shigley's Mechanical Engineering Design, table 9-4",
        "0.40 of the yield strength of the base metal in shear, on the legs",
    ),
    change=(next_length, next_leg, wider_foot, longer_foot, larger_foot),
    when=welded,
    place="weld.leg",
)
def base_metal(job: Job, bracket: Attachment) -> Spot:
    """Stress on the legs of the fillet as a share of the allowable stress of the weaker base metal."""
    fillet_on_steel(job, bracket)
    return job.weld_of(bracket).share_of_base().because(PULLS_OUT)


PULLS_OUT = "the weld pulls out of the metal beside it"


@rule.check(
    Attachment,
    at_most(error="105 %"),
    basis=common_practice("a weld is no longer than the edges that it is laid on; a twentieth for the tape"),
    change=Words("measure again: the lines of the pattern have less room than the stated length of weld"),
    when=welded,
    place="weld.length",
    effect="the stress of the weld is computed for the lines of its pattern, and not for its length",
)
def pattern_filled(job: Job, bracket: Attachment) -> float:
    """Stated length of weld as a share of the length of the lines of its pattern."""
    fillet_on_steel(job, bracket)
    return job.weld_of(bracket).filled()


@rule.check(
    Attachment,
    at_least(warning="70 %", error="40 %"),
    basis=common_practice("brackets are welded along their edges; a pattern that is mostly gaps is another pattern"),
    change=Words("measure the lines of the pattern again, or weld them along their length"),
    when=welded,
    place="weld.length",
    effect="the stress of the weld is computed for lines that are mostly not welded",
)
def pattern_used(job: Job, bracket: Attachment) -> float:
    """Length of the lines of a weld's pattern that has weld on it, as a share of their length."""
    fillet_on_steel(job, bracket)
    return job.weld_of(bracket).filled()
