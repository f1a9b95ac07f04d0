"""Which specs a command is asked for, and reading one."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from buildcheck.output.outcome import Refused, Spec

SUFFIX = ".buildcheck.yaml"
STANDARD_INPUT = "-"


def spec_files(named: Iterable[str]) -> list[str]:
    """The files to read: each one named, and every `*.buildcheck.yaml` below each folder, sorted; none twice.

    `-` stands for standard input. Raises click.UsageError for a folder without a spec.
    """
    files: dict[str, str] = {}
    for name in named:
        for file in _files(name):
            files.setdefault(file if file == STANDARD_INPUT else str(Path(file).absolute()), file)
    return list(files.values())


def _files(name: str) -> list[str]:
    folder = Path(name)
    if name == STANDARD_INPUT or not folder.is_dir():
        return [name]
    below = sorted(str(file) for file in folder.rglob(f"*{SUFFIX}") if not file.is_dir())
    if not below:
        raise click.UsageError(f"No spec found: the folder {name} holds no file whose name ends in {SUFFIX}")
    return below


def read_spec(file: str) -> Spec | Refused:
    """The spec in a file, or on standard input, and the build that it describes; or why it is refused."""
    # Imported here, so that what numpy and the schema library cost is paid only where a spec is read.
    from buildcheck.build import read_build  # noqa: PLC0415
    from buildcheck.document import Unreadable, read_file, read_stream  # noqa: PLC0415
    from buildcheck.output.outcome import Refused, Spec  # noqa: PLC0415
    from buildcheck.schema import problems_in  # noqa: PLC0415

    name = "standard input" if file == STANDARD_INPUT else file
    try:
        document = read_stream(sys.stdin.buffer) if file == STANDARD_INPUT else read_file(file)
    except Unreadable as unreadable:
        return Refused(name, unreadable.problems, readable=False)
    problems = problems_in(document)
    if problems:
        return Refused(name, problems, readable=True)
    return Spec(name, document, read_build(document.data))


def refuse_to_overwrite(file: Path, specs: Iterable[str]) -> None:
    """Raise click.UsageError where a file to be written is one of the specs, or a folder."""
    if file.is_dir():
        raise click.UsageError(f"{file} is a folder; --to takes the name of a file")
    for spec in specs:
        if spec != STANDARD_INPUT and _same(file, Path(spec)):
            raise click.UsageError(f"{file} is one of the specs; buildcheck never writes over a spec")


def _same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:  # one of them is not there
        return one.resolve() == other.resolve()
