"""The lateral bar lies parallel to the drag link, and is as long."""

import math
from collections.abc import Callable, Iterator
from contextlib import suppress
from functools import partial
from typing import Literal

from buildcheck.api import (
    Area,
    Build,
    Cure,
    Curve,
    Dimension,
    Finding,
    Job,
    Limit,
    Missing,
    Requirement,
    Sample,
    Spot,
    Unreached,
    Verdict,
    at_most,
    common_practice,
    does_not_apply,
    harmed,
    hold,
    require,
    rule,
    within,
)

PARALLEL = common_practice("the lateral bar and the drag link run parallel and equally long, so that they swing alike")
UNFELT = common_practice("steer that comes from the road and not from the steering wheel must stay below what is felt")

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
    basis=UNFELT,
)
BUMP_STEER_TOTAL = Limit(
    "bump-steer-total",
    "steer of the road wheel between full droop and full bump, steering wheel held",
    Dimension.ANGLE,
    at_most(warning="1.5 deg", error="4 deg"),
    basis=UNFELT,
)

FRAME_END = "the frame end of the lateral bar"
LAID_OUT_ANEW = "lay the lateral bar and the drag link out anew, parallel and equally long"
NOTHING_STEERS = "nothing steers a rear axle"


def bump_steer(job: Job, build: Build) -> Iterator[Finding]:
    """Steer of the road wheels that the travel makes, and the change that would cure it."""
    if build.axle.position == "rear":
        yield does_not_apply(NOTHING_STEERS)
        return
    steer = job.steer(job.lines.travel)
    place = "lateral_bar.frame" if build.has("lateral_bar") else "steering.drag_link.pitman"
    rate = steer.slope().farthest_from_zero
    to_the_left = "to the left" if rate.value > 0 else "to the right"

    yield hold(
        BUMP_STEER_RATE,
        abs(rate),
        place=place,
        effect=f"the truck steers {to_the_left} as it rises into bump there",
        cure=partial(_without_bump_steer_over, job, lambda steer: abs(steer.slope().farthest_from_zero.value)),
    )
    yield hold(
        BUMP_STEER_TOTAL,
        steer.spread,
        place=place,
        effect="the truck wanders over every bump",
        cure=partial(_without_bump_steer_over, job, lambda steer: steer.spread.value),
    )


def _without_bump_steer_over(job: Job, measure: Callable[[Curve], float], most: float) -> Cure:
    """That change; where unequal lengths leave too much over the travel, after they are made equal."""
    best = _without_bump_steer(job)
    if best is None:
        return Cure(LAID_OUT_ANEW)
    if not harmed(lateral_bar_parallel, job, best):
        changed = job.changed_by(best)
        if measure(changed.steer(changed.lines.travel)) <= most:
            return best
    return best.after("make the lateral bar and the drag link equally long")


def _without_bump_steer(job: Job) -> Cure | None:
    """The end to move so that the first of bump or droop from ride height steers nothing."""
    if job.build.has("lateral_bar"):
        return job.move("lateral_bar.frame.z", FRAME_END, _rate_at_ride, 0.0)
    return job.move("steering.drag_link.pitman.z", "the pitman end of the drag link", _rate_at_ride, 0.0)


def _rate_at_ride(job: Job) -> float:
    return job.steer(job.lines.travel).slope().ride.value


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
            {"lateral_bar.frame": [5.5, 16.5, 20]},
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
    brings the rate at ride height to nothing; what is left over the travel comes from unequal lengths. Where there is
    no bar, it is the pitman end of the drag link that moves.
    """
    if build.axle.position == "rear":
        yield does_not_apply(NOTHING_STEERS)
        return
    if not build.has("lateral_bar") and job.links_hold_sideways:
        yield does_not_apply("triangulated links hold the axle sideways; there is no bar to be parallel")
        return
    bar = build.lateral_bar
    if build.steering.has("layout") and build.steering.layout == "push-pull":
        yield does_not_apply("the drag link runs fore and aft; its bump steer alone can be held to a limit")
        return
    yield require(
        SAME_WAY,
        met=(bar.frame.y > bar.axle.y) == (build.steering.drag_link.pitman.y > build.steering.drag_link.arm.y),
        found=f"the bar's frame end is on the {_side(bar.frame.y)}",
        wanted=f"the bar's frame end on the {_side(build.steering.drag_link.pitman.y)}, as the pitman arm is",
        place=bar.path_of("frame"),
        effect="bar and drag link swing opposite ways, and the truck steers itself over every bump",
        cure="turn the bar about, so that its frame end is on the pitman arm's side",
    )
    front = _angle("front", job)
    yield hold(
        FRONT_VIEW,
        abs(front),
        place=bar.path_of("frame"),
        effect="bar and drag link swing on different arcs",
        cure=lambda target: _parallel_in_front_view(job, math.copysign(target, front.value)),
    )
    plan = _angle("plan", job)
    yield hold(
        PLAN_VIEW,
        abs(plan),
        place=bar.path_of("frame"),
        effect="the bar pulls the axle aside on another arc than the drag link's",
        cure=lambda target: _move_if_whole(
            job, "lateral_bar.frame.x", partial(_angle_value, "plan"), math.copysign(target, plan.value)
        ),
    )
    yield hold(
        LENGTH_RATIO,
        _length_ratio(job),
        place=bar.path_of("frame"),
        effect="arcs of unequal radius part as the axle moves",
        cure=partial(_move_if_whole, job, "lateral_bar.frame.y", _length_ratio),
    )


def _angle(view: Literal["front", "plan"], job: Job) -> Spot:
    return job.bar_to_drag_link(view, job.lines.travel).ride


def _angle_value(view: Literal["front", "plan"], job: Job) -> float:
    return _angle(view, job).value


def _length_ratio(job: Job) -> float:
    return job.drag_link_length / job.made_length(job.build.lateral_bar)


def _parallel_in_front_view(job: Job, target: float) -> Cure:
    """The change that rids the truck of its bump steer, where that makes bar and drag link parallel enough too: one bar
    cannot be moved twice."""
    with suppress(Missing, Unreached):  # where the steer cannot be told, the angle can
        best = _without_bump_steer(job)
        if (
            best
            and abs(_angle("front", job.changed_by(best)).value) <= abs(target)
            and not harmed(lateral_bar_parallel, job, best)
        ):
            return best
    return _move_if_whole(job, "lateral_bar.frame.z", partial(_angle_value, "front"), target)


def _move_if_whole(job: Job, path: str, quantity: Callable[[Job], float], target: float) -> Cure:
    """The bar's frame end moved along one axis; where that harms what else this rule holds, bar and link anew."""
    moved = job.move(path, FRAME_END, quantity, target)
    return moved if moved and not harmed(lateral_bar_parallel, job, moved) else Cure(LAID_OUT_ANEW)


def _side(y: float) -> str:
    return "left" if y > 0 else "right"
