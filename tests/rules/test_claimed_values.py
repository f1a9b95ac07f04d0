"""A build that just passes and one that just fails at each limit of claimed-values."""

import pytest
from buildcheck_rules.claimed_values import rule as claimed_values
from edges import (
    DEGREE,
    INCH,
    Edge,
    Need,
    both,
    check_complete,
    check_edge,
    check_need,
    edges,
    example_data,
    one_of_each_bound,
)

IN = INCH
COILOVER, STRAP = "coilovers.coilover.both", "limit_straps.strap.both"
MPH = 0.44704
STOP = example_data()["bump_stops"]["stop"]["both"] | {"kind": "hydraulic"}

EDGES = [
    *edges(
        "slip-of-shaft",
        "driveshaft",
        "driveshaft.longest_length",
        "driveshaft.longest_length",
        warn_above=(36 * IN, 42 * IN),
        fail_above=(42 * IN, 50 * IN),
    ),
    *edges(
        "angle-of-kind",
        "driveshaft pinion joint",
        "driveshaft.pinion_joint.largest_angle",
        "driveshaft.pinion_joint.largest_angle",
        warn_above=(22 * DEGREE, 40 * DEGREE),
        fail_above=(40 * DEGREE, 50 * DEGREE),
    ),
    *edges(
        "damper-room",
        both("coilover"),
        f"{COILOVER}.compressed_length",
        f"{COILOVER}.compressed_length",
        warn_below=(21 * IN, 19 * IN),
        fail_below=(19.4 * IN, 15 * IN),
    ),
    *edges(
        "spring-room",
        both("coilover"),
        f"{COILOVER}.springs",
        f"{COILOVER}.springs[1].free_length",
        warn_below=(14 * IN, 18 * IN),
        fail_below=(18 * IN, 22 * IN),
    ),
    *edges(
        "solid-of-spring",
        both("coilover spring 1"),
        f"{COILOVER}.springs[0].solid_length",
        f"{COILOVER}.springs[0].solid_length",
        warn_below=(5 * IN, 2.5 * IN),
        fail_below=(2.5 * IN, 1 * IN),
    ),
    *edges(
        "body-to-shaft",
        both("coilover"),
        f"{COILOVER}.body_diameter",
        f"{COILOVER}.body_diameter",
        warn_below=(2.5 * IN, 1.2 * IN),
        fail_below=(1.2 * IN, 0.9 * IN),
    ),
    *edges(
        "ring-above-solid",
        both("coilover"),
        f"{COILOVER}.upper_spring_stop",
        f"{COILOVER}.upper_spring_stop",
        base={f"{COILOVER}.upper_spring_stop": 6},
        warn_below=(6 * IN, 5.1 * IN),
        fail_below=(5.1 * IN, 4 * IN),
    ),
    *edges(
        "strap-rating",
        both("limit strap"),
        f"{STRAP}.load_rating",
        f"{STRAP}.load_rating",
        warn_above=(20e3, 90e3),
        fail_above=(90e3, 150e3),
    ),
    *edges(
        "articulation-to-travel",
        "travel",
        "travel.articulation",
        "travel.articulation",
        warn_below=(12 * DEGREE, 4 * DEGREE),
        fail_below=(4 * DEGREE, 1 * DEGREE),
        warn_above=(12 * DEGREE, 30 * DEGREE),
        fail_above=(30 * DEGREE, 44 * DEGREE),
    ),
    *edges(
        "top-speed",
        "vehicle",
        "vehicle.top_speed",
        "vehicle.top_speed",
        warn_above=(70 * MPH, 115 * MPH),
        fail_above=(115 * MPH, 140 * MPH),
    ),
]


NEEDS = [
    Need(
        "gas-stated",
        "left bump stop",
        met={"bump_stops.stop.both": STOP | {"gas_charged": False}},
        not_met={"bump_stops.stop.both": STOP},
        finds=tuple((f"{side} bump stop", "gas-stated", "bump_stops.stop.both.kind") for side in ("left", "right")),
    ),
]


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(claimed_values, need)


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(claimed_values, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(claimed_values, EDGES, NEEDS)
