"""`buildcheck schema`: the JSON Schemas that come with buildcheck."""

from __future__ import annotations

from importlib.resources import files

import click

from buildcheck.commands.output import write_to_screen


@click.command("schema")
@click.option(
    "--of",
    "name",
    type=click.Choice(["build-spec", "loads", "readings", "shop-standard"]),
    default="build-spec",
    help="The build spec (as without this option), the JSON that loads or inspect writes, or a shop's standard.",
)
def show_schema(name: str) -> None:
    """Print a JSON Schema (2020-12), for an editor or another program."""
    file = files("buildcheck_schemas").joinpath(f"{name}.schema.json")
    write_to_screen(file.read_text(encoding="utf-8"))
