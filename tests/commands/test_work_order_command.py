"""`buildcheck work-order`: what it lists is what the library finds, and the revised spec is the spec with it done."""

import csv
import io
import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator

import buildcheck
from buildcheck.commands.command import cli
from buildcheck.spec.schema import schema

EXAMPLES = Path(__file__).parents[2] / "examples"
TEXT = EXAMPLES.joinpath("minimal.buildcheck.yaml").read_text(encoding="utf-8")
HIGH, ACROSS = "frame: [-39, 15, 26]", "axle: [5.5, 16.5, 19.9]"
PATHS = {"links.arm.both.frame.z", "lateral_bar.frame.y"}


def run(*arguments: str) -> Result:
    return CliRunner().invoke(cli, ["work-order", *arguments], standalone_mode=False)


@pytest.fixture
def spec(tmp_path: Path) -> Path:
    """The smallest example with two faults: arms that are far from level, and a bar with both ends on one side."""
    text = TEXT.replace("frame: [-39, 15, 19]", HIGH, 1).replace("axle: [5.5, -16.5, 19.9]", ACROSS, 1)
    assert HIGH in text
    assert ACROSS in text
    file = tmp_path / "truck.buildcheck.yaml"
    file.write_text(text, encoding="utf-8")
    return file


def test_every_format_has_the_lines_of_the_library(spec: Path) -> None:
    order = buildcheck.work_order(buildcheck.read(spec))
    assert {change.path for line in order.lines for change in line.changes} == PATHS
    text, table, data = (run(str(spec), "--output", kind) for kind in ("text", "csv", "json"))
    assert [result.return_value for result in (text, table, data)] == [0, 0, 0]
    for number, sentence in enumerate(order.sentences, start=1):
        assert f"[ ] {number}  {sentence}" in text.stdout.splitlines()
    rows = list(csv.DictReader(io.StringIO(table.stdout)))
    assert [(row["line"], row["path"]) for row in rows] == [
        (str(line.number), change.path) for line in order.lines for change in line.changes
    ]
    record = json.loads(data.stdout, parse_constant=pytest.fail)
    assert [e.message for e in Draft202012Validator(schema("work-order.schema.json")).iter_errors(record)] == []
    written = {each["place"]["path"]: each["write"] for line in record["lines"] for each in line["changes"]}
    assert written == order.changes()
    assert record["remains"] == []


def test_the_revised_spec_has_every_other_byte_and_no_error(spec: Path, tmp_path: Path) -> None:
    revised = tmp_path / "revised.buildcheck.yaml"
    assert run(str(spec), "--revised", str(revised)).return_value == 0
    old, new = (file.read_text(encoding="utf-8").splitlines() for file in (spec, revised))
    order = buildcheck.work_order(buildcheck.read(spec))
    lines = {buildcheck.read(spec).position(change.path).line for line in order.lines for change in line.changes}
    assert {number for number, (one, other) in enumerate(zip(old, new, strict=True), start=1) if one != other} == lines
    assert buildcheck.inspect(buildcheck.read(revised), changes=False).errors == ()
    assert buildcheck.work_order(buildcheck.read(revised)).lines == ()
    assert buildcheck.read(revised) == order.revised()


def test_some_lines_leave_the_errors_of_the_others(spec: Path, tmp_path: Path) -> None:
    revised = tmp_path / "revised.buildcheck.yaml"
    order = buildcheck.work_order(buildcheck.read(spec))
    result = run(str(spec), "--revised", str(revised), "--accept", "1")
    assert result.return_value == 1
    assert buildcheck.read(revised) == order.revised([1])
    left = {(each.rule, each.limit) for each in buildcheck.inspect(buildcheck.read(revised), changes=False).errors}
    assert left == {(each.rule, each.quantity) for each in order.lines[1].mends if each.verdict == "error"}


