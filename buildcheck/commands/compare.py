"""`buildcheck compare`: what differs between two specs, stages or standards, or a signed record and today."""

from __future__ import annotations

from pathlib import Path

import click

from buildcheck.commands.choice import STAGES
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
    plugin_failures_first,
    plugin_option,
    tell_failures,
)
from buildcheck.commands.standards import found_for, standard_option
from buildcheck.commands.states import RECORD, Asked, as_signed, inspected_state, record_in


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

    record = record_in(first) if first.endswith(RECORD) else None
    if record is None and second is None and second_stage is None and second_standard is None:
        raise click.UsageError("a spec is compared with another one, or with --second-stage or --second-standard")
    files = (first, second or (first if record is None else str(Path(first).parent / Path(record.spec_file).name)))
    by = standard_file if second_standard is None else second_standard
    standards = (None if record else found_for([first], standard_file)[first], found_for([files[1]], by)[files[1]])
    refuse_to_overwrite(to, files, plugin_files, standards)
    collected = collected_with(plugin_files, standards)
    with kept_clear(), plugin_failures_first(collected.failures):  # what a plugin prints is no result
        after_stage = second_stage or stage or (record.stage.value if record else None)
        after, named_after, system = inspected_state(context, Asked(files[1], after_stage, standards[1]), collected)
        if record is None:
            before, named_before, _ = inspected_state(context, Asked(first, stage, standards[0]), collected)
        else:
            before, named_before = as_signed(record, first)
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
