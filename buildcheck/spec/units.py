"""The closed list of units a spec may use: spellings, exact size in SI, and the unit of bare numbers.

Factors are exact by NIST Special Publication 811 (2008), appendix B (from memory): the inch is 0.0254 m,
the pound 0.453 592 37 kg, standard gravity 9.806 65 m/s2, so the pound-force is their product and every
other shop unit follows. The one inexact number is pi, for angles.
"""

from __future__ import annotations

import math
from enum import StrEnum
from fractions import Fraction
from typing import NamedTuple


class Dimension(StrEnum):
    """Kind of quantity of a number; the comment on each gives its SI unit."""

    LENGTH = "length"  # m
    ANGLE = "angle"  # rad
    MASS = "mass"  # kg
    FORCE = "force"  # N
    STIFFNESS = "stiffness"  # N/m
    TORSIONAL_STIFFNESS = "torsional stiffness"  # N·m/rad
    PRESSURE = "pressure"  # Pa; stress and strength of material too
    TORQUE = "torque"  # N·m
    SPEED = "speed"  # m/s
    ROTATION_SPEED = "rotation speed"  # rad/s
    TEMPERATURE = "temperature"  # K, on the absolute scale; not for differences of temperature
    TIME = "time"  # s
    RATIO = "ratio"  # 1
    COUNT = "count"  # 1, whole
    ANGLE_PER_LENGTH = "angle per length"  # rad/m
    ENERGY_PER_LENGTH = "energy per length"  # J/m; heat input of a weld
    FREQUENCY = "frequency"  # Hz
    POWER = "power"  # W
    CURRENT = "current"  # A
    VOLTAGE = "voltage"  # V


class System(StrEnum):
    """System of units for bare numbers and for values shown."""

    INCH_POUND = "inch-pound"
    METRIC = "metric"


class Unit(NamedTuple):
    """A unit: SI value = (number + offset) * factor. It is shown as ``name``; ``spellings`` are read too."""

    name: str
    factor: Fraction
    spellings: tuple[str, ...] = ()
    offset: Fraction = Fraction(0)


class Usual(NamedTuple):
    """Unit of bare numbers of a dimension, the number of decimals shown, and an example.

    ``shown`` is the unit in which values are shown, where that is another one: a bare share is 0.62, and is shown as
    62.0 %.
    """

    unit: str
    decimals: int
    example: str
    shown: str = ""


INCH = Fraction("0.0254")
FOOT = 12 * INCH
MILLIMETRE = Fraction(1, 1000)
_MILE = 5280 * FOOT
_POUND = Fraction("0.45359237")
_GRAVITY = Fraction("9.80665")
_POUND_FORCE = _POUND * _GRAVITY
_PSI = _POUND_FORCE / INCH**2
_DEGREE = Fraction(math.pi) / 180
_ONE = Fraction(1)
_INCH_WORDS = ("inch", "inches", '"', "''")
_POUND_WORDS = ("lbs", "pound", "pounds")
_DEGREE_WORDS = ("degs", "degree", "degrees", "°")


