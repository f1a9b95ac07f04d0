"""A build that just passes and one that just fails at each limit of clearance."""

import math
from typing import Any

import numpy as np
import pytest
from buildcheck_rules.clearance import rule as clearance
from edges import (
    INCH,
    THREE_LINK,
    Edge,
    all_readings,
    check_complete,
    check_edge,
    edges,
    example,
    example_data,
    one_of_each_bound,
    with_data,
)

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict
from buildcheck.clearance.solids import Capsule
from buildcheck.job import Job
from buildcheck.job.bodies import bodies_of

# A wall outboard of the left tyre, and a pipe below the driveshaft, as the only obstacles.
WALL = {"vehicle.obstacles": {"wall": {"shape": "half-space", "point": [0, 50, 0], "normal": [0, -1, 0]}}}
PIPE = {
    "vehicle.obstacles": {"pipe": {"shape": "capsule", "start": [-34, -6, 17], "end": [-34, -3, 17], "radius": 0.2}}
}

EDGES = [
    # A tyre that is turned is turned less; one that is not, the other part is moved.
    *edges(
        "tyre-gap",
        "left tyre",
        "steering.lock_angle",
        "vehicle.obstacles.wall.point.y",
        number=2,
        base=WALL,
        warn_below=(50 * INCH, 47 * INCH),
        fail_below=(50 * INCH, 47 * INCH),
    ),
    *edges(
        "tyre-gap",
        "left tyre",
        "vehicle.obstacles.wall",
        "vehicle.obstacles.wall.point.y",
        number=3,
        build="four-link-rear.buildcheck.yaml",
        base={**WALL, "vehicle.obstacles.wall.point": [-106, 46, 0]},
        warn_below=(46 * INCH, 43.5 * INCH),
        fail_below=(46 * INCH, 43.5 * INCH),
    ),
    *edges(
        "part-gap",
        "driveshaft",
        "vehicle.obstacles.pipe",
        "vehicle.obstacles.pipe.radius",
        base=PIPE,
        warn_below=(0.2 * INCH, 3 * INCH),
        fail_below=(0.2 * INCH, 3 * INCH),
    ),
    *edges(
        "part-gap",
        "right coilover",
        "vehicle.obstacles.right_frame_rail",
        "coilovers.coilover.both.body_diameter",
        number=6,
        base={"vehicle.obstacles.right_frame_rail.lower": [-60, -16.25, 30.5]},
        warn_below=(3.3 * INCH, 4.5 * INCH),
        fail_below=(3.3 * INCH, 5.5 * INCH),
    ),
    *edges(
        "part-gap",
        "left arm",
        "lateral_bar",
        "lateral_bar.tube.outside_diameter",
        number=1,
        warn_below=(1.5 * INCH, 3 * INCH),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(clearance, edge)


def unchecked(data: dict[str, Any]) -> list[tuple[str, str]]:
    return [
        (reading.subject, reading.place)
        for reading in all_readings(clearance, read_build(data))
        if reading.verdict is Verdict.NOT_CHECKED
    ]


def test_every_part_without_a_thickness_is_named_and_the_rest_is_checked() -> None:
    data = example_data()
    for section in ("lateral_bar", "driveshaft"):
        del data[section]["tube"]
    del data["steering"]["tie_rod"]["tube"]
    del data["links"]["arm"]["both"]["tube"]
    del data["coilovers"]["coilover"]["both"]["shaft_diameter"]
    del data["bump_stops"]["stop"]["both"]["diameter"]
    assert unchecked(data) == [
        *((part, "steering.tie_rod.tube.outside_diameter") for part in ("left steering arm", "right steering arm")),
        ("lateral bar", "lateral_bar.tube.outside_diameter"),
        ("tie rod", "steering.tie_rod.tube.outside_diameter"),
        ("driveshaft", "driveshaft.tube.outside_diameter"),
        *((f"{side} arm", "links.arm.both.tube.outside_diameter") for side in ("left", "right")),
        *((f"{side} coilover", "coilovers.coilover.both.shaft_diameter") for side in ("left", "right")),
        *((f"{side} bump stop", "bump_stops.stop.both.diameter") for side in ("left", "right")),
    ]
    found = {reading.effect for reading in all_readings(clearance, read_build(data)) if reading.effect}
    assert "the axle hits the drag link at full lock to the left" in found


@pytest.mark.parametrize(
    ("lost", "part"),
    [
        ("vehicle.tyre.width", "left tyre"),
        ("vehicle.track", "right tyre"),
        ("steering.lock_angle", "drag link"),
        ("vehicle.obstacles", "obstacle"),
        ("travel.articulation", "axle"),
    ],
)
def test_missing_data_of_the_tyres_and_the_travel_is_named(lost: str, part: str) -> None:
    data: Any = example_data()
    *steps, last = lost.split(".")
    held = data
    for step in steps:
        held = held[step]
    del held[last]
    assert (part, lost) in unchecked(data)


def test_a_drag_link_on_the_tie_rod_is_checked_and_the_tyres_too() -> None:
    readings = all_readings(clearance, read_build(with_data(example_data(), {"steering.drag_link.ends_on": "tie-rod"})))
    assert [reading for reading in readings if reading.verdict is Verdict.NOT_CHECKED] == []
    assert any("drag link" in reading.subject or "drag link" in reading.effect for reading in readings)
    assert any(reading.effect == "the left tyre hits the left arm at full lock to the left" for reading in readings)


def test_a_link_of_square_section_is_as_thick_as_its_diagonal() -> None:
    square = {"shape": "square", "height": 3, "width": 4, "wall": 0.25, "material": "carbon-steel"}
    as_square, as_round = example_data(), example_data()
    del as_square["links"]["arm"]["both"]["tube"]
    as_square["links"]["arm"]["both"]["section"] = square
    as_round["links"]["arm"]["both"]["tube"]["outside_diameter"] = 5
    one, other = (all_readings(clearance, read_build(data)) for data in (as_square, as_round))
    assert one == other


def test_parts_that_are_joined_are_not_a_pair() -> None:
    listed = {reading.effect.partition(" at ")[0] for reading in all_readings(clearance, example())}
    for joined in ("the axle hits the lateral bar", "the left tyre hits the axle", "the left tyre hits the tie rod",
                   "the right tyre hits the drag link", "the left bump stop hits the left arm"):  # fmt: skip
        assert joined not in listed


def test_on_a_rear_axle_the_tyres_do_not_turn() -> None:
    readings = all_readings(clearance, example("four-link-rear.buildcheck.yaml"))
    assert all("lock" not in reading.effect for reading in readings)
    assert any(reading.quantity == "tyre-gap" for reading in readings)


def test_the_cure_says_how_much_is_wanting() -> None:
    data = with_data(example_data(), {"vehicle.track": 64})
    (worst,) = [
        reading
        for reading in all_readings(clearance, read_build(data))
        if reading.effect == "the right tyre hits the right arm at full lock to the right"
    ]
    assert worst.verdict is Verdict.ERROR
    assert worst.cure is not None
    assert worst.value is not None
    # As much as the limit wants, and up to the next sixteenth.
    sixteenths = math.ceil((INCH - worst.value) / (INCH / 16))
    assert worst.cure.amount == pytest.approx(sixteenths * INCH / 16, abs=1e-9)
    assert worst.cure.words.startswith("turn the wheels less, or move the right tyre")


def test_every_limit_has_its_edges() -> None:
    check_complete(clearance, EDGES, ())


def test_a_steering_arm_that_hits_the_lateral_bar_as_it_turns_is_found() -> None:
    """The bar lowered and brought back to where the tie rod's arms swing."""
    data = with_data(example_data(), {"lateral_bar.axle": [6, -27, 15], "lateral_bar.frame": [6, 16.5, 18]})
    found = {
        reading.of: reading.verdict
        for reading in all_readings(clearance, read_build(data))
        if "steering arm" in reading.of and "lateral bar" in reading.of
    }
    assert found["right steering arm and lateral bar"] in (Verdict.WARNING, Verdict.ERROR)


@pytest.mark.parametrize(
    ("droop", "of_axle", "of_wheels"), [(420, "3 of 26", "15 of 130"), (480, "4 of 26", "20 of 130")]
)
def test_a_gap_from_which_poses_are_missing_is_not_ok(droop: float, of_axle: str, of_wheels: str) -> None:
    """More droop than the links reach: counted here from the poses themselves, at five places of the steering each."""
    build = read_build(with_data(example_data(THREE_LINK), {"travel.droop": droop}))
    unsolved = ~Job(build).moving_about.poses.solved
    assert of_axle == f"{np.count_nonzero(unsolved)} of {unsolved.size}"
    assert of_wheels == f"{5 * np.count_nonzero(unsolved)} of {5 * unsolved.size}"
    readings = all_readings(clearance, build)
    assert not [reading for reading in readings if reading.verdict is Verdict.OK and reading.applies]
    [bar] = [reading for reading in readings if reading.of == "lateral bar and oil pan"]
    assert bar.verdict is Verdict.NOT_CHECKED
    assert bar.reason == f"{of_axle} poses of the axle are missing: the links do not reach there"
    assert bar.value == pytest.approx(0.063, abs=0.001)  # the number stays
    [rods] = [reading for reading in readings if reading.of == "lateral bar and drag link"]
    assert rods.reason.startswith(f"{of_wheels} poses of the axle and the wheels are missing")
    # Of pairs that are nowhere near in the poses that are known, nothing is known in the others; it hides no gap.
    far = [reading for reading in readings if reading.subject == "right upper link"]
    assert {reading.verdict for reading in far} == {Verdict.NOT_CHECKED}
    assert [reading.quantity for reading in far] == ["part-gap", "part-gap", ""]


def test_a_gap_that_is_too_small_in_the_poses_that_are_known_keeps_its_verdict() -> None:
    change = {"travel.droop": 420, "vehicle.obstacles.radiator_support.radius": 85}
    readings = all_readings(clearance, read_build(with_data(example_data(THREE_LINK), change)))
    hits = {reading.of: reading for reading in readings if reading.verdict is Verdict.ERROR}
    assert list(hits) == ["left lower link and left strap axle bracket", "pitman arm and radiator support"]
    assert "15 of 130 poses of the axle and the wheels are missing" in hits["pitman arm and radiator support"].effect


def errors(change: dict[str, Any], name: str = "tamarack/proposal.buildcheck.yaml") -> set[tuple[str, str]]:
    """The two parts of every gap below zero."""
    found = all_readings(clearance, read_build(with_data(example_data(name), change)))
    return {(each.subject, each.of) for each in found if each.verdict is Verdict.ERROR}


def through(start: list[float], end: list[float]) -> dict[str, Any]:
    return {"vehicle.obstacles.exhaust": {"shape": "capsule", "start": start, "end": end, "radius": 0.75}}


DAMPER = {
    "fixed": [5.5, 8, 30],
    "fixed_to": "frame",
    "moving": [8.5, 2, 14.2],
    "steadies": "tie-rod",
    "extended_length": 36,
    "compressed_length": 12,
    "body_diameter": "1 5/8 in",
}


@pytest.mark.parametrize(
    ("change", "wanted"),
    [
        (through([16, 9, 25.5], [16, 17.5, 25.5]), {("pitman arm", "pitman arm and exhaust")}),
        (
            {"steering.stabiliser": DAMPER},
            {
                ("lateral bar", "lateral bar and steering damper"),
                ("steering damper", "steering damper and left lateral bar frame bracket brace"),
            },
        ),
        (
            {"steering.kingpins.both.caliper": {"start": [7, 29, 19], "end": [7, 29, 12], "radius": 2}},
            {(rod, f"{rod} and {side} caliper") for rod in ("tie rod",) for side in ("left", "right")},
        ),
        (
            {"steering.kingpins.both.knuckle": {"start": [0, 27.5, 21], "end": [0, 29.5, 12], "radius": 2}},
            set(),
        ),
    ],
)
def test_bodies_of_the_corner_are_found(change: dict[str, Any], wanted: set[tuple[str, str]]) -> None:
    found = errors(change)
    assert wanted <= found
    assert all("joint" in each or (part, each) in wanted for part, each in found)


def test_a_brace_is_found_in_what_it_is_not_fixed_to() -> None:
    """From the left rail to the right one, whose face its end is on, and through the oil pan."""
    brace = "left lateral bar frame bracket brace"
    found = errors({"attachments.lateral_bar_frame_bracket.left.brace.far_end": [0, -13.5, 31]})
    assert (brace, f"{brace} and oil pan") in found
    assert not any("rail" in each for part, each in found if part == brace)


def test_an_exhaust_through_the_joint_of_the_drag_link_is_found() -> None:
    """Above the ball, where a high stud reaches."""
    past = through([10, -26, 24.5], [10, -20, 24.5])
    joint = {"steering.drag_link.joints.arm.axis": [0, 0, 1], "steering.drag_link.joints.arm.stud.height": 3}
    assert ("drag link arm joint", "drag link arm joint and exhaust") in errors({**past, **joint})


def test_a_bracket_known_by_its_height_alone_is_hit() -> None:
    """A pipe past the middle of the lateral bar's axle bracket, from the casting to the joint; one beside the edge of
    the plates of an arm's frame bracket, whose foot the spec gives; and one clear of either."""
    bar = {"shape": "capsule", "start": [4, -13, 15], "end": [4, -13, 21], "radius": "1/4 in"}
    pair = ("right lateral bar axle bracket", "right lateral bar axle bracket and pipe")
    assert pair in errors({"vehicle.obstacles.pipe": bar})
    assert pair not in errors({"vehicle.obstacles.pipe": {**bar, "start": [9, -13, 15], "end": [9, -13, 21]}})


def test_a_bracket_on_the_axle_moves_with_it() -> None:
    """An exhaust that clears the foot of the right arm's bracket at ride height, and is hit in bump."""
    above = through([2, -15.5, 20.2], [-2, -15.5, 20.2])
    still = {"travel.bump": 0.5, "travel.droop": 0.5, "travel.articulation": 0.5}
    pair = ("right arm axle bracket", "right arm axle bracket and exhaust")
    assert pair in errors(above)
    assert pair not in errors({**above, **still})


def hose_tab(**changes: object) -> dict[str, Any]:
    """A tab on the left knuckle that holds its hose, in front of the kingpin."""
    tab = {"holds": "brake_lines.line", "parent": "knuckle", "bracket_thickness": "1/4 in", "point": [3, 27, 17]}
    return {"attachments.hose_tab": {"left": {**tab, **changes}}, "brake_lines.line.both.axle": [8, 26, 18]}


def test_a_bracket_on_a_knuckle_turns_with_it() -> None:
    """A pipe that the hose's tab reaches as the wheels are turned; without lock, and on the axle, it does not."""
    pipe = {
        "vehicle.obstacles.pipe": {"shape": "capsule", "start": [6, 22.3, 10], "end": [6, 22.3, 25], "radius": "1/2 in"}
    }
    pair = ("left hose tab", "left hose tab and pipe")
    assert pair in errors({**hose_tab(), **pipe})
    assert pair not in errors({**hose_tab(parent="axle-end"), **pipe})
    assert pair not in errors({**hose_tab(), **pipe, "steering.lock_angle": 3})


def test_a_bracket_on_a_knuckle_stays_as_far_from_what_turns_with_it() -> None:
    """From the left end of the tie rod, which is on the same knuckle, in every pose and at every lock; from its kingpin
    it turns by the angle of the lock."""
    build = read_build(with_data(example_data(), hose_tab(point=[3, 27, 18])))
    poses = Job(build).moving
    found = bodies_of(build, poses, np.array([0.0, 1.0])).found
    (tab,), (rod,) = found["left hose tab"].solids, found["tie rod"].solids
    assert isinstance(tab, Capsule)
    assert isinstance(rod, Capsule)
    apart = np.linalg.norm(tab.end - rod.start, axis=0)
    assert apart == pytest.approx(math.dist([8, 26, 18], [8.5, 29.7, 14.2]) * INCH)
    along = tab.end - tab.start
    ahead, turned = along[:, 0, 0], along[:, 0, 1]
    angle = math.atan2(turned[1], turned[0]) - math.atan2(ahead[1], ahead[0])
    assert math.degrees(angle) == pytest.approx(25.5, abs=1)


def test_a_hose_tab_on_the_frame_is_a_body_too() -> None:
    """One whose foot is beyond the coilover, and one that is clear of it."""
    tab = {"holds": "brake_lines.line", "parent": "frame", "bracket_thickness": "1/4 in"}
    pair = ("left coilover", "left coilover and left hose tab")

    def found(foot: list[float]) -> set[tuple[str, str]]:
        return errors({"attachments.hose_tab": {"left": {**tab, "point": foot}}})

    assert pair in found([1, 19.5, 32])
    assert pair not in found([-8, 15, 33])


def test_a_damper_without_a_thickness_is_named() -> None:
    data = with_data(example_data(), {"steering.stabiliser": DAMPER})
    del data["steering"]["stabiliser"]["body_diameter"]
    assert unchecked(data) == [("steering damper", "steering.stabiliser.body_diameter")]


def test_a_stud_points_both_ways_along_its_axis_and_every_way_without_one() -> None:
    gaps = {}
    for axis in ([0, 0, 1], [1, 0, 0], None):
        stud = {"diameter": 0.85, "height": 2, "yield_strength": "130 ksi"}
        joint = {"kind": "spherical", "load_rating": "11000 lbf", "stud": stud, **({"axis": axis} if axis else {})}
        change = {"steering.drag_link.joints.arm": joint}
        job = Job(read_build(with_data(example_data(), change)))
        (gap,) = [each for each in job.gaps.all if each.which == "lateral bar and drag link arm joint"]
        gaps[str(axis)] = gap.smallest.value
    assert gaps["None"] <= min(gaps.values())
    assert gaps["[0, 0, 1]"] != pytest.approx(gaps["[1, 0, 0]"], abs=1e-3)
