"""A build that just passes and one that just fails at each limit of alignment."""

from typing import Any

import pytest
from buildcheck_rules.alignment import AS_PLANNED
from buildcheck_rules.alignment import rule as alignment
from edges import DEGREE, Edge, Need, check_complete, check_edge, check_need, edges

WHERE = "records.aligned"
ALIGNED = "records aligned"
BASE = {WHERE: AS_PLANNED}
SIDES: Any = AS_PLANNED["sides"]
# Both wheels turned together, so that they do not differ.
SAME_ANGLE = {WHERE: {**AS_PLANNED, "sides": {"both": {"caster": 6, "camber": 0.2}}}}


def angle(
    limit: str, path: str, subjects: str | tuple[str, str], base: Any, warn: float, fail: float, plan: float
) -> list[Edge]:
    """The edges of a range about a planned angle, to both sides, degrees."""
    return edges(
        limit,
        subjects,
        path,
        path,
        base=base,
        warn_above=(plan * DEGREE, (plan + (warn + fail) / 2) * DEGREE),
        fail_above=((plan + (warn + fail) / 2) * DEGREE, (plan + 2 * fail) * DEGREE),
        warn_below=(plan * DEGREE, (plan - (warn + fail) / 2) * DEGREE),
        fail_below=((plan - (warn + fail) / 2) * DEGREE, (plan - 2 * fail) * DEGREE),
    )


# The example plans a caster of 6 deg and a toe-in of 0.1 deg.
BOTH_WHEELS = ("left sides", "right sides")
EDGES = [
    *angle("caster-off-plan", f"{WHERE}.sides.both.caster", BOTH_WHEELS, SAME_ANGLE, 1, 2, 6),
    *angle("camber", f"{WHERE}.sides.both.camber", BOTH_WHEELS, SAME_ANGLE, 1, 2, 0),
    *angle("toe-off-plan", f"{WHERE}.toe_in", ALIGNED, BASE, 0.2, 0.6, 0.1),
    *angle("thrust", f"{WHERE}.thrust", ALIGNED, BASE, 0.2, 0.5, 0),
    *edges(
        "caster-sides",
        ALIGNED,
        f"{WHERE}.sides",
        f"{WHERE}.sides.left.caster",
        base={WHERE: {**AS_PLANNED, "sides": {**SIDES, "right": {"caster": 5.2, "camber": 0.3}}}},
        warn_above=(5.2 * DEGREE, 6.5 * DEGREE),
    ),
    *edges(
        "caster-sides",
        ALIGNED,
        f"{WHERE}.sides",
        f"{WHERE}.sides.left.caster",
        base={WHERE: {**AS_PLANNED, "sides": {**SIDES, "right": {"caster": 5.2, "camber": 0.3}}}},
        fail_above=(6.5 * DEGREE, 7.9 * DEGREE),
    ),
]
NEEDS = [
    Need(
        "wheel-centred",
        ALIGNED,
        met=BASE,
        not_met={WHERE: {**AS_PLANNED, "wheel_centred": False}},
        finds=((ALIGNED, "wheel-centred", f"{WHERE}.wheel_centred"),),
    ),
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(alignment, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(alignment, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(alignment, EDGES, NEEDS)
