"""A build that just passes and one that just fails at each limit of vehicle-proportions."""

from typing import Any

import pytest
from buildcheck_rules.vehicle_proportions import rule as vehicle_proportions
from edges import (
    EXAMPLES,
    INCH,
    Edge,
    all_readings,
    both,
    check_complete,
    check_edge,
    edges,
    example,
    example_data,
    one_of_each_bound,
    with_data,
)

from buildcheck.build import Build, read_build
from buildcheck.checks.limit import Verdict

IN, LB = INCH, 0.45359237
BASE, TRACK, TYRE, WIDTH = "vehicle.wheelbase", "vehicle.track", "vehicle.tyre.diameter", "vehicle.tyre.width"
HEIGHT, LOAD, UNSPRUNG = "vehicle.centre_of_gravity_height", "vehicle.axle_load", "vehicle.unsprung_mass"
# What a limit compares, and nothing else, so that one number may be turned by itself.
BASE_AND_TRACK = {"vehicle": {"wheelbase": 108, "track": 67}}
BASE_AND_TYRE = {"vehicle": {"wheelbase": 108, "tyre": {"diameter": 35}}}
TRACK_AND_TYRE = {"vehicle": {"track": 67, "tyre": {"diameter": 35}}}
ONE_TYRE = {"vehicle": {"tyre": {"diameter": 35, "width": 12.5}}}
WEIGHT_AND_TRACK = {"vehicle": {"track": 67, "centre_of_gravity_height": 32}}
AXLE_OF_ALL = {"vehicle": {"axle_load": 2650, "total_mass": 4850}}
UNSPRUNG_OF_AXLE = {"vehicle": {"axle_load": 2650, "unsprung_mass": 640}}
UNSPRUNG_OF_ALL = {"vehicle": {"total_mass": 4850, "unsprung_mass": 640}}

PSI = 6894.757293168361
PRESSED = {"vehicle": {"axle_load": 2650, "tyre": {"diameter": 35, "width": 12.5, "pressure": 24}}}
BRAKED = {"vehicle": {"axle_load": 2650, "total_mass": 4850, "brake_share": 0.65}}
SHARED = {"vehicle": {"axle_load": 2650, "total_mass": 4850, "drive_share": 0.5}}
DRIVEN = {"vehicle": {"axle_load": 2650, "drive_torque": 5200, "tyre": {"static_radius": 16.6}}}
RATIO = {"vehicle": {}}


def shorter_links(build: Build, share: float) -> Build:
    """Both arms with their frame ends brought so near to the axle that they have this share of the wheelbase."""
    links = build.links["arm"].left
    axle = (build.value("links.arm.both.axle_upper.x") + build.value("links.arm.both.axle_lower.x")) / 2
    flat = build.with_value("links.arm.both.frame", links.frame._replace(y=links.axle_upper.y, z=links.axle_upper.z))
    level = flat.with_value("links.arm.both.axle_lower.z", links.axle_upper.z)
    return level.with_value("links.arm.both.frame.x", axle - share * build.vehicle.wheelbase)


def four(limit: str, path: str, base: dict[str, Any], unit: float, *values: float) -> list[Edge]:
    """The four bounds of a limit: a sound number, and one beyond each bound."""
    sound, *beyond = (value * unit for value in values)
    names = ("warn_below", "fail_below", "warn_above", "fail_above")
    brackets = {name: (sound, bad) for name, bad in zip(names, beyond, strict=True)}
    subject = "vehicle tyre" if path.startswith("vehicle.tyre.") else "vehicle"
    return edges(limit, subject, path, path, base=base, **brackets)


