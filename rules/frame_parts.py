"""The parts of the frame meet each other, and the brackets on the frame meet the frame.

Checked, where the spec draws frame rails among its obstacles: that each crossmember goes to a rail on either side, and
that the foot of each bracket on the frame, and the far end of its brace, is on a rail or a crossmember.

Risk: a crossmember that is drawn too high hides that the drag link or the driveshaft touches it. A bracket whose height
is read short is computed with too short a lever, and in the shop it does not reach the frame.

Worked out: obstacles are compared as the boxes that just hold them. One whose name has the words frame rail is a rail
of the frame, one with the word crossmember is a crossmember. The foot of a bracket is at its point; without one, it is
at most its height away from the middle of the parts that it holds.

Remedy: measure the rail, the crossmember or the bracket again, from the floor and from the middle of the truck.
"""

import math
from collections.abc import Iterator
from typing import NamedTuple

from buildcheck.api import (
    Area,
    Attachment,
    Build,
    Job,
    Missing,
    Obstacle,
    Point,
    Rule,
    Sample,
    Side,
    Verdict,
    Words,
    at_most,
    box_of,
    common_practice,
    each,
    made,
    solid_obstacles,
)

CROSSMEMBER = "vehicle.obstacles.crossmember"

rule = Rule(
    "frame-parts",
    area=Area.RECORDS,
    page=__doc__,
    samples=(
        Sample(
            "the crossmember half an inch higher",
            {f"{CROSSMEMBER}.start": [9, -13.5, 32], f"{CROSSMEMBER}.end": [9, 13.5, 32]},
        ),
        Sample(
            "a crossmember drawn ten inches too high, and a bracket five inches short of its rail",
            {
                f"{CROSSMEMBER}.start": [9, -13.5, 41.5],
                f"{CROSSMEMBER}.end": [9, 13.5, 41.5],
                "attachments.lateral_bar_frame_bracket.left.height": 2.75,
            },
            {"crossmember-to-rail": Verdict.ERROR, "foot-off-frame": Verdict.ERROR},
            # 41.5 in less its radius of 1.25 in and the rail's top at 36.5 in; 30.5 - 22.75 - 2.75 in.
            values={"crossmember-to-rail": "3.75 in", "foot-off-frame": "5 in"},
        ),
    ),
)


def of_frame(build: Build, *words: str) -> list[Obstacle]:
    """The obstacles whose name has all of some words."""
    return [part for part in solid_obstacles(build) if set(words) <= set(part.label.split())]


def gap_between(one: Obstacle, other: Obstacle) -> float:
    """Distance of the boxes that just hold two obstacles, m; zero where they touch."""
    pairs = zip(box_of(one), box_of(other), strict=True)
    return math.hypot(*(max(0.0, b[0] - a[1], a[0] - b[1]) for a, b in pairs))


class Joining(NamedTuple):
    """A crossmember, and the rails on one side."""

    part: Obstacle
    to: Side
    rails: tuple[Obstacle, ...]

    @property
    def path(self) -> str:
        return self.part.path

    @property
    def label(self) -> str:
        return self.part.label

    @property
    def side(self) -> Side:
        return Side.CENTRE

    @property
    def which(self) -> str:
        return f"to the {self.to}"


def joinings(job: Job, build: Build) -> Iterator[Joining]:
    """Each crossmember with the rails on either side that the spec draws."""
    rails = of_frame(build, "frame", "rail")
    for part in of_frame(build, "crossmember"):
        for side in (Side.LEFT, Side.RIGHT):
            on_side = tuple(rail for rail in rails if (sum(box_of(rail)[1]) > 0.0) == (side is Side.LEFT))
            if on_side:
                yield Joining(part, side, on_side)


@rule.check(
    made("crossmember at a rail", joinings),
    at_most(warning="2 in", error="3 1/2 in"),
    basis=common_practice("a crossmember is fixed to both rails, or hangs from brackets an inch or two high"),
    change=Words("measure the crossmember again, from the floor and from the middle of the truck"),
    effect="gaps are computed to a part that is not there",
    compares=True,
)
def crossmember_to_rail(job: Job, joining: Joining) -> float:
    """Gap between a crossmember and the nearest rail on a side."""
    return min(gap_between(joining.part, rail) for rail in joining.rails)


def off_box(obstacle: Obstacle, point: Point) -> float:
    """Distance of a point from the box that just holds an obstacle, m; zero inside it."""
    pairs = zip(box_of(obstacle), point, strict=True)
    return math.hypot(*(max(0.0, least - at, at - most) for (least, most), at in pairs))


def frame_is_drawn(job: Job, bracket: Attachment) -> bool:
    """Whether a bracket is on a part of the frame that the spec draws."""
    return bool(of_frame(job.build, *PARTS.get(bracket.parent if bracket.has("parent") else "", ("", ""))))


PARTS = {"frame": ("frame", "rail"), "crossmember": ("crossmember",)}


@rule.check(
    each(Attachment, where=frame_is_drawn),
    at_most(warning="2 in", error="4 in"),
    basis=common_practice("rails taper and kick up, and are drawn as one box to an inch or two"),
    change=Words("measure from the rail to the middle of the parts that the bracket holds, or draw the rail again"),
    place=lambda job, bracket: bracket.path_of("point" if bracket.has("point") else "height"),
    effect="its weld or its bolts are computed with too short a lever, and it does not reach the frame",
    compares=True,
)
def foot_off_frame(job: Job, bracket: Attachment) -> float:
    """Distance from the foot of a bracket, by its stated point or height, to the frame."""
    frame = of_frame(job.build, *PARTS[bracket.parent])
    if bracket.has("point"):
        return min(off_box(part, bracket.point) for part in frame)
    points = [end.point for end in job.held_ends() if any(one is bracket for one in job.holders(end))]
    if not points:
        raise Missing(bracket.path_of("holds"))
    middle = Point(*(sum(each) / len(points) for each in zip(*points, strict=True)))
    return max(0.0, min(off_box(part, middle) for part in frame) - bracket.height)


def is_braced(job: Job, bracket: Attachment) -> bool:
    """Whether a bracket with a brace is on a frame that the spec draws."""
    return bracket.has("brace") and frame_is_drawn(job, bracket)


@rule.check(
    each(Attachment, where=is_braced, may_be_none=True),
    at_most(warning="2 in", error="4 in"),
    basis=common_practice("rails taper and kick up, and are drawn as one box to an inch or two"),
    change=Words("measure where the brace meets the frame, or draw what holds it there"),
    place=lambda job, bracket: bracket.brace.path_of("far_end"),
    effect="a brace that ends in the air holds nothing, and the bracket swings",
    compares=True,
)
def brace_off_frame(job: Job, bracket: Attachment) -> float:
    """Distance from the far end of a bracket's brace to the rails and crossmembers of the frame."""
    frame = [*of_frame(job.build, "frame", "rail"), *of_frame(job.build, "crossmember")]
    return min(off_box(part, bracket.brace.far_end) for part in frame)
