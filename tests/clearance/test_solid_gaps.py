"""Laws of the gap between any two solids, and of the smallest gap of many pairs over all poses."""

from dataclasses import replace
from itertools import combinations, combinations_with_replacement
from typing import Any

import numpy as np
import pytest
from sampling import sampled

from buildcheck.axle.rotation import rotation
from buildcheck.axle.vectors import Array
from buildcheck.clearance.cylinder_box import gap_apart
from buildcheck.clearance.nearest import Nearest, gaps_over, nearest
from buildcheck.clearance.solid_gaps import gap, nearest_points
from buildcheck.clearance.solids import Box, Capsule, Cylinder, HalfSpace, Solid

POSES = 80
KINDS = ("ball", "bar", "box", "cylinder", "half-space")
PAIRS = [pair for pair in combinations_with_replacement(KINDS, 2) if pair != ("half-space", "half-space")]
ROUND = [pair for pair in PAIRS if "box" not in pair]


def solid(kind: str, generator: np.random.Generator, spread: float = 0.6) -> Solid:
    """A random solid, some 0.5 m large, in POSES poses."""
    place = generator.uniform(-spread, spread, (3, POSES))
    one, two = place + generator.uniform(-0.3, 0.3, (2, 3, POSES))
    if kind == "ball":
        return Capsule(one, one, 0.1)
    if kind == "bar":
        return Capsule(one, two, 0.03)
    if kind == "box":
        return Box(np.minimum(one, two), np.maximum(one, two))
    if kind == "cylinder":
        return Cylinder(one, two, 0.2)
    return HalfSpace(one, two)


def pair(kinds: tuple[str, str], spread: float = 0.6) -> tuple[Solid, Solid]:
    generator = np.random.default_rng(len(kinds[0]) + 10 * len(kinds[1]))
    return solid(kinds[0], generator, spread), solid(kinds[1], generator, spread)


def mapped(body: Solid, attitude: Array, shift: Array, scale: float = 1.0) -> Solid:
    """A solid that is no box, turned, grown and then moved."""

    def point(field: Array) -> Array:
        return scale * (attitude @ field) + shift.reshape(3, -1)

    if isinstance(body, HalfSpace):
        return HalfSpace(point(np.asarray(body.point)), attitude @ np.asarray(body.normal))
    assert isinstance(body, Capsule | Cylinder)
    start = point(np.asarray(body.start))
    end = start if body.start is body.end else point(np.asarray(body.end))
    return type(body)(start, end, scale * body.radius)


@pytest.mark.parametrize("kinds", PAIRS, ids="-".join)
def test_neither_solid_comes_first(kinds: tuple[str, str]) -> None:
    one, two = pair(kinds, 0.25)
    ours, theirs = nearest_points(one, two), nearest_points(two, one)
    assert (ours.gap < 0).any()
    assert (ours.gap > 0).any()
    np.testing.assert_allclose(gap(one, two), gap(two, one), rtol=0, atol=1e-7)
    if "bar" not in kinds:  # of two bars that overlap either may be the one whose axis is measured
        np.testing.assert_allclose(ours.first, theirs.second, rtol=0, atol=1e-3)


@pytest.mark.parametrize("kinds", PAIRS, ids="-".join)
def test_nearest_points_stand_on_the_two_and_a_gap_apart(kinds: tuple[str, str]) -> None:
    one, two = pair(kinds)
    found = nearest_points(one, two)
    np.testing.assert_allclose(found.gap, gap(one, two), rtol=0, atol=3e-9)
    apart = np.sqrt(((found.first - found.second) ** 2).sum(axis=0))
    np.testing.assert_allclose(apart, np.abs(found.gap), rtol=0, atol=1e-6)
    on_first, on_second = one.distance(found.first), two.distance(found.second)
    np.testing.assert_allclose(on_second, 0.0, rtol=0, atol=1e-6)
    if isinstance(one, Capsule):  # of a bar whose axis enters the other the point may lie under its skin
        entered = found.gap <= -one.radius
        assert np.all(on_first[entered] < 1e-6)
        on_first = on_first[~entered]
    np.testing.assert_allclose(on_first, 0.0, rtol=0, atol=1e-6)
    # so that the gap of two that stand apart cannot be too large by more than this
    assert np.all((found.gap < 0) | (found.gap <= apart + 1e-12))


