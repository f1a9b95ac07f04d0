"""The report under a thumb and at arm's length: what can be tapped, what covers what, and what can be read."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Page

Open = Callable[..., "Page"]
EXAMPLES = Path(__file__).parents[2] / "examples"
FAULTS = EXAMPLES / "tamarack" / "proposal-with-faults.buildcheck.yaml"
AXE = Path(__file__).parent / "axe" / "axe.min.js"
SPECS = sorted(EXAMPLES.glob("**/*.buildcheck.yaml"))
MEASURED = """\
  measured:
    - {stage: tacked, of: links.arm.left.frame, value: [-37, 15.25, 19.7], measured_on: "2026-03-20"}
    - {stage: tacked, of: lateral_bar.frame.z, value: 23, measured_on: "2026-03-20"}
"""
WAIVERS = """\
waivers:
  - {rule: link-flatness, place: links.arm.left.frame, reason: there is no room for the sump otherwise, who: J. Doe,
     date: "2026-03-14", until_stage: final-weld}
"""


@pytest.mark.parametrize("width", [320, 390])
@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.name.split(".")[0])
def test_marks_on_a_telephone_can_be_tapped_and_are_whole(opened: Open, spec: Path, width: int) -> None:
    page = opened(spec, width=width)
    rings = page.locator(".mark .reach").evaluate_all(
        "all => all.map(ring => { const r = ring.getBoundingClientRect(), f = ring.closest('figure')"
        ".getBoundingClientRect(), a = ring.closest('a').getBoundingClientRect(); return [r.width, r.height, "
        "r.left - f.left, f.right - r.right, r.top - f.top, r.left + r.width / 2, r.top + r.height / 2]; })"
    )
    for wide, high, *inside, _, _ in rings:
        assert min(wide, high) >= 44.0
        assert min(inside) >= -1
    middles = [each[-2:] for each in rings]
    assert all(np.hypot(a - c, b - d) >= 44.0 for a, b in middles for c, d in middles if (a, b) != (c, d))


SMALL = """() => [...document.querySelectorAll('a, button, input, select, summary')].filter(e => e.offsetParent)
  .map(e => [e.outerHTML.slice(0, 80), e.getBoundingClientRect().width, e.getBoundingClientRect().height])
  .filter(([, w, h]) => w > 1 && (w < 43.9 || h < 43.9))"""


@pytest.mark.parametrize("width", [320, 390, 768])
def test_whatever_is_tapped_is_large_enough_for_a_finger(opened: Open, width: int) -> None:
    assert opened(width=width, has_touch=True, is_mobile=True).evaluate(SMALL) == []


BROKEN = r"""() => {
  const unit = '(?:in|deg|lb|lbf|lb-ft|psi|mm|N|kN|Nm|MPa|%|kg|g|ft|deg/in)';
  const amount = new RegExp(`(?:[+-]?\\d+(?:\\.\\d+)?(?:/\\d+)? )+${unit}(?![\\w-])|\\d+ \\d+/\\d+`, 'g');
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT), found = [];
  let seen = 0;
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const held = node.parentNode;
    if (!held.offsetParent || ['SCRIPT', 'STYLE'].includes(held.tagName) || held.closest('svg, .unseen')) continue;
    for (const match of node.data.matchAll(amount)) {
      const range = document.createRange();
      range.setStart(node, match.index);
      range.setEnd(node, match.index + match[0].length);
      seen += 1;
      const tops = new Set([...range.getClientRects()].map(r => Math.round(r.top / 4)));
      if (tops.size > 1) found.push(match[0]);
    }
  }
  return [seen, found];
}"""


@pytest.mark.parametrize("width", [320, 390, 768, 1024, 1400])
def test_no_line_ends_inside_an_amount(opened: Open, width: int) -> None:
    page = opened(width=width)
    page.evaluate("for (const each of document.querySelectorAll('details')) each.open = true")
    page.locator("#slide-travel").focus()
    page.keyboard.press("Home")
    seen, broken = page.evaluate(BROKEN)
    assert seen > 500
    assert broken == []


@pytest.mark.parametrize(("width", "height"), [(390, 844), (1400, 900), (768, 1024), (320, 640)])
def test_the_first_change_is_on_the_first_screen(opened: Open, width: int, height: int) -> None:
    page = opened(width=width)
    page.set_viewport_size({"width": width, "height": height})
    box = page.locator("#change-1 .change").bounding_box()
    assert box is not None
    assert box["y"] + box["height"] < height


@pytest.mark.parametrize("width", [600, 768, 999])
def test_tables_stay_tables_on_a_tablet(opened: Open, width: int) -> None:
    page = opened(width=width)
    assert page.locator("table.work").evaluate("e => getComputedStyle(e).display") == "table"
    assert page.locator("table.items td").first.evaluate("e => getComputedStyle(e).display") == "table-cell"
    assert page.evaluate("document.documentElement.scrollWidth") == width


def test_nothing_is_red_where_there_is_nothing(opened: Open) -> None:
    page = opened(EXAMPLES / "tamarack" / "proposal.buildcheck.yaml")
    assert page.locator(".stamp.error").count() == 0
    assert page.locator(".stamp.zero b").first.inner_text() == "0"


@pytest.mark.parametrize("width", [390, 1400])
def test_in_the_dark_scheme_the_contrast_is_as_good(opened: Open, width: int) -> None:
    page = opened(width=width, color_scheme="dark")
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate("axe.run(document, {runOnly: ['color-contrast']})")
    assert found["passes"]
    assert [(node["target"], node["any"][0]["message"]) for each in found["violations"] for node in each["nodes"]] == []


@pytest.mark.parametrize("size", [(390, 844), (844, 390), (700, 450), (1400, 900)])
def test_the_slides_never_stay_on_more_than_a_third_of_the_height(opened: Open, size: tuple[int, int]) -> None:
    page = opened(width=size[0])
    page.set_viewport_size({"width": size[0], "height": size[1]})
    panel = page.locator(".cycle")
    height = panel.evaluate("panel => panel.getBoundingClientRect().height")
    stays = panel.evaluate("panel => getComputedStyle(panel).position") == "sticky"
    assert stays == (size[1] > 640)
    assert not stays or height <= size[1] / 3


@pytest.mark.parametrize("width", [390, 1400])
@pytest.mark.parametrize("motion", ["reduce", "no-preference"])
def test_back_from_a_reading_its_mark_is_in_sight(opened: Open, width: int, motion: str) -> None:
    page = opened(width=width, reduced_motion=motion)
    for number in (1, 7, 12, 16):
        page.locator(f"#change-{number} .to-mark").click()
        page.wait_for_timeout(300)
        seen = page.evaluate(
            "number => { const r = document.querySelector(`#mark-${number} .ring`).getBoundingClientRect(),"
            "x = r.left + r.width / 2, y = r.top + r.height / 2;"
            "return document.elementFromPoint(x, y)?.closest('.mark')?.id; }",
            number,
        )
        assert seen == f"mark-{number}"


@pytest.mark.parametrize("width", [390, 1400])
def test_letters_of_the_curves_can_be_read_and_stand_within_their_panels(opened: Open, width: int) -> None:
    text = (EXAMPLES / "tamarack" / "proposal.buildcheck.yaml").read_text(encoding="utf-8")
    page = opened(text.replace("  baseline:\n", f"{MEASURED}  baseline:\n"), width=width)
    assert page.locator(".panel .measured-right").count() > 0
    found = page.locator(".panel svg text").evaluate_all(
        "all => all.map(text => { const b = text.getBoundingClientRect(), f = text.ownerSVGElement"
        ".getBoundingClientRect(); return [text.textContent, parseFloat(getComputedStyle(text).fontSize) * "
        "text.getScreenCTM().a, b.left - f.left, f.right - b.right, b.top - f.top, f.bottom - b.bottom]; })"
    )
    assert len(found) > 100
    for told, size, *inside in found:
        assert size >= (11.0 if width == 1400 else 10.5), told
        assert min(inside) >= -0.5, told


@pytest.mark.parametrize("width", [390, 1400])
def test_no_word_of_the_waivers_is_broken(opened: Open, width: int) -> None:
    page = opened(FAULTS.read_text(encoding="utf-8") + WAIVERS, width=width)
    assert page.locator("#waivers tbody tr").count() > 0
    lines = page.locator("#waivers .verdict, #waivers thead th").evaluate_all(
        "all => all.map(e => { const range = document.createRange(); range.selectNodeContents(e);"
        "return [e.textContent.trim(), range.getClientRects().length]; })"
    )
    for told, rows in lines:
        assert rows <= len(told.split()), told
