"""A stamp of a file, which changes when it is saved."""

from __future__ import annotations

from pathlib import Path

Stamp = tuple[int, ...] | None


def stamp(file: str) -> Stamp:
    """The stamp of a file; None while it is not there."""
    try:
        found = Path(file).stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino
