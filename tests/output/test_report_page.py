"""The page of the report: self-contained, closed to what is not its own, and whole."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections import Counter
from dataclasses import replace
from functools import cached_property
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from reports import inspected, report_of

from buildcheck.build import Build
from buildcheck.build.measured import as_measured
from buildcheck.checks.limit import Bounds, Verdict
from buildcheck.job import Job
from buildcheck.job.parts_list import parts_list
from buildcheck.output import parts_words, words
from buildcheck.output.items import items
from buildcheck.output.outcome import Inspected
from buildcheck.output.report import record
from buildcheck.output.report.build_sheet import build_sheet
from buildcheck.output.report.counting import kinds
from buildcheck.output.report.curves import KINDS, TOP, Panel, panels
from buildcheck.output.report.motion import Motion, motion
from buildcheck.output.report.page import page
from buildcheck.output.report.within_limits import passed

EXAMPLES = Path(__file__).parents[2] / "examples"
TAMARACK = EXAMPLES / "tamarack" / "proposal.buildcheck.yaml"
FAULTS = EXAMPLES / "tamarack" / "proposal-with-faults.buildcheck.yaml"
SPECS = sorted(EXAMPLES.glob("**/*.buildcheck.yaml"))
MEASURED = """\
  measured:
    - {stage: tacked, of: links.arm.left.frame, value: [-37, 15.25, 19.7], measured_on: "2026-03-20"}
    - {stage: tacked, of: lateral_bar.frame.z, value: 23, measured_on: "2026-03-20"}
    - {stage: tacked, of: axle.caster, value: 6.5 deg, measured_on: "2026-03-20"}
    - {stage: tacked, of: build.name, value: other, measured_on: "2026-03-20"}
"""


class Reader(HTMLParser):
    """The text of a page by element, and all attributes."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.attributes: list[tuple[str, str, str]] = []
        self.texts: dict[str, list[str]] = {}
        self.whole: list[str] = []
        self._open = ""
        self._elements: list[str] = []
        self._apart = True
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if ("class", "q") in attrs:  # holds an amount together and is no part of the text
            self._elements.append("q")
            return
        if tag == "span":
            self._elements.append(tag)
        self._apart, self._open = True, tag
        self.attributes += [(tag, name, value or "") for name, value in attrs]
        self.texts.setdefault(tag, []).append("")

    def handle_data(self, data: str) -> None:
        if self._open in self.texts:
            self.texts[self._open][-1] += data
        if self._open not in ("script", "style"):
            if self._apart or not self.whole:
                self.whole.append("")
            self.whole[-1] += data
            self._apart = False

    def handle_endtag(self, tag: str) -> None:
        self._apart = not (tag == "span" and self._elements and self._elements.pop() == "q")

    @cached_property
    def told(self) -> str:
        return " ".join(" ".join(self.whole).split())


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.name.split(".")[0])
def test_it_asks_for_nothing_from_elsewhere_and_is_small(spec: Path) -> None:
    page = report_of(spec)
    reader = Reader(page)
    assert len(page.encode()) < 3_000_000
    assert {name for _, name, _ in reader.attributes} & {"src", "srcset", "style", "action"} == set()
    assert not [name for _, name, _ in reader.attributes if name.startswith("on")]
    links = {value for tag, name, value in reader.attributes if name == "href"}
    assert links
    assert all(link.startswith("#") for link in links)
    named = {value for _, name, value in reader.attributes if name == "id"}
    assert {link[1:] for link in links} <= named
    assert len(named) == sum(name == "id" for _, name, _ in reader.attributes)


def test_its_policy_names_its_own_script_and_style_alone() -> None:
    page = report_of(TAMARACK)
    (policy,) = [
        value for tag, name, value in Reader(page).attributes if (tag, name) == ("meta", "content") and "-src" in value
    ]
    style = re.search("<style>(.*?)</style>", page, re.DOTALL)
    script = re.search("<script>(.*?)</script>", page, re.DOTALL)
    assert style
    assert script
    own = {
        kind: "sha256-" + base64.b64encode(hashlib.sha256(found[1].encode()).digest()).decode()
        for kind, found in (("style", style), ("script", script))
    }
    assert policy == (
        f"default-src 'none'; style-src '{own['style']}'; script-src '{own['script']}'; base-uri 'none'; "
        "form-action 'none'"
    )


