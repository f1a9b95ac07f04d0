"""Load cases against textbook free bodies worked out by hand, from what the ground does to what the links carry."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from buildcheck.strength.load_cases import (
    GRAVITY,
    GroundLoad,
    LoadedAxle,
    WheelLifts,
    Wheels,
    braking,
    bump_stop_hit,
    cornering,
    driving,
    static,
)
from buildcheck.strength.statics import Load, Supports, axial_forces, combined

Array = NDArray[np.float64]

RADIUS, HALF_TRACK, HALF_BASE = 0.42, 0.80, 0.45
LOWER, UPPER = 0.10, 0.15
"""Links below and above the axle centre."""

CENTRE = np.array([0.0, 0.0, RADIUS])


def loaded(**changed: Any) -> LoadedAxle:
    contacts = np.array([[0.0, HALF_TRACK, 0.0], [0.0, -HALF_TRACK, 0.0]]).T
    axle = LoadedAxle(CENTRE, contacts, 1000.0, 250.0, 2000.0, wheelbase=2.6, centre_of_gravity_height=0.75)
    return replace(axle, **changed)


def massless(front: bool = True, total: float = 2000.0, base: float = 2.6, height: float = 0.75) -> LoadedAxle:
    """An axle without mass of its own, as the books have it."""
    return loaded(unsprung_mass=0.0, total_mass=total, wheelbase=base, centre_of_gravity_height=height, front=front)


def side_view(
    lower_slope: float = 0.0, upper_slope: float = 0.0, rearward: bool = True, bar_rise: float = 0.0
) -> Supports:
    """Lower link each side, one upper in the middle, a lateral bar through the centre, upright springs above it.

    Slopes are rises over run of the links, from the axle to the frame.
    """
    run = -0.9 if rearward else 0.9
    axle = CENTRE[:, None] + np.array(
        [[0, 0.4, -LOWER], [0, -0.4, -LOWER], [0, 0, UPPER], [0, -0.4, 0], [0, HALF_BASE, 0], [0, -HALF_BASE, 0]]
    ).T  # fmt: skip
    along = np.array(
        [
            [run, 0, 0.9 * lower_slope],
            [run, 0, 0.9 * lower_slope],
            [run, 0, 0.9 * upper_slope],
            [0, 0.8, bar_rise],
            [0, 0, 1],
            [0, 0, 1],
        ]
    ).T
    return Supports.along(CENTRE, axle, along, np.full(6, 1e7))


def slopes_to(distance: float, height: float) -> tuple[float, float]:
    """Slopes of lower and upper link that meet at an instant centre so far away and so high above the ground."""
    return (height - (RADIUS - LOWER)) / distance, (height - (RADIUS + UPPER)) / distance


def test_standing_still_the_springs_carry_the_sprung_weight_and_nothing_else_carries() -> None:
    tension = axial_forces(side_view(0.1, 0.05, bar_rise=0.2), static(loaded()))
    np.testing.assert_allclose(tension, [0, 0, 0, 0, -375 * GRAVITY, -375 * GRAVITY], atol=1e-9)
    load = static(loaded(), left_share=0.55)
    assert load.force[2] == pytest.approx(750 * GRAVITY)
    assert load.moment[0] == pytest.approx(0.1 * 1000 * GRAVITY * HALF_TRACK)  # left side up


def test_braking_with_level_links_is_a_couple_in_the_links() -> None:
    """Lower links are pressed by B (R + upper) / (lower + upper), the upper is pulled by B (R - lower) / (...)."""
    axle = massless()
    brake = 0.65 * 2000 * 0.8 * GRAVITY
    transfer = 2000 * 0.8 * GRAVITY * 0.75 / 2.6
    tension = axial_forces(side_view(), braking(axle, 0.8, 0.65))
    lower = -brake * (RADIUS + UPPER) / (LOWER + UPPER)
    upper = brake * (RADIUS - LOWER) / (LOWER + UPPER)
    np.testing.assert_allclose(tension, [lower / 2, lower / 2, upper, 0, -transfer / 2, -transfer / 2], atol=1e-8)


def test_braking_pushes_the_mass_of_the_axle_forward() -> None:
    """Links hold back the brake force less what slows the axle itself; rear and front transfer are opposite."""
    tension = axial_forces(side_view(), braking(loaded(), 0.8, 0.65))
    held_back = (0.65 * 2000 - 250) * 0.8 * GRAVITY
    assert -tension[:3].sum() == pytest.approx(held_back)
    front, rear = braking(loaded(), 0.8, 0.65), braking(loaded(front=False), 0.8, 0.35)
    assert front.force[2] == pytest.approx(-rear.force[2])
    assert front.force[2] > 0.0
    assert front.moment[1] > 0.0  # brakes on the axle wind its nose down


@pytest.mark.parametrize(
    ("height", "distance", "base", "centre_height", "share", "anti_dive"),
    [(0.300, 1.600, 2.600, 0.750, 0.65, 0.4225), (9.0, 50.0, 104.0, 30.0, 0.60, 0.3744)],
)
def test_anti_dive(
    height: float, distance: float, base: float, centre_height: float, share: float, anti_dive: float
) -> None:
    """Anti-dive = (e / d) (xi L / h) of a solid axle with its brakes on it: what the springs are spared.

    Source of the formula: Gillespie (1992) chapter 7, from memory; the numbers follow from it.
    """
    axle = massless(base=base, height=centre_height)
    supports = side_view(*slopes_to(distance, height))
    load = braking(axle, 0.7, share)
    springs = -axial_forces(supports, load)[4:].sum()
    assert 1.0 - springs / load.force[2] == pytest.approx(anti_dive, abs=1e-9)


@pytest.mark.parametrize(("slope", "anti_dive"), [(0.10, 0.225333333333), (0.4437869822, 1.0), (0.0, 0.0)])
def test_anti_dive_of_parallel_links_is_in_their_slope(slope: float, anti_dive: float) -> None:
    load = braking(massless(), 0.7, 0.65)
    springs = -axial_forces(side_view(slope, slope), load)[4:].sum()
    assert 1.0 - springs / load.force[2] == pytest.approx(anti_dive, abs=1e-9)


def squat(mass: float, acceleration: float, height: float, base: float, e: float, d: float) -> tuple[float, float]:
    """Load transfer on to a driven rear axle, and how much more its springs carry, N."""
    axle = massless(front=False, total=mass, base=base, height=height)
    load = driving(axle, mass * acceleration * RADIUS, RADIUS, friction=9.0)
    springs = -axial_forces(side_view(*slopes_to(d, e), rearward=False), load)[4:].sum()
    return float(load.force[2]), float(springs)


def test_anti_squat() -> None:
    """D. C. Barton and J. D. Fieldhouse, Automotive Chassis Engineering (Springer 2018), eq. 3.63 and 3.69."""
    transfer, springs = squat(2000.0, 2.0, 0.65, 2.7, 0.25, 1.2)
    assert 1.0 - springs / transfer == pytest.approx(0.865384615385, abs=1e-9)
    _, springs = squat(1500.0, 3.0, 0.6, 2.6, 0.2, 1.1)
    assert springs == pytest.approx(220.2797203, abs=1e-6)
    # No pitch: the rear rises by what the front does, springs at 28 to 35.
    transfer, springs = squat(1500.0, 3.0, 0.65, 2.7, 0.4333333333333333, 1.0)
    assert springs == pytest.approx(-transfer * 28 / 35, rel=1e-9)


@pytest.mark.parametrize("rise", [0.0, 0.1, -0.2])
def test_the_lateral_bar_carries_the_side_force_over_its_cosine(rise: float) -> None:
    """Both bends; the bar is joined to the frame on the left, so a bend to the left presses it."""
    axle = loaded()
    for lateral in (0.5, -0.5):
        tension = axial_forces(side_view(bar_rise=rise), cornering(axle, lateral))
        side_force = (1000 - 250) * lateral * GRAVITY
        cosine = 0.8 / np.hypot(0.8, rise)
        assert tension[3] == pytest.approx(-side_force / cosine, rel=1e-12)
        assert tension[4:].sum() == pytest.approx(side_force * rise / 0.8, abs=1e-8)  # its upright part


def test_cornering_rolls_the_springs_as_the_truck_above_them() -> None:
    """Front view: the bar is level at the axle centre, so roll moments about that give the springs.

    Springs: (dN 2 b - Y R) / (2 s), with dN off one tyre and on to the other, Y the tyres' side force, R their radius,
    b half the track and s half the distance of the springs.
    """
    lateral = 0.4
    transfer = 0.6 * 2000 * lateral * GRAVITY * 0.75 / (2 * HALF_TRACK)
    side_force = 1000 * lateral * GRAVITY
    tension = axial_forces(side_view(), cornering(loaded(), lateral, overturning_share=0.6))
    more = (transfer * 2 * HALF_TRACK - side_force * RADIUS) / (2 * HALF_BASE)
    np.testing.assert_allclose(tension[4:], [more, -more], atol=1e-8)  # the right spring, on the outside, is pressed


def test_cornering_shares_side_force_as_the_tyres_are_loaded() -> None:
    """The outer tyre's greater share shows as no yaw at all: both contacts stand beside the axle centre."""
    load = cornering(loaded(), 0.4)
    transfer = 1000 * 0.4 * GRAVITY * 0.75 / 1.6
    np.testing.assert_allclose(load.force, [0, (1000 - 250) * 0.4 * GRAVITY, 0], atol=1e-9)
    assert load.moment[0] == pytest.approx(1000 * 0.4 * GRAVITY * RADIUS - transfer * 1.6)
    toed = loaded(contacts=np.array([[0.1, HALF_TRACK, 0.0], [-0.1, -HALF_TRACK, 0.0]]).T)
    left, right = (1000 * 0.4 * GRAVITY * (0.5 + sign * transfer / (1000 * GRAVITY)) for sign in (-1, 1))
    assert cornering(toed, 0.4).moment[2] == pytest.approx(0.1 * (left - right))


