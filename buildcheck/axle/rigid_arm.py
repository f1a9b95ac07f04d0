"""A radius arm: one rigid piece on one joint to the frame and two to the axle, all slightly compliant.

Each joint has one stiffness, equal in every direction: kF at the frame, kU and kL at the axle. With

    M      stiffness centre of the axle joints, (kU pU + kL pL) / (kU + kL)
    a      frame joint minus M, of length L;  e its direction, from M to the frame
    Kr     turning stiffness of the axle joints about M, kU rU^2 + kL rL^2, r their distances from M, N m/rad

a force f on the frame joint, with the axle held, deflects the joints as springs in series, along and across the arm:

    1 / Kt = 1 / kF + 1 / (kU + kL)             along: Kt is the arm's stiffness, N/m
    1 / Kq = 1 / Kt + L^2 / Kr                  across: the arm also turns on its axle joints

The arm swings freely about the line through its axle joints, so it holds its frame joint in one plane, which contains
that line. Statics replaces it by two lines from the frame joint to two points of the axle, M + h n and M - h n, n
square to e in that plane, with the same stiffness k. Their stiffness is 2 k cos^2 along the arm and 2 k sin^2 across
it, of their angle to it, whose tangent is h / L; these equal Kt and Kq with

    h = L sqrt(Kq / Kt)                         2 k = Kt + Kq

For displacements that are small compared with the arm, this is equivalent to the rigid arm on its joints. The poses of
the axle use its exact energy, for turns of any size and in every direction; see `arm_energy`. Where four constraints
hold the axle and the joints are rigid, the two lines run to the axle joints themselves, and the arm keeps its three
distances exactly. Source: springs in series, statics of a rigid body; derived here.

Of all forces on the axle joints that balance the arm, least work selects those with the smallest sum of F^2 / k
(Castigliano's theorem of least work; S. Timoshenko, Strength of Materials; from memory). With R the force of the arm on
the axle, m its moment about M, and b = pU - pL,

    at the upper joint  kU / (kU + kL) R + (m x b) / b^2,    at the lower one  kL / (kU + kL) R - (m x b) / b^2

Where the axle joints lie along the arm, the line through them does not define how it swings: then only the coning
stiffness of its bushings holds it about its own line. So where the sine of the angle between their line and the arm is
below `ALONG`, the arm is assumed to swing about the line that is square to it and to the bolts of the axle joints
(bolts across the truck where the spec does not give them); from `ASKEW` on, about the line through its own joints;
between, about a direction between. The component of m along b is then carried by the bushings' coning.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.axle.vectors import Array, aligned, cross, dot, size, unit

ALONG = 0.20
"""Sine of the angle between the axle joints' line and the arm up to which the bolts define how the arm swings."""

ASKEW = 0.35
"""The same sine from which the axle joints alone define it. Both: common practice, no source. A bushing cones by up to
some ten degrees, which is the most that a line so near to the arm could need."""

ACROSS = (0.0, 1.0, 0.0), (1.0, 0.0, 0.0)
"""Directions of the bolts assumed when the spec gives none, or when they lie along the arm."""

IN_LINE = 1e-6
"""Sine below which two directions count as the same."""


class ArmLines(NamedTuple):
    """Two lines equivalent to an arm: their axle ends (3, 2) m, and the stiffness of each, N/m."""

    points: Array
    stiffness: float


