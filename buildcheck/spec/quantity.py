"""Convert shop quantities to SI and back: "41 3/8 in", `7/8"`, "990 mm", "450 lb/in", or a bare number.

This is a small grammar of our own, because general unit libraries misread shop fractions ("3 1/2 in" as 1.5 in). It
computes in exact fractions and rounds once, with the exact factors of NIST Special Publication 811 (2008), appendix B.

A number is whole, decimal (with a point), a fraction, or mixed (`41 3/8`, `41-3/8`, `41⅜`); a length may
be in feet and inches (`5 ft 3 in`, `5' 3 1/2"`). The unit follows, with or without a space. Without a unit
the number is in the unit that the system uses for that dimension: in, deg, lb, lbf, lb/in, lb-ft/deg, psi,
lb-ft, mph, degF (inch-pound), or mm, deg, kg, N, N/mm, N·m/deg, MPa, N·m, km/h, degC (metric). In
inch-pound a bare pressure is in psi, never in ksi. A temperature is on its scale; a difference of
temperatures is not read or shown here.
"""

from __future__ import annotations

import math
import re
from contextlib import suppress
from fractions import Fraction
from functools import cache, lru_cache
from typing import Any, Final

from buildcheck.spec.units import INCH, MILLIMETRE, UNITS, USUAL, Dimension, System, Unit

__all__ = [
    "Dimension",
    "QuantityError",
    "System",
    "default_unit",
    "parse",
    "same_number_in_other_units",
    "show",
    "show_fraction",
    "usual_scale",
    "usual_unit",
    "written_like",
]

MAX_LENGTH: Final = 64
"""Longest text that is read as a quantity, in characters."""

_DECIMALS = 9
"""Decimals of an amount that is written into a spec, at most; fewer where fewer give the same amount."""
_FINEST = 64
"""Finest fraction of an inch that a tape or a drill chart has."""

_PLAIN_LIMIT = 1e10  # from here on a number is shown with an exponent
_FRACTION_LIMIT = 1e6  # from here on a shop fraction has no meaning

_NUMBER = (
    r"(?:(?P<whole>[0-9]+)(?: +|-))?(?P<top>[0-9]+)/(?P<bottom>[0-9]+)"
    r"|(?P<decimal>(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]{1,3})?)"
)
_PARTS_OF_A_NUMBER = ("whole", "top", "bottom", "decimal")
_QUANTITY = re.compile(rf"(?P<sign>[-+]?)(?:{_NUMBER})(?P<unit>.*)", re.DOTALL)
_FEET_AND_INCHES = re.compile(
    r"(?P<sign>[-+]?)(?P<feet>[0-9]+) *(?:ft\.?|foot|feet|')(?: *- *| *)"
    rf"""(?:{_NUMBER}) *(?:in\.?|inch|inches|"|'')"""
)
_THOUSANDS_COMMA = re.compile(r"[-+]?[0-9]{1,3}(?:,[0-9]{3})+(?![0-9])")
_THOUSANDS_SPACE = re.compile(r"[-+]?[0-9]{1,3}(?:[ '_][0-9]{3})+(?![0-9/])")

_EXTRA_PART = "its number has one part too many"

_SAME_SIGNS = str.maketrans(
    {
        "\u00a0": " ",
        "\u202f": " ",
        "\u2212": "-",
        "\u2032": "'",
        "\u2019": "'",
        "\u2033": '"',
        "\u201d": '"',
        "½": " 1/2",
        "¼": " 1/4",
        "¾": " 3/4",
        "⅛": " 1/8",
        "⅜": " 3/8",
        "⅝": " 5/8",
        "⅞": " 7/8",
    }
)
_SAME_UNIT_SIGNS = str.maketrans({"·": "-", "⋅": "-", "*": "-", "°": "deg", "²": "2"})


class QuantityError(ValueError):
    """A value is not a quantity of the expected kind; the message is one plain sentence with an example."""


