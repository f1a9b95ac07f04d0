"""The travel ladder: each rung where its own quantity says, and the ends of the travel among them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from buildcheck.build import Build, Missing, Side, read_build
from buildcheck.job import Job
from buildcheck.job.ladder import ladder
from buildcheck.job.overruns import Overrun, overruns
from buildcheck.spec.document import read_file
from buildcheck.testing.rewritten import mirror_image, sides_written_out

EXAMPLES = Path(__file__).parents[2] / "examples"
INCH, DEGREE = 0.0254, np.pi / 180
ZERO = np.zeros(1)


def data(name: str) -> object:
    return read_file(EXAMPLES / f"{name}.buildcheck.yaml").data


def example(name: str = "tamarack/proposal") -> Build:
    return read_build(data(name))


FAULTS = "tamarack/proposal-with-faults"


@pytest.mark.parametrize("name", ["tamarack/proposal", FAULTS, "three-link-metric", "four-link-rear"])
def test_it_holds_every_end_of_straight_travel_at_its_height_from_the_top_down(name: str) -> None:
    job = Job(example(name))
    found = ladder(job)
    up, down = job.travel_limits.ways[:2]
    expected = {(end.what, end.at) for end in up.ends} | {(end.what, -end.at) for end in down.ends}
    assert {(rung.what, rung.at) for rung in found.rungs if rung.ends} == expected
    heights = [rung.at for rung in found.rungs]
    assert heights == sorted(heights, reverse=True)
    assert (found.bump, found.droop) == (up.stated, down.stated)
    assert (found.highest, found.lowest) == (up.looked, -down.looked)


def test_stops_touch_and_straps_are_tight_where_their_own_lengths_say_so() -> None:
    build = example()
    job = Job(build)
    begun = [rung for rung in ladder(job).rungs if not rung.ends]
    assert [(rung.what.partition(" ")[2], rung.side) for rung in begun] == [
        (f"{side} bump stop touches", side) for side in (Side.LEFT, Side.RIGHT)
    ] + [(f"{side} limit strap is tight", side) for side in (Side.LEFT, Side.RIGHT)]
    for rung in begun:
        moving = job.moved(np.array([rung.at]), ZERO)
        if "stop" in rung.what:
            stop = build.bump_stops["stop"][rung.side]
            assert moving.stop_height(stop)[0] == pytest.approx(stop.free_length, abs=2e-6)
        else:
            strap = build.limit_straps["strap"][rung.side]
            assert moving.length(strap)[0] == pytest.approx(strap.length, abs=2e-6)


def test_what_ends_the_travel_before_its_stated_end_is_early_and_only_that() -> None:
    assert not any(ladder(Job(example())).early(rung) for rung in ladder(Job(example())).rungs)
    found = ladder(Job(example(FAULTS)))
    early = {rung.what for rung in found.rungs if found.early(rung)}
    assert early == {
        "the drag link touches the crossmember",
        "the lateral bar's frame joint binds",
        "the driveshaft's slip goes solid",
    }
    for rung in found.rungs:
        assert found.early(rung) == (rung.ends and -found.droop < rung.at < found.bump)
        assert found.early(rung) == (rung.what in early)


def test_the_mirror_image_of_the_truck_has_its_rungs_on_the_other_side() -> None:
    spec = data("tamarack/proposal")
    own, other = ladder(Job(read_build(spec))), ladder(Job(read_build(mirror_image(sides_written_out(spec)))))
    sides = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT, Side.CENTRE: Side.CENTRE}
    expected = {
        (sides[rung.side], rung.what.split()[-1], rung.ends): rung.at for rung in own.rungs if "strap" in rung.what
    }
    found = {(rung.side, rung.what.split()[-1], rung.ends): rung.at for rung in other.rungs if "strap" in rung.what}
    assert len(found) == 4
    for key, at in found.items():
        assert at == pytest.approx(expected[key], abs=1e-6)


def test_what_is_at_its_end_at_ride_height_is_one_rung() -> None:
    build = example().with_value("brake_lines.line.both.free_length", 8 * INCH)
    at_ride = [rung for rung in ladder(Job(build)).rungs if rung.at == 0.0]
    assert [rung.what for rung in at_ride] == ["the left brake line runs out", "the right brake line runs out"]


def test_a_build_without_travel_has_no_ladder_and_says_what_is_missing() -> None:
    with pytest.raises(Missing):
        ladder(Job(example("minimal")))


# Overruns.


def in_pose(build: Build, heave: float, roll: float = 0.0, lock: float = 0.0) -> dict[str, Overrun]:
    found = overruns(Job(build), np.array([heave]), np.array([roll]), ZERO, np.array([lock]))
    return {each.margin.overrun: each for each in found}


def test_nothing_is_overrun_at_ride_height_of_a_sound_build() -> None:
    assert in_pose(example(), 0.0) == {}


def test_a_part_is_overrun_by_the_difference_of_its_own_lengths() -> None:
    build = example(FAULTS)
    heave = -0.25
    moving = Job(build).moved(np.array([heave]), ZERO)
    found = in_pose(build, heave)
    left = Side.LEFT
    strap, hose = build.limit_straps["strap"][left], build.brake_lines["line"][left]
    coilover = build.coilovers["coilover"][left]
    expected = {
        "left limit strap {} short": moving.length(strap)[0] - strap.length - strap.stretch,
        "left brake line {} short": moving.brake_line_length(hose)[0] - hose.free_length,
        "left coilover {} short": moving.length(coilover)[0] - coilover.extended_length,
        "driveshaft {} too long": build.driveshaft.shortest_length - moving.driveshaft_length()[0],
    }
    for says, by in expected.items():
        assert by > 0.001, says
        assert -found[says].left[0] == pytest.approx(by, abs=1e-9), says
    assert found["left limit strap {} short"].margin.quantity == "left-limit-strap-slack"


def test_two_parts_run_into_each_other_at_the_lock_of_the_pose() -> None:
    build = example(FAULTS)
    job = Job(build)
    gap = next(gap for gap in job.gaps.of("drag link") if gap.second.name.endswith("crossmember"))
    pose = gap.smallest.pose
    assert pose is not None
    says = "drag link {} into the crossmember"
    assert in_pose(build, pose.heave, pose.roll, pose.lock)[says].left[0, 0] == pytest.approx(
        gap.smallest.value, abs=1e-9
    )
    # At the locks of a slide, each has its own gap, and the deepest is not straight ahead.
    locks = build.steering.lock_angle * np.array([-0.5, 0.0, 0.5])
    (found,) = [
        each for each in overruns(job, np.array([pose.heave]), ZERO, locks, ZERO) if each.margin.overrun == says
    ]
    assert found.left.shape == (3, 1)
    assert found.left[2, 0] == pytest.approx(gap.smallest.value, abs=1e-9)
    assert found.left[2, 0] < found.left[1, 0]
