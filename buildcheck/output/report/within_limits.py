"""The readings within limits, by area and under the limit that they were held to, and what a rule does not ask for."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from buildcheck.checks.limit import Verdict
from buildcheck.output import words
from buildcheck.output.outcome import Inspected
from buildcheck.output.report.motion import Motion
from buildcheck.output.report.record import row
from buildcheck.output.words import printable

TIMES = {1: "", 2: "twice", 3: "three times", 4: "four times"}


def passed(spec: Inspected, found: Motion) -> list[dict[str, Any]]:
    """The readings within limits, each limit with its text once.

    Equal readings at one place of the spec, such as left and right under `both:`, are listed once, with their number;
    readings of one subject at several places say at which.
    """
    areas: dict[str, dict[tuple[str, ...], list[dict[str, Any]]]] = {}
    for reading in spec.with_verdict(Verdict.OK):
        made = row(spec, found, reading)
        limit = (made["meaning"], made["wanted"], made["basis"], made["rule"])
        areas.setdefault(made["area"], {}).setdefault(limit, []).append(made)
    return [
        {
            "area": area,
            "limits": [
                {
                    "meaning": meaning,
                    "wanted": wanted,
                    "basis": basis,
                    "rule": rule,
                    "least": _least(rows),
                    "rows": _distinguished(_once(rows)),
                }
                for (meaning, wanted, basis, rule), rows in limits.items()
            ],
        }
        for area, limits in areas.items()
    ]


def _least(rows: Sequence[dict[str, Any]]) -> str:
    """The number of readings of a limit, and the one with the least to spare."""
    number = words.count(len(rows), "reading")
    measured = [each for each in rows if each["to_spare"] is not None]
    if not measured:
        return number
    nearest = min(measured, key=lambda each: float(each["to_spare"]))
    return f"{number}; least {nearest['margin']}" + ("" if len(rows) == 1 else f" ({nearest['subject']})")


def not_applying(spec: Inspected) -> list[dict[str, Any]]:
    """The reasons why rules do not apply, each once, with the rule and the subjects."""
    found: dict[tuple[str, str, str], list[str]] = {}
    for reading in spec.readings:
        if not reading.applies:
            key = printable(reading.reason), printable(reading.rule), reading.area.value
            found.setdefault(key, []).append(printable(reading.subject))
    return [
        {"why": why, "rule": rule, "area": area, "subjects": ", ".join(subjects), "count": len(subjects)}
        for (why, rule, area), subjects in found.items()
    ]


def _once(rows: Sequence[dict[str, Any]]) -> list[dict[str, Any]]:
    equal: dict[tuple[str, ...], list[dict[str, Any]]] = {}
    for each in rows:
        equal.setdefault(tuple(str(each[key]) for key in ("subject", "found", "margin", "known", "place")), []).append(
            each
        )
    return [
        {**same[0], "count": len(same), "times": TIMES.get(len(same), f"{len(same)} times")} for same in equal.values()
    ]


def _distinguished(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    places: dict[str, list[str]] = {}
    for each in rows:
        places.setdefault(each["subject"], []).append(each["path"])
    return [{**each, "which": _which(each["path"], places[each["subject"]])} for each in rows]


def _which(path: str, others: Sequence[str]) -> str:
    """The steps of a path that the other paths of the subject do not share, as words: `axle upper`."""
    if len(set(others)) < 2:
        return ""
    steps, every = path.split("."), [other.split(".") for other in others]
    shortest = min(map(len, every))
    first = next((at for at in range(shortest) if len({each[at] for each in every}) > 1), shortest)
    last = next((at for at in range(1, shortest - first + 1) if len({each[-at] for each in every}) > 1), 1) - 1
    return " ".join(steps[first : len(steps) - last] or steps[-1:]).replace("_", " ")
