"""What the layout takes from the points of a spec."""

from __future__ import annotations

import pytest

from buildcheck.build import Point
from buildcheck.job.layout import off_line


def test_how_far_a_point_lies_off_a_line() -> None:
    start, end = Point(1.0, 0.0, 0.0), Point(1.0, 2.0, 0.0)
    assert off_line(Point(1.0, 5.0, 0.0), start, end) == pytest.approx(0.0)  # on the line, beyond its end
    assert off_line(Point(4.0, 1.0, 4.0), start, end) == pytest.approx(5.0)
    assert off_line(Point(1.0, 0.0, 2.0), start, start) == pytest.approx(2.0)
