"""Distance constraints that hold the axle, measured with the axle in any attitude.

Everything here uses axes with their origin at the axle centre's ride-height position, which yaw with the axle. In these
axes the four unknowns are forward and lateral (displacement of the axle centre along the yawed axes), pitch and yaw.
The frame ends turn by -yaw, the axle ends only by roll and pitch, and every derivative is a product of numbers already
computed. Roll and heave are given, so the rolled axle ends are computed once and not in each iteration.

With d the vector from frame end to axle end and L its length at ride, each constraint is described by

    closure = (d.d - L L) / 2,

which needs no square root; near closure, closure / L equals the stretch to first order.

Array axes: (constraint, ...), where the trailing axes are poses, or builds and poses, and broadcast with each
other.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from buildcheck.axle.arm_energy import ArmEnergies
from buildcheck.axle.twist import Arms

Array = NDArray[np.float64]

UNKNOWNS = 4
FORWARD, LATERAL, PITCH, YAW = range(UNKNOWNS)


@dataclass(frozen=True, slots=True)
class Constraints:
    """Distance constraints about the axle centre at ride height.

    arm:       (3, n, ...) axle end, m
    anchor:    (3, n, ...) frame end, m
    length:    (n, ...) distance between the two at ride, m
    stiffness: (n, ...) as a fraction of the stiffest of the build
    size:      (...) typical arm, m: scales an angle to a displacement
    twists:    radius arms whose joints resist rotation, (..., arms, ...); None for most layouts
    arms:      radius arms whose two constraints share an energy, (arms, ...); None where there are none
    """

    arm: Array
    anchor: Array
    length: Array
    stiffness: Array
    size: Array
    twists: Arms | None = None
    arms: ArmEnergies | None = None

    def at(self, index: Any) -> Constraints:
        """The same constraints, indexed along the trailing axes (a tuple index counts from the first of
        them).
        """
        rest = index if isinstance(index, tuple) else (index,)
        each = (slice(None), *rest)
        return Constraints(
            self.arm[(slice(None), *each)],
            self.anchor[(slice(None), *each)],
            self.length[each],
            self.stiffness[each],
            self.size[rest],
            None if self.twists is None else self.twists.at(each),
            None if self.arms is None else self.arms.at(each),
        )


def along_vehicle(forward: Array, lateral: Array, cosine: Array, sine: Array) -> tuple[Array, Array]:
    """Convert a vector from yawed axes to x and y of the vehicle axes, using the cosine and sine of the yaw."""
    return cosine * forward - sine * lateral, sine * forward + cosine * lateral


class Stance:
    """The axle at a given heave and roll, placed in one attitude after another.

    Its arrays are allocated once and overwritten, which makes large batches much faster.
    """

    square: Array
    closure: Array

    def __init__(self, constraints: Constraints, heave: Array, roll: Array) -> None:
        shape = (len(constraints.length), *heave.shape)
        self.rolled_y, self.rolled_z, self.turned_x, self.turned_z = np.empty((4, *shape))
        self.anchor_x, self.anchor_y = np.empty((2, *shape))
        self.span_x, self.span_y, self.span_z = np.empty((3, *shape))
        self.square, self.closure, self.spare = np.empty((3, *shape))
        self.cos_pitch, self.sin_pitch, self.cos_yaw, self.sin_yaw = np.empty((4, *shape[1:]))
        self.constraints = constraints
        self.heave = heave
        self.length_squared = constraints.length * constraints.length
        _, arm_y, arm_z = constraints.arm
        cosine, sine = np.cos(roll, out=self.cos_pitch), np.sin(roll, out=self.sin_pitch)
        self._turn(arm_y, arm_z, cosine, sine, self.rolled_y, self.rolled_z)

    def place(self, unknowns: Array) -> None:
        """Place the axle at `unknowns` (4, ...) and measure all constraints."""
        self.forward, self.lateral, pitch, yaw = unknowns
        arm_x = self.constraints.arm[0]
        anchor_x, anchor_y, anchor_z = self.constraints.anchor
        np.cos(pitch, out=self.cos_pitch)
        np.sin(pitch, out=self.sin_pitch)
        np.cos(yaw, out=self.cos_yaw)
        np.sin(yaw, out=self.sin_yaw)
        self._turn(self.rolled_z, arm_x, self.cos_pitch, self.sin_pitch, self.turned_z, self.turned_x)
        self._turn(anchor_y, anchor_x, self.cos_yaw, self.sin_yaw, self.anchor_y, self.anchor_x)
        np.subtract(self.turned_x, self.anchor_x, out=self.span_x)
        self.span_x += self.forward
        np.subtract(self.rolled_y, self.anchor_y, out=self.span_y)
        self.span_y += self.lateral
        np.subtract(self.turned_z, anchor_z, out=self.span_z)
        self.span_z += self.heave
        np.multiply(self.span_x, self.span_x, out=self.square)
        self.square += np.multiply(self.span_y, self.span_y, out=self.spare)
        self.square += np.multiply(self.span_z, self.span_z, out=self.spare)
        np.subtract(self.square, self.length_squared, out=self.closure)
        self.closure *= 0.5

    def _turn(
        self, first: Array, second: Array, cosine: Array, sine: Array, out_first: Array, out_second: Array
    ) -> None:
        """Turn two components by an angle: first cos - second sin, and first sin + second cos."""
        np.multiply(first, cosine, out=out_first)
        out_first -= np.multiply(second, sine, out=self.spare)
        np.multiply(first, sine, out=out_second)
        out_second += np.multiply(second, cosine, out=self.spare)

    def gradients(self, into: Array) -> None:
        """Derivatives of the closures with respect to the unknowns, written to `into` (4, n, ...).

        Per radian, pitch moves an axle end by (turned_z, 0, -turned_x). Yaw moves a frame end, seen from the axle, in
        the opposite direction.
        """
        into[FORWARD] = self.span_x
        into[LATERAL] = self.span_y
        np.multiply(self.span_x, self.turned_z, out=into[PITCH])
        into[PITCH] -= np.multiply(self.span_z, self.turned_x, out=self.spare)
        np.multiply(self.anchor_x, self.span_y, out=into[YAW])
        into[YAW] -= np.multiply(self.anchor_y, self.span_x, out=self.spare)

    def driven(self) -> tuple[Array, tuple[Array, Array, Array]]:
        """Derivatives of the closures with respect to heave and roll (2, n, ...), and how roll moves the axle
        ends.
        """
        moved = (self.rolled_y * self.sin_pitch, -self.rolled_z, self.rolled_y * self.cos_pitch)
        by_roll = self.span_x * moved[0] + self.span_y * moved[1] + self.span_z * moved[2]
        return np.stack([self.span_z, by_roll]), moved
