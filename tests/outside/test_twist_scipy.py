"""Radius arms with joints that resist being turned, against least squares by scipy of the same energy, written anew.

Nothing of the formulas is shared: an arm's attitude comes from scipy's solution of Wahba's problem, the turn of its
joints from quaternions, and the axle is placed by all four unknowns at once in small steps from ride height.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from random_layouts import bars_of, radius_arms
from scipy.optimize import approx_fprime, least_squares
from scipy.spatial.transform import Rotation

from buildcheck.axle.bind import bind
from buildcheck.axle.constraints import UNKNOWNS
from buildcheck.axle.equations import equations
from buildcheck.axle.poses import Layout, constraints_of, solve
from buildcheck.axle.twist import TwistedArms

Array = NDArray[np.float64]

STEPS = 4
UPPER, LOWER = np.array([0, 2]), np.array([1, 3])
SEEDS = range(24)


def twisted(random: np.random.Generator) -> Layout:
    """Random radius arms; joints from a soft bushing's stiffness to far more than any has."""
    layout = radius_arms(random)
    return replace(layout, twists=TwistedArms(UPPER, LOWER, 10.0 ** random.uniform(2.0, 5.0, (3, 2))))


def arm_attitude(joint: Array, upper: Array, lower: Array, ride: tuple[Array, Array, Array]) -> Rotation:
    """An arm's attitude: its line exactly, then the line through its axle joints as nearly as it goes."""
    now = [(upper + lower) / 2 - joint, upper - lower]
    before = [(ride[1] + ride[2]) / 2 - ride[0], ride[1] - ride[2]]
    return Rotation.align_vectors(now, before, weights=[np.inf, 1.0])[0]


def turns(layout: Layout, unknowns: Array, heave: float, roll: float) -> tuple[Array, Array]:
    """Stretch of each constraint, and rotation vectors (3 joints, 2 arms, 3) of the joints: frame, upper, lower."""
    x, y, pitch, yaw = unknowns
    arms, anchors, lengths, _ = bars_of(layout)
    axle = Rotation.from_euler("ZYX", [yaw, pitch, roll])
    ends = axle.apply(arms) + np.array([x, y, heave])
    turned = np.empty((3, 2, 3))
    for number, (upper, lower) in enumerate(zip(UPPER, LOWER, strict=True)):
        ride = (anchors[upper], arms[upper], arms[lower])
        arm = arm_attitude(anchors[upper], ends[upper], ends[lower], ride)
        turned[0, number] = arm.as_rotvec()
        turned[1:, number] = (arm * axle.inv()).as_rotvec()
    return np.linalg.norm(ends - anchors, axis=1) - lengths, turned


def residual(unknowns: Array, layout: Layout, heave: float, roll: float) -> Array:
    """Half the sum of its squares is the energy, J."""
    assert layout.twists is not None
    stretch, turned = turns(layout, unknowns, heave, roll)
    weighted = np.sqrt(layout.twists.stiffness)[..., np.newaxis] * turned
    return np.concatenate([np.sqrt(layout.stiffness) * stretch, weighted.ravel()])


def by_scipy(layout: Layout, heave: float, roll: float) -> Array:
    """x, y, pitch, yaw of least energy, followed from ride height."""
    found = np.zeros(UNKNOWNS)
    for share in np.linspace(0.0, 1.0, STEPS + 1)[1:]:
        found = least_squares(
            residual,
            found,
            args=(layout, heave * share, roll * share),
            jac="3-point",
            xtol=1e-15,
            ftol=1e-15,
            gtol=1e-15,
        ).x
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_pose_of_least_energy_and_its_loads(seed: int) -> None:
    random = np.random.default_rng(seed)
    layout = twisted(random)
    assert layout.twists is not None
    heave, roll = random.uniform(-0.1, 0.1), random.uniform(-0.12, 0.12)
    poses = solve(layout, heave, roll)
    assert poses.solved.all()
    ours = np.stack([poses.x, poses.y, poses.pitch, poses.yaw])[:, 0]
    theirs = by_scipy(layout, heave, roll)
    np.testing.assert_allclose(ours, theirs, rtol=0.0, atol=1e-8)
    free = solve(replace(layout, twists=None), heave, roll)
    moved = np.abs(ours - np.stack([free.x, free.y, free.pitch, free.yaw])[:, 0]).max()
    assert moved > 1e-5  # a thousand times what the two may differ: the joints do matter here
    stretch, turned = turns(layout, ours, heave, roll)
    found = bind(layout, poses)
    energy = 0.5 * ((found.load * poses.stretch).sum() + (found.moment * found.angle).sum())
    np.testing.assert_allclose(energy, 0.5 * (residual(theirs, layout, heave, roll) ** 2).sum(), rtol=1e-10)
    angle = np.linalg.norm(turned, axis=2)
    np.testing.assert_allclose(found.angle[..., 0], angle, rtol=0.0, atol=1e-12)
    np.testing.assert_allclose(found.moment[..., 0], layout.twists.stiffness * angle, rtol=1e-10)
    np.testing.assert_allclose(
        found.load[:, 0], layout.stiffness * stretch, rtol=0.0, atol=1e-11 * layout.stiffness.max()
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_gradient_and_its_derivatives(seed: int) -> None:
    """At places that are no solution, up to a third of a radian off, against differences of the energy written here."""
    random = np.random.default_rng(seed)
    layout = twisted(random)
    stiffest = layout.stiffness.max()
    unknowns, heave, roll = random.uniform(-0.3, 0.3, UNKNOWNS), random.uniform(-0.1, 0.1), random.uniform(-0.3, 0.3)
    system = equations(constraints_of(layout), np.array([heave]), np.array([roll]))

    def gradient(at: Array) -> Array:
        """Of the six coordinates forward, lateral, pitch, yaw, heave, roll; by the equations."""
        there = equations(constraints_of(layout), at[4:5], at[5:6])
        there.place(at[:UNKNOWNS, np.newaxis])
        return there.rest()[:, 0].copy()

    def energy_at(forward_lateral_pitch_yaw: Array) -> float:
        forward, lateral, pitch, yaw = forward_lateral_pitch_yaw
        x, y = np.cos(yaw) * forward - np.sin(yaw) * lateral, np.sin(yaw) * forward + np.cos(yaw) * lateral
        return 0.5 * float((residual(np.array([x, y, pitch, yaw]), layout, heave, roll) ** 2).sum()) / stiffest

    system.place(unknowns[:, np.newaxis])
    found = system.rest()[:, 0]
    step = 1e-5
    differences = (approx_fprime(unknowns, energy_at, step) + approx_fprime(unknowns, energy_at, -step)) / 2
    np.testing.assert_allclose(found, differences, rtol=0.0, atol=1e-8 * max(1.0, np.abs(found).max()))

    table = np.empty((UNKNOWNS + 1, UNKNOWNS, 1))
    system.linearise(table)
    coordinates = np.array([*unknowns, heave, roll])
    changes = np.array(
        [
            (gradient(coordinates + push) - gradient(coordinates - push)) / (2 * step)
            for push in step * np.eye(len(coordinates))
        ]
    )
    np.testing.assert_allclose(table[:UNKNOWNS, :, 0], changes[:UNKNOWNS], rtol=0.0, atol=1e-8)
    np.testing.assert_allclose(system.driven()[:, :, 0], changes[UNKNOWNS:], rtol=0.0, atol=1e-8)
    np.testing.assert_array_equal(table[UNKNOWNS, :, 0], found)
