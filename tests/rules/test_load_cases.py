"""A build that just passes and one that just fails at each limit of load-cases."""

from typing import Any

import pytest
from buildcheck_rules.load_cases import rule as load_cases
from edges import (
    INCH,
    POUND_FORCE,
    THREE_LINK,
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

POUND_FOOT = POUND_FORCE * 12 * INCH
SHARE = "vehicle.brake_share"
DRIVE = "vehicle.drive_share"
TORQUE = "vehicle.drive_torque"
HEIGHT = "vehicle.centre_of_gravity_height"

AS_WRITTEN = {"rock_strike": "2650 lbf", "ledge": "8.3 in"}

EDGES = [
    *(
        edge
        for name, common in (
            ("braking", 0.8),
            ("cornering", 0.7),
            ("combined", 0.7),
            ("friction", 0.9),
            ("bump_stop_hit", 3.0),
            ("rock_strike", 2650 * POUND_FORCE),
            ("one_wheel", 1.8),
            ("ledge", 8.3 * INCH),
            ("kerb", 1.75),
        )
        for edge in edges(
            "stated-load-case",
            "whole build",
            f"load_cases.{name}",
            f"load_cases.{name}",
            base={"load_cases": {name: AS_WRITTEN.get(name, common)}},
            warn_below=(1.1 * common, 0.6 * common),
            fail_below=(0.7 * common, 0.4 * common),
        )
    ),
    *edges("brake-share", "vehicle", SHARE, SHARE, warn_below=(0.65, 0.1), warn_above=(0.65, 1.0)),
    *edges("drive-share", "vehicle", DRIVE, DRIVE, warn_below=(0.5, 0.1), fail_below=(0.1, 0.01)),
    *edges(
        "drive-push",
        "vehicle",
        TORQUE,
        TORQUE,
        warn_below=(5200 * POUND_FOOT, 800 * POUND_FOOT),
        fail_below=(800 * POUND_FOOT, 100 * POUND_FOOT),
    ),
    *edges(
        "centre-of-gravity",
        "vehicle",
        HEIGHT,
        HEIGHT,
        warn_below=(32 * INCH, 20 * INCH),
        fail_below=(20 * INCH, 10 * INCH),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(load_cases, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(load_cases, EDGES, [])


def not_ok(change: dict[str, Any], name: str) -> list[tuple[str, Verdict, str]]:
    found = all_readings(load_cases, read_build(with_data(example_data(name), change)))
    return [(each.quantity, each.verdict, each.place) for each in found if each.verdict is not Verdict.OK]


@pytest.mark.parametrize(
    ("change", "found"),
    [
        ({SHARE: 0}, [("brake-share", Verdict.WARNING, SHARE)]),
        ({DRIVE: 0}, [("drive-share", Verdict.ERROR, DRIVE)]),
        ({TORQUE: 0}, [("drive-push", Verdict.ERROR, TORQUE)]),
        ({TORQUE: 0, DRIVE: 0, "axle.driven": False}, []),
        (
            {"load_cases": {"braking": 0, "cornering": 0, "combined": 0, "friction": 0.1, "rock_strike": 0}},
            [
                ("stated-load-case", Verdict.ERROR, f"load_cases.{each}")
                for each in ("braking", "cornering", "combined", "friction", "rock_strike")
            ],
        ),
        ({"load_cases": {"bump_stop_hit": 1}}, [("stated-load-case", Verdict.ERROR, "load_cases.bump_stop_hit")]),
    ],
)
@pytest.mark.parametrize("name", ["tamarack/proposal.buildcheck.yaml", THREE_LINK])
def test_a_load_case_is_not_removed_in_silence(
    change: dict[str, Any], found: list[tuple[str, Verdict, str]], name: str
) -> None:
    assert not_ok(change, name) == found


def test_a_missing_value_to_compare_with_is_named() -> None:
    data = with_data(example_data(), {"load_cases": {"braking": 0.8, "rock_strike": "1 lbf"}})
    del data["vehicle"]["axle_load"]
    found = all_readings(load_cases, read_build(data))
    # The rock strike is compared with it, and so is the push of the drive torque.
    assert [(each.unchecked, each.verdict, each.missing) for each in found if each.verdict is not Verdict.OK] == [
        (("stated-load-case",), Verdict.NOT_CHECKED, ("vehicle.axle_load",)),
        (("drive-push",), Verdict.NOT_CHECKED, ("vehicle.axle_load",)),
    ]


def test_without_stated_load_cases_the_rule_does_not_apply() -> None:
    found = all_readings(load_cases, read_build({"format": 1, "units": "metric"}))
    assert [(each.verdict, each.reason) for each in found] == [
        (Verdict.OK, "the spec states no load cases, and the common ones are assumed")
    ]
