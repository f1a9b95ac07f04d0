"""The bump stop takes the load before anything else does."""

import math
from collections.abc import Callable, Iterator
from functools import partial

from buildcheck.api import (
    Area,
    Build,
    BumpStop,
    Coilover,
    Cure,
    Dimension,
    Finding,
    Job,
    Limit,
    Line,
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

STOP_ENDS_IT = common_practice("the bump stop, and nothing else, ends the bump travel")

TOUCHES = Requirement("touches", "the stop comes to its target at all", basis=STOP_ENDS_IT)
COILOVER_LEFT = Limit(
    "coilover-left",
    "stroke that the coilover has left when the stop is crushed",
    Dimension.LENGTH,
    at_least(warning="1/4 in", error="0 in"),
    basis=STOP_ENDS_IT,
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
    within(warning=("15 %", "60 %"), error=("5 %", "90 %")),
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
    """Whether the two stops of a pair touch at the same height of the axle."""
    for stops in _pairs(build):
        bump = job.lines.bump
        left, right = (_touch(job, stop) for stop in stops)
        if left is None or right is None:
            continue  # the stop that does not touch has a reading of its own
        late, early = stops if left > right else reversed(stops)
        yield hold(
            BOTH_TOGETHER,
            Spot(abs(left - right), bump.pose(max(left, right))),
            place=late.path_of("base"),
            effect=f"the {late.label} touches late",
            cure=partial(_touch_with, job, late, early),
        )


def _pairs(build: Build) -> Iterator[tuple[BumpStop, BumpStop]]:
    for name in sorted(build.bump_stops):
        if build.bump_stops[name].is_pair:
            yield build.bump_stops[name].left, build.bump_stops[name].right


def _touch_with(job: Job, late: BumpStop, early: BumpStop, _: float) -> Cure | None:
    def later(changed: Job) -> float:
        touches = [_touch(changed, changed.same(stop)) for stop in (late, early)]
        return math.nan if None in touches else touches[0] - touches[1]  # type: ignore[operator]  # None is ruled out

    return _move_base(job, late, later, 0.0)


def coilover(job: Job, part: Coilover) -> Iterator[Finding]:
    """What a coilover has left where a stop of its side is crushed."""
    for stroke in job.lines.rising(part.side):
        stop, at = _ends(job, part.side, stroke)
        yield hold(
            COILOVER_LEFT,
            job.length(part, stroke).at(at) - part.compressed_length,
            place=stop.path_of("base"),
            effect="the coilover bottoms before the stop is crushed",
            cure=partial(_spare_the_coilover, job, stop, part, stroke.name),
        )


def _spare_the_coilover(job: Job, stop: BumpStop, part: Coilover, stroke_name: str, target: float) -> Cure | None:
    def left(changed: Job) -> float:
        stroke = next(line for line in changed.lines.rising(part.side) if line.name == stroke_name)
        _, at = _ends(changed, part.side, stroke)
        return changed.length(part, stroke).at(at).value - part.compressed_length

    return _move_base(job, stop, left, target)


def gap_above(job: Job, build: Build) -> Iterator[Finding]:
    """The gap to every obstacle, on the way up to where a stop is crushed: straight, and with each side up."""
    for name in sorted(build.vehicle.obstacles):
        for stop, stroke, at in _ends_of_bump(job):
            gap = job.gap_to_obstacle(name, stroke)
            within, at_end = gap.smallest, gap.at(at)
            # What is met on the way is not the stop's to prevent; what is met beyond it is.
            worst, place = (
                (at_end, stop.path_of("base"))
                if at_end.value < within.value
                else (within, build.vehicle.obstacles[name].path)
            )
            yield hold(
                GAP_ABOVE,
                worst,
                place=place,
                effect=f"the axle hits the {name.replace('_', ' ')}",
                cure=partial(_spare_the_obstacle, job, stop, name, stroke.name)
                if at_end.value < within.value
                else f"move the {name.replace('_', ' ')}, or plan less travel and end it with the stops",
            )


def _spare_the_obstacle(job: Job, stop: BumpStop, name: str, stroke_name: str, target: float) -> Cure | None:
    def gap(changed: Job) -> float:
        stroke, at = next((line, at) for _, line, at in _ends_of_bump(changed) if line.name == stroke_name)
        return changed.gap_to_obstacle(name, stroke).at(at).value

    return _move_base(job, stop, gap, target)


def _ends_of_bump(job: Job) -> Iterator[tuple[BumpStop, Line, float]]:
    """The stop that ends each way up, the way, and where. Straight up the axle goes until both sides are stopped."""
    straight = job.lines.bump
    stop, at = max((_ends(job, side, straight) for side in (Side.LEFT, Side.RIGHT)), key=lambda end: end[1])
    yield stop, straight, at
    for side, stroke in ((Side.LEFT, job.lines.left_up), (Side.RIGHT, job.lines.right_up)):
        stop, at = _ends(job, side, stroke)
        yield stop, stroke, at


def _ends(job: Job, side: Side, stroke: Line) -> tuple[BumpStop, float]:
    """The stop that ends the way up of one side, and where: it is crushed there.

    In straight bump no sooner than at full bump, and where none is crushed as far up as the links go; in articulation
    no farther than stated.
    """
    stops = job.bump_stops_of(side)
    crushed = [(stop, job.stop_height(stop, stroke).first_at_most(stop.crushed_length)) for stop in stops]
    ends = [(stop, at) for stop, at in crushed if at is not None]
    stop, at = min(ends, key=lambda end: end[1], default=(stops[0], job.stop_height(stops[0], stroke).farthest))
    return stop, max(at, stroke.end) if stroke is job.lines.bump else min(at, stroke.end)


def _touch(job: Job, stop: BumpStop) -> float | None:
    return job.stop_height(stop, job.lines.bump).first_at_most(stop.free_length)


def _move_base(job: Job, stop: BumpStop, quantity: Callable[[Job], float], target: float) -> Cure | None:
    base = f"the base of the {stop.as_written}"
    return job.move(stop.path_of("base", "z"), base, quantity, target) or Cure(f"lower {base} until it ends the travel")


@rule(
    "bump-stop-engagement",
    area=Area.TRAVEL_STOPS,
    subject="bump-stop",
    also=(("coilover", coilover), ("build", both_together), ("build", gap_above)),
    limits=(TOUCHES, COILOVER_LEFT, STOP_LEFT, SHARE_OF_TRAVEL, BOTH_TOGETHER, ON_TARGET, GAP_ABOVE),
    samples=(
        Sample("a narrower pad", {"bump_stops.stop.both.target_width": 3}),
        Sample(
            "the stop's base three inches higher, so that the coilover bottoms and the oil pan is hit first",
            {"bump_stops.stop.both.base": [0.5, 16.5, 29.4]},
            {"share-of-travel": Verdict.ERROR, "coilover-left": Verdict.ERROR, "gap-above": Verdict.ERROR},
        ),
        Sample(
            "a coilover that is longer when it is compressed",
            {"coilovers.coilover.both.compressed_length": "23 1/2 in"},
            {"coilover-left": Verdict.ERROR},
        ),
    ),
)
def bump_stop_engagement(job: Job, stop: BumpStop) -> Iterator[Finding]:
    """The bump stop takes the load before anything else does.

    What it checks: that each stop touches its target before full bump, that it is not crushed at full bump, that the
    coilover on its side still has stroke left when it is crushed, in straight bump and in articulation with its own
    side up; in what share of the travel it works; that both stops touch together; that the stop is still over its
    target in articulation; and that nothing declared above the axle is hit first.

    Why: a coilover that bottoms bends its shaft or breaks its mount. An axle that comes up into the oil pan or the
    frame breaks that. A stop that misses its pad is no stop.

    How it is computed: the axle is raised until the room along the stop's axis is its free length, and on until it is
    the crushed length, beyond the stated travel if need be; a stop that is never crushed lets it go as far as the links
    do. What the coilover has left is read in that pose, and in articulation where the stop is crushed, or at the stated
    end. The share over the target takes the stop's face against the target's smallest
    width, along the line between their centres. The gap is that between the axle's tube or centre section and each
    obstacle.

    To put it right: a longer stop, or its base lower; a wider pad, or the stop moved over it.
    """
    bump = job.lines.bump
    touch = _touch(job, stop)
    yield require(
        TOUCHES,
        met=touch is not None,
        found="touches" if touch is not None else "never touches",
        wanted="a touch",
        place=stop.path_of("base"),
        effect="something else ends the bump travel",
        cure="lower the stop's base, or take a longer stop",
    )
    if touch is not None:
        late = touch > bump.end
        yield hold(
            SHARE_OF_TRAVEL,
            Spot(max(bump.end - touch, 0.0) / bump.end, bump.pose(touch)),
            place=stop.path_of("base"),
            effect="it touches only beyond full bump, so that something else ends the travel"
            if late
            else "the stop works too little or too much",
            cure=partial(_reach_with_base, job, stop, _share_of_travel),
        )
    yield hold(
        STOP_LEFT,
        job.stop_height(stop, bump).end - stop.crushed_length,
        place=stop.path_of("base"),
        effect="the stop is a solid block at full bump",
        cure=partial(_reach_with_base, job, stop, _left_at_bump),
    )
    for stroke in job.lines.rising(stop.side):
        offset = job.stop_offset(stop, stroke).largest
        yield hold(
            ON_TARGET,
            Spot(_over_target(stop, offset.value), offset.pose),
            place=stop.path_of("target_width"),
            effect="the stop slides off its pad and bends",
            cure=partial(_wider, stop, offset.value),
        )


def _reach_with_base(
    job: Job, stop: BumpStop, quantity: Callable[[Job, BumpStop], float], target: float
) -> Cure | None:
    return _move_base(job, stop, lambda changed: quantity(changed, changed.same(stop)), target)


def _share_of_travel(job: Job, stop: BumpStop) -> float:
    touch, bump = _touch(job, stop), job.lines.bump
    return math.nan if touch is None else (bump.end - touch) / bump.end


def _left_at_bump(job: Job, stop: BumpStop) -> float:
    return job.stop_height(stop, job.lines.bump).end.value - stop.crushed_length


def _over_target(stop: BumpStop, offset: float) -> float:
    over = (stop.target_width / 2 + stop.diameter / 2 - offset) / stop.diameter
    return min(max(over, 0.0), 1.0)


def _wider(stop: BumpStop, offset: float, share: float) -> Cure:
    wider = 2 * (share * stop.diameter + offset) - stop.diameter - stop.target_width
    words = f"make the target of the {stop.as_written} {{amount}} wider, or move the stop over it"
    return Cure(words, wider, Dimension.LENGTH, stop.path_of("target_width"), wider)
