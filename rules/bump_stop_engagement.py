"""The bump stop takes the load before anything else does."""

import math
from collections.abc import Callable, Iterator, Sequence
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
    along,
    at_least,
    at_most,
    common_practice,
    harmed,
    hold,
    least,
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


A_HAIR = 1e-6  # m


def both_together(job: Job, build: Build) -> Iterator[Finding]:
    """Whether the two stops of a pair touch at the same height of the axle."""
    for stops in _pairs(build):
        bump = job.lines.bump
        left, right = (_touch(job, stop) for stop in stops)
        if left is None or right is None:
            continue  # the stop that does not touch has a reading of its own
        late = stops[0] if left > right else stops[1]
        yield hold(
            BOTH_TOGETHER,
            Spot(abs(left - right), bump.pose(max(left, right))),
            place=late.path_of("base"),
            effect=f"the {late.label} touches late",
            cure=partial(_touch_at, job, late, min(left, right)),
        )


def _pairs(build: Build) -> Iterator[tuple[BumpStop, BumpStop]]:
    for name in sorted(build.bump_stops):
        if build.bump_stops[name].is_pair:
            yield build.bump_stops[name].left, build.bump_stops[name].right


def _touch_at(job: Job, late: BumpStop, early: float, _: float) -> Cure:
    """The late stop brought to its target where the early one touches. Where their bases mirror each other it is packed
    out, for a base that is moved would do so no more."""
    bump = job.lines.bump

    def height(changed: Job) -> float:
        return changed.stop_height(changed.same(late), bump).at(early).value

    if len(job.together(late, "base").parts) > 1:
        thick = height(job) - late.free_length
        packed = along(late.own_path_of("base"), late.axis)
        return Cure(f"put a packing of {{amount}} under the {late.label}", thick, Dimension.LENGTH, makes=packed)
    base = f"the base of the {late.label}"
    return _if_nothing_is_harmed(job, late, job.move(late.path_of("base", "z"), base, height, late.free_length))


def coilover(job: Job, part: Coilover) -> Iterator[Finding]:
    """What a coilover has left where a stop of its side is crushed."""
    for stroke in job.lines.rising(part.side):
        stop, _ = _ends(job, part.side, stroke)
        yield hold(
            COILOVER_LEFT,
            _coilover_left(job, part, stroke),
            place=stop.path_of("base"),
            effect="the coilover bottoms before the stop is crushed",
            cure=partial(_spare_the_coilover, job, stop, part),
        )
    job.lines.need_articulation()


def _coilover_left(job: Job, part: Coilover, stroke: Line) -> Spot:
    _, at = _ends(job, part.side, stroke)
    return job.length(part, stroke).at_end(at) - part.compressed_length


def _spare_the_coilover(job: Job, stop: BumpStop, part: Coilover, target: float) -> Cure:
    """The stop lowered until it is crushed where the coilover has as much left as wanted. Where it would then be
    crushed before full bump, the coilover is too long for the bump that is stated."""
    stops = {each.side: each for each in job.together(stop, "base").parts}
    parts = job.together(part, "compressed_length")
    ways = [(each, stroke) for each in parts.parts for stroke in job.lines.rising(each.side)]
    ends = []
    for each, stroke in ways:
        at = job.length(each, stroke).first_at_most(each.compressed_length + target)
        if at is not None:
            ends.append((stops.get(each.side, stop), stroke, at))

    def left(changed: Job) -> float:
        return least(_coilover_left(changed, changed.same(each), stroke) for each, stroke in ways).value

    lowered = _crushed_by(job, stop, ends)
    if lowered and not harmed(bump_stop_engagement, job, lowered) and left(job.changed_by(lowered)) > target - A_HAIR:
        return lowered
    # A stop that is a solid block at full bump must be raised, and then lets the coilover in farther still.
    raised = _raised(job, stop)
    shorter = target - min(left(job), left(job.changed_by(raised)) if raised else math.inf)
    paths = parts.paths("compressed_length")
    words = f"in place of the {parts.label} take one that is {{amount}} shorter when it is compressed"
    return Cure(words, shorter, Dimension.LENGTH, paths[0], -shorter, tuple(paths[1:]))


