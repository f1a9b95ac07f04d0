"""Left is the mirror image of right."""

from collections.abc import Iterator
from functools import partial
from math import copysign, dist, tan

from buildcheck.api import (
    Area,
    Attachment,
    BrakeLine,
    Build,
    Coilover,
    Cure,
    Dimension,
    Finding,
    Job,
    Limit,
    Link,
    Pair,
    Part,
    Point,
    Sample,
    Spot,
    Verdict,
    along,
    at_most,
    common_practice,
    harmed,
    hold,
    rule,
)

MIRROR = common_practice("what stands on the left stands on the right; bring both to the same jig")
SQUARE = common_practice("the axle stands square to the frame, and stays so as it moves")

LENGTH_DIFFERENCE = Limit(
    "length-difference",
    "difference between the left and the right link, joint centre to joint centre",
    Dimension.LENGTH,
    at_most(warning="1/16 in", error="1/8 in"),
    basis=common_practice(
        "left equals right; the length itself is a free choice, for an inch and a half more or less cannot be felt"
    ),
)
MOUNT_OFFSET = Limit(
    "mount-offset",
    "distance of a mount on the right from the mirror image of the one on the left",
    Dimension.LENGTH,
    at_most(warning="1/8 in", error="3/8 in"),
    basis=MIRROR,
)
OFFSET_OF_SPRING = Limit(
    "coilover-offset",
    "distance of a coilover's mount on the right from the mirror image of the one on the left",
    Dimension.LENGTH,
    at_most(warning="1/8 in"),
    basis=common_practice("coilovers may be staggered on purpose, around a steering box or a pinion; not by mistake"),
)
ROTATION_DIFFERENCE = Limit(
    "rotation-difference",
    "difference in how far the left and the right bracket are turned about the lateral axis",
    Dimension.ANGLE,
    at_most(warning="0.5 deg", error="1.5 deg"),
    basis=MIRROR,
)
YAW_AT_RIDE = Limit(
    "yaw-at-ride",
    "yaw of the axle at ride height: the setback of a front axle, the thrust angle of a rear one",
    Dimension.ANGLE,
    at_most(warning="0.1 deg", error="0.25 deg"),
    basis=SQUARE,
)
WHEELBASE_DIFFERENCE = Limit(
    "wheelbase-difference",
    "difference in wheelbase between left and right that this yaw makes",
    Dimension.LENGTH,
    at_most(warning="1/8 in", error="1/4 in"),
    basis=SQUARE,
)
YAW_OVER_TRAVEL = Limit(
    "yaw-over-travel",
    "change of the axle's yaw from ride height, both wheels rising or falling together",
    Dimension.ANGLE,
    at_most(warning="0.25 deg", error="0.75 deg"),
    basis=SQUARE,
)


def what_the_difference_does(job: Job, build: Build) -> Iterator[Finding]:
    """Yaw of the axle at ride height and over the travel."""
    links = [link for link in job.subjects("link") if isinstance(link, Link)]
    odd = max(links, key=lambda link: abs(job.made_length(link) - job.drawn_length(link)))
    place = odd.path_of("length" if odd.has("length") else "frame")
    yaw = job.axle_yaw(job.lines.travel)
    turned = (
        "the truck runs out of line with its own frame; the steering wheel is off centre"
        if build.axle.position == "front"
        else "the axle pushes the truck to one side; it runs out of line with its own frame"
    )

    def square(_: float) -> Cure:
        """Squared altogether: a yaw that is just within limits is still one."""
        squared = job.resize(place, f"the {odd.as_written}", _yaw_at_ride, 0.0) if odd.has("length") else None
        return squared or Cure(f"make the {odd.as_written} as long as its points are apart, as the others are")

    yield hold(YAW_AT_RIDE, abs(yaw.ride), place=place, effect=turned, cure=square)
    difference = abs(build.vehicle.track * tan(yaw.ride.value))
    yield hold(WHEELBASE_DIFFERENCE, Spot(difference, yaw.ride.pose), place=place, effect=turned, cure=square)
    yield _yaw_over_travel(job, yaw.from_ride().farthest_from_zero)


def _yaw_at_ride(job: Job) -> float:
    return job.axle_yaw(job.lines.travel).ride.value


# What no tape can tell is no difference, m.
FELT_BY_A_TAPE = 1e-4


