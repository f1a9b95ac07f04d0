"""Reading a valid spec into typed, frozen values in SI units, left and right made explicit."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from buildcheck.build import Build, Missing, Part, Point, Side, Sides, Stage, Vector, read_build
from buildcheck.build.linkage import Link
from buildcheck.spec.document import read_file, read_text
from buildcheck.spec.schema import problems_in
from buildcheck.testing.rewritten import sides_written_out

FOLDER = Path(__file__).parent.parent.parent / "examples"
EXAMPLES = sorted(FOLDER.rglob("*.buildcheck.yaml"))
INCH = 0.0254

SPEC = """\
format: 1
units: inch-pound
build: {stage: tacked, name: Tamarack}
axle: {caster: 6, centre: [0, 0, 16 1/2 in]}
links:
  arm:
    both: {kind: radius-arm, frame: [-39, 15, 20], axle_upper: [3, 17, 18]}
  long_upper:
    centre: {kind: two-point, axle: [0, 2, 25]}
lateral_bar: {frame: [5, 17, 22], axle: [5, -16, 20]}
coilovers:
  coilover:
    left: {extended_length: 33}
    right: {extended_length: 34, springs: [{rate: 150 lb/in}, {rate: 250 lb/in, free_length: 14}]}
bump_stops:
  second_stop:
    both: {axis: [0.1, 0.2, -1], base: [0, 17, 27]}
attachments:
  tab: {both: {bolts: {count: 2.0}}}
