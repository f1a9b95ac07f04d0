"""The steering carries the turning of the wheels while the truck stands.

Checked: the stress and the buckling of drag link and tie rod; the load at each of their joints against its rating, and
its bolt (see joint-bolt) or its stud in bending; and the stress at the root of the pitman arm.

Risk: a steering part that bends or breaks leaves the truck without steering, at once.

Worked out: each wheel of the standing truck is turned against the friction of its tyre, M = mu W sqrt(d^2 + (a / 3)^2),
with the load W on the tyre, the offset d of its contact from the kingpin's axis on the ground, and the tyre's width as
the diameter a of the contact (D. C. Barton and J. D. Fieldhouse, Automotive Chassis Engineering, example E2.1). The
weight on the contact has its lever about the kingpin too. Equilibrium of both knuckles and both rods gives the forces;
the largest of both directions, straight ahead and at full lock to each side, counts. A rod on which the other one ends
also bends. With `steering.stabiliser.force`, the damper resists as well.

A stud bends as a cantilever from the face of its arm to the centre of its ball, 32 F h / (pi d^3). The root of the
pitman arm is a rectangle, at the sector shaft: it bends both ways, is pulled or pressed, and is twisted by the height
of the ball off the arm, all held together by the distortion energy, sqrt(sigma^2 + 3 tau^2).

Not modelled: a wheel held in a rut or against a rock, which can load the steering up to what its box gives; fatigue;
the steering arms and the knuckles; the mounts of the box. Have them checked by someone qualified.

Remedy: the change line gives the strength that is needed; or take a longer steering arm, or a shorter pitman arm.
"""

from collections.abc import Iterator

from buildcheck.api import (
    Area,
    DragLink,
    Hardest,
    Job,
    JointOf,
    Part,
    PitmanArm,
    Resize,
    Rule,
    Sample,
    Set,
    Spot,
    TieRod,
    Verdict,
    Words,
    at_most,
    from_memory,
    made,
)

rule = Rule(
    "steering-strength",
    area=Area.BAR_AND_STEERING,
    page=__doc__,
    samples=(
        Sample("a tie rod of larger tube", {"steering.tie_rod.tube.outside_diameter": "1 1/2 in"}),
        Sample(
            "a thin tie rod, and a pitman arm of half the width",
            {
                "steering.tie_rod.tube.outside_diameter": "0.75 in",
                "steering.tie_rod.tube.wall": "0.1 in",
                "steering.pitman_arm.root.width": "3/4 in",
            },
            {"rod-buckling": Verdict.ERROR, "pitman-root": Verdict.ERROR},
        ),
    ),
)

UNCERTAIN = from_memory(
    "Shigley's Mechanical Engineering Design, design factors after Vidosic",
    "a factor of 3 to 4 for loads that are uncertain, as an assumed friction is",
)


def on_steered_axle(job: Job, part: Part | JointOf[DragLink | TieRod]) -> str | None:
    return None if job.build.axle.position == "front" else "a rear axle has no steering"


def share(hardest: Hardest, strength: float, effect: str) -> Spot:
    """The largest load as a share of the strength, with the position of the wheels in which it is the largest."""
    case = f"with the wheels of the standing truck {hardest.where}"
    return Spot(hardest.value / strength).under(case).because(effect)


@rule.check(
    DragLink | TieRod,
    at_most(warning="25 %", error="33 %"),
    basis=UNCERTAIN,
    change=(
        Set(
            "yield_strength",
            says="make the {part} of a material with a yield strength of {amount} or more, or of a larger tube",
        ).of(lambda job, rod: rod.tube),
        Words("take a larger tube, or a stronger material"),
    ),
    when=on_steered_axle,
)
def rod_stress(job: Job, rod: DragLink | TieRod) -> Spot:
    """Largest stress in the tube of the drag link or the tie rod as a share of its yield strength."""
    return share(job.steering_loads.stress(rod), rod.tube.yield_strength, "it stays bent, and the wheels toe in or out")


@rule.check(
    DragLink | TieRod,
    at_most(warning="25 %", error="33 %"),
    basis=UNCERTAIN,
    change=(
        Resize("outside_diameter", says="make the {part} {amount} {way}", ways_called=("thicker", "thinner")).of(
            lambda job, rod: rod.tube
        ),
        Words("take a larger tube"),
    ),
    when=on_steered_axle,
)
def rod_buckling(job: Job, rod: DragLink | TieRod) -> Spot:
    """Largest compression along the drag link or the tie rod as a share of its buckling load."""
    loads = job.steering_loads
    return share(loads.pressed(rod), loads.as_column(rod), "it folds at once, without a warning")