def _yaw_over_travel(job: Job, worst: Spot) -> Finding:
    """Where the mounts of two links are no mirror images, that is what turns the axle; else it is the lateral bar's
    arc, or links that do not run alike."""
    effect = "the truck steers itself as it rises and dives"
    off = [
        (dist(left.mirrored(), right), pair.right, name, left, right)
        for pair in job.subjects("pair")
        if isinstance(pair, Pair) and isinstance(pair.left, Link)
        for name, left, right in _points(pair.left, pair.right)
    ]
    offset, part, name, left, right = max(off, key=lambda each: each[0], default=(0.0, None, "", None, None))
    if offset > FELT_BY_A_TAPE and part and left and right:
        cure = partial(_without_yaw, job, part, name, left.mirrored(), right)
        return hold(YAW_OVER_TRAVEL, abs(worst), place=part.path_of(name), effect=effect, cure=cure)
    return hold(
        YAW_OVER_TRAVEL,
        abs(worst),
        place="lateral_bar.frame" if job.build.has("lateral_bar") else "links",
        effect=effect,
        cure=AGAINST_ITS_ARC,
    )


AGAINST_ITS_ARC = "level the lateral bar or make it longer, for its arc pulls the axle aside; and splay the links less"


def _without_yaw(job: Job, part: Part, name: str, wanted: Point, is_at: Point, most: float) -> Cure:
    """The mount moved back to where it is the mirror image; where that does not end the yaw, the bar has its part."""
    change = _back(part, name, wanted, is_at, 0.0)
    if change.change is None:
        return change
    if not harmed(side_symmetry, job, change):
        changed = job.changed_by(change)
        if abs(changed.axle_yaw(changed.lines.travel).from_ride().farthest_from_zero.value) <= most:
            return change
    return change.after(AGAINST_ITS_ARC)


@rule(
    "side-symmetry",
    area=Area.LINKS,
    heeded=True,
    subject="pair",
    also=(("build", what_the_difference_does),),
    limits=(
        LENGTH_DIFFERENCE,
        MOUNT_OFFSET,
        OFFSET_OF_SPRING,
        ROTATION_DIFFERENCE,
        YAW_AT_RIDE,
        WHEELBASE_DIFFERENCE,
        YAW_OVER_TRAVEL,
    ),
    samples=(
        Sample("both arms an inch and a half longer", {"links.arm.both.frame": [-38.5, 16.5, 19.7]}),
        Sample(
            "the right arm made longer than the left one",
            {"links.arm.left.length": 37.1, "links.arm.right.length": "37 5/16 in"},
            {
                "length-difference": Verdict.ERROR,
                "yaw-at-ride": Verdict.ERROR,
                "wheelbase-difference": Verdict.ERROR,
            },
        ),
        Sample(
            "the right arm's axle bracket turned by two degrees",
            {"attachments.arm_axle_bracket.right.rotation": 2},
            {"rotation-difference": Verdict.ERROR},
        ),
    ),
)
def side_symmetry(job: Job, pair: Pair) -> Iterator[Finding]:
    """Left is the mirror image of right.

    What it checks: the lengths of a pair of links, every mount point against the mirror image of the one on the other
    side (but not the feet of two brackets that are fixed to different members), and how far the two brackets of a pair
    are turned. Then what a difference does: the yaw of the axle at ride height (the setback of a front axle, the thrust
    angle of a rear one), the difference in wheelbase that follows, and the change of yaw over the travel.

    Why: links of unequal length set the axle askew, and the truck runs out of line. Mounts that are not mirror images
    swing on different arcs, so that the axle turns as it rises. The absolute length is a free choice: an inch and a
    half between two trucks cannot be felt. Left equal to right is not a choice.

    How it is computed: a link's length is the one it is made to, where the spec states it, else the distance of its
    points. The axle is solved with those lengths, so a link made too long shows as yaw at ride height. The wheelbase
    difference is the track times the tangent of the yaw.

    To put it right: make the two links on one jig, adjust one until both measure the same, or move the bracket before
    it is welded.
    """
    left, right = pair.left, pair.right
    if pair.written_once or isinstance(left, BrakeLine):
        return  # one is the image of the other as it is written; hoses run as the parts beside them let them
    if isinstance(left, Link) and isinstance(right, Link):
        difference = job.made_length(left) - job.made_length(right)
        yield hold(
            LENGTH_DIFFERENCE,
            abs(difference),
            place=right.path_of("length" if right.has("length") else "frame"),
            effect="unequal links set the axle askew",
            cure=lambda _: _lengthen(job, right, difference),
        )
    mount_offset = OFFSET_OF_SPRING if isinstance(left, Coilover) else MOUNT_OFFSET
    for name, left_point, right_point in () if _on_other_members(left, right) else _points(left, right):
        yield hold(
            mount_offset,
            dist(left_point.mirrored(), right_point),
            place=right.path_of(name),
            effect="the two swing on different arcs",
            cure=partial(_to_the_image, job, right, name, left_point.mirrored(), right_point),
        )
    if (
        isinstance(left, Attachment)
        and isinstance(right, Attachment)
        and (left.has("rotation") or right.has("rotation"))
    ):
        turn = left.rotation - right.rotation
        yield hold(
            ROTATION_DIFFERENCE,
            abs(turn),
            place=right.path_of("rotation"),
            effect="a turned bracket preloads the link's joint",
            cure=lambda _: Cure(
                f"turn the {right.label} {{amount}} {'nose down' if turn > 0 else 'nose up'}",
                abs(turn),
                Dimension.ANGLE,
                right.path_of("rotation"),
                turn,
            ),
        )


