"""The report on paper: its sheets, the title block on each, and letters that can be read."""

from __future__ import annotations

import base64
import io
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from reports import inspected

from buildcheck.output import words
from buildcheck.output.items import items

if TYPE_CHECKING:
    from playwright.sync_api import Page

Open = Callable[..., "Page"]
EXAMPLES = Path(__file__).parents[2] / "examples"
FAULTS = EXAMPLES / "tamarack" / "proposal-with-faults.buildcheck.yaml"
SPECS = sorted(EXAMPLES.glob("**/*.buildcheck.yaml"))


@pytest.mark.parametrize("paper", ["Letter", "A4"])
def test_it_prints_in_sheets_with_a_title_block_on_each(opened: Open, paper: str) -> None:
    from pypdf import PdfReader

    page, spec = opened(), inspected(FAULTS)
    page.locator("#filter-verdict").select_option("warning")  # paper holds the whole record all the same
    printed = PdfReader(io.BytesIO(page.pdf(format=paper, landscape=True, prefer_css_page_size=False)))
    sheets = [sheet.extract_text() for sheet in printed.pages]
    assert 8 <= len(sheets) <= 70  # some 45 are for the 1,300 readings within limits
    size = {"Letter": (792, 612), "A4": (842, 595)}[paper]
    for number, (sheet, told) in enumerate(zip(printed.pages, sheets, strict=True), start=1):
        assert (round(sheet.mediabox.width), round(sheet.mediabox.height)) == pytest.approx(size, abs=1)
        assert f"Sheet {number} of {len(sheets)}" in told
        views = [view for view in ("from the front, 1 :", "from the left, 1 :", "from above, 1 :") if view in told]
        assert len(views) in (0, 3)  # all three on one sheet
        # The sheet of the drawing has its own title block, as a drawing has.
        block = ("Tamarack", "B, with faults", "an invented shop", "2026-03-14", "proposal") if views else (
            "Title: Tamarack", "Revision: B, with faults", "Owner: an invented shop", "Date: 2026-03-14",
            "Status: proposal",
        )  # fmt: skip
        for field in block:
            assert field in told
        assert ("Third-angle" in told and "1 : 30" in told) == bool(views)
        assert len(told) > 400  # no sheet is left for a line or two
    whole = " ".join(" ".join(sheets).split())
    for heading in (
        "Sign-off",
        "Travel ladder",
        "What the geometry does",
        "Work order",
        "Findings: to put right and to look at",
        "Within limits",
        "Not checked, and why",
    ):
        assert heading in whole
    for item in items(spec):
        assert words.measured(item.reading, spec.build.units).value in whole
    assert "Show its pose" not in whole


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.name.split(".")[0])
def test_nothing_is_printed_smaller_than_seven_points(opened: Open, spec: Path) -> None:
    from pypdf import PdfReader

    printed = PdfReader(io.BytesIO(opened(spec).pdf(format="Letter", landscape=True, prefer_css_page_size=False)))
    sizes: dict[float, str] = {}

    def measure(text: str, matrix: Any, text_matrix: Any, font: Any, size: float) -> None:
        if text.strip():
            scale = np.hypot(*text_matrix[2:4]) * np.hypot(*matrix[2:4])
            sizes.setdefault(round(float(size * scale), 2), text.strip())

    for sheet in printed.pages:
        sheet.extract_text(visitor_text=measure)
    assert len(sizes) > 3
    assert min(sizes) >= 6.99, sizes[min(sizes)]


INK = """async data => {
  const image = new Image();
  image.src = `data:image/png;base64,${data}`;
  await image.decode();
  const canvas = Object.assign(document.createElement('canvas'), { width: image.width, height: image.height });
  const context = canvas.getContext('2d');
  context.drawImage(image, 0, 0);
  const { data: dots } = context.getImageData(0, 0, image.width, image.height);
  let ink = 0;
  for (let at = 0; at < dots.length; at += 4) ink += 255 - (dots[at] + dots[at + 1] + dots[at + 2]) / 3;
  return ink / 255 / (dots.length / 4);
}"""


SHEET = {"width": 975, "height": 720}
"""Letter on its side less the margins, in pixels."""


@pytest.mark.parametrize("spec", [FAULTS, EXAMPLES / "tamarack" / "proposal.buildcheck.yaml"], ids=["faults", "sound"])
def test_no_sheet_is_heavy_with_ink(opened: Open, spec: Path) -> None:
    page = opened(spec, width=SHEET["width"])
    canvas = page.context.new_page()
    page.emulate_media(media="print")
    shares = []
    for number in range(10):
        clip: Any = {"x": 0, "y": number * SHEET["height"], **SHEET}
        taken = page.screenshot(full_page=True, clip=clip)
        shares.append(canvas.evaluate(INK, base64.b64encode(taken).decode()))
    assert 0.001 < min(shares) < max(shares) < 0.08
