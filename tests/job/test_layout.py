"""What the layout takes from the points of a spec."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from buildcheck.build import Build, Point, read_build
from buildcheck.build.linkage import Link
from buildcheck.job import Unreached
from buildcheck.job.layout import linkage, off_rod
from buildcheck.spec.document import read_file

EXAMPLES = Path(__file__).parents[2] / "examples"


def test_how_far_a_point_lies_off_a_rod() -> None:
    start, end = Point(1.0, 0.0, 0.0), Point(1.0, 2.0, 0.0)
    assert off_rod(Point(1.0, 0.5, 0.0), start, end) == pytest.approx(0.0)
    assert off_rod(Point(1.0, 5.0, 0.0), start, end) == pytest.approx(3.0)  # on the line, beyond its end
    assert off_rod(Point(4.0, 1.0, 4.0), start, end) == pytest.approx(5.0)
    assert off_rod(Point(1.0, 0.0, 2.0), start, start) == pytest.approx(2.0)


def arm_with(**points: tuple[float, float, float]) -> Build:
    build = read_build(read_file(EXAMPLES / "tamarack/proposal.buildcheck.yaml").data)
    for name, point in points.items():
        build = build.with_value(f"links.arm.both.{name}", Point(*point))
    return build


@pytest.mark.parametrize(
    ("points", "told"),
    [
        ({"axle_upper": (0.0, 0.44, 0.42), "axle_lower": (0.0, 0.44, 0.42)}, "two axle ends at one point"),
        ({"frame": (0.0, 0.44, 0.42), "axle_upper": (0.1, 0.44, 0.42), "axle_lower": (-0.1, 0.44, 0.42)}, "midway"),
    ],
)
def test_points_that_are_no_radius_arm(points: dict[str, tuple[float, float, float]], told: str) -> None:
    with pytest.raises(Unreached, match=told):
        linkage(arm_with(**points))


def test_an_arm_with_its_frame_end_at_the_stiffness_centre_of_its_axle_ends() -> None:
    build = arm_with(frame=(0.0, 0.44, 0.42), axle_upper=(0.1, 0.44, 0.42), axle_lower=(-0.2, 0.44, 0.42))
    for name, rate in (("axle_upper", 2e6), ("axle_lower", 1e6)):
        build = build.with_value(f"links.arm.both.joints.{name}.radial_stiffness", rate)
    with pytest.raises(Unreached, match="between its axle ends"):
        linkage(build)


def test_an_arm_on_an_axle_that_is_held_just_once_runs_to_its_joints() -> None:
    """One arm, a link and the bar: the stiffness of the axle joints tells how they share, and nothing else counts."""
    build = read_build(one_arm(read_file(EXAMPLES / "tamarack/proposal.buildcheck.yaml").data))
    found = linkage(build)
    assert len(found.layout.stiffness) == 4
    arm = next(member for member in found.members if member.is_arm)
    link = build.links["arm"].left
    assert isinstance(arm.part, Link)
    np.testing.assert_allclose([found.bars[number].axle for number in arm.bars], [link.axle_upper, link.axle_lower])
    assert found.layout.twists is None
    assert found.assumptions == ()
    assert arm.stiffness == {
        "frame": math.inf,
        "axle_upper": link.joints.axle_upper.radial_stiffness,
        "axle_lower": link.joints.axle_lower.radial_stiffness,
    }


def one_arm(data: dict[str, Any]) -> dict[str, Any]:
    """The right arm of the example as a link between two points."""
    arm = data["links"]["arm"].pop("both")
    data["links"]["arm"]["left"] = arm
    data["links"]["rod"] = {"right": {"kind": "two-point", "frame": [-37, -16.5, 19.7], "axle": [0, -17.5, 16.8]}}
    return data
