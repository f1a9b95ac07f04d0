"""Misalignment of the joints of links, bar, drag link and tie rod, for comparison with their ratings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Generic, Literal, NamedTuple, TypeVar

import numpy as np

from buildcheck.axle.joints import (
    bolt_tilt,
    clocking,
    cone_angle,
    kindest_spin,
    line_turn,
    misalignment,
    triangle_attitude,
    whole_turn,
    within_quarter,
)
from buildcheck.axle.rotation import carry_direction
from buildcheck.build import Side
from buildcheck.build.linkage import DragLink, Joint, LateralBar, Link, TieRod
from buildcheck.build.springs import Coilover, LimitStrap
from buildcheck.job.curve import Array, Curve, Line, PoseName, Spot, Unreached, poses_missing
from buildcheck.job.envelope import LOCKS
from buildcheck.job.moving import MovingAxle
from buildcheck.job.steered_parts import Turned
from buildcheck.spec.quantity import Dimension

if TYPE_CHECKING:
    from buildcheck.job.job import Job

# Joints whose ball lets the link spin about its line. In other joints the rubber or the jaws resist the spin, so a ball
# at the other end turns first.
BALLS = ("rod-end", "spherical")


# Common names of the joints of a radius arm.
CALLED = {"axle_upper": "upper axle", "axle_lower": "lower axle"}


JoinedPart = TypeVar("JoinedPart", bound=Link | LateralBar | DragLink | TieRod | Coilover | LimitStrap)

HungPart = TypeVar("HungPart", bound=Link | LateralBar | Coilover | LimitStrap)


class JointOf(NamedTuple, Generic[JoinedPart]):
    """One joint of a link, the lateral bar, a rod of the steering, a coilover or a strap, as the subject of a check;
    `key` is its key in `joints`. The spec may lack the joint: reading `stated` then raises Missing."""

    part: JoinedPart
    key: str

    @property
    def stated(self) -> Joint:
        """The joint as the spec describes it."""
        joint: Joint = getattr(self.part.joints, self.key)
        return joint

    @property
    def path(self) -> str:
        """Spec path of the joint."""
        return self.part.path_of("joints", self.key)

    @property
    def label(self) -> str:
        """Name of the part in messages."""
        return self.part.label

    @property
    def side(self) -> Side:
        """Side of the part."""
        return self.part.side

    @property
    def which(self) -> str:
        """Name of the joint within its part: `upper axle joint`."""
        return f"{CALLED.get(self.key, self.key)} joint"


def joints_of(job: Job, part: HungPart) -> Iterator[JointOf[HungPart]]:
    """Yield the joints that a link, bar, coilover or strap has on the truck, whether or not the spec describes them."""
    for path in part.expects(Joint):
        yield JointOf(part, path.rpartition(".")[2])


class Joints:
    """Misalignment of a job's joints over its lines, and over travel, articulation and lock together."""

    def __init__(self, job: Job) -> None:
        self._job = job

    def turn(self, part: Link | LateralBar, joint: str, line: Line) -> Curve:
        """Misalignment of a joint of a link or bar along a line of poses, rad, 0 or more; see `joint_turn`."""
        return Curve(joint_turn(self._job.moving, part, joint)[line.picks], line)

    def tilt(self, rod: DragLink | TieRod, joint: str) -> Spot:
        """Largest misalignment of a joint of the drag link or tie rod from its stud, rad; see `worst_tilt`."""
        return worst_tilt(self._job.moving_about, rod, joint)


def joint_turn(moving: MovingAxle, part: Link | LateralBar, key: str) -> Array:
    """Misalignment of a joint of a link or bar in each pose: (poses,) rad, 0 or more.

    `key` is the joint's: `frame`, `axle`, or `axle_upper` or `axle_lower` of a radius arm.

    For a radius arm it is the angle by which the arm has turned the bore away from the bolt since ride height, where
    the spec gives the direction of the bolt; where it does not, the whole rotation of the arm since ride height.

    For another link, or a bar, it has two parts. One is the angle of its line out of the plane square to the bolt,
    which may exist at ride height already; without the bolt's direction, the whole rotation of the line since ride
    height counts. The other is the twist between the link's two ends as the axle rolls: see `_spun`.
    """
    if isinstance(part, Link) and part.kind == "radius-arm":
        return moving.keep_of(f"turn of {key}", part, lambda: _turn_of_arm(moving, part, key))
    ends = moving.keep_of("turns of ends", part, lambda: np.stack(_turns_of_line(moving, part)))
    return np.asarray(ends[0 if key == "frame" else 1])


