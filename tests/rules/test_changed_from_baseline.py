"""A build that just passes and one that just fails at each limit of changed-from-baseline."""

import math
from typing import Any

import pytest
from buildcheck_rules.changed_from_baseline import rule as changed_from_baseline
from edges import DEGREE, INCH, Edge, all_readings, check_complete, check_edge, edges, example, example_data, with_data

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict

SUBJECT, AT = "records baseline", "records.baseline"
LEFT = f"{AT}.sides.left"
CASTER = {f"{LEFT}.caster": 5, f"{AT}.sides.right.caster": 5}
CAMBER = {f"{LEFT}.camber": 0.25}
ALIGNED = CAMBER | {"records.aligned": {"sides": {"left": {"camber": 0.25}}}}
TOE = {f"{AT}.toe_in": 0.1}
BY_TAPE = TOE | {f"{AT}.toe_in_by_tape": "1/16 in"}
DIAGONALS = {f"{AT}.diagonal_left": 80, f"{AT}.diagonal_right": 80}
# With the fender this high its gap is within its limit however the truck is raised.
HIGH = {f"{LEFT}.fender_height": 30, f"{AT}.sides.right.fender_height": 30}


def of_baseline(limit: str, place: str, knob: str, base: dict[str, Any] | None = None, **brackets: Any) -> list[Edge]:
    return edges(limit, SUBJECT, f"{AT}.{place}", knob, base=base, **brackets)


