"""`buildcheck inspect`: which specs and rules, where to, and with which exit status."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest
import signed_specs
from called import called
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator
from specs_and_rules import (
    DOUBTFUL,
    EMPTY,
    FAILURE,
    FINE,
    LATE,
    NOT_VALID,
    STEEP,
    WRONG,
    breaks,
    collected,
    needs_track,
)

from buildcheck.build import Stage
from buildcheck.checks import inspection
from buildcheck.commands import output
from buildcheck.commands.command import cli
from buildcheck.plugins import loading as plugins
from buildcheck.plugins.loading import Collected
from buildcheck.spec.schema import schema


@pytest.fixture
def spec(tmp_path: Path) -> Path:
    file = tmp_path / "one.buildcheck.yaml"
    file.write_text(EMPTY, encoding="utf-8")
    return file


@pytest.fixture
def offer(monkeypatch: pytest.MonkeyPatch) -> Any:
    def offered(*rules: Any, **failures: Any) -> None:
        found: Collected = collected(*rules, **failures)
        monkeypatch.setattr(plugins, "collect", lambda: found)

    offered(FINE, DOUBTFUL, WRONG)
    return offered


def inspect(*arguments: str | Path, stdin: str | None = None) -> Result:
    return CliRunner().invoke(cli, ["inspect", *map(str, arguments)], input=stdin)


@pytest.mark.parametrize(
    ("rules", "failures", "status"),
    [
        ((FINE, DOUBTFUL, needs_track), (), 0),
        ((FINE, WRONG), (), 1),
        ((WRONG, breaks), (), 3),
        ((WRONG,), (FAILURE,), 3),
        ((needs_track,), (), 4),
        ((), (), 4),
    ],
)
def test_the_exit_status(offer: Any, spec: Path, rules: Any, failures: Any, status: int) -> None:
    offer(*rules, failures=failures)
    assert inspect(spec).exit_code == status
    assert inspect(spec, "--quiet").exit_code == status
    result = inspect(spec, "--output", "json")
    assert (result.exit_code, json.loads(result.output)["exit_status"]) == (status, status)


@pytest.mark.parametrize(
    ("rules", "failures", "stage", "status"),
    [
        ((FINE,), (), "proposal", 0),
        ((FINE,), (), "teardown", 5),
        ((FINE, DOUBTFUL), (), "proposal", 5),
        ((FINE, WRONG), (), "proposal", 5),
        ((FINE, needs_track), (), "proposal", 5),
        ((needs_track,), (), "proposal", 5),
        ((), (), "proposal", 5),
        ((FINE, breaks), (), "proposal", 3),
        ((FINE,), (FAILURE,), "proposal", 3),
    ],
)
def test_a_hold_point_that_cannot_be_signed_off_is_5(
    offer: Any, spec: Path, rules: Any, failures: Any, stage: str, status: int
) -> None:
    offer(*rules, failures=failures)
    told = inspect(spec, "--hold-point", stage, "--output", "json")
    assert (told.exit_code, inspect(spec, "--hold-point", stage).exit_code) == (status, status)
    assert inspect(spec, "--hold-point", stage, "--quiet").exit_code == status
    found = json.loads(told.output)
    assert [*Draft202012Validator(schema("readings.schema.json")).iter_errors(found)] == []
    point = found["specs"][0]["hold_point"]
    assert (found["exit_status"], point["stage"], point["asked"]) == (status, stage, True)
    assert point["can_be_signed_off"] is (not point["blocking"])
    assert point["can_be_signed_off"] or status in (3, 5)


def test_it_says_what_blocks_it(offer: Any, spec: Path) -> None:
    offer(FINE, WRONG, needs_track)
    blocking = [
        "1 reading not checked",
        "1 error, neither fixed nor waived",
        "no baseline is in the spec (records.baseline)",
    ]
    text = inspect(spec, "--hold-point", "teardown").output
    head, _, rest = text.partition("HOLD POINT\n")
    assert "  1 reading not checked, 1 item to put right, 0 to look at; 1 reading within limits.\n" in head
    assert "  stage     teardown\n" in head
    assert rest.startswith(
        "  teardown cannot be signed off yet: the baseline, before anything is cut\n"
        + "".join(f"  blocked   {sentence}\n" for sentence in blocking)
        + "  recorded  1 reading within limits\n  A stage can be signed off when every rule"
    )
    assert "It is not an approval.\n" in rest
    lines = inspect(spec, "--hold-point", "teardown", "--quiet").output.splitlines()
    assert [line for line in lines if line.startswith("BLOCKED")] == [
        f"BLOCKED  teardown cannot be signed off yet: {sentence}; {spec}" for sentence in blocking
    ]
    told = json.loads(inspect(spec, "--stage", "teardown", "--output", "json").output)
    point = told["specs"][0]["hold_point"]
    assert (told["exit_status"], point["asked"], point["blocking"]) == (1, False, blocking)


def test_an_inspection_of_some_rules_signs_off_nothing(offer: Any, spec: Path) -> None:
    offer(FINE, WRONG)
    for option in (("--only", "fine"), ("--area", "safety")):
        assert inspect(spec, *option).exit_code == 0
        result = inspect(spec, *option, "--hold-point", "proposal", "--quiet")
        assert result.exit_code == 5
        assert "only some of the rules were applied (--only, --area)" in result.output


def test_what_can_be_signed_off_says_so_and_blocks_nothing(offer: Any, spec: Path) -> None:
    offer(FINE)
    assert "\nHOLD POINT\n  proposal can be signed off: the plan, before" in (
        inspect(spec, "--hold-point", "proposal").output
    )
    assert inspect(spec, "--hold-point", "proposal", "--quiet").output == ""
    assert "HOLD POINT" not in inspect(spec).output


@pytest.mark.usefixtures("offer")
def test_a_stage_and_a_hold_point_are_wrong_usage(spec: Path) -> None:
    result = inspect(spec, "--hold-point", "tacked", "--stage", "tacked")
    assert result.exit_code == 2
    assert "--hold-point STAGE inspects as at that stage; leave out --stage" in result.output


@pytest.mark.usefixtures("exact")
def test_every_built_in_rule_and_whole_records_can_be_signed_off(tmp_path: Path) -> None:
    file = tmp_path / "whole.buildcheck.yaml"
    file.write_text(signed_specs.spec(signed_specs.entries(Stage.TACKED, Stage.CYCLED)), encoding="utf-8")
    result = inspect(file, "--hold-point", "cycled", "--output", "json")
    point = json.loads(result.output)["specs"][0]["hold_point"]
    assert (point["blocking"], result.exit_code) == ([], 0)
    assert inspect(file, "--hold-point", "final-weld").exit_code == 5


@pytest.mark.usefixtures("offer")
def test_what_cannot_be_read_or_is_not_valid_is_2_and_the_others_are_inspected(spec: Path, tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text(NOT_VALID, encoding="utf-8")
    result = inspect(bad, tmp_path / "none.yaml", spec)
    assert result.exit_code == 2
    refused = result.output.partition(f"  {bad}:3:1 linx\n    ")[2].splitlines()[0]
    assert '"linx"' in refused
    assert '"links"' in refused
    assert "none.yaml:1:1\n    there is no such file\n" in result.output
    assert "[ ] 2  WARNING  whole build: it is so\n" in result.output
    assert "  3 specs: 1 inspected, 1 of them with something to put right; 2 not inspected.\n" in result.output


@pytest.mark.usefixtures("offer")
def test_a_folder_is_every_spec_below_it_sorted_and_none_twice(tmp_path: Path) -> None:
    names = ["b.buildcheck.yaml", "a/z.buildcheck.yaml", "a/a.buildcheck.yaml", "other.yaml"]
    for name in names:
        file = tmp_path / name
        file.parent.mkdir(exist_ok=True)
        file.write_text(EMPTY, encoding="utf-8")
    told = json.loads(inspect(tmp_path / "b.buildcheck.yaml", tmp_path, "--output", "json").output)
    files = [Path(each["file"]).relative_to(tmp_path).as_posix() for each in told["specs"]]
    assert files == ["b.buildcheck.yaml", "a/a.buildcheck.yaml", "a/z.buildcheck.yaml"]


@pytest.mark.usefixtures("offer")
def test_a_folder_without_a_spec_is_wrong_usage(tmp_path: Path) -> None:
    result = inspect(tmp_path)
    assert result.exit_code == 2
    assert f"No spec found: the folder {tmp_path} holds no file whose name ends in .buildcheck.yaml" in result.output


@pytest.mark.usefixtures("offer")
def test_standard_input_has_a_name() -> None:
    result = inspect("-", stdin=EMPTY)
    assert result.exit_code == 1
    assert "  spec      standard input, in inch-pound units\n" in result.output
    assert "in spec  standard input:2:1 units\n" in result.output


@pytest.mark.parametrize(
    ("arguments", "applied"),
    [
        ([], ["doubtful", "fine", "wrong"]),
        (["--only", "fine"], ["fine"]),
        (["--only", "fine", "--only", "wrong"], ["fine", "wrong"]),
        (["--area", "welds", "--area", "lateral-bar-and-steering"], ["doubtful", "wrong"]),
        (["--area", "safety", "--only", "fine", "--only", "wrong"], ["fine"]),
        (["--area", "links"], []),
    ],
)
@pytest.mark.usefixtures("offer")
def test_rules_by_name_and_by_area(spec: Path, arguments: list[str], applied: list[str]) -> None:
    told = json.loads(inspect(spec, "--output", "json", *arguments).output)
    assert sorted(reading["rule"] for reading in told["specs"][0]["readings"]) == applied
    assert (told["exit_status"] == 4) == (not applied)
    assert ("Nothing was checked: no rule was applied." in inspect(spec, *arguments).output) == (not applied)


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["--only", "doubtfull"], 'There is no rule "doubtfull"; did you mean "doubtful"?'),
        (["--only", "qqq"], 'There is no rule "qqq"; there are fine, doubtful, wrong'),
        (["--area", "weld"], 'There is no area "weld"; did you mean "welds"?'),
        (["--area", "lateral bar"], 'here it is called "lateral bar and steering"'),
        (["--quiet", "--all"], "--quiet and --all ask for opposite things"),
        (["--output", "json", "--quiet"], "JSON always holds everything"),
        (
            ["--stage", "done"],
            "'done' is not one of 'proposal', 'teardown', 'tacked', 'cycled', 'final-weld'",
        ),
    ],
)
@pytest.mark.usefixtures("offer")
def test_wrong_usage_is_2_and_says_what_was_meant(spec: Path, arguments: list[str], sentence: str) -> None:
    result = inspect(spec, *arguments)
    assert result.exit_code == 2
    assert sentence in " ".join(result.output.split())


def test_a_rule_of_a_later_stage_is_told_and_applied_when_asked_for(offer: Any, spec: Path) -> None:
    offer(FINE, LATE)
    assert "--all also lists 1 reading within limits and 1 rule of later stages.\n" in inspect(spec).output
    result = inspect(spec, "--all")
    assert result.exit_code == 0
    assert "LEFT FOR LATER STAGES\n  from cycled on: late\n" in result.output
    result = inspect(spec, "--stage", "cycled")
    assert result.exit_code == 1
    assert "LATER" not in result.output


@pytest.mark.usefixtures("offer")
def test_quiet_is_a_line_for_each_error_and_warning_and_all_is_every_number(spec: Path) -> None:
    assert inspect(spec, "--quiet", "--only", "fine").output == ""
    told = inspect(spec, "--quiet").output.splitlines()
    assert [line.split()[0] for line in told] == ["ERROR", "WARNING"]
    assert "whole build: a look; " not in inspect(spec).output
    assert f"whole build: a look; {spec}:2:1 units\n" in inspect(spec, "--all").output


@pytest.mark.usefixtures("offer")
def test_to_a_file_writes_all_of_it_and_nothing_on_the_screen(spec: Path, tmp_path: Path) -> None:
    file = tmp_path / "record.txt"
    file.write_text("an older record", encoding="utf-8")
    expected = inspect(spec)
    result = inspect(spec, "--to", file)
    assert (result.exit_code, result.output) == (expected.exit_code, "")
    assert file.read_text(encoding="utf-8") == expected.output
    assert sorted(path.name for path in tmp_path.iterdir()) == ["one.buildcheck.yaml", "record.txt"]


@pytest.mark.usefixtures("offer")
def test_to_a_file_leaves_no_half_of_it(spec: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_room(*_: object) -> None:
        raise OSError(28, "No space left on device")

    file = tmp_path / "record.txt"
    file.write_text("an older record", encoding="utf-8")
    monkeypatch.setattr(Path, "replace", no_room)
    result = inspect(spec, "--to", file)
    assert result.exit_code == 2
    assert "record.txt cannot be written: no space left on device" in result.output
    assert file.read_text(encoding="utf-8") == "an older record"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["one.buildcheck.yaml", "record.txt"]


@pytest.mark.usefixtures("offer")
@pytest.mark.parametrize("stop", [OSError(28, "No space left on device"), KeyboardInterrupt()])
def test_a_file_beside_that_is_stopped_as_it_is_made_is_not_left(
    spec: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, stop: BaseException
) -> None:
    def made_and_stopped(path: str, flags: int) -> int:
        os.close(os.open(path, flags, 0o600))
        raise stop

    monkeypatch.setattr(output, "_for_its_owner", made_and_stopped)
    result = inspect(spec, "--to", tmp_path / "record.txt")
    assert result.exit_code == (2 if isinstance(stop, OSError) else 1)  # the runner's own status for Ctrl-C
    assert "Traceback" not in result.output
    assert [path.name for path in tmp_path.iterdir()] == ["one.buildcheck.yaml"]


@pytest.mark.usefixtures("offer")
def test_a_spec_is_never_written_over(spec: Path, tmp_path: Path) -> None:
    link = tmp_path / "link.yaml"
    os.link(spec, link)
    for file in (spec, tmp_path / "sub" / ".." / spec.name, link):
        (tmp_path / "sub").mkdir(exist_ok=True)
        result = inspect(spec, "--to", file)
        assert result.exit_code == 2
        assert "buildcheck never overwrites a spec" in " ".join(result.output.split())
    assert inspect(spec, "--to", tmp_path).exit_code == 2
    assert spec.read_text(encoding="utf-8") == EMPTY


def test_the_built_in_rules_find_a_steep_link(tmp_path: Path) -> None:
    spec = tmp_path / "steep.buildcheck.yaml"
    spec.write_text(STEEP, encoding="utf-8")
    told = json.loads(inspect(spec, "--only", "link-flatness", "--output", "json").output)
    found = [
        (reading["subject"], reading["verdict"], reading["value"]["shown"], reading["place"]["line"])
        for reading in told["specs"][0]["readings"]
        if reading["quantity"] == "upper-slope-at-ride"
    ]
    # atan(15 / sqrt(30^2 + 2^2)) or atan(15 / 30): the slope in the side view is the latter, 26.57 deg.
    assert ("left upper link", "warning", "26.57 deg", 7) in found
    assert told["exit_status"] == 1


@pytest.mark.usefixtures("offer")
@pytest.mark.parametrize("name", ["", "-", "."])
def test_to_no_name_is_refused(spec: Path, name: str) -> None:
    result = inspect(spec, "--to", name)
    assert result.exit_code == 2
    assert "leave it out to write to standard output" in " ".join(result.output.split())


@pytest.mark.usefixtures("offer")
@pytest.mark.parametrize("kind", ["pipe", "link to a pipe"])
def test_to_a_pipe_is_refused_and_leaves_it_a_pipe(spec: Path, tmp_path: Path, kind: str) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    target = pipe
    if kind == "link to a pipe":
        target = tmp_path / "link"
        target.symlink_to(pipe)
    result = inspect(spec, "--to", target)
    assert result.exit_code == 2
    assert "is a device or a pipe" in result.output
    assert pipe.is_fifo()


@pytest.mark.usefixtures("offer")
def test_to_a_link_writes_the_file_that_it_names(spec: Path, tmp_path: Path) -> None:
    record, link = tmp_path / "record.txt", tmp_path / "link.txt"
    record.write_text("an older record", encoding="utf-8")
    link.symlink_to(record)
    assert inspect(spec, "--to", link).exit_code in (0, 1)
    assert link.is_symlink()
    assert record.read_text(encoding="utf-8").startswith("INSPECTION RECORD")


@pytest.mark.usefixtures("offer")
def test_to_a_name_of_a_spec_is_refused(spec: Path, tmp_path: Path) -> None:
    other, link = tmp_path / "other.buildcheck.yaml", tmp_path / "link.buildcheck.yaml"
    link.symlink_to(tmp_path / "record.txt")
    for file in (other, link):
        result = inspect(spec, "--to", file)
        assert result.exit_code == 2
        assert "has the name of a spec" in " ".join(result.output.split())
        assert not file.exists()


@pytest.mark.usefixtures("offer")
def test_to_a_link_that_leads_nowhere_or_round_in_a_circle(spec: Path, tmp_path: Path) -> None:
    record, link, circle = (tmp_path / name for name in ("record.txt", "link.txt", "circle.txt"))
    link.symlink_to(record)
    assert inspect(spec, "--to", link).exit_code == 1
    assert (link.is_symlink(), record.is_file()) == (True, True)
    circle.symlink_to(circle)
    result = inspect(spec, "--to", circle)
    assert result.exit_code == 2
    assert "cannot be written: too many levels of symbolic links" in " ".join(result.output.split())
    assert circle.is_symlink()


@pytest.mark.usefixtures("offer")
def test_to_a_name_as_long_as_names_may_be(spec: Path, tmp_path: Path) -> None:
    file = tmp_path / ("y" * 255)
    assert inspect(spec, "--to", file).exit_code == 1
    assert file.is_file()


@pytest.mark.usefixtures("offer")
def test_a_pipe_is_no_spec(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.buildcheck.yaml"
    os.mkfifo(pipe)
    result = inspect(pipe)
    assert result.exit_code == 2
    assert "this is a device or a pipe, not a file" in result.output


@pytest.mark.usefixtures("offer")
def test_a_file_is_inspected_once_by_whatever_name(spec: Path, tmp_path: Path) -> None:
    link = tmp_path / "again.buildcheck.yaml"
    link.symlink_to(spec)
    result = inspect(spec, link)
    assert result.output.count("INSPECTION RECORD") == 1


@pytest.mark.usefixtures("offer")
def test_names_from_the_command_line_are_made_safe_to_print(spec: Path) -> None:
    result = inspect(spec, "--only", "link\nflat\x1b[31m")
    assert result.exit_code == 2
    assert "\x1b" not in result.output
    assert "link\\nflat\\x1b[31m" in result.output


def test_a_name_too_long_is_the_machines_refusal_and_no_fault_of_ours(tmp_path: Path) -> None:
    for arguments in (["inspect", "x" * 300], ["inspect", "-", "--to", str(tmp_path / ("y" * 300))]):
        run = called(*arguments, stdin="format: 1\n")
        assert run.returncode == 2
        assert "buildcheck itself" not in run.stderr
        assert "Traceback" not in run.stderr


@pytest.mark.usefixtures("offer")
@pytest.mark.parametrize("command", ["inspect", "cycle", "loads"])
def test_an_empty_name_is_refused(command: str) -> None:
    result = CliRunner().invoke(cli, [command, ""])
    assert result.exit_code == 2
    assert "A spec needs a name; this one is empty" in result.output


@pytest.mark.usefixtures("offer")
def test_a_folder_that_may_not_be_read_is_told(spec: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    below = spec.parent / "below"
    below.mkdir()
    scan = os.scandir

    def refusing(folder: str) -> Any:  # permissions do not stop the superuser, who may run the tests
        if Path(folder) == below:
            raise PermissionError(13, "Permission denied", str(folder))
        return scan(folder)

    monkeypatch.setattr(os, "scandir", refusing)
    result = inspect(spec.parent)
    assert result.exit_code == 2
    assert f"{below}:1:1" in " ".join(result.output.split())


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["inspect", "SPEC", "--only", "theirs"], 'There is no rule "theirs"'),
        (["inspect", "SPEC", "--output", "theirs"], 'There is no output format "theirs"'),
        (["rules", "theirs"], 'There is no rule "theirs"'),
        (["cycle", "SPEC", "--only", "theirs"], 'There is no group or quantity "theirs"'),
        (["loads", ""], "A spec needs a name; this one is empty"),
    ],
)
def test_a_plugin_that_failed_goes_before_a_name_that_may_be_its_own(
    offer: Any, spec: Path, arguments: list[str], sentence: str
) -> None:
    call = [str(spec) if argument == "SPEC" else argument for argument in arguments]
    offer(FINE)
    assert CliRunner().invoke(cli, call).exit_code == 2
    offer(FINE, failures=(FAILURE,))
    result = CliRunner().invoke(cli, call)
    assert (result.exit_code, result.stdout) == (3, "")
    told, wrong = result.stderr.splitlines()
    assert told == "The plugin shop-rules failed: it implements no hook of buildcheck"
    assert wrong.startswith(sentence)


def test_a_plugin_that_failed_goes_before_a_standard_that_names_its_rule(offer: Any, spec: Path) -> None:
    standard = spec.parent / "ours.yaml"
    standard.write_text(
        "format: 1\nunits: metric\nshop: j\nswitched_off: [{rule: theirs, reason: b}]\n", encoding="utf-8"
    )
    offer(FINE)
    assert inspect(spec, "--standard", standard).exit_code == 2
    offer(FINE, failures=(FAILURE,))
    result = inspect(spec, "--standard", standard)
    assert result.exit_code == 3
    assert "The plugin shop-rules failed: it implements no hook of buildcheck\n" in result.stderr


def test_what_plugins_print_is_no_part_of_the_record(spec: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def loud_check(*_: Any, **__: Any) -> Any:
        print("a rule runs")
        return quiet_check(*_, **__)

    def loud_collect() -> Collected:
        print("a plugin loads")
        return collected(FINE)

    quiet_check = inspection.inspect
    monkeypatch.setattr(inspection, "inspect", loud_check)
    monkeypatch.setattr(plugins, "collect", loud_collect)
    result = inspect(spec, "--output", "json")
    assert json.loads(result.stdout)["exit_status"] == 0
    assert result.stderr == "a plugin loads\na rule runs\n"
    listed = CliRunner().invoke(cli, ["rules", "--output", "json"])
    assert [rule["name"] for rule in json.loads(listed.stdout)["rules"]] == ["fine"]
    assert listed.stderr == "a plugin loads\n"
