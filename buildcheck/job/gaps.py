"""Smallest gap of every pair of parts that may touch, over travel, articulation and lock."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from buildcheck.build import Point
from buildcheck.clearance.nearest import Nearest
from buildcheck.job.bodies import Bodies, Pair, bodies_of
from buildcheck.job.body import TYRES, Body
from buildcheck.job.curve import PoseName, Spot
from buildcheck.job.envelope import LOCKS
from buildcheck.job.kept import Keeper, kept
from buildcheck.job.moving import MovingAxle
from buildcheck.spec.quantity import Dimension

# Pairs that stay farther apart than this (m) are not measured exactly: no builder needs it.
NEAR = 0.1


class Gap(NamedTuple):
    """Smallest gap between two parts, m, negative where they overlap, and its pose and lock.

    `lock` is the share of full lock, to the left positive; also 0 where neither part turns with the wheels.
    """

    first: Body
    second: Body
    smallest: Spot
    lock: float
    nearest: Nearest

    @property
    def pair(self) -> Pair:
        """Names of the two bodies."""
        return self.first.name, self.second.name

    @property
    def path(self) -> str:
        """Spec path of the part to move: the second."""
        return self.second.path

    @property
    def label(self) -> str:
        """Name of the first part in messages."""
        return self.first.label

    @property
    def which(self) -> str:
        """The two parts, in words."""
        return f"{self.first.label} and {self.second.label}"

    @property
    def points(self) -> tuple[Point, Point]:
        """Nearest points of the two parts, in vehicle axes, m."""
        first, second = self.nearest.points
        return Point(*first.tolist()), Point(*second.tolist())


class Gaps(Keeper):
    """The gaps of one build, its axle moved through travel and articulation together; of all pairs of bodies, or of
    those `between` which they are asked for. For a body that cannot be made from the spec, reading its gaps raises the
    reason."""

    def __init__(self, moving: MovingAxle, within: float = NEAR, between: frozenset[Pair] | None = None) -> None:
        super().__init__(moving.store, *moving.key, "gaps", within, between)
        self._within, self._between = within, between
        self._build = moving.build
        self._moving = moving

    @kept
    def bodies(self) -> Bodies:
        """All parts as solids, in the poses that are evaluated."""
        _ = self._moving.poses
        return bodies_of(self._build, self._moving, np.array(LOCKS))

    @property
    def further(self) -> tuple[str, ...]:
        """Names of the parts of the steering beside its rods, and of the brackets, that have a body or lack only
        something of it, in the order of the truck."""
        return self.bodies.further

    @property
    def all(self) -> tuple[Gap, ...]:
        """Gap of every pair that is anywhere nearer than `within`, in the order of the truck."""
        return (*self._of_bodies(tyres=True), *self._of_bodies(tyres=False))

    def _of_bodies(self, *, tyres: bool) -> tuple[Gap, ...]:
        """The gaps of the tyres to all parts, or of the other parts to those after them."""

        def found() -> tuple[Gap, ...]:
            bodies = self.bodies.found
            near = (each for each in self._nearest(tyres=tyres) if each.at is not None)
            return tuple(self._gap(each, bodies[each.first], bodies[each.second]) for each in near)

        return self.keep(("gaps", tyres), found)

    def _nearest(self, *, tyres: bool) -> list[Nearest]:
        # In two batches: the gaps of tyres are the most often near a limit, and are then computed in many builds.

        def nearest() -> list[Nearest]:
            firsts = {name for name in self.bodies.found if self._is_tyre(name) is tyres}
            return list(self.bodies.nearest(beyond=self._within, firsts=firsts, between=self._between).values())

        return self.keep(("nearest", tyres), nearest)

    @staticmethod
    def _is_tyre(name: str) -> bool:
        return name in TYRES.values()

    def far_but_partial(self, name: str) -> str:
        """Sentence on why other parts may come near a part unnoticed: a pair is not near in the known poses, but poses
        are missing. Empty where none is missing."""
        bodies = self.bodies.found
        nearest = self._nearest(tyres=self._is_tyre(name))
        of_it = (each for each in nearest if each.first == name and each.at is None)
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
        """Gaps of one part to those after it in the order of the truck.

        Raises Missing or Unreached where the part's solid cannot be made from the spec; empty where nothing comes near
        it, or where the build has no such part.
        """
        if name in self.bodies.lacking:
            raise self.bodies.lacking[name]
        return tuple(gap for gap in self._of_bodies(tyres=self._is_tyre(name)) if gap.first.name == name)
