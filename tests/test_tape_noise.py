"""A sound build, measured with a tape and an angle gauge, stays sound: what these leave open is not a fault.

Tape to 1/16 in, gauge to 0.2 deg, each reading off by anything up to that: common practice, no source.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Annotated, Any, get_args, get_origin

import pytest
from sampling import draws, sampled

from buildcheck.build import Build, Part, Point, Sides, read_build
from buildcheck.build.part import KnownBy, fields
from buildcheck.checks.limit import Verdict
from buildcheck.checks.readings import readings_of
from buildcheck.job import Job
from buildcheck.plugins.loading import collect
from buildcheck.spec.document import read_file
from buildcheck.testing.rewritten import sides_written_out

EXAMPLES = Path(__file__).parents[1] / "examples"
SOUND = (
    "tamarack/proposal.buildcheck.yaml",
    "four-link-rear.buildcheck.yaml",
    "three-link-metric.buildcheck.yaml",
    "minimal.buildcheck.yaml",
)
TOLERANCE = {KnownBy.TAPE: 0.0254 / 16, KnownBy.GAUGE: math.radians(0.2), KnownBy.SCALE: 0.0}
DRAWS = draws(100).max_examples  # of each of the two ways in which an example is written
MOST_WITH_A_WARNING = 0.1


def measured(value: Any, draw: random.Random, tool: KnownBy | None = None) -> Any:
    """A value as somebody would measure it who builds exactly what the spec says; each side of a pair for itself."""
    if isinstance(value, Part):
        hints = fields(type(value))
        return value.changed(
            **{name: measured(inner, draw, tool_of(hints[name])) for name, inner in value.given().items()}
        )
    if isinstance(value, Point):
        return Point(*(number + draw.uniform(-1, 1) * TOLERANCE[KnownBy.TAPE] for number in value))
    if isinstance(value, Sides):
        return Sides(value.path, {part.side: measured(part, draw) for part in value})
    if isinstance(value, Mapping):
        return MappingProxyType({name: measured(inner, draw) for name, inner in value.items()})
    if type(value) is tuple:
        return tuple(measured(inner, draw) for inner in value)
    return value if tool is None else value + draw.uniform(-1, 1) * TOLERANCE[tool]


def tool_of(kind: Any) -> KnownBy | None:
    marks = get_args(kind) if get_origin(kind) is Annotated else ()
    return next((mark for mark in marks if isinstance(mark, KnownBy)), None)


def faults(build: Build) -> set[tuple[str, str, str, Verdict]]:
    found = readings_of(collect().rules, Job(build), changes=False)
    return {
        (each.rule, each.quantity, each.subject, each.verdict)
        for each in found
        if each.verdict in (Verdict.ERROR, Verdict.WARNING)
    }


@sampled(1)
@pytest.mark.parametrize("written", [dict, sides_written_out], ids=["as written", "sides apart"])
@pytest.mark.parametrize("name", SOUND)
def test_what_a_tape_leaves_open_is_no_fault(name: str, written: Callable[[Any], dict[str, Any]]) -> None:
    build, draw = read_build(written(read_file(EXAMPLES / name).data)), random.Random(1)
    before, warned = faults(build), 0
    assert not {each for each in before if each[3] is Verdict.ERROR}
    for _ in range(DRAWS):
        new = faults(measured(build, draw)) - before
        assert not {each for each in new if each[3] is Verdict.ERROR}
        warned += bool(new)
    assert warned <= MOST_WITH_A_WARNING * DRAWS
