"""Note which values of a build a computation reads, while it runs.

What a computation has read says whether its result still holds for a build that differs in a few values.
"""

from __future__ import annotations

import threading
from typing import Any

Cell = tuple[str, str]
"""One field of a part: the spec path of the part, and the name of the field."""


class Notes(threading.local):
    """`now` is what the computation in this thread has read so far; None where reads are not noted."""

    now: set[Any] | None = None


NOTES = Notes()


def note(what: object) -> None:
    """Note something that the running computation depends on."""
    if NOTES.now is not None:
        NOTES.now.add(what)
