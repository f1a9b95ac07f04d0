"""What the links do to the way the truck drives, in every pose: roll centre, roll steer, anti-dive, wheelbase."""

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
        steer (rad/rad), (poses,) each. Missing where the spec lacks the lateral bar that the links cannot do without,
        as there is no roll centre then."""
        self._resting.refuse_without_lateral_bar()
        return roll_centre(self._poses, self._slopes)

    @kept
    def instant_centre(self) -> InstantCentre:
        """Side-view instant centre (m, vehicle axes), its height above the floor that moves with the axle (m) and swing
        arm (m, never negative), (poses,) each; infinite where the links run parallel."""
        return instant_centre(self._poses, self._slopes, self._build.vehicle.wheelbase)

    @property
    def anti_dive(self) -> Array:
        """Share of the load transfer under braking that the links carry past the springs of this axle, (poses,): 1 is
        all of it, negative adds dive."""
        return self._anti_effect(self._build.vehicle.brake_share)

    @property
    def anti_lift(self) -> Array:
        """Share of the load transfer under drive that the links carry past the springs of this axle, (poses,): 1 is
        all of it, negative adds lift; at a rear axle it is the anti-squat."""
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
        """How much longer the wheelbase is on one side than at rest at ride height, (poses,) m; shorter negative."""
        x, y, z = self._resting.linkage.layout.centre
        half = self._build.vehicle.track / 2
        wheel = self._resting.rest.point(Point(float(x), float(y) + (half if side is Side.LEFT else -half), float(z)))
        return wheelbase_change(self._poses, wheel, self._front, self._attitude)

    def motion_ratio(self, coilover: Coilover, axle_end: Array) -> Array:
        """Shortening of a coilover for each unit that the axle rises straight, (poses,) m/m, its axle end being at
        `axle_end` (3, poses) m, vehicle axes. Positive where it is pressed as the axle rises."""
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
        """Whether four links and bars hold the axle, so that none of them can put a load on another."""
        return len(self._resting.linkage.bars) == FOUR

    @property
    def bind(self) -> Array:
        """The largest load at any joint of links and bar because they hold the axle more than once over: (poses,) N, 0
        or more; nothing where four hold the axle."""
        return np.asarray(np.max([each for loads in self._bind_at_joints.values() for each in loads.values()], axis=0))

    def bind_of(self, part: Link | LateralBar) -> Array:
        """The largest such load at the joints of one link or bar, (poses,) N."""
        return np.asarray(np.max(list(self._bind_at_joints[part.path, part.label].values()), axis=0))

    def bind_at(self, part: Link | LateralBar, joint: str) -> Array:
        """The same load at one of its joints, (poses,) N; `joint` is its key, such as `frame` or `axle_upper`."""
        return self._bind_at_joints[part.path, part.label][joint]

    def give_at(self, part: Link | LateralBar, joint: str) -> Array:
        """By how much that load strains the joint, (poses,) m, 0 or more: load over stiffness of the joint."""
        return np.asarray(self.bind_at(part, joint) / self._resting.linkage.member(part).stiffness[joint])

    @kept
    def _bind_at_joints(self) -> dict[tuple[str, str], dict[str, Array]]:
        """Of each link, by its path and label, and by the key of the joint, the size of what it carries: (poses,) N,
        not a number where the axle cannot go."""
        return {
            (member.part.path, member.part.label): dict(zip(member.stiffness, self._bind_of(member), strict=True))
            for member in self._resting.linkage.members
        }

    @kept
    def bind_pull(self) -> Array:
        """The pull of each bar on the axle, (3, bars, poses) N, because of that; nothing where four hold the axle."""
        bars = self._resting.linkage.bars
        ways = [unit(np.array(bar.frame)[:, None] - self._point(bar.axle)) for bar in bars]
        return np.stack(ways, axis=1) * (0.0 if self._exact else self._bind.load)

    def _bind_of(self, member: Member) -> list[Array]:
        """The same for each joint of one link.

        A link between two joints carries the load of its bar at both. A radius arm's two bars pull together at its
        frame joint, and its axle joints share that as `RigidArm` has it.
        """
        on_frame: Array = -self.bind_pull[:, list(member.bars)].sum(axis=1)
        if not member.is_arm:
            return [size(on_frame)] * 2
        at_axle = self._resting.linkage.placed_arm(member, self._point).at_axle_joints(on_frame)
        return [size(force) for force in (on_frame, *at_axle)]

    def stretch_of(self, part: Link | LateralBar) -> Array:
        """How much longer or shorter a link or bar is than made, (poses,) m, 0 or more, by what its joints give; a
        radius arm from its frame joint to the middle of its axle joints, as its length runs."""
        now = size(np.array(part.frame)[:, None] - self._point(held_point(part)))
        return np.asarray(np.abs(now - made_length(part)))

    def _point(self, point: Point) -> Array:
        return carry(self._poses, self._resting.rest.point(point), self._attitude)

    @property
    def twist_moment(self) -> Array:
        """The largest moment with which a radius arm's joint resists being turned: (poses,) N m, 0 or more. Unreached
        when the spec gives no joint a torsional stiffness."""
        if not self._bind.moment.shape[1]:
            raise Unreached("no radius-arm joint has a torsional stiffness stated")
        return np.asarray(np.max(self._bind.moment, axis=(0, 1)))
