"""A build that just passes and one that just fails at each limit of met-first."""

from typing import Any

import pytest
from buildcheck_rules.met_first import AS_COMPUTED
from buildcheck_rules.met_first import rule as met_first
from edges import (
    DEGREE,
    INCH,
    Edge,
    all_readings,
    check_complete,
    check_edge,
    edges,
    example,
    example_data,
    readings_of,
)

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict
from buildcheck.testing import changed as with_data

WHERE = "records.cycled"
UP, LEFT_UP, LEFT_LOCK = "straight bump", "articulation, left wheel up", "full lock to the left"


def seen(**fields: str) -> dict[str, Any]:
    return {WHERE: {**AS_COMPUTED, **fields}}


# The stop touches at 3.167 in and at 13.26 deg; the whole stated travel is farther by what the knob makes of it.
EDGES = [
    *edges(
        "straight",
        UP,
        f"{WHERE}.ended_up_by",
        "travel.bump",
        base=seen(ended_up_by="nothing"),
        warn_above=(3.2 * INCH, 3.6 * INCH),
        fail_above=(3.6 * INCH, 5 * INCH),
    ),
    *edges(
        "one-side-up",
        LEFT_UP,
        f"{WHERE}.ended_left_up_by",
        "travel.articulation",
        base=seen(ended_left_up_by="nothing"),
        warn_above=(13.0 * DEGREE, 15 * DEGREE),
        fail_above=(15 * DEGREE, 18 * DEGREE),
    ),
    # The tyre comes within 1.527 in of the arm; a wider one nearer.
    *edges(
        "at-lock",
        LEFT_LOCK,
        f"{WHERE}.touched_at_left_lock",
        "vehicle.tyre.width",
        base=seen(touched_at_left_lock="tyre"),
        warn_above=(16 * INCH, 14 * INCH),
        fail_above=(14 * INCH, 10 * INCH),
    ),
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(met_first, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(met_first, EDGES, [])


def test_a_difference_says_what_comes_first_by_the_spec_and_which_inputs_to_measure_again() -> None:
    build = read_build(with_data(example_data(), seen(ended_down_by="coilover", touched_at_left_lock="tyre")))
    (down,) = readings_of(met_first, build, "straight", "straight droop")
    assert down.verdict is Verdict.ERROR
    assert down.effect.startswith("coilover was seen first, and by the spec the left limit strap is tight first; ")
    assert down.cure is not None
    assert down.cure.words == (
        "measure again: both ends of the strap, and its length (limit_straps.strap.both); "
        "both ends of the coilover, and its extended and compressed length (coilovers.coilover.both)"
    )
    (lock,) = readings_of(met_first, build, "at-lock", LEFT_LOCK)
    assert lock.effect.startswith(
        "tyre was seen to touch, and by the spec the left tyre and the left arm come no nearer; "
    )
    assert lock.cure is not None
    assert lock.cure.words == (
        "measure again: the tyre's diameter and width, and the track (vehicle.tyre); "
        "both ends of the link, and how far its joints turn (links.arm.both)"
    )


@pytest.mark.parametrize(
    ("edit", "field", "verdict"),
    [
        ({}, "touched_at_left_lock", Verdict.OK),
        ({"vehicle.tyre.width": 24}, "touched_at_left_lock", Verdict.ERROR),
    ],
)
def test_nothing_at_a_lock_is_right_only_where_nothing_overlaps(
    edit: dict[str, Any], field: str, verdict: Verdict
) -> None:
    build = read_build(with_data(example_data(), {**seen(), **edit}))
    (lock,) = readings_of(met_first, build, "at-lock", LEFT_LOCK)
    assert lock.verdict is verdict


def test_a_truck_that_was_not_cycled_is_not_checked_and_says_each_way_and_each_lock() -> None:
    found = all_readings(met_first, example())
    assert {each.verdict for each in found} == {Verdict.NOT_CHECKED}
    found = all_readings(met_first, read_build(with_data(example_data(), {WHERE: {"both_locks": True}})))
    assert [each.missing for each in found] == [(f"{WHERE}.{field}",) for field in AS_COMPUTED]


def test_a_stop_without_its_length_leaves_what_comes_first_unknown() -> None:
    data = with_data(example_data(), seen())
    del data["bump_stops"]["stop"]["both"]["free_length"]
    found = readings_of(met_first, read_build(data), "straight", "straight droop")
    assert [(each.verdict, each.missing) for each in found] == [
        (Verdict.NOT_CHECKED, ("bump_stops.stop.both.free_length",))
    ]


def test_an_axle_that_does_not_steer_has_no_lock() -> None:
    build = read_build(with_data(example_data("four-link-rear.buildcheck.yaml"), {"records": {"cycled": AS_COMPUTED}}))
    found = [(each.subject, each.reason) for each in all_readings(met_first, build) if not each.applies]
    assert found == [(f"full lock to the {side}", "the axle is not steered") for side in ("left", "right")]
