"""`buildcheck signed`: whether the signature in a record still holds."""

from __future__ import annotations

from pathlib import Path

import click

from buildcheck.commands.inspect import today
from buildcheck.commands.output import color_option, reason, screen_colour, screen_width, shown, write_to_screen
from buildcheck.commands.plugged import (
    PLUGIN_FAILED,
    collected_with,
    kept_clear,
    naming_what_runs,
    plugin_option,
    tell_failures,
)
from buildcheck.commands.sign import provenance_of
from buildcheck.commands.specs import read_spec
from buildcheck.commands.standards import Broken, found_for, settled, standard_option

DOES_NOT_HOLD = 5
WRONG_SPEC = 2


@click.command("signed", short_help="Say whether the signature in a record still holds.")
@click.argument("record", metavar="RECORD", type=click.Path(path_type=Path))
@click.option(
    "--spec",
    "spec_file",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="The spec that was signed.  [default: the file that the record names, beside it]",
)
@click.option(
    "--key",
    "key_file",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="The record must be signed with the private part of this Ed25519 public key (PEM).",
)
@plugin_option
@standard_option
@color_option
@click.pass_context
def show_signed(
    context: click.Context,
    record: Path,
    spec_file: Path | None,
    key_file: Path | None,
    color: str,
    plugin_files: tuple[Path, ...],
    standard_file: Path | None,
) -> None:
    """Hold the record of a signed stage against the spec of today.

    It says who signed what and when, whether the record is as it was written, what has changed in the spec since, and
    whether that overturns the signature: an error or a check that is not made when the spec is inspected as at that
    stage, or a changed value that was signed as a fact (the baseline, a measurement, what was done and seen). It also
    says where version, standard, plugins or rules are no longer those of that day.

    \b
    Example:
      buildcheck signed front.proposal.signed.json

    \b
    Exit status, the first that holds:
      3  a rule or a plugin failed
      2  the record or the spec cannot be read or is not valid; or wrong usage
      5  the signature does not hold any more
      0  it holds
    """
    from buildcheck.commands.again import Again
    from buildcheck.output import signed_text
    from buildcheck.output.cycle_text import refused
    from buildcheck.output.outcome import Refused
    from buildcheck.shop.signed_record import NotARecord, read_record
    from buildcheck.shop.standing import made_otherwise, standing

    try:
        read = read_record(record.read_text(encoding="utf-8"))
    except OSError as error:
        raise click.UsageError(f"The record {shown(record)} cannot be read: {reason(error)}") from error
    except UnicodeDecodeError as error:
        raise click.UsageError(f"The record {shown(record)} cannot be read: it is not text in UTF-8") from error
    except NotARecord as wrong:
        raise click.UsageError(f"{shown(record)} cannot be used: {shown(wrong)}") from wrong
    file = str(record.parent / Path(read.sign_off.spec_file).name if spec_file is None else spec_file)
    standards = found_for([file], standard_file)
    collected = collected_with(plugin_files, standards.values())
    spec = read_spec(file, collected)
    tell_failures(collected.failures)
    if isinstance(spec, Refused):
        click.echo(refused(spec, "SIGN-OFF: SPEC NOT READ"), nl=False, err=True)
        context.exit(PLUGIN_FAILED if collected.failures else WRONG_SPEC)
    used = settled(standards.values(), collected).get(str(getattr(standards[file], "file", "")))
    if isinstance(used, Broken):
        raise click.UsageError(f"The standard {shown(used.file)} cannot be used: {shown(used.problems[0].sentence)}")
    again = Again()
    with naming_what_runs(again.watch), kept_clear():  # what a plugin prints is not part of the answer
        held = standing(
            read,
            again.job(spec.build),
            again.rules(collected.rules),
            standard=None if used is None else used.standard,
            today=today(),
            wanted_key=_public_key(key_file),
        )
    colour = screen_colour(color)
    otherwise = made_otherwise(read.sign_off.provenance, provenance_of(used, collected))
    text = signed_text.held_against(spec, str(record), held, otherwise, width=screen_width(), colour=colour)
    write_to_screen(text, colour=colour)
    context.exit(
        PLUGIN_FAILED
        if collected.failures or any(each.failure for each in held.broken)
        else 0
        if held.holds
        else DOES_NOT_HOLD
    )


def _public_key(file: Path | None) -> str:
    """The public key in a file, in base64; "" for no file."""
    from buildcheck.shop.key import NotAKey, read_public_key

    if file is None:
        return ""
    try:
        return read_public_key(file.read_bytes())
    except OSError as error:
        raise click.UsageError(f"The key {shown(file)} cannot be read: {reason(error)}") from error
    except NotAKey as wrong:
        raise click.UsageError(f"The key {shown(file)} cannot be used: {wrong}") from wrong
