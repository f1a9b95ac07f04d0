"""A build that just passes and one that just fails at each limit of steering-lock."""

import math

import pytest
from buildcheck_rules.steering_lock import rule as steering_lock
from edges import (
    DEGREE,
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

LOCK = "steering.lock_angle"
SHORT = {"steering.pitman_arm.pivot": [17.5, 15.5, 26]}

# Left lock first: the drag link, the tie rod; then right lock.
EDGES = [
    *edges(
        "angle-at-arm",
        "whole build",
        "steering.drag_link",
        LOCK,
        number=2,
        warn_below=(26 * DEGREE, 34 * DEGREE),
        fail_below=(32 * DEGREE, 34.5 * DEGREE),
    ),
    *edges("angle-at-arm", "whole build", "steering.drag_link", LOCK, number=0, warn_below=(26 * DEGREE, 34 * DEGREE)),
]
NEEDS = [
    Need(
        "comes-to-lock",
        "whole build",
        met={},
        not_met=SHORT,
        finds=(
            ("whole build", "comes-to-lock", "steering.lock_angle"),
            ("whole build", "angle-at-arm", "steering.drag_link"),
            ("whole build", "angle-at-arm", "steering.tie_rod"),  # not checked where the lock is not reached
        ),
    )
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(steering_lock, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_each_requirement_is_met_in_one_build_and_not_in_the_other(need: Need) -> None:
    check_need(steering_lock, need)


def test_the_obstacle_to_full_lock_is_named_with_its_side() -> None:
    left, right = (
        reading
        for reading in all_readings(steering_lock, read_build(with_data(example_data(), SHORT)))
        if reading.quantity == "comes-to-lock"
    )
    assert (left.verdict, left.found) == (Verdict.OK, "reaches full lock to the left")
    assert right.found.startswith("to the right the drag link reaches its dead point")


def test_a_lock_that_is_never_reached_does_not_hide_the_other_side() -> None:
    """A tie rod of 40 in between knuckles 57 in apart: at 45 deg the wheels reach full lock on neither side."""
    change = {"steering.tie_rod.left": [8.5, 20, 14.2], "steering.tie_rod.right": [8.5, -20, 14.2], LOCK: 45}
    found = all_readings(steering_lock, read_build(with_data(example_data(), change)))
    assert [(each.verdict, each.quantity, each.found or each.reason) for each in found] == [
        (Verdict.ERROR, "comes-to-lock",
         "to the left the tie rod reaches its dead point, or is too short or too long, already at ride height"),
        (Verdict.ERROR, "comes-to-lock",
         "to the right the drag link reaches its dead point, or is too short or too long, already at ride height"),
        (Verdict.NOT_CHECKED, "", "the wheels reach full lock to the left in no pose of the axle"),
        (Verdict.NOT_CHECKED, "", "the wheels reach full lock to the right in no pose of the axle"),
    ]  # fmt: skip


def test_where_left_lock_is_never_reached_right_lock_is_checked() -> None:
    """The steering of the sound build in the mirror, with a pitman arm that is too short for the lock."""
    change = {
        "steering.pitman_arm.pivot": [17.5, -15.5, 22],
        "steering.drag_link.pitman": [11.5, -14.5, 25.1],
        "steering.drag_link.arm": [10, 23, 22],
        "steering.drag_link.knuckle": "left",
        LOCK: 40,
    }
    found = all_readings(steering_lock, read_build(with_data(example_data(), change)))
    assert [(each.verdict, each.quantity, each.found or each.reason) for each in found] == [
        (Verdict.ERROR, "comes-to-lock",
         "to the left the drag link reaches its dead point, or is too short or too long, already at ride height"),
        (Verdict.OK, "comes-to-lock", "reaches full lock to the right"),
        (Verdict.NOT_CHECKED, "", "the wheels reach full lock to the left in no pose of the axle"),
        (Verdict.WARNING, "angle-at-arm", ""),
        (Verdict.OK, "angle-at-arm", ""),
    ]  # fmt: skip


def test_links_that_each_end_on_the_other_are_not_checked() -> None:
    change = {"steering.drag_link.ends_on": "tie-rod", "steering.tie_rod.joined_to": "drag-link"}
    (reading,) = all_readings(steering_lock, read_build(with_data(example_data(), change)))
    assert (reading.verdict, reading.reason) == (
        Verdict.NOT_CHECKED,
        "the drag link ends on the tie rod and the tie rod on the drag link, so nothing steers",
    )


@pytest.mark.parametrize(
    "change",
    [
        {"steering.drag_link.ends_on": "tie-rod", "steering.drag_link.arm": [8.5, -24, 14.2]},
        {"steering.tie_rod.joined_to": "drag-link", "steering.tie_rod.right": [10.4, -19, 22.3]},
    ],
    ids=["drag link on the tie rod", "tie rod on the drag link"],
)
def test_links_that_end_on_each_other_are_checked_like_any_other(change: dict[str, object]) -> None:
    readings = all_readings(steering_lock, read_build(with_data(example_data(), change)))
    assert [(reading.quantity, reading.verdict) for reading in readings] == [
        *[("comes-to-lock", Verdict.OK)] * 2,
        *[("angle-at-arm", Verdict.OK)] * 4,
    ]


def test_nothing_steers_a_rear_axle() -> None:
    from edges import example

    (reading,) = all_readings(steering_lock, example("four-link-rear.buildcheck.yaml"))
    assert (reading.verdict, reading.applies) == (Verdict.OK, False)


def test_a_tie_rod_square_to_its_arms_is_at_a_right_angle_less_the_lock() -> None:
    """Upright kingpins, arms straight ahead, the tie rod straight across: both arms turn by the lock."""
    changes = {
        "axle.caster": 0,
        "axle.kingpin_inclination": 0,
        "steering.tie_rod.left": [8.5, 28.5, 14.2],
        "steering.tie_rod.right": [8.5, -28.5, 14.2],
    }
    readings = all_readings(steering_lock, read_build(with_data(example_data(), changes)))
    rods = [reading for reading in readings if reading.place == "steering.tie_rod"]
    assert [reading.value for reading in rods] == [pytest.approx(math.pi / 2 - 25.5 * DEGREE, abs=1e-12)] * 2


def test_every_limit_has_its_edges() -> None:
    check_complete(steering_lock, EDGES, NEEDS)
