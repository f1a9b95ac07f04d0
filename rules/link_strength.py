"""Links, lateral bar, joints and straps carry the largest load of the load cases.

Checked: the largest load on every joint of every link and of the lateral bar, against the joint's rating; the largest
stress in each link against its yield strength; the largest compression of two-point links and the bar against their
buckling load; and the limit straps with the axle hanging on them. joint-bolt checks the bolts through the joints.

Risk: a bent link makes the truck pull to one side. A broken joint lets the axle steer by itself.

Worked out: the load cases are equilibria of the axle: at rest, braking, cornering, both combined, driving forward and
in reverse, one wheel at a ledge or at a kerb, the wheels turned while the truck stands, a rock on the middle of each
link, both bump stops or one of them hit, hanging on both straps or on one, and, where the links hold the axle more than
once over, their bind at full articulation added to the load at rest (`buildcheck loads` lists them). Only a strike
bends a rod; a radius arm is bent by the force across it at its frame joint. The stress is that of bending and thrust
together, M / S + F / A. A slender link buckles by Euler's formula, any other by Johnson's, with pivoting ends. A link
without a stated rating or yield strength is not checked for it, and the missing value is named. Where a load case
cannot be computed, the value is that of the others; if it breaks no limit, it is not checked.

A ledge pushes back and up through the hub of one wheel, as statics of a rigid wheel at a step has it. A kerb pushes one
wheel inward, with the truck about to tip over it. The wheels of the standing truck are turned either way, straight
ahead and at full lock, against the friction of the tyres (Barton and Fieldhouse, Automotive Chassis Engineering,
example E2.1); the bar and the links hold the axle against the drag link, and the friction that helps them is left out.
On one stop or one strap the axle is rolled as far as articulation and travel together allow; the ground under the other
wheel is the second support.

A radius arm is one rigid piece on three joints, each with a radial stiffness. Its frame joint carries the whole force
of the axle on the arm. Its two axle joints share that force, and the moment of its lever, with the least work
(Castigliano, from memory): across the line between them by equilibrium, along it in proportion to their stiffness.

Where `load_cases` does not state a value, the report lists the assumed one (common practice, no source): braking at 0.8
g, cornering at 0.7 g, 70 % of both when braking in a bend, a friction of 0.9 between tyre and ground, three times the
load at rest on a bump stop, a rock with the weight on the axle, and a ledge half as high as the wheel centre; and, as
published by H. Ibrahim (Loads on Vehicle Structures, lecture notes), 1.8 times its load at rest on one wheel on rough
ground, the upper end of 1.3 to 1.8, and 1.75 times the force that tips the truck over at a kerb, the upper end of 1.4
to 1.75. Without `vehicle.drive_share`, this axle is
assumed to drive alone. Always assumed: both tyres of an axle at rest carry the same; in a bend each axle takes
overturning by its share of the truck's mass; the driveshaft may turn either way, and only the axle's springs react its
torque.

Remedy: the change line gives the strength that the joint, strap or tube needs.
"""

from buildcheck.api import (
    Area,
    Job,
    JointOf,
    LateralBar,
    LimitStrap,
    Link,
    Resize,
    Rule,
    Sample,
    Section,
    Set,
    Spot,
    Tube,
    Verdict,
    Words,
    Worst,
    at_most,
    common_practice,
    each,
    from_memory,
    joints_of,
    made,
)

rule = Rule(
    "link-strength",
    area=Area.LINKS,
    page=__doc__,
    samples=(
        Sample("a harder stop", {"load_cases": {"braking": 0.9}}),
        Sample(
            "thin tube, and small bushings at the axle",
            {
                "links.arm.both.tube.wall": "0.12 in",
                "links.arm.both.joints.axle_lower.load_rating": "7000 lbf",
            },
            {"joint-load": Verdict.ERROR, "stress": Verdict.ERROR},
        ),
    ),
)

