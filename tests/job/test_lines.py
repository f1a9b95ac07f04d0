"""The lines that the axle is cycled through, where the spec states all of the travel and where it does not."""

from collections.abc import Iterable

import pytest

from buildcheck.api import Build, Line, Missing, Side, Verdict, inspect
from buildcheck.job.lines import Lines, lines_of
from buildcheck.plugins.loading import collect
from buildcheck.testing import build_of, sound_spec


def lines(*without: str) -> Lines:
    return lines_of(build(*without).travel)


def build(*without: str) -> Build:
    spec = sound_spec()
    for name in without:
        del spec["travel"][name]
    return build_of(spec)


def names(found: Iterable[Line]) -> list[str]:
    return [line.name for line in found]


def test_with_all_of_the_travel_stated_each_side_has_its_two_strokes() -> None:
    whole = lines()
    assert names(whole.cycled) == ["straight travel", "articulation"]
    assert names(whole.rising(Side.LEFT)) == ["straight bump", "articulation, left wheel up"]
    assert names(whole.rising(Side.RIGHT)) == ["straight bump", "articulation, right wheel up"]
    assert names(whole.falling(Side.LEFT)) == ["straight droop", "articulation, right wheel up"]
    assert names(whole.falling(Side.RIGHT)) == ["straight droop", "articulation, left wheel up"]
    assert whole.without_articulation == ()


def test_without_articulation_straight_travel_is_left_and_missing_data_is_named_on_request() -> None:
    straight = lines("articulation")
    assert names(straight.cycled) == ["straight travel"]
    assert names(straight.rising(Side.LEFT)) == ["straight bump"]
    assert names(straight.falling(Side.LEFT)) == ["straight droop"]
    assert straight.without_articulation == ("travel.articulation",)


@pytest.mark.parametrize("without", ["bump", "droop"])
def test_without_one_end_of_the_travel_there_is_no_articulation_either(without: str) -> None:
    found = lines(without)
    assert found.without_articulation == (f"travel.{without}",)
    with pytest.raises(Missing, match=rf"travel\.{without}"):
        _ = found.cycled


@pytest.mark.parametrize(
    ("rule", "told"),
    [
        ("joint-misalignment", 8),
        ("driveshaft-travel", 4),
        ("bump-stop-engagement", 19),
        ("limit-strap-length", 14),
    ],
)
def test_a_rule_tells_what_straight_travel_shows_and_that_articulation_is_missing(rule: str, told: int) -> None:
    rules = [each for each in collect().rules if each.name == rule]
    readings = inspect(build("articulation"), rules).readings
    assert len([each for each in readings if each.quantity]) == told
    assert {each.missing for each in readings if each.verdict is Verdict.NOT_CHECKED} == {("travel.articulation",)}
