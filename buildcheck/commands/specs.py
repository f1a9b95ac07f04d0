"""The spec files that a command line names, and reading one."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from buildcheck.commands.output import reason, shown

if TYPE_CHECKING:
    from buildcheck.library.spec import Spec
    from buildcheck.output.outcome import Refused
    from buildcheck.plugins.loading import Collected
    from buildcheck.spec.document import Document

SUFFIX = ".buildcheck.yaml"
STANDARD_INPUT = "-"


def spec_files(named: Iterable[str]) -> list[str]:
    """The files to read: each one named, and every `*.buildcheck.yaml` below each folder, sorted; none twice.

    `-` is standard input. Raises click.UsageError for a folder without a spec, or one that may not be read.
    """
    files: dict[str, str] = {}
    for name in named:
        for file in _files(name):
            files.setdefault(file if file == STANDARD_INPUT else os.path.realpath(file), file)
    return list(files.values())


def _files(name: str) -> list[str]:
    if not name or name == STANDARD_INPUT or not _is_folder(name):
        return [name]

    def refuse(error: OSError) -> None:
        raise click.UsageError(f"The folder {shown(error.filename)} cannot be read: {reason(error)}")

    below = sorted(  # os.walk, since it reports its errors
        str(Path(folder) / file)
        for folder, _, files in os.walk(name, onerror=refuse)
        for file in files
        if file.endswith(SUFFIX)
    )
    if not below:
        raise click.UsageError(f"No spec found: the folder {shown(name)} holds no file whose name ends in {SUFFIX}")
    return below


def _is_folder(name: str) -> bool:
    try:
        return Path(name).is_dir()
    except OSError:  # a name too long, or no permission: reading it as a file says why
        return False


def read_spec(file: str, collected: Collected) -> Spec | Refused:
    """The spec in a file, or on standard input, read with what was collected of plugins; or why it is refused.

    Raises click.UsageError for an empty name, and for standard input that cannot be read.
    """
    if not file:
        raise click.UsageError("A spec needs a name; this one is empty")
    # Imported here, so that numpy and the schema library are loaded only where a spec is read.
    from buildcheck.library.spec import SpecProblems, read, spec_from
    from buildcheck.output.outcome import Refused

    try:
        return spec_from(_standard_input, collected) if file == STANDARD_INPUT else read(file, plugins=collected)
    except SpecProblems as refused:
        return Refused(refused.file, refused.problems, refused.readable)


def _standard_input() -> Document:
    from buildcheck.spec.document import read_stream

    if sys.stdin is None:
        raise click.UsageError("Standard input cannot be read: it is closed")
    try:
        return read_stream(sys.stdin.buffer)
    except OSError as error:
        raise click.UsageError(f"Standard input cannot be read: {reason(error)}") from error
