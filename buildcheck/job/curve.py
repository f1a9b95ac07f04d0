"""A quantity over the travel, and the single values that rules read from it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from buildcheck.build import Missing
from buildcheck.spec.quantity import Dimension

Array = NDArray[np.float64]


class Unreached(Exception):
    """The motion has no result in a requested pose; the message gives the reason in plain words."""


class PoseName(NamedTuple):
    """A pose of the axle: rise of its centre (m) and roll (rad), left side up positive. `name` is the usual name of the
    pose, or empty; `lock` is the angle of the inner wheel (rad, to the left positive; see `swing_to`)."""

    heave: float
    roll: float
    name: str = ""
    lock: float = 0.0


class Amounts(NamedTuple):
    """The two amounts of a share, SI, and their dimension."""

    measured: float
    against: float
    dimension: Dimension


@dataclass(frozen=True, slots=True)
class Spot:
    """A number, SI, and its pose (None for a number that belongs to no single pose).

    `without` lists in words what could not be evaluated, each once: how many of how many poses, or what the spec lacks.
    The number is then partial, and a limit that it does not break is not checked. `missing` are the spec paths that the
    spec lacks. `why` gives in a few words the consequence of the number, where that depends on the case. `dimension` is
    that of the number, where known: a limit of another dimension refuses it. `amounts` are the two of which a share is
    the ratio. `tolerance` is that of the readings compared in it, left with right or measured with planned: a limit is
    wider by that much. `case` says in words in which load it is the largest: `in the load case braking`; empty for a
    number that does not come of the load cases.
    """

    value: float
    pose: PoseName | None = None
    without: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    why: str = ""
    dimension: Dimension | None = None
    amounts: Amounts | None = None
    tolerance: float = 0.0
    case: str = ""

    def leaving_out(self, *reasons: Missing | Unreached | None) -> Spot:
        """Return the number as the worst of what could be evaluated. Each reason says what could not be, and why; None
        means that nothing of that kind is left out."""
        given = [reason for reason in reasons if reason is not None]
        without = dict.fromkeys((*self.without, *map(str, given)))
        paths = dict.fromkeys((*self.missing, *(each.path for each in given if isinstance(each, Missing))))
        return replace(self, without=tuple(without), missing=tuple(paths))

    def lacking(self, *paths: str) -> Spot:
        """Return the number as the worst of what could be evaluated without some values of the spec."""
        return self.leaving_out(*map(Missing, paths))

    def partial_as(self, *others: Spot) -> Spot:
        """Return the number without everything that other numbers, from which it is made, are without."""
        return partial_as(self, *others)

    def because(self, why: str) -> Spot:
        """Return the number with its consequence in words."""
        return replace(self, why=why)

    def under(self, case: str) -> Spot:
        """Return the number as that of a load in words, which decides it."""
        return replace(self, case=case)

    def within(self, tolerance: float) -> Spot:
        """Return the number as a difference of readings that have a tolerance between them, SI: the limit is wider by
        it."""
        return replace(self, tolerance=tolerance)

    def __abs__(self) -> Spot:
        return replace(self, value=abs(self.value))

    def __neg__(self) -> Spot:
        return replace(self, value=-self.value)

    def __sub__(self, other: Spot | float) -> Spot:
        if isinstance(other, Spot):
            if None not in (self.dimension, other.dimension) and self.dimension is not other.dimension:
                raise TypeError(f"{other.dimension} taken from {self.dimension}: these are different dimensions")
            return replace(partial_as(self, other), value=self.value - other.value)
        return replace(self, value=self.value - other)

    def __rsub__(self, other: float) -> Spot:
        return replace(self, value=other - self.value)

    def __truediv__(self, other: Spot | float) -> Spot:
        """Divide the number by another. The ratio of two spots has no dimension, so that no limit of a length applies
        to it."""
        if isinstance(other, Spot):
            return replace(partial_as(self, other), value=self.value / other.value, dimension=None)
        return replace(self, value=self.value / other, dimension=None)


def least(spots: Iterable[Spot]) -> Spot:
    """Return the spot of the smallest value, over several lines or of several parts.

    NaN counts as smaller than any number, so that it is reported and not passed over. The poses that any of the spots
    is without could hold a smaller value, so the result is without them too. Raises ValueError where there are no
    spots.
    """
    offered = list(spots)
    found = min(offered, key=lambda spot: -math.inf if math.isnan(spot.value) else spot.value)
    return partial_as(found, *offered)


def partial_as(spot: Spot, *others: Spot) -> Spot:
    """Return a spot that is without everything that any of several spots is without, each listed once."""
    without = dict.fromkeys(words for each in (spot, *others) for words in each.without)
    if tuple(without) == spot.without:
        return spot
    missing = dict.fromkeys(path for each in (spot, *others) for path in each.missing)
    return replace(spot, without=tuple(without), missing=tuple(missing))


def poses_missing(known: NDArray[np.bool_], whose: str, why: str) -> tuple[str, ...]:
    """Sentence of a partial value on how many of the poses are not known; empty where all are."""
    missing = known.size - int(np.count_nonzero(known))
    return (f"{missing} of {known.size} poses of {whose} are missing: {why}",) if missing else ()


# Values that differ by no more than this share of the largest are equal but for rounding.
TIED = 1e-9


class Line(NamedTuple):
    """Poses in sequence as the axle is cycled, for example from full droop to full bump.

    `parameter` rises along the line: heave in metres, or roll in radians. `declared` is the number of its poses within
    the travel that the spec states; the rest continue beyond it, to find what would stop the axle there. `picks` are
    the indices of these poses among all poses of the job.
    """

    name: str
    parameter: Array
    heave: Array
    roll: Array
    picks: NDArray[np.intp]
    declared: int
    start_name: str
    end_name: str

    def pose(self, parameter: float) -> PoseName:
        """Return the pose at a place along the line, with its usual name if it has one."""
        heave = float(np.interp(parameter, self.parameter, self.heave))
        roll = float(np.interp(parameter, self.parameter, self.roll))
        return PoseName(heave, roll, self._name(parameter))

    def pose_at(self, index: int) -> PoseName:
        """Return the pose with this index along the line, with its usual name if it has one."""
        return PoseName(float(self.heave[index]), float(self.roll[index]), self._name(float(self.parameter[index])))

    def _name(self, parameter: float) -> str:
        start, end = float(self.parameter[0]), self.end
        if abs(start - parameter) < SAME_NAME and start != end:
            return self.start_name
        if abs(end - parameter) < SAME_NAME:
            return self.end_name
        within = start != 0.0 != end and abs(parameter) < SAME_NAME
        return "ride height" if within and not self.roll.any() else ""

    @property
    def end(self) -> float:
        """Parameter at which the stated travel ends."""
        return float(self.parameter[self.declared - 1])


class Curve(NamedTuple):
    """A quantity in every pose of a line; SI. Poses that the axle cannot reach hold NaN. `dimension` is that
    of the quantity, where known."""

    values: Array
    line: Line
    dimension: Dimension | None = None

    def at(self, parameter: float) -> Spot:
        """The quantity at a place along the line.

        Between two poses it is interpolated by the parabola through the three nearest ones. Raises Unreached where the
        axle cannot go.
        """
        value = _parabola(self.line.parameter, self.values, parameter)
        return Spot(self._reached(value, parameter), self.line.pose(parameter), dimension=self.dimension)

    def at_end(self, parameter: float) -> Spot:
        """Return the quantity where something, such as a stop, ends the motion. If that is the last pose reached, short
        of the stated end, no such thing is known: the spot is then without the poses beyond it."""
        spot = self.at(parameter)
        known = np.isfinite(self.values[: self.line.declared])
        last = int(known.argmin()) - 1
        cut = not known.all() and parameter >= self.line.parameter[last]
        return replace(spot, without=self._without()) if cut else spot

    @property
    def ride(self) -> Spot:
        """The quantity at ride height; the line must pass through it."""
        return self.at(0.0)

    @property
    def start(self) -> Spot:
        """The quantity at the first pose of the line."""
        return self.at(float(self.line.parameter[0]))

    @property
    def end(self) -> Spot:
        """The quantity where the stated travel ends."""
        return self.at(self.line.end)

    @property
    def largest(self) -> Spot:
        """The spot of the largest value within the stated travel."""
        return self._worst(lambda values: values)

    @property
    def smallest(self) -> Spot:
        """The spot of the smallest value within the stated travel."""
        return self._worst(np.negative)

    @property
    def farthest_from_zero(self) -> Spot:
        """The spot within the stated travel whose value, of either sign, is largest in size."""
        return self._worst(np.abs)

    @property
    def spread(self) -> Spot:
        """Largest minus smallest value within the stated travel, with the pose farthest from zero."""
        return replace(self.farthest_from_zero, value=self.largest.value - self.smallest.value)

    def from_ride(self) -> Curve:
        """Change of the quantity from ride height; the line must pass through it."""
        return self._replace(values=self.values - self.ride.value)

    def slope(self) -> Curve:
        """Rate of change of the quantity along the line, per unit of its parameter (m or rad).

        In each pose it is the slope of the sixth-degree polynomial through the seven nearest poses. Raises Unreached
        where poses of the line coincide, as for zero travel.
        """
        if (np.diff(self.line.parameter) < SAME_PLACE).any():
            raise Unreached(f"part of {self.line.name} has no length, so nothing changes along it")
        nearest, weights = _slope_by_nearest(self.line.parameter.tobytes())
        return self._replace(values=(self.values[nearest] * weights).sum(axis=1), dimension=None)

    def first_reaches(self, level: float) -> float | None:
        """Parameter at which the quantity first reaches a level, along the line from its start.

        None when it does not reach it before the line ends or the axle can go no further. The crossing is that of the
        parabola through the three nearest poses.
        """
        above = self.values - level
        known = np.isfinite(above)
        last = int(known.argmin()) if not known.all() else len(above)
        if last == 0:
            raise Unreached(f"the axle cannot reach the start of {self.line.name}")
        if above[0] == 0.0:
            return float(self.line.parameter[0])
        crossed = np.flatnonzero(np.sign(above[1:last]) != np.sign(above[0]))
        if not len(crossed):
            return None
        return _crossing(self.line.parameter, above, int(crossed[0]), last)

    def first_at_least(self, level: float) -> float | None:
        """Parameter at which the quantity is first as large as a level; the start, if it already is there."""
        return self._begins() if self.values[0] >= level else self.first_reaches(level)

    def first_at_most(self, level: float) -> float | None:
        """Parameter at which the quantity is first as small as a level; the start, if it already is there."""
        return self._begins() if self.values[0] <= level else self.first_reaches(level)

    def _begins(self) -> float:
        return float(self.line.parameter[0])

    @property
    def farthest(self) -> float:
        """Parameter of the last pose that the axle can reach without a break, perhaps beyond the stated travel."""
        known = np.isfinite(self.values)
        last = len(known) - 1 if known.all() else int(known.argmin()) - 1
        if last < 0:
            raise Unreached(f"the axle cannot reach the start of {self.line.name}")
        return float(self.line.parameter[last])

    def _worst(self, rank: Callable[[Array], Array]) -> Spot:
        """Return the spot of the highest rank of the poses with a value within the stated travel; raises Unreached
        where none has. Poses that tie but for rounding give the one nearest to ride height, then the first by name."""
        within = self.values[: self.line.declared]
        known = np.isfinite(within)
        if not known.any():
            self._reached(float("nan"), float(self.line.parameter[0]))
        ranks = np.asarray(rank(within[known]))
        tied = np.flatnonzero(known)[ranks >= ranks.max() - TIED * np.abs(ranks).max()]
        index = min(map(int, tied), key=self._from_ride_height)
        return Spot(float(within[index]), self.line.pose_at(index), self._without(), dimension=self.dimension)

    def _from_ride_height(self, index: int) -> tuple[float, float, str]:
        """Key by which poses are nearer to ride height: height, roll, then the name; both to the micrometre or -radian,
        so that rounding decides nothing."""
        pose = self.line.pose_at(index)
        return round(abs(pose.heave), 6), round(abs(pose.roll), 6), pose.name

    def _without(self) -> tuple[str, ...]:
        """Sentence on how many poses within the stated travel have no value; empty where all have one."""
        missing = int(np.count_nonzero(~np.isfinite(self.values[: self.line.declared])))
        if not missing:
            return ()
        return (f"{missing} of {self.line.declared} poses of {self.line.name} are missing: they could not be solved",)

    def _reached(self, value: float, parameter: float) -> float:
        if not np.isfinite(value):
            name = self.line.pose(parameter).name or f"all of {self.line.name}"
            raise Unreached(f"the axle cannot reach {name}")
        return value


def _parabola(parameters: Array, values: Array, at: float) -> float:
    """Value at `at` of the parabola through the three nearest poses; exact at a pose."""
    near = min(max(int(parameters.searchsorted(at)) - 1, 0), max(len(parameters) - 3, 0))
    return _lagrange(parameters[near : near + 3].tolist(), values[near : near + 3].tolist(), at)


def _lagrange(places: list[float], values: list[float], at: float) -> float:
    # Plain numbers: for three of them an array call costs more than the arithmetic.
    a, b, c = places
    u, v, w = values
    for place, value in zip(places, values, strict=True):
        if abs(place - at) < SAME_PLACE:
            return value
    return (
        u * (at - b) * (at - c) / ((a - b) * (a - c))
        + v * (at - a) * (at - c) / ((b - a) * (b - c))
        + w * (at - a) * (at - b) / ((c - a) * (c - b))
    )


SEVEN = 7


@lru_cache(maxsize=64)  # every line of a spec's travel, and of its variants with other travel
def _slope_by_nearest(parameters: bytes) -> tuple[NDArray[np.intp], Array]:
    """Indices and weights of the poses that give the slope in each pose: (poses, 7) each, fewer where there are fewer.

    The slope at a node of Lagrange's polynomial through unevenly spaced nodes x: the weight of another node j at node i
    is (w_j / w_i) / (x_i - x_j) with w_j = 1 / product over k of (x_j - x_k), and that of node i itself is minus the
    sum of the others. Source: J.-P. Berrut and L. N. Trefethen, Barycentric Lagrange interpolation, SIAM Review 46
    (2004), section 9.3; from memory.
    """
    places = np.frombuffer(parameters)
    count = min(SEVEN, len(places))
    first = np.clip(np.arange(len(places)) - count // 2, 0, len(places) - count)
    nearest = first[:, None] + np.arange(count)
    apart = places[nearest][:, :, None] - places[nearest][:, None, :]
    apart[:, range(count), range(count)] = 1.0
    barycentric = 1.0 / apart.prod(axis=2)
    own = np.arange(len(places)) - first
    rows = np.arange(len(places))
    weights = barycentric / barycentric[rows, own][:, None] / apart[rows, own]
    weights[rows, own] = 0.0
    weights[rows, own] = -weights.sum(axis=1)
    return nearest, weights


# Two places along a line that are nearer than this (m or rad) count as the same pose.
SAME_PLACE = 1e-12

# A place that is nearer than this to a pose with a usual name gets that name.
SAME_NAME = 1e-9


def _crossing(parameters: Array, above: Array, before: int, last: int) -> float:
    """Parameter at which the parabola through three poses crosses zero between poses `before` and `before + 1`, between
    which the sign changes; with fewer than three poses, that of the straight line."""
    low, high = float(parameters[before]), float(parameters[before + 1])
    at_low, at_high = float(above[before]), float(above[before + 1])
    straight = low - at_low * (high - low) / (at_high - at_low)
    third = before + 2 if before + 2 < last else before - 1
    if third < 0:
        return straight
    # Newton's form: at_low + slope (x - low) + bend (x - low)(x - high) = 0, with t = x - low.
    slope = (at_high - at_low) / (high - low)
    other = float(parameters[third])
    bend = ((float(above[third]) - at_high) / (other - high) - slope) / (other - low)
    linear = slope - bend * (high - low)
    root = math.sqrt(max(linear * linear - 4.0 * bend * at_low, 0.0))
    # The form of the quadratic's root that avoids cancellation where the bend is slight.
    t = -2.0 * at_low / (linear + math.copysign(root, linear))
    return min(max(low + t, low), high)
