"""Which specs a command is asked for, and reading one."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from buildcheck.commands.output import reason, shown

if TYPE_CHECKING:
    from buildcheck.build.additions import Additions
    from buildcheck.document import Document
    from buildcheck.output.outcome import Refused, Spec

SUFFIX = ".buildcheck.yaml"
STANDARD_INPUT = "-"


def spec_files(named: Iterable[str]) -> list[str]:
    """The files to read: each one named, and every `*.buildcheck.yaml` below each folder, sorted; none twice.

    `-` stands for standard input. Raises click.UsageError for a folder without a spec, or one that may not be read.
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

    below = sorted(  # os.walk is the one walk that tells its errors
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
    except OSError:  # a name too long, or a place not to be seen: reading it as a file says why
        return False


def read_spec(file: str, additions: Additions) -> Spec | Refused:
    """The spec in a file, or on standard input, and the build that it describes; or why it is refused. `additions` are
    the names that plugins add to what it may hold.

    Raises click.UsageError for an empty name, and for standard input that cannot be read.
    """
    if not file:
        raise click.UsageError("A spec needs a name; this one is empty")
    # Imported here, so that what numpy and the schema library cost is paid only where a spec is read.
    from buildcheck.build import read_build
    from buildcheck.document import Unreadable, read_file
    from buildcheck.output.outcome import Refused, Spec
    from buildcheck.schema import problems_in

    name = "standard input" if file == STANDARD_INPUT else file
    try:
        document = _standard_input() if file == STANDARD_INPUT else read_file(file)
    except Unreadable as unreadable:
        return Refused(name, unreadable.problems, readable=False)
    problems = problems_in(document, additions=additions)
    if problems:
        return Refused(name, problems, readable=True)
    return Spec(name, document, read_build(document.data, additions))


def _standard_input() -> Document:
    from buildcheck.document import read_stream

    if sys.stdin is None:
        raise click.UsageError("Standard input cannot be read: it is closed")
    try:
        return read_stream(sys.stdin.buffer)
    except OSError as error:
        raise click.UsageError(f"Standard input cannot be read: {reason(error)}") from error
