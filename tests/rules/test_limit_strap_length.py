"""A build that just passes and one that just fails at each limit of limit-strap-length."""

from typing import Any

import pytest
from buildcheck_rules.limit_strap_length import rule as limit_strap_length
from edges import (
    ARTICULATED,
    DEGREE,
    INCH,
    STRAIGHT,
    Edge,
    Need,
    check_complete,
    check_edge,
    check_need,
    edges,
    example_data,
    one_of_each_bound,
    readings_of,
    with_data,
)

from buildcheck.build import read_build

LEFT = "left limit strap"
STRAP = "limit_straps.strap.both.length"
HOSE = "brake_lines.line.both.free_length"
# So long that none of the others is near its limit where one is looked at.
LONG_HOSE = {"brake_lines.line.both.free_length": 30}


# Straight droop alone, and articulation with the left or with the right side down alone: what is held as one is worst
# there. The straps are taken out of the way of the articulation.
DOWN = {**ARTICULATED, "limit_straps.strap.both.length": 30}


def of_joint(end: str, base: dict[str, Any], *bracket: float) -> list[Edge]:
    """The edges of one joint of the driveshaft."""
    path = f"driveshaft.{end}_joint.largest_angle"
    good, bad = (angle * DEGREE for angle in bracket)
    return edges(
        "driveshaft-angle-left",
        f"driveshaft {end} joint",
        path,
        path,
        base=base,
        warn_below=(good, bad),
        fail_below=(good, bad),
    )


EDGES = [
    *(
        edge
        for stroke in (0, 1)
        for edge in edges(
            "coilover-left",
            "left coilover",
            STRAP,
            "coilovers.coilover.both.extended_length",
            number=stroke,
            warn_below=(35.5 * INCH, 32 * INCH),
            fail_below=(35.5 * INCH, 32 * INCH),
        )
    ),
    *(
        edge
        for base in (STRAIGHT, DOWN)
        for edge in edges(
            "brake-line-slack",
            "right brake line",
            HOSE,
            HOSE,
            base=base,
            warn_below=(25 * INCH, 17 * INCH),
            fail_below=(25 * INCH, 17 * INCH),
        )
    ),
    *(
        edge
        for base in (STRAIGHT, DOWN)
        for edge in edges(
            "driveshaft-slip-left",
            "driveshaft",
            "driveshaft.longest_length",
            "driveshaft.longest_length",
            base=base,
            warn_below=(36 * INCH, 31 * INCH),
            fail_below=(36 * INCH, 31 * INCH),
        )
    ),
    *(edge for base in (STRAIGHT, DOWN) for edge in of_joint("output", base, 28, 3)),
    *(edge for base in (STRAIGHT, DOWN) for edge in of_joint("pinion", base, 22, 0.5)),
    *edges(
        "slack-at-ride",
        ("left limit strap", "right limit strap"),
        STRAP,
        STRAP,
        base=LONG_HOSE,
        warn_below=(18 * INCH, 15 * INCH),
        fail_below=(15.2 * INCH, 14 * INCH),
    ),
    *edges("droop-lost", LEFT, STRAP, STRAP, base=LONG_HOSE, fail_above=(19.5 * INCH, 18 * INCH)),
    *edges(
        "both-together",
        "limit strap",
        "limit_straps.strap.right.length",
        "limit_straps.strap.right.length",
        base={**LONG_HOSE, "limit_straps.strap.right.stretch": 0.75},
        warn_above=(19.5 * INCH, 20 * INCH),
        fail_above=(19.5 * INCH, 20.5 * INCH),
    ),
    *edges(
        "both-together",
        "limit strap",
        "limit_straps.strap.left.length",
        "limit_straps.strap.left.length",
        base={**LONG_HOSE, "limit_straps.strap.right.stretch": 0.75},
        warn_above=(19.7 * INCH, 20.2 * INCH),
    ),
]
NEEDS = [
    Need(
        "comes-tight",
        LEFT,
        met={},
        not_met={**LONG_HOSE, "limit_straps.strap.both.length": 30, "coilovers.coilover.both.extended_length": 40},
        finds=tuple((f"{side} limit strap", "comes-tight", STRAP) for side in ("left", "right")),
    )
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(limit_strap_length, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_each_requirement_is_met_in_one_build_and_not_in_the_other(need: Need) -> None:
    check_need(limit_strap_length, need)


def test_a_strap_in_the_middle_ends_the_droop_of_both_sides() -> None:
    """One strap over the axle centre in place of the pair: the reserves of both sides are reported at that strap."""
    strap = {"frame": [-5, 0, 33], "axle": [-5, 0, 18.5], "length": 20.5, "stretch": 0.75}
    build = read_build(with_data(example_data(), {"limit_straps": {"strap": {"centre": strap}}}))
    for side in ("left", "right"):
        found = readings_of(limit_strap_length, build, "coilover-left", f"{side} coilover")
        assert [reading.place for reading in found] == ["limit_straps.strap.centre.length"] * 2


def slack_of_a_hose(side: str) -> float:
    """The slack of one brake line in the middle of the axle, written for a side."""
    hose = {"frame": [-8, 0, 30], "axle": [-4.5, 0, 18], "free_length": 22.5, "moves_with": "axle"}
    build = read_build(with_data(example_data(), {"brake_lines": {"line": {side: hose}}}))
    (reading,) = readings_of(limit_strap_length, build, "brake-line-slack", f"{side} brake line")
    assert reading.value is not None
    return reading.value


def test_a_hose_in_the_middle_is_checked_with_the_straps_of_both_sides() -> None:
    assert slack_of_a_hose("left") != slack_of_a_hose("right")
    assert slack_of_a_hose("centre") == min(slack_of_a_hose("left"), slack_of_a_hose("right"))


def test_every_limit_has_its_edges() -> None:
    check_complete(limit_strap_length, EDGES, NEEDS)
