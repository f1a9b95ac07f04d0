"""Asking for what a stage still needs, and writing each answer into the spec."""

from __future__ import annotations

import math
import re
import sys
import tempfile
from pathlib import Path

import pexpect
import pytest
import signed_specs
from called import Ended, called
from hypothesis import given
from hypothesis import strategies as st
from sampling import draws

from buildcheck.build import Build, Point, Stage
from buildcheck.build.measured import as_measured, measurements, places_measured, planned
from buildcheck.build.paths import kind_of
from buildcheck.build.stage_records import NearWelds
from buildcheck.checks.inspection import inspect
from buildcheck.job import Job
from buildcheck.library import functions as library
from buildcheck.library import spec as specs
from buildcheck.plugins.loading import usual
from buildcheck.shop.measuring import (
    Answer,
    NotAnAnswer,
    Taken,
    changes,
    difference,
    is_far,
    is_of_something_else,
    read_answer,
)
from buildcheck.shop.needs import Need, leaves, needs
from buildcheck.shop.walk import FIRST, on_the_walk
from buildcheck.spec.quantity import Dimension, System

INCH = 0.0254
POINT = Need("lateral_bar.frame", True, "point", "", Dimension.LENGTH, (), Point(0.1, 0.4, 0.5), (), None)
GAP = Need("x.gap", False, "amount", "", Dimension.LENGTH, (), None, ("tacked-up",), None)
LOCK = Need("steering.lock_angle", True, "amount", "", Dimension.ANGLE, (), math.radians(32), (), None)


@pytest.fixture
def front(tmp_path: Path) -> Path:
    """A spec without a record of its cycle, with Windows line ends and a comment of the shop's."""
    whole = signed_specs.spec([]).replace("axle:\n", "axle:   # the old one\n", 1)
    text = "".join(line for line in whole.splitlines(keepends=True) if not line.startswith("  cycled:"))
    text = text.replace("\n", "\r\n")
    file = tmp_path / "front.buildcheck.yaml"
    file.write_bytes(text.encode())
    return file


def measure(file: Path, *typed: str, stage: str = "cycled") -> Ended:
    stdin = "".join(f"{each}\n" for each in typed)
    return called("measure", file, "--stage", stage, "--by", "A. Fabricator", stdin=stdin)


# What a stage asks for.


def test_what_is_asked_for_is_what_the_checks_lack_and_then_what_is_measured(front: Path) -> None:
    spec = specs.read(front)
    inspection = inspect(spec.build, library.load_plugins().rules, stage=Stage.CYCLED)
    found = needs(Job(spec.build), inspection)
    stated = [need.path for need in found if not need.measured]
    assert {"records.cycled.ended_up_by", "records.cycled.sides.left.strap_tight_at"} <= set(stated)
    assert stated == [need.path for need in found][: len(stated)]
    assert [need.path for need in found if need.measured] == [
        *("travel.bump", "travel.droop", "travel.articulation", "steering.lock_angle")
    ]
    assert all(need.rules for need in found if not need.measured)


def test_a_stage_is_asked_for_in_one_walk_round_the_truck(front: Path) -> None:
    spec = specs.read(front)
    inspection = inspect(spec.build, library.load_plugins().rules, stage=Stage.TACKED)
    paths = [need.path for need in needs(Job(spec.build), inspection) if need.measured]
    at = [planned(spec.build, path) for path in paths]
    left = [point.x for point in at if isinstance(point, Point) and point.y > 0.1]
    right = [point.x for point in at if isinstance(point, Point) and point.y < -0.1]
    sides = [point.y > 0 for point in at if isinstance(point, Point) and abs(point.y) > 0.1]
    assert len(left) >= 5
    assert len(right) >= 5
    assert left == sorted(left, reverse=True), "the left side is walked from front to rear"
    assert right == sorted(right), "and the right side back to the front"
    assert sides == sorted(sides, reverse=True)


@pytest.mark.parametrize(
    ("path", "walked"),
    [
        ("records.baseline.steering_centred", 0),
        ("records.tacked.old_mounts_removed", 0),
        ("records.tacked.near_welds.seals", 0),
        ("records.tacked.jam_nuts_fitted", 4),
        ("records.cycled.sides.left.strap_tight_at", 1),
        ("records.cycled.sides.right.strap_tight_at", 2),
    ],
)
def test_what_has_no_one_place_is_asked_for_before_the_walk_as_a_side_begins_or_at_the_end(
    front: Path, path: str, walked: int
) -> None:
    assert on_the_walk(specs.read(front).build, path) == (walked, -math.inf)


