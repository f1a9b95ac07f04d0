"""A build that just passes and one that just fails at each limit of joint-sizes."""

import math

import pytest
from buildcheck_rules.joint_sizes import rule as joint_sizes
from edges import (
    INCH,
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

from buildcheck.build import Build, Vector, read_build

IN = INCH
EYE = "coilovers.coilover.both.joints.frame"
JOINT, BRACKET = "lateral_bar.joints.frame", "attachments.lateral_bar_frame_bracket.left"


def bolt_at(build: Build, up: float) -> Build:
    """The bolt of the bar's frame joint at an angle to the floor."""
    return build.with_value(f"{JOINT}.axis", Vector(math.cos(up), 0.0, math.sin(up)))


EDGES = [
    *edges(
        "shank-to-thread",
        "lateral bar frame joint",
        f"{JOINT}.shank_length",
        f"{JOINT}.shank_length",
        warn_below=(4 * IN, 1.5 * IN),
        fail_below=(1.5 * IN, 0.8 * IN),
        warn_above=(4 * IN, 8 * IN),
        fail_above=(8 * IN, 12 * IN),
    ),
    *edges(
        "insert-to-thread",
        "lateral bar frame joint",
        f"{JOINT}.insert_shoulder",
        f"{JOINT}.insert_shoulder",
        warn_above=(0.5 * IN, 1.2 * IN),
        fail_above=(1.2 * IN, 2.5 * IN),
    ),
    *edges(
        "eye-to-bolt",
        "lateral bar frame joint",
        f"{JOINT}.centre_to_tube",
        f"{JOINT}.centre_to_tube",
        base={f"{JOINT}.centre_to_tube": "1 1/4 in"},
        warn_below=(1.25 * IN, 0.5 * IN),
        fail_below=(0.5 * IN, 0.2 * IN),
        warn_above=(1.25 * IN, 5 * IN),
        fail_above=(5 * IN, 8 * IN),
    ),
    *edges(
        "room-between-ears",
        "lateral bar",
        f"{JOINT}.bolt.grip",
        f"{JOINT}.bolt.grip",
        warn_below=(2.25 * IN, 1 * IN),
        fail_below=(1 * IN, 0.3 * IN),
        warn_above=(2.25 * IN, 7 * IN),
        fail_above=(7 * IN, 10 * IN),
    ),
    *edges(
        "bolt-off-level",
        "lateral bar",
        JOINT,
        bolt_at,
        warn_above=(0.1, 0.5),
        fail_above=(0.5, 1.2),
    ),
]
NEEDS = [
    Need(
        "ears-of-joint",
        "lateral bar",
        met={f"{BRACKET}.plates": 1, f"{JOINT}.bolt.shear_planes": 1},
        not_met={f"{BRACKET}.plates": 3},
        finds=(("lateral bar", "ears-of-joint", f"{BRACKET}.plates"),),
    ),
    Need(
        "hand-of-eye",
        "left coilover",
        met={f"{EYE}.thread_hand": "right"},
        not_met={f"{EYE}.thread_hand": "left"},
        finds=tuple((f"{side} coilover", "hand-of-eye", f"{EYE}.thread_hand") for side in ("left", "right")),
    ),
    Need(
        "shank-in-ears",
        "lateral bar frame joint bolt",
        met={f"{JOINT}.bolt.threads_in_shear_plane": False},
        not_met={f"{JOINT}.bolt.threads_in_shear_plane": True},
        finds=(("lateral bar frame joint bolt", "shank-in-ears", f"{JOINT}.bolt.threads_in_shear_plane"),),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(joint_sizes, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(joint_sizes, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(joint_sizes, EDGES, NEEDS)


def test_a_joint_whose_bracket_is_not_known_is_not_measured_between_ears() -> None:
    """The rule on brackets at every end says that the bracket is missing."""
    data = with_data(example_data(), {f"{BRACKET}.holds": "links.arm.left"})
    found = [each for each in all_readings(joint_sizes, read_build(data)) if each.quantity == "room-between-ears"]
    assert "frame joint" not in [each.of for each in found if each.subject == "lateral bar"]
