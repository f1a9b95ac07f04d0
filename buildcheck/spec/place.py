"""Spec paths, positions and problems in a spec file, and text made safe to print.

A spec path names one value: ``links.lower.left.axle`` or ``records.measured[2].value``. A key that holds a
dot, a bracket or a quotation mark, or is empty, is written quoted: ``shop["b.c"]``.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache, reduce
from typing import NamedTuple

_SIDES = ("left", "right", "centre", "both")
_CENTRE_OF_A_KINGPIN = (3, "steering", "kingpins")

ECHO_LENGTH = 60
"""Longest text from the file that a sentence repeats, in characters."""

_BARE_KEY = re.compile(r'[^.\[\]"\\]+')
_STEP = re.compile(r'(?P<bare>[^.\[\]"\\]+)|\[(?P<index>[0-9]{1,9})\]|\["(?P<quoted>(?:[^"\\]|\\["\\])*)"\]')


class Position(NamedTuple):
    """A place in the text: line and column, both counted from 1, columns in characters."""

    line: int
    column: int


class Problem(NamedTuple):
    """One mistake in a file.

    ``sentence`` is a plain sentence; ``path`` the spec path it concerns, "" for the whole file;
    ``line`` and ``column`` count from 1.
    """

    sentence: str
    path: str
    line: int
    column: int


def visible(text: str) -> str:
    """Return text made safe to print, whole: one line, with everything invisible as an escape (``\\u202e``)."""
    if text.isprintable():
        return text
    return "".join(
        character if character.isprintable() else character.encode("unicode_escape").decode("ascii")
        for character in text
    )


# Letters and signs without a visible shape: fillers of Hangul and Khmer, and the braille pattern without dots.
_DRAWN_AS_NOTHING = frozenset("\u115f\u1160\u17b4\u17b5\u2800\u3164\uffa0")


def blank(text: str) -> bool:
    """Whether a text is invisible: it is empty, or holds only spaces, controls, formatting characters and combining
    marks without a letter.

    >>> blank("\u200b\u00ad \u2800"), blank("a")
    (True, False)
    """
    return all(one in _DRAWN_AS_NOTHING or unicodedata.category(one)[0] in "ZCM" for one in text)


def clean(text: str) -> str:
    """Return text from a file made safe to print: one line, nothing invisible, at most 60 characters.

    Control characters, terminal escapes, line breaks, bidirectional controls and lone surrogates come out
    as visible escapes (``\\x1b``, ``\\u202e``); longer text is cut and ends in "...".
    """
    shown = visible(text[: ECHO_LENGTH + 1])
    return shown if len(shown) <= ECHO_LENGTH else shown[: ECHO_LENGTH - 3] + "..."


def join(path: str, key: str | int) -> str:
    """Return the spec path of ``key`` (a mapping's key, or a list index from 0) under ``path``.

    >>> join(join("records.measured", 2), "value")
    'records.measured[2].value'
    >>> join("shop", "b.c")
    'shop["b.c"]'
    """
    if isinstance(key, int):
        return f"{path}[{key}]"
    if _BARE_KEY.fullmatch(key):
        return f"{path}.{key}" if path else key
    escaped = key.replace("\\", "\\\\").replace('"', '\\"')
    return f'{path}["{escaped}"]'


def split(path: str) -> list[str | int]:
    """Return the keys and list indices of a spec path, from the top; "" gives an empty list.

    Raises ValueError, with a plain sentence, where the text is not a spec path.
    """
    return list(_steps(path))


@lru_cache(maxsize=4096)
def with_side(path: str, side: str, instead_of: str = "both") -> str:
    """Replace `instead_of` by another side in the step of a spec path that names a side; other sides stay unchanged.

    >>> with_side("links.both_arms.both.frame", "right")
    'links.both_arms.right.frame'
    >>> with_side("steering.kingpins.both.centre", "right")
    'steering.kingpins.right.centre'
    """
    steps = split(path)
    # A part may be named "both", and the middle of a kingpin is its `centre`, which is no side there.
    named = (
        index for index, step in enumerate(steps) if step in _SIDES and (index, *steps[:2]) != _CENTRE_OF_A_KINGPIN
    )
    at = max(named, default=None)
    if at is None or steps[at] != instead_of:
        return path
    steps[at] = side
    return reduce(join, steps, "")


@lru_cache(maxsize=4096)  # every reading of every run of the same spec needs its place
def _steps(path: str) -> tuple[str | int, ...]:
    steps: list[str | int] = []
    start = 0
    while start < len(path):
        # A dot comes before every bare key except the first, and nowhere else.
        dotted = start > 0 and path[start] == "."
        found = _STEP.match(path, start + dotted)
        if found is None or (found["bare"] is not None) != (dotted or (start == 0 and path[0] != "[")):
            raise ValueError(f'"{clean(path)}" is not a spec path; write one like records.measured[2].value')
        if found["index"] is not None:
            steps.append(int(found["index"]))
        elif found["quoted"] is not None:
            steps.append(re.sub(r"\\(.)", r"\1", found["quoted"]))
        else:
            steps.append(found["bare"])
        start = found.end()
    return tuple(steps)
