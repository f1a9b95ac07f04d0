"""Every edge of every limit: a build that just passes and one that just fails.

A rule's test file lists its edges as data. An edge names a bound of a limit, and a knob that takes a sound build across
it: a spec path whose number is turned, or a function of the build and a number. The place of the crossing is found on
the reading itself, and the verdicts a hair to each side of it are held against what the bound says.
"""

from __future__ import annotations

import io
import math
from collections.abc import Callable, Iterable, Mapping
from copy import deepcopy
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from ruamel.yaml import YAML
from scipy.optimize import brentq

from buildcheck.build import Build, Stage, read_build
from buildcheck.document import Document, read_file, read_text
from buildcheck.inspection import inspect
from buildcheck.place import split
from buildcheck.rule import Limit, Range, Reading, Requirement, Rule, Verdict

EXAMPLES = Path(__file__).parents[2] / "examples"
SOUND = "tamarack/proposal.buildcheck.yaml"
THREE_LINK = "three-link-metric.buildcheck.yaml"

INCH = 0.0254
DEGREE = math.pi / 180
POUND_FORCE = 4.4482216152605

BOUNDS = ("warn_below", "warn_above", "fail_below", "fail_above")

Knob = str | Callable[[Build, float], Build]


@cache
def example(name: str = SOUND) -> Build:
    """One of the example builds; without a name, the sound proposal."""
    return read_build(read_file(EXAMPLES / name).data)


def example_data(name: str = SOUND) -> dict[str, Any]:
    """The plain data of an example, as written in its file; a copy of its own for each caller."""
    return deepcopy(read_file(EXAMPLES / name).data)


def document_of(data: dict[str, Any]) -> Document:
    """The data written as YAML and read again as a spec."""
    text = io.StringIO()
    YAML(typ="safe").dump(data, text)
    return read_text(text.getvalue(), "sample")


def with_data(data: dict[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    """The data of a spec with other values at some spec paths, in place.

    All but the last step of a path must be there; the last may be new. A step into `left` or `right` of what is written
    under `both` parts it first.
    """
    for path, value in changes.items():
        *steps, last = split(path)
        held: Any = data
        for step in steps:
            if step in ("left", "right") and "both" in held:
                left = held.pop("both")
                held |= {"left": left, "right": _mirrored(left)}
            held = held[step]
        held[last] = deepcopy(value)
    return data


def _mirrored(data: Any) -> Any:
    """What is written for one side as it would be written for the other: y of every point and direction negated."""
    if isinstance(data, dict):
        return {key: _mirrored(value) for key, value in data.items()}
    if isinstance(data, list):
        if all(isinstance(item, int | float) for item in data):
            x, y, z = data
            return [x, -y, z]
        return [_mirrored(item) for item in data]
    return data


def turned(build: Build, knob: Knob, value: float) -> Build:
    """The build with the knob at a value, SI."""
    return build.with_value(knob, value) if isinstance(knob, str) else knob(build, value)


def readings_of(rule: Rule, build: Build, quantity: str, subject: str) -> list[Reading]:
    """The readings of one limit or requirement for one subject, in their order; at least one."""
    inspection = inspect(build, [rule], stage=Stage.FINAL_WELD)
    found = [r for r in inspection.readings if r.quantity == quantity and r.subject == subject]
    assert found, [(r.subject, r.quantity, r.reason, r.failure) for r in inspection.readings]
    return found


@dataclass(frozen=True)
class Edge:
    """One bound of one limit, and how to come to it.

    With the knob at `good` (SI) the reading is on the better side of the bound, at `bad` on the worse side.
    """

    limit: str
    bound: str
    subject: str
    knob: Knob
    good: float
    bad: float
    build: str = SOUND

    def __str__(self) -> str:
        return f"{self.limit} {self.bound}"


def edges(limit: str, subject: str, knob: Knob, *, build: str = SOUND, **brackets: tuple[float, float]) -> list[Edge]:
    """Edges of one limit that are reached by the same knob: each bound with its bracket, good value first."""
    return [Edge(limit, bound, subject, knob, *bracket, build) for bound, bracket in brackets.items()]


@dataclass(frozen=True)
class Need:
    """One requirement: changes to the sound build's data with which it is met, and with which it is not."""

    requirement: str
    subject: str
    met: Mapping[str, Any]
    not_met: Mapping[str, Any]

    def __str__(self) -> str:
        return self.requirement


def check_complete(rule: Rule, some_edges: Iterable[Edge], needs: Iterable[Need]) -> None:
    """Every finite bound of every limit has an edge, every requirement a need, and nothing else is listed."""
    wanted = {
        (limit.name, bound)
        for limit in rule.limits
        if isinstance(limit, Limit)
        for bound in BOUNDS
        if math.isfinite(getattr(limit.bounds, bound))
    }
    assert {(edge.limit, edge.bound) for edge in some_edges} == wanted
    required = {limit.name for limit in rule.limits if isinstance(limit, Requirement)}
    assert {need.requirement for need in needs} == required


def verdicts_at(limit: Limit, bound: str) -> tuple[Verdict, Verdict]:
    """The verdicts on the two sides of a bound."""
    if bound.startswith("warn"):
        return Verdict.OK, Verdict.WARNING
    warns = math.isfinite(getattr(limit.bounds, bound.replace("fail", "warn")))
    return (Verdict.WARNING if warns else Verdict.OK), Verdict.ERROR


def check_edge(rule: Rule, edge: Edge) -> None:
    """A hair to one side of the bound the reading has the better verdict, a hair to the other the worse.

    Where the subject has several readings of the limit, exactly one of them changes. On both sides its value is at the
    bound to a hundred-thousandth, so it does not jump across.
    """
    build = example(edge.build)
    limit = rule.limit(edge.limit)
    assert isinstance(limit, Limit)
    bound = getattr(limit.bounds, edge.bound)
    worst = max if edge.bound.endswith("above") else min
    # Without bounds nothing is broken, so that no cure is worked out on the way.
    unbounded = rule.with_limits(
        replace(each, range=Range((None, None), (None, None))) if isinstance(each, Limit) else each
        for each in rule.limits
    )

    def beyond(value: float) -> float:
        found = readings_of(unbounded, turned(build, edge.knob, value), edge.limit, edge.subject)
        return worst(_value(reading) for reading in found) - bound

    crossing = float(brentq(beyond, edge.good, edge.bad, xtol=1e-14))
    hair = 1e-7 * (edge.bad - edge.good)
    just_good, just_bad = (
        readings_of(rule, turned(build, edge.knob, crossing + sign * hair), edge.limit, edge.subject)
        for sign in (-1, 1)
    )
    changed = [(a, b) for a, b in zip(just_good, just_bad, strict=True) if a.verdict != b.verdict]
    assert [(a.verdict, b.verdict) for a, b in changed] == [verdicts_at(limit, edge.bound)]
    for reading in changed[0]:
        assert _value(reading) == pytest.approx(bound, rel=1e-5, abs=1e-6)


def _value(reading: Reading) -> float:
    assert reading.value is not None
    return reading.value


def check_need(rule: Rule, need: Need) -> None:
    """The requirement is met in the one build, and has its verdict in the other."""
    requirement = rule.limit(need.requirement)
    assert isinstance(requirement, Requirement)
    for changes, verdict in ((need.met, Verdict.OK), (need.not_met, requirement.if_not)):
        build = read_build(with_data(example_data(), changes))
        found = readings_of(rule, build, need.requirement, need.subject)
        assert [reading.verdict for reading in found] == [verdict]
