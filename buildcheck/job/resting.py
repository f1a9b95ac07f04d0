"""The axle at rest at ride height: what holds it, and where it stands."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from functools import cached_property

import numpy as np

from buildcheck.axle.poses import FreeAxle, Hold, Poses, free_motions, solve, weakest_hold
from buildcheck.axle.rotation import attitude, carry
from buildcheck.axle.settle import Rest, Unassembled, as_placed, settle
from buildcheck.build import Build, Missing, Point
from buildcheck.job.curve import Array, Unreached
from buildcheck.job.layout import FOUR, Assumption, Linkage, constraint_count, linkage, made_as_placed

# Links that hold the axle no more firmly than this are not meant to do without a lateral bar, so a spec without one is
# a spec that lacks it. Common practice, no source.
MEANT_TO_HOLD = 0.05


class Solved:
    """The axle in a batch of poses, and where its points are in them; shared by builds whose links are the same."""

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


class RestingAxle:
    """The axle of a build at ride height.

    `like` is the axle of a build that differs from this one in some values. Where the links, as the solver reads them,
    are the same, what was solved for it holds for this one too.
    """

    def __init__(self, build: Build, like: RestingAxle | None = None) -> None:
        self.build = build
        self._like = like

    @cached_property
    def _same(self) -> RestingAxle | None:
        """The axle of the other build, where its links are the same to the solver."""
        like = self._like
        if like is None:
            return None
        try:
            mine, other = self.linkage, like.linkage
        except (Missing, Unreached):
            return None
        lengths = [bar.length for bar in mine.bars] == [bar.length for bar in other.bars]
        placed = made_as_placed(self.build) == made_as_placed(like.build)
        return like if lengths and placed and same_arrays(mine.layout, other.layout) else None

    @cached_property
    def _solved(self) -> dict[tuple[bytes, bytes], Solved]:
        return {} if self._same is None else self._same._solved

    def solved(self, heave: Array, roll: Array) -> Solved:
        """The axle with its centre raised by `heave` (poses,) m and rolled by `roll` (poses,) rad, solved once.

        Unreached when the links leave the axle free.
        """
        key = (heave.tobytes(), roll.tobytes())
        if key not in self._solved:
            try:
                self._solved[key] = Solved(self.rest, solve(self.rest.layout, heave, roll))
            except FreeAxle as free:
                raise Unreached(str(free)) from free
        return self._solved[key]

    @cached_property
    def linkage(self) -> Linkage:
        """The links as constraints. Missing when the spec lacks what they need."""
        return linkage(self.build)

    @property
    def assumptions(self) -> tuple[Assumption, ...]:
        """What had to be assumed of the joints; empty as long as nobody has asked for the linkage."""
        return self.linkage.assumptions if "linkage" in self.__dict__ else ()

    @cached_property
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

    @cached_property
    def unassembled(self) -> str:
        """Why the links cannot be joined to the axle at ride height, in words; empty when they can."""
        try:
            if not self.free_motions:
                _ = self.rest
        except Unreached as why:
            return str(why)
        return ""

    @cached_property
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

    @cached_property
    def rest(self) -> Rest:
        """Where the axle stands with links of the lengths that they are made to. Unreached when it stands nowhere."""
        if self._same is not None:
            return self._same.rest
        if made_as_placed(self.build):
            return as_placed(self.linkage.layout)
        try:
            return settle(self.linkage.layout, [bar.length for bar in self.linkage.bars])
        except (FreeAxle, Unassembled) as error:
            raise Unreached(str(error)) from error

    def point(self, point: Point) -> Array:
        """Where a point of the axle stands, (3,) m; as the spec places it when every link is made to its points."""
        return np.array(point) if made_as_placed(self.build) else self.rest.point(point)


def same_arrays(one: object, other: object) -> bool:
    """Whether two values are equal number for number: arrays, dataclasses and tuples of them, and plain values."""
    if type(one) is not type(other):
        return False
    if isinstance(one, np.ndarray):
        return np.array_equal(one, np.asarray(other))
    if is_dataclass(one):
        return all(same_arrays(getattr(one, field.name), getattr(other, field.name)) for field in fields(one))
    if isinstance(one, tuple) and isinstance(other, tuple):
        return len(one) == len(other) and all(map(same_arrays, one, other))
    return bool(one == other)
