"""The spec files that a command line names, and reading one."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from buildcheck.commands.output import reason, shown

if TYPE_CHECKING:
    from buildcheck.library.spec import Spec
    from buildcheck.output.outcome import Refused
    from buildcheck.plugins.loading import Collected
    from buildcheck.spec.document import Document

Command = TypeVar("Command", bound=Callable[..., Any])
SUFFIX = ".buildcheck.yaml"
STANDARD_INPUT = "-"


def as_option(command: Command) -> Command:
    """The option `--as FILE`, for a command that takes `stands_for` and specs of which one may be standard input."""
    meaning = "With -: the file that standard input stands for, by whose place its standard is found."
    return click.option("--as", "stands_for", metavar="FILE", help=meaning)(command)


def refuse_name_without_standard_input(stands_for: str | None, files: Iterable[str]) -> None:
    """Raise click.UsageError where `--as` is given and no spec is standard input."""
    if stands_for is not None and STANDARD_INPUT not in files:
        raise click.UsageError("--as names what standard input stands for; give - as a spec")


def spec_files(named: Iterable[str]) -> list[str]:
    """The files to read: each one named, and every `*.buildcheck.yaml` below each folder, sorted; none twice.

    `-` is standard input. A folder below that cannot be read is among the files, to be refused. Linked folders, and
    files with nearly the name of a spec, are named on standard error. Raises click.UsageError for a folder without a
    spec, or one that may not be read.
    """
    files: dict[str, str] = {}
    for name in named:
        for file in _files(name):
            files.setdefault(file if file == STANDARD_INPUT else os.path.realpath(file), file)
    return list(files.values())


def _files(name: str) -> list[str]:
    if not name or name == STANDARD_INPUT or not _is_folder(name):
        return [name]

    unreadable: list[OSError] = []
    below: list[str] = []
    for folder, folders, files in os.walk(name, onerror=unreadable.append):  # which reports its errors
        folders.sort()
        below.extend(str(Path(folder) / file) for file in files if file.endswith(SUFFIX))
        for each in sorted((*folders, *files)):
            if why := _left_out(Path(folder) / each):
                click.echo(f"Not inspected: {shown(Path(folder) / each)}: {why}", err=True)
    for error in unreadable:
        if os.path.realpath(error.filename) == os.path.realpath(name):
            raise click.UsageError(f"The folder {shown(error.filename)} cannot be read: {reason(error)}")
        below.append(str(error.filename))
    if not below:
        raise click.UsageError(f"No spec found: the folder {shown(name)} holds no file whose name ends in {SUFFIX}")
    return sorted(below)


def _left_out(path: Path) -> str:
    """Why a linked folder, or a file with nearly the name of a spec, is not inspected; "" for anything else."""
    if _is_folder(str(path)):
        return "it is a link to a folder; name it to inspect what it holds" if path.is_symlink() else ""
    name = path.name.casefold()
    nearly = name.endswith((SUFFIX, SUFFIX.replace(".yaml", ".yml"))) and not path.name.endswith(SUFFIX)
    return f"the name of a spec ends in {SUFFIX}; rename it" if nearly else ""


def _is_folder(name: str) -> bool:
    try:
        return Path(name).is_dir()
    except OSError:  # a name too long, or no permission: reading it as a file says why
        return False


def read_spec(file: str, collected: Collected, stands_for: str = "standard input") -> Spec | Refused:
    """The spec in a file, or on standard input, read with what was collected of plugins; or why it is refused.
    `stands_for` is the name of the spec on standard input.

    Raises click.UsageError for an empty name, and for standard input that cannot be read.
    """
    if not file:
        raise click.UsageError("A spec needs a name; this one is empty")
    # Imported here, so that numpy and the schema library are loaded only where a spec is read.
    from buildcheck.library.spec import SpecProblems, read, spec_from
    from buildcheck.output.outcome import Refused

    try:
        if file == STANDARD_INPUT:
            return spec_from(lambda: _standard_input(stands_for), collected, stands_for)
        return read(file, plugins=collected)
    except SpecProblems as refused:
        return Refused(refused.file, refused.problems, refused.readable)


def _standard_input(name: str) -> Document:
    from buildcheck.spec.document import read_stream

    if sys.stdin is None:
        raise click.UsageError("Standard input cannot be read: it is closed")
    try:
        return read_stream(sys.stdin.buffer, name)
    except OSError as error:
        raise click.UsageError(f"Standard input cannot be read: {reason(error)}") from error
