"""Assertions about changes with an amount: made as printed, a change puts its reading right and breaks no other."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Callable, Iterator

from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading
from buildcheck.job import Cure
from buildcheck.output import words
from buildcheck.spec.quantity import System, parse

BROKEN = (Verdict.WARNING, Verdict.ERROR)
OK_TO_ERROR = (Verdict.OK, Verdict.ERROR)

WAYS = ("straight bump", "straight droop", "articulation, left wheel up", "articulation, right wheel up")

Key = tuple[str, str, str, str, int]


def numbered(readings: tuple[Reading, ...]) -> dict[Key, Reading]:
    """Readings by rule, subject and quantity, numbered where there are several. Clearance lists only pairs that are
    near each other, so those at one place are numbered; stated-travel lists the first end of each motion and then the
    others, so those of one motion are numbered."""
    count: Counter[tuple[str, str, str, str]] = Counter()
    found: dict[Key, Reading] = {}
    for reading in readings:
        among = reading.place if reading.rule == "clearance" else ""
        if reading.rule == "stated-travel":
            among = next((way for way in WAYS if reading.of.startswith(way)), "")
        key = (reading.rule, reading.subject, reading.quantity, among)
        found[(*key, count[key])] = reading
        count[key] += 1
    return found


def severity(reading: Reading) -> int:
    return [Verdict.OK, Verdict.WARNING, Verdict.ERROR, Verdict.NOT_CHECKED].index(reading.verdict)


def by_amount(cure: Cure, amount: float) -> Cure:
    """The same change by another amount."""
    change = None if cure.change is None else math.copysign(amount, cure.change)
    return cure._replace(amount=amount, change=change)


def as_printed(cure: Cure, system: System) -> Iterator[Cure]:
    """The change by the amount in its words, and by the one in parentheses after them, as a reader takes them from the
    printed line."""
    assert cure.dimension is not None
    printed = words.change(cure, system)
    context = re.escape(cure.words).replace(re.escape("{amount}"), "(?P<amount>.+?)")
    found = re.fullmatch(rf"{context}(?: \((?P<paths>[^()]+) by (?P<by>[^()]+)\))?", printed)
    assert found is not None, printed
    zero = parse(0, cure.dimension, system) if any(edit.adds for edit in cure.edits) else 0.0
    yield by_amount(cure, parse(found["amount"], cure.dimension, system) - zero)
    if cure.change is not None:
        change = parse(found["by"], cure.dimension, system) - zero
        assert tuple(found["paths"].split(" and ")) == (cure.path, *cure.also)
        yield cure._replace(amount=abs(change), change=change)


def check_made(
    readings: tuple[Reading, ...],
    readings_with: Callable[[Cure], tuple[Reading, ...]],
    system: System,
    rule: str = "",
) -> int:
    """The readings of a build, and what they are with each change made as it is printed: it cures, and breaks nothing.
    How many changes that were."""
    before, made = numbered(readings), 0
    for key, reading in before.items():
        if reading.verdict not in BROKEN or rule not in ("", reading.rule):
            continue
        context = f"{reading.rule}, {reading.subject}, {reading.quantity}: {reading.cure}"
        assert reading.cure is not None, context
        assert reading.cure.words, context
        assert "{amount}" not in words.change(reading.cure, system), context
        if not reading.cure.edits:
            continue
        made += 1
        printed = list(as_printed(reading.cure, system))
        # The same number, to what the unit leaves of it.
        assert max(each.size for each in printed) - min(each.size for each in printed) < 1e-9, context
        after = numbered(readings_with(printed[0]))
        # A value that leaves something out is never ok: inside its limit, it leaves out no more than before.
        partial = after[key].verdict is Verdict.NOT_CHECKED and set(after[key].without) <= set(reading.without)
        assert after[key].verdict is Verdict.OK or (partial and reading.without), context
        if reading.cure.change is None:
            continue  # it says that something else must be changed with it
        now = {other: (was, after[other]) for other, was in before.items() if other in after}
        broken = [other for other, (was, is_now) in now.items() if (was.verdict, is_now.verdict) == OK_TO_ERROR]
        assert broken == [], context
        worse = [
            other
            for other, (was, is_now) in now.items()
            if other[0] == reading.rule and severity(is_now) > severity(was)
        ]
        assert worse == [], context
    return made
