"""A build that just passes and one that just fails at each limit of weld-size."""

import pytest
from buildcheck_rules.weld_size import weld_size
from edges import INCH, Edge, all_readings, check_complete, check_edge, edges, example_data, with_data

from buildcheck.build import read_build
from buildcheck.rule import Verdict

BRACKET = "left arm axle bracket"
AT = "attachments.arm_axle_bracket.left.weld"

EDGES = [
    *edges("least-leg", BRACKET, f"{AT}.leg", f"{AT}.leg", fail_below=(3 / 16 * INCH, INCH / 16)),
    *edges(
        "largest-leg",
        BRACKET,
        f"{AT}.leg",
        f"{AT}.leg",
        warn_above=(0.15 * INCH, INCH / 4),
        fail_above=(0.15 * INCH, INCH / 2),
    ),
    *edges("length", BRACKET, f"{AT}.length", f"{AT}.length", fail_below=(15 * INCH, INCH / 2)),
    *edges(
        "throat-stress",
        BRACKET,
        f"{AT}.length",
        f"{AT}.length",
        warn_above=(15 * INCH, 5 * INCH),
        fail_above=(15 * INCH, 2 * INCH),
    ),
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(weld_size, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(weld_size, EDGES, [])


@pytest.mark.parametrize(
    "change",
    [{"kind": "groove"}, {"kind": "plug"}],
)
def test_a_weld_that_the_tables_do_not_know_is_not_checked(change: dict[str, str]) -> None:
    weld = {**example_data()["attachments"]["arm_frame_bracket"]["both"]["weld"], **change}
    build = read_build(with_data(example_data(), {"attachments.arm_frame_bracket.both.weld": weld}))
    found = [each for each in all_readings(weld_size, build) if each.subject == "left arm frame bracket"]
    assert {each.verdict for each in found} == {Verdict.NOT_CHECKED}
    assert change["kind"] in found[0].reason
