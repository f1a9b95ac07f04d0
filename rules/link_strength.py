"""Links, bar, joints and straps bear the largest load of the load cases, with something in hand."""

from collections.abc import Iterator
from functools import partial
from typing import Any, NamedTuple

from buildcheck.api import (
    Area,
    Cure,
    Dimension,
    Finding,
    Job,
    LateralBar,
    Limit,
    LimitStrap,
    Link,
    LoadCase,
    Missing,
    Sample,
    Verdict,
    Worst,
    at_most,
    common_practice,
    from_memory,
    hold,
    published,
    rule,
)

AVERAGE = from_memory(
    "Shigley's Mechanical Engineering Design, design factors after Vidosic",
    "a factor of 2 to 2.5 for loads that are known only on the average",
)

JOINT_LOAD = Limit(
    "joint-load",
    "largest load on the joint as a share of its rating",
    Dimension.RATIO,
    at_most(warning="50 %", error="67 %"),
    basis=AVERAGE,
    error_basis=common_practice(
        "a static rating is what a joint bears once; a factor of 1.5 stays for what is not told"
    ),
)
STRESS = Limit(
    "stress",
    "largest stress of bending and thrust together as a share of the yield strength",
    Dimension.RATIO,
    at_most(warning="75 %", error="100 %"),
    basis=common_practice("a third more load than the cases tell leaves the link straight"),
    error_basis=common_practice("beyond its yield strength a link stays bent"),
)
BUCKLING = Limit(
    "buckling",
    "largest pressure along the link as a share of what buckles it",
    Dimension.RATIO,
    at_most(warning="40 %", error="67 %"),
    basis=common_practice("a link that is not quite straight buckles sooner: a factor of 2.5"),
    error_basis=published(
        "Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., equations 4-43 and 4-46",
        "beyond the critical load nothing holds it; the factor of 1.5 on it is common practice, no source",
    ),
)
BOLT = Limit(
    "joint-bolt",
    "largest load on the joint as a share of what its bolt carries in shear",
    Dimension.RATIO,
    at_most(warning="50 %", error="67 %"),
    basis=AVERAGE,
    error_basis=published(
        "Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., example 8-6",
        "a design factor of 1.5 on 0.577 of the proof strength",
    ),
)
STRAP = Limit(
    "strap-load",
    "load of the hanging axle on the strap as a share of its rating",
    Dimension.RATIO,
    at_most(warning="33 %", error="50 %"),
    basis=common_practice("an axle that drops into its straps pulls two to three times what it weighs"),
)

AXLE_JOINTS = {"radius-arm": ("axle_upper", "axle_lower"), "two-point": ("axle",)}
CALLED = {
    "frame": "frame joint",
    "axle": "axle joint",
    "axle_upper": "upper axle joint",
    "axle_lower": "lower axle joint",
}


def _joints_of(part: Link | LateralBar) -> tuple[str, ...]:
    return ("frame", *(AXLE_JOINTS[part.kind] if isinstance(part, Link) else ("axle",)))


def _field(part: Link | LateralBar, joint: str, field: str) -> Any:
    """What the spec states of a joint; reading what it lacks raises Missing, with the place where that would stand."""
    return getattr(getattr(part.joints, joint), field)


def _at_least(words: str, load: float, dimension: Dimension, place: str, share: float) -> Cure:
    return Cure(words, load / share, dimension, place)


def _most_in(worst: Worst, what: str) -> str:
    return f"most in the load case {worst.case.name}; {what}"


class AtJoint(NamedTuple):
    """One joint of a part: what the spec states of it and where, what a person calls it, and what it carries."""

    place: str
    called: str
    worst: Worst
    stated: Any

    def effect(self, what: str) -> str:
        """What the load does, and in which case and at which joint."""
        return f"the {self.called} carries most in the load case {self.worst.case.name}; {what}"


def _each_joint(job: Job, part: Link | LateralBar, field: str) -> Iterator[AtJoint]:
    """Each joint of a part with a field of it; those that the spec tells of first, then the first that it does not, as
    Missing."""
    lacking: list[Missing] = []
    for name in _joints_of(part):
        try:
            stated = _field(part, name, field)
        except Missing as error:
            lacking.append(error)
        else:
            place = f"{part.path_of('joints')}.{name}.{field}"
            yield AtJoint(place, CALLED[name], job.loads.at_joint(part, name), stated)
    for missing in lacking:
        raise missing


def bolts(job: Job, part: Link | LateralBar) -> Iterator[Finding]:
    """Each joint's bolt in shear."""
    for joint in _each_joint(job, part, "bolt"):
        words = "take a bolt that carries {amount} in shear: thicker, of a higher grade, or in double shear"
        load = joint.worst.value
        yield hold(
            BOLT,
            load / job.strengths.in_shear(joint.stated),
            place=joint.place,
            of=joint.called,
            effect=joint.effect("its bolt bends, works in its hole and shears off"),
            cure=partial(_at_least, words, load, Dimension.FORCE, ""),
        )


