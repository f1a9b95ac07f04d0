"""Each requirement of part-ends met and not met; and that swapped ends are found at every stage."""

from functools import reduce
from operator import getitem
from typing import Any

import pytest
from buildcheck_rules.part_ends import rule as part_ends
from edges import (
    SOUND,
    THREE_LINK,
    Need,
    all_readings,
    check_complete,
    check_need,
    example,
    example_data,
    with_data,
)

from buildcheck.build import Stage, read_build
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Verdict
from buildcheck.plugins.loading import usual

REAR = "four-link-rear.buildcheck.yaml"
HAIR = 0.001  # in

NEEDS = [
    Need(
        "ends-apart",
        "lateral bar",
        met={},
        not_met={"lateral_bar.axle": example_data()["lateral_bar"]["frame"]},
        finds=(("lateral bar", "ends-apart", "lateral_bar"),),
    ),
    Need(
        "upper-above-lower",
        "left arm",
        met={"links.arm.both.axle_upper": [3, 17.5, 15.2 + HAIR]},
        not_met={"links.arm.both.axle_upper": [3, 17.5, 15.2]},
        finds=tuple((f"{side} arm", "upper-above-lower", "links.arm.both.axle_upper") for side in ("left", "right")),
    ),
    Need(
        "bar-crosses",
        "lateral bar",
        met={"lateral_bar.axle": [5.5, -0.1, 19.9]},
        not_met={"lateral_bar.axle": [5.5, 0.1, 19.9]},
        finds=(("lateral bar", "bar-crosses", "lateral_bar.frame"),),
    ),
    Need(
        "frame-end-above",
        "left coilover",
        met={"coilovers.coilover.both.frame": [-1.5, 18.5, 20], "coilovers.coilover.both.axle": [-2, 20, 20 - HAIR]},
        not_met={"coilovers.coilover.both.frame": [-1.5, 18.5, 20], "coilovers.coilover.both.axle": [-2, 20, 20]},
        finds=(
            ("left coilover", "frame-end-above", "coilovers.coilover.both.frame"),
            ("right coilover", "frame-end-above", "coilovers.coilover.both.frame"),
        ),
    ),
    Need(
        "hose-hangs",
        "left brake line",
        met={"brake_lines.line.both.frame": [-8, 18, 18 + HAIR], "brake_lines.line.both.axle": [-4.5, 26, 18]},
        not_met={"brake_lines.line.both.frame": [-8, 18, 18], "brake_lines.line.both.axle": [-4.5, 26, 18]},
        finds=(
            ("left brake line", "hose-hangs", "brake_lines.line.both.frame"),
            ("right brake line", "hose-hangs", "brake_lines.line.both.frame"),
        ),
    ),
    Need(
        "stop-faces-target",
        "left bump stop",
        met={"bump_stops.stop.both.axis": [0, 0.999, -0.001]},
        not_met={"bump_stops.stop.both.axis": [0, 1, 0]},
        finds=(
            ("left bump stop", "stop-faces-target", "bump_stops.stop.both.axis"),
            ("right bump stop", "stop-faces-target", "bump_stops.stop.both.axis"),
        ),
    ),
    Need(
        "axle-end-near",
        "driveshaft",
        met={},
        not_met={"driveshaft.output.point": [-5, -2, 16.6], "axle.pinion.point": [-10.25, -6.5, 18]},
        finds=(("driveshaft", "axle-end-near", "driveshaft"),),
    ),
]


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_each_requirement_is_met_in_one_build_and_not_in_the_other(need: Need) -> None:
    check_need(part_ends, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(part_ends, [], NEEDS)


@pytest.mark.parametrize("name", [SOUND, THREE_LINK, REAR, "minimal.buildcheck.yaml"])
def test_sound_builds_have_their_ends_where_their_names_say(name: str) -> None:
    assert {reading.verdict for reading in all_readings(part_ends, example(name))} == {Verdict.OK}


def swapped(data: dict[str, Any], first: str, second: str) -> None:
    """Exchange what is at two spec paths."""
    (*above, one), (*beside, two) = first.split("."), second.split(".")
    here, there = reduce(getitem, above, data), reduce(getitem, beside, data)
    here[one], there[two] = there[two], here[one]


EXCHANGED = pytest.mark.parametrize(
    ("name", "first", "second", "requirement", "places"),
    [
        (
            THREE_LINK, "coilovers.coilover.both.frame", "coilovers.coilover.both.axle", "frame-end-above",
            ["coilovers.coilover.both.frame"] * 2,
        ),
        (
            THREE_LINK, "limit_straps.strap.both.frame", "limit_straps.strap.both.axle", "frame-end-above",
            ["limit_straps.strap.both.frame"] * 2,
        ),
        (
            THREE_LINK, "bump_stops.stop.both.base", "bump_stops.stop.both.target", "stop-faces-target",
            ["bump_stops.stop.both.axis"] * 2,
        ),
        (THREE_LINK, "links.lower.both.frame", "links.lower.both.axle", "axle-end-near", ["links.lower.both"] * 2),
        (THREE_LINK, "links.upper.right.frame", "links.upper.right.axle", "axle-end-near", ["links.upper.right"]),
        (REAR, "links.upper.both.frame", "links.upper.both.axle", "axle-end-near", ["links.upper.both"] * 2),
        (THREE_LINK, "driveshaft.output.point", "axle.pinion.point", "axle-end-near", ["driveshaft"]),
        (REAR, "driveshaft.output.point", "axle.pinion.point", "axle-end-near", ["driveshaft"]),
        (SOUND, "links.arm.both.frame", "links.arm.both.axle_lower", "axle-end-near", ["links.arm.both"] * 4),
    ],
    ids=str,
)  # fmt: skip


@pytest.mark.parametrize("stage", list(Stage))
@EXCHANGED
def test_swapped_ends_are_an_error_at_every_stage(
    stage: Stage, name: str, first: str, second: str, requirement: str, places: list[str]
) -> None:
    data = example_data(name)
    swapped(data, first, second)
    readings = inspect(read_build(data), [part_ends], stage=stage).readings
    found = [(reading.quantity, reading.place) for reading in readings if reading.verdict is Verdict.ERROR]
    assert found == [(requirement, place) for place in places]


@EXCHANGED
def test_the_exchange_is_named_and_undoes_it(
    name: str, first: str, second: str, requirement: str, places: list[str]
) -> None:
    data = example_data(name)
    swapped(data, first, second)
    cures = [r.cure.words for r in all_readings(part_ends, read_build(data)) if r.cure is not None]
    assert [set(words.removeprefix("exchange ").split(" and ")) for words in cures] == [{first, second}] * len(places)


TYPED_WRONG = [
    # The frame end of a coilover 10 in high and not 40, the axle end where it belongs.
    ("coilovers.coilover.both.frame", [-1.5, 18.5, 10], "frame-end-above", "measure their heights again"),
    # The frame end of an arm beside the axle and not 37 in behind it, and its axle ends where they belong.
    ("links.arm.both.frame", [-1, 16.5, 16.6], "axle-end-near", "measure both again"),
]


@pytest.mark.parametrize(("path", "point", "requirement", "words"), TYPED_WRONG, ids=["coilover", "arm"])
def test_a_wrong_digit_in_one_end_is_not_taken_for_swapped_ends(
    path: str, point: list[float], requirement: str, words: str
) -> None:
    found = all_readings(part_ends, read_build(with_data(example_data(), {path: point})))
    broken = [r for r in found if r.verdict is Verdict.ERROR]
    assert {r.quantity for r in broken} == {requirement}
    for reading in broken:
        assert reading.cure is not None
        assert reading.cure.words == f"exchange its two ends in the spec, or {words}"


def test_how_near_an_end_is_cannot_be_checked_without_the_axle() -> None:
    data = example_data(THREE_LINK)
    del data["axle"]
    found = [r for r in all_readings(part_ends, read_build(data)) if r.unchecked]
    assert {(r.verdict, r.unchecked, r.missing) for r in found} == {
        (Verdict.NOT_CHECKED, ("axle-end-near",), ("axle.position",))
    }
    assert [r.subject for r in found] == ["left lower link", "right lower link", "right upper link"]


@pytest.mark.parametrize(
    ("mounted_on", "axis", "words", "change"),
    [
        ("frame", [0, 0, 1], "is mounted on the frame and does not point down", "change the sign of z of {}.axis"),
        (
            "axle",
            [0, 0, -1],
            "is mounted on the axle and does not point up",
            "change the sign of the axis, exchange base and target, or name the other mount",
        ),
        ("axle", [0, 0, 1], "points away from its target", "exchange {0}.base and {0}.target"),
    ],
)
def test_a_stop_that_is_mounted_upside_down_says_how(mounted_on: str, axis: list[int], words: str, change: str) -> None:
    data = example_data(THREE_LINK)
    data["bump_stops"]["stop"]["both"].update(mounted_on=mounted_on, axis=axis)
    found = [r for r in all_readings(part_ends, read_build(data)) if r.verdict is Verdict.ERROR]
    assert [r.found for r in found] == [f"the {side} bump stop {words}" for side in ("left", "right")]
    assert [r.cure.words for r in found if r.cure] == [change.format("bump_stops.stop.both")] * 2


def test_a_value_that_is_not_stated_is_not_compared() -> None:
    data = example_data(THREE_LINK)
    del data["coilovers"]["coilover"]["both"]["axle"]
    assert {reading.verdict for reading in all_readings(part_ends, read_build(data))} == {Verdict.OK}


@pytest.mark.parametrize(
    ("part", "one", "two"),
    [
        ("links.arm.both", "axle_upper", "axle_lower"),
        ("coilovers.coilover.both", "axle", "frame"),
        ("limit_straps.strap.both", "axle", "frame"),
        ("brake_lines.line.both", "axle", "frame"),
        ("steering.drag_link", "pitman", "arm"),
        ("steering.tie_rod", "left", "right"),
    ],
)
def test_a_part_without_a_length_says_so_and_stops_no_rule(part: str, one: str, two: str) -> None:
    data = example_data()
    held = reduce(getitem, part.split("."), data)
    held[one] = held[two]
    readings = inspect(read_build(data), usual().rules, changes=False).readings
    assert not [reading.failure for reading in readings if reading.failure]
    none = [r for r in readings if r.quantity == "ends-apart" and r.verdict is Verdict.ERROR]
    assert none
    assert all("two ends at one point" in reading.found for reading in none)


def test_a_driveshaft_without_a_length_says_so_and_stops_no_rule() -> None:
    data = example_data()
    data["driveshaft"]["output"]["point"] = data["axle"]["pinion"]["point"]
    readings = inspect(read_build(data), usual().rules, changes=False).readings
    assert not [reading.failure for reading in readings if reading.failure]
    assert [r.subject for r in readings if r.quantity == "ends-apart" and r.verdict is Verdict.ERROR] == ["driveshaft"]
