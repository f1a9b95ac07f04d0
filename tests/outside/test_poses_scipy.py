"""Poses against root finding by scipy and, where links fight, against a minimum found by mpmath with forty
digits.

Neither shares a formula with the solver. Scipy works with all six freedoms of the axle, its attitude a
rotation vector, and treats heave and roll as two more equations; mpmath differentiates the energy
numerically.
"""

from __future__ import annotations

import mpmath
import numpy as np
import pytest
from numpy.typing import NDArray
from random_layouts import EXACT, KINDS, OVER_CONSTRAINED, bars_of
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

from buildcheck.axle.poses import Layout, solve

Array = NDArray[np.float64]

LAYOUTS = range(30)
STEPS = 8


def by_scipy(layout: Layout, heave: float, roll: float) -> Array:
    """x, y, pitch, yaw of the pose, in small steps from ride height."""
    arms, anchors, lengths, stiffness = bars_of(layout)
    weight = np.sqrt(stiffness)

    def residual(freedoms: Array, share: float) -> Array:
        turned = Rotation.from_rotvec(freedoms[3:])
        ends = turned.apply(arms) + freedoms[:3]
        stretches = np.linalg.norm(ends - anchors, axis=1) - lengths
        asked_roll = turned.as_euler("ZYX")[2] - roll * share
        # Heave and roll weigh so much more than the links that the links cannot pull the axle away from them.
        return np.concatenate([weight * stretches, [1e4 * (freedoms[2] - heave * share), 1e4 * asked_roll]])

    freedoms = np.zeros(6)
    for share in np.linspace(0.0, 1.0, STEPS + 1)[1:]:
        freedoms = least_squares(
            residual, freedoms, args=(share,), jac="3-point", xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale=1.0
        ).x
    yaw, pitch, _ = Rotation.from_rotvec(freedoms[3:]).as_euler("ZYX")
    return np.array([freedoms[0], freedoms[1], pitch, yaw])


def by_mpmath(layout: Layout, heave: float, roll: float, start: Array) -> Array:
    """The stationary point of the elastic energy near `start`, with forty digits."""
    arms, anchors, _, stiffness = bars_of(layout)
    with mpmath.workdps(40):
        given = [
            (
                [mpmath.mpf(float(v)) for v in arm],
                [mpmath.mpf(float(v)) for v in anchor],
                mpmath.mpf(float(k)),
            )
            for arm, anchor, k in zip(arms, anchors, stiffness, strict=True)
        ]
        rolled = []
        for arm, anchor, k in given:
            length = mpmath.sqrt(sum((a - b) ** 2 for a, b in zip(arm, anchor, strict=True)))
            cosine, sine = mpmath.cos(mpmath.mpf(roll)), mpmath.sin(mpmath.mpf(roll))
            rolled.append((arm[0], cosine * arm[1] - sine * arm[2], sine * arm[1] + cosine * arm[2], anchor, length, k))

        def energy_slopes(x: mpmath.mpf, y: mpmath.mpf, pitch: mpmath.mpf, yaw: mpmath.mpf) -> list[mpmath.mpf]:
            slopes = [mpmath.mpf(0)] * 4
            cp, sp, cy, sy = mpmath.cos(pitch), mpmath.sin(pitch), mpmath.cos(yaw), mpmath.sin(yaw)
            for u, v, w, anchor, length, k in rolled:
                level = cp * u + sp * w
                end = (cy * level - sy * v, sy * level + cy * v, cp * w - sp * u)
                span = (x + end[0] - anchor[0], y + end[1] - anchor[1], heave + end[2] - anchor[2])
                now = mpmath.sqrt(span[0] ** 2 + span[1] ** 2 + span[2] ** 2)
                pull = k * (now - length) / now
                slopes[0] += pull * span[0]
                slopes[1] += pull * span[1]
                slopes[2] += pull * (span[0] * cy * end[2] + span[1] * sy * end[2] - span[2] * level)
                slopes[3] += pull * (span[1] * end[0] - span[0] * end[1])
            return slopes

        root = mpmath.findroot(energy_slopes, [mpmath.mpf(float(v)) for v in start], tol=1e-40)
        return np.array([float(value) for value in root])


@pytest.mark.parametrize("kind", EXACT)
@pytest.mark.parametrize("seed", LAYOUTS)
def test_exact_layouts_agree_with_scipy(kind: str, seed: int) -> None:
    random = np.random.default_rng(seed)
    layout = KINDS[kind](random)
    heave, roll = random.uniform(-0.1, 0.1, 2), random.uniform(-0.12, 0.12, 2)
    poses = solve(layout, heave, roll)
    assert poses.solved.all()
    ours = np.stack([poses.x, poses.y, poses.pitch, poses.yaw], axis=1)
    theirs = np.array([by_scipy(layout, *pose) for pose in zip(heave, roll, strict=True)])
    np.testing.assert_allclose(ours, theirs, rtol=0.0, atol=1e-9)


@pytest.mark.parametrize("kind", OVER_CONSTRAINED)
@pytest.mark.parametrize("seed", LAYOUTS)
def test_over_constrained_layouts_agree_with_forty_digits(kind: str, seed: int) -> None:
    random = np.random.default_rng(seed)
    layout = KINDS[kind](random)
    heave, roll = random.uniform(-0.1, 0.1), random.uniform(-0.12, 0.12)
    poses = solve(layout, heave, roll)
    assert poses.solved.all()
    ours = np.stack([poses.x, poses.y, poses.pitch, poses.yaw], axis=1)[0]
    rough = by_scipy(layout, heave, roll)
    np.testing.assert_allclose(ours, rough, rtol=0.0, atol=1e-6)
    np.testing.assert_allclose(ours, by_mpmath(layout, heave, roll, rough), rtol=0.0, atol=1e-12)
