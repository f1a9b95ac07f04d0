"""A build that just passes and one that just fails at each limit of first-drives."""

from typing import Any

import pytest
from buildcheck_rules.first_drives import GOOD
from buildcheck_rules.first_drives import rule as first_drives
from edges import (
    Edge,
    Need,
    all_readings,
    check_complete,
    check_edge,
    check_need,
    edges,
    example_data,
)

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict
from buildcheck.testing import changed as with_data

WHERE = "records.driven"
CHECK = "records driven torque checks 1"
MILE = 1609.344


def need(field: str) -> Need:
    """The need of one statement that is true where the drive found nothing."""
    name = field.replace("_", "-")
    return Need(
        name,
        "records driven",
        met={WHERE: GOOD},
        not_met={WHERE: {**GOOD, field: False}},
        finds=(("records driven", name, f"{WHERE}.{field}"),),
    )


LOOSE: dict[str, Any] = {"planned_after": "50 mi", "done_after": "48 mi", "all_tight": False}
NEEDS = [
    *map(need, ("brakes_tested", "runs_straight", "no_shake", "nothing_new")),
    Need(
        "all-tight",
        CHECK,
        met={WHERE: GOOD},
        not_met={WHERE: {**GOOD, "torque_checks": [LOOSE]}},
        finds=((CHECK, "all-tight", f"{WHERE}.torque_checks[0].all_tight"),),
    ),
]
# The check is planned after 50 mi.
PLANNED = f"{WHERE}.torque_checks[0].planned_after"
DONE_AFTER = f"{WHERE}.torque_checks[0].done_after"
EDGES = edges(
    "torque-check-late",
    CHECK,
    DONE_AFTER,
    DONE_AFTER,
    base={WHERE: GOOD},
    warn_above=(50 * MILE, 60 * MILE),
    fail_above=(60 * MILE, 120 * MILE),
) + edges(
    "first-torque-check",
    "records driven",
    f"{WHERE}.torque_checks",
    PLANNED,
    base={WHERE: GOOD},
    warn_above=(60 * MILE, 200 * MILE),
    fail_above=(200 * MILE, 700 * MILE),
)


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(first_drives, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(first_drives, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(first_drives, EDGES, NEEDS)


def test_drives_without_a_planned_check_of_the_torque_are_not_checked() -> None:
    build = read_build(with_data(example_data(), {WHERE: {**GOOD, "torque_checks": []}}))
    found = [each for each in all_readings(first_drives, build) if "no check of the torque" in each.reason]
    assert [each.verdict for each in found] == [Verdict.NOT_CHECKED]
