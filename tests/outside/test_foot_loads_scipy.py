"""Loads of brackets on their feet, and the welds and bolts under them, against free bodies of our own.

Each bracket is a body in equilibrium: scipy's least squares finds the force and the moment that its foot has to give so
that the sums of forces and of moments, taken about several points that lie anywhere, are zero. Weld and bolts are then
cut into pieces that the foot holds rigidly (springs), whatever direction the pattern has.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.optimize import least_squares

from buildcheck.build import read_build
from buildcheck.build.part import Vector
from buildcheck.job import Job
from buildcheck.spec.written import REMOVED
from buildcheck.testing import changed, sound_spec

INCH = 0.0254
ABOUT = np.array([[0.3, -0.2, 0.1], [-1.0, 0.4, 0.7], [0.0, 0.0, 2.0]])
Array = Any


def held_up(points: Array, forces: Array, foot: Array) -> tuple[Array, Array]:
    """Force and moment at the foot that keep a body in equilibrium under forces (n, 3) at points (n, 3)."""

    def unbalanced(x: Array) -> Array:
        sums = [forces.sum(axis=0) + x[:3]]
        for about in ABOUT:
            sums.append(np.cross(points - about, forces).sum(axis=0) + np.cross(foot - about, x[:3]) + x[3:])
        return np.concatenate(sums)

    found = least_squares(unbalanced, np.zeros(6), x_scale=1e3, xtol=1e-15, ftol=1e-15, gtol=1e-15).x
    return found[:3], found[3:]


def one_column_cases(job: Job) -> list[int]:
    """Cases with one load each, in which the table's forces are those of the same moment."""
    names = ("braking", "left bend", "right bend", "braking in a left bend")
    return [number for number, case in enumerate(job.loads.table.cases) if case.name in names]


@pytest.mark.parametrize("normal", [(0, 0, -1), (1, 0, 0), (0.3, -0.5, 0.8)])
def test_a_bracket_of_an_arm_on_the_frame_is_a_body_in_equilibrium(normal: tuple[float, float, float]) -> None:
    job = Job(read_build(changed(sound_spec(), {"attachments.arm_frame_bracket.both.design_load": 0})))
    bracket = job.build.attachments["arm_frame_bracket"].left
    foot = job.loads.on_foot(bracket, Vector(*normal))
    along = np.array(normal) / np.linalg.norm(normal)
    rows = [row for row in job.loads.table.joints if (row.label, row.joint) == ("left arm", "frame")]
    checked = 0
    for case in one_column_cases(job):
        (column,) = {number for number in foot.groups[case] if number < foot.net}
        force = np.array(rows[0].forces[case])
        given, moment = held_up(np.array([job.build.links["arm"].left.frame]), force[None], np.array(bracket.point))
        np.testing.assert_allclose(foot.force[:, column], -given, rtol=1e-6, atol=1e-4)
        np.testing.assert_allclose(foot.moment[:, column], -moment, rtol=1e-6, atol=1e-4)
        pull, twist = -given @ along, -moment @ along
        assert foot.pull[column] == pytest.approx(pull, rel=1e-6, abs=1e-4)
        assert foot.shear[column] ** 2 == pytest.approx(given @ given - pull**2, rel=1e-6)
        assert foot.twist[column] == pytest.approx(abs(twist), rel=1e-6, abs=1e-4)
        assert foot.tip[column] ** 2 == pytest.approx(moment @ moment - twist**2, rel=1e-6)
        checked += 1
    assert checked >= 3


