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


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.name.split(".")[0])
def test_marks_on_a_telephone_can_be_tapped_and_are_whole(opened: Open, spec: Path) -> None:
    page = opened(spec, width=390)
    rings = page.locator(".mark .ring").evaluate_all(
        "all => all.map(ring => { const r = ring.getBoundingClientRect(), f = ring.ownerSVGElement"
        ".getBoundingClientRect(); return [r.width, r.height, r.left - f.left, r.top - f.top, f.right - r.right]; })"
    )
    for width, height, *inside in rings:
        assert min(width, height) >= 23.0  # 24 px from one to the next, and a gap between them
        assert min(inside) >= -1
    middles = page.locator(".mark .ring").evaluate_all(
        "all => all.map(ring => { const r = ring.getBoundingClientRect(); return [r.left + r.width / 2, "
        "r.top + r.height / 2]; })"
    )
    assert all(np.hypot(a - c, b - d) >= 24.0 for a, b in middles for c, d in middles if (a, b) != (c, d))


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
    for number, by in ((1, ".to-mark"), (12, ".to-mark"), (12, ".pose"), (30, ".to-mark")):
        page.locator(f"#item-{number} {by}").click()
        page.wait_for_timeout(900)
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
