"""Refusing to overwrite: every file that a command reads, and every file with the name of a spec or a standard."""

from __future__ import annotations

import os
import stat
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from buildcheck.commands.output import reason, shown
from buildcheck.commands.specs import STANDARD_INPUT, SUFFIX
from buildcheck.commands.standards import NAME

if TYPE_CHECKING:
    from buildcheck.commands.standards import Broken, Found


def refuse_to_overwrite(
    file: Path | None,
    specs: Iterable[str],
    plugins: Iterable[Path],
    standards: Iterable[Found | Broken | None] = (),
) -> None:
    """Raise click.UsageError where the output `file` is a spec, a standard, or a rule file that the call or a standard
    names; has the name of a spec or a standard; is a folder, a device or a pipe; or cannot be looked at. None, for
    standard output, is never refused.
    """
    if file is None:
        return
    _refuse_no_file(file)
    names = {file.name, Path(os.path.realpath(file)).name}
    found = [each for each in standards if each is not None]
    if any(_same(file, Path(spec)) for spec in specs if spec != STANDARD_INPUT) or _is_standard_input(file):
        raise click.UsageError(f"{shown(file)} is one of the specs; buildcheck never overwrites a spec")
    if any(name.endswith(SUFFIX) for name in names):
        raise click.UsageError(f"{shown(file)} has the name of a spec; buildcheck never overwrites a spec")
    if NAME in names or any(_same(file, each) for standard in found for each in (Path(standard.file), *standard.bases)):
        raise click.UsageError(f"{shown(file)} is a shop's standard; buildcheck never overwrites one")
    if any(_same(file, plugin) for plugin in (*plugins, *(plugin for each in found for plugin in each.plugins))):
        raise click.UsageError(f"{shown(file)} is one of the rule files; buildcheck never overwrites one")


def _refuse_no_file(file: Path) -> None:
    if str(file) in ("", ".", STANDARD_INPUT):
        raise click.UsageError("--to takes the name of a file; leave it out to write to standard output")
    try:
        mode = file.stat().st_mode  # of the file that a link names
    except FileNotFoundError:
        return
    except OSError as error:
        raise click.UsageError(f"{shown(file)} cannot be written: {reason(error)}") from error
    if stat.S_ISDIR(mode):
        raise click.UsageError(f"{shown(file)} is a folder; --to takes the name of a file")
    if not stat.S_ISREG(mode):
        raise click.UsageError(f"{shown(file)} is a device or a pipe; --to takes the name of a file")


def _is_standard_input(file: Path) -> bool:
    try:
        return os.path.samestat(file.stat(), os.fstat(sys.stdin.fileno()))
    except (OSError, ValueError, AttributeError):  # one of them is missing, or not a file
        return False


def _same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:  # one of them is missing
        return os.path.realpath(one) == os.path.realpath(other)
