"""A build that just passes and one that just fails at each limit of steering-damper."""

from typing import Any

import pytest
from buildcheck_rules.steering_damper import DAMPER
from buildcheck_rules.steering_damper import rule as steering_damper
from edges import (
    INCH,
    Edge,
    Need,
    all_readings,
    check_complete,
    check_edge,
    check_need,
    edges,
    example_data,
    with_data,
)

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict

PATH = "steering.stabiliser"
SHORT, LONG = f"{PATH}.compressed_length", f"{PATH}.extended_length"

EDGES = [
    *edges(
        "stroke-to-close",
        "steering stabiliser",
        SHORT,
        SHORT,
        base={PATH: DAMPER},
        warn_below=(13 * INCH, 13.9 * INCH),
        fail_below=(13.9 * INCH, 15 * INCH),
    ),
    *edges(
        "stroke-to-open",
        "steering stabiliser",
        LONG,
        LONG,
        base={PATH: DAMPER},
        warn_below=(24 * INCH, 21.4 * INCH),
        fail_below=(21.4 * INCH, 20 * INCH),
    ),
    *edges(
        "off-its-rod",
        "steering stabiliser",
        f"{PATH}.moving",
        f"{PATH}.moving.z",
        base={PATH: DAMPER},
        warn_above=(15 * INCH, 18 * INCH),
        fail_above=(18 * INCH, 22 * INCH),
    ),
    *edges(
        "resists",
        "steering stabiliser",
        f"{PATH}.force",
        f"{PATH}.force",
        base={PATH: DAMPER | {"force": "250 lbf"}},
        warn_below=(1000, 100),
        fail_below=(100, 10),
    ),
]
NEEDS = [
    Need(
        "stroke",
        "steering stabiliser",
        met={PATH: DAMPER},
        not_met={PATH: {**DAMPER, "extended_length": 12}},
        finds=(("steering stabiliser", "stroke", PATH),),
    )
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(steering_damper, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(steering_damper, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(steering_damper, EDGES, NEEDS)


def found(**fields: Any) -> list[tuple[str, Verdict, tuple[str, ...]]]:
    data = with_data(example_data(), {PATH: {**DAMPER, **fields}})
    readings = all_readings(steering_damper, read_build(data))
    return [(each.quantity, each.verdict, each.missing) for each in readings if each.quantity.startswith("stroke")]


def test_a_truck_without_a_damper_is_not_asked_for_one() -> None:
    readings = all_readings(steering_damper, read_build(example_data()))
    assert {(each.verdict, each.reason) for each in readings} == {(Verdict.OK, "the spec states no steering damper")}


@pytest.mark.parametrize(
    ("steadies", "moving"),
    [("tie-rod", [8.5, -1, 14.2]), ("drag-link", [10.4, -8, 23]), ("steering-arm", [8.5, -29, 15])],
)
def test_the_lengths_are_measured_to_what_it_steadies(steadies: str, moving: list[float]) -> None:
    """Straight ahead at ride height, the distance of the two stated points."""
    from buildcheck.job import Job

    data = with_data(example_data(), {PATH: {**DAMPER, "steadies": steadies, "moving": moving}})
    length = Job(read_build(data)).steering_damper.length[0, 2] / INCH
    stated = sum((a - b) ** 2 for a, b in zip(moving, DAMPER["fixed"], strict=True)) ** 0.5  # type: ignore[call-overload]
    assert length == pytest.approx(stated, abs=0.4 if steadies == "drag-link" else 0.01)


def test_a_damper_that_sets_the_lock_is_an_error() -> None:
    assert [verdict for _, verdict, _ in found(compressed_length=17, extended_length=20)] == [
        Verdict.OK,
        Verdict.ERROR,
        Verdict.ERROR,
    ]


def test_a_missing_length_is_named() -> None:
    data = with_data(example_data(), {PATH: {**DAMPER}})
    del data["steering"]["stabiliser"]["extended_length"]
    readings = all_readings(steering_damper, read_build(data))
    assert {(each.verdict, each.missing) for each in readings if each.verdict is not Verdict.OK} == {
        (Verdict.NOT_CHECKED, (LONG,))
    }