def parse(value: float | str, dimension: Dimension, system: System) -> float:
    """Return a quantity in SI units.

    ``value`` is a number in the system's unit of that dimension, or text as described at the top of this
    file. Raises QuantityError, and nothing else, where it is neither, whatever its type.

    >>> parse("41 3/8 in", Dimension.LENGTH, System.METRIC)
    1.050925
    >>> parse(990, Dimension.LENGTH, System.METRIC)
    0.99
    """
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise _refusal(value, dimension, system, "it is neither a number nor text")
    return _parse(value, dimension, system)


def dimensions_of(text: str) -> list[Dimension]:
    """The dimensions that the unit of an amount belongs to; none for a bare number, and for text that is no amount.

    >>> dimensions_of("20 lb")
    [<Dimension.MASS: 'mass'>, <Dimension.FORCE: 'force'>]
    """
    tidy = text.translate(_SAME_SIGNS).strip()
    if _FEET_AND_INCHES.fullmatch(tidy):
        return [Dimension.LENGTH]
    found = _QUANTITY.fullmatch(tidy)
    spelled = "" if found is None else _unit_text(found["unit"])
    return [each for each in Dimension if spelled and _known_unit(spelled, each) is not None]


# A spec is read twice, by the schema and by the build, and many of its numbers repeat. The cache distinguishes types,
# because 1 is equal to 1.0.
@lru_cache(maxsize=4096, typed=True)
def _parse(value: float | str, dimension: Dimension, system: System) -> float:
    number, unit = _read(value, dimension, system)
    if dimension is Dimension.COUNT and (number < 0 or number.denominator != 1):
        raise _refusal(value, dimension, system, "a count is a whole number, not below zero")
    try:
        result = float((number + unit.offset) * unit.factor)
    except OverflowError:
        result = math.inf
    if math.isinf(result) or (result == 0 and number + unit.offset != 0):
        raise _refusal(value, dimension, system, "the number is too large or too small to compute with")
    return result


def same_number_in_other_units(value: float | str, dimension: Dimension, system: System) -> dict[str, float]:
    """Values that the same number would have in each other unit of its dimension: by text, in SI.

    >>> same_number_in_other_units(9.5, Dimension.LENGTH, System.INCH_POUND)["9.5 ft"]
    2.8956
    """
    number, own = _read(value, dimension, system)
    written = str(value)
    if isinstance(value, str):
        tidy = value.translate(_SAME_SIGNS).strip()
        found = _QUANTITY.fullmatch(tidy)
        if found is None or _FEET_AND_INCHES.fullmatch(tidy):  # feet and inches have two units
            return {}
        written = found[0].removesuffix(found["unit"]).strip()
    readings = {}
    for unit in UNITS[dimension]:
        if unit is not own and unit.name:
            with suppress(OverflowError):  # a number too large for one unit may fit another
                readings[f"{written} {unit.name}"] = float((number + unit.offset) * unit.factor)
    return readings


def show(value: float, dimension: Dimension, system: System, *, digits: int | None = None, sign: bool = False) -> str:
    """Return an SI value as text in the system's unit; every number that the tool prints is made here.

    ``digits`` replaces the usual number of decimals; ``sign`` puts a plus before values above zero. NaN is
    "no number", and infinite is "without bound".

    >>> show(1.050925, Dimension.LENGTH, System.INCH_POUND)
    '41.375 in'
    """
    if math.isnan(value):
        return "no number"
    usual, unit = USUAL[system][dimension], _shown_in(dimension, system)
    try:
        number = float(Fraction(float(value)) / unit.factor - unit.offset)
    except OverflowError:  # infinite, or finite in SI but not in the shop's unit
        return "without bound"
    decimals = usual.decimals if digits is None else digits
    text = f"{number:.{decimals}f}" if abs(number) < _PLAIN_LIMIT else f"{number:.3e}"
    if float(text) == 0:
        text = text.removeprefix("-")
    elif sign and number > 0:
        text = f"+{text}"
    return f"{text} {unit.name}".rstrip()


