"""What the README shows is what the tool does."""

import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_output_shown_is_that_of_a_run() -> None:
    shown = re.search(r"<!-- output -->\n```\n(.*?)```", README, re.DOTALL)
    assert shown is not None
    command = Path(sys.executable).with_name("buildcheck")
    run = subprocess.run(
        [command, "inspect", "examples/tamarack/proposal.buildcheck.yaml"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (run.returncode, run.stderr) == (0, "")
    assert shown[1] == run.stdout


def test_the_commands_shown_exist() -> None:
    command = Path(sys.executable).with_name("buildcheck")
    for name in re.findall(r"^\| `buildcheck (\w+)", README, re.MULTILINE):
        run = subprocess.run([command, name, "--help"], capture_output=True, text=True, check=False)
        assert run.returncode == 0, name


def test_the_options_shown_exist() -> None:
    command = Path(sys.executable).with_name("buildcheck")
    shown = subprocess.run([command, "inspect", "--help"], capture_output=True, text=True, check=False).stdout
    sentence = re.search(r"`inspect` takes (.*?)\.", README, re.DOTALL)
    assert sentence is not None
    options = re.findall(r"--[a-z-]+", sentence[1])
    assert len(options) == 13
    assert [option for option in options if option not in shown] == []
