"""The shop's standard for each spec: one that is named, else one beside the spec, else the user's own."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from buildcheck.commands.specs import STANDARD_INPUT

if TYPE_CHECKING:
    from buildcheck.checks.standard_chain import Written
    from buildcheck.output.outcome import StandardUsed
    from buildcheck.plugins.loading import Collected
    from buildcheck.spec.place import Problem

NAME = "shop.standard.yaml"
"""File name of a standard that is found without being named."""

NAMED, BESIDE, USERS = "named on the command line", "beside the spec", "in the user's configuration folder"
ABOVE = "in a folder above the spec"
REFUSED = 2
REPOSITORIES = (".git", ".hg", ".svn")
"""Names of which the root of a repository holds one."""
Command = TypeVar("Command", bound=Callable[..., Any])


def standard_option(command: Command) -> Command:
    """The option `--standard FILE`, for a command that takes `standard_file` and specs."""
    return named_standard_option(
        f"Use this shop's standard.  [default: {NAME} beside or above the spec, else the user's own]"
    )(command)


def named_standard_option(meaning: str) -> Callable[[Command], Command]:
    """The option `--standard FILE` with its help, for a command that takes `standard_file`."""
    file = click.Path(path_type=Path)
    return click.option("--standard", "standard_file", metavar="FILE", type=file, help=meaning)


@dataclass(frozen=True, slots=True)
class Found:
    """A standard that was found, and read as far as it can be without knowing the rules."""

    file: str
    how: str
    written: Written

    @property
    def plugins(self) -> tuple[Path, ...]:
        """The rule files that it names, itself or through a standard that it is based on."""
        return self.written.plugin_files

    @property
    def bases(self) -> tuple[Path, ...]:
        """The files of the standards that it is based on."""
        return tuple(Path(each.name) for each in self.written.bases)


@dataclass(frozen=True, slots=True)
class Broken:
    """A standard that was found for a spec and cannot be used: its mistakes, with their places. That spec is
    refused; specs with another standard are inspected. None of the plugins that it names is run."""

    file: str
    problems: tuple[Problem, ...]
    plugins: tuple[Path, ...] = ()
    bases: tuple[Path, ...] = ()


def found_for(
    specs: Iterable[str], named: Path | None, stands_for: str | None = None
) -> dict[str, Found | Broken | None]:
    """The standard of each spec. Ends the command, with every mistake and its place, where one that is named
    cannot be used.

    `stands_for` is the file that standard input stands for, by whose place its standard is found. A standard that was
    found beside or above a spec runs no code: one that names plugins is refused, since no one chose it.
    """
    read: dict[str, Found | Broken] = {}
    found: dict[str, Found | Broken | None] = {}
    for spec in specs:
        place = stands_for if spec == STANDARD_INPUT and stands_for is not None else spec
        file, how = _file_for(place, named)
        if file is not None and str(file) not in read:
            read[str(file)] = _read(file, how)
        found[spec] = None if file is None else read[str(file)]
    return found


def named_standard(named: Path) -> Found:
    """The standard that a command line names; ends the command where it cannot be used."""
    found = _read(named, NAMED)
    assert isinstance(found, Found)  # a broken one that is named has ended the command
    return found


def settled(found: Iterable[Found | Broken | None], collected: Collected) -> Mapping[str, StandardUsed | Broken]:
    """The standards for what was collected, by file; one with an unknown name or unit is broken, and ends the command
    where it was named."""
    from buildcheck.checks.inspection import WITHOUT_CHECKS
    from buildcheck.checks.standard_chain import NotUsable
    from buildcheck.checks.standard_file import read_standard
    from buildcheck.output.outcome import StandardUsed

    used: dict[str, StandardUsed | Broken] = {}
    for each in found:
        if each is None or each.file in used:
            continue
        if isinstance(each, Broken):
            used[each.file] = each
            continue
        try:
            document, bases = each.written
            standard = read_standard(document, collected.rules, WITHOUT_CHECKS, collected.additions, bases)
        except NotUsable as not_usable:
            used[each.file] = _broken(each.file, each.how, not_usable.problems)
        else:
            chosen, digest = each.how in (NAMED, USERS), each.written.digest
            lacking = tuple(name for name in standard.plugins if name not in collected.loaded)
            used[each.file] = StandardUsed(standard, each.file, each.how, chosen, digest, lacking)
    return used


def settled_one(named: Found, collected: Collected) -> StandardUsed:
    """The standard that a command line names, for what was collected; ends the command where it cannot be used."""
    used = settled([named], collected)[named.file]
    assert not isinstance(used, Broken)  # see `_broken`
    return used


def _file_for(spec: str, named: Path | None) -> tuple[Path | None, str]:
    if named is not None:
        return named, NAMED
    if spec != STANDARD_INPUT:
        for folder in _folders(Path(spec).parent):
            if _is_there(folder / NAME):
                return folder / NAME, BESIDE if folder == Path(spec).parent else ABOVE
    from platformdirs import user_config_path

    users = user_config_path("buildcheck", appauthor=False) / NAME
    return (users, USERS) if _is_there(users) else (None, "")


def _folders(beside: Path) -> Iterator[Path]:
    """The folder of a spec, and those above it up to the root of its repository; none above it outside of one."""
    yield beside
    above = []
    here = Path(os.path.abspath(beside))  # noqa: PTH100 - links stay as they are
    while not any(_is_there(here / each) for each in REPOSITORIES) and here != here.parent:
        here = here.parent
        above.append(here)
    if here != here.parent:
        yield from (Path(os.path.relpath(folder)) for folder in above)


def _is_there(file: Path) -> bool:
    try:
        return file.is_symlink() or file.exists()  # a broken link was meant as a standard, and is refused
    except OSError:  # a place that may not be looked into
        return False


def _read(file: Path, how: str) -> Found | Broken:
    from buildcheck.checks.standard_chain import NotUsable, written
    from buildcheck.spec.document import Unreadable, read_file
    from buildcheck.spec.place import Problem

    try:
        found = Found(str(file), how, written(read_file(file)))
    except (Unreadable, NotUsable) as refused:
        return _broken(str(file), how, refused.problems)
    if found.plugins and how not in (NAMED, USERS):
        document = found.written.document
        path = "plugins" if "plugins" in document.data else "based_on"
        position = document.position(path)
        sentence = f"plugins are code, and a standard that lies {how} runs none; name it: --standard {file}"
        return Broken(str(file), (Problem(sentence, path, position.line, position.column),), found.plugins, found.bases)
    return found


def _broken(file: str, how: str, problems: Iterable[Problem]) -> Broken:
    """A standard that cannot be used; ends the command where it was named on the command line."""
    if how != NAMED:
        return Broken(file, tuple(problems))
    from buildcheck.output.sheet import standard_refused

    click.echo(standard_refused(file, tuple(problems)), nl=False, err=True)
    raise click.exceptions.Exit(REFUSED)