def show_fraction(value: float, system: System, denominator: int = 16) -> str:
    """Return a length in metres as text for an instruction: "1 3/16 in", or to half a millimetre in metric.

    Rounded to the nearest 1/``denominator`` inch. A length that would round to zero is given twice as fine (in metric,
    to a tenth of a millimetre), and below that as "less than 1/64 in", so that no instruction reads "0 in". Raises
    ValueError where ``denominator`` is below 1.

    >>> show_fraction(0.0301625, System.INCH_POUND)
    '1 3/16 in'
    """
    if denominator < 1:
        raise ValueError("the denominator is at least 1")
    unit = INCH if system is System.INCH_POUND else MILLIMETRE
    if not math.isfinite(value) or abs(value) >= _FRACTION_LIMIT:
        return show(value, Dimension.LENGTH, system)
    size = abs(Fraction(float(value)) / unit)
    minus = "-" if value < 0 else ""
    if system is System.METRIC:
        steps = _nearest(size * 2)
        if steps:
            return f"{minus}{steps // 2}{'.5' if steps % 2 else ''} mm"
        tenths = _nearest(size * 10)
        return f"{minus}0.{tenths} mm" if tenths else "less than 0.05 mm"
    for parts in (denominator, 2 * denominator):
        steps = _nearest(size * parts)
        if steps:
            return f"{minus}{_mixed(Fraction(steps, parts))} in"
    return f"less than 1/{4 * denominator} in"


def written_like(old: float | str | None, amount: float, dimension: Dimension, system: System) -> float | str:
    """Return an SI amount as a shop writes it into a spec, in the unit and style of the value that it replaces.

    A bare number stays one; text keeps its unit as spelled. A fraction or a whole number of inches becomes a fraction,
    down to 1/64, and a decimal stays one, with no fewer digits, and with as many as the amount needs. Without an old
    value it is a bare number. Raises QuantityError where the old value is not an amount of this dimension, and
    ValueError where the amount is not finite.

    >>> written_like("34 1/2 in", 34.5625 * 0.0254, Dimension.LENGTH, System.METRIC)
    '34 9/16 in'
    >>> written_like(22.75, 22.9375 * 0.0254, Dimension.LENGTH, System.INCH_POUND)
    22.9375
    """
    if not math.isfinite(amount):
        raise ValueError(f"a spec cannot hold {amount}; give a finite number")
    _, unit = _read(0 if old is None else old, dimension, system)
    number = Fraction(float(amount)) / unit.factor - unit.offset
    if not isinstance(old, str):
        decimal = _decimal(number, 0)
        return float(decimal) if "." in decimal else int(decimal)
    tidy, sign = old.translate(_SAME_SIGNS).strip(), "-" if number < 0 else ""
    if dimension is Dimension.LENGTH and (found := _FEET_AND_INCHES.fullmatch(tidy)):
        feet, inches = divmod(round(abs(number), _DECIMALS), 12)  # so that no rounding gives 12 inches
        between = tidy[found.end("feet") : min(at for at in map(found.start, _PARTS_OF_A_NUMBER) if at >= 0)]
        behind = tidy[max(map(found.end, _PARTS_OF_A_NUMBER)) :]
        by_fractions = "." not in (found["decimal"] or "")
        return f"{sign}{feet}{between}{_in_style(found, inches, by_fractions=by_fractions)}{behind}"
    found = _QUANTITY.fullmatch(tidy)
    assert found is not None  # it was read above
    whole_inches = unit.factor == INCH and bool(found["unit"].strip()) and "." not in (found["decimal"] or "")
    return (
        f"{sign}{_in_style(found, abs(number), by_fractions=whole_inches or found['top'] is not None)}{found['unit']}"
    )


def usual_unit(dimension: Dimension, system: System) -> str:
    """Name of the unit in which values are shown; empty for a dimension without one."""
    return _shown_in(dimension, system).name


