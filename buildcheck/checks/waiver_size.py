"""How far a waiver goes: up to a value of its limit; or what it accepts of a requirement."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from buildcheck.build.records import Waiver
from buildcheck.checks.limit import Limit
from buildcheck.checks.rule import Reading, Rule
from buildcheck.spec.quantity import System, parse, show


class Size(NamedTuple):
    """How far a waiver goes, in words: up to a value (SI) on the side of the limit that was broken; or what it accepts
    of a requirement. A waiver of the old form has neither."""

    words: str = ""
    up_to: float | None = None
    accepts: str = ""

    def holds(self, reading: Reading) -> bool:
        """Whether a warning or an error is not beyond it."""
        if self.up_to is not None:
            return not _past(reading, self.up_to)
        return not self.accepts or alike(self.accepts, reading.found)


def _past(reading: Reading, up_to: float) -> bool:
    """Whether the value of a reading is beyond an accepted one, on the side of the limit that it breaks."""
    value, slight = reading.value, 1e-9 * abs(up_to) + 1e-12  # rounding is not beyond
    if value is None:
        return True
    below = reading.lowest is not None and value < reading.lowest
    return value < up_to - slight if below else value > up_to + slight


def alike(one: str, other: str) -> bool:
    """Whether two texts are the same words, whatever their case and spaces."""
    return one.casefold().split() == other.casefold().split()


def size_of(waiver: Waiver, rules: Mapping[str, Rule], system: System) -> Size:
    """How far a waiver goes. Raises QuantityError for a value that is no amount of its limit."""
    if waiver.has("accepts"):
        return Size(f"as found: {waiver.accepts}", accepts=waiver.accepts)
    if not waiver.has("up_to"):
        return Size()
    limit = rules[waiver.rule].limit(waiver.limit)
    assert isinstance(limit, Limit)  # what is neither is refused before
    up_to = parse(waiver.up_to, limit.dimension, system)
    return Size(f"up to {show(up_to, limit.dimension, system)}", up_to)
