"""Instant centres, anti effects and roll axes against textbook constructions and published formulas.

A layout is built around a construction (lines drawn through a chosen point) and read back from its motion. Layouts in
millimetres. Anti effects: T. D. Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), chapter 7, from memory; D.
Barton and J. Fieldhouse, Automotive Chassis Engineering (Springer 2018), equations 3.63 and 3.69, for a driven rear
axle.
"""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from buildcheck.axle.handling import slopes_over, turning
from buildcheck.axle.poses import FreeAxle, Layout, Poses, solve
from buildcheck.axle.roll_centre import RollCentre, roll_centre
from buildcheck.axle.rotation import carry
from buildcheck.axle.side_view import InstantCentre, anti_effect, contact_slope, instant_centre

Array = NDArray[np.float64]
Point = tuple[float, float, float]
Bar = tuple[Point, Point]

WHEELBASE = 2.6
LEVEL_BAR: Bar = ((50, -420, 70), (50, 410, 70))


def layout(bars: list[Bar], centre: Point = (0, 0, 0)) -> Layout:
    """Bars as (axle end, frame end) in mm, both from the axle centre, which stands at `centre`."""
    axle, frame = (np.array([bar[end] for bar in bars]).T / 1000 for end in (0, 1))
    middle = np.array(centre) / 1000
    return Layout(middle, frame + middle[:, None], axle + middle[:, None], np.full(len(bars), 1e7))


def at_ride(links: Layout) -> tuple[RollCentre, InstantCentre, float]:
    """Roll centre, instant centre and slope at the contact, the floor at z = 0."""
    poses = solve(links, [0.0], 0.0)
    slopes = slopes_over(poses, links)
    return (
        roll_centre(poses, slopes),
        instant_centre(poses, slopes, WHEELBASE),
        float(contact_slope(poses, slopes)[0]),
    )


def aimed(e: float, d: float, radius: float, centre_x: float = 0.0) -> Layout:
    """Four links, triangulated above, whose side-view lines meet at height e above the floor and d behind the axle.

    For d < 0 they meet ahead of the axle. Numbers in mm.
    """
    bars: list[Bar] = []
    for side in (1.0, -1.0):
        for height, axle_y, frame_y, share in ((-100.0, 480.0, 360.0, 0.55), (140.0, 120.0, 450.0, 0.4)):
            ahead = (30.0, side * axle_y, height)
            meets = (-d, 0.0, e - radius)
            frame = [a + share * (b - a) for a, b in zip(ahead, meets, strict=True)]
            bars.append((ahead, (frame[0], side * frame_y, frame[2])))
    return layout(bars, (centre_x, 0.0, radius))


@pytest.mark.parametrize(
    ("e", "d", "length", "height", "share", "percent"),
    [
        (300, 1600, 2600, 750, 0.65, 42.25),
        (9 * 25.4, 50 * 25.4, 104 * 25.4, 30 * 25.4, 0.60, 37.44),
        (0.4437869822485207 * 1500, 1500, 2600, 750, 0.65, 100.0),
    ],
    ids=["millimetres", "inches", "the slope of 100 percent, h / (share L)"],
)
def test_anti_dive_of_links_that_meet_behind_a_front_axle(
    e: float, d: float, length: float, height: float, share: float, percent: float
) -> None:
    """100 (e/d) share L / h."""
    _, centre, slope = at_ride(aimed(e, d, 430.0))
    assert centre.x[0] * 1000 == pytest.approx(-d, rel=1e-12)
    assert centre.z[0] * 1000 == pytest.approx(e, rel=1e-12)
    assert centre.length[0] * 1000 == pytest.approx(d, rel=1e-12)
    assert slope == pytest.approx(e / d, rel=1e-12)
    assert anti_effect(slope, share, length, height) == pytest.approx(percent, abs=1e-9)


def parallel_links(rise: float, bar: Bar = LEVEL_BAR) -> Layout:
    """Two pairs of links, parallel and equal, that rise to the rear, with a bar."""
    pairs = ((430.0, -95.0), (-430.0, -95.0), (200.0, 150.0), (-200.0, 150.0))
    bars = [((30.0, y, z), (-870.0, y, z + 900.0 * rise)) for y, z in pairs]
    return layout([*bars, bar], (0, 0, 430))


def test_anti_dive_of_parallel_links_is_that_of_their_slope() -> None:
    """The instant centre is infinitely far, e/d the slope of the links: 0.10 gives 22.5333333333 percent."""
    _, centre, slope = at_ride(parallel_links(0.10))
    assert centre.x[0] == centre.z[0] == centre.length[0] == np.inf
    assert centre.slope[0] == pytest.approx(-0.10, abs=1e-12)
    assert anti_effect(slope, 0.65, 2.6, 0.75) == pytest.approx(22.5333333333, abs=1e-9)


