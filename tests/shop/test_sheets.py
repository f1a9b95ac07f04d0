"""Sheets to print: everything that a stage asks for is on paper, at its place, and so is what a new rule asks for."""

from __future__ import annotations

import html
import json
import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from called import called

import buildcheck
from buildcheck.build import Point, Stage
from buildcheck.checks.inspection import inspect
from buildcheck.job import Job
from buildcheck.output.sheets.blocks import MOST_COLUMNS, blocks
from buildcheck.plugins.loading import collect
from buildcheck.shop.needs import needs
from buildcheck.shop.order_list import order_list
from buildcheck.shop.sheets import measuring, named, tightenings
from buildcheck.shop.walk import where
from buildcheck.testing import changed, sound_spec
from buildcheck.testing.specs import build_of

EXAMPLES = Path(__file__).parents[2] / "examples"
TAMARACK = EXAMPLES / "tamarack" / "proposal.buildcheck.yaml"
METRIC = EXAMPLES / "three-link-metric.buildcheck.yaml"
KINDS = ("measure", "cut", "order", "torque", "follow-up")
INCH = 0.0254
RULE = '''"""The toe is known by the tape, too.

Checked: the toe-in by tape.
"""

from buildcheck.api import Area, Axle, Rule, Words, at_most, common_practice, hook

BUILDCHECK_INTERFACE = 2
rule = Rule("toe-by-tape", area=Area.AXLE, page=__doc__)


@rule.check(
    Axle,
    at_most(error="1/2 in"),
    basis=common_practice("a tape is always at hand"),
    change=Words("set the toe"),
)
def toe_by_tape(job, axle):
    """Toe-in by the tape."""
    return abs(axle.toe_in_by_tape)


@hook
def buildcheck_rules():
    return [rule]
'''


@cache
def page(spec: Path = TAMARACK, kind: str = "measure", stage: str = "tacked") -> str:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "sheet.html")
        ended = called("sheet", spec, "--kind", kind, "--stage", stage, "--to", file)
        assert (ended.returncode, ended.stderr) == (0, "")
        return file.read_text(encoding="utf-8")


def text_of(made: str) -> str:
    """The words of a page, without its style."""
    body = re.sub(r"<style>.*?</style>", " ", made, flags=re.DOTALL)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", body)).split())


@pytest.mark.parametrize("stage", Stage)
def test_everything_that_a_stage_asks_for_is_on_the_sheet(stage: Stage) -> None:
    build = buildcheck.read(TAMARACK).build
    inspection = inspect(build, collect().rules, stage=stage, changes=False)
    asked, entries = needs(Job(build), inspection), measuring(Job(build), inspection)
    assert [entry.path for entry in entries] == [need.path for need in asked]
    rows = [row for block in blocks(entries) for row in block.rows]
    assert [entry.path for row in rows for entry in row.entries] == [need.path for need in asked]
    assert [row.number for row in rows] == list(range(1, len(rows) + 1))
    assert all(len(block.columns) <= MOST_COLUMNS for block in blocks(entries))
    for block in blocks(entries):
        assert all(len(row.cells) == max(len(block.columns), 1) for row in block.rows)


def test_a_rule_that_is_added_has_its_field_on_the_sheet(tmp_path: Path) -> None:
    rule = tmp_path / "toe_by_tape.py"
    rule.write_text(RULE, encoding="utf-8")
    out = tmp_path / "sheet.html"
    assert "toe_in_by_tape" not in page(stage="proposal")
    assert called("sheet", TAMARACK, "--stage", "proposal", "--plugin", rule, "--to", out).returncode == 0
    told = text_of(out.read_text(encoding="utf-8"))
    assert "axle: toe in by tape" in told
    assert "axle.toe_in_by_tape; asked for by toe-by-tape" in told


def test_a_point_is_asked_for_by_axis_with_the_planned_value_in_front_of_its_box() -> None:
    told = text_of(page())
    assert re.search(r"x, forward y, left z, up", told)
    assert "left arm: frame" in told
    for planned in ("-37.000 in (-37 in)", "16.500 in (16 1/2 in)", "19.700 in (19 11/16 in)"):
        assert planned in told


def test_yes_and_no_are_ticked_and_words_are_chosen() -> None:
    told = text_of(page(stage="driven"))
    assert "brakes tested" in told
    assert re.search(r"runs straight.*? yes no ", told)
    assert "bump-stop coilover brake-line driveshaft link lateral-bar steering-rod tyre other-part nothing" in text_of(
        page(stage="cycled")
    )