@pytest.mark.parametrize("kinds", ROUND, ids="-".join)
def test_turning_and_moving_both_leaves_the_gap_alone(kinds: tuple[str, str]) -> None:
    one, two = pair(kinds)
    attitude, shift = rotation(0.4, -1.1, 2.0), np.array([1.0, -2.0, 0.5])
    moved = gap(mapped(one, attitude, shift), mapped(two, attitude, shift))
    np.testing.assert_allclose(moved, gap(one, two), rtol=0, atol=1e-7)


@pytest.mark.parametrize("kinds", PAIRS, ids="-".join)
def test_moving_both_leaves_the_gap_alone(kinds: tuple[str, str]) -> None:
    one, two = pair(kinds)
    shift = np.array([[1.0], [-2.0], [0.5]])

    def moved(body: Solid) -> Solid:
        if isinstance(body, Box):
            return Box(np.asarray(body.lower) + shift, np.asarray(body.upper) + shift)
        return mapped(body, np.eye(3), shift[:, 0])

    np.testing.assert_allclose(gap(moved(one), moved(two)), gap(one, two), rtol=0, atol=1e-7)


@pytest.mark.parametrize("kinds", ROUND, ids="-".join)
def test_twice_the_size_is_twice_the_gap(kinds: tuple[str, str]) -> None:
    one, two = pair(kinds)
    grown = [mapped(body, np.eye(3), np.zeros(3), 2.0) for body in (one, two)]
    np.testing.assert_allclose(gap(grown[0], grown[1]), 2 * gap(one, two), rtol=0, atol=1e-6)


@pytest.mark.parametrize("other", ["bar", "box", "cylinder", "half-space"])
def test_thicker_bar_is_that_much_closer(other: str) -> None:
    bar, body = pair(("bar", other))
    assert isinstance(bar, Capsule)
    np.testing.assert_allclose(gap(bar, body) - gap(replace(bar, radius=0.05), body), 0.02, rtol=0, atol=1e-13)


@pytest.mark.parametrize("kinds", [("box", "cylinder"), ("cylinder", "cylinder"), ("box", "box")], ids="-".join)
def test_overlap_is_the_move_that_parts_the_two(kinds: tuple[str, str]) -> None:
    """Moved by as much along the line of its nearest points the two touch; less, and they still overlap."""
    one, two = pair(kinds, 0.2)
    found = nearest_points(one, two)
    lapping = found.gap < -1e-3
    assert lapping.sum() > POSES / 4
    move = found.second - found.first

    def moved(share: float) -> Array:
        if isinstance(one, Box):
            return gap(Box(np.asarray(one.lower) + share * move, np.asarray(one.upper) + share * move), two)
        assert isinstance(one, Cylinder)
        return gap(mapped(one, np.eye(3), share * move), two)

    np.testing.assert_allclose(moved(1.0)[lapping], 0.0, rtol=0, atol=1e-6)
    np.testing.assert_allclose(moved(0.9)[lapping], 0.1 * found.gap[lapping], rtol=0, atol=1e-6)
    assert np.all(moved(1.1)[lapping] > 0)


TYRE = Cylinder([0, -0.1, 0], [0, 0.1, 0], 0.4)
QUARTER = np.sqrt(0.5)


