"""`buildcheck cycle`: what is asked of it, where it writes to, and with which exit status."""

from __future__ import annotations

import csv
import io
import json
import sys
from pathlib import Path
from xml.etree import ElementTree

import click
import pytest
from called import called
from click.testing import CliRunner, Result
from specs_and_rules import EMPTY, NOT_VALID, STEEP, run

from buildcheck.commands import progress
from buildcheck.commands.command import cli
from buildcheck.spec.schema import schema

EXAMPLES = Path(__file__).parents[2] / "examples"
TAMARACK = EXAMPLES / "tamarack" / "proposal.buildcheck.yaml"
AXLE_FREE = """\
format: 1
units: inch-pound
vehicle: {wheelbase: 108, track: 63, tyre: {static_radius: 16.6}}
axle: {position: front, centre: [0, 0, 16.6]}
links:
  lower: {both: {kind: two-point, frame: [-36, 15, 19], axle: [0, 17, 14]}}
travel: {bump: 4, droop: 4, articulation: 8}
"""


def cycle(*arguments: str | Path, stdin: str | None = None) -> Result:
    return CliRunner().invoke(cli, ["cycle", *map(str, arguments)], input=stdin)


def test_a_spec_on_standard_input_is_told_as_one_in_a_file() -> None:
    told = cycle("-", "--steps", "1", "--only", "caster", stdin=TAMARACK.read_text(encoding="utf-8"))
    assert (told.exit_code, told.stderr) == (0, "")
    named = cycle(TAMARACK, "--steps", "1", "--only", "caster").stdout
    assert told.stdout == named.replace(str(TAMARACK), "standard input")


def test_the_heights_are_so_many_steps_on_each_side() -> None:
    for steps in (1, 3):
        rows = list(csv.reader(io.StringIO(cycle(TAMARACK, "--steps", steps, "--output", "csv").stdout)))
        assert len(rows) == 1 + 2 * steps + 1
    for wrong in ("0", "201", "many"):
        assert cycle(TAMARACK, "--steps", wrong).exit_code == 2


@pytest.mark.parametrize("angle", ["-6", "-6 deg", "-0.10471975511965978 rad"])
def test_an_angle_is_read_as_in_a_spec(angle: str) -> None:
    held = json.loads(cycle(TAMARACK, "--roll", angle, "--lock", "10", "--output", "json").stdout)["held"]
    assert (held["roll"]["shown"], held["lock"]["shown"]) == ("-6.00 deg", "10.00 deg")
    assert held["words"] == (
        "rolled 6.00 deg, right side up; steering wheel held where the inner wheel is turned 10.00 deg to the left at "
        "ride height"
    )


@pytest.mark.parametrize(
    ("angle", "sentence"),
    [
        ("6 in", '"in" is a unit of length, not of angle'),
        ("much", "it does not start with a number"),
        ("nan", "it does not start with a number"),
        ("46", "at most 45.00 deg either way"),
        ("-46 deg", "at most 45.00 deg either way"),
    ],
)
def test_what_is_no_angle_is_wrong_usage(angle: str, sentence: str) -> None:
    told = cycle(TAMARACK, "--roll", angle)
    assert (told.exit_code, told.stdout) == (2, "")
    assert sentence in told.stderr


def test_only_takes_groups_and_quantities_and_names_the_nearest() -> None:
    head = cycle(TAMARACK, "--only", "driveshaft", "--only", "Caster", "--output", "csv").stdout.splitlines()[0]
    assert head == (
        "pose,reached,axle-height [in],caster [deg],driveshaft-length [in],output-joint-angle [deg],"
        "pinion-joint-angle [deg],driveshaft-ripple [%]"
    )
    told = cycle(TAMARACK, "--only", "drive shafts")
    assert told.exit_code == 2
    assert 'There is no group or quantity "drive shafts"; did you mean "driveshaft"?' in told.stderr


