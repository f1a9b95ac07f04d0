"""`buildcheck inspect`: specs to an inspection record."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from buildcheck.commands.choice import STAGES, area_option, chosen, known_name, stage_option
from buildcheck.commands.output import (
    color_option,
    screen_colour,
    screen_width,
    wants_colour,
    write_to_file,
    write_to_screen,
)
from buildcheck.commands.overwriting import refuse_to_overwrite
from buildcheck.commands.plugged import (
    PLUGIN_FAILED,
    collected_with,
    kept_clear,
    naming_what_runs,
    plugin_failures_first,
    plugin_option,
    tell_failures,
)
from buildcheck.commands.specs import as_option, read_spec, refuse_name_without_standard_input, spec_files
from buildcheck.commands.standards import Broken, Found, found_for, settled, standard_option

if TYPE_CHECKING:
    from buildcheck.build import Stage
    from buildcheck.commands.again import Again
    from buildcheck.library.spec import Spec
    from buildcheck.output.outcome import Inspected, Outcome, Refused, StandardUsed
    from buildcheck.plugins.contributions import OutputFormat
    from buildcheck.plugins.loading import Collected
    from buildcheck.plugins.stopwatch import Watch


@click.command("inspect", short_help="Check specs: errors, warnings, and what to change.")
@click.argument("specs", metavar="SPEC...", nargs=-1, required=True)
@stage_option
@click.option(
    "--hold-point",
    metavar="STAGE",
    type=click.Choice(list(STAGES)),
    help="Inspect as at this stage (see --stage), and say whether it can be signed off; status 5 if it cannot.",
)
@click.option(
    "--only",
    metavar="RULE",
    multiple=True,
    help="Apply only this rule, such as link-flatness; may be given more than once. List of rules: buildcheck rules.",
)
@area_option("Apply only")
@click.option("--output", "kind", metavar="FORMAT", default="text", help="Format: text, json, or a format of a plugin.")
@click.option(
    "--how-sure",
    is_flag=True,
    help="Also say how sure each reading is, from the tolerances in `records`; always from tacked on.",
)
@plugin_option
@standard_option
@as_option
@click.option("--to", metavar="FILE", type=click.Path(path_type=Path), help="Write to this file, not to the screen.")
@click.option("--quiet", is_flag=True, help="Text: only one line for each error, warning and failure.")
@click.option(
    "--all",
    "everything",
    is_flag=True,
    help="Text: also every reading within limits, with its numbers, and the parts with their lengths.",
)
@color_option
@click.pass_context
def inspect_specs(
    context: click.Context,
    specs: tuple[str, ...],
    stage: str | None,
    hold_point: str | None,
    only: tuple[str, ...],
    area: tuple[str, ...],
    kind: str,
    to: Path | None,
    how_sure: bool,
    quiet: bool,
    everything: bool,
    color: str,
    plugin_files: tuple[Path, ...],
    standard_file: Path | None,
    stands_for: str | None,
) -> None:
    """Check build specs against the rules: what is wrong, by how much, and what to change.

    SPEC is a file, a folder (every *.buildcheck.yaml below it), or - for standard input. buildcheck never writes to
    it.

    \b
    Example:
      buildcheck inspect examples/tamarack/proposal.buildcheck.yaml

    With both --only and --area, only rules that match both are applied.

    The shop's standard is the one that --standard names, else a shop.standard.yaml beside the spec, else the one in
    your configuration folder; the record says which was used.

    With --hold-point the record says whether the stage can be signed off, and what blocks it: anything that was not
    checked, errors and warnings that are neither fixed nor waived, and what the spec must have on record (the baseline,
    what was measured, in the order of the job). "Can be signed off" is not an approval.

    \b
    Exit status, the first that holds for any spec:
      3  a rule or a plugin failed
      2  a spec or a standard cannot be read or is not valid; or wrong usage
      5  with --hold-point: the stage cannot be signed off
      1  at least one error
      0  nothing worse than a warning
      4  nothing was checked, in any spec
    """
    if quiet and everything:
        raise click.UsageError("--quiet and --all ask for opposite things; give one of them")
    if kind != "text" and (quiet or everything):
        whole = "JSON always holds everything" if kind == "json" else "leave them out, or leave out --output"
        raise click.UsageError(f"--quiet and --all shape the text; {whole}")
    if stage is not None and hold_point is not None:
        raise click.UsageError("--hold-point STAGE inspects as at that stage; leave out --stage")
    files = spec_files(specs)
    refuse_name_without_standard_input(stands_for, files)
    standards = found_for(files, standard_file, stands_for)
    refuse_to_overwrite(to, files, plugin_files, standards.values())
    collected = collected_with(plugin_files, standards.values())
    with plugin_failures_first(collected.failures):
        output = _output(kind, collected)
    signing = hold_point is not None
    outcome = outcome_of(
        files,
        hold_point or stage,
        only,
        area,
        collected,
        standards,
        how_sure=how_sure or None,
        signing=signing,
        stands_for=stands_for,
    )
    colour = screen_colour(color) if to is None else wants_colour(color, {}, terminal=False)
    width = screen_width() if to is None else None
    if output is None:
        text = _text(outcome, kind, quiet=quiet, everything=everything, colour=colour, width=width)
    else:
        text = _written(context, outcome, output, collected)
    if to is None:
        write_to_screen(text, colour=colour)
    else:
        write_to_file(text, to)
    context.exit(int(outcome.status))


def outcome_of(
    files: Sequence[str],
    stage: str | None,
    only: Sequence[str],
    areas: Sequence[str],
    collected: Collected,
    standards: Mapping[str, Found | Broken | None],
    *,
    how_sure: bool | None = None,
    signing: bool = False,
    stands_for: str | None = None,
    changes: bool = True,
    again: Again | None = None,
) -> Outcome:
    """Every spec inspected with what was collected, each by its standard, or refused; and the plugins that failed.

    `stage` replaces the specs' own; `only` and `areas` are the rules and areas asked for, empty for all.
    `how_sure` also works out how sure each reading is; None does from `tacked` on. `signing` asks whether the stage can
    be signed off, `stands_for` is the name of the spec on standard input. Without `changes` the readings do not say
    what to change, which is much faster. `again` is what is kept of one spec that is inspected
    again and again.
    """
    # Imported here, so that numpy and the schema library are loaded only by an inspection.
    from buildcheck.build import Stage
    from buildcheck.checks.tolerances import DRAWS
    from buildcheck.output.outcome import Inspected, Outcome
    from buildcheck.plugins.stopwatch import Watch

    at = None if stage is None else Stage(stage)
    specs: list[Inspected | Refused] = []
    failures = list(collected.failures)
    # What a plugin prints is not part of the record.
    with kept_clear(), plugin_failures_first(collected.failures):
        used = settled(standards.values(), collected)
        own = {
            rule.name: rule
            for each in used.values()
            if not isinstance(each, Broken)
            for rule in each.standard.own_rules
        }
        rules = chosen((*collected.rules, *own.values()), only, areas)
        names = frozenset(rule.name for rule in rules) if only or areas else None
        for file in files:
            watch = Watch() if again is None else again.watch
            standard = standards[file]
            by = None if standard is None else used[standard.file]
            read = partial(read_spec, file, collected, stands_for or "standard input")
            spec = read() if again is None else again.spec(read)
            specs.append(_inspected(spec, collected, names, at, by, watch, how_sure, signing, changes, again))
            sure = isinstance(specs[-1], Inspected) and specs[-1].inspection.sure
            failures.extend(watch.slow(collected, file, DRAWS + 1 if sure else 1))
    return Outcome(tuple(specs), tuple(failures))


def _inspected(
    spec: Spec | Refused,
    collected: Collected,
    only: frozenset[str] | None,
    stage: Stage | None,
    used: StandardUsed | Broken | None,
    watch: Watch,
    how_sure: bool | None,
    signing: bool,
    changes: bool,
    again: Again | None,
) -> Inspected | Refused:
    from buildcheck.checks.inspection import inspect
    from buildcheck.job import Job
    from buildcheck.output.outcome import Inspected, Refused
    from buildcheck.plugins.used import plugins_used

    if isinstance(spec, Refused):
        return spec
    if isinstance(used, Broken):
        return Refused(spec.file, used.problems, readable=True, standard=used.file)
    standard = None if used is None else used.standard
    job = Job(spec.build) if again is None else again.job(spec.build)
    with naming_what_runs(watch):
        inspection = inspect(
            spec.build,
            watch.over(collected.rules) if again is None else again.rules(collected.rules),
            stage=stage,
            standard=standard,
            today=today(),
            only=only,
            sure=how_sure,
            changes=changes,
            job=job,
        )
    plugins = plugins_used(collected)
    return Inspected(spec.file, spec.document, spec.build, inspection, inspection.later, used, signing, plugins, job)


def today() -> date:
    """The day by which waivers are judged."""
    return date.today()


def _output(kind: str, collected: Collected) -> OutputFormat | None:
    """The plugin's format that is asked for; None for one of buildcheck's own."""
    from buildcheck.plugins.contributions import BUILT_IN_OUTPUTS

    added = {output.name: output for output in collected.outputs}
    return added.get(known_name(kind, (*BUILT_IN_OUTPUTS, *added), "output format"))


def _written(context: click.Context, outcome: Outcome, output: OutputFormat, collected: Collected) -> str:
    """The record in a plugin's format; ends the command where that fails."""
    from buildcheck.plugins.loading import PluginFailure
    from buildcheck.spec.guard import Mishap, Unusable, guarded, plain_text

    record = json.loads(_text(outcome, "json", quiet=False, everything=False, colour=False, width=None))
    try:
        with kept_clear(), guarded(output.write):
            text: object = output.write(record)
            if not isinstance(text, str):
                raise Unusable(f"it returns {type(text).__name__}; return the text to write")
            return plain_text(text)
    except Mishap as mishap:
        plugin = collected.owners["outputs", output.name]
        tell_failures([PluginFailure(plugin, f"its output {output.name!r}: {mishap}")])
        context.exit(PLUGIN_FAILED)


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