def test_a_wheel_that_would_lift_is_no_load_case() -> None:
    limit = 1.6 / 2 / 0.75
    cornering(loaded(), [0.999 * limit, -0.999 * limit])
    for lateral in (1.001 * limit, [0.1, -1.001 * limit]):
        with pytest.raises(WheelLifts):
            cornering(loaded(), lateral)
    with pytest.raises(WheelLifts):
        braking(loaded(front=False), 2.0, 0.3)


def test_no_drive_lifts_the_wheels_that_bring_it() -> None:
    """They slip before, however rough the road: what they push with is what they press with times the friction."""
    for front, torque in ((True, 1e9), (False, -1e9)):
        load = static(loaded(front=front)) + driving(loaded(front=front), torque, RADIUS, friction=9.0)
        assert (load.corners > 0.0).all()
        assert abs(load.ground[0].sum()) == pytest.approx(9.0 * load.corners.sum())


def test_drive_is_torque_over_radius_until_the_tyres_slip() -> None:
    grip = 0.8 * 1000 * GRAVITY  # forward, the tyres of both axles slip together
    backward = grip / (1 + 0.8 * 0.75 / (0.5 * 2.6))  # the rear axle loses load to the front
    load = driving(massless(front=False), [1000.0, 1e6, -1e6], RADIUS, friction=0.8, drive_share=0.5)
    np.testing.assert_allclose(load.force[0], [1000.0 / RADIUS, grip, -backward])
    np.testing.assert_allclose(load.force[2], load.force[0] / 0.5 * 0.75 / 2.6)  # the whole truck's transfer
    np.testing.assert_allclose(load.moment[1], -RADIUS * load.force[0])  # nose up when driving forward
    heavy = driving(loaded(front=False), 1000.0, RADIUS, friction=0.8)
    assert heavy.force[0] == pytest.approx(1000.0 / RADIUS * (1 - 250 / 2000))


