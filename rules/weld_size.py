"""Fillet welds of brackets on steel are neither too small for the steel nor for the load."""

from collections.abc import Iterator
from functools import partial

from buildcheck.api import (
    Area,
    Attachment,
    Cure,
    Dimension,
    Finding,
    Job,
    Limit,
    LoadCase,
    Sample,
    Unreached,
    Verdict,
    at_least,
    at_most,
    common_practice,
    does_not_apply,
    hold,
    published,
    rule,
)

# A shorter weld does not carry by its leg: AISC 360, section J2.2b.
LEAST_LENGTH_IN_LEGS = 4.0
HAIR = 1 + 1e-9

LEG = Limit(
    "least-leg",
    "leg of the fillet as a share of the least for the thinner part",
    Dimension.RATIO,
    at_least(error="100 %"),
    basis=published(
        "AISC 360, table J2.4",
        "1/8 in up to 1/4 in of steel, 3/16 in up to 1/2 in, 1/4 in up to 3/4 in, 5/16 in beyond; where the spec is in "
        "metric units, 3 mm up to 6 mm, 5 mm up to 13 mm, 6 mm up to 19 mm, 8 mm beyond",
    ),
)
ROOM = Limit(
    "largest-leg",
    "leg of the fillet as a share of the largest that the thinner part has room for",
    Dimension.RATIO,
    at_most(warning="100 %", error="150 %"),
    basis=published(
        "AISC 360, section J2.2b",
        "along an edge the thickness itself below 1/4 in (6 mm), 1/16 in (2 mm) less from there on, so that the edge "
        "still stands",
    ),
    error_basis=common_practice("half as much again burns the edge away, and the part draws out of true"),
)
LENGTH = Limit(
    "length",
    "length of the weld as a share of the least that counts, four legs",
    Dimension.RATIO,
    at_least(error="100 %"),
    basis=published("AISC 360, section J2.2b", "a fillet is at least four times as long as its leg"),
)
STRESS = Limit(
    "throat-stress",
    "stress on the throat as a share of the allowable, with the bracket's load",
    Dimension.RATIO,
    at_most(warning="50 %", error="100 %"),
    basis=common_practice("half is left for starts, craters and ends"),
    error_basis=published(
        "Budynas and Nisbett, Shigley's Mechanical Engineering Design, table 9-6",
        "0.30 of the filler's strength on the throat; 14.85 kip/in for each inch of leg of E70",
    ),
)


# How much further inside than the limit itself the aim of a change lies, of the whole way; see `HowToCure`.
INSIDE = 1 / 21


def _leg(job: Job, bracket: Attachment, aim: float, known: float) -> Cure:
    """The common size of leg nearest to the present one that is neither too small nor too large, if there is one.

    `aim` is a good share of `known`, a little inside of the limit; sizes go in steps, so it is the limit that counts.
    """
    leg, place, sizes = bracket.weld.leg, bracket.weld.path_of("leg"), job.strengths
    share = leg / known
    limit = (aim - (aim - share) * INSIDE) * known
    larger = aim > share
    size = sizes.common_leg_from(limit) if larger else sizes.common_leg_up_to(limit)
    fits = size <= sizes.largest_leg(bracket) * HAIR if larger else size * HAIR >= sizes.least_leg(bracket)
    if not fits:
        return Cure("use thicker steel: no common leg lies between the least and the largest for the thinner part")
    return Cure("make the leg {amount}", size, Dimension.LENGTH, place)


def _sized(job: Job, bracket: Attachment) -> str:
    """Why no fillet of this bracket is sized here; empty where one is."""
    if bracket.method == "bolted":
        return "it is bolted"
    for material in (job.parent_material(bracket), bracket.bracket_material):
        if "steel" not in material:
            return f"it is welded to or of {material.replace('-', ' ')}, and the tables are those for steel"
    if bracket.weld.has("kind") and bracket.weld.kind != "fillet":
        return f"it is a {bracket.weld.kind} weld"
    return ""


