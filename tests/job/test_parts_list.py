"""The parts list: lengths by closed forms and by the motion, its symmetries, and nothing unknown that looks known."""

from __future__ import annotations

import math
from random import Random
from typing import Any

import pytest

from buildcheck.build import Build, Side
from buildcheck.build.part import fields
from buildcheck.job import Job
from buildcheck.job.parts_list import LISTED, SECTIONS, ListedPart, Piece, parts_list
from buildcheck.testing import changed, sound_spec
from buildcheck.testing.rewritten import in_other_units, mirror_image
from buildcheck.testing.specs import build_of

INCH = 0.0254
PROPOSAL = "tamarack/proposal.buildcheck.yaml"
METRIC, FOUR_LINK = "three-link-metric.buildcheck.yaml", "four-link-rear.buildcheck.yaml"


def listed(spec: dict[str, Any]) -> dict[str, ListedPart]:
    return {part.path: part for part in parts_list(build_of(spec)).parts}


def length(part: ListedPart) -> float:
    assert part.length is not None
    return part.length


def without(spec: dict[str, Any], path: str) -> dict[str, Any]:
    """The spec without what is at a path."""
    made = changed(spec, {})
    *above, last = path.replace("[0]", ".0").split(".")
    held: Any = made
    for step in above:
        held = held[int(step) if step.isdecimal() else step]
    del held[last]
    return made


def test_lengths_are_those_of_pythagoras() -> None:
    placed = {
        "links.arm.both.frame": [-37, 16.5, 19.7], "links.arm.both.axle_upper": [3, 17.5, 18.4],
        "links.arm.both.axle_lower": [-3, 17.5, 15.2], "lateral_bar.frame": [5.5, 16.5, 22.75],
        "lateral_bar.axle": [5.5, -16.5, 19.9], "steering.tie_rod.left": [8.5, 29.7, 14.2],
        "steering.tie_rod.right": [8.5, -29.7, 14.2], "driveshaft.output.point": [-42, -4, 22],
        "axle.pinion.point": [-10, -7, 18.3],
    }  # fmt: skip
    found = listed(changed(sound_spec(), placed))
    bar = math.hypot(33, 22.75 - 19.9) * INCH
    arm = math.dist((-37, 16.5, 19.7), (0, 17.5, 16.8)) * INCH
    assert length(found["lateral_bar"]) == pytest.approx(bar, abs=1e-12)
    for side in ("left", "right"):
        spans = found[f"links.arm.{side}"].spans
        assert [span.value for span in spans] == pytest.approx(
            [
                arm,
                math.dist((-37, 16.5, 19.7), (3, 17.5, 18.4)) * INCH,
                math.dist((-37, 16.5, 19.7), (-3, 17.5, 15.2)) * INCH,
                math.hypot(6, 3.2) * INCH,
            ],
            abs=1e-12,
        )
    assert length(found["steering.tie_rod"]) == pytest.approx(59.4 * INCH, abs=1e-12)
    assert length(found["driveshaft"]) == pytest.approx(math.dist((-42, -4, 22), (-10, -7, 18.3)) * INCH, abs=1e-12)


def test_every_length_agrees_with_the_motion_when_the_links_are_made_longer() -> None:
    """Lower links 5 mm longer than drawn push the axle forward, and everything on it goes along."""
    spec = changed(sound_spec(METRIC), {"links.lower.both.length": 906.64})
    found, drawn, job = listed(spec), listed(sound_spec(METRIC)), Job(build_of(spec))
    for name in ("coilovers.coilover", "limit_straps.strap"):
        section, key = name.split(".")
        part = getattr(job.build, section)[key].left
        at_ride = job.length(part, job.lines.travel).ride.value
        assert length(found[f"{name}.left"]) == pytest.approx(at_ride, abs=1e-9)
        assert abs(at_ride - length(drawn[f"{name}.left"])) > 1e-5
    shaft = job.driveshaft_length(job.lines.travel).ride.value
    assert length(found["driveshaft"]) == pytest.approx(shaft, abs=1e-9)
    assert abs(shaft - length(drawn["driveshaft"])) > 1e-4
    assert length(found["links.lower.left"]) == pytest.approx(0.90664, abs=1e-12)


