"""Pairs of statements that just agree, and pairs that do not, for each limit of statements-agree."""

from typing import Any

import pytest
from buildcheck_rules.statements_agree import rule as statements_agree
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
    one_of_each_bound,
    with_data,
)

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict
from buildcheck.spec.written import REMOVED

COILOVER = "coilovers.coilover.both"
HOUSING = "attachments.arm_axle_bracket.right"
TUBE = "attachments.arm_axle_bracket.left"
BAR = "attachments.lateral_bar_axle_bracket.right"
WELD = {"kind": "fillet", "leg": "3/16 in", "length": 15}
FORGED = {"shape": "forged", "material": "carbon-steel"}

EDGES = [
    *edges(
        "parent-thickness",
        "left arm axle bracket",
        f"{TUBE}.parent_thickness",
        f"{TUBE}.parent_thickness",
        warn_below=(INCH / 2, 0.4 * INCH),
        warn_above=(INCH / 2, 0.6 * INCH),
    ),
    *edges(
        "foot-off-member",
        "right lateral bar axle bracket",
        f"{BAR}.height",
        f"{BAR}.height",
        fail_above=(5.4 * INCH, 4 * INCH),
    ),
]


ON_HOUSING = "right arm axle bracket"
ON_TUBE = "left arm axle bracket"


def need(requirement: str, subject: str, met: dict[str, Any], not_met: dict[str, Any], place: str) -> Need:
    """`subject` may leave the side out: then it is so on both sides."""
    sides = ("",) if subject.split(maxsplit=1)[0] in ("axle", "steering", "left", "right") else ("left ", "right ")
    subjects = [f"{side}{subject}" for side in sides]
    return Need(requirement, subjects[0], met, not_met, tuple((each, requirement, place) for each in subjects))


