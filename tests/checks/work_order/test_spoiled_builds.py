"""Spoiled builds are mended: as a person reads the work order, through the revised spec."""

from __future__ import annotations

from datetime import date
from functools import cache
from typing import NamedTuple

import pytest
from sampling import sampled
from spoiled import ROOT, Spoiled, spoiled

import buildcheck
from buildcheck.checks.rule import Reading
from buildcheck.checks.work_order import ValueChange

TODAY = date(2026, 11, 29)
BUILDS = spoiled()

# Their subjects are chosen by where the parts are: of two that are no longer near each other there is no reading.
CHOSEN_BY_PLACE = ("clearance", "stated-travel")


class Tried(NamedTuple):
    """What came of one build: whether it has an error at all, the errors that remain, the readings that were lost,
    whether the work order names a spoiled input in its first two lines, and whether it lists what remains."""

    wrong: bool
    errors: list[str]
    lost: list[str]
    named: bool
    says_so: bool


@cache
def tried(number: int) -> Tried:
    """The work order of one build, carried out and inspected again."""
    example, changes, paths = BUILDS[number]
    spec = buildcheck.read(ROOT / example).changed(changes)
    before = buildcheck.inspect(spec, changes=False, today=TODAY)
    order = buildcheck.work_order(spec, today=TODAY)
    after = buildcheck.inspect(order.revised(), changes=False, today=TODAY)
    first = [change for line in order.lines[:2] for change in line.changes]
    first += [change for line in order.lines[:2] for other in line.alternatives for change in other.changes]
    errors = [str(each) for each in after.errors]
    left = sum(named.verdict is buildcheck.Verdict.ERROR for named, _ in order.record.left)
    named = any(_is_one_of(each, paths) for each in first)
    return Tried(bool(before.errors), errors, _lost(before, after), named, left == len(errors))


def _lost(before: buildcheck.Result, after: buildcheck.Result) -> list[str]:
    """The readings that are gone, or newly not checked."""
    there = {(each.record.rule, each.record.subject) for each in after.readings}
    gone = [
        f"{each.rule} of the {each.record.subject}"
        for each in before.readings
        if each.record.quantity
        and each.verdict in (buildcheck.Verdict.OK, buildcheck.Verdict.WARNING)
        and each.rule not in CHOSEN_BY_PLACE
        and (each.record.rule, each.record.subject) not in there
    ]
    was, now = (_not_checked(result) for result in (before, after))
    return gone + [f"{rule} of the {subject}" for rule, subject, _ in sorted(now - was)]


def _not_checked(result: buildcheck.Result) -> set[tuple[str, str, str]]:
    def checks(record: Reading) -> tuple[str, ...]:
        return record.unchecked or (record.quantity,)

    return {
        (each.record.rule, each.record.subject, check) for each in result.not_checked for check in checks(each.record)
    }


def _is_one_of(change: ValueChange, paths: list[str]) -> bool:
    def whole(path: str) -> str:
        return path.replace(".left.", ".both.").replace(".right.", ".both.")

    at = whole(change.path)
    return any(at == path or at.startswith(f"{path}.") or path.startswith(f"{at}.") for path in map(whole, paths))


# A third of them, so that the long tier keeps its time; `range(len(BUILDS))` tries all.
TRIED = range(0, len(BUILDS), 3)


@sampled(1)
@pytest.mark.parametrize("number", TRIED)
def test_nothing_is_lost_and_what_remains_is_listed(number: int) -> None:
    found = tried(number)
    assert found.lost == []
    assert found.says_so


def test_all_were_drawn_from_sound_builds() -> None:
    assert len(BUILDS) >= 120
    assert {each.example for each in BUILDS} <= {
        str(path.relative_to(ROOT)) for path in (ROOT / "examples").rglob("*.yaml")
    }
    assert all(isinstance(each, Spoiled) and 1 <= len(each.paths) <= 6 for each in BUILDS)


def test_nearly_all_are_mended_and_most_causes_are_named(long_tier: bool) -> None:
    if not long_tier:
        pytest.skip("the long tier counts them")
    every = [tried(number) for number in TRIED]
    found = [each for each in every if each.wrong]  # the examples change, and a spoiled input may no longer be an error
    assert len(found) >= 30
    # The aim is 95 %; this is what the search reached when the builds were drawn, and it must not fall below it.
    assert sum(not each.errors and not each.lost for each in found) >= 0.85 * len(found)
    assert sum(each.named for each in found) >= 0.85 * len(found)
