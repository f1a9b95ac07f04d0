"""Stages, areas and rules, chosen by name; and how each command's help explains them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Any, TypeVar

import click

from buildcheck.commands.output import shown
from buildcheck.spec.names import no_such

if TYPE_CHECKING:
    from buildcheck.checks.rule import Rule

Command = TypeVar("Command", bound=Callable[..., Any])

MOST_LIMITS = 6
"""The most limits that are named in place of a rule."""

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
    sentence = no_such(what, shown(name), names)
    raise click.UsageError(f"{sentence[0].upper()}{sentence[1:]}")


def _known_rule(name: str, rules: Sequence[Rule]) -> str:
    """The name of the rule that is meant. Raises click.UsageError, with the area or with the limits of that name where
    it is one of those."""
    from buildcheck.checks.rule import Area  # numpy comes with it

    try:
        return known_name(name, (rule.name for rule in rules), "rule")
    except click.UsageError:
        asked = name.strip().casefold().replace("-", " ")
        if asked in (area.value for area in Area):
            raise click.UsageError(f'"{shown(name)}" is an area, not a rule: --area "{asked}"') from None
        here = [
            f"{rule.name}/{limit.name}"
            for rule in rules
            for limit in rule.limits
            if f" {asked} " in f" {limit.name.replace('-', ' ')} "
        ]
        if asked and here:
            limits = ", ".join(here[:MOST_LIMITS]) + (", and more" if len(here) > MOST_LIMITS else "")
            raise click.UsageError(f'There is no rule "{shown(name)}"; these limits are of it: {limits}') from None
        raise


def chosen(rules: Iterable[Rule], only: Iterable[str], areas: Iterable[str]) -> tuple[Rule, ...]:
    """The rules with these names and in these areas; an empty list allows all.

    Raises click.UsageError for a name that is not known.
    """
    from buildcheck.checks.rule import Area  # numpy comes with it

    offered = tuple(rules)
    names = {_known_rule(name, offered) for name in only}
    parts = {known_name(area, (area.value for area in Area), "area") for area in areas}
    return tuple(
        rule for rule in offered if (not names or rule.name in names) and (not parts or rule.area.value in parts)
    )
