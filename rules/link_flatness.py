"""Links lie as flat as they can at ride height."""

import math
from collections.abc import Callable, Iterator
from functools import partial

from buildcheck.api import (
    Area,
    Build,
    Cure,
    Curve,
    Dimension,
    Finding,
    Job,
    Limit,
    Line,
    Link,
    Point,
    Sample,
    Verdict,
    at_most,
    common_practice,
    harmed,
    hold,
    rule,
    within,
)

SLOPE_AT_RIDE = Limit(
    "slope-at-ride",
    "slope of the link in the side view at ride height",
    Dimension.ANGLE,
    at_most(warning="5 deg", error="10 deg"),
    basis=common_practice("links lie as flat as they can at ride height"),
)
UPPER_SLOPE_AT_RIDE = Limit(
    "upper-slope-at-ride",
    "slope of an upper link in the side view at ride height",
    Dimension.ANGLE,
    at_most(warning="10 deg"),
    basis=common_practice("upper links may slope on purpose, to hold the nose up under braking; not by much"),
)
SLOPE_IN_TRAVEL = Limit(
    "slope-in-travel",
    "slope of the link in the side view at the end of the travel",
    Dimension.ANGLE,
    at_most(warning="18 deg", error="25 deg"),
    basis=common_practice("a steep link moves the axle more fore and aft than up and down, and binds its joints"),
)
FORE_AND_AFT = Limit(
    "fore-and-aft",
    "farthest movement of the axle from ride height over the travel, forward positive",
    Dimension.LENGTH,
    within(warning=("-1 in", "1 in"), error=("-1 1/2 in", "1 1/2 in")),
    basis=common_practice("the tyre must clear its opening and the driveshaft must keep its slip"),
)
ROLL_STEER = Limit(
    "roll-steer",
    "yaw of the axle for each degree of roll at ride height, nose left as the left side rises positive",
    Dimension.RATIO,
    within(warning=("-8 %", "8 %"), error=("-15 %", "15 %")),
    basis=common_practice("an axle that yaws as it rolls steers the truck over every bump that lifts one wheel"),
)

SAME_ANGLE = 1e-6  # what no bevel tells, rad


def what_the_slope_does(job: Job, build: Build) -> Iterator[Finding]:
    """Fore-and-aft movement and roll steer, from the solved motion."""
    links = [link for link in job.subjects("link") if isinstance(link, Link)]
    # Rounded, so that of two links that mirror each other it is always the first.
    steepest = max(links, key=lambda link: round(abs(job.angle_at_ride("side", link).value), 9))
    place = steepest.path_of("frame")
    in_bump = job.axle_forward(job.lines.bump).from_ride()
    yield hold(
        FORE_AND_AFT,
        in_bump.farthest_from_zero,
        place=place,
        effect=_against_a_leaf(in_bump.end.value),
        cure=partial(_moved_less, job, steepest, "bump"),
    )
    yield hold(
        ROLL_STEER,
        job.roll_steer(),
        place=place,
        effect="the truck steers itself when one wheel rises",
        cure=partial(_steered_less, job, steepest),
    )
    in_droop = job.axle_forward(job.lines.droop).from_ride()
    yield hold(
        FORE_AND_AFT,
        in_droop.farthest_from_zero,
        place=place,
        effect="the tyre nears the end of its opening, and the driveshaft that of its slip",
        cure=partial(_moved_less, job, steepest, "droop"),
    )


def _steered_less(job: Job, link: Link, target: float) -> Cure:
    """The frame ends moved until the axle yaws no more than wanted as it rolls."""
    return _mirrored_first(job, link) or _or_longer(
        job, _move_frame_ends(job, link, lambda changed: changed.roll_steer().value, target)
    )


def _moved_less(job: Job, link: Link, stroke: str, target: float) -> Cure:
    """The frame ends moved until this stroke moves the axle no farther than wanted."""

    def farthest(changed: Job) -> float:
        line: Line = getattr(changed.lines, stroke)
        return changed.axle_forward(line).from_ride().farthest_from_zero.value

    return _mirrored_first(job, link) or _or_longer(job, _move_frame_ends(job, link, farthest, target))


def _mirrored_first(job: Job, link: Link) -> Cure | None:
    """In words, where a link's points are no mirror images of those on the other side: how far one of them is out
    another rule tells, and how far both must move can be told only after that."""
    name, sides = next(each for each in job.build.links.items() if link in tuple(each[1]))
    points = [each for each, value in link.given().items() if isinstance(value, Point)]
    if not sides.is_pair or all(len(job.together(link, each).parts) > 1 for each in points):
        return None
    return Cure(
        f"make the left and right {name.replace('_', ' ')} mirror images first; then move their frame ends up or down, "
        "both alike, by what is then told here"
    )


def _or_longer(job: Job, change: Cure | None) -> Cure:
    """The frame ends moved, unless what cures the one harms another; then the links are too short for the travel."""
    if change and not harmed(link_flatness, job, change):
        return change
    return Cure("take longer links, or plan less travel: what frame ends that are moved cure, they harm elsewhere")


def _move_frame_ends(job: Job, link: Link, quantity: Callable[[Job], float], target: float) -> Cure | None:
    """The frame end of a link, and of its like on the other side where that stands the same, moved up or down."""
    moved = job.together(link, "frame")
    return job.move(moved.paths("frame", "z"), f"the frame end of the {moved.label}", quantity, target)