def _products(first: tuple[str, ...], sign: str, second: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(f"{one}{sign}{other}" for one in first for other in second)


_POUNDS = ("lb", "lbf", "lbs")
_FOOT_POUNDS = _products(_POUNDS, "-", ("ft",)) + _products(("ft",), "-", _POUNDS)
_INCH_POUNDS = _products(_POUNDS, "-", ("in",)) + _products(("in",), "-", _POUNDS)
_NEWTON_METRES = ("N-m", "Nm")

UNITS: dict[Dimension, tuple[Unit, ...]] = {
    Dimension.LENGTH: (
        Unit("in", INCH, _INCH_WORDS),
        Unit("ft", FOOT, ("foot", "feet", "'")),
        Unit("mm", MILLIMETRE, ("millimetre", "millimetres", "millimeter", "millimeters")),
        Unit("cm", Fraction(1, 100), ("centimetre", "centimetres", "centimeter", "centimeters")),
        Unit("m", _ONE, ("metre", "metres", "meter", "meters")),
        Unit("km", Fraction(1000), ("kilometre", "kilometres", "kilometer", "kilometers")),
        Unit("mi", _MILE, ("mile", "miles")),
    ),
    Dimension.ANGLE: (
        Unit("deg", _DEGREE, _DEGREE_WORDS),
        Unit("rad", _ONE, ("radian", "radians")),
    ),
    Dimension.MASS: (
        Unit("lb", _POUND, ("lbm", *_POUND_WORDS)),
        Unit("oz", _POUND / 16, ("ounce", "ounces")),
        Unit("kg", _ONE, ("kilogram", "kilograms")),
        Unit("g", Fraction(1, 1000), ("gram", "grams")),
    ),
    Dimension.FORCE: (
        Unit("lbf", _POUND_FORCE, ("lb", *_POUND_WORDS)),
        Unit("N", _ONE, ("newton", "newtons")),
        Unit("kN", Fraction(1000)),
        Unit("kgf", _GRAVITY),
    ),
    Dimension.STIFFNESS: (
        Unit("lb/in", _POUND_FORCE / INCH, _products(_POUNDS, "/", ("in", "inch"))),
        Unit("lb/ft", _POUND_FORCE / FOOT, _products(_POUNDS, "/", ("ft", "foot"))),
        Unit("N/mm", Fraction(1000)),
        Unit("N/m", _ONE),
        Unit("kN/mm", Fraction(1_000_000)),
        Unit("kN/m", Fraction(1000)),
    ),
    Dimension.TORSIONAL_STIFFNESS: (
        Unit("lb-ft/deg", _POUND_FORCE * FOOT / _DEGREE, _products(_FOOT_POUNDS, "/", ("deg", "degree"))),
        Unit("lb-in/deg", _POUND_FORCE * INCH / _DEGREE, _products(_INCH_POUNDS, "/", ("deg", "degree"))),
        Unit("N·m/deg", 1 / _DEGREE, _products(_NEWTON_METRES, "/", ("deg", "degree"))),
        Unit("N·m/rad", _ONE, _products(_NEWTON_METRES, "/", ("rad", "radian"))),
    ),
    Dimension.PRESSURE: (
        Unit("psi", _PSI, ("lb/in2", "lbf/in2")),
        Unit("ksi", 1000 * _PSI),
        Unit("Pa", _ONE),
        Unit("kPa", Fraction(1000)),
        Unit("MPa", Fraction(10**6), ("N/mm2",)),
        Unit("GPa", Fraction(10**9)),
        Unit("bar", Fraction(10**5)),
    ),
    Dimension.TORQUE: (
        Unit("lb-ft", _POUND_FORCE * FOOT, _FOOT_POUNDS),
        Unit("lb-in", _POUND_FORCE * INCH, _INCH_POUNDS),
        Unit("N·m", _ONE, _NEWTON_METRES),
    ),
    Dimension.SPEED: (
        Unit("mph", _MILE / 3600, ("mi/h", "mile/hour", "miles/hour")),
        Unit("km/h", Fraction(1000, 3600), ("kph", "kmh")),
        Unit("m/s", _ONE),
        Unit("ft/s", FOOT),
        Unit("in/min", INCH / 60, ("inch/min", "inches/min", "ipm")),
        Unit("mm/s", MILLIMETRE),
        Unit("cm/min", Fraction(1, 6000)),
    ),
    Dimension.ROTATION_SPEED: (
        Unit("rpm", 360 * _DEGREE / 60, ("rev/min", "r/min")),
        Unit("rad/s", _ONE),
    ),
    Dimension.TEMPERATURE: (
        Unit("degF", Fraction(5, 9), ("F", "deg-F", "degree-F", "degrees-F", "Fahrenheit"), Fraction("459.67")),
        Unit("degC", _ONE, ("C", "deg-C", "degree-C", "degrees-C", "Celsius"), Fraction("273.15")),
        Unit("K", _ONE, ("kelvin",)),
    ),
    Dimension.TIME: (
        Unit("s", _ONE, ("sec", "second", "seconds")),
        Unit("min", Fraction(60), ("minute", "minutes")),
        Unit("h", Fraction(3600), ("hr", "hour", "hours")),
    ),
    Dimension.RATIO: (Unit("", _ONE), Unit("%", Fraction(1, 100), ("percent",))),
    Dimension.COUNT: (Unit("", _ONE),),
    Dimension.ANGLE_PER_LENGTH: (
        Unit("deg/in", _DEGREE / INCH, _products(("deg", "degree", "degrees"), "/", ("in", "inch"))),
        Unit("deg/mm", _DEGREE / MILLIMETRE, _products(("degree", "degrees"), "/", ("mm",))),
        Unit("deg/m", _DEGREE),
        Unit("rad/m", _ONE),
    ),
    Dimension.ENERGY_PER_LENGTH: (
        Unit("kJ/in", 1000 / INCH, ("kJ/inch",)),
        Unit("kJ/mm", Fraction(10**6)),
        Unit("J/in", 1 / INCH, ("J/inch",)),
        Unit("J/mm", Fraction(1000)),
    ),
    Dimension.FREQUENCY: (Unit("Hz", _ONE, ("hertz",)),),
    Dimension.POWER: (
        Unit("hp", 550 * _POUND_FORCE * FOOT, ("horsepower",)),
        Unit("kW", Fraction(1000)),
        Unit("W", _ONE, ("watt", "watts")),
    ),
    Dimension.CURRENT: (Unit("A", _ONE, ("amp", "amps", "ampere", "amperes")),),
    Dimension.VOLTAGE: (Unit("V", _ONE, ("volt", "volts")),),
}

_INCH_POUND: dict[Dimension, Usual] = {
    Dimension.LENGTH: Usual("in", 3, "41 3/8 in"),
    Dimension.ANGLE: Usual("deg", 2, "5.5 deg"),
    Dimension.MASS: Usual("lb", 1, "620 lb"),
    Dimension.FORCE: Usual("lbf", 0, "2500 lbf"),
    Dimension.STIFFNESS: Usual("lb/in", 1, "450 lb/in"),
    Dimension.TORSIONAL_STIFFNESS: Usual("lb-ft/deg", 1, "12 lb-ft/deg"),
    Dimension.PRESSURE: Usual("psi", 1, "36000 psi"),
    Dimension.TORQUE: Usual("lb-ft", 1, "85 lb-ft"),
    Dimension.SPEED: Usual("mph", 1, "65 mph"),
    Dimension.ROTATION_SPEED: Usual("rpm", 0, "2600 rpm"),
    Dimension.TEMPERATURE: Usual("degF", 0, "300 degF"),
    Dimension.TIME: Usual("s", 1, "45 s"),
    Dimension.RATIO: Usual("", 1, "0.62 or 62 %", shown="%"),
    Dimension.COUNT: Usual("", 0, "4"),
    Dimension.ANGLE_PER_LENGTH: Usual("deg/in", 3, "0.25 deg/in"),
    Dimension.ENERGY_PER_LENGTH: Usual("kJ/in", 1, "35 kJ/in"),
    Dimension.FREQUENCY: Usual("Hz", 2, "1.4 Hz"),
    Dimension.POWER: Usual("hp", 1, "380 hp"),
    Dimension.CURRENT: Usual("A", 1, "180 A"),
    Dimension.VOLTAGE: Usual("V", 1, "21 V"),
}

USUAL: dict[System, dict[Dimension, Usual]] = {
    System.INCH_POUND: _INCH_POUND,
    System.METRIC: {
        **_INCH_POUND,
        Dimension.LENGTH: Usual("mm", 1, "875 mm"),
        Dimension.MASS: Usual("kg", 1, "280 kg"),
        Dimension.FORCE: Usual("N", 0, "11000 N"),
        Dimension.STIFFNESS: Usual("N/mm", 1, "80 N/mm"),
        Dimension.TORSIONAL_STIFFNESS: Usual("N·m/deg", 1, "16 N·m/deg"),
        Dimension.PRESSURE: Usual("MPa", 2, "250 MPa"),
        Dimension.TORQUE: Usual("N·m", 1, "115 N·m"),
        Dimension.SPEED: Usual("km/h", 1, "100 km/h"),
        Dimension.TEMPERATURE: Usual("degC", 0, "150 degC"),
        Dimension.ANGLE_PER_LENGTH: Usual("deg/mm", 4, "0.01 deg/mm"),
        Dimension.ENERGY_PER_LENGTH: Usual("kJ/mm", 2, "1.4 kJ/mm"),
        Dimension.POWER: Usual("kW", 1, "280 kW"),
    },
}
