"""A cycle as comma-separated values (RFC 4180), for a spreadsheet: one row a height, one column a quantity."""

from __future__ import annotations

import csv
import io
import math

from buildcheck.output import words
from buildcheck.output.cycle_words import HEIGHT
from buildcheck.output.outcome import Cycled
from buildcheck.spec.quantity import Dimension, System
from buildcheck.spec.units import USUAL


def table(spec: Cycled) -> str:
    """The table, its units in its one header row. Numbers are in the shop's units, with all their useful decimals; what
    the axle does not reach, and what has no value, is an empty cell."""
    system, cycle = spec.build.units, spec.cycle
    columns = [(column.quantity.dimension, column.values) for column in cycle.columns]
    text = io.StringIO()
    writer = csv.writer(text)
    heads = [(HEIGHT.replace(" ", "-"), Dimension.LENGTH)]
    heads += [(column.quantity.name, column.quantity.dimension) for column in cycle.columns]
    writer.writerow(["pose", "reached", *(_head(name, dimension, system) for name, dimension in heads)])
    for index, pose in enumerate(cycle.poses):
        values = [(dimension, float(values[index])) for dimension, values in columns]
        cells = [_cell(value, dimension, system) for dimension, value in [(Dimension.LENGTH, pose.heave), *values]]
        writer.writerow([pose.name, "yes" if cycle.reached[index] else "no", *cells])
    return text.getvalue()


def _head(name: str, dimension: Dimension, system: System) -> str:
    unit = words.unit(dimension, system)
    return f"{name} [{unit}]" if unit else name


def _cell(value: float, dimension: Dimension, system: System) -> str:
    if math.isnan(value):
        return ""
    return words.number(value, dimension, system, USUAL[system][dimension].decimals + words.FINER)
