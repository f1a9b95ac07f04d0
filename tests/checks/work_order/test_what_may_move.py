"""A work order keeps to what the spec says may be moved, and an inspection's own changes do too."""

from pathlib import Path
from typing import Any

import pytest

import buildcheck

MINIMAL = Path(__file__).parents[3] / "examples/minimal.buildcheck.yaml"
FRAME = "links.arm.both.frame"
TOO_HIGH = {FRAME: [-39, 15, 24.2]}
INCH = 0.0254


def order(*entries: dict[str, Any]) -> buildcheck.Order:
    spec = buildcheck.read(MINIMAL).changed({**TOO_HIGH, "may_move": list(entries)} if entries else TOO_HIGH)
    return buildcheck.work_order(spec, only="link-flatness")


def moved(found: buildcheck.Order) -> dict[str, float]:
    """How far each value is moved, in inches."""
    return {change.path: round((change.by or 0.0) / INCH, 6) for line in found.lines for change in line.changes}


def test_it_is_moved_where_nothing_is_said() -> None:
    (by,) = moved(order()).values()
    assert list(moved(order())) == [f"{FRAME}.z"]
    assert -6.0 < by < -4.0
    assert (by * 16) % 1 == 0


def test_it_stops_at_the_places_that_there_are() -> None:
    (free,) = moved(order()).values()
    found = order({"of": FRAME, "axis": "z", "least": "-6 in", "step": "1 in"})
    assert moved(found) == {f"{FRAME}.z": float(free // 1)}
    assert found.record.left == ()


@pytest.mark.parametrize(
    "entry",
    [
        {"of": FRAME, "axis": "z", "least": "-1/8 in", "most": "0.1 in"},
        {"of": FRAME, "axis": "x", "least": "-1 in"},
        {"of": "links.arm.left.frame", "fixed": True},
        {"of": "links.arm", "fixed": True},
    ],
    ids=str,
)
def test_it_is_not_moved_farther_nor_along_another_axis(entry: dict[str, Any]) -> None:
    by = moved(order(entry))
    assert f"{FRAME}.z" not in by or (entry["axis"] == "z" and -0.125 <= by[f"{FRAME}.z"] <= 0.1)
    assert f"{FRAME}.x" not in by or (entry["axis"] == "x" and -1.0 <= by[f"{FRAME}.x"] <= 0.0)
    assert f"{FRAME}.y" not in by


def test_the_change_of_a_reading_keeps_to_it_too() -> None:
    spec = buildcheck.read(MINIMAL).changed({**TOO_HIGH, "may_move": [{"of": FRAME, "fixed": True}]})
    slopes = [each for each in buildcheck.inspect(spec).readings if each.limit == "slope-at-ride" and each.change]
    assert slopes
    assert all("move the frame end" not in each.change for each in slopes)
