"""A comparison as JSON, as `schemas/comparison.schema.json` describes it."""

from __future__ import annotations

import json
from typing import Any

from buildcheck.build import Stage
from buildcheck.output import compare_words as said
from buildcheck.output import words
from buildcheck.output.cautions import NO_APPROVAL
from buildcheck.output.compare_text import Named
from buildcheck.output.json_record import FORMAT, number
from buildcheck.output.stated_words import amount
from buildcheck.output.words import printable
from buildcheck.shop.comparison import Comparison, Limits, OtherLimit, Turn
from buildcheck.shop.sign_off import SignedReading
from buildcheck.shop.standing import Change
from buildcheck.shop.stated import Value
from buildcheck.spec.quantity import Dimension, System


def comparison(found: Comparison, first: Named, second: Named, system: System, version: str, exit_status: int) -> str:
    """The comparison. `version` is the tool's own. Never holds NaN or an infinite number."""

    def side(named: Named, stage: Stage) -> dict[str, str]:
        return {**{name: printable(text) for name, text in named._asdict().items()}, "stage": stage.value}

    def turns(every: tuple[Turn, ...]) -> list[dict[str, Any]]:
        return [_turn(turn, system) for turn in every]

    data = {
        "format": FORMAT,
        "tool": {"name": "buildcheck", "version": version},
        "exit_status": exit_status,
        "first": side(first, found.before),
        "second": side(second, found.after),
        "inputs": [_input(change, system) for change in found.inputs],
        "worse": turns(found.worse),
        "better": turns(found.better),
        "vanished": turns(found.vanished),
        "appeared": turns(found.appeared),
        "moved": turns(found.moved),
        "limits": [_limit(limit, system) for limit in found.limits],
        "same": found.same,
        "cautions": [NO_APPROVAL],
    }
    return json.dumps(data, indent=2, allow_nan=False) + "\n"


def _input(change: Change, system: System) -> dict[str, Any]:
    return {
        "path": printable(change.path),
        "before": _value(change.path, change.then, system),
        "after": _value(change.path, change.now, system),
        "words": printable(said.of_input(change, system)),
    }


def _value(path: str, value: Value | None, system: System) -> dict[str, Any] | None:
    """A value of the spec: in SI where it is an amount, and as shown; None where it is not stated."""
    if value is None:
        return None
    return {"si": value if isinstance(value, float) else None, "shown": printable(amount(path, value, system))}


def _turn(turn: Turn, system: System) -> dict[str, Any]:
    one = turn.one
    return {
        "rule": printable(one.rule),
        "limit": printable(one.limit),
        "subject": printable(one.subject),
        "of": printable(one.of),
        "meaning": printable(turn.meaning),
        "place": printable(one.place),
        "before": _reading(turn.before, turn.dimension, system),
        "after": _reading(turn.after, turn.dimension, system),
        "by": turn.by,
        "words": said.turned(turn, system),
    }


def _reading(one: SignedReading | None, dimension: Dimension | None, system: System) -> dict[str, Any] | None:
    if one is None:
        return None
    return {
        "verdict": one.verdict,
        "value": number(one.value, said.found(one, dimension, system)),
        "found": printable(one.found),
        **_ends((one.lowest, one.highest), dimension, system),
    }


def _ends(limits: Limits, dimension: Dimension | None, system: System) -> dict[str, Any]:
    def end(value: float | None) -> dict[str, Any] | None:
        shown = "" if value is None or dimension is None else words.limit_amount(value, dimension, system)
        return number(value, shown)

    return {"lowest": end(limits[0]), "highest": end(limits[1])}


def _limit(limit: OtherLimit, system: System) -> dict[str, Any]:
    return {
        "rule": printable(limit.rule),
        "limit": printable(limit.limit),
        "before": _ends(limit.before, limit.dimension, system),
        "after": _ends(limit.after, limit.dimension, system),
        "words": said.limit(limit, system),
    }
