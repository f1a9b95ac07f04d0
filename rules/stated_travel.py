"""Nothing ends the travel before the spec says that it ends.

Checked: everything that `buildcheck cycle` lists as an end of the travel, against the bump, the droop and
the articulation that the spec states: the links, coilovers and their springs, straps, bump stops, brake lines, the
driveshaft, every rated joint, and every two parts that may touch.

Risk: the other rules look at one part each. Whatever they leave out still stops the axle, and the first time is on
the road.

Worked out: the axle is moved from ride height to full bump and full droop, and from level at the middle of
the travel to either side up, in twenty steps each. Each part is followed until nothing is left of its stroke, slack
or angle, or until it touches. Of each way the first end is shown, and each further one before the end of the way.
Where a part cannot be followed, a way that nothing else ends is not checked.

Remedy: a part that follows the axle farther, or its mount moved; or less travel. The rule of that part
says how much.
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
            "a brake line that runs out in droop",
            {"brake_lines.line.both.free_length": 19},
            {"travel-allowed": Verdict.ERROR},
        ),
    ),
)


class TravelEnd(NamedTuple):
    """Where one way of the axle ends: the share of the stated travel that is reached there, and what ends it; "" where
    nothing does."""

    way: str
    share: Spot
    what: str
    path: str
    which: str


def share_of(reached: float, stated: float) -> float:
    """The share of the stated travel that is reached; of no travel, all of it."""
    return reached / stated if stated else 1.0


def ends(job: Job, build: Build) -> Iterator[TravelEnd]:
    """The first end of each way, and each further one before the end of the stated travel."""
    for way in job.travel_limits.ways:
        if not way.ends:
            yield TravelEnd(way.name, Spot(share_of(way.looked, way.stated)), "", f"travel.{way.states}", way.name)
        for number, end in enumerate(way.ends):
            if number and end.at >= way.stated:
                break
            # The first end keeps the name of its way, so that a change that makes it come sooner is known to harm.
            which = f"{way.name}, {end.what}" if number else way.name
            yield TravelEnd(way.name, Spot(share_of(end.at, way.stated), end.pose), end.what, end.path, which)
    for path in job.travel_limits.missing:
        if path.startswith("travel"):
            raise Missing(path)


@rule.check(
    made("end of the travel", ends),
    at_least(error="100 %"),
    basis=common_practice("travel is stated to be used, and whatever ends it sooner is hit, bent or pulled apart"),
    change=Words(
        lambda job, end: (
            f"{end.what} there: take a part that follows the axle farther, move its mount, or state less travel"
        )
    ),
)
def travel_allowed(job: Job, end: TravelEnd) -> Spot:
    """Share of the stated travel before something ends it."""
    if end.share.value < 1.0:
        return end.share.because(f"{end.what} before the end of {end.way}")
    parts = [path for path in job.travel_limits.missing if not path.startswith("travel")]
    unknown = [Unreached(f"not looked at: {each}") for each in job.travel_limits.unknown]
    return end.share.lacking(*parts).leaving_out(*unknown)
