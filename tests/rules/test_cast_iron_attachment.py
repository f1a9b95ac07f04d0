"""A build that just passes and one that just fails at each limit of cast-iron-attachment."""

from typing import Any

import pytest
from buildcheck_rules.cast_iron_attachment import cast_iron_attachment
from edges import POUND_FORCE, Edge, Need, check_complete, check_edge, check_need, edges

BRACKET = "right arm axle bracket"
AT = "attachments.arm_axle_bracket.right"
PROCEDURE = {"filler": "ENiFe-CI", "preheat": "550 degF", "cooling": "slow", "peened": True}


def welded(material: str = "ductile-iron", **weld: Any) -> dict[str, Any]:
    """The right arm's bracket welded to a centre section of some material, by the whole procedure but for `weld`;
    what is None is left out."""
    procedure = {key: value for key, value in {**PROCEDURE, **weld}.items() if value is not None}
    return {f"{AT}.method": "welded", f"{AT}.weld": procedure, "axle.centre_section.material": material}


WELD = f"{AT}.weld"
BOLTED_TOO = {f"{AT}.method": "bolted-and-welded"}


def temperatures(limit: str, key: str, base: dict[str, Any]) -> list[Edge]:
    """The edges of a temperature of the procedure, kelvin."""
    near, far = (
        {"preheat": (540.0, 500.0), "post_heat": (883.0, 850.0)}[key],
        {
            "preheat": (900.0, 950.0),
            "post_heat": (883.0, 940.0),
        }[key],
    )
    low, high = (
        {"preheat": (400.0, 350.0), "post_heat": (800.0, 750.0)}[key],
        {
            "preheat": (950.0, 1050.0),
            "post_heat": (940.0, 990.0),
        }[key],
    )
    path = f"{WELD}.{key}"
    return edges(
        limit, BRACKET, path, path, base=base, warn_below=near, fail_below=low, warn_above=far, fail_above=high
    )


EDGES = [
    # A bracket that is bolted and welded is held to its bolts and to its weld.
    *(
        edge
        for base in ({}, {**welded(), **BOLTED_TOO})
        for edge in edges(
            "bolts-carry",
            BRACKET,
            f"{AT}.bolts",
            f"{AT}.design_load",
            base=base,
            warn_above=(9500 * POUND_FORCE, 40000 * POUND_FORCE),
            fail_above=(9500 * POUND_FORCE, 60000 * POUND_FORCE),
        )
    ),
    *temperatures("preheat-temperature", "preheat", welded()),
    *temperatures("preheat-temperature", "preheat", {**welded(), **BOLTED_TOO}),
    *temperatures("post-heat-temperature", "post_heat", welded(post_heat="610 degC")),
]


def finds(*told: tuple[str, str]) -> tuple[tuple[str, str, str], ...]:
    """What is found on the bracket: requirement and key."""
    return tuple((BRACKET, requirement, f"{AT}.{key}") for requirement, key in told)


OTHER = "right lateral bar axle bracket"
# The lateral bar's bracket is bolted to the same casting.
ON_THE_BAR = (OTHER, "casting-identified", "attachments.lateral_bar_axle_bracket.right.parent")
NEEDS = [
    Need(
        "casting-identified",
        BRACKET,
        met=welded(),
        not_met=welded("unknown-casting"),
        finds=(*finds(("casting-identified", "parent"), ("not-gray-iron", "parent")), ON_THE_BAR),
    ),
    Need(
        "not-gray-iron",
        BRACKET,
        met=welded("malleable-iron"),
        not_met=welded("gray-iron"),
        finds=finds(("not-gray-iron", "parent")),
    ),
    Need(
        "welds-as-steel",
        BRACKET,
        met=welded("cast-steel"),
        not_met=welded("aluminium"),
        finds=finds(("welds-as-steel", "parent")),
    ),
    Need(
        "preheat",
        BRACKET,
        met=welded(),
        not_met=welded(preheat=None),
        finds=finds(("preheat", "weld.preheat")),
    ),
    Need(
        "filler",
        BRACKET,
        met=welded(filler="ENi-CI"),
        not_met=welded(filler="ER70S-6"),
        finds=finds(("filler", "weld.filler")),
    ),
    Need(
        "cooling",
        BRACKET,
        met=welded(cooling=None, post_heat="1100 degF"),
        not_met=welded(cooling="still-air"),
        finds=finds(("cooling", "weld.cooling")),
    ),
    Need(
        "peening",
        BRACKET,
        met=welded(),
        not_met=welded(peened=False),
        finds=finds(("peening", "weld.peened")),
    ),
    # The iron may be the bracket's, and the weld may be beside bolts.
    Need(
        "preheat",
        BRACKET,
        met={**welded("cast-steel"), f"{AT}.bracket_material": "ductile-iron"},
        not_met={**welded("cast-steel", preheat=None), f"{AT}.bracket_material": "ductile-iron"},
        finds=finds(("preheat", "weld.preheat")),
    ),
    Need(
        "peening",
        BRACKET,
        met={**welded(), **BOLTED_TOO},
        not_met={**welded(peened=None), **BOLTED_TOO},
        finds=finds(("peening", "weld.peened")),
    ),
    # A casting that nobody has identified is told for bolts as well.
    Need(
        "casting-identified",
        BRACKET,
        met={},
        not_met={"axle.centre_section.material": "unknown-casting"},
        finds=(*finds(("casting-identified", "parent")), ON_THE_BAR),
    ),
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(cast_iron_attachment, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(cast_iron_attachment, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(cast_iron_attachment, EDGES, NEEDS)
