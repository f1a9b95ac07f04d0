"""Nothing that moves touches anything else."""

from collections.abc import Iterator
from functools import partial

from buildcheck.api import (
    Area,
    Build,
    BumpStop,
    Coilover,
    Cure,
    Dimension,
    Finding,
    Gap,
    Job,
    Limit,
    Link,
    Sample,
    Unreached,
    Verdict,
    at_least,
    common_practice,
    does_not_apply,
    hold,
    rule,
)

TYRE_GAP = Limit(
    "tyre-gap",
    "smallest gap between a tyre and another part",
    Dimension.LENGTH,
    at_least(warning="1 in", error="0 in"),
    basis=common_practice("a tyre grows, flexes and picks up mud, so it is given more room than metal"),
)
PART_GAP = Limit(
    "part-gap",
    "smallest gap between two parts of which at least one moves",
    Dimension.LENGTH,
    at_least(warning="1/2 in", error="0 in"),
    basis=common_practice("joints give, brackets flex and tubes bend a little before they are broken"),
)

LOCK_WORDS = {0.0: "", 0.5: " at half lock", 1.0: " at full lock"}


def _findings(job: Job, name: str) -> Iterator[Finding]:
    for gap in job.gaps.of(name):
        if gap.first.kind == "axle" and gap.second.kind == "obstacle":
            continue  # bump-stop-engagement follows these up to where the stops are crushed
        yield hold(
            TYRE_GAP if gap.first.kind == "tyre" else PART_GAP,
            gap.smallest,
            place=_place(gap),
            of=f"{gap.first.label} and {gap.second.label}",
            effect=f"the {gap.first.label} hits the {gap.second.label}{_at_lock(gap)}",
            cure=partial(_room, gap),
        )
    unknown = job.gaps.far_but_partial(name)
    if unknown:
        raise Unreached(unknown)


def _place(gap: Gap) -> str:
    """A wheel that is turned is turned less; of two other parts the second is moved."""
    return "steering.lock_angle" if gap.first.kind == "tyre" and gap.lock else gap.second.path


def _at_lock(gap: Gap) -> str:
    side = "" if not gap.lock else " to the left" if gap.lock > 0 else " to the right"
    return f"{LOCK_WORDS[abs(gap.lock)]}{side}"


def _room(gap: Gap, target: float) -> Cure:
    turn = "turn the wheels less, or " if gap.lock else ""
    words = f"{turn}move the {gap.first.label} or the {gap.second.label}, for {{amount}} more between them"
    return Cure(words, target - gap.smallest.value, Dimension.LENGTH)


def link(job: Job, part: Link) -> Iterator[Finding]:
    """The gaps of a link to all that comes after it."""
    yield from _of_part(job, part.label)


def coilover(job: Job, part: Coilover) -> Iterator[Finding]:
    """The gaps of a coilover."""
    yield from _of_part(job, part.label)


def bump_stop(job: Job, part: BumpStop) -> Iterator[Finding]:
    """The gaps of a bump stop."""
    yield from _of_part(job, part.label)


def _of_part(job: Job, name: str) -> Iterator[Finding]:
    found = list(_findings(job, name))
    yield from found or [does_not_apply("nothing comes near it that is not told with another part")]


def _of_build(name: str, job: Job, _: Build) -> Iterator[Finding]:
    """The gaps of a part that there is one of."""
    yield from _findings(job, name)


def obstacles(job: Job, build: Build) -> Iterator[Finding]:
    """Whether there are any obstacles to look at, and each of them is a solid."""
    for name in sorted(build.vehicle.obstacles):
        yield from _findings(job, build.vehicle.obstacles[name].path)


@rule(
    "clearance",
    area=Area.AXLE,
    subject="build",
    also=(
        *(
            ("build", partial(_of_build, name))
            for name in (
                "left steering arm",
                "right steering arm",
                "axle",
                "lateral bar",
                "drag link",
                "tie rod",
                "driveshaft",
            )
        ),
        ("build", obstacles),
        ("link", link),
        ("coilover", coilover),
        ("bump-stop", bump_stop),
    ),
    limits=(TYRE_GAP, PART_GAP),
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
def clearance(job: Job, build: Build) -> Iterator[Finding]:
    """Nothing that moves touches anything else.

    What it checks: the smallest gap of every pair among tyres, steering arms, axle, links, lateral bar, drag link, tie
    rod, coilovers, bump stops, driveshaft and declared obstacles, with the axle moved through travel and articulation
    together and the wheels turned from lock to lock. A pair that comes nowhere near is not told. The axle's own gap to
    what stands above it is the business of bump-stop-engagement.

    Why: what touches on stands is bent, chafed through or torn off on the road, and it tends to be a tyre, a hose or
    the steering.

    How it is computed: each part is a simple solid. A tyre is a cylinder as wide and as high as stated, with square
    shoulders; links, bars and shafts are round bars, one of square section as thick as its diagonal; a radius arm is a
    bar to the middle of its axle joints and one between them; a steering arm is a bar from its kingpin to
    the rod that ends on it, and as thick as that; a coilover is its body over its compressed length, and
    its shaft, without its springs; a bump stop reaches to what it lands on. The axle is rolled either way as far as
    stated, and raised and lowered then as far as the stops and straps let it. Five heights, five rolls and five places
    of the steering are looked at; between them a gap may be a little less. Where some of them cannot be solved, a gap
    that is wide enough in the others is not checked. Two parts that are joined to each other, or
    that are made to touch, are no pair: a link or bar and the axle, a tyre and the axle or the tie rod, or the drag
    link on its own knuckle, a bump stop and the axle or a link, and parts that stand still.

    To put it right: move one of the two; for a tyre that is turned, set the steering stops sooner, or take wheels with
    more offset.
    """
    found = [*_findings(job, "left tyre"), *_findings(job, "right tyre")]
    yield from found or [does_not_apply("nothing comes near the tyres")]
