"""`buildcheck work-order`: the few changes that mend a spec, and the spec with them made."""

from __future__ import annotations

import csv
import io
import os
import sys
from contextlib import redirect_stdout
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from buildcheck.commands.choice import stage_option
from buildcheck.commands.inspect import today
from buildcheck.commands.output import (
    CannotWrite,
    color_option,
    reason,
    screen_colour,
    screen_width,
    shown,
    wants_colour,
    write_new_file,
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
from buildcheck.commands.progress import counting
from buildcheck.commands.specs import STANDARD_INPUT, read_spec
from buildcheck.commands.standards import Broken, found_for, settled, standard_option

if TYPE_CHECKING:
    from buildcheck.library.orders import Order
    from buildcheck.library.spec import Spec
    from buildcheck.plugins.loading import Collected

ERRORS_REMAIN, WRONG_SPEC, STOPPED = 1, 2, 130


@click.command("work-order", short_help="List the few changes that mend a spec, proven; write the revised spec.")
@click.argument("spec", metavar="SPEC")
@stage_option
@click.option("--output", "kind", type=click.Choice(["text", "json", "csv"]), default="text", help="Format.")
@click.option("--to", metavar="FILE", type=click.Path(path_type=Path), help="Write to this file, not to the screen.")
@click.option(
    "--revised",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Also write a copy of the spec with the lines carried out; all other bytes stay.",
)
@click.option("--accept", metavar="1,4", help="With --revised: carry out these lines only.")
@click.option("--overwrite", is_flag=True, help="With --revised: replace a file that is there.")
@click.option(
    "--keep",
    metavar="PATH",
    multiple=True,
    help="Do not change this, such as links.arm.both.frame; may be given more than once.",
)
@plugin_option
@standard_option
@color_option
@click.pass_context
def order_work(
    context: click.Context,
    spec: str,
    stage: str | None,
    kind: str,
    to: Path | None,
    revised: Path | None,
    accept: str | None,
    overwrite: bool,
    keep: tuple[str, ...],
    color: str,
    plugin_files: tuple[Path, ...],
    standard_file: Path | None,
) -> None:
    """List the smallest set of changes found after which the spec passes its inspection: what was probably a slip of
    the pen first, then one line for each part, with what it puts right and what else would do.

    SPEC is a file, or - for standard input. All lines belong together, and the spec with all of them is inspected
    before the list is shown. What is measured, waived or kept is left alone. Ctrl-C stops the search and shows the
    best list up to then.

    \b
    Example:
      buildcheck work-order examples/tamarack/proposal.buildcheck.yaml

    \b
    Exit status, the first that holds:
      130  Ctrl-C stopped the search; the list up to then is not proven
      3  a rule or a plugin failed
      2  the spec or the standard cannot be read or is not valid; or wrong usage
      1  an error remains after all lines, or after those accepted
      0  no error remains
    """
    from buildcheck.build import Stage
    from buildcheck.library.orders import order_for
    from buildcheck.output.cycle_text import refused
    from buildcheck.output.outcome import Refused
    from buildcheck.output.sheet import standard_refused

    if revised is None and (accept is not None or overwrite):
        raise click.UsageError("--accept and --overwrite go with --revised FILE")
    standards = found_for([spec], standard_file)
    refuse_to_overwrite(to, [spec], plugin_files, standards.values())
    if revised is not None:
        _refuse_revised(revised, spec, overwrite=overwrite)
    collected = collected_with(plugin_files, standards.values())
    with redirect_stdout(sys.stderr), plugin_failures_first(collected.failures):
        read = read_spec(spec, collected)
        used = settled(standards.values(), collected)
    tell_failures(collected.failures)
    if isinstance(read, Refused):
        click.echo(refused(read, "WORK ORDER: NOT MADE"), nl=False, err=True)
        context.exit(PLUGIN_FAILED if collected.failures else WRONG_SPEC)
    found = standards[spec]
    by = None if found is None else used[found.file]
    if isinstance(by, Broken):
        click.echo(standard_refused(by.file, by.problems), nl=False, err=True)
        context.exit(PLUGIN_FAILED if collected.failures else WRONG_SPEC)
    for path in keep:
        _refuse_unknown(read, path)
    arguments: dict[str, Any] = {
        "stage": None if stage is None else Stage(stage),
        "standard": None if by is None else by.standard,
        "today": today(),
    }
    with redirect_stdout(sys.stderr), counting("changed builds tried") as after_each:
        order = order_for(read, collected.rules, keep=keep, after_each=after_each, may_be_stopped=True, **arguments)
    status = STOPPED if order.record.stopped else ERRORS_REMAIN if order.record.leaves_errors else 0
    if revised is not None and order.record.stopped:
        click.echo(f"buildcheck: {shown(revised)} was not written: the search was stopped", err=True)
    elif revised is not None:
        status = _write_revised(order, _accepted(order, accept), revised, arguments, collected, overwrite=overwrite)
    colour = screen_colour(color) if to is None else wants_colour(color, {}, terminal=False)
    text = _text(order, kind, status=status, colour=colour, width=screen_width() if to is None else None)
    if to is None:
        write_to_screen(text, colour=colour)
    else:
        write_to_file(text, to)
    context.exit(PLUGIN_FAILED if collected.failures and status != STOPPED else status)


def _refuse_unknown(spec: Spec, path: str) -> None:
    from buildcheck.build import Missing

    try:
        spec.build.value(path)
    except (Missing, ValueError):
        raise click.UsageError(
            f"--keep {shown(path)} is not in the spec; write a path as the record gives it"
        ) from None


def _refuse_revised(file: Path, spec: str, *, overwrite: bool) -> None:
    """Raise click.UsageError for a file that must not be written: the spec itself, and one that is there already."""
    if str(file) in ("", ".", STANDARD_INPUT) or file.is_dir():
        raise click.UsageError("--revised takes the name of a file")
    if spec != STANDARD_INPUT and os.path.realpath(file) == os.path.realpath(spec):
        raise click.UsageError(f"{shown(file)} is the spec itself; --revised writes a copy")
    if os.path.lexists(file) and not overwrite:
        raise click.UsageError(f"{shown(file)} is there already; --overwrite replaces it")


def _accepted(order: Order, accept: str | None) -> list[int]:
    """The numbers of the lines to carry out. Raises click.UsageError for one that is not there."""
    numbers = [line.number for line in order.lines]
    if accept is None:
        return numbers
    chosen: list[int] = []
    for text in accept.split(","):
        if not text.strip().isdigit() or int(text) not in numbers:
            has = f"its lines are 1 to {len(numbers)}" if numbers else "it has none"
            raise click.UsageError(f"--accept {shown(accept)}: the work order has no line {shown(text.strip())}; {has}")
        chosen.append(int(text))
    return chosen


def _write_revised(
    order: Order, lines: list[int], file: Path, arguments: dict[str, Any], collected: Collected, *, overwrite: bool
) -> int:
    """Write the spec with some lines carried out, inspected first; returns whether an error remains in it."""
    from buildcheck.checks.inspection import inspect
    from buildcheck.checks.limit import Verdict

    try:
        revised = order.revised(lines)
        text = revised.text
    except ValueError as error:
        raise CannotWrite(f"{shown(file)} was not written: {error}") from error
    found = inspect(revised.build, collected.rules, changes=False, **arguments)
    errors = sum(reading.verdict is Verdict.ERROR for reading in found.readings)
    if overwrite:
        write_to_file(text, file)
    else:
        try:
            write_new_file(text, file)
        except OSError as error:
            raise CannotWrite(f"{shown(file)} cannot be written: {reason(error)}") from error
    left = (
        "no error remains in it"
        if not errors
        else f"{errors} errors remain in it"
        if errors > 1
        else "1 error remains in it"
    )
    click.echo(f"buildcheck: wrote {shown(file)}; {left}", err=True)
    return ERRORS_REMAIN if errors else 0


def _text(order: Order, kind: str, *, status: int, colour: bool, width: int | None) -> str:
    from buildcheck.output import work_order_json, work_order_text

    if kind == "csv":
        held = io.StringIO(newline="")
        csv.writer(held).writerows(work_order_text.csv_rows(order.spec, order.record))
        return held.getvalue()
    if kind == "json":
        from importlib.metadata import version

        return work_order_json.sheet(
            order.spec,
            order.record,
            order.changes(),
            stage=order.stage.value,
            version=version("buildcheck"),
            exit_status=status,
        )
    return work_order_text.sheet(order.spec, order.record, stage=order.stage.value, width=width, colour=colour)