def _turn_of_arm(moving: MovingAxle, arm: Link, key: str) -> Array:
    """Misalignment of a joint of a radius arm: (poses,) rad."""
    bolt, attitude = _bolt(moving, arm, key), moving.attitude if key != "frame" else None
    turned = _arm_attitude(moving, arm)
    return whole_turn(turned, attitude) if bolt is None else cone_angle(turned, bolt, attitude)


def _turns_of_line(moving: MovingAxle, part: Link | LateralBar) -> tuple[Array, Array]:
    """Misalignment of the joints of a link between two points, at the frame and at the axle: (poses,) rad each."""
    ride, now = _line(moving, part)
    leans, bolts = [], []
    for key, attitude in (("frame", None), ("axle", moving.attitude)):
        bolt = _bolt(moving, part, key)
        lean = line_turn(ride, now, attitude) if bolt is None else np.abs(bolt_tilt(now, bolt, attitude))
        leans.append(lean)
        bolts.append(bolt)
    # A bolt whose direction the spec does not give is assumed parallel to the other one, else level and square to the
    # link.
    known = next((bolt for bolt in bolts if bolt is not None), _level(ride))
    on_frame, on_axle = (known if bolt is None else bolt for bolt in bolts)
    carried = carry_direction(moving.poses, on_axle[:, 0], moving.attitude)
    twist = within_quarter(clocking(now, on_frame, carried) - clocking(ride, on_frame, on_axle))
    balls = [_is_ball(part, key) for key in ("frame", "axle")]
    return _spun(leans, np.nan_to_num(twist), balls)


def _spun(leans: Sequence[Array], twist: Array, balls: Sequence[bool]) -> tuple[Array, Array]:
    """Misalignment of a link's two joints, from the tilt of its line at each and the twist between its ends: rad.

    Two joints of the same kind share the twist so that the larger misalignment is least; a ball at only one end takes
    all of it. Where a bolt lies along the line, the twist is undefined and only turns the bolt about its axis: it
    counts as zero.
    """
    first, second = leans
    if balls[0] == balls[1]:
        return kindest_spin(first, second, twist)
    return (misalignment(first, twist), second) if balls[0] else (first, misalignment(second, twist))


def turn_since_ride(moving: MovingAxle, part: Link | LateralBar, key: str) -> Array:
    """Rotation of a link or bar at a joint since ride height, about any axis: (poses,) rad, 0 or more.

    For a link between two points it is the rotation of its line; spin about the line is left out.
    """
    attitude = moving.attitude if key != "frame" else None
    if isinstance(part, Link) and part.kind == "radius-arm":
        return whole_turn(_arm_attitude(moving, part), attitude)
    return line_turn(*_line(moving, part), attitude)


def most_turned(moving: MovingAxle, end: Literal["frame", "axle"]) -> Array:
    """Largest rotation of any link, or the bar, at its joints of one end since ride height: (poses,) rad."""
    parts: list[Link | LateralBar] = [link for sides in moving.build.links.values() for link in sides]
    if moving.build.has("lateral_bar"):
        parts.append(moving.build.lateral_bar)
    return np.asarray(np.max([turn_since_ride(moving, part, end) for part in parts], axis=0))


def _line(moving: MovingAxle, part: Link | LateralBar) -> tuple[Array, Array]:
    """Vectors from a link's frame end to its axle end, at ride height (3, 1) and in each pose (3, poses), m."""
    frame = np.array(part.frame)[:, None]
    return moving.resting.rest.point(part.axle)[:, None] - frame, moving.point(part.axle) - frame


def _level(line: Array) -> Array:
    """Direction (3, 1) that is level and square to a line; across the vehicle for a vertical line."""
    x, y, _ = line
    return np.array([y, -x, np.zeros(1)]) if np.hypot(x, y) > 0.0 else np.array([[0.0], [1.0], [0.0]])


