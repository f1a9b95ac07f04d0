"""The record as text: exact at 80 columns, at 120 and in a pipe; and nothing of the JSON is missing from it."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from hand_made import (
    ASSUMED,
    INCH,
    NO_TRAVEL,
    READINGS,
    STEEP,
    STEEP_TOO,
    TURNED,
    UNBRACED,
    inspected,
    replace,
    whole,
)
from jsonschema import Draft202012Validator
from sampling import sampled

from buildcheck.build import Stage, read_build
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading
from buildcheck.output import json_record, text, words
from buildcheck.output.items import mirror
from buildcheck.output.lines import lines
from buildcheck.output.outcome import Inspected, Outcome, Refused
from buildcheck.output.report.record import not_checked
from buildcheck.plugins.loading import collect
from buildcheck.spec.document import Problem, read_file
from buildcheck.spec.quantity import Dimension, System
from buildcheck.spec.schema import schema

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").rglob("*.buildcheck.yaml"))

AT_80 = """\
INSPECTION RECORD
  build     Bench
  shop      an invented shop
  use       not stated
  holds     2 radius arms, lateral bar
  stage     tacked
  spec      bench.buildcheck.yaml, in inch-pound units

OUTCOME
  1 reading that a rule failed to make, 3 readings not checked, 1 item to put
    right, 1 to look at; 1 reading within limits.
  The few changes that mend it together: buildcheck work-order SPEC
  What a rule checks, and why: buildcheck rules NAME
  --all also lists 1 reading within limits and 1 assumption.

LINKS
[ ] 1  ERROR    left arm: slope of the link at ride height
       also     right arm, as its mirror image
       found    12.00 deg at ride height
       wanted   at most 10.00 deg; 2.00 deg over
       change   move the frame end of the left arm down 1 5/16 in
                (links.arm.both.frame.z by -1.3125 in)
       effect   the axle steers the truck
       in spec  bench.buildcheck.yaml:8:7 links.arm.both.frame
       basis    common practice, no source: links lie flat (rule flat, slope)

LATERAL BAR AND STEERING
[ ] 2  WARNING  lateral bar: the frame bracket is braced
       found    a bare bracket
       wanted   a brace to the other rail
       change   run a brace to the other rail
       effect   the bracket bends and the truck wanders
       in spec  bench.buildcheck.yaml:9:1 lateral_bar.frame_bracket.braced
       basis    common practice, no source: a tall bracket is braced (rule
                braced, brace)

RULES THAT FAILED
  own on whole build: the rule failed: ZeroDivisionError: division by zero
  The fault is in the rule, not in the build; report it to the author of the
  rule.

NOT CHECKED
  travel is not in the spec
      needed by flat (left arm, right arm)
  the axle cannot reach full bump
      needed by stop (left bump stop)

INSPECTION RECORD: NOT INSPECTED
  spec      bad.buildcheck.yaml

  The spec is not a valid build spec; 1 thing to put right in it:
  bad.buildcheck.yaml:3:5 links.lenght
    'lenght' is not a key of links

PLUGINS THAT FAILED
  shop-rules: it implements no hook of buildcheck
  What failed was not used; the rest went on.

ALL SPECS
  2 specs: 1 inspected, 1 of them with something to put right; 1 not inspected.

CAUTIONS
  Stands: do not go under the vehicle until it rests on stands rated for the
    load, on a level floor, with the wheels on the ground chocked. Never rely on
    a jack.
  Welding: take gas-charged shocks off, move or shield fuel and brake lines,
    disconnect the battery, put the ground clamp beside the weld, and have
    someone keep a fire watch.
  Not modelled: fatigue under repeated loads, impacts beyond the load cases, the
    quality of welds, wear and rust. Strengths are held to factors for uncertain
    loads; a part that passes can still crack after years.
  This record is not an approval. It compares the spec with limits; it cannot
    see what the spec leaves out. Local codes, inspection and licensed practice
    decide.
