"""Bars of the steering: a rectangular one bent, pulled and twisted at once, and a round stud bent. Arrays in, SI.

Sources: Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., equation 5-15 (distortion energy), from
memory; for torsion see `torsional_stress`; beam theory for the rest.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from buildcheck.axle.vectors import Array


class Bar(NamedTuple):
    """A solid bar of rectangular section, m: its width, and its thickness square to that."""

    width: float
    thickness: float


def torsional_stress(bar: Bar, torsion: ArrayLike) -> Array:
    """Largest shear stress of a torque T, N m, in a rectangular bar, Pa, in the middle of its longer side b:

        tau = T / (alpha b c^2)
        alpha = (1 - 192 c / (pi^5 b) sum of tanh(n pi b / 2 c) / n^5)
                / (3 (1 - 8 / pi^2 sum of 1 / (n^2 cosh(n pi b / 2 c)))),      n = 1, 3, 5...

    c is the shorter side: 0.208 for a square, 1/3 for a thin strip. Source: S. Timoshenko and J. N. Goodier, Theory of
    Elasticity, torsion of rectangular bars (from memory); Shigley's table beside equation 3-40 has the same numbers.
    """
    longer, shorter = max(bar), min(bar)
    half = [(n, n * math.pi * longer / (2 * shorter)) for n in range(1, 12, 2)]
    stiff = 1 - 192 * shorter / (math.pi**5 * longer) * sum(math.tanh(each) / n**5 for n, each in half)
    edge = 1 - 8 / math.pi**2 * sum(1 / (n**2 * math.cosh(min(each, 700.0))) for n, each in half)
    alpha = stiff / (3 * edge)
    return np.asarray(np.abs(np.asarray(torsion, np.float64)) / (alpha * longer * shorter**2))


def equivalent_stress(bar: Bar, *, across: ArrayLike, flat: ArrayLike, thrust: ArrayLike, torsion: ArrayLike) -> Array:
    """Largest equivalent stress in a rectangular bar, Pa, by the distortion energy, sqrt(sigma^2 + 3 tau^2).

    across, flat: moments that bend it along its width and along its thickness, N m: 6 M / (t w^2), 6 M / (w t^2)
    thrust:       force along it, N: F / (w t)
    torsion:      torque about its length, N m; see `torsional_stress`

    The stresses of bending and thrust are added as in the corner in which all pull, and that of torsion as if it were
    the largest there too: on the safe side.
    """
    width, thickness = bar
    normal = (
        6 * np.abs(np.asarray(across, np.float64)) / (thickness * width**2)
        + 6 * np.abs(np.asarray(flat, np.float64)) / (width * thickness**2)
        + np.abs(np.asarray(thrust, np.float64)) / (width * thickness)
    )
    return np.asarray(np.sqrt(normal**2 + 3.0 * torsional_stress(bar, torsion) ** 2))


def stud_stress(force: float, height: float, diameter: float) -> float:
    """Bending stress of a force, N, across a round stud at a height, m, above the face that holds it, Pa:

        sigma = 32 F h / (pi d^3)

    d is its diameter at that face, m. Source: beam theory.
    """
    return 32 * abs(force) * height / (math.pi * diameter**3)
