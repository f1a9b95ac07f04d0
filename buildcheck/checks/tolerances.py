"""The plus or minus of each reading, computed from the tolerances of the tape, the gauge and the scale.

Tolerances combine as the root of the sum of their squares, each times the sensitivity of the reading to it: the law of
propagation of uncertainty (JCGM 100:2008, Guide to the expression of uncertainty in measurement, clause 5.1.2; from
memory). A reading has hundreds of inputs, so they are not moved one by one. In each of 24 builds every input is off by
its whole tolerance, up or down, as in the design of R. L. Plackett and J. P. Burman (The design of optimum
multifactorial experiments, Biometrika 33, 1946; from memory): the mean square of the differences of a reading is that
sum, for inputs in different columns of the design. The inputs of one part, and of its twin on the other side, are in
different columns; some inputs of other parts share one. So the plus or minus of a reading that depends on many parts is
usually right to a tenth, and a quarter off at worst.

Each coordinate of a point has the tolerance of the tape. Directions of bolts, chosen values (travel, lock) and bought
parts (tubes, bolts, rates) are taken as exact.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from hashlib import blake2b
from types import MappingProxyType
from typing import Annotated, Any, get_args, get_origin

from buildcheck.build import Build, Missing, Part, Point, Side, Sides
from buildcheck.build.measured import Unreadable, measurements, read_measurement
from buildcheck.build.part import KnownBy, fields
from buildcheck.checks.readings import Name, known_by_name
from buildcheck.checks.rule import Reading
from buildcheck.job.layout import made_length
from buildcheck.spec.place import with_side

COLUMNS = 23  # a prime of the form 4 n - 1, so that the squares modulo it make a design of one more draw
DRAWS = COLUMNS + 1
_SQUARES = frozenset(number**2 % COLUMNS for number in range(COLUMNS))


class Tolerances:
    """The tolerances of one build's numbers, plus or minus, in SI, from `records`."""

    def __init__(self, build: Build) -> None:
        self._build = build
        self._records = build.records if build.has("records") else None

    @cached_property
    def general(self) -> Mapping[KnownBy, float]:
        """The tolerance of each tool, where it is stated."""
        return {tool: getattr(self._records, f"{tool}_tolerance") for tool in KnownBy if self._has(f"{tool}_tolerance")}

    @cached_property
    def measured(self) -> Mapping[str, float]:
        """The tolerance of each measurement that has one and can be read, by the spec path of what was measured."""
        found = {}
        for each in measurements(self._build):
            try:
                measured = read_measurement(self._build, each)
            except Unreadable:  # the rules on the records report it
                continue
            if measured.tolerance is not None:
                found[measured.of] = measured.tolerance
        return found

    @property
    def taken_as_exact(self) -> tuple[str, ...]:
        """The spec paths of the tolerances that are not stated; values measured with these tools count as exact."""
        return tuple(f"records.{tool}_tolerance" for tool in KnownBy if tool not in self.general)

    @property
    def stated(self) -> bool:
        """Whether the spec states any tolerance."""
        return bool(self.general or self.measured)

    def of(self, paths: Iterable[str], tool: KnownBy) -> float:
        """The tolerance of the number at the first of these spec paths that was measured, otherwise that of its tool; 0
        where the spec states none."""
        return next((self.measured[path] for path in paths if path in self.measured), self.general.get(tool, 0.0))

    def _has(self, name: str) -> bool:
        return self._records is not None and self._records.has(name)


def how_sure(
    readings: Sequence[Reading], build: Build, again: Callable[[Build], Iterable[Reading]]
) -> tuple[Reading, ...]:
    """The readings, with a plus or minus for each that has a number.

    `again` returns the readings of another build by the same rules. A reading that one of the draws does not give, as
    when the links no longer reach, is not known at all: its plus or minus is infinite. The readings of a build without
    stated tolerances get none.
    """
    tolerances = Tolerances(build)
    if not tolerances.stated:
        return tuple(readings)
    squares: dict[Name, list[float]] = {name: [] for name, _ in known_by_name(readings)}
    values = {name: reading.value for name, reading in known_by_name(readings)}
    for draw in range(DRAWS):
        for name, other in known_by_name(again(off_by_tolerance(build, tolerances, draw))):
            value = values.get(name)
            if value is not None and other.value is not None:
                squares[name].append((other.value - value) ** 2)
    return tuple(
        reading if reading.value is None else reading._replace(plus_or_minus=_root_mean(squares[name]))
        for name, reading in known_by_name(readings)
    )


