"""buildcheck for Python programs: inspect, cycle, loads and sweep, each on a `Spec`.

Arguments are values as a spec states them: a number in the units of the spec, or text with a unit. Results are SI, and
also in the units of the shop.
"""

from __future__ import annotations

import os
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import islice
from numbers import Real
from typing import Any

import numpy as np
from numpy.typing import NDArray

from buildcheck.build import Missing, Stage
from buildcheck.checks import inspection as inspecting
from buildcheck.checks.inspection import WITHOUT_CHECKS, Inspection
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading as Record
from buildcheck.checks.rule import Rule as RuleOf
from buildcheck.checks.standard import Standard
from buildcheck.checks.standard_chain import NotUsable, written
from buildcheck.checks.standard_file import read_standard
from buildcheck.job import Job
from buildcheck.job.curve import Array
from buildcheck.job.cycle import heave_of, over_travel
from buildcheck.job.load_table import LoadTable
from buildcheck.job.named_quantity import Absent, Quantity
from buildcheck.job.quantities import quantities, values_or_absent
from buildcheck.library.spec import PLUGINS, SPEC, Spec, SpecProblems
from buildcheck.output import lines, words
from buildcheck.plugins.loading import Collected, PluginFailure, load_rule_files, usual
from buildcheck.plugins.standard_output import prints_to_standard_error
from buildcheck.spec.arguments import FILE, NONE, TEXT, TRUE_OR_FALSE, WHOLE, Kind, instance, refuse_any, refuse_unfit
from buildcheck.spec.document import Unreadable, read_file
from buildcheck.spec.names import no_such
from buildcheck.spec.quantity import Dimension, System, parse, usual_scale, usual_unit

_QUANTITY = instance("the name of a quantity", str)

ALSO_CALLED = {"bump-steer": "steer"}
"""Other trade names of quantities."""


def load_plugins(*files: str | os.PathLike[str]) -> Collected:
    """Load the built-in rules, the installed plugins and, after them, rule files.

    This runs the code of the files. Their print output goes to standard error. A plugin that cannot be used raises
    nothing: it is listed in `failures`, and in the failures of every inspection with it.
    """
    for file in files:
        refuse_unfit("load_plugins()", file, FILE)
    with prints_to_standard_error():
        return load_rule_files([os.fspath(file) for file in files], after=usual()) if files else usual()


# Inspection.


@dataclass(frozen=True)
class Reading:
    """One reading of a spec. Its text gives, in the units of the spec, the value found, the value wanted, the
    difference, the change to make and its place; `record` holds the same in SI."""

    spec: Spec
    record: Record

    def __str__(self) -> str:
        record = self.record
        about = words.title(record) if record.quantity else words.subject(record)
        kind = record.verdict.value
        if record.failure:
            said = f"{about}: {record.failure}; rule {record.rule}"
        elif record.verdict is Verdict.NOT_CHECKED:
            said = f"{about}: {record.reason}; rule {record.rule}"
        elif not record.quantity:
            said = f"{about}: rule {record.rule} does not apply: {record.reason}"
        else:
            said = "; ".join(lines.parts(self.spec, record))
        return words.printable(f"{kind}: {said}")

    def __repr__(self) -> str:
        return f"<Reading {str(self)!r}>"

    @property
    def rule(self) -> str:
        """The name of the rule."""
        return self.record.rule

    @property
    def limit(self) -> str:
        """The name of its limit or requirement; empty where nothing was compared."""
        return self.record.quantity

    @property
    def subject(self) -> str:
        """The subject: `left arm, frame joint`."""
        return words.subject(self.record)

    @property
    def verdict(self) -> Verdict:
        """ok, warning, error, not checked or waived."""
        return self.record.verdict

    @property
    def value(self) -> float | None:
        """The number found, SI; None where there is none."""
        return self.record.value

    @property
    def found(self) -> str:
        """The value or the finding, in the units of the spec, with the position in the travel."""
        return words.found(self.record, self.spec.build.units)

    @property
    def wanted(self) -> str:
        """The wanted range or state, in the units of the spec."""
        return words.wanted(self.record, self.spec.build.units)

    @property
    def place(self) -> str:
        """The spec path of the input to change; empty for the spec as a whole."""
        return self.record.place

    @property
    def line(self) -> int | None:
        """The line of that place in the file, from 1; None for the spec as a whole."""
        position = self.spec.position(self.record.place)
        return None if position is None else position.line

    @property
    def change(self) -> str:
        """The change to make, in the units of the spec; empty where none was searched for or nothing is wrong."""
        return "" if self.record.cure is None else words.change(self.record.cure, self.spec.build.units)

    @property
    def missing(self) -> tuple[str, ...]:
        """The spec paths that the check needs and the spec does not state."""
        return self.record.missing


