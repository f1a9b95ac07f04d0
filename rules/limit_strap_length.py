"""The limit strap comes tight before anything else does."""

from collections.abc import Iterator

from buildcheck.api import (
    Area,
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


def _tight(job: Job, strap: LimitStrap, stroke: Line) -> float | None:
    return job.length(strap, stroke).first_reaches(strap.length + strap.stretch)


def driveshaft(job: Job, strap: LimitStrap) -> Iterator[Finding]:
    """What the driveshaft has left where this strap comes tight."""
    for stroke in job.lines.falling(strap.side):
        tight = _tight(job, strap, stroke)
        if tight is None or not job.build.axle.driven:
            continue
        shaft = job.build.driveshaft
        yield hold(
            "driveshaft-slip-left",
            shaft.longest_length - job.driveshaft_length(stroke).at(tight),
            place="driveshaft.longest_length",
            effect="the slip comes apart",
        )
        for end, joint in (("output", shaft.output_joint), ("pinion", shaft.pinion_joint)):
            yield hold(
                "driveshaft-angle-left",
                joint.largest_angle - job.driveshaft_angle(end, stroke).at(tight),
                place=joint.place("largest_angle"),
                effect=f"the joint at the {end} binds and breaks",
            )


def brake_line(job: Job, strap: LimitStrap) -> Iterator[Finding]:
    """What the brake line of this side has left where this strap comes tight."""
    for stroke in job.lines.falling(strap.side):
        tight = _tight(job, strap, stroke)
        if tight is None:
            continue
        line = job.brake_line(strap.side)
        slack = line.free_length - job.brake_line_length(strap.side, stroke).at(tight)
        yield hold("brake-line-slack", slack, place=line.place("free_length"), effect="the hose is pulled off: no brakes")


@rule(
    "limit-strap-length",
    area=Area.TRAVEL_STOPS,
    subject="limit-strap",
    also=(("limit-strap", driveshaft), ("limit-strap", brake_line)),
    limits=(COMES_TIGHT, COILOVER_LEFT, BRAKE_LINE_SLACK, SLIP_LEFT, ANGLE_LEFT, DROOP_LOST),
    samples=(),
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

    To put it right: a shorter strap, or its frame end lower; the change given makes the coilover keep its margin.
    """
    for stroke in job.lines.falling(strap.side):
        tight = _tight(job, strap, stroke)
        yield require(
            "comes-tight",
            met=tight is not None,
            found="comes tight" if tight is not None else f"never comes tight in {stroke.name}",
            wanted=f"tight in {stroke.name} before the axle runs out of travel",
            place=strap.place("length"),
            effect="something else ends the droop",
            cure="shorten the strap, or lower its frame end",
        )
        if tight is None:
            continue
        coilover = job.coilover(strap.side)
        left = coilover.extended_length - job.length(coilover, stroke).at(tight)
        yield hold(
            "coilover-left",
            left,
            place=strap.place("length"),
            effect="the coilover tops out and ends the droop",
            cure=lambda target, stroke=stroke: job.resize(
                strap.place("length"),
                f"the {strap.label}",
                lambda changed: _coilover_left(changed, strap.side, stroke.name),
                target,
            ),
        )
    straight, _ = job.lines.falling(strap.side)
    tight = _tight(job, strap, straight)
    if tight is not None:
        lost = Spot(max(straight.end - tight, 0.0), straight.pose(tight))
        yield hold("droop-lost", lost, place=strap.place("length"), effect="the truck droops less than planned")


def _coilover_left(job: Job, side: Side, stroke_name: str) -> float:
    strap, coilover = job.limit_strap(side), job.coilover(side)
    stroke = next(line for line in job.lines.falling(side) if line.name == stroke_name)
    tight = _tight(job, strap, stroke)
    if tight is None:
        return float("nan")
    return coilover.extended_length - job.length(coilover, stroke).at(tight).value
