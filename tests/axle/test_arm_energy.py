"""The energy of a radius arm: its derivatives, its size for small deflections, and what it refuses."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from buildcheck.axle.arm_energy import ArmForces, ElasticArms, energies_about
from buildcheck.axle.poses import Layout, solve
from buildcheck.axle.rigid_arm import RigidArm
from buildcheck.axle.vectors import dot

Array = NDArray[np.float64]

FRAME = np.array([-0.94, 0.42, 0.49])
UPPER, LOWER = np.array([0.08, 0.44, 0.47]), np.array([-0.08, 0.45, 0.39])
RATES = (8e7, 2.5e6, 1.5e6)
ARM = RigidArm(FRAME, UPPER, LOWER, RATES, UPPER - LOWER)
BAR_FRAME, BAR_AXLE = np.array([0.14, 0.42, 0.58]), np.array([0.14, -0.42, 0.50])


def mirrored(points: Array) -> Array:
    return points * np.array([1.0, -1.0, 1.0]).reshape(3, *(1,) * (points.ndim - 1))


def layout(shared: bool = True, scale: float = 1.0) -> Layout:
    """Two mirrored arms and a bar, the arms as one energy each or as two lines each."""
    points = ARM.sharing() if shared else ARM.lines().points
    frame = np.stack([FRAME, FRAME], axis=1)
    along, turning = ARM.rates[0], ARM.turning
    return Layout(
        centre=np.array([0.0, 0.0, 0.42]),
        frame=np.concatenate([frame, mirrored(frame), BAR_FRAME[:, None]], axis=1),
        axle=np.concatenate([points, mirrored(points), BAR_AXLE[:, None]], axis=1),
        stiffness=scale * np.array([ARM.lines().stiffness] * 4 + [4e7]),
        arms=ElasticArms(np.array([0, 2]), np.array([1, 3]), scale * np.full(2, along), scale * np.full(2, turning))
        if shared
        else None,
    )


def energies(one: Layout) -> Any:
    centre = one.centre[:, None]
    assert one.arms is not None
    return energies_about(
        one.arms, (one.axle - centre)[..., None], (one.frame - centre)[..., None], np.full(1, one.stiffness.max())
    )


def energy_of(square: Array) -> Array:
    """Least over the turn of the arm in its plane, by trying turns; for one arm, over the stiffest stiffness."""
    middle, swings = ARM.centre, (UPPER - LOWER) / np.linalg.norm(UPPER - LOWER)
    built = FRAME - middle
    long, half = np.linalg.norm(built), np.sqrt(ARM.turning / sum(RATES[1:]))
    alpha = np.arccos(built @ swings / long)
    apart = (square[0] + square[1]) / 2 - half**2
    up = (square[1] - square[0]) / (4 * half)
    beta = np.arccos(up / np.sqrt(apart))
    turns = np.linspace(-0.4, 0.4, 400001)
    all_of_them = (
        ARM.rates[0] * (apart + long**2) / 2
        - ARM.rates[0] * long * np.sqrt(apart) * np.cos(beta - alpha - turns)
        + ARM.turning * (1 - np.cos(turns))
    )
    return np.asarray(all_of_them.min() / 4e7)


def test_the_first_derivatives_are_those_of_the_least_energy() -> None:
    """At a pose some centimetres away; closures are half of the squared distances."""
    points = ARM.sharing() + np.array([0.02, -0.03, 0.09])[:, None]
    square = dot(points - FRAME[:, None], points - FRAME[:, None])
    forces = ArmForces(energies(layout()), np.concatenate([square, square, [1.0]])[:, None])
    step = 1e-4
    for row in range(2):
        moved = [energy_of(square + sign * step * np.eye(2)[row]) for sign in (1.0, -1.0)]
        slope = (moved[0] - moved[1]) / (2 * step)
        assert forces.first[row, 0, 0] == pytest.approx(2 * slope, rel=1e-4, abs=1e-7)


def test_the_second_derivatives_are_differences_of_the_first() -> None:
    points = ARM.sharing() + np.array([0.02, -0.03, 0.09])[:, None]
    square = dot(points - FRAME[:, None], points - FRAME[:, None])
    arms, step = energies(layout()), 1e-6

    def first(values: Array) -> Array:
        return ArmForces(arms, np.concatenate([values, values, [1.0]])[:, None]).first[:, 0, 0]

    same, other = ArmForces(arms, np.concatenate([square, square, [1.0]])[:, None]).second()
    for row in range(2):
        way = 2 * step * np.eye(2)[row]
        change = (first(square + way) - first(square - way)) / (2 * step)
        assert change[row] == pytest.approx(same[row, 0, 0], rel=1e-6)
        assert change[1 - row] == pytest.approx(other[0, 0], rel=1e-6)


def test_at_rest_there_is_no_force() -> None:
    points = ARM.sharing()
    square = dot(points - FRAME[:, None], points - FRAME[:, None])
    forces = ArmForces(energies(layout()), np.concatenate([square, square, [1.0]])[:, None])
    np.testing.assert_allclose(forces.first, 0.0, atol=1e-14)


def test_for_small_turns_it_is_the_two_lines_of_statics() -> None:
    heave, roll = np.array([0.0, 1e-4]), np.array([2e-4, -1e-4])
    one, other = solve(layout(), heave, roll), solve(layout(shared=False), heave, roll)
    for name in ("x", "y", "pitch", "yaw"):
        # Second order in the turns.
        np.testing.assert_allclose(getattr(one, name), getattr(other, name), atol=2e-7)


def test_mirrored_rolls_give_mirrored_poses_without_a_bar_that_leans() -> None:
    level = layout()
    axle, frame = level.axle.copy(), level.frame.copy()
    axle[:, -1], frame[:, -1] = [0.14, -0.42, 0.5], [0.14, 0.42, 0.5]
    level = replace(level, axle=axle, frame=frame)
    swapped = replace(level, axle=mirrored(axle), frame=mirrored(frame))
    rolls = np.array([0.05, 0.2])
    one, other = solve(level, 0.03, rolls), solve(swapped, 0.03, -rolls)
    np.testing.assert_allclose(one.x, other.x, atol=1e-12)
    np.testing.assert_allclose(one.y, -other.y, atol=1e-12)
    np.testing.assert_allclose(one.pitch, other.pitch, atol=1e-12)
    np.testing.assert_allclose(one.yaw, -other.yaw, atol=1e-12)


def test_only_ratios_of_stiffness_matter() -> None:
    heave, roll = np.array([-0.1, 0.08]), np.array([0.2, -0.15])
    one, other = solve(layout(), heave, roll), solve(layout(scale=7.0), heave, roll)
    assert one.solved.all()
    np.testing.assert_allclose(one.pitch, other.pitch, atol=1e-11)
    np.testing.assert_allclose(one.stretch, other.stretch, atol=1e-11)


def test_many_builds_are_solved_as_each_alone() -> None:
    first, second = layout(), layout()
    assert first.arms is not None
    soft = replace(first.arms, turning=first.arms.turning / 3)
    second = replace(second, arms=soft)
    together = replace(
        first,
        frame=np.stack([first.frame, second.frame], axis=-1),
        axle=np.stack([first.axle, second.axle], axis=-1),
        stiffness=np.stack([first.stiffness, second.stiffness], axis=-1),
        centre=np.stack([first.centre, second.centre], axis=-1),
        arms=replace(
            first.arms,
            along=np.stack([first.arms.along, soft.along], axis=-1),
            turning=np.stack([first.arms.turning, soft.turning], axis=-1),
        ),
    )
    roll = np.array([0.1, -0.2])
    both = solve(together, 0.02, roll)
    for row, alone in enumerate((first, second)):
        np.testing.assert_allclose(both.pitch[row], solve(alone, 0.02, roll).pitch, atol=1e-12)


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"arms": {"along": np.zeros(2)}}, "above zero"),
        ({"arms": {"turning": np.array([np.nan, 1.0])}}, "above zero"),
        ({"arms": {"second": np.array([1, 4])}}, "share their frame end"),
        ({"frame": "on the line"}, "on the line about which it swings"),
    ],
)
def test_what_is_refused(changed: dict[str, Any], sentence: str) -> None:
    one = layout()
    assert one.arms is not None
    if "arms" in changed:
        one = replace(one, arms=replace(one.arms, **changed["arms"]))
    else:
        frame = one.frame.copy()
        frame[:, :2] = (one.axle[:, 0] + 3 * (one.axle[:, 0] - one.axle[:, 1]))[:, None]
        one = replace(one, frame=frame)
    with pytest.raises(ValueError, match=sentence):
        solve(one, 0.0, 0.1)
