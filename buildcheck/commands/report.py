"""`buildcheck report`: one spec to its inspection report, a page to look at, to print and to hand over."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import click

from buildcheck.commands.choice import stage_option
from buildcheck.commands.output import shown, write_to_file
from buildcheck.commands.overwriting import refuse_to_overwrite
from buildcheck.commands.plugged import collected_with, plugin_option, tell_failed_rules, tell_failures
from buildcheck.commands.printing import find_browser, print_page
from buildcheck.commands.specs import STANDARD_INPUT, as_option, refuse_name_without_standard_input
from buildcheck.commands.stamps import Stamp, stamp
from buildcheck.commands.standards import found_for, standard_option

if TYPE_CHECKING:
    from buildcheck.build import Stage
    from buildcheck.checks.rule import Rule
    from buildcheck.checks.work_order import WorkOrder
    from buildcheck.commands.again import Again
    from buildcheck.commands.standards import Broken, Found
    from buildcheck.output.compare_text import Named
    from buildcheck.output.outcome import Inspected, Outcome
    from buildcheck.plugins.loading import Collected
    from buildcheck.shop.comparison import State


@click.command("report", short_help="Write the inspection report: drawing, curves, readings.")
@click.argument("spec", metavar="SPEC")
@click.option("--to", metavar="FILE", type=click.Path(path_type=Path), help="Write to this .html or .pdf.")
@click.option("--watch", is_flag=True, help="Show it in a browser, and anew at each saved edit. Ctrl-C ends it.")
@click.option(
    "--prove", is_flag=True, help="Look for the few changes that mend it together, and prove them. Takes its time."
)
@click.option("--short", is_flag=True, help="PDF: the work order and the drawing alone, for the shop.")
@click.option(
    "--since",
    metavar="FILE",
    help="Also say what has changed since this earlier spec, or since a stage was signed (.signed.json).",
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
@as_option
@click.pass_context
def report_spec(
    context: click.Context,
    spec: str,
    to: Path | None,
    watch: bool,
    prove: bool,
    short: bool,
    since: str | None,
    stage: str | None,
    paper: str | None,
    how_sure: bool,
    plugin_files: tuple[Path, ...],
    standard_file: Path | None,
    stands_for: str | None,
) -> None:
    """Write the inspection report of a spec: drawing, curves, readings and what blocks signing it off, in
    one self-contained file.

    SPEC is a file, or - for standard input; buildcheck never writes to it. A FILE that ends in .html opens in any
    browser and needs no network; one that ends in .pdf is printed by an installed Chromium. With --watch the report is
    served to a browser on this machine alone, at the address that is printed, and follows each saved edit.

    \b
    Example:
      buildcheck report examples/tamarack/proposal.buildcheck.yaml --to truck.html

    \b
    Exit status, the first that holds; 0 where Ctrl-C ends --watch:
      3  a rule or a plugin failed
      2  the spec cannot be read or is not valid; or wrong usage;
         or no browser to print with
      1  at least one error
      0  nothing worse than a warning
      4  nothing was checked
    """
    kind = _kind(spec, to, watch=watch)
    if watch and prove:
        raise click.UsageError("--prove takes longer than an edit; leave it out, or --watch")
    for option, given in (("--paper", paper), ("--short", short)):
        if given and kind != ".pdf":
            raise click.UsageError(f"{option} is for a .pdf; a page is printed as its reader asks")
    refuse_name_without_standard_input(stands_for, [spec])
    standards = found_for([spec], standard_file, stands_for)
    if to is not None:
        refuse_to_overwrite(to, [spec], plugin_files, standards.values())
    browser = find_browser() if kind == ".pdf" else ""
    # Imported here, so that wrong usage is refused without waiting for numpy.
    from buildcheck.commands.again import Again
    from buildcheck.commands.inspect import outcome_of
    from buildcheck.output.outcome import Inspected

    collected = collected_with(plugin_files, standards.values())

    again = Again()

    def inspected(*, changes: bool = True) -> Outcome:
        sure = (how_sure or None) if changes else False
        return outcome_of(
            *([spec], stage, (), (), collected, standards),
            how_sure=sure,
            stands_for=stands_for,
            changes=changes,
            again=again,
        )

    def order(found: Inspected) -> WorkOrder | None:
        return _order(found, collected, stage) if prove else None

    saved = stamp(spec)
    outcome = inspected()
    tell_failures(outcome.plugin_failures)
    (found,) = outcome.specs
    if isinstance(found, Inspected):
        tell_failed_rules(found.failed)
    if not isinstance(found, Inspected):
        _refuse(outcome)
        context.exit(int(outcome.status))
    before = None if since is None else _before(context, since, found, collected, standards[spec])

    def made(of: Inspected, **options: Any) -> str:
        return _page(of, spec, again.rules(collected.rules), before, order=order(of), **options)

    if to is None:
        _watch(spec, saved, found, again, inspected, made)
        context.exit(0)
    if kind == ".html":
        write_to_file(made(found), to)
    else:
        print_page(made(found, paper=paper or _usual_paper(found), short=short), to, browser)
    context.exit(int(outcome.status))


def _refuse(outcome: Outcome) -> None:
    from buildcheck.output.text import record

    click.echo(record(outcome), nl=False, err=True)


def _kind(spec: str, to: Path | None, *, watch: bool) -> str:
    """How the file ends that is written; "" for a page that is watched."""
    if watch and to is not None:
        raise click.UsageError("--watch shows the report and writes no file; leave out --to, or --watch")
    if watch and spec == STANDARD_INPUT:
        raise click.UsageError("--watch follows a file; standard input does not change")
    if watch:
        return ""
    kind = "" if to is None else to.suffix.lower()
    if kind not in (".html", ".pdf"):
        raise click.UsageError("--to takes a file that ends in .html or .pdf; --watch shows the report without one")
    return kind


def _watch(
    spec: str,
    saved: Stamp,
    first: Inspected,
    kept: Again,
    inspected: Callable[..., Outcome],
    made: Callable[..., str],
) -> None:
    """Serve the report until Ctrl-C; the newest outcome first, then the page with what to change. `saved` is the stamp
    of the file that `first` was read from; `made` makes the page."""
    from buildcheck.commands.watching import Watched, follow, serving
    from buildcheck.output.outcome import Inspected
    from buildcheck.output.report.page import outcome_in_words

    watched = Watched()
    watched.tell(says=outcome_in_words(first), html=made(first, live=1))

    def again() -> None:
        kept.edited()
        (quick,) = inspected(changes=False).specs
        if not isinstance(quick, Inspected):
            watched.tell(slips=tuple(f"line {each.line}: {shown(each.sentence)}" for each in quick.problems))
            return
        watched.tell(says=outcome_in_words(quick))
        (found,) = inspected().specs
        if isinstance(found, Inspected):
            watched.tell(says=outcome_in_words(found), html=made(found, live=watched.state.page + 1))

    with serving(watched) as address:
        click.echo(f"The report of {shown(spec)}, which follows each saved edit: {address}")
        click.echo("Ctrl-C ends it.")
        with suppress(KeyboardInterrupt):
            follow(spec, saved, again)
    click.echo("Ended.")


class _Earlier(NamedTuple):
    """An earlier state of the build, and how it is called."""

    state: State
    name: Named


def _before(
    context: click.Context, file: str, found: Inspected, collected: Collected, standard: Found | Broken | None
) -> _Earlier:
    """The earlier state in a file: a spec, inspected as the report is, or what was signed."""
    from buildcheck.commands.states import RECORD, Asked, as_signed, inspected_state, record_in

    if file.endswith(RECORD):
        return _Earlier(*as_signed(record_in(file), file))
    state, name, _ = inspected_state(context, Asked(file, found.inspection.stage.value, standard), collected)
    return _Earlier(state, name)


def _order(found: Inspected, collected: Collected, stage: str | None) -> WorkOrder:
    """The work order of an inspected spec, by the same rules and standard."""
    from buildcheck.build import Stage
    from buildcheck.checks.inspection import rules_in_use
    from buildcheck.checks.work_order import work_order
    from buildcheck.job import Job

    standard = None if found.used is None else found.used.standard
    at = None if stage is None else Stage(stage)
    applied = rules_in_use(found.build, collected.rules, stage=at, standard=standard).applied
    return work_order(Job(found.build), applied, found.inspection)


def _page(
    found: Inspected,
    spec: str,
    rules: Sequence[Rule],
    before: _Earlier | None,
    *,
    order: WorkOrder | None,
    **options: Any,
) -> str:
    from importlib.metadata import version

    from buildcheck.commands.signatures import records_of
    from buildcheck.output.report.page import page
    from buildcheck.output.report.since import Since
    from buildcheck.shop.comparison import compare

    records = {} if spec == STANDARD_INPUT else records_of(found, Path(spec), rules)
    since = None
    if before is not None:
        since = Since(compare(before.state, _now(found, before.state.stage, rules)), before.name)
    return page(found, version("buildcheck"), order=order, records=records, since=since, **options)


def _now(found: Inspected, stage: Stage, rules: Sequence[Rule]) -> State:
    """The build of the report at the stage of the earlier state, so that like is compared with like."""
    from buildcheck.checks.inspection import inspect
    from buildcheck.commands.inspect import today
    from buildcheck.shop.comparison import state_of

    inspection = found.inspection
    if stage is not inspection.stage:
        standard = None if found.used is None else found.used.standard
        inspection = inspect(
            found.build, rules, stage=stage, standard=standard, today=today(), changes=False, job=found.job
        )
    return state_of(found.build, inspection)


def _usual_paper(found: Inspected) -> str:
    return "letter" if found.build.units.value == "inch-pound" else "a4"