def test_an_arm_of_another_length_than_its_points_does_not_say_where_its_joints_are() -> None:
    found = listed(changed(sound_spec(), {"links.arm.both.length": "37 1/4 in"}))["links.arm.left"]
    assert found.length == pytest.approx(37.25 * INCH, abs=1e-12)
    assert [span.value for span in found.spans[1:]] == [None] * 3
    assert "links.arm.both.length" in found.spans[1].why


def test_links_that_cannot_be_joined_leave_the_rest_without_a_length() -> None:
    spec = changed(sound_spec(METRIC), {"links.lower.both.length": "2 m"})
    found = listed(spec)["coilovers.coilover.left"]
    assert found.length is None
    assert found.spans[0].why


@pytest.mark.parametrize("name", [PROPOSAL, METRIC, FOUR_LINK])
def test_the_mirror_image_has_the_same_lengths_on_the_other_side(name: str) -> None:
    spec = sound_spec(name)
    other = {Side.LEFT: "right", Side.RIGHT: "left"}
    here = parts_list(build_of(spec)).parts
    there = {part.path: part for part in parts_list(build_of(mirror_image(spec))).parts}
    for part in here:
        path = part.path.replace(part.side.value, other[part.side]) if part.side in other else part.path
        assert [span.value for span in there[path].spans] == pytest.approx([span.value for span in part.spans])
        stated = {in_the_mirror(piece.name): (piece.stated, values(piece)) for piece in part.pieces}
        assert {piece.name: (piece.stated, values(piece)) for piece in there[path].pieces} == stated
        assert len(stated) == len(part.pieces)


def values(piece: Piece) -> list[object]:
    return [fact.value for fact in piece.facts]


def in_the_mirror(name: str) -> str:
    """The name of a piece on the other side: the joints of the tie rod are `left joint` and `right joint`."""
    first, _, rest = name.partition(" ")
    return f"{ {'left': 'right', 'right': 'left'}.get(first, first) } {rest}".strip()


def test_other_units_give_the_same_list() -> None:
    def amounts(build: Build) -> list[float | None]:
        parts = parts_list(build).parts
        spans = [span.value for part in parts for span in part.spans]
        facts = [
            fact.value
            for part in parts
            for fact in (*part.facts, *(each for piece in part.pieces for each in piece.facts))
            if isinstance(fact.value, float)
        ]
        return [*spans, *facts]

    spec = sound_spec()
    assert amounts(build_of(in_other_units(Random(1), spec))) == pytest.approx(amounts(build_of(spec)), rel=1e-12)