def test_a_bracket_with_two_joints_on_the_axle_at_ride_height() -> None:
    """The two axle joints of an arm; at ride height the axle is where the spec draws it."""
    job = Job(read_build(changed(sound_spec(), {"attachments.arm_axle_bracket.right.design_load": 0})))
    bracket, arm = job.build.attachments["arm_axle_bracket"].right, job.build.links["arm"].right
    foot = job.loads.on_foot(bracket, bracket.normal)
    listed = next(row.foot for row in job.loads.table.brackets if row.label == "right arm axle bracket")
    assert listed is not None
    assert listed.twists is not None
    along = np.array(bracket.normal) / np.linalg.norm(bracket.normal)
    rows = {row.joint: row.forces for row in job.loads.table.joints if row.label == "right arm"}
    for case in one_column_cases(job):
        (column,) = {number for number in foot.groups[case] if number < foot.net}
        forces = np.array([rows["axle_upper"][case], rows["axle_lower"][case]])
        points = np.array([arm.axle_upper, arm.axle_lower])
        given, moment = held_up(points, forces, np.array(bracket.point))
        np.testing.assert_allclose(foot.force[:, column], -given, rtol=1e-4, atol=0.1)
        np.testing.assert_allclose(foot.moment[:, column], -moment, rtol=1e-3, atol=0.5)
        assert listed.pulls[case] == pytest.approx(-given @ along, rel=1e-3, abs=0.5)
        assert listed.shears[case] == pytest.approx(np.linalg.norm(given - given @ along * along), rel=1e-3, abs=0.5)
        assert listed.twists[case] == pytest.approx(abs(moment @ along), rel=1e-2, abs=0.5)


def test_a_height_is_a_lever_along_the_normal() -> None:
    spec = changed(
        sound_spec(),
        {
            "attachments.lateral_bar_frame_bracket.left.design_load": 0,
            "attachments.lateral_bar_frame_bracket.left.brace": REMOVED,
        },
    )
    job = Job(read_build(spec))
    bracket = job.build.attachments["lateral_bar_frame_bracket"].left
    foot = job.loads.on_foot(bracket, bracket.normal)
    row = next(row for row in job.loads.table.joints if (row.label, row.joint) == ("lateral bar", "frame"))
    joint = np.array(job.build.lateral_bar.frame)
    for case in one_column_cases(job):
        (column,) = {number for number in foot.groups[case] if number < foot.net}
        _, moment = held_up(joint[None], np.array([row.forces[case]]), joint + np.array([0, 0, 7.75 * INCH]))
        np.testing.assert_allclose(foot.moment[:, column], -moment, rtol=1e-6, atol=1e-3)


def test_a_brace_and_the_foot_hold_a_bracket_in_equilibrium() -> None:
    """The joint, the brace and the foot by forces and moments; about the axis of the brace's own moment the foot takes
    nothing of the sideways force, as a hinge would."""
    job = Job(read_build(changed(sound_spec(), {"attachments.lateral_bar_frame_bracket.left.design_load": 0})))
    bracket = job.build.attachments["lateral_bar_frame_bracket"].left
    foot = job.loads.on_foot(bracket, bracket.normal)
    assert foot.brace is not None
    row = next(row for row in job.loads.table.joints if (row.label, row.joint) == ("lateral bar", "frame"))
    joint = np.array(job.build.lateral_bar.frame)
    centre = joint + np.array([0, 0, 7.75 * INCH])
    start, end = (np.array(each) for each in (bracket.brace.bracket_end, bracket.brace.far_end))
    pull = (end - start) / np.linalg.norm(end - start)
    for case in one_column_cases(job):
        (column,) = {number for number in foot.groups[case] if number < foot.net}
        force = np.array(row.forces[case])
        given, moment = held_up(np.array([joint, start]), np.array([force, foot.brace[column] * pull]), centre)
        np.testing.assert_allclose(foot.force[:, column], -given, rtol=1e-6, atol=1e-2)
        np.testing.assert_allclose(foot.moment[:, column], -moment, rtol=1e-6, atol=1e-2)
        hinge = np.cross(start - centre, pull)
        sideways = np.cross(joint - centre, [0, force[1], 0]) + foot.brace[column] * hinge
        assert sideways @ hinge == pytest.approx(0.0, abs=1e-6 * np.linalg.norm(force))


def test_a_design_load_keeps_the_direction_of_each_case() -> None:
    job = Job(read_build(changed(sound_spec(), {"attachments.arm_frame_bracket.both.design_load": "20000 lbf"})))
    foot = job.loads.on_foot(job.build.attachments["arm_frame_bracket"].left, Vector(0, 0, -1))
    net, design = foot.force[:, : foot.net], foot.force[:, foot.net :]
    np.testing.assert_allclose(np.linalg.norm(design, axis=0), 20000 * 4.4482216152605, rtol=1e-9)
    np.testing.assert_allclose(np.cross(net, design, axis=0), 0.0, atol=1e-3)
