"""The links locate the axle and allow its full travel.

Checked: that the links can be joined to the axle; that they and the lateral bar hold it in four independent
ways, so that it can rise and roll and do nothing else; how firmly they hold it in the direction where they hold it
least; that no link or bar is one too many, so that they bind; and that it can follow the whole stated travel.

A lateral bar that is not in the spec holds nothing, at any stage. Fewer than four constraints are an error even before
their points are stated.

Risk: an axle that is free to yaw or to move sideways steers the truck by itself. A link that runs out of reach before
the stops work bends, or tears its bracket off.

Worked out: every two-point link and the lateral bar keep one distance each, a radius arm keeps two. They are
independent where their constraint equations at ride height are. The firmness is the smallest singular value of those
equations, with angles taken at the links' typical distance from the axle centre. Where two-point links and bar hold
the axle more than once over, their joints give, and the bind is what that takes; past the rating of a joint, the load
cases with bind are left out of all loads, since no part can be sized for them. The travel is then solved pose by
pose, from full droop to full bump and through articulation; each pose must be reached from ride height without a break.

Remedy: add the missing link (often the upper link, or the lateral bar), leave out the member that is one too many,
state less travel, or make the link that runs out of reach longer.
"""

from collections.abc import Iterator
from typing import NamedTuple

from buildcheck.api import (
    Answer,
    Area,
    Build,
    Job,
    LateralBar,
    Link,
    Resize,
    Rule,
    Sample,
    Spot,
    Verdict,
    Words,
    at_least,
    at_most,
    common_practice,
    made,
    met,
)

rule = Rule(
    "axle-location",
    area=Area.AXLE,
    page=__doc__,
    samples=(
        Sample("the arms a little longer", {"links.arm.both.frame": [-37.5, 14.9, 21.5]}),
        Sample(
            "a three-link whose upper link is too short for the stated droop",
            {
                "links.arm.both": {"kind": "two-point", "frame": [-37, 16.5, 17], "axle": [-3, 17.5, 15.2]},
                "links.upper": {"right": {"kind": "two-point", "frame": [-10, -8, 23.5], "axle": [2, -8, 23]}},
                "travel.droop": 14,
            },
            {"travel-reached": Verdict.ERROR},
        ),
        Sample(
            "the bar fore and aft between parallel arms, so that nothing holds the axle sideways",
            {
                "links.arm.both.frame": [-37, 17.5, 19.7],
                "lateral_bar.frame": [40, 0, 20],
                "lateral_bar.axle": [5, 0, 19.9],
            },
            {"held": Verdict.ERROR},
        ),
    ),
)

LINKS = "links"


def not_free(job: Job, build: Build) -> Iterator[Build]:
    """The build, unless its axle is free: the position of a free axle at ride height is not known."""
    if job.unassembled or not job.free_motions:
        yield build


def joined(job: Job, build: Build) -> Iterator[Build]:
    """The build, unless its links cannot be joined to the axle: it is then not known what they hold."""
    if not job.unassembled:
        yield build


def without_bar(job: Job, free: str) -> str:
    """A reminder for an axle that is free sideways: a bar that is not in the spec is taken as not fitted."""
    return "; lateral_bar is not in the spec" if "sideways" in free and not job.build.has("lateral_bar") else ""


@rule.must(
    made("build", not_free),
    wanted="links that reach from their frame ends to their axle ends",
    basis=common_practice("a build that cannot be bolted together on the floor cannot be driven"),
    place=LINKS,
    change=Words("check the lengths and the points of the links"),
)
def assembled(job: Job, build: Build) -> Answer:
    """The links, at the length they are made to, can be joined to the axle at ride height."""
    return met(not job.unassembled, "the links can be joined to the axle", otherwise=job.unassembled)


@rule.must(
    made("build", joined),
    wanted="free to rise and roll, and held in every other way",
    basis=common_practice("an axle may rise and roll; any other free motion is a wobble"),
    place=LINKS,
    change=Words("add a link or a lateral bar, or move one that does the same work as another"),
)
def held(job: Job, build: Build) -> Answer:
    """The links and the lateral bar hold the axle fore and aft, sideways, in pitch and in yaw."""
    free = "; ".join(job.free_motions)
    effect = "the axle moves by itself under braking and cornering" if free else ""
    return met(not free, "held in four independent ways", f"{free}{without_bar(job, free)}", effect)


def hardly_held(job: Job, build: Build) -> str:
    return f"{job.least_held} although links hold it on paper{without_bar(job, job.least_held)}"


@rule.check(
    made("build", joined),
    at_least(warning="12 %", error="5 %"),
    basis=common_practice("a link holds along its own line; a link nearly square to a motion hardly stops it"),
    place=LINKS,
    change=Words("splay the links more, add one in line with that motion, or fit a lateral bar"),
    effect=hardly_held,
    follows=("held",),
)
def firmness(job: Job, build: Build) -> float:
    """Firmness of the axle in its least firm direction, as a share of one link in line with the motion."""
    return job.firmness


def with_one_to_spare(job: Job, build: Build) -> Iterator[Build]:
    """The build, where a link or the bar could be left out and the axle would still be held."""
    if not job.unassembled and job.spare_member is not None:
        yield build


def spare(job: Job) -> Link | LateralBar:
    assert job.spare_member is not None  # the build is a subject only with one
    return job.spare_member


@rule.check(
    made("build", with_one_to_spare),
    at_most(error="100 %"),
    physical_end="100 %",
    basis=common_practice("a joint that breaks by the bind of the links alone has nothing left for the road"),
    place=lambda job, build: spare(job).path,
    change=Words(
        lambda job, build: f"leave the {spare(job).label} out, and test again; a larger joint or link does not help"
    ),
    effect=lambda job, build: (
        f"the layout is over-constrained: the {spare(job).label} is one member too many, and its "
        "arc fights those of the others"
    ),
)
def bind(job: Job, build: Build) -> Spot:
    """Largest load at a joint from the bind of links and bar alone, as a share of the joint's rating."""
    return job.loads.bind


class Stated(NamedTuple):
    """One of the three travels that the spec states: `droop`, `bump` or `articulation`."""

    which: str

    @property
    def path(self) -> str:
        return f"travel.{self.which}"


def stated_travels(job: Job, build: Build) -> Iterator[Stated]:
    for _ in joined(job, build):
        yield from map(Stated, ("droop", "bump", "articulation"))


def less(stated: str) -> Resize:
    """State less of one travel; the change does not apply to the others."""
    return Resize(
        stated,
        says="state {amount} {way} {field}, or make the link that runs out longer",
        ways_called=("more", "less"),
    ).of(lambda job, travel: job.build.travel if travel.which == stated else None)


@rule.check(
    made("stated travel", stated_travels),
    at_least(error="100 %"),
    basis=common_practice("travel that the links cannot follow ends in a bent link or a torn bracket"),
    change=(
        less("droop"),
        less("bump"),
        less("articulation"),
        Words(lambda job, travel: f"state less {travel.which}, or make the link that runs out longer"),
    ),
    effect="a link runs out of reach before the travel ends",
    follows=("held",),
)
def travel_reached(job: Job, travel: Stated) -> Spot:
    """Share of the stated travel that the axle can follow."""
    lines = job.lines
    # Each line begins at ride height or at the level axle, so `reached` is the share that can be followed from there.
    ways = (lines.right_up, lines.left_up) if travel.which == "articulation" else (getattr(lines, travel.which),)
    way = min(ways, key=job.reached)
    return Spot(job.reached(way), way.pose(way.end))