def test_the_formats() -> None:
    assert ElementTree.fromstring(cycle(TAMARACK, "--output", "svg").stdout).tag == "{http://www.w3.org/2000/svg}svg"
    told = json.loads(cycle(TAMARACK, "--steps", "1", "--output", "json").stdout)
    assert told["exit_status"] == 0
    (length,) = [each for each in told["columns"] if each["name"] == "left-coilover-length"]
    # At ride height by Pythagoras from the spec's points: 1, 2.5 and 27.6 in.
    assert [value["shown"] for value in length["values"]] == ["33.477 in", "27.731 in", "23.103 in"]
    assert [each["name"] for each in told["absent"]] == ["twist-moment"]
    for kind in ("csv", "svg", "json"):
        assert cycle(TAMARACK, "--output", kind, "--meanings").exit_code == 2


@pytest.mark.parametrize("kind", ["text", "csv", "svg"])
def test_a_height_that_cannot_be_reached_is_said_and_is_1(kind: str, tmp_path: Path) -> None:
    far = tmp_path / "far.yaml"
    text = TAMARACK.read_text(encoding="utf-8")
    assert text.count("\n  bump: 5\n") + text.count("bump: 5,") == 1
    far.write_text(text.replace("bump: 5", "bump: 40"), encoding="utf-8")
    told = cycle(far, "--output", kind, "--only", "caster")
    assert told.exit_code == 1
    sentence = (
        "The links do not let the axle reach 2 heights from 32.000 in up to 40.000 in up (full bump), with its roll "
        "held.\n"
    )
    assert told.stderr == ("" if kind == "text" else sentence)
    if kind == "text":
        assert sentence in told.stdout
    if kind == "csv":
        assert told.stdout.splitlines()[-1] == "full bump,no,40.000000000,"
    file = tmp_path / "sheet"
    assert cycle(far, "--output", kind, "--only", "caster", "--to", file).stderr == sentence
    assert file.read_bytes().decode("utf-8").replace("\r\n", "\n") == told.stdout.replace("\r\n", "\n")


def test_links_that_leave_the_axle_free_are_1_with_the_motion() -> None:
    told = cycle("-", stdin=AXLE_FREE)
    assert (told.exit_code, told.stdout) == (1, "")
    assert told.stderr.startswith("CYCLING SHEET: NOT CYCLED\n  spec      standard input, in inch-pound units\n")
    assert "The links do not hold the axle: with heave and roll held, the axle can " in told.stderr


@pytest.mark.parametrize("section", ["travel", "links", "axle"])
def test_a_spec_that_lacks_what_a_cycle_needs_is_4_and_says_what(section: str) -> None:
    kept = [line for line in AXLE_FREE.splitlines() if not line.startswith(f"{section}:")]
    if section == "links":
        kept = [line for line in kept if not line.startswith("  ")]
    told = cycle("-", stdin="\n".join(kept))
    assert (told.exit_code, told.stdout) == (4, "")
    assert f"\n  {section} is not in the spec\n" in told.stderr


def test_where_all_that_is_asked_for_is_absent_it_is_4() -> None:
    told = cycle(EXAMPLES / "four-link-rear.buildcheck.yaml", "--only", "steering")
    assert (told.exit_code, told.stdout) == (4, "")
    assert told.stderr.endswith("  steer, other-wheel-steer: a rear axle without steering has none\n")


def test_what_cannot_be_read_or_is_not_valid_is_2() -> None:
    told = cycle("-", stdin=NOT_VALID)
    assert (told.exit_code, told.stdout) == (2, "")
    assert "The spec is not a valid build spec; 1 thing to put right in it:\n  standard input:3:1 linx\n" in told.stderr
    assert "there is no such file" in cycle(EXAMPLES / "none.yaml").stderr
    assert "this is a folder, not a file" in cycle(EXAMPLES).stderr
    assert cycle("-", stdin=EMPTY).exit_code == 4


def test_to_a_file_and_never_over_the_spec(tmp_path: Path) -> None:
    spec = tmp_path / "one.buildcheck.yaml"
    spec.write_bytes(TAMARACK.read_bytes())
    told = cycle(spec, "--output", "csv", "--to", tmp_path / "table.csv")
    assert (told.exit_code, told.output) == (0, "")
    assert (tmp_path / "table.csv").read_bytes().startswith(b"pose,reached,axle-height [in],")
    assert (tmp_path / "table.csv").read_bytes().count(b"\r\n") == 12
    refused = cycle(spec, "--to", spec)
    assert refused.exit_code == 2
    assert "buildcheck never overwrites a spec" in refused.stderr
    assert spec.read_bytes() == TAMARACK.read_bytes()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["one.buildcheck.yaml", "table.csv"]


