"""A struck radius arm and the corner weights, against free bodies written out one by one and solved by scipy.

Arms are rigid bodies of their own with three unknown joint forces each, and the axle is another; the tool knows no such
bodies. What equilibrium leaves open is closed as the tool says it closes it: nothing more between the two axle joints
of an arm than the strike itself, and least energy where the links hold the axle more than once over.
"""

from __future__ import annotations

import numpy as np
import pytest
import scipy.linalg
from numpy.typing import NDArray

from buildcheck.motion.link_strike import arm_bending, arm_strike
from buildcheck.motion.load_cases import GRAVITY, GroundLoad, LoadedAxle, braking, cornering, static
from buildcheck.motion.statics import Load, Supports, axial_forces

Array = NDArray[np.float64]


def layout(random: np.random.Generator, arms: int) -> tuple[Array, Array, Array, Array]:
    """Arms (arms, 3 joints, 3): upper and lower axle joint, frame joint; rods with axle end and frame end (n, 2, 3);
    stiffness of the arms' lines (2 arms,) and of the rods: with two arms a lateral bar, with one a link more, and
    two springs."""
    noise = lambda *shape: random.uniform(-0.05, 0.05, shape)  # noqa: E731
    sides = [1.0, -1.0][:arms]
    held = np.array([[[0.08, 0.43 * s, 0.08], [-0.07, 0.44 * s, -0.06], [-0.95, 0.41 * s, 0.05]] for s in sides])
    rods = [[[0.1, -0.4, 0.1], [0.1, 0.42, 0.17]], [[-0.05, 0.5, 0.1], [-0.1, 0.45, 0.7]]]
    rods.append([[-0.05, -0.5, 0.1], [-0.1, -0.45, 0.7]])
    if arms == 1:
        rods.append([[0.0, -0.43, -0.1], [-0.9, -0.42, -0.05]])
    bodies, links = held + noise(*held.shape), np.array(rods) + noise(len(rods), 2, 3)
    stiffness = random.uniform(1e6, 1e7, len(rods))
    stiffness[1:3] = random.uniform(2e4, 6e4, 2)
    return bodies, links, random.uniform(1e6, 1e7, 2 * arms), stiffness


def free_bodies(
    bodies: Array, rods: Array, arm_stiffness: Array, stiffness: Array, push: Array, pushed: Array
) -> tuple[Array, Array]:
    """Joint forces (arms, 3 joints, 3) N on the arms, and the tension of the rods: the first arm is struck by `push` in
    the middle of its length, the axle by `pushed` at its centre, the origin."""
    arms, count = len(bodies), 9 * len(bodies) + len(rods)
    equations, right = [], []
    strike = np.zeros((arms, 3))
    strike[0] = push
    axle = np.zeros((6, count))
    for arm, (upper, lower, frame) in enumerate(bodies):
        rows = np.zeros((6, count))
        for joint, point in enumerate((upper, lower, frame)):
            at = slice(9 * arm + 3 * joint, 9 * arm + 3 * joint + 3)
            turning = np.array([np.cross(point, each) for each in np.eye(3)]).T
            rows[:, at] = np.vstack([np.eye(3), turning])
            if joint < 2:
                axle[:, at] = -rows[:, at]
        middle = (upper / 2 + lower / 2 + frame) / 2
        equations.append(rows)
        right.append(-np.concatenate([strike[arm], np.cross(middle, strike[arm])]))
        # Beyond its quarter of the strike the upper joint is pulled along its line to the frame joint alone.
        line = (frame - upper) / np.linalg.norm(frame - upper)
        aside = np.cross(np.cross(lower - upper, line), line)
        row = np.zeros((1, count))
        row[0, 9 * arm : 9 * arm + 3] = aside
        equations.append(row)
        right.append(np.array([-strike[arm] @ aside / 4]))
    for number, (start, end) in enumerate(rods):
        line = (end - start) / np.linalg.norm(end - start)
        axle[:, 9 * arms + number] = np.concatenate([line, np.cross(start, line)])
    equations.append(axle)
    right.append(-np.concatenate([pushed, np.zeros(3)]))
    matrix, known = np.vstack(equations), np.concatenate(right)
    # Energy: of the arms' lines, whose tension is what the axle joints pull beyond the strike's share; and of the rods.
    give, offset = np.zeros((2 * arms + len(rods), count)), np.zeros(2 * arms + len(rods))
    for arm, (upper, lower, frame) in enumerate(bodies):
        for joint, point in enumerate((upper, lower)):
            line = (frame - point) / np.linalg.norm(frame - point)
            give[2 * arm + joint, 9 * arm + 3 * joint : 9 * arm + 3 * joint + 3] = -line
            offset[2 * arm + joint] = -strike[arm] @ line / 4
    give[2 * arms :, 9 * arms :] = np.eye(len(rods))
    root = np.sqrt(stiffness.min() / np.concatenate([arm_stiffness, stiffness]))
    some, free = scipy.linalg.lstsq(matrix, known)[0], scipy.linalg.null_space(matrix)
    if free.shape[1]:
        tension = root * (give @ some + offset)
        some = some - free @ scipy.linalg.lstsq(root[:, None] * (give @ free), tension)[0]
    np.testing.assert_allclose(matrix @ some, known, atol=1e-8 * np.abs(known).max())
    return some[: 9 * arms].reshape(arms, 3, 3), some[9 * arms :]


@pytest.mark.parametrize("arms", [1, 2])
@pytest.mark.parametrize("seed", range(600, 625))
def test_joint_forces_of_a_struck_arm(arms: int, seed: int) -> None:
    random = np.random.default_rng(seed)
    bodies, rods, arm_stiffness, stiffness = layout(random, arms)
    push, pushed = random.normal(0.0, 5e3, (2, 3))
    on_arms, tensions = free_bodies(bodies, rods, arm_stiffness, stiffness, push, pushed)
    centre = np.zeros(3)
    ends = np.vstack([*(body[:2] for body in bodies), rods[:, 0]])
    frames = np.vstack([*(body[[2, 2]] for body in bodies), rods[:, 1]])
    supports = Supports.between(centre, ends.T, frames.T, np.concatenate([arm_stiffness, stiffness]))
    upper, lower, frame = bodies[0]
    strike = arm_strike(centre, upper, lower, frame, push)
    forces = axial_forces(supports, Load.at(centre, centre, pushed) + strike.load)
    pull = supports.forces_on_axle(forces)
    found = [
        strike.on_axle_upper + pull[:, 0],
        strike.on_axle_lower + pull[:, 1],
        strike.on_frame - pull[:, 0] - pull[:, 1],
    ]
    scale = 1e-9 * np.abs(on_arms).max()
    np.testing.assert_allclose(found, -on_arms[0], rtol=0.0, atol=scale)
    np.testing.assert_allclose(forces[2 * arms :], tensions, rtol=0.0, atol=scale)
    # The bending moment where it is struck, and in the middle of the axle joints, from the axle's side of the arm.
    start = (upper + lower) / 2
    struck = (start + frame) / 2
    at_strike = sum(np.cross(at - struck, -pulled) for at, pulled in zip((upper, lower), found[:2], strict=True))
    at_axle = sum(np.cross(at - start, -pulled) for at, pulled in zip((upper, lower), found[:2], strict=True))
    moment = max(np.linalg.norm(at_strike), np.linalg.norm(at_axle))
    assert float(arm_bending(start, frame, found[2], push)) == pytest.approx(moment, rel=1e-9)


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
