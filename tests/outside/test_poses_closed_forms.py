"""Poses against closed forms and published constructions.

Values of the tables were computed with fifty digits from the formula beside them. Lengths in millimetres,
angles in degrees where a table says so; solve() itself works in metres and radians.
"""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from buildcheck.axle.handling import slopes
from buildcheck.axle.poses import Layout, free_motions, solve

Array = NDArray[np.float64]
Point = tuple[float, float, float]

INCH = 0.0254


def layout(bars: list[tuple[Point, Point]], unit: float = 1e-3) -> Layout:
    """A layout about the origin from (axle end, frame end) pairs."""
    axle = np.array([bar[0] for bar in bars]).T * unit
    frame = np.array([bar[1] for bar in bars]).T * unit
    return Layout(np.zeros(3), frame, axle, np.full(len(bars), 1e7))


def equal_swinging_links(length: float, rise: float, unit: float, pairs: list[tuple[float, float]]) -> Layout:
    """Pairs of links, all of one length and slope as seen from the side, each pair splayed symmetrically in
    plan.

    They swing along their circle in the side view. Axle ends are `rise` above frame ends, which lie behind.
    Pairs are (height, splay), as fractions of the length.
    """
    reach = float(np.sqrt(length**2 - rise**2))
    return layout(
        [
            (
                (0.0, side * 0.5 * length, height * length),
                (-reach, side * (0.5 + splay) * length, height * length - rise),
            )
            for side in (1.0, -1.0)
            for height, splay in pairs
        ],
        unit,
    )


def turned_to_the_left(links: Layout) -> Layout:
    """The same links turned by a quarter about the vertical, so that the side view becomes the front view."""
    frame, axle = (np.stack([-points[1], points[0], points[2]]) for points in (links.frame, links.axle))
    return Layout(links.centre, frame, axle, links.stiffness)


@pytest.mark.parametrize(
    ("length", "rise", "heave", "toward_frame", "unit"),
    [
        (900, 0, 75, 3.13044426739515, 1e-3),
        (900, 0, -75, 3.13044426739515, 1e-3),
        (900, 0, 150, 12.5880325350576, 1e-3),
        (900, 0, -150, 12.5880325350576, 1e-3),
        (900, 60, 100, 12.3341798063648, 1e-3),
        (900, 60, -100, -1.11289889381496, 1e-3),
        (900, 60, -60, -2.00222717425407, 1e-3),
        (750, 90, 125, 26.0576285850548, 1e-3),
        (36, 3, 4, 0.561895063285044, INCH),
        (36, 3, -4, -0.111326201588969, INCH),
    ],
)
def test_parallel_equal_links_translate(
    length: float, rise: float, heave: float, toward_frame: float, unit: float
) -> None:
    """Circle: dx = sqrt(L^2 - h^2) - sqrt(L^2 - (h + z)^2), no pitch. The frame is behind: forward is -dx."""
    pose = solve(equal_swinging_links(length, rise, unit, [(-0.2, 0.0), (0.2, 0.3)]), heave * unit, 0.0)
    found = np.array([pose.x[0], pose.y[0], pose.pitch[0], pose.yaw[0]])
    np.testing.assert_allclose(found, [-toward_frame * unit, 0.0, 0.0, 0.0], rtol=0.0, atol=1e-12)


