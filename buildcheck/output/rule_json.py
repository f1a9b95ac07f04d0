"""Rules as JSON: everything that the list and the pages say."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from typing import Any

from buildcheck.checks.limit import Basis, Limit, Requirement
from buildcheck.checks.rule import Area, Rule, Sample
from buildcheck.checks.standard import Standard
from buildcheck.output import words
from buildcheck.output.words import printable
from buildcheck.spec.quantity import Dimension, System
from buildcheck.spec.yaml_value import flow

FORMAT = 1


def catalogue(rules: Iterable[Rule], system: System, standard: Standard | None = None) -> str:
    """All rules, by area and name; as a shop's standard has them, where there is one."""
    order = list(Area)
    offered = sorted(rules, key=lambda rule: (order.index(rule.area), rule.name))
    data = {
        "format": FORMAT,
        "units": system.value,
        "standard": None if standard is None else _standard(standard),
        "rules": [_rule(rule, system, standard) for rule in offered],
    }
    return json.dumps(data, indent=2, allow_nan=False) + "\n"


def _standard(standard: Standard) -> dict[str, Any]:
    return {
        "shop": printable(standard.shop),
        "edition": printable(standard.edition),
        "required": [
            {
                "rule": printable(each.rule),
                "from_stage": each.from_stage.value,
                "uses": sorted(each.uses),
                "basis": _basis(each.basis),
            }
            for each in standard.required
        ],
        "switched_off": [
            {
                "rule": printable(each.rule),
                "limit": printable(each.limit),
                "uses": sorted(each.uses),
                "reason": printable(each.reason),
            }
            for each in standard.switched_off
        ],
        "never_waived": [{"rule": printable(each.rule), "basis": _basis(each.basis)} for each in standard.never_waived],
        "second_signer": None
        if standard.second_signer is None
        else {
            "from_stage": standard.second_signer.from_stage.value,
            "basis": _basis(standard.second_signer.basis),
        },
        "waivers": None
        if standard.waivers is None
        else {**standard.waivers._asdict(), "basis": _basis(standard.waivers.basis)},
        "plugins": [printable(each) for each in standard.plugins],
        "own": [{"rule": printable(each.rule.name), "uses": sorted(each.uses)} for each in standard.own],
    }


def _rule(rule: Rule, system: System, standard: Standard | None) -> dict[str, Any]:
    return {
        "name": printable(rule.name),
        "area": rule.area.value,
        "title": printable(rule.title),
        "page": rule.page,
        "from_stage": rule.from_stage.value,
        "subjects": list(dict.fromkeys(check.noun for check in rule.checks)),
        "limits": [_limit_by_use(rule, limit, system, standard) for limit in rule.limits],
        "samples": [_sample(sample) for sample in rule.samples],
    }


def _limit_by_use(rule: Rule, limit: Limit | Requirement, system: System, standard: Standard | None) -> dict[str, Any]:
    changes = () if standard is None else standard.by_use(rule.name, limit.name)
    own = limit.uses if isinstance(limit, Limit) else ()
    by_use = [
        *({"uses": [use], "limit": _limit(_for_use(limit, use), system)} for use, _ in own),
        *({"uses": sorted(change.uses), "limit": _limit(change.limit, system)} for change in changes),
    ]
    return {**_limit(limit, system), "by_use": by_use}


def _for_use(limit: Limit | Requirement, use: str) -> Limit | Requirement:
    return limit.for_use(use) if isinstance(limit, Limit) else limit


def _limit(limit: Limit | Requirement, system: System) -> dict[str, Any]:
    shared = {
        "name": printable(limit.name),
        "meaning": printable(limit.meaning),
        "basis": _basis(limit.basis),
        "built_in": None if limit.built_in is None else _limit(limit.built_in, system),
    }
    if isinstance(limit, Requirement):
        return {**shared, "if_not": limit.if_not.value}
    bounds, dimension = limit.bounds, limit.dimension
    return {
        **shared,
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
        "words": printable(str(basis)),
    }


def _sample(sample: Sample) -> dict[str, Any]:
    return {
        "says": printable(sample.says),
        "change": {printable(path): printable(flow(value)) for path, value in sample.change.items()},
        "finds": {printable(limit): verdict.value for limit, verdict in sample.finds.items()},
    }
