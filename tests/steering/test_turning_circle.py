"""Laws of Ackermann geometry and of the turning circle."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildcheck.steering.turning_circle import (
    ackermann_share,
    centre_by_both,
    centre_by_inner,
    centre_by_outer,
    ideal_outer,
    outer_tyre_radius,
)

angles, kingpins, wheelbases = st.floats(0.05, 1.2), st.floats(1.0, 1.8), st.floats(2.0, 4.0)


@given(angles, kingpins, wheelbases, st.floats(-0.1, 0.2))
def test_ideal_wheels_roll_about_one_point_on_the_rear_axle_s_line(
    inner: float, w: float, wheelbase: float, offset: float
) -> None:
    outer = float(ideal_outer(inner, w, wheelbase))
    to_inner, to_outer = wheelbase / np.tan(inner), wheelbase / np.tan(outer)
    assert to_outer - to_inner == pytest.approx(w, abs=1e-9)
    assert 0 < outer < inner
    assert float(ackermann_share(inner, outer, w, wheelbase)) == pytest.approx(1, abs=1e-12)
    assert float(ackermann_share(inner, inner, w, wheelbase)) == 0
    centre = to_inner + w / 2
    for found in (
        centre_by_both(inner, outer, wheelbase), centre_by_inner(inner, w, wheelbase),
        centre_by_outer(outer, w, wheelbase),
    ):  # fmt: skip
        assert float(found) == pytest.approx(centre, rel=1e-12)
        # The middle of the tyre lies on the wheel's axis, which goes through the common point.
        radius = float(outer_tyre_radius(found, outer, w, wheelbase, offset))
        assert radius == pytest.approx(np.hypot(to_outer, wheelbase) + offset, rel=1e-12)


@given(angles, wheelbases)
def test_wheels_that_are_alike_turn_as_a_bicycle(angle: float, wheelbase: float) -> None:
    assert float(centre_by_both(angle, angle, wheelbase)) == pytest.approx(wheelbase / np.tan(angle), rel=1e-12)
    assert float(centre_by_inner(angle, 0.0, wheelbase)) == pytest.approx(wheelbase / np.tan(angle), rel=1e-12)


@given(angles, angles, kingpins, wheelbases)
def test_the_common_point_is_midway_between_what_either_wheel_asks_for(
    inner: float, outer: float, w: float, wheelbase: float
) -> None:
    both = float(centre_by_both(inner, outer, wheelbase))
    by_inner, by_outer = float(centre_by_inner(inner, w, wheelbase)), float(centre_by_outer(outer, w, wheelbase))
    assert both == pytest.approx((by_inner + by_outer) / 2, rel=1e-12)
    radii = [float(outer_tyre_radius(centre, outer, w, wheelbase, 0.1)) for centre in (by_inner, both, by_outer)]
    assert radii[1] == pytest.approx(np.clip(radii[1], *sorted((radii[0], radii[2]))), rel=1e-12)


def test_a_turn_by_the_cotangents_of_school() -> None:
    """Wheels at 45 and 30 deg on a wheelbase of 3 m with kingpins 1.4 m apart: cotangents of 1 and of the root of 3."""
    inner, outer, root = np.radians(45.0), np.radians(30.0), np.sqrt(3.0)
    assert float(centre_by_both(inner, outer, 3.0)) == pytest.approx(3 * (1 + root) / 2, abs=1e-12)
    assert float(centre_by_inner(inner, 1.4, 3.0)) == pytest.approx(3.7, abs=1e-12)
    assert float(centre_by_outer(outer, 1.4, 3.0)) == pytest.approx(3 * root - 0.7, abs=1e-12)
    # The outer tyre's middle, 0.2 m out along its axle, from the rear axle's line and from the middle plane.
    radius = float(outer_tyre_radius(3.7, outer, 1.4, 3.0, 0.2))
    assert radius == pytest.approx(np.hypot(3.0 + 0.1, 3.7 + 0.7 + 0.1 * root), abs=1e-12)


def test_angles_that_are_no_turn_have_neither_ideal_nor_circle() -> None:
    wrong = np.array([0.0, -0.1, np.nan, 2.0])
    assert np.all(np.isnan(ideal_outer(wrong, 1.4, 2.8)))
    assert np.all(np.isnan(ackermann_share(wrong, 0.2, 1.4, 2.8)))
    for found in (
        centre_by_both(wrong, 0.2, 2.8), centre_by_both(0.2, wrong, 2.8), centre_by_inner(wrong, 1.4, 2.8),
        centre_by_outer(wrong, 1.4, 2.8),
    ):  # fmt: skip
        assert np.all(np.isnan(found))
        assert np.all(np.isnan(outer_tyre_radius(found, 0.2, 1.4, 2.8, 0.1)))
