"""Every end of every part is held by a bracket, or is not checked and named."""

from copy import deepcopy
from typing import Any

import pytest
from buildcheck_rules.bracket_at_every_end import rule as bracket_at_every_end
from edges import (
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
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Area
from buildcheck.plugins.loading import usual
from buildcheck.plugins.stopwatch import Watch

FOUR_LINK = "four-link-rear.buildcheck.yaml"
BAR = "attachments.lateral_bar_frame_bracket.left"

NEEDS = [
    Need(
        "on-its-side",
        "frame end of the lateral bar",
        met={},
        not_met={"lateral_bar.frame": [5.5, -0.01, 22.75]},
        finds=(("frame end of the lateral bar", "on-its-side", f"{BAR}.holds"),),
    ),
    Need(
        "held-once",
        "frame end of the lateral bar",
        met={"attachments.arm_axle_bracket.left.holds": ["links.arm", "lateral_bar.frame"]},
        not_met={"attachments.arm_frame_bracket.both.holds": ["links.arm", "lateral_bar.frame"]},
        finds=(("frame end of the lateral bar", "held-once", f"{BAR}.holds"),),
    ),
    Need(
        "nothing-on-a-knuckle",
        "left strap axle bracket",
        met={"attachments.strap_axle_bracket.left": {"holds": "brake_lines.line.left.axle", "parent": "knuckle"}},
        not_met={"attachments.strap_axle_bracket.left.parent": "knuckle"},
        finds=(("left strap axle bracket", "nothing-on-a-knuckle", "attachments.strap_axle_bracket.left.parent"),),
    ),
]

LOWER = "attachments.lower_axle_bracket.both.point"
EDGES = edges(
    "foot-near-its-end",
    ("axle end of the left lower link", "axle end of the right lower link"),
    LOWER,
    lambda build, value: build.with_value(f"{LOWER}.z", (400 - value) / 1000),
    build=THREE_LINK,
    fail_above=(100, 700),
)


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_each_bound_has_a_build_on_either_side(edge: Edge) -> None:
    check_edge(bracket_at_every_end, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_each_requirement_is_met_in_one_build_and_not_in_the_other(need: Need) -> None:
    check_need(bracket_at_every_end, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(bracket_at_every_end, EDGES, NEEDS)


def not_ok(data: dict[str, Any]) -> dict[str, tuple[Verdict, str]]:
    """The verdict and the reason of each reading that is not ok, by its subject."""
    found = [each for each in all_readings(bracket_at_every_end, read_build(data)) if each.verdict is not Verdict.OK]
    assert len({each.subject for each in found}) == len(found)
    return {each.subject: (each.verdict, each.reason) for each in found}


@pytest.mark.parametrize(
    ("name", "ends"),
    [
        (SOUND, 2 * (2 + 1 + 2 + 2 + 2)),
        (THREE_LINK, 2 * (3 + 1 + 2 + 2 + 2)),
        (FOUR_LINK, 2 * (4 + 2 + 2 + 2)),
    ],
)
def test_every_end_of_a_sound_example_has_a_bracket(name: str, ends: int) -> None:
    """Two ends of each: links, lateral bar, coilovers, straps, stops."""
    found = all_readings(bracket_at_every_end, read_build(example_data(name)))
    assert {each.verdict for each in found if each.quantity} == {Verdict.OK}
    for name_of_it in ("on-its-side", "held-once"):
        assert sum(each.quantity == name_of_it for each in found) == ends


PARTS = {
    "arm": ("arm", "links.arm", "both"),
    "lower": ("lower link", "links.lower", "both"),
    "upper": ("upper link", "links.upper", "both"),
    "lateral_bar": ("lateral bar", "lateral_bar", ""),
    "coilover": ("coilover", "coilovers.coilover", "both"),
    "strap": ("limit strap", "limit_straps.strap", "both"),
    "stop": ("bump stop", "bump_stops.stop", "both"),
}


def brackets() -> list[Any]:
    """Every bracket of the sound examples, and each half of a pair."""
    found = []
    for name in (SOUND, THREE_LINK, FOUR_LINK):
        for bracket, sides in example_data(name)["attachments"].items():
            each = ["left", "right"] if "both" in sides else list(sides)
            found += [pytest.param(name, bracket, [side], id=f"{name[:5]} {bracket} {side}") for side in each]
            if len(each) == 2:
                found.append(pytest.param(name, bracket, each, id=f"{name[:5]} {bracket} left and right"))
    return found


@pytest.mark.parametrize(("name", "bracket", "lost"), brackets())
def test_an_end_whose_bracket_is_missing_is_not_checked_and_named(name: str, bracket: str, lost: list[str]) -> None:
    data = example_data(name)
    held = data["attachments"].pop(bracket)
    left = {side: held.get("both", held.get(side)) for side in ("left", "right") if side not in lost}
    if any(left.values()):
        # Without its point, which is written for the other side.
        data["attachments"][bracket] = {
            side: {key: each for key, each in value.items() if key != "point"} for side, value in left.items() if value
        }
    noun, path, pair = PARTS[next(key for key in PARTS if bracket.startswith(key))]
    end, where = ("axle", "the axle") if "axle" in bracket else ("frame", "the frame or a crossmember")
    assert not_ok(data) == {
        f"{end} end of the {f'{side} {noun}' if pair else noun}": (
            Verdict.NOT_CHECKED,
            f"no bracket on {where} holds {f'{path}.{side}' if pair else path}",
        )
        for side in lost
    }


def test_without_brackets_every_end_is_not_checked() -> None:
    data = example_data()
    del data["attachments"]
    found = not_ok(data)
    assert len(found) == 18
    assert set(found.values()) == {(Verdict.NOT_CHECKED, "the spec lacks attachments")}


def test_the_record_says_that_the_mounts_of_the_steering_box_and_the_hoses_are_not_checked() -> None:
    unheld = {"mount of the steering box"} | {
        f"{end} end of the {side} brake line" for end in ("frame", "axle") for side in ("left", "right")
    }
    brackets: dict[str, Any] = {}
    for added, held in (
        ({}, set()),
        ({"box_plate": {"left": {"holds": "steering.pitman_arm", "parent": "frame"}}}, {"mount of the steering box"}),
        (
            {"hose_tab": {"both": {"holds": "brake_lines.line", "parent": "axle-tube"}}},
            {"axle end of the left brake line", "axle end of the right brake line"},
        ),
    ):
        brackets |= added
        unheld -= held
        data = example_data()
        data["attachments"] |= brackets
        found = all_readings(bracket_at_every_end, read_build(data))
        assert {each.subject for each in found if not each.applies} == unheld
        assert all("is not checked" in each.reason for each in found if not each.applies)


def test_without_parts_there_is_nothing_to_hold() -> None:
    bare = {"format": 1, "units": "metric", "axle": {"position": "front"}}
    found = all_readings(bracket_at_every_end, read_build(bare))
    assert [(each.verdict, each.missing) for each in found] == [(Verdict.NOT_CHECKED, ("links", "attachments"))]


@pytest.mark.parametrize("key", ["holds", "parent"])
def test_a_bracket_that_does_not_say_what_it_holds_or_is_fixed_to_holds_nothing(key: str) -> None:
    data = example_data()
    del data["attachments"]["lateral_bar_frame_bracket"]["left"][key]
    reasons = {
        "holds": "no bracket on the frame or a crossmember holds lateral_bar",
        "parent": f"the spec lacks {BAR}.parent",
    }
    assert not_ok(data) == {"frame end of the lateral bar": (Verdict.NOT_CHECKED, reasons[key])}


@pytest.mark.parametrize(
    "holds", ["links.arm", "links.arm.both", ["links.arm", "brake_lines.line"], ["links.arm.left", "links.arm.right"]]
)
def test_a_bracket_in_the_middle_holds_both_of_a_pair(holds: str | list[str]) -> None:
    data = example_data()
    bracket = data["attachments"]["arm_frame_bracket"].pop("both")
    del bracket["point"]  # a foot in the middle of the truck is near neither end
    data["attachments"]["arm_frame_bracket"]["centre"] = {**bracket, "holds": holds}
    assert not_ok(data) == {}


@pytest.mark.parametrize(
    ("holds", "found"),
    [
        ("links.arm.frame", {}),
        ("links.arm.both.frame", {}),
        (["links.arm.left.frame", "links.arm.right.frame"], {}),
        ("links.arm.axle_upper", {"frame end of the left arm", "frame end of the right arm"}),
        ("links.arm.left.frame", {"frame end of the right arm"}),
    ],
)
def test_a_bracket_holds_the_ends_that_it_names(holds: str | list[str], found: set[str]) -> None:
    data = example_data()
    bracket = data["attachments"]["arm_frame_bracket"].pop("both")
    del bracket["point"]  # a foot in the middle of the truck is near neither end
    data["attachments"]["arm_frame_bracket"]["centre"] = {**bracket, "holds": holds}
    assert set(not_ok(data)) == set(found)


@pytest.mark.parametrize(("holds", "end"), [("bump_stops.stop.base", "frame"), ("bump_stops.stop.target", "axle")])
def test_the_base_and_the_target_of_a_bump_stop_are_its_ends(holds: str, end: str) -> None:
    data = example_data()
    name = "stop_frame_bracket" if end == "frame" else "stop_axle_pad"
    data["attachments"][name]["both"]["holds"] = holds
    assert not_ok(data) == {}
    other = "bump_stops.stop.target" if end == "frame" else "bump_stops.stop.base"
    data["attachments"][name]["both"]["holds"] = other
    assert set(not_ok(data)) == {f"{end} end of the {side} bump stop" for side in ("left", "right")}


STABILISER = {"fixed": [8, 2, 18], "fixed_to": "axle", "moving": [8.5, 14, 14.2], "steadies": "tie-rod"}


@pytest.mark.parametrize(
    ("change", "parent", "found"),
    [
        ({"steering.stabiliser": STABILISER}, "axle-tube", {}),
        (
            {"steering.stabiliser": STABILISER},
            "frame",
            {"fixed end of the steering stabiliser": "no bracket on the axle holds steering.stabiliser"},
        ),
        ({"steering.stabiliser": {**STABILISER, "fixed_to": "frame"}}, "crossmember", {}),
        (
            {"steering.stabiliser": {"fixed": [8, 2, 18]}},
            "frame",
            {"fixed end of the steering stabiliser": "the spec lacks steering.stabiliser.fixed_to"},
        ),
        (
            {"driveshaft.carrier_bearing": {"point": [-40, 1, 24]}},
            "axle-tube",
            {
                "frame end of the driveshaft carrier bearing": (
                    "no bracket on the frame or a crossmember holds driveshaft.carrier_bearing"
                )
            },
        ),
        ({"driveshaft.carrier_bearing": {"point": [-40, 1, 24]}}, "frame", {}),
    ],
)
def test_the_stabiliser_and_the_carrier_bearing_have_one_end(
    change: dict[str, Any], parent: str, found: dict[str, str]
) -> None:
    data = with_data(example_data(), change)
    holds = next(iter(change))
    data["attachments"]["extra_bracket"] = {"left": {"holds": holds, "parent": parent}}
    assert not_ok(data) == {end: (Verdict.NOT_CHECKED, reason) for end, reason in found.items()}


def test_hundreds_of_brackets_make_no_built_in_rule_fail() -> None:
    data = example_data()
    bracket = data["attachments"]["arm_axle_bracket"]
    data["attachments"] |= {f"copy_{number}": deepcopy(bracket) for number in range(150)}
    collected = usual()
    about = [rule for rule in collected.rules if rule.area in (Area.WELDS, Area.FASTENERS) or "bracket" in rule.name]
    assert len(about) > 4
    watch = Watch()
    readings = inspect(read_build(data), watch.over(about), changes=False).readings
    assert len({reading.subject for reading in readings}) > 300
    assert not [reading.failure for reading in readings if reading.failure]
    # However long they take: only a plugin's rule fails by being slow.
    watch.seconds = dict.fromkeys(watch.seconds, 60.0)
    assert watch.slow(collected, "truck.buildcheck.yaml") == ()
