"""`buildcheck loads`: one spec to the forces on its parts."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import click

from buildcheck.commands.output import (
    color_option,
    screen_colour,
    screen_width,
    wants_colour,
    write_to_file,
    write_to_screen,
)
from buildcheck.commands.overwriting import refuse_to_overwrite
from buildcheck.commands.plugged import (
    PLUGIN_FAILED,
    collected_with,
    kept_clear,
    plugin_failures_first,
    plugin_option,
    tell_failures,
)
from buildcheck.commands.specs import read_spec

WRONG_SPEC = 2
NO_LOADS = 4


@click.command("loads", short_help="Show the forces on tyres, links, joints and brackets.")
@click.argument("spec", metavar="SPEC")
@click.option("--output", "kind", type=click.Choice(["text", "csv", "json"]), default="text", help="Format.")
@click.option("--to", metavar="FILE", type=click.Path(path_type=Path), help="Write to this file, not to the screen.")
@color_option
@plugin_option
@click.pass_context
def load_spec(
    context: click.Context, spec: str, kind: str, to: Path | None, color: str, plugin_files: tuple[Path, ...]
) -> None:
    """Compute the forces on tyres, links, bar, joints, coilovers, stops, straps and brackets: at rest, braking, in
    bends, driving, when a rock strikes a link, on the stops, hanging on the straps, and where the links bind in
    articulation.

    SPEC is a file, or - for standard input; buildcheck never writes to it. How hard each case is comes from load_cases
    in the spec; without that a common value is assumed, and the case says so. A case that cannot be computed is listed
    with the reason; the others are still computed.

    \b
    Example:
      buildcheck loads examples/tamarack/proposal.buildcheck.yaml

    \b
    Exit status, the first that holds:
      3  a plugin failed
      2  the spec cannot be read or is not valid; or wrong usage
      0  at least one case was computed
      4  the spec lacks what the loads need
    """
    from buildcheck.job import Job  # numpy comes with it
    from buildcheck.output import loads_text
    from buildcheck.output.cycle_text import refused
    from buildcheck.output.outcome import Refused

    refuse_to_overwrite(to, [spec], plugin_files)
    collected = collected_with(plugin_files)
    # What a plugin prints is not part of the sheet.
    with kept_clear(), plugin_failures_first(collected.failures):
        read = read_spec(spec, collected)
    tell_failures(collected.failures)
    with kept_clear():
        if isinstance(read, Refused):
            click.echo(refused(read, "LOADS SHEET: NO LOADS"), nl=False, err=True)
            context.exit(PLUGIN_FAILED if collected.failures else WRONG_SPEC)
        table = Job(read.build).loads.table
    colour = screen_colour(color) if to is None else wants_colour(color, {}, terminal=False)
    if kind == "csv":
        held = io.StringIO(newline="")
        csv.writer(held).writerows(loads_text.csv_rows(table, read.build.units))
        text = held.getvalue()
    elif kind == "json":
        from importlib.metadata import version

        from buildcheck.output import loads_json

        text = loads_json.sheet(read, table, version("buildcheck"), 0 if table.cases else NO_LOADS)
    else:
        text = loads_text.sheet(read, table, width=screen_width() if to is None else None, colour=colour)
    if to is None:
        write_to_screen(text, colour=colour)
    else:
        write_to_file(text, to)
    context.exit(PLUGIN_FAILED if collected.failures else 0 if table.cases else NO_LOADS)
