"""The bump stop takes the load before anything else does.

Checked: that each stop touches its target before full bump, that it is not crushed at full bump, that the
coilover on its side still has stroke left when it is crushed, in straight bump and in articulation with its own
side up; in what share of the travel it works; that both stops touch together; that the stop is still over its
target in articulation; and that nothing declared above the axle is hit first.

Risk: a coilover that bottoms bends its shaft or breaks its mount. An axle that comes up into the oil pan or the
frame breaks that. A stop that misses its pad is no stop.

Worked out: the axle is raised until the room along the stop's axis is its free length, and on until it is
the crushed length, beyond the stated travel if need be; a stop that is never crushed lets it go as far as the links
do. What the coilover has left is read in that pose, and in articulation where the stop is crushed, or at the stated
end. The share over the target takes the stop's face against the target's smallest width, along the line between
their centres. The gap is that between the axle's tube or centre section and each obstacle.

Remedy: a longer stop, or its base lower; a wider pad, or the stop moved over it. Where the coilover would
bottom before a stop that lets the axle up to full bump is crushed, a coilover that is shorter when compressed.
"""

from dataclasses import replace

from buildcheck.api import (
    Answer,
    Area,
    BumpStop,
    Coilover,
    Dimension,
    Job,
    Line,
    Move,
    Obstacle,
    OnStroke,
    Pair,
    Resize,
    Rule,
    Sample,
    Side,
    Spot,
    Verdict,
    Words,
    at_least,
    at_most,
    between,
    common_practice,
    each,
    least,
    met,
    rising,
)

