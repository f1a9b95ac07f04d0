"""Sentences in place of the lines that Python itself writes to the terminal, and failures for what caused them."""

from __future__ import annotations

import sys
import threading
import warnings
from _thread import interrupt_main
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any


@contextmanager
def python_kept_quiet(say: Callable[[str], None]) -> Iterator[list[str]]:
    """Within it, call `say` with a sentence in place of each line that Python itself would write.

    Arithmetic without a result (RuntimeWarning: a division by zero, say) is raised as an error, so that no reading
    can be made of it. Any other warning becomes a sentence. An exception that Python cannot raise, in a destructor or
    a thread, becomes a sentence too, and is added to the list that this yields: the command then ends as a failure.
    """
    failures: list[str] = []

    def failed(kind: type[BaseException], error: BaseException | None) -> None:
        if issubclass(kind, KeyboardInterrupt):  # it cannot be raised here, so it is raised again in the main thread
            interrupt_main()
            return
        from buildcheck.plugins.loading import plugin_of
        from buildcheck.spec.guard import described

        error = kind() if error is None else error
        plugin = plugin_of(error)
        sentence = f"{f'The plugin {plugin}' if plugin else 'Something'} failed unseen: {described(error)}"
        failures.append(sentence)
        say(sentence)

    def warned(
        message: Warning | str, category: type[Warning], filename: str, lineno: int, file: Any = None, line: Any = None
    ) -> None:
        from buildcheck.spec.guard import Mishap, guarded, place, plain_text

        try:
            with guarded():  # a plugin's message may fail as it is read
                text = plain_text(str(message))
        except Mishap as mishap:
            text = str(mishap)
        say(f"Python warns: {category.__name__}: {text} ({place(filename, lineno)})")

    hooks = sys.unraisablehook, threading.excepthook
    with warnings.catch_warnings():
        warnings.simplefilter("error", RuntimeWarning)
        warnings.showwarning = warned
        sys.unraisablehook = lambda seen: failed(seen.exc_type, seen.exc_value)
        threading.excepthook = lambda seen: failed(seen.exc_type, seen.exc_value)
        try:
            yield failures
        finally:
            sys.unraisablehook, threading.excepthook = hooks
