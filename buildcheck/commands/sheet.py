"""`buildcheck sheet`: pages to print, to tick and to write on at the truck."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from buildcheck.commands.choice import stage_option
from buildcheck.commands.inspect import today
from buildcheck.commands.output import write_to_file
from buildcheck.commands.overwriting import refuse_to_overwrite
from buildcheck.commands.plugged import (
    PLUGIN_FAILED,
    collected_with,
    kept_clear,
    plugin_failures_first,
    plugin_option,
    tell_failed_rules,
    tell_failures,
)
from buildcheck.commands.printing import find_browser, print_page
from buildcheck.commands.specs import read_spec

if TYPE_CHECKING:
    from buildcheck.checks.inspection import Inspection
    from buildcheck.job import Job
    from buildcheck.output.sheets.page import Content
    from buildcheck.plugins.loading import Collected

KINDS = {
    "measure": "what the stage still asks for, with where it is and the proposed value",
    "cut": "tubes with their cut lengths",
    "order": "what to order and to renew",
    "torque": "every bolt with its torque",
    "follow-up": "what to look at, and which bolts to check again, after the first drives",
}
WRONG_SPEC = 2


@click.command("sheet", short_help="Write sheets to print and write on.")
@click.argument("spec", metavar="SPEC")
@click.option(
    "--to", metavar="FILE", type=click.Path(path_type=Path), required=True, help="Write to this .html or .pdf."
)
@click.option(
    "--kind",
    type=click.Choice(list(KINDS)),
    default="measure",
    show_default=True,
    help="; ".join(f"{kind}: {meaning}" for kind, meaning in KINDS.items()) + ".",
)
@stage_option
@click.option("--paper", type=click.Choice(["letter", "a4"]), help="Size of the sheets.  [default: by the units]")
@plugin_option
@click.pass_context
def print_sheet(
    context: click.Context,
    spec: str,
    to: Path,
    kind: str,
    stage: str | None,
    paper: str | None,
    plugin_files: tuple[Path, ...],
) -> None:
    """Write sheets for the bench: what to measure, cut, order or tighten, where on the truck, the proposed value, and
    boxes to tick and to write in by hand; with the cautions for the work.

    What is asked for follows from the rules and the spec, as in `buildcheck measure`. A FILE that ends in .html is
    printed from any browser; one that ends in .pdf is printed by an installed Chromium.

    \b
    Example:
      buildcheck sheet examples/tamarack/proposal.buildcheck.yaml --to sheet.html

    \b
    Exit status, the first that holds:
      3  a rule or a plugin failed
      2  the spec cannot be read or is not valid; or wrong usage;
         or no browser to print with
      0  the sheets were written
    """
    suffix = to.suffix.lower()
    if suffix not in (".html", ".pdf"):
        raise click.UsageError("--to takes a file that ends in .html or .pdf")
    refuse_to_overwrite(to, [spec], plugin_files)
    browser = find_browser() if suffix == ".pdf" else ""
    from importlib.metadata import version

    from buildcheck.job import Job
    from buildcheck.output.cycle_text import refused
    from buildcheck.output.outcome import Refused
    from buildcheck.output.sheets.page import page

    collected = collected_with(plugin_files)
    with kept_clear(), plugin_failures_first(collected.failures):
        read = read_spec(spec, collected)
    tell_failures(collected.failures)
    if isinstance(read, Refused):
        click.echo(refused(read, "SHEETS: NOT WRITTEN"), nl=False, err=True)
        context.exit(PLUGIN_FAILED if collected.failures else WRONG_SPEC)
    with kept_clear():  # what a plugin prints is not part of the sheet
        job = Job(read.build)
        inspection = _inspection(job, collected, "driven" if kind == "follow-up" else stage, kind)
        content = _content(kind, job, inspection, collected)
    size = paper or ("letter" if read.build.units.value == "inch-pound" else "a4")
    text = page(read, kind, inspection.stage.value, content, version("buildcheck"), paper=size)
    failed = [reading for reading in inspection.readings if reading.failure]
    tell_failed_rules(failed)
    if suffix == ".html":
        write_to_file(text, to)
    else:
        print_page(text, to, browser)
    context.exit(PLUGIN_FAILED if failed or collected.failures else 0)


def _inspection(job: Job, collected: Collected, stage: str | None, kind: str) -> Inspection:
    """The inspection for a sheet of a kind: with all that is missing for one that asks, which takes as long again."""
    from buildcheck.build import Stage
    from buildcheck.checks.inspection import inspect

    at = None if stage is None else Stage(stage)
    asks = kind in ("measure", "follow-up")
    return inspect(job.build, collected.rules, stage=at, today=today(), changes=False, all_missing=asks, job=job)


def _content(kind: str, job: Job, inspection: Inspection, collected: Collected) -> Content:
    """The contents of the sheet of a kind."""
    from buildcheck.output.sheets.page import Content
    from buildcheck.shop.order_list import order_list
    from buildcheck.shop.sheets import following_up, measuring, tightenings, torque_distances

    build, rules = job.build, collected.rules
    if kind == "measure":
        return Content(entries=measuring(job, inspection, rules))
    if kind in ("cut", "order"):
        return Content(listed=order_list(build))
    if kind == "torque":
        return Content(bolts=tightenings(build))
    entries = following_up(job, inspection, rules)
    return Content(entries, tightenings(build), distances=torque_distances(build))
