"""The record as JSON: valid by its schema, finite, and the same numbers as the text; whatever the readings hold."""

from __future__ import annotations

import dataclasses
import json
import math
from typing import Any

import pytest
from hand_made import ASSUMED, BROKEN, INCH, NO_TRAVEL, READINGS, STEEP, TURNED, UNBRACED, inspected, whole
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from sampling import draws

from buildcheck.build import Stage
from buildcheck.checks.limit import Basis, Verdict
from buildcheck.checks.rule import Area, Loosened, Reading, Replaced, Waived
from buildcheck.job import Cure, PoseName
from buildcheck.output import json_record, text
from buildcheck.output.lines import lines
from buildcheck.output.outcome import Inspected, Outcome, Refused, Status, combined
from buildcheck.plugins.loading import PluginFailure
from buildcheck.spec.document import Problem
from buildcheck.spec.quantity import Dimension
from buildcheck.spec.schema import schema

VALIDATOR = Draft202012Validator(schema("readings.schema.json"))


def read(outcome: Outcome) -> Any:
    return json.loads(json_record.record(outcome, "0.1.0"), parse_constant=pytest.fail)


def test_one_of_everything_is_valid_and_complete() -> None:
    told = read(whole())
    assert [error.message for error in VALIDATOR.iter_errors(told)] == []
    assert (told["format"], told["exit_status"], told["tool"]["version"]) == (1, 3, "0.1.0")
    assert told["exit_meaning"] == "rule or plugin failed"
    spec, refused = told["specs"]
    assert spec["count"] == {
        "ok": 1, "warning": 1, "error": 2, "not_checked": 3, "failed": 1, "waived": 0, "loosened": 0,
        "looser_limits": 0, "items": 2,
    }  # fmt: skip
    assert (refused["state"], refused["exit_status"]) == ("not valid", 2)
    assert refused["problems"] == [
        {"sentence": "'lenght' is not a key of links", "path": "links.lenght", "line": 3, "column": 5}
    ]
    assert told["plugin_failures"] == [{"plugin": "shop-rules", "sentence": "it implements no hook of buildcheck"}]


def test_a_reading_in_full() -> None:
    reading = read(Outcome((inspected(STEEP),)))["specs"][0]["readings"][0]
    assert reading == {
        "item": 1,
        "rule": "flat",
        "area": "links",
        "subject": "left arm",
        "of": "",
        "quantity": "slope",
        "meaning": "slope of the link at ride height",
        "verdict": "error",
        "from_stage": None,
        "place": {"path": "links.arm.both.frame", "line": 8, "column": 7},
        "dimension": "angle",
        "value": {"si": pytest.approx(math.radians(12)), "shown": "12.00 deg"},
        "amounts": None,
        "lowest": None,
        "highest": {"si": pytest.approx(math.radians(10)), "shown": "10.00 deg"},
        "tolerance": None,
        "margin": {"si": pytest.approx(math.radians(-2)), "shown": "2.00 deg", "words": "2.00 deg over"},
        "plus_or_minus": None,
        "too_near_to_tell": False,
        "how_sure": "",
        "depends_on": None,
        "found": "",
        "required": "",
        "pose": {
            "name": "ride height",
            "words": "at ride height",
            "heave": {"si": 0.0, "shown": "0.000 in"},
            "roll": {"si": 0.0, "shown": "0.00 deg"},
            "lock": {"si": 0.0, "shown": "0.00 deg"},
        },
        "load_case": None,
        "effect": "the axle steers the truck",
        "basis": {
            "text": "links lie flat",
            "source": "",
            "known_from": "",
            "words": "common practice, no source: links lie flat",
        },
        "built_in": None,
        "loosened": None,
        "cure": {
            "words": "move the frame end of the left arm down 1 5/16 in (links.arm.both.frame.z by -1.3125 in)",
            "amount": {"si": pytest.approx(1.3125 * INCH), "shown": "1 5/16 in"},
            "place": {"path": "links.arm.both.frame.z", "line": 8, "column": 7},
            "change": {"si": pytest.approx(-1.3125 * INCH), "shown": "-1.3125 in"},
            "also": [],
        },
        "missing": [],
        "unchecked": [],
        "reason": "",
        "failure": "",
        "waived": None,
    }


def test_a_wrong_record_is_not_valid() -> None:
    told = read(whole())
    told["specs"][1]["readings"] = []
    assert not VALIDATOR.is_valid(told), "a refused spec has no readings"
    told = read(whole())
    del told["specs"][0]["readings"]
    assert not VALIDATOR.is_valid(told), "an inspected spec has readings"


