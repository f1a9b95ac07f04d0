"""How the tests run: in which tier, and what hypothesis draws. `sampling.py` says which cases a tier has."""

from __future__ import annotations

import os
from collections import defaultdict

import pytest
from hypothesis import HealthCheck, settings
from sampling import LONG_DRAWS, SHORT_DRAWS, Case, sample_of

# What the person who runs the tests holds their own builds to is no part of them.
os.environ["XDG_CONFIG_HOME"] = "/nonexistent"

# Deadlines are off: times are measured in tests/benchmarks, never asserted, and a busy machine is no failure.
settings.register_profile(
    "short", max_examples=SHORT_DRAWS, derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile(
    "long", settings.get_profile("short"), max_examples=LONG_DRAWS, derandomize=bool(os.environ.get("CI"))
)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="run all cases of every test, not a fixed sample of them")


def pytest_configure(config: pytest.Config) -> None:
    """Choose the tier before any test file is read, since their settings depend on it."""
    config.addinivalue_line("markers", "sampled: of this test the short tier runs a sample (see tests/sampling.py)")
    settings.load_profile("long" if config.getoption("long") else "short")


def pytest_report_header(config: pytest.Config) -> str:
    return "tier: " + ("long" if config.getoption("long") else "short, a fixed sample of the cases; --long runs all")


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what the sample of a test leaves out, except a case that is named on the command line."""
    if config.getoption("long"):
        return
    cases: dict[tuple[str, int], dict[pytest.Item, Case]] = defaultdict(dict)
    for item in items:
        mark = item.get_closest_marker("sampled")
        if mark and isinstance(item, pytest.Function):
            test = item.nodeid.partition("[")[0]
            cases[test, mark.kwargs["keep"]][item] = Case(item.name, mark.kwargs["each"](**item.callspec.params))
    named = {argument.partition("::")[2] for argument in config.args if argument.endswith("]")}
    left_out: list[pytest.Item] = []
    for (_, keep), case_of in cases.items():
        chosen = sample_of(case_of.values(), keep)
        left_out += [
            item for item, case in case_of.items() if case not in chosen and item.nodeid.partition("::")[2] not in named
        ]
    config.hook.pytest_deselected(items=left_out)
    gone = set(left_out)
    items[:] = [item for item in items if item not in gone]
