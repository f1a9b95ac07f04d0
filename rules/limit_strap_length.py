"""The limit strap ends the droop before anything else does.

Checked: that each strap, stretched by its full load, is tight before the coilover on its side tops out, before
the brake line is out of slack, and before the driveshaft is out of slip or of joint angle; in straight droop, and in
articulation with its own side down, whichever leaves less. The strap must also be slack at ride height, and must allow
the stated droop.

Risk: a coilover that ends the droop is pulled apart from inside. A brake line that ends it leaves the truck without
brakes. A driveshaft that ends it drops out or breaks its joint.

Worked out: the axle drops until the distance between the strap's ends is its length plus its stretch, beyond
the stated travel if needed. The reserves of the coilover, the hose and the shaft are computed in that pose. Where the
strap is not tight by the end of the stated articulation, they are computed there, so state how far the axle really
rolls.

Remedy: shorten the strap or lower its frame end; the change line keeps the coilover's margin. Where a longer
strap would let something else run out first, the record says so.
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
            "a strap too short for the stated droop",
            {"limit_straps.strap.both.length": "18 1/2 in", "brake_lines.line.both.free_length": 25},
            {"droop-lost": Verdict.ERROR},
        ),
    ),
)

STRAP_ENDS_IT = common_practice(
    "the strap, stretched by its full load, must end the droop before a damper, hose or shaft does"
)
strap_length = Resize("length", says="make the {part} {amount} {way}")


def tight(job: Job, strap: LimitStrap, line: Line) -> float | None:
    """Position on a line where the strap, stretched by its full load, is tight; None where it never is."""
    return job.length(strap, line).first_at_least(strap.length + strap.stretch)


def end_of(job: Job, side: Side, line: Line) -> tuple[LimitStrap, float]:
    """The strap that ends the downward motion of one side, and the position on the line.

    Where no strap is tight, the position is the end of the stated articulation; in straight droop, which only a strap
    ends, it is the end of the links' reach.
    """
    straps = job.limit_straps_of(side)
    ends = [(strap, at) for strap in straps if (at := tight(job, strap, line)) is not None]
    return min(ends, key=lambda end: end[1], default=(straps[0], job.length(straps[0], line).farthest))


@rule.check(
    LimitStrap,
    at_least(warning="1 in", error="0 in"),
    basis=common_practice("a strap that is tight at ride height carries the axle, or breaks"),
    change=(strap_length, Words("set the strap's frame end lower")),
    effect="the strap carries the axle before it droops",
)
def slack_at_ride(job: Job, strap: LimitStrap) -> Spot:
    """Slack of the strap at ride height."""
    return strap.length - job.length(strap, job.lines.droop).ride


@rule.must(
    LimitStrap,
    wanted="tight before the links end the droop",
    basis=STRAP_ENDS_IT,
    change=(strap_length, Words("shorten the strap, or lower its frame end")),
    effect="something else ends the droop",
)
def comes_tight(job: Job, strap: LimitStrap) -> Answer:
    """The strap becomes tight in straight droop."""
    at = tight(job, strap, job.lines.droop)
    return met(at is not None, "comes tight", otherwise="never comes tight in straight droop")


@rule.check(
    LimitStrap,
    at_most(error="0 in"),
    basis=common_practice("the strap must allow the planned travel"),
    change=(strap_length, Words("state no more droop than the links allow, and fit a longer strap")),
    follows=("comes-tight",),
)
def droop_lost(job: Job, strap: LimitStrap) -> Spot:
    """Stated droop that the strap does not allow; negative where it allows more than stated."""
    droop = job.lines.droop
    at = tight(job, strap, droop)
    assert at is not None  # the check that this one follows found that it is tight
    lost = Spot(droop.end - at, droop.pose(at))
    return lost.because("the truck droops less than planned" if at > 0.0 else "the strap is tight at ride height")


def in_order(job: Job, pair: Pair[LimitStrap]) -> tuple[LimitStrap, LimitStrap]:
    """The strap of a pair that is tight first, and the other one."""
    left, right = (tight(job, strap, job.lines.droop) or 0.0 for strap in (pair.left, pair.right))
    return (pair.right, pair.left) if left > right else (pair.left, pair.right)


one_strap = Resize("length", says="make the {part} {amount} {way}", alone=True)


@rule.check(
    Pair[LimitStrap],
    at_most(warning="1/2 in", error="1 in"),
    basis=common_practice(
        "straps that are tight 1/4 in apart roll the truck; 3/4 in apart, one takes the whole axle; 1/4 in is added to"
        " both for the accuracy of a tape, 1/16 in at each end of each strap"
    ),
    change=(
        one_strap.of(lambda job, pair: in_order(job, pair)[1]),
        one_strap.of(lambda job, pair: in_order(job, pair)[0]),
        Words(lambda job, pair: f"shorten the {in_order(job, pair)[1].label} until both are tight together"),
    ),
    follows=("comes-tight",),
)
def both_together(job: Job, pair: Pair[LimitStrap]) -> Spot:
    """Droop between the positions where one strap is tight and where the other is."""
    droop = job.lines.droop
    early, late = (tight(job, strap, droop) for strap in in_order(job, pair))
    assert early is not None and late is not None  # the check that this one follows found that both are tight
    return Spot(late - early, droop.pose(late)).because(f"the {in_order(job, pair)[1].label} is tight too late")


@rule.check(
    falling(Coilover),
    at_least(warning="1/4 in", error="0 in"),
    physical_end="0 in",
    basis=STRAP_ENDS_IT,
    change=(
        strap_length.of(lambda job, coilover: end_of(job, coilover.side, coilover.line)[0]),
        Resize(
            "extended_length",
            says="replace the {part} with one that is {amount} {way} when extended, and set the ride height again: a "
            "strap that protects this one would not allow the stated droop",
        ).of(lambda job, coilover: coilover.part),
        Words("fit a coilover that is longer when extended, or plan less droop"),
    ),
    effect="the coilover tops out and ends the droop",
    name="coilover-left",
)
def extension_in_reserve(job: Job, coilover: OnStroke) -> Spot:
    """Extension remaining in the coilover when the strap is tight."""
    _, at = end_of(job, coilover.side, coilover.line)
    return float(coilover.part.extended_length) - job.length(coilover.part, coilover.line).at_end(at)


@rule.check(
    BrakeLine,
    at_least(warning="1 in", error="0 in"),
    physical_end="0 in",
    basis=STRAP_ENDS_IT,
    change=(Resize("free_length", says="make the {part} {amount} {way}"), Words("fit a longer brake line")),
    effect="a hose without slack is pulled off, and the brakes fail",
)
def brake_line_slack(job: Job, hose: BrakeLine) -> Spot:
    """Brake-line slack with the strap tight, worst lock."""
    sides = (hose.side,) if hose.side is not Side.CENTRE else (Side.LEFT, Side.RIGHT)
    ends = [(line, end_of(job, side, line)[1]) for side in sides for line in job.lines.falling(side)]
    slack = least(hose.free_length - job.brake_line_length(hose, line).at_end(at) for line, at in ends)
    return slack.lacking(*job.lines.without_articulation)


def driven(job: Job, _: object) -> str | None:
    """Why the check does not apply; None where the axle is driven."""
    axle = job.build.axle
    return "nothing drives this axle" if axle.has("driven") and not axle.driven else None


def ends_of_droop(job: Job) -> list[tuple[Line, float]]:
    """Positions where the straps end straight droop, on the side that goes farther, and articulation to either side."""
    straight = job.lines.droop
    ends = [(straight, max(end_of(job, side, straight)[1] for side in (Side.LEFT, Side.RIGHT)))]
    for side in (Side.LEFT, Side.RIGHT):
        ends += [(line, end_of(job, side, line)[1]) for line in job.lines.falling(side)[1:]]
    return ends


@rule.check(
    Driveshaft,
    at_least(warning="1/2 in", error="0 in"),
    physical_end="0 in",
    basis=STRAP_ENDS_IT,
    change=(
        Resize("longest_length", says="fit a slip that extends {amount} more, or shorten the straps"),
        Words("shorten the straps, or fit a driveshaft with more slip"),
    ),
    when=driven,
    effect="the slip comes apart",
)
def driveshaft_slip_left(job: Job, shaft: Driveshaft) -> Spot:
    """Slip remaining before the driveshaft comes apart, with the strap tight."""
    left = least(shaft.longest_length - job.driveshaft_length(line).at_end(at) for line, at in ends_of_droop(job))
    return left.lacking(*job.lines.without_articulation)


@rule.check(
    each(ShaftJoint, of=Driveshaft),
    at_least(warning="2 deg", error="0 deg"),
    physical_end="0 deg",
    basis=STRAP_ENDS_IT,
    change=(
        Set("largest_angle", says="fit a {part} that bends to {amount}, or shorten the straps"),
        Words("shorten the straps, or fit joints that bend farther"),
    ),
    when=driven,
    effect="the joint binds and breaks",
)
def driveshaft_angle_left(job: Job, joint: ShaftJoint) -> Spot:
    """Angle remaining at the driveshaft joint with the strap tight."""
    bent = [job.driveshaft_angle(job.end_of_shaft(joint), line).at_end(at) for line, at in ends_of_droop(job)]
    return least(joint.largest_angle - angle for angle in bent).lacking(*job.lines.without_articulation)
