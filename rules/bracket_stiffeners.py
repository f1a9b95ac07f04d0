"""Gussets and braces carry what they keep from the plates of a bracket.

Checked: for every bracket with gussets: their bending stress where they meet the foot, the fillets at their foot, and
whether they buckle before they yield. For every bracket with a brace: the stress of its tube, its buckling, and the
fillet round each welded end, or the bolt through each bolted one; of a brace on the axle, that its far end is on the
axle (for one on the frame see `frame-parts`).

Risk: a gusset that is too small tears off first, and the plate that it held folds over next. A brace that buckles lets
a tall bracket swing, and the axle with it.

Worked out: the gussets take the whole moment that would bend the plates across their flat; see `bracket-plate`, which
also bends the plates above gussets that end below the joint. They share it evenly, without help from the plates.
They are of the metal of the bracket. The fillets at their foot lie on both sides; those along the plate are as large,
and are not computed. The brace pivots at both ends and takes the moment about the foot of the sideways part of the
force on the bracket; what it pulls or pushes along the foot is added to the load on the foot. Welds of a brace
to anything but carbon steel are to be worked out by someone qualified. Fatigue is not computed.

Remedy: let the gussets reach farther along the foot; make the brace of a larger tube, and set it nearer to the joint.
"""

from buildcheck.api import (
    Area,
    Attachment,
    Job,
    Rule,
    Sample,
    Set,
    Spot,
    Verdict,
    Words,
    at_most,
    common_practice,
    from_memory,
    published,
)

BAR = "attachments.lateral_bar_frame_bracket.left"

rule = Rule(
    "bracket-stiffeners",
    area=Area.FASTENERS,
    page=__doc__,
    samples=(
        Sample("larger gussets", {f"{BAR}.gussets.width": "4 in", f"{BAR}.gussets.thickness": "5/16 in"}),
        Sample(
            "short gussets of sheet metal, and a brace of thin tube",
            {
                f"{BAR}.design_load": "20000 lbf",
                f"{BAR}.gussets.width": "1/2 in",
                f"{BAR}.gussets.thickness": "1/8 in",
                f"{BAR}.brace.tube.outside_diameter": "1/2 in",
                f"{BAR}.brace.tube.wall": "0.05 in",
            },
            {
                "gusset": Verdict.ERROR,
                "gusset-weld": Verdict.ERROR,
                "brace-stress": Verdict.ERROR,
                "brace-buckling": Verdict.ERROR,
                "brace-weld": Verdict.ERROR,
            },
        ),
    ),
)


