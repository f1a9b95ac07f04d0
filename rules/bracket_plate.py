"""Plates of brackets carry their load at the root and at the hole of the joint.

Checked: for every bracket that holds a link, the lateral bar, a coilover or a strap: the stress of its plates where
they meet the foot; whether the plates buckle; and the plate around the hole of each joint, in bearing, in tear-out to
the edge, and beside the hole.

Risk: a tab bends at its root, and the joint is no longer where it was set. A hole too near the edge tears out, and the
axle steers by itself.

Worked out: the load is that of the load cases on everything that the bracket holds, or the design load where that is
larger, in the same direction; its moment is taken about the middle of the foot, from `point` or `height`. The plates
lie square to the bolt of the joint (`axis` of the joint). The moment about that bolt bends them in their plane, the
rest of it across their flat, in which a plate is weak: `gussets`, or the sides of a box, take that moment as far up as
they reach, and a `brace` that of the sideways part of the force (see `bracket-stiffeners`). The plates share the load
evenly; bending and shear are put together at the worst point.

At the hole, the load of the joint is shared evenly by the plates, and each yields at 1.8 F d t in bearing, at 1.2 F t e
in tear-out and at 2 F t b in tension beside the hole (AISC 360, J7 and D5), with the yield strength F for the tensile
one, which is more.

Above its gussets, or from the foot where there are none, a plate is a flat bar with a free end: the moment in its plane
tips it over at 1.9 E t^3 b / (6 L) (AISC 360-22, F11), and a push along it buckles it as a column; the shares of both
are added. The bolt that ties the plates together is left out, and the plate is as wide as at its root. Up to where the
gussets reach, the sides of a box hold the plate along both edges; gussets in the middle leave it two free edges (EN
1993-1-5, tables 4.1 and 4.2). For plates of other metals this is to be worked out by someone qualified. Fatigue is not
computed.

Remedy: use a thicker or wider plate, or box it in; set the hole farther from the edge.
"""

from collections.abc import Iterator

from buildcheck.api import (
    Area,
    Attachment,
    Hole,
    Job,
    Part,
    Rule,
    Sample,
    Set,
    Spot,
    Verdict,
    Words,
    at_most,
    common_practice,
    from_memory,
    made,
)

AT = "attachments.arm_frame_bracket.both"

rule = Rule(
    "bracket-plate",
    area=Area.FASTENERS,
    page=__doc__,
    samples=(
        Sample("thicker plates", {f"{AT}.bracket_thickness": "3/8 in"}),
        Sample(
            "one narrow plate without a gusset, the hole near its edge",
            {
                f"{AT}.plates": 1,
                f"{AT}.root_width": 3,
                f"{AT}.gussets.height": "1/2 in",
                f"{AT}.hole_edge": "1/2 in",
            },
            {"root": Verdict.ERROR, "buckling": Verdict.ERROR, "hole": Verdict.ERROR},
        ),
        Sample(
            "two wide plates of sheet metal with low gussets",
            {f"{AT}.gussets.height": "1/2 in", f"{AT}.bracket_thickness": "1/8 in"},
            {"root": Verdict.ERROR, "buckling": Verdict.ERROR, "hole": Verdict.ERROR},
        ),
    ),
)


def holding_a_joint(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where the bracket holds a joint."""
    return None if any(job.plates_of(bracket).holes()) else "it holds no joint"


def short_gussets(job: Job, bracket: Attachment) -> Part | None:
    """The gussets of a bracket that end below its joint."""
    return bracket.gussets if bracket.has("gussets") and job.plates_of(bracket).above_gussets() > 0.0 else None


@rule.check(
    Attachment,
    at_most(warning="50 %", error="60 %"),
    basis=common_practice("the plate stays straight under twice the load that the cases give"),
    error_basis=from_memory("AISC 360, chapter F", "a factor of 1.67 on the yield strength in bending"),
    change=(
        Set("bracket_thickness", says="make the plates {amount} thick"),
        Set("root_width", says="make the plates {amount} wide at their root"),
        Words("use more or wider plates, or box them in with gussets"),
    ),
    when=holding_a_joint,
    place="bracket_thickness",
)
def root(job: Job, bracket: Attachment) -> Spot:
    """Stress of the plates at their root, as a share of their yield strength."""
    return job.plates_of(bracket).root().because("the plates bend, and the joint moves")


@rule.check(
    Attachment,
    at_most(warning="25 %", error="33 %"),
    basis=from_memory(
        "Shigley's Mechanical Engineering Design, design factors after Vidosic",
        "a factor of 3 to 4 for loads that are uncertain",
    ),
    change=(
        Set("height", says="let the gussets reach {amount} up the plates").of(short_gussets),
        Set("bracket_thickness", says="make the plates {amount} thick"),
        Words("use thicker plates, box them in, or let the gussets reach the joint"),
    ),
    when=holding_a_joint,
    place="bracket_thickness",
)
def buckling(job: Job, bracket: Attachment) -> Spot:
    """Load on the plates as a share of that at which they buckle."""
    return job.plates_of(bracket).buckling().because("the plates fold over at once, without a warning")


def holes_of(job: Job, bracket: Attachment) -> Iterator[Hole]:
    return job.plates_of(bracket).holes()


def bracket_of(job: Job, hole: Hole) -> Attachment:
    return hole.bracket


@rule.check(
    made("hole of a joint", holes_of, of=Attachment),
    at_most(warning="25 %", error="33 %"),
    basis=from_memory(
        "Shigley's Mechanical Engineering Design, design factors after Vidosic",
        "a factor of 3 to 4 for loads that are uncertain",
    ),
    change=(
        Set("hole_edge", says="set the hole {amount} from the edge").of(bracket_of),
        Set("bracket_thickness", says="make the plates {amount} thick").of(bracket_of),
        Words("use thicker plates, more of them, or weld a washer plate around the hole"),
    ),
    place=lambda job, hole: hole.bracket.path_of("hole_edge"),
)
def hole(job: Job, hole: Hole) -> Spot:
    """Load on the joint as a share of what the plates carry at its hole."""
    return job.plates_of(hole.bracket).at_hole(hole)