def test_level_parallel_links_have_no_anti_dive_and_no_instant_centre() -> None:
    rolling, centre, slope = at_ride(parallel_links(0.0))
    assert centre.x[0] == centre.z[0] == centre.length[0] == np.inf
    assert slope == pytest.approx(0.0, abs=1e-12)
    assert rolling.roll_steer[0] == pytest.approx(0.0, abs=1e-12)


def test_parallel_links_have_no_instant_centre_anywhere_in_heave() -> None:
    """Equal parallel links swing the axle along a circle without turning it (a parallelogram)."""
    links = parallel_links(0.10)
    poses = solve(links, np.linspace(-0.1, 0.1, 21), 0.0)
    slopes = slopes_over(poses, links)
    assert poses.solved.all()
    centre = instant_centre(poses, slopes, WHEELBASE)
    for values in (centre.x, centre.z, centre.length):
        np.testing.assert_array_equal(values, np.inf)
    # With the bar's sideways swing: (p + t).t' = 0 for the vectors p of link and bar, t the shift, t' = (x', y', 1).
    for pose, shift in enumerate(np.stack([poses.x, poses.y, poses.heave], axis=1)):
        link, bar = np.array([0.9, 0.0, -0.09]) + shift, np.array([0.0, -0.83, 0.0]) + shift
        forward, _ = np.linalg.solve([link[:2], bar[:2]], [-link[2], -bar[2]])
        assert centre.slope[pose] == pytest.approx(-forward, abs=1e-12)


def test_nearly_parallel_links_have_a_far_instant_centre_and_not_none() -> None:
    """Frame ends of the uppers 0.01 mm lower bring the centre to 22 km behind the axle, and that is what it says."""
    pairs = ((430.0, -95.0, 0.0), (-430.0, -95.0, 0.0), (200.0, 150.0, 0.01), (-200.0, 150.0, 0.01))
    bars = [((30.0, y, z), (-870.0, y, z + 90.0 - less)) for y, z, less in pairs]
    _, centre, _ = at_ride(layout([*bars, LEVEL_BAR], (0, 0, 430)))
    # From the axle ends at x = 30: the lines are 245 apart and close in by 0.01 over 900.
    meets = 30.0 - 245.0 / (0.01 / 900.0)
    assert centre.x[0] * 1000 == pytest.approx(meets, rel=1e-6)


def test_anti_squat_of_a_driven_rear_axle() -> None:
    """e = 0.25 m, d = 1.2 m ahead of the axle, h = 0.65 m, L = 2.7 m: 100 (e/d) / (h/L)."""
    _, centre, slope = at_ride(aimed(250, -1200, 400, -2700))
    assert centre.x[0] == pytest.approx(-2.7 + 1.2, rel=1e-12)
    assert slope == pytest.approx(-0.25 / 1.2, rel=1e-12)
    assert anti_effect(slope, 1.0, 2.7, 0.65, front=False) == pytest.approx(86.5384615385, abs=1e-9)


def test_body_keeps_its_pitch_where_the_rear_lifts_by_what_the_front_does() -> None:
    """e/d = (h/l) (1 + k_r/k_f) = 0.4333333333 for h/l = 0.65/2.7, k_r/k_f = 28/35, Barton and Fieldhouse 3.69."""
    e_over_d = 0.65 / 2.7 * (1 + 28 / 35)
    assert e_over_d == pytest.approx(0.4333333333, abs=1e-10)
    *_, slope = at_ride(aimed(e_over_d * 900, -900, 400))
    acting = anti_effect(slope, 1.0, 2.7, 0.65, front=False)
    rear_lift_over_front_lift = (acting / 100 - 1) * 35 / 28
    assert rear_lift_over_front_lift == pytest.approx(1.0, abs=1e-9)


def test_squat_of_the_rear_springs() -> None:
    """m = 1500 kg, 3 m/s2, h = 0.6, l = 2.6, e = 0.2, d = 1.1: 220.2797203 N on 40 kN/m, Barton and Fieldhouse 3.63."""
    *_, slope = at_ride(aimed(200, -1100, 400))
    squat = 1500 * 3 * 0.6 / 2.6 * (1 - anti_effect(slope, 1.0, 2.6, 0.6, front=False) / 100)
    assert squat == pytest.approx(1500 * 3 * (0.6 / 2.6 - 0.2 / 1.1), rel=1e-9)
    assert squat == pytest.approx(220.2797203, abs=1e-6)
    assert squat / 40e3 * 1000 == pytest.approx(5.506993007, abs=1e-9)


# Roll axes.

