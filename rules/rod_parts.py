"""The rods of links and steering are made of parts that such rods have.

Checked: the outside diameter of the rods, and that they are not castings; the kind of the steering's joints, the height
of their studs, the length of thread that is screwed in, and the strength of studs and pitman arm. Values that are not
stated are not compared.

Risk: a diameter in the wrong unit makes a rod that nothing bends. A steering on rubber joints has no centre.

Worked out: by comparing with what such parts have, and by dividing one size by the other as written.

Remedy: look the part up again, on its own drawing.
"""

from collections.abc import Iterator
from typing import Any

from buildcheck.api import (
    Answer,
    Area,
    DragLink,
    Frame,
    Job,
    Joint,
    JointOf,
    LateralBar,
    Link,
    PitmanArm,
    Rule,
    Sample,
    Steering,
    Stud,
    TieRod,
    Tube,
    Verdict,
    Words,
    at_most,
    between,
    common_practice,
    each,
    made,
    met,
)

ROD = "steering.tie_rod"

rule = Rule(
    "rod-parts",
    area=Area.RECORDS,
    page=__doc__,
    samples=(
        Sample("a tie rod of 1 1/2 in", {f"{ROD}.tube.outside_diameter": 1.5}),
        Sample(
            "a tie rod as thick as an axle, on bushings",
            {f"{ROD}.tube.outside_diameter": 3.75, f"{ROD}.joints.left.kind": "rubber"},
            {"steering-rod-size": Verdict.ERROR, "steering-on-balls": Verdict.ERROR},
        ),
    ),
)

again: dict[str, Any] = {
    "change": Words("look it up again, on the part's own drawing"),
    "effect": "the rod is taken to carry what it cannot",
    "compares": True,
}


@rule.check(
    each(Tube, of=Link | LateralBar),
    between(warning=("3/4 in", "3 in"), error=("1/2 in", "4 in")),
    basis=common_practice("links and lateral bars of such trucks are of 1 1/4 to 2 1/2 in tube"),
    place="outside_diameter",
    **again,
)
def link_size(job: Job, tube: Tube) -> float:
    """Outside diameter of a link or the lateral bar."""
    return tube.outside_diameter


@rule.check(
    each(Tube, of=DragLink | TieRod),
    between(warning=("3/4 in", "2 in"), error=("1/2 in", "3 in")),
    basis=common_practice("drag links and tie rods of such trucks are of 1 to 1 3/4 in tube or bar"),
    place="outside_diameter",
    **again,
)
def steering_rod_size(job: Job, tube: Tube) -> float:
    """Outside diameter of the drag link or the tie rod."""
    return tube.outside_diameter


CAST = ("cast-steel", "gray-iron", "ductile-iron", "malleable-iron", "unknown-casting")


@rule.must(
    Tube | Frame,
    wanted="a metal that is rolled, drawn or forged",
    basis=common_practice("tubes and frame rails are rolled or drawn; castings are made to one shape"),
    place="material",
    **again,
)
def not_cast(job: Job, part: Tube | Frame) -> Answer:
    """Tubes and the frame are not castings."""
    return met(part.material not in CAST, part.material, otherwise=part.material)


def steering_joints(job: Job, steering: Steering) -> Iterator[JointOf[Any]]:
    """The joints of the drag link and the tie rod that the spec describes."""
    for rod in steering.given().values():
        if isinstance(rod, DragLink | TieRod) and rod.has("joints"):
            yield from (JointOf(rod, key) for key in rod.joints.given())


BUSHINGS = ("polyurethane", "rubber", "clevis")


@rule.must(
    made("steering joint", steering_joints, of=Steering),
    wanted="a ball: spherical or rod-end",
    basis=common_practice("a joint of the steering turns every way without give; a bushing gives first"),
    change=Words("fit a ball joint, or look up what kind it is"),
    effect="the steering has play, or binds at lock",
    compares=True,
)
def steering_on_balls(job: Job, joint: JointOf[Any]) -> Answer:
    """The joints of the steering are balls."""
    kind = joint.stated.kind
    return met(kind not in BUSHINGS, kind, otherwise=kind)


@rule.check(
    Stud,
    between(warning=("65 %", "250 %"), error=("50 %", "400 %")),
    basis=common_practice("the ball is larger than its stud, and clears the arm by a little"),
    place="height",
    **again,
)
def stud_height(job: Job, stud: Stud) -> float:
    """Height of the ball of a steering joint above its arm, as a share of its stud's diameter."""
    return stud.height / stud.diameter


@rule.check(
    Joint,
    at_most(warning="350 %", error="500 %"),
    basis=common_practice("the shank of a rod end has thread for 2 to 3 1/2 diameters"),
    place="thread_engaged",
    **again,
)
def thread_of_shank(job: Job, joint: Joint) -> float:
    """Stated thread of a joint's shank that is screwed in, as a share of its diameter."""
    return joint.thread_engaged / job.strengths.thread_of(joint).diameter


def has_root(job: Job, part: Stud | PitmanArm) -> bool:
    return isinstance(part, Stud) or part.has("root")


@rule.check(
    each(Stud | PitmanArm, where=has_root),
    between(warning=("60 ksi", "180 ksi"), error=("40 ksi", "230 ksi")),
    basis=common_practice("pitman arms and studs are forged of alloy steel that yields at 80 to 150 ksi"),
    place=lambda job, part: part.path_of("yield_strength") if isinstance(part, Stud) else part.root.path_of(YIELD),
    **again,
)
def forging_yield(job: Job, part: Stud | PitmanArm) -> float:
    """Stated yield strength of the pitman arm or of a stud of the steering."""
    return part.yield_strength if isinstance(part, Stud) else part.root.yield_strength


YIELD = "yield_strength"
