"""The inspection record as plain data for the page: rows, words and numbers, all made elsewhere."""

from __future__ import annotations

from itertools import groupby
from typing import Any

from buildcheck.limit import Verdict
from buildcheck.output import words
from buildcheck.output.cautions import cautions
from buildcheck.output.items import Item, items
from buildcheck.output.outcome import Inspected
from buildcheck.output.report.motion import Motion
from buildcheck.output.sheet import lacks, place_of, stated
from buildcheck.output.text import tally
from buildcheck.output.words import printable
from buildcheck.rule import Reading


def title_block(spec: Inspected) -> dict[str, str]:
    """What the title block says: the fields of ISO 7200 (from memory) that a spec can fill."""
    return {
        "name": stated(spec, "name") or "not named",
        "revision": stated(spec, "revision"),
        "date": stated(spec, "date"),
        "owner": stated(spec, "shop") or "not named",
        "use": stated(spec, "intended_use") or "not stated",
        "holds": words.kind_of_build(spec.build) or "nothing of the truck yet",
        "notes": stated(spec, "notes"),
        "file": printable(spec.file),
        "units": spec.build.units.value,
        "stage": spec.inspection.stage.value,
        "standard": ""
        if spec.used is None
        else printable(f"{spec.used.standard.title}; {spec.used.file}, {spec.used.found}"),
        "tally": tally(spec, items(spec)),
    }


def item_rows(
    spec: Inspected, found: Motion, numbered: tuple[Item, ...], views: dict[int, str]
) -> list[dict[str, Any]]:
    """The numbered items. `views` says on which view an item has its mark; the others are marked beside the drawing."""
    return [
        {
            **_row(spec, found, item.reading),
            "how_sure": words.how_sure(item.less_sure, spec.build.units),
            "number": item.number,
            "view": views.get(item.number, ""),
            "also": "" if item.twin is None else f"{printable(item.twin.subject)}, as its mirror image",
        }
        for item in numbered
    ]


def passed(spec: Inspected, found: Motion) -> list[dict[str, Any]]:
    """The readings within limits, and those that a rule does not ask for with the reason: by area, and under the limit
    that they were held to, so that its text stands once."""
    areas: dict[str, dict[tuple[str, ...], list[dict[str, Any]]]] = {}
    for reading in spec.readings:
        if reading.verdict is Verdict.OK:
            row = _row(spec, found, reading)
            limit = (row["meaning"], row["wanted"], row["basis"], row["rule"])
            areas.setdefault(row["area"], {}).setdefault(limit, []).append(row)
    return [
        {
            "area": area,
            "limits": [
                {"meaning": meaning, "wanted": wanted, "basis": basis, "rule": rule, "rows": rows}
                for (meaning, wanted, basis, rule), rows in limits.items()
            ],
        }
        for area, limits in areas.items()
    ]


def _row(spec: Inspected, found: Motion, reading: Reading) -> dict[str, Any]:
    system = spec.build.units
    pose = None if reading.pose is None else found.of_reading.get((reading.pose.heave, reading.pose.roll))
    return {
        "verdict": reading.verdict.value if reading.applies else "does not apply",
        "area": reading.area.value,
        "subject": printable(reading.subject),
        "meaning": printable(reading.meaning),
        "found": words.found(reading, system) if reading.applies else printable(reading.reason),
        "wanted": words.wanted(reading, system),
        "margin": words.margin(reading, system),
        "how_sure": words.how_sure(reading, system),
        "plus_or_minus": words.plus_or_minus(reading, system),
        "too_near": reading.too_near_to_tell,
        "basis": words.whole_basis(reading, system),
        "change": "" if reading.cure is None else words.change(reading.cure, system),
        "effect": words.effect(reading),
        "place": _place(spec, reading.place),
        "rule": printable(f"{reading.rule}, {reading.quantity}".rstrip(", ")),
        "pose": pose,
        "where": "" if reading.pose is None else words.pose(reading.pose, system),
    }


def _place(spec: Inspected, path: str) -> str:
    """A place in the spec by its path and line: `links.arm.both.frame, line 63`; the file stands in the title block."""
    position = spec.position(path)
    return printable(path) if position is None else printable(f"{path}, line {position.line}")


def failed_rows(spec: Inspected) -> list[str]:
    """What a rule failed to read."""
    return [printable(f"{reading.rule} on {reading.subject}: {reading.failure}") for reading in spec.failed]


def not_checked(spec: Inspected) -> list[dict[str, Any]]:
    """What was not checked and why: each lack once, with the rules that need it, of what, and how many readings."""
    lacking: dict[str, dict[tuple[str, str], list[str]]] = {}
    for reading in spec.with_verdict(Verdict.NOT_CHECKED):
        why = "; ".join(lacks(spec, path) for path in reading.missing) or printable(reading.reason) or "no reason given"
        rule = (printable(reading.rule), reading.area.value)
        lacking.setdefault(why, {}).setdefault(rule, []).append(printable(reading.subject))
    return [
        {
            "why": why,
            "rules": [
                {"rule": rule, "area": area, "subjects": ", ".join(dict.fromkeys(subjects)), "count": len(subjects)}
                for (rule, area), subjects in rules.items()
            ],
        }
        for why, rules in lacking.items()
    ]


def assumed_rows(spec: Inspected) -> list[str]:
    """What had to be assumed."""
    told = sorted(
        (words.assumption(each, spec.build.units), place_of(spec, each.path)) for each in spec.inspection.assumptions
    )
    return [
        f"{sentence}, for want of {'; '.join(place for _, place in group)}"
        for sentence, group in groupby(told, key=lambda pair: pair[0])
    ]


def exact_rows(spec: Inspected) -> list[str]:
    """What nobody has said how well it is known; or that nobody asked."""
    if spec.inspection.taken_as_exact is None:
        return ["everything that the spec says: how sure the readings are was not asked for (--how-sure)"]
    return [f"{words.TOLD_BY_TOLERANCE[path]}: {lacks(spec, path)}" for path in spec.inspection.taken_as_exact]


def later_rows(spec: Inspected) -> list[str]:
    """Rules that wait for a later stage."""
    return [printable(f"{rule.name}, from {rule.from_stage.value} on") for rule in spec.later]


def waived_rows(spec: Inspected, found: Motion) -> list[dict[str, Any]]:
    """What was found and accepted, with whose word, why and until when."""
    return [
        {
            **_row(spec, found, reading),
            "instead_of": reading.waived.instead_of.value,
            "why": printable(reading.waived.reason),
            "who": words.waived_by(reading),
            "until": printable(reading.waived.until),
        }
        for reading in spec.with_verdict(Verdict.WAIVED)
        if reading.waived is not None
    ]


def switched_off(spec: Inspected) -> list[str]:
    """Rules that the shop's standard does not apply."""
    return [printable(f"{off.rule}: {off.reason}") for off in spec.inspection.switched_off]


def to_mind(spec: Inspected) -> tuple[str, ...]:
    """The cautions that apply."""
    return cautions(spec.build, spec.inspection.stage)
