"""`buildcheck inspect`: specs to an inspection record."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from contextlib import redirect_stdout
from pathlib import Path
from typing import TYPE_CHECKING

import click

from buildcheck.commands.choice import chosen
from buildcheck.commands.output import (
    screen_colour,
    screen_width,
    wants_colour,
    write_to_file,
    write_to_screen,
)
from buildcheck.commands.specs import read_spec, refuse_to_overwrite, spec_files

if TYPE_CHECKING:
    from buildcheck.build import Stage
    from buildcheck.output.outcome import Inspected, Outcome, Refused
    from buildcheck.rule import Rule

STAGES = ("proposal", "teardown", "tacked", "cycled", "final-weld")


@click.command("inspect")
@click.argument("specs", metavar="SPEC...", nargs=-1, required=True)
@click.option("--stage", type=click.Choice(STAGES), help="Inspect as at this stage, in place of the spec's own.")
@click.option("--only", metavar="RULE", multiple=True, help="Apply only this rule; may be given more than once.")
@click.option("--area", metavar="AREA", multiple=True, help="Apply only the rules of this area; likewise.")
@click.option("--output", "kind", type=click.Choice(["text", "json"]), default="text", help="What to write.")
@click.option("--to", metavar="FILE", type=click.Path(path_type=Path), help="Write to this file.")
@click.option("--quiet", is_flag=True, help="Text: one line for each error, warning and failure; else nothing.")
@click.option("--all", "everything", is_flag=True, help="Text: also every reading within limits, with its numbers.")
@click.option("--color", type=click.Choice(["auto", "always", "never"]), default="auto", help="Colour the text.")
@click.pass_context
def inspect_specs(
    context: click.Context,
    specs: tuple[str, ...],
    stage: str | None,
    only: tuple[str, ...],
    area: tuple[str, ...],
    kind: str,
    to: Path | None,
    quiet: bool,
    everything: bool,
    color: str,
) -> None:
    """Inspect build specs.

    SPEC is a file, a folder (every *.buildcheck.yaml below it), or - for standard input. A spec is only
    ever read.

    With both --only and --area, a rule is applied that satisfies both.

    \b
    Exit status, the first that holds for any spec:
      3  a rule or a plugin failed
      2  a spec cannot be read or is not valid; or wrong usage
      1  at least one error
      0  nothing worse than a warning
      4  nothing was checked, in any spec
    """
    if quiet and everything:
        raise click.UsageError("--quiet and --all ask for opposite things; give one of them")
    if kind == "json" and (quiet or everything):
        raise click.UsageError("--quiet and --all shape the text; JSON always holds everything")
    files = spec_files(specs)
    if to is not None:
        refuse_to_overwrite(to, files)
    outcome = _outcome(files, stage, only, area)
    colour = screen_colour(color) if to is None else wants_colour(color, {}, terminal=False)
    width = screen_width() if to is None else None
    text = _text(outcome, kind, quiet=quiet, everything=everything, colour=colour, width=width)
    if to is None:
        write_to_screen(text, colour=colour)
    else:
        write_to_file(text, to)
    context.exit(int(outcome.status))


def _outcome(files: Sequence[str], stage: str | None, only: Sequence[str], areas: Sequence[str]) -> Outcome:
    # Imported here, so that what numpy and the schema library cost is paid only by an inspection.
    from buildcheck.build import Stage
    from buildcheck.output.outcome import Outcome
    from buildcheck.plugins import collect

    at = None if stage is None else Stage(stage)
    with redirect_stdout(sys.stderr):  # what a plugin prints is no part of the record
        collected = collect()
        rules = chosen(collected.rules, only, areas, collected.failures)
        return Outcome(tuple(_inspected(file, rules, at) for file in files), collected.failures)


def _inspected(file: str, rules: tuple[Rule, ...], stage: Stage | None) -> Inspected | Refused:
    from buildcheck.inspection import inspect
    from buildcheck.output.outcome import Inspected, Refused

    spec = read_spec(file)
    if isinstance(spec, Refused):
        return spec
    inspection = inspect(spec.build, rules, stage=stage)
    later = tuple(rule for rule in rules if rule.from_stage.number > inspection.stage.number)
    return Inspected(spec.file, spec.document, spec.build, inspection, later)


def _text(outcome: Outcome, kind: str, *, quiet: bool, everything: bool, colour: bool, width: int | None) -> str:
    if kind == "json":
        from importlib.metadata import version

        from buildcheck.output import json_record

        return json_record.record(outcome, version("buildcheck"))
    if quiet:
        from buildcheck.output.lines import lines

        return lines(outcome, colour=colour)
    from buildcheck.output.text import record

    return record(outcome, width=width, colour=colour, everything=everything)