class WithinLimits(tuple[Reading, ...]):
    """The readings within their limits. It has no truth value, since the other readings may still be errors."""

    __slots__ = ()

    def __bool__(self) -> bool:
        raise TypeError("result.ok holds the readings within limits; look at result.errors and result.not_checked")


@dataclass(frozen=True)
class Result:
    """The result of an inspection. It compares the spec with limits, and is not an approval.

    `inspection` is all of it in SI. `plugin_failures` are the plugins that could not be used; their rules made no
    readings.
    """

    spec: Spec
    inspection: Inspection
    plugin_failures: tuple[PluginFailure, ...] = ()

    @property
    def readings(self) -> tuple[Reading, ...]:
        """Every reading, in the order of the areas of the truck."""
        return tuple(Reading(self.spec, each) for each in self.inspection.readings)

    @property
    def errors(self) -> tuple[Reading, ...]:
        """The errors, including the failures of rules."""
        return self._of(Verdict.ERROR)

    @property
    def warnings(self) -> tuple[Reading, ...]:
        """The warnings."""
        return self._of(Verdict.WARNING)

    @property
    def not_checked(self) -> tuple[Reading, ...]:
        """The readings that could not be checked, with the reasons."""
        return self._of(Verdict.NOT_CHECKED)

    @property
    def waived(self) -> tuple[Reading, ...]:
        """The errors and warnings that the spec waives."""
        return self._of(Verdict.WAIVED)

    @property
    def ok(self) -> WithinLimits:
        """The readings within their limits. To know whether anything is wrong, look at `errors` and `not_checked`."""
        return WithinLimits(each for each in self._of(Verdict.OK) if each.record.applies)

    @property
    def failures(self) -> tuple[str, ...]:
        """The failures of rules and plugins, which make the readings incomplete; empty where there are none."""
        rules = (f"{each.rule} on {each.subject}: {each.failure}" for each in self.inspection.readings if each.failure)
        plugins = (f"plugin {each.plugin}: {each.sentence}" for each in self.plugin_failures)
        return tuple(words.printable(each) for each in (*plugins, *rules))

    def __str__(self) -> str:
        tally = (
            f"{words.count(len(self.errors), 'error')}, {words.count(len(self.warnings), 'warning')}, "
            f"{len(self.not_checked)} not checked, {len(self.waived)} waived, {len(self.ok)} within limits"
        )
        failed = f"; {words.count(len(self.failures), 'failure')} of rules or plugins" if self.failures else ""
        return f"{self.spec.file}, stage {self.inspection.stage.value}: {tally}{failed}. This is not an approval."

    def _of(self, verdict: Verdict) -> tuple[Reading, ...]:
        return tuple(Reading(self.spec, each) for each in self.inspection.readings if each.verdict is verdict)


def inspect(
    spec: Spec,
    *,
    stage: Stage | str | None = None,
    only: str | Collection[str] = (),
    standard: str | os.PathLike[str] | None = None,
    today: date | None = None,
    plugins: Collected | None = None,
    how_sure: bool | None = None,
    changes: bool = True,
) -> Result:
    """Apply the rules to a spec.

    stage:    stage of the job to inspect for (`tacked`), in place of the spec's own
    only:     names of the only rules to apply
    standard: file of a shop's standard to apply; unlike the command, this function does not search for one
    today:    date used to judge waivers; by default the present date
    plugins:  result of `load_plugins`; by default the plugins that the spec was read with
    how_sure: also compute the plus or minus of each reading, from the tolerances in `records`, which takes 24 more
              inspections; None, as it is by default, does so from the stage `tacked` on
    changes:  also search for the change to make, for each warning and error

    A rule that fails is an error among the readings; a plugin that could not be used is in `plugin_failures`. Raises
    LookupError, with the nearest name, for an unknown stage or rule, SpecProblems for a standard that cannot be used,
    and ValueError for one whose plugins are not loaded.
    """
    refuse_any(
        (
            ("inspect()", spec, SPEC),
            ("stage=", stage, _STAGE | NONE),
            ("only=", only, _NAMES),
            ("standard=", standard, FILE | NONE),
            ("today=", today, _DAY | NONE),
            ("plugins=", plugins, PLUGINS | NONE),
            ("how_sure=", how_sure, TRUE_OR_FALSE | NONE),
            ("changes=", changes, TRUE_OR_FALSE),
        )
    )
    used = spec.plugins if plugins is None else plugins
    with prints_to_standard_error():
        held_to = None if standard is None else standard_from(os.fspath(standard), used)
        rules = used.rules if held_to is None else held_to.with_own(used.rules)
        found = inspecting.inspect(
            spec.build,
            used.rules,
            stage=known_stage(stage),
            standard=held_to,
            today=today or date.today(),
            only=known_rules(only, rules),
            sure=how_sure,
            changes=changes,
        )
    return Result(spec, found, used.failures)


