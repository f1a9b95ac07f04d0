"""`buildcheck schema`: the JSON Schemas that come with buildcheck."""

from __future__ import annotations

from importlib.resources import files

import click

from buildcheck.commands.output import write_to_screen


@click.command("schema", short_help="Print the JSON Schema of a spec, for an editor.")
@click.option(
    "--of",
    "name",
    metavar="NAME",
    type=click.Choice(
        ["build-spec", "comparison", "loads", "order", "readings", "shop-standard", "sign-off", "work-order"]
    ),
    default="build-spec",
    show_default=True,
    help="build-spec and shop-standard: the files that you write; comparison, loads, order, readings, sign-off and "
    "work-order: the JSON of compare, loads, order, inspect, sign and work-order.",
)
def show_schema(name: str) -> None:
    """Print a JSON Schema (2020-12), for an editor or another program.

    \b
    Example:
      buildcheck schema --of shop-standard
    """
    file = files("buildcheck_schemas").joinpath(f"{name}.schema.json")
    write_to_screen(file.read_text(encoding="utf-8"))
