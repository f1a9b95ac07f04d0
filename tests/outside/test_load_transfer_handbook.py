"""When a wheel leaves the ground, against the textbook's threshold and against the load cases themselves."""

from __future__ import annotations

import numpy as np
import pytest

from buildcheck.strength.load_cases import LoadedAxle, WheelLifts, braking, cornering, driving, static, weight_left


@pytest.mark.parametrize(
    ("track", "height", "threshold"),
    [(1.50, 0.50, 1.50), (1.60, 0.80, 1.00), (1.85, 1.85, 0.50)],
)
def test_the_inner_wheels_lift_at_half_the_track_over_the_height(track: float, height: float, threshold: float) -> None:
    """The rollover threshold of a rigid vehicle in quasi-static cornering, t / (2 h): T. D. Gillespie, Fundamentals of
    Vehicle Dynamics (SAE 1992), chapter 9, from memory."""
    for share in (0.3, 0.5, 0.6):  # of the mass on this axle: the threshold does not depend on it
        left = weight_left(share * 2000, 2000, track, 2.7, height, 0.0, threshold, front=True)
        assert left == pytest.approx(0.0, abs=1e-12)
        assert weight_left(share * 2000, 2000, track, 2.7, height, 0.0, -threshold / 2, front=False) == pytest.approx(
            0.5
        )


@pytest.mark.parametrize("front", [True, False])
def test_it_is_what_the_load_cases_leave_on_the_lighter_tyre(front: bool) -> None:
    random = np.random.default_rng(7)
    compared = lifted = 0
    for _ in range(300):
        axle_load, total, track, wheelbase, height = random.uniform(
            [900, 2000, 1.3, 2.3, 0.5], [1400, 3000, 1.9, 3.2, 1.2]
        )
        slowing, lateral = random.uniform([0.0, -0.9], [1.2, 0.9])
        contacts = np.array([[0.0, 0.0], [track / 2, -track / 2], [0.0, 0.0]])
        axle = LoadedAxle(np.array([0, 0, 0.4]), contacts, axle_load, 300.0, total, wheelbase, height, front)
        left = weight_left(axle_load, total, track, wheelbase, height, slowing, lateral, front=front)
        try:
            load = static(axle) + braking(axle, slowing, 0.5) + cornering(axle, lateral)
        except WheelLifts:
            assert left < 0.0 or abs(lateral) > track / (2 * height)  # each case refuses to lift a wheel by itself
            lifted += 1
            continue
        assert left == pytest.approx(load.corners.min() / static(axle).corners.min(), abs=1e-12)
        compared += 1
    assert compared > 50
    assert lifted > 10


@pytest.mark.parametrize("front", [True, False])
@pytest.mark.parametrize("share", [0.4, 1.0])
def test_the_drive_is_no_more_than_the_tyres_hold_with_their_load_as_they_drive(front: bool, share: float) -> None:
    """Traction limit with load transfer, D = mu N and N = W -+ D h / L for an axle that drives alone: T. D. Gillespie,
    Fundamentals of Vehicle Dynamics (SAE 1992), chapter 2, equations 2-20 and following, from memory."""
    contacts = np.array([[0.0, 0.0], [0.8, -0.8], [0.0, 0.0]])
    axle = LoadedAxle(np.array([0, 0, 0.4]), contacts, 1100.0, 250.0, 2200.0, 2.7, 0.8, front)
    for friction in (0.3, 0.6, 0.9):
        load = static(axle) + driving(axle, 1e6, 0.4, friction, share)
        push, weight = load.ground[0].sum(), load.corners.sum()
        every_tyre = friction * share * 2200.0 * 9.80665
        assert push == pytest.approx(min(friction * weight, every_tyre), rel=1e-12)
        backward = static(axle) + driving(axle, -1e6, 0.4, friction, share)
        push, weight = -backward.ground[0].sum(), backward.corners.sum()
        assert push == pytest.approx(min(friction * weight, every_tyre), rel=1e-12)