rule = Rule(
    "bump-stop-engagement",
    area=Area.TRAVEL_STOPS,
    page=__doc__,
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

STOP_ENDS_IT = common_practice("the bump stop, and nothing else, ends the bump travel")
base_height = Move("base", axis="z")
taller_stop = Words("lower or raise the base of the stop, or take a stop of another height, until it ends the travel")


def touch(job: Job, stop: BumpStop) -> float | None:
    """Rise of the axle at which a stop touches its target, m; None where it never does."""
    return job.stop_height(stop, job.lines.bump).first_at_most(stop.free_length)


def end_of(job: Job, side: Side, line: Line) -> tuple[BumpStop, float]:
    """The stop that ends the way up of one side, and where along the line: it is crushed there.

    In straight bump no sooner than at full bump, and where none is crushed as far up as the links go; in articulation
    no farther than stated.
    """
    stops = job.bump_stops_of(side)
    crushed = [(stop, job.stop_height(stop, line).first_at_most(stop.crushed_length)) for stop in stops]
    ends = [(stop, at) for stop, at in crushed if at is not None]
    stop, at = min(ends, key=lambda end: end[1], default=(stops[0], job.stop_height(stops[0], line).farthest))
    return stop, max(at, line.end) if line.name == job.lines.bump.name else min(at, line.end)


@rule.must(
    BumpStop,
    wanted="a touch",
    basis=STOP_ENDS_IT,
    change=(base_height, taller_stop),
    effect="something else ends the bump travel",
)
def touches(job: Job, stop: BumpStop) -> Answer:
    """The stop reaches its target."""
    return met(touch(job, stop) is not None, "touches", otherwise="never touches")


@rule.check(
    BumpStop,
    between(warning=("15 %", "60 %"), error=("5 %", "90 %")),
    basis=common_practice("a stop that works in the last third or so of the travel slows the axle without being felt"),
    change=(base_height, taller_stop),
    follows=("touches",),
)
def share_of_travel(job: Job, stop: BumpStop) -> Spot:
    """Share of the bump travel in which the stop works."""
    bump, at = job.lines.bump, touch(job, stop)
    assert at is not None  # it touches, by the check that this one follows
    late = "it touches only beyond full bump, so that something else ends the travel"
    share = Spot(max(bump.end - at, 0.0) / bump.end, bump.pose(at))
    return share.because(late if at > bump.end else "the stop works over too little of the travel, or over too much")


@rule.check(
    BumpStop,
    at_least(warning="1/8 in", error="0 in"),
    basis=common_practice("a crushed stop is a solid block, and the load goes straight into the bracket"),
    change=(base_height, Words("take a stop that crushes to a smaller height")),
    effect="the stop is a solid block at full bump",
    name="stop-left",
)
def height_in_reserve(job: Job, stop: BumpStop) -> Spot:
    """Height that the stop has left above its crushed height at full bump."""
    return job.stop_height(stop, job.lines.bump).end - stop.crushed_length


@rule.check(
    BumpStop,
    at_least(warning="99.9 %", error="60 %"),
    basis=common_practice("the axle moves sideways and leans in articulation; the stop must still land on its pad"),
    change=(
        Resize("target_width", says="make the target of the {part} {amount} wider, or move the stop over it"),
        Words("move the stop over its target"),
    ),
    effect="the stop slides off its pad and bends",
    name="on-target",
)
def share_over_target(job: Job, stop: BumpStop) -> Spot:
    """Smallest share of the stop's face that is over its target, in bump and in articulation."""
    ways = job.lines.rising(stop.side)
    aside = -least(-job.stop_offset(stop, line).largest for line in ways)
    over = (stop.target_width / 2 + stop.diameter / 2 - aside.value) / stop.diameter
    share = replace(aside, value=min(max(over, 0.0), 1.0), dimension=Dimension.RATIO)
    return share.lacking(*job.lines.without_articulation)


def late_stop(job: Job, pair: Pair[BumpStop]) -> BumpStop:
    left, right = touch(job, pair.left), touch(job, pair.right)
    return pair.left if (left or 0.0) > (right or 0.0) else pair.right


@rule.check(
    Pair[BumpStop],
    at_most(warning="1/4 in", error="5/8 in"),
    basis=common_practice(
        "stops that touch 1/8 in apart roll the truck, 1/2 in apart one takes the whole load; both and 1/8 in for what"
        " a tape leaves open, 1/16 in at either stop"
    ),
    change=(
        Move("base", axis="z", alone=True).of(late_stop),
        Words(lambda job, pair: f"put a packing under the {late_stop(job, pair).label} until both touch together"),
    ),
    follows=("touches",),
)
def both_together(job: Job, pair: Pair[BumpStop]) -> Spot:
    """Difference in travel between the touch of the left stop and of the right one."""
    left, right = touch(job, pair.left), touch(job, pair.right)
    assert left is not None and right is not None  # both touch, by the check that this one follows
    difference = Spot(abs(left - right), job.lines.bump.pose(max(left, right)))
    return difference.because(f"the {late_stop(job, pair).label} touches late")


def stop_that_ends(job: Job, coilover: OnStroke) -> BumpStop:
    return end_of(job, coilover.side, coilover.line)[0]


@rule.check(
    rising(Coilover),
    at_least(warning="1/4 in", error="0 in"),
    basis=STOP_ENDS_IT,
    change=(
        base_height.of(stop_that_ends),
        Resize(
            "compressed_length", says="in place of the {part} take one that is {amount} {way} when it is compressed"
        ).of(lambda job, coilover: coilover.part),
        Words("take a coilover that is shorter when it is compressed, or plan less bump travel"),
    ),
    effect="the coilover can bottom before the stop is crushed",
    name="coilover-left",
)
def stroke_in_reserve(job: Job, coilover: OnStroke) -> Spot:
    """Stroke that the coilover has left when the stop is crushed."""
    _, at = end_of(job, coilover.side, coilover.line)
    length = job.length(coilover.part, coilover.line).at_end(at)
    return length - float(coilover.part.compressed_length)


def ends_of_bump(job: Job) -> list[tuple[BumpStop, Line, float]]:
    """The stop that ends each way up, the way, and where. Straight up the axle goes until both sides are stopped."""
    straight = job.lines.bump
    stop, at = max((end_of(job, side, straight) for side in (Side.LEFT, Side.RIGHT)), key=lambda end: end[1])
    ends = [(stop, straight, at)]
    for side in (Side.LEFT, Side.RIGHT):
        for line in job.lines.rising(side)[1:]:
            stop, at = end_of(job, side, line)
            ends.append((stop, line, at))
    return ends


def gaps_above(job: Job, obstacle: Obstacle) -> tuple[Spot, Spot, BumpStop]:
    """The smallest gap to an obstacle on the way up as stated, the smallest where a stop ends it, and that stop."""
    gaps = [(job.gap_to(obstacle, line), stop, at) for stop, line, at in ends_of_bump(job)]
    stop, at_end = min(((stop, gap.at_end(at)) for gap, stop, at in gaps), key=lambda end: end[1].value)
    return least(gap.smallest for gap, _, _ in gaps), at_end, stop


def stop_that_lets_it_hit(job: Job, obstacle: Obstacle) -> BumpStop | None:
    """The stop that lets the axle up to an obstacle; None where no stop prevents that."""
    within, at_end, stop = gaps_above(job, obstacle)
    return stop if at_end.value < within.value else None


@rule.check(
    each(Obstacle, may_be_none=True),
    at_least(warning="1/2 in", error="0 in"),
    basis=common_practice(
        "nothing of the axle may touch the engine, the frame or the floor before the stop is crushed"
    ),
    change=(
        base_height.of(stop_that_lets_it_hit),
        Words(lambda job, part: f"move the {part.label}, or plan less travel and end it with the stops"),
    ),
)
def gap_above(job: Job, obstacle: Obstacle) -> Spot:
    """Smallest gap between the axle and a part above it, on the way up to where the stop is crushed."""
    within, at_end, _ = gaps_above(job, obstacle)
    smallest = at_end if at_end.value < within.value else within
    return smallest.because(f"the axle can hit the {obstacle.label}").lacking(*job.lines.without_articulation)
