"""What must be so of a change told in numbers: made, it cures its reading, and breaks nothing that was whole."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

from buildcheck.job import Cure
from buildcheck.limit import Verdict
from buildcheck.rule import Reading

BROKEN = (Verdict.WARNING, Verdict.ERROR)
OK_TO_ERROR = (Verdict.OK, Verdict.ERROR)

WAYS = ("straight bump", "straight droop", "articulation, left wheel up", "articulation, right wheel up")

Key = tuple[str, str, str, str, int]


def numbered(readings: tuple[Reading, ...]) -> dict[Key, Reading]:
    """Readings by rule, subject and quantity, numbered where there are several of those. Clearance tells only the pairs
    that come near each other, so that there it is those at one place that are numbered; stated-travel shows the first
    end of each way and then the others, so that there it is those of one way."""
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


def check_made(
    readings: tuple[Reading, ...], readings_with: Callable[[Cure], tuple[Reading, ...]], rule: str = ""
) -> int:
    """The readings of a build, and what they are with each change made: it cures, and breaks nothing. How many changes
    that were."""
    before, made = numbered(readings), 0
    for key, reading in before.items():
        if reading.verdict not in BROKEN or rule not in ("", reading.rule):
            continue
        told = f"{reading.rule}, {reading.subject}, {reading.quantity}: {reading.cure}"
        assert reading.cure is not None, told
        assert reading.cure.words, told
        if reading.cure.change is None:
            continue
        made += 1
        after = numbered(readings_with(reading.cure))
        assert after[key].verdict is Verdict.OK, told
        now = {other: (was, after[other]) for other, was in before.items() if other in after}
        broken = [other for other, (was, is_now) in now.items() if (was.verdict, is_now.verdict) == OK_TO_ERROR]
        assert broken == [], told
        worse = [
            other
            for other, (was, is_now) in now.items()
            if other[0] == reading.rule and severity(is_now) > severity(was)
        ]
        assert worse == [], told
    return made
