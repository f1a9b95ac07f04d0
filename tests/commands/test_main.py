"""The command as a process: exit statuses, start-up, closed pipes, colour, terminals, and its own faults."""

from __future__ import annotations

import fcntl
import os
import pty
import resource
import shlex
import struct
import subprocess
import sys
import termios
from pathlib import Path

import click
import pytest
from called import called
from sampling import sampled
from specs_and_rules import EMPTY, NOT_VALID, STEEP, run

from buildcheck.commands import main as main_module
from buildcheck.commands.output import wants_colour

COMMAND = [sys.executable, "-c", "from buildcheck.commands.main import main; main()"]


@pytest.fixture(autouse=True)
def hook_put_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """`main` leaves this hook quiet, as the last thing that a process does."""
    monkeypatch.setattr(sys, "unraisablehook", sys.unraisablehook)


@pytest.fixture
def steep(tmp_path: Path) -> Path:
    file = tmp_path / "steep.buildcheck.yaml"
    file.write_text(STEEP, encoding="utf-8")
    return file


def test_errors_in_a_build_are_1_and_stand_on_standard_output(steep: Path) -> None:
    result = called("inspect", steep)
    assert result.returncode == 1
    assert "ERROR    left upper link: " in result.stdout
    assert (result.stderr, "\x1b" in result.stdout) == ("", False)


def test_what_cannot_be_inspected_is_2_and_nothing_to_check_is_4() -> None:
    result = called("inspect", "-", stdin=NOT_VALID)
    assert (result.returncode, result.stderr) == (2, "")
    assert "standard input:3:1 linx" in result.stdout
    result = called("inspect", "-", stdin=EMPTY)
    assert (result.returncode, result.stderr) == (4, "")
    assert "Nothing was checked: the spec lacks what the rules need." in result.stdout


def test_help_is_shown_by_its_name_as_well() -> None:
    assert called("help").stdout == called("--help").stdout
    assert "Usage: buildcheck inspect [OPTIONS] SPEC..." in called("help", "inspect").stdout


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["inspect"], "Missing argument 'SPEC...'."),
        (["inspect", "--fast", "x"], "No such option"),
        (["inspekt"], 'There is no command "inspekt"; did you mean "inspect"?'),
        (["check", "x"], 'There is no command "check"; here it is called "inspect"'),
        (["rules", "brake-line"], "these limits are of it: "),
        (["inspect", ".", "--only", "links"], '"links" is an area, not a rule: --area "links"'),
        (["rules", "one", "two\nlines\x1b[1m"], "two\\nlines\\x1b[1m"),
        (["inspect", ".", "--only", "no-such"], 'There is no rule "no-such"'),
        (["rules", "link-flatnes"], 'There is no rule "link-flatnes"; did you mean "link-flatness"?'),
        (["schema", "--of", "readngs"], "'readngs' is not one of 'build-spec'"),
    ],
)
def test_wrong_usage_is_2_with_a_sentence_on_standard_error(arguments: list[str], sentence: str, steep: Path) -> None:
    named = [str(steep.parent) if argument == "." else argument for argument in arguments]
    result = called(*named)
    assert (result.returncode, result.stdout) == (2, "")
    assert sentence in result.stderr
    assert "Traceback" not in result.stderr


def test_help_and_version_load_nothing_heavy() -> None:
    calls = (["--help"], ["--version"], ["inspect", "--help"], ["rules", "-h"], ["schema"])
    script = (
        "import sys\nfrom buildcheck.commands.main import main\n"
        f"for arguments in {calls}:\n    sys.argv = ['buildcheck', *arguments]\n"
        "    try:\n        main()\n    except SystemExit as end:\n"
        "        loaded = [name for name in ('numpy', 'jsonschema', 'ruamel.yaml', 'pluggy') if name in sys.modules]\n"
        "        print('ended', end.code, loaded)\n"
    )
    result = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, timeout=60)
    assert [line for line in result.stdout.splitlines() if line.startswith("ended")] == ["ended 0 []"] * len(calls)
    assert result.stderr == ""


@pytest.mark.parametrize("kind", [LookupError, MemoryError, GeneratorExit])
def test_a_fault_of_buildcheck_itself_is_3_with_one_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], steep: Path, kind: type[BaseException]
) -> None:
    def fault(*_: object, **__: object) -> None:
        raise kind("nobody expected this")

    monkeypatch.setattr("buildcheck.checks.inspection.inspect", fault)
    monkeypatch.setattr(sys, "argv", ["buildcheck", "inspect", str(steep)])
    with pytest.raises(SystemExit) as ended:
        main_module.main()
    told = capsys.readouterr()
    assert (ended.value.code, told.out) == (3, "")
    assert told.err.startswith(f"buildcheck itself failed ({kind.__name__} in test_main.py, line ")
    assert "please report it" in told.err
    assert told.err.count("\n") == 1


