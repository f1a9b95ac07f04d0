"""Poses in the report: the line that judges them, the pointers of the ladder, and the way to a pose and back."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from reports import inspected

from buildcheck.build import Point
from buildcheck.job import Job
from buildcheck.job.joints import joint_turn
from buildcheck.job.layout import axle_centre
from buildcheck.output import words
from buildcheck.output.items import items
from buildcheck.spec.quantity import Dimension

if TYPE_CHECKING:
    from playwright.sync_api import Page

Open = Callable[..., "Page"]
EXAMPLES = Path(__file__).parents[2] / "examples"
FAULTS = EXAMPLES / "tamarack" / "proposal-with-faults.buildcheck.yaml"
SOUND = EXAMPLES / "tamarack" / "proposal.buildcheck.yaml"

SEEN_AFTER_EACH = """() => [...document.querySelectorAll('button.pose')].map(button => {
  button.click();
  const bar = document.querySelector('.cycle');
  const covered = getComputedStyle(bar).position === 'sticky' ? Math.max(bar.getBoundingClientRect().bottom, 0) : 0;
  const share = Math.max(...[...document.querySelectorAll('.view svg')].map(view => {
    const { top, bottom, height } = view.getBoundingClientRect();
    const seen = Math.max(Math.min(bottom, innerHeight) - Math.max(top, covered), 0);
    return seen / Math.min(height, innerHeight - covered);
  }));
  return [share, document.getElementById('pose-words').textContent, document.getElementById('back').hidden];
})"""


@pytest.mark.parametrize(("width", "height"), [(320, 640), (390, 844), (768, 1024), (1024, 768), (1400, 900)])
def test_every_pose_button_brings_a_whole_view_onto_the_screen(opened: Open, width: int, height: int) -> None:
    touch: dict[str, Any] = {"has_touch": True, "is_mobile": True} if width < 1024 else {}
    page = opened(width=width, **touch)
    page.set_viewport_size({"width": width, "height": height})
    seen = page.evaluate(SEEN_AFTER_EACH)
    assert len(seen) > 60
    assert min(share for share, *_ in seen) > 0.95
    assert not any(hidden for *_, hidden in seen)


@pytest.mark.parametrize("by", ["button", "browser"])
def test_a_button_and_the_browser_lead_back_to_the_item(opened: Open, by: str) -> None:
    page = opened(width=390)
    item = next(item for item in items(inspected(FAULTS)) if item.reading.pose is not None)
    button = page.locator(f"#item-{item.number} .pose")
    button.click()
    assert page.locator("#back").inner_text() == f"Back to finding {item.number}"
    if by == "button":
        page.locator("#back").click()
    else:
        page.go_back()
    page.wait_for_function("document.getElementById('back').hidden")
    assert button.evaluate("e => e === document.activeElement")
    box = button.bounding_box()
    assert box is not None
    assert 0 < box["y"] < 900


def test_the_pose_line_says_what_is_past_its_end_and_by_how_much(opened: Open) -> None:
    page, build = opened(), inspected(FAULTS).build
    assert page.locator("#pose-here").inner_text() == "here: no part is past its end"
    assert page.locator("#pose-over").is_hidden()
    page.locator("#slide-travel").focus()
    page.keyboard.press("Home")
    moving = Job(build).moved(np.array([-build.travel.droop]), np.zeros(1))
    solid = build.driveshaft.shortest_length - moving.driveshaft_length()[0]
    assert page.locator("#pose-here").inner_text().startswith("here: driveshaft ")
    bound = -build.lateral_bar.joints.frame.misalignment + joint_turn(moving, build.lateral_bar, "frame")[0]
    by = words.amount(bound, Dimension.ANGLE, build.units)
    assert page.locator("#pose-list").inner_text().splitlines() == [
        f"driveshaft {words.amount(solid, Dimension.LENGTH, build.units, 2)} too long",
        f"lateral bar's frame joint {by} past its rating",
    ]
    # The number that is past its end is hatched, and no other.
    assert page.locator("td.beyond").evaluate_all("all => all.map(e => e.dataset.name)") == ["driveshaft-length"]
    page.locator("#to-ride").click()
    assert page.locator("td.beyond").count() == 0


def test_a_clash_at_lock_is_said_at_that_lock_alone(opened: Open) -> None:
    page = opened()
    page.locator("#slide-travel").focus()
    page.keyboard.press("End")
    straight = page.locator("#pose-list").inner_text()
    page.locator("#slide-lock").focus()
    page.keyboard.press("Home")
    turned = page.locator("#pose-list").inner_text()
    assert "into the crossmember" in straight
    assert straight != turned


def test_the_pointers_are_at_the_heights_of_the_two_wheels(opened: Open) -> None:
    page, build = opened(), inspected(FAULTS).build
    zero, step = (float(each) for each in (page.locator(".ladder-svg").get_attribute("data-scale") or "").split(","))

    def heights() -> list[float]:
        found = page.locator(".pointer").evaluate_all("all => all.map(e => e.transform.baseVal[0].matrix.f)")
        return [(y - zero) / step for y in found]

    def solved(heave: float, roll: float) -> list[float]:
        (x, y, z), half = axle_centre(build), build.vehicle.track / 2
        moving = Job(build).moved(np.array([heave]), np.array([roll]))
        return [float(moving.point(Point(x, y + side, z))[2, 0]) - z for side in (half, -half)]

    assert heights() == pytest.approx([0.0, 0.0], abs=2e-4)
    page.locator("#slide-articulation").focus()
    page.keyboard.press("End")
    assert heights() == pytest.approx(solved(0.0, build.travel.articulation), abs=2e-4)
    page.locator("#slide-travel").focus()
    page.keyboard.press("End")
    assert heights() == pytest.approx(solved(build.travel.bump, build.travel.articulation), abs=2e-4)


def test_a_sound_build_is_past_nothing_over_its_travel(opened: Open) -> None:
    page = opened(SOUND)
    page.locator("#slide-travel").focus()
    for key in ("Home", "End"):
        page.keyboard.press(key)
        assert page.locator("#pose-here").inner_text() == "here: no part is past its end"
