"""A build that just passes and one that just fails at each limit of spec-sizes."""

from typing import Any

import pytest
from buildcheck_rules.spec_sizes import rule as spec_sizes
from edges import (
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

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict

IN = INCH
BOLTS = "attachments.arm_axle_bracket.right.bolts"
WELD = "attachments.arm_axle_bracket.left.weld"

EDGES = [
    *edges(
        "fits",
        both("coilover"),
        "coilovers.coilover.both.shaft_diameter",
        "coilovers.coilover.both.shaft_diameter",
        number=0,
        fail_above=(0.9 * IN, 3 * IN),
    ),
    *edges(
        "fits",
        both("coilover"),
        "coilovers.coilover.both.preload",
        "coilovers.coilover.both.preload",
        number=1,
        fail_above=(1 * IN, 20 * IN),
    ),
    *edges(
        "fits",
        both("limit strap"),
        "limit_straps.strap.both.stretch",
        "limit_straps.strap.both.stretch",
        fail_above=(1 * IN, 20 * IN),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(spec_sizes, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(spec_sizes, EDGES, [])


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({f"{BOLTS}.hole_diameter": "39/64 in"}, f"{BOLTS}.hole_diameter"),  # the bolt has 5/8 in
        ({f"{BOLTS}.hole_diameter": "5/8 in", f"{BOLTS}.edge_distance": "5/16 in"}, None),
        ({f"{BOLTS}.hole_diameter": "41/64 in", f"{BOLTS}.edge_distance": "5/16 in"}, f"{BOLTS}.hole_diameter"),
        ({f"{WELD}.tacks": {"count": 4, "length": 5}}, None),  # the weld has 20 in
        ({f"{WELD}.tacks": {"count": 5, "length": 5}}, f"{WELD}.tacks"),
        ({"vehicle.tyre.width": 35}, None),
        ({"vehicle.tyre.width": 35.1}, "vehicle.tyre.width"),
        ({"vehicle.tyre.width": 20, "vehicle.track": 19, "axle.tube": {"wall": 0.5}}, "vehicle.tyre.width"),
        ({"vehicle.track": 48}, "axle.tube.left_end"),
        ({"axle.tube.outside_diameter": 33.3}, "axle.tube.outside_diameter"),
        ({"axle.centre_section.radius": 16.7}, "axle.centre_section.radius"),
    ],
)
def test_a_size_that_is_too_large_is_an_error(change: dict[str, Any], place: str | None) -> None:
    build = read_build(with_data(example_data(), change))
    listed = [(each.quantity, each.place) for each in all_readings(spec_sizes, build) if each.verdict is not Verdict.OK]
    assert listed == ([] if place is None else [("fits", place)])


def test_a_spec_without_two_sizes_to_compare_gets_no_reading() -> None:
    (reading,) = all_readings(spec_sizes, example("minimal.buildcheck.yaml"))
    assert (reading.verdict, reading.applies) == (Verdict.OK, False)


def test_springs_without_a_stroke_leave_the_preload_unchecked() -> None:
    springs = "coilovers.coilover.both.springs"
    change = {f"{springs}[{number}].free_length": 5 for number in (0, 1)}
    change |= {f"{springs}[{number}].solid_length": 5 for number in (0, 1)}
    build = read_build(with_data(example_data(), change))
    listed = [(each.subject, each.verdict, each.reason) for each in all_readings(spec_sizes, build) if each.reason]
    assert listed == [
        (f"{side} coilover", Verdict.NOT_CHECKED, f"the springs of the {side} coilover are not longer free than solid")
        for side in ("left", "right")
    ]