@pytest.mark.parametrize(
    ("path", "at"),
    [
        ("links.arm.left.frame", [(-37, 16.5, 19.7)]),
        ("links.arm.right.frame", [(-37, -16.5, 19.7)]),
        ("links.arm.both.frame", [(-37, 16.5, 19.7), (-37, -16.5, 19.7)]),
        ("links.arm.left.joints.axle_upper.bolt", [(3, 17.5, 18.4)]),
        ("lateral_bar.tube.wall", [(5.5, 0, (22.75 + 19.9) / 2)]),
        ("attachments.arm_axle_bracket.right.bolts", [(0, -13.25, 16.6)]),
        ("attachments.lateral_bar_axle_bracket.right.weld", [(5.5, -16.5, 19.9)]),
        ("attachments.lateral_bar_frame_bracket.left.weld", [(5.5, 16.5, 22.75)]),
        ("records.baseline.photographs", []),
        ("vehicle.axle_load", []),
    ],
)
def test_where_a_thing_is(path: str, at: list[tuple[float, float, float]]) -> None:
    found = where(build_of(sound_spec()), path)
    assert len(found) == len(at)
    for one, inches in zip(found, at, strict=True):
        assert one == pytest.approx(Point(*(INCH * value for value in inches)))


def test_things_are_called_as_people_call_them() -> None:
    build = build_of(sound_spec())
    assert named(build, "links.arm.left.frame") == ("left arm", "frame")
    assert named(build, "links.arm.both.tube.wall")[1] == "wall"
    assert named(build, "attachments.arm_frame_bracket.both.fit_up.gap") == (
        "left and right arm frame bracket",
        "fit up gap",
    )
    assert named(build, "records.aligned.sides.left.caster") == ("aligned left", "caster")
    assert named(build, "records.tape_tolerance") == ("tape tolerance", "tape tolerance")


def test_every_mark_lies_on_its_drawing_where_the_views_of_the_report_have_it() -> None:
    made = page()
    drawn = re.findall(r'<svg viewBox="([^"]+)" role="img".*?</svg>', made)
    marks = re.findall(r'<svg viewBox="([^"]+)" role="img"[^>]*><use href="#(\w+)"/>(.*?)</svg>', made)
    assert len(marks) == len(drawn) > 40
    for box, view, rings in marks:
        left, top, width, height = map(float, box.split())
        places = re.findall(r'cx="(-?\d+)" cy="(-?\d+)"', rings)
        assert 1 <= len(places) <= 2
        assert view in ("side", "top")
        for x, y in places:
            assert left <= float(x) <= left + width
            assert top <= float(y) <= top + height
    # The frame joint of the left arm, 37 in behind the axle and 19.7 in up: from the left, front to the left.
    (row,) = re.findall(r"<b>left arm: frame</b>.*?</tr>", made, flags=re.DOTALL)
    ((x, y),) = re.findall(r'<use href="#side"/><circle class="mark" cx="(-?\d+)" cy="(-?\d+)"', row)
    assert (float(x), float(y)) == pytest.approx((37 * 25.4, -19.7 * 25.4), abs=1)


@pytest.mark.parametrize("kind", KINDS)
def test_each_sheet_has_the_cautions_and_says_who_decides(kind: str) -> None:
    told = text_of(page(kind=kind))
    for word in (
        *(
            "rated for the load",
            "take the load off before you loosen a bolt",
            "never heated, welded on, cut or punctured",
        ),
        *("do not breathe the fume", "fire watch", "bleed the brakes", "First drive", "qualified welder"),
        *("Local codes, inspection and licensed practice decide", "not an approval"),
    ):
        assert word in told, word


@pytest.mark.parametrize("kind", KINDS)
def test_a_sheet_is_black_on_white_and_needs_nothing_from_elsewhere(kind: str) -> None:
    made = page(kind=kind)
    assert "<script" not in made
    assert not re.search(r"https?://|url\(|@import", made)
    assert set(re.findall(r"#[0-9a-f]{3,8}\b(?=[;} ])", made.split("</style>")[0])) == {"#000", "#fff"}
    sizes = [float(size) for size in re.findall(r"([\d.]+)pt", made.split("</style>")[0])]
    assert min(sizes) >= 9.5


