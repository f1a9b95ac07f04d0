"""`buildcheck begin`: the first spec of a job."""

from __future__ import annotations

from pathlib import Path

import click

from buildcheck.commands.output import CannotWrite, reason, shown, write_new_file
from buildcheck.commands.plugged import collected_with, plugin_failures_first, plugin_option, tell_failures
from buildcheck.commands.specs import STANDARD_INPUT, SUFFIX, read_spec

LAYOUTS = ("radius-arms", "three-link", "four-link", "triangulated")  # written out, so that help is quick
AXLES = ("front", "rear")
UNITS = ("inch-pound", "metric")
WRONG_SPEC = 2


@click.command("begin", short_help="Write a first spec to fill in.")
@click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
@click.option(
    "--layout",
    type=click.Choice(LAYOUTS),
    help="How the axle is held: triangulated links by themselves, the others with a lateral bar.",
)
@click.option("--axle", type=click.Choice(AXLES), help="Which axle it is.")
@click.option("--units", type=click.Choice(UNITS), help="Units of a number without one of its own.")
@click.option("--name", metavar="NAME", default="", help="Name of the build.")
@click.option(
    "--from",
    "last",
    metavar="SPEC",
    help="Start from this spec of an earlier build, without what was measured, done, ordered and waived there.",
)
@plugin_option
@click.pass_context
def begin_spec(
    context: click.Context,
    file: Path,
    layout: str | None,
    axle: str | None,
    units: str | None,
    name: str,
    last: str | None,
    plugin_files: tuple[Path, ...],
) -> None:
    """Write a small spec with comments and places to fill in, for a layout, an axle and a system of units; or one that
    starts from your last build. It can be inspected at once.

    Its numbers hang together but are not those of your truck: replace each by what you plan or measure. FILE ends in
    .buildcheck.yaml; a file that is there already is never overwritten.

    \b
    Example:
      buildcheck begin truck.buildcheck.yaml \\
        --layout radius-arms --axle front --units inch-pound

    \b
    Exit status:
      0  the spec was written
      2  nothing was written: the file is there already, the last spec
         cannot be used, or wrong usage
      3  a plugin failed
    """
    if not file.name.endswith(SUFFIX) or file.name == SUFFIX:
        raise click.UsageError(f"{shown(file)} does not end in {SUFFIX}, by which a folder's specs are found")
    asked = {"--layout": layout, "--axle": axle, "--units": units}
    if last is None:
        text = _new(asked, name)
    else:
        given = [option for option, value in asked.items() if value is not None]
        if given:
            raise click.UsageError(
                f"--from takes layout, axle and units from that spec; leave out {' and '.join(given)}"
            )
        text = _from(context, last, name, plugin_files)
    try:
        write_new_file(text, file)
    except FileExistsError:
        raise click.UsageError(f"{shown(file)} is there already; nothing was written") from None
    except OSError as error:
        raise CannotWrite(f"{shown(file)} cannot be written: {reason(error)}") from error
    click.echo(f"Written: {shown(file)}\nNext:    buildcheck inspect {shown(file)}")


def _new(asked: dict[str, str | None], name: str) -> str:
    from buildcheck.shop.first_spec import first_spec
    from buildcheck.spec.quantity import System

    lacking = [option for option, value in asked.items() if value is None]
    if lacking:
        raise click.UsageError(
            f"A new spec needs {' and '.join(lacking)}; or --from SPEC, to start from an earlier build"
        )
    layout, axle, units = (str(value) for value in asked.values())
    return first_spec(layout, axle, System(units), name)


def _from(context: click.Context, last: str, name: str, plugin_files: tuple[Path, ...]) -> str:
    """The text that an earlier spec leaves for the next truck; ends the command where it cannot be used."""
    from buildcheck.output.cycle_text import refused
    from buildcheck.output.outcome import Refused
    from buildcheck.shop.first_spec import next_spec
    from buildcheck.spec.rewriting import CannotRewrite

    collected = collected_with(plugin_files)
    with plugin_failures_first(collected.failures):
        read = read_spec(last, collected)
    tell_failures(collected.failures)
    if isinstance(read, Refused):
        click.echo(refused(read, "BEGIN: THE LAST SPEC WAS NOT READ"), nl=False, err=True)
        context.exit(WRONG_SPEC)
    called = "standard input" if last == STANDARD_INPUT else Path(last).name
    try:
        return next_spec(read.document.text, read.document.data, name, shown(called))
    except CannotRewrite as wrong:
        raise click.UsageError(f"{shown(last)}: {wrong}") from wrong
