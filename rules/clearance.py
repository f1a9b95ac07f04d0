"""Nothing that moves touches anything else.

Checked: the smallest gap of every pair among tyres, steering arms, axle, links, lateral bar, drag link, tie
rod, coilovers, bump stops, driveshaft and declared obstacles, with the axle moved through travel and articulation
together and the wheels turned from lock to lock. A pair that is nowhere near is not listed. The axle's own gap to
what is above it is the business of bump-stop-engagement.

Risk: what touches on stands is bent, chafed through or torn off on the road, and it tends to be a tyre, a hose or
the steering.

Worked out: each part is a simple solid. A tyre is a cylinder as wide and as high as stated, with square
shoulders; links, bars and shafts are round bars, one of square section as thick as its diagonal; a radius arm is a
bar to the middle of its axle joints and one between them; a steering arm is a bar from its kingpin to
the rod that ends on it, and as thick as that; a coilover is its body over its compressed length, and
its shaft, without its springs; a bump stop reaches to what it lands on. The axle is rolled either way as far as
stated, and raised and lowered then as far as the stops and straps let it. Five heights, five rolls and five places
of the steering are looked at; between them a gap may be a little less. Where some of them cannot be solved, a gap
that is wide enough in the others is not checked. Two parts that are joined to each other, or
that are made to touch, are no pair: a link or bar and the axle, a tyre and the axle or the tie rod, or the drag
link on its own knuckle, a bump stop and the axle or a link, and parts that do not move.

Remedy: move one of the two; for a tyre that is turned, set the steering stops sooner, or take wheels with
more offset.
"""

from collections.abc import Iterator
from typing import Any, NamedTuple

from buildcheck.api import (
    Area,
    Build,
    BumpStop,
    Coilover,
    Gap,
    Job,
    Link,
    Obstacle,
    Rule,
    Sample,
    Side,
    Spot,
    Unreached,
    Verdict,
    Words,
    any_of,
    at_least,
    common_practice,
    each,
    made,
)

rule = Rule(
    "clearance",
    area=Area.AXLE,
    page=__doc__,
    samples=(
        Sample("wheels that are turned less", {"steering.lock_angle": 20}),
        Sample(
            "wheels with so much less offset that they foul the radius arms at full lock",
            {"vehicle.track": 64},
            {"tyre-gap": Verdict.ERROR},
        ),
        Sample(
            "a drag link that is straight above the lateral bar and close to it",
            {"steering.drag_link.pitman": [9.5, 14.5, 24.6], "steering.drag_link.arm": [8, -23, 21.5]},
            {"part-gap": Verdict.ERROR},
        ),
    ),
)

LOCK_WORDS = {0.0: "", 0.5: " at half lock", 1.0: " at full lock"}


class Named(NamedTuple):
    """A part of which a build has one, by its name."""

    label: str


class Alone(NamedTuple):
    """A part that has no gap to any other that comes after it."""

    label: str
    path: str
    side: Side


def tyres(job: Job, build: Build) -> Iterator[Named]:
    yield from map(Named, ("left tyre", "right tyre"))


def single_parts(job: Job, build: Build) -> Iterator[Named]:
    arms = ("left steering arm", "right steering arm")
    yield from map(Named, (*arms, "axle", "lateral bar", "drag link", "tie rod", "driveshaft"))


def gaps_of(job: Job, part: Any) -> Iterator[Gap | Alone]:
    """The gaps of a part to those that come after it; a link, coilover or stop that has none is alone."""
    name = part.path if isinstance(part, Obstacle) else part.label
    # bump-stop-engagement follows the axle and what is above it up to where the stops are crushed.
    gaps = [gap for gap in job.gaps.of(name) if (gap.first.kind, gap.second.kind) != ("axle", "obstacle")]
    yield from gaps
    unknown = job.gaps.far_but_partial(name)
    if unknown:
        raise Unreached(unknown)
    if not gaps and isinstance(part, Link | Coilover | BumpStop):
        yield Alone(part.label, part.path, part.side)


def something_is_near(job: Job, gap: Any) -> str | None:
    """Why the check does not apply; None where something comes near the part."""
    return "nothing comes near it that is not listed with another part" if isinstance(gap, Alone) else None


def smallest(gap: Gap) -> Spot:
    side = "" if not gap.lock else " to the left" if gap.lock > 0 else " to the right"
    return gap.smallest.because(f"the {gap.first.label} hits the {gap.second.label}{LOCK_WORDS[abs(gap.lock)]}{side}")


def move_one(job: Job, gap: Gap) -> str:
    turn = "turn the wheels less, or " if gap.lock else ""
    return f"{turn}move the {gap.first.label} or the {gap.second.label}, for {{amount}} more between them"


@rule.check(
    made("gap", gaps_of, of=made("tyre", tyres)),
    at_least(warning="1 in", error="0 in"),
    basis=common_practice("a tyre grows, flexes and picks up mud, so it is given more room than metal"),
    place=lambda job, gap: "steering.lock_angle" if gap.lock else gap.path,
    change=Words(move_one),
)
def tyre_gap(job: Job, gap: Gap) -> Spot:
    """Smallest gap between a tyre and another part."""
    return smallest(gap)


moving_and_fixed_parts = any_of(made("part", single_parts), Link, Coilover, BumpStop, each(Obstacle, may_be_none=True))


@rule.check(
    made("gap", gaps_of, of=moving_and_fixed_parts),
    at_least(warning="1/2 in", error="0 in"),
    basis=common_practice("joints give, brackets flex and tubes bend a little before they are broken"),
    when=something_is_near,
    change=Words(move_one),
)
def part_gap(job: Job, gap: Gap) -> Spot:
    """Smallest gap between two parts of which at least one moves."""
    return smallest(gap)