def test_a_group_asks_for_each_of_its_fields_on_each_side() -> None:
    assert list(leaves("travel.bump")) == ["travel.bump"]
    tacked = [path.rpartition(".")[2] for path in leaves("records.tacked")]
    assert tacked == ["old_mounts_removed", "rotation_set_from", "jam_nuts_fitted", *NearWelds.SAID]
    tube = [path.rpartition(".")[2] for path in leaves("lateral_bar.tube")]
    assert tube == ["outside_diameter", "wall", "material", "yield_strength"], "what a sound spec states, and no more"
    sides = list(leaves("records.cycled.sides"))
    assert len(sides) == 10
    assert "records.cycled.sides.right.brake_line_slack" in sides


# Reading what is typed.


@pytest.mark.parametrize(
    ("need", "typed", "value"),
    [
        (GAP, "1/32 in", INCH / 32),
        (GAP, "2", 0.002),
        (POINT, "100, 400, 500", Point(0.1, 0.4, 0.5)),
        (POINT, "[4 in, 15 3/4 in, 20 in]", Point(4 * INCH, 15.75 * INCH, 20 * INCH)),
        (LOCK, "31.5", math.radians(31.5)),
    ],
)
def test_what_is_typed_is_read_as_a_spec_would_be(need: Need, typed: str, value: Point | float) -> None:
    assert read_answer(need, typed, System.METRIC).value == pytest.approx(value)


@pytest.mark.parametrize(
    ("need", "typed", "said"),
    [
        (GAP, "", "nothing was typed"),
        (GAP, "wide", "cannot be read as a length"),
        (POINT, "100, 400", "three numbers are wanted"),
        (GAP._replace(kind="yes-no"), "perhaps", "yes or no is wanted"),
        (GAP._replace(kind="count"), "1.5", "a whole number is wanted"),
        (GAP._replace(kind="list"), "left tyre", "type none where there is none; otherwise all of it on one line"),
        (GAP._replace(kind="list"), "[left tyre", "on one line between [ and ]"),
        (GAP._replace(kind="group", example={"oil_pan": {}}), "[]", "between { and }, as {oil_pan: {}}"),
        (GAP._replace(kind="group"), "{a: 1, a: 2}", "a"),
        (GAP._replace(kind="word", choices=("bump-stop", "coilover")), "bump stp", 'did you mean "bump-stop"?'),
    ],
)
def test_what_is_no_answer_is_refused_in_one_sentence(need: Need, typed: str, said: str) -> None:
    with pytest.raises(NotAnAnswer, match=re.escape(said)):
        read_answer(need, typed, System.METRIC)


def test_a_list_and_a_group_are_typed_as_a_spec_writes_them() -> None:
    gaps = "[{first: left tyre, second: left frame rail, gap: 1 1/2 in}]"
    assert read_answer(GAP._replace(kind="list"), gaps, System.METRIC).written == [
        {"first": "left tyre", "second": "left frame rail", "gap": "1 1/2 in"}
    ]
    assert read_answer(GAP._replace(kind="list"), "none", System.METRIC).written == []
    assert read_answer(GAP._replace(kind="group"), "None", System.METRIC).written == {}


def test_a_length_that_follows_from_the_points_can_be_measured() -> None:
    build = specs.read(signed_specs.METRIC).build
    made = math.dist((-870, 405, 370), (30, 430, 320)) / 1000
    assert planned(build, "links.lower.left.length") == pytest.approx(made)
    entry = {"stage": "tacked", "of": "links.lower.left.length", "value": "905 mm"}
    measured = specs.read(signed_specs.METRIC).changed({"records": {"measured": [entry]}}).build
    (place,) = places_measured(measured)
    assert place.readings[0].off == pytest.approx(0.905 - made)
    truck = as_measured(measured)
    assert truck is not None
    assert truck.links["lower"].left.length == pytest.approx(0.905)


def test_a_difference_has_a_direction() -> None:
    off = Answer("", Point(0.102, 0.396, 0.5))
    assert difference(POINT, off, System.METRIC) == "2.0 mm farther forward, 4.0 mm farther right"
    assert difference(POINT, Answer("", POINT.planned), System.METRIC) == "as planned"
    assert difference(LOCK, Answer("", math.radians(30)), System.METRIC) == "2.00 deg less"
    assert difference(GAP, Answer("", 0.001), System.METRIC) == ""


@pytest.mark.parametrize(("millimetres", "far", "other"), [(6.3, False, False), (6.4, True, False), (1001, True, True)])
def test_what_is_far_from_the_plan_is_asked_for_again(millimetres: float, far: bool, other: bool) -> None:
    answer = Answer("", Point(0.1, 0.4, 0.5 + millimetres / 1000))
    assert (is_far(POINT, answer), is_of_something_else(POINT, answer)) == (far, other)


