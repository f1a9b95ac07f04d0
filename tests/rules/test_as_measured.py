"""A measurement that just passes and one that just fails at each limit of as-measured."""

import math
from collections.abc import Callable
from typing import Any

import pytest
from buildcheck_rules.as_measured import rule as as_measured
from edges import Edge, all_readings, check_complete, check_edge, edges, example_data, one_of_each_bound

from buildcheck.build import Build, Stage, read_build
from buildcheck.build.measured import as_measured as as_built
from buildcheck.build.measured import places_measured
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading

OK, WARNING, ERROR = Verdict.OK, Verdict.WARNING, Verdict.ERROR


def readings(*measured: dict[str, Any]) -> list[Reading]:
    data = example_data()
    data["records"]["measured"] = list(measured)
    return list(all_readings(as_measured, read_build(data)))


def read(of: str, value: Any, **more: Any) -> Reading:
    """The number of one measurement, which can be read."""
    (found,) = readings({"of": of, "value": value, **more})
    return found


def found_at(of: str, unit: str) -> Callable[[Build, float], Build]:
    """A build with one measurement, as a function of the measured value, in a unit."""

    def knob(build: Build, value: float) -> Build:
        data = example_data()
        data["records"]["measured"] = [{"of": of, "value": f"{value:.9f} {unit}"}]
        return read_build(data)

    return knob


def measured_twice(of: str, first: str, unit: str) -> Callable[[Build, float], Build]:
    """A build with two readings of one place, as a function of the second one."""

    def knob(build: Build, value: float) -> Build:
        data = example_data()
        data["records"]["measured"] = [{"of": of, "value": first}, {"of": of, "value": f"{value:.9f} {unit}"}]
        return read_build(data)

    return knob


