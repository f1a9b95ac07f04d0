"""The steering damper: its two ends as the axle moves and the wheels turn, and the stroke that it has left."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from buildcheck.axle.vectors import Array, aligned, size
from buildcheck.build import Build, Point, Side
from buildcheck.build.linkage import Stabiliser
from buildcheck.job.curve import PoseName, Spot, poses_missing
from buildcheck.job.envelope import LOCKS
from buildcheck.job.kept import Keeper, kept
from buildcheck.job.linkage import LEFT, RIGHT
from buildcheck.job.moving import MovingAxle
from buildcheck.job.steered_parts import Turned
from buildcheck.spec.quantity import Dimension
from buildcheck.steering.linkage import between


def damper_share(build: Build) -> float:
    """Place of the damper's moving end on the rod that it steadies: the share of the way from the left end of the tie
    rod, or from the pitman arm along the drag link, at which the rod's line is nearest to it."""
    steering = build.steering
    rod = steering.tie_rod if steering.stabiliser.steadies == "tie-rod" else steering.drag_link
    first, last = (rod.left, rod.right) if steering.stabiliser.steadies == "tie-rod" else (rod.pitman, rod.arm)
    way = np.subtract(last, first)
    return float(np.subtract(steering.stabiliser.moving, first) @ way / (way @ way))


def damper_side(damper: Stabiliser) -> Side:
    """Side of the knuckle whose steering arm a damper steadies: that on which its moving end is."""
    return LEFT if damper.moving.y > 0.0 else RIGHT


def moving_end(
    build: Build,
    tie_rod: Callable[[], tuple[Array, Array]],
    drag_link: Callable[[], tuple[Array, Array]],
    knuckle: Callable[[Point, Side], Array],
) -> Array:
    """Position of the damper's moving end, (3, ...) m, from functions that return the left and right end of the tie
    rod, the drag link's ends at the pitman arm and at what it moves, and a point of a knuckle.

    On a rod, which may turn about its own line, the end is taken at the nearest point of that line. Raises Missing for
    what the spec lacks.
    """
    damper = build.steering.stabiliser
    if damper.steadies == "steering-arm":
        return knuckle(damper.moving, damper_side(damper))
    ends = tie_rod() if damper.steadies == "tie-rod" else drag_link()
    return between(*ends, np.asarray(damper_share(build)))


class SteeringDamper(Keeper):
    """The damper of a build's steering with its axle moved, at shares (locks,) of full lock, left positive. Raises
    Missing where the spec lacks it, a part of the steering, or the travel."""

    def __init__(self, build: Build, moving: MovingAxle, wheels: Turned) -> None:
        super().__init__(moving.store, *moving.key, "steering damper")
        self._build = build
        self._moving = moving
        self._wheels = wheels

    @kept
    def ends(self) -> tuple[Array, Array]:
        """Its fixed and its moving end, (3, poses, locks) m; the locks have length one for the fixed end."""
        damper, wheels = self._build.steering.stabiliser, self._wheels
        on_axle = damper.fixed_to == "axle"
        fixed = self._moving.point(damper.fixed)[:, :, None] if on_axle else np.array(damper.fixed)[:, None, None]
        drag_link = lambda: (wheels.pitman_end, wheels.arm_end)  # noqa: E731
        return fixed, moving_end(self._build, lambda: wheels.rod_ends, drag_link, wheels.point)

    @kept
    def length(self) -> Array:
        """Distance between its ends, (poses, locks) m; NaN where the steering does not reach."""
        fixed, moving = aligned(*self.ends)
        return size(moving - fixed)

    def room_to_close(self) -> Spot:
        """Stroke left before it is fully compressed, m, at the worst pose and lock."""
        return self._least(self.length - self._build.steering.stabiliser.compressed_length)

    def room_to_open(self) -> Spot:
        """Stroke left before it is fully extended, m, at the worst pose and lock."""
        return self._least(self._build.steering.stabiliser.extended_length - self.length)

    def _least(self, room: Array) -> Spot:
        known = np.isfinite(room)
        if not known.any():
            return Spot(float("nan"), dimension=Dimension.LENGTH)
        pose, lock = np.unravel_index(int(np.nanargmin(room)), room.shape)
        poses, full = self._moving.poses, self._build.steering.lock_angle
        at = PoseName(float(poses.heave[pose]), float(poses.roll[pose]), lock=LOCKS[int(lock)] * full)
        without = poses_missing(known, "the axle and the wheels", "the steering does not reach there")
        return Spot(float(room[pose, lock]), at, without, dimension=Dimension.LENGTH)
