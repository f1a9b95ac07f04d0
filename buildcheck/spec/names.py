"""Nearest known name to one that a person has typed."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable


def nearest(written: str, known: Iterable[str]) -> str | None:
    """Return the known name most similar to the one written, ignoring capitals, spaces and hyphens; None where none is
    similar enough."""
    plain = {_plain(name): name for name in known}
    near = difflib.get_close_matches(_plain(written[:64]), plain, 1, 0.6)
    return plain[near[0]] if near else None


def no_such(what: str, written: str, known: Iterable[str]) -> str:
    """Sentence on an unknown name: `there is no rule "link-flatnes"; did you mean "link-flatness"?`"""
    names = list(known)
    near = nearest(written, names)
    if near is not None:
        return f'there is no {what} "{written}"; did you mean "{near}"?'
    listed = f"; there are {', '.join(names)}" if 0 < len(names) <= 12 else ""
    return f'there is no {what} "{written}"{listed}'


def _plain(name: str) -> str:
    return re.sub(r"[-_ ]+", " ", name.casefold())