def _root_mean(squares: Sequence[float]) -> float:
    return math.sqrt(math.fsum(squares) / DRAWS) if len(squares) == DRAWS else math.inf


def off_by_tolerance(build: Build, tolerances: Tolerances, draw: int) -> Build:
    """The build with every number off by its tolerance, including the made length of every link and bar.

    A link without a stated length is cut to the planned distance between its points, and does not change with a bracket
    tacked off its place. The direction depends only on the part's spec path and side, the number within the part, and
    the draw, so the order of the spec has no effect.
    """
    moved = _Moved(tolerances, draw).part(with_lengths(build))
    assert isinstance(moved, Build)
    return moved


def with_lengths(build: Build) -> Build:
    """The build with a length for every link and the lateral bar, where it is stated or their points are."""
    changed: dict[str, Any] = {}
    if build.has("links"):
        changed["links"] = {
            name: Sides(pair.path, {link.side: _with_length(link) for link in pair})
            for name, pair in build.links.items()
        }
    if build.has("lateral_bar"):
        changed["lateral_bar"] = _with_length(build.lateral_bar)
    return build.changed(**changed)


def _with_length(part: Any) -> Any:
    try:
        return part if part.has("length") else part.changed(length=made_length(part))
    except Missing:  # an end, which the rules report
        return part


class _Moved:
    """One draw: every piece of the build with its numbers moved."""

    def __init__(self, tolerances: Tolerances, draw: int) -> None:
        self._tolerances = tolerances
        self._draw = draw

    def part(self, part: Part) -> Part:
        """A part with its numbers moved, and the numbers of the parts in it."""
        hints = fields(type(part))
        coins = _coins(part, self._draw)
        return part.changed(
            **{name: self._value(hints[name], value, part, name, coins) for name, value in part.given().items()}
        )

    def _value(self, kind: Any, value: Any, owner: Part, name: str, coins: Iterator[int]) -> Any:
        if kind is Point:
            return Point(
                *(
                    coordinate + next(coins) * self._tolerance(owner, (name, axis), KnownBy.TAPE)
                    for axis, coordinate in value._asdict().items()
                )
            )
        marks = get_args(kind)
        if get_origin(kind) is Annotated and isinstance(marks[-1], KnownBy):
            moved = value + next(coins) * self._tolerance(owner, (name,), marks[-1])
            return moved if marks[-1] is KnownBy.GAUGE else max(moved, 0.0)  # a tape or a scale never reads below zero
        return self._held(value)

    def _held(self, value: Any) -> Any:
        if isinstance(value, Part):
            return self.part(value)
        if isinstance(value, Sides):
            return Sides(value.path, {part.side: self.part(part) for part in value})
        if isinstance(value, Mapping) and all(isinstance(each, Part | Sides) for each in value.values()):
            return MappingProxyType({name: self._held(each) for name, each in value.items()})
        if isinstance(value, tuple):
            return tuple(self._held(each) for each in value)
        return value

    def _tolerance(self, owner: Part, names: tuple[str, ...], tool: KnownBy) -> float:
        return self._tolerances.of(_paths(owner, names), tool)


def _coins(part: Part, draw: int) -> Iterator[int]:
    """The direction in which each number of a part is off, +1 or -1 in turn: its columns of the design.

    The two parts of a pair start half the design apart. Each pair has its own sign, for parts that still share columns.
    """
    pair = with_side(part.path, "both", instead_of=part.side.value)
    first, sign = blake2b(pair.encode(), digest_size=2).digest()
    across = COLUMNS // 2 + 1 if part.side is Side.RIGHT else 0
    way = 1 if sign & 1 else -1
    for column in itertools.count(first + across):
        up = draw < COLUMNS and (column + draw) % COLUMNS in _SQUARES
        yield way if up else -way


def _paths(owner: Part, names: tuple[str, ...]) -> Iterator[str]:
    """The spec paths that a measurement of a number may name: a coordinate before its point, a side before `both`."""
    for length in range(len(names), 0, -1):
        yield owner.own_path_of(*names[:length])
        yield owner.path_of(*names[:length])
