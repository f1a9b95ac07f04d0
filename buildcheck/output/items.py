"""The numbered items of a record: its errors and warnings, with mirror images on left and right as one."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from buildcheck.checks.rule import Reading
from buildcheck.output import words
from buildcheck.output.outcome import Inspected

_SIDE = re.compile(r"\b(left|right)\b")


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to put right or to look at; `twin` is the reading of the other side that is its mirror
    image."""

    number: int
    reading: Reading
    twin: Reading | None = None

    @property
    def less_sure(self) -> Reading:
        """The less well known of the two readings."""
        if self.twin is None or (self.twin.plus_or_minus or 0.0) <= (self.reading.plus_or_minus or 0.0):
            return self.reading
        return self.twin


def items(spec: Inspected) -> tuple[Item, ...]:
    """The items of a spec, numbered from 1 in the order of the readings.

    Two readings are one item where they have the same place in the spec, as under `both:`, and the same
    words except for left and right.
    """
    found: dict[int, Item] = {}
    waiting: dict[tuple[object, ...], int] = {}
    for reading in spec.items:
        content = _content(spec, reading)
        mirrored = tuple(mirror(part) if isinstance(part, str) else part for part in content)
        if mirrored != content and mirrored in waiting:
            first = waiting.pop(mirrored)
            found[first] = replace(found[first], twin=reading)
            continue
        number = len(found) + 1
        found[number] = Item(number, reading)
        waiting[content] = number
    return tuple(found.values())


def mirror(text: str) -> str:
    """The text with left for right and right for left."""
    return _SIDE.sub(lambda side: "right" if side[0] == "left" else "left", text)


def _content(spec: Inspected, reading: Reading) -> tuple[object, ...]:
    system = spec.build.units
    # The place is in a tuple of its own: it has to be the same for both, not its mirror image.
    return (
        (reading.place, reading.verdict, reading.rule, reading.quantity),
        words.title(reading),
        words.found(reading, system),
        words.wanted(reading, system),
        words.margin(reading, system),
        "" if reading.cure is None else words.change(reading.cure, system),
        words.effect(reading),
        words.whole_basis(reading, system),
    )
