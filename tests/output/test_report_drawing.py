"""What the report draws: points against the tool's own poses, outlines against plain geometry."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from reports import inspected

from buildcheck.build import Side
from buildcheck.clearance.solids import Capsule
from buildcheck.job import Job
from buildcheck.job.drawing import drawing
from buildcheck.job.layout import held_point
from buildcheck.output import words
from buildcheck.output.items import items
from buildcheck.output.report import views
from buildcheck.output.report.dimensions import Red, dimensions
from buildcheck.output.report.figures import pictures
from buildcheck.output.report.marks import BALLOON, SPACING, anchors, marks, thumb
from buildcheck.output.report.motion import motion, record
from buildcheck.output.report.page import page
from buildcheck.output.report.parts_list import item_list
from buildcheck.output.report.shapes import outline
from buildcheck.output.report.views import FRONT, ROOM, SCALES, SIDE, TOP, Sheet, sheet
from buildcheck.output.report.work import work
from buildcheck.spec.document import read_file
from buildcheck.spec.quantity import Dimension

EXAMPLES = Path(__file__).parents[2] / "examples"
TAMARACK = EXAMPLES / "tamarack" / "proposal.buildcheck.yaml"
METRIC = EXAMPLES / "three-link-metric.buildcheck.yaml"
FAULTS = EXAMPLES / "tamarack" / "proposal-with-faults.buildcheck.yaml"
SPECS = sorted(EXAMPLES.glob("**/*.buildcheck.yaml"))
HEAVE, ROLL = np.array([-0.1, 0.0, 0.06, 0.02]), np.array([0.0, 0.0, 0.0, 0.15])
LOCKS = (-0.4, 0.0, 0.4)
FREE = """\
format: 1
units: inch-pound
vehicle: {wheelbase: 108, track: 63, tyre: {static_radius: 16.6}}
axle: {position: front, centre: [0, 0, 16.6]}
links:
  lower: {both: {kind: two-point, frame: [-36, 15, 19], axle: [0, 17, 14]}}
travel: {bump: 4, droop: 4, articulation: 8}
"""


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.name.split(".")[0])
def test_every_link_runs_from_its_frame_end_to_where_the_motion_carries_its_axle_end(spec: Path) -> None:
    build = inspected(spec).build
    drawn, moving = drawing(Job(build), HEAVE, ROLL, (0.0,))
    links = [link for name in build.links for link in build.links[name]]
    for link in links:
        member = next(each for each in drawn.members if each.label == link.label)
        frame, axle = (drawn.points[number] for number in member.points)
        np.testing.assert_array_equal(frame, link.frame)
        np.testing.assert_array_equal(axle, moving[0].point(held_point(link)))
        assert drawn.points[drawn.places[link.path_of("frame"), link.side]] is frame
    assert len(links) >= 2


def test_steered_parts_are_where_the_tool_turns_them() -> None:
    build = inspected(TAMARACK).build
    drawn, moving = drawing(Job(build), HEAVE, ROLL, LOCKS)
    members = {member.label: member for member in drawn.members}
    arm = drawn.points[members["steering arm"].points[1]]
    rod = [drawn.points[number] for number in members["steering tie rod"].points]
    link = [drawn.points[number] for number in members["steering drag link"].points]
    for number, axle in enumerate(moving):
        np.testing.assert_allclose(arm[number], axle.knuckle.arm_end, atol=1e-12)
        for side, steer in ((Side.RIGHT, axle.knuckle.steer), (Side.LEFT, axle.other_knuckle.steer)):
            outer, inner = (drawn.points[each][number] for each in members[f"{side} tyre"].points)
            spin = (outer - inner) * (1.0 if side is Side.LEFT else -1.0)
            np.testing.assert_allclose(np.arctan2(-spin[0], spin[1]), steer, atol=1e-9)
    for ends, made in ((rod, build.steering.tie_rod), (link, build.steering.drag_link)):
        first, second = (made.left, made.right) if ends is rod else (made.pitman, made.arm)
        length = np.linalg.norm(ends[0] - ends[1], axis=1)
        np.testing.assert_allclose(length, math.dist(first, second), atol=1e-9)
    assert np.ptp(arm[:, 0]) > 0.05  # the locks do turn it


def test_instant_centre_and_roll_centre_are_those_of_the_motion() -> None:
    build = inspected(TAMARACK).build
    drawn, moving = drawing(Job(build), HEAVE, ROLL, (0.0,))
    spots = {member.label: drawn.points[member.points[0]] for member in drawn.members if member.shape == "spot"}
    found = moving[0].handling
    np.testing.assert_allclose(spots["instant centre"][0], found.instant_centre.x, atol=1e-9)
    np.testing.assert_allclose(spots["instant centre"][2], found.instant_centre.z, atol=1e-9)
    # The floor moves with the axle, and the drawing stands still with the frame.
    np.testing.assert_allclose(spots["roll centre"][2], found.roll_centre.height + moving[0].poses.heave, atol=1e-12)


def test_an_axle_that_nothing_holds_is_drawn_as_the_spec_places_it() -> None:
    spec = inspected(FREE)
    found = motion(Job(spec.build), spec.readings)
    assert "The links do not hold the axle" in found.drawing.still
    assert (found.heave.tolist(), found.followed) == ([0.0], ())
    link = next(member for member in found.drawing.members if member.label == "left lower link")
    points = found.points_at(found.ride, found.straight)
    np.testing.assert_allclose(points[link.points[1]], np.array([0, 17, 14]) * 0.0254, atol=1e-4)
    assert {member.kind for member in found.drawing.members} == {"axle", "tyre", "link"}


def unpacked(handed: Any, dimensions: int) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Coordinates from the changes between poses that the page is handed."""
    changes = np.array(handed, dtype=float)
    return changes if dimensions == 1 else np.where(np.isnan(changes), np.nan, np.nancumsum(changes, axis=-1))


