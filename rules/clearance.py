"""Nothing that moves touches anything else.

Checked: the smallest gap of every pair among tyres, steering arms, axle, links, lateral bar, pitman arm, drag link, tie
rod and the studs of their joints, steering damper, coilovers, bump stops, driveshaft, brackets and declared obstacles,
and knuckles and brake calipers where stated, with travel and articulation combined and the wheels turned from lock to
lock. Pairs that are far apart are not listed. bump-stop-engagement checks the gap between the axle and the
parts above it.

Risk: parts that touch in the shop are bent, chafed through or torn off on the road; often it is a tyre, a hose or the
steering.

Worked out: each part is a simple solid. A tyre is a cylinder of the stated width and height, with square shoulders.
Links, bars and shafts are round bars; one of square section is as thick as its diagonal. A radius arm is a bar to the
middle of its axle joints and one between them. A steering arm is a bar from its kingpin to the rod that ends on it, as
thick as that rod. The pitman arm is a bar from the sector shaft to the drag link, as wide as its stated root. A joint
whose stud is stated is a bar along it, as far to either side of the ball as the stud is high, for stud and housing;
where the direction of the stud is not stated, a ball of that size. A steering damper is as thick as its body
throughout. A bracket is a bar from its foot to each joint or end of a hose that it holds, as thick as two of its
plates; where the point of the foot and the width of the plates at their root are stated, bars along their edges are
added, but not on the axle tube, which they go round. By its height alone, its foot is where the axle is nearest to the
joint or, on the frame or a knuckle, that far from it against the `normal`. One on a knuckle turns with it. A coilover
is its body over its compressed length, and its shaft, without its springs. A bump stop reaches to its target.

The axle rolls either way as far as stated, and then rises and falls as far as the stops and straps allow. Five heights,
five rolls and five steering positions are computed; between them a gap may be a little smaller. Where some of these
poses cannot be solved, a gap that is wide enough in the others is not checked. Parts that are joined or made to touch
are not paired: a link or bar and the axle, a tyre and the axle or the tie rod, the drag link and its own knuckle, a
bracket and what it holds or is fixed to, a bump stop or its pad and the axle or a link, and parts that do not move.

Remedy: move one of the two parts; for a turned tyre, set the steering stops to end the lock sooner, or fit
wheels with more offset.
"""

import math
from collections.abc import Iterator
from typing import Any, NamedTuple

from buildcheck.api import (
    Area,
    Build,
    BumpStop,
    Coilover,
    Computed,
    Cure,
    Dimension,
    Gap,
    Job,
    Link,
    Obstacle,
    Point,
    Rule,
    Sample,
    Side,
    Spot,
    Unreached,
    Verdict,
    Way,
    Words,
    any_of,
    at_least,
    common_practice,
    each,
    made,
    step_of,
)

rule = Rule(
    "clearance",
    area=Area.AXLE,
    page=__doc__,
    samples=(
        Sample("a smaller lock angle", {"steering.lock_angle": 20}),
        Sample(
            "wheels with less offset, which foul the radius arms at full lock",
            {"vehicle.track": 64},
            {"tyre-gap": Verdict.ERROR},
        ),
        Sample(
            "a pipe through the pitman arm",
            {
                "vehicle.obstacles.pipe": {
                    "shape": "capsule",
                    "start": [16, 8, 25.5],
                    "end": [16, 17.5, 25.5],
                    "radius": 0.5,
                }
            },
            {"part-gap": Verdict.ERROR},
        ),
        Sample(
            "a steering damper through the lateral bar",
            {
                "steering.stabiliser": {
                    "fixed": [5.5, 8, 30],
                    "fixed_to": "frame",
                    "moving": [8.5, 2, 14.2],
                    "steadies": "tie-rod",
                    "extended_length": 36,
                    "compressed_length": 12,
                    "body_diameter": "1 5/8 in",
                }
            },
            {"part-gap": Verdict.ERROR},
        ),
        Sample(
            "a drag link straight above the lateral bar and close to it",
            {"steering.drag_link.pitman": [9.5, 14.5, 24.6], "steering.drag_link.arm": [8, -23, 21.5]},
            {"part-gap": Verdict.ERROR},
        ),
    ),
)

# How far an obstacle may be moved, m: 6 in. Common practice, no source.
FARTHEST = 0.1524

