"""`buildcheck order`: one spec to what is cut, ordered and renewed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from buildcheck.commands.tables import Asked, Tables, table_arguments, write_tables

if TYPE_CHECKING:
    from buildcheck.output.outcome import Spec

NOTHING_TO_ORDER = 4


@click.command("order", short_help="List what to cut, order and renew.")
@table_arguments
@click.pass_context
def order_parts(context: click.Context, /, **asked: Any) -> None:
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
    write_tables(context, Asked(**asked), "ORDER AND CUT LIST: NOT MADE", _order_list)


def _order_list(read: Spec) -> Tables:
    from buildcheck.output import order_json, order_text  # numpy comes with it
    from buildcheck.shop.order_list import order_list

    listed = order_list(read.build)
    status = NOTHING_TO_ORDER if listed.empty else 0
    return Tables(
        status,
        lambda width, colour: order_text.sheet(read, listed, width=width, colour=colour),
        lambda: order_text.csv_rows(listed, read.build.units),
        lambda version: order_json.sheet(read, listed, version, status),
    )