def test_points_and_numbers_are_handed_on_rounded_and_no_further() -> None:
    spec = inspected(FAULTS)
    found = motion(Job(spec.build), spec.readings)
    data = record(found, spec.build.units)
    for point, handed in zip(found.drawing.points, data["points"], strict=True):
        if point.ndim < 3:
            np.testing.assert_allclose(unpacked(handed, point.ndim) / 10_000, point, atol=0.5001e-4)
            continue
        for lock, (row, axes) in enumerate(zip(point, handed, strict=True)):
            # What belongs to a reading has one lock, its own, and is handed on once.
            there = row if lock == found.straight else row[:, : 25 * 7]
            np.testing.assert_allclose(unpacked(axes, 2) / 10_000, there, atol=0.5001e-4)
    caster = next(number for number, each in enumerate(found.followed) if each.quantity.name == "caster")
    values = np.cumsum(data["quantities"][caster]["values"][0]) / 100
    np.testing.assert_allclose(np.radians(values), found.followed[caster].values[0], atol=np.radians(0.00501))
    steer = next(number for number, each in enumerate(found.followed) if each.quantity.name == "steer")
    assert len(data["quantities"][steer]["values"]) == len(found.locks) == 7
    assert (len(found.heaves), len(found.rolls)) == (25, 7)
    assert found.heaves[12] == found.rolls[3] == found.locks[3] == 0.0


def test_every_pose_of_a_reading_is_drawn_unchanged() -> None:
    spec = inspected(FAULTS)
    found = motion(Job(spec.build), spec.readings)
    poses = [reading.pose for reading in spec.readings if reading.pose is not None]
    assert len(poses) > 20
    for pose in poses:
        number = found.of_reading[pose.heave, pose.roll, pose.lock]
        assert (found.heave[number], found.roll[number]) == (pose.heave, pose.roll)
    assert len({pose.lock for pose in poses}) == 4  # straight, both full locks, and half lock to the left