def gusseted(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where the bracket has gussets."""
    return None if bracket.has("gussets") else "it has no gussets"


def braced(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where the bracket has a brace."""
    return None if bracket.has("brace") else "it has no brace"


def welded(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where the bracket has a brace whose ends are welded."""
    return braced(job, bracket) or ("its brace is bolted" if bracket.brace.ends == "bolted" else None)


def bolted(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where the bracket has a brace whose ends are bolted."""
    return braced(job, bracket) or ("its brace is welded" if bracket.brace.ends == "welded" else None)


wider = Set("width", says="let the gussets reach {amount} along the foot").of(lambda job, bracket: bracket.gussets)
YIELDS = from_memory("AISC 360, chapters D and F", "a factor of 1.67 on the yield strength")


@rule.check(
    Attachment,
    at_most(warning="50 %", error="60 %"),
    basis=common_practice("a gusset stays straight under twice the load that the cases give"),
    error_basis=YIELDS,
    change=(wider, Words("use more gussets, or thicker ones")),
    when=gusseted,
    place="gussets.width",
)
def gusset(job: Job, bracket: Attachment) -> Spot:
    """Bending stress of the gussets at their foot, as a share of their yield strength."""
    return job.stiffeners_of(bracket).gusset_stress().because("the gussets bend, and the plates fold over")


@rule.check(
    Attachment,
    at_most(warning="67 %", error="100 %"),
    physical_end="150 %",
    basis=common_practice("a third is kept in reserve: the heat of the weld softens the plate"),
    error_basis=published(
        "Budynas and Nisbett, Shigley's Mechanical Engineering Design, tables 9-2, 9-4 and 9-6",
        "0.40 of the yield strength of the base metal on the legs; 0.30 of the filler's strength on the throat",
    ),
    change=(
        Set("weld_leg", says="make the fillets of the gussets {amount}").of(lambda job, bracket: bracket.gussets),
        wider,
        Words("use more gussets, or longer ones"),
    ),
    when=gusseted,
    place="gussets.weld_leg",
)
def gusset_weld(job: Job, bracket: Attachment) -> Spot:
    """Stress of the fillets at the foot of the gussets, as a share of the allowable stress."""
    return job.stiffeners_of(bracket).gusset_weld().because("the gussets tear off their foot")


@rule.check(
    Attachment,
    at_most(warning="100 %"),
    basis=from_memory(
        "AISC 360, table B4.1a, cases 1 and 6",
        "0.56 sqrt(E / F) for a plate with one free edge, 1.40 where both are held",
    ),
    change=(
        Set("thickness", says="make the gussets {amount} thick").of(lambda job, bracket: bracket.gussets),
        Words("use thicker gussets, or box the bracket in"),
    ),
    when=gusseted,
    place="gussets.thickness",
    effect="it buckles before it yields, and then holds nothing",
)
def gusset_slenderness(job: Job, bracket: Attachment) -> float:
    """Reach of the gussets over their thickness, as a share of the most that does not buckle."""
    return job.stiffeners_of(bracket).gusset_slenderness()


@rule.check(
    Attachment,
    at_most(warning="50 %", error="60 %"),
    basis=common_practice("the brace stays straight under twice the load that the cases give"),
    error_basis=YIELDS,
    change=(
        Set("yield_strength", says="make the brace of a tube with a yield strength of {amount} or more").of(
            lambda job, bracket: bracket.brace.tube
        ),
        Words("use a larger tube, or set the brace nearer to the joint and flatter"),
    ),
    when=braced,
    place="brace.tube",
)
def brace_stress(job: Job, bracket: Attachment) -> Spot:
    """Stress along the brace, as a share of its yield strength."""
    return job.stiffeners_of(bracket).brace_stress().because("the brace gives, and the bracket swings")


@rule.check(
    Attachment,
    at_most(warning="25 %", error="33 %"),
    basis=from_memory(
        "Shigley's Mechanical Engineering Design, design factors after Vidosic",
        "a factor of 3 to 4 for loads that are uncertain",
    ),
    change=(
        Set("outside_diameter", says="make the brace {amount} in diameter").of(lambda job, bracket: bracket.brace.tube),
        Words("use a larger tube, or a shorter brace"),
    ),
    when=braced,
    place="brace.tube.outside_diameter",
)
def brace_buckling(job: Job, bracket: Attachment) -> Spot:
    """Push along the brace, as a share of its buckling load."""
    return job.stiffeners_of(bracket).brace_buckling().because("the brace folds at once, without a warning")


@rule.check(
    Attachment,
    at_most(warning="67 %", error="100 %"),
    physical_end="150 %",
    basis=common_practice("a third is kept in reserve: the heat of the weld softens drawn tube"),
    error_basis=published(
        "Budynas and Nisbett, Shigley's Mechanical Engineering Design, tables 9-4 and 9-6",
        "0.40 of the yield strength of the base metal on the legs; 0.30 of the filler's strength on the throat",
    ),
    change=(
        Set("weld_leg", says="make the fillet round each end of the brace {amount}").of(
            lambda job, bracket: bracket.brace
        ),
        Words("use a larger tube, welded all round"),
    ),
    when=welded,
    place="brace.weld_leg",
)
def brace_weld(job: Job, bracket: Attachment) -> Spot:
    """Stress of the fillet round each end of the brace, as a share of the allowable stress."""
    return job.stiffeners_of(bracket).brace_weld().because("the end of the brace tears off")


@rule.check(
    Attachment,
    at_most(warning="25 %", error="33 %"),
    physical_end="100 %",
    basis=from_memory(
        "Shigley's Mechanical Engineering Design, design factors after Vidosic",
        "a factor of 3 to 4 for loads that are uncertain",
    ),
    change=(
        Set("proof_strength", says="fit bolts with a proof strength of {amount} or more").of(
            lambda job, bracket: bracket.brace.bolt
        ),
        Words("fit thicker bolts, or hold the ends between two ears"),
    ),
    when=bolted,
    place="brace.bolt",
)
def brace_bolt(job: Job, bracket: Attachment) -> Spot:
    """Force of the brace, as a share of the strength of the bolt through each end."""
    return job.stiffeners_of(bracket).brace_bolt().because("the bolt works in its hole and breaks")


ON_AXLE = ("axle-tube", "centre-section", "axle-end")


def braced_on_axle(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where the bracket is on the axle and has a brace."""
    return braced(job, bracket) or (None if bracket.parent in ON_AXLE else "it is not on the axle")


@rule.check(
    Attachment,
    at_most(warning="2 in", error="4 in"),
    basis=common_practice("castings have bosses and ribs an inch or two high beyond the ball that is drawn"),
    change=Words("measure where the brace meets the axle"),
    when=braced_on_axle,
    place="brace.far_end",
    effect="a brace that ends in the air holds nothing, and the bracket swings",
    compares=True,
)
def brace_off_axle(job: Job, bracket: Attachment) -> float:
    """Distance from the far end of a bracket's brace to the tube or the casting of the axle."""
    return job.stiffeners_of(bracket).brace_off_axle()
