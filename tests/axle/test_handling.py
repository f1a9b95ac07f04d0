"""Laws that roll centre, instant centre, anti effects and wheel shifts obey, whatever the layout."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from buildcheck.axle.handling import Slopes, heading_rate, slopes, slopes_over
from buildcheck.axle.poses import Layout, Poses, Status, solve
from buildcheck.axle.roll_centre import roll_centre
from buildcheck.axle.rotation import attitude, carry
from buildcheck.axle.side_view import anti_effect, contact_slope, instant_centre
from buildcheck.axle.wheel_shift import wheelbase_change

Array = NDArray[np.float64]

CENTRE = np.array([0.3, 0.05, 0.42])
WHEELBASE = 2.7


def _layout(bars: list[tuple[tuple[int, int, int], tuple[int, int, int]]]) -> Layout:
    """(axle end, frame end) in mm from the axle centre."""
    axle, frame = (np.array([bar[end] for bar in bars]).T / 1000 + CENTRE[:, None] for end in (0, 1))
    return Layout(CENTRE, frame, axle, np.full(len(bars), 1e7))


BAR = ((45, -420, 70), (55, 410, 115))
KINDS = {
    "three links and a bar": _layout(
        [
            ((30, 430, -95), (-870, 400, -35)),
            ((30, -430, -95), (-870, -400, -35)),
            ((60, -180, 150), (-560, -200, 185)),
            BAR,
        ]
    ),
    "triangulated four-link": _layout(
        [
            ((0, 480, -100), (-950, 360, -40)),
            ((0, -480, -100), (-950, -360, -40)),
            ((0, 120, 160), (-700, 450, 170)),
            ((0, -120, 160), (-700, -450, 170)),
        ]
    ),
    "radius arms": _layout(
        [
            ((80, 420, 0), (-950, 380, 0)),
            ((-80, 420, -90), (-950, 380, 0)),
            ((80, -420, 0), (-950, -380, 0)),
            ((-80, -420, -90), (-950, -380, 0)),
            BAR,
        ]
    ),
}


@st.composite
def layouts(draw: st.DrawFn) -> Layout:
    """One of the kinds with every joint moved by up to 30 mm."""
    kind = KINDS[draw(st.sampled_from(sorted(KINDS)))]
    random = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    frame, axle = (points + random.uniform(-0.03, 0.03, points.shape) for points in (kind.frame, kind.axle))
    return replace(kind, frame=frame, axle=axle, stiffness=kind.stiffness * random.uniform(0.3, 3.0, frame.shape[1]))


heaves = st.floats(-0.08, 0.08)
rolls = st.floats(-0.1, 0.1)


@dataclass(frozen=True)
class Read:
    """Everything that is read of the poses."""

    height: Array
    lateral: Array
    axis_slope: Array
    roll_steer: Array
    nearness: Array
    """One over the instant centre's distance ahead: it is smooth where the centre passes through infinity."""
    line: Array
    contact: Array


def read(layout: Layout, heave: Array | float, roll: Array | float, floor: float = 0.0, scale: float = 1.0) -> Read:
    poses = solve(layout, heave, roll)
    assert poses.solved.all()
    found = slopes_over(poses, layout)
    rolling = roll_centre(poses, found, floor)
    side = instant_centre(poses, found, WHEELBASE * scale)
    centre_x = np.asarray(layout.centre[0])[..., None]
    return Read(
        height=rolling.height,
        lateral=rolling.lateral,
        axis_slope=rolling.axis_slope,
        roll_steer=rolling.roll_steer,
        nearness=1.0 / (side.x - centre_x - poses.x),
        line=side.slope,
        contact=contact_slope(poses, found, floor),
    )


def assert_same(found: Read, expected: Read) -> None:
    for field in fields(Read):
        np.testing.assert_allclose(
            getattr(found, field.name), getattr(expected, field.name), rtol=1e-8, atol=1e-9, err_msg=field.name
        )


@settings(max_examples=40, deadline=None)
@given(layouts(), heaves, rolls)
def test_the_mirrored_axle_reads_the_same_mirrored(layout: Layout, heave: float, roll: float) -> None:
    over = np.array([1.0, -1.0, 1.0])
    mirrored = replace(
        layout, centre=layout.centre * over, frame=layout.frame * over[:, None], axle=layout.axle * over[:, None]
    )
    expected = read(layout, heave, roll)
    assert_same(read(mirrored, heave, -roll), replace(expected, lateral=-expected.lateral))


@settings(max_examples=40, deadline=None)
@given(layouts(), heaves, rolls, st.floats(0.1, 10.0))
def test_larger_axles_read_larger_lengths_and_the_same_slopes(
    layout: Layout, heave: float, roll: float, scale: float
) -> None:
    larger = replace(layout, centre=layout.centre * scale, frame=layout.frame * scale, axle=layout.axle * scale)
    of_one, of_scale = read(layout, heave, roll), read(larger, heave * scale, roll, scale=scale)
    assert_same(
        of_scale,
        replace(
            of_one,
            height=of_one.height * scale,
            lateral=of_one.lateral * scale,
            nearness=of_one.nearness / scale,
        ),
    )


