"""The `buildcheck` command with its subcommands, and the exit status and sentence for everything that goes wrong."""

from __future__ import annotations

import contextlib
import sys
from pathlib import Path
from types import TracebackType

import click

from buildcheck.commands import CONTEXT
from buildcheck.commands.begin import begin_spec
from buildcheck.commands.compare import compare_specs
from buildcheck.commands.cycle import cycle_spec
from buildcheck.commands.inspect import inspect_specs
from buildcheck.commands.loads import load_spec
from buildcheck.commands.measure import measure_spec
from buildcheck.commands.noise import python_kept_quiet
from buildcheck.commands.order import order_parts
from buildcheck.commands.output import end_quietly, reason, shown
from buildcheck.commands.report import report_spec
from buildcheck.commands.rules import show_rules
from buildcheck.commands.schema import show_schema
from buildcheck.commands.sheet import print_sheet
from buildcheck.commands.sign import sign_stage
from buildcheck.commands.signed import show_signed
from buildcheck.commands.work_order import order_work

WRONG_USAGE = 2
FAILED = 3


class _InOrderOfUse(click.Group):
    """A group whose help lists the commands in the order in which they were added."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)


@click.group(cls=_InOrderOfUse, context_settings=CONTEXT, no_args_is_help=True)
@click.version_option(package_name="buildcheck", message="%(prog)s %(version)s")
def cli() -> None:
    """Check a truck's solid axle on links, from its build spec (YAML), before anything is cut or welded.

    \b
    Example:
      buildcheck inspect examples/tamarack/proposal.buildcheck.yaml
    """


# The order of use.
cli.add_command(begin_spec)
cli.add_command(inspect_specs)
cli.add_command(order_work)
cli.add_command(show_rules)
cli.add_command(cycle_spec)
cli.add_command(load_spec)
cli.add_command(order_parts)
cli.add_command(report_spec)
cli.add_command(compare_specs)
cli.add_command(measure_spec)
cli.add_command(print_sheet)
cli.add_command(sign_stage)
cli.add_command(show_signed)
cli.add_command(show_schema)


def run() -> int:
    """Run the command and return its exit status.

    Never shows a traceback: wrong usage is 2, a fault of buildcheck itself 3, each with one sentence on standard error.
    Raises KeyboardInterrupt, and nothing else.
    """
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a terminal that lacks a character gets an escape, not a crash
            stream.reconfigure(errors="backslashreplace")
    with python_kept_quiet(lambda sentence: _say(shown(sentence))) as failures:
        status = _status()
    return FAILED if failures else status


def _status() -> int:
    try:
        status = cli.main(prog_name="buildcheck", standalone_mode=False)
    except click.exceptions.NoArgsIsHelpError as error:
        click.echo(error.format_message())
        return WRONG_USAGE
    except click.ClickException as error:
        _say(shown(error.format_message()))
        asked = getattr(error, "ctx", None)
        if asked is not None:
            _say(f"Help: {asked.command_path} --help")
        return WRONG_USAGE
    except (click.Abort, KeyboardInterrupt):  # the first is what click makes of the second
        raise KeyboardInterrupt from None
    except BrokenPipeError:
        end_quietly()
        return 0
    except OSError as error:  # what the machine refuses is no fault of buildcheck
        end_quietly()
        _say(f"The machine refused: {reason(error)}{_file(error)}")
        return WRONG_USAGE
    except BaseException as error:  # the last resort: no traceback, and never the status of errors in a build
        if isinstance(error, SystemExit) and _raised_by_click(error):
            return 0  # its way out when the reader of its help has gone
        _say(_fault(error))
        return FAILED
    return int(status or 0)


def _raised_by_click(error: BaseException) -> bool:
    trace = _innermost(error)
    return trace is not None and trace.tb_frame.f_globals.get("__name__") == "click.core"


def _fault(error: BaseException) -> str:
    """A sentence on an unexpected exception: whose fault it is, and where it was raised."""
    from buildcheck.plugins.loading import plugin_of
    from buildcheck.spec.guard import Mishap, described

    plugin = plugin_of(error)
    if plugin or isinstance(error, Mishap):
        return shown(f"{f'The plugin {plugin}' if plugin else 'A plugin'} failed: {described(error)}")
    return (
        f"buildcheck itself failed ({type(error).__name__}{_where(error)}). The fault is in buildcheck, not in your "
        "spec; please report it with the spec that caused it."
    )


def _file(error: OSError) -> str:
    return "" if error.filename is None else f": {shown(error.filename)}"


def _say(sentence: str) -> None:
    with contextlib.suppress(OSError):  # without standard error the exit status still says it
        click.echo(sentence, err=True)


def _innermost(error: BaseException) -> TracebackType | None:
    trace = error.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    return trace


def _where(error: BaseException) -> str:
    trace = _innermost(error)
    return "" if trace is None else f" in {Path(trace.tb_frame.f_code.co_filename).name}, line {trace.tb_lineno}"
