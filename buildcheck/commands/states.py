"""States of a build to compare: a spec as it is, or as it was signed off."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import click

from buildcheck.commands.inspect import today
from buildcheck.commands.output import reason, shown
from buildcheck.commands.specs import read_spec
from buildcheck.commands.standards import Broken, Found, settled

if TYPE_CHECKING:
    from buildcheck.output.compare_text import Named
    from buildcheck.plugins.loading import Collected
    from buildcheck.shop.comparison import State
    from buildcheck.shop.sign_off import SignOff
    from buildcheck.spec.quantity import System

WRONG_SPEC = 2
RECORD = ".signed.json"
HEADING = "COMPARISON: NOT MADE"


class Asked(NamedTuple):
    """One of the two things to compare: a spec file, as at a stage, None for its own, by a standard, None for none."""

    file: str
    stage: str | None
    standard: Found | Broken | None


def inspected_state(context: click.Context, asked: Asked, collected: Collected) -> tuple[State, Named, System]:
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


def as_signed(record: SignOff, file: str) -> tuple[State, Named]:
    """The state that was signed off, with its name."""
    from buildcheck.output.compare_text import Named
    from buildcheck.shop.comparison import signed_state

    by = record.provenance.standard
    title = "" if by is None else f"by the standard {by.name} {by.version}".rstrip()
    when = f"signed by {record.signed_by} on {record.signed_at:%Y-%m-%d}"
    return signed_state(record), Named(f"{record.stated.get('build.name', 'not named')}, {when}", file, title)


def record_in(file: str) -> SignOff:
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
