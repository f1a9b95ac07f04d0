"""A build that just passes and one that just fails at each limit of wheel-contact."""

import pytest
from buildcheck_rules.wheel_contact import rule as wheel_contact
from edges import Edge, all_readings, check_complete, check_edge, edges, example_data, one_of_each_bound, with_data

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict

HEIGHT = "vehicle.centre_of_gravity_height"
REAR = {"axle.position": "rear", "vehicle.brake_share": 0.4}

EDGES = [
    *edges("weight-left", "whole build", HEIGHT, HEIGHT, warn_below=(0.7, 1.1), fail_below=(1.1, 1.3)),
    # A stop takes weight off a rear axle; with hardly a bend it is the worst.
    *edges(
        "weight-left",
        "whole build",
        HEIGHT,
        HEIGHT,
        base={**REAR, "load_cases": {"braking": 1.2, "cornering": 0.01}},
        warn_below=(0.5, 1.5),
        fail_below=(1.0, 2.5),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(wheel_contact, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(wheel_contact, EDGES, [])


@pytest.mark.parametrize(
    ("changes", "case"),
    [
        ({"load_cases": {"cornering": 0.7}}, "left bend"),
        ({**REAR, "load_cases": {"braking": 1.2, "cornering": 0.01}}, "braking"),
        ({**REAR, "load_cases": {"braking": 0.9, "cornering": 0.9, "combined": 1.0}}, "braking in a left bend"),
    ],
)
def test_the_worst_case_is_named(changes: dict[str, object], case: str) -> None:
    (reading,) = all_readings(wheel_contact, read_build(with_data(example_data(), {HEIGHT: 60, **changes})))
    assert reading.verdict is Verdict.ERROR
    assert reading.effect.startswith(f"{case}: ")


def test_a_bend_that_lifts_a_wheel_is_an_error_and_not_only_left_out() -> None:
    """The motion of the loads cannot be worked out on three wheels; the rule still reads by how much it is too much."""
    (reading,) = all_readings(wheel_contact, read_build(with_data(example_data(), {"load_cases": {"cornering": 1.5}})))
    assert reading.verdict is Verdict.ERROR
    assert reading.value is not None
    assert reading.value < 0.0


@pytest.mark.parametrize("lack", ["vehicle.track", "vehicle.total_mass", "vehicle.wheelbase", HEIGHT, "axle.position"])
def test_missing_data_is_named(lack: str) -> None:
    data = example_data()
    section, key = lack.split(".")
    del data[section][key]
    (reading,) = all_readings(wheel_contact, read_build(data))
    assert (reading.verdict, reading.missing) == (Verdict.NOT_CHECKED, (lack,))


def test_a_weight_that_no_small_step_brings_down_still_says_what_to_change() -> None:
    (reading,) = all_readings(wheel_contact, read_build(with_data(example_data(), {HEIGHT: 200})))
    assert reading.cure is not None
    assert reading.cure.words.startswith("lower the centre of gravity and widen the track")