def _raised(job: Job, stop: BumpStop) -> Cure | None:
    """The base raised until the stop is no solid block at full bump, where it is one."""
    left = _left_at_bump(job, stop)
    if STOP_LEFT.bounds.verdict(left) is Verdict.OK:
        return None
    good = STOP_LEFT.bounds.good(left)
    return _move_base(job, stop, lambda changed: _left_at_bump(changed, changed.same(stop)), good)


def gap_above(job: Job, build: Build) -> Iterator[Finding]:
    """The gap to every obstacle, on the way up to where a stop is crushed: straight, and with each side up."""
    obstacles = build.vehicle.obstacles
    if not obstacles:
        return
    for name in sorted(obstacles):
        within, at_end, stop = _gaps(job, name)
        # What is met on the way is not the stop's to prevent; what is met beyond it is.
        beyond = at_end.value < within.value
        yield hold(
            GAP_ABOVE,
            at_end if beyond else within,
            place=stop.path_of("base") if beyond else obstacles[name].path,
            effect=f"the axle hits the {name.replace('_', ' ')}",
            cure=partial(_spare_the_obstacle, job, stop, name) if beyond else _moved_away(name),
        )
    job.lines.need_articulation()


def _gaps(job: Job, name: str) -> tuple[Spot, Spot, BumpStop]:
    """The smallest gap to an obstacle on the way up as stated, the smallest where a stop ends it, and that stop."""
    gaps = [(job.gap_to_obstacle(name, stroke), stop, at) for stop, stroke, at in _ends_of_bump(job)]
    stop, at_end = min(((stop, gap.at_end(at)) for gap, stop, at in gaps), key=lambda end: end[1].value)
    return least(gap.smallest for gap, _, _ in gaps), at_end, stop


def _moved_away(name: str) -> str:
    return f"move the {name.replace('_', ' ')}, or plan less travel and end it with the stops"


def _spare_the_obstacle(job: Job, stop: BumpStop, name: str, target: float) -> Cure:
    """The stop lowered until it is crushed where the gap is as wide as wanted, if it then still lets the axle up to
    full bump, and no stop on the other side lets it farther."""
    ends = []
    for ending, stroke, _ in _ends_of_bump(job):
        at = job.gap_to_obstacle(name, stroke).first_at_most(target)
        if at is not None:
            ends.append((ending, stroke, at))
    lowered = _crushed_by(job, stop, ends)
    if lowered and not harmed(bump_stop_engagement, job, lowered):
        clear = least(_gaps(job.changed_by(lowered), name)[:2]).value > target - A_HAIR
        return lowered if clear else Cure(_moved_away(name))
    return Cure(_moved_away(name))


def _crushed_by(job: Job, stop: BumpStop, ends: Sequence[tuple[BumpStop, Line, float]]) -> Cure | None:
    """The base moved so that each of these stops is crushed where its way is to end, or sooner."""

    def room(changed: Job) -> float:
        left = [
            changed.stop_height(changed.same(each), stroke).at(at).value - each.crushed_length
            for each, stroke, at in ends
        ]
        return max(left, default=math.nan)

    return _move_base(job, stop, room, 0.0)


def _ends_of_bump(job: Job) -> Iterator[tuple[BumpStop, Line, float]]:
    """The stop that ends each way up, the way, and where. Straight up the axle goes until both sides are stopped."""
    straight = job.lines.bump
    stop, at = max((_ends(job, side, straight) for side in (Side.LEFT, Side.RIGHT)), key=lambda end: end[1])
    yield stop, straight, at
    for side in (Side.LEFT, Side.RIGHT):
        for stroke in job.lines.rising(side)[1:]:
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
    return stop, max(at, stroke.end) if stroke.name == job.lines.bump.name else min(at, stroke.end)


