"""The words, range and example of each field of a spec, written where a class of the build declares the field.

The annotation says what kind of value a field holds; `field` says the rest. `buildcheck/build/json_schema.py` makes the
schema of the spec from both.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple


class Field(NamedTuple):
    """Description of one field of a class, beside the kind of its value.

    words:       for the person who fills it in; empty where the kind is a class whose docstring says it all
    example:     a value as a spec has it; of a choice the first where none is given, of yes and no `true`
    between:     the least and the most, both allowed: amounts with their units, or numbers of a count or a factor
    one_of:      the words or numbers that it may be
    plugins_add: the mapping of `Additions` whose names it may be too
    form:        of a text that is written in one way only: "date" or "thread"
    how_many:    the least and the most that a list holds
    or_one:      whether one of a kind may be written without its list
    longest:     the most characters of a free text
    needed:      whether a spec that has the group must have this
    only_for:    the one choice of the class's `VARIES_BY` that has this field; the others must not
    needed_for:  the choices of the class's `VARIES_BY` that must have this field
    for_people:  whether it is read by people alone: a name, a note, a date, a person, a part number
    as_written:  of a value that stays as it is written: "amount" of anything, "amount or point", or "group" of any keys
    """

    words: str = ""
    example: Any = None
    between: tuple[Any, Any] | None = None
    one_of: tuple[Any, ...] = ()
    plugins_add: str = ""
    form: str = ""
    how_many: tuple[int, int] = (0, 0)
    or_one: bool = False
    longest: int = 500
    needed: bool = False
    only_for: str = ""
    needed_for: tuple[str, ...] = ()
    for_people: bool = False
    as_written: str = ""


field: Callable[..., Any] = Field
"""A `Field`, typed Any so that `wall: Length = field(...)` declares a length."""
