"""The bump stop ends the bump travel before anything else does.

Checked: that each stop touches its target before full bump and is not crushed at full bump; over what share of
the bump travel it works; that both stops touch together and stay over their targets in articulation; that the coilover
on the same side still has stroke left when the stop is crushed, in straight bump and in articulation with its own side
up; and that the axle does not hit a declared obstacle above it first.

Risk: a coilover that bottoms bends its shaft or breaks its mount. An axle that rises into the oil pan or the frame
breaks it. A stop that misses its pad stops nothing.

Worked out: the axle rises until the distance along the stop's axis is the free length of the stop (touch), and
on to its crushed length, beyond the stated travel if needed. Where a stop is never crushed, the axle rises as far as
the links allow. The stroke of the coilover is computed in that pose; in articulation, where the stop is crushed or at
the stated end. The share over the target compares the face of the stop with the smallest width of the target, along the
line between their centres. The gap is the one between each obstacle and the axle's tube or centre section.

Remedy: fit a longer stop or lower its base; widen the pad or move the stop over it. Where the coilover would
bottom although the stop allows no more than full bump, fit a coilover that is shorter when compressed.
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
    Set,
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
            "a coilover with a longer compressed length",
            {"coilovers.coilover.both.compressed_length": "23 1/2 in"},
            {"coilover-left": Verdict.ERROR},
        ),
    ),
)

STOP_ENDS_IT = common_practice("the bump stop, and nothing else, ends the bump travel")
base_height = Move("base", axis="z")
taller_stop = Words("raise or lower the base of the stop, or fit a stop of another height, until it ends the travel")


def touch(job: Job, stop: BumpStop) -> float | None:
    """Rise of the axle at which a stop touches its target, m; None where it never does."""
    return job.stop_height(stop, job.lines.bump).first_at_most(stop.free_length)


def end_of(job: Job, side: Side, line: Line) -> tuple[BumpStop, float]:
    """The stop that ends the upward motion of one side, and the position on the line where it is crushed.

    In straight bump the position is full bump or beyond, and where no stop is crushed the end of the links' reach. In
    articulation it is never beyond the stated end.
    """
    stops = job.bump_stops_of(side)
    crushed = [(stop, job.stop_height(stop, line).first_at_most(stop.crushed_length)) for stop in stops]
    ends = [(stop, at) for stop, at in crushed if at is not None]
    stop, at = min(ends, key=lambda end: end[1], default=(stops[0], job.stop_height(stops[0], line).farthest))
    return stop, max(at, line.end) if line.name == job.lines.bump.name else min(at, line.end)


@rule.must(
    BumpStop,
    wanted="the stop touches its target",
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
    basis=common_practice("a stop that works over about the last third of the travel slows the axle gently"),
    change=(base_height, taller_stop),
    follows=("touches",),
)
def share_of_travel(job: Job, stop: BumpStop) -> Spot:
    """Share of the bump travel over which the stop works."""
    bump, at = job.lines.bump, touch(job, stop)
    assert at is not None  # the check that this one follows found that it touches
    late = "it touches only beyond full bump, so something else ends the travel"
    share = Spot(max(bump.end - at, 0.0) / bump.end, bump.pose(at))
    return share.because(late if at > bump.end else "the stop works over too little or too much of the travel")


@rule.check(
    BumpStop,
    at_least(warning="1/8 in", error="0 in"),
    physical_end="0 in",
    basis=common_practice("a crushed stop is a solid block that passes the full load into its bracket"),
    change=(base_height, Words("fit a stop that crushes to a smaller height")),
    effect="the stop is a solid block at full bump",
    name="stop-left",
)
def height_in_reserve(job: Job, stop: BumpStop) -> Spot:
    """Height of the stop above its crushed height at full bump."""
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


@rule.check(
    BumpStop,
    between(warning=("60 %", "400 %"), error=("25 %", "800 %")),
    basis=common_practice(
        "stop and spring together carry two to four times the wheel's load, the stop about half of it"
    ),
    change=(Set("stiffness", says="fit a stop of {amount}"), Words("fit a stop of another rate")),
    place="stiffness",
    effect="a soft stop is crushed by the first hit, a hard one breaks its mount",
)
def stop_force(job: Job, stop: BumpStop) -> float:
    """Force of the stop when it is crushed, by its mean rate, as a share of the load on one wheel at rest."""
    return stop.stiffness * (stop.free_length - stop.crushed_length) / job.wheel_load()


@rule.check(
    BumpStop,
    at_most(warning="500 %", error="1000 %"),
    basis=common_practice("the pad under a stop is two to three times as wide as its end"),
    change=Words("measure the smallest width of what the stop lands on again"),
    place="target_width",
    effect="the stop is taken to land on a pad that is not there",
    compares=True,
)
def pad_to_stop(job: Job, stop: BumpStop) -> float:
    """Smallest width of what the stop lands on, as a share of the stop's diameter."""
    return stop.target_width / stop.diameter