def usual_scale(dimension: Dimension, system: System) -> tuple[float, float]:
    """Factor and offset that convert an SI value to that unit: number = value / factor - offset."""
    unit = _shown_in(dimension, system)
    return float(unit.factor), float(unit.offset)


def default_unit(dimension: Dimension, system: System) -> str:
    """Return the unit of a bare number, in which values are also shown; "" for ratios and counts."""
    return USUAL[system][dimension].unit


def _read(value: float | str, dimension: Dimension, system: System) -> tuple[Fraction, Unit]:
    """Read the number and the unit as written."""
    usual = _named(default_unit(dimension, system), dimension)
    if isinstance(value, str):
        return _read_text(value, usual, dimension, system)
    if isinstance(value, float) and not math.isfinite(value):
        raise _refusal(value, dimension, system, "it is not a finite number")
    # A decimal is read as written, 0.1 and not the nearest binary number: the same as "0.1 in".
    return Fraction(value) if isinstance(value, int) else Fraction(repr(float(value))), usual


def _read_text(text: str, usual: Unit, dimension: Dimension, system: System) -> tuple[Fraction, Unit]:
    if len(text) > MAX_LENGTH:
        raise _refusal(text, dimension, system, f"it is longer than {MAX_LENGTH} characters")
    tidy = text.translate(_SAME_SIGNS).strip()
    if dimension is Dimension.LENGTH and (found := _FEET_AND_INCHES.fullmatch(tidy)):
        inches = _number(found)
        if inches is None or inches >= 12:
            raise _refusal(text, dimension, system, "the inches after feet are less than 12")
        number = 12 * int(found["feet"]) + inches
        return (-number if found["sign"] == "-" else number), _named("in", dimension)
    found = _QUANTITY.fullmatch(tidy)
    if "," in tidy or _THOUSANDS_SPACE.match(tidy) or (found and found["unit"].strip()[:1].isdigit()):
        raise _refusal(text, dimension, system, _separator_hint(tidy))
    if found is None:
        raise _refusal(text, dimension, system, "it does not start with a number")
    size = _number(found)
    if size is None:
        raise _refusal(text, dimension, system, "its fraction is not one that a tape shows")
    number = -size if found["sign"] == "-" else size
    spelled = _unit_text(found["unit"])
    return number, usual if not spelled else _unit(spelled, found["unit"].strip(), text, dimension, system)


def _number(found: re.Match[str]) -> Fraction | None:
    """Number without its sign; None for a zero denominator, or a mixed number whose fraction is not below 1."""
    if found["decimal"] is not None:
        return Fraction(found["decimal"])
    top, bottom = int(found["top"]), int(found["bottom"])
    if bottom == 0 or (found["whole"] is not None and top >= bottom):
        return None
    return int(found["whole"] or 0) + Fraction(top, bottom)


def _separator_hint(tidy: str) -> str:
    if _THOUSANDS_COMMA.match(tidy) or _THOUSANDS_SPACE.match(tidy):
        return "digits are not grouped, so write 1250 and not 1,250 or 1 250"
    if "," in tidy:
        return "the decimal sign is a point, so write 41.4 and not 41,4"
    return _EXTRA_PART


def _unit_text(text: str) -> str:
    """Normalise the ways of writing products and quotients of units: "lb ft", "lb·ft" are "lb-ft"."""
    tidy = re.sub(r" *\bper\b *", "/", text.translate(_SAME_UNIT_SIGNS).strip(" "))
    tidy = re.sub(r" *([/-]) *", r"\1", tidy)
    return re.sub(r" +|\.", "-", re.sub(r"\.(?=$|[ /-])", "", tidy))


@cache
def _spellings(dimension: Dimension) -> dict[str, Unit]:
    return {_unit_text(word): unit for unit in UNITS[dimension] for word in (unit.name, *unit.spellings)}


@cache
def _folded_spellings(dimension: Dimension) -> dict[str, Unit]:
    return {word.casefold(): unit for word, unit in _spellings(dimension).items()}