# lateral_bar.frame is 22 3/4 in up, the caster 6 deg, the load 2650 lb.
EDGES = [
    *edges(
        "length-off",
        "records measured 1",
        "lateral_bar.frame.z",
        found_at("lateral_bar.frame.z", "in"),
        warn_above=(22.75, 22.9),
        fail_above=(22.9, 23.5),
    ),
    *edges(
        "angle-off",
        "records measured 1",
        "axle.caster",
        found_at("axle.caster", "deg"),
        warn_above=(6.0, 5.0),
        fail_above=(5.0, 3.0),
    ),
    *edges(
        "share-off",
        "records measured 1",
        "vehicle.axle_load",
        found_at("vehicle.axle_load", "lb"),
        warn_above=(2650.0, 2900.0),
        fail_above=(2900.0, 3500.0),
    ),
    *edges(
        "length-spread",
        "lateral_bar.frame.z",
        "lateral_bar.frame.z",
        measured_twice("lateral_bar.frame.z", "22 13/16 in", "in"),
        warn_above=(22.88, 22.96),
        fail_above=(22.92, 23.3),
    ),
    *edges(
        "angle-spread",
        "axle.caster",
        "axle.caster",
        measured_twice("axle.caster", "6.1 deg", "deg"),
        warn_above=(6.52, 6.65),
        fail_above=(6.6, 7.8),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(as_measured, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(as_measured, EDGES, [])


def test_a_point_is_off_by_its_distance() -> None:
    frame = read_build(example_data()).lateral_bar.frame
    inches = [value / 0.0254 for value in frame]
    found = read("lateral_bar.frame", [inches[0] + 0.03, inches[1] - 0.04, inches[2] + 0.12])
    assert found.value == pytest.approx(0.13 * 0.0254)
    assert found.verdict is WARNING


def test_a_right_part_is_compared_with_the_right_side() -> None:
    build = read_build(example_data())
    inches = [value / 0.0254 for value in build.links["arm"].right.frame]
    assert read("links.arm.right.frame", inches).value == pytest.approx(0.0, abs=1e-12)
    assert read("links.arm.left.frame", inches).verdict is ERROR


def test_an_unreadable_measurement_is_not_checked_and_says_why() -> None:
    (found,) = readings({"of": "axle.cast", "value": 6})
    assert found.verdict is Verdict.NOT_CHECKED
    assert found.reason.startswith("the spec has no axle.cast")


def test_each_measurement_is_a_subject_of_its_own() -> None:
    found = readings(
        {"of": "axle.caster", "value": 6}, {"of": "axle.cast", "value": 6}, {"of": "axle.caster", "value": 9}
    )
    listed = [(reading.subject, reading.quantity, reading.verdict) for reading in found]
    assert listed == [
        ("records measured 2", "", Verdict.NOT_CHECKED),
        ("records measured 1", "angle-off", OK),
        ("records measured 3", "angle-off", ERROR),
        ("axle.caster", "angle-spread", ERROR),
    ]


def test_a_reading_of_an_earlier_stage_or_day_does_not_count() -> None:
    """The bracket was an inch off when it was tacked, and was moved before the axle was cycled."""
    tacked = {"of": "lateral_bar.frame.z", "value": "23 3/4 in", "stage": "tacked", "measured_on": "2026-03-10"}
    for later in ({"stage": "cycled"}, {"stage": "tacked", "measured_on": "2026-03-11"}):
        found = readings(tacked, tacked | {"value": "22 3/4 in"} | later)
        assert [(each.subject, each.verdict) for each in found] == [("records measured 2", OK)]
    again = readings(tacked, tacked | {"value": "22 3/4 in"})
    assert [(each.subject, each.verdict) for each in again] == [
        ("records measured 1", ERROR), ("records measured 2", OK), ("lateral_bar.frame.z", ERROR),
    ]  # fmt: skip


def test_several_readings_of_one_place_give_their_mean() -> None:
    data = example_data()
    data["records"]["measured"] = [
        {"of": "lateral_bar.frame", "value": [0, 1, 22], "stage": "tacked"},
        {"of": "lateral_bar.frame", "value": [0, 2, 23], "stage": "tacked"},
        {"of": "lateral_bar.frame", "value": [1, 3, 24], "stage": "proposal"},
    ]
    measured = as_built(read_build(data))
    assert measured is not None
    assert list(measured.lateral_bar.frame) == pytest.approx([0.0, 1.5 * 0.0254, 22.5 * 0.0254])
    (place,) = places_measured(read_build(data))
    assert place.spread == pytest.approx(math.hypot(1, 1) * 0.0254)


def test_it_is_asked_for_once_brackets_are_tacked() -> None:
    build = read_build(example_data())
    assert inspect(build, [as_measured]).readings == ()
    (lacking,) = inspect(build, [as_measured], stage=Stage.TACKED).readings
    assert (lacking.verdict, lacking.missing) == (Verdict.NOT_CHECKED, ("records.measured",))


@pytest.mark.parametrize(
    ("of", "value", "reason"),
    [
        (
            "coilovers.coilover.right.length",
            "33 in",
            "coilovers.coilover.right.length changes as the axle moves, so the spec does not state it; write what was "
            "read with the axle at the end of its travel under records.cycled.sides.right.coilover_left_in_bump or "
            "records.cycled.sides.right.coilover_left_in_droop",
        ),
        (
            "brake_lines.line.left.length",
            "20 in",
            "brake_lines.line.left.length changes as the axle moves, so the spec does not state it; write what was "
            "read with the axle at the end of its travel under records.cycled.sides.left.brake_line_slack",
        ),
        (
            "bump_stops.stop.left.gap",
            "3 in",
            "bump_stops.stop.left.gap is a gap, which the spec does not state; write it under records.cycled.gaps with "
            "its two parts, as {first: left tyre, second: left arm, gap: 1 1/2 in}",
        ),
    ],
)
def test_what_follows_from_the_pose_says_where_it_is_written_down(of: str, value: str, reason: str) -> None:
    (found,) = readings({"of": of, "value": value})
    assert (found.verdict, found.reason) == (Verdict.NOT_CHECKED, reason)
