"""Choosing rules and areas by name."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from typing import TYPE_CHECKING

import click

from buildcheck.commands.output import shown

if TYPE_CHECKING:
    from buildcheck.checks.rule import Rule


def known_name(name: str, known: Iterable[str], what: str) -> str:
    """The known name that is meant: as it is written, or with hyphens for spaces.

    Raises click.UsageError, with the nearest known name, for one that is not known.
    """
    names = list(known)
    asked = name.strip().casefold().replace("-", " ")
    for one in names:
        if asked == one.casefold().replace("-", " "):
            return one
    near = difflib.get_close_matches(asked, {one.replace("-", " "): one for one in names}, 1, 0.5)
    if near:
        meant = next(one for one in names if one.replace("-", " ") == near[0])
        raise click.UsageError(f'There is no {what} "{shown(name)}"; the nearest is "{meant}"')
    listed = f"; there are {', '.join(names)}" if len(names) <= 12 else ""
    raise click.UsageError(f'There is no {what} "{shown(name)}"{listed}')


def chosen(rules: Iterable[Rule], only: Iterable[str], areas: Iterable[str]) -> tuple[Rule, ...]:
    """The rules of these names and of these areas; an empty list of either leaves it open.

    Raises click.UsageError for a name that is not known.
    """
    from buildcheck.checks.rule import Area  # numpy comes with it

    offered = tuple(rules)
    names = {known_name(name, (rule.name for rule in offered), "rule") for name in only}
    parts = {known_name(area, (area.value for area in Area), "area") for area in areas}
    return tuple(
        rule for rule in offered if (not names or rule.name in names) and (not parts or rule.area.value in parts)
    )
