"""Universal joints against values computed outside this project and worked problems of textbooks.

The table was computed with mpmath at 30 digits from tan u = tan t / cos b; its largest accelerations agree with a root
found by brute force to 10 digits.
"""

import numpy as np
import pytest

from buildcheck.motion.cardan import (
    acceleration,
    angle_for_acceleration,
    angle_of_fluctuation,
    critical_speed,
    equivalent_angle,
    fluctuation,
    largest_acceleration,
    largest_lead,
    pair_ratio,
    speed_extremes,
    turned_at_largest_acceleration,
)
from buildcheck.motion.spans import cardan_angle

TABLE = [  # angle, least and greatest speed, fluctuation, largest acceleration, at, angle squared, largest lead; deg
    (3, 0.998629534755, 1.001372346, 0.00274281124335, 0.00274281640189, 44.92142452, 0.0027415568, 0.03928786),
    (5, 0.996194698092, 1.00381983754, 0.0076251394516, 0.00762525028664, 44.78156167, 0.0076154355, 0.10922175),
    (6, 0.994521895368, 1.00550827956, 0.0109863841952, 0.0109867157011, 44.68528069, 0.010966227, 0.15736737),
    (8, 0.990268068742, 1.00982757252, 0.019559503777, 0.0195613743385, 44.43975971, 0.019495515, 0.28016367),
    (10, 0.984807753012, 1.01542661189, 0.0306188588735, 0.0306260335989, 44.12321085, 0.030461742, 0.43856143),
    (15, 0.965925826289, 1.03527618041, 0.069350354121, 0.0694336388617, 43.01761654, 0.068538919, 0.99312196),
    (20, 0.939692620786, 1.06417777248, 0.12448515169, 0.124965577344, 41.45869544, 0.12184697, 1.78168190),
    (25, 0.906307787037, 1.10337791896, 0.197070131926, 0.198965459278, 39.45101804, 0.19038589, 2.81713791),
    (30, 0.866025403784, 1.15470053838, 0.288675134595, 0.294571098623, 37.02145953, 0.27415568, 4.11719427),
]
PER_MINUTE = 2 * np.pi / 60


def test_table_of_a_single_joint() -> None:
    degrees, least, greatest, spread, accelerating, at, square, ahead = np.array(TABLE).T
    angle = np.radians(degrees)
    np.testing.assert_allclose(speed_extremes(angle), [least, greatest], rtol=1e-9)
    np.testing.assert_allclose(fluctuation(angle), spread, rtol=1e-9)
    np.testing.assert_allclose(largest_acceleration(angle), accelerating, rtol=1e-9)
    np.testing.assert_allclose(np.degrees(turned_at_largest_acceleration(angle)), at, rtol=0, atol=5e-9)
    np.testing.assert_allclose(np.degrees(largest_lead(angle)), ahead, rtol=0, atol=5e-9)
    # The square of the angle is what small angles make of the largest acceleration.
    np.testing.assert_allclose(angle_for_acceleration(square, 1.0), angle, rtol=1e-7)


def test_permissible_angle_for_two_hundred_turns_in_fifteen_hundred() -> None:
    """A textbook problem (askfilo.com) with the answer 20.67 degrees, 1603.25 and 1403.39 turns a minute."""
    angle = angle_of_fluctuation(200 / 1500)
    assert np.degrees(float(angle)) == pytest.approx(20.67, abs=0.02)
    assert np.degrees(float(angle)) == pytest.approx(20.68231475, abs=1e-8)
    least, greatest = speed_extremes(angle)
    assert 1500 * float(greatest) == pytest.approx(1603.25, abs=0.1)
    assert 1500 * float(least) == pytest.approx(1403.39, abs=0.1)
    np.testing.assert_allclose(1500 * np.array([greatest, least]), [1603.3296, 1403.3296], rtol=0, atol=5e-5)


@pytest.mark.parametrize(
    ("spread", "degrees", "within"),
    [
        (0.125, 20.0404005, 1e-6),  # 12.5 per cent of 1000 turns a minute (askfilo.com)
        (0.04, 11.420619089, 1e-8),  # Khurmi and Gupta, Theory of Machines, from memory: 11.4 degrees
        (100 / 1200, 16.42290793, 1e-7),  # not the 16.2 degrees that are in circulation
    ],
)
def test_angle_of_a_fluctuation(spread: float, degrees: float, within: float) -> None:
    assert np.degrees(float(angle_of_fluctuation(spread))) == pytest.approx(degrees, abs=within)


