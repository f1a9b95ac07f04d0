"""Laws of Ackermann geometry and of the turning circle."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildcheck.motion.turning import ackermann_error, ackermann_share, ideal_outer, turning_radius


@given(st.floats(0.05, 1.2), st.floats(1.0, 1.8), st.floats(2.0, 4.0))
def test_ideal_wheels_roll_about_one_point_on_the_rear_axle_s_line(inner: float, w: float, wheelbase: float) -> None:
    outer = float(ideal_outer(inner, w, wheelbase))
    to_inner, to_outer = wheelbase / np.tan(inner), wheelbase / np.tan(outer)
    assert to_outer - to_inner == pytest.approx(w, abs=1e-9)
    assert 0 < outer < inner
    assert float(ackermann_error(inner, outer, w, wheelbase)) == pytest.approx(0, abs=1e-15)
    assert float(ackermann_share(inner, outer, w, wheelbase)) == pytest.approx(1, abs=1e-12)
    assert float(ackermann_share(inner, inner, w, wheelbase)) == 0
    assert float(ackermann_error(inner, inner, w, wheelbase)) > 0
    assert float(turning_radius(outer, wheelbase)) == pytest.approx(np.hypot(to_outer, wheelbase), rel=1e-12)
    assert float(turning_radius(outer, wheelbase, 0.1)) == pytest.approx(np.hypot(to_outer, wheelbase) + 0.1, rel=1e-12)


def test_angles_that_are_no_turn_have_neither_ideal_nor_circle() -> None:
    wrong = np.array([0.0, -0.1, np.nan, 2.0])
    assert np.all(np.isnan(ideal_outer(wrong, 1.4, 2.8)))
    assert np.all(np.isnan(ackermann_error(wrong, 0.2, 1.4, 2.8)))
    assert np.all(np.isnan(turning_radius(wrong, 2.8)))
