"""The moment that rules hold a bracket's foot to, worked out by hand from the forces at its joints.

Equilibrium of the bracket: with f_i the force at the joint p_i and c the centre of the foot, the foot bears the moment
sum of (p_i - c) x f_i. A sideways brace bears that of the y parts.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from test_bracket_loads import at_ride, bracket_of, data, joints, one_load

from buildcheck.build import Missing, read_build
from buildcheck.job import Job

INCH = 0.0254
POUND = 4.4482216152605
ARM, BAR = ("arm_axle_bracket", "left"), ("lateral_bar_frame_bracket", "left")
Vector = tuple[float, float, float]


def built(bracket: tuple[str, str], lacks: tuple[str, ...] = (), **stated: Any) -> Job:
    """The example with one bracket stated otherwise; its design load is left out, unless it is stated."""
    spec = data()
    name, side = bracket
    written = spec["attachments"][name][side]
    for key in ("design_load", *lacks):
        del written[key]
    written.update(stated)
    return Job(read_build(spec))


def cross(lever: Vector, force: Vector) -> Vector:
    (x, y, z), (fx, fy, fz) = lever, force
    return y * fz - z * fy, z * fx - x * fz, x * fy - y * fx


def moments(job: Job, part: tuple[str, str], lever: Vector, *, braced: bool = False) -> list[Vector]:
    """The moment in each case at ride height of the force at a joint with this lever, in."""
    forces = joints(job)[part][at_ride(job)]
    inches = (lever[0] * INCH, lever[1] * INCH, lever[2] * INCH)
    return [cross(inches, (fx, 0.0 if braced else fy, fz)) for fx, fy, fz in forces]


def bends(job: Job, bracket: tuple[str, str]) -> list[float]:
    found = bracket_of(job, *bracket).bends
    return [found[one_load(job)[at]] for at in at_ride(job)]


def sizes(*together: list[Vector]) -> list[float]:
    return [float(np.linalg.norm(np.sum(each, axis=0))) for each in zip(*together, strict=True)]


def test_two_joints_have_their_couple_without_height_and_foot() -> None:
    """The joints of the arm are 6 in apart along and 3.2 in up, so each is half of that from their middle."""
    job = built(ARM, lacks=("point",))
    couple = sizes(
        moments(job, ("left arm", "axle_upper"), (3.0, 0.0, 1.6)),
        moments(job, ("left arm", "axle_lower"), (-3.0, 0.0, -1.6)),
    )
    assert max(couple) > 2000
    assert bends(job, ARM) == pytest.approx(couple, rel=1e-9)
    moment = job.bracket_moment(job.build.attachments["arm_axle_bracket"].left)
    assert moment.value == max(bracket_of(job, *ARM).bends)
    assert isinstance(moment.unknown, Missing)
    assert moment.unknown.path == "attachments.arm_axle_bracket.left.height"


def test_a_brace_leaves_the_couple() -> None:
    """The net force of the arm has no sideways part to speak of, so a bracket without height has its whole couple."""
    free, braced = built(ARM, lacks=("point",)), built(ARM, lacks=("point",), braced=True)
    assert bends(braced, ARM) == pytest.approx(bends(free, ARM), rel=1e-12)


def test_two_joints_about_a_foot_that_is_stated() -> None:
    """The foot at (0, 17.5, 16.6): the joints at (3, 17.5, 18.4) and (-3, 17.5, 15.2)."""
    for braced in (False, True):
        job = built(ARM, braced=braced)
        couple = [
            moments(job, ("left arm", "axle_upper"), (3.0, 0.0, 1.6)),
            moments(job, ("left arm", "axle_lower"), (-3.0, 0.0, -1.6)),
        ]
        # The middle of the joints is 0.2 in above the foot; a brace takes the sideways force there.
        net = [
            moments(job, ("left arm", joint), (0.0, 0.0, 0.2), braced=braced) for joint in ("axle_upper", "axle_lower")
        ]
        assert bends(job, ARM) == pytest.approx(sizes(*couple, *net), rel=1e-9)
        assert job.bracket_moment(job.build.attachments["arm_axle_bracket"].left).unknown is None


def test_one_joint_at_a_height_without_a_brace() -> None:
    """Which way the foot lies is not known, so the whole force counts at the whole height."""
    job = built(BAR, braced=False)
    forces = joints(job)["lateral bar", "frame"][at_ride(job)]
    assert bends(job, BAR) == pytest.approx([7.75 * INCH * float(np.linalg.norm(each)) for each in forces], rel=1e-9)


def test_one_joint_at_a_height_with_a_brace() -> None:
    """The bar runs 33 in across and 2.85 in up: of each pound along it 2.85 / 33.12 lbf is upright, and none along."""
    job = built(BAR)
    forces = joints(job)["lateral bar", "frame"][at_ride(job)]
    share = 2.85 / math.hypot(33, 2.85)
    by_hand = [7.75 * INCH * share * float(np.linalg.norm(each)) for each in forces]
    assert bends(job, BAR) == pytest.approx(by_hand, rel=1e-9)
    bare = built(BAR, braced=False)
    assert max(bends(job, BAR)) == pytest.approx(share * max(bends(bare, BAR)), rel=1e-9)


def test_one_joint_about_a_foot_that_is_stated_with_a_brace() -> None:
    """The joint of the arm at (-37, 16.5, 19.7), its foot at (-37, 15, 30.5)."""
    spec = data()
    for braced in (False, True):
        bracket = spec["attachments"]["arm_frame_bracket"]["both"]
        bracket.update(braced=braced, design_load=1)
        job = Job(read_build(spec))
        wanted = sizes(moments(job, ("left arm", "frame"), (0.0, 1.5, -10.8), braced=braced))
        assert bends(job, ("arm_frame_bracket", "left")) == pytest.approx(wanted, rel=1e-9)


def test_a_design_load_replaces_a_smaller_net_force_in_its_direction() -> None:
    share = 2.85 / math.hypot(33, 2.85)
    bare, braced = (built(BAR, braced=braced, design_load=6000) for braced in (False, True))
    whole = 6000 * POUND * 7.75 * INCH
    assert bends(bare, BAR) == pytest.approx([whole] * len(bends(bare, BAR)), rel=1e-9)
    assert bends(braced, BAR) == pytest.approx([share * whole] * len(bends(braced, BAR)), rel=1e-6)
    # A smaller one changes nothing.
    assert bends(built(BAR, braced=False, design_load=0.01), BAR) == bends(built(BAR, braced=False), BAR)
    # Beside a couple it adds its own moment: 9500 lbf at 2 in.
    free, loaded = (built(ARM, lacks=("point",), height=2, **more) for more in ({}, {"design_load": 9500}))
    couple = bends(built(ARM, lacks=("point",)), ARM)
    nets = np.array(bracket_of(free, *ARM).forces)[one_load(free)][at_ride(free)]
    lever = 2 * INCH
    by_force = [each + lever * float(np.linalg.norm(net)) for each, net in zip(couple, nets, strict=True)]
    assert bends(free, ARM) == pytest.approx(by_force, rel=1e-9)
    assert bends(loaded, ARM) == pytest.approx([each + lever * 9500 * POUND for each in couple], rel=1e-9)


def test_sideways_of_a_bracket_on_the_axle_is_the_axles_own() -> None:
    """With the axle turned, here as the bump stops are hit, the brace turns with it."""
    spec = data()
    spec["links"]["arm"]["both"]["frame"] = [-37, 16.5, 30]
    written = spec["attachments"]["lateral_bar_axle_bracket"]["right"]
    del written["design_load"]
    job = Job(read_build(spec))
    hit = [case.name for case in job.loads.table.cases].index("bump stops hit")
    sideways = job.moving.direction(np.array([0.0, 1.0, 0.0]))[:, int(job.lines.travel.picks[-1])]
    (force,) = [
        np.array(row.forces[hit]) for row in job.loads.table.joints if (row.label, row.joint) == ("lateral bar", "axle")
    ]
    found = bracket_of(job, "lateral_bar_axle_bracket", "right")
    rest = force - (force @ sideways) * sideways
    assert found.bends[hit] == pytest.approx(3.25 * INCH * float(np.linalg.norm(rest)), rel=1e-9)
    assert float(np.linalg.norm(rest)) != pytest.approx(math.hypot(force[0], force[2]), rel=1e-5)


def test_without_loads_the_moment_is_unknown_and_a_design_load_says_how_much_it_is_at_least() -> None:
    spec = data()
    del spec["vehicle"]["total_mass"]
    for braced, known in ((False, 6000 * POUND * 7.75 * INCH), (True, 0.0)):
        spec["attachments"]["lateral_bar_frame_bracket"]["left"]["braced"] = braced
        job = Job(read_build(spec))
        moment = job.bracket_moment(job.build.attachments["lateral_bar_frame_bracket"].left)
        assert moment.unknown is not None
        assert moment.value == pytest.approx(known)
