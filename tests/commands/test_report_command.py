"""`buildcheck report`: what it writes, where to, with which exit status, and what it does without a browser."""

from __future__ import annotations

import os
import shutil
import tempfile
import time
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from sampling import sampled
from specs_and_rules import EMPTY, NOT_VALID

from buildcheck.commands import printing
from buildcheck.commands.command import cli

EXAMPLES = Path(__file__).parents[2] / "examples"
TAMARACK = EXAMPLES / "tamarack" / "proposal.buildcheck.yaml"
FAULTS = EXAMPLES / "tamarack" / "proposal-with-faults.buildcheck.yaml"


def written(*arguments: str | Path, stdin: str | None = None) -> Result:
    return CliRunner().invoke(cli, ["report", *map(str, arguments)], input=stdin)


@pytest.fixture
def browser(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Stands in for Chromium: prints what it was called with, and the page that it was given."""
    program = tmp_path / "bin" / "chromium"
    program.parent.mkdir()
    program.write_text(
        '#!/bin/sh\nfor each in "$@"; do case "$each" in --print-to-pdf=*) to="${each#*=}";; '
        'file:*) from="${each#file://}";; esac; done\n{ echo "%PDF $*"; cat "$from"; echo "%%EOF"; } > "$to"\n'
    )
    program.chmod(0o755)
    monkeypatch.setenv("PATH", f"{program.parent}{os.pathsep}/usr/bin{os.pathsep}/bin")
    return program


@sampled(0, each=lambda status, **_: status)
@pytest.mark.parametrize(
    ("spec", "status"),
    [(TAMARACK, 0), (FAULTS, 1), (EXAMPLES / "minimal.buildcheck.yaml", 0)],
    ids=["0", "1", "minimal"],
)
def test_it_writes_a_page_and_ends_as_an_inspection_does(spec: Path, status: int, tmp_path: Path) -> None:
    to = tmp_path / "report.html"
    told = written(spec, "--to", to)
    assert (told.exit_code, told.output) == (status, "")
    page = to.read_text(encoding="utf-8")
    assert page.startswith("<!DOCTYPE html>")
    assert page.rstrip().endswith("</html>")
    assert CliRunner().invoke(cli, ["inspect", str(spec)]).exit_code == status
    assert [each.name for each in tmp_path.iterdir()] == ["report.html"]


def test_a_spec_may_come_on_standard_input(tmp_path: Path) -> None:
    to = tmp_path / "report.HTML"
    assert written("-", "--to", to, stdin=TAMARACK.read_text(encoding="utf-8")).exit_code == 0
    assert "standard input" in to.read_text(encoding="utf-8")


def test_standard_input_may_stand_for_a_file_beside_its_standard(tmp_path: Path) -> None:
    (tmp_path / "shop.standard.yaml").write_text("format: 1\nunits: inch-pound\nshop: the job\n")
    to, named = tmp_path / "report.html", tmp_path / "new.buildcheck.yaml"
    assert written("-", "--as", named, "--to", to, stdin=EMPTY).exit_code == 4
    page = to.read_text(encoding="utf-8")
    assert "the job" in page
    assert named.name in page
    assert written(named, "--as", named, "--to", to).exit_code == 2


def test_nothing_to_check_is_status_4_and_still_a_page(tmp_path: Path) -> None:
    spec, to = tmp_path / "empty.buildcheck.yaml", tmp_path / "report.html"
    spec.write_text(EMPTY)
    assert written(spec, "--to", to).exit_code == 4
    assert "Nothing was checked" in to.read_text(encoding="utf-8")


def test_a_spec_that_is_not_valid_is_told_and_nothing_written(tmp_path: Path) -> None:
    spec, to = tmp_path / "wrong.buildcheck.yaml", tmp_path / "report.html"
    spec.write_text(NOT_VALID)
    told = written(spec, "--to", to)
    assert (told.exit_code, told.stdout) == (2, "")
    assert "linx" in told.stderr
    assert not to.exists()


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["--to", "report.txt"], "--to takes a file that ends in .html or .pdf"),
        (["--to", "report.html", "--paper", "a4"], "--paper is for a .pdf"),
        (["--to", "."], "--to takes a file that ends in .html or .pdf"),
    ],
)
def test_what_it_cannot_write_is_wrong_usage(arguments: list[str], sentence: str) -> None:
    told = written(TAMARACK, *arguments)
    assert told.exit_code == 2
    assert sentence in told.stderr


def test_it_never_writes_over_a_spec(tmp_path: Path) -> None:
    spec = tmp_path / "spec.html"
    shutil.copy(TAMARACK, spec)
    told = written(spec, "--to", spec)
    assert told.exit_code == 2
    assert "never overwrites a spec" in told.stderr
    assert spec.read_bytes() == TAMARACK.read_bytes()


def test_a_pdf_without_a_browser_is_one_sentence_and_status_2(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    to = tmp_path / "report.pdf"
    told = written(TAMARACK, "--to", to)
    assert told.exit_code == 2
    assert told.stderr.splitlines()[-1] == (
        "Error: A .pdf is printed by Chromium, and none is installed here; write a .html, and print it from any browser"
    )
    assert not to.exists()


@pytest.mark.parametrize(
    ("spec", "options", "size"),
    [
        (TAMARACK, [], "letter"),
        (EXAMPLES / "three-link-metric.buildcheck.yaml", [], "a4"),
        (TAMARACK, ["--paper", "a4"], "a4"),
    ],
    ids=["letter", "a4", "asked"],
)
def test_a_pdf_is_printed_by_the_browser_on_the_paper_of_the_units(
    spec: Path, options: list[str], size: str, tmp_path: Path, browser: Path
) -> None:
    to = tmp_path / "report.pdf"
    assert written(spec, "--to", to, *options).exit_code == 0
    printed = to.read_text(encoding="utf-8")
    assert printed.startswith("%PDF --headless")
    assert "--no-pdf-header-footer" in printed
    assert f"@page{{size:{size} landscape}}" in printed
    assert sorted(each.name for each in tmp_path.iterdir()) == ["bin", "report.pdf"]


def test_a_browser_that_fails_or_hangs_is_told_and_leaves_what_was_there(
    tmp_path: Path, browser: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    to = tmp_path / "report.pdf"
    to.write_text("before")
    browser.write_text("#!/bin/sh\necho no display >&2\nexit 7\n")
    told = written(TAMARACK, "--to", to)
    assert told.exit_code == 2
    assert "printed nothing and ended with status 7: no display" in told.stderr
    browser.write_text("#!/bin/sh\nexec sleep 20\n")
    monkeypatch.setattr(printing, "PATIENCE", 0.2)
    began = time.monotonic()
    told = written(TAMARACK, "--to", to)
    assert (told.exit_code, time.monotonic() - began < 10) == (2, True)
    assert "printed nothing within 0 s" in told.stderr
    assert to.read_text() == "before"


def test_a_page_that_a_full_disk_cuts_off_is_not_taken_for_the_whole(tmp_path: Path, browser: Path) -> None:
    to = tmp_path / "report.pdf"
    browser.write_text(
        '#!/bin/sh\nfor each in "$@"; do case "$each" in --print-to-pdf=*) echo "%PDF-1.4 half" > "${each#*=}";; '
        "esac; done\necho disk full >&2\nexit 1\n"
    )
    told = written(TAMARACK, "--to", to)
    assert told.exit_code == 2
    assert "printed only a part of it and ended with status 1: disk full" in told.stderr
    assert [each.name for each in tmp_path.iterdir()] == ["bin"]


@pytest.mark.parametrize("full", ["the temporary folder", "the folder of the PDF"])
@pytest.mark.usefixtures("browser")
def test_a_full_disk_is_one_sentence_and_leaves_nothing(
    full: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    temporary = tmp_path / "temporary"
    temporary.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(temporary))
    to = tmp_path / "report.pdf"
    to.write_text("before")

    def no_room(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_text" if full == "the temporary folder" else "replace", no_room)
    told = written(TAMARACK, "--to", to)
    assert told.exit_code == 2
    assert "report.pdf cannot be written: no space left on device" in told.stderr
    assert ("in the temporary folder" in told.stderr) is (full == "the temporary folder")
    assert "Traceback" not in told.stderr
    assert to.read_bytes() == b"before"
    assert sorted(each.name for each in tmp_path.iterdir()) == ["bin", "report.pdf", "temporary"]
    assert not list(temporary.iterdir())
