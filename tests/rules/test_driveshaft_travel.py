"""A build that just passes and one that just fails at each limit of driveshaft-travel."""

import pytest
from buildcheck_rules.driveshaft_travel import rule as driveshaft_travel
from edges import (
    ARTICULATED,
    DEGREE,
    INCH,
    STRAIGHT,
    Edge,
    all_readings,
    check_complete,
    check_edge,
    edges,
    example_data,
    one_of_each_bound,
    with_data,
)

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict

SHORTEST, LONGEST = "driveshaft.shortest_length", "driveshaft.longest_length"
OUTPUT, PINION = "driveshaft.output_joint.largest_angle", "driveshaft.pinion_joint.largest_angle"

# (limit, the subject, the input, a good and a bad value).
WAYS = [
    ("slip-left-to-go-in", "driveshaft", SHORTEST, 30.5 * INCH, 33 * INCH),
    ("slip-left-to-come-out", "driveshaft", LONGEST, 36 * INCH, 31 * INCH),
    ("joint-angle-left", "driveshaft output joint", OUTPUT, 28 * DEGREE, 2 * DEGREE),
    ("joint-angle-left", "driveshaft pinion joint", PINION, 22 * DEGREE, 1 * DEGREE),
]
EDGES = [
    edge
    for limit, subject, path, good, bad in WAYS
    for base in (STRAIGHT, ARTICULATED)
    for edge in edges(limit, subject, path, path, base=base, warn_below=(good, bad), fail_below=(good, bad))
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(driveshaft_travel, edge)


def test_an_axle_that_is_not_driven_has_no_driveshaft_to_look_at() -> None:
    data = with_data(example_data(), {"axle.driven": False})
    del data["driveshaft"]
    found = all_readings(driveshaft_travel, read_build(data))
    assert {(r.subject, r.verdict, r.applies, r.reason) for r in found} == {
        ("driveshaft", Verdict.OK, False, "nothing drives this axle"),
        ("shaft joint", Verdict.OK, False, "nothing drives this axle"),
    }


def test_every_limit_has_its_edges() -> None:
    check_complete(driveshaft_travel, EDGES, ())
