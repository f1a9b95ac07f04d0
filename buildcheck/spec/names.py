"""Nearest known name to one that a person has typed."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable


def nearest(written: str, known: Iterable[str]) -> str | None:
    """Return the known name most similar to the one written, ignoring capitals, spaces and hyphens.

    None where more than two in five letters would have to change, and neither name has all words of the other."""
    plain, meant = {_plain(name): name for name in known}, _plain(written[:64])
    for near in difflib.get_close_matches(meant, plain, 5, 0.6):
        one, other = set(meant.split()), set(near.split())
        if one <= other or other <= one or 5 * _typing_errors(meant, near) <= 2 * max(len(meant), len(near)):
            return plain[near]
    return None


def _typing_errors(written: str, known: str) -> int:
    """Return the least number of letters to leave out, add, change or exchange with the next one that turns one word
    into another. Source: F. J. Damerau, A technique for computer detection and correction of spelling errors, CACM 7
    (1964); from memory.
    """
    before: list[int] = []
    row = list(range(len(known) + 1))
    for at, letter in enumerate(written, 1):
        two_before, before, row = before, row, [at]
        for to, other in enumerate(known, 1):
            cost = min(before[to] + 1, row[to - 1] + 1, before[to - 1] + (letter != other))
            if at > 1 < to and letter == known[to - 2] and written[at - 2] == other:
                cost = min(cost, two_before[to - 2] + 1)
            row.append(cost)
    return row[-1]


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
