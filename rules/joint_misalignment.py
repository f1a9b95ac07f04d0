"""No joint turns beyond its rated misalignment.

Checked: the smallest misalignment in reserve at each joint of every link and of the lateral bar, in straight
travel and articulation; and at the rated joints of the drag link and the tie rod, through travel, articulation and lock
combined.

Risk: a rod end beyond its angle bends and breaks its own shank. A bushing beyond its angle tears.

Worked out: where the spec states the direction of a joint's bolt, the misalignment is the angle between the
link and the plane square to that bolt. A link may have some at ride height already; it turns freely about its bolt. A
rolling axle also twists a link, one bolt against the other: two rod ends share the twist, since the link spins to the
position that suits the worse of them; a joint opposite a bushing takes all of it. A radius arm is rigid, and its frame
joint and two axle joints fix how it turns; its misalignment is the angle by which it tilts the bore of the bolt. Where
the direction of the bolt is not stated, the whole turn since ride height counts, which is more. A joint of the steering
turns with its knuckle or with the pitman arm, and needs the direction of its stud.

Remedy: fit a joint with a higher rating; turn its bracket, so that the joint starts from the other side; or
plan less travel. State the direction of the bolt where it is missing. No change asks a rubber or polyurethane joint for
more than 15 deg, a clevis for more than 5 deg to the side of its pin, or a rod end or spherical joint for more than 40
deg (common practice, no source); beyond these another layout is needed.
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
            "frame joints with a lower rating",
            {"links.arm.both.joints.frame.misalignment": 16},
            {"misalignment-left": Verdict.ERROR},
        ),
    ),
)

# The highest ratings of joints by kind; a kind that is not listed has the highest of any. Common practice, no source.
MOST_OF_ANY = "40 deg"
MOST_OF_KIND = {"polyurethane": "15 deg", "rubber": "15 deg", "clevis": "5 deg"}


def rated_for_more(most: str) -> Resize:
    """Fit a joint of the same kind with a higher rating, for the kinds whose highest rating is `most`."""

    def joint_of_this_kind(job: Job, joint: JointOf[Any]) -> Joint | None:
        kind = joint.stated.kind if joint.stated.has("kind") else ""
        return joint.stated if MOST_OF_KIND.get(kind, MOST_OF_ANY) == most else None

    says = "fit a joint that is rated for {amount} more, or turn its bracket"
    return Resize("misalignment", says=says, most=most).of(joint_of_this_kind)


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
    physical_end="0 deg",
    basis=common_practice("a joint at the end of its movement bends its shank or its bracket, or tears its rubber"),
    when=part_is_needed,
    change=(
        *map(rated_for_more, (MOST_OF_ANY, *sorted(set(MOST_OF_KIND.values())))),
        Set(
            "misalignment",
            says="no joint of its kind turns this far: fit a spherical one rated for {amount} or more, or turn its "
            "bracket",
            most=MOST_OF_ANY,
        ).of(lambda job, joint: joint.stated),
        Words(
            "turn its bracket; or state the direction of its bolt where the spec does not; or plan less travel, or a "
            "layout with the link nearer square to the bolt"
        ),
    ),
    effect=lambda job, joint: f"the {joint.label}'s {joint.which} binds",
)
def misalignment_left(job: Job, joint: JointOf[Any]) -> Spot:
    """Joint misalignment in reserve: the rating less the largest misalignment."""
    rating, part = joint.stated.misalignment, joint.part
    if isinstance(part, DragLink | TieRod):
        return rating - job.joints.tilt(part, joint.key)
    left = least(rating - job.joints.turn(part, joint.key, line).largest for line in job.lines.cycled)
    return left.lacking(*job.lines.without_articulation)
