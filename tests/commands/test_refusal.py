"""A spec that is refused: by every command, with all that is wrong, and said to be unreadable only where it is."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from specs_and_rules import FINE, STEEP, collected

from buildcheck.commands.command import cli
from buildcheck.plugins import loading as plugins

# A value that is refused, and two mistakes that the schema finds: one before it, one after.
TRAPPED = STEEP.replace("track: 63", "trak: 63").replace("bump: 4", "bump: 010").replace("droop: 4", "droop: -4")
BROKEN = TRAPPED + "records: [\n"
PLACES = [(4, 27, "vehicle.trak"), (10, 16, "travel.bump"), (10, 21, "travel.droop")]


@pytest.fixture(autouse=True)
def _one_rule(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(plugins, "collect", lambda: collected(FINE))


def call(command: str, text: str, folder: Path, *options: str) -> Result:
    file = folder / "spec.yaml"
    file.write_text(text, encoding="utf-8")
    return CliRunner().invoke(cli, [command, str(file), *options])


def spec_record(text: str, folder: Path) -> dict[str, Any]:
    result = call("inspect", text, folder, "--output", "json")
    told = json.loads(result.output)
    assert (result.exit_code, told["exit_status"]) == (2, 2)
    (spec,) = told["specs"]
    assert isinstance(spec, dict)
    return spec


def test_a_refused_value_makes_a_spec_not_valid_and_all_is_told(tmp_path: Path) -> None:
    spec = spec_record(TRAPPED, tmp_path)
    assert spec["state"] == "not valid"
    told = [(problem["line"], problem["column"], problem["path"]) for problem in spec["problems"]]
    assert told == PLACES


def test_a_refused_value_alone_is_enough(tmp_path: Path) -> None:
    spec = spec_record(STEEP.replace("bump: 4", "bump: 010"), tmp_path)
    assert (spec["state"], [problem["path"] for problem in spec["problems"]]) == ("not valid", ["travel.bump"])


def test_a_broken_structure_makes_it_not_readable_and_the_schema_is_silent(tmp_path: Path) -> None:
    spec = spec_record(BROKEN, tmp_path)
    assert spec["state"] == "not readable"
    assert [problem["line"] for problem in spec["problems"]] == [10, 12]


@pytest.mark.parametrize("command", ["cycle", "loads"])
def test_the_json_of_a_refused_spec_is_that_of_an_inspection(command: str, tmp_path: Path) -> None:
    told, wanted = (
        call(each, TRAPPED, tmp_path, "--output", "json", "--to", str(tmp_path / f"{each}.json"))
        for each in (command, "inspect")
    )
    assert (told.exit_code, wanted.exit_code) == (2, 2)
    found = json.loads((tmp_path / f"{command}.json").read_text(encoding="utf-8"))
    assert found == json.loads((tmp_path / "inspect.json").read_text(encoding="utf-8"))
    assert (found["exit_status"], found["specs"][0]["state"]) == (2, "not valid")
    assert len(found["specs"][0]["problems"]) == 3


@pytest.mark.parametrize("command", ["inspect", "cycle", "loads"])
def test_every_command_refuses_it_with_all_that_is_wrong(command: str, tmp_path: Path) -> None:
    result = call(command, TRAPPED, tmp_path)
    assert result.exit_code == 2
    assert "is not a valid build spec; 3 things to put right in it:" in " ".join(result.output.split())
    for line, column, path in PLACES:
        assert result.output.count(f"spec.yaml:{line}:{column} {path}\n") == 1
    result = call(command, BROKEN, tmp_path)
    assert result.exit_code == 2
    assert "cannot be read; 2 things to put right in it:" in " ".join(result.output.split())
