"""The search for the smallest number of steps, on functions whose answer is known in closed form."""

from __future__ import annotations

import math

from hypothesis import given
from hypothesis import strategies as st

from buildcheck.checks.search import smallest_step

MOST = 96


@given(st.floats(0.01, 95.9), st.floats(0.01, 50.0), st.sampled_from((-1, 1)))
def test_of_a_straight_line_it_is_the_first_step_past_the_crossing(crossing: float, slope: float, sign: int) -> None:
    found = smallest_step(lambda step: slope * (sign * step - crossing), MOST)
    assert found == sign * math.ceil(crossing)


@given(st.floats(0.5, 90.0), st.floats(0.2, 5.0))
def test_of_a_curve_the_step_found_passes_and_the_one_before_it_does_not(crossing: float, power: float) -> None:
    def margin(step: int) -> float:
        return math.copysign(abs(step) ** power, step) - crossing**power

    found = smallest_step(margin, MOST)
    assert found == math.ceil(crossing)
    assert margin(found) >= 0.0 > margin(found - 1)


@given(st.integers(1, MOST), st.sampled_from((-1, 1)))
def test_a_yes_or_no_without_any_slope_is_found_to_the_step(first: int, sign: int) -> None:
    assert smallest_step(lambda step: 0.0 if sign * step >= first else -math.inf, MOST) == sign * first


def test_without_a_passing_step_within_reach_there_is_no_answer() -> None:
    assert smallest_step(lambda step: step - MOST - 0.5, MOST) is None
    assert smallest_step(lambda _: -1.0, MOST) is None
    assert smallest_step(lambda step: step - 0.5, 0) is None


def test_the_farthest_step_is_still_within_reach() -> None:
    assert smallest_step(lambda step: step - MOST, MOST) == MOST


def test_a_build_that_cannot_be_evaluated_on_the_way_is_outside_and_does_not_end_the_search() -> None:
    def margin(step: int) -> float:
        return math.nan if 3 <= step < 20 else step - 40.0

    assert smallest_step(margin, MOST) == 40


def test_a_range_narrower_than_a_step_has_no_answer() -> None:
    assert smallest_step(lambda step: 0.1 - abs(step - 4.5), MOST) is None


def test_no_step_is_tried_twice() -> None:
    tried: list[int] = []

    def margin(step: int) -> float:
        tried.append(step)
        return step**3 - 50_000.0

    assert smallest_step(margin, MOST) == 37
    assert len(tried) == len(set(tried))
    assert len(tried) < 16


def test_a_window_between_two_limits_is_found_though_steps_pass_over_it() -> None:
    def margin(step: int) -> float:
        return min(step + 61, -57 - step) / 10.0  # passes from 57 to 61 steps down

    assert smallest_step(margin, 400) == -57
    assert smallest_step(lambda step: margin(-step), 400) == 57
    assert smallest_step(lambda step: margin(step) - 0.21, 400) is None
