"""The short tier of the tests is a fixed sample of the long one, which leaves out no test and no stratum of it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st
from sampling import FEWEST_DRAWS, LONG_DRAWS, Case, draws, sample_of

CASES = [Case(f"{rule} {number}", rule) for rule in ("welds", "bolts", "links") for number in range(10)]

OF_ONE_TEST = """
import pytest
from hypothesis import given, strategies as st
from sampling import sampled

@sampled(5, each=lambda rule, number: rule)
@pytest.mark.parametrize("number", range(10))
@pytest.mark.parametrize("rule", ["welds", "bolts", "links"])
def test_of(rule, number):
    pass

def test_that_is_whole():
    pass

@given(st.integers())
def test_that_is_drawn(number):
    pass

def test_of_more(long_tier):
    pass
"""


@given(st.sets(st.builds(Case, st.text(max_size=3), st.integers(0, 5))), st.integers(0, 9))
def test_a_sample_has_each_stratum_and_as_many_cases_as_are_asked_for(cases: set[Case], keep: int) -> None:
    chosen = sample_of(cases, keep)
    assert chosen <= cases
    assert {case.stratum for case in chosen} == {case.stratum for case in cases}
    assert min(keep, len(cases)) <= len(chosen) <= max(keep, len({case.stratum for case in cases}))


@given(st.permutations(CASES))
def test_a_sample_does_not_depend_on_the_order_of_the_cases(cases: list[Case]) -> None:
    assert sample_of(cases, 5) == sample_of(CASES, 5)


def test_a_case_that_is_added_changes_one_case_of_the_sample_at_most() -> None:
    before = sample_of(CASES, 5)
    for number in range(20):
        after = sample_of([*CASES, Case(f"new {number}", "welds")], 5)
        assert len(before - after) <= 1


def test_the_short_tier_draws_a_share_and_never_nothing() -> None:
    share = settings.default.max_examples / LONG_DRAWS
    assert [draws(most).max_examples for most in (500, 100, 1)] == [500 * share, 100 * share, FEWEST_DRAWS]


def collected(folder: Path, *options: str, hash_seed: str = "0") -> list[str]:
    """Names of the tests that pytest finds with this folder's own conftest.py, in a process with a hash seed."""
    ran = subprocess.run(
        [sys.executable, "-m", "pytest", "--collect-only", "-q", "-p", "no:cacheprovider", "-p", "conftest", *options],
        cwd=folder,
        env={**os.environ, "PYTHONHASHSEED": hash_seed, "PYTHONPATH": str(Path(__file__).parent)},
        capture_output=True,
        text=True,
        check=True,
    )
    return [line.partition("::")[2] for line in ran.stdout.splitlines() if "::" in line]


def test_pytest_runs_the_sample_whatever_the_hash_seed_and_everything_where_it_is_asked_for(tmp_path: Path) -> None:
    (tmp_path / "test_of.py").write_text(OF_ONE_TEST, encoding="utf-8")
    short = collected(tmp_path, hash_seed="1")
    assert short == collected(tmp_path, hash_seed="2")
    assert len(short) == 8
    assert all(any(rule in name for name in short) for rule in ("welds", "bolts", "links"))
    assert "test_that_is_whole" in short
    whole = collected(tmp_path, "--long")
    assert len(whole) == 33
    assert sorted(collected(tmp_path, "--rest")) == sorted({*whole} - {*short} | {"test_that_is_drawn", "test_of_more"})
    left_out = next(name for name in whole if name not in short)
    assert collected(tmp_path, f"test_of.py::{left_out}") == [left_out]