def stress(job: Job, part: Link | LateralBar) -> Iterator[Finding]:
    """The largest stress in a link or the bar against what it is made of."""
    worst = job.loads.worst(job.strengths.stresses(part, job.loads.within(part)))
    stated = "section" if not part.has("tube") and part.has("section") else "tube"
    place = part.path_of(stated, "yield_strength")
    words = f"make the {part.label} of a material that yields at no less than {{amount}}, or of a larger section"
    yield hold(
        STRESS,
        worst.value / job.strengths.yield_strength(part),
        place=place,
        effect=_most_in(worst, "it stays bent, and the axle stands askew"),
        cure=partial(_at_least, words, worst.value, Dimension.PRESSURE, place),
    )


def buckling(job: Job, part: Link | LateralBar) -> Iterator[Finding]:
    """The largest pressure along a two-point link or the bar against what buckles it."""
    if isinstance(part, Link) and part.kind == "radius-arm":
        return
    carries, pressed = job.strengths.as_column(part), job.loads.pressed(part)
    place = part.path_of("tube" if part.has("tube") else "section")
    words = f"make the {part.label} larger or thicker in section, so that it bears {{amount}} before it buckles"
    yield hold(
        BUCKLING,
        pressed.value / carries,
        place=place,
        effect=_most_in(pressed, "it folds at once, without a warning"),
        cure=partial(_at_least, words, pressed.value, Dimension.FORCE, ""),
    )


def strap(job: Job, strap: LimitStrap) -> Iterator[Finding]:
    """What a limit strap carries with the axle hanging on it."""
    load, place = job.loads.on_strap(strap), strap.path_of("load_rating")
    yield hold(
        STRAP,
        load / strap.load_rating,
        place=place,
        effect="the strap tears when the axle drops into it",
        cure=partial(_at_least, "take a strap that is rated for {amount} or more", load, Dimension.FORCE, place),
    )


def every_case(job: Job, case: LoadCase) -> Iterator[Finding]:
    """That no load case was left out of all the others' loads; what it lacks is told by asking."""
    job.loads.tell(case.name)
    yield from ()


@rule(
    "link-strength",
    area=Area.LINKS,
    subject="link-or-bar",
    also=(
        ("link-or-bar", bolts),
        ("link-or-bar", stress),
        ("link-or-bar", buckling),
        ("limit-strap", strap),
        ("load-case", every_case),
    ),
    limits=(JOINT_LOAD, BOLT, STRESS, BUCKLING, STRAP),
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
def link_strength(job: Job, part: Link | LateralBar) -> Iterator[Finding]:
    """Links, bar, joints and straps bear the largest load of the load cases.

    What it checks: the largest load on every joint of every link and of the lateral bar against the joint's rating and
    against what its bolt carries in shear; the largest stress in each link against the yield strength of what it is
    made of; the largest pressure along two-point links and the bar against what buckles them; and the limit straps with
    the axle hanging on them.

    Why: a bent link is a truck that pulls to one side; a joint or a bolt that lets go is an axle that steers by itself.

    How it is computed: the load cases are equilibria of the axle: at rest, braking, bends, braking in a bend, driving,
    both bump stops hit, a rock on the middle of each link, hanging on the straps, and, where the links hold the axle
    more than once over, their bind at full articulation on top of the load at rest (`buildcheck loads` lists them). A
    rod is bent by a strike alone; a radius arm by whatever its frame joint holds across it. The stress is that of
    bending and of thrust together, M / S + F / A. A link buckles by Euler's formula where it is slender, by Johnson's
    otherwise, on ends that pivot. What the spec does not state (a rating, a yield strength, a bolt) is not checked, and
    named; so is a load case that cannot be worked out, while the others are still held.

    A radius arm is one rigid piece on three joints that give, each by its radial stiffness. What the axle asks of it
    goes through its frame joint; its two axle joints share that, and the moment that comes of its lever, with the least
    work (Castigliano, from memory): across the line between them as balance has it, along that line as each is stiff.

    What is taken where `load_cases` does not state it, and then told among what is assumed (common practice, no
    source): a stop at 0.8 g, a bend at 0.7 g, 70 % of both when braking in a bend, a friction of 0.9 between tyre and
    ground, three times the load at rest on the bump stops, and a rock with the weight on the axle. Where
    `vehicle.drive_share` is not stated, this axle drives alone. What is always taken: both tyres of an axle at rest
    carry the same; in a bend the axle takes the overturning by its share of the truck's mass; the driveshaft may turn
    either way, and the axle's springs alone hold its torque.

    To put it right: the change line says what the joint, bolt, strap or tube has to bear.
    """
    for joint in _each_joint(job, part, "load_rating"):
        load = joint.worst.value
        words = "take a joint that is rated for {amount} or more"
        yield hold(
            JOINT_LOAD,
            load / joint.stated,
            place=joint.place,
            of=joint.called,
            effect=joint.effect("its race spreads, or the bond of its bushing lets go"),
            cure=partial(_at_least, words, load, Dimension.FORCE, joint.place),
        )
