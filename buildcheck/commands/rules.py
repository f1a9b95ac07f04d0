"""`buildcheck rules`: the list of rules, or one rule's page."""

from __future__ import annotations

import sys
from contextlib import redirect_stdout

import click

from buildcheck.commands.choice import chosen
from buildcheck.commands.output import screen_colour, screen_width, shown, write_to_screen

PLUGIN_FAILED = 3


@click.command("rules")
@click.argument("name", metavar="[RULE]", required=False)
@click.option("--area", metavar="AREA", multiple=True, help="List only this area; may be given more than once.")
@click.option("--units", type=click.Choice(["inch-pound", "metric"]), default="inch-pound", help="Units of the limits.")
@click.option("--output", "kind", type=click.Choice(["text", "json"]), default="text", help="What to write.")
@click.option("--color", type=click.Choice(["auto", "always", "never"]), default="auto", help="Colour the text.")
@click.pass_context
def show_rules(
    context: click.Context, name: str | None, area: tuple[str, ...], units: str, kind: str, color: str
) -> None:
    """List the rules, or show one rule's page.

    The page says what the rule checks, why, how it is computed and how to put it right, with its limits,
    where they come from, and samples.
    """
    from buildcheck.plugins import collect  # numpy comes with it
    from buildcheck.quantity import System

    with redirect_stdout(sys.stderr):  # what a plugin prints is no part of the list
        collected = collect()
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
