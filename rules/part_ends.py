"""Each end of a part is where its name says."""

from collections.abc import Iterator
from math import hypot

from buildcheck.api import (
    Area,
    BrakeLine,
    Build,
    BumpStop,
    Coilover,
    Finding,
    Job,
    LimitStrap,
    Link,
    Part,
    Point,
    Requirement,
    Sample,
    Verdict,
    common_practice,
    require,
    rule,
)

SWAPPED = common_practice("two ends that are swapped in a spec make every rule follow a part that does not exist")

FRAME_END_ABOVE = Requirement(
    "frame-end-above", "what hangs between frame and axle has its frame end above its axle end", SWAPPED
)
HOSE_HANGS = Requirement(
    "hose-hangs",
    "a brake line has its frame end above its axle end",
    common_practice("the frame is above the axle, and a hose hangs from it"),
    if_not=Verdict.WARNING,
)
STOP_FACES = Requirement(
    "stop-faces-target", "a bump stop points from its base to its target, away from what it is mounted on", SWAPPED
)
AXLE_END_NEAR = Requirement(
    "axle-end-near", "a link and the driveshaft have their axle end nearer to the axle than the other end", SWAPPED
)
EXCHANGE = "exchange its two ends in the spec"


@rule(
    "part-ends",
    area=Area.RECORDS,
    subject="build",
    limits=(FRAME_END_ABOVE, HOSE_HANGS, STOP_FACES, AXLE_END_NEAR),
    samples=(
        Sample("the upper mounts an inch higher", {"coilovers.coilover.both.frame": [-1.5, 18.5, 46.1]}),
        Sample(
            "a limit strap with its ends swapped",
            {"limit_straps.strap.both.frame": [-4.5, 15.5, 17], "limit_straps.strap.both.axle": [-5, 14.5, 31]},
            {"frame-end-above": Verdict.ERROR},
        ),
    ),
)
def part_ends(job: Job, build: Build) -> Iterator[Finding]:
    """Each end of a part is where its name says.

    What it checks: that coilovers, limit straps and brake lines have their frame end above their axle end; that a bump
    stop points down from the frame or up from the axle, and at its target; and that links and the driveshaft have
    their axle end nearer to the axle than the other end. Of the lateral bar nothing tells which end is which. What is
    not stated contradicts nothing.

    Why: with swapped ends a coilover grows longer in bump and a strap comes tight there, and what is computed of them
    may still look plausible.

    How it is computed: by comparing the points as they are written, at ride height. How near a point is to the axle is
    its distance from the axle's centre line, as seen from the side.

    To put it right: exchange the two ends.
    """
    for part in _parts(job, build, "coilover", "limit-strap", "brake-line"):
        if isinstance(part, Coilover | LimitStrap | BrakeLine) and part.has("frame") and part.has("axle"):
            above = part.frame.z > part.axle.z
            yield require(
                HOSE_HANGS if isinstance(part, BrakeLine) else FRAME_END_ABOVE,
                met=above,
                found=f"the {part.label}'s frame end is {'above' if above else 'not above'} its axle end",
                wanted="the frame end above the axle end",
                place=part.path_of("frame"),
                effect="" if above else "it is computed upside down",
                cure=EXCHANGE,
            )
    for part in _parts(job, build, "bump-stop"):
        if isinstance(part, BumpStop) and all(map(part.has, ("mounted_on", "base", "axis", "target"))):
            wrong = _wrong_way(part)
            yield require(
                STOP_FACES,
                met=not wrong,
                found=f"the {part.label} {wrong or 'points at its target'}",
                wanted="down from the frame or up from the axle, and at the target",
                place=part.path_of("axis"),
                effect="it is computed as a stop that stops nothing" if wrong else "",
                cure="turn the sign of the axis, exchange base and target, or name the other mount",
            )
    for part, axle_end, other, name in _long_parts(job, build):
        near = _off_axle(job, axle_end) < _off_axle(job, other)
        yield require(
            AXLE_END_NEAR,
            met=near,
            found=f"the {part.label}'s {name} end is {'farther from' if near else 'no farther from'} the axle than its "
            "axle end",
            wanted="the axle end nearer to the axle",
            place=part.path,
            effect="" if near else "it is computed back to front",
            cure=EXCHANGE,
        )


def _parts(job: Job, build: Build, *kinds: str) -> Iterator[Part]:
    """The parts of these kinds that the spec has."""
    for kind in kinds:
        if build.has(f"{kind.replace('-', '_')}s"):
            yield from (part for part in job.subjects(kind) if isinstance(part, Part))


def _wrong_way(stop: BumpStop) -> str:
    """How a stop points the wrong way, in words; empty where it does not."""
    down, on_frame = stop.axis.z < 0.0, stop.mounted_on == "frame"
    if stop.axis.z == 0.0 or down != on_frame:
        return f"is mounted on the {stop.mounted_on} and does not point {'down' if on_frame else 'up'}"
    at_target = sum(way * (to - start) for way, to, start in zip(stop.axis, stop.target, stop.base, strict=True))
    return "" if at_target > 0.0 else "points away from its target"


def _long_parts(job: Job, build: Build) -> Iterator[tuple[Part, Point, Point, str]]:
    """Each link, and the driveshaft: the part, its axle end, its other end, and what that is called."""
    for part in _parts(job, build, "link"):
        if isinstance(part, Link) and part.has("frame") and part.has("kind"):
            ends = ("axle_upper", "axle_lower") if part.kind == "radius-arm" else ("axle",)
            for end in ends:
                if part.has(end):
                    yield part, getattr(part, end), part.frame, "frame"
    shaft = build.driveshaft if build.has("driveshaft") else None
    pinion = build.axle.pinion if build.has("axle") and build.axle.has("pinion") else None
    if shaft and shaft.has("output") and shaft.output.has("point") and pinion and pinion.has("point"):
        yield shaft, pinion.point, shaft.output.point, "output"


def _off_axle(job: Job, point: Point) -> float:
    """How far a point is from the axle's centre line as seen from the side, m."""
    return hypot(point.x - job.axle_centre.x, point.z - job.axle_centre.z)
