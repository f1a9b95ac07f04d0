"""A work order writes words as well as amounts, where a rule names those that would do."""

from pathlib import Path

import buildcheck

SOUND = Path(__file__).parents[3] / "examples/tamarack/proposal.buildcheck.yaml"
BRACKET = "attachments.arm_axle_bracket.right"


def test_iron_is_welded_by_its_procedure_and_a_bracket_holds_what_is_there() -> None:
    spec = buildcheck.read(SOUND)
    brackets = spec.document.data["attachments"]["arm_axle_bracket"]
    as_steel = {key: value for key, value in brackets["left"]["weld"].items() if key != "preheat"}
    welded = {key: value for key, value in brackets["right"].items() if key != "bolts"}
    welded |= {"method": "welded", "weld": as_steel}
    spoiled = spec.changed({BRACKET: welded, "attachments.lateral_bar_frame_bracket.left.holds": "lateral_bars"})
    rules = ("cast-iron-attachment", "spec-consistency")
    order = buildcheck.work_order(spoiled, only=rules)
    assert order.changes() == {
        "attachments.lateral_bar_frame_bracket.left.holds": "lateral_bar",
        f"{BRACKET}.weld.filler": "ERNiFeMn-CI",
        f"{BRACKET}.weld.cooling": "slow",
        f"{BRACKET}.weld.peened": True,
        f"{BRACKET}.weld.preheat": 500,
    }
    # The four steps of the procedure are one line, since they are one job on one part.
    procedure, holds = order.sentences
    assert "write filler: ERNiFeMn-CI for the right arm axle bracket weld; " in procedure
    assert holds == "write holds: lateral_bar for the left lateral bar frame bracket"
    assert buildcheck.inspect(order.revised(), only=rules, changes=False).errors == ()