@pytest.mark.parametrize(
    ("one", "two", "expected"),
    [
        (TYRE, Box([0.5, -1, -1], [1, 1, 1]), 0.1),  # tread before a wall
        (TYRE, Box([0.4, -1, -1], [1, 1, 1]), 0.0),  # tread that touches a wall
        (TYRE, Box([0.37, -1, -1], [1, 1, 1]), -0.03),
        (TYRE, Box([-1, 0.1, -1], [1, 1, 1]), 0.0),  # side wall flat against a wall
        (TYRE, Box([-1, 0.15, -1], [1, 1, 1]), 0.05),
        (TYRE, Box([-1, 0.08, -1], [1, 1, 1]), -0.02),
        (TYRE, Box([0.4, 0.4, -1], [1, 1, 1]), 0.3),  # shoulder beside an upright edge: all along y
        (TYRE, Box([0.5, 0.5, -1], [1, 1, 1]), np.hypot(0.1, 0.4)),
        (TYRE, Box([0.4, 0.1, -1], [1, 1, 1]), 0.0),  # shoulder that touches an edge
        (TYRE, Box([0.3, -1, 0.3], [1, 1, 1]), 0.3 / QUARTER - 0.4),  # edge along the axis before the tread
        (TYRE, Box([0.27, -1, 0.27], [1, 1, 1]), 0.27 / QUARTER - 0.4),
        (TYRE, Box([-0.01, -0.01, -0.01], [0.01, 0.01, 0.01]), -0.11),  # swallowed
        (TYRE, Cylinder([1, -0.1, 0], [1, 0.1, 0], 0.4), 0.2),  # side by side
        (TYRE, Cylinder([0.8, -0.1, 0], [0.8, 0.1, 0], 0.4), 0.0),
        (TYRE, Cylinder([0.7, -0.1, 0], [0.7, 0.1, 0], 0.4), -0.1),
        (TYRE, Cylinder([0, 0.3, 0], [0, 0.4, 0], 0.2), 0.2),  # on one axis, flat to flat
        (TYRE, Cylinder([0, 0.1, 0], [0, 0.4, 0], 0.2), 0.0),
        (TYRE, Cylinder([1, 0.2, 0], [1, 0.4, 0], 0.4), np.hypot(0.2, 0.1)),  # rim to rim
        (TYRE, Cylinder([0.7, 0, 0], [1.7, 0, 0], 0.1), 0.3),  # end before the tread
        (TYRE, HalfSpace([0, 0, -0.5], [0, 0, 3]), 0.1),
        (TYRE, HalfSpace([0, 0, -0.4], [0, 0, 3]), 0.0),
        (TYRE, HalfSpace([0, 0.05, 0], [0, -1, 0]), -0.05),
        (TYRE, HalfSpace([0, 1, 1], [0, -1, -1]), (2 - 0.1 - 0.4) * QUARTER),
        (TYRE, Capsule([0.5, 0, 0], [0.5, 1, 0], 0.1), 0.0),
        (Box([0, 0, 0], [1, 1, 1]), Box([2, 3, 0], [4, 4, 1]), np.hypot(1, 2)),
        (Box([0, 0, 0], [1, 1, 1]), Box([1, 0, 0], [2, 1, 1]), 0.0),
        (Box([0, 0, 0], [1, 1, 1]), Box([0.9, 0.2, 0], [2, 1, 1]), -0.1),
        (Box([0, 0, 0], [1, 1, 0]), Box([0, 0, 0.5], [1, 1, 0.5]), 0.5),  # plates of no thickness
    ],
)
def test_by_hand(one: Solid, two: Solid, expected: float) -> None:
    found = nearest_points(one, two)
    assert found.gap.shape == ()
    assert float(found.gap) == pytest.approx(expected, abs=2e-9)
    assert float(gap(two, one)) == pytest.approx(expected, abs=2e-9)
    apart = np.sqrt(((found.first - found.second) ** 2).sum())
    assert float(apart) == pytest.approx(abs(expected), abs=1e-6)


