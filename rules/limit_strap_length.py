"""The limit strap comes tight before anything else does.

Checked: that each strap, with the stretch that its full load gives it, is tight before the coilover on its
side tops out, before the brake line runs out of slack, and before the driveshaft runs out of slip or of joint
angle; in straight droop, and in articulation with its own side down, whichever leaves less. And that it is slack at
ride height, and does not take away droop that the spec states.

Risk: a coilover that ends the droop is pulled apart from inside. A brake line that ends it leaves the truck without
brakes. A driveshaft that ends it drops out or breaks its joint.

Worked out: the axle is lowered until the distance between the strap's ends is its length and its stretch,
on beyond the stated travel if need be. What is left for the coilover, the hose and the shaft is computed in that pose.
Where the strap is not tight by the end of the articulation that the spec states, it is computed there, so state how far
the axle really rolls.

Remedy: a shorter strap, or its frame end lower; the change given makes the coilover keep its margin. Where a
longer strap would let something else run out first, the record says so.
"""

from buildcheck.api import (
    Answer,
    Area,
    BrakeLine,
    Coilover,
    Driveshaft,
    Job,
    LimitStrap,
    Line,
    OnStroke,
    Pair,
    Resize,
    Rule,
    Sample,
    Set,
    ShaftJoint,
    Side,
    Spot,
    Verdict,
    Words,
    at_least,
    at_most,
    common_practice,
    each,
    falling,
    least,
    met,
)

rule = Rule(
    "limit-strap-length",
    area=Area.TRAVEL_STOPS,
    page=__doc__,
    samples=(
        Sample("a longer brake line", {"brake_lines.line.both.free_length": 25}),
        Sample(
            "a strap so long that the coilover tops out and the brake line comes tight first",
            {"limit_straps.strap.both.length": "21 3/4 in"},
            {"coilover-left": Verdict.ERROR, "brake-line-slack": Verdict.ERROR},
        ),
        Sample(
            "a strap that takes droop away",
            {"limit_straps.strap.both.length": "18 1/2 in", "brake_lines.line.both.free_length": 25},
            {"droop-lost": Verdict.ERROR},
        ),
    ),
)

STRAP_ENDS_IT = common_practice(
    "the strap, stretched by its full load, ends the droop before a damper, hose or shaft does"
)
strap_length = Resize("length", says="make the {part} {amount} {way}")


def tight(job: Job, strap: LimitStrap, line: Line) -> float | None:
    """Where along a line the strap, stretched by its full load, comes tight; None where it never does."""
    return job.length(strap, line).first_at_least(strap.length + strap.stretch)


def end_of(job: Job, side: Side, line: Line) -> tuple[LimitStrap, float]:
    """The strap that ends the way down of one side, and where along the line.

    Straps that are not tight by the end of the stated articulation are read there. In straight droop nothing but a
    strap ends the travel, so where none comes tight the axle goes as far as the links do.
    """
    straps = job.limit_straps_of(side)
    ends = [(strap, at) for strap in straps if (at := tight(job, strap, line)) is not None]
    return min(ends, key=lambda end: end[1], default=(straps[0], job.length(straps[0], line).farthest))


@rule.check(
    LimitStrap,
    at_least(warning="1 in", error="0 in"),
    basis=common_practice("a strap that is tight before the truck has drooped at all holds it up, or breaks"),
    change=(strap_length, Words("set the strap's frame end lower")),
    effect="the strap carries the axle before it has drooped",
)
def slack_at_ride(job: Job, strap: LimitStrap) -> Spot:
    """Slack of the strap at ride height."""
    return strap.length - job.length(strap, job.lines.droop).ride


@rule.must(
    LimitStrap,
    wanted="tight before the axle runs out of travel",
    basis=STRAP_ENDS_IT,
    change=(strap_length, Words("shorten the strap, or lower its frame end")),
    effect="something else ends the droop",
)
def comes_tight(job: Job, strap: LimitStrap) -> Answer:
    """The strap comes tight in straight droop."""
    at = tight(job, strap, job.lines.droop)
    return met(at is not None, "comes tight", otherwise="never comes tight in straight droop")


@rule.check(
    LimitStrap,
    at_most(error="0 in"),
    basis=common_practice("the travel that was planned is the travel that the strap allows"),
    change=(strap_length, Words("state no more droop than the links allow, or take a longer strap with it")),
    follows=("comes-tight",),
)
def droop_lost(job: Job, strap: LimitStrap) -> Spot:
    """Stated droop that the strap does not allow; negative: droop that it allows beyond."""
    droop = job.lines.droop
    at = tight(job, strap, droop)
    assert at is not None  # it comes tight, by the check that this one follows
    lost = Spot(droop.end - at, droop.pose(at))
    return lost.because("the truck droops less than planned" if at > 0.0 else "the strap is tight at ride height")


def in_order(job: Job, pair: Pair[LimitStrap]) -> tuple[LimitStrap, LimitStrap]:
    """The strap of a pair that comes tight first, and the one that comes tight last."""
    left, right = (tight(job, strap, job.lines.droop) or 0.0 for strap in (pair.left, pair.right))
    return (pair.right, pair.left) if left > right else (pair.left, pair.right)