def test_a_pose_with_its_own_lock_matches_its_reading() -> None:
    spec = inspected(FAULTS)
    found = motion(Job(spec.build), spec.readings)
    gaps = [gap for gap in Job(spec.build).gaps.of("drag link") if gap.smallest.pose and gap.smallest.pose.lock]
    assert len(gaps) >= 2
    link = next(each for each in found.drawing.members if each.label == "steering drag link")
    for gap in gaps:
        pose, at = gap.smallest.pose, gap.nearest.at
        assert pose is not None
        assert at is not None
        number = found.of_reading[pose.heave, pose.roll, pose.lock]
        (solid,) = gap.first.solids
        assert isinstance(solid, Capsule)
        drawn = [found.drawing.points[each] for each in link.points]
        for lock in range(7):  # whatever the slide says
            for points, end in zip(drawn, (solid.start, solid.end), strict=True):
                np.testing.assert_allclose(points[lock, :, number], end[:, at[0], at[1]], atol=1e-12)
        steer = next(each for each in found.followed if each.quantity.name == "steer").values[0][number]
        assert abs(steer - pose.lock) < abs(pose.lock) / 2 + 0.1  # turned that way, the one wheel more than the other
    data = record(found, spec.build.units)
    half = next(each for each in data["held"] if "wheels 13.00 deg to the left" in each["words"])
    assert half["at"][2] == pytest.approx(13.0)


def test_every_part_has_a_letter_and_a_line_in_the_item_list() -> None:
    spec = inspected(FAULTS)
    found = motion(Job(spec.build), spec.readings)
    listed = item_list(found.drawing)
    names = {entry.name: entry for entry in listed}
    assert len({entry.letter for entry in listed}) == len(listed)
    assert {
        "arm", "lateral bar", "steering drag link", "steering tie rod", "pitman arm", "coilover", "limit strap",
        "bump stop", "brake line", "driveshaft", "pinion", "axle tube", "centre section", "tyre", "crossmember",
    } <= set(names)  # fmt: skip
    assert (names["coilover"].number, names["lateral bar"].number) == (2, 1)
    drawn = sheet(found.drawing, spec.build.units, frozenset())
    points = found.points_at(found.ride, found.straight)
    shown = {}
    for picture in pictures(spec.build, found, drawn, ()):
        for one in picture.pointers:
            shown[one.letter] = picture.view.letter
            start, end = (np.array(picture.view.place(points[number])) for number in one.points)
            np.testing.assert_allclose(one.at, start + one.share * (end - start), atol=1e-9)
            assert math.hypot(*one.start) < math.hypot(*one.aside)
    assert shown == {entry.letter: entry.view for entry in listed}


def test_an_instant_centre_off_the_sheet_is_shown_at_its_edge() -> None:
    spec = inspected(EXAMPLES / "three-link-metric.buildcheck.yaml")
    found = motion(Job(spec.build), spec.readings)
    side, *others = pictures(spec.build, found, sheet(found.drawing, spec.build.units, frozenset()), ())
    assert side.off is not None
    assert side.off.lines == ("instant centre off the sheet,", "more than 20 m (66 ft) behind the axle")
    assert [each.off for each in others] == [None, None]
    assert "instant centre" not in {flag.letter for flag in side.flags}
    spec = inspected(TAMARACK)
    found = motion(Job(spec.build), spec.readings)
    side, *_ = pictures(spec.build, found, sheet(found.drawing, spec.build.units, frozenset()), ())
    assert side.off is None
    # Both letters have a leader that ends on what they name.
    assert {flag.letter for flag in side.flags if flag.start} == {"instant centre", "roll centre"}


def test_poses_out_of_reach_have_no_place() -> None:
    short = FREE.replace("links:", "lateral_bar: {frame: [5, 9, 18], axle: [5, -9, 16.6]}\nlinks:").replace(
        "[0, 17, 14]}}", "[0, 17, 14]}}\n  upper: {both: {kind: two-point, frame: [-6, 12, 22], axle: [0, 14, 21]}}"
    )
    spec = inspected(short.replace("bump: 4", "bump: 12"), changes=False)
    found = motion(Job(spec.build), spec.readings)
    data = record(found, spec.build.units)
    link = next(member for member in found.drawing.members if member.label == "left lower link")
    top = int(found.travel[-1])
    assert data["points"][link.points[1]][0][top] is None
    ends = found.points_at(top, 0)
    assert outline("line", [ends[number] for number in link.points], 0.0, SIDE) == ""


