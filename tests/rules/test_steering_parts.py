"""A build that just passes and one that just fails at each limit of steering-parts."""

import pytest
from buildcheck_rules.steering_parts import rule as steering_parts
from edges import INCH, Edge, Need, all_readings, both, check_complete, check_edge, check_need, edges, example

from buildcheck.checks.limit import Verdict

KINGPIN = "steering.kingpins.both.centre"
ROD, LINK = "steering.tie_rod", "steering.drag_link"
HOSE = "brake_lines.line.both.moves_with"

EDGES = [
    *edges(
        "kingpin-to-axle",
        both("kingpin"),
        KINGPIN,
        f"{KINGPIN}.x",
        warn_above=(0.0, 2 * INCH),
        fail_above=(2 * INCH, 4 * INCH),
    ),
    *edges(
        "tie-rod-level",
        "steering tie rod",
        f"{ROD}.left",
        f"{ROD}.left.z",
        warn_above=(14.2 * INCH, 15 * INCH),
        fail_above=(15 * INCH, 17 * INCH),
    ),
    *(
        edge
        for path, subject in ((ROD, "steering tie rod"), (LINK, "steering drag link"))
        for edge in (
            *edges(
                "rod-diameter",
                subject,
                f"{path}.tube.outside_diameter",
                f"{path}.tube.outside_diameter",
                warn_below=(1.25 * INCH, 0.95 * INCH),
                fail_below=(0.95 * INCH, 0.8 * INCH),
            ),
            *edges(
                "rod-wall",
                subject,
                f"{path}.tube.wall",
                f"{path}.tube.wall",
                warn_below=(0.25 * INCH, 0.15 * INCH),
                fail_below=(0.15 * INCH, 0.1 * INCH),
            ),
        )
    ),
]
NEEDS = [
    Need(
        "hose-on-knuckle",
        subject,
        met={HOSE: "knuckle"},
        not_met={HOSE: "axle"},
        finds=tuple((each, "hose-on-knuckle", "brake_lines.line.both") for each in both("brake line")),
    )
    for subject in both("brake line")
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(steering_parts, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(steering_parts, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(steering_parts, EDGES, NEEDS)


def test_a_hose_that_ends_on_the_axle_tube_may_move_with_it() -> None:
    build = example().with_value("brake_lines.line.both.axle.y", 20 * INCH).with_value(HOSE, "axle")
    found = [each for each in all_readings(steering_parts, build) if each.quantity == "hose-on-knuckle"]
    assert [each for each in found if each.verdict is not Verdict.OK] == []
