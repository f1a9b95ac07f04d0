"""No joint is turned farther than it is rated for."""

import math
from collections.abc import Callable, Iterator
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
    least,
    rule,
)

LEFT = Limit(
    "misalignment-left",
    "misalignment that a joint has left to its rating",
    Dimension.ANGLE,
    at_least(warning="2 deg", error="0 deg"),
    basis=common_practice("a joint that comes to its end bends its own shank or its bracket, or tears its rubber"),
)


# The most that a joint of a kind is rated for, rad: a larger change is no cure but another layout. A kind that is not
# listed is taken for the best. Common practice, no source.
MOST_OF_ANY = math.radians(40)
MOST_OF_KIND = {
    "rod-end": MOST_OF_ANY,
    "spherical": MOST_OF_ANY,
    "polyurethane": math.radians(15),
    "rubber": math.radians(15),
    "clevis": math.radians(5),
}


def _over_travel(job: Job, part: Link | LateralBar, key: str) -> Iterator[Finding]:
    def more(target: float) -> Cure:
        """As much as the side of a pair needs that has less, where one rating is written for both."""
        pair = [each for each in job.together(part, "frame").parts if each.path == part.path]
        return _turns_more(getattr(part.joints, key), part.as_written, key, target - least(map(left, pair)).value)

    def left(each: Link | LateralBar) -> Spot:
        rating = getattr(part.joints, key).misalignment
        return least(rating - job.joints.turn(each, key, line).largest for line in job.lines.cycled)

    joint: Joint = getattr(part.joints, key)
    yield _held(part, joint, left(part), part.label, key, more)
    job.lines.need_articulation()


def _held(
    part: Link | LateralBar | DragLink | TieRod,
    joint: Joint,
    left: Spot,
    label: str,
    key: str,
    cure: Callable[[float], Cure],
) -> Finding:
    called = END.get(key, key)
    of = f"{called} joint" if isinstance(part, Link) else f"{label}'s {called} joint"
    return hold(
        LEFT,
        left,
        place=joint.path_of("misalignment"),
        of=of,
        effect=f"the {label}'s {called} joint binds",
        cure=cure,
    )


END = {"axle_upper": "upper axle", "axle_lower": "lower axle"}


def _turns_more(joint: Joint, label: str, key: str, more: float) -> Cure:
    end = f"{label}'s {END.get(key, key)} end"
    rating = joint.misalignment + more
    kind = joint.kind if joint.has("kind") else ""
    if rating <= MOST_OF_KIND.get(kind, MOST_OF_ANY):
        words = f"take a joint at the {end} that is rated for {{amount}} more, or turn its bracket"
        return Cure(words, more, Dimension.ANGLE, joint.path_of("misalignment"), more)
    turned = "turn its bracket" if joint.has("axis") else "state the direction of its bolt"
    if rating <= MOST_OF_ANY:
        return Cure(
            f"no {kind} joint turns so far: take a spherical one at the {end} that is rated for {{amount}} or more, or "
            f"{turned}",
            rating,
            Dimension.ANGLE,
            joint.path_of("misalignment"),
        )
    return Cure(
        f"no joint turns so far: {turned} at the {end}, or plan another layout, in which the link lies nearer square "
        "to the bolt; or less travel"
    )


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
    left, label = joint.misalignment - job.joints.tilt(rod, key), rod_key.replace("_", " ")
    yield _held(rod, joint, left, label, key, lambda target: _turns_more(joint, label, key, target - left.value))


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

    What it checks: what the joints of each link and of the lateral bar have left to their rated misalignment, where
    they have least of it in straight travel and articulation; and those of the drag link and the tie rod, where they
    are rated, through travel, articulation and lock together.

    Why: a rod end past its angle levers on its own shank, and breaks there. A bushing past it tears.

    How it is computed: where the spec gives the direction of a joint's bolt, it is the angle by which the link stands
    out of the plane square to that bolt, which it may do at ride height already; a link turns freely about its bolt. An
    axle that rolls also twists a link, its one bolt against the other: two rod ends share that, since the link spins
    between them to where the worse is best off, and one that faces a bushing takes it all. A radius arm is rigid, and
    turns as its frame joint and its two axle joints say; of it, it is the angle by which it takes the bolt's bore
    aside. Where the direction of the bolt is not given, it is the whole turn since ride height, which is more. A joint
    of the steering turns with its knuckle or with the pitman arm, and needs the direction of its stud.

    To put it right: a joint that is rated for more; its bracket turned, so that the joint starts from the other side;
    or less travel. State the direction of the bolt, where it is not. A rubber or polyurethane joint is taken to turn by
    15 deg at most, a clevis by 5 deg aside of its pin, a rod end or spherical joint by 40 deg (common practice, no
    source): where that is not enough, no joint is told but another layout.
    """
    yield from _over_travel(job, link, "frame")
