"""Radius arms as bodies of their own on joints that give, against the two lines that stand for them in the tool; and
the corner weights of a whole truck.

Every arm is a rigid body with six displacements, the axle another; joints are springs that give alike in every
direction, links and springs act along their lines. All displacements come of one system of equations (the stiffness
method), solved by scipy. The tool knows no such bodies and no displacement of an arm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
import scipy.linalg
from numpy.typing import NDArray

from buildcheck.axle.rigid_arm import RigidArm, swing
from buildcheck.strength.link_strike import arm_bending, arm_strike
from buildcheck.strength.load_cases import GRAVITY, GroundLoad, LoadedAxle, braking, cornering, static
from buildcheck.strength.statics import Load, Supports, axial_forces

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Truck:
    """Arms (arms, 3 joints, 3): frame joint, upper and lower axle joint, with the stiffness (arms, 3) of each; rods
    (n, 2 ends, 3), axle end first, with theirs (n,). The axle centre is the origin."""

    arms: Array
    joints: Array
    rods: Array
    rates: Array

    def arm(self, number: int) -> RigidArm:
        """One of the arms as the tool has it."""
        frame, upper, lower = self.arms[number]
        stiffness = self.joints[number]
        middle = (stiffness[1] * upper + stiffness[2] * lower) / (stiffness[1] + stiffness[2])
        first, second, third = stiffness.tolist()
        return RigidArm(frame, upper, lower, (first, second, third), swing(frame, upper, lower, middle, None))

    def displaced(self, force: Array, moment: Array, push: Array, at: Array, planar: bool) -> tuple[Array, Array]:
        """Force on each joint (arms, 3, 3) N, by the arm on what it is bolted to, and tension (n,) N of the rods: under
        a force and a moment on the axle and a push on the first arm. `planar`: the arms give and move in the x-z plane
        alone, and all joints of each lie in such a plane.

        Unknown are the displacement and turn of the axle, then those of each arm; a joint's strain is what its two
        sides move apart.
        """
        free = np.eye(6)[[0, 2, 4]] if planar else np.eye(6)
        held = np.diag([1.0, 0.0, 1.0]) if planar else np.eye(3)
        count = 6 + len(free) * len(self.arms)
        strains, rates = [], []
        for number, arm in enumerate(self.arms):
            own = slice(6 + len(free) * number, 6 + len(free) * (number + 1))
            for joint, point in enumerate(arm):
                rows = np.zeros((3, count))
                rows[:, own] = moved(point) @ free.T
                if joint > 0:
                    rows[:, :6] -= moved(point)
                strains.append(held @ rows)
                rates.append(np.full(3, self.joints[number, joint]))
        for (end, frame), rate in zip(self.rods, self.rates, strict=True):
            line = (frame - end) / np.linalg.norm(frame - end)
            rows = np.zeros((1, count))
            rows[0, :6] = -line @ moved(end)
            strains.append(rows)
            rates.append(np.array([rate]))
        strain, rate = np.vstack(strains), np.concatenate(rates)
        load = np.zeros(count)
        load[:6] = np.concatenate([force, moment])
        load[6 : 6 + len(free)] = free @ moved(at).T @ push
        displacement = scipy.linalg.solve(strain.T @ (rate[:, None] * strain), load, assume_a="sym")
        carried = rate * (strain @ displacement)
        joints = 9 * len(self.arms)
        return carried[:joints].reshape(-1, 3, 3), carried[joints:]


def moved(point: Array) -> Array:
    """Displacement of a point of a body, (3, 6), by the body's displacement and its turn about the origin."""
    x, y, z = point
    return np.hstack([np.eye(3), [[0.0, z, -y], [-z, 0.0, x], [y, -x, 0.0]]])


def truck(random: np.random.Generator, arms: int, *, in_line: bool = False) -> Truck:
    """One arm or two; with two a lateral bar, with one a link more, and two springs. `in_line`: the axle joints ahead
    of the tube and behind it, nearly or quite on the line of the arm."""
    sides = [1.0, -1.0][:arms]
    noise = lambda *shape: random.uniform(-0.05, 0.05, shape)  # noqa: E731
    held = np.array([[[-0.95, 0.41 * s, 0.05], [0.08, 0.43 * s, 0.08], [-0.07, 0.44 * s, -0.06]] for s in sides])
    bodies = held + noise(*held.shape)
    if in_line:
        bodies[:, :, 1] = bodies[:, :1, 1]
        line = bodies[:, 1] - bodies[:, 0]
        bodies[:, 2] = bodies[:, 1] - random.uniform(0.12, 0.2) * line
        bodies[:, 2, 2] += random.choice([0.0, 1e-9, 0.002, 0.01])
    rods = [[[0.1, -0.4, 0.1], [0.1, 0.42, 0.17]], [[-0.05, 0.5, 0.1], [-0.1, 0.45, 0.7]]]
    rods.append([[-0.05, -0.5, 0.1], [-0.1, -0.45, 0.7]])
    if arms == 1:
        rods.append([[0.0, -0.43, -0.1], [-0.9, -0.42, -0.05]])
    rates = random.uniform(1e6, 1e7, len(rods))
    rates[1:3] = random.uniform(2e4, 6e4, 2)
    joints = 10.0 ** random.uniform(5.7, 7.5, (arms, 3))
    return Truck(bodies, joints, np.array(rods) + noise(len(rods), 2, 3), rates)


