"""Steer angles against values computed outside this project.

The numbers were computed with mpmath to 50 digits from the geometry given beside them, and those in space
solved again with scipy's least_squares on a rotation vector (they agree to 2e-13).  Millimetres and degrees,
as they were computed.
"""

import numpy as np
import pytest
from numpy.typing import ArrayLike
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation

from buildcheck.axle.poses import Layout, solve
from buildcheck.axle.rotation import carry, carry_direction
from buildcheck.axle.spans import span
from buildcheck.axle.vectors import Array
from buildcheck.steering.swing import dead_point_side, kingpin_axis, swing

KINGPIN = np.array([0.0, -600.0, 0.0])
ARM = np.array([150.0, -480.0, 85.0])
PITMAN = np.array([160.0, 395.0, 130.0])
LENGTH = 876.213444315938
AXIS = kingpin_axis(np.radians(5.0), np.radians(8.5), "right")

PLANE_ARM = 190.0
PLANE = [  # drag link: length, frame end above arm end; lateral bar: the same; rise; push of the arm; steer
    (820, 60, 820, 60, 100, 0.0, 0.0),
    (820, 60, 820, 60, -100, 0.0, 0.0),
    (900, 0, 750, 0, 50, 0.278560425783146, 0.0840018023919),
    (900, 0, 750, 0, -50, 0.278560425783146, 0.0840018023919),
    (900, 0, 750, 0, 100, 1.1237536339906, 0.338877451745),
    (900, 0, 750, 0, -100, 1.1237536339906, 0.338877451745),
    (900, 90, 750, 75, 100, 1.11310963542046, 0.335667626684),
    (900, 90, 750, 75, -100, 1.17014036274885, 0.352865937091),
]


def swing_from_here(kingpin: ArrayLike, axis: ArrayLike, arm: ArrayLike, pitman: ArrayLike, length: ArrayLike) -> Array:
    """The swing of a linkage that is taken to stand on the side of its dead point on which it was built."""
    return swing(kingpin, axis, arm, pitman, length, dead_point_side(kingpin, axis, arm, pitman))


@pytest.mark.parametrize(("link", "link_rise", "bar", "bar_rise", "heave", "push", "steer"), PLANE)
def test_bump_steer_in_the_plane_of_the_bars(
    link: float, link_rise: float, bar: float, bar_rise: float, heave: float, push: float, steer: float
) -> None:
    """Steer = asin(push / arm): an upright kingpin, the arm straight ahead, both frame ends on the left.

    A push away from the frame side turns an arm ahead of the kingpin to the right, hence the sign.  The
    plane's formula leaves out that the swinging arm end also moves rearward, up to 3e-9 deg here.
    """
    width = np.sqrt(bar**2 - (bar_rise - heave) ** 2) - np.sqrt(bar**2 - bar_rise**2)
    shift = np.array([0.0, -width, heave])
    arm = np.array([PLANE_ARM, 0.0, 0.0])
    pitman = np.array([PLANE_ARM, np.sqrt(link**2 - link_rise**2), link_rise])
    angle = float(swing_from_here(shift, [0, 0, 1], arm + shift, pitman, link))
    assert -np.degrees(angle) == pytest.approx(steer, abs=1e-8)
    assert -PLANE_ARM * np.sin(angle) == pytest.approx(push, abs=1e-7)


def test_lean_of_the_kingpin() -> None:
    expected = [-0.0862055656759873, 0.147259171564859, 0.985334124465663]
    np.testing.assert_allclose(AXIS, expected, rtol=0, atol=1e-15)


def test_arm_in_space_as_the_axle_moves_without_turning() -> None:
    """The circle of the arm end cut by the sphere of the drag link."""
    sideways, heave = np.array([0, 4, 0, 4, 0, 4]), np.array([0, 0, 60, 60, -60, -60])
    shift = np.stack([np.zeros(6), sideways, heave])
    expected = [
        0,
        -1.48992149283835,
        -0.380278041218639,
        -1.84180168032365,
        1.99934536458257,
        0.443765962913983,
    ]
    assert float(span(ARM, PITMAN)) == pytest.approx(LENGTH, abs=1e-12)
    angle = swing_from_here(KINGPIN[:, None] + shift, AXIS, ARM[:, None] + shift, PITMAN, LENGTH)
    np.testing.assert_allclose(np.degrees(angle), expected, rtol=0, atol=1e-11)


def test_arm_in_space_against_scipy_root_finding() -> None:
    """scipy's Rotation turns the arm, its brentq finds where the link has its length again."""
    generator = np.random.default_rng(0)
    for _ in range(40):
        shift = generator.uniform(-1, 1, 3) * [8, 8, 60]
        attitude = Rotation.from_euler("ZYX", generator.uniform(-0.1, 0.1, 3))
        kingpin, arm, axis = (
            attitude.apply(KINGPIN) + shift,
            attitude.apply(ARM) + shift,
            attitude.apply(AXIS),
        )

        def stretch(angle: float, kingpin: Array = kingpin, arm: Array = arm, axis: Array = axis) -> float:
            end = kingpin + Rotation.from_rotvec(angle * axis).apply(arm - kingpin)
            return float(np.linalg.norm(end - PITMAN) - LENGTH)

        ours = float(swing_from_here(kingpin, axis, arm, PITMAN, LENGTH))
        theirs = brentq(stretch, ours - 0.3, ours + 0.3, xtol=1e-14)
        assert ours == pytest.approx(theirs, abs=1e-12)


LINKS = [  # axle end, frame end: two lower links, one upper, the lateral bar
    ((30, 430, -95), (-870, 400, -35)),
    ((30, -430, -95), (-870, -400, -35)),
    ((60, -180, 150), (-560, -200, 185)),
    ((45, -420, 70), (55, 410, 115)),
]
STEER = [  # heave, roll, steer of the drag link's knuckle about its kingpin
    (0, 0, 0.0),
    (0, 3, 0.4373103351399),
    (0, -3, -0.4458124640942),
    (0, 5, 0.7233825707545),
    (0, -5, -0.7469554448404),
    (50, 0, 0.02820934691373),
    (50, 3, 0.3093901506304),
    (50, -3, -0.2654146307953),
    (50, 5, 0.4889284899673),
    (50, -5, -0.4670628111675),
    (-50, 0, -0.1039783895395),
    (-50, 3, 0.4975897333839),
    (-50, -3, -0.7103564793909),
    (-50, 5, 0.8955693728114),
    (-50, -5, -1.116814103281),
]


def test_steer_of_an_axle_on_three_links_and_a_lateral_bar() -> None:
    """The whole chain in metres: solve the poses, carry the knuckle, close the drag link."""
    axle_ends, frame_ends = (np.array([link[end] for link in LINKS]).T / 1000 for end in (0, 1))
    heave, roll, expected = np.array(STEER).T
    layout = Layout(centre=np.zeros(3), frame=frame_ends, axle=axle_ends, stiffness=np.full(4, 1e7))
    poses = solve(layout, heave / 1000, np.radians(roll))
    assert np.all(poses.solved)
    kingpin, arm, axis = carry(poses, KINGPIN / 1000), carry(poses, ARM / 1000), carry_direction(poses, AXIS)
    side = dead_point_side(KINGPIN, AXIS, ARM, PITMAN)
    angle = swing(kingpin, axis, arm, PITMAN / 1000, span(ARM, PITMAN) / 1000, side)
    np.testing.assert_allclose(np.degrees(angle), expected, rtol=0, atol=1e-9)
