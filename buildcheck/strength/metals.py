"""Young's modulus by metal. SI units.

Sources: AISC 360 (steel, 29 000 ksi, from memory); Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th
ed., table A-5 (gray iron 14.5 Mpsi, aluminium 10.4 Mpsi; ductile and malleable iron from memory, 24 Mpsi).
"""

from __future__ import annotations

MPSI = 6894757293.168361

STEEL_MODULUS = 29 * MPSI
"""Young's modulus of steel, Pa: 29 Mpsi, 200 GPa. Tables give up to 30 Mpsi; less is on the safe side."""

_OTHERS = {"gray-iron": 14.5, "ductile-iron": 24.0, "malleable-iron": 24.0, "aluminium": 10.4}


def modulus_of(metal: str) -> float | None:
    """Young's modulus of a metal by its name in the spec, Pa; None for an unknown casting."""
    if "steel" in metal:
        return STEEL_MODULUS
    return _OTHERS[metal] * MPSI if metal in _OTHERS else None
