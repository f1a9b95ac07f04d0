"""A build that just passes and one that just fails at each limit of stated-values."""

from typing import Any

import pytest
from buildcheck_rules.stated_values import MIDDLING_YIELD, MOST_TILT, MOST_TURNING
from buildcheck_rules.stated_values import rule as stated_values
from edges import (
    DEGREE,
    INCH,
    Edge,
    Need,
    all_readings,
    both,
    check_complete,
    check_edge,
    check_need,
    edges,
    example_data,
    with_data,
)

from buildcheck.build import Build, read_build
from buildcheck.build.part import METALS, Vector
from buildcheck.job.layout import ASSUMED_STIFFNESS

JOINT, TUBE = "lateral_bar.joints.frame", "lateral_bar.tube"
BAR_JOINT, BAR_TUBE = "lateral bar frame joint", "lateral bar tube"
TURNING = {f"{JOINT}.torsional_stiffness": "1 N·m/deg"}
STOP = "bump_stops.stop.both"
ON_TUBE, ON_FRAME = "attachments.arm_axle_bracket.left.weld.length", "attachments.arm_frame_bracket.both.weld.length"
HOSE = "brake_lines.line"
INBOARD = {"frame": [-8, 17, 30], "axle": [-4.5, 20, 18], "free_length": 22.5, "moves_with": "axle"}
LINE = {"frame": [-8, 17, 30], "axle": [-4.5, 26, 18], "free_length": 22.5, "moves_with": "knuckle"}
PLATE = "attachments.arm_frame_bracket.both.bracket_thickness"
BOLTS = "attachments.arm_axle_bracket.right.bolts"
LOAD = "attachments.lateral_bar_frame_bracket.left.design_load"


def tilted(build: Build, across: float) -> Build:
    """The bolt of the bar's frame joint tilted along the bar, by a tangent."""
    return build.with_value(f"{JOINT}.axis", Vector(1.0, across, 0.0))


