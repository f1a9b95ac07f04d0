"""Limits, requirements and bases, and the verdicts of values."""

from __future__ import annotations

import math

import pytest

from buildcheck.api import (
    Area,
    Basis,
    Build,
    Dimension,
    Rule,
    Verdict,
    Words,
    at_least,
    at_most,
    between,
    common_practice,
    from_memory,
    published,
)
from buildcheck.checks.limit import Bounds, Limit
from buildcheck.spec.quantity import QuantityError

PRACTICE = common_practice("as it is done")
BAND = Bounds(warn_below=1.0, warn_above=2.0, fail_below=0.0, fail_above=3.0)
MOST = Bounds(warn_above=2.0, fail_above=3.0)
LEAST_ERROR = Bounds(fail_below=1.0)


@pytest.mark.parametrize(
    ("bounds", "value", "verdict", "margin"),
    [
        (BAND, 1.5, Verdict.OK, 0.5),
        (BAND, 1.0, Verdict.OK, 0.0),  # the bound itself is fine
        (BAND, 2.0, Verdict.OK, 0.0),
        (BAND, math.nextafter(2.0, 3.0), Verdict.OK, 0.0),  # and what rounding makes of it
        (BAND, math.nextafter(0.0, -1.0), Verdict.WARNING, math.nextafter(0.0, -1.0) - 1.0),
        (BAND, 2.0 + 1e-8, Verdict.WARNING, 2.0 - (2.0 + 1e-8)),
        (BAND, 0.5, Verdict.WARNING, -0.5),
        (BAND, 3.0, Verdict.WARNING, -1.0),
        (BAND, 3.5, Verdict.ERROR, -0.5),  # against the error's bound, for that is what it breaks
        (BAND, -0.25, Verdict.ERROR, -0.25),
        (MOST, -1e300, Verdict.OK, 1e300),
        (MOST, 2.5, Verdict.WARNING, -0.5),
        (MOST, 4.0, Verdict.ERROR, -1.0),
        (LEAST_ERROR, 1.0, Verdict.OK, 0.0),
        (LEAST_ERROR, 0.5, Verdict.ERROR, -0.5),
    ],
)
def test_verdict_and_margin(bounds: Bounds, value: float, verdict: Verdict, margin: float) -> None:
    assert bounds.verdict(value) is verdict
    assert bounds.margin(value, verdict) == pytest.approx(margin, rel=1e-15, abs=0.0)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_value_that_is_not_a_number_never_gets_a_verdict(value: float) -> None:
    for bounds in (BAND, MOST, LEAST_ERROR, Bounds()):
        with pytest.raises(ValueError, match="not a finite number"):
            bounds.verdict(value)


def test_the_range_shown_is_the_one_behind_the_verdict() -> None:
    assert BAND.wanted(Verdict.OK) == BAND.wanted(Verdict.WARNING) == (1.0, 2.0)
    assert BAND.wanted(Verdict.ERROR) == (0.0, 3.0)
    assert LEAST_ERROR.wanted(Verdict.OK) == (1.0, math.inf)


def test_ranges_are_read_in_the_dimension_of_the_limit() -> None:
    length = Dimension.LENGTH
    assert at_most(warning="1 in", error="2 in").bounds(length) == Bounds(warn_above=0.0254, fail_above=0.0508)
    assert at_least(error="10 mm").bounds(length) == Bounds(fail_below=0.01)
    assert between(warning=("1 mm", "2 mm")).bounds(length) == Bounds(warn_below=0.001, warn_above=0.002)
    assert between(error=("1 mm", "2 mm")).bounds(length) == Bounds(fail_below=0.001, fail_above=0.002)
    with pytest.raises(QuantityError):
        at_most(error="1 deg").bounds(length)


def test_a_limit_that_bounds_nothing_is_refused() -> None:
    rule = Rule("hose", area=Area.DRIVELINE, page="The hose.\n\nIt is long enough.")

    def slack(job: object, build: object) -> float:
        """Slack of the hose."""
        return 0.0

    with pytest.raises(ValueError, match="check slack: the limit bounds nothing"):
        rule.check(Build, at_most(), basis=PRACTICE, change=Words("take a longer one"))(slack)


def test_an_error_may_have_its_own_basis() -> None:
    other = published("a handbook", "it breaks")
    limit = Limit("load", "load", Dimension.FORCE, at_most(warning="1 N", error="2 N"), PRACTICE, error_basis=other)
    assert limit.basis_of(Verdict.ERROR) is other
    assert limit.basis_of(Verdict.WARNING) is limit.basis_of(Verdict.OK) is PRACTICE
    without = Limit("load", "load", Dimension.FORCE, at_most(error="2 N"), PRACTICE)
    assert without.basis_of(Verdict.ERROR) is PRACTICE


def test_a_basis_says_how_it_is_known() -> None:
    assert str(common_practice("links lie flat")) == "common practice, no source: links lie flat"
    assert str(published("a handbook, p. 3", "it breaks")) == "a handbook, p. 3: it breaks"
    assert str(from_memory("a handbook", "it breaks")) == "a handbook (from memory): it breaks"
    assert from_memory("a handbook", "it breaks") == Basis("it breaks", "a handbook", "from memory")
