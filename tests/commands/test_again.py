"""A spec that is inspected again and again reads as one that is inspected for the first time."""

from __future__ import annotations

import gc
from functools import cache
from pathlib import Path
from random import Random

import pytest
from sampling import sampled

from buildcheck.build import Part
from buildcheck.commands.again import Again
from buildcheck.commands.inspect import outcome_of
from buildcheck.commands.plugged import collected_with
from buildcheck.job import Job
from buildcheck.job.kept import Entry
from buildcheck.output.outcome import Inspected, Refused
from buildcheck.output.report.page import page

SPEC = Path(__file__).parents[2] / "examples/tamarack/proposal.buildcheck.yaml"
RULES = cache(lambda: collected_with(()))
EDITS = (
    ("name: Tamarack", "name: Tamarack again"),
    ("bump: 5", "bump: 5 1/4"),
    ("wheelbase: 108", "wheelbase: 107"),
    ("articulation: 12", "articulation: 9"),
    ("lock_angle: 25.5", "lock_angle: 22"),
    ("units: inch-pound", "units: inch-pound\nshop: {}"),
)


def inspected(file: Path, again: Again | None, *, changes: bool = True) -> Inspected | Refused:
    (found,) = outcome_of(
        *([str(file)], None, (), (), collected_with(()), {str(file): None}),
        how_sure=False,
        changes=changes,
        again=again,
    ).specs
    return found


@sampled(1)
@pytest.mark.parametrize("seed", range(8))
def test_after_any_edits_the_readings_and_the_page_are_those_of_a_first_inspection(seed: int, tmp_path: Path) -> None:
    draw, file, again = Random(seed), tmp_path / "truck.buildcheck.yaml", Again()
    text = SPEC.read_text(encoding="utf-8")
    assert all(was in text for was, _ in EDITS)
    for _ in range(3):
        edited = text
        for was, becomes in draw.sample(EDITS, draw.randint(0, 3)):
            edited = edited.replace(was, becomes, 1)
        file.write_text(edited, encoding="utf-8")
        again.edited()
        quick = inspected(file, again, changes=False)
        kept, fresh = inspected(file, again), inspected(file, None)
        assert isinstance(quick, Inspected)
        assert isinstance(kept, Inspected)
        assert isinstance(fresh, Inspected)
        assert [each.verdict for each in quick.readings] == [each.verdict for each in fresh.readings]
        assert kept.readings == fresh.readings
    assert page(kept, "1") == page(fresh, "1")


def test_a_slip_in_between_changes_nothing(tmp_path: Path) -> None:
    file, again = tmp_path / "truck.buildcheck.yaml", Again()
    text = SPEC.read_text(encoding="utf-8")
    for saved in (text, text.replace("wheelbase: 108", "wheelbase: wide"), text):
        file.write_text(saved, encoding="utf-8")
        again.edited()
        found = inspected(file, again, changes=False)
        assert isinstance(found, Inspected) is (saved == text)
    fresh = inspected(file, None, changes=False)
    assert isinstance(found, Inspected)
    assert isinstance(fresh, Inspected)
    assert found.readings == fresh.readings


def test_what_was_before_is_let_go(tmp_path: Path, long_tier: bool) -> None:
    """After the last of many edits as much is held of the job and of what it computed as after the first few."""
    most = 60 if long_tier else 6
    file, again = tmp_path / "truck.buildcheck.yaml", Again()
    text = SPEC.read_text(encoding="utf-8")

    def held() -> dict[str, int]:
        gc.collect()
        kinds: tuple[type, ...] = (Job, Entry, Part)
        return {kind.__name__: sum(isinstance(each, kind) for each in gc.get_objects()) for kind in kinds}

    def edit(number: int) -> None:
        file.write_text(text.replace("bump: 5", f"bump: {5 + number % 2 / 8}", 1), encoding="utf-8")
        again.edited()
        inspected(file, again, changes=False)

    for number in range(3):
        edit(number)
    before = held()
    for number in range(most):
        edit(number)
    after = held()
    assert after["Job"] == before["Job"]
    # Parts are few, and those of other tests come and go.
    assert after["Entry"] <= 1.02 * before["Entry"], (before, after)
    assert after["Part"] <= 1.2 * before["Part"], (before, after)
