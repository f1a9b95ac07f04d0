"""Faults planted in the examples, one at a time: each causes exactly the readings that `faults/` lists for it.

Each fault is an example, some edits of it, and the readings that are then not ok and were not so before: rule, limit,
subject and verdict. `python tests/test_faults.py` writes the lists anew from what is found; look at what that changes.
"""

from __future__ import annotations

import json
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from ruamel.yaml import YAML
from sampling import sampled
from spoiled_fields import RULES, TODAY, inspected
from whole_specs import FOUR_LINK, TAMARACK, THREE_LINK, tamarack

from buildcheck.build import Build, read_build
from buildcheck.build.build import read_again
from buildcheck.build.fits import fits
from buildcheck.checks.limit import Verdict
from buildcheck.job import Job
from buildcheck.spec.place import split
from buildcheck.testing import changed, sound_spec

FOLDER = Path(__file__).parent / "faults"
FILES = sorted(FOLDER.glob("*.yaml"))

# Rule, limit, subject, verdict.
Cause = tuple[str, str, str, str]


class Fault(NamedTuple):
    """One fault: what is wrong, the example that it is planted in, the edits, and the readings that it causes."""

    says: str
    of: str
    edits: dict[str, Any]
    causes: list[Cause]


class Sound(NamedTuple):
    """An example without the fault: its data, its build and job, and its readings that are not ok."""

    data: dict[str, Any]
    build: Build
    job: Job
    not_ok: Counter[Cause]


EXAMPLES = {
    "tamarack": lambda: sound_spec(TAMARACK),
    "three-link": lambda: sound_spec(THREE_LINK),
    "four-link": lambda: sound_spec(FOUR_LINK),
    "tamarack at the end of its job": tamarack,
}


def read(path: Path) -> list[Fault]:
    """The faults of one file."""
    rows = YAML(typ="safe").load(path.read_text(encoding="utf-8"))
    return [Fault(row["fault"], row["of"], row["edits"], [tuple(each) for each in row["causes"]]) for row in rows]


FAULTS = [fault for path in FILES for fault in read(path)]


@cache
def sound(name: str) -> Sound:
    data = EXAMPLES[name]()
    build = read_build(data)
    job = Job(build)
    return Sound(data, build, job, not_ok(build, job))


def not_ok(build: Build, job: Job) -> Counter[Cause]:
    """The readings of a build that are not ok."""
    readings = inspected(build, job, RULES, TODAY).readings
    assert not [each.failure for each in readings if each.failure]
    return Counter(
        (each.rule, each.quantity, each.subject, each.verdict.value)
        for each in readings
        if each.verdict is not Verdict.OK
    )


def causes(fault: Fault) -> list[Cause]:
    """The readings that a fault causes: those not ok that the example without it does not have."""
    whole = sound(fault.of)
    data = changed(whole.data, fault.edits)
    assert fits(data), "the spec is refused, so nothing is inspected"
    build = read_again(whole.build, data, {str(split(path)[0]) for path in fault.edits})
    return sorted((not_ok(build, Job(build, whole.job)) - whole.not_ok).elements())


@sampled(30, each=lambda fault: next(iter(fault.edits)).partition(".")[0])
@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.says)
def test_a_fault_causes_exactly_these_readings(fault: Fault) -> None:
    assert causes(fault) == sorted(fault.causes)


def test_hardly_any_fault_is_silent() -> None:
    """Nor is one that makes only things `not checked`: at most one in fifty."""
    silent = [fault.says for fault in FAULTS if {each[3] for each in fault.causes} <= {Verdict.NOT_CHECKED.value}]
    assert len(silent) <= len(FAULTS) / 50, silent
    assert len(FAULTS) >= 60
    assert len({fault.says for fault in FAULTS}) == len(FAULTS)


def written(faults: list[Fault]) -> str:
    """The faults as a file has them."""
    lines = []
    for fault in faults:
        edits, found = json.dumps(fault.edits, ensure_ascii=False), causes(fault)
        lines += [f"- fault: {fault.says}", f"  of: {fault.of}", f"  edits: {edits}"]
        lines += ["  causes:" if found else "  causes: []"]
        lines += [f"    - {json.dumps(each, ensure_ascii=False)}" for each in found]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    for each in FILES:
        each.write_text(written(read(each)), encoding="utf-8")
