"""The bump stop takes the load before anything else does."""

from collections.abc import Callable, Iterator

from buildcheck.api import (
    Area,
    Build,
    BumpStop,
    Cure,
    Dimension,
    Finding,
    Job,
    Limit,
    Requirement,
    Sample,
    Side,
    Spot,
    Verdict,
    at_least,
    at_most,
    common_practice,
    hold,
    require,
    rule,
    within,
)

FIRST = common_practice("the bump stop, and nothing else, ends the bump travel")

SLIP_LEFT = Limit(
    "driveshaft-slip-left",
    "slip that the driveshaft has left to go in, where it is shortest over the travel",
    Dimension.LENGTH,
    at_least(warning="1/2 in", error="0 in"),
    basis=FIRST,
)
TOUCHES = Requirement("touches", "the stop comes to its target at all", basis=FIRST)
COILOVER_LEFT = Limit(
    "coilover-left",
    "stroke that the coilover has left when the stop is crushed",
    Dimension.LENGTH,
    at_least(warning="1/4 in", error="0 in"),
    basis=FIRST,
)
STOP_LEFT = Limit(
    "stop-left",
    "height that the stop has left above crushed at full bump",
    Dimension.LENGTH,
    at_least(warning="1/8 in", error="0 in"),
    basis=common_practice("a crushed stop is a solid block, and the load goes straight into the bracket"),
)
SHARE_OF_TRAVEL = Limit(
    "share-of-travel",
    "share of the bump travel in which the stop works",
    Dimension.RATIO,
    within(warning=("15 %", "60 %"), error=("2 %", "90 %")),
    basis=common_practice("a stop that works in the last third or so of the travel slows the axle without being felt"),
)
BOTH_TOGETHER = Limit(
    "both-together",
    "difference in travel between the touch of the left stop and of the right one",
    Dimension.LENGTH,
    at_most(warning="1/8 in", error="1/2 in"),
    basis=common_practice("stops that touch one after the other roll the truck, and one takes the whole load"),
)
ON_TARGET = Limit(
    "on-target",
    "share of the stop's face that is over its target",
    Dimension.RATIO,
    at_least(warning="99.9 %", error="60 %"),
    basis=common_practice("the axle moves sideways and leans in articulation; the stop must still land on its pad"),
)
GAP_ABOVE = Limit(
    "gap-above",
    "smallest gap between the axle and a part above it",
    Dimension.LENGTH,
    at_least(warning="1/2 in", error="0 in"),
    basis=common_practice(
        "nothing of the axle may touch the engine, the frame or the floor before the stop is crushed"
    ),
)


def both_together(job: Job, build: Build) -> Iterator[Finding]:
    """Whether both stops touch at the same height of the axle."""
    stops = [job.bump_stop(side) for side in (Side.LEFT, Side.RIGHT)]
    touches = [_touch(job, stop) for stop in stops]
    if None in touches:
        return  # the stop that does not touch has a reading of its own
    left, right = (touch for touch in touches if touch is not None)
    late = stops[0] if left > right else stops[1]
    yield hold(
        "both-together",
        Spot(abs(left - right), job.lines.bump.pose(max(left, right))),
        place=late.path_of("base"),
        effect=f"the {late.label} touches late",
    )


def gap_above(job: Job, build: Build) -> Iterator[Finding]:
    """The gap to every obstacle, in straight bump until a stop is crushed, and in articulation."""
    for name in sorted(build.vehicle.obstacles):
        straight = job.gap_to_obstacle(name, job.lines.bump)
        farthest = max(_highest(job, job.bump_stop(side)) for side in (Side.LEFT, Side.RIGHT))
        worst = min(
            (straight.smallest, straight.at(farthest), job.gap_to_obstacle(name, job.roll).smallest), key=_value
        )
        yield hold(
            "gap-above",
            worst,
            place=build.vehicle.obstacles[name].path,
            effect=f"the axle hits the {name.replace('_', ' ')}",
        )


def driveshaft_slip(job: Job, build: Build) -> Iterator[Finding]:
    """The slip that the driveshaft has left to go in, where it is shortest."""
    if build.axle.has("driven") and not build.axle.driven:
        return
    shaft = build.driveshaft
    yield hold(
        "driveshaft-slip-left",
        job.driveshaft_length(job.heave).smallest - shaft.shortest_length,
        place=shaft.path_of("shortest_length"),
        effect="the slip goes solid, and the shaft pushes the gearbox and the pinion apart",
    )


def _value(spot: Spot) -> float:
    return spot.value


def _touch(job: Job, stop: BumpStop) -> float | None:
    return job.stop_height(stop, job.lines.bump).first_at_most(stop.free_length)


def _highest(job: Job, stop: BumpStop) -> float:
    """How far up the axle can go: until the stop is crushed, and no less than full bump.

    A stop that is never crushed lets it go as far as the links do.
    """
    crushed = _crushed(job, stop)
    if crushed is None:
        return job.stop_height(stop, job.lines.bump).farthest
    return max(crushed, job.lines.bump.end)


