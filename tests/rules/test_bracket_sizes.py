"""A build that just passes and one that just fails at each limit of bracket-sizes."""

import pytest
from buildcheck_rules.bracket_sizes import rule as bracket_sizes
from edges import INCH, Edge, both, check_complete, check_edge, edges, one_of_each_bound

from buildcheck.build import Build

IN, MPA = INCH, 1e6
FRAME, BOLTED = "attachments.arm_frame_bracket.both", "attachments.arm_axle_bracket.right"
BAR, BOLTS = "attachments.lateral_bar_frame_bracket.left", "attachments.arm_axle_bracket.right.bolts"
ON_END = {f"{BOLTED}.parent": "axle-end", f"{BOLTED}.normal": [1, 0, 0]}


def foot_moved(build: Build, down: float) -> Build:
    """The frame brackets with their feet this far below the joints of the arms."""
    return build.with_value(f"{FRAME}.point.z", 19.7 * IN - down)


EDGES = [
    *edges(
        "hole-to-width",
        "left lateral bar frame bracket",
        f"{BAR}.hole_edge",
        f"{BAR}.hole_edge",
        warn_above=(2 * IN, 4 * IN),
        fail_above=(4 * IN, 6 * IN),
    ),
    *edges(
        "joint-height",
        "left lateral bar frame bracket",
        f"{BAR}.height",
        f"{BAR}.height",
        warn_below=(1 * IN, 0.45 * IN),
        fail_below=(0.45 * IN, 0.1 * IN),
        warn_above=(8 * IN, 20 * IN),
        fail_above=(20 * IN, 30 * IN),
    ),
    *edges(
        "gussets-to-height",
        "left lateral bar frame bracket",
        f"{BAR}.gussets.height",
        f"{BAR}.gussets.height",
        warn_above=(4 * IN, 18 * IN),
        fail_above=(18 * IN, 31 * IN),
    ),
    *edges(
        "joint-outside-foot",
        both("arm frame bracket"),
        f"{FRAME}.normal",
        foot_moved,
        warn_below=(0.0, 0.7 * IN),
        fail_below=(0.7 * IN, 3 * IN),
    ),
    *edges(
        "near-axle-end",
        "right arm axle bracket",
        f"{BOLTED}.parent",
        f"{BOLTED}.point.y",
        base=ON_END,
        warn_above=(-23 * IN, -16 * IN),
        fail_above=(-16 * IN, -10 * IN),
    ),
    *edges(
        "pattern-to-width",
        "right arm axle bracket",
        f"{BOLTED}.bolts.pattern",
        f"{BOLTS}.circle_diameter",
        warn_above=(7 * IN, 15 * IN),
        fail_above=(15 * IN, 20 * IN),
    ),
    *edges(
        "bolts-apart",
        "right arm axle bracket bolts",
        f"{BOLTS}.count",
        f"{BOLTS}.circle_diameter",
        warn_below=(7 * IN, 3 * IN),
        fail_below=(3 * IN, 2 * IN),
    ),
    *edges(
        "head-beside-upright",
        "right arm axle bracket bolts",
        f"{BOLTS}.to_upright",
        f"{BOLTS}.to_upright",
        warn_below=(1 * IN, 0.55 * IN),
        fail_below=(0.55 * IN, 0.3 * IN),
    ),
    *edges(
        "foot-thickness",
        "right arm axle bracket bolts",
        f"{BOLTS}.foot_thickness",
        f"{BOLTS}.foot_thickness",
        warn_below=(0.5 * IN, 0.16 * IN),
        fail_below=(0.16 * IN, 0.05 * IN),
        warn_above=(0.5 * IN, 1.6 * IN),
        fail_above=(1.6 * IN, 3 * IN),
    ),
    *edges(
        "yield-of-bracket",
        both("arm frame bracket"),
        f"{FRAME}.bracket_yield_strength",
        f"{FRAME}.bracket_yield_strength",
        warn_below=(250 * MPA, 110 * MPA),
        fail_below=(110 * MPA, 60 * MPA),
        warn_above=(250 * MPA, 700 * MPA),
        fail_above=(700 * MPA, 1100 * MPA),
    ),
    *edges(
        "tensile-of-parent",
        "right arm axle bracket",
        f"{BOLTED}.parent_tensile_strength",
        f"{BOLTED}.parent_tensile_strength",
        warn_below=(420 * MPA, 200 * MPA),
        fail_below=(200 * MPA, 100 * MPA),
        warn_above=(420 * MPA, 1000 * MPA),
        fail_above=(1000 * MPA, 1500 * MPA),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(bracket_sizes, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(bracket_sizes, EDGES, [])
