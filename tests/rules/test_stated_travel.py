"""A build that just passes and one that just fails at the limit of stated-travel; and that it agrees with the cycle."""

import math

import pytest
from buildcheck_rules.stated_travel import rule as stated_travel
from edges import (
    DEGREE,
    INCH,
    SOUND,
    THREE_LINK,
    Edge,
    all_readings,
    check_complete,
    check_edge,
    edges,
    example,
    example_data,
    one_of_each_bound,
    with_data,
)

from buildcheck.build import Stage, read_build
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Verdict
from buildcheck.job.cycle import cycle

REAR, FAULTY = "four-link-rear.buildcheck.yaml", "tamarack/proposal-with-faults.buildcheck.yaml"
SIDES = ("left", "right")
WAYS = ["straight bump", "straight droop", "articulation, left wheel up", "articulation, right wheel up"]
PAN, STRAP, JOINT = "vehicle.obstacles.oil_pan", "limit_straps.strap.both", "links.arm.both.joints.frame.misalignment"


def edge_of(number: int, place: str, knob: str, **bracket: tuple[float, float]) -> list[Edge]:
    return edges("travel-allowed", "whole build", place, knob, number=number, **bracket)


# Each way, by a part that ends it.
EDGES = [
    *edge_of(0, PAN, f"{PAN}.lower.z", fail_below=(23.5 * INCH, 23 * INCH)),
    *edge_of(1, STRAP, f"{STRAP}.length", fail_below=(19.5 * INCH, 18.5 * INCH)),
    *edge_of(2, "links.arm.both", JOINT, fail_below=(22 * DEGREE, 10 * DEGREE)),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(stated_travel, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(stated_travel, EDGES, [])


@pytest.mark.parametrize("stage", list(Stage))
def test_a_coilover_with_swapped_ends_is_an_error_by_name_at_every_stage(stage: Stage) -> None:
    """It grows shorter as the axle droops, from 683 mm at ride height, and bottoms at 550 mm."""
    data = example_data(THREE_LINK)
    coilover = data["coilovers"]["coilover"]["both"]
    coilover["frame"], coilover["axle"] = coilover["axle"], coilover["frame"]
    readings = inspect(read_build(data), [stated_travel], stage=stage).readings
    found = [reading for reading in readings if reading.verdict is Verdict.ERROR]
    assert [reading.effect for reading in found] == [
        f"the {side} coilover bottoms before the end of straight droop" for side in SIDES
    ]
    # The change names the part too, so that the output that shows one line for each error does.
    assert [reading.cure and reading.cure.words.partition(" there: ")[0] for reading in found] == [
        f"the {side} coilover bottoms" for side in SIDES
    ]
    assert [reading.of for reading in found] == ["straight droop", "straight droop, the right coilover bottoms"]
    assert {reading.place for reading in found} == {"coilovers.coilover.both"}
    assert found[0].pose is not None
    assert found[0].pose.heave == pytest.approx(-0.1306, abs=1e-4)
    assert found[0].value == pytest.approx(0.1306 / 0.136, abs=1e-3)


@pytest.mark.parametrize("name", [SOUND, FAULTY, THREE_LINK, REAR])
@pytest.mark.parametrize(
    "change", [{}, {"travel.bump": 12}, {"travel.droop": 14}, {"travel.articulation": 24}], ids=str
)
def test_every_end_that_the_cycle_lists_before_the_stated_travel_is_an_error(
    name: str, change: dict[str, float]
) -> None:
    scale = 25.4 if name == THREE_LINK else 1.0
    scaled = {path: value if "articulation" in path else value * scale for path, value in change.items()}
    build = read_build(with_data(example_data(name), scaled))
    limits = cycle(build, steps=1).limits
    assert limits is not None
    listed = [
        (end.path, end.pose, f"{end.what} before the end of {way.name}")
        for way in limits.ways
        for end in way.ends
        if end.at < way.stated
    ]
    readings = all_readings(stated_travel, build)
    errors = [reading for reading in readings if reading.verdict is Verdict.ERROR]
    assert [(reading.place, reading.pose, reading.effect) for reading in errors] == listed
    assert bool(listed) == bool(change or name == FAULTY)
    ended = {way.name for way in limits.ways if way.ends and way.ends[0].at < way.stated}
    assert [r.of for r in readings if r.verdict is Verdict.OK] == [way for way in WAYS if way not in ended]


def test_a_way_is_not_ok_where_a_part_could_not_be_followed() -> None:
    data = example_data()
    del data["driveshaft"]
    readings = all_readings(stated_travel, read_build(data))
    assert [(reading.of, reading.verdict, reading.reason, reading.missing) for reading in readings] == [
        (way, Verdict.NOT_CHECKED, "the spec lacks driveshaft", ("driveshaft",)) for way in WAYS
    ]
    assert all(reading.value is not None and reading.value > 1.0 for reading in readings)


@pytest.mark.parametrize(("key", "ways"), [("bump", WAYS[:1]), ("droop", WAYS[1:2]), ("articulation", WAYS[2:])])
def test_of_no_travel_all_is_reached(key: str, ways: list[str]) -> None:
    readings = all_readings(stated_travel, example(THREE_LINK).with_value(f"travel.{key}", 0.0))
    assert not any(reading.failure for reading in readings)
    found = [reading for reading in readings if reading.of in ways]
    assert [(r.of, r.verdict, r.value, r.place) for r in found] == [(w, Verdict.OK, 1.0, f"travel.{key}") for w in ways]


def test_a_motion_that_the_steering_cannot_follow_is_not_ok() -> None:
    """A drag link that does not reach at full lock to the right in some poses."""
    build = read_build(with_data(example_data(), {"steering.pitman_arm.pivot": [17.5, 15.5, 26]}))
    for reading in all_readings(stated_travel, build):
        assert reading.verdict is Verdict.NOT_CHECKED
        assert reading.reason.startswith("not looked at: what the drag link touches, in ")
        assert reading.reason.endswith(" poses, where the steering does not reach")


@pytest.mark.parametrize(
    ("gone", "ways"),
    [
        (["articulation"], WAYS[:2]),
        (["bump"], ["straight droop"]),
        (["droop", "articulation"], ["straight bump"]),
    ],
)
def test_each_way_that_is_stated_is_looked_at(gone: list[str], ways: list[str]) -> None:
    data = example_data()
    for key in gone:
        del data["travel"][key]
    *readings, last = all_readings(stated_travel, read_build(data))
    assert [(reading.of, reading.verdict) for reading in readings] == [(way, Verdict.OK) for way in ways]
    assert (last.verdict, last.missing) == (Verdict.NOT_CHECKED, tuple(f"travel.{key}" for key in gone))


def test_articulation_that_the_links_cannot_begin_ends_where_it_begins() -> None:
    """So much droop that the middle of the travel is out of the links' reach."""
    build = example(THREE_LINK).with_value("travel.droop", 1.2)
    found = [
        reading
        for reading in all_readings(stated_travel, build)
        if reading.effect.startswith("the links let the axle go no farther")
    ]
    assert [reading.of for reading in found if reading.value == 0.0] == WAYS[2:]
    assert all(reading.verdict is Verdict.ERROR and math.isfinite(reading.value or 0.0) for reading in found)
