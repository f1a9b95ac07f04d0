"""Two cranks and the link between them, the step that a steering linkage is made of.

Each crank turns about an axis and holds one end of a link of fixed length. Closed as in `steering`: the circle of one
crank's end cut by the sphere about the other's. Angles are radians, right-handed about the crank's axis; points are
metres in vehicle axes (x forward, y left, z up), first axis (x, y, z), the others broadcasting from the right.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from buildcheck.motion.spans import span
from buildcheck.motion.steering import dead_point_margin, dead_point_side, swing, swung
from buildcheck.motion.vectors import Array

STEPS = 24
"""A link that must keep its reach on the way from straight ahead is tried at so many places of that way."""


@dataclass(frozen=True, slots=True)
class Crank:
    """Something that turns about an axis and holds a link's end: all (3, ...), points in m, the axis of any length."""

    pivot: Array
    axis: Array
    end: Array
    """Where the link's end stands unturned."""

    def turned(self, angle: ArrayLike) -> Array:
        """Where the link's end stands once turned by an angle (...), rad, right-handed: (3, ...) m."""
        return swung(self.pivot, self.axis, self.end, angle)


@dataclass(frozen=True, slots=True)
class Coupling:
    """A link between two cranks: its length (...), m, and on which side of the dead point each crank was built."""

    length: Array
    first_side: Array
    second_side: Array

    def second_angle(self, first: Crank, second: Crank, angle: ArrayLike) -> Array:
        """Angle of the second crank with the first turned by ``angle``; NaN out of reach."""
        return swing(second.pivot, second.axis, second.end, first.turned(angle), self.length, self.second_side)

    def first_angle(self, first: Crank, second: Crank, angle: ArrayLike) -> Array:
        """Angle of the first crank with the second turned by ``angle``; NaN out of reach."""
        return swing(first.pivot, first.axis, first.end, second.turned(angle), self.length, self.first_side)

    def reaches(self, first: Crank, second: Crank, angle: Array) -> NDArray[np.bool_]:
        """Whether the link reaches all the way as the first crank turns from 0 to ``angle``, shape of the angle."""
        way = np.linspace(0.0, 1.0, STEPS + 1).reshape(-1, *(1,) * angle.ndim) * angle
        margin = dead_point_margin(second.pivot, second.axis, second.end, first.turned(way), self.length)
        reached: NDArray[np.bool_] = np.all(margin >= 0, axis=0)
        return reached


def coupling(first: Crank, second: Crank) -> Coupling:
    """The link between two cranks as built, with both unturned."""
    return Coupling(
        length=span(first.end, second.end),
        first_side=dead_point_side(first.pivot, first.axis, first.end, second.end),
        second_side=dead_point_side(second.pivot, second.axis, second.end, first.end),
    )
