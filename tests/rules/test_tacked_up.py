"""A build that just passes and one that just fails at each limit of tacked-up."""

from typing import Any

import pytest
from buildcheck_rules.tacked_up import DONE, one_bracket
from buildcheck_rules.tacked_up import rule as tacked_up
from edges import INCH, Edge, Need, check_complete, check_edge, check_need, edges

WHERE = "records.tacked"
BRACKET = ("left arm frame bracket", "right arm frame bracket")
FIT_UP = "attachments.arm_frame_bracket.both.fit_up"
GOOD: dict[str, Any] = {"attachments": one_bracket("1/32 in", good=True), WHERE: DONE}

EDGES = edges(
    "gap",
    BRACKET,
    f"{FIT_UP}.gap",
    f"{FIT_UP}.gap",
    base=GOOD,
    warn_above=(0.01 * INCH, 0.1 * INCH),
    fail_above=(0.1 * INCH, 0.3 * INCH),
)


def of_bracket(field: str) -> Need:
    """The need of one statement on a bracket."""
    name = field.replace("_", "-")
    fitted: dict[str, Any] = {"gap": "1/32 in", "bare_metal": True, "tacks_in_reach": True, field: False}
    bracket = {"holds": "links.arm", "method": "welded", "fit_up": fitted}
    return Need(
        name,
        BRACKET[0],
        met=GOOD,
        not_met={**GOOD, "attachments": {"arm_frame_bracket": {"both": bracket}}},
        finds=tuple((each, name, f"{FIT_UP}.{field}") for each in BRACKET),
    )


def of_stage(field: str, value: Any) -> Need:
    """The need of one statement on the whole truck."""
    name = field.replace("_", "-")
    return Need(
        name,
        "records tacked",
        met=GOOD,
        not_met={**GOOD, WHERE: {**DONE, field: value}},
        finds=(("records tacked", name, f"{WHERE}.{field}"),),
    )


NEEDS = [
    of_bracket("bare_metal"),
    of_bracket("tacks_in_reach"),
    of_stage("old_mounts_removed", False),
    of_stage("rotation_set_from", "other-side"),
    of_stage("jam_nuts_fitted", False),
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(tacked_up, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(tacked_up, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(tacked_up, EDGES, NEEDS)