LOCK_WORDS = {0.0: "", 0.5: " at half lock", 1.0: " at full lock"}


class Named(NamedTuple):
    """A part that a build has once, by its name."""

    label: str


class Alone(NamedTuple):
    """A part without a gap to any part listed after it."""

    label: str
    path: str
    side: Side


def tyres(job: Job, build: Build) -> Iterator[Named]:
    yield from map(Named, ("left tyre", "right tyre"))


def single_parts(job: Job, build: Build) -> Iterator[Named]:
    arms = ("left steering arm", "right steering arm")
    yield from map(Named, (*arms, "axle", "lateral bar", "drag link", "tie rod", "driveshaft"))


def gaps_of(job: Job, part: Any) -> Iterator[Gap | Alone]:
    """The gaps of a part to the parts listed after it; `Alone` for a link, coilover or stop that has none."""
    name = part.path if isinstance(part, Obstacle) else part.label
    # bump-stop-engagement checks the axle against the parts above it, until the stops are crushed.
    gaps = [gap for gap in job.gaps.of(name) if (gap.first.kind, gap.second.kind) != ("axle", "obstacle")]
    yield from gaps
    unknown = job.gaps.far_but_partial(name)
    if unknown:
        raise Unreached(unknown)
    if not gaps and isinstance(part, Link | Coilover | BumpStop):
        yield Alone(part.label, part.path, part.side)


def something_is_near(job: Job, gap: Any) -> str | None:
    """Why the check does not apply; None where something comes near the part."""
    return "nothing comes near it except parts that it is already listed with" if isinstance(gap, Alone) else None


def smallest(gap: Gap) -> Spot:
    side = "" if not gap.lock else " to the left" if gap.lock > 0 else " to the right"
    return gap.smallest.because(f"the {gap.first.label} hits the {gap.second.label}{LOCK_WORDS[abs(gap.lock)]}{side}")


def move_one(job: Job, gap: Gap) -> str:
    turn = "turn the wheels less, or " if gap.lock else ""
    return f"{turn}move the {gap.first.label} or the {gap.second.label}: {{amount}} more gap is needed"


@rule.check(
    made("gap", gaps_of, of=made("tyre", tyres)),
    at_least(warning="1 in", error="0 in"),
    physical_end="0 in",
    basis=common_practice("a tyre grows, flexes and picks up mud, so it needs more room than metal"),
    place=lambda job, gap: "steering.lock_angle" if gap.lock else gap.path,
    change=Words(move_one),
)
def tyre_gap(job: Job, gap: Gap) -> Spot:
    """Smallest gap between a tyre and another part."""
    return smallest(gap)


def move_obstacle(job: Job, gap: Gap) -> Iterator[Way]:
    """The obstacle of a gap moved up or down as a whole."""
    if gap.second.kind != "obstacle":
        return
    obstacle, step = job.build.value(gap.second.path), step_of(job, Dimension.LENGTH)
    points = [name for name, value in obstacle.given().items() if isinstance(value, Point)]

    def edits(steps: int) -> tuple[tuple[str, float], ...]:
        return tuple((obstacle.path_of(name, "z"), getattr(obstacle, name).z + steps * step) for name in points)

    def cure(steps: int) -> Cure:
        way = "up" if steps > 0 else "down"
        return Cure(f"move the {gap.second.label} {way} {{amount}}", abs(steps) * step, Dimension.LENGTH)

    yield Way((), edits, cure, math.floor(FARTHEST / step))


def further_parts(job: Job, build: Build) -> Iterator[Named]:
    """The parts of the steering beside its rods, and the brackets with their braces, as far as the spec states them."""
    yield from map(Named, job.gaps.further)


moving_and_fixed_parts = any_of(
    made("part", single_parts),
    Link,
    Coilover,
    BumpStop,
    made("part of the steering or bracket", further_parts),
    each(Obstacle, may_be_none=True),
)


@rule.check(
    made("gap", gaps_of, of=moving_and_fixed_parts),
    at_least(warning="1/2 in", error="0 in"),
    physical_end="0 in",
    basis=common_practice("joints give, brackets flex and tubes bend a little in use"),
    when=something_is_near,
    change=(Computed(move_obstacle), Words(move_one)),
)
def part_gap(job: Job, gap: Gap) -> Spot:
    """Smallest gap between two parts, at least one of them moving."""
    return smallest(gap)
