"""A build that just passes and one that just fails at each limit of measuring."""

from typing import Any

import pytest
from buildcheck_rules.measuring import MEASURES
from buildcheck_rules.measuring import rule as measuring
from edges import (
    DEGREE,
    INCH,
    Edge,
    Need,
    all_readings,
    check_complete,
    check_edge,
    check_need,
    edges,
    example_data,
    with_data,
)

from buildcheck.build import Build, read_build
from buildcheck.build.part import fields
from buildcheck.build.records import Measurement
from buildcheck.checks.limit import Verdict

SUBJECT, AT = "records measured 1", "records.measured[0]"
HEIGHT = {"of": "lateral_bar.frame.z", "value": "22 13/16 in"}


def measured(**more: Any) -> dict[str, Any]:
    return {"records.measured": [HEIGHT | more]}


def with_tolerance(unit: str) -> Any:
    def turned(build: Build, number: float) -> Build:
        return build.with_value(f"{AT}.tolerance", f"{number!r} {unit}")

    return turned


EDGES = [
    *edges(
        "tape", "records", "records.tape_tolerance", "records.tape_tolerance",
        warn_above=(INCH / 16, INCH / 5), fail_above=(INCH / 5, INCH),
    ),
    *edges(
        "gauge", "records", "records.gauge_tolerance", "records.gauge_tolerance",
        warn_above=(0.2 * DEGREE, DEGREE), fail_above=(DEGREE, 3 * DEGREE),
    ),
    *edges(
        "scales", "records", "records.scale_tolerance", "records.scale_tolerance",
        warn_above=(9.0, 60.0), fail_above=(60.0, 200.0),
    ),
    *edges(
        "length-tolerance", SUBJECT, f"{AT}.tolerance", with_tolerance("in"), base=measured(tolerance="1/16 in"),
        warn_above=(0.06, 0.2), fail_above=(0.2, 1.0),
    ),
    *edges(
        "angle-tolerance", SUBJECT, f"{AT}.tolerance", with_tolerance("deg"),
        base=measured(of="axle.caster", value=6, tolerance=0.2), warn_above=(0.2, 1.0), fail_above=(1.0, 3.0),
    ),
    *edges(
        "share-tolerance", SUBJECT, f"{AT}.tolerance", with_tolerance("lb"),
        base=measured(of="vehicle.axle_load", value=2660, tolerance=10), warn_above=(10.0, 200.0),
        fail_above=(200.0, 600.0),
    ),
]  # fmt: skip
DATED = {"measured_on": "2026-03-10", "stage": "tacked"}
TACKED = {"old_mounts_removed": True}
NEEDS = [
    Need(
        "tool",
        SUBJECT,
        met=measured(tool="tape"),
        not_met=measured(tool="scales"),
        finds=((SUBJECT, "tool", f"{AT}.tool"),),
    ),
    Need(
        "stage-reached",
        SUBJECT,
        met=measured(stage="tacked") | {"build.stage": "tacked"},
        not_met=measured(stage="cycled") | {"build.stage": "tacked"},
        finds=((SUBJECT, "stage-reached", f"{AT}.stage"),),
    ),
    Need(
        "record-reached",
        "records tacked",
        met={"records.tacked": TACKED, "build.stage": "tacked"},
        not_met={"records.tacked": TACKED, "build.stage": "teardown"},
        finds=(("records tacked", "record-reached", "records.tacked"),),
    ),
    Need(
        "after-baseline",
        SUBJECT,
        met=measured(**DATED) | {"build.stage": "tacked"},
        not_met=measured(**DATED | {"measured_on": "2026-02-10"}) | {"build.stage": "tacked"},
        finds=((SUBJECT, "after-baseline", f"{AT}.measured_on"),),
    ),
    Need(
        "not-exact",
        "records",
        met={"records.tape_tolerance": "1/64 in"},
        not_met={"records.tape_tolerance": "0 in"},
        finds=(("records", "not-exact", "records.tape_tolerance"),),
    ),
    Need(
        "not-exact",
        SUBJECT,
        met=measured(tolerance="1/64 in"),
        not_met=measured(tolerance="0 in"),
        finds=((SUBJECT, "not-exact", f"{AT}.tolerance"),),
    ),
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(measuring, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(measuring, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(measuring, EDGES, NEEDS)


def test_every_tool_of_a_spec_is_known() -> None:
    assert "tool" in fields(Measurement)
    assert set(MEASURES) == set(Measurement.SAID["tool"].one_of)


@pytest.mark.parametrize(
    ("of", "value", "tool", "verdict"),
    [
        ("lateral_bar.frame", [5.5, 16.5, 22.75], "tape", Verdict.OK),
        ("lateral_bar.frame", [5.5, 16.5, 22.75], "angle-gauge", Verdict.ERROR),
        ("axle.caster", 6, "angle-gauge", Verdict.OK),
        ("axle.caster", 6, "tape", Verdict.ERROR),
        ("vehicle.axle_load", 2650, "scales", Verdict.OK),
        ("vehicle.axle_load", 2650, "calipers", Verdict.ERROR),
    ],
)
def test_each_kind_of_value_has_its_tools(of: str, value: Any, tool: str, verdict: Verdict) -> None:
    spec = with_data(example_data(), {"records.measured": [{"of": of, "value": value, "tool": tool}]})
    (reading,) = [each for each in all_readings(measuring, read_build(spec)) if each.quantity == "tool"]
    assert reading.verdict is verdict