_DAY = instance("a date, such as date(2026, 3, 14)", date)
_STAGE = instance("the name of a stage", str)
_NAMES = Kind(
    "names of rules",
    lambda value: isinstance(value, str) or (isinstance(value, Collection) and all(map(TEXT.fits, value))),
)


def _known(name: str, known: Sequence[str], what: str) -> str:
    if name not in known:
        raise LookupError(no_such(what, name, known))
    return name


def known_stage(stage: Stage | str | None) -> Stage | None:
    """The stage of that name. Raises LookupError, with the nearest name, for one that is not known."""
    return None if stage is None else Stage(_known(str(stage), list(Stage), "stage"))


def known_rules(only: str | Collection[str], rules: Iterable[RuleOf]) -> frozenset[str] | None:
    """The names of the only rules to apply; None for all. Raises LookupError, with the nearest name, for one that is
    not known."""
    names = (only,) if isinstance(only, str) else tuple(only)
    for name in names:
        _known(name, [rule.name for rule in rules], "rule")
    return frozenset(names) or None


def standard_from(file: str, plugins: Collected) -> Standard:
    """The shop's standard in a file. Raises SpecProblems where it cannot be used."""
    try:
        standard = written(read_file(file))
        for named in standard.plugin_files:
            path = os.path.realpath(named)
            if path not in plugins.files:
                raise ValueError(f"the standard {file} names the plugin {named}; load it first: load_plugins({path!r})")
        document, bases = standard
        return read_standard(document, plugins.rules, WITHOUT_CHECKS, plugins.additions, bases)
    except Unreadable as unreadable:
        raise SpecProblems(file, unreadable.problems, readable=False) from None
    except NotUsable as not_usable:
        raise SpecProblems(file, not_usable.problems) from None


# The axle over its travel.


@dataclass(frozen=True, eq=False, repr=False)
class Series:
    """A quantity over poses: `values` in SI, `shown` in the shop's `unit`. NaN where it has no value."""

    name: str
    meaning: str
    values: Array
    dimension: Dimension
    units: System

    @property
    def unit(self) -> str:
        """The shop's unit: `in`, `deg`; empty for a count or a ratio without one."""
        return usual_unit(self.dimension, self.units)

    @property
    def shown(self) -> Array:
        """The values in the shop's unit."""
        factor, offset = usual_scale(self.dimension, self.units)
        return self.values / factor - offset

    def __len__(self) -> int:
        return len(self.values)

    def __repr__(self) -> str:
        return f"<{type(self).__name__} {self.name!r} in {self.unit or 'no unit'}, {self.values.shape}>"


@dataclass(frozen=True, eq=False)
class CycleTable:
    """Quantities from full droop to full bump. `table["steer"]` is one quantity over the travel, `heave` the rise of
    the axle centre above ride height; `reached` marks the poses that the axle can reach; `absent` gives the reason why
    a quantity has no values."""

    heave: Series
    reached: NDArray[np.bool_]
    series: dict[str, Series]
    absent: dict[str, str]

    def __getitem__(self, name: str) -> Series:
        refuse_unfit("a cycle table", name, _QUANTITY)
        called = ALSO_CALLED.get(name, name)
        if called in self.absent:
            raise LookupError(f"{name} cannot be computed: {self.absent[called]}")
        return self.series[_known(called, [*self.series, *self.absent, *ALSO_CALLED], "quantity")]

    def __iter__(self) -> Iterator[str]:
        return iter(self.series)

    def __len__(self) -> int:
        return len(self.series)

    def __contains__(self, name: object) -> bool:
        return ALSO_CALLED.get(str(name), name) in self.series


