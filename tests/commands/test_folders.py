"""Folders of specs, standard input that stands for a file, and the files that a command leaves behind."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import platformdirs
import pytest
from click.testing import CliRunner, Result
from specs_and_rules import FINE, STEEP, collected, needs_track

from buildcheck.commands.command import cli
from buildcheck.commands.output import CannotWrite, write_to_file
from buildcheck.commands.plugged import kept_clear
from buildcheck.plugins import loading as plugins

STANDARD = "format: 1\nunits: inch-pound\nshop: %s\n"


@pytest.fixture(autouse=True)
def _two_rules(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(plugins, "collect", lambda: collected(FINE, needs_track))
    monkeypatch.setattr(platformdirs, "user_config_path", lambda *_, **__: tmp_path / "config")


@pytest.fixture
def job(tmp_path: Path) -> Path:
    folder = tmp_path / "job"
    (folder / "deep").mkdir(parents=True)
    for name in ("a.buildcheck.yaml", "deep/b.buildcheck.yaml"):
        (folder / name).write_text(STEEP, encoding="utf-8")
    return folder


def call(*arguments: str | Path, stdin: str | None = None) -> Result:
    return CliRunner().invoke(cli, [*map(str, arguments)], input=stdin)


def inspected(result: Result) -> list[tuple[str, str]]:
    return [(Path(each["file"]).name, each["state"]) for each in json.loads(result.stdout)["specs"]]


BOTH = [("a.buildcheck.yaml", "inspected"), ("b.buildcheck.yaml", "inspected")]


def test_every_spec_below_a_folder_is_inspected_and_nothing_else_is_said(job: Path) -> None:
    (job / "notes.yml").write_text("", encoding="utf-8")
    result = call("inspect", job, "--output", "json")
    assert inspected(result) == BOTH
    assert result.stderr == ""


@pytest.mark.parametrize("name", ["c.buildcheck.yml", "c.BUILDCHECK.yaml", "c.buildcheck.YAML", "c.Buildcheck.YML"])
def test_a_file_with_nearly_the_name_of_a_spec_is_named(job: Path, name: str) -> None:
    (job / name).write_text(STEEP, encoding="utf-8")
    result = call("inspect", job, "--output", "json")
    assert inspected(result) == BOTH
    assert result.stderr == (f"Not inspected: {job / name}: the name of a spec ends in .buildcheck.yaml; rename it\n")


def test_a_linked_folder_is_named_and_not_followed(job: Path, tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    (job / "linked").symlink_to(tmp_path / "elsewhere")
    (job / "round").symlink_to(job)
    result = call("inspect", job, "--output", "json")
    assert inspected(result) == BOTH
    why = "it is a link to a folder; name it to inspect what it holds"
    assert result.stderr == "".join(f"Not inspected: {job / name}: {why}\n" for name in ("linked", "round"))


def test_a_folder_that_cannot_be_read_is_refused_and_the_rest_is_inspected(
    job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    scan = os.scandir

    def shut(path: str) -> object:
        if Path(path).name == "deep":
            raise PermissionError(13, "Permission denied", path)
        return scan(path)

    monkeypatch.setattr(os, "scandir", shut)
    result = call("inspect", job, "--output", "json")
    assert inspected(result) == [("a.buildcheck.yaml", "inspected"), ("deep", "not readable")]
    assert result.exit_code == 2


# Standard input.


def test_standard_input_may_stand_for_a_file_and_takes_its_name_and_its_standard(job: Path) -> None:
    (job / "shop.standard.yaml").write_text(STANDARD % "the job", encoding="utf-8")
    plain = json.loads(call("inspect", "-", "--output", "json", stdin=STEEP).stdout)["specs"][0]
    assert (plain["file"], plain["standard"]) == ("standard input", None)
    named = job / "new.buildcheck.yaml"
    found = json.loads(call("inspect", "-", "--as", named, "--output", "json", stdin=STEEP).stdout)["specs"][0]
    assert (found["file"], found["standard"]["shop"]) == (str(named), "the job")
    refused = json.loads(call("inspect", "-", "--as", named, "--output", "json", stdin="linx: 1\n").stdout)["specs"][0]
    assert (refused["file"], refused["state"]) == (str(named), "not valid")


def test_a_name_for_standard_input_needs_standard_input(job: Path) -> None:
    result = call("inspect", job, "--as", "x.buildcheck.yaml")
    assert result.exit_code == 2
    assert "--as names what standard input stands for; give - as a spec" in result.output


# Files.


def test_an_interruption_leaves_no_file_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Path, "replace", stopped)
    with pytest.raises(KeyboardInterrupt):
        write_to_file("text", tmp_path / "record.txt")
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_leaves_no_file_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(CannotWrite, match="no space left on device"):
        write_to_file(b"%PDF", tmp_path / "record.pdf")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(("mask", "mode"), [(0o022, 0o644), (0o077, 0o600)])
@pytest.mark.parametrize("content", ["text", b"%PDF"])
def test_a_new_file_has_the_mode_that_the_umask_leaves(
    tmp_path: Path, mask: int, mode: int, content: str | bytes
) -> None:
    before = os.umask(mask)
    try:
        write_to_file(content, tmp_path / "new")
    finally:
        os.umask(before)
    assert (tmp_path / "new").stat().st_mode & 0o777 == mode


# What plugins print.


def test_what_another_program_prints_goes_to_standard_error() -> None:
    code = (
        "import os, subprocess, sys\n"
        "from buildcheck.commands.plugged import kept_clear\n"
        "print('before')\n"
        "with kept_clear():\n"
        "    print('printed')\n"
        "    os.write(1, b'written\\n')\n"
        "    subprocess.run([sys.executable, '-c', 'print(\"run\")'], check=True)\n"
        "print('after')\n"
    )
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ended.stdout == "before\nafter\n"
    assert sorted(ended.stderr.split()) == ["printed", "run", "written"]


def test_a_closed_standard_output_is_no_failure() -> None:
    code = (
        "import os\nfrom buildcheck.commands.plugged import kept_clear\nos.close(1)\n"
        "with kept_clear():\n    print('printed')\n"
    )
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert ended.stderr == "printed\n"


def test_an_exception_passes_through() -> None:
    with pytest.raises(ZeroDivisionError), kept_clear():
        raise ZeroDivisionError