# The command.


def test_an_answer_is_written_at_once_and_every_other_byte_stays(front: Path) -> None:
    before = front.read_bytes()
    ended = measure(front, "70", "124", "30", "40", "50")
    assert ended.returncode == 0
    after = front.read_bytes()
    added = [line for line in after.splitlines(keepends=True) if line not in before.splitlines(keepends=True)]
    assert b"".join(line for line in after.splitlines(keepends=True) if line not in added) == before
    assert specs.read(front).build.records.cycled.sides.left.stop_touches_at == pytest.approx(0.07)
    assert after.count(b"\r\n") == after.count(b"\n")
    assert "Stopped; " in ended.stdout


@draws(30, deadline=None)
@given(st.data())
def test_every_byte_of_the_shop_stays_however_the_spec_is_written(data: st.DataObject) -> None:
    """Comments, blank lines, trailing spaces and line ends of any kind: what was there is there, in its order."""
    lines = signed_specs.spec([]).splitlines()
    dropped = data.draw(st.sampled_from(["  cycled:", "  reassembled:", "  aligned:", "  driven:"]))
    end = data.draw(st.sampled_from(["\n", "\r\n"]))
    asides = st.sampled_from(["", "", "", "  # gé ½ \u2300 {not: this}", "   ", " # 'a\" b"])
    above = st.sampled_from(["", "", "", f"# a note{end}", end, f"   # deep: [in]{end}"])
    kept = [line for line in lines if not line.startswith(dropped)]
    text = "".join(f"{data.draw(above)}{line}{data.draw(asides) if line.strip() else ''}{end}" for line in kept)
    typed = data.draw(st.lists(st.sampled_from(["yes", "0.1", "80", "1 1/8 in", "skip", "back", "none"]), max_size=8))
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "front.buildcheck.yaml"
        file.write_bytes(text.encode())
        assert measure(file, *typed, stage="driven").returncode == 0
        after = file.read_bytes().decode()
        specs.read(file)
    rest = iter(after)
    assert all(letter in rest for letter in text), "what was there is there, in its order"
    assert after.count("\r\n") == (after.count("\n") if end == "\r\n" else 0)


def test_a_bare_number_is_written_as_one_and_an_amount_as_it_was_typed(front: Path) -> None:
    measure(front, "70", "124 mm", "1 1/8 in", "yes", "quit")
    text = front.read_text(encoding="utf-8")
    assert "stop_touches_at: 70," in text
    assert "strap_tight_at: 124 mm," in text
    assert "coilover_left_in_bump: 1 1/8 in" in text


def test_a_torque_is_not_said_to_be_measured_with_a_tape() -> None:
    torque = LOCK._replace(dimension=Dimension.TORQUE, planned=100.0)
    taken = Taken(Stage.FINAL_WELD, "A. Fabricator", "2026-03-20", "tape")
    tools = {
        need.dimension: changes({}, need, Answer(1, 1.0), taken)["records"]["measured"][0].get("tool")
        for need in (torque, LOCK, POINT)
    }
    assert tools == {Dimension.TORQUE: None, Dimension.ANGLE: "angle-gauge", Dimension.LENGTH: "tape"}


def test_it_may_be_stopped_at_any_moment_and_continued(front: Path) -> None:
    first = measure(front, "70", "quit")
    left = int(re.findall(r"Stopped; (\d+) left", first.stdout)[0])
    second = measure(front, "124")
    assert re.findall(r"(\d+) left\. State (\S+)", second.stdout)[0] == (
        str(left),
        "records.cycled.sides.left.strap_tight_at",
    )
    assert specs.read(front).build.records.cycled.sides.left.strap_tight_at == pytest.approx(0.124)


def test_why_skip_back_and_wrong_answers(front: Path) -> None:
    before = front.read_bytes()
    ended = measure(front, "why", "high", "70", "back", "skip", "quit")
    assert "What was seen as the axle was cycled by hand agrees with what is computed" in ended.stdout
    assert "(buildcheck rules cycled-by-hand)" in ended.stdout
    assert "cannot be read as a length" in ended.stdout
    build = specs.read(front).build
    assert not build.records.has("cycled")
    assert re.findall(r"State (\S+)", ended.stdout)[-1] == "records.cycled.sides.left.strap_tight_at"
    assert front.read_bytes() == before


