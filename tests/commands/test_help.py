"""The help of every command: a list in the order of use, names explained, and an example that runs."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import click
import pytest
import signed_specs
from click.testing import CliRunner

from buildcheck.build import Stage
from buildcheck.checks.rule import Area
from buildcheck.commands.choice import AREAS, STAGES
from buildcheck.commands.command import cli

EXAMPLES = Path(__file__).parents[2] / "examples"
COMMANDS = ["", *cli.commands]


def help_of(command: str, width: int = 80) -> str:
    result = CliRunner(env={"COLUMNS": str(width)}).invoke(cli, [*command.split(), "--help"], prog_name="buildcheck")
    assert result.exit_code == 0
    return result.output


def options_of(command: str) -> dict[str, str]:
    """The help of each option, by its first name."""
    made = cli.commands[command]
    return {each.opts[0]: each.help or "" for each in made.params if isinstance(each, click.Option)}


@pytest.mark.parametrize("width", [60, 80, 120])
def test_the_list_of_commands_is_in_the_order_of_use_and_cuts_none_short(width: int) -> None:
    told = help_of("", width)
    assert "..." not in told.partition("\nCommands:")[2]
    assert re.findall(r"^  ([a-z-]+) ", told.partition("\nCommands:\n")[2], re.MULTILINE) == [
        *("begin", "inspect", "work-order", "rules", "cycle", "loads", "order", "report", "compare", "measure"),
        *("sheet", "sign", "signed", "schema"),
    ]


def test_the_first_words_say_what_is_checked() -> None:
    first = help_of("").partition("\n\n")[2].lstrip()
    assert first.startswith("Check a truck's solid axle on links")


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("width", [80, 120])
def test_no_line_of_help_is_wider_than_the_terminal(command: str, width: int) -> None:
    assert max(map(len, help_of(command, width).splitlines())) <= width


@pytest.mark.parametrize("command", COMMANDS)
def test_the_example_of_each_help_runs(command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    tmp_path.joinpath("examples").symlink_to(EXAMPLES)
    monkeypatch.chdir(tmp_path)
    if command in ("compare", "measure", "sign", "signed"):
        tmp_path.joinpath("back.buildcheck.yaml").write_text(signed_specs.spec([]), encoding="utf-8")
        tmp_path.joinpath("front.buildcheck.yaml").write_text(signed_specs.spec([]), encoding="utf-8")
    if command == "signed":
        signing = ["sign", "front.buildcheck.yaml", "--stage", "proposal", "--by", "A. Fabricator"]
        assert CliRunner().invoke(cli, signing).exit_code == 0
    (example,) = re.findall(r"^  Example:\n    (buildcheck (?:.*\\\n)*.*)$", help_of(command), re.MULTILINE)
    _, *arguments = shlex.split(example.replace("\\\n", ""))  # a line may go on after a backslash
    assert arguments[0] == (command or "inspect")
    result = CliRunner().invoke(cli, arguments)
    assert (result.exit_code, result.exception) == (0, None)


def test_stages_and_areas_are_explained_where_they_are_asked_for() -> None:
    assert list(STAGES) == [stage.value for stage in Stage]
    assert list(AREAS) == [area.value for area in Area]
    for command in ("inspect", "report"):
        assert all(f"{stage}: {meaning}" in options_of(command)["--stage"] for stage, meaning in STAGES.items())
    for command in ("inspect", "rules"):
        assert all(area in options_of(command)["--area"] for area in AREAS)
    assert "buildcheck rules" in options_of("inspect")["--only"]
