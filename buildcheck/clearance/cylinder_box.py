"""Gap between a cylinder and a box that do not overlap, in closed form where the result can be verified.

The nearest point of the box is on one of its edges or in one of its faces. From an edge the gap is that of a thin bar;
from a face it is the height of the cylinder's point nearest to the face. The smallest of these is the distance between
two points of the solids, so it is never too small. If the planes square to the line between these points separate the
solids by the same distance, it is never too large either. Where they do not, as in overlap, the iteration of
`solid_gaps` is used.
"""

from itertools import product

import numpy as np

from buildcheck.axle.vectors import Array, dot, size, unit
from buildcheck.clearance.bar_gaps import clearance
from buildcheck.clearance.solids import Box, Capsule, Cylinder

PROVED = 1e-9  # largest difference, m, between the gap found and that of the planes

# The corners of a box as weights of its upper corner, and its twelve edges as pairs of them.
_CORNERS = np.array(list(product((0.0, 1.0), repeat=3)))
_EDGES = [(a, b) for a in range(8) for b in range(a + 1, 8) if np.abs(_CORNERS[a] - _CORNERS[b]).sum() == 1.0]
_START, _END = (_CORNERS[[edge[end] for edge in _EDGES]].T[:, :, None] for end in (0, 1))
_FACES = np.concatenate([np.eye(3), -np.eye(3)], axis=1)[:, :, None]


def gap_apart(cylinder: Cylinder, box: Box) -> Array:
    """Gap between a cylinder and a box in poses along one axis, all points (3, n): (n,) m; NaN where it is not
    verified.

    Within `PROVED` of the true gap.
    """
    lower, upper = np.asarray(box.lower)[:, None], np.asarray(box.upper)[:, None]
    start, end = np.asarray(cylinder.start)[:, None], np.asarray(cylinder.end)[:, None]
    round_bar = Cylinder(start, end, cylinder.radius)
    corner, run = lower + (upper - lower) * _START, (upper - lower) * (_END - _START)
    along = clearance(Capsule(corner, corner + run, 0.0), round_bar).along
    on_edge = corner + run * along
    from_edge = round_bar.foot(on_edge).place
    # For each face, the point of the cylinder farthest against its normal, and the place of the box nearest to that.
    half = (end - start) / 2
    axis = unit(half)
    across = _FACES - dot(_FACES, axis) * axis
    length = size(across)
    rim = across * np.divide(cylinder.radius, length, out=np.zeros_like(length), where=length > 1e-12)
    facing = start + half - np.sign(dot(_FACES, half)) * half - rim
    on_face = np.clip(facing, lower, upper)
    ours, theirs = np.concatenate([from_edge, facing], axis=1), np.concatenate([on_edge, on_face], axis=1)
    ways = theirs - ours
    gaps = size(ways)
    lanes = np.arange(gaps.shape[1])
    best = gaps.argmin(axis=0)
    found, way = gaps[best, lanes], unit(ways[:, best, lanes])
    proved = _parts_by(cylinder, box, way) >= found - PROVED
    return np.where(proved, found, np.nan)


def _parts_by(cylinder: Cylinder, box: Box, way: Array) -> Array:
    """Distance between the tangent planes of cylinder and box that are square to a direction (3, n): (n,) m."""
    start, end = np.asarray(cylinder.start), np.asarray(cylinder.end)
    lower, upper = np.asarray(box.lower), np.asarray(box.upper)
    axis = unit(end - start)
    nearest_of_box = dot(way, np.where(way > 0, lower, upper))
    disc = cylinder.radius * size(way - dot(way, axis) * axis)
    return nearest_of_box - np.maximum(dot(way, start), dot(way, end)) - disc