STATUSES = {
    Status.NOTHING_WORSE_THAN_A_WARNING: inspected(UNBRACED, NO_TRAVEL),
    Status.ERRORS_FOUND: inspected(STEEP, TURNED),
    Status.SPEC_REFUSED: Refused("bad.yaml", (Problem("there is no such file", "", 1, 1),), False),
    Status.RULE_OR_PLUGIN_FAILED: inspected(STEEP, BROKEN),
    Status.NOTHING_CHECKED: inspected(NO_TRAVEL),
    Status.NOT_TO_BE_SIGNED_OFF: dataclasses.replace(inspected(STEEP, TURNED), signing=True),
}


@pytest.mark.parametrize("status", STATUSES)
def test_the_exit_status_of_one_spec(status: Status) -> None:
    assert read(Outcome((STATUSES[status],)))["exit_status"] == status


@pytest.mark.parametrize("one", STATUSES)
@pytest.mark.parametrize("other", STATUSES)
def test_the_exit_status_of_several_specs_is_the_first_of_3_2_5_1_0_4(one: Status, other: Status) -> None:
    order = [3, 2, 5, 1, 0, 4]
    expected = min((one, other), key=lambda status: order.index(int(status)))
    assert Outcome((STATUSES[one], STATUSES[other])).status == expected


def test_a_failed_plugin_and_no_reading_at_all() -> None:
    failure = PluginFailure("shop", "it broke")
    assert Outcome((STATUSES[Status.ERRORS_FOUND],), (failure,)).status == Status.RULE_OR_PLUGIN_FAILED
    assert Outcome((inspected(),)).status == Status.NOTHING_CHECKED
    assert combined([]) == Status.NOTHING_CHECKED


any_text = st.text(max_size=60) | st.sampled_from(
    ["\x1b[31mred\x1b[0m", "\ud800", "{amount}{0}{", "\u202eback", "a\nb", "[bold]"]
)
any_number = st.floats(allow_nan=True, allow_infinity=True)
maybe_number = st.none() | any_number
bad_verdicts = st.sampled_from([Verdict.WARNING, Verdict.ERROR])
any_basis = st.builds(Basis, any_text, any_text, st.sampled_from(["", "read", "from memory", "shop standard"]))
readings = st.builds(
    Reading,
    rule=any_text,
    area=st.sampled_from(Area),
    subject=any_text,
    quantity=any_text,
    meaning=any_text,
    verdict=st.sampled_from(Verdict),
    place=any_text,
    dimension=st.none() | st.sampled_from(Dimension),
    value=maybe_number,
    lowest=maybe_number,
    highest=maybe_number,
    margin=maybe_number,
    found=any_text,
    required=any_text,
    pose=st.none() | st.builds(PoseName, any_number, any_number, any_text),
    effect=any_text,
    basis=st.none() | any_basis,
    cure=st.none()
    | st.builds(Cure, any_text, maybe_number, st.none() | st.sampled_from(Dimension), any_text, maybe_number),
    missing=st.lists(any_text, max_size=2).map(tuple),
    reason=any_text,
    failure=st.just("") | any_text,
    replaced=st.none() | st.builds(Replaced, any_basis, maybe_number, maybe_number, st.none() | bad_verdicts),
    loosened=st.none() | st.builds(Loosened, bad_verdicts, any_basis, *[maybe_number] * 4),
    waived=st.none() | st.builds(Waived, bad_verdicts, any_text, any_text, any_text, any_text, any_text),
)


@draws(150)
@given(
    st.lists(readings, max_size=4),
    any_text,
    st.sampled_from([20, 80, 120, None]),
    st.booleans(),
    st.booleans(),
)
def test_nothing_that_a_reading_holds_breaks_an_output(
    made: list[Reading], file: str, width: int | None, everything: bool, refused: bool
) -> None:
    by_area = sorted(made, key=lambda reading: list(Area).index(reading.area))
    spec = inspected(*by_area, assumed=ASSUMED)
    renamed = Inspected(file, spec.document, spec.build, spec.inspection)
    bad = Refused(file, (Problem(file, file, 1, 1),), True)
    outcome = Outcome((renamed, bad) if refused else (renamed,), (PluginFailure(file, file),))
    told = read(outcome)
    assert [error.message for error in VALIDATOR.iter_errors(told)] == []
    for page in (text.record(outcome, width=width, everything=everything), lines(outcome)):
        assert all(line.isprintable() for line in page.split("\n")), "no escape gets through to a terminal"
    assert len(told["specs"][0]["readings"]) == len(made)


def test_the_same_bytes_each_time() -> None:
    outcome = Outcome((inspected(*READINGS, assumed=ASSUMED, stage=Stage.CYCLED),))
    assert json_record.record(outcome, "0") == json_record.record(outcome, "0")
    assert json_record.record(outcome, "0").isascii()
