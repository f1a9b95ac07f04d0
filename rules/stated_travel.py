"""Nothing ends the travel before the spec says that it ends."""

from collections.abc import Iterator

from buildcheck.api import (
    Area,
    Build,
    Dimension,
    Finding,
    Job,
    Limit,
    Missing,
    Sample,
    Spot,
    Unreached,
    Verdict,
    at_least,
    common_practice,
    hold,
    rule,
)

ALLOWED = Limit(
    "travel-allowed",
    "share of the stated travel before something ends it",
    Dimension.RATIO,
    at_least(error="100 %"),
    basis=common_practice("travel is stated to be used, and whatever ends it sooner is hit, bent or pulled apart"),
)


@rule(
    "stated-travel",
    area=Area.TRAVEL_STOPS,
    subject="build",
    limits=(ALLOWED,),
    samples=(
        Sample("less articulation", {"travel.articulation": 10}),
        Sample(
            "a brake line that runs out in droop",
            {"brake_lines.line.both.free_length": 19},
            {"travel-allowed": Verdict.ERROR},
        ),
    ),
)
def stated_travel(job: Job, build: Build) -> Iterator[Finding]:
    """Nothing ends the travel before the spec says that it ends.

    What it checks: everything that `buildcheck cycle` lists as an end of the travel, against the bump, the droop and
    the articulation that the spec states: the links, coilovers and their springs, straps, bump stops, brake lines, the
    driveshaft, every rated joint, and every two parts that may touch.

    Why: the other rules look at one part each. Whatever they leave out still stops the axle, and the first time is on
    the road.

    How it is computed: the axle is moved from ride height to full bump and full droop, and from level at the middle of
    the travel to either side up, in twenty steps each. Each part is followed until nothing is left of its stroke, slack
    or angle, or until it touches. Of each way the first end is shown, and each further one before the end of the way.
    Where a part cannot be followed, a way that nothing else ends is not checked.

    To put it right: a part that follows the axle farther, or its mount moved; or less travel. The rule of that part
    says how much.
    """
    limits = job.travel_limits
    lacking = [Missing(path) for path in limits.missing if not path.startswith("travel")]
    unknown = [Unreached(f"not looked at: {each}") for each in limits.unknown]
    without: tuple[Missing | Unreached, ...] = (*lacking, *unknown)
    for way in limits.ways:
        if not way.ends:
            share = _share(way.looked, way.stated)
            yield hold(ALLOWED, share, place=f"travel.{way.states}", of=way.name, without=without)
        for number, end in enumerate(way.ends):
            early = end.at < way.stated
            if number and not early:
                break
            # The first end of a way keeps its name, so that a change that makes it come sooner is known to harm.
            yield hold(
                ALLOWED,
                Spot(_share(end.at, way.stated), end.pose),
                place=end.path,
                of=f"{way.name}, {end.what}" if number else way.name,
                effect=f"{end.what} before the end of {way.name}" if early else "",
                cure=f"{end.what} there: take a part that follows the axle farther, move its mount, or state less "
                "travel",
                without=() if early else without,
            )
    not_stated = next((path for path in limits.missing if path.startswith("travel")), None)
    if not_stated:
        raise Missing(not_stated)


def _share(reached: float, stated: float) -> float:
    """How much of the stated travel is reached. Of no travel, all of it is."""
    return reached / stated if stated else 1.0
