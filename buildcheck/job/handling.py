"""Effects of the links on handling, in every pose: roll centre, roll steer, anti-dive, wheelbase."""

from __future__ import annotations

import numpy as np

from buildcheck.axle.bind import Bind, bind
from buildcheck.axle.handling import Slopes, slopes_over, turning
from buildcheck.axle.poses import Poses
from buildcheck.axle.roll_centre import RollCentre, roll_centre
from buildcheck.axle.rotation import carry
from buildcheck.axle.side_view import InstantCentre, anti_effect, contact_slope, instant_centre
from buildcheck.axle.spans import span_rate
from buildcheck.axle.vectors import size, unit
from buildcheck.axle.wheel_shift import wheelbase_change
from buildcheck.build import Build, Point, Side
from buildcheck.build.linkage import LateralBar, Link
from buildcheck.build.springs import Coilover
from buildcheck.job.curve import Array, Unreached
from buildcheck.job.kept import Keeper, kept
from buildcheck.job.layout import FOUR, Member, held_point, made_length
from buildcheck.job.resting import RestingAxle


class Handling(Keeper):
    """Handling quantities of a build's axle over a batch of poses: (poses,), SI; NaN where the axle cannot go."""

    def __init__(self, resting: RestingAxle, moving: Keeper, poses: Poses, attitude: Array) -> None:
        super().__init__(moving.store, *moving.key, "handling")
        self._build: Build = resting.build
        self._resting = resting
        self._poses = poses
        self._attitude = attitude

    @kept
    def _slopes(self) -> Slopes:
        return slopes_over(self._poses, self._resting.rest.layout)

    @kept
    def roll_centre(self) -> RollCentre:
        """Height of the roll centre above the floor (m), slope of the roll axis (rising forward positive), and roll
        steer (rad/rad), (poses,) each. Raises Missing where the spec lacks a lateral bar that the links need:
        there is no roll centre then."""
        self._resting.refuse_without_lateral_bar()
        return roll_centre(self._poses, self._slopes)

    @kept
    def instant_centre(self) -> InstantCentre:
        """Side-view instant centre (m, vehicle axes), its height above the floor that moves with the axle (m) and swing
        arm (m, never negative), (poses,) each; infinite where the links are parallel."""
        return instant_centre(self._poses, self._slopes, self._build.vehicle.wheelbase)

    @property
    def anti_dive(self) -> Array:
        """Share of the load transfer under braking that the links carry instead of the springs of this axle, (poses,):
        1 is all of it, negative adds dive."""
        return self._anti_effect(self._build.vehicle.brake_share)

    @property
    def anti_lift(self) -> Array:
        """Share of the load transfer under drive that the links carry instead of the springs of this axle, (poses,): 1
        is all of it, negative adds lift; at a rear axle it is the anti-squat."""
        return self._anti_effect(self._build.vehicle.drive_share)

    def _anti_effect(self, share: float) -> Array:
        vehicle = self._build.vehicle
        percent = anti_effect(
            contact_slope(self._poses, self._slopes),
            share,
            vehicle.wheelbase,
            vehicle.centre_of_gravity_height,
            self._front,
        )
        return percent / 100.0

    @property
    def _front(self) -> bool:
        return self._build.axle.position == "front"

    def wheelbase_change(self, side: Side) -> Array:
        """Change of the wheelbase on one side from that at rest at ride height, (poses,) m; shorter negative."""
        x, y, z = self._resting.linkage.layout.centre
        half = self._build.vehicle.track / 2
        wheel = self._resting.rest.point(Point(float(x), float(y) + (half if side is Side.LEFT else -half), float(z)))
        return wheelbase_change(self._poses, wheel, self._front, self._attitude)

    def motion_ratio(self, coilover: Coilover, axle_end: Array) -> Array:
        """Shortening of a coilover per unit of straight rise of the axle, (poses,) m/m; its axle end is at `axle_end`
        (3, poses) m, vehicle axes. Positive where it is compressed as the axle rises."""
        poses, rates = self._poses, self._slopes.heave
        centre = np.asarray(poses.centre)[:, None] + np.array([poses.x, poses.y, poses.heave])
        spin = np.array(turning(poses, rates, 0.0))
        velocity = np.array([rates.x, rates.y, np.ones_like(rates.x)]) + np.cross(spin, axle_end - centre, axis=0)
        return -span_rate(np.array(coilover.frame), axle_end, velocity)

    @kept
    def _bind(self) -> Bind:
        return bind(self._resting.rest.layout, self._poses)

    @property
    def _exact(self) -> bool:
        """Whether exactly four constraints hold the axle, so that the links cannot load each other."""
        return len(self._resting.linkage.bars) == FOUR

    @property
    def bind(self) -> Array:
        """Largest bind load at any joint of links and bar, because they over-constrain the axle: (poses,) N, 0 or more;
        zero where four constraints hold the axle."""
        return np.asarray(np.max([each for loads in self._bind_at_joints.values() for each in loads.values()], axis=0))

    def bind_of(self, part: Link | LateralBar) -> Array:
        """Largest bind load at the joints of one link or bar, (poses,) N."""
        return np.asarray(np.max(list(self._bind_at_joints[part.path, part.label].values()), axis=0))

    def bind_at(self, part: Link | LateralBar, joint: str) -> Array:
        """Bind load at one joint of a link or bar, (poses,) N; `joint` is its key, such as `frame` or `axle_upper`."""
        return self._bind_at_joints[part.path, part.label][joint]

    def give_at(self, part: Link | LateralBar, joint: str) -> Array:
        """Deflection of a joint by its bind load, (poses,) m, 0 or more: load divided by the stiffness of the joint."""
        return np.asarray(self.bind_at(part, joint) / self._resting.linkage.member(part).stiffness[joint])

    @kept
    def _bind_at_joints(self) -> dict[tuple[str, str], dict[str, Array]]:
        """Magnitude of the bind load, by the path and label of the link and by the key of the joint: (poses,) N, NaN
        where the axle cannot go."""
        return {
            (member.part.path, member.part.label): dict(zip(member.stiffness, self._bind_of(member), strict=True))
            for member in self._resting.linkage.members
        }

    @kept
    def bind_pull(self) -> Array:
        """Bind force of each bar on the axle, (3, bars, poses) N; zero where four constraints hold the axle."""
        bars = self._resting.linkage.bars
        ways = [unit(np.array(bar.frame)[:, None] - self._point(bar.axle)) for bar in bars]
        return np.stack(ways, axis=1) * (0.0 if self._exact else self._bind.load)

    def _bind_of(self, member: Member) -> list[Array]:
        """Bind loads of each joint of one link.

        A link between two joints carries the load of its bar at both. A radius arm's two bars act together at its frame
        joint, and its axle joints share that force as in `RigidArm`.
        """
        on_frame: Array = -self.bind_pull[:, list(member.bars)].sum(axis=1)
        if not member.is_arm:
            return [size(on_frame)] * 2
        at_axle = self._resting.linkage.placed_arm(member, self._point).at_axle_joints(on_frame)
        return [size(force) for force in (on_frame, *at_axle)]

    def stretch_of(self, part: Link | LateralBar) -> Array:
        """Change in length of a link or bar by deflection of its joints, either way, (poses,) m, 0 or more; for a
        radius arm from its frame joint to the middle of its axle joints, like its length."""
        now = size(np.array(part.frame)[:, None] - self._point(held_point(part)))
        return np.asarray(np.abs(now - made_length(part)))

    def _point(self, point: Point) -> Array:
        return carry(self._poses, self._resting.rest.point(point), self._attitude)

    @property
    def twist_moment(self) -> Array:
        """Largest moment with which a radius arm's joint resists rotation: (poses,) N m, 0 or more. Raises Unreached
        when the spec gives no joint a torsional stiffness."""
        if not self._bind.moment.shape[1]:
            raise Unreached("no radius-arm joint has a torsional stiffness stated")
        return np.asarray(np.max(self._bind.moment, axis=(0, 1)))
