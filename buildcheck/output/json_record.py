"""The inspection record as JSON, as `schemas/readings.schema.json` describes it: all that the full text
says."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Sequence
from typing import Any

from buildcheck.build import Build
from buildcheck.checks.limit import Basis, Verdict
from buildcheck.checks.rule import Reading, Waived
from buildcheck.job import Cure, PoseName
from buildcheck.job.layout import Assumption
from buildcheck.output import words
from buildcheck.output.cautions import cautions
from buildcheck.output.items import items
from buildcheck.output.limits import looser
from buildcheck.output.outcome import Inspected, Outcome, Refused, Spec, StandardUsed
from buildcheck.output.parts_json import parts
from buildcheck.output.words import printable
from buildcheck.plugins.loading import PluginFailure
from buildcheck.plugins.used import PluginUsed
from buildcheck.spec.document import Problem
from buildcheck.spec.quantity import Dimension, System

FORMAT = 1


def record(outcome: Outcome, version: str) -> str:
    """The record of all specs of a call. `version` is the tool's own. Never holds NaN or an infinite
    number."""
    data = {
        "format": FORMAT,
        "tool": {"name": "buildcheck", "version": version},
        "exit_status": int(outcome.status),
        "exit_meaning": outcome.status.words,
        "specs": [_inspected(spec) if isinstance(spec, Inspected) else _refused(spec) for spec in outcome.specs],
        "plugin_failures": [
            {"plugin": printable(failure.plugin), "sentence": printable(failure.sentence)}
            for failure in outcome.plugin_failures
        ],
    }
    return json.dumps(data, indent=2, allow_nan=False) + "\n"


def refusal(spec: Refused, failures: Sequence[PluginFailure], version: str) -> str:
    """The record of the one spec of a call that was refused, whatever the call would have made of it."""
    return record(Outcome((spec,), tuple(failures)), version)


def plugins_of(plugins: Iterable[PluginUsed]) -> list[dict[str, str]]:
    """The plugins that counted: name, version and digest."""
    return [
        {"name": printable(each.name), "version": printable(each.version), "sha256": each.sha256} for each in plugins
    ]


def _refused(spec: Refused) -> dict[str, Any]:
    return {
        "file": printable(spec.file),
        "state": spec.state,
        "exit_status": int(spec.status),
        "problems": [_problem(problem) for problem in spec.problems],
        **({"problems_in": printable(spec.standard)} if spec.standard else {}),
    }


def _problem(problem: Problem) -> dict[str, Any]:
    return {
        "sentence": printable(problem.sentence),
        "path": printable(problem.path),
        "line": problem.line,
        "column": problem.column,
    }


def _inspected(spec: Inspected) -> dict[str, Any]:
    numbered = items(spec)
    numbers = {id(reading): item.number for item in numbered for reading in (item.reading, item.twin)}
    return {
        "file": printable(spec.file),
        "state": "inspected",
        "exit_status": int(spec.status),
        "problems": [],
        "build": build_of(spec.build),
        "stage": spec.inspection.stage.value,
        "standard": None if spec.used is None else _standard(spec.used),
        "count": {
            **{verdict.value.replace(" ", "_"): len(spec.with_verdict(verdict)) for verdict in Verdict},
            "failed": len(spec.failed),
            "loosened": len(spec.loosened),
            "looser_limits": len(spec.inspection.looser),
            "items": len(numbered),
        },
        "readings": [_reading(spec, reading, numbers.get(id(reading))) for reading in spec.readings],
        "assumptions": [assumption_of(spec, assumed) for assumed in spec.inspection.assumptions],
        "left_for_later": [{"rule": printable(rule.name), "from_stage": rule.from_stage.value} for rule in spec.later],
        "switched_off": [
            {"rule": printable(off.rule), "limit": printable(off.limit), "reason": printable(off.reason)}
            for off in spec.inspection.switched_off
        ],
        "looser_limits": [{**each._asdict(), "words": each.sentence} for each in looser(spec)],
        "plugins": plugins_of(spec.plugins),
        "parts": parts(spec),
        "hold_point": _hold_point(spec),
        "cautions": list(cautions(spec.build, spec.inspection.stage)),
    }


def _hold_point(spec: Inspected) -> dict[str, Any]:
    """The hold point of the stage that the inspection is for."""
    point = spec.hold_point
    return {
        "stage": point.stage.value,
        "signed_for": point.signed_for,
        "asked": spec.signing,
        "can_be_signed_off": point.can_be_signed_off,
        "state": words.state(point),
        "blocking": list(point.blocking),
        "accepted": list(point.accepted),
        "recorded": list(point.recorded),
        "meaning": words.SIGNING_OFF,
    }


def _standard(used: StandardUsed) -> dict[str, str]:
    return {
        "shop": printable(used.standard.shop),
        "edition": printable(used.standard.edition),
        "file": printable(used.file),
        "found": used.found,
        "sha256": used.sha256,
    }


def assumption_of(spec: Spec, assumed: Assumption) -> dict[str, Any]:
    """An assumption, and the place where the spec could state the value."""
    return {
        "sentence": words.assumption(assumed, spec.build.units),
        "what": printable(assumed.what),
        "value": number(assumed.value, words.assumed_amount(assumed, spec.build.units)),
        "basis": printable(assumed.basis),
        "place": place_of(spec, assumed.path),
    }


def build_of(build: Build) -> dict[str, Any]:
    """The spec's statements on the build as a whole; "" for those that it lacks."""
    information = build.build if build.has("build") else None

    def of(name: str) -> str:
        return printable(str(getattr(information, name))) if information is not None and information.has(name) else ""

    return {
        "name": of("name"),
        "revision": of("revision"),
        "date": of("date"),
        "shop": of("shop"),
        "intended_use": of("intended_use"),
        "holds": words.kind_of_build(build),
        "units": build.units.value,
    }


