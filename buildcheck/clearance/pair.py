"""Two boxes or cylinders as sums of edges and discs, and how far one has to be moved to part them."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from buildcheck.axle.vectors import Array, dot, size, unit
from buildcheck.clearance.convex import Mask
from buildcheck.clearance.solids import Sum


class Pair(NamedTuple):
    """Two sums in poses along one axis."""

    one: Sum
    two: Sum

    def lanes(self, chosen: Mask) -> Pair:
        """The pair in the chosen poses."""
        shape = chosen.shape
        return Pair(self.one.lanes(shape, chosen), self.two.lanes(shape, chosen))

    def moved(self, move: Array) -> Pair:
        """The pair with the first moved by (3, n) m."""
        return self._replace(one=self.one._replace(centre=self.one.centre + move))

    def support(self, direction: Array) -> tuple[Array, Array]:
        """Farthest point of the Minkowski difference along a direction, and the point of the first solid that it comes
        from."""
        ours = self.one.support(direction)
        return ours - self.two.support(-direction), ours

    def way_past(self, direction: Array) -> Array:
        """How far to move the first along directions (3, ..., n) until it is past the second: (..., n) m."""
        axes = (slice(None), *(None,) * (direction.ndim - 2))
        total = -dot(direction, (self.one.centre - self.two.centre)[axes])
        for body in self:
            for edge in body.halves:
                total = total + np.abs(dot(direction, edge[axes]))
            if body.radius:
                axis = body.axis[axes]
                total = total + body.radius * size(direction - dot(direction, axis) * axis)
        return np.asarray(total)

    def surely_apart(self) -> Array:
        """A gap that the two surely have, (n,) m, less than 0 for none: the largest that parts them along an edge or
        the axis of a disc of either, or along the line of their centres."""
        away = unit(self.one.centre - self.two.centre)
        edges = [unit(edge) for body in self for edge in body.halves]
        ways = [away, *edges, *(body.axis for body in self if body.radius)]
        # An edge of no length gives no way.
        tried = np.stack([side * np.nan_to_num(way, nan=0.0) for way in ways for side in (1, -1)], axis=1)
        return np.asarray(-self.way_past(tried).min(axis=0))

    def thousandth(self) -> Array:
        """A thousandth of the size of the two, (n,) m."""
        sizes = np.sum([size(half) for body in self for half in body.halves], axis=0)
        return np.asarray(1e-3 * (sizes + self.one.radius + self.two.radius))
