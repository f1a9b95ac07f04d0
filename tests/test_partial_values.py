"""A value that leaves out poses or load cases is never within its limit: it breaks it, or it is `not checked`.

The sound examples are altered so that the axle does not reach the outer part of its travel, or so that a load case
cannot be worked out. A reading that is still `ok` is then one in which what is missing has no part: its value is that
of the whole example. Any other is a warning or an error, or is not checked, and says how many of how many are missing,
and why.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import cache
from typing import Any
from unittest.mock import patch

import numpy as np
import pytest
from buildcheck_rules import buildcheck_rules
from sampling import sampled
from whole_specs import WHOLE

from buildcheck.axle.poses import Poses, Status, solve
from buildcheck.build import read_build
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading
from buildcheck.job.cases_away import CasesAway
from buildcheck.job.curve import Unreached
from buildcheck.job.load_cases import ARTICULATED, BUMP_STOPS_HIT, HANGING, ONE_STOP_HIT, ONE_STRAP, Cases
from buildcheck.spec.written import REMOVED
from buildcheck.testing import changed

RULES = tuple(buildcheck_rules())
NAMES = ("tamarack", "three-link", "four-link")
Key = tuple[str, str, str, str]

AT_RIDE = (
    "braking",
    "left bend",
    "braking in a right bend",
    "driving",
    "driving in reverse",
    "one wheel at a ledge",
    "one wheel at a kerb",
    "wheels turned standing",
)
AWAY = {
    BUMP_STOPS_HIT: "stops_hit",
    ONE_STOP_HIT: "one_stop_hit",
    HANGING: "hanging",
    ONE_STRAP: "on_one_strap",
    ARTICULATED: "articulated",
}
HOW_MANY = re.compile(r"(\d+) of (\d+) (poses|load cases) ")


def read(spec: dict[str, Any]) -> dict[Key, list[Reading]]:
    found: dict[Key, list[Reading]] = {}
    for each in inspect(read_build(spec), RULES, changes=False).readings:
        assert not each.failure
        found.setdefault((each.rule, each.quantity, each.subject, each.of), []).append(each)
    return found


@cache
def whole(name: str) -> dict[Key, list[Reading]]:
    return read(WHOLE[name]())


def assert_none_passes_in_part(name: str, found: dict[Key, list[Reading]]) -> list[Reading]:
    """Hold the law; return the partial readings."""
    partial = [each for readings in found.values() for each in readings if each.without]
    for each in partial:
        assert each.verdict is not Verdict.OK
        assert (each.margin is None) is (each.verdict is Verdict.NOT_CHECKED), "only what breaks its limit has a margin"
        assert all(said in (each.reason or each.effect) for said in each.without)
    for key, readings in found.items():
        values = [each.value for each in whole(name).get(key, []) if each.value is not None]
        for each in readings:
            if each.verdict is Verdict.OK and each.value is not None:
                assert any(each.value == pytest.approx(value, rel=1e-6, abs=1e-9) for value in values), key
    return partial


@contextmanager
def reaching(heave: float, roll: float) -> Iterator[None]:
    """The axle reaches no farther than this from ride height: m up or down, and rad."""

    def solve_near(layout: Any, *asked: Any) -> Poses:
        found = solve(layout, *asked)
        far = (np.abs(found.heave) > heave) | (np.abs(found.roll) > roll)
        lost = {name: np.where(far, np.nan, getattr(found, name)) for name in ("x", "y", "pitch", "yaw", "stretch")}
        status = np.where(far, Status.OUT_OF_REACH, found.status).astype(np.int8)
        return replace(found, **lost, status=status)

    with patch("buildcheck.job.resting.solve", solve_near):
        yield


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("far", [(0.075, 0.12), (0.04, 1.0), (1.0, 0.1)], ids=["of both", "of heave", "of roll"])
@sampled(3, each=lambda name, far: name)
def test_poses_that_cannot_be_solved(name: str, far: tuple[float, float]) -> None:
    with reaching(*far):
        found = read(WHOLE[name]())
    partial = assert_none_passes_in_part(name, found)
    of_poses = [said for each in partial for said in each.without if " poses " in said]
    assert len(of_poses) > 10
    for said in of_poses:
        missing, among = map(int, HOW_MANY.search(said).group(1, 2))  # type: ignore[union-attr]
        assert 0 < missing < among, said
        assert "could not be solved" in said or "not reach" in said, said


@contextmanager
def without_case(case: str) -> Iterator[None]:
    """A load case that cannot be worked out."""

    def refused(*_: Any) -> Any:
        raise Unreached("the load of this case is not known")

    plain = Cases.at_ride

    def ways(cases: Cases) -> dict[str, Callable[[], Any]]:
        return plain(cases) | {case: refused}

    if case in AWAY:
        with patch.object(CasesAway, AWAY[case], refused):
            yield
    else:
        with patch.object(Cases, "at_ride", ways):
            yield


@pytest.mark.parametrize("case", [*AT_RIDE, *AWAY])
@sampled(5)
def test_a_load_case_that_cannot_be_worked_out(case: str) -> None:
    with without_case(case):
        found = read(WHOLE["tamarack"]())
    partial = assert_none_passes_in_part("tamarack", found)
    says = [each.without for each in partial]
    assert len(says) > 10
    for said in says:
        named = rf"1 of \d+ load cases is missing, {case}: the load of this case is not known"
        assert any(re.fullmatch(named, sentence) for sentence in said), said


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(
    "path", ["vehicle.brake_share", "vehicle.drive_torque", "axle.final_drive_ratio", "travel.articulation"]
)
@sampled(4, each=lambda name, path: path)
def test_a_field_without_which_load_cases_or_poses_are_missing(name: str, path: str) -> None:
    partial = assert_none_passes_in_part(name, read(changed(WHOLE[name](), {path: REMOVED})))
    assert len(partial) > 10
    for each in partial:
        assert any(said.endswith(f"the spec lacks {path}") for said in each.without)
        assert path in each.missing or each.verdict is not Verdict.NOT_CHECKED


def test_the_gap_above_a_tube_that_is_not_stated_is_not_known() -> None:
    found = read(changed(WHOLE["tamarack"](), {"axle.tube": REMOVED}))
    above = [each for key, readings in found.items() if key[1] == "gap-above" for each in readings]
    assert above
    assert {each.verdict for each in above} == {Verdict.NOT_CHECKED}
    assert all("axle.tube" in each.missing for each in above)


def test_a_recorded_gap_is_not_compared_with_one_of_the_poses_that_are_left() -> None:
    with reaching(1.0, 0.1):
        found = read(WHOLE["tamarack"]())
    (gap,) = (each for key, (each, *_) in found.items() if key[:2] == ("cycled-by-hand", "gap-as-computed"))
    assert gap.verdict is not Verdict.OK
    assert gap.without