def test_a_way_out_that_nobody_expected_is_3_with_a_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], steep: Path
) -> None:
    """`sys.exit(0)` from anywhere but `main` itself is no success."""
    monkeypatch.setattr("buildcheck.checks.inspection.inspect", lambda *_, **__: sys.exit(0))
    monkeypatch.setattr(sys, "argv", ["buildcheck", "inspect", str(steep)])
    with pytest.raises(SystemExit) as ended:
        main_module.main()
    told = capsys.readouterr()
    assert (ended.value.code, told.out) == (3, "")
    assert told.err.startswith("buildcheck itself failed (SystemExit in test_main.py, line ")


@pytest.mark.parametrize("error", [KeyboardInterrupt(), click.Abort()])
def test_an_interruption_is_130_with_one_word(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], error: BaseException
) -> None:
    def interrupted() -> None:
        raise error

    monkeypatch.setattr("buildcheck.plugins.loading.collect", interrupted)
    monkeypatch.setattr(sys, "argv", ["buildcheck", "inspect", "x.yaml"])
    with pytest.raises(SystemExit) as ended:
        main_module.main()
    assert ended.value.code == 130
    told = capsys.readouterr()
    assert (told.out, told.err.strip()) == ("", "Interrupted")


@sampled(3)
@pytest.mark.parametrize(
    ("command", "module"),
    [
        *((command, module) for command in ("inspect", "cycle") for module in ("click", "numpy", "ruamel")),
        ("inspect", "pluggy"),
    ],
)
def test_an_interruption_while_modules_are_imported_is_130_with_one_word(
    command: str, module: str, steep: Path, tmp_path: Path
) -> None:
    (tmp_path / f"{module}.py").write_text("raise KeyboardInterrupt\n", encoding="utf-8")
    told = run(command, steep, PYTHONPATH=str(tmp_path))
    assert (told.returncode, told.stdout, told.stderr.strip()) == (130, "", "Interrupted")


@pytest.mark.parametrize("command", ["inspect", "cycle"])
def test_an_interruption_while_the_library_is_loaded_that_says_what_is_wrong_with_a_spec_is_130(
    command: str, steep: Path, tmp_path: Path
) -> None:
    """A sound spec does without that library."""
    (tmp_path / "jsonschema.py").write_text("raise KeyboardInterrupt\n", encoding="utf-8")
    faulty = tmp_path / "faulty.buildcheck.yaml"
    faulty.write_text(f"{steep.read_text(encoding='utf-8')}winch: 1\n", encoding="utf-8")
    told = run(command, faulty, PYTHONPATH=str(tmp_path))
    assert (told.returncode, told.stdout, told.stderr.strip()) == (130, "", "Interrupted")


@pytest.mark.parametrize("module", ["click", "numpy"])
def test_an_interruption_with_standard_error_closed_is_130(module: str, steep: Path, tmp_path: Path) -> None:
    (tmp_path / f"{module}.py").write_text("raise KeyboardInterrupt\n", encoding="utf-8")
    shell = f"PYTHONPATH={shlex.quote(str(tmp_path))} {shlex.join(COMMAND)} inspect {shlex.quote(str(steep))} 2>&-"
    told = subprocess.run(["sh", "-c", shell], capture_output=True, text=True, check=False, timeout=60)
    assert (told.returncode, told.stdout.strip()) == (130, "")


@pytest.mark.parametrize(
    ("arguments", "status"),
    [(["inspect", "STEEP", "--only", "link-flatness", "--all"], 1), (["--help"], 0), (["rules"], 0)],
)
def test_a_closed_pipe_ends_quietly(arguments: list[str], status: int, steep: Path) -> None:
    named = [str(steep) if argument == "STEEP" else argument for argument in arguments]
    reader, writer = os.pipe()
    os.close(reader)
    result = subprocess.run([*COMMAND, *named], stdout=writer, stderr=subprocess.PIPE, check=False, timeout=60)
    os.close(writer)
    assert (result.returncode, result.stderr) == (status, b"")


@sampled(2)
@pytest.mark.parametrize(
    "arguments", ["inspect STEEP --only link-flatness", "cycle STEEP", "rules", "schema", "--help"]
)
def test_a_full_disk_is_2_with_one_sentence(arguments: str, steep: Path) -> None:
    def full() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))

    named = [str(steep) if argument == "STEEP" else argument for argument in arguments.split()]
    with (steep.parent / "record.txt").open("wb") as file:
        result = subprocess.run(
            [*COMMAND, *named], stdout=file, stderr=subprocess.PIPE, check=False, timeout=60, preexec_fn=full
        )
    assert result.returncode == 2
    assert result.stderr.endswith(b": file too large\n")
    assert result.stderr.count(b"\n") == 1


