"""The report as whoever does not see it comes by it: what a browser hands to a screen reader, from top to bottom."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import pytest
from reports import inspected

from buildcheck.output import words
from buildcheck.output.items import items
from buildcheck.output.report.work import work
from buildcheck.spec.quantity import Dimension

if TYPE_CHECKING:
    from playwright.sync_api import Page

Open = Callable[..., "Page"]
EXAMPLES = Path(__file__).parents[2] / "examples"
FAULTS = EXAMPLES / "tamarack" / "proposal-with-faults.buildcheck.yaml"
MINIMAL = EXAMPLES / "minimal.buildcheck.yaml"
LANDMARKS = ("banner", "navigation", "main", "region", "search", "form", "complementary", "contentinfo")
CONTROLS = ("link", "button", "slider", "combobox", "searchbox", "textbox", "DisclosureTriangle")


class Node(NamedTuple):
    """Something that is read out: what it is, its name, and what it lies in."""

    role: str
    name: str
    within: tuple[str, ...]


def read(page: Page) -> list[Node]:
    """All that a screen reader is told, in the order in which it is read."""
    nodes = page.context.new_cdp_session(page).send("Accessibility.getFullAXTree")["nodes"]
    by_number = {node["nodeId"]: node for node in nodes}

    def told(node: Any, within: tuple[str, ...]) -> Iterator[Node]:
        role, name = (str(node.get(key, {}).get("value", "")) for key in ("role", "name"))
        if not node.get("ignored"):
            yield Node(role, " ".join(name.split()), within)
            within = (*within, role)
        for number in node.get("childIds", []):
            if number in by_number:
                yield from told(by_number[number], within)

    return list(told(nodes[0], ()))


@pytest.mark.parametrize("width", [390, 1400])
def test_landmarks_and_headings_come_in_the_order_of_the_sheet(opened: Open, width: int) -> None:
    told = [(node.role, node.name) for node in read(opened(width=width)) if node.role in (*LANDMARKS, "heading")]
    areas = subheadings(opened(width=width), "#within")
    assert len(areas) > 5
    assert told == [
        ("banner", ""),
        ("heading", "Tamarack rev. B, with faults"),
        ("navigation", "Parts of the report"),
        ("main", ""),
        ("region", "Work order"),
        ("heading", "Work order"),
        ("heading", "Left to decide"),
        ("region", "Cautions"),
        ("heading", "Cautions"),
        *([("heading", "Cycle it")] if width > 999 else []),
        ("region", "The drawing"),
        ("heading", "The drawing"),
        ("heading", "Item list (and the view that shows each)"),
        ("region", "Travel ladder"),
        ("heading", "Travel ladder"),
        ("region", "What the geometry does"),
        ("heading", "What the geometry does"),
        *(("heading", name) for name in ("S from the left", "F from the front", "T from above")),
        ("region", "Build sheet"),
        ("heading", "Build sheet"),
        ("region", "Over the travel"),
        ("heading", "Over the travel"),
        ("search", "Filter the readings, in all the tables below"),
        ("region", "Findings: to put right and to look at"),
        ("heading", "Findings: to put right and to look at"),
        ("region", "Waivers"),
        ("heading", "Waivers"),
        ("region", "Within limits"),
        ("heading", "Within limits"),
        *(("heading", area) for area in areas),
        ("region", "Does not apply, and why"),
        ("heading", "Does not apply, and why"),
        ("region", "Not checked, and why"),
        ("heading", "Not checked, and why"),
        *(("heading", heading) for heading in subheadings(opened(width=width), "#unchecked")),
        ("region", "Sign-off"),
        ("heading", "Sign-off"),
        ("contentinfo", ""),
    ]


def subheadings(page: Page, within: str) -> list[str]:
    return page.locator(f"{within} h3").all_inner_texts()


def test_every_control_says_what_it_does_and_no_two_say_the_same(opened: Open) -> None:
    controls = [(node.role, node.name) for node in read(opened()) if node.role in CONTROLS]
    assert all(name for _, name in controls)
    # One pose may be the worst of several readings: its buttons say the same, and do the same.
    poses = [name for _, name in controls if name.startswith("Show its pose : ")]
    # So do the links of findings that one change is for.
    changes = [name for _, name in controls if re.fullmatch(r"Change \d+", name)]
    other = [each for each in controls if each[1] not in poses and each[1] not in changes]
    assert sorted(other) == sorted([*set(other), ("link", "Sign-off")])  # from the card, and from the list of parts
    assert len(set(poses)) > 5


def test_the_drawing_is_told_by_its_dimensions_and_changes_and_not_line_by_line(opened: Open) -> None:
    page, spec = opened(), inspected(FAULTS)
    told = read(page)
    assert not [node for node in told if node.role.startswith("graphics")]
    views = [node.name for node in told if node.role == "group" and node.name.startswith("View ")]
    assert [name.partition(":")[0] for name in views] == [
        "View S, from the left", "View F, from the front", "View T, from above",
    ]  # fmt: skip
    tracks = [node.name for node in told if node.role == "image" and node.name.startswith("track: ")]
    assert tracks == [f"track: {words.amount(spec.build.vehicle.track, Dimension.LENGTH, spec.build.units, 2)}"]
    for line in work(spec, items(spec)).lines:
        name = f"Change {line.number}, {'to put right' if line.error else 'to look at'}: {line.says}"
        assert [node.role for node in told if node.name == " ".join(name.split())] == ["link"]
    numbers = [int(found[1]) for node in told if (found := re.match(r"Change (\d+), .*", node.name))]
    by_view = [view.locator(".mark").count() for view in page.locator("svg[data-view]").all()]
    start = 0
    for count in by_view:
        assert numbers[start : start + count] == sorted(numbers[start : start + count])
        start += count


@pytest.mark.parametrize("spec", [FAULTS, MINIMAL], ids=["faults", "minimal"])
@pytest.mark.parametrize("width", [390, 1400])
def test_tables_are_tables_with_a_name_and_heads(opened: Open, spec: Path, width: int) -> None:
    told = read(opened(spec, width=width))
    tables = [node for node in told if node.role == "table"]
    assert len(tables) >= 4
    assert all(node.name for node in tables)
    heads = [node for node in told if node.role in ("columnheader", "rowheader")]
    assert heads
    assert all(node.name and "table" in node.within for node in heads)
    # A row is called by what was read, not by all that stands in its first cell.
    assert not [node.name for node in heads if "Show its pose" in node.name or "On the drawing" in node.name]


LIVE = (
    "[...document.querySelectorAll('[aria-live], output, [role=status]')].map(e => [e.id, e.getAttribute('aria-live')])"
)
COVERED = """() => {
    const mark = document.activeElement, slides = document.querySelector('.cycle').getBoundingClientRect();
    const ring = (mark.querySelector('.ring') || mark).getBoundingClientRect();
    return ring.top < slides.bottom && ring.bottom > slides.top;
}"""


def test_what_moves_is_told_once_and_not_while_it_plays(opened: Open) -> None:
    page = opened()
    assert sorted(map(tuple, page.evaluate(LIVE))) == [
        ("filter-count", None),
        ("pose-words", "polite"),
    ]
    play = page.locator('.play[data-slide="travel"]')
    play.click()
    assert page.locator("#pose-words").get_attribute("aria-live") == "off"
    play.click()
    assert page.locator("#pose-words").get_attribute("aria-live") == "polite"


@pytest.mark.parametrize("width", [390, 1400])
def test_a_mark_that_takes_the_focus_is_not_under_the_slides(opened: Open, width: int) -> None:
    page = opened(width=width, reduced_motion="reduce")
    for line in work(inspected(FAULTS), items(inspected(FAULTS))).lines:
        mark = page.locator(f"#mark-{line.number}")
        mark.evaluate("mark => window.scrollBy({top: mark.getBoundingClientRect().top - 8, behavior: 'instant'})")
        mark.focus()
        assert page.locator(".cycle").is_visible()
        assert not page.evaluate(COVERED), line.number