UNCERTAIN = from_memory(
    "Shigley's Mechanical Engineering Design, design factors after Vidosic",
    "a factor of 3 to 4 for loads that are uncertain",
)

every_joint = made("joint of a link or bar", joints_of, of=Link | LateralBar)


def share(job: Job, worst: Worst, strength: float, effect: str) -> Spot:
    """The largest value of the load cases as a share of the strength, leaving out the cases that cannot be computed."""
    largest = Spot(worst.value / strength).under(f"in the {worst.case.label}")
    return largest.because(effect).leaving_out(*job.loads.cases_left_out())


@rule.check(
    every_joint,
    at_most(warning="25 %", error="33 %"),
    physical_end="100 %",
    basis=UNCERTAIN,
    change=(
        Set("load_rating", says="fit a joint rated for {amount} or more").of(lambda job, joint: joint.stated),
        Words("fit a joint with a higher rating"),
    ),
)
def joint_load(job: Job, joint: JointOf[Link | LateralBar]) -> Spot:
    """Largest load on the joint as a share of its rating."""
    rating, worst = joint.stated.load_rating, job.loads.at_joint(joint.part, joint.key)
    return share(job, worst, rating, "its race spreads, or the bond of its bushing breaks")


def section_of(job: Job, part: Link | LateralBar) -> Tube | Section:
    """The tube that a link is made of, or the section of another shape."""
    return part.section if isinstance(part, Link) and part.has("section") and not part.has("tube") else part.tube


@rule.check(
    Link | LateralBar,
    at_most(warning="50 %", error="60 %"),
    physical_end="100 %",
    basis=common_practice("the link stays straight under twice the load that the cases give"),
    error_basis=from_memory("AISC 360, chapters D and F", "a factor of 1.67 on the yield strength"),
    change=(
        Set(
            "yield_strength",
            says="make the {part} of a material with a yield strength of {amount} or more, or of a larger section",
        ).of(section_of),
        Words("use a larger section, or a stronger material"),
    ),
)
def stress(job: Job, part: Link | LateralBar) -> Spot:
    """Largest stress of bending and thrust together as a share of the yield strength."""
    worst = job.loads.worst(job.strengths.stresses(part, job.loads.within(part)))
    return share(job, worst, job.strengths.yield_strength(part), "it stays bent, and the axle is no longer square")


def is_column(job: Job, part: Link | LateralBar) -> bool:
    """Whether a part is one straight piece between two joints; a radius arm is not."""
    return not isinstance(part, Link) or part.kind != "radius-arm"


@rule.check(
    each(Link | LateralBar, where=is_column),
    at_most(warning="25 %", error="33 %"),
    physical_end="100 %",
    basis=UNCERTAIN,
    place=lambda job, part: section_of(job, part).path,
    change=(
        Resize("outside_diameter", says="make the {part} {amount} {way}", ways_called=("thicker", "thinner")).of(
            lambda job, part: part.tube if part.has("tube") else None
        ),
        Words(lambda job, part: f"make the {part.label} larger or thicker in section"),
    ),
)
def buckling(job: Job, part: Link | LateralBar) -> Spot:
    """Largest compression along the link as a share of its buckling load."""
    return share(job, job.loads.pressed(part), job.strengths.as_column(part), "it folds at once, without a warning")


@rule.check(
    LimitStrap,
    at_most(warning="25 %", error="33 %"),
    physical_end="100 %",
    basis=UNCERTAIN,
    change=(
        Set("load_rating", says="fit a strap rated for {amount} or more"),
        Words("fit a strap with a higher rating"),
    ),
)
def strap_load(job: Job, strap: LimitStrap) -> Spot:
    """Largest load of the hanging axle on the strap as a share of its rating."""
    worst, left_out = job.loads.on_strap(strap)
    share = Spot(worst.value / strap.load_rating).under(f"in the {worst.case.label}")
    return share.because("the strap tears when the axle drops into it").leaving_out(*left_out)
