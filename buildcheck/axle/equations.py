"""What the two kinds of equations have in common, and which of them a set of constraints needs."""

from __future__ import annotations

from typing import Protocol

from buildcheck.axle.constraints import UNKNOWNS, Array, Constraints, Stance
from buildcheck.axle.elastic import ElasticEquations
from buildcheck.axle.exact import ExactEquations


class Equations(Protocol):
    """Four equations in the four unknowns of the axle, for many poses at once."""

    stance: Stance

    def ask(self, constraints: Constraints, heave: Array, roll: Array) -> None:
        """Turn to other constraints, heave and roll, of the same shapes."""

    def place(self, unknowns: Array) -> Array:
        """Put the axle at `unknowns` (4, ...); returns how far from solved, m."""

    def rest(self) -> Array:
        """What is left of the equations at the present place, (4, ...)."""

    def linearise(self, into: Array) -> None:
        """Newton's equations at the present place, written to `into` (5, 4, ...)."""

    def driven(self) -> Array:
        """Derivatives of the equations with respect to heave and roll at the present place, (2, 4, ...)."""

    def stretch(self) -> Array:
        """How much longer each constraint is than at ride, m, (n, ...)."""


def equations(constraints: Constraints, heave: Array, roll: Array) -> Equations:
    """Exact equations for four constraints, elastic ones for more."""
    kind = ExactEquations if len(constraints.length) == UNKNOWNS else ElasticEquations
    return kind(constraints, heave, roll)
