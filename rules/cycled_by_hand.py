"""What was seen as the axle was cycled by hand agrees with what is computed.

Checked: from the cycled stage on, on each side: where the stop touches, where the strap is tight, what the
coilover has left at both ends, and the slack of the brake line; that the stop ended the bump and the strap the droop;
whether both locks were tried and nothing touched; and each gap that was read by feeler.

Risk: the truck is right and the spec is wrong, or the other way round. Either way every number that follows is for
another truck, and the last time to find out is before the final weld.

Worked out: as what was seen less what is computed for the same position. A difference says which input to
measure again.

Remedy: measure again what is named; write what the truck has into the spec, and inspect it again.
"""

from dataclasses import replace

from buildcheck.api import (
    Answer,
    Area,
    BrakeLine,
    BumpStop,
    CannotTell,
    Coilover,
    Cycled,
    CycledSide,
    Job,
    LimitStrap,
    Rule,
    Sample,
    SeenGap,
    Side,
    Spot,
    Stage,
    Verdict,
    Words,
    at_least,
    between,
    common_practice,
    each,
    met,
    no_such,
    read_by_hand,
)

SEEN = {
    "left": {
        "stop_touches_at": "3 3/16 in",
        "strap_tight_at": "5 5/8 in",
        "coilover_left_in_bump": "1 5/8 in",
        "coilover_left_in_droop": "2 in",
        "brake_line_slack": "1 3/8 in",
    },
    "right": {
        "stop_touches_at": "3 1/8 in",
        "strap_tight_at": "5 3/4 in",
        "coilover_left_in_bump": "1 5/8 in",
        "coilover_left_in_droop": "2 1/4 in",
        "brake_line_slack": "2 3/4 in",
    },
}
AS_COMPUTED = {
    "sides": SEEN,
    "ended_up_by": "bump-stop",
    "ended_down_by": "limit-strap",
    "both_locks": True,
    "nothing_touched": True,
    "gaps": [{"first": "left tyre", "second": "left arm", "gap": "1 1/2 in"}],
}

rule = Rule(
    "cycled-by-hand",
    area=Area.RECORDS,
    page=__doc__,
    from_stage=Stage.CYCLED,
    entries=True,
    samples=(
        Sample("everything as computed", {"records.cycled": AS_COMPUTED}),
        Sample(
            "a coilover that is an inch shorter than its maker says, and a strap that never was tight",
            {
                "records.cycled": {
                    **AS_COMPUTED,
                    "sides": {**SEEN, "left": {**SEEN["left"], "coilover_left_in_droop": "7/8 in"}},
                    "ended_down_by": "coilover",
                }
            },
            {"coilover-left-in-droop": Verdict.ERROR, "ended-down-by": Verdict.ERROR},
        ),
        Sample(
            "a tyre that came nearer than computed, and touched",
            {
                "records.cycled": {
                    **AS_COMPUTED,
                    "nothing_touched": False,
                    "gaps": [{"first": "left tyre", "second": "left arm", "gap": "1/4 in"}],
                }
            },
            {"gap-as-computed": Verdict.ERROR, "nothing-touched": Verdict.ERROR},
        ),
    ),
)


def seen_beside(job: Job, part: BrakeLine) -> CycledSide:
    """The record of the side of a part."""
    return job.build.records.cycled.sides[part.side]


def slack_is_stated(job: Job, hose: BrakeLine) -> bool:
    if hose.side is Side.CENTRE or not job.build.has("records") or not job.build.records.has("cycled"):
        return False
    cycled = job.build.records.cycled
    return cycled.has("sides") and any(each.side is hose.side and each.has("brake_line_slack") for each in cycled.sides)


# Both are read with the axle on a jack, and the computed one has the tolerance of the points behind it.
AS_NEAR_AS_A_TAPE = common_practice(
    "the axle is held to 1/8 in, and the points behind the number to as much; a half inch more is another truck"
)
SEEN_OTHERWISE = "the numbers of this record are for another truck"


@rule.check(
    BumpStop,
    between(warning=("-1/4 in", "1/4 in"), error=("-3/4 in", "3/4 in")),
    basis=AS_NEAR_AS_A_TAPE,
    change=Words("measure the stop's base, its free length and its target again"),
    place="base",
    effect=SEEN_OTHERWISE,
)
def stop_touches_at(job: Job, stop: BumpStop) -> float:
    """Rise at which the stop was seen to touch, less the computed one."""
    return job.build.records.cycled.sides[stop.side].stop_touches_at - read_by_hand(job, "stop_touches_at", stop)


@rule.check(
    LimitStrap,
    between(warning=("-1/4 in", "1/4 in"), error=("-3/4 in", "3/4 in")),
    basis=AS_NEAR_AS_A_TAPE,
    change=Words("measure both ends of the strap, and its length, again"),
    place="length",
    effect=SEEN_OTHERWISE,
)
def strap_tight_at(job: Job, strap: LimitStrap) -> float:
    """Drop at which the strap was seen to be tight, less the computed one."""
    return job.build.records.cycled.sides[strap.side].strap_tight_at - read_by_hand(job, "strap_tight_at", strap)


@rule.check(
    Coilover,
    between(warning=("-1/4 in", "1/4 in"), error=("-3/4 in", "3/4 in")),
    basis=AS_NEAR_AS_A_TAPE,
    change=Words("measure both ends of the coilover, and its compressed length, again"),
    place="compressed_length",
    effect=SEEN_OTHERWISE,
)
def coilover_left_in_bump(job: Job, coilover: Coilover) -> float:
    """Stroke seen to be left at full bump, less the computed one."""
    seen = job.build.records.cycled.sides[coilover.side].coilover_left_in_bump
    return seen - read_by_hand(job, "coilover_left_in_bump", coilover)


