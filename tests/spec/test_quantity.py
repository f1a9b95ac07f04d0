"""Shop quantities: the grammar, the sentences of refusal, and what is printed."""

from __future__ import annotations

import math
import time
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sampling import draws

from buildcheck.spec.quantity import (
    Dimension,
    QuantityError,
    System,
    default_unit,
    parse,
    show,
    show_fraction,
    written_like,
)
from buildcheck.spec.units import UNITS, USUAL

INCH_POUND, METRIC = System.INCH_POUND, System.METRIC
LENGTH = Dimension.LENGTH

INCHES = {
    "39 in": 39,
    "39in": 39,
    "41.375 in": 41.375,
    "41.375": 41.375,
    "41 3/8": 41.375,
    "41 3/8 in": 41.375,
    "41-3/8 in": 41.375,
    "41⅜ in": 41.375,
    "41⅜": 41.375,
    '41 3/8"': 41.375,
    "41 3/8”": 41.375,
    "7/8 in": 0.875,
    '3/8"': 0.375,
    "35/16 in": 2.1875,
    ".5 in": 0.5,
    "5. in": 5,
    "1e1 in": 10,
    "-7/8 in": -0.875,
    "-1 1/2 in": -1.5,
    "\N{MINUS SIGN}2 in": -2,
    "+2 in": 2,
    "  2 inches ": 2,
    "5 in\n": 5,
    "\t5\n": 5,
    "2 IN": 2,
    "2 in.": 2,
    "2 Inch": 2,
    "5 ft": 60,
    "5.5 feet": 66,
    "5 ft 3 in": 63,
    "5ft3in": 63,
    "5' 3 1/2\"": 63.5,
    "5'-3 1/2\"": 63.5,
    "5′ 3″": 63,
    "-5' 3\"": -63,
    "5 ft 0.25 in": 60.25,
    "25.4 mm": 1,
    "2.54 cm": 1,
    "0.0254 m": 1,
    "254e-1 mm": 1,
}


@pytest.mark.parametrize(("text", "inches"), INCHES.items())
def test_a_length_as_written_in_a_shop(text: str, inches: float) -> None:
    assert parse(text, LENGTH, INCH_POUND) == pytest.approx(inches * 0.0254, rel=1e-15)


OTHERS = [
    ("450 lb/in", Dimension.STIFFNESS, 450 * 4.4482216152605 / 0.0254),
    ("450 lbs per inch", Dimension.STIFFNESS, 450 * 4.4482216152605 / 0.0254),
    ("450 lbf / in", Dimension.STIFFNESS, 450 * 4.4482216152605 / 0.0254),
    ("80 N/mm", Dimension.STIFFNESS, 80_000),
    ("2 lb-ft/deg", Dimension.TORSIONAL_STIFFNESS, 2 * 1.3558179483314004 * 180 / math.pi),
    ("2 N·m/deg", Dimension.TORSIONAL_STIFFNESS, 360 / math.pi),
    ("3 N·m/rad", Dimension.TORSIONAL_STIFFNESS, 3),
    *[(f"85 {u}", Dimension.TORQUE, 85 * 1.3558179483314004) for u in ("lb-ft", "ft-lb", "lbf·ft", "ft lbs")],
    *[(f"85 {u}", Dimension.TORQUE, 85) for u in ("N·m", "Nm", "N-m", "N m", "N*m", "NM")],
    ("85 lb-in", Dimension.TORQUE, 85 * 1.3558179483314004 / 12),
    ("36 ksi", Dimension.PRESSURE, 36e3 * 6894.757293168361),
    ("36 mpa", Dimension.PRESSURE, 36e6),
    ("36 N/mm²", Dimension.PRESSURE, 36e6),
    ("2 bar", Dimension.PRESSURE, 2e5),
    ("2500 lb", Dimension.FORCE, 2500 * 4.4482216152605),
    ("2500 lb", Dimension.MASS, 2500 * 0.45359237),
    ("8 oz", Dimension.MASS, 0.226796185),
    ("5°", Dimension.ANGLE, math.radians(5)),
    ("5 degrees", Dimension.ANGLE, math.radians(5)),
    ("0.1 rad", Dimension.ANGLE, 0.1),
    ("32 °F", Dimension.TEMPERATURE, 273.15),
    ("212 deg F", Dimension.TEMPERATURE, 373.15),
    ("-40 degC", Dimension.TEMPERATURE, 233.15),
    ("300 K", Dimension.TEMPERATURE, 300),
    ("62%", Dimension.RATIO, 0.62),
    ("0.62", Dimension.RATIO, 0.62),
    ("4", Dimension.COUNT, 4),
    ("60 mph", Dimension.SPEED, 26.8224),
    ("36 km/h", Dimension.SPEED, 10),
    ("30 rpm", Dimension.ROTATION_SPEED, math.pi),
    ("1.5 min", Dimension.TIME, 90),
    ("2 h", Dimension.TIME, 7200),
    ("0.25 deg/in", Dimension.ANGLE_PER_LENGTH, math.radians(0.25) / 0.0254),
    ("0.01 deg/mm", Dimension.ANGLE_PER_LENGTH, math.radians(10)),
    ("1.5 kJ/mm", Dimension.ENERGY_PER_LENGTH, 1.5e6),
    ("25.4 kJ/in", Dimension.ENERGY_PER_LENGTH, 1e6),
    ("1.4 Hz", Dimension.FREQUENCY, 1.4),
    ("10 hp", Dimension.POWER, 7456.998715822702),
    ("180 A", Dimension.CURRENT, 180),
    ("21 volts", Dimension.VOLTAGE, 21),
]


