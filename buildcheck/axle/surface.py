"""Many poses of a build at once, starting from a polynomial through a few poses solved by continuation.

The unknowns are smooth in heave and roll. A polynomial through poses that are known to be on the right branch, spread
over the requested range, passes so near all others that one correction is enough for most of them. The inverse of
Newton's matrix is smooth too, so it is interpolated through the same poses, and no matrix is factored pose by pose. The
residual of the equations is always measured after the last correction. A pose that needs more than small corrections is
not trusted: `solve_by_surface` marks it, and its caller solves it by continuation instead.

The nodes are the Padua points, the fewest that define a polynomial of given total degree, with near-optimal spacing: M.
Caliari, S. De Marchi, M. Vianello, "Bivariate polynomial interpolation on the square at new nodal sets", Applied
Mathematics and Computation 165 (2005) 261-274; from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from buildcheck.axle.constraints import PITCH, UNKNOWNS, Array, Constraints
from buildcheck.axle.continuation import Flags, tolerance, walk
from buildcheck.axle.equations import equations

BLOCK = 2048
"""Poses solved at a time: few enough to stay in the processor's cache, and to keep the matrix products on
one core.
"""

SMALL_CORRECTION = 2e-3
"""A first correction above this fraction of the axle's size means that the surface does not describe the
pose.
"""

MOST_CORRECTIONS = 4


@dataclass(frozen=True, slots=True)
class Degrees:
    """Total degrees of the polynomials for the unknowns and for the inverse of Newton's matrix."""

    unknowns: int
    inverse: int


FINE = Degrees(unknowns=9, inverse=5)
COARSE = Degrees(unknowns=4, inverse=4)
"""Degrees with the lowest total cost, of nodes and corrections, for thousands of poses of a build and for tens.
"""


def degrees_for(builds: int, poses: int) -> Degrees | None:
    """Return the degrees for this number of builds and poses of each; None when continuation is cheaper.

    The bounds are measured, and affect speed only.
    """
    if poses < 60 or builds * poses < 250:
        return None
    return FINE if poses >= 2000 else COARSE


class Surface:
    """The unknowns of each build, and the inverse of Newton's matrix, as polynomials in heave and roll over the
    requested range.
    """

    def __init__(self, constraints: Constraints, heave: Array, roll: Array, degrees: Degrees) -> None:
        """Solve the nodes of builds with constraints (n, builds) for poses (builds, poses), and fit.

        `fits` is a mask of the builds whose nodes were all solved.
        """
        builds = len(heave)
        self.degrees = degrees
        self.middle, self.half = zip(*(_range(values) for values in (heave, roll)), strict=True)
        # In a range of zero width, heave alone or roll alone, the nodes coincide and the poses are at zero.
        self.per_half = [1.0 / np.where(half > 0.0, half, 1.0) for half in self.half]
        nodes, to_unknowns, to_inverse = _fit(degrees)
        node_heave, node_roll = (
            (self.middle[axis][:, np.newaxis] + self.half[axis][:, np.newaxis] * nodes[axis]).ravel()
            for axis in range(2)
        )
        if builds > 1:
            constraints = constraints.at(np.repeat(np.arange(builds), nodes.shape[1]))
        unknowns, _, solved, _ = walk(constraints, node_heave, node_roll)
        system = equations(constraints, node_heave, node_roll)
        system.place(unknowns)
        table = np.empty((UNKNOWNS + 1, UNKNOWNS, len(node_heave)))
        system.linearise(table)
        table[:, :, ~solved] = np.eye(UNKNOWNS + 1, UNKNOWNS)[:, :, np.newaxis]  # anything invertible; never used
        inverse = np.linalg.inv(table[:UNKNOWNS].T)  # transposed: (node, equation, unknown), as LAPACK expects it
        inverse = inverse.reshape(builds, -1, UNKNOWNS * UNKNOWNS).swapaxes(1, 2)
        self.fits: Flags = np.all(solved.reshape(builds, -1), axis=1)
        self.unknowns = np.moveaxis(unknowns.reshape(UNKNOWNS, builds, -1) @ to_unknowns, 0, 1)
        self.inverse = inverse @ to_inverse

    def predict(self, builds: slice, heave: Array, roll: Array, terms: Array, unknowns: Array, inverse: Array) -> None:
        """Write the unknowns (builds, 4, poses) and the inverse (builds, 16, poses) of poses (builds, poses).

        `terms` (builds, terms, poses) is working space.
        """
        first, second = (
            (values - self.middle[axis][builds, np.newaxis]) * self.per_half[axis][builds, np.newaxis]
            for axis, values in enumerate((heave, roll))
        )
        _terms(first, second, self.degrees.unknowns, terms)
        np.matmul(self.unknowns[builds], terms, out=unknowns)
        np.matmul(self.inverse[builds], terms[:, : self.inverse.shape[-1]], out=inverse)