def test_a_file_that_somebody_else_changes_meanwhile_is_not_overwritten(front: Path) -> None:
    session = pexpect.spawn(
        sys.executable,
        ["-m", "buildcheck", "measure", str(front), "--stage", "cycled", "--by", "A. Fabricator"],
        encoding="utf-8",
        timeout=60,
    )
    session.expect("> ")
    changed = front.read_bytes() + b"# a note of somebody else\r\n"
    front.write_bytes(changed)
    session.sendline("70")
    session.expect("was changed by somebody else meanwhile")
    session.expect(pexpect.EOF)
    assert front.read_bytes() == changed


def test_what_comes_before_the_walk_is_in_the_spec() -> None:
    assert all(kind_of(path) for path in FIRST)


def asked_before(build: Build, path: str) -> int:
    """The number of questions at the tacked stage that come before that of one path."""
    inspection = inspect(build, library.load_plugins().rules, stage=Stage.TACKED)
    return [need.path for need in needs(Job(build), inspection)].index(path)


def test_a_measurement_says_who_when_and_with_what_and_shows_where(front: Path) -> None:
    build = specs.read(front).build
    before = asked_before(build, "links.lower.left.frame")
    place = build.links["lower"].left.frame
    typed = ", ".join(f"{1000 * axis:.1f}" for axis in place)
    ended = measure(front, *["skip"] * before, typed, "quit", stage="tacked")
    assert "from above, front at the top" in ended.stdout
    assert ended.stdout.count("X") >= 2
    (entry,) = measurements(specs.read(front).build)
    assert (entry.stage, entry.of, entry.measured_by, entry.tool) == (
        *("tacked", "links.lower.left.frame", "A. Fabricator", "tape"),
    )


def test_what_is_far_off_is_kept_only_when_confirmed_and_what_is_of_something_else_never(front: Path) -> None:
    build = specs.read(front).build
    before = asked_before(build, "links.lower.left.frame")
    x, y, z = (1000 * axis for axis in build.links["lower"].left.frame)
    far, other = f"{x}, {y}, {z + 20}", f"{x}, {-y}, {z}"
    skips = ["skip"] * before
    measure(front, *skips, far, "no", "quit", stage="tacked")
    assert measurements(specs.read(front).build) == ()
    ended = measure(front, *skips, f"{x + 2000}, {y}, {z}", other, "no", far, "yes", "quit", stage="tacked")
    assert "too far from the plan to be of the same thing" in ended.stdout
    assert "20.0 mm higher" in ended.stdout
    (entry,) = measurements(specs.read(front).build)
    assert entry.value == [x, y, z + 20]


def test_only_a_spec_in_a_file_and_a_named_person_are_accepted(front: Path, tmp_path: Path) -> None:
    for what in ("-", str(tmp_path)):
        assert called("measure", what, "--by", "A. F").returncode == 2
    ended = called("measure", front, stdin="-\n")
    assert ended.returncode == 2
    assert "a measurement has a name" in ended.stderr


def test_what_is_read_as_the_axle_is_cycled_is_shown_beside_what_is_computed_and_of_gaps_the_smallest(
    front: Path,
) -> None:
    ended = measure(front, "90", "no", "69.9", *["skip"] * 40)
    first = ended.stdout.partition("State records.cycled.sides.left.stop_touches_at")[2]
    assert "Computed: 69.9 mm" in first
    assert "20.1 mm more" in first
    assert "That is far from what is computed. Keep it?" in first
    assert "as computed" in first
    gaps = ended.stdout.partition("State records.cycled.gaps")[2].partition("left. ")[0]
    assert gaps.count("Computed: ") == 5
    assert "For example: [{first: left tyre, second: left frame rail, gap: 1 1/2 in}]" in gaps
    assert "Type none where there is none." in gaps


def test_the_reason_for_a_measured_point_names_the_rules_that_read_it(front: Path) -> None:
    before = asked_before(specs.read(front).build, "links.lower.left.frame")
    ended = measure(front, *["skip"] * before, "why", "quit", stage="tacked")
    told = " ".join(ended.stdout.partition("Measure links.lower.left.frame")[2].split())
    assert "rules need it; buildcheck rules NAME says what each checks:" in told
    assert {"link-flatness", "clearance", "side-symmetry"} <= set(re.findall(r"[a-z-]+", told))
    assert "bolt-tightening" not in told


def test_a_packing_list_that_is_missing_is_asked_for_without_the_names_of_another_truck() -> None:
    job = Job(specs.read(signed_specs.METRIC).build)
    asked = needs(job, inspect(job.build, usual().rules, stage=Stage.TEARDOWN, changes=False, all_missing=True))
    (parts,) = (need for need in asked if need.path.startswith("parts"))
    assert (parts.path, parts.kind) == ("parts", "group")
    assert parts.example is not None
