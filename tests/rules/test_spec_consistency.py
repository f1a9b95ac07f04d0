"""A build that just passes and one that just fails at each limit of spec-consistency."""

import pytest
from buildcheck_rules.spec_consistency import spec_consistency
from edges import INCH, Need, check_complete, check_edge, edges, example_data, with_data

from buildcheck.build import read_build
from buildcheck.inspection import inspect
from buildcheck.rule import Verdict

EDGES = [
    *edges(
        "axle-height",
        "whole build",
        "axle.centre.z",
        warn_above=(16.6 * INCH, 17.5 * INCH),
        fail_above=(17.2 * INCH, 20 * INCH),
    ),
]
ONE_COILOVER = {"coilovers.coilover.both.extended_length": 21, "coilovers.coilover.both.compressed_length": 21.5}


def test_a_hair_to_each_side_of_the_height() -> None:
    for edge in EDGES:
        check_edge(spec_consistency, edge)


# (requirement, changes with which it is not met, the subjects and places at which that is told)
NOT_MET = [
    ("left-is-left", {"brake_lines.line.left.axle": [-4.5, -26, 18]}, [("brake line", "brake_lines.line.left.axle")]),
    ("left-is-left", {"limit_straps.strap.right.frame": [-5.5, 14.5, 33]}, [("limit strap", "limit_straps.strap.right.frame")]),
    ("coilover-lengths", ONE_COILOVER, [("whole build", "coilovers.coilover.both.extended_length")] * 2),
    (
        "stop-lengths",
        {"bump_stops.stop.both.crushed_length": 4},
        [("whole build", "bump_stops.stop.both.free_length")] * 2,
    ),
    ("shaft-lengths", {"driveshaft.longest_length": 30}, [("whole build", "driveshaft.longest_length")]),
    ("masses", {"vehicle.unsprung_mass": 2650}, [("whole build", "vehicle.unsprung_mass")]),
    ("masses", {"vehicle.axle_load": 5000}, [("whole build", "vehicle.axle_load")]),
    ("tyre", {"vehicle.tyre.static_radius": 17.5}, [("whole build", "vehicle.tyre.static_radius")]),
    ("tyre", {"vehicle.tyre.static_radius": 11.6}, [("whole build", "vehicle.tyre.static_radius")]),
    ("knuckle", {"steering.drag_link.knuckle": "left"}, [("whole build", "steering.drag_link.arm")]),
    ("tube", {"lateral_bar.tube.wall": "7/8 in"}, [("whole build", "lateral_bar.tube.wall")]),
    (
        "holds",
        {"attachments.arm_frame_bracket.both.holds": "links.arms"},
        [("whole build", "attachments.arm_frame_bracket.both.holds")] * 2,
    ),
]


@pytest.mark.parametrize(("requirement", "changes", "told"), NOT_MET)
def test_what_does_not_fit_is_told_at_its_place(
    requirement: str, changes: dict[str, object], told: list[tuple[str, str]]
) -> None:
    readings = inspect(read_build(with_data(example_data(), changes)), [spec_consistency]).readings
    found = [(r.subject, r.place) for r in readings if r.quantity == requirement and r.verdict is Verdict.ERROR]
    assert found == told
    sound = inspect(read_build(example_data()), [spec_consistency]).readings
    assert {r.verdict for r in sound if r.quantity == requirement} == {Verdict.OK}


def test_what_is_not_stated_contradicts_nothing() -> None:
    bare = read_build(
        {"format": 1, "units": "metric", "links": {"lower": {"both": {"kind": "two-point", "frame": [-900, 400, 300]}}}}
    )
    readings = inspect(bare, [spec_consistency]).readings
    assert [(r.subject, r.quantity, r.verdict) for r in readings] == [
        ("lower link", "left-is-left", Verdict.OK),
        ("lower link", "left-is-left", Verdict.OK),
    ]


def test_every_limit_has_its_edges() -> None:
    needs = [Need(requirement, "", {}, changes) for requirement, changes, _ in NOT_MET]
    check_complete(spec_consistency, EDGES, needs)
