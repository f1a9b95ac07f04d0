"""Strength of the plates of a bracket: bending at the root, and the hole of a joint. SI units.

Sources: beam theory; AISC 360, sections J7 (bearing of pins) and D5 (pin-connected members), whose tensile strength is
replaced by the yield strength, which is less.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
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
