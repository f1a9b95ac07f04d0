"""The wheels reach the stated lock, and the linkage stays clear of its dead points.

Checked: that the inner wheel reaches the stated lock to either side, through travel and articulation; and the
smallest angle there between the drag link and the pitman arm or steering arm, and between the tie rod and its arms.

Risk: a linkage in line with one of its arms is at its dead point. Near it the steering grows heavy and loose; beyond it
the wheels may flip to the other side and not come back.

Worked out: the inner knuckle turns about its kingpin until its wheel, seen from above with the axle at ride
height, is at the lock angle. The other knuckle follows by the tie rod, and the pitman arm by the drag link. The angle
is the one between the link and the plane through the arm and its axis of rotation; where a link moves a point of the
other link, the plane is square to the motion of that point. Where some poses do not reach the lock, an angle that is
wide enough in the others is not checked. Static toe is left out.

Remedy: set the steering arm or pitman arm more square to its link; fit a longer pitman arm or a shorter
steering arm; or set the steering stops to end the lock sooner.
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
        Sample("a smaller lock angle", {"steering.lock_angle": 20}),
        Sample(
            "a lock angle at which the drag link is nearly in line with its arm",
            {"steering.lock_angle": 32},
            {"angle-at-arm": Verdict.WARNING},
        ),
    ),
)


class FullLock(NamedTuple):
    """The steering at full lock to one side; `rod` is the link to check, or None for the whole steering."""

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
    wanted="full lock throughout the travel",
    basis=common_practice("only the steering stops on the axle end the lock"),
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
    basis=common_practice("a link nearly in line with its arm pulls hard, turns it little, and may go over centre"),
    change=Words(lambda job, lock: f"set the {lock.called}'s arms more square to it, or end the lock sooner"),
    when=steered,
)
def angle_at_arm(job: Job, lock: FullLock) -> Spot:
    """Smallest angle between a steering link and an arm that it turns, at full lock."""
    steering = job.build.steering
    drag_link, tie_rod = job.full_lock.least_angles(lock.to)
    smallest = drag_link if lock.rod is steering.drag_link else tie_rod
    return smallest.because(f"the {lock.called} is near its dead point at full lock to the {lock.to}")
