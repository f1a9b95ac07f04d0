"""The axle at rest at ride height: its constraints and its position."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import replace

import numpy as np

from buildcheck.axle.many_builds import Form, form
from buildcheck.axle.many_builds import solve_together as of_many_builds
from buildcheck.axle.poses import FreeAxle, Hold, Layout, Poses, free_motions, solve, weakest_hold
from buildcheck.axle.rotation import attitude, carry
from buildcheck.axle.settle import Rest, Unassembled, as_placed, settle
from buildcheck.build import Build, Missing, Point
from buildcheck.build.linkage import LateralBar, Link
from buildcheck.job.curve import Array, Unreached
from buildcheck.job.kept import Keeper, Store, kept
from buildcheck.job.layout import FOUR, Assumption, Linkage, constraint_count, linkage, made_as_placed

# Links that hold the axle no more firmly than this are designed for a lateral bar, so a spec without one lacks it.
# Common practice, no source.
MEANT_TO_HOLD = 0.05


class Solved:
    """The axle in a batch of poses, and the positions of its points; shared by builds with the same links."""

    HOLDS_NO_PARTS = True

    def __init__(self, rest: Rest, poses: Poses) -> None:
        self._rest = rest
        self.poses = poses
        self.attitude: Array = attitude(poses)
        self._points: dict[Point, Array] = {}

    def point(self, point: Point) -> Array:
        """Position in each pose of a point of the axle given as in the spec: (3, poses) m, vehicle axes."""
        if point not in self._points:
            self._points[point] = carry(self.poses, self._rest.point(point), self.attitude)
        return self._points[point]


class RestingAxle(Keeper):
    """The axle of a build at ride height."""

    def __init__(self, store: Store, build: Build) -> None:
        super().__init__(store, "resting")
        self.build = build

    def solved(self, heave: Array, roll: Array) -> Solved:
        """Solve the axle with its centre raised by `heave` (poses,) m and rolled by `roll` (poses,) rad, once.

        Raises Unreached when the links leave the axle free.
        """

        def solved() -> Solved:
            try:
                return Solved(self.rest, solve(self.rest.layout, heave, roll))
            except FreeAxle as free:
                raise Unreached(str(free)) from free

        return self.keep(_of_poses(heave, roll), solved)

    def solved_as(self, heave: Array, roll: Array, poses: Poses) -> None:
        """Keep poses, solved elsewhere, as those of `solved`."""
        self.keep(_of_poses(heave, roll), lambda: Solved(self.rest, poses))

    @kept
    def linkage(self) -> Linkage:
        """The links as constraints. Raises Missing when the spec lacks what they need."""
        return linkage(self.build)

    @property
    def assumptions(self) -> tuple[Assumption, ...]:
        """Assumptions about the joints; empty until the linkage is requested."""
        return self.linkage.assumptions if self.has_kept("linkage") else ()

    @kept
    def free_motions(self) -> tuple[str, ...]:
        """Motions that the links leave free, in words; empty when they hold the axle in four independent ways.

        Too few links and bars leave a motion free wherever their points are, so the points are not needed for that.
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
        """Reason why the links cannot be joined to the axle at ride height, in words; empty when they can."""
        try:
            if not self.free_motions:
                _ = self.rest
        except Unreached as why:
            return str(why)
        return ""

    @kept
    def weakest_hold(self) -> Hold:
        """Motion that the links resist least, and their firmness against it."""
        return weakest_hold(self.linkage.layout)

    @property
    def links_hold_sideways(self) -> bool:
        """Whether the links are designed to hold the axle sideways without a lateral bar, as triangulated ones do."""
        return not self.free_motions and self.weakest_hold.firmness >= MEANT_TO_HOLD

    @kept
    def spare_member(self) -> Link | LateralBar | None:
        """The member that the axle does not need, where links and bar over-constrain it: the lateral bar where the
        links hold the axle without it, otherwise the link without which the rest hold it most firmly.

        None where each is needed, and for radius arms: two axle joints of each share the work, and give by design.
        """
        if constraint_count(self.build) <= FOUR or self.free_motions:
            return None
        linkage = self.linkage
        if any(member.is_arm for member in linkage.members):
            return None
        without = {member.part: _without(linkage.layout, member.bars[0]) for member in linkage.members}
        firm = {part: weakest_hold(rest).firmness for part, rest in without.items() if not free_motions(rest)}
        spare = [part for part, firmness in firm.items() if firmness >= MEANT_TO_HOLD]
        bars = [part for part in spare if isinstance(part, LateralBar)]
        return max(bars or spare, key=lambda part: firm[part], default=None)

    def refuse_without_lateral_bar(self) -> None:
        """Raise Missing where the spec lacks a lateral bar that the links need.

        Two nearly parallel arms have a theoretical roll centre too, at a great height, because they let the axle roll
        only as it swings sideways. With any deflection of their joints it rolls otherwise, so no real axle rolls about
        that centre.
        """
        if not self.build.has("lateral_bar") and not self.links_hold_sideways:
            raise Missing("lateral_bar")

    @kept
    def rest(self) -> Rest:
        """The axle at rest with links of the lengths made. Raises Unreached when they cannot be joined to it."""
        if made_as_placed(self.build):
            return as_placed(self.linkage.layout)
        try:
            linkage = self.linkage
            by_supports = replace(linkage.layout, axle=np.array([bar.axle for bar in linkage.supports]).T)
            return settle(by_supports, [bar.length for bar in linkage.supports]).holding(linkage.layout)
        except (FreeAxle, Unassembled) as error:
            raise Unreached(str(error)) from error

    def point(self, point: Point) -> Array:
        """Position of a point of the axle at rest, (3,) m; as in the spec when every link is as long as its points are
        apart."""
        return np.array(point) if made_as_placed(self.build) else self.rest.point(point)


def solve_together(axles: Iterable[RestingAxle], heave: Array, roll: Array) -> None:
    """Solve many axles at the same heave (poses,) m and roll (poses,) rad, in one batch for each form of layout.

    An axle that lacks data, whose links leave it free or do not reach it, is left to `RestingAxle.solved`, which says
    so; with a free one in it, so is the rest of its batch.
    """
    alike: dict[Form, list[tuple[RestingAxle, Layout]]] = defaultdict(list)
    for axle in axles:
        with suppress(Missing, Unreached):
            layout = axle.rest.layout
            alike[form(layout)].append((axle, layout))
    for batch in alike.values():
        with suppress(FreeAxle):
            found = of_many_builds([layout for _, layout in batch], heave, roll)
            for (axle, _), poses in zip(batch, found, strict=True):
                axle.solved_as(heave, roll, poses)


def _of_poses(heave: Array, roll: Array) -> tuple[str, bytes, bytes]:
    return "solved", heave.tobytes(), roll.tobytes()


def _without(layout: Layout, number: int) -> Layout:
    """A layout of two-point links without one of them."""
    kept_ones = np.arange(len(layout.stiffness)) != number
    return replace(
        layout,
        frame=layout.frame[:, kept_ones],
        axle=layout.axle[:, kept_ones],
        stiffness=layout.stiffness[kept_ones],
    )
