"""Each end of a part is where its name says.

Checked: that the two ends of each long part are apart; that coilovers, limit straps and brake lines have their frame
end above their axle end; that a bump stop points down from the frame or up from the axle, and at its target; that
links and the driveshaft have their axle end nearer to the axle than the other end; that the upper axle joint of a
radius arm is above its lower one; and that the lateral bar goes from one side of the truck to the other. Which end of
the bar is at the frame cannot be checked in this way. Points that are not stated are not compared.

Risk: with swapped ends a coilover grows longer in bump and a strap comes tight there, yet their values may still look
plausible.

Worked out: the points are compared as written, at ride height. The distance of a point from the axle is its
distance from the axle's centre line, seen from the side.

Remedy: exchange the two ends; or measure the end again that was copied from the other one.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import hypot

from buildcheck.api import (
    Answer,
    Area,
    BrakeLine,
    BumpStop,
    Coilover,
    DragLink,
    Driveshaft,
    Job,
    LateralBar,
    LimitStrap,
    Link,
    Missing,
    OfPart,
    Part,
    Rule,
    Sample,
    SwapEnds,
    TieRod,
    TurnSign,
    Verdict,
    Words,
    common_practice,
    each,
    made,
    met,
)

rule = Rule(
    "part-ends",
    area=Area.RECORDS,
    page=__doc__,
    samples=(
        Sample("the upper mounts an inch higher", {"coilovers.coilover.both.frame": [-1.5, 18.5, 46.1]}),
        Sample(
            "a limit strap with its ends swapped",
            {"limit_straps.strap.both.frame": [-4.5, 15.5, 17], "limit_straps.strap.both.axle": [-5, 14.5, 31]},
            {"frame-end-above": Verdict.ERROR},
        ),
    ),
)

SWAPPED = common_practice("with swapped ends every rule computes a part that does not exist")


# The names of the two ends of every long part.
ENDS = (("frame", "axle"), ("axle_upper", "axle_lower"), ("pitman", "arm"), ("left", "right"))
LONG = Link | LateralBar | Coilover | LimitStrap | BrakeLine | DragLink | TieRod | Driveshaft


def ends_of(job: Job, part: Part) -> list[tuple[str, str]]:
    """The spec paths of each two ends of a part that the spec states both of."""
    if isinstance(part, Driveshaft):
        pairs = [(part.path_of("output", "point"), "axle.pinion.point")]
    else:
        pairs = [(part.path_of(one), part.path_of(two)) for one, two in ENDS]
    return [pair for pair in pairs if all(is_stated(job, path) for path in pair)]


def has_two_ends(job: Job, part: Part) -> bool:
    return bool(ends_of(job, part))


@rule.must(
    each(LONG, where=has_two_ends),
    wanted="two points apart",
    basis=common_practice("a part without a length is none; the points of one end were copied to the other"),
    change=Words("measure the two ends again"),
    effect="nothing that the part does is known",
    compares=True,
)
def ends_apart(job: Job, part: Part) -> Answer:
    """The two ends of a link, bar, coilover, strap, hose, rod or shaft are at two points."""
    apart = all(job.build.value(one) != job.build.value(two) for one, two in ends_of(job, part))
    return met(apart, "two points apart", otherwise=f"the {part.label} has its two ends at one point")


def off_axle(job: Job, path: str) -> float:
    """Distance of the point at a spec path from the axle's centre line, seen from the side, m."""
    point = job.build.value(path)
    return hypot(point.x - job.axle_centre.x, point.z - job.axle_centre.z)


def hangs(part: Coilover | LimitStrap | BrakeLine) -> Answer:
    """The answer whether the frame end of a part is above its axle end."""
    above, ends = part.frame.z > part.axle.z, f"the {part.label}'s frame end is"
    return met(above, f"{ends} above its axle end", otherwise=f"{ends} not above its axle end")


def frame_end_is_nearer(job: Job, part: Part) -> bool:
    return off_axle(job, part.path_of("frame")) < off_axle(job, part.path_of("axle"))


upside_down = (
    SwapEnds("frame", "axle", where=frame_end_is_nearer),
    Words("exchange its two ends in the spec, or measure their heights again"),
)


@rule.must(
    Coilover | LimitStrap,
    wanted="the frame end above the axle end",
    basis=SWAPPED,
    change=upside_down,
    place="frame",
    effect="it is computed upside down",
    follows=("ends-apart",),
    compares=True,
)
def frame_end_above(job: Job, part: Coilover | LimitStrap) -> Answer:
    """A part that hangs between frame and axle has its frame end above its axle end."""
    return hangs(part)


@rule.must(
    BrakeLine,
    wanted="the frame end above the axle end",
    basis=common_practice("the frame is above the axle, and a hose hangs from it"),
    otherwise=Verdict.WARNING,
    change=upside_down,
    place="frame",
    effect="it is computed upside down",
    follows=("ends-apart",),
    compares=True,
)
def hose_hangs(job: Job, hose: BrakeLine) -> Answer:
    """A brake line has its frame end above its axle end."""
    return hangs(hose)