def cycle(spec: Spec, *, steps: int = 5, roll: float | str = 0.0, lock: float | str = 0.0) -> CycleTable:
    """Move the axle from full droop to full bump in `steps` steps on each side of ride height.

    `roll` is constant over the travel, left side up positive. So is `lock`, the angle of the inner wheel from straight
    ahead, seen from above at ride height, to the left positive. Both are angles as a spec states them: degrees, or text
    with a unit. Axes are ISO 8855; the `meaning` of each quantity gives its sign.

    Raises Missing where the spec states no travel or not all that holds the axle, Unreached where the links leave the
    axle free or the steering cannot reach that lock, and ValueError for fewer than one step or an invalid angle.
    """
    refuse_any(
        (
            ("cycle()", spec, SPEC),
            ("steps=", steps, WHOLE),
            ("roll=", roll, _ANGLE),
            ("lock=", lock, _ANGLE),
        )
    )
    units = spec.build.units
    rolled, turned = (parse(angle, Dimension.ANGLE, units) for angle in (roll, lock))
    with prints_to_standard_error():
        cycled = over_travel(Job(spec.build), steps=steps, roll=rolled, lock=turned)
    return CycleTable(
        _heave(cycled.heave, units),
        cycled.reached,
        {column.quantity.name: _series(column.quantity, column.values, units) for column in cycled.columns},
        {absent.name: absent.reason for absent in cycled.absent},
    )


_ANGLE = Kind(
    "an angle: a number in degrees, or a text with a unit",
    lambda value: isinstance(value, str | Real) and not isinstance(value, bool),
)


def _heave(values: Array, units: System) -> Series:
    return Series("heave", "rise of the axle centre above ride height", values, Dimension.LENGTH, units)


def _series(quantity: Quantity, values: Array, units: System) -> Series:
    return Series(quantity.name, quantity.meaning, values, quantity.dimension, units)


def loads(spec: Spec) -> LoadTable:
    """The loads on tyres, links, bar, joints, springs, stops, straps and brackets in each load case.

    Forces are N and moments N m, in vehicle axes (ISO 8855: x forward, y left, z up); tension is positive. `absent`
    lists the cases that cannot be computed, with the reasons.

    Where no case can be computed, raises Missing if the spec does not state data that each of them needs, and Unreached
    if the axle is not held. So an empty table is never taken for a truck without loads.
    """
    refuse_unfit("loads()", spec, SPEC)
    with prints_to_standard_error():
        loads = Job(spec.build).loads
        loads.refuse_none()
        return loads.table


@dataclass(frozen=True, eq=False, repr=False)
class Sweep(Series):
    """A quantity over the travel in many variants of a spec: `values` has the shape (variants, poses).

    `heave` is the rise of the axle centre in each pose. `reasons` gives for each variant the reason why it
    has no value in any pose; empty where it has one.
    """

    heave: Series
    reasons: tuple[str, ...]


def sweep(spec: Spec, path: str, values: Iterable[Any], quantity: str, *, steps: int = 20) -> Sweep:
    """A quantity over the travel, from full droop to full bump, for each of many values at one spec path.

    Path and values are as in `Spec.changed`, the quantity is one of `cycle`. The travel is that of the unchanged spec,
    in `steps` steps on each side of ride height. A pose that a variant cannot reach is NaN, and so is a whole variant
    whose links cannot hold the axle.

    Raises SpecProblems for a path or a value that the spec cannot have, LookupError, with the nearest name, for an
    unknown quantity, and Missing where the spec does not state the data that the quantity needs.
    """
    refuse_any(
        (
            ("sweep()", spec, SPEC),
            ("path=", path, _PATH),
            ("values=", values, _VALUES),
            ("quantity=", quantity, _QUANTITY),
            ("steps=", steps, WHOLE),
        )
    )
    name = ALSO_CALLED.get(quantity, quantity)
    held = {each.name: each for each in quantities(spec.build)}
    _known(name, [*held, *ALSO_CALLED], "quantity")
    heave = heave_of(spec.build, steps)
    rows: list[Array] = []
    reasons: list[str] = []
    with prints_to_standard_error():
        variants = (spec.changed({path: value}).build for value in values)
        while builds := list(islice(variants, AT_ONCE)):
            for moving in Job.moved_together(map(Job, builds), heave, np.zeros_like(heave)):
                wanted = next(each for each in quantities(moving.build) if each.name == name)
                found = values_or_absent(wanted, moving)
                if isinstance(found, Absent) and found.missing:
                    raise Missing(found.missing)
                rows.append(np.full_like(heave, np.nan) if isinstance(found, Absent) else found[1])
                reasons.append(found.reason if isinstance(found, Absent) else "")
    units = spec.build.units
    made = _series(held[name], np.array(rows).reshape(-1, len(heave)), units)
    return Sweep(made.name, made.meaning, made.values, made.dimension, units, _heave(heave, units), tuple(reasons))


AT_ONCE = 256
"""Variants of a sweep that are solved in one batch, so that any number of them fits into memory."""

_PATH = instance("a spec path, such as lateral_bar.frame.z", str)
_VALUES = Kind(
    "a list of values", lambda value: isinstance(value, Iterable) and not isinstance(value, str | bytes | Mapping)
)
