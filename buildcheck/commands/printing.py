"""Printing a page to a PDF with an installed Chromium."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from pathlib import Path

import click

from buildcheck.commands.output import CannotWrite, reason, shown, write_to_file

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")
PATIENCE = 120.0
"""Seconds that a browser may take to print."""

END_OF_PDF = b"%%EOF"
"""The last line of a PDF (ISO 32000-1, 7.5.5; from memory). A browser whose disk runs full leaves one without it."""


def find_browser() -> str:
    """The browser that prints a PDF; ends the command where there is none."""
    for name in BROWSERS:
        path = shutil.which(name)
        if path:
            return path
    raise click.UsageError(
        "A .pdf is printed by Chromium, and none is installed here; write a .html, and print it from any browser"
    )


def print_page(page: str, to: Path, browser: str) -> None:
    """Print a page to a PDF: beside it first, then renamed, so that no half-written file is left.

    Raises CannotWrite where the browser does not print all of it, with its last line, and where a disk is full.
    """
    try:
        with tempfile.TemporaryDirectory(prefix="buildcheck.", ignore_cleanup_errors=True) as folder:
            source, printed = Path(folder, "report.html"), Path(folder, "report.pdf")
            source.write_text(page, encoding="utf-8")
            said = _run([browser, *_options(folder), f"--print-to-pdf={printed}", source.as_uri()])
            pdf = printed.read_bytes() if printed.exists() else b""
            if not pdf:
                raise CannotWrite(f"{shown(to)} cannot be written: {shown(browser)} printed nothing{said}")
            if END_OF_PDF not in pdf[-1024:]:
                raise CannotWrite(
                    f"{shown(to)} cannot be written: {shown(browser)} printed only a part of it{said}; is the disk of "
                    "the temporary folder full?"
                )
            write_to_file(pdf, to)
    except OSError as error:  # a full disk, or no folder for temporary files
        raise CannotWrite(f"{shown(to)} cannot be written: {reason(error)}, in the temporary folder") from error


def _options(folder: str) -> list[str]:
    # A profile of its own, so that a browser that is open already is left alone. As the superuser, as in a container,
    # Chromium starts only without its sandbox; the page runs nothing but the script that its own policy names.
    sandbox = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    return ["--headless", "--disable-gpu", f"--user-data-dir={folder}", "--no-pdf-header-footer", *sandbox]


def _run(command: list[str]) -> str:
    """Run the browser; return its last line, for the sentence on its failure."""
    try:
        done = subprocess.run(command, capture_output=True, timeout=PATIENCE, check=False)
    except subprocess.TimeoutExpired:
        return f" within {PATIENCE:.0f} s"
    except OSError as error:
        return f": {reason(error)}"
    last = done.stderr.decode("utf-8", "replace").strip().splitlines()[-1:]
    return f" and ended with status {done.returncode}: {shown(last[0])}" if done.returncode and last else ""