def test_the_torque_sheet_has_every_bolt_with_its_torque_or_says_that_there_is_none() -> None:
    build = buildcheck.read(TAMARACK).build
    told = text_of(page(kind="torque"))
    bolts = tightenings(build)
    ordered = order_list(build).lines
    on_studs = [line for line in ordered if any(fact.name == "stud diameter" for fact in line.facts)]
    assert sum(line.number for line in on_studs) == 4, "both ends of drag link and tie rod"
    through = [line for line in ordered if line.kind == "bolt"]
    assert sum(bolt.number for bolt in bolts) == sum(line.number for line in (*through, *on_studs))
    assert "1 × steering tie rod left joint stud" in told
    for bolt in bolts:
        assert f"{bolt.number} × {bolt.label}" in told
    assert "210.0 lb-ft" in told
    assert "150.0 lb-ft" in told


def test_a_bolt_without_a_torque_is_not_given_one(tmp_path: Path) -> None:
    spec = sound_spec()
    spec["attachments"]["arm_axle_bracket"]["right"]["bolts"].pop("torque")
    file = tmp_path / "a.buildcheck.yaml"
    file.write_text(json.dumps(spec, indent=1), encoding="utf-8")
    told = text_of(page(file, "torque"))
    assert re.search(r"6 × right arm axle bracket .*? The spec lacks: torque of \S+ not stated", told)


def test_the_follow_up_has_the_distances_that_the_shop_sets(tmp_path: Path) -> None:
    checks = [{"planned_after": "50 mi"}, {"planned_after": "500 mi"}]
    file = tmp_path / "a.buildcheck.yaml"
    spec = changed(sound_spec(), {"records.driven": {"torque_checks": checks}})
    file.write_text(json.dumps(spec, indent=1), encoding="utf-8")
    told = text_of(page(file, "follow-up"))
    assert "after 50 mi after 500 mi" in told
    assert "brakes tested" in told
    assert "after ________ after ________ after ________" in text_of(page(kind="follow-up"))


@pytest.mark.parametrize("file", [TAMARACK, METRIC], ids=lambda file: file.name)
def test_cut_and_order_sheets_hold_the_lists_of_the_command(file: Path) -> None:
    record: dict[str, Any] = json.loads(called("order", file, "--output", "json").stdout)
    cut, order = (text_of(page(file, kind)) for kind in ("cut", "order"))
    for each in record["cuts"]:
        assert each["label"] in cut
        assert each["why"] in cut
        assert each["length"] is None or each["length"]["shown"] in cut
    for line in record["lines"]:
        assert f"{line['number' if 'number' in line else 'count']} {line['kind']} {line['words']}" in order
    assert all(each["name"] in order for each in record["renewals"])


def test_no_line_ends_between_a_number_and_its_fraction_or_unit() -> None:
    assert "37.127\u00a0in (37\u00a01/8\u00a0in)" in page(kind="cut")
    for kind in KINDS:
        assert not re.search(
            r"[0-9] (?:[0-9]+/[0-9]+ )?(?:in|mm|lbf|lb-ft|deg)\b", page(kind=kind).partition("</style>")[2]
        )


def test_no_text_of_a_spec_becomes_part_of_the_page(tmp_path: Path) -> None:
    file = tmp_path / "a.buildcheck.yaml"
    name = '<script>alert(1)</script>"}body{display:none}/*'
    file.write_text(json.dumps(changed(sound_spec(), {"build.name": name}), indent=1), encoding="utf-8")
    made = page(file)
    assert "<script>alert" not in made
    assert "}body{" not in made.partition("<style>")[2].partition("</style>")[0]
    assert html.escape(name, quote=False).split("&")[0] in made


def test_wrong_usage_and_a_bad_spec(tmp_path: Path) -> None:
    assert "ends in .html or .pdf" in called("sheet", TAMARACK, "--to", tmp_path / "a.txt").stderr
    bad = tmp_path / "bad.buildcheck.yaml"
    bad.write_text("format: 1\nunits: metric\nlinks: 5\n", encoding="utf-8")
    ended = called("sheet", bad, "--to", tmp_path / "a.html")
    assert (ended.returncode, ended.stdout) == (2, "")
    assert "bad.buildcheck.yaml:3:1" in ended.stderr
    assert [each.name for each in tmp_path.iterdir()] == ["bad.buildcheck.yaml"]


def test_a_spec_with_nothing_to_show_is_still_a_sheet(tmp_path: Path) -> None:
    file = tmp_path / "bare.buildcheck.yaml"
    file.write_text("format: 1\nunits: metric\n", encoding="utf-8")
    for kind in KINDS:
        assert "Cautions" in text_of(page(file, kind))
    assert "The spec has no bolts." in text_of(page(file, "torque"))