def late_stop(job: Job, pair: Pair[BumpStop]) -> BumpStop:
    left, right = touch(job, pair.left), touch(job, pair.right)
    return pair.left if (left or 0.0) > (right or 0.0) else pair.right


@rule.check(
    Pair[BumpStop],
    at_most(warning="1/4 in", error="5/8 in"),
    basis=common_practice(
        "stops that touch 1/8 in apart roll the truck; 1/2 in apart, one takes the whole load; 1/8 in is added to both"
        " for the accuracy of a tape, 1/16 in at each stop"
    ),
    change=(
        Move("base", axis="z", alone=True).of(late_stop),
        Words(lambda job, pair: f"shim the {late_stop(job, pair).label} until both touch together"),
    ),
    follows=("touches",),
)
def both_together(job: Job, pair: Pair[BumpStop]) -> Spot:
    """Travel between the touch of the left stop and the touch of the right one."""
    left, right = touch(job, pair.left), touch(job, pair.right)
    assert left is not None and right is not None  # the check that this one follows found that both touch
    difference = Spot(abs(left - right), job.lines.bump.pose(max(left, right)))
    return difference.because(f"the {late_stop(job, pair).label} touches late")


def stop_that_ends(job: Job, coilover: OnStroke) -> BumpStop:
    return end_of(job, coilover.side, coilover.line)[0]


@rule.check(
    rising(Coilover),
    at_least(warning="1/4 in", error="0 in"),
    physical_end="0 in",
    basis=STOP_ENDS_IT,
    change=(
        base_height.of(stop_that_ends),
        Resize("compressed_length", says="replace the {part} with one that is {amount} {way} when compressed").of(
            lambda job, coilover: coilover.part
        ),
        Words("fit a coilover that is shorter when compressed, or plan less bump travel"),
    ),
    effect="the coilover can bottom before the stop is crushed",
    name="coilover-left",
)
def stroke_in_reserve(job: Job, coilover: OnStroke) -> Spot:
    """Stroke remaining in the coilover when the stop is crushed."""
    _, at = end_of(job, coilover.side, coilover.line)
    length = job.length(coilover.part, coilover.line).at_end(at)
    return length - float(coilover.part.compressed_length)


def ends_of_bump(job: Job) -> list[tuple[BumpStop, Line, float]]:
    """The stop that ends each upward motion, its line and the position; in straight bump the stop crushed last."""
    straight = job.lines.bump
    stop, at = max((end_of(job, side, straight) for side in (Side.LEFT, Side.RIGHT)), key=lambda end: end[1])
    ends = [(stop, straight, at)]
    for side in (Side.LEFT, Side.RIGHT):
        for line in job.lines.rising(side)[1:]:
            stop, at = end_of(job, side, line)
            ends.append((stop, line, at))
    return ends


def gaps_above(job: Job, obstacle: Obstacle) -> tuple[Spot, Spot, BumpStop]:
    """The smallest gap to an obstacle over the stated travel, the smallest where a stop ends it, and that stop."""
    gaps = [(job.gap_to(obstacle, line), stop, at) for stop, line, at in ends_of_bump(job)]
    stop, at_end = min(((stop, gap.at_end(at)) for gap, stop, at in gaps), key=lambda end: end[1].value)
    return least(gap.smallest for gap, _, _ in gaps), at_end, stop


def stop_that_lets_it_hit(job: Job, obstacle: Obstacle) -> BumpStop | None:
    """The stop that ends the motion too late; None where the gap is smallest within the stated travel."""
    within, at_end, stop = gaps_above(job, obstacle)
    return stop if at_end.value < within.value else None


@rule.check(
    each(Obstacle, may_be_none=True),
    at_least(warning="1/2 in", error="0 in"),
    physical_end="0 in",
    basis=common_practice("the axle may not touch the engine, the frame or the floor before the stop is crushed"),
    change=(
        base_height.of(stop_that_lets_it_hit),
        Words(lambda job, part: f"move the {part.label}, or plan less travel and end it with the stops"),
    ),
)
def gap_above(job: Job, obstacle: Obstacle) -> Spot:
    """Smallest gap between the axle and a part above it, until the stop is crushed."""
    within, at_end, _ = gaps_above(job, obstacle)
    smallest = at_end if at_end.value < within.value else within
    # The tube reaches farther out than the centre section, and nothing is known of its gap where it is not stated.
    axle = job.build.axle
    without = (*job.lines.without_articulation, *(() if axle.has("tube") else (axle.path_of("tube"),)))
    return smallest.because(f"the axle can hit the {obstacle.label}").lacking(*without)
