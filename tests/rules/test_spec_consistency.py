"""A build that just passes and one that just fails at each limit of spec-consistency."""

import pytest
from buildcheck_rules.spec_consistency import spec_consistency
from edges import INCH, Edge, Need, check_complete, check_edge, check_need, edges

from buildcheck.build import read_build
from buildcheck.inspection import inspect
from buildcheck.rule import Verdict

LB, IN = 0.45359237, INCH
UNSPRUNG = "vehicle.unsprung_mass"
STATIC = "vehicle.tyre.static_radius"
# Without the centre's height, that of the tyre may be turned by itself.
NO_HEIGHT = {"axle": {"position": "front"}}

EDGES = [
    *edges(
        "axle-height",
        "whole build",
        "axle.centre",
        "axle.centre.z",
        warn_above=(16.6 * IN, 17.5 * IN),
        fail_above=(17.2 * IN, 20 * IN),
    ),
    *(
        edge
        for longer, shorter, start, numbers in (
            ("coilovers.coilover.both.extended_length", "coilovers.coilover.both.compressed_length", 21.5, (0, 1)),
            ("bump_stops.stop.both.free_length", "bump_stops.stop.both.crushed_length", 1.75, (2, 3)),
            ("driveshaft.longest_length", "driveshaft.shortest_length", 30.5, (4,)),
        )
        for edge in edges(
            "stroke",
            "whole build",
            longer,
            shorter,
            number=numbers,
            warn_below=(start * IN, (start + 15) * IN),
            fail_below=(start * IN, (start + 15) * IN),
        )
    ),
    *(
        edge
        for whole, part in ((2650 * LB, UNSPRUNG),)
        for edge in edges(
            "mass-share",
            "whole build",
            part,
            part,
            number=0,
            warn_below=(0.2 * whole, 0.03 * whole),
            fail_below=(0.03 * whole, 0.01 * whole),
            warn_above=(0.5 * whole, 0.9 * whole),
            fail_above=(0.85 * whole, 0.99 * whole),
        )
    ),
    *edges(
        "mass-share",
        "whole build",
        "vehicle.axle_load",
        "vehicle.axle_load",
        number=1,
        warn_above=(2650 * LB, 4500 * LB),
        fail_above=(4000 * LB, 4800 * LB),
    ),
    *edges(
        "loaded-radius",
        "whole build",
        STATIC,
        STATIC,
        base=NO_HEIGHT,
        warn_below=(16.6 * IN, 14 * IN),
        fail_below=(14 * IN, 11 * IN),
        warn_above=(16.6 * IN, 17.45 * IN),
        fail_above=(17.45 * IN, 17.6 * IN),
    ),
    *edges(
        "wall",
        "whole build",
        "lateral_bar.tube.wall",
        "lateral_bar.tube.wall",
        number=2,
        fail_above=(0.25 * IN, 1 * IN),
    ),
]
NEEDS = [
    Need(
        "left-is-left",
        "brake line",
        met={},
        not_met={"brake_lines.line.left.axle": [-4.5, -26, 18]},
        finds=(("brake line", "left-is-left", "brake_lines.line.left.axle"),),
    ),
    Need(
        "left-is-left",
        "limit strap",
        met={},
        not_met={"limit_straps.strap.right.frame": [-5.5, 14.5, 33]},
        finds=(("limit strap", "left-is-left", "limit_straps.strap.right.frame"),),
    ),
    Need(
        "knuckle",
        "whole build",
        met={},
        not_met={"steering.drag_link.knuckle": "left"},
        finds=(("whole build", "knuckle", "steering.drag_link.arm"),),
    ),
    Need(
        "holds",
        "whole build",
        met={"attachments.arm_frame_bracket.both.holds": ["links.arm", "brake_lines.line"]},
        not_met={"attachments.arm_frame_bracket.both.holds": ["links.arm", "links.arms"]},
        finds=(("whole build", "holds", "attachments.arm_frame_bracket.both.holds[1]"),) * 2,
    ),
]


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_a_hair_to_each_side_of_the_limit(edge: Edge) -> None:
    check_edge(spec_consistency, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(spec_consistency, need)


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
    check_complete(spec_consistency, EDGES, NEEDS)
