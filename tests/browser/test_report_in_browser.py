"""The report in a real browser: what it runs, what it shows when it is moved, and whether everyone can use it."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from reports import inspected

from buildcheck.build import Side
from buildcheck.checks.limit import Verdict
from buildcheck.clearance.solids import Capsule
from buildcheck.job import Job
from buildcheck.job.layout import held_point
from buildcheck.job.named_quantity import Absent
from buildcheck.job.quantities import all_values
from buildcheck.job.steered_parts import Turned
from buildcheck.output import words
from buildcheck.output.items import items
from buildcheck.output.report.motion import motion
from buildcheck.output.report.work import Line, work
from buildcheck.spec.quantity import Dimension

if TYPE_CHECKING:
    from playwright.sync_api import Page

Open = Callable[..., "Page"]
EXAMPLES = Path(__file__).parents[2] / "examples"
FAULTS = EXAMPLES / "tamarack" / "proposal-with-faults.buildcheck.yaml"
SPECS = sorted(EXAMPLES.glob("**/*.buildcheck.yaml"))
AXE = Path(__file__).parent / "axe" / "axe.min.js"
# Half a tenth of a millimetre, to which points are handed on, and half of one more for the drawing's own rounding.
DRAWN = 0.11
HOSTILE = """\
format: 1
units: inch-pound
build:
  name: </script><script>document.title='run'</script><img src=x onerror=alert(1)>
  shop: "\\" onmouseover=alert(2) x='"
  revision: "{{ 7 * 7 }} </style><svg onload=alert(3)>"
  notes: "\\u05d0\\u05d1\\u05d2 ${alert(4)} <b>bold</b> ]]> <!-- -->"
vehicle: {wheelbase: 108, track: 63, tyre: {static_radius: 16.6}}
axle: {position: front, centre: [0, 0, 16.6]}
links:
  lower: {both: {kind: two-point, frame: [-36, 15, 19], axle: [0, 17, 14]}}
  upper: {both: {kind: two-point, frame: [-30, 12, 36], axle: [0, 14, 21]}}
