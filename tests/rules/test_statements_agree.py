"""Pairs of statements that just agree, and pairs that do not, for each limit of statements-agree."""

from typing import Any

import pytest
from buildcheck_rules.statements_agree import statements_agree
from edges import (
    INCH,
    SOUND,
    THREE_LINK,
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

from buildcheck.build import read_build
from buildcheck.limit import Verdict

HOUSING = "attachments.arm_axle_bracket.right"
TUBE = "attachments.arm_axle_bracket.left"
WELD = {"kind": "fillet", "leg": "3/16 in", "length": 15}
FORGED = {"shape": "forged", "material": "carbon-steel"}

EDGES = [
    *edges(
        "parent-thickness",
        "whole build",
        f"{TUBE}.parent_thickness",
        f"{TUBE}.parent_thickness",
        warn_below=(INCH / 2, 0.4 * INCH),
        warn_above=(INCH / 2, 0.6 * INCH),
    ),
]


def need(requirement: str, met: dict[str, Any], not_met: dict[str, Any], *places: str) -> Need:
    finds = tuple(("whole build", requirement, place) for place in places)
    return Need(requirement, "whole build", met, not_met, finds)


NEEDS = [
    need("driven", {}, {"axle.driven": False}, "axle.driven"),
    need("position", {}, {"axle.centre": [-108, 0, 16.6]}, "axle.centre"),
    need("position", {}, {"axle.tube.left_end": [-55, 24.5, 16.6]}, "axle.tube.left_end"),
    need("position", {}, {"axle.position": "rear"}, "axle.centre", "axle.tube.left_end"),
    need("steering-layout", {}, {"steering.layout": "push-pull"}, "steering.layout"),
    need(
        "steering-layout",
        {"steering.layout": "push-pull", "steering.drag_link.arm": [-30, -23, 22]},
        {"steering.drag_link.arm": [-30, -23, 22]},
        "steering.layout",
    ),
    need(
        "method",
        {f"{HOUSING}.method": "bolted-and-welded", f"{HOUSING}.weld": WELD},
        {f"{HOUSING}.weld": WELD},
        f"{HOUSING}.method",
    ),
    need("method", {}, {f"{HOUSING}.method": "welded"}, f"{HOUSING}.method"),
    *(
        need(
            "parent-material",
            {f"{HOUSING}.parent_material": "ductile-iron"},
            {f"{HOUSING}.parent_material": metal},
            f"{HOUSING}.parent_material",
        )
        for metal in ("carbon-steel", "cast-steel", "malleable-iron", "unknown-casting", "aluminium")
    ),
    need(
        "parent-material",
        {"attachments.arm_frame_bracket.both.parent_material": "carbon-steel"},
        {"attachments.arm_frame_bracket.both.parent_material": "alloy-steel"},
        *["attachments.arm_frame_bracket.both.parent_material"] * 2,
    ),
    need(
        "one-section",
        {"links.arm.left.section": FORGED},
        {"links.arm.left.section": {**FORGED, "material": "forged-steel"}},
        "links.arm.left.section",
    ),
    need(
        "one-section",
        {"links.arm.left.section": FORGED},
        {"links.arm.left.section": {**FORGED, "shape": "plate"}},
        "links.arm.left.section",
    ),
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(statements_agree, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(statements_agree, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(statements_agree, EDGES, NEEDS)


def not_ok(data: dict[str, Any]) -> list[tuple[str, Verdict]]:
    found = all_readings(statements_agree, read_build(data))
    return [(each.quantity, each.verdict) for each in found if each.verdict is not Verdict.OK]


@pytest.mark.parametrize("name", [SOUND, THREE_LINK, "four-link-rear.buildcheck.yaml"])
def test_the_sound_examples_agree(name: str) -> None:
    assert not_ok(example_data(name)) == []


def test_each_thing_that_drives_an_axle_contradicts_one_that_is_not_driven() -> None:
    data = with_data(example_data(), {"axle.driven": False})
    there = [("driveshaft",), ("axle", "pinion"), ("axle", "final_drive_ratio")]
    there += [("vehicle", "drive_torque"), ("vehicle", "drive_share")]
    while there:
        assert not_ok(data) == [("driven", Verdict.ERROR)]
        *section, key = there.pop()
        del (data[section[0]] if section else data)[key]
    assert not_ok(data) == []


def test_a_share_or_a_torque_of_nothing_drives_nothing() -> None:
    data = with_data(example_data(), {"axle.driven": False, "vehicle.drive_share": 0, "vehicle.drive_torque": 0})
    for section, key in (("axle", "pinion"), ("axle", "final_drive_ratio")):
        del data[section][key]
    del data["driveshaft"]
    assert not_ok(data) == []


def test_a_crossmember_may_be_of_another_material_than_the_frame() -> None:
    """The frame's own material counts where the bracket states none."""
    changes = {"parent": "crossmember", "parent_material": "aluminium"}
    at = "attachments.lateral_bar_frame_bracket.left"
    assert not_ok(with_data(example_data(), {f"{at}.{key}": value for key, value in changes.items()})) == []


def test_what_is_stated_once_contradicts_nothing() -> None:
    bare = {"format": 1, "units": "metric", "axle": {"position": "front"}}
    (found,) = all_readings(statements_agree, read_build(bare))
    assert (found.verdict, found.reason) == (Verdict.OK, "nothing is stated twice")
