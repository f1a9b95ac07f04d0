"""The shortest move that parts two boxes or cylinders that overlap.

The difference of the two is a sum of straight edges and flat discs, so the nearest place of its surface lies on a face
between two edges, on a disc, on a disc moved along an edge (a circle of directions square to the edge) or on a disc
moved around a disc (any direction). Each of these is searched: any direction gives a move that parts the two, so the
overlap is never made too small.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations

import numpy as np

from buildcheck.axle.vectors import Array, cross, size, unit
from buildcheck.clearance.convex import pick, square_to
from buildcheck.clearance.pair import Pair

_CIRCLE = 96
_KEPT = 4
_BALL = 400

WayPast = Callable[[Array], Array]


def way_out(pair: Pair) -> tuple[Array, Array]:
    """Direction (3, n), of length 1, and length (n,) m of the shortest move of the first that separates the two."""
    one, two = pair
    edges = [*one.halves, *two.halves]
    discs = [body for body in pair if body.radius]

    faces = [unit(cross(a, b)) for a, b in combinations(edges, 2)] + [disc.axis for disc in discs]
    flat = np.stack([side * np.nan_to_num(face, nan=0.0) for face in faces for side in (1, -1)], axis=1)
    flat[2] += size(flat) == 0  # edges that are parallel or of zero length span no face: any direction is valid
    found = [flat]
    if discs:
        found += [_around(edge, pair.way_past) for edge in edges]
    if len(discs) > 1:
        found.append(_anywhere(pair.way_past, one.centre.shape[1]))
    tried = np.concatenate(found, axis=1)
    moves = pair.way_past(tried)
    best = moves.argmin(axis=0)
    lanes = np.arange(len(best))
    return tried[:, best, lanes], moves[best, lanes]


def _around(edge: Array, way_past: WayPast) -> Array:
    """Directions square to an edge (3, n) at which the way out has local minima: (3, 4, n)."""
    across = unit(square_to(edge))
    upright = unit(np.where(size(edge) > 0, edge, square_to(across)))
    ahead = cross(upright, across)

    def direction(angle: Array) -> Array:
        return (
            np.cos(angle) * across[:, *(None,) * (angle.ndim - 1)]
            + np.sin(angle) * ahead[:, *(None,) * (angle.ndim - 1)]
        )

    step = float(2 * np.pi / _CIRCLE)
    angles = np.asarray(step * np.arange(_CIRCLE)[:, None] + np.zeros(edge.shape[1]), dtype=np.float64)
    moves = way_past(direction(angles))
    turning = (moves <= np.roll(moves, 1, axis=0)) & (moves <= np.roll(moves, -1, axis=0))
    angle = np.asarray(
        np.argpartition(np.where(turning, moves, np.inf), _KEPT, axis=0)[:_KEPT] * step, dtype=np.float64
    )
    offsets = np.linspace(-1.0, 1.0, 9)[:, None, None]
    while step > 1e-10:
        tried = angle + step * offsets
        angle = pick(tried, way_past(direction(tried)))
        step /= 4
    return direction(angle)


def _anywhere(way_past: WayPast, count: int) -> Array:
    """Directions at which the way out has local minima: (3, 4, n).

    The search starts from points spread evenly over a sphere by the golden angle.
    """
    height = 1 - (2 * np.arange(_BALL) + 1) / _BALL
    turned = np.pi * (3 - np.sqrt(5.0)) * np.arange(_BALL)
    round_it = np.sqrt(1 - height**2)
    spread = np.stack([round_it * np.cos(turned), round_it * np.sin(turned), height])
    moves = way_past(np.broadcast_to(spread[:, :, None], (3, _BALL, count)))
    aim = spread[:, np.argpartition(moves, _KEPT, axis=0)[:_KEPT]]
    sideways, upwards = (grid.reshape(-1, 1, 1) for grid in np.meshgrid(*[np.linspace(-1, 1, 5)] * 2))
    step = 2 * np.sqrt(4 * np.pi / _BALL)
    while step > 1e-8:
        across = unit(square_to(aim))
        ahead = cross(aim, across)
        tried = unit(aim[:, None] + step * (sideways * across[:, None] + upwards * ahead[:, None]))
        best = way_past(tried).argmin(axis=0)[None]
        aim = np.take_along_axis(tried, np.broadcast_to(best, (3, *best.shape)), axis=1)[:, 0]
        step /= 2
    return aim
