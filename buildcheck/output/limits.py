"""Limits in words: the list of rules, and the limits of a shop's standard that are looser than those built in."""

from __future__ import annotations

from typing import NamedTuple

from buildcheck.checks.limit import Limit, Requirement
from buildcheck.output import words
from buildcheck.output.outcome import Inspected
from buildcheck.output.words import printable
from buildcheck.spec.quantity import System


def bounds(limit: Limit | Requirement, system: System) -> list[str]:
    """The values that are a warning, and those that are an error: `warning above 5.00 deg`."""
    if isinstance(limit, Requirement):
        return [f"{limit.if_not.value} if not met"]
    ends = limit.bounds
    shown = [
        ("warning", outside(limit, ends.warn_below, ends.warn_above, system)),
        ("error", outside(limit, ends.fail_below, ends.fail_above, system)),
    ]
    return [f"{verdict} {text}" for verdict, text in shown if text]


def outside(limit: Limit, lowest: float, highest: float, system: System) -> str:
    """The values outside of a range: `above 5.00 deg`, `below 1.00 in or above 2.00 in`; "" where it has
    no end."""
    parts = []
    if lowest != float("-inf"):
        parts.append(f"below {words.limit_amount(lowest, limit.dimension, system)}")
    if highest != float("inf"):
        parts.append(f"above {words.limit_amount(highest, limit.dimension, system)}")
    return " or ".join(parts)


class LooserWords(NamedTuple):
    """A limit that a shop's standard has made looser: its name, its bounds by the shop and built in, the shop's basis,
    and the physical end that it goes past; "" for none."""

    name: str
    shop: str
    built_in: str
    basis: str
    past: str

    @property
    def sentence(self) -> str:
        """All of it in one line."""
        past = f"; past its physical end, {self.past}" if self.past else ""
        return f"{self.name}: {self.shop}; built in: {self.built_in}{past}; {self.basis}"


def looser(spec: Inspected) -> tuple[LooserWords, ...]:
    """The limits of the shop's standard that are looser than those built in, in the order of their rules."""
    return tuple(_looser(rule, limit, spec.build.units) for rule, limit in spec.inspection.looser)


def _looser(rule: str, limit: Limit | Requirement, system: System) -> LooserWords:
    assert limit.built_in is not None  # the reason why it is among the looser ones
    past = ""
    if isinstance(limit, Limit) and (end := limit.past_the_possible) is not None:
        past = words.limit_amount(end, limit.dimension, system)
    basis = limit.error_basis or limit.basis if isinstance(limit, Limit) else limit.basis
    return LooserWords(
        printable(f"{rule}/{limit.name}"),
        "; ".join(bounds(limit, system)),
        "; ".join(bounds(limit.built_in, system)),
        printable(str(basis)),
        past,
    )


def looser_tally(spec: Inspected) -> str:
    """The number and the names of these limits: `2 limits looser than built in: link-flatness/slope-at-ride, ...`; ""
    for none."""
    names = [each.name for each in looser(spec)]
    return f"{words.count(len(names), 'limit')} looser than built in: {', '.join(names)}" if names else ""
