"""`buildcheck loads`: one spec to the forces on its parts."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from buildcheck.commands.tables import Asked, Tables, table_arguments, write_tables

if TYPE_CHECKING:
    from buildcheck.library.spec import Spec

NO_LOADS = 4


@click.command("loads", short_help="Show the forces on tyres, links, joints and brackets.")
@table_arguments
@click.pass_context
def load_spec(context: click.Context, /, **asked: Any) -> None:
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
    write_tables(context, Asked(**asked), "LOADS SHEET: NO LOADS", _loads)


def _loads(read: Spec) -> Tables:
    from buildcheck.job import Job  # numpy comes with it
    from buildcheck.output import loads_json, loads_text
    from buildcheck.plugins.used import plugins_used

    table = Job(read.build).loads.table
    status = 0 if table.cases else NO_LOADS
    plugins = plugins_used(read.plugins)
    return Tables(
        status,
        lambda width, colour: loads_text.sheet(read, table, width=width, colour=colour, plugins=plugins),
        lambda: loads_text.csv_rows(table, read.build.units),
        lambda version: loads_json.sheet(read, table, version, status, plugins),
    )
