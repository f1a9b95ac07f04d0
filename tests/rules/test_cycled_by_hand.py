"""A build that just passes and one that just fails at each limit of cycled-by-hand."""

from typing import Any

import pytest
from buildcheck_rules.cycled_by_hand import AS_COMPUTED
from buildcheck_rules.cycled_by_hand import rule as cycled_by_hand
from edges import (
    INCH,
    Edge,
    Need,
    all_readings,
    check_complete,
    check_edge,
    check_need,
    edges,
    example,
    example_data,
    readings_of,
)

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict
from buildcheck.testing import changed as with_data

WHERE = "records.cycled"
CYCLED = "records cycled"
BASE: dict[str, Any] = {WHERE: AS_COMPUTED}


def seen(limit: str, subject: str, place: str, field: str, computed: float, warn: float, fail: float) -> list[Edge]:
    """The edges of what was seen on the left, about what is computed there, inches."""
    middle = (warn + fail) / 2
    return edges(
        limit,
        subject,
        place,
        f"{WHERE}.sides.left.{field}",
        base=BASE,
        warn_above=(computed * INCH, (computed + middle) * INCH),
        fail_above=((computed + middle) * INCH, (computed + 2 * fail) * INCH),
    ) + edges(
        limit,
        subject,
        place,
        f"{WHERE}.sides.left.{field}",
        base=BASE,
        warn_below=(computed * INCH, (computed - middle) * INCH),
        fail_below=((computed - middle) * INCH, (computed - 2 * fail) * INCH),
    )


# What is computed for the example, to a thousandth: see `test_what_is_computed`.
EDGES = [
    *seen("stop-touches-at", "left bump stop", "bump_stops.stop.both.base", "stop_touches_at", 3.167, 0.25, 0.75),
    *seen("strap-tight-at", "left limit strap", "limit_straps.strap.both.length", "strap_tight_at", 5.617, 0.25, 0.75),
    *seen(
        "coilover-left-in-bump",
        "left coilover",
        "coilovers.coilover.both.compressed_length",
        "coilover_left_in_bump",
        1.603,
        0.25,
        0.75,
    ),
    *seen(
        "coilover-left-in-droop",
        "left coilover",
        "coilovers.coilover.both.extended_length",
        "coilover_left_in_droop",
        2.021,
        0.25,
        0.75,
    ),
    *edges(
        "brake-line-slack",
        "left brake line",
        "brake_lines.line.both.free_length",
        f"{WHERE}.sides.left.brake_line_slack",
        base=BASE,
        warn_above=(1.36 * INCH, 3 * INCH),
        fail_above=(3 * INCH, 5 * INCH),
        warn_below=(1.36 * INCH, 0.6 * INCH),
        fail_below=(0.6 * INCH, 0),
    ),
    *edges(
        "slack-seen",
        "left brake line",
        f"{WHERE}.sides.left.brake_line_slack",
        f"{WHERE}.sides.left.brake_line_slack",
        base=BASE,
        warn_below=(0.8 * INCH, 0.2 * INCH),
        fail_below=(0.2 * INCH, -0.2 * INCH),
    ),
    *edges(
        "gap-as-computed",
        f"{CYCLED} gaps 1",
        f"{WHERE}.gaps[0].gap",
        f"{WHERE}.gaps[0].gap",
        base=BASE,
        warn_above=(1.525 * INCH, 2.3 * INCH),
        fail_above=(2.3 * INCH, 3 * INCH),
        warn_below=(1.525 * INCH, 0.8 * INCH),
        fail_below=(0.8 * INCH, 0.1 * INCH),
    ),
]


def need(field: str, value: Any) -> Need:
    """The need of one statement on the whole cycle."""
    name = field.replace("_", "-")
    return Need(
        name,
        CYCLED,
        met=BASE,
        not_met={WHERE: {**AS_COMPUTED, field: value}},
        finds=((CYCLED, name, f"{WHERE}.{field}"),),
    )


NEEDS = [
    need("ended_up_by", "coilover"),
    need("ended_down_by", "brake-line"),
    need("both_locks", False),
    need("nothing_touched", False),
    Need(
        "gap-or-touched",
        f"{CYCLED} gaps 1",
        met=BASE,
        not_met={WHERE: {**AS_COMPUTED, "gaps": [{"first": "left tyre", "second": "left arm", "gap": 0}]}},
        finds=tuple(
            (f"{CYCLED} gaps 1", name, f"{WHERE}.gaps[0].gap") for name in ("gap-as-computed", "gap-or-touched")
        ),
    ),
]


def test_a_gap_between_parts_that_are_not_there_is_not_checked_and_names_the_nearest() -> None:
    wrong = {**AS_COMPUTED, "gaps": [{"first": "left tire", "second": "left arm", "gap": "1 1/2 in"}]}
    found = readings_of(cycled_by_hand, read_build(with_data(example_data(), {WHERE: wrong})), "", f"{CYCLED} gaps 1")
    assert [(each.verdict, each.reason) for each in found] == [
        (Verdict.NOT_CHECKED, 'there is no part that comes near another "left tire"; did you mean "left tyre"?')
    ]


def test_a_truck_that_was_not_cycled_is_not_checked_and_says_what_to_write_down() -> None:
    found = all_readings(cycled_by_hand, example())
    missing = {path for each in found for path in each.missing}
    assert {each.verdict for each in found} == {Verdict.NOT_CHECKED}
    assert {
        f"{WHERE}.{field}" for field in ("ended_up_by", "ended_down_by", "both_locks", "nothing_touched")
    } <= missing
    assert f"{WHERE}.sides" in missing


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(cycled_by_hand, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(cycled_by_hand, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(cycled_by_hand, EDGES, NEEDS)
