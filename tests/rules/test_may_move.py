"""What may be moved is named in the spec; what is wrong with an entry is said in a few words."""

from typing import Any

import pytest
from buildcheck_rules.may_move import rule as may_move
from edges import SOUND, Need, all_readings, check_complete, check_need, example, example_data, with_data

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict

FRAME = "links.arm.both.frame"
POSSIBLE = Need(
    "possible",
    "may move 1",
    met={"may_move": [{"of": FRAME, "axis": "z", "least": "-2 in"}]},
    not_met={"may_move": [{"of": FRAME, "axis": "z", "least": "1/2 in", "most": "1 in"}]},
    finds=(("may move 1", "possible", "may_move[0].of"),),
)


@pytest.mark.parametrize(
    ("entry", "verdict", "found"),
    [
        ({"of": FRAME, "axis": "z", "least": "-2 in"}, Verdict.OK, f"{FRAME} along z from -50.8 to +0.0 mm"),
        ({"of": "lateral_bar", "fixed": True}, Verdict.OK, "lateral_bar stays"),
        ({"of": "limit_straps.strap.both.length", "most": "1 in"}, Verdict.OK, None),
        ({"of": "links.none", "fixed": True}, Verdict.ERROR, "links.none is not in the spec"),
        ({"of": FRAME, "most": "1 in"}, Verdict.ERROR, f"{FRAME} is a point and needs an axis"),
        ({"of": FRAME, "axis": "z"}, Verdict.ERROR, f"{FRAME} has no range: state least or most, or fixed"),
        (
            {"of": FRAME, "axis": "z", "least": "1 in", "most": "2 in"},
            Verdict.ERROR,
            f"the range of {FRAME} leaves out where the spec has it",
        ),
        ({"of": FRAME, "fixed": True, "most": "1 in"}, Verdict.ERROR, f"{FRAME} is fixed and has a range"),
        (
            {"of": "limit_straps.strap.both.length", "axis": "x", "most": "1 in"},
            Verdict.ERROR,
            "limit_straps.strap.both.length has no axes",
        ),
        ({"of": "axle.position", "most": "1 in"}, Verdict.ERROR, "axle.position is neither a point nor a length"),
    ],
)
def test_each_entry_is_followed_or_the_reason_is_given(
    entry: dict[str, Any], verdict: Verdict, found: str | None
) -> None:
    build = read_build(with_data(example_data(SOUND), {"may_move": [entry]}))
    (reading,) = all_readings(may_move, build)
    assert (reading.verdict, reading.place) == (verdict, "may_move[0].of")
    assert found is None or reading.found == found


def test_it_does_not_apply_to_a_spec_that_says_nothing_of_it() -> None:
    (reading,) = all_readings(may_move, example(SOUND))
    assert (reading.verdict, reading.applies) == (Verdict.OK, False)


def test_a_range_holds_the_present_place_in_one_build_and_leaves_it_out_in_the_other() -> None:
    check_need(may_move, POSSIBLE)


def test_every_limit_has_its_edges() -> None:
    check_complete(may_move, [], [POSSIBLE])
