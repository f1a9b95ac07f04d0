"""The order and cut lists: lengths by hand, quantities that add up, and nothing unknown that looks known."""

from __future__ import annotations

import math
from typing import Any

import pytest
from buildcheck_rules.tube_length import bar

from buildcheck.build.part import words
from buildcheck.job.parts_list import parts_list
from buildcheck.shop.order_list import Cut, Line, OrderList, Packed, order_list
from buildcheck.testing import changed, sound_spec
from buildcheck.testing.rewritten import mirror_image
from buildcheck.testing.specs import build_of

INCH = 0.0254
PROPOSAL, METRIC = "tamarack/proposal.buildcheck.yaml", "three-link-metric.buildcheck.yaml"
FOUR_LINK = "four-link-rear.buildcheck.yaml"
BAR = math.hypot(33, 2.85) * INCH
SHANK = {"shank_length": 100, "thread_engaged": 40, "insert_shoulder": 6, "thread": "M20x1.5", "thread_hand": "right"}
LOWER = {
    **{f"links.lower.both.joints.frame.{name}": value for name, value in SHANK.items()},
    "links.lower.both.joints.axle.centre_to_tube": 32,
}


def listed(name: str = PROPOSAL, changes: dict[str, Any] | None = None) -> OrderList:
    return order_list(build_of(changed(sound_spec(name), changes or {})))


def cut_of(made: OrderList, label: str) -> Cut:
    return next(cut for cut in made.cuts if cut.label == label)


def lines_of(made: OrderList, kind: str) -> list[Line]:
    return [line for line in made.lines if line.kind == kind]


def test_a_tube_is_cut_to_the_length_less_what_the_joints_take_up() -> None:
    cut = cut_of(listed(changes=bar("4 1/8 in")), "lateral bar")
    assert cut.length == pytest.approx(BAR - 2 * (4.125 - 1.5 + 0.25) * INCH, abs=1e-12)
    assert (cut.number, cut.why, cut.unknown) == (1, "", ())


def test_one_end_may_be_welded_on() -> None:
    cut = cut_of(listed(METRIC, LOWER), "left and right lower link")
    length = math.dist((-870, 405, 370), (30, 430, 320))
    assert cut.length == pytest.approx((length - (100 - 40 + 6) - 32) / 1000, abs=1e-12)
    assert (cut.number, cut.paths) == (2, ("links.lower.left", "links.lower.right"))
    assert cut.length + sum(taken.length for taken in cut.takes) == pytest.approx(cut.joint_to_joint)


def test_sides_of_different_lengths_are_cut_by_themselves() -> None:
    made = listed(METRIC, {**LOWER, "links.lower.left.frame.x": -868})
    assert [(cut.label, cut.number) for cut in made.cuts[:2]] == [("left lower link", 1), ("right lower link", 1)]
    assert made.cuts[0].length != made.cuts[1].length


@pytest.mark.parametrize("name", ["frame", "axle"])
@pytest.mark.parametrize("field", ["shank_length", "thread_engaged", "insert_shoulder"])
def test_a_cut_length_that_lacks_something_is_not_given(name: str, field: str) -> None:
    spec = changed(sound_spec(), bar("4 in"))
    del spec["lateral_bar"]["joints"][name][field]
    cut = cut_of(order_list(build_of(spec)), "lateral bar")
    assert (cut.length, cut.unknown) == (None, (f"lateral_bar.joints.{name}.{field}",))
    assert cut.joint_to_joint == pytest.approx(BAR)


def test_an_arm_is_not_cut_from_joint_to_joint() -> None:
    made = listed()
    cut = cut_of(made, "left and right arm")
    assert (cut.length, cut.unknown, cut.incomplete) == (None, (), False)
    assert "yoke" in cut.why
    upper = math.dist((-37, 16.5, 19.7), (3, 17.5, 18.4)) * INCH
    assert cut.set_up_by[0][:2] == ("frame joint to upper axle joint", pytest.approx(upper))
    longer = cut_of(listed(changes={"links.arm.both.length": "37 1/4 in"}), "left and right arm")
    assert longer.incomplete, "the distances of its joints are not known any more"


@pytest.mark.parametrize("name", [PROPOSAL, METRIC, FOUR_LINK])
def test_the_quantities_add_up(name: str) -> None:
    build = build_of(sound_spec(name))
    made, parts = order_list(build), parts_list(build).parts
    joints = [(part, piece) for part in parts for piece in part.pieces if piece.kind == "joint"]
    assert sum(line.number for line in lines_of(made, "joint")) == len(
        [part for part, _ in joints if part.kind != "driveshaft"]
    )
    screwed = [piece for _, piece in joints if any(fact.name == "thread" for fact in piece.facts)]
    for kind in ("jam nut", "threaded insert"):
        assert sum(line.number for line in lines_of(made, kind)) == len(screwed)
    bolted = [bracket for sides in build.attachments.values() for bracket in sides if bracket.has("bolts")]
    through = [piece for part in parts for piece in part.pieces if piece.kind == "bolt"]
    in_brackets = sum(bracket.bolts.count for bracket in bolted)
    assert sum(line.number for line in lines_of(made, "bolt")) == len(through) + in_brackets
    for kind in ("coilover", "limit strap", "bump stop", "brake line", "driveshaft"):
        assert sum(line.number for line in lines_of(made, kind)) == sum(part.kind == kind for part in parts)
    assert sum(line.number for line in lines_of(made, "bracket plate")) == sum(part.kind == "bracket" for part in parts)
    cuts = sum(cut.number for cut in made.cuts)
    assert cuts == sum(part.kind in ("link", "radius arm", "lateral bar", "drag link", "tie rod") for part in parts)


