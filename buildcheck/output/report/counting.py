"""Numbers of readings of each kind, in the same words wherever the page counts them.

An item is one thing to put right or to look at; mirror images on left and right are one item of two readings. The
kinds together are all readings.
"""

from __future__ import annotations

from typing import NamedTuple

from buildcheck.checks.limit import Verdict
from buildcheck.output import words
from buildcheck.output.items import Item
from buildcheck.output.limits import looser_tally
from buildcheck.output.outcome import Inspected
from buildcheck.output.words import count


class Kind(NamedTuple):
    """The readings of one kind: what is said of them, how many they are, in how many items (0 for those that are not
    numbered), and the class of their stamp."""

    says: str
    readings: int
    items: int
    stamp: str

    @property
    def number(self) -> int:
        """The number that its stamp shows."""
        return self.items or self.readings

    @property
    def beside(self) -> str:
        """Words beside that number, with the number of readings where that is more than the items."""
        return f"{self.says} ({count(self.readings, 'reading')})" if self.items and self.mirrored else self.says

    @property
    def mirrored(self) -> bool:
        """Whether an item of them has two readings."""
        return self.readings > self.items

    @property
    def in_words(self) -> str:
        """All of it: `18 items (20 readings) to put right`, `150 readings within limits`."""
        if not self.items:
            return f"{count(self.readings, 'reading')} {self.says}"
        readings = f" ({count(self.readings, 'reading')})" if self.mirrored else ""
        return f"{count(self.items, 'item')}{readings} {self.says}"


def kinds(spec: Inspected, numbered: tuple[Item, ...]) -> tuple[Kind, ...]:
    """The readings by kind, those not checked first; an empty kind only where a zero says something."""

    def of(verdict: Verdict) -> int:
        return len(spec.with_verdict(verdict))

    def numbered_kind(verdict: Verdict, says: str, stamp: str) -> Kind:
        return Kind(says, of(verdict), sum(item.reading.verdict is verdict for item in numbered), stamp)

    every = (
        Kind("that a rule failed to make", len(spec.failed), 0, ""),
        Kind("not checked", of(Verdict.NOT_CHECKED), 0, "unchecked"),
        numbered_kind(Verdict.ERROR, "to put right", "error"),
        numbered_kind(Verdict.WARNING, "to look at", "warning"),
        Kind("within limits", of(Verdict.OK), 0, "ok"),
        Kind("waived", of(Verdict.WAIVED), 0, ""),
        Kind("where a rule does not apply", sum(not reading.applies for reading in spec.readings), 0, ""),
    )
    return tuple(each for each in every if each.readings or each.stamp)


def summed(spec: Inspected, made: tuple[Kind, ...]) -> str:
    """The kinds as a sum, with what explains it."""
    every = ", ".join(each.in_words for each in made if each.readings)
    mirrored = (
        " Two readings that are mirror images, left and right, are one item."
        if any(each.items and each.mirrored for each in made)
        else ""
    )
    if not spec.readings:
        return "Nothing was checked: no rule was applied."
    nothing = " Nothing was checked: the spec lacks what the rules need." if spec.nothing_checked else ""
    milder = "".join(f" {sentence}." for sentence in by_the_shop(spec))
    return f"{count(len(spec.readings), 'reading')} in all: {every}.{mirrored}{milder}{nothing}"


def by_the_shop(spec: Inspected) -> tuple[str, ...]:
    """Count what the shop's standard makes milder than it is built in: readings and rules, counted."""
    off = words.switched_off_tally([words.printable(each.name) for each in spec.inspection.switched_off])
    return tuple(tally for tally in (looser_tally(spec), words.loosened_tally(spec.loosened), off) if tally)