"""

CHANGE_AT_120 = (
    "       change   move the frame end of the left arm down 1 5/16 in (links.arm.both.frame.z by -1.3125 in)\n"
)
ASSUMED_AT_120 = """\
  radial stiffness of a rubber joint: assumed 29000 lb/in; to change it, set bench.buildcheck.yaml:6:5
    links.arm.both.joints.frame.radial_stiffness
"""
ASSUMED_IN_A_PIPE = (
    "  radial stiffness of a rubber joint: assumed 29000 lb/in; to change it, set "
    "bench.buildcheck.yaml:6:5 links.arm.both.joints.frame.radial_stiffness\n"
)
PASSED_AT_80 = """\
       within limits: movement of the axle over the travel
       wanted   between -0.500 in and 0.500 in
       basis    A. Nonymous, Axles, 2nd ed., p. 12 (from memory): half an inch
                is felt (rule flat, shift)
                whole build: -0.250 in with the axle 4.00 in up, right side
                  2.00 deg up; 0.250 in to spare; bench.buildcheck.yaml:4:1
                  links
"""
LINES = """\
ERROR    left arm and right arm, slope: 12.00 deg at ride height; wanted at most 10.00 deg; bench.buildcheck.yaml:8:7
WARNING  lateral bar, brace: a bare bracket; wanted a brace to the other rail; bench.buildcheck.yaml:9:1
NOT CHECKED 3 readings; bench.buildcheck.yaml
FAILED   own on whole build: the rule failed: ZeroDivisionError: division by zero; bench.buildcheck.yaml
REFUSED  'lenght' is not a key of links; bad.buildcheck.yaml:3:5 links.lenght
FAILED   plugin shop-rules: it implements no hook of buildcheck
"""


def of(*readings: Reading, **options: Any) -> str:
    return text.record(Outcome((inspected(*readings),)), **options)


def test_the_whole_record_at_80_columns() -> None:
    assert text.record(whole(), width=80) == AT_80


def test_a_wider_terminal_wraps_later_and_a_pipe_never() -> None:
    wide, piped = text.record(whole(), width=120), text.record(whole(), width=None)
    assert CHANGE_AT_120 in wide
    assert ASSUMED_AT_120 in text.record(whole(), width=120, everything=True)
    assert ASSUMED_IN_A_PIPE in text.record(whole(), width=None, everything=True)
    assert wide.split() == piped.split() == AT_80.split()
    assert max(map(len, AT_80.splitlines())) <= 80 < max(map(len, wide.splitlines())) <= 120
    assert not re.search(r"\n {16}\S", piped), "no field goes on to a second line in a pipe"


def test_passed_readings_with_their_numbers_only_when_asked_for() -> None:
    assert PASSED_AT_80 in of(TURNED, width=80, everything=True)
    assert "-0.250 in" not in of(TURNED, width=80)
    assert "--all also lists 1 reading within limits" in of(TURNED, width=80)


def test_one_line_for_each_error_warning_refusal_and_failure() -> None:
    assert lines(whole()) == LINES
    assert lines(Outcome((inspected(TURNED),))) == ""
    not_checked = "NOT CHECKED 1 reading; bench.buildcheck.yaml\n"
    assert lines(Outcome((inspected(TURNED, NO_TRAVEL),))) == not_checked
    assert lines(Outcome((inspected(),))) == "NOT CHECKED no rule was applied; bench.buildcheck.yaml\n"


@pytest.mark.parametrize(
    ("stiffness", "shown"),
    [(5.0e6, "29000 lb/in"), (1.0e8, "570000 lb/in"), (1225.9, "7.0 lb/in"), (70.0, "0.40 lb/in")],
)
def test_what_is_assumed_has_two_digits(stiffness: float, shown: str) -> None:
    assert words.rough_amount(stiffness, Dimension.STIFFNESS, System.INCH_POUND) == shown


def test_a_problem_at_the_very_start_has_its_line_and_column() -> None:
    told = lines(Outcome((Refused("bad.yaml", (Problem("the file is empty", "", 1, 1),), False),)))
    assert told == "REFUSED  the file is empty; bad.yaml:1:1\n"


def test_bold_only_adds_to_the_words() -> None:
    for told, plain in (
        (text.record(whole(), width=80, colour=True), AT_80),
        (lines(whole(), colour=True), LINES),
    ):
        assert "\x1b[1mERROR\x1b[0m" in told
        assert set(re.findall(r"\x1b\[[0-9;]*m", told)) == {"\x1b[1m", "\x1b[0m"}, "bold, and no colour"
        assert re.sub(r"\x1b\[[0-9;]*m", "", told) == plain


def test_left_and_right_are_one_item_only_where_all_but_the_side_is_the_same() -> None:
    assert "[ ] 2" not in of(STEEP, STEEP_TOO)
    assert "[ ] 2" in of(STEEP, replace(STEEP_TOO, value=STEEP.value and STEEP.value + 0.01))
    assert "[ ] 2" in of(STEEP, replace(STEEP_TOO, place="links.arm"))
    assert "[ ] 2" in of(STEEP, replace(STEEP_TOO, verdict=Verdict.WARNING))
    assert "[ ] 2" in of(STEEP, STEEP), "the same twice is no mirror image"
    assert "[ ] 2" in of(UNBRACED, UNBRACED), "what has no side has no mirror image"


def test_a_basis_is_printed_once() -> None:
    told = of(STEEP, replace(UNBRACED, basis=STEEP.basis), UNBRACED)
    assert told.count("links lie flat") == 1
    assert told.count("basis    as for item 1 (rule braced, brace)\n") == 1


def test_what_is_left_out_is_shown_beside_what_the_spec_lacks() -> None:
    both = replace(NO_TRAVEL, reason="the spec lacks travel; no tension; ask someone")
    told = of(both)
    assert "  travel is not in the spec\n" in told
    assert "  no tension; ask someone\n" in told
    assert "the spec lacks travel" not in told
    assert [row["why"] for row in not_checked(inspected(both))] == [
        "travel is not in the spec",
        "no tension; ask someone",
    ]


def test_missing_data_is_listed_once_with_all_that_needed_it() -> None:
    many = [replace(NO_TRAVEL, rule=rule, subject=f"link {number}") for rule in ("a", "b") for number in range(15)]
    tube = "links.arm.both.tube"
    told = of(*many, replace(NO_TRAVEL, missing=(tube,), reason=f"the spec lacks {tube}"))
    assert told.count("travel is not in the spec") == 1
    assert "      needed by a (15 places), b (15 places)\n" in told
    assert "links.arm.both lacks tube; it is at bench.buildcheck.yaml:6:5\n" in told
    assert "link 14" in of(*many, everything=True)
    assert "Nothing was checked: the spec lacks what the rules need." in told


def test_a_value_just_over_its_limit_looks_different_from_it() -> None:
    tight = replace(
        TURNED, verdict=Verdict.ERROR, lowest=None, highest=INCH, value=1.0004 * INCH, margin=-0.0004 * INCH
    )
    told = of(tight)
    assert "found    1.0004 in" in told
    assert "wanted   at most 1.0000 in; 0.0004 in over" in told


def test_a_limit_in_fractions_of_an_inch_is_shown_exactly() -> None:
    told = of(replace(TURNED, verdict=Verdict.WARNING, lowest=INCH / 16, highest=None, value=0.0, margin=-INCH / 16))
    assert "wanted   at least 0.0625 in; 0.0625 in short" in told


def test_a_difference_of_temperatures_is_no_temperature() -> None:
    cold = replace(
        TURNED,
        verdict=Verdict.ERROR,
        dimension=Dimension.TEMPERATURE,
        value=(200 + 459.67) / 1.8,
        lowest=(300 + 459.67) / 1.8,
        highest=None,
        margin=-100 / 1.8,
    )
    assert "found    200 degF" in of(cold)
    assert "wanted   at least 300 degF; 100 degF short" in of(cold)


@pytest.mark.parametrize(
    ("stage", "minded"),
    [
        (Stage.PROPOSAL, []),
        (Stage.TEARDOWN, ["Stands", "Springs", "Brakes"]),
        (Stage.TACKED, ["Stands", "Welding"]),
        (Stage.CYCLED, ["Stands", "Springs", "Brakes"]),
        (Stage.FINAL_WELD, ["Stands", "Welding", "Brakes"]),
    ],
)
def test_the_cautions_are_those_of_the_stage(stage: Stage, minded: list[str]) -> None:
    told = text.record(Outcome((inspected(UNBRACED, stage=stage),)))
    after = told.partition("CAUTIONS\n")[2]
    assert [line.split(":")[0].strip() for line in after.splitlines()[:-1]] == [*minded, "Not modelled"]
    assert after.splitlines()[-1].startswith("  This record is not an approval.")


def test_no_record_says_that_a_vehicle_is_safe() -> None:
    for told in (of(TURNED), of(), text.record(whole(), everything=True), lines(whole())):
        assert not re.search(r"\b(safe|roadworthy|approved|certified)\b", told, re.IGNORECASE)


def test_a_requested_stage_is_shown_beside_the_specs_own() -> None:
    told = text.record(Outcome((inspected(UNBRACED, stage=Stage.PROPOSAL),)))
    assert "  stage     proposal (as asked; the spec says tacked)\n" in told


def facts(reading: dict[str, Any]) -> list[str]:
    """Every piece of text that the JSON of a reading holds for a reader."""
    if reading["verdict"] == "ok" and reading["reason"]:  # the rule does not apply
        return [f"{reading['rule']} does not apply", reading["reason"]]
    told = [reading["rule"], reading["subject"], reading["found"], reading["required"], reading["effect"]]
    told += [reading[name]["shown"] for name in ("value", "lowest", "highest") if reading[name]]
    told += [reading[name]["words"] for name in ("margin", "pose", "basis", "cure") if reading[name]]
    if reading["verdict"] == "not checked":
        told += [place["path"] for place in reading["missing"]]
        told += [] if reading["missing"] else [reading["reason"]]
    elif not reading["failure"]:
        told += [reading["quantity"], reading["meaning"]]
        place = reading["place"]
        told += [f"{place['line']}:{place['column']} {place['path']}"] if place else []
    return [*told, reading["failure"]]


def example(file: Path) -> Inspected:
    document = read_file(file)
    build = read_build(document.data)
    return Inspected(document.name, document, build, inspect(build, collect().rules))


@sampled(2)
@pytest.mark.parametrize("file", [None, *EXAMPLES], ids=lambda file: file.name if file else "made by hand")
def test_every_fact_of_the_json_is_in_the_full_text(file: Path | None) -> None:
    made = inspected(*READINGS, assumed=ASSUMED) if file is None else example(file)
    outcome = Outcome((made,))
    told = text.record(outcome, everything=True)
    record = json.loads(json_record.record(outcome, "0"))
    assert Draft202012Validator(schema("readings.schema.json")).is_valid(record)
    spec = record["specs"][0]
    assert len(spec["readings"]) == len(made.readings)
    first = {reading["item"]: reading for reading in reversed(spec["readings"])}
    checked = 0
    for reading in spec["readings"]:
        twin = reading["item"] is not None and first[reading["item"]] is not reading
        for fact in facts(reading):
            checked += bool(fact)
            assert fact in told or (twin and mirror(fact) in told), f"{fact!r} is not in the text"
    assert checked > 50
    for part in spec["parts"]["listed"]:
        facts_of = [fact for piece in part["pieces"] for fact in piece["facts"]]
        shown = [each["shown"] for each in (*part["lengths"], *part["facts"], *facts_of)]
        named = [each["why"] for each in part["lengths"]] + [path.rpartition(".")[2] for path in part["unknown"]]
        label = part["label"].removeprefix(f"{part['side']} ")
        for fact in (label, *shown, *named):
            assert fact in told or fact in ("yes", "no"), f"{fact!r} is not in the text"
    assert all(section in told for section in spec["parts"]["absent"])
    for part in (spec["build"]["name"], *spec["cautions"], *(each["sentence"] for each in spec["assumptions"])):
        assert part in told
