"""Fillet welds on steel brackets are large enough for the steel and for the load.

Checked: on every bracket welded to steel, the leg of the fillet against the smallest and the largest leg for the
thinner of the two parts, the length of the weld, and the stress on its throat.

Risk: thick steel chills a small bead so fast that it cracks; a bead larger than the thinner part burns its edge away; a
weld that is too short tears.

Worked out: the area of the throat is 0.707 of the leg, times the length. The allowable stress on it is 0.30 of
the filler's strength, which its AWS class gives. The load is the larger of the stated design load and the load cases'
load on everything that the bracket holds; it is spread evenly along the whole length. Where a load case cannot be
computed, or the spec does not say what the bracket holds, the known load can break the limit but is never ok.

The moment about the foot bends the weld like one all round a square foot (length squared over 12, for each unit of
throat); the two stresses are added at right angles. The moment is that of the net force, at the bracket's height or
about the point of its foot, plus the couple of its joints where it holds more than one: two forces that pull against
each other turn the bracket, whatever its height. A design load larger than the net force replaces it, in the same
direction. A sideways brace takes the moment of the sideways part of the net force; the fore-and-aft and upright parts,
and the couple, remain. Where the spec gives neither the height nor the point, the stress is not checked, unless its
known part already breaks the limit.

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
        Sample("a longer weld", {"attachments.arm_frame_bracket.both.weld.length": 36}),
        Sample(
            "a small and short weld",
            {
                "attachments.arm_axle_bracket.left.weld.leg": "1/16 in",
                "attachments.arm_axle_bracket.left.weld.length": 3,
            },
            {"least-leg": Verdict.ERROR, "throat-stress": Verdict.ERROR},
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


# The share of the allowable stress that is a warning.
HALF = 0.50


def more_weld(job: Job, bracket: Attachment) -> str:
    """Advice for a longer weld, and for a sideways brace where that is enough by itself."""
    load, moment = job.bracket_load(bracket), job.bracket_moment(bracket)
    braced = job.strengths.share_of_weld(bracket.weld, load, moment.braced)
    return "make the weld {amount} long in total, or weld on a larger foot" + (
        ", or brace the bracket sideways" if braced <= HALF else ""
    )


@rule.check(
    Attachment,
    at_most(warning="50 %", error="100 %"),
    physical_end="100 %",
    basis=common_practice("half is kept in reserve for starts, craters and ends"),
    error_basis=published(
        "Budynas and Nisbett, Shigley's Mechanical Engineering Design, table 9-6",
        "0.30 of the filler's strength on the throat; 14.85 kip/in for each inch of leg of E70",
    ),
    change=(
        NextSize("length", lambda job: job.strengths.common_lengths(), says=more_weld).of(weld_of),
        Words("make the weld longer in total, or weld on a larger foot"),
    ),
    when=welded,
    place="weld.length",
    effect="the weld tears, starting at its end",
    name="throat-stress",
)
def share_of_allowable_stress(job: Job, bracket: Attachment) -> Spot:
    """Stress on the throat under the bracket's load, as a share of the allowable stress."""
    weld, load, moment = fillet_on_steel(job, bracket), job.bracket_load(bracket), job.bracket_moment(bracket)
    share = Spot(job.strengths.share_of_weld(weld, load, moment.value))
    # A load case that cannot be computed may load the bracket more than all the others.
    return share.leaving_out(moment.unknown, *job.loads.cases_left_out())
