"""No joint is turned farther than it is rated for."""

from collections.abc import Iterator
from functools import partial

from buildcheck.api import (
    Area,
    Build,
    Cure,
    Dimension,
    DragLink,
    Finding,
    Job,
    Joint,
    LateralBar,
    Limit,
    Link,
    Sample,
    Spot,
    TieRod,
    Verdict,
    at_least,
    common_practice,
    does_not_apply,
    hold,
    rule,
)

LEFT = Limit(
    "misalignment-left",
    "misalignment that a joint has left to its rating",
    Dimension.ANGLE,
    at_least(warning="2 deg", error="0 deg"),
    basis=common_practice("a joint that comes to its end bends its own shank or its bracket, or tears its rubber"),
)


def _over_travel(job: Job, part: Link | LateralBar, key: str) -> Iterator[Finding]:
    joint: Joint = getattr(part.joints, key)
    rating = joint.misalignment
    for line in (job.lines.travel, job.lines.articulation):
        yield _held(joint, rating - job.joints.turn(part, key, line).largest, part.label, key)


def _held(joint: Joint, left: Spot, label: str, key: str) -> Finding:
    end = {"axle_upper": "upper axle", "axle_lower": "lower axle"}.get(key, key)
    return hold(
        LEFT,
        left,
        place=joint.path_of("misalignment"),
        effect=f"the {label}'s {end} joint binds",
        cure=partial(_turns_more, joint, f"{label}'s {end} end", left.value),
    )


def _turns_more(joint: Joint, end: str, left: float, target: float) -> Cure:
    more = target - left
    words = f"take a joint at the {end} that is rated for {{amount}} more, or turn its bracket"
    return Cure(words, more, Dimension.ANGLE, joint.path_of("misalignment"), more)


def _axle_end(key: str, job: Job, link: Link) -> Iterator[Finding]:
    """The joint of a link at one place of the axle."""
    if (link.kind == "radius-arm") == (key != "axle"):
        yield from _over_travel(job, link, key)


def _lateral_bar(key: str, job: Job, build: Build) -> Iterator[Finding]:
    """The joint at one end of the lateral bar."""
    if not build.has("lateral_bar") and job.links_hold_sideways:
        yield does_not_apply("the links hold the axle sideways, and there is no lateral bar")
        return
    yield from _over_travel(job, build.lateral_bar, key)


def _steering(rod_key: str, key: str, job: Job, build: Build) -> Iterator[Finding]:
    """The joint at one end of the drag link or tie rod, where it is rated."""
    if not (build.has("steering") and build.steering.has(rod_key)):
        return
    rod: DragLink | TieRod = getattr(build.steering, rod_key)
    if not (rod.has("joints") and rod.joints.has(key) and getattr(rod.joints, key).has("misalignment")):
        return
    joint: Joint = getattr(rod.joints, key)
    left = joint.misalignment - job.joints.tilt(rod, key)
    yield _held(joint, left, rod_key.replace("_", " "), key)


@rule(
    "joint-misalignment",
    area=Area.LINKS,
    subject="link",
    also=(
        *(("link", partial(_axle_end, key)) for key in ("axle", "axle_upper", "axle_lower")),
        *(("build", partial(_lateral_bar, key)) for key in ("frame", "axle")),
        *(("build", partial(_steering, "drag_link", key)) for key in ("pitman", "arm")),
        *(("build", partial(_steering, "tie_rod", key)) for key in ("left", "right")),
    ),
    limits=(LEFT,),
    samples=(
        Sample("less articulation", {"travel.articulation": 10}),
        Sample(
            "frame joints that are rated for less",
            {"links.arm.both.joints.frame.misalignment": 16},
            {"misalignment-left": Verdict.ERROR},
        ),
    ),
)
def joint_misalignment(job: Job, link: Link) -> Iterator[Finding]:
    """No joint is turned farther than it is rated for.

    What it checks: what the joints of each link and of the lateral bar have left to their rated misalignment, through
    straight travel and through articulation; and those of the drag link and the tie rod, where they are rated, through
    travel, articulation and lock together.

    Why: a rod end past its angle levers on its own shank, and breaks there. A bushing past it tears.

    How it is computed: where the spec gives the direction of a joint's bolt, it is the angle by which the link stands
    out of the plane square to that bolt, which it may do at ride height already; a link turns freely about its bolt. A
    radius arm is rigid, and turns as its frame joint and its two axle joints say; of it, it is the angle by which it
    takes the bolt's bore aside. Where the direction of the bolt is not given, it is the whole turn since ride height,
    which is more. A joint of the steering turns with its knuckle or with the pitman arm, and needs the direction of its
    stud.

    To put it right: a joint that is rated for more; its bracket turned, so that the joint starts from the other side;
    or less travel. State the direction of the bolt, where it is not.
    """
    yield from _over_travel(job, link, "frame")
