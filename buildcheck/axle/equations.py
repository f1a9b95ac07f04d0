"""Interface of the two kinds of equations, and the choice of the kind that a set of constraints needs."""

from __future__ import annotations

from typing import Protocol

from buildcheck.axle.constraints import UNKNOWNS, Array, Constraints, Stance
from buildcheck.axle.elastic import ElasticEquations
from buildcheck.axle.exact import ExactEquations


class Equations(Protocol):
    """Four equations in the four unknowns of the axle, for many poses at once."""

    stance: Stance

    def place(self, unknowns: Array) -> Array:
        """Place the axle at `unknowns` (4, ...); returns the largest residual there, m."""

    def linearise(self, into: Array) -> None:
        """Write Newton's equations at the current position to `into` (5, 4, ...)."""

    def driven(self) -> Array:
        """Derivatives of the equations with respect to heave and roll at the current position, (2, 4, ...)."""

    def stretch(self) -> Array:
        """Stretch of each constraint since ride height, m, (n, ...); + longer."""


def equations(constraints: Constraints, heave: Array, roll: Array) -> Equations:
    """Return exact equations for four constraints, elastic ones for more."""
    kind = ExactEquations if len(constraints.length) == UNKNOWNS else ElasticEquations
    return kind(constraints, heave, roll)
