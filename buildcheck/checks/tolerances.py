"""The plus or minus of each reading, computed from the tolerances of the tape, the gauge and the scale.

Tolerances combine as the root of the sum of their squares, each times the sensitivity of the reading to it: the law of
propagation of uncertainty (JCGM 100:2008, Guide to the expression of uncertainty in measurement, clause 5.1.2; from
memory). A reading has hundreds of inputs. They are screened in 24 builds, in each of which every input is off by its
whole tolerance, up or down, as in the design of R. L. Plackett and J. P. Burman (The design of optimum multifactorial
experiments, Biometrika 33, 1946; from memory): the mean square of the differences of a reading is that sum, for inputs
in different columns of the design. The inputs of one part, and of its twin on the other side, are in different columns;
some inputs of other parts share one. So the plus or minus of a reading that depends on many parts is usually right to a
tenth, and a quarter off at worst. A reading that may be too near its limit to tell is then computed again with each
input moved alone, up and down, which is the sum itself and finds the input that it depends on most.

Each coordinate of a point has the tolerance of the tape. Directions of bolts, chosen values (travel, lock) and bought
parts (tubes, bolts, rates) are taken as exact. A tolerance that the spec does not state is assumed to be the usual one.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from hashlib import blake2b
from types import MappingProxyType
from typing import Annotated, Any, NamedTuple, get_args, get_origin

from buildcheck.build import Build, Missing, Part, Point, Side, Sides
from buildcheck.build.measured import Unreadable, measurements, read_measurement
from buildcheck.build.part import KnownBy, fields
from buildcheck.build.reads import Cell
from buildcheck.build.tools import USUAL_TOLERANCE, stated_tolerance, tolerance_of
from buildcheck.checks.engine import look_key
from buildcheck.checks.readings import Name, known_by_name, readings_of
from buildcheck.checks.rule import Reading, Rule
from buildcheck.job import Job, Unreached
from buildcheck.job.bodies import Pair
from buildcheck.job.gaps import NEAR
from buildcheck.job.layout import Assumption, made_length
from buildcheck.spec.place import with_side
from buildcheck.spec.quantity import Dimension

COLUMNS = 23  # a prime of the form 4 n - 1, so that the squares modulo it make a design of one more draw
DRAWS = COLUMNS + 1
_SQUARES = frozenset(number**2 % COLUMNS for number in range(COLUMNS))


TOOLS = {
    KnownBy.TAPE: ("plus or minus of points and lengths", Dimension.LENGTH),
    KnownBy.GAUGE: ("plus or minus of caster, kingpin inclination, toe, pinion and output", Dimension.ANGLE),
    KnownBy.SCALE: ("plus or minus of weights", Dimension.MASS),
}
USUAL_BASIS = "common practice, no source"

# A reading is looked at more closely where its margin is below this many times its plus or minus as screened, which may
# be a quarter off.
NEARLY = 1.5

# A gap that is listed at all is listed in a build within the tolerances too: there, gaps this much wider are, m.
WIDER = 0.05


class Tolerances:
    """The tolerances of one build's numbers, plus or minus, in SI, from `records`; where it states none, the usual
    ones."""

    def __init__(self, build: Build) -> None:
        self._build = build

    @cached_property
    def general(self) -> Mapping[KnownBy, float]:
        """The tolerance of each tool: as stated, otherwise the usual one."""
        return {tool: tolerance_of(self._build, tool) for tool in KnownBy}

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
    def assumed(self) -> tuple[Assumption, ...]:
        """The usual tolerances that take the place of those that the spec does not state."""
        return tuple(
            Assumption(f"records.{tool}_tolerance", what, USUAL_TOLERANCE[tool], dimension, basis=USUAL_BASIS)
            for tool, (what, dimension) in TOOLS.items()
            if stated_tolerance(self._build, tool) is None
        )

    def of(self, paths: Iterable[str], tool: KnownBy) -> float:
        """The tolerance of the number at the first of these spec paths that was measured, otherwise that of its
        tool."""
        return next((self.measured[path] for path in paths if path in self.measured), self.general[tool])


def how_sure(readings: Sequence[Reading], job: Job, rules: Sequence[Rule]) -> tuple[Reading, ...]:
    """The readings of a job by these rules, with a plus or minus for each that has a number.

    One that is near its limit also names the input that it depends on most. A reading that a build within the
    tolerances does not give, as when the links no longer reach, is not known at all: its plus or minus is infinite.
    """
    tolerances = Tolerances(job.build)
    cut = with_lengths(job.build)
    inputs = [*inputs_of(cut, tolerances)]
    measured = _measured(readings, job, rules, inputs)
    screened = _screened(readings, job, tolerances, rules, measured)
    near = {name: each for name, each in known_by_name(screened) if _nearly_too_near(each)}
    if not near:
        return screened
    wanted = {(each.rule, each.quantity) for each in near.values()}
    values = {name: each.value for name, each in near.items() if each.value is not None}
    effects = _one_by_one(values, cut, inputs, [*_only(rules, wanted)])
    return tuple(_known_by(each, effects[name]) if name in near else each for name, each in known_by_name(screened))


def _measured(
    readings: Iterable[Reading], job: Job, rules: Iterable[Rule], inputs: Iterable[Input]
) -> set[tuple[str, str]]:
    """The checks that have a number in these readings which depends on any input, by rule and name."""
    cells = {each.cell for each in inputs}
    numbers = {(each.rule, each.quantity) for each in readings if each.value is not None}
    return {
        (rule.name, check.name)
        for rule in rules
        for check in rule.checks
        if (rule.name, check.name) in numbers and not cells.isdisjoint(job.cells(look_key(rule, check)))
    }


def _only(rules: Iterable[Rule], wanted: Collection[tuple[str, str]]) -> Iterator[Rule]:
    """The rules with only the checks wanted, by rule and name, and those that these follow."""
    for rule in rules:
        names = {name for owner, name in wanted if owner == rule.name}
        waiting = [*names]
        while waiting:
            before = rule.named(waiting.pop()).follows
            waiting += [name for name in before if name not in names]
            names |= set(before)
        if names:
            yield replace(rule, checks=tuple(check for check in rule.checks if check.name in names))


def _nearly_too_near(reading: Reading) -> bool:
    spread = NEARLY * (reading.plus_or_minus or 0.0)
    margins = (each for each in (reading.margin, reading.error_margin) if each is not None)
    return math.isfinite(spread) and any(abs(margin) < spread for margin in margins)


def _screened(
    readings: Sequence[Reading],
    job: Job,
    tolerances: Tolerances,
    rules: Iterable[Rule],
    measured: Collection[tuple[str, str]],
) -> tuple[Reading, ...]:
    """The readings with their plus or minus from the draws of the design, of the checks `measured`; that of any other
    number is zero."""
    values = {name: each.value for name, each in known_by_name(readings) if each.value is not None}
    squares: dict[Name, list[float]] = {name: [] for name in values if _check_of(name) in measured}
    rules = [*_only(rules, measured)]
    listed = _pairs_of(job)
    for draw in range(DRAWS):
        moved = Job(off_by_tolerance(job.build, tolerances, draw), gaps_within=NEAR + WIDER, gaps_between=listed)
        for name, other in known_by_name(readings_of(rules, moved, changes=False)):
            if name in squares and other.value is not None:
                squares[name].append((other.value - values[name]) ** 2)
    spreads = {name: _root_mean(squares[name]) if name in squares else 0.0 for name in values}
    return tuple(reading._replace(plus_or_minus=spreads.get(name)) for name, reading in known_by_name(readings))


class Effect(NamedTuple):
    """The effect of one input on a value: the root mean square of its two differences with the input off upwards and
    downwards, since a size that is zero now grows either way; None where either gives no value."""

    path: str
    size: float | None


def _known_by(reading: Reading, effects: Sequence[Effect]) -> Reading:
    """The reading with its plus or minus from the effects of all inputs, and the input with the largest."""
    sizes = [each.size for each in effects if each.size is not None]
    if len(sizes) < len(effects):
        return reading._replace(plus_or_minus=math.inf)
    most = max(effects, key=lambda each: each.size or 0.0, default=None)
    total = math.sqrt(math.fsum(size**2 for size in sizes))
    return reading._replace(plus_or_minus=total, depends_on=most.path if most is not None and most.size else "")


def _one_by_one(
    values: Mapping[Name, float], build: Build, inputs: Iterable[Input], rules: Sequence[Rule]
) -> dict[Name, list[Effect]]:
    """For each of these values, readings of these rules, the effect of every input, each moved alone by its
    tolerance. An input on which a value does not depend has none."""
    job = _with_these_alone(values, build, rules)  # a changed job computes again only what its input affects
    cells = {(rule.name, check.name): job.cells(look_key(rule, check)) for rule in rules for check in rule.checks}
    effects: dict[Name, list[Effect]] = {name: [] for name in values}
    for path, value, tolerance, lowest, cell in inputs:
        dependent = [name for name in values if cell in cells[_check_of(name)]]
        above = _values_with(job, path, value + tolerance, rules, dependent)
        moved = [name for name in dependent if above[name] != values[name]]
        below = _values_with(job, path, max(value - tolerance, lowest), rules, moved)
        for name in moved:
            ends, now = (above[name], below[name]), values[name]
            known = [end - now for end in ends if end is not None]
            size = math.hypot(*known) / math.sqrt(2) if len(known) == len(ends) else None
            effects[name].append(Effect(path, size))
    return effects


def _with_these_alone(values: Mapping[Name, float], build: Build, rules: Sequence[Rule]) -> Job:
    """The job of the build with these values computed. Of the gaps it has only those that are among the values, since
    the gaps of all bodies take most of the time; it has all where any value would differ without."""
    job = Job(build, gaps_within=NEAR + WIDER)
    readings_of(rules, job, changes=False)
    pairs = _pairs_of(job, {*values.values()})
    alone = Job(build, gaps_within=NEAR + WIDER, gaps_between=pairs)
    found = {name: each.value for name, each in known_by_name(readings_of(rules, alone, changes=False))}
    for name, value in values.items():
        again = found.get(name)
        if again is None or not math.isclose(again, value, rel_tol=1e-12):
            return job
    return alone


def _pairs_of(job: Job, values: Collection[float] | None = None) -> frozenset[Pair] | None:
    """The pairs of bodies whose gap is listed, or is one of some values; None where the gaps are not known."""
    try:
        return frozenset(gap.pair for gap in job.gaps.all if values is None or gap.smallest.value in values)
    except (Missing, Unreached):
        return None


def _check_of(name: Name) -> tuple[str, str]:
    rule, _, _, quantity, _ = name
    return rule, quantity


def _values_with(
    job: Job, path: str, value: float, rules: Iterable[Rule], names: Collection[Name]
) -> dict[Name, float | None]:
    """The values of these readings with another value at a spec path; None for one that is then not known."""
    if not names:
        return {}
    changed = job.of(job.build.with_value(path, value))
    found = known_by_name(readings_of(_only(rules, {*map(_check_of, names)}), changed, changes=False))
    values = {name: each.value for name, each in found}
    return {name: values.get(name) for name in names}


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
        tool = _tool_of(kind)
        if tool is not None:
            moved = value + next(coins) * self._tolerance(owner, (name,), tool)
            return moved if tool is KnownBy.GAUGE else max(moved, 0.0)  # a tape or a scale never reads below zero
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


class Input(NamedTuple):
    """A number of the build that is measured: its spec path, its value and tolerance, SI, the lowest that its tool can
    read, and the field that holds it."""

    path: str
    value: float
    tolerance: float
    lowest: float
    cell: Cell


def inputs_of(held: Any, tolerances: Tolerances) -> Iterator[Input]:
    """Every number of a build, a part or a collection of parts that is measured with a tolerance."""
    if isinstance(held, Part):
        hints = fields(type(held))
        for name, value in held.given().items():
            if isinstance(value, Point):
                for axis, coordinate in value._asdict().items():
                    tolerance = tolerances.of(_paths(held, (name, axis)), KnownBy.TAPE)
                    path = f"{held.own_path_of(name)}.{axis}"
                    yield Input(path, coordinate, tolerance, -math.inf, (held.path, name))
            elif (tool := _tool_of(hints[name])) is not None:
                lowest = -math.inf if tool is KnownBy.GAUGE else 0.0
                tolerance = tolerances.of(_paths(held, (name,)), tool)
                yield Input(held.own_path_of(name), value, tolerance, lowest, (held.path, name))
            else:
                yield from inputs_of(value, tolerances)
    elif isinstance(held, Sides | tuple) and not isinstance(held, Point):
        for each in held:
            yield from inputs_of(each, tolerances)
    elif isinstance(held, Mapping):
        for each in held.values():
            yield from inputs_of(each, tolerances)


def _tool_of(kind: Any) -> KnownBy | None:
    marks = get_args(kind) if get_origin(kind) is Annotated else ()
    return next((mark for mark in marks if isinstance(mark, KnownBy)), None)


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
