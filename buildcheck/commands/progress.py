"""Progress of long computations: a bar, or a count where the end is not known."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager

import click

PATIENCE = 1.0
"""Seconds before a bar or a count is shown."""

BETWEEN = 0.2
"""Seconds from one count that is shown to the next."""


@contextmanager
def progress(label: str, length: int) -> Iterator[Callable[[], None]]:
    """Yield a function to call after each of `length` steps; a bar on standard error shows how many are done.

    There is no bar in the first second, and none where standard error is not a terminal.
    """
    began, done = time.monotonic(), 0
    update: Callable[[int], None] | None = None
    with ExitStack() as stack:

        def after_each() -> None:
            nonlocal done, update
            done += 1
            if update is not None:
                update(1)
            elif sys.stderr is not None and sys.stderr.isatty() and time.monotonic() - began > PATIENCE:
                bar = stack.enter_context(click.progressbar(length=length, label=label, file=sys.stderr))
                update = bar.update
                update(done)

        yield after_each


@contextmanager
def counting(label: str) -> Iterator[Callable[[int], None]]:
    """Yield a function to call with the number of steps done; one line on standard error shows it, and is cleared at
    the end.

    There is none in the first second, and none where standard error is not a terminal.
    """
    began = shown = time.monotonic()
    screen = sys.stderr if sys.stderr is not None and sys.stderr.isatty() else None
    written = False

    def after_each(done: int) -> None:
        nonlocal shown, written
        now = time.monotonic()
        if screen is not None and now - began > PATIENCE and now - shown > BETWEEN:
            screen.write(f"\r{label}: {done}, {now - began:.0f} s; Ctrl-C stops and shows the list so far")
            screen.flush()
            shown, written = now, True

    try:
        yield after_each
    finally:
        if screen is not None and written:
            screen.write("\r\033[K")
            screen.flush()