EDGES = [
    *of_baseline(
        "raised", "sides", "vehicle.ride_height", HIGH,
        warn_below=(12 * INCH, 6 * INCH), fail_below=(6 * INCH, 3 * INCH),
        warn_above=(12 * INCH, 15 * INCH), fail_above=(15 * INCH, 20 * INCH),
    ),
    *of_baseline(
        "wheelbase-moved", "sides", "vehicle.wheelbase", None,
        warn_above=(108 * INCH, 112 * INCH), fail_above=(112 * INCH, 116 * INCH),
        warn_below=(108 * INCH, 104 * INCH), fail_below=(104 * INCH, 100 * INCH),
    ),
    *edges(
        "tyre-to-fender", "left sides", f"{LEFT}.fender_height", f"{LEFT}.fender_height",
        warn_below=(19.5 * INCH, 18.7 * INCH), fail_below=(18.6 * INCH, 18 * INCH),
    ),
    *of_baseline(
        "caster-with-pinion", "pinion_up", f"{AT}.pinion_up", CASTER,
        warn_above=(7 * DEGREE, 4 * DEGREE), fail_above=(4 * DEGREE, 0.0),
    ),
    *of_baseline(
        "caster-sides", "sides", f"{LEFT}.caster", CASTER,
        warn_above=(5 * DEGREE, 7 * DEGREE), fail_above=(7 * DEGREE, 9 * DEGREE),
    ),
    *edges(
        "camber-as-it-was", "left sides", f"{LEFT}.camber", f"{LEFT}.camber", base=CAMBER,
        warn_below=(0.0, -2 * DEGREE), fail_below=(-2 * DEGREE, -3 * DEGREE),
        warn_above=(0.0, 2 * DEGREE), fail_above=(2 * DEGREE, 3 * DEGREE),
    ),
    *edges(
        "camber-changed", "left sides", "records.aligned.sides.left.camber", "records.aligned.sides.left.camber",
        base=ALIGNED, warn_above=(0.3 * DEGREE, DEGREE), fail_above=(DEGREE, 3 * DEGREE),
    ),
    *of_baseline(
        "output-turned", "output_up", f"{AT}.output_up", None,
        warn_above=(-2 * DEGREE, DEGREE), fail_above=(DEGREE, 5 * DEGREE),
    ),
    *of_baseline(
        "driveshaft-changed", "driveshaft_length", f"{AT}.driveshaft_length", None,
        warn_above=(33 * INCH, 37 * INCH), fail_above=(37 * INCH, 45 * INCH),
    ),
    *of_baseline(
        "toe-as-it-was", "toe_in", f"{AT}.toe_in", TOE,
        warn_below=(0.0, -DEGREE), fail_below=(-DEGREE, -2 * DEGREE),
        warn_above=(0.0, DEGREE), fail_above=(DEGREE, 3 * DEGREE),
    ),
    *of_baseline(
        "toe-by-tape", "toe_in_by_tape", f"{AT}.toe_in_by_tape", BY_TAPE,
        warn_above=(0.1 * INCH, 0.3 * INCH), fail_above=(0.3 * INCH, INCH),
    ),
    *of_baseline(
        "offset-by-gaps", "axle_offset", f"{AT}.axle_offset", {f"{AT}.axle_offset": "1/8 in"},
        warn_above=(0.1 * INCH, 0.6 * INCH), fail_above=(0.6 * INCH, 2 * INCH),
    ),
    *of_baseline(
        "half-frame", "sides", "vehicle.track", None,
        warn_below=(67 * INCH, 46 * INCH), fail_below=(46 * INCH, 38 * INCH),
        warn_above=(67 * INCH, 90 * INCH), fail_above=(90 * INCH, 105 * INCH),
    ),
    *of_baseline(
        "diagonal-to-track", "diagonal_left", f"{AT}.diagonal_left", DIAGONALS,
        warn_below=(80 * INCH, 10 * INCH), fail_below=(10 * INCH, -20 * INCH),
        warn_above=(80 * INCH, 220 * INCH), fail_above=(220 * INCH, 400 * INCH),
    ),
    *of_baseline(
        "bumper-to-tyre", "bumper_height", f"{AT}.bumper_height", {f"{AT}.bumper_height": 28},
        warn_below=(28 * INCH, 12 * INCH), fail_below=(12 * INCH, 6 * INCH),
        warn_above=(28 * INCH, 50 * INCH), fail_above=(50 * INCH, 70 * INCH),
    ),
]  # fmt: skip


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(changed_from_baseline, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(changed_from_baseline, EDGES, [])


def test_a_spec_without_a_baseline_has_nothing_to_compare() -> None:
    readings = all_readings(changed_from_baseline, example("three-link-metric.buildcheck.yaml"))
    assert {each.verdict for each in readings} == {Verdict.OK}


def test_caster_and_pinion_of_a_rigid_axle_change_together() -> None:
    """The axle turned by an angle about its own line, worked out on its two directions: the steering axis leans further
    back by what the pinion comes down."""
    turn = math.radians(3)
    caster, pinion = math.radians(5), math.radians(8)
    # Side view, x forward and z up: the steering axis points up and back, the pinion back and up.
    axis, shaft = (-math.sin(caster), math.cos(caster)), (-math.cos(pinion), math.sin(pinion))

    def turned(way: tuple[float, float]) -> tuple[float, float]:
        """Turned so that its top goes back."""
        x, z = way
        return x * math.cos(turn) - z * math.sin(turn), z * math.cos(turn) + x * math.sin(turn)

    (back, up), (rear, high) = turned(axis), turned(shaft)
    new_caster, new_pinion = math.atan2(-back, up), math.atan2(high, -rear)
    assert new_caster == pytest.approx(caster + turn)
    changes = {
        f"{LEFT}.caster": math.degrees(caster),
        f"{AT}.sides.right.caster": math.degrees(caster),
        f"{AT}.pinion_up": math.degrees(pinion),
        "axle.caster": math.degrees(new_caster),
        "axle.pinion.up": math.degrees(new_pinion),
    }
    found = all_readings(changed_from_baseline, read_build(with_data(example_data(), changes)))
    (reading,) = [each for each in found if each.quantity == "caster-with-pinion"]
    assert reading.value == pytest.approx(0.0, abs=1e-12)
