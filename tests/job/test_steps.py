"""The multiples of a step that the amount of a change may be."""

import pytest

from buildcheck.job.steps import STEPS, at_least, nearest, step
from buildcheck.spec.quantity import Dimension, System, parse

INCH_POUND, METRIC = System.INCH_POUND, System.METRIC


def si(texts: list[list[str]], dimension: Dimension) -> list[list[float]]:
    return [[parse(text, dimension, METRIC) for text in ring] for ring in texts]


@pytest.mark.parametrize(
    ("amount", "dimension", "system", "adds", "rings"),
    [
        ("0.2 in", Dimension.LENGTH, INCH_POUND, True, [["3/16 in", "1/4 in"], ["1/8 in", "5/16 in"]]),
        ("3/16 in", Dimension.LENGTH, INCH_POUND, True, [["3/16 in"], ["1/8 in", "1/4 in"]]),
        ("0.01 in", Dimension.LENGTH, INCH_POUND, True, [["1/16 in"], ["1/8 in"]]),
        ("7.4 mm", Dimension.LENGTH, METRIC, True, [["7 mm", "8 mm"], ["6 mm", "9 mm"]]),
        ("5.69 deg", Dimension.ANGLE, METRIC, True, [["5.5 deg", "6 deg"], ["5 deg", "6.5 deg"]]),
        ("153.5 lb-ft", Dimension.TORQUE, INCH_POUND, False, [["153 lb-ft", "154 lb-ft"], ["152 lb-ft", "155 lb-ft"]]),
        ("507 degF", Dimension.TEMPERATURE, INCH_POUND, False, [["500 degF", "510 degF"], ["490 degF", "520 degF"]]),
        ("262 degC", Dimension.TEMPERATURE, METRIC, False, [["260 degC", "265 degC"], ["255 degC", "270 degC"]]),
    ],
)
def test_the_nearest_multiples_come_first_and_then_the_next_ones_out(
    amount: str, dimension: Dimension, system: System, adds: bool, rings: list[list[str]]
) -> None:
    found = nearest(parse(amount, dimension, METRIC), dimension, system, adds=adds)
    assert found == [pytest.approx(ring, rel=1e-12) for ring in si(rings, dimension)]


def test_a_difference_of_temperatures_has_no_zero_of_a_scale() -> None:
    assert nearest(12.0, Dimension.TEMPERATURE, METRIC, adds=True) == [[10.0, 15.0], [5.0, 20.0]]


@pytest.mark.parametrize(
    ("amount", "wanted", "dimension", "system"),
    [
        ("2766 lbf", "2800 lbf", Dimension.FORCE, INCH_POUND),
        ("2800 lbf", "2800 lbf", Dimension.FORCE, INCH_POUND),
        ("12301 N", "12500 N", Dimension.FORCE, METRIC),
        ("1 7/8 in", "1 7/8 in", Dimension.LENGTH, INCH_POUND),
        ("1.88 in", "1 15/16 in", Dimension.LENGTH, INCH_POUND),
        ("43100 psi", "44000 psi", Dimension.PRESSURE, INCH_POUND),
        ("301 MPa", "305 MPa", Dimension.PRESSURE, METRIC),
    ],
)
def test_a_least_amount_is_rounded_up(amount: str, wanted: str, dimension: Dimension, system: System) -> None:
    found = at_least(parse(amount, dimension, METRIC), dimension, system)
    assert found == pytest.approx(parse(wanted, dimension, METRIC), rel=1e-12)


@pytest.mark.parametrize("system", System)
@pytest.mark.parametrize("dimension", Dimension)
def test_every_step_is_above_zero_and_both_systems_list_the_same_kinds(dimension: Dimension, system: System) -> None:
    assert step(dimension, system) > 0
    assert (dimension in STEPS[INCH_POUND]) is (dimension in STEPS[METRIC])
    assert at_least(1e-12, dimension, system) == parse(float(step(dimension, system)), dimension, system)
