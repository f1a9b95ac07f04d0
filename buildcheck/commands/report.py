"""`buildcheck report`: one spec to its inspection report, a page to look at, to print and to hand over."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from buildcheck.commands.choice import stage_option
from buildcheck.commands.output import write_to_file
from buildcheck.commands.overwriting import refuse_to_overwrite
from buildcheck.commands.plugged import collected_with, plugin_option, tell_failed_rules, tell_failures
from buildcheck.commands.printing import find_browser, print_page
from buildcheck.commands.standards import found_for, standard_option

if TYPE_CHECKING:
    from buildcheck.output.outcome import Inspected, Outcome


@click.command("report", short_help="Write the inspection report: drawing, curves, readings.")
@click.argument("spec", metavar="SPEC")
@click.option(
    "--to", metavar="FILE", type=click.Path(path_type=Path), required=True, help="Write to this .html or .pdf."
)
@stage_option
@click.option("--paper", type=click.Choice(["letter", "a4"]), help="PDF: size of the sheets.  [default: by the units]")
@click.option(
    "--how-sure",
    is_flag=True,
    help="Also say how sure each reading is, from the tolerances in `records`; always from tacked on.",
)
@plugin_option
@standard_option
@click.pass_context
def report_spec(
    context: click.Context,
    spec: str,
    to: Path,
    stage: str | None,
    paper: str | None,
    how_sure: bool,
    plugin_files: tuple[Path, ...],
    standard_file: Path | None,
) -> None:
    """Write the inspection report of a spec: drawing, curves, readings and what blocks signing it off, in
    one self-contained file.

    SPEC is a file, or - for standard input; buildcheck never writes to it. A FILE that ends in .html opens in any
    browser and needs no network; one that ends in .pdf is printed by an installed Chromium.

    \b
    Example:
      buildcheck report examples/tamarack/proposal.buildcheck.yaml --to truck.html

    \b
    Exit status, the first that holds:
      3  a rule or a plugin failed
      2  the spec cannot be read or is not valid; or wrong usage;
         or no browser to print with
      1  at least one error
      0  nothing worse than a warning
      4  nothing was checked
    """
    kind = to.suffix.lower()
    if kind not in (".html", ".pdf"):
        raise click.UsageError("--to takes a file that ends in .html or .pdf")
    if paper and kind != ".pdf":
        raise click.UsageError("--paper is for a .pdf; a page takes the size that the printer has")
    standards = found_for([spec], standard_file)
    refuse_to_overwrite(to, [spec], plugin_files, standards.values())
    browser = find_browser() if kind == ".pdf" else ""
    # Imported here, so that wrong usage is refused without waiting for numpy.
    from buildcheck.commands.inspect import outcome_of
    from buildcheck.output.outcome import Inspected

    collected = collected_with(plugin_files, standards.values())
    outcome = outcome_of([spec], stage, (), (), collected, standards, how_sure=how_sure or None)
    tell_failures(outcome.plugin_failures)
    (found,) = outcome.specs
    if isinstance(found, Inspected):
        tell_failed_rules(found.failed)
    if not isinstance(found, Inspected):
        _refuse(outcome)
    elif kind == ".html":
        write_to_file(_page(found, ""), to)
    else:
        print_page(_page(found, paper or _usual_paper(found)), to, browser)
    context.exit(int(outcome.status))


def _refuse(outcome: Outcome) -> None:
    from buildcheck.output.text import record

    click.echo(record(outcome), nl=False, err=True)


def _page(found: Inspected, paper: str) -> str:
    from importlib.metadata import version

    from buildcheck.output.report.page import page

    return page(found, version("buildcheck"), paper=paper)


def _usual_paper(found: Inspected) -> str:
    return "letter" if found.build.units.value == "inch-pound" else "a4"
