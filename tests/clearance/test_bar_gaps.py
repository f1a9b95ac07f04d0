"""Laws of the gap between a bar and a solid."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from buildcheck.axle.rotation import rotation
from buildcheck.axle.vectors import Array
from buildcheck.clearance.bar_gaps import Box, Capsule, Cylinder, HalfSpace, Solid, clearance

points = arrays(np.float64, (3, 6), elements=st.floats(-1.0, 1.0))
spots = arrays(np.float64, 3, elements=st.floats(-3.0, 3.0))
angles = st.floats(-3.0, 3.0)

SOLIDS: dict[str, Solid] = {
    "box": Box([-0.3, -0.1, -0.2], [0.2, 0.3, 0.1]),
    "cylinder": Cylinder([-0.2, 0.1, 0.0], [0.3, 0.0, 0.1], 0.15),
    "capsule": Capsule([-0.2, 0.1, 0.0], [0.3, 0.0, 0.1], 0.15),
    "half-space": HalfSpace([0.0, 0.0, -0.3], [0.1, 0.2, 1.0]),
}


@pytest.mark.parametrize("solid", SOLIDS.values(), ids=SOLIDS)
@given(start=points, end=points)
def test_gap_is_the_lowest_of_many_places_and_stands_where_it_says(solid: Solid, start: Array, end: Array) -> None:
    gap, along = clearance(Capsule(start, end, 0.02), solid)
    fractions = np.linspace(0, 1, 201)[:, None]
    everywhere = solid.distance(start[:, None] + (end - start)[:, None] * fractions) - 0.02
    assert np.all(gap <= everywhere.min(axis=0) + 1e-11)
    assert np.all((along >= 0) & (along <= 1))
    np.testing.assert_allclose(solid.distance(start + (end - start) * along) - 0.02, gap, rtol=0, atol=1e-14)


@pytest.mark.parametrize("solid", SOLIDS.values(), ids=SOLIDS)
@given(start=points, end=points)
def test_bar_has_no_first_end(solid: Solid, start: Array, end: Array) -> None:
    forwards, backwards = (
        clearance(Capsule(start, end, 0.02), solid),
        clearance(Capsule(end, start, 0.02), solid),
    )
    np.testing.assert_allclose(forwards.gap, backwards.gap, rtol=0, atol=1e-11)


@pytest.mark.parametrize("solid", SOLIDS.values(), ids=SOLIDS)
def test_thicker_bar_is_that_much_closer(solid: Solid) -> None:
    start, end = np.random.default_rng(0).uniform(-1, 1, (2, 3, 50))
    thin, thick = clearance(Capsule(start, end, 0.01), solid), clearance(Capsule(start, end, 0.04), solid)
    np.testing.assert_allclose(thin.gap - thick.gap, 0.03, rtol=0, atol=1e-15)


@given(start=points, end=points, shift=spots, yaw=angles, pitch=angles, roll=angles)
def test_moving_both_leaves_the_gap_alone(
    start: Array, end: Array, shift: Array, yaw: float, pitch: float, roll: float
) -> None:
    attitude = rotation(yaw, pitch, roll)

    def moved(point: Array) -> Array:
        return attitude @ point + shift.reshape((3,) + (1,) * (point.ndim - 1))

    base, tip, bar = np.array([-0.2, 0.1, 0.0]), np.array([0.3, 0.0, 0.1]), Capsule(start, end, 0.02)
    moved_bar = Capsule(moved(start), moved(end), 0.02)
    pairs: list[tuple[Solid, Solid]] = [
        (Cylinder(base, tip, 0.15), Cylinder(moved(base), moved(tip), 0.15)),
        (Capsule(base, tip, 0.15), Capsule(moved(base), moved(tip), 0.15)),
        (HalfSpace(base, tip), HalfSpace(moved(base), attitude @ tip)),
    ]
    for here, there in pairs:
        np.testing.assert_allclose(clearance(moved_bar, there).gap, clearance(bar, here).gap, rtol=0, atol=1e-8)
    box, shift_up = Box(base - 0.1, base + 0.3), shift[:, None]
    moved_box = Box(base - 0.1 + shift, base + 0.3 + shift)
    moved_bar = Capsule(start + shift_up, end + shift_up, 0.02)
    np.testing.assert_allclose(clearance(moved_bar, moved_box).gap, clearance(bar, box).gap, rtol=0, atol=1e-13)


@given(start=points, end=points, other=points, other_end=points)
def test_two_bars_see_the_same_gap_from_either(start: Array, end: Array, other: Array, other_end: Array) -> None:
    one, two = Capsule(start, end, 0.02), Capsule(other, other_end, 0.03)
    np.testing.assert_allclose(clearance(one, two).gap, clearance(two, one).gap, rtol=0, atol=1e-7)


@pytest.mark.parametrize(
    ("start", "end", "gap", "along"),
    [
        ([-2, 0, 2], [2, 0, 2], 1 - 0.1, None),  # level above the top, anywhere over it
        ([-2, 0, 3], [2, 0, 1], 1 / np.sqrt(5) - 0.1, 0.8),  # past the top edge at x = 1
        ([0, 0, 1.5], [0, 0, 4], 0.5 - 0.1, 0),  # points at the top face
        ([3, 3, 3], [2, 2, 2], np.sqrt(3) - 0.1, 1),  # points at a corner
        ([-3, 0, 0], [3, 0, 0], -1 - 0.1, 0.5),  # through the middle: depth to a side face
        ([-3, 0, 0.8], [3, 0, 0.8], -0.2 - 0.1, None),  # through, under the top face
        ([0, 0, 0.4], [0, 0, 0.4], -0.6 - 0.1, None),  # a ball inside
    ],
)
def test_box_of_two_by_hand(start: list[float], end: list[float], gap: float, along: float | None) -> None:
    found = clearance(Capsule(start, end, 0.1), Box([-1, -1, -1], [1, 1, 1]))
    assert found.gap.shape == ()
    assert float(found.gap) == pytest.approx(gap, abs=1e-14)
    if along is not None:
        assert float(found.along) == pytest.approx(along, abs=1e-15)


@pytest.mark.parametrize(
    ("start", "end", "gap"),
    [
        ([-2, 2, 0], [2, 2, 0], 1.5 - 0.1),  # square across, clear of the side
        ([-1, 0, 3], [1, 0, 3], 2 - 0.1),  # over the end
        ([0.5 + 3, 0, 1 + 4], [0.5 + 3, 0, 1 + 4], 5 - 0.1),  # a ball off the rim
        ([0.2, 0, -3], [0.2, 0, 3], -0.3 - 0.1),  # along the inside
        ([-3, 0, 0.8], [3, 0, 0.8], -0.2 - 0.1),  # across, under the end
        ([-3, 0, 0.8 - 3 / 7], [4, 0, 0.8 + 4 / 7], -0.2375 - 0.1),  # aslant: side and end equally far
    ],
)
def test_cylinder_by_hand(start: list[float], end: list[float], gap: float) -> None:
    found = clearance(Capsule(start, end, 0.1), Cylinder([0, 0, -1], [0, 0, 1], 0.5))
    assert found.gap.shape == ()
    assert float(found.gap) == pytest.approx(gap, abs=1e-11)


def test_parallel_crossed_and_ball_shaped_bars_by_hand() -> None:
    bar = Capsule([0, 0, 0], [1, 0, 0], 0.1)
    others = [
        (Capsule([0.2, 0.5, 0], [2, 0.5, 0], 0.1), 0.3),
        (Capsule([0.5, -1, 0.4], [0.5, 1, 0.4], 0.1), 0.2),
        (Capsule([4, 4, 0], [4, 4, 0], 0.1), 4.8),
        (Capsule([0.5, -1, 0], [0.5, 1, 0], 0.1), -0.2),
        (Capsule([1.3, 0, 0.4], [2, 0, 0.4], 0.1), 0.3),
    ]
    assert [float(clearance(bar, other).gap) for other, _ in others] == pytest.approx([gap for _, gap in others])


@pytest.mark.parametrize("solid", SOLIDS.values(), ids=SOLIDS)
def test_pose_that_is_not_solved_has_no_gap_and_spoils_no_other(solid: Solid) -> None:
    start, end = np.random.default_rng(1).uniform(-1, 1, (2, 3, 5))
    whole = clearance(Capsule(start, end, 0.02), solid)
    start[1, 2] = np.nan
    found = clearance(Capsule(start, end, 0.02), solid)
    lost = np.arange(5) == 2
    np.testing.assert_array_equal(np.isnan(found.gap), lost)
    np.testing.assert_array_equal(np.isnan(found.along), lost)
    np.testing.assert_array_equal(found.gap[~lost], whole.gap[~lost])


def test_solid_that_is_not_known_in_a_pose_has_no_gap() -> None:
    tip = np.array([[1.0, np.nan], [0.0, 0.0], [0.0, 0.0]])
    bar = Capsule([0, 1, 0], [0, 2, 0], 0.1)
    for solid in (Capsule([0, 0, 0], tip, 0.1), Cylinder([0, 0, 0], tip, 0.1), Box([-1, -1, -1], tip + 0.5)):
        np.testing.assert_array_equal(np.isnan(clearance(bar, solid).gap), [False, True])


def test_builds_and_poses_broadcast_for_every_solid() -> None:
    """A bar (3, poses) against a solid of each build (3, builds, 1): each gap is that of its own pair."""
    generator = np.random.default_rng(2)
    start, end = generator.uniform(-1, 1, (2, 3, 6))
    low = generator.uniform(-0.5, -0.1, (3, 4, 1))
    high = generator.uniform(0.1, 0.5, (3, 4, 1))
    bar, one_bar = Capsule(start, end, 0.02), Capsule(start[:, 5], end[:, 5], 0.02)
    one_low, one_high = low[:, 2, 0], high[:, 2, 0]
    pairs: list[tuple[Solid, Solid]] = [
        (Box(low, high), Box(one_low, one_high)),
        (Cylinder(low, high, 0.1), Cylinder(one_low, one_high, 0.1)),
        (Capsule(low, high, 0.1), Capsule(one_low, one_high, 0.1)),
        (HalfSpace(low, high), HalfSpace(one_low, one_high)),
    ]
    for many, one in pairs:
        gap = clearance(bar, many).gap
        assert gap.shape == (4, 6)
        assert gap[2, 5] == pytest.approx(float(clearance(one_bar, one).gap), abs=1e-12)


def test_impossible_solids_are_refused() -> None:
    with pytest.raises(ValueError, match="lower"):
        Box([0, 0, 0], [1, 1, -1])
    with pytest.raises(ValueError, match="normal"):
        HalfSpace([0, 0, 0], [0, 0, 0])
    with pytest.raises(ValueError, match="axis"):
        Cylinder([0, 0, 0], [0, 0, 0], 0.1)
    for radius in (-0.1, float("nan"), float("inf")):
        with pytest.raises(ValueError, match="radius"):
            Capsule([0, 0, 0], [1, 0, 0], radius)
        with pytest.raises(ValueError, match="radius"):
            Cylinder([0, 0, 0], [1, 0, 0], radius)
