"""What ends the travel: each end stands where its own quantity says so, and the first comes first."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from buildcheck.build import Build, Missing, read_build
from buildcheck.job import Job
from buildcheck.job.curve import Curve, Line
from buildcheck.job.joints import tilts
from buildcheck.job.travel_limits import Way, first_zero
from buildcheck.spec.document import read_file

EXAMPLES = Path(__file__).parents[2] / "examples"
INCH, DEGREE = 0.0254, np.pi / 180


def example(name: str = "tamarack/proposal") -> Build:
    return read_build(read_file(EXAMPLES / f"{name}.buildcheck.yaml").data)


def ways(build: Build) -> dict[str, Way]:
    return {way.name: way for way in Job(build).travel_limits.ways}


def ends(way: Way) -> list[str]:
    return [end.what for end in way.ends]


def test_the_sound_build_is_ended_by_its_stops_and_straps() -> None:
    found = ways(example())
    assert list(found) == [
        "straight bump",
        "straight droop",
        "articulation, left wheel up",
        "articulation, right wheel up",
    ]
    assert ends(found["straight bump"])[:2] == ["the left bump stop is crushed", "the right bump stop is crushed"]
    assert ends(found["straight droop"])[:2] == [
        "the left limit strap is stretched to its end",
        "the right limit strap is stretched to its end",
    ]
    for way in found.values():
        places = [end.at for end in way.ends]
        assert places == sorted(places)
        assert way.stated < places[0] <= way.looked


def test_each_end_is_where_its_quantity_is_zero() -> None:
    build = example()
    job = Job(build)
    for way in job.travel_limits.ways[:2]:
        up = 1.0 if way.name == "straight bump" else -1.0
        for end in way.ends:
            moving = job.moved(np.array([up * end.at]), np.zeros(1))
            side = "left" if "left" in end.what else "right"
            coilover = getattr(build.coilovers["coilover"], side)
            left = {
                "bump stop": lambda moving=moving, side=side: (
                    moving.stop_height(getattr(build.bump_stops["stop"], side)) - 1.75 * INCH
                ),
                "limit strap": lambda moving=moving, side=side: (
                    moving.length(getattr(build.limit_straps["strap"], side)) - 20.25 * INCH
                ),
                "bottoms": lambda moving=moving, coilover=coilover: moving.length(coilover) - 21.5 * INCH,
                "tops out": lambda moving=moving, coilover=coilover: moving.length(coilover) - 35.5 * INCH,
                "brake line": lambda moving=moving, side=side: (
                    moving.brake_line_length(getattr(build.brake_lines["line"], side)) - 22.5 * INCH
                ),
            }
            for words, of in left.items():
                if words in end.what:
                    assert float(of()[0]) == pytest.approx(0.0, abs=2e-5), end


def test_a_joint_that_is_rated_for_less_ends_it_sooner() -> None:
    build = example().with_value("links.arm.both.joints.frame.misalignment", 10 * DEGREE)
    way = ways(build)["articulation, left wheel up"]
    assert way.ends[0].what == "the left arm's frame joint binds"
    assert way.ends[0].at < 10 * DEGREE
    assert way.ends[0].path == "links.arm.both"


def test_the_obstacle_is_touched() -> None:
    build = example().with_value("vehicle.obstacles.oil_pan.lower.z", 23 * INCH)
    way = ways(build)["straight bump"]
    assert way.ends[0].what == "the axle touches the oil pan"
    # The pan is beside the centre section, so it is the tube, whose top stands at 16.6 + 3.25 / 2 in.
    assert way.ends[0].at == pytest.approx((23 - 16.6 - 3.25 / 2) * INCH, abs=1e-5)


def test_the_links_end_what_nothing_else_does() -> None:
    build = example("four-link-rear").with_value("travel.bump", 30 * INCH)
    way = ways(build)["straight bump"]
    assert "the links let the axle go no farther" in ends(way)
    assert way.ends[-1].at < way.looked


def test_what_could_not_be_looked_at_is_named() -> None:
    data = read_file(EXAMPLES / "tamarack/proposal.buildcheck.yaml").data
    del data["travel"]["articulation"]
    del data["driveshaft"]
    del data["lateral_bar"]["joints"]["axle"]["misalignment"]
    limits = Job(read_build(data)).travel_limits
    assert [way.name for way in limits.ways] == ["straight bump", "straight droop"]
    assert set(limits.missing) == {"travel.articulation", "driveshaft", "lateral_bar.joints.axle.misalignment"}
    assert limits.unknown == ()


def test_a_coil_that_goes_solid_ends_the_bump_where_spring_support_finds_it_solid() -> None:
    """Solid lengths of 7 1/2 and 8 1/2 in: the upper coil is shut before the stops are crushed."""
    build = example()
    for number, solid in enumerate((7.5, 8.5)):
        build = build.with_value(f"coilovers.coilover.both.springs[{number}].solid_length", solid * INCH)
    job = Job(build)
    way = ways(build)["straight bump"]
    first = way.ends[0]
    assert first.what == "the left coilover's upper spring goes solid"
    assert first.path == "coilovers.coilover.both.springs[0]"
    assert first.at < way.stated
    coilover = build.coilovers["coilover"].left
    length = job.moved(np.array([first.at]), np.zeros(1)).length(coilover)
    assert job.springs(coilover).rooms(float(length[0]))[0].left == pytest.approx(0.0, abs=2e-5)
    others = [end.what for end in way.ends if "solid" in end.what]
    assert others == [
        f"the {side} coilover's {spring} spring goes solid"
        for spring in ("upper", "lower")
        for side in ("left", "right")
    ]
    assert not any("solid" in way.ends[0].what for way in ways(example()).values())


def test_a_spring_of_which_the_spec_says_nothing_could_not_be_looked_at() -> None:
    data = read_file(EXAMPLES / "tamarack/proposal.buildcheck.yaml").data
    del data["coilovers"]["coilover"]["both"]["springs"][1]["solid_length"]
    assert Job(read_build(data)).travel_limits.missing == ("coilovers.coilover.both.springs[1].solid_length",)


def test_a_joint_of_the_steering_ends_it_where_its_stud_leans_to_its_rating() -> None:
    rated = {"misalignment": 12, "axis": [0, 0, 1]}
    data = read_file(EXAMPLES / "tamarack/proposal.buildcheck.yaml").data
    data["steering"]["drag_link"]["joints"] = {"pitman": rated, "arm": rated}
    build = read_build(data)
    way = ways(build)["straight droop"]
    found = {end.what: end for end in way.ends if end.what.startswith("the drag link's")}
    assert set(found) == {"the drag link's pitman joint binds", "the drag link's arm joint binds"}
    for key in ("pitman", "arm"):
        end = found[f"the drag link's {key} joint binds"]
        assert end.path == "steering.drag_link"
        moving = Job(build).moved(np.array([0.0, -end.at]), np.zeros(2))
        assert tilts(moving, build.steering.drag_link, key)[1].max() == pytest.approx(12 * DEGREE, abs=1e-4)
    # A joint that is not rated ends nothing, and is nothing that is missing.
    assert not any("drag link's" in what for each in ways(example()).values() for what in ends(each))


def test_without_a_travel_there_is_nothing_to_end() -> None:
    with pytest.raises(Missing, match="travel"):
        _ = Job(example("minimal")).travel_limits


def test_a_strap_that_is_tight_at_ride_height_ends_the_droop_there_and_no_bump() -> None:
    """It is slack again as the axle rises, so that it is nothing that ends the bump."""
    found = ways(example().with_value("limit_straps.strap.both.length", 12 * INCH))
    droop = [(end.what, end.at) for end in found["straight droop"].ends[:2]]
    assert droop == [
        ("the left limit strap is stretched to its end", 0.0),
        ("the right limit strap is stretched to its end", 0.0),
    ]
    sound = ways(example())
    assert ends(found["straight bump"]) == ends(sound["straight bump"])
    # Rolled, the strap of the side that goes down is tight from the start, that of the other one slackens.
    left, right = (found[f"articulation, {side} wheel up"] for side in ("left", "right"))
    assert (left.ends[0].what, left.ends[0].at) == ("the right limit strap is stretched to its end", 0.0)
    assert (right.ends[0].what, right.ends[0].at) == ("the left limit strap is stretched to its end", 0.0)
    assert "the left limit strap is stretched to its end" not in ends(left)
    assert "the right limit strap is stretched to its end" not in ends(right)


@pytest.mark.parametrize(
    ("left", "at"),
    [
        ([5, 3, 1, -1, -3], 2.5),
        ([0, -1, -2, -3, -4], 0.0),
        ([-1, -1, -1, -1, -1], 0.0),
        ([-1, 0.5, 2, 3, 4], None),
        ([-3, -2, -1, -0.5, -0.2], None),
        ([-2, 1, 0.5, -0.5, -1.5], 2.5),
        ([0, 1, 1, 0, -1], 3.0),
        ([2, 1, 0.5, 0.2, 0.1], None),
    ],
)
def test_what_is_left_comes_to_nothing_where_it_shrinks_to_it(left: list[float], at: float | None) -> None:
    way = np.arange(5.0)
    line = Line("a way", way, way, np.zeros(5), np.arange(5), 3, "", "")
    found = first_zero(Curve(np.array(left, np.float64), line))
    assert found == (None if at is None else pytest.approx(at, abs=0.05))