def test_what_is_kept_is_not_changed(spec: Path) -> None:
    order = buildcheck.work_order(buildcheck.read(spec), keep=["lateral_bar.frame"])
    assert not any(change.path.startswith("lateral_bar.frame") for line in order.lines for change in line.changes)
    kept = run(str(spec), "--keep", "lateral_bar.frame", "--output", "json")
    paths = [each["place"]["path"] for line in json.loads(kept.stdout)["lines"] for each in line["changes"]]
    assert paths == [change.path for line in order.lines for change in line.changes]


def test_what_was_measured_is_not_moved(spec: Path) -> None:
    read = buildcheck.read(spec)
    moved = {change.path for line in buildcheck.work_order(read).lines for change in line.changes}
    path = next(iter(sorted(moved)))
    measured = read.changed({"records": {"measured": [{"of": path, "value": read.build.value(path)}]}})
    again = {change.path for line in buildcheck.work_order(measured).lines for change in line.changes}
    assert path not in again


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["--revised", "{spec}"], "is the spec itself; --revised writes a copy"),
        (["--revised", "{there}"], "is there already; --overwrite replaces it"),
        (["--accept", "1"], "--accept and --overwrite go with --revised FILE"),
        (["--keep", "links.nothing"], "--keep links.nothing is not in the spec; write a path as the record gives it"),
        (["--revised", "{new}", "--accept", "9"], "--accept 9: the work order has no line 9; its lines are 1 to"),
    ],
)
def test_wrong_usage_is_one_sentence_and_writes_nothing(
    arguments: list[str], sentence: str, spec: Path, tmp_path: Path
) -> None:
    there, new = tmp_path / "there.yaml", tmp_path / "new.yaml"
    there.write_text("as it was", encoding="utf-8")
    named = [each.format(spec=spec, there=there, new=new) for each in arguments]
    before = spec.read_bytes()
    result = CliRunner().invoke(cli, ["work-order", str(spec), *named])
    assert result.exit_code == 2
    assert sentence in result.output.replace("\n", " ")
    assert (spec.read_bytes(), there.read_text(encoding="utf-8"), new.exists()) == (before, "as it was", False)


def test_a_file_that_is_there_is_replaced_where_that_is_asked_for(spec: Path, tmp_path: Path) -> None:
    there = tmp_path / "there.buildcheck.yaml"
    there.write_text("as it was", encoding="utf-8")
    assert run(str(spec), "--revised", str(there), "--overwrite").return_value == 0
    assert buildcheck.inspect(buildcheck.read(there), changes=False).errors == ()


def test_a_spec_that_is_not_valid_has_no_work_order(tmp_path: Path) -> None:
    file = tmp_path / "truck.buildcheck.yaml"
    file.write_text(TEXT.replace("static_radius: 16", "static_radius: long"), encoding="utf-8")
    result = run(str(file))
    assert result.return_value == 2
    assert result.stdout == ""
    assert "WORK ORDER: NOT MADE" in result.stderr


def test_the_same_spec_gives_the_same_bytes(spec: Path) -> None:
    first, second = run(str(spec)), run(str(spec))
    assert first.stdout == second.stdout


def test_a_search_that_is_stopped_shows_its_list_and_says_that_it_is_not_proven(
    spec: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tried = json.loads(run(str(spec), "--output", "json").stdout)["tried"]

    @contextmanager
    def stopped_late(label: str) -> Iterator[Callable[[int], None]]:
        def after_each(looks: int) -> None:
            if looks == tried - 1:
                raise KeyboardInterrupt

        yield after_each

    monkeypatch.setattr("buildcheck.commands.work_order.counting", stopped_late)
    revised = tmp_path / "revised.buildcheck.yaml"
    data = run(str(spec), "--output", "json", "--revised", str(revised))
    record = json.loads(data.stdout)
    assert data.return_value == record["exit_status"] == 130
    assert {each["place"]["path"] for line in record["lines"] for each in line["changes"]} == PATHS
    assert (record["proven"], record["finished"]) == (False, False)
    assert not revised.exists()
    assert "The search was stopped" in run(str(spec)).stdout
