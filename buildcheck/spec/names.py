"""The known name that a person probably means by one that they have typed."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Sequence
from functools import cache

from buildcheck.spec.synonyms import CALLED, NOT_ONE


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
    said = hint(written, names)
    if not said and 0 < len(names) <= 12:
        said = f"there are {', '.join(names)}"
    return f'there is no {what} "{written}"{said and f"; {said}"}'


def hint(written: str, known: Iterable[str]) -> str:
    """Words on an unknown name: `did you mean "length"?`, `here it is called "lateral_bar"`, or why there is no such
    name; "" where nothing is near. Where two may be meant, none is guessed."""
    names, meant = list(known), _plain(written[:64])
    if meant in NOT_ONE:
        return NOT_ONE[meant]
    elsewhere = _called().get(meant, ())
    called = [name for name in elsewhere if name in names]
    if called:
        return f"here it is called {_or(called)}{'; write which one' if len(called) > 1 else ''}"
    holding = [name for name in names if set(meant.split()) < set(_plain(name).split())]
    if len(holding) > 1:
        return f"it may be {_or(holding)}; write which one" if len(holding) < 6 else ""
    near = nearest(written, names)
    if near is not None:
        return f'did you mean "{near}"?'
    return f"what it may mean is called {_or(elsewhere)}, and goes elsewhere" if elsewhere else ""


def _or(names: Sequence[str]) -> str:
    quoted = [f'"{name}"' for name in names]
    return " or ".join(filter(None, (", ".join(quoted[:-1]), quoted[-1])))


@cache
def _called() -> dict[str, tuple[str, ...]]:
    """The names here of each other name in the trade."""
    found: dict[str, tuple[str, ...]] = {}
    for name, others in CALLED.items():
        for other in others:
            found[_plain(other)] = (*found.get(_plain(other), ()), name)
    return found


def _plain(name: str) -> str:
    return re.sub(r"[-_ ]+", " ", name.casefold())
