"""Heat of an arc weld, and what its filler and process go with. Formulas and tables of standards; SI units."""

from __future__ import annotations

import re

# Share of the arc's energy that reaches the weld. EN 1011-1, table 1 (as a steel maker gives it).
ARC_EFFICIENCY = {
    "shielded-metal-arc": 0.8,
    "gas-metal-arc": 0.8,
    "flux-cored-arc": 0.8,
    "gas-tungsten-arc": 0.6,
}

# Volts across the arc of each process; common practice, no source.
ARC_VOLTAGE = {
    "shielded-metal-arc": (17.0, 35.0),
    "gas-metal-arc": (13.0, 36.0),
    "flux-cored-arc": (14.0, 36.0),
    "gas-tungsten-arc": (7.0, 22.0),
}

# Classes of filler for steel, by the processes that they are made for. AWS A5.1 and A5.5 (covered electrodes), A5.18
# and A5.28 (solid and metal-cored wire and rod), A5.20 and A5.29 (flux-cored wire); from memory.
_CLASSES = (
    (re.compile(r"ER\d{2,3}S-"), ("gas-metal-arc", "gas-tungsten-arc")),
    (re.compile(r"E\d{2,3}C-"), ("gas-metal-arc",)),
    (re.compile(r"E\d{1,2}\dT\d*-"), ("flux-cored-arc",)),
    (re.compile(r"E\d{2,3}\d{2}(?!\d|T)"), ("shielded-metal-arc",)),
)

# Least tensile strength of each steel, Pa: the weakest usual grade. ASTM A36: 58 ksi; A519 4130 normalized: 90 ksi
# (from memory); A27 65-35: 65 ksi (from its name); forged axle ends: 70 ksi (common practice, no source).
KSI = 6894757.293168361
TENSILE = {
    "carbon-steel": 58 * KSI,
    "alloy-steel": 90 * KSI,
    "cast-steel": 65 * KSI,
    "forged-steel": 70 * KSI,
}

# Least preheat, K, by the thickness of the thicker part, m. AWS D1.1, table of minimum preheat: category A for covered
# electrodes that are not low-hydrogen, B for low-hydrogen ones, gas-metal-arc and flux-cored-arc (as quoted by TI
# 809).
_BANDS = (0.01905, 0.0381, 0.0635, float("inf"))
_DEGF = {"A": (32.0, 150.0, 225.0, 300.0), "B": (32.0, 50.0, 150.0, 225.0)}
_LOW_HYDROGEN = re.compile(r"E\d{2,3}[0-9]?(?:15|16|18|28|48)")


def heat_input(process: str, voltage: float, current: float, speed: float) -> float:
    """Heat input of one pass, J/m: Q = k U I / v.

    k is the share of the arc's energy that reaches the weld (0.6 for gas-tungsten-arc, otherwise 0.8), U the voltage
    (V), I the current (A), v the travel speed (m/s). At 22 V, 180 A and 5 mm/s with gas-metal-arc it is 0.634 kJ/mm.

    Source: EN 1011-1, clause 19 (from memory) and table 1.
    """
    return ARC_EFFICIENCY[process] * voltage * current / speed


def made_for(classification: str) -> tuple[str, ...] | None:
    """The processes that a filler for steel is made for, by its AWS class; None for a class that is not known."""
    return next((processes for pattern, processes in _CLASSES if pattern.match(classification)), None)


def least_preheat(thickness: float, process: str, classification: str) -> float:
    """Least preheat of carbon steel, K, by the thickness of the thicker part, m.

    32 degF up to 3/4 in, 50 degF up to 1 1/2 in, 150 degF up to 2 1/2 in, 225 degF beyond; 32, 150, 225 and 300 degF
    for covered electrodes that are not low-hydrogen. Source: AWS D1.1, table of minimum preheat, categories A and B.
    """
    plain = process == "shielded-metal-arc" and not _LOW_HYDROGEN.match(classification)
    degf = next(least for most, least in zip(_BANDS, _DEGF["A" if plain else "B"], strict=True) if thickness <= most)
    return (degf - 32.0) / 1.8 + 273.15


def other_metal(filler: str) -> str | None:
    """The metal of a filler by its class, in words, where it is not carbon or low-alloy steel; None where it may be.

    E308L-16, ER309LSi and bare 316L are stainless steel, ENiFe-CI and ERNi-1 nickel, ERCuSi-A copper, ER4043 and ER5356
    aluminium. Source: the classes of AWS A5.4, A5.7, A5.9, A5.10, A5.14 and A5.15, from memory.
    """
    for metal, pattern in _OTHER_METALS.items():
        if re.match(pattern, filler):
            return metal
    return None


_OTHER_METALS = {
    "stainless steel": r"(?:ER?)?3\d\d(?:L|H|Mo|Si|-|T|$)",
    "nickel": r"ER?Ni",
    "copper": r"(?:ER?|RB?)Cu",
    "aluminium": r"E?R?(?:1100|2319|4043|4047|4643|5183|5356|5554|5556)\b",
}
