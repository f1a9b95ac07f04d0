"""A real Chromium, and the report of a spec open in it. What these tests need comes with the extra `browser`."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from reports import report_of

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

EXAMPLES = Path(__file__).parents[2] / "examples"
FAULTS = EXAMPLES / "tamarack" / "proposal-with-faults.buildcheck.yaml"
Open = Callable[..., "Page"]


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "browser: runs in a real Chromium; asked for with -m browser")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """These tests run where they are asked for, since they need a browser that not every machine has."""
    here = Path(__file__).parent
    ours = {item for item in items if item.path.is_relative_to(here)}
    for item in ours:
        item.add_marker(pytest.mark.browser)
    if "browser" not in config.option.markexpr:
        config.hook.pytest_deselected(items=[*ours])
        items[:] = [item for item in items if item not in ours]


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    from playwright.sync_api import sync_playwright

    path = shutil.which("chromium")
    assert path, "these tests need Chromium; on Debian the package is called chromium"
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield started
        started.close()


@pytest.fixture
def told() -> list[str]:
    """What pages said on the console, threw, or asked of the network; empty in a good report."""
    return []


@pytest.fixture
def opened(browser: Browser, tmp_path: Path, told: list[str]) -> Iterator[Open]:
    """Opens the report of a spec (a path, or text) in a window of its own."""
    contexts = []

    def open_report(spec: Path | str = FAULTS, *, width: int = 1400, **options: Any) -> Page:
        file = tmp_path / f"report-{len(contexts)}.html"
        file.write_text(report_of(spec), encoding="utf-8")
        context = browser.new_context(viewport={"width": width, "height": 900}, **options)
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda message: told.append(f"console: {message.text}"))
        page.on("pageerror", lambda error: told.append(f"error: {error}"))
        page.on("dialog", lambda dialog: told.append(f"dialog: {dialog.message}"))
        page.on("request", lambda request: request.url == file.as_uri() or told.append(f"request: {request.url}"))
        page.goto(file.as_uri())
        return page

    yield open_report
    for context in contexts:
        context.close()