@dataclass(frozen=True)
class RigidArm:
    """A radius arm in one pose or in many; points (3, ...) m, in axes that share their directions.

    `stiffness` is of the frame joint, the upper and the lower axle joint, N/m, above zero; that of the frame joint may
    be infinite. `swings` (3, ...) is the direction of the line about which the arm swings, from `swing`, of any length.
    """

    frame: Array
    upper: Array
    lower: Array
    stiffness: tuple[float, float, float]
    swings: Array

    @cached_property
    def centre(self) -> Array:
        """Stiffness centre of the axle joints, (3, ...) m."""
        _, upper, lower = self.stiffness
        centre: Array = (upper * self.upper + lower * self.lower) / (upper + lower)
        return centre

    @property
    def _axle_give(self) -> tuple[float, Array]:
        """Stiffness of the two axle joints in translation, N/m, and against rotation of the arm on them, N m/rad."""
        _, upper, lower = self.stiffness
        turning = upper * size(self.upper - self.centre) ** 2 + lower * size(self.lower - self.centre) ** 2
        return upper + lower, turning

    @property
    def rates(self) -> tuple[float, Array]:
        """Stiffness at the frame joint along the arm, and across it in its plane: Kt and Kq, N/m."""
        together, turning = self._axle_give
        along = 1.0 / (1.0 / self.stiffness[0] + 1.0 / together)
        return along, 1.0 / (1.0 / along + size(self.frame - self.centre) ** 2 / turning)

    @property
    def across(self) -> Array:
        """Unit vector square to the arm in the plane in which it holds its frame joint, (3, ...)."""
        swings, line = aligned(self.swings, unit(self.frame - self.centre))
        return unit(swings - dot(swings, line) * line)

    def joined(self) -> Array:
        """Points of the axle (3, 2), m, about which the arm swings where the joints are rigid.

        They are its axle joints; where the line of these does not define how it swings, points as far from M on the
        line that does.
        """
        way = unit(self.swings)
        apart = [size(self.upper - self.centre), -size(self.lower - self.centre)]
        return np.stack([self.centre + each * way for each in apart], axis=1)

    @property
    def turning(self) -> float:
        """Stiffness of the axle joints against rotation of the arm on them, N m/rad, in one pose."""
        return float(self._axle_give[1])

    def sharing(self) -> Array:
        """Points of the axle (3, 2), m, on the line about which the arm swings, that share its energy; see
        `arm_energy`."""
        together, turning = self._axle_give
        apart = np.sqrt(turning / together) * unit(self.swings)
        return np.stack([self.centre + apart, self.centre - apart], axis=1)

    def lines(self) -> ArmLines:
        """Two lines equivalent to the arm, in one pose; equations at the head of this module."""
        along, across = self.rates
        apart = size(self.frame - self.centre) * np.sqrt(across / along) * self.across
        points = np.stack([self.centre + apart, self.centre - apart], axis=1)
        return ArmLines(points, float(along + across) / 2.0)

    def struck(self, force: Array, share: float = 0.5) -> Array:
        """Share of a force on the arm that its frame joint carries, (3, ...) N, with frame and axle held.

        `share` is where the force acts, as a share of the way from M to the frame joint. Along the arm the joints share
        the force by their stiffness; across it in its plane, by least work with the arm turning on its axle joints;
        square to the plane, by the lever alone. Source: least work, as at the head of this module.
        """
        push, reach, aside = aligned(force, self.frame - self.centre, self.across)
        line = unit(reach)
        together, turning = self._axle_give
        rate, length = self.rates[0], dot(reach, reach)
        along = rate / together
        across = (turning / together + share * length) / (turning / rate + length)
        found: Array = (
            share * push + (along - share) * dot(push, line) * line + (across - share) * dot(push, aside) * aside
        )
        return found

    def on_axle(self, on_frame: Array, force: ArrayLike = (0.0, 0.0, 0.0), share: float = 0.5) -> tuple[Array, Array]:
        """Force of the arm on the axle, (3, ...) N, and its moment about M, (3, ...) N m, by equilibrium of the arm.

        From its force on the frame joint and the force that strikes it, as in `struck`.
        """
        pull, push, reach = aligned(on_frame, force, self.frame - self.centre)
        net: Array = push - pull
        return net, cross(share * reach, push) - cross(reach, pull)

    def at_axle_joints(
        self, on_frame: Array, force: ArrayLike = (0.0, 0.0, 0.0), share: float = 0.5
    ) -> tuple[Array, Array]:
        """Forces of the arm on its upper and its lower axle joint, (3, ...) N each, from its force on the frame joint
        (3, ...) N and the force that strikes it. Least work; equations at the head of this module."""
        _, upper, lower = self.stiffness
        net, moment, between = aligned(*self.on_axle(on_frame, force, share), self.upper - self.lower)
        couple: Array = cross(moment, between) / dot(between, between)
        part = upper / (upper + lower)
        return part * net + couple, (1.0 - part) * net - couple


def swing(frame: ArrayLike, upper: ArrayLike, lower: ArrayLike, centre: ArrayLike, bolt: ArrayLike | None) -> Array:
    """Direction (3,) of the line about which an arm swings relative to the axle.

    It points from the lower to the upper joint where these define it; see the head of this module.

    Points (3,) m of the frame joint, the axle joints and their stiffness centre; `bolt` (3,) is the direction of the
    axle joints' bolts, None where the spec does not give it. Raises ValueError where the axle joints coincide, or the
    frame joint is at their centre.
    """
    start, first, second, middle = (np.asarray(point, np.float64) for point in (frame, upper, lower, centre))
    between, line = unit(first - second), unit(middle - start)
    if not (np.isfinite(between).all() and np.isfinite(line).all()):
        raise ValueError("A radius arm needs two axle joints, and its frame joint away from their middle.")
    own = float(np.clip((size(cross(line, between)) - ALONG) / (ASKEW - ALONG), 0.0, 1.0))
    if own == 1.0:
        return between
    lying = ACROSS if bolt is None else (np.asarray(bolt, np.float64), *ACROSS)
    square = next(turned for turned in (cross(unit(np.array(each)), line) for each in lying) if size(turned) > IN_LINE)
    square = unit(square) if dot(square, between) >= 0.0 else -unit(square)
    return unit(own * between + (1.0 - own) * square)
