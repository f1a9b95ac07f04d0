"""No command writes over what it reads: specs, standards and rule files; nor over what is named as one of the first
two is."""

from __future__ import annotations

import os
from pathlib import Path

import platformdirs
import pytest
from click.testing import CliRunner, Result

from buildcheck.commands.command import cli

PROPOSAL = Path(__file__).parents[2] / "examples/tamarack/proposal.buildcheck.yaml"
COMMANDS = ("inspect", "cycle", "loads", "report")
STANDARD = "format: 1\nunits: inch-pound\nshop: ours\n"
PLUGIN = """\
from pathlib import Path

from buildcheck.api import hook

BUILDCHECK_INTERFACE = 2
Path(__file__).with_name("ran").touch()


@hook
def buildcheck_rules():
    return []
"""


@pytest.fixture(autouse=True)
def _no_standard_of_the_user(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(platformdirs, "user_config_path", lambda *_, **__: tmp_path / "config")


@pytest.fixture
def spec(tmp_path: Path) -> Path:
    file = tmp_path / "one.buildcheck.yaml"
    file.write_bytes(PROPOSAL.read_bytes())
    return file


def refused(to: Path, sentence: str, *arguments: str | Path) -> None:
    """Hold that a call is refused for what `to` is, and leaves all that is there as it was, running nothing."""
    before = {each: each.read_bytes() for each in to.parent.rglob("*") if each.is_file()}
    result: Result = CliRunner().invoke(cli, [*map(str, arguments), "--to", str(to)])
    assert result.exit_code == 2
    assert f"{to} {sentence}" in " ".join(result.stderr.split())
    assert {each: each.read_bytes() for each in to.parent.rglob("*") if each.is_file()} == before


@pytest.mark.parametrize("command", COMMANDS)
def test_a_spec(command: str, spec: Path, tmp_path: Path) -> None:
    as_page = tmp_path / "spec.html"
    os.link(spec, as_page)
    refused(as_page, "is one of the specs; buildcheck never overwrites a spec", command, spec)
    if command != "report":  # which writes nothing but .html and .pdf
        (tmp_path / "other.buildcheck.yaml").write_text("mine", encoding="utf-8")
        named = "has the name of a spec; buildcheck never overwrites a spec"
        refused(tmp_path / "other.buildcheck.yaml", named, command, spec)


@pytest.mark.parametrize("command", COMMANDS)
def test_a_rule_file_of_the_call(command: str, spec: Path, tmp_path: Path) -> None:
    plugin = tmp_path / "own.html"
    plugin.write_text(PLUGIN, encoding="utf-8")
    sentence = "is one of the rule files; buildcheck never overwrites one"
    refused(plugin, sentence, command, spec, "--plugin", plugin)


@pytest.mark.parametrize("command", ["inspect", "report"])
def test_a_rule_file_of_a_standard(command: str, spec: Path, tmp_path: Path) -> None:
    plugin = tmp_path / "own.html"
    plugin.write_text(PLUGIN, encoding="utf-8")
    standard = tmp_path / "our.yaml"
    standard.write_text(f"{STANDARD}plugins: [own.html]\n", encoding="utf-8")
    sentence = "is one of the rule files; buildcheck never overwrites one"
    refused(plugin, sentence, command, spec, "--standard", standard)
    standard.rename(tmp_path / "shop.standard.yaml")  # where it is found, and refused, and runs nothing
    refused(plugin, sentence, command, spec)
    assert not (tmp_path / "ran").exists()


@pytest.mark.parametrize("command", ["inspect", "report"])
def test_a_standard_that_is_used(command: str, spec: Path, tmp_path: Path) -> None:
    standard, link = tmp_path / "our.html", tmp_path / "hard.html"
    standard.write_text(STANDARD, encoding="utf-8")
    os.link(standard, link)
    (tmp_path / "soft.html").symlink_to(standard)
    for to in (standard, link, tmp_path / "soft.html"):
        sentence = "is a shop's standard; buildcheck never overwrites one"
        refused(to, sentence, command, spec, "--standard", standard)


@pytest.mark.parametrize("command", ["inspect", "cycle", "loads"])
@pytest.mark.parametrize("there", [True, False])
def test_what_is_named_as_a_standard(command: str, there: bool, spec: Path, tmp_path: Path) -> None:
    standard = tmp_path / "shop.standard.yaml"
    if there:
        standard.write_text(STANDARD, encoding="utf-8")
    refused(standard, "is a shop's standard; buildcheck never overwrites one", command, spec)
    assert standard.exists() is there
