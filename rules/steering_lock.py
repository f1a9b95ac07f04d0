"""The wheels turn to the stated lock, and the linkage stays clear of its dead points.

Checked: that the inner wheel comes to the stated lock on either side, through travel and articulation; and
the smallest angle between the drag link and the pitman arm or steering arm, and between the tie rod and its arms,
that is left there.

Risk: a linkage that comes in line with one of its arms stands at its dead point. Short of it the steering grows
heavy and loose; beyond it the wheels may flip to the other side, and do not come back.

Worked out: the inner knuckle is turned about its kingpin until its wheel, seen from above with the axle at
ride height, stands at the lock angle; the other one follows by the tie rod, and the pitman arm by the drag link.
The angle is that between the link and the plane of the arm and the axis that it turns about, or, where a link moves
a place on the other one, the plane square to the way that this place goes. Where the lock is not reached in some
poses, an angle that is wide enough in the others is not checked. Static toe is left out.

Remedy: a steering arm or pitman arm that stands more square to its link; a longer pitman arm, or a shorter
steering arm; or steering stops that end the lock sooner.
"""

from collections.abc import Iterator
from typing import NamedTuple

from buildcheck.api import (
    Answer,
    Area,
    Build,
    DragLink,
    Job,
    Rule,
    Sample,
    Side,
    Spot,
    TieRod,
    Verdict,
    Words,
    at_least,
    common_practice,
    made,
    met,
)

rule = Rule(
    "steering-lock",
    area=Area.BAR_AND_STEERING,
    page=__doc__,
    samples=(
        Sample("wheels that are turned less", {"steering.lock_angle": 20}),
        Sample(
            "wheels that are turned so far that the drag link pulls nearly in line with its arm",
            {"steering.lock_angle": 32},
            {"angle-at-arm": Verdict.WARNING},
        ),
    ),
)


class FullLock(NamedTuple):
    """The steering at full lock to one side; `rod` is the link that is looked at, where it is one of the two."""

    to: Side
    rod: DragLink | TieRod | None = None
    path: str = "steering.lock_angle"
    label: str = ""

    @property
    def which(self) -> str:
        return f"{self.called}, to the {self.to}" if self.rod else f"to the {self.to}"

    @property
    def called(self) -> str:
        return "" if self.rod is None else self.rod.label


def each_side(job: Job, build: Build) -> Iterator[FullLock]:
    for side in (Side.LEFT, Side.RIGHT):
        yield FullLock(side)


def each_rod(job: Job, build: Build) -> Iterator[FullLock]:
    for side in (Side.LEFT, Side.RIGHT):
        for rod in (build.steering.drag_link, build.steering.tie_rod):
            yield FullLock(side, rod, rod.path)


def steered(job: Job, _: object) -> str | None:
    """Why the check does not apply; None where the axle is steered."""
    build = job.build
    return "nothing steers a rear axle" if build.axle.position == "rear" and not build.has("steering") else None


@rule.must(
    made("full lock", each_side),
    wanted="full lock all through the travel",
    basis=common_practice("the steering stops on the axle end the lock, and nothing else"),
    change=Words("fit a longer pitman arm or a shorter steering arm, or end the lock sooner"),
    when=steered,
    effect="the wheels turn less than planned, or the linkage goes over centre",
)
def comes_to_lock(job: Job, lock: FullLock) -> Answer:
    """The wheels reach the stated lock, wherever the axle is in its travel."""
    in_the_way = job.full_lock.in_the_way(lock.to)
    return met(not in_the_way, f"reaches full lock to the {lock.to}", otherwise=f"to the {lock.to} {in_the_way}")


@rule.check(
    made("full lock", each_rod),
    at_least(warning="20 deg", error="10 deg"),
    basis=common_practice("near in line with its arm a link pulls hard and turns little, and may go over centre"),
    change=Words(lambda job, lock: f"set the {lock.called}'s arms more square to it, or end the lock sooner"),
    when=steered,
)
def angle_at_arm(job: Job, lock: FullLock) -> Spot:
    """Smallest angle between a steering link and an arm that it turns, at full lock."""
    steering = job.build.steering
    drag_link, tie_rod = job.full_lock.least_angles(lock.to)
    smallest = drag_link if lock.rod is steering.drag_link else tie_rod
    return smallest.because(f"the {lock.called} comes near its dead point at full lock to the {lock.to}")