@pytest.mark.parametrize("in_line", [False, True])
@pytest.mark.parametrize("arms", [1, 2])
@pytest.mark.parametrize("seed", range(600, 625))
def test_joint_forces_of_a_loaded_and_struck_arm(arms: int, seed: int, in_line: bool) -> None:
    random = np.random.default_rng(seed)
    there = truck(random, arms, in_line=in_line)
    push, force, moment = random.normal(0.0, 5e3, (3, 3)) * np.array([1.0, 0.0 if in_line else 1.0, 1.0])
    share, centre = random.uniform(0.2, 0.8), np.zeros(3)
    held = [there.arm(number) for number in range(arms)]
    struck = held[0].centre + share * (held[0].frame - held[0].centre)
    joints, tensions = there.displaced(force, moment, push, struck, in_line)
    lines = [arm.lines() for arm in held]
    ends = np.hstack([*(line.points for line in lines), there.rods[:, 0].T])
    frames = np.hstack([*(np.stack([arm.frame] * 2, axis=1) for arm in held), there.rods[:, 1].T])
    rates = np.concatenate([*([line.stiffness] * 2 for line in lines), there.rates])
    supports = Supports.between(centre, ends, frames, rates)
    strike = arm_strike(centre, held[0], push, share)
    forces = axial_forces(supports, Load(force, moment) + strike.load)
    pull = supports.forces_on_axle(forces)
    scale = 2e-8 * np.abs(joints).max()
    np.testing.assert_allclose(forces[2 * arms :], tensions, rtol=0.0, atol=scale)
    for number, arm in enumerate(held):
        on_frame = -pull[:, 2 * number : 2 * number + 2].sum(axis=1) + (strike.on_frame if number == 0 else 0.0)
        at_axle = arm.at_axle_joints(on_frame, push if number == 0 else np.zeros(3), share)
        found = np.array([on_frame, *at_axle])
        np.testing.assert_allclose(found, joints[number], rtol=0.0, atol=scale)
    # The bending moment where it is struck, and at its axle joints, from the axle's side of the arm.
    on_frame, *at_axle = joints[0]
    both = list(zip(there.arms[0, 1:], at_axle, strict=True))
    moments = [
        np.linalg.norm(sum(np.cross(at - about, pulled) for at, pulled in both)) for about in (struck, held[0].centre)
    ]
    assert float(arm_bending(held[0].centre, there.arms[0, 0], on_frame, push, share)) == pytest.approx(
        max(moments), rel=1e-7
    )


@pytest.mark.parametrize("seed", range(700, 730))
def test_corner_weights_of_a_whole_truck(seed: int) -> None:
    """The whole truck as one body on four tyres, of which each axle takes the overturning by its share of the mass."""
    random = np.random.default_rng(seed)
    total, front = random.uniform(1500, 3000), random.uniform(0.4, 0.6)
    base, track, height = random.uniform(2.3, 3.0), random.uniform(1.4, 1.7), random.uniform(0.6, 0.9)
    ahead, across = random.uniform(0.0, 0.7), random.uniform(-0.4, 0.4)
    is_front = bool(random.integers(2))
    # Forces at the tyres sum up to m a; moments about the ground under the front axle: x forward, y left.
    weight = total * GRAVITY
    pitch = -(1 - front) * base * weight + height * ahead * weight
    roll = -height * across * weight
    matrix = [
        [1.0, 1.0, 1.0, 1.0],
        [0.0, 0.0, -base, -base],  # moments about y of loads upward, turned round
        [track / 2, -track / 2, track / 2, -track / 2],
        [1 - front, front - 1, -front, front],
    ]
    loads = scipy.linalg.solve(np.array(matrix), [weight, pitch, roll, 0.0])
    mass = total * (front if is_front else 1 - front)
    contacts = np.array([[0.0, 0.0], [track / 2, -track / 2], [0.0, 0.0]])
    axle = LoadedAxle(np.array([0.0, 0.0, 0.4]), contacts, mass, 0.2 * mass, total, base, height, is_front)
    whole = static(axle) + braking(axle, ahead, 0.65) + cornering(axle, across)
    assert isinstance(whole, GroundLoad)
    np.testing.assert_allclose(whole.corners, loads[:2] if is_front else loads[2:], rtol=1e-10)
