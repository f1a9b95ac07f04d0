"""`buildcheck order`: text, table and JSON say the same, at any width, and how it ends."""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path

import pytest
from buildcheck_rules.tube_length import bar
from called import called
from jsonschema import Draft202012Validator

import buildcheck
from buildcheck.spec.schema import schema

EXAMPLES = Path(__file__).parents[2] / "examples"
TAMARACK = EXAMPLES / "tamarack" / "proposal.buildcheck.yaml"
ALL = sorted(EXAMPLES.rglob("*.buildcheck.yaml"))


def strings(value: object) -> list[str]:
    if isinstance(value, dict):
        return [text for each in value.values() for text in strings(each)]
    if isinstance(value, list):
        return [text for each in value for text in strings(each)]
    return [value] if isinstance(value, str) else []


@pytest.mark.parametrize("file", ALL, ids=lambda file: file.name)
def test_the_json_is_valid_and_the_text_and_the_table_say_the_same(file: Path) -> None:
    ended = called("order", file, "--output", "json")
    record = json.loads(ended.stdout)
    assert list(Draft202012Validator(schema("order.schema.json")).iter_errors(record)) == []
    text = called("order", file).stdout
    rows = list(csv.DictReader(io.StringIO(called("order", file, "--output", "csv").stdout)))
    for cut in record["cuts"]:
        assert all(each in text for each in (cut["label"], cut["why"]))
        assert all(cut[name]["shown"] in text for name in ("length", "joint_to_joint") if cut[name])
        assert any(row["list"] == "cut" and row["for"] == cut["label"] for row in rows)
    for line in record["lines"]:
        assert f"{line['count']:>2}  {line['kind']}: {line['words']}" in text
        lacking = [path.rpartition(".")[2] for path in line["unknown"]]
        assert all(each in text for each in lacking)
        # Two lines may have the same words: joints that the spec has not, and joints of which it states nothing.
        alike = [row for row in rows if (row["kind"], row["ordered by"]) == (line["kind"], line["words"])]
        assert [row for row in alike if row["count"] == str(line["count"]) and all(e in row["lacks"] for e in lacking)]
    assert [row["kind"] for row in rows if row["list"] == "renew"] == [each["name"] for each in record["renewals"]]
    assert all(name in text for each in record["packing"] for name in (each["name"], *each["to_do"]))
    assert all(caution in text for caution in record["cautions"])


def test_the_cut_length_is_shown_as_a_tape_has_it(tmp_path: Path) -> None:
    spec = buildcheck.read(TAMARACK).changed(bar("4 1/8 in"))
    file = tmp_path / "bar.buildcheck.yaml"
    file.write_text(spec.text, encoding="utf-8")
    text = called("order", file).stdout
    assert "cut     27.373 in (27 3/8 in)" in text
    assert "33.123 in (33 1/8 in) joint to joint, less frame joint 2.875 in and axle joint 2.875 in" in text


def test_how_it_ends(tmp_path: Path) -> None:
    assert called("order", TAMARACK).returncode == 0
    bare = tmp_path / "bare.buildcheck.yaml"
    bare.write_text("format: 1\nunits: metric\n", encoding="utf-8")
    nothing = called("order", bare)
    assert (nothing.returncode, nothing.stderr) == (4, "")
    assert "The spec has no part to cut or to order." in nothing.stdout
    assert json.loads(called("order", bare, "--output", "json").stdout)["exit_status"] == 4
    bad = tmp_path / "bad.buildcheck.yaml"
    bad.write_text("format: 1\nunits: metric\nlinks: 5\n", encoding="utf-8")
    refused = called("order", bad)
    assert (refused.returncode, refused.stdout) == (2, "")
    assert "bad.buildcheck.yaml:3:1" in refused.stderr


def test_it_writes_a_file_and_never_over_a_spec(tmp_path: Path) -> None:
    out = tmp_path / "order.csv"
    assert called("order", TAMARACK, "--output", "csv", "--to", out).returncode == 0
    assert out.read_text(encoding="utf-8").startswith("list,count,kind")
    spec = tmp_path / "a.buildcheck.yaml"
    spec.write_text(TAMARACK.read_text(encoding="utf-8"), encoding="utf-8")
    assert called("order", spec, "--to", spec).returncode == 2
    assert spec.read_text(encoding="utf-8") == TAMARACK.read_text(encoding="utf-8")


def test_what_the_spec_leaves_out_comes_first(tmp_path: Path) -> None:
    file = tmp_path / "front.buildcheck.yaml"
    text = TAMARACK.read_text(encoding="utf-8")
    for grips, said in (
        (0, r"Nothing is missing in \d+ lines"),
        (1, r"1 of \d+ lines lacks something, and says what"),
        (2, r"2 of \d+ lines lack something; each says what"),
    ):
        file.write_text(text, encoding="utf-8")
        for grip in ("2 1/4 in", "1 7/8 in")[:grips]:
            file.write_text(file.read_text(encoding="utf-8").replace(f"grip: {grip}, ", ""), encoding="utf-8")
        head = called("order", file).stdout.partition("TO CUT")[0]
        assert re.search(rf"\n  {said}\.\n", head), grips
