"""A folder as a plugin, where a failure came from, and a hook that never ends."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from buildcheck.commands.command import cli

SPEC = Path(__file__).parents[2] / "examples" / "tamarack" / "proposal.buildcheck.yaml"

RULE = '''"""The bar is long.

Checked: the bar.
"""

from buildcheck.api import Area, LateralBar, Rule, Words, at_least, common_practice, hook

BUILDCHECK_INTERFACE = 2
rule = Rule("{name}", area=Area.AXLE, page=__doc__)


@rule.check(LateralBar, at_least(error="1 in"), basis=common_practice("a bar"), change=Words("take a longer one"))
def long(job, bar):
    """Length of the bar."""
    return job.{method}(bar)


@hook
def buildcheck_rules():
    return [rule]
'''


def inspected(plugin: Path, *more: str) -> Result:
    return CliRunner().invoke(cli, ["inspect", str(SPEC), "--plugin", str(plugin), "--quiet", *more])


def test_a_folder_of_rule_files_is_each_of_them_and_none_of_their_tests(tmp_path: Path) -> None:
    for name in ("one-bar", "other-bar"):
        text = RULE.format(name=name, method="made_length")
        (tmp_path / f"{name.replace('-', '_')}.py").write_text(text, encoding="utf-8")
    (tmp_path / "test_one_bar.py").write_text("raise SystemExit('never run')\n", encoding="utf-8")
    result = inspected(tmp_path)
    assert (result.exit_code, "FAILED" in result.output) == (0, False)
    listed = CliRunner().invoke(cli, ["rules", "--plugin", str(tmp_path)]).output
    assert "one-bar: The bar is long" in listed
    assert "other-bar: The bar is long" in listed


def test_a_package_is_one_plugin_whose_files_import_each_other_and_nothing_is_written(tmp_path: Path) -> None:
    folder = tmp_path / "our.rules"
    folder.mkdir()
    rule, hook = RULE.format(name="one-bar", method="made_length").split("\n\n\n@hook")
    (folder / "bar.py").write_text(rule + "\n", encoding="utf-8")
    (folder / "__init__.py").write_text(
        f"from buildcheck.api import hook\n\nfrom .bar import rule\n\nBUILDCHECK_INTERFACE = 2\n\n\n@hook{hook}",
        encoding="utf-8",
    )
    result = inspected(folder, "--only", "one-bar")
    assert (result.exit_code, result.output) == (0, "")
    assert sorted(file.name for file in folder.iterdir()) == ["__init__.py", "bar.py"]


def test_a_folder_without_a_rule_is_named(tmp_path: Path) -> None:
    result = inspected(tmp_path)
    assert result.exit_code == 3
    assert f"plugin {tmp_path}: it is a folder without a Python file that could be a rule" in result.output


@pytest.mark.parametrize("wanted", [True, False])
def test_a_failure_names_the_line_and_the_nearest_name_and_the_way_there_where_it_is_wanted(
    wanted: bool, tmp_path: Path
) -> None:
    file = tmp_path / "bar.py"
    file.write_text(RULE.format(name="one-bar", method="made_lenght"), encoding="utf-8")
    result = inspected(file, *(["--traceback"] if wanted else []))
    assert result.exit_code == 3
    assert "has no attribute 'made_lenght'; did you mean made_length? (" in result.output
    assert "bar.py, line 15: return job.made_lenght(bar))" in result.output
    assert ("Traceback (most recent call last)" in result.output) is wanted


def test_a_hook_that_never_ends_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "endless.py"
    file.write_text(
        "import itertools\n\nfrom buildcheck.api import hook\n\nBUILDCHECK_INTERFACE = 2\n\n\n"
        "@hook\ndef buildcheck_rules():\n    return itertools.repeat(5)\n",
        encoding="utf-8",
    )
    result = inspected(file)
    assert result.exit_code == 3
    assert f"plugin {file}: its buildcheck_rules returns more than 1000 rules" in result.output


def test_an_empty_name_is_not_the_folder_at_hand(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "left_lying.py").write_text("raise SystemExit('it was run')\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    result = CliRunner().invoke(cli, ["inspect", str(SPEC), "--plugin", ""])
    assert (result.exit_code, "a plugin needs a name, and this one is empty" in result.output) == (2, True)