def ends_of(job: Job, rod: DragLink | TieRod) -> Iterator[JointOf[DragLink | TieRod]]:
    """The joints at the ends of a rod, whether or not the spec describes them."""
    for key in ("pitman", "arm") if isinstance(rod, DragLink) else ("left", "right"):
        yield JointOf(rod, key)


def has_bolt(joint: JointOf[DragLink | TieRod]) -> bool:
    part = joint.part
    return part.has("joints") and part.joints.has(joint.key) and joint.stated.has("bolt")


def bolted_ends(job: Job, rod: DragLink | TieRod) -> Iterator[JointOf[DragLink | TieRod]]:
    yield from filter(has_bolt, ends_of(job, rod))


def ends_on_studs(job: Job, rod: DragLink | TieRod) -> Iterator[JointOf[DragLink | TieRod]]:
    """The joints without a bolt: the usual ones, on a tapered stud."""
    yield from (joint for joint in ends_of(job, rod) if not has_bolt(joint))


LOSES = "the rod comes off, and the truck no longer steers"


@rule.check(
    made("steering joint", ends_of, of=DragLink | TieRod),
    at_most(warning="25 %", error="33 %"),
    basis=UNCERTAIN,
    change=(
        Set("load_rating", says="fit a joint rated for {amount} or more").of(lambda job, joint: joint.stated),
        Words("fit a joint with a higher rating"),
    ),
    when=on_steered_axle,
)
def steering_joint_load(job: Job, joint: JointOf[DragLink | TieRod]) -> Spot:
    """Largest load on a joint of the drag link or the tie rod as a share of its rating."""
    rating = joint.stated.load_rating
    return share(job.steering_loads.at_joint(joint.part, joint.key), rating, LOSES)


@rule.check(
    made("bolted steering joint", bolted_ends, of=DragLink | TieRod),
    at_most(warning="25 %", error="33 %"),
    basis=UNCERTAIN,
    place=lambda job, joint: joint.stated.bolt.path,
    change=(
        Set(
            "proof_strength",
            says="fit a bolt with a proof strength of {amount} or more, or a thicker one, or one in double shear",
        ).of(lambda job, joint: joint.stated.bolt),
        Words("fit a thicker bolt, one of a higher grade, or one in double shear"),
    ),
    when=on_steered_axle,
)
def steering_joint_bolt(job: Job, joint: JointOf[DragLink | TieRod]) -> Spot:
    """Largest load on a joint of the drag link or the tie rod as a share of the strength of its bolt."""
    bolt, hardest = joint.stated.bolt, job.steering_loads.at_joint(joint.part, joint.key)
    strength = job.strengths.across(bolt, hardest.value)
    return share(hardest, strength, LOSES).leaving_out(*job.strengths.unknown_across(bolt, hardest.value))


@rule.check(
    made("stud of a steering joint", ends_on_studs, of=DragLink | TieRod),
    at_most(warning="25 %", error="33 %"),
    basis=UNCERTAIN,
    place=lambda job, joint: joint.stated.stud.path,
    change=(
        Set(
            "yield_strength",
            says="fit a joint whose stud has a yield strength of {amount} or more, or a thicker or shorter one",
        ).of(lambda job, joint: joint.stated.stud),
        Words("fit a joint with a thicker, shorter or stronger stud"),
    ),
    when=on_steered_axle,
)
def stud_bending(job: Job, joint: JointOf[DragLink | TieRod]) -> Spot:
    """Largest bending stress in the stud of a joint as a share of its yield strength."""
    stud = joint.stated.stud
    return share(job.steering_loads.stud_stress(joint.part, joint.key), stud.yield_strength, LOSES)


@rule.check(
    PitmanArm,
    at_most(warning="25 %", error="33 %"),
    basis=UNCERTAIN,
    place="root",
    change=(
        Resize(
            "width", says="take a pitman arm that is {amount} {way} at its root", ways_called=("wider", "narrower")
        ).of(lambda job, arm: arm.root),
        Words("take a stronger pitman arm, or a shorter one"),
    ),
    when=on_steered_axle,
)
def pitman_root(job: Job, arm: PitmanArm) -> Spot:
    """Largest stress at the root of the pitman arm as a share of its yield strength."""
    strength = arm.root.yield_strength
    return share(job.steering_loads.pitman_stress(arm), strength, "it bends or breaks, and the truck no longer steers")
