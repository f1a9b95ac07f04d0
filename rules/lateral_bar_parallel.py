"""The lateral bar lies parallel to the drag link, and is as long."""

from collections.abc import Iterator

from buildcheck.api import (
    Area,
    Build,
    Cure,
    Dimension,
    Finding,
    Job,
    Limit,
    Requirement,
    Sample,
    Spot,
    Verdict,
    at_most,
    common_practice,
    hold,
    require,
    rule,
    within,
)

PARALLEL = common_practice("the lateral bar and the drag link run parallel and equally long, so that they swing alike")
FELT = common_practice("steer that comes from the road and not from the steering wheel must stay below what is felt")

SAME_WAY = Requirement(
    "same-way", "the lateral bar runs the same way across the truck as the drag link", basis=PARALLEL
)
FRONT_VIEW = Limit(
    "front-view-angle",
    "angle between the lateral bar and the drag link, seen from the front",
    Dimension.ANGLE,
    at_most(warning="2 deg", error="5 deg"),
    basis=PARALLEL,
)
PLAN_VIEW = Limit(
    "plan-view-angle",
    "angle between the lateral bar and the drag link, seen from above",
    Dimension.ANGLE,
    at_most(warning="6 deg", error="12 deg"),
    basis=PARALLEL,
)
LENGTH_RATIO = Limit(
    "length-ratio",
    "length of the drag link as a share of the lateral bar's",
    Dimension.RATIO,
    within(warning=("85 %", "118 %"), error=("70 %", "143 %")),
    basis=PARALLEL,
)
BUMP_STEER_RATE = Limit(
    "bump-steer-rate",
    "steer of the road wheel for each unit of travel, steering wheel held, where it is worst",
    Dimension.ANGLE_PER_LENGTH,
    at_most(warning="0.25 deg/in", error="0.75 deg/in"),
    basis=FELT,
)
BUMP_STEER_TOTAL = Limit(
    "bump-steer-total",
    "steer of the road wheel between full droop and full bump, steering wheel held",
    Dimension.ANGLE,
    at_most(warning="1.5 deg", error="4 deg"),
    basis=FELT,
)

FRAME_END_HEIGHT = "lateral_bar.frame.z"
FRAME_END = "the frame end of the lateral bar"


def bump_steer(job: Job, build: Build) -> Iterator[Finding]:
    """Steer of the road wheels that the travel makes, and the bar's change that would cure it."""
    if build.axle.position == "rear":
        return  # nothing steers it
    steer = job.steer(job.heave)
    place = "lateral_bar.frame" if build.has("lateral_bar") else "steering.drag_link.pitman"
    rate = steer.slope().farthest_from_zero
    to_the_left = "to the left" if rate.value > 0 else "to the right"
    effect = f"the truck steers {to_the_left} as it rises into bump there"

    def cure(_: float) -> Cure | None:
        return job.move(FRAME_END_HEIGHT, FRAME_END, _rate_at_ride, 0.0) if build.has("lateral_bar") else None

    yield hold("bump-steer-rate", abs(rate), place=place, effect=effect, cure=cure)
    yield hold("bump-steer-total", Spot(steer.spread, steer.farthest_from_zero.pose), place=place, cure=cure)


def _rate_at_ride(job: Job) -> float:
    return job.steer(job.heave).slope().ride.value


@rule(
    "lateral-bar-parallel",
    area=Area.BAR_AND_STEERING,
    subject="build",
    also=(("build", bump_steer),),
    limits=(SAME_WAY, FRONT_VIEW, PLAN_VIEW, LENGTH_RATIO, BUMP_STEER_RATE, BUMP_STEER_TOTAL),
    samples=(
        Sample(
            "the bar half an inch lower at both ends",
            {"lateral_bar.frame": [5.5, 16.5, 22.25], "lateral_bar.axle": [5.5, -16.5, 19.4]},
        ),
        Sample(
            "the bar's frame end too low",
            {"lateral_bar.frame": [5.5, 16.5, 20.5]},
            {
                "front-view-angle": Verdict.WARNING,
                "bump-steer-rate": Verdict.ERROR,
                "bump-steer-total": Verdict.ERROR,
            },
        ),
    ),
)
def lateral_bar_parallel(job: Job, build: Build) -> Iterator[Finding]:
    """The lateral bar lies parallel to the drag link, and is as long.

    What it checks: the angle between the lateral bar and a crossover drag link, seen from the front and from above, the
    ratio of their lengths, and the bump steer that follows: its worst rate, where in the travel that stands, and its
    total between full droop and full bump.

    Why: as the axle rises, the lateral bar swings it sideways on an arc. The drag link swings the steering arm on an
    arc of its own. Where the two arcs differ, the road wheels steer with the steering wheel held still.

    How it is computed: the angles are those of the lines between joint centres at ride height. The steer is that of the
    road wheel which the drag link moves, from the solved motion: the knuckle turns about its kingpin so that the drag
    link keeps its length (A cos d + B sin d = C, the intersection of a circle with a sphere), and the yaw of the axle
    adds to it. Steer is the angle, seen from above, between the truck's middle line and the line in which the wheel's
    plane cuts the floor.

    To put it right: move the bar's frame end up or down until it runs parallel to the drag link. The change given
    brings the rate at ride height to nothing; what is left over the travel comes from unequal lengths.
    """
    if build.axle.position == "rear":
        return  # nothing steers it
    if not build.has("lateral_bar") and job.links_hold_sideways:
        return  # triangulated links hold the axle sideways; there is no bar to be parallel
    bar = build.lateral_bar
    if build.steering.has("layout") and build.steering.layout == "push-pull":
        return  # the drag link runs fore and aft; only the bump steer itself can be held to a limit
    yield require(
        "same-way",
        met=(bar.frame.y > bar.axle.y) == (build.steering.drag_link.pitman.y > build.steering.drag_link.arm.y),
        found=f"the bar's frame end is on the {_side(bar.frame.y)}",
        wanted=f"the bar's frame end on the {_side(build.steering.drag_link.pitman.y)}, as the pitman arm is",
        place=bar.path_of("frame"),
        effect="bar and drag link swing opposite ways, and the truck steers itself over every bump",
        cure="turn the bar about, so that its frame end is on the pitman arm's side",
    )
    front = job.bar_to_drag_link("front", job.heave).ride
    yield hold(
        "front-view-angle",
        abs(front),
        place=bar.path_of("frame"),
        effect="bar and drag link swing on different arcs",
        cure=lambda target: job.move(FRAME_END_HEIGHT, FRAME_END, _front_difference, _signed(target, front)),
    )
    plan = job.bar_to_drag_link("plan", job.heave).ride
    yield hold("plan-view-angle", abs(plan), place=bar.path_of("frame"))
    ratio = job.drag_link_length / job.made_length(bar)
    yield hold("length-ratio", ratio, place=bar.path_of("axle"), effect="arcs of unequal radius part as the axle moves")


def _front_difference(job: Job) -> float:
    return job.bar_to_drag_link("front", job.heave).ride.value


def _side(y: float) -> str:
    return "left" if y > 0 else "right"


def _signed(target: float, like: Spot) -> float:
    return target if like.value > 0 else -target
