"""Strength of the plates of a bracket: bending at the root, the hole of a joint, and buckling. SI units.

Sources: beam theory; AISC 360, sections J7 (bearing of pins) and D5 (pin-connected members), whose tensile strength is
replaced by the yield strength, which is less; AISC 360-22, section F11 (rectangular bars); EN 1993-1-5, tables 4.1 and
4.2 (plates held at their edges).
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
# Poisson's ratio of steel, and the buckling factors of a plate: held at both edges, in even compression and in bending
# in its plane; and with one free edge, in even compression. EN 1993-1-5, tables 4.1 and 4.2: the first read in
# excerpts, the others from memory of it; the tests hold all three against the energy of a plate.
POISSON, K_COMPRESSED, K_BENT, K_FREE_EDGE = 0.3, 4.0, 23.9, 0.43
# Beyond the hole a plate works over twice its thickness and this much on either side (AISC 360, section D5), m.
BESIDE_HOLE = 0.016


def root_stress(force: Array, along: Array, across: Array, count: int, width: float, thickness: float) -> Array:
    """Stress of equal plates where they meet their foot, Pa: 6 M1 / (n t b^2) + 6 M2 / (n b t^2) + sqrt(3) F / (n b t).

    force: F, N; along: M1, N m, the moment in the plane of the plates; across: M2, N m, the moment that bends them
    across their flat; all zero or more, of one shape. n plates of a width b and a thickness t, m. The force counts as
    shear, by distortion energy, at the point of the largest bending. 6000 N at 45 mm across a plate of 50 by 6 mm bend
    it to 900 MPa; in its plane to 108. Source: beam theory.
    """
    area = count * width * thickness
    bending = 6 * along / (area * width) + 6 * across / (area * thickness)
    return np.asarray(bending + math.sqrt(3) * force / area)


class HoleStrength(NamedTuple):
    """Load of one plate at the hole of a joint at which it yields, N, by the way in which it gives."""

    bearing: float
    tear_out: float
    net_tension: float


def hole_strength(bolt: float, edge: float, thickness: float, strength: float) -> HoleStrength:
    """Strength of a plate at the hole of a joint.

        bearing      1.8 F d t
        tear-out     0.6 F 2 t e
        net tension  2 F t b,  b = the least of 2 t + 16 mm and e - d/2

    bolt: d, m; edge: e, m, from the middle of the hole to the nearest edge; thickness: t, m; strength: F, Pa, yield. A
    plate of 250 MPa, 10 mm, with a bolt of 16 mm has 72 kN in bearing. Source: AISC 360, sections J7 and D5.
    """
    beside = max(0.0, min(2 * thickness + BESIDE_HOLE, edge - bolt / 2))
    return HoleStrength(
        1.8 * strength * bolt * thickness, 1.2 * strength * thickness * edge, 2 * strength * thickness * beside
    )


def tips_over_at(length: float, width: float, thickness: float, modulus: float) -> float:
    """Moment in its plane at which a flat bar buckles sideways, N m: F_cr S with F_cr = 1.9 E t^2 / (L d).

    length: L, m, from where it is held to its free end; width: d, and thickness: t, m; modulus: E, Pa; S = t d^2 / 6.
    It is elastic: beyond the yield strength, yielding comes first. A bar of 1/4 by 3 in, 12 in long, of 29 Mpsi,
    buckles at 35.9 kip in. Source: AISC 360-22, equations F11-3 and F11-4 with C_b = 1, as for a free
    end.
    """
    return 1.9 * modulus * thickness**3 * width / (6 * length)


def plate_buckles_at(width: float, thickness: float, factor: float, modulus: float) -> float:
    """Stress at which a long plate that is held along its edges buckles, Pa: k pi^2 E / (12 (1 - nu^2)) (t / b)^2.

    width: b, and thickness: t, m; factor: k, by its edges and by how the stress is spread; modulus: E, Pa. It is
    elastic, and without the reserve of a plate that has buckled. With k = 4, 210 GPa and b / t of 40: 474 MPa. Source:
    EN 1993-1-5, tables 4.1 and 4.2.
    """
    return factor * math.pi**2 * modulus / (12 * (1 - POISSON**2)) * (thickness / width) ** 2