EDGES = [
    *four("wheelbase-to-track", BASE, BASE_AND_TRACK, IN, 108, 70, 60, 250, 320),
    *four("wheelbase-to-tyre", BASE, BASE_AND_TYRE, IN, 108, 60, 45, 300, 400),
    *four("track-to-tyre", TRACK, TRACK_AND_TYRE, IN, 67, 40, 30, 130, 150),
    *four("tyre-width", WIDTH, ONE_TYRE, IN, 12.5, 6, 3, 22, 28),
    *four("weight-height", HEIGHT, WEIGHT_AND_TRACK, IN, 32, 15, 8, 60, 80),
    *four("axle-share", LOAD, AXLE_OF_ALL, LB, 2650, 900, 300, 4000, 4600),
    *four("unsprung-share", UNSPRUNG, UNSPRUNG_OF_AXLE, LB, 640, 200, 80, 1600, 2000),
    *four("unsprung-of-all", UNSPRUNG, UNSPRUNG_OF_ALL, LB, 640, 100, 50, 2200, 3000),
    *four("tyre-patch", "vehicle.tyre.pressure", PRESSED, PSI, 24, 80, 140, 9, 4),
    *four("brake-to-load", "vehicle.brake_share", BRAKED, 0.01, 65, 30, 18, 99, 140),
    *four("torque-to-grip", "vehicle.drive_torque", DRIVEN, 1.0, 7000, 2000, 800, 25000, 60000),
    *four("drive-to-load", "vehicle.drive_share", SHARED, 0.01, 50, 25, 10, 140, 250),
    *edges(
        "final-drive",
        "axle",
        "axle.final_drive_ratio",
        "axle.final_drive_ratio",
        base=RATIO,
        warn_below=(4.0, 2.5),
        fail_below=(2.5, 1.5),
        warn_above=(4.0, 8.0),
        fail_above=(8.0, 12.0),
    ),
    *edges(
        "link-to-wheelbase",
        both("arm"),
        "links.arm.both.frame",
        shorter_links,
        warn_below=(0.3, 0.06),
        fail_below=(0.3, 0.02),
        warn_above=(0.3, 0.8),
        fail_above=(0.3, 0.95),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=lambda edge: f"{edge.limit} {edge.bound}")
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(vehicle_proportions, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(vehicle_proportions, EDGES, [])


@pytest.mark.parametrize(
    ("change", "quantity", "said"),
    [
        (
            {UNSPRUNG: "640 kg"},
            "unsprung-share",
            "look up or measure the unsprung mass and the load on the axle again",
        ),
        (
            {LOAD: "2650 kg"},
            "axle-share",
            "look up or measure the load on the axle and the vehicle's mass again",
        ),
        # A load on the axle in kg would explain it as well, but then the unsprung mass would be too small for it.
        (
            {"vehicle.total_mass": "4850 kg", UNSPRUNG: 400},
            "axle-share",
            "look up or measure the load on the axle and the vehicle's mass again",
        ),
    ],
)
def test_pounds_written_as_kilograms_are_named(change: dict[str, Any], quantity: str, said: str) -> None:
    (reading,) = not_ok(change, quantity)
    assert reading.cure is not None
    assert reading.cure.words.startswith(said)
    assert reading.cure.words.endswith(
        ", and its unit: one of the two may be in kg and written as lb, or in lb and written as kg"
    )


def test_where_another_unit_does_not_explain_a_mass_none_is_named() -> None:
    (reading,) = not_ok({UNSPRUNG: 26}, "unsprung-share")
    assert reading.cure is not None
    assert reading.cure.words == "look up or measure the unsprung mass and the load on the axle again"


def not_ok(change: dict[str, Any], quantity: str) -> list[Any]:
    readings = all_readings(vehicle_proportions, read_build(with_data(example_data(), change)))
    return [each for each in readings if each.quantity == quantity and each.verdict is not Verdict.OK]


@pytest.mark.parametrize("path", sorted(EXAMPLES.rglob("*.buildcheck.yaml")), ids=lambda path: path.name)
def test_the_examples_are_in_proportion(path: Any) -> None:
    readings = all_readings(vehicle_proportions, example(path.relative_to(EXAMPLES).as_posix()))
    assert {reading.verdict for reading in readings} == {Verdict.OK}


@pytest.mark.parametrize(
    "vehicle",
    [
        # Invented, each of a kind that is on the road: what must stay accepted.
        {"wheelbase": 80, "track": 54, "axle_load": 1100, "total_mass": 2100, "tyre": {"diameter": 29, "width": 9.5}},
        {"wheelbase": 94, "track": 70, "axle_load": 2100, "total_mass": 4000, "tyre": {"diameter": 40, "width": 13.5}},
        {"wheelbase": 176, "track": 68, "axle_load": 4200, "total_mass": 7600, "tyre": {"diameter": 33, "width": 10}},
        {"wheelbase": 250, "track": 80, "axle_load": 7000, "total_mass": 25000, "tyre": {"diameter": 40, "width": 11}},
    ],
)
def test_trucks_large_and_small_are_in_proportion(vehicle: dict[str, Any]) -> None:
    data = with_data(example_data(), {"vehicle": vehicle})
    readings = all_readings(vehicle_proportions, read_build(data))
    assert [each.quantity for each in readings if each.verdict is not Verdict.OK] == []


def test_a_tyre_on_its_patch() -> None:
    """1325 lbf at 24 psi are 55.2 in2, 4.42 in of 12.5 in width, an eighth of 35 in; by hand."""
    (reading,) = [each for each in all_readings(vehicle_proportions, example()) if each.quantity == "tyre-patch"]
    assert reading.value == pytest.approx(1325 / 24 / 12.5 / 35, rel=1e-9)


def test_a_rear_axle_is_judged_by_the_front_one() -> None:
    """The rest of the braking over the rest of the load: 65 % on 2600 of 4900 lb."""
    build = example("four-link-rear.buildcheck.yaml")
    (reading,) = [each for each in all_readings(vehicle_proportions, build) if each.quantity == "brake-to-load"]
    assert reading.value == pytest.approx(0.65 / (2600 / 4900), rel=1e-9)


def test_a_spec_without_two_sizes_to_compare_gets_no_reading() -> None:
    (reading,) = all_readings(vehicle_proportions, example("minimal.buildcheck.yaml"))
    assert (reading.verdict, reading.applies) == (Verdict.OK, False)
