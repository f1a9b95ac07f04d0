"""`buildcheck order`: one spec to what is cut, ordered and renewed."""

from __future__ import annotations

import csv
import io
import sys
from contextlib import redirect_stdout
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
    plugin_failures_first,
    plugin_option,
    tell_failures,
)
from buildcheck.commands.specs import read_spec

WRONG_SPEC = 2
NOTHING_TO_ORDER = 4


@click.command("order", short_help="List what to cut, order and renew.")
@click.argument("spec", metavar="SPEC")
@click.option("--output", "kind", type=click.Choice(["text", "csv", "json"]), default="text", help="Format.")
@click.option("--to", metavar="FILE", type=click.Path(path_type=Path), help="Write to this file, not to the screen.")
@color_option
@plugin_option
@click.pass_context
def order_parts(
    context: click.Context, spec: str, kind: str, to: Path | None, color: str, plugin_files: tuple[Path, ...]
) -> None:
    """List what a build needs: tubes with their cut lengths, joints, jam nuts, bolts with grip, grade and torque,
    springs, straps, stops, hoses, shafts, how many of each, and what to renew while it is apart; held against `parts`,
    what was ordered, has arrived and was inspected.

    SPEC is a file, or - for standard input; buildcheck never writes to it. A number that the spec does not give is
    named with its line, and never taken as zero.

    \b
    Example:
      buildcheck order examples/tamarack/proposal.buildcheck.yaml

    \b
    Exit status, the first that holds:
      3  a plugin failed
      2  the spec cannot be read or is not valid; or wrong usage
      0  the lists were made
      4  the spec has no part to cut or to order
    """
    from buildcheck.output import order_text  # numpy comes with it
    from buildcheck.output.cycle_text import refused
    from buildcheck.output.outcome import Refused
    from buildcheck.shop.order_list import order_list

    refuse_to_overwrite(to, [spec], plugin_files)
    collected = collected_with(plugin_files)
    with redirect_stdout(sys.stderr), plugin_failures_first(collected.failures):
        read = read_spec(spec, collected)
    tell_failures(collected.failures)
    if isinstance(read, Refused):
        click.echo(refused(read, "ORDER AND CUT LIST: NOT MADE"), nl=False, err=True)
        context.exit(PLUGIN_FAILED if collected.failures else WRONG_SPEC)
    listed = order_list(read.build)
    status = NOTHING_TO_ORDER if listed.empty else 0
    colour = screen_colour(color) if to is None else wants_colour(color, {}, terminal=False)
    if kind == "csv":
        held = io.StringIO(newline="")
        csv.writer(held).writerows(order_text.csv_rows(listed, read.build.units))
        text = held.getvalue()
    elif kind == "json":
        from importlib.metadata import version

        from buildcheck.output import order_json

        text = order_json.sheet(read, listed, version("buildcheck"), status)
    else:
        text = order_text.sheet(read, listed, width=screen_width() if to is None else None, colour=colour)
    if to is None:
        write_to_screen(text, colour=colour)
    else:
        write_to_file(text, to)
    context.exit(PLUGIN_FAILED if collected.failures else status)
