"""Smallest gap between a bar and a convex solid, for all poses at once.

The bar is a capsule: everything within a radius of a straight axis. The signed distance of the solid is a convex
function of the position along the bar's axis, so it has one minimum there; the gap is that minus the bar's radius.

So where the bar's axis stays outside the solid the gap is the true distance between surfaces, or the true overlap of
the bar's skin. Where the axis enters the solid it is -(depth of the deepest point of the axis below the nearest face) -
radius, which is not the shortest way to pull the two apart.

Points are (3, ...) in metres; the axes after the first broadcast from the right, so solids may move as well as bars.
Exact except for rounding, about 1e-12 m for parts of a few metres. For two solids without a bar, such as a tyre and a
box, see `buildcheck.clearance.solid_gaps`.
"""

from typing import NamedTuple

import numpy as np

from buildcheck.axle.vectors import Array, aligned
from buildcheck.clearance.solids import Box, Capsule, Cylinder, HalfSpace, Solid

__all__ = ["Box", "Capsule", "Clearance", "Cylinder", "HalfSpace", "Solid", "clearance"]


class Clearance(NamedTuple):
    """Gap (...) in metres, negative in overlap; and its place along the bar, from 0 (start) to 1 (end)."""

    gap: Array
    along: Array


def clearance(bar: Capsule, solid: Solid) -> Clearance:
    """Smallest gap between a bar and a solid in each pose.

    The head of this module defines the gap in overlap. Bar and solid broadcast together. NaN, in the gap and the place,
    wherever a point is NaN.
    """
    if bar.start is bar.end:  # a ball has only one point to measure from
        start = aligned(bar.start)[0]
        gap = solid.distance(start) - bar.radius
        return Clearance(gap, np.where(np.isnan(gap), np.nan, 0.0))
    start, end = aligned(bar.start, bar.end)
    if start.ndim == 1:
        poses = clearance(Capsule(start[:, None], end[:, None], bar.radius), solid)
        shape = solid.distance(start).shape
        return Clearance(poses.gap.reshape(shape), poses.along.reshape(shape))
    run = end - start
    start = np.broadcast_to(start, run.shape)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        along = solid.lowest(start, run)
    start, run, places = aligned(start, run, along[None])
    gap = solid.distance(start + run * places) - bar.radius
    return Clearance(gap, np.where(np.isnan(gap), np.nan, along))
