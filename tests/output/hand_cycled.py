"""A small cycle made by hand, of quantities that no truck has; what the tests of its outputs are shown."""

from __future__ import annotations

import math

import numpy as np
from hand_made import DEGREE, INCH, SPEC

from buildcheck.build import read_build
from buildcheck.job.cycle import Column, Cycle
from buildcheck.job.named_quantity import Absent, Quantity
from buildcheck.output.outcome import Cycled
from buildcheck.spec.document import read_text
from buildcheck.spec.quantity import Dimension

NONE = math.nan


def column(name: str, group: str, heading: str, dimension: Dimension, unit: float, *values: float) -> Column:
    quantity = Quantity(
        name, group, heading, f"what {name} is", dimension, lambda moving: moving.forward, compared=name == "lean"
    )
    return Column(quantity, np.array(values) * unit)


COLUMNS = (
    column("lean", "post", "lean", Dimension.ANGLE, DEGREE, 1.25, 1.0, 0.5, -0.25, NONE),
    column("sink", "post", "sink of base", Dimension.LENGTH, INCH, 0.5, 0.25, 0, -0.125, NONE),
    column("left-gate-gap", "left side", "gap", Dimension.LENGTH, INCH, 10, 11, 12, 12.5, NONE),
    column("right-gate-gap", "right side", "gap", Dimension.LENGTH, INCH, 10.5, 11.25, 12, 12.25, NONE),
    column("right-gate-share", "right side", "share", Dimension.RATIO, 0.01, NONE, NONE, 50, math.inf, NONE),
)
ABSENT = (
    Absent("hinge", "hinge", "lateral_bar.tube", "the spec lacks lateral_bar.tube"),
    Absent("latch", "latch", "", "the latch has no value in this build"),
)


def cycled(*columns: Column, spec: str = SPEC, roll: float = 0.0, lock: float = 0.0) -> Cycled:
    """The cycle of a spec, with these columns in place of the usual ones."""
    document = read_text(spec, "bench.buildcheck.yaml")
    heave = np.array([-2, -1, 0, 1.5, 3]) * INCH
    reached = np.array([True, True, True, True, False])
    found = Cycle(heave, roll, lock, reached, columns or COLUMNS, ABSENT)
    return Cycled(document.name, document, read_build(document.data), found)
