"""Left is the mirror image of right.

Checked: for each pair, the lengths of the two links; every mount point against the mirror image of the one on
the other side (but not the feet of two brackets that are fixed to different members); and the difference in rotation of
the two brackets. Then the result of these differences: the yaw of the axle at ride height (the setback of a front axle,
the thrust angle of a rear one), the wheelbase difference from it, and the change of yaw over the travel.

Risk: links of unequal length turn the axle, and the truck runs out of line. Mounts that are not mirror images swing on
different arcs, so the axle turns as it rises. The length itself is a free choice; that left equals right is not.

Worked out: left and right are compared as two readings of a tape or a gauge, so each limit is wider by the
tolerance of both (as in `records`, otherwise 1/16 in and 0.2 deg). The length of a link is the stated length it is made
to, otherwise the distance between its points. The axle is solved with these lengths, so a link made too long shows as
yaw at ride height. The wheelbase difference is the track times the tangent of the yaw.

Remedy: make the two links on one jig, adjust one until both measure the same, or move the bracket before it is
welded.
"""

from collections.abc import Iterator
from math import dist, sqrt, tan
from typing import Any, NamedTuple

from buildcheck.api import (
    Area,
    Attachment,
    Build,
    BumpStop,
    Coilover,
    Job,
    Kingpin,
    KnownBy,
    LimitStrap,
    Link,
    Mirror,
    Pair,
    Part,
    Point,
    Resize,
    Rule,
    Sample,
    Spot,
    Verdict,
    Words,
    at_most,
    common_practice,
    each,
    made,
)

