"""No joint is turned farther than it is rated for.

Checked: what the joints of each link and of the lateral bar have left to their rated misalignment, where
they have least of it in straight travel and articulation; and those of the drag link and the tie rod, where they
are rated, through travel, articulation and lock together.

Risk: a rod end past its angle levers on its own shank, and breaks there. A bushing past it tears.

Worked out: where the spec gives the direction of a joint's bolt, it is the angle by which the link stands
out of the plane square to that bolt, which it may do at ride height already; a link turns freely about its bolt. An
axle that rolls also twists a link, its one bolt against the other: two rod ends share that, since the link spins
between them to where the worse is best off, and one that faces a bushing takes it all. A radius arm is rigid, and
turns as its frame joint and its two axle joints say; of it, it is the angle by which it takes the bolt's bore
aside. Where the direction of the bolt is not given, it is the whole turn since ride height, which is more. A joint
of the steering turns with its knuckle or with the pitman arm, and needs the direction of its stud.

Remedy: a joint that is rated for more; its bracket turned, so that the joint starts from the other side;
or less travel. State the direction of the bolt, where it is not. A rubber or polyurethane joint is taken to turn by
15 deg at most, a clevis by 5 deg aside of its pin, a rod end or spherical joint by 40 deg (common practice, no
source): where that is not enough, no joint is named but another layout.
"""

from collections.abc import Iterator
from typing import Any

from buildcheck.api import (
    Area,
    Build,
    DragLink,
    Job,
    Joint,
    JointOf,
    LateralBar,
    Link,
    Resize,
    Rule,
    Sample,
    Set,
    Spot,
    TieRod,
    Verdict,
    Words,
    any_of,
    at_least,
    common_practice,
    joints_of,
    least,
    made,
)

rule = Rule(
    "joint-misalignment",
    area=Area.LINKS,
    page=__doc__,
    samples=(
        Sample("less articulation", {"travel.articulation": 10}),
        Sample(
            "frame joints that are rated for less",
            {"links.arm.both.joints.frame.misalignment": 16},
            {"misalignment-left": Verdict.ERROR},
        ),
    ),
)

# The most that joints of a kind are rated for; of a kind that is not listed, the most of any. Common practice, no
# source.
MOST_OF_ANY = "40 deg"
MOST_OF_KIND = {"polyurethane": "15 deg", "rubber": "15 deg", "clevis": "5 deg"}


def rated_for_more(most: str) -> Resize:
    """Take a joint of the same kind with a larger rating, for the kinds that are rated for so much at most."""

    def joint_of_such_a_kind(job: Job, joint: JointOf[Any]) -> Joint | None:
        kind = joint.stated.kind if joint.stated.has("kind") else ""
        return joint.stated if MOST_OF_KIND.get(kind, MOST_OF_ANY) == most else None

    says = "take a joint that is rated for {amount} more, or turn its bracket"
    return Resize("misalignment", says=says, most=most).of(joint_of_such_a_kind)


def rated_steering_joints(job: Job, build: Build) -> Iterator[JointOf[DragLink | TieRod]]:
    """The rated joints of the drag link and the tie rod."""
    steering = build.steering.given() if build.has("steering") else {}
    for rod in steering.values():
        if isinstance(rod, DragLink | TieRod) and rod.has("joints"):
            yield from (JointOf(rod, key) for key, joint in rod.joints.given().items() if joint.has("misalignment"))


def part_is_needed(job: Job, joint: JointOf[Any]) -> str | None:
    """Why the check does not apply; None where the truck needs the part."""
    if joint.path == "lateral_bar" and job.links_hold_sideways:  # the bar itself, which is not in the spec
        return "the links hold the axle sideways, and there is no lateral bar"
    return None


@rule.check(
    any_of(
        made("link joint", joints_of, of=Link),
        made("lateral bar joint", joints_of, of=LateralBar),
        made("steering joint", rated_steering_joints),
    ),
    at_least(warning="2 deg", error="0 deg"),
    basis=common_practice("a joint that comes to its end bends its own shank or its bracket, or tears its rubber"),
    when=part_is_needed,
    change=(
        *map(rated_for_more, (MOST_OF_ANY, *sorted(set(MOST_OF_KIND.values())))),
        Set(
            "misalignment",
            says="no joint of its kind turns so far: take a spherical one that is rated for {amount} or more, or turn "
            "its bracket",
            most=MOST_OF_ANY,
        ).of(lambda job, joint: joint.stated),
        Words(
            "turn its bracket, or state the direction of its bolt where the spec does not; or plan another layout, in "
            "which the link is nearer square to the bolt; or less travel"
        ),
    ),
    effect=lambda job, joint: f"the {joint.label}'s {joint.which} binds",
)
def misalignment_left(job: Job, joint: JointOf[Any]) -> Spot:
    """Misalignment that a joint has left to its rating."""
    rating, part = joint.stated.misalignment, joint.part
    if isinstance(part, DragLink | TieRod):
        return rating - job.joints.tilt(part, joint.key)
    left = least(rating - job.joints.turn(part, joint.key, line).largest for line in job.lines.cycled)
    return left.lacking(*job.lines.without_articulation)