def test_it_holds_every_reading_with_its_numbers() -> None:
    spec = inspected(FAULTS)
    reader = Reader(report_of(FAULTS))
    rows = [value for tag, name, value in reader.attributes if (tag, name) == ("tr", "data-verdict")]
    shown = [item.reading.verdict.value for item in items(spec)]
    assert rows[: len(items(spec))] == shown
    assert counted(reader) == Counter(
        each.verdict.value if each.applies else "does not apply" for each in spec.readings if not each.failure
    )
    for reading in spec.readings:
        assert words.measured(reading, spec.build.units).value in reader.told
        assert words.basis(reading) in reader.told
    for item in items(spec):
        assert item.reading.cure is not None
        assert words.change(item.reading.cure, spec.build.units) in reader.told


def counted(reader: Reader) -> Counter[str]:
    """The readings of each verdict by the rows that tell them; a row may tell several."""
    found: Counter[str] = Counter()
    last = ""
    for _, name, value in reader.attributes:
        if name == "data-verdict":
            last = value
            found[last] += 1
        elif name == "data-count":
            found[last] += int(value) - 1
    return found


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.name.split(".")[0])
def test_counts_agree_and_add_up(spec: Path) -> None:
    found, told = inspected(spec), Reader(report_of(spec)).told
    made = kinds(found, items(found))
    assert sum(kind.readings for kind in made) == len(found.readings)
    assert f"{len(found.readings)} readings in all: " in told
    for kind in made:
        if kind.readings:
            assert kind.in_words in told
        if kind.stamp:
            assert f"{kind.number} {kind.says}" in told
    for verdict in (Verdict.ERROR, Verdict.WARNING):
        number = len(found.with_verdict(verdict))
        if number:
            of_them = f"{number} {verdict}{'' if number == 1 else 's'}"
            assert f"{of_them}, neither fixed nor waived" in told  # the sign-off


def test_no_two_rows_of_what_is_within_limits_say_the_same() -> None:
    for spec in SPECS:
        found = inspected(spec)
        groups = passed(found, motion(Job(found.build), found.readings))
        limits = [limit for group in groups for limit in group["limits"]]
        assert sum(row["count"] for limit in limits for row in limit["rows"]) == len(found.with_verdict(Verdict.OK))
        for limit in limits:
            shown = [(row["subject"], row["which"], row["found"], row["margin"]) for row in limit["rows"]]
            assert len(set(shown)) == len(shown), (limit["meaning"], shown)
    found = inspected(FAULTS)
    rows = [
        row
        for group in passed(found, motion(Job(found.build), found.readings))
        for limit in group["limits"]
        for row in limit["rows"]
    ]
    assert {("right arm, upper axle joint", "", ""), ("right arm, lower axle joint", "", "")} <= {
        (row["subject"], row["which"], row["times"]) for row in rows
    }
    assert ("axle tube", "", "twice") in {(row["subject"], row["which"], row["times"]) for row in rows}


def test_what_does_not_apply_has_a_place_of_its_own_and_is_no_pass() -> None:
    spec, told = inspected(FAULTS), Reader(report_of(FAULTS)).told
    away = [reading for reading in spec.readings if not reading.applies]
    assert away
    _, after = told.split("Does not apply, and why")
    own, _ = after.split("Not checked, and why")
    for reading in away:
        assert reading.reason in own
    lone = "format: 1\nunits: metric\naxle: {position: rear, centre: [0, 0, 400]}\n"
    assert inspected(lone).status == 4
    assert "Nothing. But nothing was checked either." in Reader(report_of(lone)).told


