"""The limit strap comes tight before anything else does."""

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
    Edit,
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
    harmed,
    hold,
    least,
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
    "droop that is stated and that the strap does not allow; negative: droop that it allows beyond",
    Dimension.LENGTH,
    at_most(error="0 in"),
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


def _tight_with(job: Job, late: LimitStrap, early: LimitStrap, _: float) -> Cure:
    """The late strap made to come tight where the early one does; or, where the early one takes droop away, the early
    strap where the late one does."""
    shorter = _as_tight_as(job, late, early)
    if late.path == early.path:
        words = f"write the two straps apart, and make the {late.label} {{amount}} shorter"
        return Cure(words, -shorter, Dimension.LENGTH, makes=(Edit(late.own_path_of("length"), -1.0),))
    change = _by(late.label, [late.path_of("length")], shorter)
    if DROOP_LOST.name in harmed(limit_strap_length, job, change):
        change = _by(early.label, [early.path_of("length")], _as_tight_as(job, early, late))
    return _if_all_follows(job, change)


def _as_tight_as(job: Job, strap: LimitStrap, other: LimitStrap) -> float:
    """How much longer a strap would have to be to come tight where the other one does; less than nothing if shorter."""
    droop = job.lines.droop
    at = _tight(job, other, droop)
    assert at is not None
    return job.length(strap, droop).at(at).value - strap.stretch - strap.length


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
            part.extended_length - job.length(part, stroke).at_end(at),
            place=strap.path_of("length"),
            effect="the coilover tops out and ends the droop",
            cure=partial(_shorter, job, strap, part),
        )
    job.lines.need_articulation()


def _shorter(job: Job, strap: LimitStrap, part: Coilover, target: float) -> Cure:
    """The strap as long as its ends are apart, less its stretch, where the coilover has as much left as wanted, in
    straight droop and in articulation. Where that takes droop away, the coilover is too short for the droop stated."""
    straps = {each.side: each for each in job.together(strap, "length").parts}
    shorter, left = 0.0, []
    for each in job.together(part, "extended_length").parts:
        held_by = straps.get(each.side, strap)
        for stroke in job.lines.falling(each.side):
            length = job.length(each, stroke)
            at = length.first_at_least(each.extended_length - target)
            if at is not None:
                apart = job.length(held_by, stroke).at(at).value
                shorter = max(shorter, held_by.length + held_by.stretch - apart)
            left.append(each.extended_length - length.at(_ends(job, each.side, stroke)[1]))
    change = _both(job, strap, -shorter)
    steps = harmed(limit_strap_length, job, change)
    if SLACK_AT_RIDE.name in steps or DROOP_LOST.name in steps:
        return Cure(
            f"in place of the {part.as_written} take one that is {{amount}} longer when it is extended, and set the "
            "ride height anew: a strap that spares this one would take droop away",
            target - least(left).value,
            Dimension.LENGTH,
            makes=tuple(Edit(path) for path in job.together(part, "extended_length").paths("extended_length")),
        )
    return change.after(*(FIRST[name] for name in steps))


def _both(job: Job, strap: LimitStrap, change: float) -> Cure:
    """A strap, and its like on the other side where that is as long, made longer or shorter by so much."""
    straps = job.together(strap, "length")
    return _by(straps.label, straps.paths("length"), change)


def _by(label: str, paths: list[str], change: float) -> Cure:
    words = f"make the {label} {{amount}} {'longer' if change > 0.0 else 'shorter'}"
    return Cure(words, abs(change), Dimension.LENGTH, paths[0], change, tuple(paths[1:]))


# What must be done first where the change of a strap would harm a limit.
FIRST = {
    COMES_TIGHT.name: "set the strap's frame end lower",
    SLACK_AT_RIDE.name: "set the strap's frame end lower",
    COILOVER_LEFT.name: "take longer coilovers",
    BRAKE_LINE_SLACK.name: "take longer brake lines",
    SLIP_LEFT.name: "take a driveshaft whose slip comes out farther",
    ANGLE_LEFT.name: "take joints of the driveshaft that bend farther",
    DROOP_LOST.name: "state less droop",
    BOTH_TOGETHER.name: "make both straps tight together",
}


def brake_line(job: Job, hose: BrakeLine) -> Iterator[Finding]:
    """What a brake line has left where the strap of its side comes tight; for one in the middle, of either side."""
    yield hold(
        BRAKE_LINE_SLACK,
        _slack(job, hose),
        place=hose.path_of("free_length"),
        effect="a hose that runs out is pulled off, and the brakes are gone",
        cure=partial(_longer_hose, job, hose),
    )
    job.lines.need_articulation()


def _slack(job: Job, hose: BrakeLine) -> Spot:
    sides = (hose.side,) if hose.side is not Side.CENTRE else (Side.LEFT, Side.RIGHT)
    ends = ((stroke, _ends(job, side, stroke)[1]) for side in sides for stroke in job.lines.falling(side))
    return least(hose.free_length - job.brake_line_length(hose, stroke).at_end(at) for stroke, at in ends)