def strength(job: Job, bracket: Attachment) -> Iterator[Finding]:
    """The load against what the weld bears."""
    if _sized(job, bracket):
        return
    load, moment, place = job.bracket_load(bracket), job.bracket_moment(bracket), bracket.weld.path_of("length")
    whole = moment.unknown is None

    def more_weld(share: float) -> Cure:
        braced = job.strengths.share_of_weld(bracket.weld, load, moment.braced) <= share
        return Cure(
            "weld {amount} in all, or on a larger foot"
            + (", or brace the bracket sideways" if whole and braced else "")
            + ("" if whole else "; this does not yet count what is not known"),
            job.strengths.common_length(job.strengths.length_of_weld(bracket.weld, load, moment.value, share)),
            Dimension.LENGTH,
            place,
        )

    yield hold(
        STRESS,
        job.strengths.share_of_weld(bracket.weld, load, moment.value),
        place=place,
        effect="the weld tears, from its end on",
        cure=more_weld,
        # Where the load of the load cases is unknown, the moment is unknown for the same reason.
        without=moment.unknown,
    )


def length(job: Job, bracket: Attachment) -> Iterator[Finding]:
    """The length against the leg."""
    if _sized(job, bracket):
        return
    least, place = LEAST_LENGTH_IN_LEGS * bracket.weld.leg, bracket.weld.path_of("length")
    yield hold(
        LENGTH,
        bracket.weld.length / least,
        place=place,
        effect="so short a weld is all start and crater",
        cure=lambda share: Cure(
            "weld {amount} or more", job.strengths.common_length(share * least), Dimension.LENGTH, place
        ),
    )


def every_case(job: Job, case: LoadCase) -> Iterator[Finding]:
    """That no load case was left out of the brackets' loads; what it lacks is told by asking."""
    if job.build.has("attachments"):
        job.loads.tell(case.name)
    yield from ()


@rule(
    "weld-size",
    area=Area.WELDS,
    subject="attachment",
    also=(("attachment", length), ("attachment", strength), ("load-case", every_case)),
    limits=(LEG, ROOM, LENGTH, STRESS),
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
def weld_size(job: Job, bracket: Attachment) -> Iterator[Finding]:
    """Fillet welds of brackets on steel are neither too small for the steel nor for the load.

    What it checks: on every bracket that is welded to steel, the leg of the fillet against the least and the largest
    for the thinner of the two parts, the length of the weld, and the stress on its throat.

    Why: a small bead on thick steel is chilled so fast that it cracks; a bead that is larger than the thinner part
    burns its edge away; and a weld that is too short tears.

    How it is computed: the throat is 0.707 of the leg, times the length. The load is the larger of the design load that
    the spec states and what the load cases bring on all that the bracket holds, of which what is common practice and
    not stated is told with the readings. Where the load cases cannot be worked out, or where the spec does not say what
    the bracket holds, a design load alone can break the limit but is never ok. The allowable stress is 0.30 of the
    filler's strength, which its AWS class gives. The load is taken evenly along the whole length. The moment about the
    foot bends the weld as it would one all round a square foot (length squared over 12, for each unit of throat), and
    the two stresses are added at right angles. The moment is that of the net force, at the bracket's height or about
    the point of its foot, and the couple of its joints where it holds more than one: two forces that pull against each
    other turn the bracket, whatever its height. A design load that is larger than the net force replaces it, in the
    same direction. A sideways brace takes the moment of the sideways part of the net force; the fore-and-aft and the
    upright part, and the couple, remain. Where the spec gives neither the height nor the point, the stress is not
    checked, unless what is known of it already breaks the limit. Welds to cast iron are covered by
    cast-iron-attachment.

    The least leg is that of the table's inch column where the spec is in inch-pound units, and that of its metric
    column where it is in metric ones.

    To put it right: the change line gives the leg or the length, in the next common size that is enough. Where the leg
    has no room, make the foot larger.
    """
    why = _sized(job, bracket)
    if why and bracket.method == "bolted":
        yield does_not_apply(why)
        return
    if why:
        raise Unreached(f"{why}: what it bears is to be worked out by someone who knows such welds")
    for limit, known, effect in (
        (LEG, job.strengths.least_leg(bracket), "the steel chills the bead, and it cracks"),
        (ROOM, job.strengths.largest_leg(bracket), "the edge of the thinner part burns away"),
    ):
        yield hold(
            limit,
            bracket.weld.leg / known,
            place=bracket.weld.path_of("leg"),
            effect=effect,
            cure=partial(_leg, job, bracket, known=known),
        )
