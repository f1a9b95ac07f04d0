"""Welds taken as lines, against printed tables and examples and against scipy's integrals.

Sources, each read in part: Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., tables 9-1 and 9-2,
and the solutions of the 8th ed., problems 9-5, 9-6 and 9-8; AISC 360, equation J2-1. The bracket in bending and the C
of example 9-1 are computed with the tables' formulas, their data partly from memory.
"""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from buildcheck.strength.weld_lines import (
    WeldLines,
    all_round,
    long_weld_factor,
    one_line,
    round_a_circle,
    three_sides,
    two_lines,
)

Segment = tuple[tuple[float, float], tuple[float, float]]
B, D = 3.0, 4.0
RECTANGLE: list[Segment] = [((0, 0), (B, 0)), ((B, 0), (B, D)), ((B, D), (0, D)), ((0, D), (0, 0))]


def by_integrals(segments: list[Segment]) -> tuple[float, float, float, float]:
    """Length, the integrals of x^2 and y^2 about the middle, and the largest radius, by scipy's quadrature."""

    def along(of: object) -> float:
        total = 0.0
        for (ax, ay), (bx, by) in segments:
            size = math.hypot(bx - ax, by - ay)
            total += quad(lambda s, a=ax, b=bx, c=ay, d=by: of(a + s * (b - a), c + s * (d - c)), 0, 1)[0] * size
        return total

    length = along(lambda x, y: 1.0)
    cx, cy = along(lambda x, y: x) / length, along(lambda x, y: y) / length
    radius = max(math.hypot(x - cx, y - cy) for segment in segments for x, y in segment)
    return length, along(lambda x, y: (x - cx) ** 2), along(lambda x, y: (y - cy) ** 2), radius


@pytest.mark.parametrize(
    ("lines", "segments"),
    [
        (one_line(B), RECTANGLE[:1]),
        (two_lines(B, D), [RECTANGLE[0], RECTANGLE[2]]),
        (three_sides(B, D), RECTANGLE[:3]),
        (all_round(B, D), RECTANGLE),
    ],
    ids=["one", "two", "three", "four"],
)
def test_the_properties_are_the_integrals_along_the_lines(lines: WeldLines, segments: list[Segment]) -> None:
    length, across, along, radius = by_integrals(segments)
    assert lines.length == pytest.approx(length)
    assert lines.squares == pytest.approx((across, along))
    assert np.max(np.linalg.norm(lines.corners, axis=1)) == pytest.approx(radius)


def test_the_properties_as_printed() -> None:
    """J: a square of 2 in 10.67 in3 (problem 9-6), two lines of 2 in, 2 in apart, 5.333 in3 (9-5), a circle of a
    radius of 4 cm 402 cm3 (9-8); tables 9-1 and 9-2 for a rectangle of 3 by 4."""
    assert sum(all_round(2.0, 2.0).squares) == pytest.approx(10.67, abs=0.005)
    assert sum(two_lines(2.0, 2.0).squares) == pytest.approx(5.333, abs=0.001)
    assert sum(round_a_circle(8.0).squares) == pytest.approx(402, abs=0.5)
    rectangle = all_round(B, D)
    assert sum(rectangle.squares) == pytest.approx((B + D) ** 3 / 6)
    assert rectangle.squares[1] == pytest.approx(D**2 * (3 * B + D) / 6)
    assert sum(three_sides(B, D).squares) == pytest.approx((8 * B**3 + 6 * B * D**2 + D**3) / 12 - B**4 / (2 * B + D))


def test_an_eccentric_load_on_two_lines() -> None:
    """Solutions of Shigley, 8th ed., problem 9-5: lines of 2 in, 2 in apart, legs of 5/16 in, F at 7 in: 1.13 F, and
    5.93 F each way; 9.22 F in all where the book adds them by direction; here by the worst one."""
    throat = 0.707 * 5 / 16
    lines = two_lines(2.0, 2.0)
    zero = np.zeros(1)
    direct = lines.most_per_length(np.ones(1), zero, zero, zero) / throat
    turned = lines.most_per_length(zero, np.full(1, 7.0), zero, zero) / throat
    assert direct == pytest.approx(1.13, abs=0.005)
    assert turned == pytest.approx(math.hypot(5.93, 5.93), rel=3e-3)
    both = lines.most_per_length(np.ones(1), np.full(1, 7.0), zero, zero) / throat
    assert 9.22 < both[0] == pytest.approx(float(direct[0] + turned[0]))


