"""A build that just passes and one that just fails at each limit of cast-iron-attachment."""

from typing import Any

import pytest
from buildcheck_rules.cast_iron_attachment import cast_iron_attachment
from edges import POUND_FORCE, Edge, Need, check_complete, check_edge, check_need, edges, example_data, with_data

from buildcheck.build import Build, read_build

BRACKET = "right arm axle bracket"
AT = "attachments.arm_axle_bracket.right"
PROCEDURE = {"filler": "ENiFe-CI", "preheat": "550 degF", "cooling": "slow", "peened": True}


def welded(material: str = "ductile-iron", **weld: Any) -> dict[str, Any]:
    """The right arm's bracket welded to a centre section of some material, by the whole procedure but for `weld`;
    what is None is left out."""
    procedure = {key: value for key, value in {**PROCEDURE, **weld}.items() if value is not None}
    return {f"{AT}.method": "welded", f"{AT}.weld": procedure, "axle.centre_section.material": material}


def preheated(_: Build, kelvin: float) -> Build:
    """The bracket welded by the whole procedure, with another preheat."""
    build = read_build(with_data(example_data(), welded()))
    return build.with_value(f"{AT}.weld.preheat", kelvin)


def post_heated(_: Build, kelvin: float) -> Build:
    """The bracket welded by the whole procedure, with another post-heat."""
    build = read_build(with_data(example_data(), welded(post_heat="610 degC")))
    return build.with_value(f"{AT}.weld.post_heat", kelvin)


EDGES = [
    *edges(
        "bolts-carry",
        BRACKET,
        f"{AT}.design_load",
        warn_above=(9500 * POUND_FORCE, 40000 * POUND_FORCE),
        fail_above=(9500 * POUND_FORCE, 60000 * POUND_FORCE),
    ),
    *edges(
        "preheat-temperature",
        BRACKET,
        preheated,
        warn_below=(540.0, 500.0),
        fail_below=(400.0, 350.0),
        warn_above=(900.0, 950.0),
        fail_above=(950.0, 1050.0),
    ),
    *edges(
        "post-heat-temperature",
        BRACKET,
        post_heated,
        warn_below=(883.0, 850.0),
        fail_below=(800.0, 750.0),
        warn_above=(883.0, 940.0),
        fail_above=(940.0, 990.0),
    ),
]
NEEDS = [
    Need("casting-identified", BRACKET, met=welded(), not_met=welded("unknown-casting")),
    Need("not-gray-iron", BRACKET, met=welded("malleable-iron"), not_met=welded("gray-iron")),
    Need("welds-as-steel", BRACKET, met=welded("cast-steel"), not_met=welded("aluminium")),
    Need("preheat", BRACKET, met=welded(), not_met=welded(preheat=None)),
    Need("filler", BRACKET, met=welded(filler="ENi-CI"), not_met=welded(filler="ER70S-6")),
    Need("cooling", BRACKET, met=welded(cooling=None, post_heat="1100 degF"), not_met=welded(cooling="still-air")),
    Need("peening", BRACKET, met=welded(), not_met=welded(peened=False)),
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(cast_iron_attachment, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(cast_iron_attachment, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(cast_iron_attachment, EDGES, NEEDS)