@pytest.mark.parametrize("name", [PROPOSAL, METRIC, FOUR_LINK])
def test_the_mirror_image_needs_the_same(name: str) -> None:
    def counted(spec: dict[str, Any]) -> list[tuple[Any, ...]]:
        made = order_list(build_of(spec))
        lines = [(line.kind, line.number, [fact.value for fact in line.facts]) for line in made.lines]
        return sorted(
            [*lines, *(("cut", cut.number, [round(cut.joint_to_joint or 0, 9)]) for cut in made.cuts)], key=repr
        )

    assert counted(mirror_image(sound_spec(name))) == counted(sound_spec(name))


def test_the_grip_of_a_bracket_is_what_it_clamps_and_never_a_guess() -> None:
    def grips(changes: dict[str, Any] | None = None) -> dict[str, float | None]:
        return {
            line.used_for[0]: fact.value
            for line in lines_of(listed(changes=changes), "bolt")
            for fact in line.facts
            if fact.name == "grip" and "bracket" in line.used_for[0]
        }

    into = "attachments.arm_axle_bracket.right.bolts.threaded_into"
    assert grips()["right arm axle bracket"] == pytest.approx(3 / 4 * INCH)  # tapped: the foot alone is clamped
    assert grips({into: "nut"})["right arm axle bracket"] == pytest.approx((3 / 4 + 1.75) * INCH)
    spec = changed(sound_spec(), {into: "nut"})
    del spec["attachments"]["arm_axle_bracket"]["right"]["parent_thickness"]
    line = next(
        line
        for line in order_list(build_of(spec)).lines
        if line.used_for == ("right arm axle bracket",) and line.kind == "bolt"
    )
    assert next(fact.value for fact in line.facts if fact.name == "grip") is None
    assert "attachments.arm_axle_bracket.right.parent_thickness" in line.unknown


def test_a_lock_nut_is_ordered_for_each_bolt_that_it_locks() -> None:
    by = "attachments.arm_axle_bracket.right.bolts.locked_by"
    before = lines_of(listed(), "all metal lock nut")
    after = lines_of(listed(changes={by: "all-metal-lock-nut"}), "all metal lock nut")
    (few,) = (line for line in before if [fact.value for fact in line.facts] == ["5/8-11"])
    (line,) = (line for line in after if line not in before)
    assert (few.number, line.number, [fact.value for fact in line.facts]) == (2, 8, ["5/8-11"])


@pytest.mark.parametrize(
    ("stated", "left"),
    [
        ({"ordered": 2, "arrived": 2, "inspected": True}, ()),
        ({"ordered": 1, "arrived": 1, "inspected": True}, ("order 1 more",)),
        ({"ordered": 2, "arrived": 0, "inspected": False}, ("2 not arrived", "not inspected")),
        ({"arrived": 1, "inspected": True}, ("how many were ordered is not stated", "1 not arrived")),
        (
            {"ordered": 2},
            ("how many arrived is not stated", "whether they were inspected is not stated"),
        ),
    ],
    ids=str,
)
def test_the_packing_list_says_what_is_still_to_do(stated: dict[str, Any], left: tuple[str, ...]) -> None:
    (packed,) = listed(changes={"parts": {"limit_straps": stated}}).packed
    assert (packed.needed, packed.lacks) == (2, left)


def test_a_name_that_nothing_has_is_said_and_a_part_that_is_not_on_the_list_too() -> None:
    made = listed(changes={"parts": {"winch": {"ordered": 1, "arrived": 1, "inspected": True}, "lateral_bar": {}}})
    assert made.packed[0] == Packed("winch", "parts.winch", None, 1, 1, True)
    assert made.packed[0].lacks == ("nothing in the spec has this name",)
    assert made.packed[1].needed == 1
    assert "lateral bar" not in made.unpacked
    assert "coilover" in made.unpacked


@pytest.mark.parametrize(
    ("name", "needed"),
    [
        ("radius_arm", 2),
        ("arm", 2),
        ("coilovers", 2),
        ("bump_stop", 2),
        ("rod_ends", 2),
        ("jam_nuts", 6),
        ("tie_rod", 1),
    ],
)
def test_a_packing_list_names_parts_as_a_shop_does(name: str, needed: int) -> None:
    (packed,) = listed(changes={"parts": {name: {"ordered": 2}}}).packed
    assert packed.needed == needed


def test_the_renewal_list_begins_with_what_the_records_name() -> None:
    renewed = {"axle_shaft_seals": {"renewed": True}, "cotter_pins": {"renewed": False}}
    made = listed(changes={"records.reassembled": {"renewed": renewed}}).renewals
    assert [(each.name, each.renewed) for each in made[:2]] == [("axle shaft seals", True), ("cotter pins", False)]
    names = [each.name for each in made]
    assert len(set(names)) == len(names)
    assert "brake hoses" in names
    assert all("common practice, no source" in each.why for each in made[2:])


def test_a_spec_without_parts_has_nothing_to_order_and_says_what_it_lacks() -> None:
    made = order_list(build_of({"format": 1, "units": "metric", "axle": {"position": "front"}}))
    assert made.empty
    assert "links" in made.absent
    assert [words(section) for section in made.absent]


def test_everything_unknown_is_a_path_of_its_line() -> None:
    for name in (PROPOSAL, METRIC, FOUR_LINK):
        for line in listed(name).lines:
            assert len([fact for fact in line.facts if fact.value is None]) <= len(line.unknown)
            assert all(path for path in line.unknown)
