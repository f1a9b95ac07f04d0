"""Poses solved by continuation from ride height, which keeps them on the branch that the truck is on.

Links can often be assembled in more than one way, so a solution is not enough: it must be the one that the axle reaches
without being taken apart. Each pose is approached along the straight path (heave, roll) * s, s from 0 to 1, in strides.
A stride is taken only if each of Newton's corrections is a third of the one before or less (the sign that one solution
is near and no dead point between: the theorem of Newton and Kantorovich) and if the determinant keeps its sign and its
order of magnitude. Otherwise the stride is shortened. A path whose strides keep shrinking ends at a dead point; one
that takes more strides than any sound axle needs is abandoned.

Source: P. Deuflhard, Newton Methods for Nonlinear Problems (Springer 2004), chapter 5, stride control by the
contraction of the corrections; from memory.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from buildcheck.axle.constraints import PITCH, UNKNOWNS, Array, Constraints
from buildcheck.axle.equations import equations

Flags = NDArray[np.bool_]

EXACT_TOLERANCE, ELASTIC_TOLERANCE = 1e-13, 1e-14
"""Largest residual of a solved pose, m, with four constraints and with more. Poses are accurate to 1e-12 m, and where
joints are wound up a pose is some thirty times less accurate than its equations.
"""
ROUNDING = 16 * float(np.finfo(np.float64).eps)
"""Rounding error of the equations, as a fraction of the longest constraint; no search can do better."""

CONTRACTION = 1.0 / 3.0
SHORTEST_STRIDE = 2.0**-13
MOST_STRIDES = 100
"""Strides tried on one path, including those that were shortened. Most poses of sound axles take one, the farthest
thirty. Where the arms are so short that a few inches of travel wind up their joints, a path can take thousands, and
the pose at its end is meaningless.
"""
MOST_CORRECTIONS = 10
FARTHEST = 0.2
"""A first correction above this fraction of the axle's size (or this many radians) calls for a shorter stride: wound-up
joints can otherwise throw Newton's method far away, where it converges on another branch.
"""

FEELER = 0.25
"""Share of the path at which its bend is measured."""

NEGLIGIBLE = 1e-3
"""A correction below this fraction of the axle's size is too small for its growth to be significant."""

DETERMINANT_CHANGE = 4.0
DEAD_POINT = 0.25
"""A path that ends with the determinant below this fraction of its ride value has reached a dead point."""


def tolerance(constraints: Constraints) -> float:
    """Largest residual of a solved pose of these constraints, m."""
    wanted = EXACT_TOLERANCE if len(constraints.length) == UNKNOWNS else ELASTIC_TOLERANCE
    longest = float(constraints.length.max())
    if constraints.twists is not None:  # the length of a constraint with the same resistance
        longest = max(longest, float((constraints.twists.stiffness / constraints.size).max()))
    return max(wanted, ROUNDING * longest)


def walk(constraints: Constraints, heave: Array, roll: Array) -> tuple[Array, Array, Flags, Flags]:
    """Solve poses (all arrays flat, (poses,)) by continuation from ride height.

    The trailing axis of `constraints` has length one (all poses of one build) or the number of poses. Returns the
    unknowns (4, poses) and the stretch (n, poses), NaN where not solved; a mask of the poses solved; and a mask of the
    others that a dead point stopped.
    """
    poses = len(heave)
    shared = constraints.length.shape[-1] == 1
    unknowns = np.zeros((UNKNOWNS, poses))
    stretch = np.empty((len(constraints.length), poses))
    reached, stride = np.zeros(poses), np.ones(poses)
    found_at_ride, by_heave, by_roll = _at_ride(constraints)
    at_ride = np.broadcast_to(found_at_ride, (poses,))
    determinant = at_ride.copy()
    # First and second derivatives of the unknowns along each path: at ride height from the derivatives there and from
    # Newton's correction a little way along them; later from the parabola that starts with the rate and ends at the end
    # of the last stride.
    rate = by_heave * heave + by_roll * roll
    bend = _bend_at_ride(constraints, heave, roll, rate)
    walking = np.arange(poses)
    for _ in range(MOST_STRIDES):
        if not walking.size:
            break
        aim = np.minimum(reached[walking] + stride[walking], 1.0)
        ahead = aim - reached[walking]
        arrived, stretched, solved, found = _correct(
            constraints if shared else constraints.at(walking),
            heave[walking] * aim,
            roll[walking] * aim,
            unknowns[:, walking] + ahead * (rate[:, walking] + 0.5 * ahead * bend[:, walking]),
        )
        change = found / determinant[walking]
        solved &= (change > 1.0 / DETERMINANT_CHANGE) & (change < DETERMINANT_CHANGE)
        good = walking[solved]
        turned = 2.0 * ((arrived[:, solved] - unknowns[:, good]) / ahead[solved] - rate[:, good])
        rate[:, good] += turned
        bend[:, good] = turned / ahead[solved]
        unknowns[:, good] = arrived[:, solved]
        stretch[:, good] = stretched[:, solved]
        determinant[good] = found[solved]
        reached[good] = aim[solved]
        stride[good] *= 2.0
        stride[walking[~solved]] *= 0.25
        walking = walking[(reached[walking] < 1.0) & (stride[walking] >= SHORTEST_STRIDE)]
    solved = reached == 1.0
    unknowns[:, ~solved] = np.nan
    stretch[:, ~solved] = np.nan
    return unknowns, stretch, solved, ~solved & (np.abs(determinant) < DEAD_POINT * np.abs(at_ride))


