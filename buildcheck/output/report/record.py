"""The inspection record as plain data for the page: rows, words and numbers, all made elsewhere."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import Any

from buildcheck.build import Missing, Part
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading
from buildcheck.output import words
from buildcheck.output.cautions import cautions
from buildcheck.output.items import Item
from buildcheck.output.outcome import Inspected
from buildcheck.output.report.marks import view_of
from buildcheck.output.report.motion import Motion, place_of
from buildcheck.output.report.work import Work
from buildcheck.output.sheet import line_of, stated
from buildcheck.output.unchecked import in_words, lacks_of
from buildcheck.output.words import printable
from buildcheck.spec.quantity import System

WHOLE = "whole build"
"""Subject of a reading that is about no one part."""

AS_WRITTEN = "as written"
"""Certainty of a number that was chosen, bought or is a maker's figure."""


def title_block(spec: Inspected) -> dict[str, str]:
    """Content of the title block: the fields of ISO 7200 (from memory) that a spec can fill."""
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
        "standard": "" if spec.used is None else printable(spec.used.words),
        "plugins": printable(", ".join(each.words for each in spec.own_plugins)),
    }


def item_rows(spec: Inspected, found: Motion, numbered: tuple[Item, ...], work: Work) -> list[dict[str, Any]]:
    """The numbered items, each with the number of the change that is for it."""
    change = {item.number: line.number for line in reversed(work.lines) for item in line.items}
    return [
        {
            **row(spec, found, item.reading),
            "how_sure": known(item.less_sure, spec.build.units),
            "number": item.number,
            "change_number": change.get(item.number, 0),
            "also": "" if item.twin is None else f"{printable(item.twin.subject)}, as its mirror image",
        }
        for item in numbered
    ]


def row(spec: Inspected, found: Motion, reading: Reading) -> dict[str, Any]:
    """A reading in words: the cells of one line of a table."""
    system = spec.build.units
    pose = None if reading.pose is None else found.of_reading.get(place_of(reading.pose))
    return {
        "verdict": reading.verdict.value,
        "area": reading.area.value,
        "subject": _whose(spec, reading),
        "meaning": printable(reading.meaning),
        "found": words.found(reading, system),
        "wanted": words.wanted(reading, system),
        "loosened": words.loosened(reading, system),
        "margin": words.margin(reading, system),
        "to_spare": reading.margin if words.margin(reading, system) else None,
        "how_sure": known(reading, system),
        "known": AS_WRITTEN if reading.plus_or_minus == 0 else words.plus_or_minus(reading, system),
        "too_near": reading.too_near_to_tell,
        "basis": words.whole_basis(reading, system),
        "change": "" if reading.cure is None else words.change(reading.cure, system),
        "effect": words.effect(reading),
        "place": line_of(spec, reading.place),
        "path": printable(reading.place),
        "rule": printable(f"{reading.rule}, {reading.quantity}".rstrip(", ")),
        "pose": pose,
        "seen": view_of(reading.place),
        "where": "" if reading.pose is None else words.pose(reading.pose, system),
    }


def _whose(spec: Inspected, reading: Reading) -> str:
    """The part that a reading is about; of one about the whole build, the part that it is read from."""
    if reading.subject != WHOLE:
        return words.subject(reading)
    place = reading.place
    while place:
        try:
            part = spec.build.value(place)
        except (Missing, ValueError, AttributeError, IndexError, KeyError, TypeError):
            part = None
        if isinstance(part, Part) and part.label:
            return printable(", ".join(each for each in (part.label, reading.of) if each))
        place = place.rpartition(".")[0]
    return words.subject(reading)


def known(reading: Reading, system: System) -> str:
    """Certainty of a reading, in words; "" where it was not worked out."""
    if reading.plus_or_minus == 0:
        return f"{AS_WRITTEN}: chosen, bought or a maker's figure, taken as exact"
    how_sure = words.how_sure(reading, system)
    return how_sure and f"known to {how_sure}"


def failed_rows(spec: Inspected) -> list[str]:
    """The readings that rules failed to make."""
    return [printable(f"{reading.rule} on {reading.subject}: {reading.failure}") for reading in spec.failed]


def not_checked(spec: Inspected) -> list[dict[str, Any]]:
    """The rows of what was not checked: what each part of the spec lacks once, with the rules that need it, of what,
    how many readings, and what is known of quantities that are known in part."""
    counted: set[int] = set()
    return [
        {
            "why": in_words(spec, lack, _line(spec, lack.part)),
            "rules": [_unchecked(spec, rule, list(readings), counted) for rule, readings in _by_rule(lack.readings)],
        }
        for lack in lacks_of(spec)
    ]


def _line(spec: Inspected, part: str) -> str:
    position = spec.position(part) if part else None
    return "" if position is None else f"line {position.line}"


def _by_rule(readings: Iterable[Reading]) -> Iterator[tuple[str, Iterator[Reading]]]:
    return groupby(sorted(readings, key=lambda reading: reading.rule), key=lambda reading: reading.rule)


def _unchecked(spec: Inspected, rule: str, readings: list[Reading], counted: set[int]) -> dict[str, Any]:
    """The readings of one rule that something lacking leaves out. Each is counted where it comes up first."""
    new = [reading for reading in readings if id(reading) not in counted]
    counted.update(map(id, new))
    return {
        "rule": printable(rule),
        "area": readings[0].area.value,
        "subjects": ", ".join(dict.fromkeys(printable(reading.subject) for reading in readings)),
        "count": len(new),
        "known": list(filter(None, (words.known_in_part(each, spec.build.units) for each in new))),
    }


def assumed_rows(spec: Inspected) -> list[str]:
    """The assumptions, each once with its places."""
    assumed = sorted(
        (words.assumption(each, spec.build.units), line_of(spec, each.path)) for each in spec.inspection.assumptions
    )
    return [
        f"{sentence}; to change it, set {', '.join(at for _, at in group)}"
        for sentence, group in groupby(assumed, key=lambda pair: pair[0])
    ]


def _lacks(spec: Inspected, path: str) -> str:
    """A path that the spec lacks, and the line under which it would go; the file is in the title block."""
    position = spec.position(path)
    lacking = f"{printable(path)} is not in the spec"
    return lacking if position is None or "." not in path else f"{lacking}; it goes under line {position.line}"


def later_rows(spec: Inspected) -> list[str]:
    """Rules that wait for a later stage."""
    return [printable(f"{rule.name}, from {rule.from_stage.value} on") for rule in spec.later]


def waived_rows(spec: Inspected, found: Motion) -> list[dict[str, Any]]:
    """The waived readings, with who accepted each, why and until when."""
    return [
        {
            **row(spec, found, reading),
            "instead_of": reading.waived.instead_of.value,
            "why": printable("; ".join(part for part in (reading.waived.reason, reading.waived.size) if part)),
            "who": words.waived_by(reading),
            "until": printable(reading.waived.until),
        }
        for reading in spec.with_verdict(Verdict.WAIVED)
        if reading.waived is not None
    ]


def switched_off(spec: Inspected) -> list[str]:
    """Rules that the shop's standard does not apply."""
    return [printable(f"{off.name}: {off.reason}") for off in spec.inspection.switched_off]


def to_mind(spec: Inspected) -> tuple[str, ...]:
    """The cautions that apply."""
    return cautions(spec.build, spec.inspection.stage)
