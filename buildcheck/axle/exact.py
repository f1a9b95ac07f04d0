"""Four independent constraints: in the pose, all of them keep their length."""

from __future__ import annotations

import numpy as np

from buildcheck.axle.constraints import UNKNOWNS, Array, Constraints, Stance


class ExactEquations:
    """Equations "closure = 0" of four constraints in four unknowns."""

    def __init__(self, constraints: Constraints, heave: Array, roll: Array) -> None:
        self.stance = Stance(constraints, heave, roll)
        self.per_length = 1.0 / constraints.length

    def place(self, unknowns: Array) -> Array:
        """Place the axle at `unknowns` (4, ...); returns the largest stretch of a constraint there, m."""
        self.stance.place(unknowns)
        spare = self.stance.spare
        np.multiply(self.stance.closure, self.per_length, out=spare)
        largest: Array = np.abs(spare, out=spare).max(axis=0)
        return largest

    def linearise(self, into: Array) -> None:
        """Write Newton's equations at the current position to `into` (5, 4, ...).

        into[a, b] is the derivative of equation b with respect to unknown a; into[4, b] is the residual of equation b.
        """
        self.stance.gradients(into[:UNKNOWNS])
        into[UNKNOWNS] = self.stance.closure

    def driven(self) -> Array:
        """Derivatives of the equations with respect to heave and roll at the current position, (2, 4, ...)."""
        return self.stance.driven()[0]

    def stretch(self) -> Array:
        """Stretch of each constraint since ride height, m, (4, ...); only rounding where the pose is solved."""
        stretch: Array = self.stance.closure * self.per_length
        return stretch
