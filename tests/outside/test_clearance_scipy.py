"""Gaps against scipy.optimize, which minimises the distance between two convex solids without our formulas.

Apart: the shortest line between a point of the bar's axis and a point of the solid, a constrained minimum.
In overlap: the largest ball that fits inside the solid with its centre on the bar's axis; of boxes and cylinders
among each other, the nearest face of the convex hull of all differences of their points, by scipy.spatial.
"""

from collections.abc import Callable
from itertools import product
from typing import NamedTuple

import numpy as np
import pytest
from scipy.optimize import LinearConstraint, NonlinearConstraint, linprog, lsq_linear, minimize
from scipy.spatial import ConvexHull

from buildcheck.axle.vectors import Array
from buildcheck.clearance.bar_gaps import Box, Capsule, Cylinder, HalfSpace, clearance
from buildcheck.clearance.solid_gaps import gap

Limit = LinearConstraint | NonlinearConstraint

CASES = 60
TOLERANCE = 1e-6  # metres, of lengths around 1 m
BAR_RADIUS = 0.02
HULL_EXCESS = 1e-5  # of a cylinder that a prism of 400 sides stands around


def segments(generator: np.random.Generator, around: float) -> tuple[Array, Array]:
    """Random segments (3, CASES) in a cube of half-size ``around``."""
    return generator.uniform(-around, around, (3, CASES)), generator.uniform(-around, around, (3, CASES))


def shortest_to_box(start: Array, end: Array, lower: Array, upper: Array) -> float:
    """Bounded linear least squares over the fraction along the segment and the point of the box."""
    system = np.column_stack([end - start, -np.eye(3)])
    bounds = (np.append(0.0, lower), np.append(1.0, upper))
    return float(np.sqrt(2 * lsq_linear(system, -start, bounds=bounds, tol=1e-14).cost))


def shortest(start: Array, end: Array, point: Callable[[Array], Array], first: Array, limits: list[Limit]) -> float:
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
    theirs = np.array([shortest_to_box(*(part[:, i] for part in (start, end, lower, upper))) for i in range(CASES)])
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

        def point(q: Array, foot: Array = foot, axis: Array = axis, one: Array = one, two: Array = two) -> Array:
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


# Boxes and cylinders among each other.


def corners(lower: Array, upper: Array) -> Array:
    return np.array(list(product(*zip(lower, upper, strict=True))))


def rims(base: Array, tip: Array, radius: float, count: int) -> Array:
    """Points around both ends of a cylinder, just far enough out that their hull holds it: (2 count, 3)."""
    one, two = across((tip - base) / np.linalg.norm(tip - base))
    angle = 2 * np.pi * np.arange(count)[:, None] / count
    ring = radius / np.cos(np.pi / count) * (np.cos(angle) * one + np.sin(angle) * two)
    return np.concatenate([base + ring, tip + ring])


def depth(one: Array, two: Array) -> float:
    """The shortest move that parts two hulls that overlap: to the nearest face of the hull of all differences."""
    hull = ConvexHull((one[:, None] - two[None]).reshape(-1, 3))
    return float(-hull.equations[:, 3].max())


class Place(NamedTuple):
    """A point of a solid as a linear map of bounded unknowns, and the limits on them."""

    origin: Array
    ways: Array
    round_ones: bool


def box_place(lower: Array, upper: Array) -> Place:
    return Place((lower + upper) / 2, np.diag((upper - lower) / 2), False)


def cylinder_place(base: Array, tip: Array, radius: float) -> Place:
    one, two = across((tip - base) / np.linalg.norm(tip - base))
    return Place((base + tip) / 2, np.column_stack([(tip - base) / 2, radius * one, radius * two]), True)


def between(one: Place, two: Place) -> float:
    """Least distance between points of two solids, by SLSQP over the unknowns of both, each from -1 to 1."""
    ways = np.column_stack([one.ways, -two.ways])
    apart = one.origin - two.origin

    def squared(unknown: Array) -> float:
        line = apart + ways @ unknown
        return float(line @ line)

    def slope(unknown: Array) -> Array:
        return np.asarray(2 * ways.T @ (apart + ways @ unknown))

    limits: list[Limit] = [
        NonlinearConstraint(lambda q, at=at: 1 - q[at + 1] ** 2 - q[at + 2] ** 2, 0.0, np.inf)  # type: ignore[misc]
        for at, place in ((0, one), (3, two))
        if place.round_ones
    ]
    found = min(
        (
            minimize(
                squared,
                start,
                jac=slope,
                method="SLSQP",
                bounds=[(-1.0, 1.0)] * 6,
                constraints=limits,
                options={"ftol": 1e-16, "maxiter": 500},
            )
            for start in (np.zeros(6), np.full(6, 0.3), np.full(6, -0.3))
        ),
        key=lambda result: result.fun,
    )
    return float(np.sqrt(found.fun))


