"""A build that just passes and one that just fails at each limit of tube-length, and when it is silent."""

from collections.abc import Collection
from typing import Any

import pytest
from buildcheck_rules.tube_length import bar
from buildcheck_rules.tube_length import rule as tube_length
from edges import (
    INCH,
    SOUND,
    THREE_LINK,
    Edge,
    all_readings,
    check_complete,
    check_edge,
    edges,
    example_data,
    one_of_each_bound,
    with_data,
)

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict

SHANK, JOINTS = "lateral_bar.joints.frame.shank_length", "lateral_bar.joints"
# The other shank is 14 in, so that this one comes near both bounds within its range.
BASE = {**bar("14 in"), "lateral_bar.frame": [5.5, 8, 22.75]}
GOOD, BAD = 4 * INCH, 19 * INCH
EDGES = [
    *edges("cut-length", "lateral bar", JOINTS, SHANK, base=BASE, warn_below=(GOOD, BAD), fail_below=(GOOD, BAD)),
    *edges("between-shanks", "lateral bar", JOINTS, SHANK, base=BASE, warn_below=(GOOD, BAD), fail_below=(GOOD, BAD)),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(tube_length, edge)


TAKEN_UP = ("shank_length", "insert_shoulder", "centre_to_tube")


def without(data: Any, names: Collection[str]) -> Any:
    """Spec data without some fields, wherever they are."""
    if isinstance(data, dict):
        return {key: without(value, names) for key, value in data.items() if key not in names}
    return [without(each, names) for each in data] if isinstance(data, list) else data


@pytest.mark.parametrize("name", [SOUND, THREE_LINK])
def test_a_spec_that_does_not_say_what_joints_take_up_is_not_asked_for_it(name: str) -> None:
    (reading,) = all_readings(tube_length, read_build(without(example_data(name), TAKEN_UP)))
    assert (reading.verdict, reading.applies) == (Verdict.OK, False)


def test_a_radius_arm_is_left_out() -> None:
    fields = {"shank_length": 4, "thread_engaged": 1.5, "insert_shoulder": 0.25}
    made = {
        f"links.arm.both.joints.{end}.{field}": value
        for end in ("frame", "axle_upper", "axle_lower")
        for field, value in fields.items()
    }
    data = with_data(without(example_data(), TAKEN_UP), made)
    (reading,) = all_readings(tube_length, read_build(data))
    assert (reading.verdict, reading.applies) == (Verdict.OK, False)


def test_every_limit_has_its_edges() -> None:
    check_complete(tube_length, EDGES, ())