def numbers(path: str) -> list[float]:
    return [float(each) for each in re.findall(r"-?[\d.]+", path)]


def test_each_view_looks_the_way_it_says() -> None:
    point = (1.0, 2.0, 3.0)  # forward, left, up
    assert SIDE.place(point) == (-1000.0, -3000.0)  # from the left: forward is to the left
    assert FRONT.place(point) == (2000.0, -3000.0)  # from the front: the truck's left is to the right
    assert TOP.place(point) == (-1000.0, 2000.0)  # from above, under the view from the left in the first angle


def test_a_wheel_is_a_circle_from_its_side_and_a_rectangle_from_the_front() -> None:
    faces = [(0.0, 0.9, 0.4), (0.0, 0.6, 0.4)]
    side, front = (outline("wheel", faces, 800.0, view) for view in (SIDE, FRONT))
    # Half a circle whose radius falls short of its ends is widened to them.
    assert re.findall(r"A([\d.]+) ([\d.]+)", side) == [("399.9", "399.9")] * 4
    assert re.findall(r"A([\d.]+) ([\d.]+)", front) == [("399.9", "0.0")] * 4
    turned = [
        (0.15 * math.sin(0.5), 0.75 + 0.15 * math.cos(0.5), 0.4),
        (-0.15 * math.sin(0.5), 0.75 - 0.15 * math.cos(0.5), 0.4),
    ]
    flat = float(re.findall(r"A[\d.]+ ([\d.]+)", outline("wheel", turned, 800.0, FRONT))[0])
    assert flat == pytest.approx(400 * math.sin(0.5) - 0.1, abs=0.06)


def test_a_tube_is_as_wide_as_it_is_and_round_from_its_end() -> None:
    ends = [(0.0, 0.5, 0.4), (0.0, -0.5, 0.4)]
    across = numbers(outline("bar", ends, 50.0, FRONT))
    assert {across[1], across[10]} == {-425.0, -375.0}
    assert outline("bar", ends, 50.0, SIDE).count("A24.9 24.9") == 2
    assert outline("bar", ends, 0.0, FRONT) == "M500.0 -400.0L-500.0 -400.0"


def test_views_hold_every_member_in_every_pose_and_share_their_frames() -> None:
    spec = inspected(FAULTS)
    found = motion(Job(spec.build), spec.readings)
    drawn = sheet(found.drawing, spec.build.units, frozenset({"side"}))
    assert (drawn.side.top_edge, drawn.side.height) == (drawn.front.top_edge, drawn.front.height)
    assert (drawn.side.left_edge, drawn.side.width) == (drawn.top.left_edge, drawn.top.width)
    assert (drawn.third_angle, drawn.scale) == (True, 30)
    for view in drawn.views:
        for member in found.drawing.members:
            if member.kind in ("obstacle", "instant centre", "roll axis"):
                continue
            for pose in (0, int(found.travel[-1]), len(found.heave) - 1):
                for number in member.points:
                    x, y = view.place(found.points_at(pose, found.straight)[number])
                    assert view.left_edge < x < view.left_edge + view.width
                    assert view.top_edge < y < view.top_edge + view.height


def test_a_metric_build_is_drawn_in_the_first_angle() -> None:
    spec = inspected(EXAMPLES / "three-link-metric.buildcheck.yaml")
    found = motion(Job(spec.build), spec.readings)
    assert sheet(found.drawing, spec.build.units, frozenset()).third_angle is False