@pytest.mark.parametrize(("text", "dimension", "expected"), OTHERS)
def test_the_other_dimensions(text: str, dimension: Dimension, expected: float) -> None:
    assert parse(text, dimension, INCH_POUND) == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize("system", System)
@pytest.mark.parametrize("dimension", Dimension)
def test_a_bare_number_is_in_the_default_unit(dimension: Dimension, system: System) -> None:
    unit = default_unit(dimension, system)
    assert unit in [each.name for each in UNITS[dimension]]
    assert parse(7, dimension, system) == parse("7", dimension, system) == parse(f"7 {unit}", dimension, system)
    assert parse(7.0, dimension, system) == parse(7, dimension, system)


def test_a_decimal_means_what_is_written() -> None:
    assert parse(0.1, LENGTH, INCH_POUND) == parse("0.1 in", LENGTH, INCH_POUND) == 0.00254


REFUSED = {
    "": "does not start with a number",
    "in": "does not start with a number",
    "nan": "does not start with a number",
    "inf": "does not start with a number",
    "-inf in": "does not start with a number",
    "٣ in": "does not start with a number",
    "\uff13 in": "does not start with a number",
    "- 3 in": "does not start with a number",
    "--3 in": "does not start with a number",
    "41,4 in": "write 41.4 and not 41,4",
    "1,250 mm": "write 1250 and not 1,250",
    "1 250 mm": "write 1250 and not 1,250",
    "1'250 mm": "write 1250 and not 1,250",
    "1_250 mm": "write 1250 and not 1,250",
    "9**9**9": "its number has one part too many",
    "9**9**9 mm": "its number has one part too many",
    "41.375.6 in": "its number has one part too many",
    "1/2/3 in": "its number has one part too many",
    "5 3 in": "its number has one part too many",
    "1:30": "its number has one part too many",
    "39 in 2": "its number has one part too many",
    "1e4000": "its number has one part too many",
    "1e400": "too large or too small",
    "1e999 in": "too large or too small",
    "1e-400 in": "too large or too small",
    "1/0 in": "its fraction is not one that a tape shows",
    "3 0/0 in": "its fraction is not one that a tape shows",
    "39 3/2 in": "its fraction is not one that a tape shows",
    "5' 12\"": "the inches after feet are less than 12",
    "5' 1/0\"": "the inches after feet are less than 12",
    "39 inn": '"inn" is not a unit of length (the nearest is in)',
    "39 milimeters": '"milimeters" is not a unit of length (the nearest is mm)',
    "39 furlongs": '"furlongs" is not a unit of length',
    "450 lb/in": '"lb/in" is a unit of stiffness, not of length',
    "3 \x1b[31m": "\\x1b[31m",
    "x" * 65: "longer than 64 characters",
    "9" * 1_000_000: "longer than 64 characters",
}


