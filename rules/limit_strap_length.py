"""The limit strap comes tight before anything else does."""

from collections.abc import Callable, Iterator

from buildcheck.api import (
    Area,
    BrakeLine,
    Build,
    Cure,
    Dimension,
    Finding,
    Job,
    Limit,
    LimitStrap,
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
)

FIRST = common_practice("the strap, stretched by its full load, ends the droop before a damper, hose or shaft does")

COMES_TIGHT = Requirement("comes-tight", "the strap comes tight at all", basis=FIRST)
COILOVER_LEFT = Limit(
    "coilover-left",
    "extension that the coilover has left when the strap is tight",
    Dimension.LENGTH,
    at_least(warning="1/4 in", error="0 in"),
    basis=FIRST,
)
BRAKE_LINE_SLACK = Limit(
    "brake-line-slack",
    "slack that the brake line has left when the strap is tight, at whichever lock is worst",
    Dimension.LENGTH,
    at_least(warning="1 in", error="0 in"),
    basis=FIRST,
)
SLIP_LEFT = Limit(
    "driveshaft-slip-left",
    "slip that the driveshaft has left to come out when the strap is tight",
    Dimension.LENGTH,
    at_least(warning="1/2 in", error="0 in"),
    basis=FIRST,
)
ANGLE_LEFT = Limit(
    "driveshaft-angle-left",
    "angle that the driveshaft's joint has left when the strap is tight",
    Dimension.ANGLE,
    at_least(warning="2 deg", error="0 deg"),
    basis=FIRST,
)
DROOP_LOST = Limit(
    "droop-lost",
    "droop that is stated and that the strap does not allow",
    Dimension.LENGTH,
    at_most(warning="1/2 in"),
    basis=common_practice("the travel that was planned is the travel that the strap allows"),
)


BOTH_TOGETHER = Limit(
    "both-together",
    "difference in droop between where the left strap comes tight and the right one",
    Dimension.LENGTH,
    at_most(warning="1/4 in", error="3/4 in"),
    basis=common_practice("straps that come tight one after the other roll the truck, and one takes the whole axle"),
)


def both_together(job: Job, build: Build) -> Iterator[Finding]:
    """Whether both straps come tight at the same height of the axle."""
    straps = [job.limit_strap(side) for side in (Side.LEFT, Side.RIGHT)]
    left, right = (_tight(job, strap, job.lines.droop) for strap in straps)
    if left is None or right is None:
        return  # the strap that never comes tight has a reading of its own
    late = straps[0] if left > right else straps[1]
    yield hold(
        "both-together",
        Spot(abs(left - right), job.lines.droop.pose(max(left, right))),
        place=late.path_of("length"),
        effect=f"the {late.label} comes tight late",
    )


def _tight(job: Job, strap: LimitStrap, stroke: Line) -> float | None:
    return job.length(strap, stroke).first_at_least(strap.length + strap.stretch)


def _lowest(job: Job, strap: LimitStrap, stroke: Line) -> float:
    # A strap that is not tight by the end of the stated articulation is read there. In straight droop nothing but the
    # strap ends the travel, so one that never comes tight lets the axle go as far as the links do.
    tight = _tight(job, strap, stroke)
    return job.length(strap, stroke).farthest if tight is None else tight


def driveshaft(job: Job, strap: LimitStrap) -> Iterator[Finding]:
    """What the driveshaft has left where this strap comes tight."""
    if not job.build.axle.driven:
        return
    shaft = job.build.driveshaft
    for stroke in job.lines.falling(strap.side):
        tight = _lowest(job, strap, stroke)
        yield hold(
            "driveshaft-slip-left",
            shaft.longest_length - job.driveshaft_length(stroke).at(tight),
            place="driveshaft.longest_length",
            effect="the slip comes apart",
        )
        yield hold(
            "driveshaft-angle-left",
            shaft.output_joint.largest_angle - job.driveshaft_angle("output", stroke).at(tight),
            place=shaft.output_joint.path_of("largest_angle"),
            effect="the joint at the output binds and breaks",
        )
        yield hold(
            "driveshaft-angle-left",
            shaft.pinion_joint.largest_angle - job.driveshaft_angle("pinion", stroke).at(tight),
            place=shaft.pinion_joint.path_of("largest_angle"),
            effect="the joint at the pinion binds and breaks",
        )


def brake_line(job: Job, strap: LimitStrap) -> Iterator[Finding]:
    """What the brake line of this side has left where this strap comes tight."""
    line = job.brake_line(strap.side)
    for stroke in job.lines.falling(strap.side):
        slack = line.free_length - job.brake_line_length(strap.side, stroke).at(_lowest(job, strap, stroke))
        yield hold(
            "brake-line-slack",
            slack,
            place=line.path_of("free_length"),
            effect="a hose that runs out is pulled off, and the brakes are gone",
            cure=_longer_hose(line, slack.value),
        )