def _known_unit(spelled: str, dimension: Dimension) -> Unit | None:
    known = _spellings(dimension)
    if spelled in known:
        return known[spelled]
    # "MM", "Lb" and "mpa" mean mm, lb and MPa; a mixed spelling such as mPa is another unit.
    if spelled.islower() or spelled.isupper() or spelled.istitle():
        return _folded_spellings(dimension).get(spelled.casefold())
    return None


def _unit(spelled: str, written: str, text: str, dimension: Dimension, system: System) -> Unit:
    known = _known_unit(spelled, dimension)
    if known is not None:
        return known
    other = next((other for other in Dimension if spelled in _spellings(other)), None)
    if other is not None:
        reason = f'"{_echo(written)}" is a unit of {other.value}, not of {dimension.value}'
        raise _refusal(text, dimension, system, reason)
    if re.search("[0-9]", spelled):
        raise _refusal(text, dimension, system, _EXTRA_PART)
    import difflib  # not needed for a sound file

    folded = _folded_spellings(dimension)
    near = difflib.get_close_matches(spelled.casefold(), folded, n=1)
    meant = f" (the nearest is {folded[near[0]].name})" if near and folded[near[0]].name else ""
    raise _refusal(text, dimension, system, f'"{_echo(written)}" is not a unit of {dimension.value}{meant}')


def _shown_in(dimension: Dimension, system: System) -> Unit:
    usual = USUAL[system][dimension]
    return _named(usual.shown or usual.unit, dimension)


def _named(name: str, dimension: Dimension) -> Unit:
    return next(unit for unit in UNITS[dimension] if unit.name == name)


def _refusal(value: Any, dimension: Dimension, system: System, reason: str) -> QuantityError:
    article = "an" if dimension.value[0] in "aeiou" else "a"
    example = USUAL[system][dimension].example
    what = f'"{_echo(value)}"' if isinstance(value, str) else _kind(value)
    return QuantityError(f"{what} cannot be read as {article} {dimension.value}: {reason}; write it like {example}")


def _kind(value: object) -> str:
    """Describe a value that is not text in a few words; never its own repr, which can be endless."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if value is None:
        return "an empty value"
    if isinstance(value, float):
        return repr(float(value))
    return {int: "this number", list: "a list", dict: "a group of keys"}.get(type(value), "this value")


def _echo(text: str) -> str:
    """Text from a file without invisible characters, cut to 40 characters."""
    shown = "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in text[:41])
    return shown if len(shown) <= 40 else f"{shown[:37]}..."


def _nearest(size: Fraction) -> int:
    """Nearest whole number, with halves rounded up, as on a tape; Python's round() rounds halves to even."""
    return math.floor(size + Fraction(1, 2))


def _mixed(size: Fraction) -> str:
    whole, rest = divmod(size, 1)
    if not rest:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)


def _in_style(found: re.Match[str], size: Fraction, *, by_fractions: bool) -> str:
    """A number, not below zero, in the style of the one that was found: a fraction, or a decimal."""
    nearest = round(size * _FINEST)
    if by_fractions and abs(size * _FINEST - nearest) < _FINEST * Fraction(1, 10**_DECIMALS):
        mixed = _mixed(Fraction(nearest, _FINEST))
        return mixed.replace(" ", "-") if found["whole"] and found[0][found.end("whole")] == "-" else mixed
    decimals = re.search(r"\.([0-9]*)$", found["decimal"] or "")  # none where it has an exponent
    return _decimal(size, len(decimals[1]) if decimals else 0)


def _decimal(number: Fraction, least: int) -> str:
    """A decimal with the fewest digits that give the number, but no fewer decimals than `least`."""
    near = Fraction(1, 10**_DECIMALS) * max(Fraction(1), abs(number))
    digits = next((d for d in range(_DECIMALS) if abs(round(number, d) - number) <= near), _DECIMALS)
    return f"{float(round(number, digits)):.{max(digits, least)}f}"
