"""The limit strap comes tight before anything else does."""

import math
from collections.abc import Iterator
from functools import partial
from typing import Literal

from buildcheck.api import (
    Area,
    BrakeLine,
    Build,
    Coilover,
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
    does_not_apply,
    hold,
    require,
    rule,
)

STRAP_ENDS_IT = common_practice(
    "the strap, stretched by its full load, ends the droop before a damper, hose or shaft does"
)

COMES_TIGHT = Requirement("comes-tight", "the strap comes tight at all", basis=STRAP_ENDS_IT)
COILOVER_LEFT = Limit(
    "coilover-left",
    "extension that the coilover has left when the strap is tight",
    Dimension.LENGTH,
    at_least(warning="1/4 in", error="0 in"),
    basis=STRAP_ENDS_IT,
)
BRAKE_LINE_SLACK = Limit(
    "brake-line-slack",
    "slack that the brake line has left when the strap is tight, at whichever lock is worst",
    Dimension.LENGTH,
    at_least(warning="1 in", error="0 in"),
    basis=STRAP_ENDS_IT,
)
SLIP_LEFT = Limit(
    "driveshaft-slip-left",
    "slip that the driveshaft has left to come out when the strap is tight",
    Dimension.LENGTH,
    at_least(warning="1/2 in", error="0 in"),
    basis=STRAP_ENDS_IT,
)
ANGLE_LEFT = Limit(
    "driveshaft-angle-left",
    "angle that the driveshaft's joint has left when the strap is tight",
    Dimension.ANGLE,
    at_least(warning="2 deg", error="0 deg"),
    basis=STRAP_ENDS_IT,
)
SLACK_AT_RIDE = Limit(
    "slack-at-ride",
    "slack of the strap at ride height",
    Dimension.LENGTH,
    at_least(warning="1 in", error="0 in"),
    basis=common_practice("a strap that is tight before the truck has drooped at all holds it up, or breaks"),
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
    """Whether the two straps of a pair come tight at the same height of the axle."""
    for straps in _pairs(build):
        droop = job.lines.droop
        left, right = (_tight(job, strap, droop) for strap in straps)
        if left is None or right is None:
            continue  # the strap that never comes tight has a reading of its own
        late, early = straps if left > right else reversed(straps)
        yield hold(
            BOTH_TOGETHER,
            Spot(abs(left - right), droop.pose(max(left, right))),
            place=late.path_of("length"),
            effect=f"the {late.label} comes tight late",
            cure=partial(_tight_with, job, late, early),
        )


def _pairs(build: Build) -> Iterator[tuple[LimitStrap, LimitStrap]]:
    for name in sorted(build.limit_straps):
        if build.limit_straps[name].is_pair:
            yield build.limit_straps[name].left, build.limit_straps[name].right


def _tight_with(job: Job, late: LimitStrap, early: LimitStrap, _: float) -> Cure | None:
    def later(changed: Job) -> float:
        tights = [_tight(changed, changed.same(strap), changed.lines.droop) for strap in (late, early)]
        return math.nan if None in tights else tights[0] - tights[1]  # type: ignore[operator]  # None is ruled out

    return job.resize(late.path_of("length"), f"the {late.as_written}", later, 0.0)


def _tight(job: Job, strap: LimitStrap, stroke: Line) -> float | None:
    return job.length(strap, stroke).first_at_least(strap.length + strap.stretch)


def _ends(job: Job, side: Side, stroke: Line) -> tuple[LimitStrap, float]:
    """The strap that ends the stroke of one side, and where.

    Straps that are not tight by the end of the stated articulation are read there. In straight droop nothing but a
    strap ends the travel, so where none comes tight the axle goes as far as the links do.
    """
    straps = job.limit_straps_of(side)
    tight = [(strap, _tight(job, strap, stroke)) for strap in straps]
    stops = [(strap, at) for strap, at in tight if at is not None]
    return min(stops, key=lambda each: each[1], default=(straps[0], job.length(straps[0], stroke).farthest))


def coilover(job: Job, part: Coilover) -> Iterator[Finding]:
    """What a coilover has left where the strap of its side comes tight."""
    for stroke in job.lines.falling(part.side):
        strap, at = _ends(job, part.side, stroke)
        yield hold(
            COILOVER_LEFT,
            part.extended_length - job.length(part, stroke).at(at),
            place=strap.path_of("length"),
            effect="the coilover tops out and ends the droop",
            cure=partial(_shorter, job, strap, part, stroke.name),
        )


def _shorter(job: Job, strap: LimitStrap, part: Coilover, stroke_name: str, target: float) -> Cure | None:
    def left(changed: Job) -> float:
        stroke = next(line for line in changed.lines.falling(part.side) if line.name == stroke_name)
        _, at = _ends(changed, part.side, stroke)
        return part.extended_length - changed.length(part, stroke).at(at).value

    length = strap.path_of("length")
    return job.resize(length, f"the {strap.as_written}", left, target) or Cure(
        f"shorten the {strap.as_written} until it ends the droop there"
    )


def brake_line(job: Job, hose: BrakeLine) -> Iterator[Finding]:
    """What a brake line has left where the strap of its side comes tight; for one in the middle, of either side."""
    for side in (hose.side,) if hose.side is not Side.CENTRE else (Side.LEFT, Side.RIGHT):
        for stroke in job.lines.falling(side):
            _, at = _ends(job, side, stroke)
            slack = hose.free_length - job.brake_line_length(hose, stroke).at(at)
            yield hold(
                BRAKE_LINE_SLACK,
                slack,
                place=hose.path_of("free_length"),
                effect="a hose that runs out is pulled off, and the brakes are gone",
                cure=partial(_longer_hose, hose, slack.value),
            )


def _longer_hose(hose: BrakeLine, slack: float, target: float) -> Cure:
    more = target - slack
    words = f"make the {hose.as_written} {{amount}} longer"
    return Cure(words, more, Dimension.LENGTH, hose.path_of("free_length"), more)


def driveshaft(job: Job, build: Build) -> Iterator[Finding]:
    """What the driveshaft has left where the straps end straight droop, and articulation with each side down."""
    if build.axle.has("driven") and not build.axle.driven:
        yield does_not_apply("nothing drives this axle")
        return
    shaft = build.driveshaft
    for stroke, at in _ends_of_droop(job):
        yield hold(
            SLIP_LEFT,
            shaft.longest_length - job.driveshaft_length(stroke).at(at),
            place=shaft.path_of("longest_length"),
            effect="the slip comes apart",
            cure=partial(_more_slip, shaft.longest_length - job.driveshaft_length(stroke).at(at).value),
        )
        ends: tuple[Literal["output", "pinion"], ...] = ("output", "pinion")
        for end in ends:
            joint = shaft.output_joint if end == "output" else shaft.pinion_joint
            left = joint.largest_angle - job.driveshaft_angle(end, stroke).at(at)
            yield hold(
                ANGLE_LEFT,
                left,
                place=joint.path_of("largest_angle"),
                effect=f"the joint at the {end} binds and breaks",
                cure=partial(_more_angle, end, left.value),
            )


def _ends_of_droop(job: Job) -> Iterator[tuple[Line, float]]:
    straight = job.lines.droop
    yield straight, max(_ends(job, side, straight)[1] for side in (Side.LEFT, Side.RIGHT))
    for side, stroke in ((Side.LEFT, job.lines.right_up), (Side.RIGHT, job.lines.left_up)):
        yield stroke, _ends(job, side, stroke)[1]


def _more_slip(left: float, target: float) -> Cure:
    words = "take a slip that comes out {amount} more, or shorten the straps"
    return Cure(words, target - left, Dimension.LENGTH, "driveshaft.longest_length", target - left)


def _more_angle(end: str, left: float, target: float) -> Cure:
    words = f"take a joint at the {end} that bends {{amount}} more, or shorten the straps"
    return Cure(words, target - left, Dimension.ANGLE, f"driveshaft.{end}_joint.largest_angle", target - left)


@rule(
    "limit-strap-length",
    area=Area.TRAVEL_STOPS,
    subject="limit-strap",
    also=(("coilover", coilover), ("brake-line", brake_line), ("build", driveshaft), ("build", both_together)),
    limits=(
        COMES_TIGHT,
        SLACK_AT_RIDE,
        COILOVER_LEFT,
        BRAKE_LINE_SLACK,
        SLIP_LEFT,
        ANGLE_LEFT,
        DROOP_LOST,
        BOTH_TOGETHER,
    ),
    samples=(
        Sample("a longer brake line", {"brake_lines.line.both.free_length": 25}),
        Sample(
            "a strap so long that the coilover tops out and the brake line comes tight first",
            {"limit_straps.strap.both.length": "21 3/4 in"},
            {
                "coilover-left": Verdict.ERROR,
                "brake-line-slack": Verdict.ERROR,
                "both-together": Verdict.WARNING,
            },
        ),
        Sample(
            "a strap that takes droop away",
            {"limit_straps.strap.both.length": "18 1/2 in", "brake_lines.line.both.free_length": 25},
            {"droop-lost": Verdict.WARNING},
        ),
    ),
)
def limit_strap_length(job: Job, strap: LimitStrap) -> Iterator[Finding]:
    """The limit strap comes tight before anything else does.

    What it checks: that each strap, with the stretch that its full load gives it, is tight before the coilover on its
    side tops out, before the brake line runs out of slack, and before the driveshaft runs out of slip or of joint
    angle; in straight droop, and in articulation with its own side down. And that it is slack at ride height, and
    does not take away droop that the spec states.

    Why: a coilover that ends the droop is pulled apart from inside. A brake line that ends it leaves the truck without
    brakes. A driveshaft that ends it drops out or breaks its joint.

    How it is computed: the axle is lowered until the distance between the strap's ends is its length and its stretch,
    on beyond the stated travel if need be. What the coilover, the hose and the shaft have left is read in that pose.
    Where the strap is not tight by the end of the articulation that the spec states, it is read there: so state how far
    the axle really rolls.

    To put it right: a shorter strap, or its frame end lower; the change given makes the coilover keep its margin.
    """
    straight = job.lines.droop
    slack = strap.length - job.length(strap, straight).ride
    yield hold(
        SLACK_AT_RIDE,
        slack,
        place=strap.path_of("length"),
        effect="the strap carries the axle before it has drooped",
        cure=partial(_more_length, strap, slack.value),
    )
    tight = _tight(job, strap, straight)
    yield require(
        COMES_TIGHT,
        met=tight is not None,
        found=f"never comes tight in {straight.name}" if tight is None else "comes tight",
        wanted="tight before the axle runs out of travel",
        place=strap.path_of("length"),
        effect="something else ends the droop",
        cure="shorten the strap, or lower its frame end",
    )
    if tight is not None:
        yield hold(
            DROOP_LOST,
            Spot(max(straight.end - tight, 0.0), straight.pose(tight)),
            place=strap.path_of("length"),
            effect="the truck droops less than planned" if tight > 0.0 else "the strap is tight at ride height",
            cure=partial(_longer, job, strap),
        )


def _longer(job: Job, strap: LimitStrap, target: float) -> Cure | None:
    def lost(changed: Job) -> float:
        straight = changed.lines.droop
        tight = _tight(changed, changed.same(strap), straight)
        return 0.0 if tight is None else straight.end - tight

    length = strap.path_of("length")
    return job.resize(length, f"the {strap.as_written}", lost, target) or Cure(
        f"make the {strap.as_written} as long as its ends are apart at full droop, less its stretch"
    )


def _more_length(strap: LimitStrap, slack: float, target: float) -> Cure:
    more = target - slack
    words = f"make the {strap.as_written} {{amount}} longer"
    return Cure(words, more, Dimension.LENGTH, strap.path_of("length"), more)
