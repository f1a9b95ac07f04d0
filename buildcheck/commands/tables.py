"""A command that makes tables of one spec: its arguments; and text, CSV or JSON, on the screen or in a file."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

import click

from buildcheck.commands.output import (
    color_option,
    screen_colour,
    screen_width,
    wants_colour,
    write_out,
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

if TYPE_CHECKING:
    from buildcheck.library.spec import Spec

WRONG_SPEC = 2

Command = TypeVar("Command", bound=Callable[..., Any])


class Asked(NamedTuple):
    """The arguments of such a command."""

    spec: str
    kind: str
    to: Path | None
    color: str
    plugin_files: tuple[Path, ...]


class Tables(NamedTuple):
    """The outcome of such a command: its exit status, and each of the three formats, made when it is called. `text`
    takes the width in columns, None for a printed page's, and whether to write bold type; `json` the tool's version."""

    status: int
    text: Callable[[int | None, bool], str]
    rows: Callable[[], Iterable[Sequence[str]]]
    json: Callable[[str], str]


def table_arguments(command: Command) -> Command:
    """The argument and options that `Asked` holds, in its order."""
    for add in (
        plugin_option,
        color_option,
        click.option(
            "--to", metavar="FILE", type=click.Path(path_type=Path), help="Write to this file, not to the screen."
        ),
        click.option("--output", "kind", type=click.Choice(["text", "csv", "json"]), default="text", help="Format."),
        click.argument("spec", metavar="SPEC"),
    ):
        command = add(command)
    return command


def write_tables(context: click.Context, asked: Asked, refusal: str, make: Callable[[Spec], Tables]) -> None:
    """Read the spec, make the tables and write them, and exit. `refusal` is the heading where there are none because
    the spec is not valid. What a plugin prints is not part of a table."""
    from buildcheck.output.cycle_text import refused
    from buildcheck.output.outcome import Refused

    refuse_to_overwrite(asked.to, [asked.spec], asked.plugin_files)
    collected = collected_with(asked.plugin_files)
    with kept_clear(), plugin_failures_first(collected.failures):
        read = read_spec(asked.spec, collected)
    tell_failures(collected.failures)
    with kept_clear():
        if isinstance(read, Refused):
            click.echo(refused(read, refusal), nl=False, err=True)
            if asked.kind == "json":
                from importlib.metadata import version

                from buildcheck.output import json_record

                record = json_record.refusal(read, collected.failures, version("buildcheck"))
                write_out(record, asked.to, colour=False)
            context.exit(PLUGIN_FAILED if collected.failures else WRONG_SPEC)
        made = make(read)
    colour = screen_colour(asked.color) if asked.to is None else wants_colour(asked.color, {}, terminal=False)
    if asked.kind == "csv":
        held = io.StringIO(newline="")
        csv.writer(held).writerows(made.rows())
        text = held.getvalue()
    elif asked.kind == "json":
        from importlib.metadata import version

        text = made.json(version("buildcheck"))
    else:
        text = made.text(screen_width() if asked.to is None else None, colour)
    write_out(text, asked.to, colour=colour)
    context.exit(PLUGIN_FAILED if collected.failures else made.status)
