"""Sheets on paper: their size, what is on each, letters that can be read at arm's length, and boxes that can be written
in."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from called import called

import buildcheck
from buildcheck.checks.inspection import inspect
from buildcheck.job import Job
from buildcheck.plugins.loading import collect
from buildcheck.shop.needs import needs

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

EXAMPLES = Path(__file__).parents[2] / "examples"
TAMARACK = EXAMPLES / "tamarack" / "proposal.buildcheck.yaml"
METRIC = EXAMPLES / "three-link-metric.buildcheck.yaml"
KINDS = ("measure", "cut", "order", "torque", "follow-up")


@pytest.fixture
def sheet(browser: Browser, tmp_path: Path) -> Iterator[Any]:
    """Opens a sheet in a window of its own."""
    context = browser.new_context(viewport={"width": 1056, "height": 816})

    def opened(spec: Path, kind: str) -> Page:
        file = tmp_path / f"{kind}.html"
        assert called("sheet", spec, "--kind", kind, "--stage", "tacked", "--to", file).returncode == 0
        page = context.new_page()
        page.goto(file.as_uri())
        return page

    yield opened
    context.close()


def printed(page: Page) -> list[Any]:
    from pypdf import PdfReader

    return list(PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(("spec", "size"), [(TAMARACK, (792, 612)), (METRIC, (842, 595))], ids=["letter", "a4"])
def test_each_sheet_says_which_it_is(sheet: Any, kind: str, spec: Path, size: tuple[int, int]) -> None:
    pages = printed(sheet(spec, kind))
    name = {TAMARACK: "Tamarack, revision B", METRIC: "Fulmar, revision A"}[spec]
    assert 1 <= len(pages) <= 20
    for number, each in enumerate(pages, start=1):
        assert (round(each.mediabox.width), round(each.mediabox.height)) == pytest.approx(size, abs=1)
        told = each.extract_text()
        assert f"Sheet {number} of {len(pages)}" in told
        assert name in told
        assert len(told) > 150, "no sheet is left for a line or two"


@pytest.mark.parametrize("spec", [TAMARACK, METRIC], ids=["letter", "a4"])
def test_everything_that_is_asked_for_is_on_paper(sheet: Any, spec: Path) -> None:
    build = buildcheck.read(spec).build
    asked = needs(
        Job(build), inspect(build, collect().rules, stage=buildcheck.Stage.TACKED, changes=False, all_missing=True)
    )
    whole = "".join("".join(each.extract_text() for each in printed(sheet(spec, "measure"))).split())
    assert len(asked) > 30
    for need in asked:
        assert need.path in whole or need.path.rpartition(".")[0] in whole, need.path
    for caution in ("firewatch", "cutorpunctured", "qualifiedwelder", "Localcodes,inspectionandlicensedpractice"):
        assert caution in whole


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_is_printed_smaller_than_nine_points(sheet: Any, kind: str) -> None:
    sizes: dict[float, str] = {}

    def measure(text: str, matrix: Any, text_matrix: Any, font: Any, size: float) -> None:
        if text.strip():
            scale = np.hypot(*text_matrix[2:4]) * np.hypot(*matrix[2:4])
            sizes.setdefault(round(float(size * scale), 2), text.strip())

    for each in printed(sheet(TAMARACK, kind)):
        each.extract_text(visitor_text=measure)
    assert min(sizes) >= 9.0, sizes[min(sizes)]
    assert max(sizes) >= 20.0


@pytest.mark.parametrize("kind", ["measure", "torque"])
def test_each_place_is_marked_on_a_drawing_that_is_seen(sheet: Any, kind: str) -> None:
    page = sheet(TAMARACK, kind)
    drawings = page.locator(".where svg").evaluate_all(
        """all => all.map(svg => {
            const frame = svg.getBoundingClientRect(), truck = svg.querySelector("use").getBoundingClientRect();
            const inside = box => box.left >= frame.left - 1 && box.right <= frame.right + 1
                && box.top >= frame.top - 1 && box.bottom <= frame.bottom + 1;
            const rings = [...svg.querySelectorAll(".mark")].map(ring => ring.getBoundingClientRect());
            return {wide: truck.width / frame.width, high: truck.height / frame.height, truck: inside(truck),
                rings: rings.length, marked: rings.every(ring => inside(ring) && ring.width > 4)};
        })"""
    )
    assert len(drawings) > 20
    for each in drawings:
        assert max(each["wide"], each["high"]) > 0.7, "the drawing fills its frame"
        assert each["truck"]
        assert each["rings"]
        assert each["marked"]


def test_boxes_are_large_enough_to_write_in(sheet: Any) -> None:
    page = sheet(TAMARACK, "measure")
    page.emulate_media(media="print")
    boxes = [each.bounding_box() for each in page.locator(".box").all()]
    assert len(boxes) > 30
    millimetre = 96 / 25.4
    assert min(box["height"] for box in boxes) >= 10 * millimetre
    assert min(box["width"] for box in boxes) >= 24 * millimetre
    ticks = [each.bounding_box() for each in page.locator(".tick").all()]
    assert min(tick["width"] for tick in ticks) >= 6 * millimetre
    wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert wide <= 0, "nothing is cut off at the right"
