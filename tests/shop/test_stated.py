"""The values of a spec, in a form that notation does not change."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from buildcheck.build import Build, read_build
from buildcheck.shop.stated import digest, stated
from buildcheck.spec.document import read_file, read_text
from buildcheck.testing.rewritten import in_other_units, sides_written_out

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").rglob("*.buildcheck.yaml"))


def build(file: Path) -> Build:
    return read_build(read_file(file).data)


@pytest.mark.parametrize("file", EXAMPLES, ids=lambda file: file.name)
def test_the_other_units_and_two_sides_in_place_of_both_state_the_same(file: Path) -> None:
    data = read_file(file).data
    values = stated(read_build(data))
    assert values
    assert list(values) == sorted(values)
    assert stated(read_build(sides_written_out(data))) == values
    other = stated(read_build(in_other_units(Random(1), data)))
    assert {path for path in values if values[path] != other.get(path)} == set()
    assert digest(other) == digest(values)


def test_notation_comments_and_order_make_no_difference() -> None:
    one = "format: 1\nunits: inch-pound\ntravel: {bump: 5, droop: 6 1/2 in}\n"
    other = "format: 1\nunits: metric\n# as planned\ntravel:\n  droop: 165.1\n  bump: 127 mm\n"
    assert stated(read_build(read_text(one, "one").data)) == stated(read_build(read_text(other, "other").data))


def test_a_section_that_says_none_is_not_one_that_is_left_out() -> None:
    head = "format: 1\nunits: metric\n"
    none = stated(read_build(read_text(f"{head}vehicle: {{obstacles: {{}}}}\n", "none").data))
    silent = stated(read_build(read_text(f"{head}vehicle: {{wheelbase: 2700}}\n", "silent").data))
    assert none == {"vehicle.obstacles": "none"}
    assert silent == {"vehicle.wheelbase": 2.7}


def test_a_measurement_is_given_in_si_also_where_it_is_written_in_the_units_of_the_spec() -> None:
    text = (
        "format: 1\nunits: inch-pound\ntravel: {bump: 5}\n"
        "records: {measured: [{of: travel.bump, value: 5 1/8 in, tolerance: 1/16 in}]}\n"
    )
    values = stated(read_build(read_text(text, "spec").data))
    assert values["records.measured[0].value"] == pytest.approx(5.125 * 0.0254, rel=1e-11)
    assert values["records.measured[0].tolerance"] == pytest.approx(0.0254 / 16, rel=1e-11)