def _reading(spec: Inspected, reading: Reading, item: int | None) -> dict[str, Any]:
    system = spec.build.units
    shown = words.measured(reading, system)
    return {
        "item": item,
        "rule": printable(reading.rule),
        "area": reading.area.value,
        "subject": printable(reading.subject),
        "of": printable(reading.of),
        "quantity": printable(reading.quantity),
        "meaning": printable(reading.meaning),
        "verdict": reading.verdict.value,
        "from_stage": None if reading.from_stage is None else reading.from_stage.value,
        "place": place_of(spec, reading.place),
        "dimension": None if reading.dimension is None else reading.dimension.value,
        "value": number(reading.value, shown.value),
        "amounts": _amounts(reading, system),
        "lowest": number(reading.lowest, shown.lowest),
        "highest": number(reading.highest, shown.highest),
        "tolerance": number(reading.tolerance or None, words.tolerance(reading, system)),
        "margin": _margin(reading, shown.margin, words.margin(reading, system)),
        "plus_or_minus": number(reading.plus_or_minus, words.plus_or_minus(reading, system)),
        "too_near_to_tell": reading.too_near_to_tell,
        "how_sure": words.how_sure(reading, system),
        "depends_on": place_of(spec, reading.depends_on) if reading.depends_on else None,
        "found": printable(reading.found),
        "required": printable(reading.required),
        "pose": None if reading.pose is None else _pose(reading.pose, system),
        "load_case": printable(reading.case) or None,
        "effect": words.effect(reading),
        "basis": None if reading.basis is None else _basis(reading.basis),
        "built_in": _built_in(reading, system),
        "loosened": _loosened(reading, system),
        "cure": None if reading.cure is None else _cure(spec, reading.cure, system),
        "missing": [place_of(spec, path) for path in reading.missing],
        "unchecked": [printable(name) for name in reading.unchecked],
        "reason": printable(reading.reason),
        "failure": printable(reading.failure),
        "waived": None if reading.waived is None else _waived(spec, reading.waived),
    }


