"""A cycle as JSON: what has no number is none there, and the words are those of the sheet."""

from __future__ import annotations

import json

from hand_cycled import COLUMNS, cycled
from hand_made import INCH

from buildcheck.output.cycle_json import sheet
from buildcheck.output.cycle_words import breaks


def test_the_record_of_a_cycle() -> None:
    spec = cycled()
    told = json.loads(sheet(spec, "9.9"))
    assert (told["tool"]["version"], told["exit_status"], told["file"]) == ("9.9", 1, "bench.buildcheck.yaml")
    assert [pose["reached"] for pose in told["poses"]] == [True, True, True, True, False]
    assert told["poses"][0] == {
        "name": "full droop",
        "height": {"si": -2 * INCH, "shown": "-2.000 in"},
        "reached": True,
    }
    assert [column["name"] for column in told["columns"]] == [column.quantity.name for column in COLUMNS]
    share = told["columns"][-1]
    assert (share["group"], share["heading"], share["meaning"], share["dimension"]) == (
        "right side", "share", "what right-gate-share is", "ratio",
    )  # fmt: skip
    assert share["values"] == [
        None,
        None,
        {"si": 0.5, "shown": "50.0 %"},
        {"si": None, "shown": "without bound"},
        None,
    ]
    assert told["cannot_follow"] == list(breaks(spec))
    assert told["absent"] == [
        {
            "name": "hinge",
            "missing": {"path": "lateral_bar.tube", "line": 9, "column": 1},
            "reason": "the spec lacks lateral_bar.tube",
        },
        {"name": "latch", "missing": None, "reason": "the latch has no value in this build"},
    ]