@pytest.mark.parametrize(
    ("length", "drop", "heave", "away", "unit"),
    [
        (800, 0, 75, -3.52338389630044, 1e-3),
        (800, 0, -75, -3.52338389630044, 1e-3),
        (800, 0, 100, -6.27460668062282, 1e-3),
        (800, 0, -100, -6.27460668062282, 1e-3),
        (800, 80, 100, 3.76001123999223, 1e-3),
        (800, 80, -100, -16.5029388890929, 1e-3),
        (800, 80, 80, 4.01005031470404, 1e-3),
        (800, 80, 160, 0.0, 1e-3),
        (650, 0, 100, -7.73837106674355, 1e-3),
        (950, 0, 100, -5.27781861544079, 1e-3),
        (34, 2, 4, 0.0, INCH),
        (34, 2, -4, -0.474724435591259, INCH),
    ],
)
def test_lateral_bar_swings_on_its_circle(length: float, drop: float, heave: float, away: float, unit: float) -> None:
    """Circle: dy = sqrt(L^2 - (h - z)^2) - sqrt(L^2 - h^2), positive away from the frame end, here to the
    left.

    Six lateral bars, more than are needed, but in heave none hinders another and all keep their length.
    """
    bars = turned_to_the_left(equal_swinging_links(length, -drop, unit, [(-0.2, 0.3), (0.2, 0.3), (0.0, -0.3)]))
    pose = solve(bars, heave * unit, 0.0)
    found = np.array([pose.x[0], pose.y[0], pose.pitch[0], pose.yaw[0]])
    np.testing.assert_allclose(found, [0.0, away * unit, 0.0, 0.0], rtol=0.0, atol=1e-12)


@pytest.mark.parametrize(
    ("heave", "roll", "lateral"),
    [
        (80, 0, -1.9489035213807),
        (-80, 0, 9.81483597883626),
        (0, 5, 40.321244347299),
        (0, -5, -41.6255470036325),
        (-60, -6, -46.4158869770405),
    ],
)
def test_lateral_bar_in_heave_and_roll(heave: float, roll: float, lateral: float) -> None:
    """Plane figure of the bar alone: y = y_f - sqrt(L^2 - (Z - z_f)^2) - (y_a cos - z_a sin), Z = z_a cos +
    y_a sin + z.

    The links that hold the axle in that plane are 200 m long: they pull it out by 40 microns and so shift y by
    less than 1e-9 m.
    """
    far = -200e3
    held = layout(
        [
            ((0, 430, 0), (far, 430, 0)),
            ((0, -430, 0), (far, -430, 0)),
            ((0, 0, 250), (far, 0, 250)),
            ((0, -400, 440), (0, 420, 500)),
        ]
    )
    pose = solve(held, heave * 1e-3, np.radians(roll))
    assert pose.y[0] == pytest.approx(lateral * 1e-3, abs=1e-9)


@pytest.mark.parametrize(
    ("heave", "x", "y"),
    [
        (25, 1.3179315011439, -0.993153814507169),
        (50, 1.94151655539806, -1.22503622338823),
        (100, 1.11023294435553, 0.589985567031884),
        (-25, -2.01787298961448, 1.76055954283034),
        (-50, -4.74499671384497, 4.29873133686618),
        (-100, -12.3844035614865, 11.7708520975334),
    ],
)
def test_equal_links_and_a_bar_translate(heave: float, x: float, y: float) -> None:
    """All links share the vector p, the bar has q: the displacement t solves (p - q).t = 0 and 2 q.t + t.t =
    0.
    """
    links = [
        ((30, 430, -95), (-870, 430, -35)),
        ((30, -430, -95), (-870, -430, -35)),
        ((30, 100, 150), (-870, 100, 210)),
    ]
    pose = solve(layout([*links, ((45, -420, 70), (55, 410, 115))]), heave * 1e-3, 0.0)
    found = np.array([pose.x[0] * 1e3, pose.y[0] * 1e3, pose.pitch[0], pose.yaw[0]])
    np.testing.assert_allclose(found, [x, y, 0.0, 0.0], rtol=0.0, atol=1e-9)