NEEDS = [
    need(
        "nut-or-thread",
        f"{ON_HOUSING} bolts",
        {f"{HOUSING}.bolts.threaded_into": "nut", f"{HOUSING}.bolts.thread_engaged": REMOVED},
        {f"{HOUSING}.bolts.threaded_into": "nut"},
        f"{HOUSING}.bolts.threaded_into",
    ),
    need("driven", "axle", {}, {"axle.driven": False}, "axle.driven"),
    need("steering-layout", "steering", {}, {"steering.layout": "push-pull"}, "steering.layout"),
    need(
        "steering-layout",
        "steering",
        {"steering.layout": "push-pull", "steering.drag_link.arm": [-30, -23, 22]},
        {"steering.drag_link.arm": [-30, -23, 22]},
        "steering.layout",
    ),
    need(
        "method",
        ON_HOUSING,
        {},
        {f"{HOUSING}.weld": WELD},
        f"{HOUSING}.method",
    ),
    Need(
        "damper-or-springs",
        "left coilover",
        {f"{COILOVER}.kind": "damper", f"{COILOVER}.springs": REMOVED},
        {f"{COILOVER}.kind": "damper"},
        tuple((f"{side} coilover", "damper-or-springs", f"{COILOVER}.kind") for side in ("left", "right")),
    ),
    need("method", ON_HOUSING, {}, {f"{HOUSING}.method": "welded"}, f"{HOUSING}.method"),
    *(
        need(
            "parent-material",
            ON_HOUSING,
            {f"{HOUSING}.parent_material": "ductile-iron"},
            {f"{HOUSING}.parent_material": metal},
            f"{HOUSING}.parent_material",
        )
        for metal in ("carbon-steel", "cast-steel", "malleable-iron", "unknown-casting", "aluminium")
    ),
    need(
        "parent-material",
        "arm frame bracket",
        {"attachments.arm_frame_bracket.both.parent_material": "carbon-steel"},
        {"attachments.arm_frame_bracket.both.parent_material": "alloy-steel"},
        "attachments.arm_frame_bracket.both.parent_material",
    ),
    Need(
        "on-its-parent",
        ON_TUBE,
        {},
        {f"{TUBE}.parent": "centre-section"},
        ((ON_TUBE, "foot-off-member", f"{TUBE}.point"), (ON_TUBE, "on-its-parent", f"{TUBE}.parent")),
    ),
    need(
        "one-section",
        "left arm",
        {"links.arm.left.section": FORGED},
        {"links.arm.left.section": {**FORGED, "material": "forged-steel"}},
        "links.arm.left.section",
    ),
    need(
        "one-section",
        "left arm",
        {"links.arm.left.section": FORGED},
        {"links.arm.left.section": {**FORGED, "shape": "plate"}},
        "links.arm.left.section",
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(statements_agree, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_each_requirement_is_met_in_one_build_and_not_in_the_other(need: Need) -> None:
    check_need(statements_agree, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(statements_agree, EDGES, NEEDS)


def not_ok(data: dict[str, Any]) -> list[tuple[str, Verdict]]:
    found = all_readings(statements_agree, read_build(data))
    return [(each.quantity, each.verdict) for each in found if each.verdict is not Verdict.OK]


def test_a_bracket_that_is_bolted_and_welded_may_have_both() -> None:
    data = with_data(example_data(), {f"{HOUSING}.weld": WELD})
    assert not_ok(data) == [("method", Verdict.ERROR)]
    assert not_ok(with_data(data, {f"{HOUSING}.method": "bolted-and-welded"})) == []


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


def test_a_crossmember_may_be_of_another_thickness_than_the_frame() -> None:
    at = "attachments.lateral_bar_frame_bracket.left"
    changes = {f"{at}.parent_thickness": "1/8 in"}
    assert not_ok(with_data(example_data(), changes)) == [("parent-thickness", Verdict.WARNING)]
    assert not_ok(with_data(example_data(), {**changes, f"{at}.parent": "crossmember"})) == []


def test_no_height_at_all_is_false_for_every_bracket_that_is_not_at_its_joint() -> None:
    data = example_data(THREE_LINK)
    for name, brackets in data["attachments"].items():
        for bracket in brackets.values():
            if "height" in bracket and "frame" not in name:
                bracket["height"] = 0
    # The upper link's and the lateral bar's bracket, and two each for the coilovers, the straps and the stops.
    assert not_ok(data) == [("foot-off-member", Verdict.ERROR)] * 8


@pytest.mark.parametrize(
    ("off", "found"), [(0.24, []), (0.26, [("foot-off-member", Verdict.ERROR)]), (-1.6, [])], ids=str
)
def test_a_foot_is_on_the_surface_or_around_the_tube(off: float, found: list[tuple[str, Verdict]]) -> None:
    """The tube is 3.25 in outside and runs across at a height of 16.6 in."""
    point = [0, 17.5, 16.6 + 3.25 / 2 + off]
    assert not_ok(with_data(example_data(), {f"{TUBE}.point": point})) == found


UPPER = "attachments.upper_axle_bracket.right"


def test_a_bracket_on_the_casting_that_says_that_it_is_on_the_tube_is_named() -> None:
    """The end of the upper link is 18 mm off the casting and some 170 mm off the bare tube beside it: a height of
    180 mm fits the tube, and still the bracket is at the casting."""
    data = with_data(example_data(THREE_LINK), {f"{UPPER}.parent": "axle-tube", f"{UPPER}.height": 180})
    data["axle"]["centre_section"]["material"] = "gray-iron"
    del data["attachments"]["upper_axle_bracket"]["right"]["parent_thickness"]
    found = [each for each in all_readings(statements_agree, read_build(data)) if each.verdict is not Verdict.OK]
    assert [(each.quantity, each.verdict, each.place) for each in found] == [
        ("on-its-parent", Verdict.ERROR, f"{UPPER}.parent")
    ]
    assert found[0].found == "the right upper axle bracket, on the axle tube, and nearer to the centre section"


@pytest.mark.parametrize(
    ("point", "found"),
    [([0, -13.4, 16.6], []), ([0, -13.6, 16.6], ["foot-off-member", "on-its-parent"])],
    ids=["0.15 in beside the casting", "0.35 in beside it"],
)
def test_a_foot_beside_the_casting_is_on_the_tube(point: list[float], found: list[str]) -> None:
    """The casting ends at y = -13.25 in; a foot around the tube there is no distance off the tube."""
    data = with_data(example_data(), {f"{HOUSING}.point": point})
    assert [quantity for quantity, _ in not_ok(data)] == found


def test_a_bracket_on_an_axle_of_unknown_shape_contradicts_nothing() -> None:
    data = example_data()
    for key in ("centre", "radius"):
        del data["axle"]["centre_section"][key]
    for key in ("left_end", "right_end"):
        del data["axle"]["tube"][key]
    assert not_ok(data) == []


def test_a_value_stated_once_is_not_compared() -> None:
    bare = {"format": 1, "units": "metric", "axle": {"position": "front"}}
    (found,) = all_readings(statements_agree, read_build(bare))
    assert (found.verdict, found.reason) == (
        Verdict.OK,
        "the spec lacks the values to compare",
    )
