"""What the README shows is what the tool does."""

import re
from pathlib import Path
from typing import Any

import pytest
from called import called

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_output_shown_is_that_of_a_run() -> None:
    shown = re.search(r"<!-- output -->\n```\n(.*?)```", README, re.DOTALL)
    assert shown is not None
    run = called("inspect", "examples/tamarack/proposal.buildcheck.yaml", folder=ROOT)
    assert (run.returncode, run.stderr) == (0, "")
    assert shown[1] == run.stdout


def test_the_library_example_runs_as_shown(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    shown = re.search(r"<!-- library example -->\n```python\n(.*?)```", README, re.DOTALL)
    assert shown is not None
    code = [line for line in shown[1].splitlines() if line.strip() and not line.startswith("#")]
    assert len(code) <= 40
    monkeypatch.chdir(ROOT)
    names: dict[str, Any] = {}
    exec(compile(shown[1], "README.md", "exec"), names)
    printed = capsys.readouterr().out.splitlines()
    spec, result, swept = names["spec"], names["result"], names["swept"]
    assert printed[: len(result.warnings)] == [str(each) for each in result.warnings]
    assert printed[0].startswith("warning: whole build")
    assert f"{len(result.not_checked)} not checked; 0 failures of rules or plugins" in printed
    assert sum(line.startswith("frame end at") for line in printed) == len(swept) == len(names["heights"]) == 9
    assert names["higher"].build.lateral_bar.frame.z == pytest.approx(23 * 0.0254)
    place = spec.position("lateral_bar.frame[2]")
    assert printed[-1].startswith(f'{place.line} {place.column} lateral_bar.frame[2]: "23 lb" cannot be read')


def test_the_commands_shown_exist() -> None:
    for name in re.findall(r"^\| `buildcheck ([\w-]+)", README, re.MULTILINE):
        assert called(name, "--help").returncode == 0, name


def test_the_options_shown_exist() -> None:
    shown = called("inspect", "--help").stdout
    sentence = re.search(r"`inspect` takes (.*?)\.", README, re.DOTALL)
    assert sentence is not None
    options = re.findall(r"--[a-z-]+", sentence[1])
    assert len(options) == 13
    assert [option for option in options if option not in shown] == []
