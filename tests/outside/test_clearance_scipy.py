"""Gaps against scipy.optimize, which minimises the distance between two convex solids without our formulas.

Apart: the shortest line between a point of the bar's axis and a point of the solid, a constrained minimum.
In overlap: the largest ball that fits inside the solid with its centre on the bar's axis.
"""

from collections.abc import Callable

import numpy as np
import pytest
from scipy.optimize import LinearConstraint, NonlinearConstraint, linprog, lsq_linear, minimize

from buildcheck.motion.clearance import Box, Capsule, Cylinder, HalfSpace, clearance
from buildcheck.motion.vectors import Array

Limit = LinearConstraint | NonlinearConstraint

CASES = 60
TOLERANCE = 1e-6  # metres, of lengths around 1 m
BAR_RADIUS = 0.02


def segments(generator: np.random.Generator, around: float) -> tuple[Array, Array]:
    """Random segments (3, CASES) in a cube of half-size ``around``."""
    return generator.uniform(-around, around, (3, CASES)), generator.uniform(-around, around, (3, CASES))


def shortest_to_box(start: Array, end: Array, lower: Array, upper: Array) -> float:
    """Bounded linear least squares over the fraction along the segment and the point of the box."""
    system = np.column_stack([end - start, -np.eye(3)])
    bounds = (np.append(0.0, lower), np.append(1.0, upper))
    return float(np.sqrt(2 * lsq_linear(system, -start, bounds=bounds, tol=1e-14).cost))


def shortest(
    start: Array, end: Array, point: Callable[[Array], Array], first: Array, limits: list[Limit]
) -> float:
    """Least distance from the segment to ``point(parameters)`` within the limits, by SLSQP."""

    def squared(unknown: Array) -> float:
        apart = start + unknown[0] * (end - start) - point(unknown[1:])
        return float(apart @ apart)

    found = min(
        (
            minimize(
                squared,
                np.append(fraction, first),
                method="SLSQP",
                constraints=limits,
                options={"ftol": 1e-16, "maxiter": 500},
            )
            for fraction in (0.1, 0.5, 0.9)
        ),
        key=lambda result: result.fun,
    )
    return float(np.sqrt(found.fun))


def unit_interval(size: int, index: int) -> LinearConstraint:
    row = np.zeros(size)
    row[index] = 1.0
    return LinearConstraint(row, 0.0, 1.0)


def test_box_outside() -> None:
    generator = np.random.default_rng(1)
    start, end = segments(generator, 1.0)
    lower, upper = -generator.uniform(0.05, 0.3, (3, CASES)), generator.uniform(0.05, 0.3, (3, CASES))
    ours = clearance(Capsule(start, end, BAR_RADIUS), Box(lower, upper)).gap
    theirs = np.array(
        [shortest_to_box(*(part[:, i] for part in (start, end, lower, upper))) for i in range(CASES)]
    )
    apart = theirs > 1e-4
    assert apart.sum() > CASES / 3
    np.testing.assert_allclose(ours[apart], theirs[apart] - BAR_RADIUS, rtol=0, atol=TOLERANCE)
    assert np.all(ours[~apart] <= -BAR_RADIUS + 1e-4)


def test_box_inside_is_the_largest_ball_on_the_axis() -> None:
    generator = np.random.default_rng(2)
    start, end = segments(generator, 0.6)
    lower, upper = np.array([-0.4, -0.3, -0.5]), np.array([0.5, 0.35, 0.4])
    ours = clearance(Capsule(start, end, BAR_RADIUS), Box(lower, upper)).gap
    compared = 0
    for i in range(CASES):
        run = end[:, i] - start[:, i]
        rows = np.column_stack([np.concatenate([run, -run]), np.ones(6)])
        room = np.concatenate([upper - start[:, i], start[:, i] - lower])
        ball = linprog([0.0, -1.0], A_ub=rows, b_ub=room, bounds=[(0, 1), (0, None)])
        if ball.x is not None:
            compared += 1
            assert ours[i] == pytest.approx(-ball.x[1] - BAR_RADIUS, abs=TOLERANCE)
    assert compared > CASES / 2


def test_capsule() -> None:
    generator = np.random.default_rng(3)
    start, end = segments(generator, 1.0)
    other, other_end = segments(generator, 1.0)
    ours = clearance(Capsule(start, end, BAR_RADIUS), Capsule(other, other_end, 0.03)).gap
    for i in range(CASES):
        system = np.column_stack([end[:, i] - start[:, i], other[:, i] - other_end[:, i]])
        best = lsq_linear(system, other[:, i] - start[:, i], bounds=(0.0, 1.0), tol=1e-14)
        assert ours[i] == pytest.approx(np.sqrt(2 * best.cost) - BAR_RADIUS - 0.03, abs=TOLERANCE)


