"""What was met first as the axle was cycled by hand is what comes first by the spec.

Checked: from the cycled stage on, what touched first or ended the motion going up, going down and with each side
up; and what touched with the wheels at each lock.

Risk: something that is not in the spec, or not where the spec has it, takes the bumps of the finished truck.

Worked out: by how much farther the axle would have to go for what was met first, by the spec, than for what comes
first by the spec: zero where it is the same. A stop that touches and a strap that is tight count as met, since by hand
neither is crushed or stretched. At a lock it is the gap that the spec leaves between what was seen to touch, at the
height where it is smallest. Nothing is an answer too: on the way up, down or with one side up it means that the stated
travel was reached; at a lock, that no part touched another.

Remedy: a difference says which inputs to measure again; write what the truck has into the spec, and inspect it
again.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import NamedTuple

from buildcheck.api import (
    Area,
    AtLock,
    Cycled,
    FirstMet,
    Job,
    Met,
    Rule,
    Sample,
    Side,
    Spot,
    Stage,
    Verdict,
    Words,
    at_most,
    common_practice,
    first_met,
    made,
    nearest_at_lock,
)

AS_COMPUTED = {
    "ended_up_by": "bump-stop",
    "ended_down_by": "limit-strap",
    "ended_left_up_by": "bump-stop",
    "ended_right_up_by": "nothing",
    "touched_at_left_lock": "nothing",
    "touched_at_right_lock": "nothing",
}

rule = Rule(
    "met-first",
    area=Area.RECORDS,
    page=__doc__,
    from_stage=Stage.CYCLED,
    entries=True,
    samples=(
        Sample("everything as computed", {"records.cycled": AS_COMPUTED}),
        Sample(
            "a coilover that ended the droop, where by the spec the strap is tight long before",
            {"records.cycled": {**AS_COMPUTED, "ended_down_by": "coilover"}},
            {"straight": Verdict.ERROR},
        ),
        Sample(
            "a strap that was tight with the left side up, where by the spec the stop touches long before",
            {"records.cycled": {**AS_COMPUTED, "ended_left_up_by": "limit-strap"}},
            {"one-side-up": Verdict.ERROR},
            values={"one-side-up": "4.16 deg"},
        ),
        Sample(
            "a tyre that touched something at left lock, where by the spec it has room",
            {"records.cycled": {**AS_COMPUTED, "touched_at_left_lock": "tyre"}},
            {"at-lock": Verdict.ERROR},
            values={"at-lock": "1.527 in"},
        ),
    ),
)

SEEN_OTHERWISE = "the numbers of this record are for another truck"


class OnWay(NamedTuple):
    """The thing met first on one way of the axle, with its field of the record; the label is the way as `buildcheck
    cycle` names it."""

    path: str
    label: str
    field: str


STRAIGHT = {"straight bump": "ended_up_by", "straight droop": "ended_down_by"}
ONE_SIDE_UP = {
    "articulation, left wheel up": "ended_left_up_by",
    "articulation, right wheel up": "ended_right_up_by",
}
AT_LOCK = {Side.LEFT: "touched_at_left_lock", Side.RIGHT: "touched_at_right_lock"}


def on_ways(fields: dict[str, str]) -> Callable[[Job, Cycled], Iterator[OnWay]]:
    """The ways of the axle with these fields of the record."""

    def ways(job: Job, cycled: Cycled) -> Iterator[OnWay]:
        for way, field in fields.items():
            yield OnWay(cycled.path_of(field), way, field)

    return ways


def seen_on(job: Job, way: OnWay) -> FirstMet:
    """The thing seen first on a way, beside what comes first by the spec."""
    return first_met(job, way.label, getattr(job.build.records.cycled, way.field))


AGAIN = {
    "bump_stops": "the stop's base, free length and target",
    "limit_straps": "both ends of the strap, and its length",
    "coilovers": "both ends of the coilover, and its extended and compressed length",
    "brake_lines": "both ends of the hose, and its length laid straight",
    "driveshaft": "the shaft's joint centres, and its shortest and longest length",
    "links": "both ends of the link, and how far its joints turn",
    "lateral_bar": "both ends of the lateral bar, and how far its joints turn",
    "steering": "the points of the steering",
    "vehicle.tyre": "the tyre's diameter and width, and the track",
    "vehicle.obstacles": "that part of the frame or body",
    "attachments": "that bracket",
    "axle": "the axle tubes and the centre section",
}
"""The inputs to measure again, by the section of the spec that a part is in."""


def measure_again(*parts: Met | None) -> str:
    """The inputs to measure again, in words, with their spec paths."""
    asked = {path: None for part in parts if part is not None for path in part.paths}
    said = [f"{_inputs(path)} ({path})" for path in asked]
    return f"measure again: {'; '.join(said)}" if said else "see where it touched, and write that part into the spec"


def _inputs(path: str) -> str:
    return next((words for start, words in AGAIN.items() if path.startswith(start)), "that part")


def first_by_the_spec(job: Job, way: OnWay, found: FirstMet) -> str:
    """The thing seen and the one that comes first by the spec, as the effect of a difference."""
    seen = getattr(job.build.records.cycled, way.field).replace("-", " ")
    first = "nothing ends it" if found.first is None else f"{found.first.what} first"
    return f"{seen} was seen first, and by the spec {first}; {SEEN_OTHERWISE}"


def again_on(job: Job, way: OnWay) -> str:
    """The inputs behind what was seen and what comes first by the spec."""
    found = seen_on(job, way)
    return measure_again(found.first, found.seen)


@rule.check(
    made("way of the axle", on_ways(STRAIGHT), of=Cycled),
    at_most(warning="1/4 in", error="3/4 in"),
    basis=common_practice("the axle is held to 1/8 in, and the points behind the number to as much"),
    change=Words(again_on),
    effect=SEEN_OTHERWISE,
)
def straight(job: Job, way: OnWay) -> Spot:
    """How far the axle still goes, by the spec, from what comes first to what was seen first."""
    found = seen_on(job, way)
    return found.later.because(first_by_the_spec(job, way, found))


@rule.check(
    made("way of the axle", on_ways(ONE_SIDE_UP), of=Cycled),
    at_most(warning="1 deg", error="3 deg"),
    basis=common_practice(
        "on a track of 5 ft, 3/4 in at each wheel is 1.4 deg; with one side up what is met is read half as well"
    ),
    change=Words(again_on),
    effect=SEEN_OTHERWISE,
)
def one_side_up(job: Job, way: OnWay) -> Spot:
    """How far one side still goes up, by the spec, from what comes first to what was seen first."""
    found = seen_on(job, way)
    return found.later.because(first_by_the_spec(job, way, found))


class OnLock(NamedTuple):
    """The thing that touched at full lock to one side, with its field of the record."""

    path: str
    label: str
    lock: Side
    field: str


def locks(job: Job, cycled: Cycled) -> Iterator[OnLock]:
    """Both locks."""
    for side, field in AT_LOCK.items():
        yield OnLock(cycled.path_of(field), f"full lock to the {side}", side, field)


def steered(job: Job, lock: OnLock) -> str | None:
    """Why the check does not apply; None where the axle is steered."""
    position = job.build.axle.position
    return None if job.build.has("steering") or position == "front" else "the axle is not steered"


def seen_at(job: Job, lock: OnLock) -> tuple[str, AtLock]:
    """The thing seen to touch at a lock, and the nearest such parts by the spec."""
    seen = getattr(job.build.records.cycled, lock.field)
    return seen, nearest_at_lock(job, lock.lock, seen)


@rule.check(
    made("lock", locks, of=Cycled),
    at_most(warning="1/2 in", error="1 in"),
    basis=common_practice("a gap is the difference of two places, each of which is right to a quarter of an inch"),
    when=steered,
    change=Words(lambda job, lock: measure_again(seen_at(job, lock)[1].parts)),
    effect=SEEN_OTHERWISE,
)
def at_lock(job: Job, lock: OnLock) -> Spot:
    """Gap, by the spec, of what was seen to touch at full lock; or by how much parts overlap where nothing was."""
    seen, nearest = seen_at(job, lock)
    off = nearest.gap if seen != "nothing" else -nearest.gap
    by = "no such parts come near" if nearest.parts is None else f"{nearest.parts.what} come no nearer"
    if nearest.parts is not None and nearest.gap.value <= 0.0:
        by = f"{nearest.parts.what} touch"
    why = f"{seen.replace('-', ' ')} was seen to touch, and by the spec {by}; {SEEN_OTHERWISE}"
    return replace(off, value=max(off.value, 0.0)).because(why)
