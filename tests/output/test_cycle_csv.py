"""A cycle as comma-separated values: exact, and the numbers are those of the cycle."""

from __future__ import annotations

import csv
import io
import math
from pathlib import Path

import pytest
from hand_cycled import cycled

from buildcheck.build import read_build
from buildcheck.job.cycle import cycle
from buildcheck.output.cycle_csv import table
from buildcheck.output.outcome import Cycled
from buildcheck.spec.document import read_file
from buildcheck.spec.quantity import parse

EXAMPLES = Path(__file__).parents[2] / "examples"
EXACT = """\
pose,reached,axle-height [in],lean [deg],sink [in],left-gate-gap [in],right-gate-gap [in],right-gate-share [%]
full droop,yes,-2.000000000,1.25000000,0.500000000,10.000000000,10.500000000,
,yes,-1.000000000,1.00000000,0.250000000,11.000000000,11.250000000,
ride height,yes,0.000000000,0.50000000,0.000000000,12.000000000,12.000000000,50.0000000
,yes,1.500000000,-0.25000000,-0.125000000,12.500000000,12.250000000,without bound
full bump,no,3.000000000,,,,,
"""


def test_the_table_is_this() -> None:
    assert table(cycled()) == EXACT.replace("\n", "\r\n")


@pytest.mark.parametrize("example", ["tamarack/proposal", "three-link-metric", "four-link-rear"])
def test_its_numbers_read_back_are_those_of_the_cycle(example: str) -> None:
    document = read_file(EXAMPLES / f"{example}.buildcheck.yaml")
    build = read_build(document.data)
    found = cycle(build, steps=3, roll=math.radians(2))
    head, *rows = csv.reader(io.StringIO(table(Cycled(example, document, build, found)), newline=""))
    assert len(head) == len(set(head)) == 3 + len(found.columns)
    for index, column in enumerate(found.columns, 3):
        name, _, unit = head[index].removesuffix("]").partition(" [")
        assert name == column.quantity.name
        read = [parse(f"{row[index]} {unit}", column.quantity.dimension, build.units) for row in rows]
        assert read == pytest.approx(column.values.tolist(), rel=1e-9, abs=3e-6 if unit in ("lbf", "N") else 1e-9)
