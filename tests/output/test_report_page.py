"""The page of the report: self-contained, closed to what is not its own, and whole."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections import Counter
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from reports import inspected, report_of

from buildcheck.build import Side
from buildcheck.build.measured import as_measured
from buildcheck.checks.limit import Verdict
from buildcheck.output import words
from buildcheck.output.items import items
from buildcheck.output.outcome import Inspected
from buildcheck.output.report.counting import kinds
from buildcheck.output.report.curves import TOP, panels
from buildcheck.output.report.motion import motion
from buildcheck.output.report.page import page
from buildcheck.output.report.within_limits import passed
from buildcheck.spec.quantity import Dimension

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

    @property
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
        groups = passed(found, motion(found.build, found.readings))
        limits = [limit for group in groups for limit in group["limits"]]
        assert sum(row["count"] for limit in limits for row in limit["rows"]) == len(found.with_verdict(Verdict.OK))
        for limit in limits:
            shown = [(row["subject"], row["which"], row["found"], row["margin"]) for row in limit["rows"]]
            assert len(set(shown)) == len(shown), (limit["meaning"], shown)
    found = inspected(FAULTS)
    rows = [
        row
        for group in passed(found, motion(found.build, found.readings))
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
    assert len(data["poses"]) + len(data["held"]) == len(data["heave"])
    assert all(len(point) == 3 or len(point) == 7 for point in data["points"])


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
    found = motion(spec.build, spec.readings)
    (caster,) = [each for each in panels(spec.build, found, spec.readings, built) if each.title == "Caster"]
    assert [line.style for line in caster.lines] == ["left", "measured measured-left"]
    (coilover,) = [each for each in panels(spec.build, found, spec.readings, built) if each.title == "Wheelbase change"]
    assert [(line.label, line.style) for line in coilover.lines] == [
        ("left", "left"),
        ("left meas.", "measured measured-left"),
        ("right", "right"),
        ("right meas.", "measured measured-right"),
    ]
    (plain,) = [each for each in panels(spec.build, found, spec.readings, None) if each.title == "Caster"]
    assert [line.style for line in plain.lines] == ["left"]


def test_curves_stand_within_their_panels_at_the_values_of_the_cycle() -> None:
    spec = inspected(TAMARACK)
    found = motion(spec.build, spec.readings)
    drawn = panels(spec.build, found, spec.readings, None)
    assert [panel.title for panel in drawn] == [
        "Bump steer",
        "Caster",
        "Pinion, up",
        "Axle fore and aft",
        "Wheelbase change",
        "Lateral shift",
        "Yaw of the axle",
        "Coilover length",
        "Driveshaft length",
        "Driveshaft joint at the output",
        "Driveshaft joint at the pinion",
        "Largest turn of a link joint",
    ]
    for panel in drawn:
        for line in panel.lines:
            points = np.array(re.findall(r"([\d.]+) ([\d.]+)", line.path), dtype=float)
            assert len(points) == len(found.heaves)
            assert TOP - 0.1 <= points[:, 1].min() <= points[:, 1].max() <= 184.1
    caster = drawn[1]
    degrees = np.degrees(
        next(each for each in found.followed if each.quantity.name == "caster").values[0][found.travel]
    )
    heights = np.array(re.findall(r" ([\d.]+)", caster.lines[0].path), dtype=float)
    np.testing.assert_allclose((heights - caster.scale[2]) / caster.scale[3], degrees, atol=0.01)


def test_a_curve_and_its_limit_are_given_in_numbers_too() -> None:
    spec = inspected(TAMARACK)
    found = motion(spec.build, spec.readings)
    drawn = {panel.title: panel for panel in panels(spec.build, found, spec.readings, None)}
    caster = next(each for each in found.followed if each.quantity.name == "caster").values[0][found.travel]
    droop, ride, bump = np.degrees(caster[[0, 16, 32]])
    assert drawn["Caster"].in_words == (f"droop {droop:.2f}, ride {ride:.2f}, bump {bump:.2f}",)
    assert [each.partition(":")[0] for each in drawn["Coilover length"].in_words] == ["left", "right"]
    assert drawn["Driveshaft joint at the pinion"].says == "at most 22.00 deg, by the spec"
    part = spec.build.coilovers["coilover"][Side.LEFT]
    ends = [
        words.amount(end, Dimension.LENGTH, spec.build.units) for end in (part.compressed_length, part.extended_length)
    ]
    assert drawn["Coilover length"].says == f"compressed {ends[0]}, extended {ends[1]}, by the spec"


def test_what_lies_beyond_a_limit_is_shaded_up_to_the_limit() -> None:
    spec = inspected(TAMARACK)
    found = motion(spec.build, spec.readings)
    drawn = {panel.title: panel for panel in panels(spec.build, found, spec.readings, None)}
    joint = drawn["Driveshaft joint at the pinion"]
    ((top, height),) = joint.forbidden
    assert (top + height - joint.scale[2]) / joint.scale[3] == pytest.approx(22)
    coilover = drawn["Coilover length"]
    (upper, lower) = coilover.forbidden
    assert (upper[0] + upper[1] - coilover.scale[2]) / coilover.scale[3] == pytest.approx(35.5)
    assert (lower[0] - coilover.scale[2]) / coilover.scale[3] == pytest.approx(21.5)
