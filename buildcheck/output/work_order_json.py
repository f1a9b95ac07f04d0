"""The work order as JSON, as `schemas/work-order.schema.json` describes it."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from buildcheck.checks.work_order import Named, ValueChange, WorkOrder
from buildcheck.output import work_order_words as words
from buildcheck.output.json_record import FORMAT, build_of, place_of
from buildcheck.output.outcome import Spec
from buildcheck.output.words import printable


def sheet(
    spec: Spec, order: WorkOrder, written: Mapping[str, Any], *, stage: str, version: str, exit_status: int
) -> str:
    """The work order of a spec inspected as at a stage. `written` are the values of its lines as the spec writes them,
    by path; `version` is the tool's own. Never holds NaN or an infinite number."""
    data = {
        "format": FORMAT,
        "tool": {"name": "buildcheck", "version": version},
        "exit_status": exit_status,
        "file": printable(spec.file),
        "build": build_of(spec.build),
        "stage": stage,
        "proven": order.proven,
        "finished": order.finished,
        "tried": order.tried,
        "lines": [
            {
                "number": line.number,
                "sentence": words.line(spec, line),
                "slip": printable(line.slip),
                "changes": [{**_change(spec, each), "write": written[each.path]} for each in line.changes],
                "puts_right": _readings(line.mends),
                "alternatives": [
                    {
                        "sentence": words.alternative(spec, other),
                        "slip": printable(other.slip),
                        "changes": [_change(spec, each) for each in other.changes],
                    }
                    for other in line.alternatives
                ],
            }
            for line in order.lines
        ],
        "puts_right": _readings(order.mended),
        "remains": [{**_reading(reading), "why": printable(why)} for reading, why in order.left],
    }
    return json.dumps(data, indent=2, allow_nan=False) + "\n"


def _change(spec: Spec, change: ValueChange) -> dict[str, Any]:
    return {
        "place": place_of(spec, change.path),
        "from": None if change.was is None else words.value(spec, change.was, change.dimension),
        "to": words.value(spec, change.becomes, change.dimension),
        "by_si": change.by,
    }


def _readings(readings: Sequence[Named]) -> list[dict[str, str]]:
    return [_reading(each) for each in readings]


def _reading(reading: Named) -> dict[str, str]:
    return {
        "rule": printable(reading.rule),
        "limit": printable(reading.quantity),
        "subject": printable(reading.subject),
        "of": printable(reading.of),
        "verdict": reading.verdict.value,
    }