LOWERS: list[Bar] = [((30, 430, -95), (-870, 430, -35)), ((30, -430, -95), (-870, -430, -35))]
BAR: Bar = ((45, -420, 70), (55, 410, 115))


def test_roll_axis_of_three_links_and_a_bar() -> None:
    """Through the bar's crossing of the middle plane, parallel to the lower links: Gillespie's procedure."""
    share = 420 / 830
    crossing = np.array([45 + 10 * share, 70 + 45 * share])
    np.testing.assert_allclose(crossing, [50.060240964, 92.771084337], rtol=0, atol=1e-9)
    rolling, *_ = at_ride(layout([*LOWERS, ((60, 0, 150), (-560, 0, 185)), BAR]))
    assert rolling.height[0] * 1000 == pytest.approx(96.108433734940, abs=1e-9)
    assert rolling.axis_slope[0] == pytest.approx(-0.066666666667, abs=1e-12)
    assert rolling.roll_steer[0] == pytest.approx(-0.066666666667, abs=1e-12)
    assert rolling.lateral[0] == 0.0


def restraint_point(bars: list[Bar]) -> Array:
    """Where a symmetric pair of links meets, in the middle plane: (x, z)."""
    (x, y, z), (frame_x, frame_y, frame_z) = bars[0]
    reach = y / (y - frame_y)
    return np.array([x + reach * (frame_x - x), z + reach * (frame_z - z)])


@pytest.mark.parametrize("seed", range(5))
def test_roll_axis_of_triangulated_links_joins_their_restraint_points(seed: int) -> None:
    """Each pair restrains the axle sideways where its lines meet; the roll axis joins the two points (Gillespie)."""
    random = np.random.default_rng(seed)
    pairs: list[list[Bar]] = []
    for height, axle_y, frame_y in ((-100, 480, 360), (160, 120, 450)):
        here, there = random.uniform(-40, 40, (2, 3))
        pairs.append(
            [
                (
                    (here[0], side * (axle_y + here[1]), height + here[2]),
                    (-900 + there[0], side * (frame_y + there[1]), height + 30 + there[2]),
                )
                for side in (1.0, -1.0)
            ]
        )
    lower, upper = (restraint_point(pair) for pair in pairs)
    slope = (upper[1] - lower[1]) / (upper[0] - lower[0])
    rolling, centre, _ = at_ride(layout([*pairs[0], *pairs[1]], (0, 0, 420)))
    assert rolling.height[0] * 1000 == pytest.approx(420 + lower[1] - slope * lower[0], rel=1e-9)
    assert rolling.axis_slope[0] == pytest.approx(slope, rel=1e-9)
    assert rolling.roll_steer[0] == pytest.approx(slope, rel=1e-9)
    # The side-view lines of the same pairs meet at the instant centre, which only heave knows of.
    lines = [np.array([[pair[0][end][0], pair[0][end][2]] for end in (0, 1)]) for pair in pairs]
    rises = [(line[1, 1] - line[0, 1]) / (line[1, 0] - line[0, 0]) for line in lines]
    meets = (lines[1][0, 1] - lines[0][0, 1] + rises[0] * lines[0][0, 0] - rises[1] * lines[1][0, 0]) / (
        rises[0] - rises[1]
    )
    assert centre.x[0] * 1000 == pytest.approx(meets, rel=1e-9)
    assert centre.z[0] * 1000 - 420 == pytest.approx(lines[0][0, 1] + rises[0] * (meets - lines[0][0, 0]), rel=1e-9)


def test_radius_arms_have_their_instant_centre_at_their_frame_joints() -> None:
    """An arm bolted rigidly to the axle turns about its joint on the frame."""
    pivot = (-950, 380, -15)
    bars: list[Bar] = [
        (axle, (pivot[0], side * pivot[1], pivot[2]))
        for side in (1, -1)
        for axle in ((80, side * 420, 0), (-80, side * 420, -90))
    ]
    _, centre, slope = at_ride(layout([*bars, LEVEL_BAR], (0, 0, 430)))
    assert centre.x[0] == pytest.approx(-0.950, rel=1e-12)
    assert centre.z[0] == pytest.approx(0.415, rel=1e-12)
    assert centre.length[0] == pytest.approx(0.950, rel=1e-12)
    assert slope == pytest.approx(415 / 950, rel=1e-12)


