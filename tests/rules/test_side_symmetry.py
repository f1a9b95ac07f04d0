"""A build that just passes and one that just fails at each limit of side-symmetry."""

import pytest
from buildcheck_rules.side_symmetry import rule as side_symmetry
from edges import DEGREE, INCH, Edge, check_complete, check_edge, edges, example_data, one_of_each_bound

from buildcheck.build import read_build
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Verdict

RIGHT_ARM = "links.arm.right.length"
# Sides that are written apart, so that one can be turned without the other.
ARMS = {"links.arm.left.length": 37.1, "links.arm.right.length": 37.1}
COILOVERS = {"coilovers.coilover.right.extended_length": 35.5}

EDGES = [
    *edges(
        "length-difference",
        "arm",
        RIGHT_ARM,
        RIGHT_ARM,
        base=ARMS,
        warn_above=(37.1 * INCH, 37.3 * INCH),
        fail_above=(37.1 * INCH, 37.5 * INCH),
    ),
    *edges(
        "mount-offset",
        "limit strap",
        "limit_straps.strap.right.frame",
        "limit_straps.strap.right.frame.x",
        base={"limit_straps.strap.right.length": 19.5},
        warn_above=(-5.5 * INCH, -5.9 * INCH),
        fail_above=(-5.7 * INCH, -6.3 * INCH),
    ),
    *edges(
        "coilover-offset",
        "coilover",
        "coilovers.coilover.right.frame",
        "coilovers.coilover.right.frame.x",
        base=COILOVERS,
        warn_above=(-1.5 * INCH, -1.9 * INCH),
    ),
    *edges(
        "rotation-difference",
        "arm axle bracket",
        "attachments.arm_axle_bracket.right.rotation",
        "attachments.arm_axle_bracket.right.rotation",
        warn_above=(0.2 * DEGREE, 1.2 * DEGREE),
        fail_above=(-1 * DEGREE, -2.5 * DEGREE),
    ),
    *edges(
        "yaw-at-ride",
        "whole build",
        RIGHT_ARM,
        RIGHT_ARM,
        base=ARMS,
        warn_above=(37.1 * INCH, 37.3 * INCH),
        fail_above=(37.1 * INCH, 37.5 * INCH),
    ),
    *edges(
        "wheelbase-difference",
        "whole build",
        RIGHT_ARM,
        RIGHT_ARM,
        base=ARMS,
        warn_above=(37.1 * INCH, 37.3 * INCH),
        fail_above=(37.1 * INCH, 37.5 * INCH),
    ),
    *edges(
        "yaw-over-travel",
        "whole build",
        "links.arm.right.frame",
        "links.arm.right.frame.z",
        base={"links.arm.right.frame": [-37, -16.5, 19.7]},
        warn_above=(19.7 * INCH, 21.5 * INCH),
        fail_above=(21.5 * INCH, 24 * INCH),
    ),
    # Without a difference between the sides it is the arc of the lateral bar that turns the axle.
    *edges(
        "yaw-over-travel",
        "whole build",
        "lateral_bar.frame",
        "lateral_bar.frame.z",
        warn_above=(22.75 * INCH, 31 * INCH),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(side_symmetry, edge)


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize(("field", "value"), [("rotation", 5), ("point", [0, 17.5, 16.6])])
def test_a_value_stated_on_one_side_only_is_not_checked(side: str, field: str, value: object) -> None:
    other = "right" if side == "left" else "left"
    data = example_data()
    bracket = data["attachments"]["arm_axle_bracket"]
    for each in (side, other):
        for stated in ("rotation", "point"):
            del bracket[each][stated]
    bracket[side][field] = value
    bracket["right"]["parent"] = bracket["left"]["parent"]
    found = [r for r in inspect(read_build(data), [side_symmetry]).readings if r.subject == "arm axle bracket"]
    missing = f"attachments.arm_axle_bracket.{other}.{field}"
    lacking = [(r.missing, r.unchecked) for r in found if r.verdict is Verdict.NOT_CHECKED]
    check = "rotation-difference" if field == "rotation" else "mount-offset"
    assert lacking == [((missing,), (check,))]
    # What the other field says of the two brackets is checked all the same.
    assert all(r.verdict is Verdict.OK and r.quantity != check for r in found if r.verdict is not Verdict.NOT_CHECKED)


@pytest.mark.parametrize(("parent", "offsets"), [("axle-tube", ["error"]), ("centre-section", [])])
def test_feet_on_different_members_are_not_compared(parent: str, offsets: list[str]) -> None:
    data = example_data()
    bracket = data["attachments"]["arm_axle_bracket"]
    bracket["left"] |= {"parent": "axle-tube", "point": [0, 17.5, 16.6]}
    bracket["right"] |= {"parent": parent, "point": [0, -13, 16.6]}
    found = [r for r in inspect(read_build(data), [side_symmetry]).readings if r.subject == "arm axle bracket"]
    assert [str(r.verdict) for r in found if r.quantity == "mount-offset"] == offsets


def test_every_limit_has_its_edges() -> None:
    check_complete(side_symmetry, EDGES, ())
