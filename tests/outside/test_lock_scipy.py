"""The steering over travel and lock against root finding by scipy, on random geometry.

The same linkage written without circles or branches: three unknown angles, each a rotation vector given to scipy's
Rotation, and two lengths that must stay. scipy follows the solution from straight ahead in small steps, each started
from the one before, so it stays on the branch by continuity and by nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import brentq, fsolve
from scipy.spatial.transform import Rotation

from buildcheck.steering.linkage import Linkage, Turn, linkage
from buildcheck.steering.lock import Reach, at_stop, steer
from buildcheck.steering.swing import swing_for_steer

Array = NDArray[np.float64]
GEOMETRIES = 24


@dataclass(frozen=True)
class Numbers:
    """A steering in plain numbers: (pivot, axis of length 1, end) of each crank."""

    pitman: tuple[Array, Array, Array]
    arm: tuple[Array, Array, Array]
    near_rod: tuple[Array, Array, Array]
    far_rod: tuple[Array, Array, Array]
    near_side: Turn
    near_spin: Array
    far_spin: Array

    def end(self, crank: tuple[Array, Array, Array], angle: float) -> Array:
        pivot, axis, end = crank
        return np.asarray(pivot + Rotation.from_rotvec(angle * axis).apply(end - pivot))

    def stretches(self, pitman: float, near: float, far: float) -> Array:
        """Stretch of the drag link and of the tie rod, m."""
        drag = np.linalg.norm(self.end(self.pitman, pitman) - self.end(self.arm, near))
        rod = np.linalg.norm(self.end(self.near_rod, near) - self.end(self.far_rod, far))
        built = [
            np.linalg.norm(self.pitman[2] - self.arm[2]),
            np.linalg.norm(self.near_rod[2] - self.far_rod[2]),
        ]
        return np.array([drag, rod]) - built

    def follow(self, pitman: float, steps: int = 12) -> Array:
        """Swing of the near and far knuckle by continuation from straight ahead; NaN once scipy finds no solution."""
        swings = np.zeros(2)
        for angle in np.linspace(0.0, pitman, steps + 1)[1:]:
            found = fsolve(lambda both, at=angle: self.stretches(at, *both), swings, xtol=1e-14, full_output=True)
            swings = found[0]
            if np.abs(self.stretches(angle, *swings)).max() > 1e-13:
                return np.full(2, np.nan)
        return np.asarray(swings)

    def wheel(self, axis: Array, spin: Array, angle: float) -> float:
        """Steer of a wheel: where its rolling direction, square to its spin axis and level, points."""
        rolling = np.cross(Rotation.from_rotvec(angle * axis).apply(spin), [0.0, 0.0, 1.0])
        return float(np.arctan2(rolling[1], rolling[0]))

    def ours(self) -> Linkage:
        return linkage(
            shaft=self.pitman[:2],
            pitman_end=self.pitman[2],
            near_kingpin=self.arm[:2],
            arm_end=self.arm[2],
            near_rod_end=self.near_rod[2],
            far_kingpin=self.far_rod[:2],
            far_rod_end=self.far_rod[2],
            near_side=self.near_side,
            near_spin=self.near_spin,
            far_spin=self.far_spin,
        )


def random_steering(seed: int) -> Numbers:
    """A crossover or push-pull steering with everything a little off, carried by an axle in some attitude."""
    random = np.random.default_rng(seed)
    crossover = seed % 2 == 0
    side = -1.0 if crossover else 1.0

    def near_to(x: float, y: float, z: float, spread: float = 0.02) -> Array:
        return np.array([x, y, z]) + random.uniform(-spread, spread, 3)

    def direction(x: float, y: float, z: float) -> Array:
        way = near_to(x, y, z, 0.06)
        return np.asarray(way / np.linalg.norm(way))

    near_pivot, far_pivot = near_to(0, 0.69 * side, 0.4), near_to(0, -0.69 * side, 0.4)
    near_axis, far_axis = direction(-0.09, -0.15 * side, 1), direction(-0.09, 0.15 * side, 1)
    near_rod, far_rod = near_to(-0.16, 0.65 * side, 0.36), near_to(-0.16, -0.65 * side, 0.36)
    if crossover:
        pitman = (near_to(0, 0.22, 0.72), direction(0.1, 0, 1), near_to(0.17, 0.2, 0.57))
        arm_end = near_to(0.17, -0.66, 0.5)
    else:
        pitman = (near_to(-0.95, 0.36, 0.75), direction(0, 1, 0), near_to(-0.96, 0.38, 0.57))
        arm_end = near_to(0, 0.52, 0.55)
    return Numbers(
        pitman=pitman,
        arm=(near_pivot, near_axis, arm_end),
        near_rod=(near_pivot, near_axis, near_rod),
        far_rod=(far_pivot, far_axis, far_rod),
        near_side="right" if crossover else "left",
        near_spin=direction(0, 1, 0),
        far_spin=direction(0, 1, 0),
    )


@pytest.mark.parametrize("seed", range(GEOMETRIES))
def test_both_knuckles_and_wheels_through_lock(seed: int) -> None:
    steering = random_steering(seed)
    pitman = np.radians([-22.0, -9.0, 4.0, 17.0, 22.0])
    found = steer(steering.ours(), pitman)
    assert set(found.reach.tolist()) <= {Reach.REACHED, Reach.DRAG_LINK, Reach.TIE_ROD}
    assert np.all(found.reach[:3] == Reach.REACHED)
    near_left = steering.near_side == "left"
    for index, angle in enumerate(pitman):
        near, far = steering.follow(float(angle))
        left, right = (near, far) if near_left else (far, near)
        assert found.left[index] == pytest.approx(left, abs=1e-9, nan_ok=True)
        assert found.right[index] == pytest.approx(right, abs=1e-9, nan_ok=True)
        near_wheel = steering.wheel(steering.arm[1], steering.near_spin, near)
        far_wheel = steering.wheel(steering.far_rod[1], steering.far_spin, far)
        left_wheel, right_wheel = (near_wheel, far_wheel) if near_left else (far_wheel, near_wheel)
        assert found.left_wheel[index] == pytest.approx(left_wheel, abs=1e-9, nan_ok=True)
        assert found.right_wheel[index] == pytest.approx(right_wheel, abs=1e-9, nan_ok=True)


@pytest.mark.parametrize("seed", range(0, GEOMETRIES, 3))
@pytest.mark.parametrize("side", ["left", "right"])
def test_pitman_angle_at_which_the_inner_wheel_comes_to_its_lock(seed: int, side: Turn) -> None:
    steering, lock = random_steering(seed), np.radians(22.0)
    inner_near = side == steering.near_side
    inner_axis = steering.arm[1] if inner_near else steering.far_rod[1]
    inner_spin = steering.near_spin if inner_near else steering.far_spin
    wanted = lock if side == "left" else -lock

    def miss(pitman: float) -> float:
        near, far = steering.follow(pitman, 4)
        return steering.wheel(inner_axis, inner_spin, float(near if inner_near else far)) - wanted

    ours = steering.ours()
    found = at_stop(ours, side, swing_for_steer(wanted, inner_axis, inner_spin))
    assert found.reach == Reach.REACHED
    ends = sorted([0.0, float(found.pitman) * 1.05])
    assert float(found.pitman) == pytest.approx(brentq(miss, *ends, xtol=1e-13), abs=1e-9)


def test_link_out_of_reach_by_the_sum_and_difference_of_distances() -> None:
    """In the plane, with upright axes: the pitman's end is out of reach where |w| lies outside L - u to L + u."""
    steering = linkage(
        shaft=([0.0, 0.2, 0.0], [0, 0, 1]),
        pitman_end=[0.3, 0.2, 0.0],
        near_kingpin=([0.0, -0.7, 0.0], [0, 0, 1]),
        arm_end=[0.1, -0.7, 0.0],
        near_rod_end=[-0.15, -0.7, 0.0],
        far_kingpin=([0.0, 0.7, 0.0], [0, 0, 1]),
        far_rod_end=[-0.15, 0.7, 0.0],
        near_side="right",
    )
    length, arm = np.hypot(0.2, 0.9), 0.1

    def beyond(angle: float) -> float:
        end = np.array([0.3 * np.cos(angle), 0.2 + 0.3 * np.sin(angle)])
        return float(np.hypot(end[0], end[1] + 0.7) - (length + arm))

    last = brentq(beyond, 0.0, 1.5, xtol=1e-14)
    found = steer(steering, last + np.array([-1e-9, 1e-9]))
    np.testing.assert_array_equal(found.reach, [Reach.REACHED, Reach.DRAG_LINK])
