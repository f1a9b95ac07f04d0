"""Keep the output of plugins out of standard output, in any thread."""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

_entering = threading.Lock()
_here = threading.local()


class _Divided:
    """Replacement for standard output: threads that run plugins write to standard error, all others to the original."""

    def __init__(self, stream: Any) -> None:
        self.stream = stream
        self.users = 0

    def __getattr__(self, name: str) -> Any:
        return getattr(sys.stderr if getattr(_here, "depth", 0) else self.stream, name)


@contextmanager
def prints_to_standard_error() -> Iterator[None]:
    """Send everything that this thread prints inside it to standard error. Other threads are not affected."""
    with _entering:
        divided = sys.stdout if isinstance(sys.stdout, _Divided) else _Divided(sys.stdout)
        divided.users += 1
        sys.stdout = divided
    _here.depth = getattr(_here, "depth", 0) + 1
    try:
        yield
    finally:
        _here.depth -= 1
        with _entering:
            divided.users -= 1
            if not divided.users and sys.stdout is divided:
                sys.stdout = divided.stream
