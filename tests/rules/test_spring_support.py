"""A build that just passes and one that just fails at each limit of spring-support."""

import pytest
from buildcheck_rules.spring_support import rule as spring_support
from edges import INCH, Edge, all_readings, both, check_complete, check_edge, edges, example, one_of_each_bound

from buildcheck.build import Build
from buildcheck.checks.limit import Verdict
from buildcheck.job import Job

PRELOAD = "coilovers.coilover.both.preload"
POUND = 0.45359237

EDGES = [
    *edges(
        "ride-height",
        both("coilover"),
        PRELOAD,
        PRELOAD,
        warn_below=(7 / 8 * INCH, 0.0),
        warn_above=(7 / 8 * INCH, 2 * INCH),
        fail_above=(7 / 8 * INCH, 4 * INCH),
    ),
    *edges("ride-height", both("coilover"), PRELOAD, "vehicle.axle_load", fail_below=(2650 * POUND, 3400 * POUND)),
    *edges(
        "coil-bind",
        "right coilover",
        "coilovers.coilover.both.springs[0].free_length",
        "coilovers.coilover.both.springs[0].free_length",
        warn_below=(14 * INCH, 12 * INCH),
        fail_below=(14 * INCH, 10 * INCH),
    ),
    *edges(
        "seated-at-droop",
        "left coilover",
        PRELOAD,
        "coilovers.coilover.both.extended_length",
        warn_below=(35.5 * INCH, 32 * INCH),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(spring_support, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(spring_support, EDGES, [])


def test_more_preload_by_the_change_line_brings_the_truck_to_its_height() -> None:
    low = example().with_value(PRELOAD, 0.0)
    reading = next(each for each in all_readings(spring_support, low) if each.quantity == "ride-height")
    assert reading.cure is not None
    assert reading.cure.change is not None
    put_right = Job(low).changed_by(reading.cure).build
    after = next(each for each in all_readings(spring_support, put_right) if each.quantity == "ride-height")
    assert reading.value is not None
    assert (reading.verdict, after.verdict) == (Verdict.WARNING, Verdict.OK)
    # A sixteenth less would leave it below half an inch too low.
    by = reading.cure.change - INCH / 16
    less = reading.cure._replace(change=by, amount=by)
    short = next(
        each for each in all_readings(spring_support, Job(low).changed_by(less).build) if each.quantity == "ride-height"
    )
    assert short.verdict is Verdict.WARNING


def test_springs_that_preload_cannot_make_soft_enough_are_replaced_by_a_rate() -> None:
    stiff: Build = example()
    for number in (0, 1):
        path = f"coilovers.coilover.both.springs[{number}].rate"
        stiff = stiff.with_value(path, 1.4 * stiff.value(path))
    reading = next(each for each in all_readings(spring_support, stiff) if each.quantity == "ride-height")
    assert reading.cure is not None
    assert reading.cure.amount is not None
    rate = 1 / sum(1 / stiff.value(f"coilovers.coilover.both.springs[{number}].rate") for number in (0, 1))
    for number in (0, 1):
        path = f"coilovers.coilover.both.springs[{number}].rate"
        stiff = stiff.with_value(path, stiff.value(path) * reading.cure.amount / rate)
    after = next(each for each in all_readings(spring_support, stiff) if each.quantity == "ride-height")
    assert after.value is not None
    assert 0 < after.value <= 0.5 * INCH


def test_a_damper_carries_nothing() -> None:
    readings = all_readings(spring_support, example().with_value("coilovers.coilover.both.kind", "damper"))
    assert {(reading.quantity, reading.reason) for reading in readings} == {("", "a damper carries nothing")}
