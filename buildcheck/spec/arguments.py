"""The kinds of argument that functions and classes take, and one sentence for an argument of another kind.

Whoever calls buildcheck from Python sees it at the call, with the name of the argument and what it takes.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from numbers import Integral
from typing import NamedTuple

from buildcheck.spec.guard import plain_text
from buildcheck.spec.place import blank


class Kind(NamedTuple):
    """A kind of argument: what it is called in a sentence, and whether a value is one."""

    said: str
    fits: Callable[[object], bool]

    def __or__(self, other: Kind) -> Kind:
        return Kind(f"{self.said} or {other.said}", lambda value: self.fits(value) or other.fits(value))


def refuse_unfit(name: str, value: object, kind: Kind) -> None:
    """Raise TypeError, `when= takes a function of (job, subject), got 5`, for a value that is not of a kind."""
    if not kind.fits(value):
        raise TypeError(f"{name} takes {kind.said}, got {value!r}")


def instance(said: str, *classes: type) -> Kind:
    """The kind of the objects of some classes."""
    return Kind(said, lambda value: isinstance(value, classes))


def series_of(kind: Kind, said: str) -> Kind:
    """The kind of lists and tuples of which every item is of a kind."""
    return Kind(said, lambda value: isinstance(value, list | tuple) and all(map(kind.fits, value)))


def only(*values: object) -> Kind:
    """The kind of some values alone; None and True are such."""
    said = " or ".join(map(str, values))
    return Kind(said, lambda value: any(value is each for each in values))


def refuse_any(arguments: Iterable[tuple[str, object, Kind]]) -> None:
    """Raise TypeError for the first argument of several, each with its name and kind, that is unfit."""
    for name, value, kind in arguments:
        refuse_unfit(name, value, kind)


# A plugin's own text is made plain before it is asked whether anything of it can be seen.
TEXT = instance("a text", str)
WORDS = Kind("words", lambda value: isinstance(value, str) and not blank(plain_text(value)))
TRUE_OR_FALSE = only(True, False)
NONE = only(None)
FUNCTION = Kind("a function of (job, subject)", lambda value: callable(value) and not isinstance(value, type))
FILE = instance("the name of a file", str, os.PathLike)
WHOLE = Kind("a whole number", lambda value: isinstance(value, Integral) and not isinstance(value, bool))