def _crushed(job: Job, stop: BumpStop) -> float | None:
    return job.stop_height(stop, job.lines.bump).first_at_most(stop.crushed_length)


@rule(
    "bump-stop-engagement",
    area=Area.TRAVEL_STOPS,
    subject="bump-stop",
    also=(("build", both_together), ("build", gap_above), ("build", driveshaft_slip)),
    limits=(TOUCHES, COILOVER_LEFT, STOP_LEFT, SHARE_OF_TRAVEL, BOTH_TOGETHER, ON_TARGET, GAP_ABOVE, SLIP_LEFT),
    samples=(
        Sample("a narrower pad", {"bump_stops.both.target_width": 3}),
        Sample(
            "the stop's base three inches higher, so that the coilover bottoms and the oil pan is hit first",
            {"bump_stops.both.base": [0.5, 16.5, 29.4]},
            {"share-of-travel": Verdict.ERROR, "coilover-left": Verdict.ERROR, "gap-above": Verdict.ERROR},
        ),
        Sample(
            "a coilover that is longer when it is compressed",
            {"coilovers.both.compressed_length": "23 1/2 in"},
            {"coilover-left": Verdict.ERROR},
        ),
    ),
)
def bump_stop_engagement(job: Job, stop: BumpStop) -> Iterator[Finding]:
    """The bump stop takes the load before anything else does.

    What it checks: that each stop touches its target before full bump, that it is not crushed at full bump, that the
    coilover on its side still has stroke left when it is crushed, in straight bump and in articulation with its own
    side up; in what share of the travel it works; that both stops touch together; that the stop is still over its
    target in articulation; that nothing declared above the axle is hit first; and that the driveshaft does not run out
    of slip.

    Why: a coilover that bottoms bends its shaft or breaks its mount. An axle that comes up into the oil pan or the
    frame breaks that. A stop that misses its pad is no stop.

    How it is computed: the axle is raised until the room along the stop's axis is its free length, and on until it is
    the crushed length, beyond the stated travel if need be; a stop that is never crushed lets it go as far as the links
    do. What the coilover has left is read in that pose, and at
    the end of the stated articulation. The share over the target takes the stop's face against the target's smallest
    width, along the line between their centres. The gap is that between the axle's tube or centre section and each
    obstacle.

    To put it right: a longer stop, or its base lower; a wider pad, or the stop moved over it.
    """
    yield from _along_straight_bump(job, stop)
    coilover = job.coilover(stop.side)
    straight, articulation = job.lines.rising(stop.side)
    for stroke, at in (
        (straight, _highest(job, stop)),
        (articulation, articulation.end),
    ):
        yield hold(
            "coilover-left",
            job.length(coilover, stroke).at(at) - coilover.compressed_length,
            place=stop.path_of("crushed_length"),
            effect="the coilover bottoms before the stop is crushed",
        )
    for stroke in (straight, articulation):
        yield _on_target(stop, job.stop_offset(stop, stroke).largest)


def _along_straight_bump(job: Job, stop: BumpStop) -> Iterator[Finding]:
    bump = job.lines.bump
    touch = _touch(job, stop)
    yield require(
        "touches",
        met=touch is not None,
        found="touches" if touch is not None else "never touches",
        wanted="a touch",
        place=stop.path_of("base"),
        effect="something else ends the bump travel",
        cure="lower the stop's base, or take a longer stop",
    )
    if touch is not None:
        yield hold(
            "share-of-travel",
            Spot((bump.end - touch) / bump.end, bump.pose(touch)),
            place=stop.path_of("base"),
            effect="something else ends the bump travel"
            if touch > bump.end
            else "the stop works too little or too much",
            cure=_move_base(job, stop, _share_of_travel),
        )
    room = job.stop_height(stop, bump).end - stop.crushed_length
    yield hold(
        "stop-left",
        room,
        place=stop.path_of("crushed_length"),
        effect="the stop is a solid block at full bump",
        cure=_move_base(job, stop, _left_at_bump),
    )


def _move_base(job: Job, stop: BumpStop, quantity: Callable[[Job, BumpStop], float]) -> Callable[[float], Cure | None]:
    def changed_quantity(changed: Job) -> float:
        return quantity(changed, changed.same(stop))

    return lambda target: job.move(f"{stop.path}.base.z", f"the base of the {stop.label}", changed_quantity, target)


def _share_of_travel(job: Job, stop: BumpStop) -> float:
    touch = _touch(job, stop)
    return float("nan") if touch is None else (job.lines.bump.end - touch) / job.lines.bump.end


def _left_at_bump(job: Job, stop: BumpStop) -> float:
    return job.stop_height(stop, job.lines.bump).end.value - stop.crushed_length


def _on_target(stop: BumpStop, offset: Spot) -> Finding:
    over = (stop.target_width / 2 + stop.diameter / 2 - offset) / stop.diameter
    share = Spot(min(max(over.value, 0.0), 1.0), over.pose)
    return hold("on-target", share, place=stop.path_of("target"), effect="the stop slides off its pad and bends")
