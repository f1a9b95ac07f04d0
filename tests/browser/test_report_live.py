"""The watched report in a browser: what is new is shown, and pose, place and folds are kept."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from reports import inspected

from buildcheck.commands.watching import Watched, serving
from buildcheck.output.items import items
from buildcheck.output.report.page import page as report_page

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

EXAMPLES = Path(__file__).parents[2] / "examples"
FAULTS = EXAMPLES / "tamarack" / "proposal-with-faults.buildcheck.yaml"
TOP = "e => e.getBoundingClientRect().top"


@pytest.fixture
def live(browser: Browser, told: list[str]) -> Iterator[tuple[Page, Watched, str]]:
    """A watched report, open."""
    watched = Watched()
    watched.tell(says="first", html=report_page(inspected(FAULTS), "1", live=1))
    with serving(watched) as address:
        context = browser.new_context(viewport={"width": 1400, "height": 900})
        opened = context.new_page()
        opened.on("console", lambda message: told.append(f"console: {message.text}"))
        opened.on("pageerror", lambda error: told.append(f"error: {error}"))
        opened.on("request", lambda request: request.url.startswith(address) or told.append(request.url))
        opened.goto(address)
        opened.locator("#live p", has_text="first").wait_for()
        yield opened, watched, address
        context.close()


def test_a_new_page_comes_by_itself_with_pose_place_and_folds_kept(
    live: tuple[Page, Watched, str], told: list[str]
) -> None:
    page, watched, _ = live
    page.locator("#slide-travel").focus()
    page.keyboard.press("End")
    pose = page.locator("#pose-words").inner_text()
    page.locator("details.limit").nth(3).evaluate("e => { e.open = true; }")
    page.locator("#item-20").evaluate("e => window.scrollTo(0, e.getBoundingClientRect().top + scrollY - 20)")
    before = page.locator("#item-20").evaluate(TOP)
    # The new page has something more above the place where its reader is.
    newer = report_page(inspected(FAULTS), "1", live=2).replace("<main>", "<main><p>one more</p>" * 1 + "<hr>" * 9)
    watched.tell(says="second", html=newer)
    page.wait_for_selector("body[data-live='2']")
    page.locator("#live p", has_text="second").wait_for()
    assert page.locator("#pose-words").inner_text() == pose
    assert page.locator("details.limit").nth(3).evaluate("e => e.open")
    assert page.locator("details.limit[open]").count() == 1
    assert page.locator("#item-20").evaluate(TOP) == pytest.approx(before, abs=2)
    assert told == []


def test_the_exact_pose_of_a_reading_is_kept(live: tuple[Page, Watched, str]) -> None:
    page, watched, _ = live
    poses = [item for item in items(inspected(FAULTS)) if item.reading.pose is not None]
    item = next(each for each in poses if each.reading.pose and abs(each.reading.pose.heave) % 0.004 > 0.001)
    page.locator(f"#item-{item.number} .pose").click()
    pose = page.locator("#pose-words").inner_text()
    assert pose != "at ride height"
    watched.tell(says="second", html=report_page(inspected(FAULTS), "1", live=2))
    page.wait_for_selector("body[data-live='2']")
    page.locator("#live p", has_text="second").wait_for()
    assert page.locator("#pose-words").inner_text() == pose


def test_slips_are_at_the_head_while_the_last_good_page_stays(live: tuple[Page, Watched, str]) -> None:
    page, watched, _ = live
    watched.tell(slips=("line 3: <b>no</b> such key",))
    page.wait_for_selector("#live.slips")
    assert page.locator("#live li").all_inner_texts() == ["line 3: <b>no</b> such key"]
    assert page.locator("body").get_attribute("data-live") == "1"
    assert page.locator("#change-1").count() == 1
    watched.tell(says="good again", html=report_page(inspected(FAULTS), "1", live=2))
    page.wait_for_selector("body[data-live='2']")
    assert page.locator("#live.slips").count() == 0


def test_an_outcome_is_shown_at_once_and_the_end_of_the_command_is_said(browser: Browser) -> None:
    watched = Watched()
    watched.tell(says="first", html=report_page(inspected(FAULTS), "1", live=1))
    context = browser.new_context()
    page = context.new_page()
    with serving(watched) as address:
        page.goto(address)
        page.locator("#live p", has_text="first").wait_for()
        watched.tell(says="613 readings in all")
        page.locator("#live p", has_text="613 readings in all").wait_for(timeout=1000)
    watched.tell(says="no one is left to ask")
    page.locator("#live p", has_text="The command has ended").wait_for()
    context.close()
