"""`buildcheck loads`: what it shows is what the job computes, at any width, and how it ends."""

import csv
import io
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from buildcheck.build import read_build
from buildcheck.commands.command import cli
from buildcheck.document import read_file
from buildcheck.job import Job
from buildcheck.quantity import Dimension, System, parse

EXAMPLES = Path(__file__).parents[2] / "examples"
THREE_LINK = EXAMPLES / "three-link-metric.buildcheck.yaml"


def run(*arguments: str) -> Result:
    return CliRunner().invoke(cli, ["loads", *arguments], standalone_mode=False)


def test_every_number_of_the_table_is_there_once() -> None:
    result = run(str(THREE_LINK), "--output", "csv")
    assert result.return_value == 0
    rows = list(csv.DictReader(io.StringIO(result.stdout)))
    table = Job(read_build(read_file(THREE_LINK).data)).loads.table
    wanted = {
        (row.label, row.joint, case.name): force
        for row in table.carried
        for case, force in zip(table.cases, row.forces, strict=True)
    }
    found = {
        (row["part"], row["joint"], row["case"]): parse(f"{row['force (N)']} N", Dimension.FORCE, System.METRIC)
        for row in rows
    }
    assert found == pytest.approx(wanted, abs=0.5001)
    assert len(rows) == len(wanted)


def test_the_sheet_keeps_to_a_printed_page_and_names_every_case() -> None:
    result = run(str(THREE_LINK))
    assert result.return_value == 0
    lines = result.stdout.splitlines()
    tables = [line for line in lines if "link  " in line or "lateral bar" in line[:12] or "coilover  " in line]
    assert len(tables) == 6  # six parts; seven cases have room beside each other
    assert max(map(len, tables)) <= 80
    for case in ("at rest", "braking", "left bend", "right bend", "braking in a bend", "rock strike", "bump stops hit"):
        assert sum(line.startswith(f"  {case}: ") for line in lines) == 1
    assert "  driving: the spec lacks vehicle.drive_torque" in lines


def test_a_spec_without_masses_has_no_loads() -> None:
    result = run(str(EXAMPLES / "four-link-rear.buildcheck.yaml"))
    assert result.return_value == 4
    assert "  all cases: the spec lacks vehicle.unsprung_mass" in result.stdout.splitlines()


def test_a_spec_that_is_not_valid_is_refused(tmp_path: Path) -> None:
    spec = tmp_path / "bad.buildcheck.yaml"
    spec.write_text("format: 1\nunits: metric\nlinx: {}\n", encoding="utf-8")
    result = run(str(spec))
    assert (result.return_value, result.stdout) == (2, "")
    assert result.stderr.startswith("LOADS SHEET: NO LOADS\n")
    assert '"linx" is not a section of a spec; did you mean "links"?' in result.stderr


def test_it_writes_to_a_file(tmp_path: Path) -> None:
    target = tmp_path / "loads.csv"
    result = run(str(THREE_LINK), "--output", "csv", "--to", str(target))
    assert (result.return_value, result.stdout) == (0, "")
    assert target.read_text(encoding="utf-8").startswith("part,joint,spec path,case,force (N)\n")
