"""`buildcheck rules`: the list of rules, or one rule's page."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from buildcheck.commands.choice import area_option, chosen
from buildcheck.commands.output import color_option, screen_colour, screen_width, shown, write_to_screen
from buildcheck.commands.plugged import PLUGIN_FAILED, collected_with, plugin_failures_first, plugin_option
from buildcheck.commands.standards import Found, named_standard, named_standard_option, settled_one

if TYPE_CHECKING:
    from buildcheck.plugins.loading import Collected
    from buildcheck.spec.additions import Additions
    from buildcheck.spec.quantity import System


@click.command("rules", short_help="List the rules and their limits, or show one rule's page.")
@click.argument("name", metavar="[RULE]", required=False)
@area_option("List only")
@plugin_option
@named_standard_option("Show the limits of this shop's standard.")
@click.option("--quantities", is_flag=True, help="List the quantities that a standard may set limits on.")
@click.option("--fields", "part", metavar="PART", help="List the fields of a part of the build that a rule may read.")
@click.option("--new", metavar="NAME", help="Write a rule of this name and its test, as a start.")
@click.option(
    "--to",
    metavar="FOLDER",
    type=click.Path(path_type=Path),
    help="With --new: write them into this folder.  [default: the current folder]",
)
@click.option(
    "--units",
    type=click.Choice(["inch-pound", "metric"]),
    help="Units of the limits.  [default: those of the standard, else inch-pound]",
)
@click.option("--output", "kind", type=click.Choice(["text", "json"]), default="text", help="Format.")
@color_option
@click.pass_context
def show_rules(
    context: click.Context,
    name: str | None,
    area: tuple[str, ...],
    plugin_files: tuple[Path, ...],
    standard_file: Path | None,
    quantities: bool,
    part: str | None,
    new: str | None,
    to: Path | None,
    units: str | None,
    kind: str,
    color: str,
) -> None:
    """List the rules, or show one rule's page.

    RULE is the name of a rule. Its page says what is checked, the risk, how it is worked out, and the remedy, with
    the limits, their basis, and samples.

    \b
    Example:
      buildcheck rules link-flatness

    With --standard the limits are those of that shop's standard.

    With --new it writes NAME.py, a rule that runs, and test_NAME.py, its test that passes; it never overwrites a file.
    """
    if new is None and to is not None:
        raise click.UsageError("--to says where --new writes; give both")
    if new is not None and (name is not None or area):
        raise click.UsageError("--new writes a rule, and lists none; leave out the rule or the area")
    if quantities and (name is not None or area or new is not None):
        raise click.UsageError("--quantities lists quantities, and no rules; leave out the rule, the area and --new")
    if part is not None:
        if name is not None or area or new is not None or quantities or kind != "text":
            raise click.UsageError("--fields lists the fields of one part, as text; leave out what lists anything else")
        write_to_screen(_fields(part, units, color), colour=screen_colour(color))
        return
    found = None if standard_file is None else named_standard(standard_file)
    collected = collected_with(plugin_files, [found])
    if new is not None:
        from buildcheck.commands.new_rule import write_new_rule

        write_to_screen(write_new_rule(new, to or Path(), [rule.name for rule in collected.rules]))
        return
    from buildcheck.spec.quantity import System

    own = System.INCH_POUND if found is None else System(found.written.document.data["units"])
    system, colour = own if units is None else System(units), screen_colour(color)
    with plugin_failures_first(collected.failures):
        if quantities:
            text = _quantities(system, collected.additions, kind, colour=colour)
        else:
            text = _rules(name, area, collected, found, system, kind, colour=colour)
    write_to_screen(text, colour=colour)
    for failure in collected.failures:
        click.echo(f"The plugin {shown(failure.plugin)} could not be used: {shown(failure.sentence)}", err=True)
    if collected.failures:
        context.exit(PLUGIN_FAILED)


def _fields(part: str, units: str | None, color: str) -> str:
    from buildcheck.output import field_list
    from buildcheck.spec.quantity import System

    try:
        return field_list.text(
            part, System(units or System.INCH_POUND), width=screen_width(), colour=screen_colour(color)
        )
    except LookupError as unknown:
        raise click.UsageError(str(unknown.args[0])) from None


def _quantities(system: System, additions: Additions, kind: str, *, colour: bool) -> str:
    from buildcheck.output import quantity_list

    if kind == "json":
        return quantity_list.data(system, additions)
    return quantity_list.text(system, additions, width=screen_width(), colour=colour)


def _rules(
    name: str | None,
    area: tuple[str, ...],
    collected: Collected,
    found: Found | None,
    system: System,
    kind: str,
    *,
    colour: bool,
) -> str:
    """The list, or the page of one rule; as the shop's standard has them, where one is named."""
    from buildcheck.checks.inspection import WITHOUT_CHECKS

    standard = None if found is None else settled_one(found, collected).standard
    rules = collected.rules if standard is None else standard.as_listed(collected.rules)
    offered = rules if name is None else (*rules, *WITHOUT_CHECKS.values())
    asked = chosen(offered, () if name is None else (name,), area)
    if kind == "json":
        from buildcheck.output import rule_json

        return rule_json.catalogue(asked, system, standard)
    from buildcheck.output import rule_text

    width = screen_width()
    if name is None:
        return rule_text.catalogue(asked, system, width=width, colour=colour, standard=standard)
    return "".join(rule_text.page_of(rule, system, width=width, colour=colour, standard=standard) for rule in asked)