def test_cylinder_and_box_that_stand_apart_are_told_at_once_as_the_iteration_tells_them() -> None:
    """In closed form, where it is proved; that is nearly everywhere, and nowhere where the two overlap."""
    one, two = pair(("box", "cylinder"), 0.7)
    assert isinstance(one, Box)
    assert isinstance(two, Cylinder)
    iterated, at_once = nearest_points(one, two).gap, gap_apart(two, one)
    told = np.isfinite(at_once)
    assert not told[iterated <= 0].any()
    assert told.sum() > 0.95 * (iterated > 0).sum() > 40
    np.testing.assert_allclose(at_once[told], iterated[told], rtol=0, atol=3e-9)


def test_thin_plate_through_the_shoulder_of_a_tyre_is_seen() -> None:
    """No edge of the plate is near, and the tyre sticks out on both sides of it."""
    plate = Box([-1, 0.06, -1], [1, 0.061, 1])
    start, end, lower, upper = (np.reshape(end, (3, 1)) for end in (TYRE.start, TYRE.end, plate.lower, plate.upper))
    assert np.isnan(gap_apart(Cylinder(start, end, 0.4), Box(lower, upper))).all()
    assert float(gap(TYRE, plate)) < -0.03


def test_two_half_spaces_have_no_gap() -> None:
    ground = HalfSpace([0, 0, 0], [0, 0, 1])
    with pytest.raises(ValueError, match="half-space"):
        gap(ground, ground)


def spoilt(body: Solid, lost: int) -> Solid:
    """The same solid with a pose that is not known."""
    name = {HalfSpace: "point", Box: "upper"}.get(type(body), "end")
    points = np.array(getattr(body, name))
    points[1, lost] = np.nan
    ball = isinstance(body, Capsule) and body.start is body.end
    return replace(body, **({"start": points, "end": points} if ball else {name: points}))


@pytest.mark.parametrize("kinds", PAIRS, ids="-".join)
def test_pose_that_is_not_known_has_no_gap_and_spoils_no_other(kinds: tuple[str, str]) -> None:
    one, two = pair(kinds)
    whole = nearest_points(one, two)
    lost = np.arange(POSES) == int(whole.gap.argmin())
    for found in (
        nearest_points(spoilt(one, int(lost.argmax())), two),
        nearest_points(one, spoilt(two, int(lost.argmax()))),
    ):
        np.testing.assert_array_equal(np.isnan(found.gap), lost)
        np.testing.assert_allclose(found.gap[~lost], whole.gap[~lost], rtol=0, atol=1e-12)


@pytest.mark.parametrize("kinds", PAIRS, ids="-".join)
def test_poses_and_locks_broadcast(kinds: tuple[str, str]) -> None:
    """A body (3, poses, 1) beside one (3, 1, locks): each gap is that of its own pair."""
    generator = np.random.default_rng(7)
    one, two = solid(kinds[0], generator), solid(kinds[1], generator)

    def shaped(body: Solid, index: Any) -> Solid:
        kept: dict[int, Array] = {}
        for name in body.__dataclass_fields__:
            if name != "radius":
                field = getattr(body, name)
                kept.setdefault(id(field), np.asarray(field)[index])
        names = [name for name in body.__dataclass_fields__ if name != "radius"]
        return replace(body, **{name: kept[id(getattr(body, name))] for name in names})

    every = slice(None)
    many = gap(shaped(one, (every, slice(4), None)), shaped(two, (every, None, slice(5))))
    assert many.shape == (4, 5)
    single = gap(shaped(one, (every, 2)), shaped(two, (every, 3)))
    assert single.shape == ()
    assert many[2, 3] == pytest.approx(float(single), abs=1e-8)


# Many pairs.


