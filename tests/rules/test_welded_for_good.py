"""A build that just passes and one that just fails at each limit of welded-for-good."""

from typing import Any

import pytest
from buildcheck_rules.welded_for_good import BY, brackets
from buildcheck_rules.welded_for_good import GOOD as DONE
from buildcheck_rules.welded_for_good import rule as welded_for_good
from edges import INCH, Edge, Need, check_complete, check_edge, check_need, edges, example_data

from buildcheck.build import Stage, read_build
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Verdict
from buildcheck.testing import changed

LEFT, RIGHT, BOLTED = "left arm", "right arm", "right bar"
BOW = "records.welded.tube_bow"
STRAIGHT = {"records.welded": {"tube_bow": "1/64 in"}}
GOOD: dict[str, Any] = {"attachments": brackets(DONE, DONE, bolted=True), **STRAIGHT}

PREHEAT = "attachments.arm.left.as_welded.preheat"
INTERPASS = {"attachments.arm.left.weld.interpass": "400 degF"}
EDGES = [
    *edges("preheat-reached", LEFT, PREHEAT, PREHEAT, base=GOOD, fail_below=(345, 330)),
    *edges("preheat-not-too-hot", LEFT, PREHEAT, PREHEAT, base=GOOD | INTERPASS, fail_above=(400, 600)),
    *edges(
        "tube-bow",
        "records welded",
        BOW,
        BOW,
        base=GOOD,
        warn_above=(INCH / 64, INCH * 3 / 64),
        fail_above=(INCH * 3 / 64, INCH / 8),
    ),
]


def of_weld(name: str, place: str, **changed: Any) -> Need:
    """The need of one statement on the weld of the left bracket."""
    return Need(
        name,
        LEFT,
        met=GOOD,
        not_met={**GOOD, "attachments": brackets({**DONE, **changed}, DONE, bolted=True)},
        finds=((LEFT, name, f"attachments.arm.left.{place}"),),
    )


def of_bolts(name: str, field: str) -> Need:
    """The need of one statement on the bolted bracket."""
    made = brackets(DONE, DONE, bolted=True)
    bar: Any = made["bar"]
    bar["right"]["as_bolted"][field] = False
    return Need(
        name,
        BOLTED,
        met=GOOD,
        not_met={**GOOD, "attachments": made},
        finds=((BOLTED, name, f"attachments.bar.right.as_bolted.{field}"),),
    )


def one_place_for_two() -> dict[str, Any]:
    """Another bracket on the left with the place that the arm's bracket on the left has."""
    made = third_weld_on_the_left(after_the_right=True)
    strap = made["strap"]["left"]
    return {**made, "strap": {"left": {**strap, "as_welded": {**strap["as_welded"], "order": 1}}}}


def third_weld_on_the_left(*, after_the_right: bool) -> dict[str, Any]:
    """A third bracket, on the left, welded after the one on the right or right after the one on its own side."""
    made = brackets(DONE, DONE, bolted=True)
    arm: Any = made["arm"]
    third = {**arm["left"], "as_welded": {**arm["left"]["as_welded"], "order": 3}}
    return {**made, "arm": arm if after_the_right else {"left": arm["left"]}, "strap": {"left": third}}


FRAME_SIDE: dict[str, Any] = {
    "holds": "links.arm.left",
    "parent": "frame",
    "method": "welded",
    "weld": {"preheat": "150 degF"},
}


def on_the_frame(order: int) -> dict[str, Any]:
    """The brackets of the axle, and one on the frame with a place in the order of welding."""
    return {
        **brackets(DONE, DONE, bolted=True),
        "base": {"left": {**FRAME_SIDE, "as_welded": {**DONE, **BY, "order": order}}},
    }


NEEDS = [
    Need(
        "own-place",
        "left base",
        met={**GOOD, "attachments": on_the_frame(3)},
        not_met={**GOOD, "attachments": on_the_frame(1)},
        finds=(("left base", "own-place", "attachments.base.left.as_welded.order"),),
    ),
    of_weld("welder", "as_welded", welded_by="-"),
    of_weld("cooled", "as_welded.cooled", cooled=False),
    of_weld("looked-at", "as_welded.looked_at", looked_at=False),
    of_bolts("new-fasteners", "new_fasteners"),
    of_bolts("marked", "marked"),
    Need(
        "sides-alternate",
        "left strap",
        met={**GOOD, "attachments": third_weld_on_the_left(after_the_right=True)},
        not_met={**GOOD, "attachments": one_place_for_two()},
        finds=(
            (LEFT, "sides-alternate", "attachments.arm.left.as_welded.order"),
            ("left strap", "sides-alternate", "attachments.strap.left.as_welded.order"),
        ),
    ),
    Need(
        "sides-alternate",
        "left strap",
        met={**GOOD, "attachments": third_weld_on_the_left(after_the_right=True)},
        not_met={**GOOD, "attachments": third_weld_on_the_left(after_the_right=False)},
        finds=(("left strap", "sides-alternate", "attachments.strap.left.as_welded.order"),),
    ),
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(welded_for_good, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(welded_for_good, need)


def test_the_name_of_the_welder_and_what_qualifies_them_are_asked_for_together() -> None:
    path = "attachments.arm.left.as_welded"
    build = read_build(changed(example_data(), {**GOOD, path: {"order": 1, **DONE}}))
    readings = inspect(build, [welded_for_good], stage=Stage.FINAL_WELD, changes=False, all_missing=True).readings
    (found,) = (each for each in readings if each.verdict is Verdict.NOT_CHECKED)
    assert found.missing == (f"{path}.welded_by", f"{path}.qualification")


def test_every_limit_has_its_edges() -> None:
    check_complete(welded_for_good, EDGES, NEEDS)