def test_every_change_has_one_balloon_and_balloons_keep_clear_of_each_other() -> None:
    spec = inspected(FAULTS)
    found, to_do = motion(Job(spec.build), spec.readings), work(spec, items(spec))
    anchored, general = anchors(spec.build, found, to_do.lines)
    drawn = sheet(found.drawing, spec.build.units, frozenset(anchor.view for anchor in anchored))
    views = {view.name: view for view in drawn.views}
    made = {name: marks(found, anchored, view) for name, view in views.items()}
    everywhere = [mark.line.number for each in made.values() for mark in each] + [line.number for line in general]
    assert sorted(everywhere) == [line.number for line in to_do.lines]
    for name, each in made.items():
        for seats, apart in (([m.wide for m in each], SPACING), ([m.narrow for m in each], thumb(views[name]))):
            places = [seat.balloon for seat in seats]
            gaps = [math.dist(one, other) for one in places for other in places if one is not other]
            assert not gaps or min(gaps) >= apart - 1e-6
        # On a wide screen they are within the frame, on a narrow one above it.
        top, height = views[name].top_edge, views[name].height
        assert all(top + BALLOON < mark.wide.balloon[1] < top + height - BALLOON for mark in each)
        assert all(mark.narrow.balloon[1] < views[name].top_edge for mark in each)
    arms = next(mark for mark in made["side"] if "frame end of the left and right arm" in mark.line.says)
    frame = spec.build.links["arm"][Side.LEFT].frame
    np.testing.assert_allclose(arms.end, drawn.side.place(frame), atol=0.06)


def test_what_takes_more_than_one_row_of_balloons_is_on_two_margins_and_no_leaders_of_one_cross() -> None:
    spec = inspected(FAULTS)
    found = motion(Job(spec.build), spec.readings)
    anchored, _ = anchors(spec.build, found, work(spec, items(spec)).lines)
    drawn = sheet(found.drawing, spec.build.units, frozenset(anchor.view for anchor in anchored))
    for view in drawn.views:
        seats = marks(found, anchored, view, drawn.row * drawn.rows)
        margins = {mark.wide.balloon[1] for mark in seats}
        assert len(margins) == (2 if view.name == "side" else 1)
        for margin in margins:
            of_it = [mark for mark in seats if mark.wide.balloon[1] == margin]
            assert [mark.wide.balloon[0] for mark in of_it] == sorted(mark.wide.balloon[0] for mark in of_it)
            assert [mark.end[0] for mark in of_it] == sorted(mark.end[0] for mark in of_it)
    side = marks(found, anchored, drawn.side, drawn.row * drawn.rows)
    upper = min(mark.wide.balloon[1] for mark in side)
    ends = [[mark.end[1] for mark in side if (mark.wide.balloon[1] == upper) is above] for above in (True, False)]
    assert max(ends[0]) <= min(ends[1])


def test_dimensions_say_what_the_spec_says() -> None:
    spec = inspected(TAMARACK)
    found = motion(Job(spec.build), spec.readings)
    made = dimensions(spec.build, found, sheet(found.drawing, spec.build.units, frozenset()))
    assert [figure.text for figure in made["side"]] == ["16.60 in", "37.00 in", "19.70 in"]
    assert made["front"][0].text == "67.00 in"
    assert made["front"][1].text.startswith("roll centre ")


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.name.split(".")[0])
def test_letters_stand_by_what_they_name_and_on_no_tube(spec: Path) -> None:
    done = inspected(spec)
    found = motion(Job(done.build), done.readings)
    drawn = sheet(found.drawing, done.build.units, frozenset())
    points = found.points_at(found.ride, found.straight)
    for picture in pictures(done.build, found, drawn, ()):
        for flag in picture.flags:
            assert math.dist(flag.at, picture.view.place(points[flag.point])) < 9 * drawn.letter
            if picture.view.name != "side" or flag.letter not in ("L", "R", "L R"):
                continue
            for member in found.drawing.members:
                if member.shape == "bar":
                    ends = [np.array(picture.view.place(points[number])) for number in member.points]
                    along = ends[1] - ends[0]
                    share = np.clip((np.array(flag.at) - ends[0]) @ along / max(along @ along, 1e-9), 0, 1)
                    clear = np.linalg.norm(np.array(flag.at) - ends[0] - share * along) - member.size * 500
                    assert clear > 0.3 * drawn.letter, (flag.letter, member.label)