def test_a_bracket_in_bending() -> None:
    """Table 9-2 (computed): all round 40 by 75 mm, 6 mm legs, 15 kN at 60 mm: 15.37 and 43.52 MPa, 46.16 MPa together,
    about the axis along the 40 mm; the worst direction is worse."""
    lines, zero = all_round(0.040, 0.075), np.zeros(1)
    throat = 0.707 * 0.006
    assert lines.most_per_length(np.full(1, 15e3), zero, zero, zero)[0] / throat == pytest.approx(15.37420823e6)
    assert 15e3 * 0.060 * 0.0375 / lines.squares[1] / throat == pytest.approx(43.5208356e6)
    assert lines.most_per_length(np.full(1, 15e3), zero, zero, np.full(1, 900.0))[0] / throat > 46.15657494e6


def test_the_worst_direction_of_a_moment_is_what_is_computed() -> None:
    """Navier's formula for a line, at every corner, over every direction of the moment."""
    lines, zero = all_round(0.05, 0.12), np.zeros(1)
    angles = np.linspace(0, 2 * np.pi, 100001)
    x, y = lines.corners[0]
    stress = 700.0 * np.abs(np.cos(angles) * x / lines.squares[0] + np.sin(angles) * y / lines.squares[1])
    assert lines.most_per_length(zero, zero, zero, np.full(1, 700.0))[0] == pytest.approx(np.max(stress), rel=1e-8)


def test_a_c_of_example_nine_one() -> None:
    """Shigley, example 9-1 (data from memory, computed): a C of 56 by 190 mm: the middle is 10.38 mm from the spine,
    and J of 6 mm legs 7.071e6 mm4."""
    lines = three_sides(56.0, 190.0)
    assert -lines.corners[1][0] == pytest.approx(10.3841, abs=1e-4)
    assert 0.707 * 6 * sum(lines.squares) == pytest.approx(7.07097e6, rel=1e-5)
    assert 0.707 * 6 * lines.length == pytest.approx(1281.08, abs=0.01)


def test_a_single_line_does_not_hold_a_moment() -> None:
    zero = np.zeros(2)
    found = one_line(0.1).most_per_length(np.full(2, 10.0), zero, zero, np.array([0.0, 1.0]))
    assert found[0] == pytest.approx(100.0)
    assert math.isinf(found[1])


@pytest.mark.parametrize(("legs", "factor"), [(10, 1.0), (100, 1.0), (150, 0.9), (300, 0.6), (400, 0.45)])
def test_long_lines_count_less(legs: float, factor: float) -> None:
    """AISC 360, equation J2-1: 1.2 - 0.002 L / w, and 180 w beyond 300 w."""
    assert long_weld_factor(legs * 0.005, 0.005) == pytest.approx(factor)


def test_welding_a_share_of_the_lines_raises_the_stress_in_proportion() -> None:
    whole, values = all_round(0.1, 0.06), [np.full(1, value) for value in (1e3, 40.0, 2e3, 90.0)]
    assert whole.shorter(0.5).most_per_length(*values) == pytest.approx(2 * whole.most_per_length(*values))


def test_a_pull_is_even_along_the_lines_whichever_way_it_goes() -> None:
    """P / L, square to V / L."""
    lines, zero = all_round(0.1, 0.06), np.zeros(1)
    for pull in (800.0, -800.0):
        assert lines.most_per_length(zero, zero, np.full(1, pull), zero) == pytest.approx(800 / 0.32)
        both = lines.most_per_length(np.full(1, 600.0), zero, np.full(1, pull), zero)
        assert both == pytest.approx(1000 / 0.32)
