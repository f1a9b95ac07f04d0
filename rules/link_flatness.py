"""Links lie as flat as they can at ride height."""

import math
from collections.abc import Callable, Iterator
from functools import partial

from buildcheck.api import (
    Area,
    Build,
    Cure,
    Dimension,
    Finding,
    Job,
    Limit,
    Line,
    Link,
    Pair,
    Part,
    Sample,
    Verdict,
    at_most,
    common_practice,
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


def what_the_slope_does(job: Job, build: Build) -> Iterator[Finding]:
    """Fore-and-aft movement and roll steer, from the solved motion."""
    steepest = max(job.subjects("link"), key=lambda link: _steepness(job, link))
    assert isinstance(steepest, Link)
    place = steepest.path_of("frame")
    in_bump = job.axle_forward(job.lines.bump).from_ride()
    yield hold(
        FORE_AND_AFT,
        in_bump.farthest_from_zero,
        place=place,
        effect=_against_a_leaf(in_bump.end.value),
        cure=lambda target: _move_frame_ends(
            job, steepest, lambda changed: _farthest(changed.lines.bump, changed), target
        ),
    )
    yield hold(
        ROLL_STEER,
        job.roll_steer(),
        place=place,
        effect="the truck steers itself when one wheel rises",
        cure=lambda target: _move_frame_ends(job, steepest, lambda changed: changed.roll_steer().value, target),
    )
    in_droop = job.axle_forward(job.lines.droop).from_ride()
    yield hold(
        FORE_AND_AFT,
        in_droop.farthest_from_zero,
        place=place,
        effect="the tyre nears the end of its opening, and the driveshaft that of its slip",
        cure=lambda target: _move_frame_ends(
            job, steepest, lambda changed: _farthest(changed.lines.droop, changed), target
        ),
    )


def _steepness(job: Job, link: Part | Pair) -> float:
    # Rounded, so that of two links that mirror each other it is always the first.
    assert isinstance(link, Link)
    return round(abs(job.angle_at_ride("side", link).value), 9)


def _farthest(stroke: Line, job: Job) -> float:
    return job.axle_forward(stroke).from_ride().farthest_from_zero.value


def _move_frame_ends(job: Job, link: Link, quantity: Callable[[Job], float], target: float) -> Cure | None:
    """The frame ends of a link and of its like on the other side, moved up or down together."""
    alike = job.alike(link)
    what = link.as_written if len(alike) == 1 else link.label.replace(link.side, "left and right", 1)
    return job.move([each.path_of("frame", "z") for each in alike], f"the frame end of the {what}", quantity, target)


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

    To put it right: lower the frame-end bracket, or raise the axle-end bracket. A longer link slopes less over the
    same travel.
    """
    at_ride = job.angle_at_ride("side", link)
    upper = link.kind == "two-point" and link.axle.z > job.axle_centre.z
    yield hold(
        UPPER_SLOPE_AT_RIDE if upper else SLOPE_AT_RIDE,
        abs(at_ride),
        place=link.path_of("frame"),
        effect="the axle hangs below the frame end" if at_ride.value > 0 else "the axle stands above the frame end",
        cure=lambda target: _level(
            job,
            link,
            lambda changed: changed.angle_at_ride("side", changed.same(link)).value,
            math.copysign(target, at_ride.value),
        ),
    )
    slope = job.angle("side", link, job.lines.travel)
    for at_end, end in ((slope.end, "end"), (slope.start, "start")):
        yield hold(
            SLOPE_IN_TRAVEL,
            abs(at_end),
            place=link.path_of("frame"),
            effect="the joints tilt, and the axle moves on a steep part of its arc",
            cure=partial(_level_at, job, link, end, at_end.value),
        )


def _level(job: Job, link: Link, slope: Callable[[Job], float], target: float) -> Cure | None:
    return job.move(link.path_of("frame", "z"), f"the frame end of the {link.as_written}", slope, target)


def _level_at(job: Job, link: Link, end: str, now: float, target: float) -> Cure | None:
    def slope(changed: Job) -> float:
        return float(getattr(changed.angle("side", changed.same(link), changed.lines.travel), end).value)

    return _level(job, link, slope, math.copysign(target, now))
