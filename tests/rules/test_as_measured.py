"""A measurement that just passes and one that just fails at each limit of as-measured."""

from collections.abc import Callable
from typing import Any

import pytest
from buildcheck_rules.as_measured import as_measured
from edges import Edge, Need, all_readings, check_complete, check_edge, check_need, edges, example_data

from buildcheck.build import Build, Stage, read_build
from buildcheck.inspection import inspect
from buildcheck.limit import Verdict
from buildcheck.rule import Reading

OK, WARNING, ERROR = Verdict.OK, Verdict.WARNING, Verdict.ERROR


def readings(*measured: dict[str, Any]) -> list[Reading]:
    data = example_data()
    data["records"]["measured"] = list(measured)
    return list(all_readings(as_measured, read_build(data)))


def read(of: str, value: Any, **more: Any) -> Reading:
    """The number of one measurement, which can be read."""
    readable, found = readings({"of": of, "value": value, **more})
    assert (readable.quantity, readable.verdict) == ("readable", OK)
    return found


def found_at(of: str, unit: str) -> Callable[[Build, float], Build]:
    """A build of which one number was measured, as a function of what was found, in a unit."""

    def knob(build: Build, value: float) -> Build:
        data = example_data()
        data["records"]["measured"] = [{"of": of, "value": f"{value:.9f} {unit}"}]
        return read_build(data)

    return knob


# lateral_bar.frame is 22 3/4 in up, the caster 6 deg, the load 2650 lb.
EDGES = [
    *edges(
        "length-off",
        "records measured 1",
        "lateral_bar.frame.z",
        found_at("lateral_bar.frame.z", "in"),
        warn_above=(22.75, 22.9),
        fail_above=(22.9, 23.5),
    ),
    *edges(
        "angle-off",
        "records measured 1",
        "axle.caster",
        found_at("axle.caster", "deg"),
        warn_above=(6.0, 5.0),
        fail_above=(5.0, 3.0),
    ),
    *edges(
        "share-off",
        "records measured 1",
        "vehicle.axle_load",
        found_at("vehicle.axle_load", "lb"),
        warn_above=(2650.0, 2900.0),
        fail_above=(2900.0, 3500.0),
    ),
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(as_measured, edge)


NEEDS = [
    Need(
        "readable",
        "records measured 1",
        met={"records.measured": [{"of": "axle.caster", "value": 6}]},
        not_met={"records.measured": [{"of": "axle.cast", "value": 6}]},
        finds=(("records measured 1", "readable", "records.measured[0].of"),),
    )
]


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(as_measured, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(as_measured, EDGES, NEEDS)


def test_a_point_is_off_by_its_distance() -> None:
    frame = read_build(example_data()).lateral_bar.frame
    inches = [value / 0.0254 for value in frame]
    found = read("lateral_bar.frame", [inches[0] + 0.03, inches[1] - 0.04, inches[2] + 0.12])
    assert found.value == pytest.approx(0.13 * 0.0254)
    assert found.verdict is WARNING


def test_the_right_one_of_a_pair_is_held_to_its_own_side() -> None:
    build = read_build(example_data())
    inches = [value / 0.0254 for value in build.links["arm"].right.frame]
    assert read("links.arm.right.frame", inches).value == pytest.approx(0.0, abs=1e-12)
    assert read("links.arm.left.frame", inches).verdict is ERROR


@pytest.mark.parametrize(
    ("measured", "says"),
    [
        (
            {"of": "links.arm.left.fram", "value": [0, 0, 0]},
            'the spec has no links.arm.left.fram: there is no entry of links.arm.left "fram"; did you mean "frame"?',
        ),
        (
            {"of": "link.arm", "value": 3},
            'the spec has no link.arm: there is no section "link"; did you mean "links"?',
        ),
        (
            {"of": "links.arm.centre.frame", "value": 3},
            'the spec has no links.arm.centre.frame: there is no entry of links.arm "centre"; there are both',
        ),
        ({"of": "axle", "value": 3}, "axle is neither a point nor an amount that can be measured"),
        ({"of": "axle.driven", "value": 3}, "axle.driven is neither a point nor an amount that can be measured"),
        ({"of": "lateral_bar.frame", "value": 3}, "lateral_bar.frame is a point, and 3 is not; write [x, y, z]"),
        ({"of": "axle.caster", "value": "3 in"}, "what was measured of axle.caster is no angle: "),
        ({"of": "axle.caster", "value": 6, "tolerance": "a bit"}, "what was measured of axle.caster is no angle: "),
    ],
)
def test_what_cannot_be_read_says_why(measured: dict[str, Any], says: str) -> None:
    (found,) = readings(measured)
    assert (found.quantity, found.verdict) == ("readable", ERROR)
    assert found.place == "records.measured[0].of"
    assert found.found.startswith(says)


def test_each_measurement_is_a_subject_of_its_own() -> None:
    found = readings(
        {"of": "axle.caster", "value": 6}, {"of": "axle.cast", "value": 6}, {"of": "axle.caster", "value": 9}
    )
    told = [(reading.subject, reading.quantity, reading.verdict) for reading in found]
    assert told == [
        ("records measured 1", "readable", OK),
        ("records measured 1", "angle-off", OK),
        ("records measured 2", "readable", ERROR),
        ("records measured 3", "readable", OK),
        ("records measured 3", "angle-off", ERROR),
    ]


def test_it_is_asked_for_once_brackets_are_tacked() -> None:
    build = read_build(example_data())
    assert inspect(build, [as_measured]).readings == ()
    (lacking,) = inspect(build, [as_measured], stage=Stage.TACKED).readings
    assert (lacking.verdict, lacking.missing) == (Verdict.NOT_CHECKED, ("records.measured",))
