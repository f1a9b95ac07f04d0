"""How far the joints of links, bar, drag link and tie rod are turned against what their makers rate them for."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

from buildcheck.build import Part, Side
from buildcheck.build.linkage import DragLink, LateralBar, Link, TieRod
from buildcheck.job.curve import Array, Curve, Line, PoseName, Spot, Unreached
from buildcheck.job.envelope import LOCKS
from buildcheck.job.moving import MovingAxle
from buildcheck.job.turned import Turned
from buildcheck.motion.joints import bolt_turn, cone_turn, line_turn, triangle_attitude, whole_turn

if TYPE_CHECKING:
    from buildcheck.job.job import Job


class Joints:
    """The joints of a job's build over its lines, and over travel, articulation and lock together."""

    def __init__(self, job: Job) -> None:
        self._job = job

    def turn(self, part: Link | LateralBar, joint: str, line: Line) -> Curve:
        """How far a joint of a link or bar is misaligned along a line of poses; see `joint_turn`."""
        return Curve(joint_turn(self._job.moving, part, joint)[line.picks], line)

    def tilt(self, rod: DragLink | TieRod, joint: str) -> Spot:
        """The most that a joint of the drag link or tie rod is tilted against its stud; see `worst_tilt`."""
        return worst_tilt(self._job.moving_about, rod, joint)


def joint_turn(moving: MovingAxle, part: Link | LateralBar, key: str) -> Array:
    """How far a joint of a link or bar is misaligned in each pose: (poses,) rad, 0 or more.

    `key` is the joint's: `frame`, `axle`, or `axle_upper` or `axle_lower` of a radius arm. Where the spec gives the
    direction of its bolt it is the tilt of a link out of the plane square to that bolt, which may be there at ride
    height already, or the angle by which a radius arm has taken the bolt's bore aside since ride height. Where it does
    not, it is all that the joint has turned since ride height, so that nothing is left out.
    """
    bolt = _bolt(part, key)
    on_axle = key != "frame"
    attitude = moving.attitude if on_axle else None
    if bolt is not None and on_axle:
        bolt = moving.resting.rest.direction(bolt)
    if isinstance(part, Link) and part.kind == "radius-arm":
        arm = _arm_attitude(moving, part)
        return whole_turn(arm, attitude) if bolt is None else cone_turn(arm, bolt[:, None], attitude).cone
    frame = np.array(part.frame)
    ride, now = (moving.resting.rest.point(part.axle) - frame)[:, None], moving.point(part.axle) - frame[:, None]
    if bolt is None:
        return line_turn(ride, now, attitude)
    return np.abs(bolt_turn(ride, now, bolt[:, None], attitude).tilt)


def turn_since_ride(moving: MovingAxle, part: Link | LateralBar, key: str) -> Array:
    """How far a joint of a link or bar has turned since ride height, about its bolt or not: (poses,) rad."""
    attitude = moving.attitude if key != "frame" else None
    if isinstance(part, Link) and part.kind == "radius-arm":
        return whole_turn(_arm_attitude(moving, part), attitude)
    frame = np.array(part.frame)
    ride, now = (moving.resting.rest.point(part.axle) - frame)[:, None], moving.point(part.axle) - frame[:, None]
    return line_turn(ride, now, attitude)


def most_turned(moving: MovingAxle, end: Literal["frame", "axle"]) -> Array:
    """The most that any link, or the bar, has turned at its joints of one end since ride height: (poses,) rad."""
    parts: list[Link | LateralBar] = [link for sides in moving.build.links.values() for link in sides]
    if moving.build.has("lateral_bar"):
        parts.append(moving.build.lateral_bar)
    return np.asarray(np.max([turn_since_ride(moving, part, end) for part in parts], axis=0))


def _arm_attitude(moving: MovingAxle, arm: Link) -> Array:
    def attitude() -> Array:
        frame = np.array(arm.frame)[:, None]
        upper, lower = (moving.resting.rest.point(end)[:, None] for end in (arm.axle_upper, arm.axle_lower))
        now = moving.point(arm.axle_upper), moving.point(arm.axle_lower)
        return triangle_attitude(frame, *now, (frame, upper, lower))

    return moving.keep("attitude", arm, attitude)


def _bolt(part: Part, key: str) -> Array | None:
    """Direction of the bolt of a joint, where the spec gives it."""
    if not (part.has("joints") and part.joints.has(key)):
        return None
    joint = getattr(part.joints, key)
    return np.array(joint.axis) if joint.has("axis") else None


def worst_tilt(moving: MovingAxle, rod: DragLink | TieRod, key: str) -> Spot:
    """The most that the line of the drag link or tie rod is tilted against the stud of one of its joints, in any pose
    and at any lock: rad.

    The stud turns with the pitman arm or with the knuckle that it is fixed to. Missing where the spec does not say
    which way the stud points, since a rod turns freely about it; Unreached where the steering does not come to full
    lock in every pose.
    """
    stud = np.array(getattr(rod.joints, key).axis)
    turned = Turned(moving.build, moving, np.array(LOCKS))
    if isinstance(rod, DragLink):
        line = turned.arm_end - turned.pitman_end
        carried = turned.on_pitman(stud) if key == "pitman" else turned.direction(stud, Side(rod.knuckle))
    else:
        line = turned.point(rod.left, Side.LEFT) - turned.point(rod.right, Side.RIGHT)
        carried = turned.direction(stud, Side(key))
    tilt = np.abs(bolt_turn(line, line, carried).tilt).max(axis=1)
    if not np.isfinite(tilt).all():
        raise Unreached("the steering does not come to full lock all through the travel")
    worst, poses = int(tilt.argmax()), moving.poses
    return Spot(float(tilt[worst]), PoseName(float(poses.heave[worst]), float(poses.roll[worst])))