def test_three_views_share_one_sheet_at_the_largest_scale_that_fits(monkeypatch: pytest.MonkeyPatch) -> None:
    text = (EXAMPLES / "four-link-rear.buildcheck.yaml").read_text(encoding="utf-8")
    for track in (66, 90):
        spec = inspected(text.replace("track: 66", f"track: {track}"), changes=False)
        drawing = motion(Job(spec.build), spec.readings).drawing

        def fits(drawn: Sheet) -> bool:
            wide, high = drawn.side.width + drawn.front.width, drawn.side.height + drawn.top.height
            return wide <= ROOM[0] * drawn.scale and high <= ROOM[1] * drawn.scale

        drawn = sheet(drawing, spec.build.units, frozenset(("side", "front")))
        assert fits(drawn)
        larger = SCALES[SCALES.index(drawn.scale) - 1]
        with monkeypatch.context() as patched:
            patched.setattr(views, "SCALES", (larger,))
            assert not fits(sheet(drawing, spec.build.units, frozenset(("side", "front"))))


def test_angles_on_the_view_from_the_left_are_those_of_the_build() -> None:
    spec = inspected(FAULTS)
    found, build = motion(Job(spec.build), spec.readings), spec.build
    drawn = sheet(found.drawing, build.units, frozenset())
    reds = tuple(Red(i.number, i.reading.verdict.value, i.reading.quantity, i.reading.place) for i in items(spec))
    picture = next(each for each in pictures(build, found, drawn, (), reds) if each.view.name == "side")
    moving = Job(build).moved(np.zeros(1), np.zeros(1))
    slope = next(r for r in spec.readings if r.quantity == "slope-at-ride" and r.subject == "left arm")
    assert slope.value is not None
    degrees = {
        "left arm, slope at ride height": slope.value,
        "caster": build.axle.caster - moving.pitch[0],
        "pinion, up": moving.pinion_up[0],
    }
    assert {each.name for each in picture.angles} == set(degrees)
    for each in picture.angles:
        assert each.text.removeprefix("caster ").removeprefix("pinion up ") == words.amount(
            degrees[each.name], Dimension.ANGLE, build.units
        )
        (corner, level), (_, end) = each.lines
        between = math.atan2(end[1] - corner[1], end[0] - corner[0]) - math.atan2(
            level[1] - corner[1], level[0] - corner[0]
        )
        turned = abs((between + math.pi) % (2 * math.pi) - math.pi)
        assert turned == pytest.approx(abs(degrees[each.name]), abs=2e-3)  # points are to a tenth of a millimetre
    red = next(each.red for each in picture.angles if each.name.startswith("left arm"))
    assert red is not None
    assert (red.verdict, red.limit) == ("error", "slope-at-ride")


def test_a_rail_that_goes_on_is_cut_with_a_break_line_at_the_dimensions() -> None:
    spec = inspected(TAMARACK)
    found = motion(Job(spec.build), spec.readings)
    drawn = sheet(found.drawing, spec.build.units, frozenset())
    made = {each.view.name: each for each in pictures(spec.build, found, drawn, ())}
    assert made["side"].breaks
    assert not made["front"].breaks
    for name in ("side", "top"):
        view = made[name].view
        for rail in (each for each in made[name].outlines if "rail" in each.name):
            across = [float(x) for x in re.findall(r"[MH](-?[\d.]+)", rail.path)]
            assert view.left_edge + drawn.row < min(across) < max(across) < view.left_edge + view.width - drawn.row


def test_a_part_alone_has_room_about_it() -> None:
    spec = inspected("format: 1\nunits: metric\naxle: {position: rear, centre: [0, 0, 400]}\n")
    drawn = sheet(motion(Job(spec.build), spec.readings).drawing, spec.build.units, frozenset())
    for view in drawn.views:
        assert view.width > 700
        assert view.height > 400


