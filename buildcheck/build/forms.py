"""The forms of values in a spec: texts that are written in one way only, and how far points and directions reach."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

FORMS: Mapping[str, Mapping[str, Any]] = {
    # Year, month and day, in quotes.
    "date": {"pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$", "format": "date", "examples": ["2026-03-14"]},
    # The thread of a bolt; `thread` is a keyword of buildcheck: one that is made.
    "thread": {
        "pattern": "^(M[0-9]{1,2}([.][0-9]+)?x[0-9]([.][0-9]+)?|([1-9] )?[1-9][0-9]?/[1-9][0-9]?-[1-9][0-9]?"
        "|[1-9]-[1-9][0-9]?)$",
        "thread": True,
        "examples": ["5/8-11"],
    },
}
"""The texts that are written in one way only, each with its part of the schema."""

NAME = "^[a-z][a-z0-9_]{0,39}$"
"""Names that a builder may give to a part."""

NAME_BESIDE_SIDES = "^(?!(both|left|right|centre)$)[a-z][a-z0-9_]{0,39}$"
"""The same where a side goes below the name."""

WITH_UNIT = ".*[A-Za-z].*"
"""Pattern of a speed. It needs a unit: the default, miles an hour, is not used for welding speeds."""

# Common practice, no source: where the points of a truck are, from the origin forward, to the left and up.
AROUND_THE_TRUCK = (("-9 m", "9 m"), ("-2 m", "2 m"), ("-500 mm", "3.5 m"))
# A coordinate of what was measured, whatever it is.
ANYWHERE = ("-10 m", "10 m")
# No number of a direction is larger than the one, and one of the three is no smaller than the other.
LONGEST_DIRECTION, SHORTEST_DIRECTION = 1000, 0.001
LONGEST_AMOUNT = 64  # characters

BASIS = "common practice, no source"
"""Basis of the range of every field."""