def _bend_at_ride(constraints: Constraints, heave: Array, roll: Array, rate: Array) -> Array:
    """Second derivative of the unknowns along each path at ride, (4, poses): they leave the tangent by half of it times
    the square of the share of the path."""
    system = equations(constraints, FEELER * heave, FEELER * roll)
    system.place(FEELER * rate)
    table = np.empty((UNKNOWNS + 1, UNKNOWNS, len(heave)))
    system.linearise(table)
    bend: Array = -2.0 * newton_step(table) / FEELER**2
    # At ride height itself any bend is rounding.
    return np.where(np.isfinite(bend) & ((heave != 0.0) | (roll != 0.0)), bend, 0.0)


def _correct(constraints: Constraints, heave: Array, roll: Array, unknowns: Array) -> tuple[Array, Array, Flags, Array]:
    """Newton's method from `unknowns`: the unknowns found, their stretch, whether they can be trusted, the
    determinant."""
    system = equations(constraints, heave, roll)
    table = np.empty((UNKNOWNS + 1, UNKNOWNS, len(heave)))
    failed = np.zeros(len(heave), dtype=bool)
    previous = np.zeros(len(heave))
    size = constraints.size
    near_enough = tolerance(constraints)
    for correction in range(MOST_CORRECTIONS):
        pending = ~failed & ~(system.place(unknowns) <= near_enough)
        if correction > 0 and not pending.any():
            break
        system.linearise(table)
        step = newton_step(table)
        magnitude = np.maximum(np.abs(step[:PITCH]).max(axis=0), size * np.abs(step[PITCH:]).max(axis=0))
        if correction == 0:
            failed |= pending & ~(magnitude <= FARTHEST * size)
        else:
            failed |= pending & ~(magnitude <= CONTRACTION * np.maximum(previous, NEGLIGIBLE * size))
        previous = magnitude
        unknowns = unknowns - np.where(pending & ~failed, step, 0.0)
    return unknowns, system.stretch(), ~failed & ~pending, np.linalg.det(table[:UNKNOWNS].T)


def newton_step(table: Array) -> Array:
    """Newton's step (4, poses) from a table (5, 4, poses) as `linearise` writes it; NaN if there is none."""
    matrix = table[:UNKNOWNS].T  # (pose, equation, unknown), as LAPACK expects it
    rest = table[UNKNOWNS].T[..., np.newaxis]
    try:
        step = np.linalg.solve(matrix, rest)
    except np.linalg.LinAlgError:  # some pose is exactly at a dead point
        dead = np.linalg.det(matrix) == 0.0
        step = np.linalg.solve(np.where(dead[:, np.newaxis, np.newaxis], np.nan, matrix), rest)
    solution: Array = step[..., 0].T
    return solution


def _at_ride(constraints: Constraints) -> tuple[Array, Array, Array]:
    """Determinant of Newton's equations at ride (builds,), and the unknowns' slopes (4, builds) with heave and with
    roll."""
    builds = constraints.length.shape[-1]
    system = equations(constraints, np.zeros(builds), np.zeros(builds))
    system.place(np.zeros((UNKNOWNS, builds)))
    table = np.empty((UNKNOWNS + 1, UNKNOWNS, builds))
    system.linearise(table)
    determinant: Array = np.linalg.det(table[:UNKNOWNS].T)
    slopes = []
    for driven in system.driven():
        table[UNKNOWNS] = driven
        slopes.append(-newton_step(table))
    return determinant, slopes[0], slopes[1]