lateral_bar: {frame: [5, 16, 22], axle: [5, -16, 20]}
travel: {bump: 4, droop: 4, articulation: 8}
"""


def numbers(path: str | None) -> np.ndarray[Any, np.dtype[np.float64]]:
    return np.array([float(each) for each in re.findall(r"-?[\d.]+", path or "")])


def all_numbers(page: Page) -> dict[str, str]:
    """The numbers that follow the pose, by the name of their quantity."""
    found: dict[str, str] = page.locator("#numbers [data-name]").evaluate_all(
        "all => Object.fromEntries(all.map(each => [each.dataset.name, each.textContent]))"
    )
    return found


def type_into(page: Page, name: str, text: str) -> None:
    page.locator(f"#at-{name}").fill(text)
    page.locator(f"#at-{name}").press("Enter")


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.name.split(".")[0])
@pytest.mark.parametrize("width", [390, 1400])
def test_it_loads_in_silence_and_without_sideways_scrolling(
    opened: Open, told: list[str], spec: Path, width: int
) -> None:
    page = opened(spec, width=width)
    assert page.evaluate("document.documentElement.scrollWidth") == width
    assert page.locator("h1").count() == 1
    assert told == []


def test_the_script_draws_at_ride_height_what_the_page_holds_without_it(opened: Open) -> None:
    def paths(page: Page) -> list[tuple[str, str]]:
        return [
            (path.get_attribute("data-member") or "", path.get_attribute("d") or "")
            for path in page.locator("path[data-member]").all()
        ]

    still, moving = paths(opened(java_script_enabled=False)), paths(opened())
    assert [name for name, _ in still] == [name for name, _ in moving]
    assert len(still) > 90
    for (_, before), (_, after) in zip(still, moving, strict=True):
        assert re.sub(r"-?[\d.]+", "", before) == re.sub(r"-?[\d.]+", "", after)
        np.testing.assert_allclose(numbers(after), numbers(before), atol=DRAWN)


def test_dragging_the_slides_moves_points_and_numbers_as_the_tool_solves_them(opened: Open) -> None:
    page, spec = opened(), inspected(FAULTS)
    page.locator(".cycle").scroll_into_view_if_needed()
    for name, share in (("travel", 1.0), ("articulation", 0.0), ("lock", 1.0)):
        box = page.locator(f"#slide-{name}").bounding_box()
        assert box is not None
        middle = box["y"] + box["height"] / 2
        page.mouse.move(box["x"] + box["width"] / 2, middle)
        page.mouse.down()
        page.mouse.move(box["x"] + box["width"] * share + (2 * share - 1) * 20, middle, steps=5)
        page.mouse.up()
    build = spec.build
    travel, lock = build.travel, build.steering.lock_angle
    moving = Job(build).moved(np.array([travel.bump]), np.array([-travel.articulation]), lock)
    drawn = motion(Job(build), spec.readings).drawing
    members = {member.label: number for number, member in enumerate(drawn.members)}
    side = page.locator(".view-side")

    def end_of(label: str) -> np.ndarray[Any, np.dtype[np.float64]]:
        return numbers(side.locator(f'path[data-member="{members[label]}"]').get_attribute("d"))

    # A tube is drawn as two edges: the middle of its four corners at either end is its own.
    arm = end_of("left arm")
    expected = moving.point(held_point(build.links["arm"][Side.LEFT]))[:, 0] * 1000
    corners = np.array([arm[2:4], arm[9:11]])
    np.testing.assert_allclose(corners.mean(axis=0), [-expected[0], -expected[2]], atol=DRAWN)
    steering_arm = end_of("steering arm")
    turned = moving.knuckle.arm_end[:, 0] * 1000
    np.testing.assert_allclose(steering_arm[2:4], [-turned[0], -turned[2]], atol=DRAWN)

    shown = all_numbers(page)
    system = build.units
    assert shown["caster"] == words.number(build.axle.caster - moving.pitch[0], Dimension.ANGLE, system)
    assert shown["steer"] == words.number(moving.knuckle.steer[0], Dimension.ANGLE, system)
    assert shown["roll-centre-height"] == words.number(moving.handling.roll_centre.height[0], Dimension.LENGTH, system)
    coilover = build.coilovers["coilover"][Side.LEFT]
    assert shown["left-coilover-length"] == words.number(moving.length(coilover)[0], Dimension.LENGTH, system)
    assert page.locator("#at-travel").input_value() == words.number(travel.bump, Dimension.LENGTH, system)
    bump = words.amount(travel.bump, Dimension.LENGTH, system)
    assert page.locator("#slide-travel").get_attribute("aria-valuetext") == bump
    told = page.locator("#pose-words").inner_text()
    assert f"right side {words.amount(travel.articulation, Dimension.ANGLE, system)} up" in told
    assert told.endswith(f"wheels {words.amount(lock, Dimension.ANGLE, system)} to the left")


def test_the_keyboard_moves_it_and_one_press_brings_it_back(opened: Open) -> None:
    page = opened()
    ride = page.locator("path[data-member]").first.get_attribute("d")
    page.locator("#slide-travel").focus()
    page.keyboard.press("End")
    assert page.locator("#at-travel").input_value() == "5.000"
    page.keyboard.press("ArrowLeft")
    small = float(page.locator("#at-travel").input_value())
    assert 4.85 <= small < 5.0  # a step is small
    assert page.locator("#pose-words").inner_text() == f"with the axle {small:.2f} in up"
    page.locator("#to-ride").focus()
    page.keyboard.press("Enter")
    assert page.locator("#pose-words").inner_text() == "at ride height"
    assert page.locator("path[data-member]").first.get_attribute("d") == ride


def test_it_plays_and_stops(opened: Open) -> None:
    page = opened()
    play = page.locator('.play[data-slide="travel"]')
    play.click()
    assert play.get_attribute("aria-pressed") == "true"
    began = page.locator("#slide-travel").input_value()
    page.wait_for_timeout(400)
    assert float(page.locator("#slide-travel").input_value()) > float(began)
    play.click()
    assert play.get_attribute("aria-pressed") == "false"
    stands = page.locator("#slide-travel").input_value()
    page.wait_for_timeout(300)
    assert page.locator("#slide-travel").input_value() == stands


def test_with_motion_reduced_each_press_is_one_position(opened: Open) -> None:
    page = opened(reduced_motion="reduce")
    play = page.locator('.play[data-slide="travel"]')
    before = float(page.locator("#slide-travel").input_value())
    play.click()
    page.wait_for_timeout(300)
    after = float(page.locator("#slide-travel").input_value())
    assert after == pytest.approx(before + 11 / 24)  # of 11 in of travel
    assert play.get_attribute("aria-pressed") == "false"
    assert page.evaluate("getComputedStyle(document.documentElement).scrollBehavior") == "auto"


def test_changes_findings_and_marks_lead_to_each_other_and_back_leads_back(opened: Open) -> None:
    page, spec = opened(), inspected(FAULTS)
    lines = work(spec, items(spec)).lines
    assert len(lines) > 15
    for line in lines:
        assert page.locator(f"[id='mark-{line.number}'][href='#change-{line.number}']").count() == 1
        assert page.locator(f"#change-{line.number} a[href='#mark-{line.number}']").count() == 1
        for item in line.items:
            assert page.locator(f"#change-{line.number} a[href='#item-{item.number}']").count() == 1
            assert page.locator(f"#item-{item.number} a[href='#change-{line.number}']").count() == 1
    here = "location.hash + ' ' + document.activeElement.id"
    line = on_the_drawing(page, lines)
    change, mark = f"change-{line.number}", f"mark-{line.number}"
    page.locator(f"#{mark} .ring").click()
    assert page.evaluate(here) == f"#{change} {change}"
    page.locator(f"#{change} .to-mark").click()
    assert page.evaluate(here) == f"#{mark} {mark}"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == change
    number = line.items[0].number
    page.locator(f"#{change} .chip").first.click()
    assert page.evaluate(here) == f"#item-{number} item-{number}"
    page.go_back()
    page.wait_for_function(f"location.hash === '#{change}'")


def on_the_drawing(page: Page, lines: Sequence[Line]) -> Line:
    """The first change with a mark on a view; a change of no place on it has its mark below."""
    return next(line for line in lines if page.locator(f"#mark-{line.number} .ring").count())


def test_the_worst_pose_is_one_press_away_and_exact(opened: Open) -> None:
    page, spec = opened(), inspected(FAULTS)
    # One that stands at no position of the slides, and beyond their ends.
    item = next(item for item in items(spec) if item.reading.pose and item.reading.pose.heave > spec.build.travel.bump)
    pose = item.reading.pose
    assert pose is not None
    page.locator(f"#item-{item.number} .pose").click()
    assert page.locator("#pose-words").inner_text() == words.pose(pose, spec.build.units)
    shown = all_numbers(page)
    moving = Job(spec.build).moved(np.array([pose.heave]), np.array([pose.roll]))
    assert shown["caster"] == words.number(spec.build.axle.caster - moving.pitch[0], Dimension.ANGLE, spec.build.units)


def test_the_pose_of_a_clash_at_half_lock_is_the_one_that_the_tool_found(opened: Open) -> None:
    page, spec = opened(), inspected(FAULTS)
    system, build = spec.build.units, spec.build
    gap = next(gap for gap in Job(build).gaps.of("drag link") if gap.second.name.endswith("crossmember"))
    item = next(
        item
        for item in items(spec)
        if item.reading.place.endswith("crossmember") and item.reading.quantity == "part-gap"
    )
    pose, at = item.reading.pose, gap.nearest.at
    assert pose == gap.smallest.pose
    assert pose is not None
    assert at is not None
    assert pose.lock == pytest.approx(build.steering.lock_angle / 2)
    page.locator(f"#item-{item.number} .pose").click()
    told = words.pose(pose, system)
    assert "wheels 13.00 deg to the left" in told
    assert page.locator("#pose-words").inner_text().startswith(told)
    # The lock stands between two positions of its slide, and the slide says it.
    slide = page.locator("#slide-lock")
    assert page.locator("#at-lock").input_value() == words.number(pose.lock, Dimension.ANGLE, system)
    assert float(slide.input_value()) == 13.0
    # The drag link is drawn from and to where the tool has it in that pose.
    (solid,) = gap.first.solids
    assert isinstance(solid, Capsule)
    numbered = {member.label: number for number, member in enumerate(motion(Job(build), spec.readings).drawing.members)}
    drawn = numbers(page.locator(f'.view-top path[data-member="{numbered["steering drag link"]}"]').get_attribute("d"))
    for corners, end in ((drawn[[0, 1, 11, 12]], solid.start), (drawn[[2, 3, 9, 10]], solid.end)):
        x, y, _ = 1000 * end[:, at[0], at[1]]
        np.testing.assert_allclose(corners.reshape(2, 2).mean(axis=0), [-x, y], atol=DRAWN)
    # The wheels are turned, and the number says how far.
    moving = Job(build).moved(np.array([pose.heave]), np.array([pose.roll]))
    turned = Turned(build, moving, np.array([0.5]))
    near = Side(build.steering.drag_link.knuckle)
    x, y, _ = turned.direction(np.array([0.0, 1.0, 0.0]), near)[:, 0, 0]
    shown = all_numbers(page)
    assert shown["steer"] == words.number(float(np.arctan2(-x, y)), Dimension.ANGLE, system)
    assert shown["caster"] == words.number(build.axle.caster - moving.pitch[0], Dimension.ANGLE, system)
    # Moved from there, the slide goes on from where it is.
    slide.focus()
    page.keyboard.press("ArrowRight")
    assert 13.0 < float(slide.input_value()) < 14.0


@pytest.mark.parametrize("spec", [FAULTS, EXAMPLES / "three-link-metric.buildcheck.yaml"], ids=["faults", "metric"])
def test_between_the_poses_of_the_grid_the_numbers_are_those_that_the_tool_solves(opened: Open, spec: Path) -> None:
    page, build = opened(spec), inspected(spec).build
    one = 25.4 if build.units.value == "inch-pound" else 1.0
    bump, droop = build.travel.bump * 1000 / one, build.travel.droop * 1000 / one
    exact = about = 0
    for up, tilt, turn in ((0.37 * bump, 3.3, 11.7), (-0.61 * droop, -5.1, -4.9), (0.91 * bump, 1.2, 0.0)):
        for name, value in zip(("travel", "articulation", "lock"), (up, tilt, turn), strict=True):
            type_into(page, name, f"{value:.4f}")
        moving = Job(build).moved(np.array([round(up, 4) * one / 1000]), np.radians([tilt]), math.radians(turn))
        shown = all_numbers(page)
        for each in all_values(moving):
            if isinstance(each, Absent) or each[0].name not in shown:
                continue
            quantity, (value,) = each
            text = shown[quantity.name]
            if text.startswith(("≈ ", "over ")):
                about += 1
                continue
            last = 10.0 ** -len(text.partition(".")[2])
            wanted = float(words.number(float(value), quantity.dimension, build.units, 9))
            assert float(text) == pytest.approx(wanted, abs=1.2 * last), quantity.name
            exact += 1
    assert exact > 3 * about > 0


@pytest.mark.parametrize(
    ("text", "held"),
    [("1.5", "1.500"), ("-1 1/2", "-1.500"), ("3/8 in", "0.375"), ("99", "5.000"), ("-99", "-6.000"), ("up", "0.000")],
)
def test_a_typed_number_moves_the_axle(opened: Open, text: str, held: str) -> None:
    page = opened()
    type_into(page, "travel", text)
    assert page.locator("#at-travel").input_value() == held
    assert float(page.locator("#slide-travel").input_value()) == pytest.approx(float(held), abs=1e-6)


def test_poses_that_the_stops_forbid_say_so(opened: Open) -> None:
    text = FAULTS.read_text(encoding="utf-8")
    stopped = re.sub("crushed_length: .*", "crushed_length: 3 in", text)
    assert stopped != text
    page, build = opened(stopped), inspected(stopped).build
    for roll, key in ((-build.travel.articulation, "Home"), (0.0, ""), (build.travel.articulation, "End")):
        page.locator("#to-ride").click()
        if key:
            page.locator("#slide-articulation").focus()
            page.keyboard.press(key)
        said = {}
        for heave, end in ((-build.travel.droop, "Home"), (build.travel.bump, "End")):
            page.locator("#slide-travel").focus()
            page.keyboard.press(end)
            moving = Job(build).moved(np.array([heave]), np.array([roll]))
            crushed = any(moving.stop_height(stop)[0] < stop.crushed_length for stop in build.bump_stops["stop"])
            said[crushed] = "past crushed" in (page.locator("#pose-list").text_content() or "")
            assert said[crushed] == crushed
        assert set(said) == ({False, True} if key else {False})


def test_filters_by_area_and_verdict_and_a_mark_lifts_them(opened: Open) -> None:
    page, spec = opened(), inspected(FAULTS)
    made = sum(not reading.failure for reading in spec.readings)
    assert page.locator("#filter-count").inner_text() == f"{made} of {made} readings shown"
    page.locator("#filter-area").select_option("links")
    page.locator("#filter-verdict").select_option("warning")
    shown = page.locator("[data-verdict]:visible")
    expected = [item for item in items(spec) if item.reading.area == "links" and item.reading.verdict == "warning"]
    readings = sum(2 if item.twin else 1 for item in expected)
    assert shown.count() == len(expected) > 0
    assert page.locator(".limit-head:visible").count() == 0
    assert page.locator("#filter-count").inner_text() == f"{readings} of {made} readings shown"
    hidden = next(item.number for item in items(spec) if item.reading.area != "links")
    page.locator(f".chip[href='#item-{hidden}']").click()
    page.locator(f"#item-{hidden}").wait_for(state="visible", timeout=5000)  # the page answers in its own time


def test_filters_reach_what_was_not_checked(opened: Open) -> None:
    spec = EXAMPLES / "minimal.buildcheck.yaml"
    page, readings = opened(spec), inspected(spec).with_verdict(Verdict.NOT_CHECKED)
    assert len(readings) > 20
    page.locator("#filter-verdict").select_option("not checked")
    assert page.locator("#filter-count").inner_text().startswith(f"{len(readings)} of ")
    assert page.locator("#within tr:visible").count() == 0
    assert page.locator("#within .no-fit").is_visible()
    page.locator("#filter-area").select_option("springs")
    springs = [reading for reading in readings if reading.area == "springs"]
    assert page.locator("#filter-count").inner_text().startswith(f"{len(springs)} of ")
    told = page.locator("#unchecked li[data-verdict]:visible")
    rules = {text.partition(" (")[0] for text in told.all_inner_texts()}
    assert rules == {reading.rule for reading in springs}
    assert all(row.locator("li:visible").count() for row in page.locator("#unchecked tbody tr:visible").all())
    page.locator("#filter-verdict").select_option("ok")
    assert page.locator("#unchecked .no-fit").is_visible()
    assert page.locator("#unchecked li[data-verdict]:visible").count() == 0


def test_words_are_sought_in_readings_in_their_limits_and_in_why_they_were_not_checked(opened: Open) -> None:
    page, spec = opened(), inspected(FAULTS)
    page.locator("#filter-words").fill("Right COILOVER")
    shown = page.locator("[data-verdict]:visible")
    assert shown.count() > 3
    for entry in shown.all():
        said = entry.evaluate("e => ((e.closest('details') || e.closest('tbody')).textContent).toLowerCase()")
        assert "right" in said
        assert "coilover" in said
    limit = next(reading.meaning for reading in spec.readings if reading.verdict == "ok" and reading.applies)
    page.locator("#filter-words").fill(limit)
    assert page.locator("details.limit tr[data-verdict]:visible").count() > 0
    page.locator("#filter-words").fill("no such words as these")
    assert shown.count() == 0
    assert page.locator("#filter-count").inner_text().startswith("0 of ")
    page = opened(EXAMPLES / "minimal.buildcheck.yaml")
    page.locator("#filter-words").fill("limit_straps is not in the spec")
    assert page.locator("#unchecked tbody tr:visible").count() == 1


def test_with_scripts_off_all_is_there_but_what_would_not_work(opened: Open, told: list[str]) -> None:
    page, spec = opened(java_script_enabled=False), inspected(FAULTS)
    page.evaluate("for (const each of document.querySelectorAll('details.limit')) each.open = true")
    counts = page.locator("[data-verdict]:visible").evaluate_all("all => all.map(e => +(e.dataset.count || 1))")
    assert sum(counts) == sum(not reading.failure for reading in spec.readings)
    assert page.locator("path[data-member]").count() > 90
    assert page.locator("#unchecked li[data-verdict]:visible").count() > 0
    assert page.locator("button:visible, input:visible, select:visible").count() == 0
    assert page.locator(".no-fit:visible").count() == 0
    line = on_the_drawing(page, work(spec, items(spec)).lines)
    page.locator(f"#mark-{line.number} .ring").click()
    assert page.url.endswith(f"#change-{line.number}")
    assert told == []


@pytest.mark.parametrize("width", [390, 1400])
@pytest.mark.parametrize("name", ["proposal-with-faults", "minimal"])
def test_axe_finds_no_serious_violation(opened: Open, width: int, name: str) -> None:
    page = opened(next(spec for spec in SPECS if spec.name.startswith(f"{name}.")), width=width)
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
    assert found["passes"]
    serious = [
        (each["id"], [node["target"] for node in each["nodes"]][:3])
        for each in found["violations"]
        if each["impact"] in ("serious", "critical")
    ]
    assert serious == []


@pytest.mark.parametrize("scripts", [True, False])
def test_hostile_text_runs_nothing_and_stands_as_it_was_written(opened: Open, told: list[str], scripts: bool) -> None:
    page = opened(HOSTILE, java_script_enabled=scripts)
    assert (
        "</script><script>document.title='run'</script><img src=x onerror=alert(1)>" in page.locator("h1").inner_text()
    )
    assert page.title().startswith("Inspection report: </script>")
    assert "{{ 7 * 7 }} </style><svg onload=alert(3)>" in page.locator("h1").inner_text()
    assert page.locator("img, b:text-is('bold'), svg[onload]").count() == 0
    assert page.locator("script").count() == 2
    page.wait_for_timeout(200)
    assert told == []


def test_the_policy_lets_no_other_script_run(opened: Open, told: list[str]) -> None:
    page = opened()
    page.evaluate(
        "() => { const added = document.createElement('script'); added.textContent = 'document.title = \"run\"';"
        " document.body.append(added); }"
    )
    page.evaluate("document.body.insertAdjacentHTML('beforeend', '<img src=x onerror=\"document.title=1\">')")
    page.wait_for_timeout(200)
    assert page.title().startswith("Inspection report: Tamarack")
    refused = [each for each in told if "Content Security Policy" in each]
    assert len(refused) >= 2
