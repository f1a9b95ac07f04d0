"""A build that just passes and one that just fails at each limit of driveshaft-strength."""

from typing import Any

import pytest
from buildcheck_rules.driveshaft_strength import rule as driveshaft_strength
from edges import DEGREE, INCH, Edge, all_readings, check_complete, check_edge, edges, example, example_data, with_data

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict

MPH = 0.44704
SHAFT, BEARING = "driveshaft", "driveshaft carrier bearing"
DIAMETER, PINION, SPEED = "driveshaft.tube.outside_diameter", "axle.pinion.up", "vehicle.top_speed"
# At this speed nothing but the whirl of the shaft is out of its limits, whatever the tube.
FAST = {SPEED: "140 mph", "driveshaft.tube.yield_strength": "250 ksi"}
TWO_PIECES: dict[str, Any] = {
    "driveshaft.carrier_bearing": {"point": [-46, -6.5, 22], "gearbox_point": [-86, -6.5, 22]},
    "driveshaft.output.up": 0,
}
EDGES = [
    *edges(
        "torsion", SHAFT, DIAMETER, "vehicle.drive_torque", warn_above=(7000.0, 9000.0), fail_above=(10000.0, 14000.0)
    ),
    *edges(
        "whirl", SHAFT, DIAMETER, DIAMETER, base=FAST,
        warn_above=(2 * INCH, 1.3 * INCH), fail_above=(1.5 * INCH, 1.2 * INCH),
    ),
    *edges(
        "uneven", SHAFT, PINION, PINION, warn_above=(7 * DEGREE, 11.5 * DEGREE), fail_above=(13 * DEGREE, 17.5 * DEGREE)
    ),
    *edges(
        "joint-at-speed", "driveshaft pinion joint", PINION, PINION,
        warn_above=(11 * DEGREE, 14 * DEGREE), fail_above=(17 * DEGREE, 22 * DEGREE),
    ),
    *edges("speed-for-use", "vehicle", SPEED, SPEED, warn_below=(70 * MPH, 40 * MPH)),
    *edges(
        "bearing-to-joint", BEARING, "driveshaft.carrier_bearing.point", "driveshaft.carrier_bearing.point.x",
        base=TWO_PIECES, warn_above=(-46 * INCH, -55 * INCH), fail_above=(-55 * INCH, -70 * INCH),
    ),
    *edges(
        "output-off-first-piece", BEARING, "driveshaft.carrier_bearing.gearbox_point", "driveshaft.output.up",
        base=TWO_PIECES, warn_above=(0.1 * DEGREE, 3 * DEGREE), fail_above=(3 * DEGREE, 8 * DEGREE),
    ),
    *edges(
        "bearing-out-of-order", BEARING, "driveshaft.carrier_bearing.gearbox_point",
        "driveshaft.carrier_bearing.gearbox_point.x", base=TWO_PIECES, fail_above=(-60 * INCH, -40 * INCH),
    ),
]  # fmt: skip


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(driveshaft_strength, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(driveshaft_strength, EDGES, [])


def found(changes: dict[str, Any], quantity: str) -> Verdict:
    (reading,) = [
        each
        for each in all_readings(driveshaft_strength, read_build(with_data(example_data(), changes)))
        if each.quantity == quantity
    ]
    return reading.verdict


@pytest.mark.parametrize(
    ("use", "speed"), [("street", 65), ("street-and-trail", 55), ("trail", 25), ("desert", 75), ("work", 50)]
)
def test_each_use_has_its_speed(use: str, speed: float) -> None:
    for mph, verdict in ((speed + 0.1, Verdict.OK), (speed - 0.1, Verdict.WARNING)):
        assert found({"build.intended_use": use, SPEED: f"{mph} mph"}, "speed-for-use") is verdict


def test_joints_that_turn_evenly_need_no_angle() -> None:
    changes = {"driveshaft.pinion_joint.kind": "constant-velocity", PINION: 18}
    readings = all_readings(driveshaft_strength, read_build(with_data(example_data(), changes)))
    assert not [each for each in readings if each.quantity in ("uneven", "joint-at-speed")]
    assert {each.verdict for each in readings} == {Verdict.OK}


def test_two_single_cardans_cancel() -> None:
    """The rear shaft's joints work at 1.8 and 0.8 deg in nearly one plane, and what is left is about 1.6 deg."""
    readings = all_readings(driveshaft_strength, example("four-link-rear.buildcheck.yaml"))
    angles = {(each.quantity, each.subject): each.amounts[0] for each in readings if each.amounts}
    output, pinion = (angles["joint-at-speed", f"driveshaft {end} joint"] for end in ("output", "pinion"))
    assert angles["uneven", "driveshaft"] == pytest.approx((output**2 - pinion**2) ** 0.5, rel=2e-3)


def test_strength_of_other_metals_is_not_checked() -> None:
    build = read_build(with_data(example_data(), {"driveshaft.tube.material": "aluminium"}))
    (reading,) = [each for each in all_readings(driveshaft_strength, build) if each.verdict is Verdict.NOT_CHECKED]
    assert reading.unchecked == ("torsion", "whirl")
    assert "computed only for steel" in reading.reason
