"""Universal joints against values computed outside this project and worked problems of textbooks.

The table was computed with mpmath at 30 digits from tan u = tan t / cos b.
"""

import numpy as np
import pytest

from buildcheck.axle.cardan import fluctuation, pair_fluctuation

TABLE = [  # angle (deg), fluctuation
    (3, 0.00274281124335),
    (5, 0.0076251394516),
    (6, 0.0109863841952),
    (8, 0.019559503777),
    (10, 0.0306188588735),
    (15, 0.069350354121),
    (20, 0.12448515169),
    (25, 0.197070131926),
    (30, 0.288675134595),
]


def test_table_of_a_single_joint() -> None:
    degrees, spread = np.array(TABLE).T
    np.testing.assert_allclose(fluctuation(np.radians(degrees)), spread, rtol=1e-9)


@pytest.mark.parametrize(
    ("spread", "degrees", "within"),
    [
        (200 / 1500, 20.68231475, 1e-9),  # 200 turns in 1500 (askfilo.com): 20.67 degrees
        (0.125, 20.0404005, 1e-8),  # 12.5 per cent of 1000 turns a minute (askfilo.com)
        (0.04, 11.420619089, 1e-10),  # Khurmi and Gupta, Theory of Machines, from memory: 11.4 degrees
        (100 / 1200, 16.42290793, 1e-9),  # not the 16.2 degrees that are in circulation
    ],
)
def test_angle_of_a_fluctuation(spread: float, degrees: float, within: float) -> None:
    assert float(fluctuation(np.radians(degrees))) == pytest.approx(spread, abs=within)


def test_condition_of_cancellation() -> None:
    """I. Fischer and R. N. Paul, New Jersey Institute of Technology: equal angles, coplanar shafts, yokes in phase."""
    angle = np.radians(20)
    assert float(pair_fluctuation(angle, angle)) == pytest.approx(0, abs=1e-15)
    # With the planes square to each other the extremes of the two joints fall together: 1 / cos^2 and cos^2.
    worst = 1 / np.cos(angle) ** 2 - np.cos(angle) ** 2
    assert float(pair_fluctuation(angle, angle, np.pi / 2)) == pytest.approx(worst, rel=1e-12)


def test_equivalent_angle_of_in_phase_joints_that_stay_within_the_limit() -> None:
    """By the rule e^2 = |a^2 - b^2| (SAE AE-7, from memory): 5 and 3 degrees make 4, 13 and 12 make 5."""
    first, second = np.radians([5.0, 13.0]), np.radians([3.0, 12.0])
    equivalent = fluctuation(np.radians([4.0, 5.0]))
    np.testing.assert_allclose(pair_fluctuation(first, second), equivalent, rtol=0.03)


def test_limit_of_non_uniformity_of_an_industrial_shaft() -> None:
    """Elbe, technical notes on cardan shafts: a rest of 3 degrees is a non-uniformity of 0.0027."""
    assert float(fluctuation(np.radians(3))) == pytest.approx(0.0027, rel=0.02)
