"""A build that just passes and one that just fails at each limit of screwed-joint."""

import pytest
from buildcheck_rules.screwed_joint import rule as screwed_joint
from edges import (
    INCH,
    POUND_FORCE,
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
from buildcheck.checks.rule import Reading

BAR = "lateral_bar.joints.frame"

EDGES = [
    *edges(
        "engaged",
        "lateral bar",
        f"{BAR}.thread_engaged",
        f"{BAR}.thread_engaged",
        warn_below=(1.5 * INCH, 0.6 * INCH),
        fail_below=(1.5 * INCH, 0.6 * INCH),
    ),
    *edges(
        "rating",
        "lateral bar",
        f"{BAR}.thread",
        f"{BAR}.load_rating",
        base={f"{BAR}.thread": "1/2-20"},
        fail_above=(20000 * POUND_FORCE, 28000 * POUND_FORCE),
    ),
]
NEEDS = [
    Need(
        "set-in-place",
        "lateral bar",
        met={f"{BAR}.thread_hand": "right"},
        not_met={f"{BAR}.thread_hand": "left"},
        finds=(("lateral bar", "set-in-place", "lateral_bar.joints"),),
    ),
    Need(
        "one-thread",
        "lateral bar",
        met={f"{BAR}.thread": "7/8-14"},
        not_met={f"{BAR}.thread": "3/4-16"},
        finds=(("lateral bar", "one-thread", "lateral_bar.joints"),),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(screwed_joint, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_each_requirement_is_met_in_one_build_and_not_in_the_other(need: Need) -> None:
    check_need(screwed_joint, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(screwed_joint, EDGES, NEEDS)


def readings_with(changes: dict[str, object], lost: str = "") -> list[Reading]:
    data = with_data(example_data(), changes)
    if lost:
        del data["lateral_bar"]["joints"]["frame"][lost]
    return list(all_readings(screwed_joint, read_build(data)))


@pytest.mark.parametrize(("lost", "names"), [("thread_engaged", "engaged"), ("thread_hand", "set-in-place")])
def test_what_a_rod_end_does_not_state_is_named(lost: str, names: str) -> None:
    found = [each for each in readings_with({}, lost) if each.verdict is Verdict.NOT_CHECKED]
    assert [(each.unchecked or (each.quantity,), each.missing) for each in found] == [((names,), (f"{BAR}.{lost}",))]


def test_a_rod_end_without_a_thread_is_not_checked() -> None:
    found = [each for each in readings_with({}, "thread") if each.verdict is Verdict.NOT_CHECKED]
    assert {path for each in found for path in each.missing} == {f"{BAR}.thread"}


def test_aluminium_needs_two_diameters() -> None:
    """7/8 in: 1 1/2 in is enough in steel (1.31 in), and too little in aluminium (1.75 in)."""
    steel, aluminium = (
        [
            each.verdict
            for each in readings_with({"lateral_bar.tube.material": metal})
            if (each.subject, each.quantity) == ("lateral bar", "engaged")
        ]
        for metal in ("carbon-steel", "aluminium")
    )
    assert (set(steel), set(aluminium)) == ({Verdict.OK}, {Verdict.WARNING})


def test_the_rods_of_the_steering_are_checked_where_they_state_a_thread() -> None:
    joint = {"thread": "5/8-18", "thread_engaged": "1/2 in", "thread_hand": "right", "load_rating": "8000 lbf"}
    found = readings_with({"steering.tie_rod.joints": {"left": joint, "right": joint}})
    bad = [(each.subject, each.of, each.quantity, each.verdict) for each in found if each.subject == "steering tie rod"]
    assert sorted(bad) == [
        ("steering tie rod", "", "one-thread", Verdict.OK),
        ("steering tie rod", "", "set-in-place", Verdict.WARNING),
        ("steering tie rod", "left joint", "engaged", Verdict.ERROR),
        ("steering tie rod", "left joint", "rating", Verdict.OK),
        ("steering tie rod", "right joint", "engaged", Verdict.ERROR),
        ("steering tie rod", "right joint", "rating", Verdict.OK),
    ]