EDGES = [
    *edges(
        "tilt-of-kind", BAR_JOINT, f"{JOINT}.misalignment", f"{JOINT}.misalignment",
        warn_above=(16 * DEGREE, 35 * DEGREE), fail_above=(35 * DEGREE, 55 * DEGREE),
    ),
    *edges(
        "stiffness-of-kind", BAR_JOINT, f"{JOINT}.radial_stiffness", f"{JOINT}.radial_stiffness",
        warn_below=(8e7, 6e6), fail_below=(6e6, 1e6), warn_above=(8e7, 2e9), fail_above=(2e9, 5e9),
    ),
    *edges(
        "turning-of-kind", BAR_JOINT, f"{JOINT}.torsional_stiffness", f"{JOINT}.torsional_stiffness", base=TURNING,
        warn_above=(60.0, 1000.0), fail_above=(1000.0, 10000.0),
    ),
    *edges(
        "yield-of-metal", BAR_TUBE, f"{TUBE}.yield_strength", f"{TUBE}.yield_strength",
        warn_below=(4e8, 1.5e8), fail_below=(1.5e8, 1e8), warn_above=(4e8, 1e9), fail_above=(1e9, 1.9e9),
    ),
    *edges(
        "modulus-of-metal", BAR_TUBE, f"{TUBE}.youngs_modulus", f"{TUBE}.youngs_modulus",
        base={f"{TUBE}.youngs_modulus": "205 GPa"}, warn_below=(2.05e11, 1.7e11), fail_below=(1.7e11, 1.4e11),
        warn_above=(2.05e11, 2.5e11), fail_above=(2.5e11, 3e11),
    ),
    *edges(
        "wall-of-link", BAR_TUBE, f"{TUBE}.wall", f"{TUBE}.wall",
        warn_below=(0.25 * INCH, 0.06 * INCH), fail_below=(0.06 * INCH, 0.03 * INCH),
    ),
    *edges(
        "wall-of-axle", "axle tube", "axle.tube.wall", "axle.tube.wall",
        warn_below=(0.5 * INCH, 0.13 * INCH), fail_below=(0.13 * INCH, 0.05 * INCH),
    ),
    *edges(
        "wall-of-driveshaft", "driveshaft tube", "driveshaft.tube.wall", "driveshaft.tube.wall",
        warn_below=(0.12 * INCH, 0.035 * INCH), fail_below=(0.035 * INCH, 0.01 * INCH),
        warn_above=(0.12 * INCH, 0.5 * INCH), fail_above=(0.5 * INCH, INCH),
    ),
    *edges(
        "crushed-of-kind", both("bump stop"), f"{STOP}.crushed_length", f"{STOP}.crushed_length",
        warn_below=(1.7 * INCH, INCH), fail_below=(INCH, 0.5 * INCH),
    ),
    *edges(
        "rating-to-bolt", BAR_JOINT, f"{JOINT}.load_rating", f"{JOINT}.load_rating",
        warn_above=(1.2e5, 5e5), fail_above=(5e5, 9.9e5),
    ),
    *edges(
        "bolt-along-link", "lateral bar", JOINT, tilted, number=0,
        warn_above=(0.0, 1.0), fail_above=(0.6, 5.0),
    ),
    *edges(
        "hole-to-bolt", "right arm axle bracket bolts", f"{BOLTS}.hole_diameter", f"{BOLTS}.hole_diameter",
        base={f"{BOLTS}.hole_diameter": "21/32 in"}, warn_above=(0.66 * INCH, 0.8 * INCH),
        fail_above=(0.8 * INCH, INCH),
    ),
    *edges(
        "design-load", "left lateral bar frame bracket", LOAD, LOAD,
        warn_below=(25000.0, 10000.0), fail_below=(10000.0, 3000.0), warn_above=(25000.0, 200000.0),
        fail_above=(200000.0, 500000.0),
    ),
    *edges(
        "above-axle", "oil pan", "vehicle.obstacles.oil_pan", "vehicle.obstacles.oil_pan.lower.z",
        warn_below=(20 * INCH, 12 * INCH), fail_below=(12 * INCH, 5 * INCH),
    ),
    *edges(
        "frame-thickness", "vehicle frame", "vehicle.frame.thickness", "vehicle.frame.thickness",
        warn_below=(0.2 * INCH, 0.08 * INCH), fail_below=(0.08 * INCH, 0.04 * INCH),
        warn_above=(0.2 * INCH, 0.5 * INCH), fail_above=(0.5 * INCH, INCH),
    ),
    *edges(
        "bracket-thickness", both("arm frame bracket"), PLATE, PLATE,
        warn_below=(0.25 * INCH, 0.1 * INCH), fail_below=(0.1 * INCH, 0.05 * INCH),
        warn_above=(0.25 * INCH, INCH), fail_above=(INCH, 2 * INCH),
    ),
    *edges(
        "weld-on-tube", "left arm axle bracket", ON_TUBE, ON_TUBE,
        warn_above=(20 * INCH, 40 * INCH), fail_above=(40 * INCH, 60 * INCH),
    ),
    *edges(
        "weld-elsewhere", both("arm frame bracket"), ON_FRAME, ON_FRAME,
        warn_above=(32 * INCH, 60 * INCH), fail_above=(60 * INCH, 120 * INCH),
    ),
    *edges(
        "hose-length", "left brake line", f"{HOSE}.left.free_length", f"{HOSE}.left.free_length",
        base={HOSE: {"left": LINE}},
        warn_above=(23 * INCH, 40 * INCH), fail_above=(40 * INCH, 60 * INCH),
    ),
]  # fmt: skip
NEEDS = [
    Need(
        "metal-of-axle",
        "axle ends",
        met={"axle.ends.material": "cast-steel"},
        not_met={"axle.ends.material": "aluminium"},
        finds=(("axle ends", "metal-of-axle", "axle.ends.material"),),
    ),
    Need(
        "shear-planes",
        "right arm axle bracket bolts",
        met={f"{BOLTS}.shear_planes": 2},
        not_met={f"{BOLTS}.shear_planes": 3},
        finds=(("right arm axle bracket bolts", "shear-planes", f"{BOLTS}.shear_planes"),),
    ),
    Need(
        "gas-of-kind",
        "left bump stop",
        met={f"{STOP}.gas_charged": True, f"{STOP}.kind": "hydraulic"},
        not_met={f"{STOP}.gas_charged": True},
        finds=tuple((name, "gas-of-kind", f"{STOP}.gas_charged") for name in both("bump stop")),
    ),
    Need(
        "hose-on-axle",
        "left brake line",
        met={HOSE: {"both": INBOARD}},
        not_met={HOSE: {"both": INBOARD | {"moves_with": "knuckle"}}},
        finds=tuple((name, "hose-on-axle", f"{HOSE}.both.moves_with") for name in both("brake line")),
    ),
    Need(
        "hose-on-both-sides",
        "left brake line",
        met={HOSE: {"both": LINE}},
        not_met={HOSE: {"left": LINE}},
        finds=(("left brake line", "hose-on-both-sides", f"{HOSE}.left"),),
    ),
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(stated_values, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(stated_values, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(stated_values, EDGES, NEEDS)


def test_every_kind_has_its_bounds() -> None:
    kinds = set(ASSUMED_STIFFNESS) - {"typical"}
    assert set(MOST_TILT) == set(MOST_TURNING) == kinds
    assert set(MIDDLING_YIELD) == set(METALS)


@pytest.mark.parametrize(
    ("kind", "most"), [("rod-end", 30), ("spherical", 35), ("polyurethane", 12), ("rubber", 16), ("clevis", 10)]
)
def test_the_tilt_is_held_to_that_of_the_kind(kind: str, most: float) -> None:
    changes: dict[str, Any] = {f"{JOINT}.kind": kind, f"{JOINT}.misalignment": 9}
    found = all_readings(stated_values, read_build(with_data(example_data(), changes)))
    (reading,) = [each for each in found if (each.quantity, each.subject) == ("tilt-of-kind", BAR_JOINT)]
    assert reading.value == pytest.approx(9 / most)