travel: {bump: 127 mm, droop: 6, articulation: 12}
waivers: [{rule: a, place: links, reason: b, who: c, date: "2026-03-14", until_date: "2026-06-01"}]
shop: {bay: [{door: 3}]}
"""


def build_of(text: str) -> Build:
    document = read_text(text, "a spec")
    assert problems_in(document) == ()
    return read_build(document.data)


@pytest.fixture
def build() -> Build:
    return build_of(SPEC)


def test_numbers_come_in_si_units(build: Build) -> None:
    assert build.axle.caster == pytest.approx(math.radians(6), rel=1e-15)
    assert build.axle.centre == Point(0.0, 0.0, pytest.approx(16.5 * INCH, rel=1e-15))
    assert build.travel.bump == pytest.approx(5 * INCH, rel=1e-15)
    assert build.coilovers["coilover"].right.springs[1].free_length == pytest.approx(14 * INCH, rel=1e-15)
    metric = "format: 1\nunits: metric\ntravel: {bump: 127, droop: 150, articulation: 12}\n"
    assert build_of(metric).travel.droop == 0.15


def test_a_whole_number_is_whole_however_it_is_written(build: Build) -> None:
    count = build.attachments["tab"].left.bolts.count
    assert (count, type(count)) == (2, int)


def test_both_is_the_left_one_and_its_mirror_image(build: Build) -> None:
    left, right = build.links["arm"].left, build.links["arm"].right
    assert left.frame == Point(-0.9906, 15 * INCH, 20 * INCH)
    assert right.frame == Point(left.frame.x, -left.frame.y, left.frame.z)
    assert right.axle_upper == left.axle_upper.mirrored()
    assert build.bump_stops["second_stop"].left.axis == Vector(0.1, 0.2, -1)
    assert build.bump_stops["second_stop"].right.axis == Vector(0.1, -0.2, -1)
    assert (left.path, right.path) == ("links.arm.both", "links.arm.both")
    assert (left.side, right.side) == (Side.LEFT, Side.RIGHT)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name)
def test_both_reads_as_the_two_sides_written_out(path: Path) -> None:
    data = read_file(path).data
    assert unplaced(read_build(data)) == unplaced(read_build(sides_written_out(data)))


def unplaced(value: Any) -> Any:
    """The values of a part without where they are written."""
    if isinstance(value, Part):
        return value.label, value.side, {name: unplaced(held) for name, held in value.given().items()}
    if isinstance(value, Sides):
        return [unplaced(part) for part in value]
    if isinstance(value, Mapping):
        return {name: unplaced(held) for name, held in value.items()}
    if isinstance(value, tuple) and not isinstance(value, Point | Vector):
        return [unplaced(held) for held in value]
    return value


def test_left_and_right_are_read_as_they_are_written(build: Build) -> None:
    assert [coilover.extended_length / INCH for coilover in build.coilovers["coilover"]] == pytest.approx([33, 34])
    assert [coilover.path for coilover in build.coilovers["coilover"]] == [
        "coilovers.coilover.left",
        "coilovers.coilover.right",
    ]
    assert build.coilovers["coilover"].is_pair
    assert not build.links["long_upper"].is_pair
    assert Side.CENTRE in build.links["long_upper"]
    assert Side.LEFT not in build.links["long_upper"]


def test_labels_are_what_a_person_says(build: Build) -> None:
    assert [link.label for link in build.links["arm"]] == ["left arm", "right arm"]
    assert [link.label for link in build.links["long_upper"]] == ["centre long upper link"]
    assert build.lateral_bar.label == "lateral bar"
    assert build.coilovers["coilover"].right.springs[1].label == "right coilover spring 2"
    assert build.attachments["tab"].left.bolts.label == "left tab bolts"
    assert build.waivers[0].label == "waivers 1"


def test_stage_is_one_of_the_stages_in_the_order_of_the_job(build: Build) -> None:
    assert build.build.stage is Stage.TACKED
    assert [stage.number for stage in Stage] == list(range(8))
    assert [stage.value for stage in Stage] == [
        *("proposal", "teardown", "tacked", "cycled", "final-weld"),
        *("reassembled", "aligned", "driven"),
    ]


@pytest.mark.parametrize(
    ("ask", "path"),
    [
        (lambda build: build.vehicle, "vehicle"),
        (lambda build: build.axle.pinion, "axle.pinion"),
        (lambda build: build.links["arm"].left.length, "links.arm.both.length"),
        (lambda build: build.links["arm"][Side.CENTRE], "links.arm.centre"),
        (lambda build: build.links["long_upper"].left, "links.long_upper.left"),
        (
            lambda build: build.coilovers["coilover"].right.springs[0].solid_length,
            "coilovers.coilover.right.springs[0].solid_length",
        ),
        (lambda build: build.attachments["tab"].right.weld, "attachments.tab.both.weld"),
        (lambda build: build.waivers[0].until_stage, "waivers[0].until_stage"),
    ],
)
def test_asking_for_what_the_spec_lacks_names_the_place(build: Build, ask: Any, path: str) -> None:
    with pytest.raises(Missing, match="the spec lacks") as missing:
        ask(build)
    assert missing.value.path == path


def test_a_field_that_there_is_none_of_is_an_ordinary_mistake(build: Build) -> None:
    with pytest.raises(AttributeError, match="has no field 'castor'"):
        build.axle.castor  # noqa: B018
    with pytest.raises(AttributeError, match="has no field 'castor'"):
        build.axle.changed(castor=1.0)


def test_a_part_is_frozen(build: Build) -> None:
    with pytest.raises(AttributeError, match="frozen"):
        build.axle.caster = 0.0
    with pytest.raises(AttributeError, match="frozen"):
        del build.axle.caster
    with pytest.raises(TypeError):
        build.links["other"] = build.links["arm"]  # type: ignore[index]  # that it cannot is the point
    assert build == build_of(SPEC)
    assert len({build.axle, build_of(SPEC).axle}) == 1


def test_changed_is_a_copy(build: Build) -> None:
    changed = build.axle.changed(caster=0.1)
    assert (changed.caster, changed.centre, changed.path) == (0.1, build.axle.centre, "axle")
    assert build.axle.caster != 0.1
    assert changed != build.axle


VALUES = {
    "axle.caster": math.radians(6),
    "axle.centre.z": 16.5 * INCH,
    "links.arm.both.frame.y": 15 * INCH,
    "links.arm.left.frame.y": 15 * INCH,
    "links.arm.right.frame.y": -15 * INCH,
    "coilovers.coilover.right.springs[1].free_length": 14 * INCH,
    "build.name": "Tamarack",
    "shop.bay[0].door": 3,
}


@pytest.mark.parametrize("path", VALUES)
def test_value_follows_a_spec_path(build: Build, path: str) -> None:
    wanted = VALUES[path]
    assert build.value(path) == (wanted if isinstance(wanted, str) else pytest.approx(wanted))


def test_value_gives_whole_parts_too(build: Build) -> None:
    assert build.value("links.arm.left") is build.links["arm"].left
    assert build.value("links.arm.both") is build.links["arm"].left
    assert build.value("") is build


NOT_THERE = [
    "vehicle",
    "vehicle.tyre.diameter",
    "axle.castor",
    "axle.path",
    "axle.caster.x",
    "axle.centre.w",
    "axle.centre[0]",
    "links.other",
    "links.arm.centre",
    "links.arm.sideways.frame",
    "links.long_upper.both.axle",
    "coilovers.coilover.left.springs",
    "coilovers.coilover.right.springs[2]",
    "coilovers.coilover.right.springs.first",
    "shop.bay[1]",
    'shop["bay.door"]',
]


@pytest.mark.parametrize("path", NOT_THERE)
def test_value_of_what_is_not_there_is_missing(build: Build, path: str) -> None:
    with pytest.raises(Missing):
        build.value(path)


@pytest.mark.parametrize("path", ["vehicle.track", "links.other.left.frame", "links.arm.centre.frame.x",
                                  "links.long_upper.both.frame", "coilovers.coilover.right.springs[2].rate",
                                  "axle.centre.w", "lateral_bar.tube.wall"])  # fmt: skip
def test_with_value_needs_what_holds_the_value(build: Build, path: str) -> None:
    with pytest.raises(Missing):
        build.with_value(path, 1.0)


def test_with_value_changes_one_value_and_nothing_else(build: Build) -> None:
    changed = build.with_value("lateral_bar.frame.z", 0.5)
    assert changed.lateral_bar.frame == build.lateral_bar.frame._replace(z=0.5)
    assert changed.with_value("lateral_bar.frame.z", build.lateral_bar.frame.z) == build
    assert changed != build


def test_with_value_under_both_changes_the_two_sides_as_mirror_images(build: Build) -> None:
    for path, value in (("links.arm.both.frame.y", 0.4), ("links.arm.both.frame", Point(-1.0, 0.4, 0.5))):
        arms = build.with_value(path, value).links["arm"]
        assert arms.left.frame.y == 0.4
        assert arms.right.frame == arms.left.frame.mirrored()
    stops = build.with_value("bump_stops.second_stop.both.axis", Vector(0, 1, -1)).bump_stops["second_stop"]
    assert (stops.left.axis.y, stops.right.axis.y) == (1, -1)


def test_with_value_of_one_side_leaves_the_other(build: Build) -> None:
    arms = build.with_value("links.arm.left.frame.y", 0.4).links["arm"]
    assert arms.left.frame.y == 0.4
    assert arms.right == build.links["arm"].right
    springs = build.with_value("coilovers.coilover.right.springs[1].rate", 5.0).coilovers["coilover"].right.springs
    assert [spring.rate for spring in springs] == [build.coilovers["coilover"].right.springs[0].rate, 5.0]
    assert isinstance(springs, tuple)


def test_with_value_adds_a_value_that_the_spec_lacks(build: Build) -> None:
    arms = build.with_value("links.arm.both.length", 1.0).links["arm"]
    assert [arm.length for arm in arms] == [1.0, 1.0]
    with pytest.raises(AttributeError, match="lenght"):
        build.with_value("links.arm.both.lenght", 1.0)


def test_a_text_that_is_no_path_is_refused(build: Build) -> None:
    with pytest.raises(ValueError, match="is not a spec path"):
        build.value("axle..caster")


def test_given_holds_only_what_the_spec_gives(build: Build) -> None:
    assert list(build.links["arm"].left.given()) == ["kind", "frame", "axle_upper"]
    assert not build.links["arm"].left.has("length")
    assert build.links["arm"].left.path_of("joints", "frame") == "links.arm.both.joints.frame"
    assert isinstance(build.links["arm"].left, Link)


def test_a_part_shows_its_place(build: Build) -> None:
    assert repr(build.links["arm"].left) == "<Link 'left arm' at 'links.arm.both'>"


def test_equal_sides_are_one_key(build: Build) -> None:
    assert (
        len({build.coilovers["coilover"], build_of(SPEC).coilovers["coilover"], build.bump_stops["second_stop"]}) == 2
    )