def test_in_a_pipe_there_is_no_colour_and_no_bar_and_the_bytes_are_the_same() -> None:
    one, other = (run("cycle", TAMARACK, "--steps", "50", PYTHONHASHSEED=seed) for seed in ("1", "2"))
    assert (one.returncode, one.stderr) == (0, "")
    assert "\x1b" not in one.stdout
    assert one.stdout == other.stdout
    coloured = called("cycle", TAMARACK, FORCE_COLOR="1").stdout
    assert "\x1b[1mCYCLING SHEET\x1b[0m\n" in coloured
    assert "\x1b" not in called("cycle", TAMARACK, FORCE_COLOR="1", NO_COLOR="1").stdout


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("stream", "seconds", "shown"),
    [(Terminal, 0.0, True), (Terminal, 9.0, False), (io.StringIO, 0.0, False)],
)
def test_a_bar_shows_on_a_terminal_once_patience_is_over(
    stream: type[io.StringIO], seconds: float, shown: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    error = stream()
    monkeypatch.setattr(sys, "stderr", error)
    monkeypatch.setattr(progress, "PATIENCE", seconds)
    with progress.progress("cycling", 3) as after_each:
        for _ in range(3):
            after_each()
    told = click.unstyle(error.getvalue())
    assert ("cycling" in told, "100%" in told) == (shown, shown)
    assert shown or told == ""


def test_a_rear_axle_has_the_names_of_a_rear_axle_and_nothing_of_a_steered_one() -> None:
    rear = EXAMPLES / "four-link-rear.buildcheck.yaml"
    told = json.loads(cycle(rear, "--steps", "1", "--output", "json").stdout)
    heads = {column["name"]: column["heading"] for column in told["columns"]}
    assert (heads["anti-dive"], heads["anti-lift"]) == ("braking anti-lift", "anti-squat")
    assert "pinion-up" in heads
    why = {absent["name"]: absent["reason"] for absent in told["absent"]}
    assert {why[name] for name in ("caster", "steer", "other-wheel-steer")} == {"a rear axle without steering has none"}
    alone = cycle(rear, "--steps", "1", "--only", "caster")
    assert (alone.exit_code, "caster: a rear axle without steering has none" in alone.stderr) == (4, True)


def test_the_caster_says_that_roll_does_not_turn_it_and_roll_goes_as_far_as_articulation_may() -> None:
    told = json.loads(cycle(TAMARACK, "--steps", "1", "--only", "caster", "--output", "json").stdout)
    assert "roll does not turn it" in told["columns"][0]["meaning"]
    widest = schema()["$defs"]["travel"]["properties"]["articulation"]["quantity"]["to"]
    assert cycle(TAMARACK, "--steps", "1", "--only", "caster", "--roll", widest).exit_code != 2


@pytest.mark.parametrize("command", ["cycle", "loads"])
def test_the_plugins_that_counted_are_named(command: str, tmp_path: Path) -> None:
    plugin, spec = tmp_path / "shop.py", tmp_path / "spec.buildcheck.yaml"
    plugin.write_text(
        "from buildcheck.api import hook\nBUILDCHECK_INTERFACE = 2\n@hook\ndef buildcheck_rules():\n    return []\n"
    )
    spec.write_text(STEEP)
    called_with = [command, str(spec), "--plugin", str(plugin)]
    text = CliRunner().invoke(cli, called_with).stdout
    [line] = [line for line in text.splitlines() if line.startswith("  plugin ")]
    assert plugin.name in line
    assert "sha256" in line
    told = json.loads(CliRunner().invoke(cli, [*called_with, "--output", "json"]).stdout)["plugins"]
    assert [Path(each["name"]).name for each in told if each["sha256"] and not each["version"]] == [plugin.name]
    assert len(told) > 1  # the built-in rules