def _longer_hose(job: Job, hose: BrakeLine, target: float) -> Cure:
    """The hose as long as the side of a pair needs that has less slack."""
    hoses = job.together(hose, "free_length")
    more = target - least(_slack(job, each) for each in hoses.parts).value
    paths, words = hoses.paths("free_length"), f"make the {hoses.label} {{amount}} longer"
    return Cure(words, more, Dimension.LENGTH, paths[0], more, tuple(paths[1:]))


def driveshaft(job: Job, build: Build) -> Iterator[Finding]:
    """What the driveshaft has left where the straps end straight droop, and articulation with each side down."""
    if build.axle.has("driven") and not build.axle.driven:
        yield does_not_apply("nothing drives this axle")
        return
    shaft, ends = build.driveshaft, list(_ends_of_droop(job))
    slip = least(shaft.longest_length - job.driveshaft_length(stroke).at_end(at) for stroke, at in ends)
    yield hold(
        SLIP_LEFT,
        slip,
        place=shaft.path_of("longest_length"),
        effect="the slip comes apart",
        cure=partial(_more_slip, slip.value),
    )
    joints: tuple[Literal["output", "pinion"], ...] = ("output", "pinion")
    for end in joints:
        joint = shaft.output_joint if end == "output" else shaft.pinion_joint
        left = least(joint.largest_angle - job.driveshaft_angle(end, stroke).at_end(at) for stroke, at in ends)
        yield hold(
            ANGLE_LEFT,
            left,
            place=joint.path_of("largest_angle"),
            effect=f"the joint at the {end} binds and breaks",
            cure=partial(_more_angle, end, left.value),
        )
    job.lines.need_articulation()


def _ends_of_droop(job: Job) -> Iterator[tuple[Line, float]]:
    straight = job.lines.droop
    yield straight, max(_ends(job, side, straight)[1] for side in (Side.LEFT, Side.RIGHT))
    for side in (Side.LEFT, Side.RIGHT):
        for stroke in job.lines.falling(side)[1:]:
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
    heeded=True,
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
            {"droop-lost": Verdict.ERROR},
        ),
    ),
)
def limit_strap_length(job: Job, strap: LimitStrap) -> Iterator[Finding]:
    """The limit strap comes tight before anything else does.

    What it checks: that each strap, with the stretch that its full load gives it, is tight before the coilover on its
    side tops out, before the brake line runs out of slack, and before the driveshaft runs out of slip or of joint
    angle; in straight droop, and in articulation with its own side down, whichever leaves less. And that it is slack at
    ride height, and does not take away droop that the spec states.

    Why: a coilover that ends the droop is pulled apart from inside. A brake line that ends it leaves the truck without
    brakes. A driveshaft that ends it drops out or breaks its joint.

    How it is computed: the axle is lowered until the distance between the strap's ends is its length and its stretch,
    on beyond the stated travel if need be. What the coilover, the hose and the shaft have left is read in that pose.
    Where the strap is not tight by the end of the articulation that the spec states, it is read there: so state how far
    the axle really rolls.

    To put it right: a shorter strap, or its frame end lower; the change given makes the coilover keep its margin. A
    strap is made longer only as far as all that hangs beside it follows; what does not is told first.
    """
    straight = job.lines.droop
    slack = strap.length - job.length(strap, straight).ride
    yield hold(
        SLACK_AT_RIDE,
        slack,
        place=strap.path_of("length"),
        effect="the strap carries the axle before it has drooped",
        cure=lambda target: _if_all_follows(job, _both(job, strap, target - slack.value)),
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
            Spot(straight.end - tight, straight.pose(tight)),
            place=strap.path_of("length"),
            effect="the truck droops less than planned" if tight > 0.0 else "the strap is tight at ride height",
            cure=partial(_longer, job, strap),
        )


def _longer(job: Job, strap: LimitStrap, target: float) -> Cure:
    """The strap as long as its ends are apart, less its stretch, where droop is lost no more than it may be."""
    straight, strapped = job.lines.droop, job.together(strap, "length")
    if straight.end - target > job.length(strap, straight).farthest:
        less = "state no more droop than the links allow"
        return Cure(f"{less}; then make the {strapped.label} as long as its ends are apart there, less its stretch")
    more = max(
        job.length(each, straight).at(straight.end - target).value - each.stretch - each.length
        for each in strapped.parts
    )
    return _if_all_follows(job, _both(job, strap, more))


def _if_all_follows(job: Job, change: Cure) -> Cure:
    """A longer strap, after whatever could not follow the axle to where it is then tight."""
    return change.after(*(FIRST[name] for name in harmed(limit_strap_length, job, change)))