one_strap = Resize("length", says="make the {part} {amount} {way}", alone=True)


@rule.check(
    Pair[LimitStrap],
    at_most(warning="1/2 in", error="1 in"),
    basis=common_practice(
        "straps that come tight 1/4 in apart roll the truck, 3/4 in apart one takes the whole axle; both and 1/4 in for"
        " what a tape leaves open, 1/16 in at either end of either strap"
    ),
    change=(
        one_strap.of(lambda job, pair: in_order(job, pair)[1]),
        one_strap.of(lambda job, pair: in_order(job, pair)[0]),
        Words(lambda job, pair: f"shorten the {in_order(job, pair)[1].label} until both come tight together"),
    ),
    follows=("comes-tight",),
)
def both_together(job: Job, pair: Pair[LimitStrap]) -> Spot:
    """Difference in droop between where the left strap comes tight and the right one."""
    droop = job.lines.droop
    early, late = (tight(job, strap, droop) for strap in in_order(job, pair))
    assert early is not None and late is not None  # both come tight, by the check that this one follows
    return Spot(late - early, droop.pose(late)).because(f"the {in_order(job, pair)[1].label} comes tight late")


@rule.check(
    falling(Coilover),
    at_least(warning="1/4 in", error="0 in"),
    basis=STRAP_ENDS_IT,
    change=(
        strap_length.of(lambda job, coilover: end_of(job, coilover.side, coilover.line)[0]),
        Resize(
            "extended_length",
            says="in place of the {part} take one that is {amount} {way} when it is extended, and set the ride height "
            "anew: a strap that spares this one would take droop away",
        ).of(lambda job, coilover: coilover.part),
        Words("take a coilover that is longer when it is extended, or plan less droop"),
    ),
    effect="the coilover tops out and ends the droop",
    name="coilover-left",
)
def extension_in_reserve(job: Job, coilover: OnStroke) -> Spot:
    """Extension that the coilover has left when the strap is tight."""
    _, at = end_of(job, coilover.side, coilover.line)
    return float(coilover.part.extended_length) - job.length(coilover.part, coilover.line).at_end(at)


@rule.check(
    BrakeLine,
    at_least(warning="1 in", error="0 in"),
    basis=STRAP_ENDS_IT,
    change=(Resize("free_length", says="make the {part} {amount} {way}"), Words("take a longer brake line")),
    effect="a hose that runs out is pulled off, and the brakes are gone",
)
def brake_line_slack(job: Job, hose: BrakeLine) -> Spot:
    """Slack that the brake line has left when the strap is tight, worst lock."""
    sides = (hose.side,) if hose.side is not Side.CENTRE else (Side.LEFT, Side.RIGHT)
    ends = [(line, end_of(job, side, line)[1]) for side in sides for line in job.lines.falling(side)]
    slack = least(hose.free_length - job.brake_line_length(hose, line).at_end(at) for line, at in ends)
    return slack.lacking(*job.lines.without_articulation)


def driven(job: Job, _: object) -> str | None:
    """Why the check does not apply; None where the axle is driven."""
    axle = job.build.axle
    return "nothing drives this axle" if axle.has("driven") and not axle.driven else None


def ends_of_droop(job: Job) -> list[tuple[Line, float]]:
    """Where the straps end straight droop, on the side that goes farther, and articulation with each side down."""
    straight = job.lines.droop
    ends = [(straight, max(end_of(job, side, straight)[1] for side in (Side.LEFT, Side.RIGHT)))]
    for side in (Side.LEFT, Side.RIGHT):
        ends += [(line, end_of(job, side, line)[1]) for line in job.lines.falling(side)[1:]]
    return ends


@rule.check(
    Driveshaft,
    at_least(warning="1/2 in", error="0 in"),
    basis=STRAP_ENDS_IT,
    change=(
        Resize("longest_length", says="take a slip that extends {amount} more, or shorten the straps"),
        Words("shorten the straps, or take a driveshaft with more slip"),
    ),
    when=driven,
    effect="the slip comes apart",
)
def driveshaft_slip_left(job: Job, shaft: Driveshaft) -> Spot:
    """Slip that the driveshaft has left to extend when the strap is tight."""
    left = least(shaft.longest_length - job.driveshaft_length(line).at_end(at) for line, at in ends_of_droop(job))
    return left.lacking(*job.lines.without_articulation)


@rule.check(
    each(ShaftJoint, of=Driveshaft),
    at_least(warning="2 deg", error="0 deg"),
    basis=STRAP_ENDS_IT,
    change=(
        Set("largest_angle", says="take a {part} that bends to {amount}, or shorten the straps"),
        Words("shorten the straps, or take joints that bend farther"),
    ),
    when=driven,
    effect="the joint binds and breaks",
)
def driveshaft_angle_left(job: Job, joint: ShaftJoint) -> Spot:
    """Angle that the driveshaft's joint has left when the strap is tight."""
    bent = [job.driveshaft_angle(job.end_of_shaft(joint), line).at_end(at) for line, at in ends_of_droop(job)]
    return least(joint.largest_angle - angle for angle in bent).lacking(*job.lines.without_articulation)