def wrong_way(stop: BumpStop) -> str:
    """Why the direction of a stop is wrong, in words; empty where it is right."""
    down, on_frame = stop.axis.z < 0.0, stop.mounted_on == "frame"
    if stop.axis.z == 0.0 or down != on_frame:
        return f"is mounted on the {stop.mounted_on} and does not point {'down' if on_frame else 'up'}"
    at_target = sum(way * (to - start) for way, to, start in zip(stop.axis, stop.target, stop.base, strict=True))
    return "" if at_target > 0.0 else "points away from its target"


@rule.must(
    BumpStop,
    wanted="down from the frame or up from the axle, and at the target",
    basis=SWAPPED,
    change=(
        TurnSign("axis", "z"),
        SwapEnds("base", "target"),
        Words("change the sign of the axis, exchange base and target, or name the other mount"),
    ),
    place="axis",
    effect="it is computed as a stop that never touches",
    compares=True,
)
def stop_faces_target(job: Job, stop: BumpStop) -> Answer:
    """A bump stop points from its base to its target, away from its mount."""
    wrong = wrong_way(stop)
    return met(not wrong, f"the {stop.label} points at its target", otherwise=f"the {stop.label} {wrong}")


def is_at_axle(job: Job, link: Link) -> bool:
    """Whether a link is a radius arm with both of its axle joints nearer to the axle than its frame joint."""
    if link.kind != "radius-arm":
        return False
    farthest = max(off_axle(job, link.path_of(end)) for end in ("axle_upper", "axle_lower"))
    return farthest < off_axle(job, link.path_of("frame"))


@rule.must(
    each(Link, where=is_at_axle),
    wanted="the upper joint above the lower one",
    basis=SWAPPED,
    change=(
        SwapEnds("axle_upper", "axle_lower"),
        Words("exchange its two axle joints in the spec, or measure their heights again"),
    ),
    place="axle_upper",
    effect="the two joints have each other's bolts, ratings and stiffness",
    follows=("ends-apart",),
    compares=True,
)
def upper_above_lower(job: Job, arm: Link) -> Answer:
    """The upper axle joint of a radius arm is above its lower one."""
    return met(arm.axle_upper.z > arm.axle_lower.z, "above", otherwise="not above")


@rule.must(
    LateralBar,
    wanted="one end on the left, the other on the right",
    basis=common_practice("a bar that crosses the truck swings least; one on one side hardly holds the axle"),
    change=(TurnSign("frame", "y"), Words("change the sign of y of one end, or measure both ends again")),
    place="frame",
    effect="the axle moves sideways as it rises",
    follows=("ends-apart",),
    compares=True,
)
def bar_crosses(job: Job, bar: LateralBar) -> Answer:
    """The ends of the lateral bar are on opposite sides of the vehicle."""
    side = "left" if bar.frame.y > 0.0 else "right"
    return met(bar.frame.y * bar.axle.y < 0.0, "across the truck", otherwise=f"both ends on the {side}")


@dataclass(frozen=True)
class AxleEnd(OfPart):
    """The axle end of a long part and its other end: the spec paths of both, and a word for each."""

    which: str
    axle: str
    other: str
    other_called: str


def axle_ends(job: Job, part: Part) -> Iterator[AxleEnd]:
    """The axle ends of a part, where the spec states them and the other end."""
    ends: list[AxleEnd] = []
    if isinstance(part, Driveshaft):
        ends = [AxleEnd(part, "pinion", "axle.pinion.point", part.path_of("output", "point"), "output")]
    elif isinstance(part, Link) and part.has("kind"):
        names = ("axle_upper", "axle_lower") if part.kind == "radius-arm" else ("axle",)
        ends = [
            AxleEnd(part, name.replace("_", " "), part.path_of(name), part.path_of("frame"), "frame") for name in names
        ]
    return (end for end in ends if is_stated(job, end.axle) and is_stated(job, end.other))


def is_stated(job: Job, path: str) -> bool:
    try:
        job.build.value(path)
    except Missing:
        return False
    return True


def farthest_end(job: Job, end: AxleEnd) -> str:
    """The spec path of the axle end that is farthest from the axle: of two on a radius arm, that one is wrong."""
    return max((each.axle for each in axle_ends(job, end.part)), key=lambda path: off_axle(job, path))


def is_beyond_wheel(job: Job, end: AxleEnd) -> bool:
    """Whether the axle end is farther from the axle than the floor is, and the other end nearer. No bracket on an axle
    reaches beyond its wheels."""
    return off_axle(job, end.other) < job.axle_centre.z < off_axle(job, farthest_end(job, end))


@rule.must(
    made("axle end", axle_ends, of=Link | Driveshaft),
    wanted="the axle end nearer to the axle",
    basis=SWAPPED,
    change=(
        SwapEnds(farthest_end, lambda job, end: end.other, where=is_beyond_wheel),
        Words("exchange its two ends in the spec, or measure both again"),
    ),
    effect="it is computed back to front",
)
def axle_end_near(job: Job, end: AxleEnd) -> Answer:
    """The axle end of a link or the driveshaft is nearer to the axle than its other end."""
    farther = off_axle(job, end.other) > off_axle(job, end.axle)
    found = f"the {end.label}'s {end.other_called} end is {{}} from the axle than its axle end"
    return met(farther, found.format("farther"), otherwise=found.format("no farther"))