def test_acceleration_of_the_driven_shaft_at_one_place_of_the_turn() -> None:
    """formuladen.com, angular acceleration of driven shaft: 62 rad/s, 5 degrees, 15 degrees; it drops the sign."""
    value = 62**2 * float(acceleration(np.radians(5), np.radians(15)))
    assert value == pytest.approx(-14.7525629670481, abs=1e-9)


def test_largest_acceleration_and_torque_of_a_worked_example() -> None:
    """Khurmi and Gupta, Theory of Machines, from memory: 20 degrees, 1500 turns a minute, 12 kg at 100 mm."""
    angle, speed = np.radians(20), 1500 * PER_MINUTE
    value = speed**2 * float(largest_acceleration(angle))
    assert value == pytest.approx(3090, rel=3e-3)
    assert 12 * 0.1**2 * value == pytest.approx(371, rel=3e-3)
    # mpmath at 30 digits: at the peak, and at 41.45 degrees, the peak's place rounded as books do.
    assert value == pytest.approx(3083.40203035176, abs=1e-9)
    assert speed**2 * float(acceleration(angle, np.radians(41.45))) == pytest.approx(-3083.40188502, abs=1e-8)


def test_compound_angle_of_two_views_and_the_two_approximations_of_it() -> None:
    plan, side = np.radians(4.0), np.radians(6.0)
    assert np.degrees(float(cardan_angle(plan, side))) == pytest.approx(7.19498656339, abs=1e-9)
    assert np.degrees(np.arccos(np.cos(plan) * np.cos(side))) == pytest.approx(7.20704181197, abs=1e-9)
    assert np.hypot(4.0, 6.0) == pytest.approx(7.21110255093, abs=1e-9)


def test_condition_of_cancellation() -> None:
    """I. Fischer and R. N. Paul, New Jersey Institute of Technology: equal angles, coplanar shafts, yokes in phase."""
    ratio = pair_ratio(np.radians(20), np.radians(20), np.linspace(0, 2 * np.pi, 721))
    np.testing.assert_allclose(ratio, 1, rtol=0, atol=1e-12)
    crosswise = pair_ratio(np.radians(20), np.radians(20), np.linspace(0, 2 * np.pi, 721), yokes=np.pi / 2)
    assert crosswise.max() == pytest.approx(1 / np.cos(np.radians(20)) ** 2, rel=1e-12)


def test_angle_for_the_acceleration_of_four_hundred() -> None:
    """SAE AE-7, Universal Joint and Driveshaft Design Manual, from memory: 400 rad/s^2."""
    speed = np.array([1500, 2000, 2500, 3000, 4000]) * PER_MINUTE
    angle = np.degrees(angle_for_acceleration(400.0, speed))
    np.testing.assert_allclose(angle, [7.2951, 5.4713, 4.3771, 3.6476, 2.7357], rtol=0, atol=1e-4)


def test_equivalent_angle_of_in_phase_joints_that_stay_within_the_limit() -> None:
    """By the rule e^2 = |a^2 - b^2| (SAE AE-7, from memory): 5 and 3 degrees make 4, 13 and 12 make 5."""
    first, second = np.radians([5.0, 13.0]), np.radians([3.0, 12.0])
    np.testing.assert_allclose(np.degrees(equivalent_angle(first, second)), [4, 5], rtol=0, atol=0.07)


def test_limit_of_non_uniformity_of_an_industrial_shaft() -> None:
    """Elbe, technical notes on cardan shafts: a rest of 3 degrees is a non-uniformity of 0.0027."""
    assert float(fluctuation(np.radians(3))) == pytest.approx(0.0027, rel=0.02)


def test_critical_speed_of_a_steel_tube() -> None:
    """IMS, driveshaft selection: 1.21e8 sqrt(D^2 + d^2) / L^2, mm, turns a minute; and Euler and Bernoulli's beam."""
    speed = float(critical_speed(0.0762, 0.0712, 1.2)) / PER_MINUTE
    assert speed == pytest.approx(1.21e8 * np.hypot(76.2, 71.2) / 1200**2, rel=1e-4)
    assert speed == pytest.approx(8763.04580, rel=1e-4)
    assert speed == pytest.approx(8762.56378, abs=1e-4)
