"""What becomes of an exception in a plugin or a rule: one sentence, whatever the exception is like."""

from __future__ import annotations


def told(error: BaseException) -> str:
    """The kind of an exception and the first line of its message, on one line.

    Plugins are other people's code: even the message may fail, and then only the kind is told.
    """
    try:
        lines = str(error).strip().splitlines()
    except Exception:  # a message that cannot be had is no reason to lose the readings
        lines = []
    return f"{type(error).__name__}: {lines[0] if lines else 'no message'}"