def test_how_sure_has_a_column_where_shown_and_exact_values_say_so() -> None:
    spec = inspected(FAULTS)
    assert "Known to, plus or minus" not in Reader(report_of(FAULTS)).told
    readings = tuple(
        each._replace(plus_or_minus=0.0 if number % 2 else 1e9) if each.value is not None else each
        for number, each in enumerate(spec.readings)
    )
    sure = Inspected(spec.file, spec.document, spec.build, spec.inspection._replace(readings=readings))
    told = Reader(page(sure, "1")).told
    assert "Known to, plus or minus" in told
    assert "as written" in told
    near = [each for each in sure.with_verdict(Verdict.OK) if each.too_near_to_tell]
    assert f"{len(near)} readings too near to a limit to be sure" in told
    assert f"{near[0].subject}, {near[0].meaning} ({near[0].place}, line " in told


def test_places_have_a_line_and_not_the_path_of_the_file() -> None:
    build = FAULTS.read_text(encoding="utf-8")
    spec = inspected(build)
    named = Inspected("/some/where/else.yaml", spec.document, spec.build, spec.inspection)
    told = page(named, "1")
    assert told.count("/some/where") == 1  # once, at the foot of the page
    assert re.search(r", line \d+", told)


def test_the_build_sheet_has_every_part_of_the_parts_list_with_its_length() -> None:
    spec, told = inspected(FAULTS), Reader(report_of(FAULTS)).told
    listed = parts_list(spec.build)
    assert len(listed.parts) > 10
    for row in parts_words.rows(listed):
        assert row.name in told
        for span in row.part.spans:
            assert parts_words.span(span, spec.build.units) in told
        for name, said in parts_words.pieces(row.part, spec.build.units):
            assert f"{name}: {said}" in told
    assert build_sheet(inspected("format: 1\nunits: metric\n").build).rows == ()


def test_it_says_what_was_not_checked_and_why() -> None:
    told = Reader(report_of(EXAMPLES / "minimal.buildcheck.yaml")).told
    assert "travel is not in the spec; it needs bump, droop and articulation " in told
    assert "The spec states no travel, so the drawing stays at ride height." in told
    assert "No reading is waived." in told


def test_a_waived_reading_names_who_accepted_it() -> None:
    spec = TAMARACK.read_text(encoding="utf-8") + (
        "waivers:\n  - {rule: link-flatness, place: links.arm.both.frame, reason: 'room <for> the sump', who: J. Doe, "
        "date: '2026-03-14', until_stage: tacked}\n"
    )
    (waived,) = [reading for reading in inspected(spec).readings if reading.verdict == "waived"]
    told = Reader(report_of(spec)).told
    assert waived.meaning in told
    assert "room <for> the sump" in told
    assert "J. Doe, 2026-03-14" in told


def test_the_embedded_data_is_json_that_no_text_breaks_out_of() -> None:
    page = report_of(FAULTS)
    (text,) = re.findall('<script type="application/json" id="motion">(.*?)</script>', page, re.DOTALL)
    assert not set(text) & set("<>&")

    def refuse(constant: str) -> Any:
        raise AssertionError(constant)

    data = json.loads(text, parse_constant=refuse)
    assert [len(nodes) for nodes in data["nodes"]] == [25, 7, 7]
    assert len(data["wheels"][0]) == 25 * 7 + len(data["held"])
    assert all(len(point) == 3 or len(point) == 7 for point in data["points"])


@pytest.mark.parametrize("spec", [TAMARACK, FAULTS], ids=["sound", "faults"])
def test_a_report_is_small_enough_to_send(spec: Path) -> None:
    assert len(report_of(spec).encode()) < 1_250_000


def test_no_finding_is_about_the_whole_build_where_it_has_a_part() -> None:
    spec = inspected(FAULTS)
    whole = [item.reading for item in items(spec) if item.reading.subject == "whole build"]
    assert len(whole) > 10
    found = motion(Job(spec.build), spec.readings)
    named = [record.row(spec, found, reading)["subject"] for reading in whole]
    assert {"left arm, droop", "lateral bar", "right arm"} <= set(named)
    assert not [name for name in named if name.startswith("whole build")]


