"""The drawing of the report measured: on a screen against its scale bars, on paper against the scale that it states."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import pytest
from reports import inspected

from buildcheck.build import Build
from buildcheck.job import Job
from buildcheck.output.report.motion import Motion, motion
from buildcheck.spec.quantity import Dimension, System, parse

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page
    from pypdf import PageObject

Open = Callable[..., "Page"]
EXAMPLES = Path(__file__).parents[2] / "examples"
FAULTS = EXAMPLES / "tamarack" / "proposal-with-faults.buildcheck.yaml"
METRIC = EXAMPLES / "three-link-metric.buildcheck.yaml"
REAR = EXAMPLES / "four-link-rear.buildcheck.yaml"
SPECS = pytest.mark.parametrize("spec", [FAULTS, METRIC, REAR], ids=lambda spec: spec.name.split(".")[0])
POINT = 25.4 / 72
Place = tuple[float, float]


class Stroke(NamedTuple):
    """A straight line on paper, mm."""

    start: Place
    end: Place

    @property
    def length(self) -> float:
        return math.dist(self.start, self.end)

    @property
    def middle(self) -> Place:
        return (self.start[0] + self.end[0]) / 2, (self.start[1] + self.end[1]) / 2


def solved(spec: Path) -> tuple[Build, Motion]:
    found = inspected(spec)
    return found.build, motion(Job(found.build), found.readings)


def millimetres(text: str, system: System) -> float:
    return 1000 * parse(text.removeprefix("roll centre "), Dimension.LENGTH, system)


# Followed along its line: the box that a browser gives takes in the line's width, and more than an arc covers.
EXTENT = """path => {
    const way = path.getTotalLength(), to = path.getScreenCTM(), xs = [], ys = [];
    for (let at = 0; at <= 2000; at++) {
        const place = path.getPointAtLength(way * at / 2000).matrixTransform(to);
        xs.push(place.x);
        ys.push(place.y);
    }
    return [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
}"""


def size_of(drawn: Locator) -> tuple[float, float]:
    left, right, top, bottom = drawn.evaluate(EXTENT)
    return right - left, bottom - top


def middle_of(drawn: Locator) -> Place:
    left, right, top, bottom = drawn.evaluate(EXTENT)
    return (left + right) / 2, (top + bottom) / 2


def bar_of(page: Page, view: str, system: System) -> float:
    """Pixels for each millimetre of the truck, by the scale bar of a view."""
    text = page.locator(f".view-{view} .bar-text").text_content()
    assert text
    return size_of(page.locator(f".view-{view} .bar"))[0] / millimetres(text, system)


@SPECS
@pytest.mark.parametrize("width", [390, 1400])
def test_points_are_as_far_apart_on_the_screen_as_the_scale_bar_says(opened: Open, spec: Path, width: int) -> None:
    page, (build, found) = opened(spec, width=width), solved(spec)
    points = found.points_at(found.ride, found.straight)
    numbers = {member.label: number for number, member in enumerate(found.drawing.members)}

    def middle(label: str) -> list[float]:
        held = [points[number] for number in found.drawing.members[numbers[label]].points]
        return [1000 * sum(axis) / len(held) for axis in zip(*held, strict=True)]

    pairs = {
        "front": ("left tyre", "right tyre", (1, 2)),
        "top": ("left tyre", "right tyre", (0, 1)),
        "side": ("axle centre", "left bump stop target", (0, 2)),
    }
    scales = []
    for view, (first, second, axes) in pairs.items():
        drawn = [
            middle_of(page.locator(f'.view-{view} path[data-member="{numbers[label]}"]')) for label in (first, second)
        ]
        truck = math.dist(*([middle(label)[axis] for axis in axes] for label in (first, second)))
        scales.append(bar_of(page, view, build.units))
        assert math.dist(*drawn) == pytest.approx(truck * scales[-1], abs=0.3)
    if width == 1400:  # side by side, the three views are of one scale, so that points line up from view to view
        assert scales[0] == pytest.approx(scales[2], rel=0.01)
        assert scales[1] == pytest.approx(scales[2], rel=0.01)


@SPECS
def test_a_tyre_is_drawn_as_large_as_it_is_in_every_view(opened: Open, spec: Path) -> None:
    page, (build, found) = opened(spec), solved(spec)
    points = found.points_at(found.ride, found.straight)
    (number,) = [n for n, member in enumerate(found.drawing.members) if member.label == "left tyre"]
    outer, inner = (points[point] for point in found.drawing.members[number].points)
    for view, across, truck in (("side", 0, 0), ("side", 1, 2), ("front", 1, 2), ("top", 0, 0)):
        # A cylinder along an axis reaches as far as its two faces are apart, and as they are wide, each in its share.
        apart = abs(outer[truck] - inner[truck])
        wide = build.vehicle.tyre.diameter * math.sqrt(1 - (apart / math.dist(outer, inner)) ** 2)
        size = size_of(page.locator(f'.view-{view} path[data-member="{number}"]'))
        assert size[across] == pytest.approx(1000 * (apart + wide) * bar_of(page, view, build.units), abs=0.3)


def strokes_and_texts(sheet: PageObject) -> tuple[list[Stroke], list[tuple[str, Place]]]:
    strokes: list[Stroke] = []
    texts: list[tuple[str, Place]] = []
    pen: list[Place] = []

    def placed(matrix: Any, x: float, y: float) -> Place:
        return (
            (x * matrix[0] + y * matrix[2] + matrix[4]) * POINT,
            (x * matrix[1] + y * matrix[3] + matrix[5]) * POINT,
        )

    def draw(operator: bytes, operands: Any, matrix: Any, text_matrix: Any) -> None:
        if operator in (b"m", b"l"):
            here = placed(matrix, float(operands[0]), float(operands[1]))
            if operator == b"l":
                strokes.append(Stroke(pen[-1], here))
            pen[:] = [here]

    def write(text: str, matrix: Any, text_matrix: Any, font: Any, size: Any) -> None:
        if text.strip():
            texts.append((text.strip(), placed(matrix, text_matrix[4], text_matrix[5])))

    sheet.extract_text(visitor_operand_before=draw, visitor_text=write)
    return strokes, texts


def on_paper(page: Page, paper: str) -> Iterator[tuple[list[Stroke], list[tuple[str, Place]]]]:
    from pypdf import PdfReader

    printed = PdfReader(io.BytesIO(page.pdf(format=paper, landscape=True, prefer_css_page_size=False)))
    yield from (strokes_and_texts(sheet) for sheet in printed.pages[:6])


def reach_of(figure: str) -> float:
    """How far a figure may begin from the middle of its line on paper, mm: half of its own length, and what parts the
    two."""
    return max(10.0, 4.0 + 0.75 * len(figure))


@SPECS
@pytest.mark.parametrize("paper", ["Letter", "A4"])
def test_every_dimension_is_as_long_on_paper_as_its_figure_over_the_scale(opened: Open, spec: Path, paper: str) -> None:
    page, (build, _) = opened(spec), solved(spec)
    (stated,) = re.findall(r"Scale on paper\s+1 : (\d+)", page.locator(".title-block").inner_text())
    figures = [text or "" for text in page.locator(".dimension:not(.angular) text").all_text_contents()]
    bars = [text or "" for text in page.locator(".bar-text").all_text_contents()]
    assert len(figures) >= 6
    sheets = list(on_paper(page, paper))
    for figure in {*figures, *bars}:
        wanted = millimetres(figure, build.units) / int(stated)
        beside = [
            stroke.length
            for strokes, texts in sheets
            for text, place in texts
            if text == figure
            for stroke in strokes
            if math.dist(stroke.middle, place) < (22.0 if figure in bars else reach_of(figure))
        ]
        # A tenth of a millimetre, which is less than half the line is wide.
        assert any(length == pytest.approx(wanted, abs=0.1) for length in beside), (figure, wanted, sorted(beside))


@pytest.mark.parametrize("paper", ["Letter", "A4"])
def test_no_view_reaches_beyond_its_sheet_and_each_says_its_scale(opened: Open, paper: str) -> None:
    page = opened(FAULTS)
    size = {"Letter": (279.4, 215.9), "A4": (297.0, 210.0)}[paper]
    said = 0
    for strokes, texts in on_paper(page, paper):
        said += sum(text.endswith("1 : 30") for text, _ in texts)
        for stroke in strokes:
            for x, y in stroke:
                assert 5 < x < size[0] - 5
                assert 5 < y < size[1] - 5
    assert said == 4  # at each of the three views, and in the title block


# How high the letters of a figure come out, in pixels.
LETTERS = """texts => texts.map(text => {
    const to = text.getScreenCTM();
    return parseFloat(getComputedStyle(text).fontSize) * Math.hypot(to.a, to.b);
})"""


@SPECS
@pytest.mark.parametrize("width", [390, 1400])
def test_figures_and_letters_of_the_drawing_are_large_enough_to_read(opened: Open, spec: Path, width: int) -> None:
    page = opened(spec, width=width)
    sizes = page.locator(".dimension text, .flag, .mark text, .bar-text").evaluate_all(LETTERS)
    assert len(sizes) >= 12
    assert min(sizes) >= 10.5


@pytest.mark.parametrize("paper", ["Letter", "A4"])
def test_long_names_stay_on_the_sheet(opened: Open, paper: str) -> None:
    text = FAULTS.read_text(encoding="utf-8")
    text = text.replace("name: Tamarack", "name: " + "\u8eca" * 20 + " " + "Longname" * 12, 1)
    text = text.replace("shop: an invented shop", "shop: " + "\u05d0\u05d1" * 20 + "W" * 60, 1)
    page = opened(text, width=390)
    assert page.evaluate("document.documentElement.scrollWidth") == 390
    drawing = 0
    for _, texts in on_paper(page, paper):
        told = " ".join(text for text, _ in texts)
        drawn = all(
            each in told for each in ("from the front", "from the left", "from above", "Approved by", "projection")
        )
        assert drawn or re.search(r"Inspection report .*\u2026 .*Status: proposal", told)
        drawing += drawn
        for _, (_, y) in texts:
            assert y > (5 if drawn else 8)  # nothing is pushed below the block at the foot
    assert drawing == 1  # the three views and their title block on one sheet
