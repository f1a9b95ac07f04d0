"""Links, bar, joints and straps bear the largest load of the load cases.

Checked: the largest load on every joint of every link and of the lateral bar against the joint's rating and
against what its bolt carries in shear; the largest stress in each link against the yield strength of what it is
made of; the largest pressure along two-point links and the bar against what buckles them; and the limit straps with
the axle hanging on them.

Risk: a bent link is a truck that pulls to one side; a joint or a bolt that lets go is an axle that steers by itself.

Worked out: the load cases are equilibria of the axle: at rest, braking, bends, braking in a bend, driving,
both bump stops hit, a rock on the middle of each link, hanging on the straps, and, where the links hold the axle
more than once over, their bind at full articulation on top of the load at rest (`buildcheck loads` lists them). A
rod is bent by a strike alone; a radius arm by whatever its frame joint holds across it. The stress is that of
bending and of thrust together, M / S + F / A. A link buckles by Euler's formula where it is slender, by Johnson's
otherwise, on ends that pivot. What the spec does not state (a rating, a yield strength, a bolt) is not checked, and
named. Where a load case cannot be worked out, the number is that of the others, and where it breaks no limit it is
not checked.

A radius arm is one rigid piece on three joints that give, each by its radial stiffness. What the axle asks of it
goes through its frame joint; its two axle joints share that, and the moment that comes of its lever, with the least
work (Castigliano, from memory): across the line between them as balance has it, along that line as each is stiff.

What is taken where `load_cases` does not state it, and then told among what is assumed (common practice, no
source): a stop at 0.8 g, a bend at 0.7 g, 70 % of both when braking in a bend, a friction of 0.9 between tyre and
ground, three times the load at rest on the bump stops, and a rock with the weight on the axle. Where
`vehicle.drive_share` is not stated, this axle drives alone. What is always taken: both tyres of an axle at rest
carry the same; in a bend the axle takes the overturning by its share of the truck's mass; the driveshaft may turn
either way, and the axle's springs alone hold its torque.

Remedy: the change line says what the joint, bolt, strap or tube has to bear.
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
    published,
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

AVERAGE = from_memory(
    "Shigley's Mechanical Engineering Design, design factors after Vidosic",
    "a factor of 2 to 2.5 for loads that are known only on the average",
)

every_joint = made("joint of a link or bar", joints_of, of=Link | LateralBar)


def share(job: Job, worst: Worst, borne: float, effect: str) -> Spot:
    """The largest of the load cases as a share of what is borne; without the cases that cannot be worked out."""
    most = Spot(worst.value / borne).because(f"most in the load case {worst.case.name}; {effect}")
    return most.leaving_out(*job.loads.cases_left_out())


@rule.check(
    every_joint,
    at_most(warning="50 %", error="67 %"),
    basis=AVERAGE,
    error_basis=common_practice(
        "a static rating is what a joint bears once; a factor of 1.5 stays for what is not told"
    ),
    change=(
        Set("load_rating", says="take a joint that is rated for {amount} or more").of(lambda job, joint: joint.stated),
        Words("take a joint that is rated for more"),
    ),
)
def joint_load(job: Job, joint: JointOf[Link | LateralBar]) -> Spot:
    """Largest load on the joint as a share of its rating."""
    rating, worst = joint.stated.load_rating, job.loads.at_joint(joint.part, joint.key)
    return share(job, worst, rating, "its race spreads, or the bond of its bushing lets go")


@rule.check(
    every_joint,
    at_most(warning="50 %", error="67 %"),
    basis=AVERAGE,
    error_basis=published(
        "Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., example 8-6",
        "a design factor of 1.5 on 0.577 of the proof strength",
    ),
    place=lambda job, joint: joint.stated.bolt.path,
    change=(
        Set(
            "proof_strength",
            says="take a bolt with a proof strength of {amount} or more, or a thicker one, or one in double shear",
        ).of(lambda job, joint: joint.stated.bolt),
        Words("take a thicker bolt, one of a higher grade, or one in double shear"),
    ),
)
def joint_bolt(job: Job, joint: JointOf[Link | LateralBar]) -> Spot:
    """Largest load on the joint as a share of what its bolt carries in shear."""
    bolt, worst = joint.stated.bolt, job.loads.at_joint(joint.part, joint.key)
    return share(job, worst, job.strengths.in_shear(bolt), "the bolt bends, works in its hole and shears off")


def stock(job: Job, part: Link | LateralBar) -> Tube | Section:
    """What a link is made of: a tube, or a section of another shape."""
    return part.section if isinstance(part, Link) and part.has("section") and not part.has("tube") else part.tube


@rule.check(
    Link | LateralBar,
    at_most(warning="75 %", error="100 %"),
    basis=common_practice("a third more load than the cases tell leaves the link straight"),
    error_basis=common_practice("beyond its yield strength a link stays bent"),
    change=(
        Set(
            "yield_strength",
            says="make the {part} of a material that yields at no less than {amount}, or take a larger section",
        ).of(stock),
        Words("take a larger section, or a stronger material"),
    ),
)
def stress(job: Job, part: Link | LateralBar) -> Spot:
    """Largest stress of bending and thrust together as a share of the yield strength."""
    worst = job.loads.worst(job.strengths.stresses(part, job.loads.within(part)))
    return share(job, worst, job.strengths.yield_strength(part), "it stays bent, and the axle is no longer square")


def is_column(job: Job, part: Link | LateralBar) -> bool:
    """Whether a part is one straight piece between two joints, which a radius arm is not."""
    return not isinstance(part, Link) or part.kind != "radius-arm"


@rule.check(
    each(Link | LateralBar, where=is_column),
    at_most(warning="40 %", error="67 %"),
    basis=common_practice("a link that is not quite straight buckles sooner: a factor of 2.5"),
    error_basis=published(
        "Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., equations 4-43 and 4-46",
        "beyond the critical load nothing holds it; the factor of 1.5 on it is common practice, no source",
    ),
    place=lambda job, part: stock(job, part).path,
    change=(
        Resize("outside_diameter", says="make the {part} {amount} {way}", ways_called=("thicker", "thinner")).of(
            lambda job, part: part.tube if part.has("tube") else None
        ),
        Words(lambda job, part: f"make the {part.label} larger or thicker in section"),
    ),
)
def buckling(job: Job, part: Link | LateralBar) -> Spot:
    """Largest pressure along the link as a share of what buckles it."""
    borne = job.strengths.as_column(part)
    return share(job, job.loads.pressed(part), borne, "it folds at once, without a warning")


@rule.check(
    LimitStrap,
    at_most(warning="33 %", error="50 %"),
    basis=common_practice("an axle that drops into its straps pulls two to three times what it weighs"),
    change=(
        Set("load_rating", says="take a strap that is rated for {amount} or more"),
        Words("take a strap that is rated for more"),
    ),
    effect="the strap tears when the axle drops into it",
)
def strap_load(job: Job, strap: LimitStrap) -> float:
    """Load of the hanging axle on the strap as a share of its rating."""
    return job.loads.on_strap(strap) / strap.load_rating
