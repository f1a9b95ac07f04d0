"""The axle reaches its full stated travel.

Checked: everything that `buildcheck cycle` lists as an end of the travel, against the stated bump, droop and
articulation: the links, coilovers and their springs, straps, bump stops, brake lines, the driveshaft, every rated
joint, and every two parts that may touch.

Risk: each of the other rules checks one part. This one finds whatever stops the axle first.

Worked out: the axle moves from ride height to full bump and to full droop, and from level in the middle of the
travel to either side up, in twenty steps each. Each part is followed until its stroke, slack or angle is used up, or
until it touches. The first end of each motion is reported, and every later one before the end of that motion. Where a
part cannot be followed, a motion that nothing else ends is not checked.

Remedy: fit a part that follows the axle farther, move its mount, or plan less travel. The rule of that part
gives the amount.
"""

from collections.abc import Iterator
from typing import NamedTuple

from buildcheck.api import (
    Area,
    Build,
    Job,
    Missing,
    Rule,
    Sample,
    Spot,
    Unreached,
    Verdict,
    Words,
    at_least,
    common_practice,
    made,
)

rule = Rule(
    "stated-travel",
    area=Area.TRAVEL_STOPS,
    page=__doc__,
    samples=(
        Sample("less articulation", {"travel.articulation": 10}),
        Sample(
            "a brake line that is too short in droop",
            {"brake_lines.line.both.free_length": 19},
            {"travel-allowed": Verdict.ERROR},
        ),
    ),
)


class TravelEnd(NamedTuple):
    """One end of a motion: the share of the stated travel reached there, and what ends it; "" where nothing does."""

    way: str
    share: Spot
    what: str
    path: str
    which: str


def share_of(reached: float, stated: float) -> float:
    """The share of the stated travel that is reached; 1 where the stated travel is zero."""
    return reached / stated if stated else 1.0


def ends(job: Job, build: Build) -> Iterator[TravelEnd]:
    """The first end of each motion, and every later one before the end of the stated travel."""
    for way in job.travel_limits.ways:
        if not way.ends:
            yield TravelEnd(way.name, Spot(share_of(way.looked, way.stated)), "", f"travel.{way.states}", way.name)
        for number, end in enumerate(way.ends):
            if number and end.at >= way.stated:
                break
            # The first end keeps the name of its motion, so that a change that makes it come sooner counts as harm.
            which = f"{way.name}, {end.what}" if number else way.name
            yield TravelEnd(way.name, Spot(share_of(end.at, way.stated), end.pose), end.what, end.path, which)
    for path in job.travel_limits.missing:
        if path.startswith("travel"):
            raise Missing(path)


@rule.check(
    made("end of the travel", ends),
    at_least(error="100 %"),
    basis=common_practice(
        "the axle will use all of its stated travel; a part that ends it sooner is hit, bent or pulled apart"
    ),
    change=Words(
        lambda job, end: (
            f"{end.what} there: fit a part that follows the axle farther, move its mount, or state less travel"
        )
    ),
)
def travel_allowed(job: Job, end: TravelEnd) -> Spot:
    """Share of the stated travel reached before something ends it."""
    if end.share.value < 1.0:
        return end.share.because(f"{end.what} before the end of {end.way}")
    parts = [path for path in job.travel_limits.missing if not path.startswith("travel")]
    unknown = [Unreached(f"not looked at: {each}") for each in job.travel_limits.unknown]
    return end.share.lacking(*parts).leaving_out(*unknown)
