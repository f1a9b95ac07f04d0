"""How far the joints of links, bar, drag link and tie rod are turned against what their makers rate them for."""

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
from buildcheck.job.curve import Array, Curve, Line, PoseName, Spot, Unreached, poses_missing
from buildcheck.job.envelope import LOCKS
from buildcheck.job.moving import MovingAxle
from buildcheck.job.steered_parts import Turned
from buildcheck.spec.quantity import Dimension

if TYPE_CHECKING:
    from buildcheck.job.job import Job

# Joints whose ball lets the link spin about itself; what a link spins in the others, their rubber or their jaws take
# before a ball at its other end does.
BALLS = ("rod-end", "spherical")


# What people call the joints of a radius arm.
CALLED = {"axle_upper": "upper axle", "axle_lower": "lower axle"}


JoinedPart = TypeVar("JoinedPart", bound=Link | LateralBar | DragLink | TieRod)


class JointOf(NamedTuple, Generic[JoinedPart]):
    """One joint of a link, the lateral bar, the drag link or the tie rod, as the subject of a check; `key` is its own
    in `joints`. The spec may lack the joint: reading `stated` then raises Missing."""

    part: JoinedPart
    key: str

    @property
    def stated(self) -> Joint:
        """What the spec says of the joint."""
        joint: Joint = getattr(self.part.joints, self.key)
        return joint

    @property
    def path(self) -> str:
        """Where the spec describes the joint."""
        return self.part.path_of("joints", self.key)

    @property
    def label(self) -> str:
        """What a person calls the part."""
        return self.part.label

    @property
    def side(self) -> Side:
        """The side of the part."""
        return self.part.side

    @property
    def which(self) -> str:
        """Which of the part's joints it is: `upper axle joint`."""
        return f"{CALLED.get(self.key, self.key)} joint"


def joints_of(job: Job, part: Link | LateralBar) -> Iterator[JointOf[Link | LateralBar]]:
    """The joints that a link or bar has on the truck, whether or not the spec describes them."""
    for path in part.expects(Joint):
        yield JointOf(part, path.rpartition(".")[2])


class Joints:
    """The joints of a job's build over its lines, and over travel, articulation and lock together."""

    def __init__(self, job: Job) -> None:
        self._job = job

    def turn(self, part: Link | LateralBar, joint: str, line: Line) -> Curve:
        """How far a joint of a link or bar is misaligned along a line of poses, rad, 0 or more; see `joint_turn`."""
        return Curve(joint_turn(self._job.moving, part, joint)[line.picks], line)

    def tilt(self, rod: DragLink | TieRod, joint: str) -> Spot:
        """The most that a joint of the drag link or tie rod is misaligned against its stud, rad; see `worst_tilt`."""
        return worst_tilt(self._job.moving_about, rod, joint)


def joint_turn(moving: MovingAxle, part: Link | LateralBar, key: str) -> Array:
    """How far a joint of a link or bar is misaligned in each pose: (poses,) rad, 0 or more.

    `key` is the joint's: `frame`, `axle`, or `axle_upper` or `axle_lower` of a radius arm.

    Of a radius arm it is the angle by which it has taken the bolt's bore aside since ride height where the spec gives
    the direction of the bolt; where it does not, all that the arm has turned since ride height.

    Of another link, or a bar, it is put together of two. Its line stands out of the plane square to the bolt, which it
    may do at ride height already; without the bolt's direction, all that the line has turned since ride height counts.
    And the axle, as it rolls, spins the link's two ends against each other: see `_spun`.
    """
    if isinstance(part, Link) and part.kind == "radius-arm":
        return moving.keep_of(f"turn of {key}", part, lambda: _turn_of_arm(moving, part, key))
    ends = moving.keep_of("turns of ends", part, lambda: np.stack(_turns_of_line(moving, part)))
    return np.asarray(ends[0 if key == "frame" else 1])


def _turn_of_arm(moving: MovingAxle, arm: Link, key: str) -> Array:
    """How far a joint of a radius arm is misaligned: (poses,) rad."""
    bolt, attitude = _bolt(moving, arm, key), moving.attitude if key != "frame" else None
    turned = _arm_attitude(moving, arm)
    return whole_turn(turned, attitude) if bolt is None else cone_angle(turned, bolt, attitude)


def _turns_of_line(moving: MovingAxle, part: Link | LateralBar) -> tuple[Array, Array]:
    """How far the joints of a link between two points are misaligned, at the frame and at the axle: (poses,) rad."""
    ride, now = _line(moving, part)
    leans, bolts = [], []
    for key, attitude in (("frame", None), ("axle", moving.attitude)):
        bolt = _bolt(moving, part, key)
        lean = line_turn(ride, now, attitude) if bolt is None else np.abs(bolt_tilt(now, bolt, attitude))
        leans.append(lean)
        bolts.append(bolt)
    # A bolt of which the spec says nothing is taken to lie as the other one, else level and square to the link.
    known = next((bolt for bolt in bolts if bolt is not None), _level(ride))
    on_frame, on_axle = (known if bolt is None else bolt for bolt in bolts)
    carried = carry_direction(moving.poses, on_axle[:, 0], moving.attitude)
    twist = within_quarter(clocking(now, on_frame, carried) - clocking(ride, on_frame, on_axle))
    balls = [_is_ball(part, key) for key in ("frame", "axle")]
    return _spun(leans, np.nan_to_num(twist), balls)