@rule.check(
    Coilover,
    between(warning=("-1/4 in", "1/4 in"), error=("-3/4 in", "3/4 in")),
    basis=AS_NEAR_AS_A_TAPE,
    change=Words("measure both ends of the coilover, and its extended length, again"),
    place="extended_length",
    effect=SEEN_OTHERWISE,
)
def coilover_left_in_droop(job: Job, coilover: Coilover) -> float:
    """Stroke seen to be left at full droop, less the computed one."""
    seen = job.build.records.cycled.sides[coilover.side].coilover_left_in_droop
    return seen - read_by_hand(job, "coilover_left_in_droop", coilover)


@rule.check(
    BrakeLine,
    between(warning=("-1/2 in", "1 in"), error=("-1 in", "3 in")),
    basis=common_practice("a hose bends between its ends, so its slack is read to a half inch, and rather too large"),
    change=Words("measure both ends of the hose, and its length laid straight, again"),
    place="free_length",
    effect=SEEN_OTHERWISE,
)
def brake_line_slack(job: Job, hose: BrakeLine) -> float:
    """Slack seen at full droop at the worse lock, less the computed one."""
    seen = job.build.records.cycled.sides[hose.side].brake_line_slack
    return seen - read_by_hand(job, "brake_line_slack", hose)


@rule.check(
    each(BrakeLine, where=slack_is_stated),
    at_least(warning="1/2 in", error="0 in"),
    basis=common_practice("a hose without slack is pulled off, and the brakes fail"),
    change=Words("fit a longer hose, or a shorter strap"),
    place=lambda job, hose: seen_beside(job, hose).path_of("brake_line_slack"),
    effect="the hose is tight before the strap is",
    compares=True,
)
def slack_seen(job: Job, hose: BrakeLine) -> float:
    """Slack of the brake line that was seen at full droop."""
    return seen_beside(job, hose).brake_line_slack


@rule.must(
    Cycled,
    wanted="the bump stop",
    basis=common_practice("the bump stop, and nothing else, ends the bump travel"),
    change=Words("find what touched before the stop, and measure it again; or move the stop down"),
    place="ended_up_by",
    effect="something that is no stop takes every hard bump",
)
def ended_up_by(job: Job, cycled: Cycled) -> Answer:
    """The bump stop ended the travel going up."""
    return met(cycled.ended_up_by == "bump-stop", "the bump stop", otherwise=cycled.ended_up_by)


@rule.must(
    Cycled,
    wanted="the limit strap",
    basis=common_practice("the strap must end the droop before a damper, hose or shaft does"),
    change=Words("find what was tight before the strap, and measure it again; or shorten the strap"),
    place="ended_down_by",
    effect="a damper, a hose or a shaft catches the falling axle",
)
def ended_down_by(job: Job, cycled: Cycled) -> Answer:
    """The limit strap ended the travel going down."""
    return met(cycled.ended_down_by == "limit-strap", "the limit strap", otherwise=cycled.ended_down_by)


@rule.must(
    Cycled,
    wanted="yes",
    basis=common_practice("a tyre, a hose or a rod touches at one lock and one height, and nowhere else"),
    change=Words("turn the wheels to both locks at bump, ride height, droop and each side up"),
    place="both_locks",
    effect="what touches at full lock is found on the road",
)
def both_locks(job: Job, cycled: Cycled) -> Answer:
    """The wheels were turned to both locks in every position."""
    return met(cycled.both_locks, "yes", otherwise="no")


@rule.must(
    each(SeenGap, may_be_none=True),
    wanted="a gap, or two parts that touched",
    basis=common_practice("of two statements that differ one is wrong"),
    change=Words("write under records.cycled.nothing_touched that something touched, or measure the gap again"),
    place="gap",
    effect="two parts touch, and the record says that nothing does",
    compares=True,
)
def gap_or_touched(job: Job, seen: SeenGap) -> Answer:
    """No two parts have a gap of nothing where the record says that nothing touched."""
    touched = seen.gap <= 0.0 and job.build.records.cycled.nothing_touched
    return met(not touched, "a gap", otherwise="no gap, and nothing touched")


@rule.must(
    Cycled,
    wanted="nothing",
    basis=common_practice("what touches by hand wears through, bends or breaks on the road"),
    change=Words("write down which two parts touched under records.cycled.gaps, with a gap of 0, and inspect again"),
    place="nothing_touched",
    effect="two parts touch",
)
def nothing_touched(job: Job, cycled: Cycled) -> Answer:
    """Nothing touched but the stops and the straps."""
    return met(cycled.nothing_touched, "nothing", otherwise="something touched")


@rule.check(
    each(SeenGap, may_be_none=True),
    between(warning=("-1/2 in", "1/2 in"), error=("-1 in", "1 in")),
    basis=common_practice("a gap is the difference of two places, each of which is right to a quarter of an inch"),
    change=Words("measure both parts again, where they come nearest"),
    place="gap",
    effect=SEEN_OTHERWISE,
)
def gap_as_computed(job: Job, seen: SeenGap) -> Spot:
    """Smallest gap that was seen, less the computed one."""
    named = {seen.first, seen.second}
    for gap in job.gaps.all:
        if named == {gap.first.label, gap.second.label}:
            return replace(gap.smallest, value=seen.gap - max(gap.smallest.value, 0.0))
    known = [name for gap in job.gaps.all for name in (gap.first.label, gap.second.label)]
    for name in (seen.first, seen.second):
        if name not in known:
            raise CannotTell(no_such("part that comes near another", name, known))
    raise CannotTell(f"by the spec, {seen.first} and {seen.second} never come near each other")
