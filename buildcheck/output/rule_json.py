"""Rules as JSON: everything that the list and the pages say."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from typing import Any

from buildcheck.output import words
from buildcheck.output.words import printable
from buildcheck.quantity import Dimension, System
from buildcheck.rule import Area, Basis, Limit, Requirement, Rule, Sample

FORMAT = 1


def catalogue(rules: Iterable[Rule], system: System) -> str:
    """All rules, by area and name."""
    order = list(Area)
    offered = sorted(rules, key=lambda rule: (order.index(rule.area), rule.name))
    data = {"format": FORMAT, "units": system.value, "rules": [_rule(rule, system) for rule in offered]}
    return json.dumps(data, indent=2, allow_nan=False) + "\n"


def _rule(rule: Rule, system: System) -> dict[str, Any]:
    return {
        "name": printable(rule.name),
        "area": rule.area.value,
        "title": printable(rule.title),
        "page": rule.page,
        "from_stage": rule.from_stage.value,
        "subjects": list(dict.fromkeys(check.subject for check in rule.checks)),
        "limits": [_limit(limit, system) for limit in rule.limits],
        "samples": [_sample(sample) for sample in rule.samples],
    }


def _limit(limit: Limit | Requirement, system: System) -> dict[str, Any]:
    told = {"name": printable(limit.name), "meaning": printable(limit.meaning), "basis": _basis(limit.basis)}
    if isinstance(limit, Requirement):
        return {**told, "if_not": limit.if_not.value}
    bounds, dimension = limit.bounds, limit.dimension
    return {
        **told,
        "dimension": dimension.value,
        "warning_below": _number(bounds.warn_below, dimension, system),
        "warning_above": _number(bounds.warn_above, dimension, system),
        "error_below": _number(bounds.fail_below, dimension, system),
        "error_above": _number(bounds.fail_above, dimension, system),
        "error_basis": None if limit.error_basis is None else _basis(limit.error_basis),
    }


def _number(value: float, dimension: Dimension, system: System) -> dict[str, Any] | None:
    if not math.isfinite(value):
        return None
    return {"si": value, "shown": words.limit_amount(value, dimension, system)}


def _basis(basis: Basis) -> dict[str, str]:
    return {
        "text": printable(basis.text),
        "source": printable(basis.source),
        "known_from": printable(basis.known_from),
    }


def _sample(sample: Sample) -> dict[str, Any]:
    return {
        "says": printable(sample.says),
        "change": {printable(path): printable(str(value)) for path, value in sample.change.items()},
        "finds": {printable(limit): verdict.value for limit, verdict in sample.finds.items()},
    }