def test_gap_of_a_pair_in_every_pose_is_that_of_its_nearest_solids() -> None:
    parts = bodies(np.random.default_rng(3))
    pairs = list(combinations(parts, 2))
    bounded = 0
    for pair_of, gaps in zip(pairs, gaps_over(parts, pairs), strict=True):
        expected = by_brute_force(*(parts[name] for name in pair_of))
        found = np.broadcast_to(gaps, (12, 5))
        if np.ptp(found) == 0.0 and not np.allclose(found, expected, rtol=0, atol=1e-7):
            # The boxes of the two never meet: one lower bound for all poses.
            assert np.all((found > 0.0) & (found <= expected + 1e-7)), pair_of
            bounded += 1
        else:
            np.testing.assert_allclose(found, expected, rtol=0, atol=1e-7)
    assert 0 < bounded < len(pairs) / 2


def test_gap_beyond_what_is_asked_for_is_told_as_beyond_it() -> None:
    parts = bodies(np.random.default_rng(3))
    pairs = list(combinations(parts, 2))
    for whole, some in zip(gaps_over(parts, pairs), gaps_over(parts, pairs, beyond=0.1), strict=True):
        near = whole <= 0.1
        np.testing.assert_allclose(some[near], whole[near], rtol=0, atol=1e-8)
        assert np.all(some[~near] > 0.1 - 1e-12)
        assert np.all(some[~near] <= whole[~near] + 1e-8)


def bodies(generator: np.random.Generator) -> dict[str, list[Solid]]:
    """A tyre (poses, locks), an axle of two solids and bars (poses, 1), and parts that stand still."""
    poses, locks = 12, 5
    centre = np.array([0.0, 0.75, 0.0])[:, None, None] + generator.uniform(-0.1, 0.1, (3, poses, 1))
    angle = np.linspace(-0.6, 0.6, locks)
    half = 0.14 * np.stack([np.sin(angle), np.cos(angle), 0 * angle])[:, None]
    other = centre * np.array([1.0, -1.0, 1.0])[:, None, None]
    middle = (centre + other) / 2
    return {
        "tyre": [Cylinder(centre - half, centre + half, 0.45)],
        "axle": [Capsule(centre, other, 0.045), Capsule(middle, middle, 0.16)],
        "bar": [Capsule(np.array([0.1, 0.4, 0.2]), other + 0.1, 0.02)],
        "link": [Capsule(np.array([-0.9, 0.4, 0.1]), (centre + middle) / 2, 0.025)],
        "frame": [Box([-2, 0.35, 0.25], [2, 0.42, 0.4]), Box([-2, -0.42, 0.25], [2, -0.35, 0.4])],
        "can": [Cylinder([0.45, 0.5, 0.2], [0.6, 0.6, 0.5], 0.08)],
        "floor": [HalfSpace([0, 0, 0.65], [0, 0, -1])],
        "far": [Box([4, 4, 4], [5, 5, 5])],
    }


def by_brute_force(ones: list[Solid], twos: list[Solid]) -> Array:
    """All gaps, (poses, locks), of two bodies."""
    gaps = [np.broadcast_to(gap(one, two), (12, 5)) for one in ones for two in twos]
    return np.asarray(np.min(gaps, axis=0))


@sampled(1)
@pytest.mark.parametrize("seed", range(3))
def test_smallest_gap_of_every_pair_is_the_lowest_of_all_poses(seed: int) -> None:
    parts = bodies(np.random.default_rng(seed))
    pairs = list(combinations(parts, 2))
    found = nearest(parts, pairs)
    assert [(item.first, item.second) for item in found] == pairs
    for item in found:
        everywhere = by_brute_force(parts[item.first], parts[item.second])
        assert item.gap == pytest.approx(everywhere.min(), abs=1e-7)
        assert item.at is not None
        if len(item.at) == 2:
            assert everywhere[item.at] == pytest.approx(everywhere.min(), abs=1e-7)
        apart = np.sqrt(((item.points[0] - item.points[1]) ** 2).sum())
        assert apart == pytest.approx(abs(item.gap), abs=1e-6)
        assert (item.at_least, item.unknown) == (False, 0)


