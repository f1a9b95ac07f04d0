"""`buildcheck rules`: the list of rules, or one rule's page."""

from __future__ import annotations

from pathlib import Path

import click

from buildcheck.commands.choice import chosen
from buildcheck.commands.output import screen_colour, screen_width, shown, write_to_screen
from buildcheck.commands.plugged import PLUGIN_FAILED, collected_with, plugin_option


@click.command("rules")
@click.argument("name", metavar="[RULE]", required=False)
@click.option("--area", metavar="AREA", multiple=True, help="List only this area; may be given more than once.")
@plugin_option
@click.option("--new", metavar="NAME", help="Write a rule of this name and its test, to start from.")
@click.option(
    "--to",
    metavar="FOLDER",
    type=click.Path(path_type=Path),
    help="With --new: write them into this folder, in place of the one that you are in.",
)
@click.option("--units", type=click.Choice(["inch-pound", "metric"]), default="inch-pound", help="Units of the limits.")
@click.option("--output", "kind", type=click.Choice(["text", "json"]), default="text", help="What to write.")
@click.option("--color", type=click.Choice(["auto", "always", "never"]), default="auto", help="Colour the text.")
@click.pass_context
def show_rules(
    context: click.Context,
    name: str | None,
    area: tuple[str, ...],
    plugin_files: tuple[Path, ...],
    new: str | None,
    to: Path | None,
    units: str,
    kind: str,
    color: str,
) -> None:
    """List the rules, or show one rule's page.

    The page says what the rule checks, why, how it is computed and how to put it right, with its limits,
    where they come from, and samples.

    With --new it writes NAME.py, a rule that runs, and test_NAME.py, its test that passes; it writes over nothing.
    """
    if new is None and to is not None:
        raise click.UsageError("--to says where --new writes; give both")
    if new is not None and (name is not None or area):
        raise click.UsageError("--new writes a rule, and lists none; leave out the rule or the area")
    collected = collected_with(plugin_files)
    if new is not None:
        from buildcheck.commands.new_rule import write_new_rule

        write_to_screen(write_new_rule(new, to or Path(), [rule.name for rule in collected.rules]))
        return
    from buildcheck.quantity import System

    rules = chosen(collected.rules, () if name is None else (name,), area, collected.failures)
    system = System(units)
    colour = screen_colour(color)
    if kind == "json":
        from buildcheck.output import rule_json

        text = rule_json.catalogue(rules, system)
    else:
        from buildcheck.output import rule_text

        width = screen_width()
        if name is None:
            text = rule_text.catalogue(rules, system, width=width, colour=colour)
        else:
            text = "".join(rule_text.page_of(rule, system, width=width, colour=colour) for rule in rules)
    write_to_screen(text, colour=colour)
    for failure in collected.failures:
        click.echo(f"The plugin {shown(failure.plugin)} could not be used: {shown(failure.sentence)}", err=True)
    if collected.failures:
        context.exit(PLUGIN_FAILED)
