"""Parts are where there is room for them.

Checked: that obstacles do not lie inside each other; that an obstacle named for one side is the mirror image of the one
named for the other; that limit straps and brake lines keep clear of the tyres at ride height; that a tie rod ends
inside the wheels and near the height of the kingpins, and these at the height of the axle; that the tube of a steered
axle ends beside its kingpins; and that a housing in the middle is there.

Risk: a corner typed with the wrong sign makes an obstacle where none is, and none where one is. Every gap is computed
to it.

Worked out: obstacles are compared as the boxes that just hold them. Straps and brake lines are straight lines between
their ends, tyres are cylinders with square shoulders.

Remedy: measure the named part again, from the floor and the middle of the truck.
"""

import math
from collections.abc import Iterator
from itertools import combinations
from typing import NamedTuple

from buildcheck.api import (
    Area,
    Box,
    BrakeLine,
    Build,
    CentreSection,
    Job,
    Kingpin,
    LimitStrap,
    Obstacle,
    Part,
    Point,
    Rule,
    Sample,
    Side,
    TieRod,
    Verdict,
    Words,
    at_least,
    at_most,
    between,
    box_of,
    common_practice,
    each,
    made,
    solid_obstacles,
)

rule = Rule(
    "parts-in-place",
    area=Area.RECORDS,
    page=__doc__,
    samples=(
        Sample("an oil pan an inch lower", {"vehicle.obstacles.oil_pan.lower": [-14, 0, 23.6]}),
        Sample(
            "a frame rail drawn to the middle of the truck",
            {"vehicle.obstacles.left_frame_rail.lower": [-60, 0, 30.5]},
            {"drawn-alike": Verdict.ERROR, "obstacles-apart": Verdict.WARNING},
        ),
        Sample(
            "a hose through the tyre",
            {"brake_lines.line.both.frame": [-8, 31, 30]},
            {"beside-tyre": Verdict.ERROR},
        ),
    ),
)

DRAWN = common_practice("of two parts in one place, one is drawn wrong")
measure_again = Words("measure the part again, from the floor and from the middle of the truck")


def without_side(obstacle: Obstacle) -> str:
    """The name of an obstacle without the words left and right."""
    return " ".join(word for word in obstacle.label.split() if word not in ("left", "right"))


class Beside(NamedTuple):
    """Two obstacles, by name."""

    first: Obstacle
    second: Obstacle

    @property
    def path(self) -> str:
        return self.second.path

    @property
    def label(self) -> str:
        twins = without_side(self.first) == without_side(self.second)
        return without_side(self.second) if twins else self.second.label

    @property
    def side(self) -> Side:
        return Side.CENTRE

    @property
    def which(self) -> str:
        return f"beside the {self.first.label}"


def all_pairs(job: Job, build: Build) -> Iterator[Beside]:
    # By name, since the order in the spec means nothing; and a truck and its mirror image read alike.
    named = sorted(solid_obstacles(build), key=lambda each: (without_side(each), each.path), reverse=True)
    return (Beside(first, second) for first, second in combinations(named, 2))


def volume(box: Box) -> float:
    return math.prod(max(0.0, most - least) for least, most in box)


@rule.check(
    made("pair of obstacles", all_pairs),
    at_most(warning="30 %", error="90 %"),
    basis=DRAWN,
    change=measure_again,
    effect="gaps are computed to a part that is not there",
    compares=True,
)
def obstacles_apart(job: Job, pair: Beside) -> float:
    """Share of the smaller of two obstacles that lies inside the box of the other."""
    first, second = box_of(pair.first), box_of(pair.second)
    smaller = min(volume(first), volume(second))
    shared = tuple((max(a[0], b[0]), min(a[1], b[1])) for a, b in zip(first, second, strict=True))
    return volume(shared) / smaller if smaller > 0.0 else 0.0


class Twins(NamedTuple):
    """An obstacle on the left, and that of the same name on the right."""

    left: Obstacle
    right: Obstacle

    @property
    def path(self) -> str:
        return self.right.path

    @property
    def label(self) -> str:
        return without_side(self.right)

    @property
    def side(self) -> Side:
        return Side.CENTRE


def named_pairs(job: Job, build: Build) -> Iterator[Twins]:
    """Obstacles whose names differ in the words left and right alone."""
    found = {each.path.rpartition(".")[2]: each for each in solid_obstacles(build)}
    for name, left in found.items():
        twin = found.get("_".join("right" if word == "left" else word for word in name.split("_")))
        if twin is not None and twin is not left:
            yield Twins(left, twin)


@rule.check(
    made("pair of obstacles by their names", named_pairs),
    at_most(warning="2 in", error="6 in"),
    basis=common_practice("what is named for left and right is on both sides alike; a frame is straight to 1 in"),
    change=measure_again,
    effect="gaps on one side are computed to a part that is not there",
    compares=True,
)
def drawn_alike(job: Job, twins: Twins) -> float:
    """Largest difference of a face of one obstacle from the mirror image of the other's."""
    left, right = box_of(twins.left), box_of(twins.right)
    image = (right[0], (-right[1][1], -right[1][0]), right[2])
    return max(abs(a - b) for one, other in zip(left, image, strict=True) for a, b in zip(one, other, strict=True))


