"""Every edge of every limit: a build that just passes and one that just fails.

A rule's test file lists its edges as data. An edge names a bound of a limit, and a knob that takes a sound build across
it: a spec path whose number is turned, or a function of the build and a number. The place of the crossing is found on
the reading itself, and the verdicts a hair to each side of it are held against what the bound says.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from copy import deepcopy
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from sampling import sampled
from scipy.optimize import brentq

from buildcheck.build import Build, Stage, read_build
from buildcheck.checks.check import Check
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Limit, Requirement, Verdict
from buildcheck.checks.rule import Reading, Rule
from buildcheck.spec.document import read_file
from buildcheck.testing import changed as with_data

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


def turned(build: Build, knob: Knob, value: float) -> Build:
    """The build with the knob at a value, SI."""
    return build.with_value(knob, value) if isinstance(knob, str) else knob(build, value)


def readings_of(rule: Rule, build: Build, quantity: str, subject: str) -> list[Reading]:
    """The readings of one limit or requirement for one subject, in their order; at least one."""
    found = [r for r in all_readings(rule, build) if r.quantity == quantity and r.subject == subject]
    assert found, [(r.subject, r.quantity, r.reason, r.failure) for r in all_readings(rule, build)]
    return found


def all_readings(rule: Rule, build: Build) -> tuple[Reading, ...]:
    """Every reading of a rule, at the last stage of the job."""
    return inspect(build, [rule], stage=Stage.DRIVEN).readings


@dataclass(frozen=True)
class Edge:
    """One bound of one limit, and the change that reaches it.

    With the knob at `good` (SI) the reading is on the better side of the bound, at `bad` on the worse side. Where a
    subject has several readings of the limit (one a stroke, say), `numbers` says which reach the bound. `subjects`
    are those whose readings reach it together, as the two sides of a mirrored build do; `place` is the place of that
    reading, with `{side}` for the first word of the subject.
    """

    limit: str
    bound: str
    subjects: tuple[str, ...]
    place: str
    knob: Knob
    good: float
    bad: float
    numbers: tuple[int, ...] = (0,)
    build: str = SOUND
    base: Mapping[str, Any] = field(default_factory=dict)

    def __str__(self) -> str:
        return f"{self.limit} {self.bound} {self.numbers}"

    def made(self, value: float) -> Build:
        """The build with the knob at a value."""
        start = read_build(with_data(example_data(self.build), self.base)) if self.base else example(self.build)
        return turned(start, self.knob, value)


def edges(
    limit: str,
    subjects: str | tuple[str, ...],
    place: str,
    knob: Knob,
    *,
    number: int | tuple[int, ...] = 0,
    build: str = SOUND,
    base: Mapping[str, Any] | None = None,
    **brackets: tuple[float, float],
) -> list[Edge]:
    """Edges of one limit that are reached by the same knob: each bound with its bracket, good value first."""
    together = (subjects,) if isinstance(subjects, str) else subjects
    numbers = (number,) if isinstance(number, int) else number
    return [
        Edge(limit, bound, together, place, knob, *bracket, numbers, build, base or {})
        for bound, bracket in brackets.items()
    ]


def both(name: str) -> tuple[str, str]:
    """The two subjects of a mirrored build."""
    return f"left {name}", f"right {name}"


# Where several edges come to one bound, the short tier takes one of them.
one_of_each_bound = sampled(0, each=lambda edge: (edge.limit, edge.bound))


# Where straight travel and articulation are held as one, a change of the build in which the one or the other is worst.
STRAIGHT = {"travel.articulation": 0.5}
ARTICULATED = {"travel.bump": 0.5, "travel.droop": 0.5}


# What comes out other than ok: subject, limit or requirement, place.
Finding = tuple[str, str, str]


@dataclass(frozen=True)
class Need:
    """One requirement: changes to the sound build's data with which it is met, and with which it is not.

    `finds` is everything that the rule finds in the second build, other than ok.
    """

    requirement: str
    subject: str
    met: Mapping[str, Any]
    not_met: Mapping[str, Any]
    finds: tuple[Finding, ...]

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
    """Assert that a reading has the better verdict just inside the bound, and the worse verdict just outside it.

    Exactly the readings of the edge change, and no other of the rule. On both sides the value is at the bound to a
    hundred-thousandth, so it does not jump across. The broken reading is at its place and says what to change.
    """
    limit = rule.limit(edge.limit)
    assert isinstance(limit, Limit)
    bound = getattr(limit.bounds, edge.bound)
    alone = replace(rule, checks=_with_those_before(rule, rule.named(edge.limit)))

    def beyond(value: float) -> float:
        found = inspect(edge.made(value), [alone], stage=Stage.DRIVEN, changes=False).readings
        values = [
            _value(each, edge.bound)
            for each in found
            if (each.quantity, each.subject) == (edge.limit, edge.subjects[0])
        ]
        return values[edge.numbers[0]] - bound

    hair = 3e-7 * (edge.bad - edge.good)
    crossing = float(brentq(beyond, edge.good, edge.bad, xtol=abs(hair) / 100))
    # Only the broken reading is asked for its change, which takes longest.
    just_good, just_bad = (
        _numbered(inspect(edge.made(value), [rule], stage=Stage.DRIVEN, changes=is_broken).readings)
        for value, is_broken in ((crossing - hair, False), (crossing + hair, True))
    )
    assert list(just_good) == list(just_bad)
    changed = {
        key: (just_good[key], just_bad[key]) for key in just_good if just_good[key].verdict != just_bad[key].verdict
    }
    assert {key: (good.verdict, bad.verdict) for key, (good, bad) in changed.items()} == {
        (subject, edge.limit, number): verdicts_at(limit, edge.bound)
        for subject in edge.subjects
        for number in edge.numbers
    }
    for (subject, _, _), (good, bad) in changed.items():
        for reading in (good, bad):
            assert _value(reading, edge.bound) == pytest.approx(bound, rel=1e-5, abs=1e-6)
        assert bad.place == edge.place.format(side=subject.split(" ", 1)[0])
        assert bad.cure is not None
        assert bad.cure.words


def _with_those_before(rule: Rule, check: Check) -> tuple[Check, ...]:
    """A check, and before it those that must be ok for it to be made."""
    earlier = (each for name in check.follows for each in _with_those_before(rule, rule.named(name)))
    return tuple(dict.fromkeys((*earlier, check)))


def _numbered(readings: Iterable[Reading]) -> dict[tuple[str, str, int], Reading]:
    """Readings by subject and quantity, and a number where there are several of those."""
    found: dict[tuple[str, str, int], Reading] = {}
    count: dict[tuple[str, str], int] = {}
    for reading in readings:
        key = (reading.subject, reading.quantity)
        found[(*key, count.setdefault(key, 0))] = reading
        count[key] += 1
    return found


def _value(reading: Reading, bound: str) -> float:
    """The value of a reading, as far from the bound as the limit asks: without the tolerance of readings compared."""
    assert reading.value is not None
    return reading.value - (reading.tolerance if bound.endswith("above") else -reading.tolerance)


def check_need(rule: Rule, need: Need) -> None:
    """Assert that one build meets the requirement, and that in the other it has its verdict and the rule finds exactly
    the stated findings."""
    requirement = rule.limit(need.requirement)
    assert isinstance(requirement, Requirement)
    for changes, verdict in ((need.met, Verdict.OK), (need.not_met, requirement.if_not)):
        build = read_build(with_data(example_data(), changes))
        found = readings_of(rule, build, need.requirement, need.subject)
        worst = max(found, key=lambda reading: (Verdict.OK, Verdict.WARNING, Verdict.ERROR).index(reading.verdict))
        assert worst.verdict is verdict
    bad = [reading for reading in all_readings(rule, build) if reading.verdict is not Verdict.OK]
    assert sorted((reading.subject, reading.quantity, reading.place) for reading in bad) == sorted(need.finds)
    broken = [reading for reading in bad if reading.verdict is not Verdict.NOT_CHECKED]
    assert all(reading.cure is not None and reading.cure.words for reading in broken)