def solve_by_surface(
    constraints: Constraints, heave: Array, roll: Array, degrees: Degrees, place: Array, stretch: Array
) -> Flags:
    """Solve poses (builds, poses) with constraints (n, builds).

    Writes x, y, pitch and yaw to `place` (4, builds, poses) and `stretch` (n, builds, poses). Returns a mask of the
    poses that are solved and can be trusted, (builds, poses); the values written for the others are meaningless.
    """
    builds, poses = heave.shape
    surface = Surface(constraints, heave, roll, degrees)
    trusted = np.zeros((builds, poses), dtype=bool)
    beside_poses = constraints.at((slice(None), np.newaxis))
    system, shape = None, (0, 0)
    rows = max(1, BLOCK // poses)
    columns = -(-poses // -(-poses // BLOCK))  # blocks as equal as possible, so that they can share arrays
    for first in range(0, builds, rows):
        some = slice(first, first + rows)
        part = beside_poses.at((some,))
        for start in range(0, poses, columns):
            block = (some, slice(start, start + columns))
            if system is None or shape != heave[block].shape:
                shape = heave[block].shape
                system = equations(part, heave[block], roll[block])
                terms = np.empty((shape[0], _count(degrees.unknowns), shape[1]))
                inverse = np.empty((shape[0], UNKNOWNS * UNKNOWNS, shape[1]))
                predicted = np.empty((shape[0], UNKNOWNS, shape[1]))
                step = np.empty((UNKNOWNS, *shape))
                unknowns = np.moveaxis(predicted, 1, 0)
                matrix = np.moveaxis(inverse, 1, 0).reshape(UNKNOWNS, UNKNOWNS, *shape)
            else:
                system.ask(part, heave[block], roll[block])
            surface.predict(some, heave[block], roll[block], terms, predicted, inverse)
            error = system.place(unknowns)
            near_enough = tolerance(part)
            good = np.broadcast_to(surface.fits[some, np.newaxis], shape)
            for correction in range(MOST_CORRECTIONS):
                if correction and not (error > near_enough).any():
                    break
                np.einsum("ab...,b...->a...", matrix, system.rest(), out=step)
                if correction == 0:
                    size = np.abs(step[:PITCH]).max(axis=0), np.abs(step[PITCH:]).max(axis=0)
                    good = good & (size[0] <= SMALL_CORRECTION * part.size) & (size[1] <= SMALL_CORRECTION)
                unknowns -= step
                error = system.place(unknowns)
            trusted[block] = good & (error <= near_enough)
            place[(slice(0, PITCH), *block)] = system.stance.displacement()
            place[(slice(PITCH, None), *block)] = unknowns[PITCH:]
            stretch[(slice(None), *block)] = system.stretch()
    return trusted


def _range(values: Array) -> tuple[Array, Array]:
    """Middle and half width of each build's values (builds, poses)."""
    low, high = values.min(axis=1), values.max(axis=1)
    return 0.5 * (high + low), 0.5 * (high - low)


@lru_cache(maxsize=8)
def _fit(degrees: Degrees) -> tuple[Array, Array, Array]:
    """Padua points (2, nodes) on the square from -1 to 1, and the matrices from values at them to
    coefficients.

    The inverse has a lower degree than the nodes would allow and is fitted by least squares.
    """
    degree = degrees.unknowns
    points = [
        (np.cos(np.pi * first / degree), np.cos(np.pi * second / (degree + 1)))
        for first in range(degree + 1)
        for second in range(degree + 2)
        if (first + second) % 2 == 0
    ]
    nodes: Array = np.array(points, dtype=np.float64).T
    terms = _terms(nodes[0], nodes[1], degree, np.empty((_count(degree), nodes.shape[1])))
    to_unknowns = np.asarray(np.linalg.inv(terms), dtype=np.float64)
    to_inverse = np.asarray(np.linalg.pinv(terms[: _count(degrees.inverse)]), dtype=np.float64)
    return nodes, to_unknowns, to_inverse


def _count(degree: int) -> int:
    """Number of terms of a polynomial of two variables."""
    return (degree + 1) * (degree + 2) // 2


def _terms(first: Array, second: Array, degree: int, terms: Array) -> Array:
    """Write all products first**i second**j with i + j <= degree, for arguments (..., poses), to (..., terms, poses).

    They are in order of degree, so the terms of a lower degree come first.
    """
    terms[..., 0, :] = 1.0
    start = 0
    for power in range(1, degree + 1):  # each degree is the one before times `first`, and its last term times `second`
        before = terms[..., start : start + power, :]
        start += power
        np.multiply(before, first[..., np.newaxis, :], out=terms[..., start : start + power, :])
        np.multiply(before[..., -1, :], second, out=terms[..., start + power, :])
    return terms