def _touch(job: Job, stop: BumpStop) -> float | None:
    return job.stop_height(stop, job.lines.bump).first_at_most(stop.free_length)


def _move_base(job: Job, stop: BumpStop, quantity: Callable[[Job], float], target: float) -> Cure | None:
    """The base of a stop, and of its like on the other side where that stands the same, moved up or down."""
    moved = job.together(stop, "base")
    return job.move(moved.paths("base", "z"), f"the base of the {moved.label}", quantity, target)


# What must be done first where the move of a stop's base would harm a limit.
FIRST = {
    TOUCHES.name: "take a taller stop",
    COILOVER_LEFT.name: "take coilovers that are shorter when they are compressed",
    STOP_LEFT.name: "take a stop that crushes flatter",
    SHARE_OF_TRAVEL.name: "take a stop of another height",
    BOTH_TOGETHER.name: "make both stops touch together",
    ON_TARGET.name: "make the target wider",
    GAP_ABOVE.name: "make room above the axle",
}


def _if_nothing_is_harmed(job: Job, stop: BumpStop, change: Cure | None) -> Cure:
    if change is None:
        return Cure(f"lower the base of the {stop.as_written} until it ends the travel")
    return change.after(*(FIRST[name] for name in harmed(bump_stop_engagement, job, change)))


@rule(
    "bump-stop-engagement",
    area=Area.TRAVEL_STOPS,
    heeded=True,
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
    end. The share over the target takes the stop's face against the target's smallest width, along the line between
    their centres. The gap is that between the axle's tube or centre section and each obstacle.

    To put it right: a longer stop, or its base lower; a wider pad, or the stop moved over it. Where the coilover would
    bottom before a stop that lets the axle up to full bump is crushed, a coilover that is shorter when compressed.
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
    offset = _farthest_aside(job, stop)
    yield hold(
        ON_TARGET,
        Spot(_over_target(stop, offset.value), offset.pose, offset.without),
        place=stop.path_of("target_width"),
        effect="the stop slides off its pad and bends",
        cure=partial(_wider, job, stop),
    )
    job.lines.need_articulation()


def _reach_with_base(job: Job, stop: BumpStop, quantity: Callable[[Job, BumpStop], float], target: float) -> Cure:
    moved = _move_base(job, stop, lambda changed: quantity(changed, changed.same(stop)), target)
    return _if_nothing_is_harmed(job, stop, moved)


def _share_of_travel(job: Job, stop: BumpStop) -> float:
    touch, bump = _touch(job, stop), job.lines.bump
    return math.nan if touch is None else (bump.end - touch) / bump.end


def _left_at_bump(job: Job, stop: BumpStop) -> float:
    return job.stop_height(stop, job.lines.bump).end.value - stop.crushed_length


def _over_target(stop: BumpStop, offset: float) -> float:
    over = (stop.target_width / 2 + stop.diameter / 2 - offset) / stop.diameter
    return min(max(over, 0.0), 1.0)


def _farthest_aside(job: Job, stop: BumpStop) -> Spot:
    return -least(-job.stop_offset(stop, stroke).largest for stroke in job.lines.rising(stop.side))


def _wider(job: Job, stop: BumpStop, share: float) -> Cure:
    """The target as wide as the side of a pair needs on which the stop goes farther aside."""
    pads = job.together(stop, "target_width")
    offset = max(_farthest_aside(job, each).value for each in pads.parts)
    wider = 2 * (share * stop.diameter + offset) - stop.diameter - stop.target_width
    paths = pads.paths("target_width")
    words = f"make the target of the {pads.label} {{amount}} wider, or move the stop over it"
    return Cure(words, wider, Dimension.LENGTH, paths[0], wider, tuple(paths[1:]))