def _built_in(reading: Reading, system: System) -> dict[str, Any] | None:
    """The built-in limit or verdict that a shop standard has changed."""
    old = reading.replaced
    if old is None:
        return None
    return {
        "lowest": _end(reading, old.lowest, system),
        "highest": _end(reading, old.highest, system),
        "if_not": None if old.if_not is None else old.if_not.value,
        "basis": _basis(old.basis),
        "words": words.replaced(reading, system),
    }


def _loosened(reading: Reading, system: System) -> dict[str, Any] | None:
    """The built-in verdict where the shop's standard gives a milder one, and both limits."""
    milder = reading.loosened
    if milder is None:
        return None
    return {
        "instead_of": milder.instead_of.value,
        "lowest": _end(reading, milder.lowest, system),
        "highest": _end(reading, milder.highest, system),
        "built_in_lowest": _end(reading, milder.built_in_lowest, system),
        "built_in_highest": _end(reading, milder.built_in_highest, system),
        "basis": _basis(milder.basis),
        "words": words.loosened(reading, system),
    }


def _end(reading: Reading, value: float | None, system: System) -> dict[str, Any] | None:
    """One end of a limit of a reading; None where it has none there."""
    dimension = reading.dimension
    return None if value is None or dimension is None else number(value, words.limit_amount(value, dimension, system))


def _waived(spec: Inspected, waived: Waived) -> dict[str, Any]:
    return {
        "instead_of": waived.instead_of.value,
        "reason": printable(waived.reason),
        "who": printable(waived.who),
        "date": printable(waived.date),
        "until": printable(waived.until),
        "size": printable(waived.size),
        "place": place_of(spec, waived.place),
    }


def number(value: float | None, shown: str) -> dict[str, Any] | None:
    """A number in SI, None where it is not finite, and as shown; None for no number at all."""
    if value is None:
        return None
    return {"si": float(value) if math.isfinite(value) else None, "shown": shown}


def _amounts(reading: Reading, system: System) -> dict[str, Any] | None:
    """The two amounts of a share."""
    if reading.amounts is None:
        return None
    measured, against, dimension = reading.amounts
    return {
        "measured": number(measured, words.amount(measured, dimension, system)),
        "against": number(against, words.amount(against, dimension, system)),
    }


def _margin(reading: Reading, shown: str, text: str) -> dict[str, Any] | None:
    size = number(reading.margin, shown) if shown else None
    return None if size is None else {**size, "words": text}


def place_of(spec: Spec, path: str) -> dict[str, Any] | None:
    """A spec path, with its position in the file, or where it would go; None for no place."""
    if not path:
        return None
    position = spec.position(path)
    return {
        "path": printable(path),
        "line": None if position is None else position.line,
        "column": None if position is None else position.column,
    }


def _pose(pose: PoseName, system: System) -> dict[str, Any]:
    return {
        "name": printable(pose.name),
        "words": words.pose(pose, system),
        "heave": number(pose.heave, words.amount(pose.heave, Dimension.LENGTH, system)),
        "roll": number(pose.roll, words.amount(pose.roll, Dimension.ANGLE, system)),
        "lock": number(pose.lock, words.amount(pose.lock, Dimension.ANGLE, system)),
    }


def _basis(basis: Basis) -> dict[str, Any]:
    return {
        "text": printable(basis.text),
        "source": printable(basis.source),
        "known_from": printable(basis.known_from),
        "words": printable(str(basis)),
    }


def _cure(spec: Inspected, cure: Cure, system: System) -> dict[str, Any]:
    return {
        "words": words.change(cure, system),
        "amount": number(cure.amount, words.cure_amount(cure, system)),
        "place": place_of(spec, cure.path),
        "change": number(cure.change, words.cure_change(cure, system)),
        "also": [place_of(spec, path) for path in cure.also],
    }