def _arm_attitude(moving: MovingAxle, arm: Link) -> Array:
    """Rotation of a radius arm since ride height (3, 3, poses), from its frame joint, the stiffness centre of its axle
    joints and the line about which it swings; see `axle.rigid_arm`."""

    def attitude() -> Array:
        linkage = moving.resting.linkage
        now, ride = (
            linkage.placed_arm(linkage.member(arm), place) for place in (moving.point, moving.resting.rest.point)
        )
        first, second, third = (
            point[:, None] for point in (ride.frame, ride.centre + ride.swings, ride.centre - ride.swings)
        )
        upper, lower = now.centre + now.swings, now.centre - now.swings
        return triangle_attitude(now.frame, upper, lower, (first, second, third))

    return moving.keep_of("attitude", arm, attitude)


def _bolt(moving: MovingAxle, part: Link | LateralBar, key: str) -> Array | None:
    """Direction (3, 1) of the bolt of a joint at ride height, where the spec gives it."""
    if not (part.has("joints") and part.joints.has(key)):
        return None
    joint = getattr(part.joints, key)
    if not joint.has("axis"):
        return None
    drawn = np.array(joint.axis)
    return (drawn if key == "frame" else moving.resting.rest.direction(drawn))[:, None]


def _is_ball(part: Link | LateralBar, key: str) -> bool:
    if not (part.has("joints") and part.joints.has(key)):
        return False
    joint = getattr(part.joints, key)
    return joint.has("kind") and joint.kind in BALLS


def _stud(rod: DragLink | TieRod, key: str, otherwise: Array) -> Array:
    """Direction (3,) of a stud at ride height, straight ahead; `otherwise` where the spec does not give it."""
    given = rod.joints.has(key) and getattr(rod.joints, key).has("axis")
    return np.array(getattr(rod.joints, key).axis) if given else otherwise


def tilts(moving: MovingAxle, rod: DragLink | TieRod, key: str) -> Array:
    """Misalignment of a joint of the drag link or tie rod from its stud, in each pose and at each of `LOCKS`.

    Shape (poses, locks), rad, 0 or more; NaN where the steering does not reach. The first pose of `moving` must be ride
    height, level.

    It combines the tilt of the rod's line out of the plane square to the stud with the joint's share of the twist
    between the two studs about that line since ride height, straight ahead. The rod spins so that the larger
    misalignment of its two joints is least. Each stud turns with the pitman arm or the knuckle to which it is fixed; a
    stud whose direction the spec does not give is assumed parallel to the other. Raises Missing where the direction of
    the requested joint's stud is not given, because a rod turns freely about its stud; Unreached where one of the studs
    is fixed to the other rod.
    """
    stud = np.array(getattr(rod.joints, key).axis)
    turned = Turned(moving.build, moving, np.array(LOCKS))
    if isinstance(rod, DragLink):
        line = turned.arm_end - turned.pitman_end
        ends = ("pitman", "arm")
    else:
        left, right = turned.rod_ends
        line, ends = left - right, ("left", "right")
    first, second = (turned.stud(rod, end, _stud(rod, end, stud)) for end in ends)
    clocked = clocking(line, first, second)
    twist = within_quarter(clocked - clocked[0, LOCKS.index(0.0)])
    both = kindest_spin(bolt_tilt(line, first), bolt_tilt(line, second), twist)
    return np.asarray(both[ends.index(key)])


def worst_tilt(moving: MovingAxle, rod: DragLink | TieRod, key: str) -> Spot:
    """Largest misalignment of such a joint in any pose and at any lock, rad; see `tilts`. It is without those that the
    steering does not reach; raises Unreached where it reaches none."""
    tilt = tilts(moving, rod, key)
    known = np.isfinite(tilt)
    if not known.any():
        raise Unreached("the steering reaches no lock anywhere in the travel")
    without = poses_missing(known, "the axle and the wheels", "the steering does not reach there")
    poses = moving.poses
    worst, lock = np.unravel_index(int(np.nanargmax(tilt)), tilt.shape)
    at = PoseName(
        float(poses.heave[worst]),
        float(poses.roll[worst]),
        lock=LOCKS[lock] * moving.build.steering.lock_angle,
    )
    return Spot(float(tilt[worst, lock]), at, without, dimension=Dimension.ANGLE)
