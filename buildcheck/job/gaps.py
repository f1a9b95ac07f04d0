"""The smallest gap of every pair of parts that may touch, over travel, articulation and lock."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from buildcheck.build import Point
from buildcheck.clearance.nearest import Nearest, nearest
from buildcheck.job.bodies import Bodies, Body, bodies_of
from buildcheck.job.curve import PoseName, Spot
from buildcheck.job.envelope import LOCKS
from buildcheck.job.kept import Keeper, kept
from buildcheck.job.moving import MovingAxle
from buildcheck.spec.quantity import Dimension

# Pairs that stay farther apart than this (m) are not measured any closer: no builder asks.
NEAR = 0.1


class Gap(NamedTuple):
    """The smallest gap of two parts, m, less than 0 where they overlap, and where it stands.

    `lock` is the share of full lock, to the left positive; 0 as well where neither part turns with the wheels.
    """

    first: Body
    second: Body
    smallest: Spot
    lock: float
    nearest: Nearest

    @property
    def path(self) -> str:
        """The spec path of the part that one would move: the second."""
        return self.second.path

    @property
    def label(self) -> str:
        """What a person calls the first part."""
        return self.first.label

    @property
    def which(self) -> str:
        """The two parts, in words."""
        return f"{self.first.label} and {self.second.label}"

    @property
    def points(self) -> tuple[Point, Point]:
        """The points of the two that come so near, in vehicle axes, m."""
        first, second = self.nearest.points
        return Point(*first.tolist()), Point(*second.tolist())


class Gaps(Keeper):
    """The gaps of one build, its axle moved through travel and articulation together. A body that cannot be made of
    what the spec says tells why when one asks for its gaps."""

    def __init__(self, moving: MovingAxle) -> None:
        super().__init__(moving.store, *moving.key, "gaps")
        self._build = moving.build
        self._moving = moving

    @kept
    def bodies(self) -> Bodies:
        """All parts as solids, in the poses looked at."""
        _ = self._moving.poses
        return bodies_of(self._build, self._moving, np.array(LOCKS))

    @kept
    def all(self) -> tuple[Gap, ...]:
        """The gap of every pair that anywhere comes nearer than `NEAR`, in the order of the truck."""
        bodies = self.bodies.found
        return tuple(
            self._gap(each, bodies[each.first], bodies[each.second]) for each in self._nearest if each.at is not None
        )

    @kept
    def _nearest(self) -> list[Nearest]:
        bodies = self.bodies
        return nearest({name: body.solids for name, body in bodies.found.items()}, bodies.pairs(), beyond=NEAR)

    def far_but_partial(self, name: str) -> str:
        """Why it is not known that nothing else comes near a part, in words: of a pair that is nowhere near in the
        poses that are known, others are missing. Empty where none is missing."""
        bodies = self.bodies.found
        of_it = (each for each in self._nearest if each.first == name and each.at is None)
        return "; ".join(dict.fromkeys(words for each in of_it for words in self._without(each, bodies)))

    @staticmethod
    def _without(found: Nearest, bodies: Mapping[str, Body]) -> tuple[str, ...]:
        if not found.unknown:
            return ()
        turns = bodies[found.first].turns or bodies[found.second].turns
        whose, why = ("the axle and the wheels", "links or the steering do") if turns else ("the axle", "links do")
        return (f"{found.unknown} of {found.poses} poses of {whose} are missing: the {why} not reach there",)

    def _gap(self, found: Nearest, first: Body, second: Body) -> Gap:
        assert found.at is not None
        pose, lock = found.at
        poses = self._moving.poses
        turned = LOCKS[lock] if first.turns or second.turns else 0.0
        full = self._build.steering.lock_angle if turned else 0.0
        at = PoseName(float(poses.heave[pose]), float(poses.roll[pose]), lock=turned * full)
        without = self._without(found, self.bodies.found)
        return Gap(first, second, Spot(found.gap, at, without, dimension=Dimension.LENGTH), turned, found)

    def of(self, name: str) -> tuple[Gap, ...]:
        """The gaps of one part to those that come after it in the order of the truck.

        Missing or Unreached where it cannot be made of what the spec says; empty where nothing comes near it, or where
        the build has no such part.
        """
        if name in self.bodies.lacking:
            raise self.bodies.lacking[name]
        return tuple(gap for gap in self.all if gap.first.name == name)