def test_each_pair_of_links_has_its_own_dimensions_the_shorter_nearer_to_it() -> None:
    spec = inspected(EXAMPLES / "four-link-rear.buildcheck.yaml")
    found = motion(Job(spec.build), spec.readings)
    drawn = sheet(found.drawing, spec.build.units, frozenset())
    made = dimensions(spec.build, found, drawn)
    assert [figure.text for figure in made["side"]] == ["16.60 in", "24.00 in", "29.40 in", "18.40 in", "23.60 in"]
    assert [figure.text for figure in made["top"]] == ["27.00 in", "34.00 in", "7.00 in", "44.00 in"]
    _, inner, outer, low, high = (figure.at for figure in made["side"])
    assert inner[1] < outer[1] < drawn.side.top_edge + drawn.side.height
    assert drawn.side.left_edge < high[0] < low[0]  # both at the edge that the frame ends are nearer to


def test_stabiliser_and_carrier_bearing_are_drawn_where_they_are_stated() -> None:
    text = TAMARACK.read_text(encoding="utf-8")
    stated = text.replace(
        "steering:\n",
        "steering:\n  stabiliser: {fixed: [6, 0, 15], fixed_to: axle, moving: [6, -16, 15], steadies: tie-rod}\n",
    ).replace(
        "driveshaft:\n",
        "driveshaft:\n  carrier_bearing: {point: [-42, -4, 21], gearbox_point: [-70, -4, 22]}\n",
    )
    build = inspected(stated).build
    drawn, moving = drawing(Job(build), HEAVE, ROLL, LOCKS)
    members = {member.label: member for member in drawn.members}
    fixed, free = (drawn.points[number] for number in members["steering stabiliser"].points)
    np.testing.assert_array_equal(fixed, moving[0].point(build.steering.stabiliser.fixed))
    level = 1  # the pose at ride height, where the spec places it
    np.testing.assert_allclose(free[1][:, level], build.steering.stabiliser.moving, atol=1e-6)
    # It keeps its share of the tie rod as that moves.
    rod, place = build.steering.tie_rod, np.array(build.steering.stabiliser.moving)
    along = np.subtract(rod.right, rod.left)
    share = (place - rod.left) @ along / (along @ along)
    aside = place - rod.left - share * along
    left, right = (drawn.points[number] for number in members["steering tie rod"].points)
    np.testing.assert_allclose(free, left + share * (right - left) + aside[:, None], atol=1e-12)
    assert np.ptp(free[:, 1], axis=0).max() > 0.05  # the locks carry it along
    front = [drawn.points[number] for number in members["front shaft"].points]
    bearing = build.driveshaft.carrier_bearing
    np.testing.assert_array_equal(front, [bearing.gearbox_point, bearing.point, build.driveshaft.output.point])
    assert {"gearbox joint", "carrier bearing"} <= set(members)


PARTIAL = {
    "no centre of the housing": (TAMARACK, lambda spec: spec["axle"]["centre_section"].pop("centre")),
    "no vehicle": (METRIC, lambda spec: spec.pop("vehicle")),
    "no position of the axle": (METRIC, lambda spec: spec["axle"].pop("position")),
    "no place of the kingpins": (TAMARACK, lambda spec: spec["steering"].update(kingpins={"both": {}})),
    "a tie rod whose ends are one": (
        TAMARACK,
        lambda spec: (
            spec["steering"]["drag_link"].update(ends_on="tie-rod"),
            spec["steering"]["tie_rod"].update(left=[8.5, -29.7, 14.2]),
        ),
    ),
}


@pytest.mark.parametrize("lack", PARTIAL)
def test_what_a_spec_lacks_is_left_out_of_the_drawing_and_the_rest_drawn(lack: str) -> None:
    path, change = PARTIAL[lack]
    data = json.loads(json.dumps(read_file(path).data))
    change(data)
    spec = inspected(json.dumps(data, indent=1))
    found = motion(Job(spec.build), spec.readings)
    drawn = {member.kind for member in found.drawing.members}
    assert {"axle", "link"} <= drawn or lack in ("no vehicle", "no position of the axle")
    assert drawn
    assert re.findall(r'="[^"]*\bnan\b[^"]*"', page(spec, "0")) == []
