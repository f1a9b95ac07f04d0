"""The two tiers of tests: the same functions on a sample of their cases, or with `--long` on all of them.

A function with many cases is marked `@sampled(keep)`; the examples that hypothesis draws are counted by `draws(most)`.
A sample depends on the names of the cases alone, so it is the same on every machine and in every run.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from hashlib import sha256
from typing import Any, NamedTuple

import pytest
from hypothesis import settings

SEED = "2026"

# The default number of examples in the profile of each tier; what a test asks for is scaled in proportion.
LONG_DRAWS = 100
SHORT_DRAWS = 10
FEWEST_DRAWS = 2


class Case(NamedTuple):
    """A case of a test: its name, and what it has in common with the other cases of its stratum."""

    name: str
    stratum: Hashable = None


def sampled(keep: int, each: Callable[..., Hashable] | None = None) -> pytest.MarkDecorator:
    """Mark a test of which the short tier runs at least `keep` cases, and of each stratum at least one.

    `each` is called with the arguments of a case by name and returns its stratum, such as the limit that it is about.
    """
    return pytest.mark.sampled(keep=keep, each=each or (lambda **_: None))


def sample_of(cases: Iterable[Case], keep: int) -> set[Case]:
    """A fixed choice of cases: one or more of each stratum, and at least `keep` where there are so many."""
    shuffled = sorted(cases, key=lambda case: sha256(f"{SEED} {case.name}".encode()).digest())
    first_of_each: dict[Hashable, Case] = {}
    for case in shuffled:
        first_of_each.setdefault(case.stratum, case)
    chosen = list(dict.fromkeys((*first_of_each.values(), *shuffled)))
    return set(chosen[: max(keep, len(first_of_each))])


def draws(most: int, **more: Any) -> settings:
    """Settings for a test that draws so many examples in the long tier, and a share of them in the short one."""
    share = settings.default.max_examples / LONG_DRAWS
    return settings(max_examples=max(FEWEST_DRAWS, round(most * share)), **more)