rule = Rule(
    "side-symmetry",
    area=Area.LINKS,
    page=__doc__,
    samples=(
        Sample("both arms an inch and a half longer", {"links.arm.both.frame": [-38.5, 16.5, 19.7]}),
        Sample(
            "the right arm made longer than the left one",
            {"links.arm.left.length": 37.1, "links.arm.right.length": "37 7/16 in"},
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

MIRROR = common_practice("left and right are mirror images; set both on the same jig")
SQUARE = common_practice("the axle is square to the frame, and stays square as it moves")


def written_apart(job: Job, pair: Pair[Any]) -> bool:
    """Whether the spec states left and right separately; a pair under `both` is symmetrical as written."""
    return not pair.written_once


def right_part(job: Job, pair: Pair[Part]) -> Part:
    return pair.right


@rule.check(
    each(Pair[Link], where=written_apart),
    at_most(warning="1/16 in", error="1/8 in"),
    basis=common_practice("both links of a pair are built to one length; which length that is, the builder decides"),
    change=(
        Resize("length", says="make the {part} {amount} {way}", alone=True).of(right_part),
        Words(lambda job, pair: f"move the mounts of the {pair.right.label} to the mirror image of the left one's"),
    ),
    place=lambda job, pair: pair.right.path_of("length" if pair.right.has("length") else "frame"),
    effect="unequal links turn the axle",
)
def length_difference(job: Job, pair: Pair[Link]) -> Spot:
    """Difference in length between the left and the right link, joint centre to joint centre."""
    difference = abs(job.made_length(pair.left) - job.made_length(pair.right))
    return Spot(difference).within(
        sum(ends_taped(link) for link in (pair.left, pair.right)) * job.tolerance(KnownBy.TAPE)
    )


def ends_taped(link: Link) -> int:
    """How often a tape was read for a length: once for a link as made, else for each end."""
    return 1 if link.has("length") else 2


class Mount(NamedTuple):
    """One point of a pair: the field that holds it on either side."""

    pair: Pair[Any]
    field: str

    @property
    def path(self) -> str:
        return str(self.pair.right.path_of(self.field))

    @property
    def label(self) -> str:
        return self.pair.label

    @property
    def which(self) -> str:
        return self.field.replace("_", " ")


def can_be_images(job: Job, pair: Pair[Any]) -> bool:
    """Whether a pair stated separately can be mirror images. The feet of two brackets cannot where their members
    differ, such as the axle tube on one side and the centre section on the other."""
    if pair.written_once:
        return False
    parents = {part.parent for part in (pair.left, pair.right) if isinstance(part, Attachment) and part.has("parent")}
    return len(parents) < 2


def mounts(job: Job, pair: Pair[Any]) -> Iterator[Mount]:
    for name, value in (pair.left.given() | pair.right.given()).items():
        if isinstance(value, Point):
            yield Mount(pair, name)


def mounts_of(kind: Any) -> Any:
    return made("mount", mounts, of=each(kind, where=can_be_images))


def off_the_image(job: Job, mount: Mount) -> Spot:
    """Distance of a mount from the other one's mirror image; both points were taped in three directions."""
    left, right = getattr(mount.pair.left, mount.field), getattr(mount.pair.right, mount.field)
    return Spot(dist(left.mirrored(), right)).within(2 * sqrt(3) * job.tolerance(KnownBy.TAPE))


to_the_image = (
    Mirror(field=lambda mount: mount.field, pair=lambda mount: mount.pair),
    Words(lambda job, mount: f"move the {mount.which} of the {mount.pair.right.label} to the left one's mirror image"),
)


@rule.check(
    mounts_of(Pair[Link | Attachment | LimitStrap | BumpStop | Kingpin]),
    at_most(warning="1/8 in", error="3/8 in"),
    basis=MIRROR,
    change=to_the_image,
    effect="the two swing on different arcs",
)
def mount_offset(job: Job, mount: Mount) -> Spot:
    """Distance of a mount on the right from the mirror image of the one on the left."""
    return off_the_image(job, mount)


@rule.check(
    mounts_of(Pair[Coilover]),
    at_most(warning="1/8 in"),
    basis=common_practice("coilovers may be staggered on purpose, to clear a steering box or a pinion"),
    change=to_the_image,
    effect="the two swing on different arcs",
)
def coilover_offset(job: Job, mount: Mount) -> Spot:
    """Distance of a coilover's mount on the right from the mirror image of the one on the left."""
    return off_the_image(job, mount)


def turned_brackets(job: Job, pair: Pair[Attachment]) -> bool:
    return not pair.written_once and (pair.left.has("rotation") or pair.right.has("rotation"))


@rule.check(
    each(Pair[Attachment], where=turned_brackets),
    at_most(warning="0.5 deg", error="1.5 deg"),
    basis=MIRROR,
    change=(
        Resize("rotation", says="turn the {part} {amount} {way}", alone=True, ways_called=("nose down", "nose up")).of(
            right_part
        ),
        Words("turn the two brackets to the same angle"),
    ),
    effect="a turned bracket preloads the link's joint",
)
def rotation_difference(job: Job, pair: Pair[Attachment]) -> Spot:
    """Difference between the rotations of the left and the right bracket about the lateral axis."""
    return Spot(abs(pair.left.rotation - pair.right.rotation)).within(2 * job.tolerance(KnownBy.GAUGE))


def odd_link(job: Job, _: object) -> Link:
    """The link whose made length differs most from the distance between its points."""
    return max(job.links, key=lambda link: abs(job.made_length(link) - job.drawn_length(link)))


def place_of_odd_link(job: Job, build: Build) -> str:
    link = odd_link(job, build)
    return link.path_of("length" if link.has("length") else "frame")


def turned(job: Job, build: Build) -> str:
    if build.axle.position == "front":
        return "the truck runs out of line with its own frame; the steering wheel is off centre"
    return "the axle pushes the truck to one side; it runs out of line with its own frame"


squared = (
    Resize("length", says="make the {part} {amount} {way}").of(odd_link),
    Words(lambda job, build: f"make the {odd_link(job, build).label} as long as the distance between its points"),
)


@rule.check(
    Build,
    at_most(warning="0.1 deg", error="0.25 deg"),
    basis=SQUARE,
    change=squared,
    place=place_of_odd_link,
    effect=turned,
)
def yaw_at_ride(job: Job, build: Build) -> Spot:
    """Yaw of the axle at ride height: the setback of a front axle, the thrust angle of a rear one."""
    yaw = abs(job.axle_yaw_at_ride())
    # A tape at each wheel reads it, half the track to either side.
    return yaw.within(2 * job.tolerance(KnownBy.TAPE) / build.vehicle.track) if build.vehicle.has("track") else yaw


@rule.check(
    Build,
    at_most(warning="1/8 in", error="1/4 in"),
    basis=SQUARE,
    change=squared,
    place=place_of_odd_link,
    effect=turned,
)
def wheelbase_difference(job: Job, build: Build) -> Spot:
    """Difference in wheelbase between left and right, from the yaw at ride height."""
    yaw = job.axle_yaw_at_ride()
    return Spot(abs(build.vehicle.track * tan(yaw.value)), yaw.pose).within(2 * job.tolerance(KnownBy.TAPE))


# A smaller distance does not show on a tape, m. Common practice, no source.
SHOWS_ON_A_TAPE = 1e-4


def farthest_mount(job: Job) -> Mount | None:
    """The link mount farthest from the mirror image of the one on the left; None where all are mirror images."""
    found = [mount for mount in link_mounts.find(job) if isinstance(mount, Mount)]
    worst = max(found, key=lambda mount: off_the_image(job, mount).value, default=None)
    return worst if worst is not None and off_the_image(job, worst).value > SHOWS_ON_A_TAPE else None


link_mounts = made("mount", mounts, of=Pair[Link])


def place_of_yaw(job: Job, build: Build) -> str:
    mount = farthest_mount(job)
    return mount.path if mount else "lateral_bar.frame" if build.has("lateral_bar") else "links"


@rule.check(
    Build,
    at_most(warning="0.25 deg", error="0.75 deg"),
    basis=SQUARE,
    change=(
        Mirror(field=lambda mount: mount.field, pair=lambda mount: mount.pair).of(
            lambda job, build: farthest_mount(job)
        ),
        Words("level the lateral bar or make it longer, since its arc pulls the axle aside; and splay the links less"),
    ),
    place=place_of_yaw,
    effect="the truck steers itself as it rises and falls",
)
def yaw_over_travel(job: Job, build: Build) -> Spot:
    """Largest change of the axle's yaw from ride height, both wheels rising or falling together."""
    return abs(job.axle_yaw(job.lines.travel).from_ride().farthest_from_zero)