@pytest.mark.parametrize(
    ("path", "unknown"),
    [
        ("links.arm.both.tube.wall", "links.arm.{side}.tube.wall"),
        ("links.arm.both.tube", "links.arm.{side}.tube"),
        ("links.arm.both.joints.axle_upper", "links.arm.{side}.joints.axle_upper"),
        ("links.arm.both.joints", "links.arm.{side}.joints.frame"),
        ("links.arm.both.joints.frame.bolt", "links.arm.{side}.joints.frame.bolt"),
        ("links.arm.both.joints.frame.bolt.size", "links.arm.{side}.joints.frame.bolt.size"),
        ("links.arm.both.frame", "links.arm.{side}.frame"),
        ("steering.drag_link.joints.pitman.stud", "steering.drag_link.joints.pitman.stud"),
        ("limit_straps.strap.both.joints.axle.bolt", "limit_straps.strap.{side}.joints.axle.bolt"),
        ("lateral_bar.tube.outside_diameter", "lateral_bar.tube.outside_diameter"),
        ("coilovers.coilover.both.springs", "coilovers.coilover.{side}.springs"),
        ("coilovers.coilover.both.springs[0].rate", "coilovers.coilover.{side}.springs[0].rate"),
        ("coilovers.coilover.both.gas_pressure", "coilovers.coilover.{side}.gas_pressure"),
        ("limit_straps.strap.both.length", "limit_straps.strap.{side}.length"),
        ("bump_stops.stop.both.free_length", "bump_stops.stop.{side}.free_length"),
        ("brake_lines.line.both.free_length", "brake_lines.line.{side}.free_length"),
        ("driveshaft.longest_length", "driveshaft.longest_length"),
        ("driveshaft.pinion_joint", "driveshaft.pinion_joint"),
        ("attachments.arm_axle_bracket.right.bolts.torque", "attachments.arm_axle_bracket.right.bolts.torque"),
        ("attachments.arm_axle_bracket.right.bolts", "attachments.arm_axle_bracket.right.bolts"),
    ],
)
def test_what_is_left_out_is_named_and_never_zero(path: str, unknown: str) -> None:
    sound, spec = sound_spec(), without(sound_spec(), path)
    sides = ("left", "right") if "both" in path else ("",)
    for side in sides:
        name = unknown.format(side=side)
        assert not any(name in part.unknown for part in parts_list(build_of(sound)).parts)
        (part,) = (each for each in parts_list(build_of(spec)).parts if name in each.unknown)
        facts = [fact for piece in part.pieces for fact in piece.facts]
        assert all(fact.value is None for fact in (*part.facts, *facts) if fact.path == name)
        assert all(piece.facts == () for piece in part.pieces if not piece.stated)


def test_a_length_that_is_not_known_says_what_is_missing() -> None:
    found = listed(without(sound_spec(), "axle.pinion"))["driveshaft"]
    assert (found.length, found.spans[0].why) == (None, "the spec lacks axle.pinion")


@pytest.mark.parametrize("section", SECTIONS)
def test_a_section_that_is_not_there_is_named(section: str) -> None:
    spec = sound_spec()
    del spec[section]
    made = parts_list(build_of(spec))
    assert made.absent == (section,)
    assert not any(part.path.startswith(section) for part in made.parts)


def test_only_a_rod_end_is_asked_for_its_thread_and_only_a_gas_spring_for_its_gas() -> None:
    rod_end, rubber = {"kind": "rod-end"}, {"kind": "rubber"}
    found = listed(changed(sound_spec(), {"lateral_bar.joints": {"frame": rod_end, "axle": rubber}}))["lateral_bar"]
    assert found.unknown == tuple(
        f"lateral_bar.{rest}"
        for rest in (
            *("joints.frame.bolt", "joints.axle.bolt", "joints.frame.thread", "joints.frame.thread_hand"),
            *("joints.frame.load_rating", "joints.axle.load_rating"),
        )
    )
    stop = changed(sound_spec(), {"bump_stops.stop.both.kind": "hydraulic"})
    assert listed(stop)["bump_stops.stop.left"].unknown == ("bump_stops.stop.left.gas_charged",)
    assert listed(sound_spec())["bump_stops.stop.left"].unknown == ()


def test_a_shaft_of_two_pieces_is_two_parts() -> None:
    bearing = {"point": [-60, -4, 21], "gearbox_point": [-84, -4, 22]}
    output = {"driveshaft.output.point": [-42, -4, 22], "driveshaft.carrier_bearing": bearing}
    found = listed(changed(sound_spec(), output))["driveshaft.carrier_bearing"]
    assert [span.value for span in found.spans] == pytest.approx([42 * INCH, math.hypot(24, 1) * INCH], abs=1e-12)
    assert found.label == "front shaft"


def test_the_listed_fields_are_fields_of_their_classes() -> None:
    assert all(name in fields(kind) for kind, names in LISTED.items() for name in names)
