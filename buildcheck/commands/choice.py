"""Stages, areas and rules, chosen by name; and how each command's help explains them."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any, TypeVar

import click

from buildcheck.commands.output import shown

if TYPE_CHECKING:
    from buildcheck.checks.rule import Rule

Command = TypeVar("Command", bound=Callable[..., Any])

# Written out here, since the classes that define them need numpy, and help must not wait for that.
STAGES = {
    "proposal": "the plan, nothing taken apart",
    "teardown": "the old suspension measured and taken off, nothing cut",
    "tacked": "brackets tacked on",
    "cycled": "the axle moved by hand through its travel",
    "final-weld": "welded for good",
    "reassembled": "everything fitted, filled and bled",
    "aligned": "on its wheels and aligned",
    "driven": "after the first drives",
}
AREAS = (
    *("links", "axle", "lateral bar and steering", "springs", "travel stops", "driveline", "welds", "fasteners"),
    *("records", "safety"),
)


def stage_option(command: Command) -> Command:
    """The option `--stage`, for a command that takes `stage`."""
    meanings = "; ".join(f"{stage}: {meaning}" for stage, meaning in STAGES.items())
    return click.option(
        "--stage",
        metavar="STAGE",
        type=click.Choice(list(STAGES)),
        help=f"How far the job is, if not as the spec says. {meanings}. Some rules apply from a later stage on.",
    )(command)


def area_option(use: str) -> Callable[[Command], Command]:
    """The option `--area`, for a command that takes `area`; `use` says what it does with the rules of one."""
    meaning = f"{use} the rules of this part of the truck; may be given more than once. Areas: {', '.join(AREAS)}."
    return click.option("--area", metavar="AREA", multiple=True, help=meaning)


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
    """The rules with these names and in these areas; an empty list allows all.

    Raises click.UsageError for a name that is not known.
    """
    from buildcheck.checks.rule import Area  # numpy comes with it

    offered = tuple(rules)
    names = {known_name(name, (rule.name for rule in offered), "rule") for name in only}
    parts = {known_name(area, (area.value for area in Area), "area") for area in areas}
    return tuple(
        rule for rule in offered if (not names or rule.name in names) and (not parts or rule.area.value in parts)
    )
