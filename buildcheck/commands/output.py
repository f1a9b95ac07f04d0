"""Writing a command's text to the screen, a pipe or a file; its width, and whether with bold type."""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
import sys
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any, TypeVar

import click

from buildcheck.spec.place import visible

Command = TypeVar("Command", bound=Callable[..., Any])


def color_option(command: Command) -> Command:
    """The option `--color`, for a command that takes `color`."""
    choice = click.Choice(["auto", "always", "never"])
    meaning = "Headings and verdicts in bold type. auto: on a terminal."
    return click.option("--color", type=choice, default="auto", help=meaning)(command)


def wants_colour(choice: str, environment: Mapping[str, str], *, terminal: bool) -> bool:
    """Whether to write codes for bold type: the option decides, then NO_COLOR, then FORCE_COLOR, then whether it is
    a terminal."""
    if choice in ("always", "never"):
        return choice == "always"
    if environment.get("NO_COLOR"):
        return False
    if environment.get("FORCE_COLOR", "0") not in ("", "0"):
        return True
    return terminal and environment.get("TERM") != "dumb"


def screen_colour(choice: str) -> bool:
    """Whether to write codes for bold type to standard output."""
    return wants_colour(choice, os.environ, terminal=_on_a_terminal())


def screen_width() -> int | None:
    """The width of the terminal in columns; None where standard output is none, so that no line is broken."""
    return shutil.get_terminal_size().columns if _on_a_terminal() else None


def _on_a_terminal() -> bool:
    return sys.stdout is not None and sys.stdout.isatty()  # None where it was closed from the start


def write_to_screen(text: str, *, colour: bool = False) -> None:
    """Write to standard output. A reader that has gone away is no failure; raises CannotWrite for any other."""
    if sys.stdout is None:
        raise CannotWrite("Standard output cannot be written: it is closed")
    try:
        click.echo(text, nl=False, color=colour)
    except BrokenPipeError:
        end_quietly()
    except (OSError, ValueError) as error:  # a full disk; or a standard output that is closed
        end_quietly()
        raise CannotWrite(f"Standard output cannot be written: {reason(error)}") from error


def end_quietly() -> None:
    """Point standard output at nothing, so that the interpreter does not complain of unwritten text as it ends."""
    with contextlib.suppress(OSError, ValueError, AttributeError):  # one that is no file, or closed, needs nothing
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


class CannotWrite(click.ClickException):
    """A file, or standard output, that cannot be written."""

    exit_code = 2


def write_to_file(content: str | bytes, file: Path) -> None:
    """Write a file, text in UTF-8: beside it first, then renamed, so that no half-written file is left.

    A link is followed to the file that it names. Raises CannotWrite where it cannot be written.
    """
    try:
        target = Path(os.path.realpath(file))
        with _written_beside(target, content.encode() if isinstance(content, str) else content) as beside:
            beside.chmod(target.stat().st_mode & 0o777 if target.exists() else 0o666 & ~_mask())
            beside.replace(target)
    except OSError as error:
        raise CannotWrite(f"{shown(file)} cannot be written: {reason(error)}") from error


@contextlib.contextmanager
def _written_beside(target: Path, content: bytes) -> Iterator[Path]:
    """A new file beside another one, written; removed in the end, where it has not been renamed.

    Its name is chosen before it is there, so that whatever ends the writing, an interruption or a full disk, leaves
    nothing behind. Raises OSError.
    """
    beside = target.with_name(f".buildcheck.{secrets.token_hex(8)}")
    try:
        with open(beside, "xb", opener=_for_its_owner) as stream:
            stream.write(content)
        yield beside
    finally:
        with contextlib.suppress(OSError):
            beside.unlink(missing_ok=True)


def _for_its_owner(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)


def write_new_file(text: str, file: Path) -> None:
    """Write a file in UTF-8 that must not exist yet: whole, or not at all.

    It is written beside and then linked, which fails where the name is taken. Raises OSError, and FileExistsError for a
    name that is taken.
    """
    with _written_beside(file, text.encode()) as beside:
        beside.chmod(0o666 & ~_mask())
        try:
            file.hardlink_to(beside)
        except FileExistsError:
            raise
        except OSError:  # a disk without links
            if os.path.lexists(file):
                raise FileExistsError(f"{file} is there already") from None
            beside.rename(file)


def shown(text: object) -> str:
    """Text from the command line made safe to print, as text from a file is."""
    return visible(str(text))


def reason(error: Exception) -> str:
    """Why the machine refuses something, in its own words: `no space left on device`."""
    return (getattr(error, "strerror", None) or str(error) or type(error).__name__).lower()


def _mask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def write_out(text: str, to: Path | None, *, colour: bool) -> None:
    """Write text to a file, or to the screen where none is given."""
    if to is None:
        write_to_screen(text, colour=colour)
    else:
        write_to_file(text, to)