@sampled(2)
@pytest.mark.parametrize("beyond", [0.0, 0.05, 0.4, 3.0])
def test_culling_changes_no_gap_that_is_reported(beyond: float) -> None:
    parts = bodies(np.random.default_rng(0))
    pairs = list(combinations(parts, 2))
    culled = 0
    for whole, item in zip(nearest(parts, pairs), nearest(parts, pairs, beyond=beyond), strict=True):
        assert item.at_least == (whole.gap > beyond)
        if item.at_least:
            culled += 1
            assert beyond < item.gap <= whole.gap + 1e-12
            assert item.at is None
            assert np.isnan(item.points).all()
        else:
            assert (item.at, item.unknown) == (whole.at, whole.unknown)
            assert item.gap == pytest.approx(whole.gap, abs=1e-12)
            np.testing.assert_allclose(item.points, whole.points, rtol=0, atol=1e-12)
    assert 0 < culled < len(pairs)


def test_unknown_pose_is_counted_and_wins_nothing() -> None:
    parts = bodies(np.random.default_rng(0))
    (whole,) = nearest(parts, [("tyre", "frame")])
    assert whole.at is not None
    tyre = parts["tyre"][0]
    assert isinstance(tyre, Cylinder)
    end = np.array(tyre.end)
    end[2, whole.at[0], whole.at[1]] = np.nan
    found: Nearest
    (found,) = nearest({**parts, "tyre": [replace(tyre, end=end)]}, [("tyre", "frame")])
    everywhere = by_brute_force(parts["tyre"], parts["frame"])
    everywhere[whole.at] = np.inf
    assert found.unknown == 1
    assert found.at != whole.at
    assert found.gap == pytest.approx(everywhere.min(), abs=1e-7)


def test_half_a_body_that_is_not_known_makes_its_pose_unknown() -> None:
    near, far = np.array([[0.2, 0.5, 0.9]] * 3), np.array([[2.0, np.nan, 2.0]] * 3)
    axle: list[Solid] = [Capsule(near, near, 0.1), Capsule(far, far, 0.1)]
    wall: list[Solid] = [HalfSpace([0, 0, 0.4], [0, 0, 1])]
    (found,) = nearest({"axle": axle, "wall": wall}, [("axle", "wall")])
    assert (found.unknown, found.at) == (1, (0,))
    assert found.gap == pytest.approx(-0.3)


@pytest.mark.parametrize("beyond", [0.1, np.inf])
def test_body_that_is_nowhere_known_has_no_gap(beyond: float) -> None:
    nowhere = np.full((3, 4), np.nan)
    lost: list[Solid] = [Capsule(nowhere, nowhere, 0.1)]
    still: list[Solid] = [Box([0, 0, 0], [1, 1, 1])]
    (found,) = nearest({"lost": lost, "still": still}, [("lost", "still")], beyond=beyond)
    assert np.isnan(found.gap)
    assert (found.at, found.at_least, found.unknown) == (None, False, 4)
    with pytest.raises(KeyError):
        nearest({"lost": lost}, [("lost", "found")])


@pytest.mark.parametrize("pair", [("lost", "floor"), ("floor", "lost")])
def test_a_body_that_is_known_in_no_pose_is_unknown_also_against_a_half_space(pair: tuple[str, str]) -> None:
    """Neither has corners; their difference, infinity less infinity, used to warn, and a warning stops a rule."""
    lost = np.full((3, 4), np.nan)
    bodies = {"lost": [Capsule(lost, lost.copy(), 0.01)], "floor": [HalfSpace([0, 0, 0], [0, 0, 1])]}
    [found] = nearest(bodies, [pair])
    assert np.isnan(found.gap)
    assert (found.unknown, found.poses, found.at) == (4, 4, None)
    [gaps] = gaps_over(bodies, [pair])
    assert np.isnan(gaps).all()