THREE_LINK = [
    ((30, 430, -95), (-870, 400, -35)),
    ((30, -430, -95), (-870, -400, -35)),
    ((60, -180, 150), (-560, -200, 185)),
    ((45, -420, 70), (55, 410, 115)),
]
THREE_LINK_TABLE = """
  0  3 -0.2027414197798  4.720634428891  0.07147486762495 -0.1542726238437
  0 -3 -0.2466448892466 -5.268292499269  0.04803825238617  0.153070060617
  0  5 -0.5850681560332  7.56466390453   0.1815468405931  -0.2508328042175
  0 -5 -0.6634033480612 -9.086426568692  0.1500112689276   0.2470812313167
 50  0  1.521306764297  -1.21178433934  -0.2545129314067  -0.005383253437504
 50  3  1.449820327083   2.034741329914 -0.1240613661968  -0.008678760067641
 50 -3  1.164956224193  -5.027424513004 -0.2800338370114   0.003540581192359
 50  5  1.165699079474   3.88299837999   0.01675829486492 -0.0009952357011618
 50 -5  0.6883975011245 -7.888028749236 -0.2347414357672   0.005408855529734
-50  0 -4.864811475585   4.278189965067 -0.07522676596881  0.01914726648371
-50  3 -5.223654259129  10.50788315926  -0.05146341411484 -0.3041022239359
-50 -3 -4.986178086872  -2.470288573646  0.03594461876422  0.3349478244655
-50  5 -5.726160036316  14.37579194117   0.03587359345421 -0.5166228359535
-50 -5 -5.337741343082  -7.260882613682  0.1881054000512   0.5338583820257
"""


def test_three_link_with_lateral_bar() -> None:
    """Fifty-digit solution, confirmed by scipy's least_squares with a rotation vector. Columns: heave mm,
    roll deg,
    x mm, y mm, pitch deg, yaw deg."""
    table = np.array([line.split() for line in THREE_LINK_TABLE.split("\n") if line], dtype=float).T
    heave, roll, *expected = table
    poses = solve(layout(THREE_LINK), heave * 1e-3, np.radians(roll))
    found = [poses.x * 1e3, poses.y * 1e3, np.degrees(poses.pitch), np.degrees(poses.yaw)]
    np.testing.assert_allclose(found, expected, rtol=0.0, atol=1e-9)


LOWERS = [((30, 430, -95), (-870, 430, -35)), ((30, -430, -95), (-870, -430, -35))]
CENTRED_UPPER = ((60, 0, 150), (-560, 0, 185))
BAR = ((45, -420, 70), (55, 410, 115))


def test_roll_centre_and_roll_steer_from_the_published_construction() -> None:
    """The roll axis runs through the bar's crossing of the centre plane, parallel to the lower links.

    T. D. Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), solid axle roll centre analysis; from
    memory. The axle yaws by the slope of that axis for each radian of roll.
    """
    share = 420 / 830
    crossing = np.array([45 + 10 * share, 0.0, 70 + 45 * share])
    np.testing.assert_allclose(crossing, [50.060240964, 0.0, 92.771084337], rtol=0.0, atol=1e-9)
    at_ride = slopes(layout([*LOWERS, CENTRED_UPPER, BAR]))
    # The roll centre stands at d y / d roll above the axle centre.
    assert float(at_ride.roll.y) * 1e3 == pytest.approx(96.108433734940, abs=1e-9)
    assert float(at_ride.roll.y) * 1e3 == pytest.approx(crossing[2] + crossing[0] / 15, abs=1e-9)
    assert float(at_ride.roll.yaw) == pytest.approx(-1 / 15, abs=1e-12)


@pytest.mark.parametrize(
    "bars",
    [
        [*LOWERS, ((60, -180, 150), (-560, 0, 185)), BAR],
        [*LOWERS, ((30, 430, 145), (-870, 430, 205)), ((30, -430, 145), (-870, -430, 205)), BAR],
    ],
    ids=["three links and a bar", "parallel four-link and a bar"],
)
def test_layouts_of_rank_four_hold_the_axle(bars: list[tuple[Point, Point]]) -> None:
    """A solid axle keeps heave and roll when its constraints have rank four (Gruebler's count, by singular
    values).
    """
    assert free_motions(layout(bars)) == ()
