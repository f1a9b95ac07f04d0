"""The options for plugins, loading them, and what a command says of those that fail or take long."""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, redirect_stdout
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from buildcheck.commands.output import shown
from buildcheck.commands.standards import Found

if TYPE_CHECKING:
    from buildcheck.checks.rule import Reading
    from buildcheck.commands.standards import Broken
    from buildcheck.plugins.loading import Collected, PluginFailure
    from buildcheck.plugins.stopwatch import Watch

PLUGIN_FAILED = 3
OUTPUT, ERRORS = 1, 2
"""The file descriptors of standard output and standard error."""
Command = TypeVar("Command", bound=Callable[..., Any])


class _Named(click.Path):
    """A path that is not empty: an empty one would mean the current folder."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if value == "":
            self.fail("a plugin needs a name, and this one is empty", param, ctx)
        return super().convert(value, param, ctx)


def plugin_option(command: Command) -> Command:
    """The options `--plugin FILE`, for a command that takes `plugin_files`, and `--traceback`."""
    command = click.option(
        "--traceback",
        is_flag=True,
        expose_value=False,
        callback=_with_tracebacks,
        help="Where a plugin's code fails, also show its traceback on standard error.",
    )(command)
    return click.option(
        "--plugin",
        "plugin_files",
        metavar="FILE",
        multiple=True,
        type=_Named(path_type=Path),
        help="Run this Python file, or folder of them, as a plugin; may be given more than once.",
    )(command)


def _with_tracebacks(context: click.Context, _: click.Parameter, wanted: bool) -> None:
    if not wanted:
        return
    from buildcheck.spec.guard import with_tracebacks

    kept = context.with_resource(with_tracebacks())

    @context.call_on_close
    def show() -> None:
        for trace in kept:
            click.echo(trace, err=True)


def collected_with(files: Iterable[Path], standards: Iterable[Found | Broken | None] = ()) -> Collected:
    """All that the installed plugins offer, with these files and those that shop's standards name. Anything that they
    print as they load goes to standard error."""
    from buildcheck.plugins.loading import collect, load_rule_files  # numpy comes with it

    with naming_what_runs(), kept_clear():
        named = [plugin for found in standards if isinstance(found, Found) for plugin in found.plugins]
        return load_rule_files([*files, *named], after=collect())


@contextmanager
def kept_clear() -> Iterator[None]:
    """Within it, everything that is printed goes to standard error, also what a library or another program that a
    plugin calls writes to the file of standard output."""
    try:
        sys.stdout.flush()
        kept = os.dup(OUTPUT)
        os.dup2(ERRORS, OUTPUT)
    except (OSError, ValueError, AttributeError):  # one of the two is closed
        with redirect_stdout(sys.stderr):
            yield
        return
    try:
        with redirect_stdout(sys.stderr):
            yield
    finally:
        os.dup2(kept, OUTPUT)
        os.close(kept)


@contextmanager
def naming_what_runs(watch: Watch | None = None) -> Iterator[None]:
    """Within it, an interruption says on standard error which plugin was being loaded, or which rule ran."""
    try:
        yield
    except KeyboardInterrupt as stopped:
        what = str(stopped) or (f"the rule {watch.running} was running" if watch is not None and watch.running else "")
        with contextlib.suppress(OSError):
            click.echo(shown(f"{what[:1].upper()}{what[1:]}"), err=True, nl=bool(what))
        raise


@contextmanager
def plugin_failures_first(failures: Sequence[PluginFailure]) -> Iterator[None]:
    """Within it, an unknown name or an unusable standard is reported after the plugins that failed, since the name may
    be one of theirs, and ends the command as their failure does."""
    try:
        yield
    except click.UsageError as wrong:
        if not failures:
            raise
        tell_failures(failures)
        click.echo(shown(wrong.format_message()), err=True)
        raise click.exceptions.Exit(PLUGIN_FAILED) from wrong
    except click.exceptions.Exit as ended:
        if not failures:
            raise
        tell_failures(failures)
        raise click.exceptions.Exit(PLUGIN_FAILED) from ended


def tell_failures(failures: Iterable[PluginFailure]) -> None:
    """Say on standard error which plugins failed, and how."""
    for failure in failures:
        click.echo(f"The plugin {shown(failure.plugin)} failed: {shown(failure.sentence)}", err=True)


def tell_failed_rules(readings: Iterable[Reading]) -> None:
    """Say on standard error which rules failed, and how, where the record itself goes elsewhere."""
    for reading in readings:
        click.echo(shown(f"{reading.rule} on {reading.subject}: {reading.failure}"), err=True)