@settings(max_examples=40, deadline=None)
@given(layouts(), heaves, rolls, st.tuples(st.floats(-3, 3), st.floats(-1, 1), st.floats(-1, 1)))
def test_moving_axle_links_and_floor_together_moves_the_readings_along(
    layout: Layout, heave: float, roll: float, by: tuple[float, float, float]
) -> None:
    shift = np.array(by)
    moved = replace(
        layout,
        centre=layout.centre + shift,
        frame=layout.frame + shift[:, None],
        axle=layout.axle + shift[:, None],
    )
    expected = read(layout, heave, roll)
    assert_same(read(moved, heave, roll, floor=by[2]), replace(expected, lateral=expected.lateral + by[1]))


@settings(max_examples=40, deadline=None)
@given(layouts(), st.floats(0.02, 0.08), st.floats(0.02, 0.1))
def test_readings_at_ride_are_the_limit_of_those_over_travel(layout: Layout, heave: float, roll: float) -> None:
    """Close to ride height, half the way there leaves half the difference."""
    shrink = np.array([0.0, 1e-4, 2e-4])
    found = read(layout, shrink * heave, shrink * roll)
    for field in fields(Read):
        at_ride, near, twice = getattr(found, field.name)
        assert abs(near - at_ride) < 1e-3
        assert twice - at_ride == pytest.approx(2 * (near - at_ride), rel=0.05, abs=1e-8)


def carried(layout: Layout, pose: Poses, place: Array, heave: float, roll: float) -> Array:
    """Where the point of the axle that stands at `place` in `pose` goes with heave and roll."""
    centre = layout.centre + np.array([pose.x[0], pose.y[0], pose.heave[0]])
    at_ride = layout.centre + attitude(pose)[..., 0].T @ (place - centre)
    return carry(solve(layout, [heave], roll), at_ride)[:, 0]


@settings(max_examples=40, deadline=None)
@given(layouts(), heaves, rolls)
def test_points_at_the_centres_stand_still(layout: Layout, heave: float, roll: float) -> None:
    """Central differences of solve(): the roll centre has no lateral and no vertical velocity in roll, the instant
    centre none in the side view, and the contact moves forward as its slope says."""
    pose, step = solve(layout, [heave], roll), 1e-4
    found = slopes_over(pose, layout)
    centre = layout.centre + np.array([pose.x[0], pose.y[0], pose.heave[0]])

    def velocity(place: Array, by_heave: float, by_roll: float) -> Array:
        ahead, behind = (
            carried(layout, pose, place, heave + way * by_heave, roll + way * by_roll) for way in (step, -step)
        )
        difference: Array = (ahead - behind) / (2 * step)
        return difference

    rolling = roll_centre(pose, found)
    at_roll_centre = np.array([centre[0], rolling.lateral[0], rolling.height[0] + heave])
    np.testing.assert_allclose(velocity(at_roll_centre, 0.0, 1.0)[1:], 0.0, atol=1e-6)
    further = at_roll_centre + np.array([0.5, 0.0, 0.5 * rolling.axis_slope[0]])
    np.testing.assert_allclose(velocity(further, 0.0, 1.0)[1], 0.0, atol=1e-6)
    side = instant_centre(pose, found, WHEELBASE)
    assume(side.length[0] < 20.0)
    at_instant_centre = np.array([side.x[0], centre[1], side.z[0]])
    np.testing.assert_allclose(velocity(at_instant_centre, 1.0, 0.0)[[0, 2]], 0.0, atol=1e-5)
    at_contact = np.array([centre[0], centre[1], heave])
    assert velocity(at_contact, 1.0, 0.0)[0] == pytest.approx(contact_slope(pose, found)[0], abs=1e-6)
    d, e = centre[0] - side.x[0], side.z[0] - heave
    assert contact_slope(pose, found)[0] == pytest.approx(e / d, rel=1e-7, abs=1e-9)


def test_at_ride_height_over_the_axle_is_the_slope_at_ride() -> None:
    for layout in KINDS.values():
        poses = solve(layout, [0.0], 0.0)
        found = roll_centre(poses, slopes_over(poses, layout))
        assert found.height[0] == pytest.approx(CENTRE[2] + float(slopes(layout).roll.y), abs=1e-12)
        assert found.axis_slope[0] == found.roll_steer[0]


# Batches, and what is not solved.