@sampled(2)
@pytest.mark.parametrize("command", ["inspect STEEP --only link-flatness", "cycle STEEP", "rules", "schema"])
def test_a_closed_standard_output_is_2_with_one_sentence(command: str, steep: Path) -> None:
    told = in_a_shell(f"{command.replace('STEEP', str(steep))} >&-")
    assert (told.returncode, told.stderr) == (2, "Standard output cannot be written: it is closed\n")


@sampled(1)
@pytest.mark.parametrize("command", ["inspect -", "cycle -", "loads -"])
def test_a_closed_standard_input_is_2_with_one_sentence(command: str) -> None:
    told = in_a_shell(f"{command} <&-")
    assert (told.returncode, told.stdout) == (2, "")
    assert told.stderr.startswith("Standard input cannot be read: it is closed\n")


def test_a_closed_standard_error_changes_no_exit_status(steep: Path) -> None:
    assert in_a_shell(f"inspect {steep} --only link-flatness 2>&-").returncode == 1
    assert in_a_shell("inspect 2>&-").returncode == 2


def test_standard_input_is_never_written_over(steep: Path) -> None:
    plain = steep.rename(steep.with_name("plain.txt"))
    told = in_a_shell(f"inspect - --to {plain} <{plain}")
    assert told.returncode == 2
    assert "buildcheck never overwrites a spec" in told.stderr
    assert plain.read_text(encoding="utf-8") == STEEP


def in_a_shell(command: str) -> subprocess.CompletedProcess[str]:
    """The command with what only a shell can do to its streams."""
    return subprocess.run(
        ["sh", "-c", f"{shlex.join(COMMAND)} {command}"], capture_output=True, text=True, check=False, timeout=60
    )


@sampled(1)
@pytest.mark.parametrize("output", ["text", "json"])
def test_the_same_bytes_under_any_hash_seed(output: str, steep: Path) -> None:
    told = {run("inspect", steep, "--output", output, PYTHONHASHSEED=seed).stdout for seed in ("1", "7")}
    assert len(told) == 1
    assert len(told.pop()) > 1000


def test_an_output_that_lacks_a_character_gets_an_escape() -> None:
    result = run("inspect", "-", stdin=EMPTY + "build: {name: Žižka}\n", PYTHONIOENCODING="latin-1")
    assert result.returncode == 4
    assert "\\u017di\\u017eka" in result.stdout


@pytest.mark.parametrize(
    ("choice", "environment", "terminal", "wanted"),
    [
        ("auto", {}, True, True),
        ("auto", {}, False, False),
        ("auto", {"TERM": "dumb"}, True, False),
        ("auto", {"NO_COLOR": "1"}, True, False),
        ("auto", {"NO_COLOR": ""}, True, True),
        ("auto", {"FORCE_COLOR": "1"}, False, True),
        ("auto", {"FORCE_COLOR": "0"}, False, False),
        ("auto", {"NO_COLOR": "1", "FORCE_COLOR": "1"}, True, False),
        ("always", {"NO_COLOR": "1"}, False, True),
        ("never", {"FORCE_COLOR": "1"}, True, False),
    ],
)
def test_colour_is_decided_by_option_then_no_color_then_force_color_then_terminal(
    choice: str, environment: dict[str, str], terminal: bool, wanted: bool
) -> None:
    assert wants_colour(choice, environment, terminal=terminal) is wanted


def test_colour_in_a_pipe_only_when_asked_for(steep: Path) -> None:
    named = ("inspect", steep, "--only", "link-flatness")
    assert "\x1b[" in called(*named, "--color", "always").stdout
    assert "\x1b[" in called(*named, FORCE_COLOR="1").stdout
    assert "\x1b[" not in run(*named, FORCE_COLOR="1", NO_COLOR="1").stdout


def on_a_terminal(columns: int, *arguments: str, **environment: str) -> str:
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 40, columns, 0, 0))
    kept = {key: value for key, value in os.environ.items() if key not in ("NO_COLOR", "FORCE_COLOR", "COLUMNS")}
    process = subprocess.Popen(
        [*COMMAND, *arguments],
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        env={**kept, "TERM": "xterm", **environment},
    )
    os.close(theirs)
    told = b""
    while True:
        try:
            part = os.read(ours, 65536)
        except OSError:  # the other end has closed
            break
        if not part:
            break
        told += part
    os.close(ours)
    process.wait(60)
    return told.decode().replace("\r\n", "\n")


@sampled(1)
@pytest.mark.parametrize("columns", [80, 120])
def test_a_terminal_is_wrapped_to_its_width(columns: int, steep: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(steep.parent)
    named = ("inspect", steep.name, "--only", "link-flatness", "--all")
    told = on_a_terminal(columns, *named, NO_COLOR="1")
    assert "\x1b" not in told
    assert columns - 20 < max(map(len, told.splitlines())) <= columns
    assert told.split() == called(*named).stdout.split()


def test_a_terminal_has_bold_type(steep: Path) -> None:
    assert "\x1b[1mERROR\x1b[0m" in on_a_terminal(80, "inspect", str(steep), "--only", "link-flatness")
