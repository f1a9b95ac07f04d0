"""The unit table against pint, a general unit library, and against the factors printed in NIST SP 811.

Only single units are compared: pint misreads shop fractions, which is why the grammar is our own.
"""

from __future__ import annotations

from functools import cache

import pint
import pytest

from buildcheck.spec.quantity import Dimension, System, parse
from buildcheck.spec.units import UNITS


@cache
def registry() -> pint.UnitRegistry[float]:
    """Made on first use, since it takes half a second."""
    return pint.UnitRegistry()


PINT_NAMES = {
    "in": "inch",
    "ft": "foot",
    "deg": "degree",
    "lb": "pound",
    "oz": "ounce",
    "g": "gram",
    "lbf": "force_pound",
    "kgf": "kilogram_force",
    "lb/in": "force_pound/inch",
    "lb/ft": "force_pound/foot",
    "lb-ft": "force_pound*foot",
    "lb-in": "force_pound*inch",
    "N·m": "newton*meter",
    "lb-ft/deg": "force_pound*foot/degree",
    "lb-in/deg": "force_pound*inch/degree",
    "N·m/deg": "newton*meter/degree",
    "N·m/rad": "newton*meter/radian",
    "deg/in": "degree/inch",
    "deg/mm": "degree/mm",
    "deg/m": "degree/m",
    "kJ/in": "kJ/inch",
    "J/in": "J/inch",
    "%": "percent",
    "": "dimensionless",
    "ft/s": "foot/second",
    "rpm": "revolutions_per_minute",
    "h": "hour",
    "min": "minute",
    "hp": "horsepower",
}
SI_UNITS = {
    Dimension.LENGTH: "m",
    Dimension.ANGLE: "rad",
    Dimension.MASS: "kg",
    Dimension.FORCE: "N",
    Dimension.STIFFNESS: "N/m",
    Dimension.TORSIONAL_STIFFNESS: "N*m/rad",
    Dimension.PRESSURE: "Pa",
    Dimension.TORQUE: "N*m",
    Dimension.SPEED: "m/s",
    Dimension.ROTATION_SPEED: "rad/s",
    Dimension.TEMPERATURE: "K",
    Dimension.TIME: "s",
    Dimension.RATIO: "dimensionless",
    Dimension.COUNT: "dimensionless",
    Dimension.ANGLE_PER_LENGTH: "rad/m",
    Dimension.ENERGY_PER_LENGTH: "J/m",
    Dimension.FREQUENCY: "1/s",
    Dimension.POWER: "W",
    Dimension.CURRENT: "A",
    Dimension.VOLTAGE: "V",
}
ALL_UNITS = [(dimension, unit) for dimension in Dimension for unit in (each.name for each in UNITS[dimension])]


@pytest.mark.parametrize(("dimension", "unit"), ALL_UNITS)
def test_pint_gives_the_same_si_value(dimension: Dimension, unit: str) -> None:
    theirs = registry().Quantity(37.0, PINT_NAMES.get(unit, unit)).to(SI_UNITS[dimension]).magnitude
    assert parse(f"37 {unit}", dimension, System.METRIC) == pytest.approx(theirs, rel=1e-13)


# NIST Special Publication 811 (2008), appendix B.8, as printed there (from memory); those marked exact
# are in boldface there, the others are rounded to the digits given.
NIST_EXACT = [
    ("1 in", Dimension.LENGTH, 2.54e-02),
    ("1 ft", Dimension.LENGTH, 3.048e-01),
    ("1 mph", Dimension.SPEED, 4.4704e-01),
    ("1 kgf", Dimension.FORCE, 9.80665),
    ("1 bar", Dimension.PRESSURE, 1.0e05),
]
NIST_ROUNDED = [
    ("1 lb", Dimension.MASS, 4.535924e-01),
    ("1 oz", Dimension.MASS, 2.834952e-02),
    ("1 lbf", Dimension.FORCE, 4.448222),
    ("1 lb/in", Dimension.STIFFNESS, 1.751268e02),
    ("1 lb/ft", Dimension.STIFFNESS, 1.459390e01),
    ("1 lb-ft", Dimension.TORQUE, 1.355818),
    ("1 lb-in", Dimension.TORQUE, 1.129848e-01),
    ("1 psi", Dimension.PRESSURE, 6.894757e03),
    ("1 ksi", Dimension.PRESSURE, 6.894757e06),
    ("1 hp", Dimension.POWER, 7.456999e02),
    ("1 km/h", Dimension.SPEED, 2.777778e-01),
    ("1 rpm", Dimension.ROTATION_SPEED, 1.047198e-01),
    ("1 deg", Dimension.ANGLE, 1.745329e-02),
]


@pytest.mark.parametrize(("text", "dimension", "printed"), NIST_EXACT)
def test_the_exact_factors_of_nist(text: str, dimension: Dimension, printed: float) -> None:
    assert parse(text, dimension, System.METRIC) == printed


@pytest.mark.parametrize(("text", "dimension", "printed"), NIST_ROUNDED)
def test_the_rounded_factors_of_nist(text: str, dimension: Dimension, printed: float) -> None:
    assert f"{parse(text, dimension, System.METRIC):.6e}" == f"{printed:.6e}"