def test_builds_side_by_side_read_as_each_alone() -> None:
    base = KINDS["three links and a bar"]
    moved = replace(base, centre=base.centre + np.array([0.0, 0.01, 0.02]), frame=base.frame + 0.02)
    both = Layout(
        np.stack([base.centre, moved.centre], axis=-1),
        np.stack([base.frame, moved.frame], axis=-1),
        np.stack([base.axle, moved.axle], axis=-1),
        np.stack([base.stiffness, moved.stiffness], axis=-1),
    )
    heave, roll = np.array([-0.05, 0.0, 0.06]), np.array([0.02, 0.0, -0.05])
    together = read(both, heave, roll)
    for build, alone in enumerate((base, moved)):
        rows = {field.name: getattr(together, field.name)[build] for field in fields(Read)}
        assert_same(Read(**rows), read(alone, heave, roll))
    poses = solve(both, heave, roll)
    wheels = np.stack([[0.3, 0.8, 0.42], [0.3, 0.8, 0.45]], axis=-1)
    longer = wheelbase_change(poses, wheels)
    assert longer.shape == (2, 3)
    np.testing.assert_allclose(longer[1], wheelbase_change(solve(moved, heave, roll), wheels[:, 1]), atol=1e-12)


def test_poses_out_of_reach_are_nan_everywhere() -> None:
    layout = KINDS["three links and a bar"]
    poses = solve(layout, [0.0, 3.0], 0.0)
    assert list(poses.status == Status.SOLVED) == [True, False]
    found: Slopes = slopes_over(poses, layout)
    rolling, side = roll_centre(poses, found), instant_centre(poses, found, WHEELBASE)
    read_all = [
        rolling.height,
        rolling.lateral,
        rolling.axis_slope,
        rolling.roll_steer,
        side.x,
        side.z,
        side.length,
        side.slope,
        contact_slope(poses, found),
        anti_effect(contact_slope(poses, found), 0.6, 2.7, 0.7),
        wheelbase_change(poses, (0.3, 0.8, 0.42)),
    ]
    for values in read_all:
        assert np.isfinite(values[0])
        assert np.isnan(values[1])


@pytest.mark.parametrize(
    ("share", "wheelbase", "height"),
    [(1.1, 2.7, 0.7), (-0.1, 2.7, 0.7), (np.nan, 2.7, 0.7), (0.5, 0.0, 0.7), (0.5, np.inf, 0.7), (0.5, 2.7, np.nan)],
)
def test_anti_effects_of_impossible_numbers_are_refused(share: float, wheelbase: float, height: float) -> None:
    with pytest.raises(ValueError, match=r"between 0 and 1|above zero and finite"):
        anti_effect(0.1, share, wheelbase, height)


def test_an_instant_centre_needs_a_wheelbase() -> None:
    layout = KINDS["radius arms"]
    poses = solve(layout, [0.0], 0.0)
    with pytest.raises(ValueError, match="wheelbase must be above zero"):
        instant_centre(poses, slopes_over(poses, layout), 0.0)


# Where the wheels go.


def standing(**where: float) -> Poses:
    """One pose, as solve() would give it, of an axle about CENTRE."""
    values = {name: np.array([where.get(name, 0.0)]) for name in ("heave", "roll", "x", "y", "pitch", "yaw")}
    return Poses(**values, stretch=np.zeros((4, 1)), status=np.zeros(1, dtype=np.int8), centre=CENTRE)


def test_yaw_lengthens_the_wheelbase_on_one_side_and_shortens_it_on_the_other() -> None:
    """+ yaw is nose left: the left wheel goes back."""
    outward = np.array([0.0, 0.8, 0.0])
    left, right = CENTRE + outward, CENTRE - outward
    yawed = standing(yaw=0.02, x=0.003)
    wheels = np.stack([left, right], axis=-1)
    np.testing.assert_allclose(
        wheelbase_change(yawed, wheels)[:, 0], 0.003 + np.array([-0.8, 0.8]) * np.sin(0.02), atol=1e-15
    )
    np.testing.assert_allclose(
        wheelbase_change(yawed, wheels, front=False)[:, 0], -0.003 + np.array([0.8, -0.8]) * np.sin(0.02), atol=1e-15
    )


@settings(deadline=None)
@given(layout=layouts(), heave=heaves, roll=rolls)
def test_roll_steer_is_how_the_line_of_the_wheels_turns_as_seen_from_above(
    layout: Layout, heave: float, roll: float
) -> None:
    """Two wheels carried by the rotation matrix; their headings a little apart in roll, over that difference."""
    step = 1e-5
    poses = solve(layout, heave, np.array([roll - step, roll, roll + step]))
    assume(poses.solved.all())
    left, right = (carry(poses, np.asarray(layout.centre) + np.array([0.0, y, 0.0])) for y in (0.8, -0.8))
    across = left - right
    heading = np.arctan2(-across[0], across[1])
    told = roll_centre(poses, slopes_over(poses, layout)).roll_steer[1]
    assert told == pytest.approx((heading[2] - heading[0]) / (2 * step), abs=1e-6)
    # In heave alone of a level axle it is the yaw's own rate.
    level = solve(layout, np.array([heave]), 0.0)
    rates = slopes_over(level, layout).heave
    np.testing.assert_allclose(heading_rate(level, rates, 0.0), rates.yaw, atol=1e-15)
