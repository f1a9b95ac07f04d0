"""Links are close to level at ride height.

Checked: the slope of every link in the side view at ride height and over the travel (an upper link, which holds
the axle above its centre, may slope more at ride height); the fore-and-aft movement of the axle over the travel; and
its yaw as it rolls.

Risk: a sloped link moves the axle fore and aft as the wheel rises. With the axle end lower than the frame end, bump
moves the axle toward the link's level position: forward, for a link that trails to the rear, where a leaf spring moved
it rearward. When only one wheel rises, only its side moves, and the axle steers the truck. The slope also affects brake
dive and the tilt of the joints.

Worked out: the slope is the angle between the floor and the line from joint centre to joint centre; for a
radius arm the line runs to the middle of its two axle joints. The movement and the yaw come from the solved motion of
the whole axle.

Remedy: bring the two ends of the link nearer to one height, equally on both sides. A longer link slopes less
over the same travel; where a link is too steep at both ends of the travel, only a longer link helps.
"""

from buildcheck.api import (
    Area,
    Build,
    Job,
    Link,
    Move,
    Rule,
    Sample,
    Spot,
    Stroke,
    Verdict,
    Words,
    at_most,
    between,
    common_practice,
    each,
    strokes,
)

rule = Rule(
    "link-flatness",
    area=Area.LINKS,
    page=__doc__,
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


def is_upper(job: Job, link: Link) -> bool:
    return link.kind == "two-point" and link.axle.z > job.axle_centre.z


def is_not_upper(job: Job, link: Link) -> bool:
    return not is_upper(job, link)


def steepest_link(job: Job, _: object) -> Link:
    # Rounded, so that it is always the first of two links that mirror each other.
    return max(job.links, key=lambda link: round(abs(job.angle_at_ride("side", link).value), 9))


frame_end = Move("frame", axis="z")
longer = Move("frame", axis="x", says="fit a longer {part}, with its frame end {amount} {way}")
longer_links = Words("fit longer links, or plan less travel: no height of the frame ends is enough")


@rule.check(
    each(Link, where=is_not_upper),
    at_most(warning="5 deg", error="10 deg"),
    basis=common_practice("links are close to level at ride height"),
    change=(frame_end, longer, longer_links),
)
def slope_at_ride(job: Job, link: Link) -> Spot:
    """Slope of the link in the side view at ride height."""
    slope = job.angle_at_ride("side", link)
    lower = "the axle end is lower than the frame end" if slope.value > 0 else "the axle end is above the frame end"
    return abs(slope).because(lower)


@rule.check(
    each(Link, where=is_upper),
    at_most(warning="10 deg"),
    basis=common_practice("upper links may slope a little on purpose, to reduce brake dive"),
    change=(frame_end, longer, longer_links),
)
def upper_slope_at_ride(job: Job, link: Link) -> Spot:
    """Slope of an upper link in the side view at ride height."""
    return slope_at_ride(job, link)


@rule.check(
    Link,
    at_most(warning="18 deg", error="25 deg"),
    basis=common_practice(
        "at 18 deg a link moves the axle a third of an inch fore or aft for each inch of rise, and binds its joints"
    ),
    change=(frame_end, longer, longer_links),
    effect="the joints tilt, and the axle moves on a steep part of its arc",
)
def slope_in_travel(job: Job, link: Link) -> Spot:
    """Largest slope of the link in the side view over the travel."""
    return abs(job.angle("side", link, job.lines.travel).farthest_from_zero)


@rule.check(
    strokes,
    between(warning=("-1 in", "1 in"), error=("-1 1/2 in", "1 1/2 in")),
    basis=common_practice("the tyre must clear its opening and the driveshaft must keep its slip"),
    change=(frame_end.of(steepest_link), longer.of(steepest_link), longer_links),
)
def fore_and_aft(job: Job, stroke: Stroke) -> Spot:
    """Farthest movement of the axle from ride height over the travel; forward positive."""
    movement = job.axle_forward(stroke.line).from_ride()
    if stroke.which == "droop":
        return movement.farthest_from_zero.because("less tyre clearance and less driveshaft slip")
    if movement.end.value > 0:
        return movement.farthest_from_zero.because(
            "bump moves the axle forward, where a leaf spring with its shackle behind moved it rearward"
        )
    return movement.farthest_from_zero.because("bump moves the axle rearward")


@rule.check(
    Build,
    between(warning=("-8 %", "8 %"), error=("-15 %", "15 %")),
    basis=common_practice("an axle that yaws as it rolls steers the truck over every bump under one wheel"),
    change=(frame_end.of(steepest_link), longer.of(steepest_link), longer_links),
    effect="the truck steers itself when one wheel rises",
)
def roll_steer(job: Job, build: Build) -> Spot:
    """Yaw of the axle for each degree of roll at ride height; positive where it yaws left as the left side rises."""
    return job.roll_steer()
