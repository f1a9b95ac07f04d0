"""The axle at rest at ride height: what holds it, and where it stands."""

from __future__ import annotations

import numpy as np

from buildcheck.axle.poses import FreeAxle, Hold, Poses, free_motions, solve, weakest_hold
from buildcheck.axle.rotation import attitude, carry
from buildcheck.axle.settle import Rest, Unassembled, as_placed, settle
from buildcheck.build import Build, Missing, Point
from buildcheck.job.curve import Array, Unreached
from buildcheck.job.kept import Keeper, Store, kept
from buildcheck.job.layout import FOUR, Assumption, Linkage, constraint_count, linkage, made_as_placed

# Links that hold the axle no more firmly than this are not meant to do without a lateral bar, so a spec without one is
# a spec that lacks it. Common practice, no source.
MEANT_TO_HOLD = 0.05


class Solved:
    """The axle in a batch of poses, and where its points are in them; shared by builds whose links are the same."""

    HOLDS_NO_PARTS = True

    def __init__(self, rest: Rest, poses: Poses) -> None:
        self._rest = rest
        self.poses = poses
        self.attitude: Array = attitude(poses)
        self._points: dict[Point, Array] = {}

    def point(self, point: Point) -> Array:
        """Where a point of the axle, as the spec places it, is in each pose: (3, poses) m, vehicle axes."""
        if point not in self._points:
            self._points[point] = carry(self.poses, self._rest.point(point), self.attitude)
        return self._points[point]


class RestingAxle(Keeper):
    """The axle of a build at ride height."""

    def __init__(self, store: Store, build: Build) -> None:
        super().__init__(store, "resting")
        self.build = build

    def solved(self, heave: Array, roll: Array) -> Solved:
        """The axle with its centre raised by `heave` (poses,) m and rolled by `roll` (poses,) rad, solved once.

        Unreached when the links leave the axle free.
        """

        def solved() -> Solved:
            try:
                return Solved(self.rest, solve(self.rest.layout, heave, roll))
            except FreeAxle as free:
                raise Unreached(str(free)) from free

        return self.keep(("solved", heave.tobytes(), roll.tobytes()), solved)

    @kept
    def linkage(self) -> Linkage:
        """The links as constraints. Missing when the spec lacks what they need."""
        return linkage(self.build)

    @property
    def assumptions(self) -> tuple[Assumption, ...]:
        """What had to be assumed of the joints; empty as long as nobody has asked for the linkage."""
        return self.linkage.assumptions if self.has_kept("linkage") else ()

    @kept
    def free_motions(self) -> tuple[str, ...]:
        """What the links leave free, in words; empty when they hold the axle in four independent ways.

        Links and bar that are too few leave something free wherever their points are, so that it is known without them.
        """
        too_few = FOUR - constraint_count(self.build)
        try:
            return free_motions(self.linkage.layout)
        except Missing:
            if too_few <= 0:
                raise
            return (f"at least {too_few} of fore and aft, sideways, pitch and yaw free, by the number of links",)

    @kept
    def unassembled(self) -> str:
        """Why the links cannot be joined to the axle at ride height, in words; empty when they can."""
        try:
            if not self.free_motions:
                _ = self.rest
        except Unreached as why:
            return str(why)
        return ""

    @kept
    def weakest_hold(self) -> Hold:
        """How firmly the links hold the axle where they hold it least."""
        return weakest_hold(self.linkage.layout)

    @property
    def links_hold_sideways(self) -> bool:
        """Whether the links alone are meant to hold the axle, as triangulated ones do, so that no lateral bar is
        wanting."""
        return not self.free_motions and self.weakest_hold.firmness >= MEANT_TO_HOLD

    def refuse_without_lateral_bar(self) -> None:
        """Raise Missing where the spec lacks the lateral bar that the links cannot do without.

        On paper two arms that are nearly parallel give a roll centre too: so high, because they let the axle roll only
        as it swings sideways, and any give of their joints lets it roll otherwise. No builder's axle rolls about it.
        """
        if not self.build.has("lateral_bar") and not self.links_hold_sideways:
            raise Missing("lateral_bar")

    @kept
    def rest(self) -> Rest:
        """Where the axle stands with links of the lengths that they are made to. Unreached when it stands nowhere."""
        if made_as_placed(self.build):
            return as_placed(self.linkage.layout)
        try:
            return settle(self.linkage.layout, [bar.length for bar in self.linkage.bars])
        except (FreeAxle, Unassembled) as error:
            raise Unreached(str(error)) from error

    def point(self, point: Point) -> Array:
        """Where a point of the axle stands, (3,) m; as the spec places it when every link is made to its points."""
        return np.array(point) if made_as_placed(self.build) else self.rest.point(point)