PLACES = tuple(number / 40 for number in range(41))


def off_tyre(job: Job, start: Point, end: Point, place: float) -> float:
    """Distance of a point on a line, at a share of its length, from the nearest tyre at ride height, m; negative inside
    it."""
    vehicle, centre = job.build.vehicle, job.axle_centre
    x, y, z = (a + place * (b - a) for a, b in zip(start, end, strict=True))
    off = math.hypot(x - centre.x, z - centre.z) - vehicle.tyre.diameter / 2
    across = abs(abs(y) - vehicle.track / 2) - vehicle.tyre.width / 2
    return max(off, across) if max(off, across) <= 0.0 else math.hypot(max(off, 0.0), max(across, 0.0))


def beside_a_tyre(job: Job, part: Part) -> bool:
    return part.side is not Side.CENTRE


@rule.check(
    each(LimitStrap | BrakeLine, where=beside_a_tyre),
    at_least(warning="1 in", error="0 in"),
    physical_end="0 in",
    basis=common_practice("a tyre grows, flexes and picks up mud, so it needs more room than metal"),
    change=Words("move its end inboard, by the missing gap"),
    place="frame",
    effect="the tyre wears through it",
    compares=True,
)
def beside_tyre(job: Job, part: LimitStrap | BrakeLine) -> float:
    """Gap between a strap or a brake line, straight between its ends, and the tyre, wheels straight at ride height."""
    return min(off_tyre(job, part.frame, part.axle, place) for place in PLACES)


@rule.check(
    TieRod,
    at_least(warning="1 in", error="0 in"),
    basis=common_practice("the rod ends inside the wheel's disc, which is about at the middle of the tyre"),
    change=Words("measure the tie rod again, from joint centre to joint centre"),
    place="left",
    effect="the rod is computed through the wheel",
    compares=True,
)
def rod_inside_wheels(job: Job, rod: TieRod) -> float:
    """Distance of the outer end of the tie rod from the middle plane of its tyre, inboard of it."""
    return job.build.vehicle.track / 2 - max(abs(rod.left.y), abs(rod.right.y))


# An end of the tie rod this much as far out as the other is at a knuckle too.
AT_KNUCKLE = 0.8


def knows_kingpins(job: Job, rod: TieRod) -> bool:
    return job.build.steering.has("kingpins")


@rule.check(
    each(TieRod, where=knows_kingpins),
    between(warning=("-5 in", "8 in"), error=("-8 in", "12 in")),
    basis=common_practice("steering arms are on the knuckle: from its lower joint up to an arm bolted on its top"),
    change=Words("measure the height of both ends of the tie rod again, from the floor"),
    place="left",
    effect="toe and lock are computed for another rod, and what is near it is not seen",
    compares=True,
)
def rod_to_kingpin(job: Job, rod: TieRod) -> float:
    """Height of the ends of the tie rod above the middle of the kingpin beside each, below it negative: the farther."""
    farthest = max(abs(rod.left.y), abs(rod.right.y))
    heights = []
    for end in (rod.left, rod.right):
        if abs(end.y) >= AT_KNUCKLE * farthest:  # the inner end of a rod to the drag link has no kingpin beside it
            side = Side.LEFT if end.y > 0.0 else Side.RIGHT
            heights.append(end.z - job.build.steering.kingpins[side].centre.z)
    return max(heights, key=abs)


@rule.check(
    Kingpin,
    at_most(warning="3 in", error="6 in"),
    basis=common_practice("the joints of a kingpin are above and below the axle's centre line, about as far"),
    change=Words("measure the joints of the kingpin again, from the floor, and take the point midway"),
    place="centre",
    effect="the steering is computed about another axis",
    compares=True,
)
def kingpin_height(job: Job, kingpin: Kingpin) -> float:
    """Difference in height of the middle of a kingpin from the axle's centre line."""
    return abs(kingpin.centre.z - job.axle_centre.z)


@rule.check(
    Kingpin,
    between(warning=("1 in", "6 in"), error=("0 in", "9 in")),
    basis=common_practice("the yoke at the end of the tube carries the kingpin two to five inches outside of it"),
    change=Words("measure the ends of the axle's tube again, and the middle of the kingpin"),
    place="centre",
    effect="brackets are planned on a tube that is shorter or longer than it is",
    compares=True,
)
def kingpin_beside_tube(job: Job, kingpin: Kingpin) -> float:
    """Distance of the middle of a kingpin from the end of the axle's tube, outboard of it."""
    tube = job.build.axle.tube
    end = tube.left_end if kingpin.side is Side.LEFT else tube.right_end
    return abs(kingpin.centre.y) - abs(end.y)


def in_the_middle(job: Job, housing: CentreSection) -> bool:
    return housing.where == "middle"


@rule.check(
    each(CentreSection, where=in_the_middle),
    at_most(warning="2 in", error="6 in"),
    basis=common_practice("a housing in the middle has its pinion within an inch or two of it"),
    change=Words("write the side that the housing is on, or measure its centre again"),
    place="where",
    effect="brackets beside it are checked against a housing in another place",
    compares=True,
)
def housing_in_the_middle(job: Job, housing: CentreSection) -> float:
    """Distance from the middle of the truck of a housing that is said to be there."""
    return abs(housing.centre.y)
