"""Progress bar for long computations."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager

import click

PATIENCE = 1.0
"""Seconds before a bar is shown."""


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