def test_a_name_in_the_title_block_of_printed_sheets_stays_a_name() -> None:
    spec = 'format: 1\nunits: metric\nbuild: {name: "a\\"}</style><b>\\\\", revision: "}@import url(x)"}\n'
    page = report_of(spec)
    style = re.search("<style>(.*?)</style>", page, re.DOTALL)
    assert style
    assert "<b>" not in style[1]
    assert "@import" not in style[1]
    assert r"a\22 \7d \3c \2f style\3e \3c b\3e \5c " in style[1]
    assert "@page{size:a4 landscape}" in report_of(spec, paper="a4")


def test_the_measured_truck_takes_the_place_of_the_proposed_one() -> None:
    text = TAMARACK.read_text(encoding="utf-8").replace("  baseline:\n", f"{MEASURED}  baseline:\n")
    spec = inspected(text)
    built = as_measured(spec.build)
    assert built is not None
    assert built.value("links.arm.left.frame.z") == pytest.approx(19.7 * 0.0254)
    assert built.value("links.arm.right.frame") == spec.build.value("links.arm.right.frame")
    assert built.value("lateral_bar.frame.z") == pytest.approx(23 * 0.0254)
    assert built.value("axle.caster") == pytest.approx(np.radians(6.5))
    assert built.value("build.name") == "Tamarack"
    assert as_measured(inspected(TAMARACK).build) is None
    assert "as measured on the truck in dots, on the right in dots and dashes" in Reader(report_of(text)).told
    found = motion(Job(spec.build), spec.readings)
    (caster,) = [each for each in drawn_of(spec, found, built) if each.title == "Caster"]
    assert [line.style for line in caster.lines] == ["left", "measured measured-left"]
    (steer,) = [each for each in drawn_of(spec, found, built) if each.title == "Bump steer"]
    assert [(line.label, line.style) for line in steer.lines] == [
        ("right", "right"),
        ("right meas.", "measured measured-right"),
        ("left", "left"),
        ("left meas.", "measured measured-left"),
    ]
    (plain,) = [each for each in drawn_of(spec, found) if each.title == "Caster"]
    assert [line.style for line in plain.lines] == ["left"]


def drawn_of(spec: Inspected, found: Motion, measured: Build | None = None) -> tuple[Panel, ...]:
    return panels(spec.build, found, dict(spec.inspection.bounds), items(spec), measured)


def test_curves_stand_within_their_panels_at_the_values_of_the_cycle() -> None:
    spec = inspected(TAMARACK)
    found = motion(Job(spec.build), spec.readings)
    drawn = {panel.title: panel for panel in drawn_of(spec, found)}
    assert list(drawn) == [kind.title for kind in KINDS]
    for panel in drawn.values():
        for line in panel.lines:
            points = np.array(re.findall(r"([\d.]+) ([\d.]+)", line.path), dtype=float)
            assert len(points) == len(found.rolls if panel.rolled else found.heaves)
            assert TOP - 0.1 <= points[:, 1].min() <= points[:, 1].max() <= 184.1
    values = {each.quantity.name: each.values for each in found.followed}
    rolled = [found.number(12, roll) for roll in range(7)]
    for title, poses, name in (
        ("Caster", found.travel, "caster"),
        ("Yaw of the axle, as it rolls", rolled, "axle-yaw"),
    ):
        panel = drawn[title]
        heights = np.array(re.findall(r" ([\d.]+)", panel.lines[0].path), dtype=float)
        degrees = np.degrees(values[name][0][poses])
        np.testing.assert_allclose((heights - panel.scale[2]) / panel.scale[3], degrees, atol=0.01)