def _spun(leans: Sequence[Array], twist: Array, balls: Sequence[bool]) -> tuple[Array, Array]:
    """Misalignment of a link's two joints from how its line leans at each and by how much its ends are twisted: rad.

    Two joints of a kind share the twist so that the worse of them is best off; a ball at one end alone takes all of it.
    A bolt that lies along the line leaves the twist unknown, and is turned about itself by it: it counts as none.
    """
    first, second = leans
    if balls[0] == balls[1]:
        return kindest_spin(first, second, twist)
    return (misalignment(first, twist), second) if balls[0] else (first, misalignment(second, twist))


def turn_since_ride(moving: MovingAxle, part: Link | LateralBar, key: str) -> Array:
    """How far a link or bar has turned at a joint since ride height, about its bolt or not: (poses,) rad, 0 or more.

    Of a link between two points it is the turn of its line; by how much it spins about that is left out.
    """
    attitude = moving.attitude if key != "frame" else None
    if isinstance(part, Link) and part.kind == "radius-arm":
        return whole_turn(_arm_attitude(moving, part), attitude)
    return line_turn(*_line(moving, part), attitude)


def most_turned(moving: MovingAxle, end: Literal["frame", "axle"]) -> Array:
    """The most that any link, or the bar, has turned at its joints of one end since ride height: (poses,) rad."""
    parts: list[Link | LateralBar] = [link for sides in moving.build.links.values() for link in sides]
    if moving.build.has("lateral_bar"):
        parts.append(moving.build.lateral_bar)
    return np.asarray(np.max([turn_since_ride(moving, part, end) for part in parts], axis=0))


def _line(moving: MovingAxle, part: Link | LateralBar) -> tuple[Array, Array]:
    """From a link's frame end to its axle end, at ride height (3, 1) and in each pose (3, poses), m."""
    frame = np.array(part.frame)[:, None]
    return moving.resting.rest.point(part.axle)[:, None] - frame, moving.point(part.axle) - frame


def _level(line: Array) -> Array:
    """A direction (3, 1) that is level and square to a line; of one that stands upright, across the vehicle."""
    x, y, _ = line
    return np.array([y, -x, np.zeros(1)]) if np.hypot(x, y) > 0.0 else np.array([[0.0], [1.0], [0.0]])


def _arm_attitude(moving: MovingAxle, arm: Link) -> Array:
    """How a radius arm has turned since ride height: by its frame joint, the stiffness centre of its axle joints and
    the line that it swings about; see `motion.rigid_arm`."""

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
    """Direction (3,) of a stud at ride height, straight ahead; another one's where the spec does not give it."""
    given = rod.joints.has(key) and getattr(rod.joints, key).has("axis")
    return np.array(getattr(rod.joints, key).axis) if given else otherwise


def tilts(moving: MovingAxle, rod: DragLink | TieRod, key: str) -> Array:
    """How far a joint of the drag link or tie rod is misaligned against its stud, in each pose and at each of `LOCKS`:
    (poses, locks) rad, 0 or more; NaN where the steering does not come there. The first pose of `moving` must be ride
    height, level.

    It is put together of the tilt of the rod's line out of the plane square to the stud, and of the rod's share of the
    twist of its two studs about that line since ride height, straight ahead; the rod spins to where the worse of its
    two joints is best off. Each stud turns with the pitman arm or with the knuckle that it is fixed to; one of which
    the spec does not say which way it points is taken to lie as the other. Missing where it does not say so of the
    joint asked for, since a rod turns freely about its stud; Unreached where one of the studs is fixed to the other
    rod.
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
    """The most that such a joint is misaligned in any pose and at any lock, rad; see `tilts`. It is without those that
    the steering does not come to; Unreached where it comes to none."""
    tilt = tilts(moving, rod, key)
    known = np.isfinite(tilt)
    if not known.any():
        raise Unreached("the steering does not come to any lock anywhere in the travel")
    without = poses_missing(known, "the axle and the wheels", "the steering does not reach there")
    poses = moving.poses
    worst, lock = np.unravel_index(int(np.nanargmax(tilt)), tilt.shape)
    at = PoseName(
        float(poses.heave[worst]),
        float(poses.roll[worst]),
        lock=LOCKS[lock] * moving.build.steering.lock_angle,
    )
    return Spot(float(tilt[worst, lock]), at, without, dimension=Dimension.ANGLE)
