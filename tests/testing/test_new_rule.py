"""`buildcheck rules --new`: what it writes runs and passes as it is written, and it writes over nothing."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from buildcheck.api import between
from buildcheck.commands.command import cli
from buildcheck.testing import check_samples, rules_in
from buildcheck.testing.whole_rule import check_bounds, check_values


def new(*arguments: str | Path) -> Result:
    return CliRunner().invoke(cli, ["rules", *map(str, arguments)])


def test_the_rule_and_its_test_run_and_pass_as_they_are_written(tmp_path: Path) -> None:
    result = new("--new", "hose-room", "--to", tmp_path)
    assert result.exit_code == 0, result.output
    assert sorted(each.name for each in tmp_path.iterdir()) == ["hose_room.py", "test_hose_room.py"]
    assert f"Written: {tmp_path / 'hose_room.py'} and {tmp_path / 'test_hose_room.py'}" in result.output
    ran = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-W", "error", "test_hose_room.py"],
        cwd=tmp_path,
        capture_output=True,
        encoding="utf-8",
        check=False,
        timeout=300,
    )
    assert ran.returncode == 0, ran.stdout
    assert "3 passed" in ran.stdout
    page = new("hose-room", "--plugin", tmp_path / "hose_room.py")
    assert page.exit_code == 0
    assert page.output.startswith("COILOVERS ARE NEAR THE MIDDLE OF THEIR STROKE")


def test_the_test_that_it_writes_finds_a_wrong_formula(tmp_path: Path) -> None:
    """A quantity that is one percent too small, which every sample and every bound lets through."""
    assert new("--new", "hose-room", "--to", tmp_path).exit_code == 0
    assert "check_rule(RULE, bounds=" in (tmp_path / "test_hose_room.py").read_text(encoding="utf-8")
    rule = tmp_path / "hose_room.py"
    text = rule.read_text(encoding="utf-8")
    assert text.count("return left / ") == 1
    rule.write_text(text.replace("return left / ", "return 0.99 * left.value / "), encoding="utf-8")
    (wrong,) = rules_in(rule).rules
    check_samples(wrong)
    check_bounds(wrong, {"left-for-droop": between(warning=("35 %", "65 %"), error=("15 %", "85 %"))})
    with pytest.raises(
        AssertionError, match=r"left-for-droop of the left coilover is 0\.05\d* \(SI\), and by hand it is 5"
    ):
        check_values(wrong)


def test_the_written_files_are_clean(tmp_path: Path) -> None:
    assert new("--new", "hose-room", "--to", tmp_path).exit_code == 0
    for file in tmp_path.iterdir():
        assert max(map(len, file.read_text(encoding="utf-8").splitlines())) <= 120
        assert file.stat().st_mode & 0o777 == 0o666 & ~umask()


def umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


@pytest.mark.parametrize("there", ["hose_room.py", "test_hose_room.py"])
def test_it_writes_over_nothing(there: str, tmp_path: Path) -> None:
    (tmp_path / there).symlink_to(tmp_path / "nowhere")
    result = new("--new", "hose-room", "--to", tmp_path)
    assert result.exit_code == 2
    assert f"{tmp_path / there} exists already; nothing was written" in result.output
    assert [each.name for each in tmp_path.iterdir()] == [there]


def test_a_file_created_meanwhile_is_not_overwritten(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "test_hose_room.py").write_text("mine", encoding="utf-8")
    monkeypatch.setattr(os.path, "lexists", lambda path: False)
    result = new("--new", "hose-room", "--to", tmp_path)
    assert result.exit_code == 2
    assert "cannot be written to: file exists" in result.output
    assert [each.name for each in tmp_path.iterdir()] == ["test_hose_room.py"]
    assert (tmp_path / "test_hose_room.py").read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--new", "Hose"], '"Hose" cannot be the name of a rule; write small letters and hyphens, like hose-clamps'),
        (["--new", "../hose"], '"../hose" cannot be the name of a rule'),
        (["--new", "h" * 61], "The name of a rule has at most 60 characters, and this has 61"),
        (["--new", "link-flatness"], "There is a rule link-flatness already; choose another name"),
        (["--new", "class"], "class means something in Python; choose a name of two words, such as class-check"),
        (["--new", "pytest"], "pytest means something in Python"),
        (["--new", "hose-room", "--to", "no/such/folder"], "no/such/folder is not a folder; make it first"),
        (["--to", "."], "--to says where --new writes; give both"),
        (["--new", "hose-room", "--area", "links"], "--new writes a rule, and lists none"),
    ],
)
def test_an_impossible_request_is_reported(arguments: list[str], said: str) -> None:
    result = new(*arguments)
    assert result.exit_code == 2
    assert said in result.output
