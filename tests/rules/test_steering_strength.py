"""A build that just passes and one that just fails at each limit of steering-strength."""

import re
from typing import Any

import pytest
from buildcheck_rules.steering_strength import rule as steering_strength
from edges import (
    INCH,
    POUND_FORCE,
    THREE_LINK,
    Edge,
    all_readings,
    check_complete,
    check_edge,
    edges,
    example,
    example_data,
    with_data,
)

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading

KSI = 6894757.293168361
LINK, ROD = "steering.drag_link", "steering.tie_rod"
RATING = f"{LINK}.joints.pitman.load_rating"
STUD = f"{ROD}.joints.left.stud"
BOLT = f"{LINK}.joints.arm.bolt"
ROOT = "steering.pitman_arm.root"
WEAK = {f"{LINK}.tube.outside_diameter": "1 in", f"{LINK}.tube.wall": "0.1 in"}
BOLTED = {BOLT: {"size": "7/16-20", "grade": "sae-8", "shear_planes": 1, "threads_in_shear_plane": True}}

EDGES = [
    *edges(
        "rod-stress",
        "steering drag link",
        f"{LINK}.tube.yield_strength",
        f"{LINK}.tube.yield_strength",
        base=WEAK,
        warn_above=(60 * KSI, 30 * KSI),
        fail_above=(60 * KSI, 20 * KSI),
    ),
    *edges(
        "rod-buckling",
        "steering tie rod",
        f"{ROD}.tube.outside_diameter",
        f"{ROD}.tube.outside_diameter",
        base={f"{ROD}.tube.wall": "0.1 in"},
        warn_above=(1.5 * INCH, 0.7 * INCH),
        fail_above=(1.5 * INCH, 0.7 * INCH),
    ),
    *edges(
        "steering-joint-load",
        "steering drag link",
        RATING,
        RATING,
        warn_above=(11000 * POUND_FORCE, 8000 * POUND_FORCE),
        fail_above=(11000 * POUND_FORCE, 6000 * POUND_FORCE),
    ),
    *edges(
        "steering-joint-bolt",
        "steering drag link",
        BOLT,
        f"{BOLT}.grip",
        base={**BOLTED, f"{BOLT}.size": "1-12"},
        warn_above=(INCH / 2, 6 * INCH),
        fail_above=(INCH / 2, 12 * INCH),
    ),
    *edges(
        "stud-bending",
        "steering tie rod",
        STUD,
        f"{STUD}.diameter",
        warn_above=(0.85 * INCH, 0.5 * INCH),
        fail_above=(0.85 * INCH, 0.5 * INCH),
    ),
    *edges(
        "pitman-root",
        "steering pitman arm",
        ROOT,
        f"{ROOT}.width",
        warn_above=(2.5 * INCH, 1.8 * INCH),
        fail_above=(2.5 * INCH, 1.5 * INCH),
    ),
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(steering_strength, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(steering_strength, EDGES, [])


def not_ok(data: dict[str, Any]) -> list[tuple[str, str, Verdict, tuple[str, ...]]]:
    found = all_readings(steering_strength, read_build(data))
    return [
        (each.subject, each.of, each.verdict, each.missing)
        for each in found
        if each.verdict is not Verdict.OK or each.reason
    ]


@pytest.mark.parametrize("name", ["tamarack/proposal.buildcheck.yaml", THREE_LINK])
def test_the_sound_examples_are_sound(name: str) -> None:
    assert not_ok(example_data(name)) == []


@pytest.mark.parametrize(
    ("left_out", "subject", "of"),
    [
        (f"{LINK}.tube.yield_strength", "steering drag link", ""),
        (f"{ROD}.joints.left.load_rating", "steering tie rod", ""),
        (f"{ROD}.joints.right.stud.height", "steering tie rod", ""),
        (f"{ROOT}.thickness", "steering pitman arm", ""),
    ],
)
def test_what_is_not_stated_is_named_and_the_rest_is_checked(left_out: str, subject: str, of: str) -> None:
    data = example_data()
    *sections, key = left_out.split(".")
    held: Any = data
    for section in sections:
        held = held[section]
    del held[key]
    assert not_ok(data) == [(subject, of, Verdict.NOT_CHECKED, (left_out,))]


def test_without_joints_each_end_is_named() -> None:
    data = example_data()
    del data["steering"]["tie_rod"]["joints"]
    missing = {path for _, _, verdict, each in not_ok(data) if verdict is Verdict.NOT_CHECKED for path in each}
    assert missing == {
        f"{ROD}.joints.{side}.{field}"
        for side in ("left", "right")
        for field in ("load_rating", "stud.diameter", "stud.height", "stud.yield_strength")
    }


def test_a_joint_on_a_bolt_needs_no_stud() -> None:
    data = with_data(example_data(), BOLTED)
    del data["steering"]["drag_link"]["joints"]["arm"]["stud"]
    found = all_readings(steering_strength, read_build(data))
    assert [each.of for each in found if each.quantity == "steering-joint-bolt"] == ["arm joint"]
    on_studs = [each.of for each in found if each.quantity == "stud-bending"]
    assert on_studs == ["pitman joint", "left joint", "right joint"]


def test_a_bolt_in_single_shear_bends_and_its_grip_is_asked_for() -> None:
    def bolt(changes: dict[str, object]) -> Reading:
        readings = all_readings(steering_strength, read_build(with_data(example_data(), {**BOLTED, **changes})))
        return next(each for each in readings if each.quantity == "steering-joint-bolt")

    thick = {f"{BOLT}.size": "1-12"}
    assert (bolt(thick).verdict, bolt(thick).missing) == (Verdict.NOT_CHECKED, (f"{BOLT}.grip",))
    assert bolt({**thick, f"{BOLT}.grip": "1 in"}).verdict is Verdict.OK
    assert bolt({f"{BOLT}.grip": "1 1/2 in"}).verdict is Verdict.ERROR


def test_a_rod_of_iron_is_not_checked() -> None:
    data = with_data(example_data(), {f"{ROD}.tube.material": "gray-iron"})
    found = [each for each in all_readings(steering_strength, read_build(data)) if each.verdict is Verdict.NOT_CHECKED]
    assert {each.subject for each in found} == {"steering tie rod"}
    assert all("gray iron" in (each.reason or "") for each in found)


def test_the_reading_names_the_position_of_the_wheels() -> None:
    data = with_data(example_data(), {f"{ROOT}.width": "1 in"})
    (found,) = [each for each in all_readings(steering_strength, read_build(data)) if each.verdict is Verdict.ERROR]
    assert re.fullmatch(r"with the wheels of the standing truck turned to the (left|right), .*", found.case)


def test_a_damper_adds_its_force() -> None:
    """On the tie rod, whose lever is the drag link's too, so that a force F along it adds to the drag link's force."""
    damper = {
        "fixed": [2.5, 18, 17],
        "fixed_to": "axle",
        "moving": [8.5, -1, 14.2],
        "steadies": "tie-rod",
        "extended_length": 24,
        "compressed_length": 14,
    }

    def loads(**fields: Any) -> dict[tuple[str, str], float]:
        data = with_data(example_data(), {"steering.stabiliser": {**damper, **fields}})
        found = all_readings(steering_strength, read_build(data))
        return {(each.of, each.subject): each.value or 0.0 for each in found if each.quantity == "steering-joint-load"}

    alone, with_force = loads(), loads(force="300 lbf")
    assert alone == loads(force="0 lbf")
    link = ("pitman joint", "steering drag link")
    added = (with_force[link] - alone[link]) * 11000
    assert 150 < added < 600
    assert with_force["left joint", "steering tie rod"] != alone["left joint", "steering tie rod"]


def test_a_rear_axle_has_no_steering() -> None:
    found = all_readings(steering_strength, example("four-link-rear.buildcheck.yaml"))
    assert {each.reason for each in found} == {"a rear axle has no steering"}
