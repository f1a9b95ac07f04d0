"""Amounts that a shop can measure, cut, set or buy: multiples of one step for each kind of quantity."""

from __future__ import annotations

import math
from fractions import Fraction

from buildcheck.spec.quantity import Dimension, System
from buildcheck.spec.units import UNITS, USUAL, Unit

# The step of an amount, in the unit of a bare number. Common practice, no source: a tape reads 1/16 in or 1 mm,
# a level half a degree, a torque wrench 1 lb-ft or 1 N·m; springs, joints and steel are rated in round numbers.
_SIXTEENTH = Fraction(1, 16)
STEPS: dict[System, dict[Dimension, Fraction]] = {
    System.INCH_POUND: {
        Dimension.LENGTH: _SIXTEENTH,
        Dimension.ANGLE: Fraction(1, 2),
        Dimension.MASS: Fraction(5),
        Dimension.FORCE: Fraction(100),
        Dimension.STIFFNESS: Fraction(5),
        Dimension.PRESSURE: Fraction(1000),
        Dimension.TORQUE: Fraction(1),
        Dimension.TEMPERATURE: Fraction(10),
        Dimension.RATIO: Fraction(1, 100),
    },
    System.METRIC: {
        Dimension.LENGTH: Fraction(1),
        Dimension.ANGLE: Fraction(1, 2),
        Dimension.MASS: Fraction(2),
        Dimension.FORCE: Fraction(500),
        Dimension.STIFFNESS: Fraction(1),
        Dimension.PRESSURE: Fraction(5),
        Dimension.TORQUE: Fraction(1),
        Dimension.TEMPERATURE: Fraction(5),
        Dimension.RATIO: Fraction(1, 100),
    },
}

# An amount this near to a multiple, as a share of the step, counts as that multiple.
SAME = Fraction(1, 10**6)


def step(dimension: Dimension, system: System) -> Fraction:
    """Step of a dimension in the unit of a bare number; where none is listed, the last decimal that is usually
    shown."""
    return STEPS[system].get(dimension) or Fraction(1, 10 ** USUAL[system][dimension].decimals)


def zero(dimension: Dimension, system: System) -> float:
    """Zero of the scale in which amounts of a dimension are given, SI: 0 degF is 255.4 K."""
    unit = _unit(dimension, system)
    return float(unit.offset * unit.factor)


def at_least(amount: float, dimension: Dimension, system: System) -> float:
    """Smallest multiple of the step that is not below an amount (SI); never less than one step above the zero of the
    scale."""
    return nearest(amount, dimension, system, adds=False)[0][-1]


def nearest(amount: float, dimension: Dimension, system: System, *, adds: bool) -> list[list[float]]:
    """Multiples of the step on either side of an amount (SI), and then the next ones out; each above zero.

    An amount that `adds` to something is a difference, so the offset of a temperature scale does not apply to it.
    """
    size, unit = step(dimension, system), _unit(dimension, system)
    offset = Fraction(0) if adds else unit.offset
    steps = (Fraction(amount) / unit.factor - offset) / size
    below, above = math.floor(steps + SAME), max(math.ceil(steps - SAME), 1)
    rings = (dict.fromkeys((below, above)), (below - 1, above + 1))
    return [[float((count * size + offset) * unit.factor) for count in ring if count > 0] for ring in rings]


def _unit(dimension: Dimension, system: System) -> Unit:
    return next(unit for unit in UNITS[dimension] if unit.name == USUAL[system][dimension].unit)