def test_a_curve_and_its_limit_are_given_in_numbers_too() -> None:
    spec = inspected(TAMARACK)
    found = motion(Job(spec.build), spec.readings)
    drawn = {panel.title: panel for panel in drawn_of(spec, found)}
    caster = next(each for each in found.followed if each.quantity.name == "caster").values[0][found.travel]
    droop, ride, bump = np.degrees(caster[[0, 12, 24]])
    assert drawn["Caster"].in_words == (f"droop {droop:.2f}, ride {ride:.2f}, bump {bump:.2f}",)
    assert drawn["Axle fore and aft"].says == (
        "warning outside -1.000 in to 1.000 in, error outside -1.500 in to 1.500 in from ride height "
        "(link-flatness/fore-and-aft)"
    )


def test_what_lies_beyond_a_limit_is_hatched_by_the_bounds_of_the_check() -> None:
    spec = inspected(FAULTS)
    found = motion(Job(spec.build), spec.readings)
    drawn = {panel.title: panel for panel in drawn_of(spec, found)}
    values = {each.quantity.name: each.values for each in found.followed}

    def edges(panel: Panel, style: str) -> list[float]:
        """Where what is beyond a limit begins, in the unit of the panel, the upper one first."""
        bands = [(top, height) for each, top, height in panel.forbidden if each == style]
        ends = [top + height if top <= TOP + 0.01 else top for top, height in bands]
        return [(end - panel.scale[2]) / panel.scale[3] for end in ends]

    ride = values["axle-forward"][0][found.travel][12] / 0.0254
    assert edges(drawn["Axle fore and aft"], "warning") == pytest.approx([ride + 1.0, ride - 1.0], abs=1e-6)
    assert edges(drawn["Axle fore and aft"], "error") == pytest.approx([ride + 1.5, ride - 1.5], abs=1e-6)
    joint = spec.build.driveshaft.output_joint.largest_angle
    assert edges(drawn["Driveshaft joint at the output"], "error") == pytest.approx([np.degrees(joint)])
    assert edges(drawn["Driveshaft joint at the output"], "warning") == pytest.approx([np.degrees(joint) - 2])
    steer = np.degrees(values["steer"][found.straight][found.travel])
    middle, bounds = (
        (steer.max() + steer.min()) / 2,
        dict(spec.inspection.bounds)["lateral-bar-parallel/bump-steer-total"],
    )
    half = np.degrees(bounds.fail_above) / 2
    assert edges(drawn["Bump steer"], "error") == pytest.approx([middle + half, middle - half], abs=1e-6)


def test_a_limit_that_the_shop_has_changed_is_the_one_that_is_hatched() -> None:
    spec = inspected(FAULTS)
    found = motion(Job(spec.build), spec.readings)
    name = "link-flatness/fore-and-aft"
    narrow = replace(spec, inspection=spec.inspection._replace(bounds=((name, Bounds(-0.1, 0.1, -0.2, 0.2)),)))
    drawn = {panel.title: panel for panel in drawn_of(narrow, found)}
    assert drawn["Axle fore and aft"].says.startswith("warning outside -3.937 in to 3.937 in, error outside")
    assert not drawn["Bump steer"].forbidden  # its check was not applied


def test_findings_are_on_the_curve_at_their_worst_place_and_calm_panels_have_none() -> None:
    spec = inspected(FAULTS)
    found = motion(Job(spec.build), spec.readings)
    numbered = {item.number: item for item in items(spec)}
    drawn = drawn_of(spec, found)
    seen = [one.number for panel in drawn for one in panel.worst]
    assert seen
    for panel in drawn:
        assert not (panel.calm and panel.worst)
        for one in panel.worst:
            pose = numbered[one.number].reading.pose
            assert pose is not None
            across = np.degrees(pose.roll) if panel.rolled else pose.heave / 0.0254
            assert one.at[0] == pytest.approx(panel.scale[0] + panel.scale[1] * across, abs=0.01)
            assert TOP <= one.at[1] <= 184
    assert all(panel.calm for panel in drawn if panel.title == "Driveshaft joint at the pinion")
