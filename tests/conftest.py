"""How the tests run: in which tier, and what hypothesis draws. `sampling.py` says which cases a tier has."""

from __future__ import annotations

import gc
import os
import signal
import tempfile
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from known_exactly import known_exactly
from sampling import LONG_DRAWS, SHORT_DRAWS, Case, sample_of

# What the person who runs the tests holds their own builds to is no part of them.
os.environ["XDG_CONFIG_HOME"] = "/nonexistent"

# The commands that the tests start need not compile the same modules each time.
if os.environ.pop("PYTHONDONTWRITEBYTECODE", ""):
    os.environ["PYTHONPYCACHEPREFIX"] = str(Path(tempfile.gettempdir()) / "bytecode-of-the-tests")

# A shell starts what runs in the background deaf to Ctrl-C, and so would be the commands that the tests interrupt.
signal.signal(signal.SIGINT, signal.default_int_handler)

# Deadlines are off: times are measured in tests/benchmarks, never asserted, and a busy machine is no failure.
settings.register_profile(
    "short", max_examples=SHORT_DRAWS, derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile(
    "long", settings.get_profile("short"), max_examples=LONG_DRAWS, derandomize=bool(os.environ.get("CI"))
)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="run all cases of every test, not a fixed sample of them")
    parser.addoption("--rest", action="store_true", help="as --long, without what the short tier runs in the same way")


def pytest_configure(config: pytest.Config) -> None:
    """Choose the tier before any test file is read, since their settings depend on it."""
    config.addinivalue_line("markers", "sampled: of this test the short tier runs a sample (see tests/sampling.py)")
    settings.load_profile("long" if is_long(config) else "short")


def is_long(config: pytest.Config) -> bool:
    """Whether all cases are run, and not a sample of them."""
    return bool(config.getoption("long") or config.getoption("rest"))


@pytest.fixture
def long_tier(pytestconfig: pytest.Config) -> bool:
    """For a test that does more of the same in the long tier."""
    return is_long(pytestconfig)


@pytest.fixture
def exact() -> Iterator[None]:
    """Every number is known exactly, for a test that is not about what the tolerances leave open."""
    with known_exactly():
        yield


def pytest_report_header(config: pytest.Config) -> str:
    if is_long(config):
        return "tier: long" + (", without what the short tier runs in the same way" if config.getoption("rest") else "")
    return "tier: short, a fixed sample of the cases; --long runs all"


def pytest_collection_finish() -> None:
    """Take what was collected, which stays to the end, out of the search for garbage: that took a fifth of the time."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what the sample of a test leaves out, except a case that is named on the command line; or, of the long
    tier, what is not more there than in the short one."""
    if config.getoption("long") and not config.getoption("rest"):
        return
    out = _out_of_the_sample(config, items)
    gone = {item for item in items if item not in out and not _is_more(item)} if is_long(config) else out
    config.hook.pytest_deselected(items=[item for item in items if item in gone])
    items[:] = [item for item in items if item not in gone]


def _out_of_the_sample(config: pytest.Config, items: list[pytest.Item]) -> set[pytest.Item]:
    """The cases that the short tier does not run."""
    cases: dict[tuple[str, int], dict[pytest.Item, Case]] = defaultdict(dict)
    for item in items:
        mark = item.get_closest_marker("sampled")
        if mark and isinstance(item, pytest.Function):
            test = item.nodeid.partition("[")[0]
            cases[test, mark.kwargs["keep"]][item] = Case(item.name, mark.kwargs["each"](**item.callspec.params))
    named = {argument.partition("::")[2] for argument in config.args if argument.endswith("]")}
    out: set[pytest.Item] = set()
    for (_, keep), case_of in cases.items():
        chosen = sample_of(case_of.values(), keep)
        out |= {
            item for item, case in case_of.items() if case not in chosen and item.nodeid.partition("::")[2] not in named
        }
    return out


def _is_more(item: pytest.Item) -> bool:
    """Whether one case of a test is more in the long tier: more is drawn, or it says so by its fixture."""
    return isinstance(item, pytest.Function) and (
        getattr(item.obj, "is_hypothesis_test", False) or "long_tier" in item.fixturenames
    )
