"""Forces against equations written another way: lines in Pluecker coordinates about the origin of the vehicle, solved
by scipy directly where six supports hold the axle, and as displacements of a rigid body on springs where more do.
"""

from __future__ import annotations

import numpy as np
import pytest
import scipy.linalg
import scipy.optimize
from numpy.typing import NDArray
from random_layouts import EXACT, KINDS, OVER_CONSTRAINED

from buildcheck.axle.poses import Layout
from buildcheck.strength.statics import Load, Supports, axial_forces

Array = NDArray[np.float64]


def with_springs(layout: Layout, random: np.random.Generator) -> tuple[Array, Array, Array]:
    """Axle ends and frame ends (n + 2, 3), and stiffnesses, of the links and of two coil springs."""
    seats = np.array([[-0.05, 0.47, 0.06], [-0.05, -0.47, 0.06]]) + random.uniform(-0.04, 0.04, (2, 3))
    towers = np.array([[-0.10, 0.40, 0.55], [-0.10, -0.40, 0.55]]) + random.uniform(-0.04, 0.04, (2, 3))
    axle = np.vstack([layout.axle.T, seats + layout.centre])
    frame = np.vstack([layout.frame.T, towers + layout.centre])
    return axle, frame, np.concatenate([layout.stiffness, random.uniform(2e4, 6e4, 2)])


def pluecker(axle: Array, frame: Array) -> Array:
    """Columns (direction; moment about the origin), the moment from both ends: a x f / |f - a|."""
    span = np.linalg.norm(frame - axle, axis=1)
    return np.vstack([((frame - axle) / span[:, None]).T, (np.cross(axle, frame) / span[:, None]).T])


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("seed", range(200, 225))
def test_agrees_with_another_formulation(kind: str, seed: int) -> None:
    random = np.random.default_rng(seed)
    layout = KINDS[kind](random)
    axle, frame, stiffness = with_springs(layout, random)
    points, forces = random.normal(0.0, 0.8, (3, 3)), random.normal(0.0, 6e3, (3, 3))
    columns = pluecker(axle, frame)
    pushed = np.concatenate([forces.sum(axis=0), np.cross(points, forces).sum(axis=0)])
    if kind in EXACT:
        expected = scipy.linalg.solve(columns, -pushed)
    else:
        assert kind in OVER_CONSTRAINED
        moved = scipy.linalg.solve(columns @ np.diag(stiffness) @ columns.T, pushed, assume_a="sym")
        expected = -stiffness * (columns.T @ moved)
    supports = Supports.between(layout.centre, axle.T, frame.T, stiffness)
    load = Load(np.zeros(3), np.zeros(3))
    for point, force in zip(points, forces, strict=True):
        load = load + Load.at(layout.centre, point, force)
    tension = axial_forces(supports, load)
    np.testing.assert_allclose(tension, expected, rtol=0.0, atol=1e-9 * np.abs(expected).max())


@pytest.mark.parametrize("kind", OVER_CONSTRAINED)
@pytest.mark.parametrize("seed", range(300, 305))
def test_rigid_springs_agree_with_a_minimum_searched_for(kind: str, seed: int) -> None:
    """Energy of the links alone, minimised by a general search along the forces in equilibrium among themselves."""
    random = np.random.default_rng(seed)
    layout = KINDS[kind](random)
    axle, frame, _ = with_springs(layout, random)
    columns = pluecker(axle, frame)
    force = random.normal(0.0, 6e3, 3)
    some = scipy.linalg.lstsq(columns, -np.concatenate([force, np.cross(layout.centre, force)]))[0]
    free = scipy.linalg.null_space(columns)[:, 0]
    most = layout.stiffness.max()

    def energy(amount: float) -> float:
        return float(((some + amount * free)[:-2] ** 2 / layout.stiffness * most).sum())

    least = scipy.optimize.minimize_scalar(energy, bracket=(-1e4, 1e4), tol=1e-12)
    expected = some + least.x * free
    supports = Supports.between(layout.centre, axle.T, frame.T, np.append(layout.stiffness, [np.inf, np.inf]))
    tension = axial_forces(supports, Load.at(layout.centre, layout.centre, force))
    np.testing.assert_allclose(tension, expected, rtol=0.0, atol=1e-6 * np.abs(expected).max())
