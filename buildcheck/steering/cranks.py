"""Two cranks and the link between them: the basic element of a steering linkage.

Each crank turns about an axis and holds one end of a link of fixed length. Solved as in `swing`: the circle of one
crank's end intersects a sphere about the end of the other. Angles are radians, right-handed about the crank's axis;
points are metres in vehicle axes (x forward, y left, z up), first axis (x, y, z), the others broadcasting from the
right.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.axle.spans import span
from buildcheck.axle.vectors import Array, aligned, cross, unit
from buildcheck.steering.swing import dead_point_side, swing, swung


@dataclass(frozen=True, slots=True)
class Crank:
    """Something that turns about an axis and holds a link's end: all (3, ...), points in m, the axis of any length."""

    pivot: Array
    axis: Array
    end: Array
    """Position of the link's end with the crank not turned."""

    def turned(self, angle: ArrayLike) -> Array:
        """Position of the link's end with the crank turned by an angle (...), rad, right-handed: (3, ...) m."""
        return swung(self.pivot, self.axis, self.end, angle)

    def way(self, end: Array) -> Array:
        """Derivative of the position of the link's end with the crank's angle, m/rad, (3, ...); ``end`` is its
        position."""
        axis, end, pivot = aligned(self.axis, end, self.pivot)
        return cross(unit(axis), end - pivot)

    def reaching(self, point: ArrayLike, length: ArrayLike, side: ArrayLike) -> Array:
        """Angle (...), rad, at which the end is ``length`` m from a point (3, ...), on one side of the dead point.

        ``side`` is from `dead_point_side`; NaN out of reach.
        """
        return swing(self.pivot, self.axis, self.end, point, length, side)


@dataclass(frozen=True, slots=True)
class Coupling:
    """A link between two cranks: its length (...), m, and the side of its dead point on which each crank was built."""

    length: Array
    first_side: Array
    second_side: Array

    def second_angle(self, first: Crank, second: Crank, angle: ArrayLike) -> Array:
        """Angle of the second crank, rad, with the first turned by ``angle``, rad; NaN out of reach."""
        return second.reaching(first.turned(angle), self.length, self.second_side)

    def first_angle(self, first: Crank, second: Crank, angle: ArrayLike) -> Array:
        """Angle of the first crank, rad, with the second turned by ``angle``, rad; NaN out of reach."""
        return first.reaching(second.turned(angle), self.length, self.first_side)

    def with_axis(self) -> Coupling:
        """The coupling with one more axis at the end of its arrays."""
        return Coupling(*(np.asarray(part)[..., None] for part in (self.length, self.first_side, self.second_side)))


def coupling(first: Crank, second: Crank) -> Coupling:
    """The link between two cranks as built, with both unturned."""
    return Coupling(
        length=span(first.end, second.end),
        first_side=dead_point_side(first.pivot, first.axis, first.end, second.end),
        second_side=dead_point_side(second.pivot, second.axis, second.end, first.end),
    )