def _against_a_leaf(forward: float) -> str:
    if forward > 0:
        return "compressing moves the axle forward, where a leaf spring with its shackle behind moved it rearward"
    return "compressing moves the axle rearward"


@rule(
    "link-flatness",
    area=Area.LINKS,
    subject="link",
    also=(("build", what_the_slope_does),),
    limits=(SLOPE_AT_RIDE, UPPER_SLOPE_AT_RIDE, SLOPE_IN_TRAVEL, FORE_AND_AFT, ROLL_STEER),
    samples=(
        Sample("the frame ends lower", {"links.arm.both.frame": [-37, 16.5, 17]}),
        Sample(
            "the frame ends far too high",
            {"links.arm.both.frame": [-37, 16.5, 24.6]},
            {
                "slope-at-ride": Verdict.ERROR,
                "slope-in-travel": Verdict.WARNING,
                "fore-and-aft": Verdict.ERROR,
                "roll-steer": Verdict.ERROR,
            },
        ),
    ),
)
def link_flatness(job: Job, link: Link) -> Iterator[Finding]:
    """Links lie as flat as they can at ride height.

    What it checks: the slope of every link in the side view at ride height (an upper link, which holds the axle above
    its centre, is let slope more), at full bump and at full droop, and what that slope does to the axle: how far it
    moves fore and aft over the travel, and how much it yaws as it rolls.

    Why: a sloped link swings the axle fore and aft as the wheel rises. With the axle end lower than the frame end,
    compressing moves the axle toward the link's level position: forward, for a link that trails to the rear, where
    the old leaf spring moved it rearward. When only one wheel rises, only its side moves, and the axle steers the
    truck. The slope also decides how much the truck dives under braking and how hard the joints are tilted.

    How it is computed: the slope is the angle between the line from joint centre to joint centre and the floor; for a
    radius arm the line runs to the middle of its two axle joints. The movement and the yaw come from the solved motion
    of the whole axle, not from the angle.

    To put it right: lower the frame-end bracket, or raise the axle-end bracket, on both sides alike. A longer link
    slopes less over the same travel; where the link is too steep at both ends of it, nothing else helps.
    """
    at_ride = job.angle_at_ride("side", link)
    upper = link.kind == "two-point" and link.axle.z > job.axle_centre.z
    yield hold(
        UPPER_SLOPE_AT_RIDE if upper else SLOPE_AT_RIDE,
        abs(at_ride),
        place=link.path_of("frame"),
        effect="the axle hangs below the frame end" if at_ride.value > 0 else "the axle stands above the frame end",
        cure=partial(_level_at_ride, job, link),
    )
    slope = job.angle("side", link, job.lines.travel).farthest_from_zero
    yield hold(
        SLOPE_IN_TRAVEL,
        abs(slope),
        place=link.path_of("frame"),
        effect="the joints tilt, and the axle moves on a steep part of its arc",
        cure=partial(_level_in_travel, job, link),
    )


def _level_at_ride(job: Job, link: Link, target: float) -> Cure:
    """The frame end moved until the steeper of the links that move with it slopes no more than wanted."""
    first = _mirrored_first(job, link)
    if first:
        return first

    def slope(changed: Job, part: Link) -> float:
        return changed.angle_at_ride("side", changed.same(part)).value

    steeper = max(job.together(link, "frame").parts, key=lambda part: abs(slope(job, part)))
    aim = math.copysign(target, slope(job, steeper))
    return _or_longer(job, _move_frame_ends(job, link, lambda changed: slope(changed, steeper), aim))


def _level_in_travel(job: Job, link: Link, target: float) -> Cure:
    """The frame end moved until the steeper end of the travel is as wanted; where the other end then is steeper, until
    both are alike. Where they still are too steep the link is too short for the travel."""
    first = _mirrored_first(job, link)
    if first:
        return first

    def slope(changed: Job, part: Link) -> Curve:
        return changed.angle("side", changed.same(part), changed.lines.travel)

    def steepest(changed: Job, part: Link) -> float:
        return slope(changed, part).farthest_from_zero.value

    steeper = max(job.together(link, "frame").parts, key=lambda part: abs(steepest(job, part)))
    now = slope(job, steeper)
    end = max(("start", "end"), key=lambda name: abs(getattr(now, name).value))

    def at_end(changed: Job) -> float:
        return float(getattr(slope(changed, steeper), end).value)

    def unlike(changed: Job) -> float:
        return slope(changed, steeper).start.value + slope(changed, steeper).end.value

    for quantity, aim in ((at_end, math.copysign(target, at_end(job))), (unlike, 0.0)):
        change = _move_frame_ends(job, link, quantity, aim)
        if (
            change
            and not harmed(link_flatness, job, change)
            and abs(steepest(job.changed_by(change), steeper)) <= target + SAME_ANGLE
        ):
            return change
    # The axle end rises by as much whatever the link, so a link that is longer by this share is that much flatter.
    longer = (math.sin(now.start.value) - math.sin(now.end.value)) / (2 * math.sin(target))
    return Cure(
        f"no height of its frame end levels both ends of the travel: take a longer {link.label.split(' ', 1)[-1]}, of "
        "{amount} or more, or plan less travel",
        job.drawn_length(steeper) * abs(longer),
        Dimension.LENGTH,
    )