def _longer_hose(line: BrakeLine, slack: float) -> Callable[[float], Cure]:
    place = line.path_of("free_length")
    return lambda target: Cure(
        f"make the {line.label} {{amount}} longer", target - slack, Dimension.LENGTH, place, target - slack
    )


@rule(
    "limit-strap-length",
    area=Area.TRAVEL_STOPS,
    subject="limit-strap",
    also=(("limit-strap", driveshaft), ("limit-strap", brake_line), ("build", both_together)),
    limits=(COMES_TIGHT, COILOVER_LEFT, BRAKE_LINE_SLACK, SLIP_LEFT, ANGLE_LEFT, DROOP_LOST, BOTH_TOGETHER),
    samples=(
        Sample("a longer brake line", {"brake_lines.both.free_length": 25}),
        Sample(
            "a strap so long that the coilover tops out and the brake line comes tight first",
            {"limit_straps.both.length": "21 3/4 in"},
            {
                "coilover-left": Verdict.ERROR,
                "brake-line-slack": Verdict.ERROR,
                "both-together": Verdict.WARNING,
            },
        ),
        Sample(
            "a strap that takes droop away",
            {"limit_straps.both.length": "18 1/2 in", "brake_lines.both.free_length": 25},
            {"droop-lost": Verdict.WARNING},
        ),
    ),
)
def limit_strap_length(job: Job, strap: LimitStrap) -> Iterator[Finding]:
    """The limit strap comes tight before anything else does.

    What it checks: that each strap, with the stretch that its full load gives it, is tight before the coilover on its
    side tops out, before the brake line runs out of slack, and before the driveshaft runs out of slip or of joint
    angle; in straight droop, and in articulation with its own side down. And that it does not take away droop that
    the spec states.

    Why: a coilover that ends the droop is pulled apart from inside. A brake line that ends it leaves the truck without
    brakes. A driveshaft that ends it drops out or breaks its joint.

    How it is computed: the axle is lowered until the distance between the strap's ends is its length and its stretch,
    on beyond the stated travel if need be. What the coilover, the hose and the shaft have left is read in that pose.
    Where the strap is not tight by the end of the articulation that the spec states, it is read there: so state how far
    the axle really rolls.

    To put it right: a shorter strap, or its frame end lower; the change given makes the coilover keep its margin.
    """
    straight, _ = job.lines.falling(strap.side)
    tight = _tight(job, strap, straight)
    yield require(
        "comes-tight",
        met=tight is not None,
        found=f"never comes tight in {straight.name}" if tight is None else "comes tight",
        wanted="tight before the axle runs out of travel",
        place=strap.path_of("length"),
        effect="something else ends the droop",
        cure="shorten the strap, or lower its frame end",
    )
    if tight is not None:
        lost = Spot(max(straight.end - tight, 0.0), straight.pose(tight))
        yield hold(
            "droop-lost",
            lost,
            place=strap.path_of("length"),
            effect="the truck droops less than planned" if tight > 0.0 else "the strap is tight at ride height",
            cure=_longer(job, strap),
        )
    coilover = job.coilover(strap.side)
    for stroke in job.lines.falling(strap.side):
        yield hold(
            "coilover-left",
            coilover.extended_length - job.length(coilover, stroke).at(_lowest(job, strap, stroke)),
            place=strap.path_of("length"),
            effect="the coilover tops out and ends the droop",
            cure=_shorter(job, strap, stroke),
        )


def _shorter(job: Job, strap: LimitStrap, stroke: Line) -> Callable[[float], Cure | None]:
    def left(changed: Job) -> float:
        return _coilover_left(changed, strap.side, stroke.name)

    return lambda target: job.resize(strap.path_of("length"), f"the {strap.label}", left, target)


def _longer(job: Job, strap: LimitStrap) -> Callable[[float], Cure | None]:
    def lost(changed: Job) -> float:
        straight = changed.lines.droop
        tight = _tight(changed, changed.same(strap), straight)
        return 0.0 if tight is None else straight.end - tight

    return lambda target: job.resize(strap.path_of("length"), f"the {strap.label}", lost, target)


def _coilover_left(job: Job, side: Side, stroke_name: str) -> float:
    strap, coilover = job.limit_strap(side), job.coilover(side)
    stroke = next(line for line in job.lines.falling(side) if line.name == stroke_name)
    lowest = _lowest(job, strap, stroke)
    return coilover.extended_length - job.length(coilover, stroke).at(lowest).value