def test_the_driveshaft_turns_the_axle() -> None:
    """Torque at the pinion is that at the wheels over the axle ratio; springs take it as a couple.

    The left side of the axle goes down, away from the frame, so the left spring has less to carry.
    """
    axle = massless(front=False)
    plain = driving(axle, 3000.0, RADIUS, friction=1.0)
    turned = driving(axle, 3000.0, RADIUS, friction=1.0, axle_ratio=4.0)
    np.testing.assert_allclose(turned.moment - plain.moment, [-750.0, 0, 0], atol=1e-9)
    springs = axial_forces(side_view(), turned)[4:] - axial_forces(side_view(), plain)[4:]
    np.testing.assert_allclose(springs, np.array([750.0, -750.0]) / (2 * HALF_BASE), atol=1e-8)
    slipping = driving(axle, 1e6, RADIUS, friction=1.0, axle_ratio=4.0, shaft_turns=(0.0, 0.0, -2.0))
    pushed = 1000 * GRAVITY / (1 - 0.75 / 2.6)  # with the load that the drive itself brings on
    assert slipping.moment[2] == pytest.approx(-pushed * RADIUS / 4.0)


def test_a_hit_on_the_bump_stops() -> None:
    """Stops in place of springs. Both wheels: each stop three times its static share. One wheel: by the lever."""
    stops = side_view()
    static_load = static(massless())
    both = axial_forces(stops, combined(static_load, bump_stop_hit(massless())))
    np.testing.assert_allclose(both, [0, 0, 0, 0, -1500 * GRAVITY, -1500 * GRAVITY], atol=1e-8)
    tyre = np.array([2500.0, 500.0]) * GRAVITY
    one = axial_forces(stops, combined(static_load, bump_stop_hit(massless(), Wheels.LEFT, factor=5.0)))
    left = (tyre.sum() + (tyre[0] - tyre[1]) * HALF_TRACK / HALF_BASE) / 2
    np.testing.assert_allclose(one[4:], [-left, left - tyre.sum()], atol=1e-8)
    right = axial_forces(stops, combined(static_load, bump_stop_hit(massless(), Wheels.RIGHT, factor=5.0)))
    np.testing.assert_allclose(right[4:], one[[5, 4]], atol=1e-8)