def _on_other_members(left: Part, right: Part) -> bool:
    """Whether two brackets are fixed to different members, so that their feet cannot be mirror images: on the axle tube
    on one side, and on the centre section on the other."""
    parents = [part.parent for part in (left, right) if isinstance(part, Attachment) and part.has("parent")]
    return len(set(parents)) > 1


def _points(left: Part, right: Part) -> Iterator[tuple[str, Point, Point]]:
    # A point that is given on one side only is missing on the other.
    for name, value in (left.given() | right.given()).items():
        if isinstance(value, Point):
            yield name, getattr(left, name), getattr(right, name)


def _lengthen(job: Job, right: Link, difference: float) -> Cure:
    """The right link made as long as the left one; where its mounts are out as well, and that alone would turn the
    axle, after those."""
    way = "longer" if difference > 0 else "shorter"
    if not right.has("length"):
        words = f"move the mounts of the {right.label} to the mirror image of the left one's, {{amount}} {way} apart"
        apart = along(right.path_of("frame"), [copysign(1.0, difference) * each for each in job.direction(right)])
        return Cure(words, abs(difference), Dimension.LENGTH, makes=apart)
    words = f"make the {right.label} {{amount}} {way}"
    change = Cure(words, abs(difference), Dimension.LENGTH, right.path_of("length"), difference)
    if not harmed(side_symmetry, job, change):
        return change
    return change.after(f"bring the mounts of the {right.label} to the mirror image of the left one's")


def _to_the_image(job: Job, right: Part, name: str, wanted: Point, is_at: Point, most: float) -> Cure:
    """The mount moved back; where others are out as well, and it alone would turn the axle or change a length, after
    those."""
    change = _back(right, name, wanted, is_at, most)
    if change.change is None or not harmed(side_symmetry, job, change):
        return change
    return change.after(f"bring the other mounts of the {right.label} to the mirror image of the left one's")


def _back(right: Part, name: str, wanted: Point, is_at: Point, most: float) -> Cure:
    """The mount moved along the axis in which it is out, or, where it is out in more than that one, by all of it."""
    axis = max("xyz", key=lambda letter: abs(getattr(wanted, letter) - getattr(is_at, letter)))
    amount = getattr(wanted, axis) - getattr(is_at, axis)
    mount = f"the {name.replace('_', ' ')} mount of the {right.label}"
    if dist(wanted, is_at._replace(**{axis: getattr(wanted, axis)})) > max(most, FELT_BY_A_TAPE):
        words = f"move {mount} {{amount}} straight to the mirror image of the one on the left"
        back = along(right.path_of(name), [there - here for here, there in zip(is_at, wanted, strict=True)])
        return Cure(words, dist(wanted, is_at), Dimension.LENGTH, makes=back)
    ways = {"x": ("forward", "rearward"), "y": ("to the left", "to the right"), "z": ("up", "down")}[axis]
    words = f"move {mount} {{amount}} {ways[0 if amount > 0 else 1]}"
    return Cure(words, abs(amount), Dimension.LENGTH, f"{right.path_of(name)}.{axis}", amount)
