"""The wheels turn to the stated lock, and the linkage stays clear of its dead points."""

from collections.abc import Iterator

from buildcheck.api import (
    Area,
    Build,
    Dimension,
    Finding,
    Job,
    Limit,
    Requirement,
    Sample,
    Side,
    Verdict,
    at_least,
    common_practice,
    does_not_apply,
    hold,
    require,
    rule,
)

COMES_TO_LOCK = Requirement(
    "comes-to-lock",
    "the wheels come to the stated lock, wherever the axle stands",
    basis=common_practice("the steering stops on the axle end the lock, and nothing else"),
)
ANGLE_AT_ARM = Limit(
    "angle-at-arm",
    "smallest angle between a steering link and an arm that it turns, at full lock",
    Dimension.ANGLE,
    at_least(warning="20 deg", error="10 deg"),
    basis=common_practice("near in line with its arm a link pulls hard and turns little, and may go over centre"),
)


def to_the_right(job: Job, build: Build) -> Iterator[Finding]:
    """What the rule finds to the right, whatever becomes of the left."""
    if build.axle.position == "front" or build.has("steering"):
        yield from _to_one_side(job, build, Side.RIGHT)


def _to_one_side(job: Job, build: Build, side: Side) -> Iterator[Finding]:
    steering = build.steering
    in_the_way = job.full_lock.in_the_way(side)
    yield require(
        COMES_TO_LOCK,
        met=not in_the_way,
        found=f"to the {side} {in_the_way}" if in_the_way else f"comes to full lock to the {side}",
        wanted="full lock all through the travel",
        place=steering.path_of("lock_angle"),
        effect="the wheels turn less than planned, or the linkage goes over centre",
        cure="a longer pitman arm, or a shorter steering arm; or end the lock sooner",
    )
    for rod, spot in zip((steering.drag_link, steering.tie_rod), job.full_lock.least_angles(side), strict=True):
        name = "drag link" if rod is steering.drag_link else "tie rod"
        yield hold(
            ANGLE_AT_ARM,
            spot,
            place=rod.path,
            effect=f"the {name} comes near its dead point at full lock to the {side}",
            cure=f"set the {name}'s arms more square to it, or end the lock sooner",
        )


@rule(
    "steering-lock",
    area=Area.BAR_AND_STEERING,
    subject="build",
    also=(("build", to_the_right),),
    limits=(COMES_TO_LOCK, ANGLE_AT_ARM),
    samples=(
        Sample("wheels that are turned less", {"steering.lock_angle": 20}),
        Sample(
            "wheels that are turned so far that the drag link pulls nearly in line with its arm",
            {"steering.lock_angle": 32},
            {"angle-at-arm": Verdict.WARNING},
        ),
    ),
)
def steering_lock(job: Job, build: Build) -> Iterator[Finding]:
    """The wheels turn to the stated lock, and the linkage stays clear of its dead points.

    What it checks: that the inner wheel comes to the stated lock on either side, through travel and articulation; and
    the smallest angle between the drag link and the pitman arm or steering arm, and between the tie rod and its arms,
    that is left there.

    Why: a linkage that comes in line with one of its arms stands at its dead point. Short of it the steering grows
    heavy and loose; beyond it the wheels may flip to the other side, and do not come back.

    How it is computed: the inner knuckle is turned about its kingpin until its wheel, seen from above with the axle at
    ride height, stands at the lock angle; the other one follows by the tie rod, and the pitman arm by the drag link.
    The angle is that between the link and the plane of the arm and the axis that it turns about, or, where a link moves
    a place on the other one, the plane square to the way that this place goes. Where the lock is not reached in some
    poses, an angle that is wide enough in the others is not checked. Static toe is left out.

    To put it right: a steering arm or pitman arm that stands more square to its link; a longer pitman arm, or a shorter
    steering arm; or steering stops that end the lock sooner.
    """
    if build.axle.position == "rear" and not build.has("steering"):
        yield does_not_apply("nothing steers a rear axle")
        return
    yield from _to_one_side(job, build, Side.LEFT)