def test_many_cases_and_many_poses_broadcast() -> None:
    """Decelerations (cases, 1) beside contacts that move with the pose."""
    rise = np.linspace(-0.05, 0.05, 3)
    centre = CENTRE[:, None] + np.stack([0 * rise, 0 * rise, rise])
    moved = loaded(centre=centre, contacts=loaded().contacts[..., None] + 0.0 * rise)
    decelerations = np.array([0.2, 0.8])[:, None]
    many = combined(static(moved), braking(moved, decelerations, 0.65), cornering(moved, 0.1))
    assert many.force.shape[0] == 3
    assert many.moment.shape == (3, 2, 3)
    for case in range(2):
        for pose in range(3):
            one = replace(moved, centre=centre[:, pose], contacts=moved.contacts[..., pose])
            load = combined(static(one), braking(one, decelerations[case, 0], 0.65), cornering(one, 0.1))
            np.testing.assert_allclose(many.moment[:, case, pose], load.moment, atol=1e-9)
            np.testing.assert_allclose(np.broadcast_to(many.force, (3, 2, 3))[:, case, pose], load.force, atol=1e-9)


def test_loads_of_arrays_and_numbers() -> None:
    load = Load.at(CENTRE, [1.0, 2.0, RADIUS], [0.0, 0.0, 10.0])
    np.testing.assert_allclose(load.moment, [20.0, -10.0, 0.0])
    many = np.array([1.0, 2.0, 3.0, 4.0]) * load
    assert isinstance(many, Load)
    np.testing.assert_allclose(many.moment[:, 3], 4.0 * load.moment)
    np.testing.assert_allclose((many + load).moment[:, 0], 2.0 * load.moment)


@pytest.mark.parametrize(
    "changed",
    [
        {"axle_load": 0.0, "unsprung_mass": 0.0},
        {"axle_load": float("nan")},
        {"unsprung_mass": 1100.0},
        {"total_mass": 900.0},
        {"wheelbase": 0.0},
        {"centre_of_gravity_height": float("nan")},
        {"contacts": np.zeros((3, 1))},
        {"contacts": np.array([[0.0, -0.8, 0.0], [0.0, 0.8, 0.0]]).T},
    ],
)
def test_refuses_an_axle_that_cannot_be(changed: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match=r"must"):
        loaded(**changed)


def test_refuses_numbers_that_cannot_be() -> None:
    axle = loaded()
    for share in (-0.1, 1.1, float("nan")):
        with pytest.raises(ValueError, match="from 0 to 1"):
            braking(axle, 0.5, share)
        with pytest.raises(ValueError, match="from 0 to 1"):
            static(axle, share)
        with pytest.raises(ValueError, match="from 0 to 1"):
            cornering(axle, 0.1, share)
        with pytest.raises(ValueError, match="drive share"):
            driving(axle, 100.0, RADIUS, 0.8, drive_share=share)
    for radius, ratio in ((0.0, None), (float("nan"), None), (RADIUS, 0.0)):
        with pytest.raises(ValueError, match="above zero"):
            driving(axle, 100.0, radius, 0.8, axle_ratio=ratio)


def test_the_ground_is_told_apart_from_the_rest() -> None:
    """What two cases bring on the tyres adds; what comes from elsewhere leaves it; many cases at once keep it."""
    axle = loaded(axle_load=1200.0, unsprung_mass=300.0, total_mass=2400.0)
    still, stop = static(axle), braking(axle, 0.5, 0.6)
    whole = still + stop + Load.torque([0.0, 100.0, 0.0])
    np.testing.assert_allclose(whole.ground, still.ground + stop.ground)
    np.testing.assert_allclose(still.corners, [600.0 * GRAVITY] * 2)
    np.testing.assert_allclose(stop.ground[0], [-0.5 * 0.6 * 0.5 * 2400.0 * GRAVITY] * 2)
    # The force of the whole is that of the ground and of the unsprung mass's weight and inertia.
    np.testing.assert_allclose(
        whole.force, whole.ground.sum(axis=1) + 300.0 * GRAVITY * np.array([0.5, 0.0, -1.0]), atol=1e-9
    )
    many = still + braking(axle, np.array([0.0, 0.25, 0.5]), 0.6)
    assert many.corners.shape == (2, 3)
    np.testing.assert_allclose(many.corners[:, 2], whole.corners)
    assert isinstance(combined(still, stop), GroundLoad)