def test_roll_stiffness_of_two_springs() -> None:
    """k s^2 / 2 = 11200 N m / rad = 195.476876223 N m / degree (Gillespie chapter 6): k = 35 N/mm, 800 mm apart."""
    links = layout([*LOWERS, ((60, 0, 150), (-560, 0, 185)), BAR])
    step = 1e-4
    ends = [
        carry(solve(links, [0.0], roll), (0.0, side * 0.4, 0.0))[2, 0] for side in (1, -1) for roll in (step, -step)
    ]
    rates = (ends[0] - ends[1]) / (2 * step), (ends[2] - ends[3]) / (2 * step)
    stiffness = 35e3 * (rates[0] ** 2 + rates[1] ** 2)
    assert stiffness == pytest.approx(11200, rel=1e-7)
    assert np.radians(stiffness) == pytest.approx(195.476876223, rel=1e-7)


# Mobility: six less the rank of the constraints' Jacobian, whose null space is what heave and roll must span.


def jacobian(links: Layout) -> Array:
    """Rows [u, a x u], unit vectors u along the bars at their axle ends a: the stretch rates of a twist."""
    arm = links.axle - links.centre[:, None]
    along = links.axle - links.frame
    unit = along / np.linalg.norm(along, axis=0)
    return np.concatenate([unit.T, np.cross(arm.T, unit.T)], axis=1)


def twists(links: Layout) -> Array:
    """Velocity of the axle centre and turning of the axle, in heave and in roll: rows of six."""
    poses: Poses = solve(links, [0.0], 0.0)
    slopes = slopes_over(poses, links)
    return np.array(
        [
            [rates.x[0], rates.y[0], 1.0 - roll, *turning(poses, rates, roll)[:, 0]]
            for rates, roll in ((slopes.heave, 0.0), (slopes.roll, 1.0))
        ]
    )


THREE_LINKS = [*LOWERS, ((60, -180, 150), (-560, -180, 185)), BAR]
TRIANGULATED: list[Bar] = [
    ((0, 480, -100), (-950, 360, -40)),
    ((0, -480, -100), (-950, -360, -40)),
    ((0, 120, 160), (-700, 450, 170)),
    ((0, -120, 160), (-700, -450, 170)),
]
PARALLEL = [*LOWERS, ((30, 430, 145), (-870, 430, 205)), ((30, -430, 145), (-870, -430, 205)), BAR]
UNEQUAL = [*LOWERS, ((60, 430, 150), (-560, 430, 185)), ((60, -430, 150), (-560, -430, 185)), BAR]


@pytest.mark.parametrize(
    ("bars", "redundant"),
    [(THREE_LINKS, 0), (TRIANGULATED, 0), (PARALLEL, 1)],
    ids=["three links and a bar", "triangulated four-link", "parallel equal four-link and a bar"],
)
def test_heave_and_roll_are_all_that_the_constraints_leave(bars: list[Bar], redundant: int) -> None:
    """Gruebler's count by singular values: rank 4, mobility 2, and both twists stretch nothing."""
    rows = jacobian(layout(bars))
    values = np.linalg.svd(rows, compute_uv=False)
    assert (values > 1e-12).sum() == 4 == len(bars) - redundant
    free = np.linalg.svd(rows)[2][4:]
    found = twists(layout(bars))
    np.testing.assert_allclose(rows @ found.T, 0.0, atol=1e-13)
    np.testing.assert_allclose(found - found @ free.T @ free, 0.0, atol=1e-13)


def test_four_links_that_are_not_parallel_and_a_bar_bind_in_roll() -> None:
    """Rank 5, mobility 1: heave is free, roll stretches the joints as the two sides ask for pitch of opposite signs.

    How much each side asks for is the sine of the angle between its links, over how far apart they stand.
    """
    links = layout(UNEQUAL)
    rows = jacobian(links)
    assert (np.linalg.svd(rows, compute_uv=False) > 1e-6).sum() == 5
    heave, roll = rows @ twists(links).T[:, 0], rows @ twists(links).T[:, 1]
    np.testing.assert_allclose(heave, 0.0, atol=1e-13)
    assert np.abs(roll).max() > 1e-3
    lower, upper = np.arctan2(60, 900), np.arctan2(35, 620)
    assert np.degrees(lower - upper) == pytest.approx(0.583064933922, abs=1e-9)
    sine = np.sin(lower - upper)
    assert sine == pytest.approx(0.010176227207, abs=1e-12)
    apart = (150 + 60 * np.tan(upper)) - (-95 + 30 * np.tan(lower))  # in the transverse plane of the axle centre, mm
    pitch = slopes_over(solve(links, [0.0], 0.0), links).heave.pitch[0]
    # The lowers rise the more steeply to the rear, so the links meet behind, and bump takes the nose up: negative.
    assert pitch == pytest.approx(-sine / (np.cos(lower) * np.cos(upper) * apart / 1000), rel=1e-9)
    with pytest.raises(FreeAxle):
        solve(layout(UNEQUAL[:4]), [0.0], 0.0)
