"""`buildcheck compare`: what differs between two specs, stages or standards, or a signed record and today."""

from __future__ import annotations

import sys
from contextlib import redirect_stdout
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import click

from buildcheck.commands.choice import STAGES
from buildcheck.commands.inspect import today
from buildcheck.commands.output import (
    color_option,
    reason,
    screen_colour,
    screen_width,
    shown,
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
from buildcheck.commands.standards import Broken, Found, found_for, settled, standard_option

if TYPE_CHECKING:
    from buildcheck.output.compare_text import Named
    from buildcheck.plugins.loading import Collected
    from buildcheck.shop.comparison import State
    from buildcheck.shop.sign_off import SignOff
    from buildcheck.spec.quantity import System

WRONG_SPEC = 2
RECORD = ".signed.json"
HEADING = "COMPARISON: NOT MADE"


class _Asked(NamedTuple):
    """One of the two things to compare: a spec file, as at a stage, None for its own, by a standard, None for none."""

    file: str
    stage: str | None
    standard: Found | Broken | None


@click.command("compare", short_help="Say what differs between two specs, stages or standards.")
@click.argument("first", metavar="FIRST")
@click.argument("second", metavar="[SECOND]", required=False)
@click.option("--stage", metavar="STAGE", type=click.Choice(list(STAGES)), help="Inspect both as at this stage.")
@click.option(
    "--second-stage", metavar="STAGE", type=click.Choice(list(STAGES)), help="Inspect the second as at this stage."
)
@standard_option
@click.option(
    "--second-standard",
    "second_standard",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Inspect the second by this shop's standard.",
)
@click.option("--output", "kind", type=click.Choice(["text", "json"]), default="text", help="Format.")
@click.option("--to", metavar="FILE", type=click.Path(path_type=Path), help="Write to this file, not to the screen.")
@click.option("--all", "everything", is_flag=True, help="Text: all numbers that moved, all readings that only one has.")
@color_option
@plugin_option
@click.pass_context
def compare_specs(
    context: click.Context,
    first: str,
    second: str | None,
    stage: str | None,
    second_stage: str | None,
    standard_file: Path | None,
    second_standard: Path | None,
    kind: str,
    to: Path | None,
    everything: bool,
    color: str,
    plugin_files: tuple[Path, ...],
) -> None:
    """Say what differs between two states of a build: values of the spec, verdicts that turned, numbers that moved and
    by how much, and limits.

    FIRST and SECOND are specs. FIRST may be the record of a signed stage (.signed.json); without SECOND it is compared
    with the spec that it was signed for, as that is today. Without SECOND a spec is compared with itself, as at another
    stage or by another standard.

    \b
    Example:
      buildcheck compare front.buildcheck.yaml back.buildcheck.yaml

    \b
    Exit status, the first that holds:
      3  a rule or a plugin failed
      2  a spec, a standard or the record cannot be used; or wrong usage
      1  a verdict got worse
      0  none did
    """
    from buildcheck.output import compare_text  # numpy comes with it
    from buildcheck.shop.comparison import compare

    record = _record(first) if first.endswith(RECORD) else None
    if record is None and second is None and second_stage is None and second_standard is None:
        raise click.UsageError("a spec is compared with another one, or with --second-stage or --second-standard")
    files = (first, second or (first if record is None else str(Path(first).parent / Path(record.spec_file).name)))
    by = standard_file if second_standard is None else second_standard
    standards = (None if record else found_for([first], standard_file)[first], found_for([files[1]], by)[files[1]])
    refuse_to_overwrite(to, files, plugin_files, standards)
    collected = collected_with(plugin_files, standards)
    with redirect_stdout(sys.stderr), plugin_failures_first(collected.failures):  # what a plugin prints is no result
        after_stage = second_stage or stage or (record.stage.value if record else None)
        after, named_after, system = _state(context, _Asked(files[1], after_stage, standards[1]), collected)
        if record is None:
            before, named_before, _ = _state(context, _Asked(first, stage, standards[0]), collected)
        else:
            before, named_before = _signed(record, first)
        found = compare(before, after)
    tell_failures(collected.failures)
    failed = bool(collected.failures) or any(each.failure for each in (*before.named, *after.named))
    status = PLUGIN_FAILED if failed else int(bool(found.worse))
    colour = screen_colour(color) if to is None else wants_colour(color, {}, terminal=False)
    if kind == "json":
        from importlib.metadata import version

        from buildcheck.output import compare_json

        text = compare_json.comparison(found, named_before, named_after, system, version("buildcheck"), status)
    else:
        width = screen_width() if to is None else None
        text = compare_text.comparison(
            found, named_before, named_after, system, everything=everything, width=width, colour=colour
        )
    if to is None:
        write_to_screen(text, colour=colour)
    else:
        write_to_file(text, to)
    context.exit(status)


def _state(context: click.Context, asked: _Asked, collected: Collected) -> tuple[State, Named, System]:
    """A spec inspected, with its name and units; ends the command where it cannot be."""
    from buildcheck.build import Stage
    from buildcheck.checks.inspection import inspect
    from buildcheck.output.compare_text import Named
    from buildcheck.output.cycle_text import refused
    from buildcheck.output.outcome import Refused
    from buildcheck.output.sheet import build_name
    from buildcheck.shop.comparison import state_of

    spec = read_spec(asked.file, collected)
    if isinstance(spec, Refused):
        click.echo(refused(spec, HEADING), nl=False, err=True)
        context.exit(WRONG_SPEC)
    used = None if asked.standard is None else settled([asked.standard], collected)[asked.standard.file]
    if isinstance(used, Broken):
        raise click.UsageError(f"The standard {shown(used.file)} cannot be used: {shown(used.problems[0].sentence)}")
    inspection = inspect(
        spec.build,
        collected.rules,
        stage=None if asked.stage is None else Stage(asked.stage),
        standard=None if used is None else used.standard,
        today=today(),
        changes=False,
    )
    title = "" if used is None else f"by {used.standard.title}"
    return state_of(spec.build, inspection), Named(build_name(spec), asked.file, title), spec.build.units


def _signed(record: SignOff, file: str) -> tuple[State, Named]:
    """The state that was signed off, with its name."""
    from buildcheck.output.compare_text import Named
    from buildcheck.shop.comparison import signed_state

    by = record.provenance.standard
    title = "" if by is None else f"by the standard {by.name} {by.version}".rstrip()
    when = f"signed by {record.signed_by} on {record.signed_at:%Y-%m-%d}"
    return signed_state(record), Named(f"{record.stated.get('build.name', 'not named')}, {when}", file, title)


def _record(file: str) -> SignOff:
    """The record in a file; ends the command where there is none, or where it was changed after it was written."""
    from buildcheck.shop.signed_record import NotARecord, read_record

    try:
        read = read_record(Path(file).read_text(encoding="utf-8"))
    except OSError as error:
        raise click.UsageError(f"The record {shown(file)} cannot be read: {reason(error)}") from error
    except UnicodeDecodeError as error:
        raise click.UsageError(f"The record {shown(file)} cannot be read: it is not text in UTF-8") from error
    except NotARecord as wrong:
        raise click.UsageError(f"{shown(file)} cannot be used: {shown(wrong)}") from wrong
    if not read.intact:
        raise click.UsageError(f"{shown(file)} was changed after it was written, so it does not say what was signed")
    return read.sign_off
