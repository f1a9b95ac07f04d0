"""Bolt groups against a rigid foot on springs, solved by scipy, in every direction of the load."""

import numpy as np
import pytest
from scipy.linalg import solve
from scipy.optimize import minimize_scalar

from buildcheck.strength.bolt_groups import BoltGroup, in_line, in_two_rows, on_circle

GROUPS = [in_two_rows(4, 0.08, 0.06), in_two_rows(8, 0.05, 0.09), on_circle(5, 0.11), on_circle(6, 0.2)]


def forces_on_bolts(places: np.ndarray, force: np.ndarray, moment: np.ndarray) -> np.ndarray:
    """Forces (bolts, 3) of equal springs at bolts that hold a rigid plate in the plane z = 0 under a force and a moment
    at its middle: the stiffness matrix of the plate's six motions, solved by scipy."""
    points = np.column_stack([places, np.zeros(len(places))])
    skew = [np.array([[0, p[2], -p[1]], [-p[2], 0, p[0]], [p[1], -p[0], 0]]) for p in points]  # u = t + turn x p
    moves = [np.hstack([np.eye(3), each]) for each in skew]
    stiffness = sum(each.T @ each for each in moves)
    motion = solve(stiffness, np.concatenate([force, moment]), assume_a="pos")
    return np.array([each @ motion for each in moves])


@pytest.mark.parametrize("places", GROUPS, ids=["2x2", "2x4", "5 round", "6 round"])
def test_the_worst_direction_is_what_is_computed(places: np.ndarray) -> None:
    group = BoltGroup(places, 0.02)
    shear, twist, pull, tip = 900.0, 70.0, 500.0, 60.0

    def in_shear(angle: float) -> float:
        force = np.array([shear * np.cos(angle), shear * np.sin(angle), 0.0])
        return float(np.max(np.linalg.norm(forces_on_bolts(places, force, np.array([0, 0, twist]))[:, :2], axis=1)))

    def in_tension(angle: float) -> float:
        moment = np.array([tip * np.cos(angle), tip * np.sin(angle), 0.0])
        return float(np.max(forces_on_bolts(places, np.array([0, 0, pull]), moment)[:, 2]))

    for worst, found in (
        (in_shear, group.most_in_shear(np.array([shear]), np.array([twist]))),
        (in_tension, group.most_in_tension(np.array([pull]), np.array([tip]))),
    ):
        angles = np.linspace(0.0, 2 * np.pi, 73)
        start = angles[np.argmax([worst(angle) for angle in angles])]
        best = minimize_scalar(lambda angle, of=worst: -of(angle), bounds=(start - 0.1, start + 0.1), method="bounded")
        assert float(found[0]) == pytest.approx(-best.fun, rel=1e-6)


def test_a_line_about_the_axis_across_it() -> None:
    """About its own row springs without width hold nothing; across it the two agree."""
    places = in_line(4, 0.05)
    spread = places + np.array([[0.0, 1e-4], [0.0, -1e-4], [0.0, -1e-4], [0.0, 1e-4]])
    springs = forces_on_bolts(spread, np.zeros(3), np.array([0.0, 100.0, 0.0]))
    assert np.max(springs[:, 2]) == pytest.approx(100.0 * 0.075 / np.sum(places[:, 0] ** 2), rel=1e-3)