@pytest.mark.parametrize(("text", "reason"), REFUSED.items(), ids=lambda text: ascii(text[:30]))
def test_a_refusal_is_one_sentence_with_an_example(text: str, reason: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse(text, LENGTH, INCH_POUND)
    message = str(caught.value)
    assert reason in message
    assert message.endswith("; write it like 41 3/8 in")
    assert message.isprintable()
    assert len(message) < 200


@pytest.mark.parametrize("value", [True, None, [1], {}, 10**400, math.nan, -math.inf, b"3 in", object()])
def test_what_is_neither_number_nor_text_is_refused(value: float) -> None:
    with pytest.raises(QuantityError, match="cannot be read as a speed"):
        parse(value, Dimension.SPEED, INCH_POUND)


def test_case_is_forgiven_only_where_it_leaves_no_doubt() -> None:
    with pytest.raises(QuantityError, match=r'"mPa" is not a unit of pressure \(the nearest is MPa\)'):
        parse("36 mPa", Dimension.PRESSURE, METRIC)


@pytest.mark.parametrize("text", ["4.5", "-4", "9/2"])
def test_a_count_is_whole(text: str) -> None:
    with pytest.raises(QuantityError, match="a count is a whole number, not below zero"):
        parse(text, Dimension.COUNT, METRIC)


def test_no_spelling_means_two_units() -> None:
    for dimension, units in UNITS.items():
        words = [word for unit in units for word in {unit.name, *unit.spellings}]
        assert len(words) == len(set(words)), dimension
        for unit in units:
            for word in (unit.name, *unit.spellings):
                expected = float((3 + unit.offset) * unit.factor)
                assert parse(f"3 {word}", dimension, METRIC) == expected, word


def test_every_dimension_has_units_and_a_readable_example() -> None:
    assert set(UNITS) == set(Dimension)
    for system in System:
        assert set(USUAL[system]) == set(Dimension)
        for dimension, usual in USUAL[system].items():
            for example in usual.example.split(" or "):
                assert parse(example, dimension, system) > 0


SHOWN = [
    (1.050925, LENGTH, INCH_POUND, "41.375 in"),
    (1.050925, LENGTH, METRIC, "1050.9 mm"),
    (math.radians(5), Dimension.ANGLE, METRIC, "5.00 deg"),
    (0.974391, Dimension.RATIO, METRIC, "97.4 %"),
    (4.0, Dimension.COUNT, METRIC, "4"),
    (422.0388889, Dimension.TEMPERATURE, INCH_POUND, "300 degF"),
    (16.27, Dimension.TORQUE, METRIC, "16.3 N·m"),
    (-1e-9, LENGTH, INCH_POUND, "0.000 in"),
    (-0.0, LENGTH, METRIC, "0.0 mm"),
    (math.nan, LENGTH, METRIC, "no number"),
    (math.inf, LENGTH, METRIC, "without bound"),
    (-math.inf, LENGTH, METRIC, "without bound"),
    (1e308, LENGTH, METRIC, "without bound"),
    (1e12, LENGTH, METRIC, "1.000e+15 mm"),
]


@pytest.mark.parametrize(("value", "dimension", "system", "text"), SHOWN)
def test_what_is_printed(value: float, dimension: Dimension, system: System, text: str) -> None:
    assert show(value, dimension, system) == text


def test_digits_and_sign() -> None:
    assert show(0.0254, LENGTH, INCH_POUND, digits=4, sign=True) == "+1.0000 in"
    assert show(-0.0254, LENGTH, INCH_POUND, sign=True) == "-1.000 in"
    assert show(1e-9, LENGTH, INCH_POUND, sign=True) == "0.000 in"


FRACTIONS = [
    (0.625, 16, "5/8 in"),
    (1.1875, 16, "1 3/16 in"),
    (1.17, 16, "1 3/16 in"),
    (-1.17, 16, "-1 3/16 in"),
    (2.0, 16, "2 in"),
    (1.99, 16, "2 in"),
    (1.17, 8, "1 1/8 in"),
    (0.03125, 16, "1/16 in"),
    (0.03, 16, "1/32 in"),
    (0.01, 16, "less than 1/64 in"),
    (0.0, 16, "less than 1/64 in"),
    (math.nan, 16, "no number"),
    (math.inf, 16, "without bound"),
]


@pytest.mark.parametrize(("inches", "denominator", "text"), FRACTIONS)
def test_a_shop_fraction(inches: float, denominator: int, text: str) -> None:
    # Multiplied by 0.0254 a half step can fall to either side, hence the hair added.
    assert show_fraction(inches * 0.0254 * (1 + 1e-12), INCH_POUND, denominator) == text


@pytest.mark.parametrize(
    ("millimetres", "text"),
    [(12.3, "12.5 mm"), (12.1, "12 mm"), (-3.0, "-3 mm"), (0.2, "0.2 mm"), (0.04, "less than 0.05 mm")],
)
def test_an_instruction_in_metric(millimetres: float, text: str) -> None:
    assert show_fraction(millimetres / 1000, METRIC) == text


def test_a_denominator_below_one_is_refused() -> None:
    with pytest.raises(ValueError, match="at least 1"):
        show_fraction(1.0, INCH_POUND, 0)


finite = st.floats(-1e6, 1e6)
dimensions = st.sampled_from([d for d in Dimension if d is not Dimension.COUNT])
systems = st.sampled_from(System)


@given(finite, dimensions, systems, st.integers(0, 6), st.booleans())
def test_what_is_shown_reads_back_within_its_digits(
    value: float, dimension: Dimension, system: System, digits: int, sign: bool
) -> None:
    text = show(value, dimension, system, digits=digits, sign=sign)
    unit = next(unit for unit in UNITS[dimension] if unit.name == default_unit(dimension, system))
    step = 0.5 * 10.0**-digits if "e+" not in text else 1e-3 * abs(value / float(unit.factor))
    read = parse(text, dimension, system)
    assert abs(read - value) <= step * float(unit.factor) * (1 + 1e-9) + 1e-12 * abs(value)
    assert not text.startswith(("-0.0 ", "-0 ", "-0.00 "))


@given(st.integers(-100, 100), st.integers(0, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_a_fraction_that_a_tape_shows_reads_back_exactly(whole: int, top: int, bottom: int) -> None:
    value = parse(f"{whole} {top % bottom}/{bottom} in", LENGTH, METRIC)
    text = show_fraction(value, INCH_POUND, 64)
    assert text == "less than 1/256 in" if value == 0 else parse(text, LENGTH, METRIC) == value


@given(finite)
def test_an_instruction_never_says_zero(value: float) -> None:
    for system in System:
        text = show_fraction(value, system)
        assert not text.startswith(("0 ", "-0 ", "0.0 ", "-0.0 "))
        assert "/0" not in text


@given(st.decimals(-10_000, 10_000, places=4))
def test_inch_pound_and_metric_spellings_give_the_same_si(inches: Decimal) -> None:
    metric = f"{inches * Decimal('25.4'):f} mm"
    for system in System:
        assert parse(metric, LENGTH, system) == parse(f"{inches:f} in", LENGTH, system)


@draws(500)
@given(
    st.one_of(st.text(max_size=80), st.text("0123456789 /.-+eE'\"inftmlb,%°·", max_size=64)),
    st.sampled_from(Dimension),
)
def test_no_text_raises_anything_but_a_quantity_error(text: str, dimension: Dimension) -> None:
    refusal = ""
    result = 0.0
    try:
        result = parse(text, dimension, INCH_POUND)
    except QuantityError as error:
        refusal = str(error)
    assert math.isfinite(result)
    assert refusal.isprintable()


@pytest.mark.parametrize("text", ["9" * 1_000_000, "1/" * 32, "1 " * 32, "1-" * 32, "." * 64, "1e" * 32, " " * 10**6])
def test_hostile_text_is_refused_at_once(text: str) -> None:
    start = time.perf_counter()
    with pytest.raises(QuantityError):
        parse(text, LENGTH, METRIC)
    assert time.perf_counter() - start < 0.1


# An amount is written in the unit and style of the value that it replaces; by hand.
WRITTEN = [
    ("34 1/2 in", 34.5625, "34 9/16 in"),
    ("34 1/2 in", 34, "34 in"),
    ("7/8 in", -1.0625, "-1 1/16 in"),
    ("1 in", 1.015625, "1 1/64 in"),
    ("41-3/8", 41.5, "41-1/2"),
    ("41⅜ in", 41.5, "41 1/2 in"),
    ('3/8"', 0.5, '1/2"'),
    ("34 1/2 in", 34.51, "34.51 in"),  # no tape has this
    ("34.50 in", 35, "35.00 in"),
    ("34.5 in", 34.5625, "34.5625 in"),
    ("5' 3 1/2\"", 71.9999999999999, "6' 0\""),
    ("5 ft 3 in", -60.0625, "-5 ft 1/16 in"),
    ("990 mm", 39, "990.6 mm"),
    ("99.0 cm", 39, "99.06 cm"),
    (22.75, 22.9375, 22.9375),
    (22, 23, 23),
    (None, 0.5, 0.5),
]


@pytest.mark.parametrize(("old", "inches", "new"), WRITTEN, ids=str)
def test_an_amount_is_written_like_the_one_it_replaces(old: str | float, inches: float, new: str | float) -> None:
    written = written_like(old, inches * 0.0254, LENGTH, INCH_POUND)
    assert written == new
    assert type(written) is type(new)


def test_other_dimensions_keep_their_unit_and_scale() -> None:
    def again(old: str, wanted: str, dimension: Dimension) -> float | str:
        return written_like(old, parse(wanted, dimension, INCH_POUND), dimension, METRIC)

    assert again("150 degF", "160 degF", Dimension.TEMPERATURE) == "160 degF"
    assert again("210 lb-ft", "215 lb-ft", Dimension.TORQUE) == "215 lb-ft"
    assert again("65 %", "0.7", Dimension.RATIO) == "70 %"
    assert again("1.5e3 psi", "2 ksi", Dimension.PRESSURE) == "2000 psi"
    assert again("6.5 deg", "7 deg", Dimension.ANGLE) == "7.0 deg"


def test_what_is_no_amount_is_not_written() -> None:
    with pytest.raises(ValueError, match="a spec cannot hold nan"):
        written_like("1 in", math.nan, LENGTH, METRIC)
    with pytest.raises(QuantityError, match='"1 lb" cannot be read as a length'):
        written_like("1 lb", 1.0, LENGTH, METRIC)


@draws(500)
@given(
    st.sampled_from([each[0] for each in WRITTEN]),
    st.sampled_from(System),
    st.one_of(
        st.integers(-9999, 9999).map(lambda count: count / 16 * 0.0254),
        st.integers(-9999, 9999).map(lambda count: count / 1000),
        st.floats(-100, 100),
    ),
)
def test_an_amount_that_is_written_reads_back(old: str | float | None, system: System, amount: float) -> None:
    written = written_like(old, amount, LENGTH, system)
    assert parse(written, LENGTH, system) == pytest.approx(amount, rel=2e-9, abs=2e-9)
    assert written_like(written, amount, LENGTH, system) == written
