"""Elastic energy of radius arms, each one rigid piece on three joints that give alike in every direction.

Seen from the axle, the line u through an arm's axle joints is fixed, and d is the vector from their stiffness centre M
to the frame joint, a at ride height. The arm may shift and turn by any rotation R on its joints. With Kt the stiffness
of all joints in series and Kr that of the axle joints against rotation about M (see `rigid_arm`), the least energy is

    E(d) = min over R of   Kt |d - R a|^2 / 2 + Kr (1 - u . R u)

The arm turns freely about u, so the minimum has R a and R u in the plane of d and u. With alpha the angle from u to a,
beta that from u to d, and theta the turn of the arm in that plane,

    E = min over theta of  Kt (d^2 + a^2) / 2 - Kt a d cos(beta - alpha - theta) + Kr (1 - cos theta)
      = Kt (d^2 + a^2) / 2 + Kr - S,      S^2 = (Kt a d)^2 + Kr^2 + 2 Kt a Kr d cos(beta - alpha)

exactly, for deflections and turns of any size and in every direction, also out of the plane in which the arm was built.
Source: springs in series, statics of a rigid body; derived here.

An arm is two constraints of the layout, to the points M + g u and M - g u of the axle. Their squared distances q1 and
q2 from the frame joint give d^2 = (q1 + q2) / 2 - g^2 and v = d . u = (q2 - q1) / 4 g, and with w the length of d x u,

    S^2 = Kt^2 a^2 d^2 + Kr^2 + 2 Kt a Kr (v cos alpha + w sin alpha),      w^2 = d^2 - v^2

so the energy is a function of both distances. In terms of the closures f = (q - L^2) / 2, the derivatives of d^2 are 1
and 1, those of v are -t and t, with t = 1 / 2 g, those of w are (1 / 2 + t v) / w and (1 / 2 - t v) / w. The first
derivatives of the energy are the tensions of the two lines over their lengths.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from buildcheck.axle.vectors import Array, cross, dot, size, unit

IN_LINE = 1e-9
"""Sine of the angle between an arm and the line about which it swings below which they are one line."""


@dataclass(frozen=True, slots=True)
class ElasticArms:
    """Radius arms of a layout. An arm is two constraints that share their frame end, to points of the line about which
    it swings, equally far to either side of the stiffness centre of its axle joints.

    first, second: (arms,) indices, from 0, of the two constraints
    along, turning: (arms,) or (arms, builds) Kt, N/m, and Kr, N m/rad
    """

    first: NDArray[np.intp]
    second: NDArray[np.intp]
    along: Array
    turning: Array


@dataclass(frozen=True, slots=True)
class ArmEnergies:
    """The arms about the axle centre at ride height.

    pair:   (2, arms) indices of the two constraints of each arm
    half:   g squared, m2; `tip`: t, 1 / m; `give`: Kt / 2; (arms, ...) each
    of_square, of_up, of_aside, constant: factors of d^2, v, w and 1 in S^2, (arms, ...) each

    Stiffnesses are over that of the stiffest constraint.
    """

    pair: NDArray[np.intp]
    half: Array
    tip: Array
    give: Array
    of_square: Array
    of_up: Array
    of_aside: Array
    constant: Array

    def at(self, each: tuple[Any, ...]) -> ArmEnergies:
        """Index the arms; `each` indexes the axis of arms and all axes after it."""
        fields = (self.half, self.tip, self.give, self.of_square, self.of_up, self.of_aside, self.constant)
        return ArmEnergies(self.pair, *(field[each] for field in fields))


class ArmForces:
    """Derivatives of the energy of arms with respect to the closures of their two constraints, from the squared
    distances (n, ...) of all constraints, m2.

    first: (2, arms, ...) with respect to the first and to the second closure
    """

    def __init__(self, arms: ArmEnergies, square: Array) -> None:
        self._arms = arms
        one, two = square[arms.pair]
        apart = 0.5 * (one + two) - arms.half
        up = (two - one) * (0.5 * arms.tip)
        self._aside = np.sqrt(apart - up * up)
        tilted = arms.tip * up
        self._of_aside = np.stack([0.5 + tilted, 0.5 - tilted])
        self._of_aside /= self._aside
        root = arms.of_square * apart + arms.of_up * up + arms.of_aside * self._aside + arms.constant
        self._part = 0.5 / np.sqrt(root)
        turned = arms.tip * arms.of_up
        self._slope = arms.of_aside * self._of_aside
        self._slope[0] += arms.of_square - turned
        self._slope[1] += arms.of_square + turned
        self.first: Array = arms.give - self._slope * self._part

    def second(self) -> tuple[Array, Array]:
        """Second derivatives: (2, arms, ...) twice with respect to the same closure, (arms, ...) to one and the
        other."""
        arms, part, slope, aside = self._arms, self._part, self._slope, self._of_aside
        bent = arms.of_aside * part / self._aside
        tip = arms.tip * arms.tip
        cubed = 2.0 * part**3
        same: Array = bent * (tip + aside * aside) + cubed * slope * slope
        other: Array = bent * (aside[0] * aside[1] - tip) + cubed * slope[0] * slope[1]
        return same, other


def energies_about(arms: ElasticArms, arm: Array, anchor: Array, stiffest: Array) -> ArmEnergies:
    """The arms among constraints with these axle and frame ends about the axle centre, (3, n, builds), m.

    Stiffnesses are divided by `stiffest` (builds,), N/m. Raises ValueError for stiffnesses that are not above zero, for
    constraints that do not share their frame end, and for an arm whose frame joint is on the line about which it
    swings.
    """
    upper, lower, joint = arm[:, arms.first], arm[:, arms.second], anchor[:, arms.first]
    if not np.array_equal(joint, anchor[:, arms.second]):
        raise ValueError("The two constraints of a radius arm must share their frame end.")
    along, turning = (
        np.broadcast_to(each[:, np.newaxis] if each.ndim == 1 else each, upper.shape[1:]) / stiffest
        for each in (np.asarray(arms.along, np.float64), np.asarray(arms.turning, np.float64))
    )
    if not (np.isfinite(along) & np.isfinite(turning) & (along > 0.0) & (turning > 0.0)).all():
        raise ValueError("The stiffnesses of a radius arm must be above zero and finite.")
    reach, swings = joint - (upper + lower) / 2, unit(upper - lower)
    sine, cosine = size(cross(reach, swings)), dot(reach, swings)  # times the length of the arm
    if not (sine > IN_LINE * size(reach)).all():
        raise ValueError("A radius arm has its frame joint on the line about which it swings.")
    both, half = 2 * turning * along, size(upper - lower) / 2
    return ArmEnergies(
        np.stack([arms.first, arms.second]),
        half * half,
        0.5 / half,
        along / 2,
        along**2 * dot(reach, reach),
        both * cosine,
        both * sine,
        turning**2,
    )
