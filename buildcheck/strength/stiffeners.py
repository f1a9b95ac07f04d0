"""Gussets of a bracket: bending, the fillets at their foot, and how thin they may be. Arrays in, SI units.

Sources: beam theory; for fillets, Shigley's Mechanical Engineering Design, table 9-2 (lines of weld).
"""

from __future__ import annotations

import math

import numpy as np

from buildcheck.axle.vectors import Array
from buildcheck.strength.metals import STEEL_MODULUS


def gusset_stress(moment: Array, count: int, thickness: float, width: float) -> Array:
    """Bending stress of gussets that share a moment M, N m, each in its own plane, Pa: 6 M / (n t w^2).

    n gussets of a thickness t, m, that reach a width w, m, along the foot. 1000 N m on two of 6 mm by 50 mm: 200 MPa.
    Source: beam theory.
    """
    return np.asarray(6 * moment / (count * thickness * width**2))


def gusset_weld_force(moment: Array, count: int, width: float) -> Array:
    """Largest force on a unit of length of the fillets at the foot of the gussets, N/m: 3 M / (n w^2).

    Each of n gussets has a line of weld of a width w, m, on both sides, whose unit section modulus is w^2 / 6; they
    share a moment M, N m. Source: Shigley, table 9-2.
    """
    return np.asarray(3 * moment / (count * width**2))


def most_slender(yield_strength: float, *, free_edge: bool, modulus: float = STEEL_MODULUS) -> float:
    """Largest width of a plate, as a multiple of its thickness, that yields before it buckles: 0.56 sqrt(E / F) with
    one free edge, 1.40 sqrt(E / F) where both are held.

    F is its yield strength and E its modulus, Pa: for steel of 36 ksi 15.9 and 39.7. Source: AISC 360, table B4.1a,
    cases 1 and 6; from memory.
    """
    return (0.56 if free_edge else 1.40) * math.sqrt(modulus / yield_strength)
