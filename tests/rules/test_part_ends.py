"""Each requirement of part-ends met and not met; and that swapped ends are found at every stage."""

from functools import reduce
from operator import getitem
from typing import Any

import pytest
from buildcheck_rules.part_ends import part_ends
from edges import (
    SOUND,
    THREE_LINK,
    Need,
    all_readings,
    check_complete,
    check_need,
    example,
    example_data,
)

from buildcheck.build import Stage, read_build
from buildcheck.inspection import inspect
from buildcheck.limit import Verdict

REAR = "four-link-rear.buildcheck.yaml"
HAIR = 0.001  # in

NEEDS = [
    Need(
        "frame-end-above",
        "whole build",
        met={"coilovers.coilover.both.frame": [-1.5, 18.5, 20], "coilovers.coilover.both.axle": [-2, 20, 20 - HAIR]},
        not_met={"coilovers.coilover.both.frame": [-1.5, 18.5, 20], "coilovers.coilover.both.axle": [-2, 20, 20]},
        finds=(("whole build", "frame-end-above", "coilovers.coilover.both.frame"),) * 2,
    ),
    Need(
        "hose-hangs",
        "whole build",
        met={"brake_lines.line.both.frame": [-8, 18, 18 + HAIR], "brake_lines.line.both.axle": [-4.5, 26, 18]},
        not_met={"brake_lines.line.both.frame": [-8, 18, 18], "brake_lines.line.both.axle": [-4.5, 26, 18]},
        finds=(("whole build", "hose-hangs", "brake_lines.line.both.frame"),) * 2,
    ),
    Need(
        "stop-faces-target",
        "whole build",
        met={"bump_stops.stop.both.axis": [0, 0.999, -0.001]},
        not_met={"bump_stops.stop.both.axis": [0, 1, 0]},
        finds=(("whole build", "stop-faces-target", "bump_stops.stop.both.axis"),) * 2,
    ),
    Need(
        "axle-end-near",
        "whole build",
        met={},
        not_met={"driveshaft.output.point": [-5, -2, 16.6], "axle.pinion.point": [-10.25, -6.5, 18]},
        finds=(("whole build", "axle-end-near", "driveshaft"),),
    ),
]


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
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


@pytest.mark.parametrize("stage", list(Stage))
@pytest.mark.parametrize(
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
def test_swapped_ends_are_an_error_at_every_stage(
    stage: Stage, name: str, first: str, second: str, requirement: str, places: list[str]
) -> None:
    data = example_data(name)
    swapped(data, first, second)
    readings = inspect(read_build(data), [part_ends], stage=stage).readings
    found = [(reading.quantity, reading.place) for reading in readings if reading.verdict is Verdict.ERROR]
    assert found == [(requirement, place) for place in places]


@pytest.mark.parametrize(
    ("mounted_on", "axis", "words"),
    [
        ("frame", [0, 0, 1], "is mounted on the frame and does not point down"),
        ("axle", [0, 0, -1], "is mounted on the axle and does not point up"),
        ("axle", [0, 0, 1], "points away from its target"),
    ],
)
def test_a_stop_that_is_mounted_upside_down_says_how(mounted_on: str, axis: list[int], words: str) -> None:
    data = example_data(THREE_LINK)
    data["bump_stops"]["stop"]["both"].update(mounted_on=mounted_on, axis=axis)
    found = [r.found for r in all_readings(part_ends, read_build(data)) if r.verdict is Verdict.ERROR]
    assert found == [f"the {side} bump stop {words}" for side in ("left", "right")]


def test_what_is_not_stated_contradicts_nothing() -> None:
    data = example_data(THREE_LINK)
    del data["coilovers"]["coilover"]["both"]["axle"]
    assert {reading.verdict for reading in all_readings(part_ends, read_build(data))} == {Verdict.OK}
