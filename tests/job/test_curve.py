"""The slope of a quantity along a line, against derivatives that come another way; and the least of several spots."""

import math
from pathlib import Path

import numpy as np
import pytest

from buildcheck.axle.handling import slopes_over
from buildcheck.build import read_build
from buildcheck.job import Curve, Job, Line, PoseName, Spot, Unreached, least
from buildcheck.spec.document import read_file

TAMARACK = Path(__file__).parents[2] / "examples" / "tamarack" / "proposal.buildcheck.yaml"


def job() -> Job:
    return Job(read_build(read_file(TAMARACK).data))


def line(places: np.ndarray) -> Line:
    return Line("a line", places, places, 0 * places, np.arange(len(places)), len(places), "one end", "the other")


def test_polynomials_of_the_sixth_degree_are_exact_on_uneven_places() -> None:
    places = np.sort(np.random.default_rng(1).uniform(-1, 1, 17))
    values = np.polyval([0.7, -1.1, 0.3, 2.0, -0.4, 0.9, 0.2], places)
    wanted = np.polyval(np.polyder([0.7, -1.1, 0.3, 2.0, -0.4, 0.9, 0.2]), places)
    np.testing.assert_allclose(Curve(values, line(places)).slope().values, wanted, rtol=0, atol=1e-9)


@pytest.mark.parametrize("count", [2, 3, 4])
def test_with_fewer_poses_it_is_the_polynomial_through_them_all(count: int) -> None:
    places = np.array([-0.3, 0.1, 0.2, 0.9])[:count]
    coefficients = np.arange(1.0, count + 1)
    found = Curve(np.polyval(coefficients, places), line(places)).slope().values
    np.testing.assert_allclose(found, np.polyval(np.polyder(coefficients), places), rtol=0, atol=1e-12)


def test_a_pose_out_of_reach_spoils_its_neighbours_and_no_other() -> None:
    places = np.linspace(0, 1, 21)
    values = places**2
    values[15] = np.nan
    found = Curve(values, line(places)).slope().values
    assert np.flatnonzero(np.isnan(found)).tolist() == [12, 13, 14, 15, 16, 17, 18, 19, 20]
    np.testing.assert_allclose(found[:12], 2 * places[:12], rtol=0, atol=1e-12)


def test_where_poses_fall_on_one_another_there_is_no_slope() -> None:
    """As where a change takes all of the bump travel away. Poses just apart have one."""
    places = np.concatenate([np.linspace(-1, 0, 21), np.zeros(20)])
    with pytest.raises(Unreached, match="part of a line has no length, so nothing changes along it"):
        Curve(places, line(places)).slope()
    apart = np.arange(41) * 2e-12
    np.testing.assert_allclose(Curve(apart, line(apart)).slope().values, 1.0, rtol=1e-9)


@pytest.mark.parametrize("name", ["travel", "bump", "droop"])
def test_the_slope_of_yaw_is_the_exact_derivative_of_the_motion(name: str) -> None:
    """By the derivatives of the equations of the pose, which no difference enters."""
    build = job()
    way = getattr(build.lines, name)
    exact = slopes_over(build.moving.poses, build._resting.rest.layout).heave.yaw[way.picks]
    sign = 1.0 if way.heave[-1] > way.heave[0] else -1.0
    found = build.axle_yaw(way).slope().values
    np.testing.assert_allclose(found, sign * exact, rtol=0, atol=1e-6)


def test_bump_steer_rate_is_the_derivative_of_steer() -> None:
    """Beside central differences of a finer motion, extrapolated twice: another way to the same number."""
    build = job()
    way = build.lines.travel

    def difference(step: float) -> np.ndarray:
        up, down = (build.moved(way.heave + side * step, way.roll).knuckle.steer for side in (1, -1))
        return np.asarray((up - down) / (2 * step))

    coarse, fine, finest = (difference(step) for step in (4e-3, 2e-3, 1e-3))
    better = [(4 * b - a) / 3 for a, b in ((coarse, fine), (fine, finest))]
    wanted = (16 * better[1] - better[0]) / 15
    found = build.steer(way).slope().values
    np.testing.assert_allclose(found, wanted, rtol=0, atol=1e-6 * np.max(np.abs(wanted)))


@pytest.mark.parametrize(("name", "value", "at"), [("largest", 4.0, 3), ("smallest", -3.0, 1), ("spread", 7.0, 3)])
def test_a_value_is_without_the_poses_that_have_none_and_says_how_many(name: str, value: float, at: int) -> None:
    places = np.arange(6.0)
    values = np.array([1.0, -3.0, np.nan, 4.0, np.nan, np.nan])
    spot = getattr(Curve(values, line(places)), name)
    assert (spot.value, spot.pose.heave) == (value, places[at])
    assert spot.without == ("3 of 6 poses of a line are missing: they could not be solved",)
    known = getattr(Curve(np.nan_to_num(values), line(places)), name)
    assert (known.value, known.without) == (value, ())
    with pytest.raises(Unreached):
        getattr(Curve(np.full(6, np.nan), line(places)), name)


def test_what_a_stop_would_end_is_partial_where_the_axle_does_not_come_so_far() -> None:
    """The poses from 3 on are out of reach; at 3 the stated way would have two more."""
    curve = Curve(np.array([5.0, 4.0, 3.0, np.nan, np.nan]), line(np.arange(5.0)))
    assert curve.at_end(1.0).without == ()
    assert curve.at_end(2.0).without == ("2 of 5 poses of a line are missing: they could not be solved",)
    assert curve.at(2.0).without == ()
    whole = Curve(np.array([5.0, 4.0, 3.0, 2.0, 1.0]), line(np.arange(5.0)))
    assert whole.at_end(4.0).without == ()


def test_arithmetic_keeps_what_a_spot_is_without() -> None:
    partial, other = Spot(2.0, without=("3 of 6 poses",)), Spot(1.0, without=("1 of 2 poses",))
    for spot in (abs(partial), -partial, partial - 1.0, 1.0 - partial, partial / 2, partial - Spot(1.0)):
        assert spot.without == ("3 of 6 poses",)
    assert (partial - other).without == ("3 of 6 poses", "1 of 2 poses")
    assert least([partial, Spot(0.5)]) == Spot(0.5, without=("3 of 6 poses",))
    assert least([partial, partial]).without == ("3 of 6 poses",)


def test_the_least_of_several_spots_keeps_its_pose_and_a_nan_comes_first() -> None:
    here, there = Spot(2.0, PoseName(0.1, 0.0, "here")), Spot(1.0, PoseName(0.0, 0.2, "there"))
    assert least([here, there]) is there
    assert least(iter([here])) is here
    assert math.isnan(least([there, Spot(math.nan), here]).value)
    with pytest.raises(ValueError, match="empty"):
        least([])


def test_of_poses_that_tie_but_for_rounding_the_one_nearest_ride_height_is_named() -> None:
    places = np.linspace(-0.1, 0.1, 5)
    level = Curve(np.array([1.0 + 1e-13, 1.0, 1.0, 1.0, 1.0 + 2e-13]), line(places))
    assert {spot.pose.heave for spot in (level.largest, level.smallest, level.farthest_from_zero) if spot.pose} == {0.0}
    mirrored = Curve(np.array([1.0, 0.5, 0.0, 0.5, 1.0 + 1e-13]), line(places))
    assert mirrored.largest.pose == PoseName(-0.1, 0.0, "one end")  # as near as "the other", and first by name
    clear = Curve(np.array([1.0 + 1e-6, 1.0, 1.0, 1.0, 1.0]), line(places))
    assert clear.largest.pose == PoseName(-0.1, 0.0, "one end")
