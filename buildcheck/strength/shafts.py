"""Strength and whirling of a tube that turns: handbook formulas; SI units.

Sources: Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., equations 3-37 (torsion) and 5-21 (yield
in shear), from memory; beam theory for the critical speed.
"""

from __future__ import annotations

import math

from buildcheck.strength.metals import STEEL_MODULUS
from buildcheck.strength.sections import round_tube

STEEL_DENSITY = 7850.0
"""Density of steel, kg/m3 (common practice, no source)."""

SHEAR_YIELD_SHARE = 0.577
"""Yield strength in shear as a share of that in tension, by the distortion energy (Shigley, equation 5-21)."""


def torsional_stress(torque: float, outside_diameter: float, wall: float) -> float:
    """Shear stress at the surface of a round tube, Pa: T r / J, where J = pi (D^4 - d^4) / 32 is twice I.

    torque T, N m, of either sign; sizes in m. Raises ValueError for a wall that does not fit the tube.
    """
    return abs(torque) * (outside_diameter / 2) / (2 * round_tube(outside_diameter, wall).second_moment)


def critical_speed(outside_diameter: float, wall: float, length: float, modulus: float = STEEL_MODULUS) -> float:
    """Lowest speed at which a straight steel tube on two pivots whirls, rad/s: (pi / L)^2 sqrt(E I / (rho A)).

    Sizes and the distance L between the joint centres in m, modulus E in Pa. Its joints and its slip count as tube of
    the same size.
    Raises ValueError for a wall that does not fit the tube, or a length that is not above zero.
    """
    if not length > 0.0:
        raise ValueError("A shaft's length must be above zero.")
    tube = round_tube(outside_diameter, wall)
    return (math.pi / length) ** 2 * math.sqrt(modulus * tube.second_moment / (STEEL_DENSITY * tube.area))
