"""No line that Python itself writes reaches the terminal: each becomes a sentence, or a failure of what caused it."""

from __future__ import annotations

import sys
import threading
import warnings
from _thread import interrupt_main
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any


@contextmanager
def python_kept_quiet(tell: Callable[[str], None]) -> Iterator[list[str]]:
    """Within it, `tell` is called with a sentence in place of Python's own lines.

    Arithmetic that has no result (RuntimeWarning: a division by zero, say) is raised as an error, so that no reading
    can be made of it. Any other warning is a sentence. What Python can only report, as it drops an object or in a
    thread, is a sentence too, and the list that this gives holds it: whoever runs the command ends it as a failure.
    """
    failures: list[str] = []

    def failed(kind: type[BaseException], error: BaseException | None) -> None:
        if issubclass(kind, KeyboardInterrupt):  # met where nothing can be raised: it is met again where it can
            interrupt_main()
            return
        from buildcheck.plugins.loading import plugin_of
        from buildcheck.spec.guard import described

        error = kind() if error is None else error
        plugin = plugin_of(error)
        sentence = f"{f'The plugin {plugin}' if plugin else 'Something'} failed unseen: {described(error)}"
        failures.append(sentence)
        tell(sentence)

    def warned(
        message: Warning | str, category: type[Warning], filename: str, lineno: int, file: Any = None, line: Any = None
    ) -> None:
        from buildcheck.spec.guard import Mishap, guarded, place, plain_text

        try:
            with guarded():  # a plugin's message may fail as it is read
                text = plain_text(str(message))
        except Mishap as mishap:
            text = str(mishap)
        tell(f"Python warns: {category.__name__}: {text} ({place(filename, lineno)})")

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