def test_half_space() -> None:
    generator = np.random.default_rng(4)
    start, end = segments(generator, 1.0)
    point, normal = segments(generator, 1.0)
    ours = clearance(Capsule(start, end, BAR_RADIUS), HalfSpace(point, normal)).gap
    compared = 0
    for i in range(CASES):
        outward = normal[:, i] / np.linalg.norm(normal[:, i])
        level = float(outward @ point[:, i])
        height = np.minimum(outward @ start[:, i], outward @ end[:, i]) - level
        if height > 1e-3:
            compared += 1
            limits: list[Limit] = [
                unit_interval(4, 0),
                LinearConstraint(np.append(0.0, outward), -np.inf, level),
            ]
            theirs = shortest(start[:, i], end[:, i], lambda q: q, point[:, i], limits)
            assert ours[i] == pytest.approx(theirs - BAR_RADIUS, abs=TOLERANCE)
        else:
            assert ours[i] == pytest.approx(height - BAR_RADIUS, abs=1e-12)
    assert compared > 5


def across(axis: Array) -> tuple[Array, Array]:
    """Two unit vectors square to an axis and to each other, from its null space."""
    _, _, rows = np.linalg.svd(axis[None])
    return rows[1], rows[2]


def test_cylinder_outside() -> None:
    generator = np.random.default_rng(5)
    start, end = segments(generator, 1.0)
    base, tip = segments(generator, 0.4)
    radius = 0.15
    ours = clearance(Capsule(start, end, BAR_RADIUS), Cylinder(base, tip, radius)).gap
    compared = 0
    for i in range(CASES):
        axis = tip[:, i] - base[:, i]
        one, two = across(axis)
        foot = base[:, i]

        def point(
            q: Array, foot: Array = foot, axis: Array = axis, one: Array = one, two: Array = two
        ) -> Array:
            place: Array = foot + q[0] * axis + q[1] * one + q[2] * two
            return place

        limits: list[Limit] = [
            unit_interval(4, 0),
            unit_interval(4, 1),
            NonlinearConstraint(lambda q: q[2] ** 2 + q[3] ** 2, -np.inf, radius**2),
        ]
        theirs = shortest(start[:, i], end[:, i], point, np.array([0.5, 0.0, 0.0]), limits)
        if theirs > 1e-3:
            compared += 1
            assert ours[i] == pytest.approx(theirs - BAR_RADIUS, abs=TOLERANCE)
        else:
            assert ours[i] < 1e-3 - BAR_RADIUS
    assert compared > CASES / 3


def less_depth(unknown: Array) -> float:
    return -float(unknown[1])


def test_cylinder_inside_is_the_largest_ball_on_the_axis() -> None:
    generator = np.random.default_rng(6)
    start, end = segments(generator, 0.25)
    base, tip, radius = np.array([-0.3, 0.05, 0.0]), np.array([0.3, -0.1, 0.1]), 0.3
    ours = clearance(Capsule(start, end, BAR_RADIUS), Cylinder(base, tip, radius)).gap
    axis = (tip - base) / np.linalg.norm(tip - base)
    compared = 0
    for i in range(CASES):
        run = end[:, i] - start[:, i]

        def room(q: Array, here: Array = start[:, i], run: Array = run) -> Array:
            reach = here + q[0] * run - base
            out = reach - (reach @ axis) * axis
            return np.array(
                [
                    radius - np.sqrt(out @ out) - q[1],
                    reach @ axis - q[1],
                    (tip - base) @ axis - reach @ axis - q[1],
                ]
            )

        limits: list[Limit] = [unit_interval(2, 0), NonlinearConstraint(room, 0.0, np.inf)]
        best = min(
            (
                minimize(
                    less_depth,
                    np.array([fraction, 0.0]),
                    method="SLSQP",
                    constraints=limits,
                    options={"ftol": 1e-14, "maxiter": 300},
                )
                for fraction in (0.2, 0.5, 0.8)
            ),
            key=lambda result: result.fun if result.success else 0.0,
        )
        if best.success and best.x[1] > 1e-3:
            compared += 1
            assert ours[i] == pytest.approx(-best.x[1] - BAR_RADIUS, abs=TOLERANCE)
    assert compared > CASES / 2
