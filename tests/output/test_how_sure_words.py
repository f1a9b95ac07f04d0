"""How sure a reading is, in words: in the record as text, in JSON, and on the report's page."""

from __future__ import annotations

import json
import math
from dataclasses import replace as altered
from pathlib import Path

import pytest
from hand_made import INCH, STEEP, STEEP_TOO, TURNED, inspected, replace
from jsonschema import Draft202012Validator

from buildcheck.build import read_build
from buildcheck.checks.inspection import inspect
from buildcheck.checks.rule import Reading
from buildcheck.output import json_record, text, words
from buildcheck.output.outcome import Inspected, Outcome
from buildcheck.output.report.page import page
from buildcheck.plugins.loading import collect
from buildcheck.spec.document import read_file
from buildcheck.spec.quantity import Dimension, System
from buildcheck.spec.schema import schema

TAMARACK = Path(__file__).parents[2] / "examples/tamarack/proposal.buildcheck.yaml"
SURE = replace(STEEP, plus_or_minus=math.radians(0.153))
DOUBTFUL = replace(STEEP, plus_or_minus=math.radians(2.5))
NEAR = replace(TURNED, plus_or_minus=0.3 * INCH)


def asked(*readings: Reading) -> Inspected:
    """These readings, of an inspection that was asked how sure they are."""
    spec = inspected(*readings)
    return altered(spec, inspection=spec.inspection._replace(sure=True))


@pytest.mark.parametrize(
    ("value", "dimension", "system", "shown"),
    [
        (math.radians(0.1534), Dimension.ANGLE, System.INCH_POUND, "0.15 deg"),
        (0.004318 * INCH, Dimension.LENGTH, System.INCH_POUND, "0.0043 in"),
        (0.0004318, Dimension.LENGTH, System.METRIC, "0.43 mm"),
        (1.27, Dimension.LENGTH, System.METRIC, "1270 mm"),
        (0.0, Dimension.LENGTH, System.METRIC, "0.0 mm"),
        (0.0371, Dimension.RATIO, System.METRIC, "3.7 %"),
        (1.0, Dimension.TEMPERATURE, System.INCH_POUND, "1.8 degF"),
    ],
)
def test_a_plus_or_minus_has_two_digits(value: float, dimension: Dimension, system: System, shown: str) -> None:
    assert words.rough_difference(value, dimension, system) == shown


def test_a_difference_too_small_to_measure_gets_no_extra_digits() -> None:
    assert len(words.rough_difference(1e-12, Dimension.LENGTH, System.METRIC)) < 14


def test_the_words_say_what_follows_where_it_is_more_than_the_margin() -> None:
    system = System.INCH_POUND
    assert words.how_sure(STEEP, system) == ""
    assert words.how_sure(SURE, system) == "plus or minus 0.15 deg"
    assert words.how_sure(DOUBTFUL, system) == (
        "plus or minus 2.5 deg, more than its margin: measure finer before relying on it"
    )
    assert words.how_sure(replace(DOUBTFUL, depends_on="links.arm.left.frame.z"), system) == (
        "plus or minus 2.5 deg, more than its margin: measure links.arm.left.frame.z finer, which moves it most, "
        "before relying on it"
    )


def test_the_record_says_it_of_each_item_and_lists_what_is_too_near_to_tell() -> None:
    told = text.record(Outcome((asked(SURE, NEAR),)))
    assert "       known to plus or minus 0.15 deg\n" in told
    assert (
        "WITHIN LIMITS, BUT TOO NEAR TO BE SURE\n"
        "  whole build: movement of the axle over the travel: -0.250 in with the axle 4.00 in up, right side 2.00 deg "
        "up, between -0.500 in and 0.500 in; plus or minus 0.30 in; bench.buildcheck.yaml:4:1 links\n"
    ) in told


def test_without_being_asked_the_record_says_nothing_of_it() -> None:
    told = text.record(Outcome((inspected(STEEP, TURNED),)))
    assert not [word for word in ("known to", "TOO NEAR") if word in told]


def test_all_gives_it_of_every_reading_within_limits() -> None:
    told = text.record(Outcome((asked(replace(TURNED, plus_or_minus=0.1 * INCH)),)), everything=True)
    assert "0.250 in to spare; plus or minus 0.10 in; bench" in told
    assert "TOO NEAR" not in told


def test_the_json_holds_it_and_keeps_to_its_schema() -> None:
    record = json.loads(json_record.record(Outcome((asked(SURE, NEAR),)), "0"))
    Draft202012Validator(schema("readings.schema.json")).validate(record)
    sure, near = record["specs"][0]["readings"]
    assert sure["plus_or_minus"] == {"si": pytest.approx(math.radians(0.153)), "shown": "0.15 deg"}
    assert (sure["too_near_to_tell"], sure["how_sure"]) == (False, "plus or minus 0.15 deg")
    assert near["too_near_to_tell"] is True


def test_mirror_images_stay_one_item_and_show_the_less_sure() -> None:
    told = text.record(Outcome((asked(SURE, replace(STEEP_TOO, plus_or_minus=math.radians(0.2))),)))
    assert "also     right arm, as its mirror image" in told
    assert "known to plus or minus 0.20 deg" in told


def test_the_page_says_it_in_the_record_and_marks_what_is_too_near() -> None:
    document = read_file(TAMARACK)
    build = read_build(document.data)
    build = build.changed(records=build.records.changed(tape_tolerance=3 * INCH / 8))
    rules = [
        rule for rule in collect().rules if rule.name in ("joint-misalignment", "limit-strap-length", "link-flatness")
    ]
    inspection = inspect(build, rules, sure=True, changes=False)
    spec = Inspected(str(TAMARACK), document, build, inspection)
    shown = page(spec, "0")
    near = [reading for reading in inspection.readings if reading.verdict == "ok" and reading.too_near_to_tell]
    assert near
    assert shown.count("too near to be sure") == len(near)
    for reading in inspection.readings:
        if reading.plus_or_minus is not None:
            assert words.plus_or_minus(reading, build.units) in shown


def test_the_detail_of_a_subject_is_beside_it() -> None:
    told = text.record(Outcome((asked(replace(SURE, of="frame joint")),)))
    assert "ERROR    left arm, frame joint: slope of the link at ride height" in told