def check_pairs(ours: Array, places: list[tuple[Place, Place]], hulls: Callable[[int], tuple[Array, Array]]) -> None:
    """Outside against the least distance, in overlap against the hull, which is larger than the solids by 1e-5."""
    outside, overlapping = 0, 0
    for i, (one, two) in enumerate(places):
        if ours[i] > 0:
            outside += 1
            assert ours[i] == pytest.approx(between(one, two), abs=TOLERANCE)
        else:
            overlapping += 1
            excess = depth(*hulls(i)) + ours[i]
            assert -1e-9 < excess < HULL_EXCESS
    assert min(outside, overlapping) > CASES / 5


def moving_cylinders(generator: np.random.Generator, radius: float) -> tuple[Cylinder, Array, Array]:
    base, tip = segments(generator, 0.35)
    return Cylinder(base, tip, radius), base, tip


def test_cylinder_and_box() -> None:
    generator = np.random.default_rng(7)
    tyre, base, tip = moving_cylinders(generator, 0.25)
    middle = generator.uniform(-0.6, 0.6, (3, CASES))
    lower, upper = middle - generator.uniform(0.05, 0.3, (3, CASES)), middle + generator.uniform(0.05, 0.3, (3, CASES))
    check_pairs(
        gap(tyre, Box(lower, upper)),
        [(cylinder_place(base[:, i], tip[:, i], 0.25), box_place(lower[:, i], upper[:, i])) for i in range(CASES)],
        lambda i: (rims(base[:, i], tip[:, i], 0.25, 400), corners(lower[:, i], upper[:, i])),
    )


def test_two_cylinders() -> None:
    generator = np.random.default_rng(8)
    tyre, base, tip = moving_cylinders(generator, 0.25)
    shift = generator.uniform(-0.6, 0.6, (3, CASES))
    other, other_tip = (points + shift for points in segments(generator, 0.35))
    ours = gap(tyre, Cylinder(other, other_tip, 0.1))
    outside = [i for i in range(CASES) if ours[i] > 0]
    assert CASES / 5 < len(outside) < CASES * 4 / 5
    for i in outside:
        one = cylinder_place(base[:, i], tip[:, i], 0.25)
        two = cylinder_place(other[:, i], other_tip[:, i], 0.1)
        assert ours[i] == pytest.approx(between(one, two), abs=TOLERANCE)
    # The hull of all differences of two rims is large, so few of those, and coarser.
    for i in [i for i in range(CASES) if ours[i] <= 0][:12]:
        excess = depth(rims(base[:, i], tip[:, i], 0.25, 90), rims(other[:, i], other_tip[:, i], 0.1, 90)) + ours[i]
        assert -1e-9 < excess < 0.35 * (1 / np.cos(np.pi / 90) - 1) + 1e-9


def test_two_boxes() -> None:
    generator = np.random.default_rng(9)
    low, high = -generator.uniform(0.05, 0.3, (2, 3, CASES)), generator.uniform(0.05, 0.3, (2, 3, CASES))
    shift = generator.uniform(-0.5, 0.5, (3, CASES))
    check_pairs(
        gap(Box(low[0], high[0]), Box(low[1] + shift, high[1] + shift)),
        [
            (box_place(low[0, :, i], high[0, :, i]), box_place(low[1, :, i] + shift[:, i], high[1, :, i] + shift[:, i]))
            for i in range(CASES)
        ],
        lambda i: (
            corners(low[0, :, i], high[0, :, i]),
            corners(low[1, :, i] + shift[:, i], high[1, :, i] + shift[:, i]),
        ),
    )


def test_cylinder_and_half_space() -> None:
    """The lowest of a dense ring of points around both rims."""
    generator = np.random.default_rng(10)
    tyre, base, tip = moving_cylinders(generator, 0.25)
    point, normal = segments(generator, 1.0)
    ours = gap(HalfSpace(point, normal), tyre)
    for i in range(CASES):
        outward = normal[:, i] / np.linalg.norm(normal[:, i])
        lowest = ((rims(base[:, i], tip[:, i], 0.25, 2000) - point[:, i]) @ outward).min()
        assert ours[i] == pytest.approx(lowest, abs=TOLERANCE)
