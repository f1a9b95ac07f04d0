"""`buildcheck loads`: what it shows is what the job computes, at any width, and how it ends."""

import csv
import io
import json
import math
from itertools import pairwise
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator

from buildcheck.build import Side, read_build
from buildcheck.commands.command import cli
from buildcheck.job import Job
from buildcheck.output import loads_text
from buildcheck.output.loads_worst import worst_cases
from buildcheck.output.outcome import Spec
from buildcheck.spec.document import read_file
from buildcheck.spec.quantity import Dimension, System, parse
from buildcheck.spec.schema import schema

EXAMPLES = Path(__file__).parents[2] / "examples"
TAMARACK = EXAMPLES / "tamarack" / "proposal.buildcheck.yaml"
THREE_LINK = EXAMPLES / "three-link-metric.buildcheck.yaml"


def run(*arguments: str) -> Result:
    return CliRunner().invoke(cli, ["loads", *arguments], standalone_mode=False)


def newtons(shown: str) -> float:
    return parse(f"{shown} N", Dimension.FORCE, System.METRIC)


def test_every_number_of_the_table_is_there_once() -> None:
    result = run(str(THREE_LINK), "--output", "csv")
    assert result.return_value == 0
    rows = list(csv.DictReader(io.StringIO(result.stdout)))
    table = Job(read_build(read_file(THREE_LINK).data)).loads.table
    names = [case.name for case in table.cases]

    def told(kind: str, *columns: str) -> dict[tuple[str, str, str], tuple[float, ...]]:
        return {
            (row["part"], row["joint"], row["case"]): tuple(newtons(row[column]) for column in columns)
            for row in rows
            if row["kind"] == kind
        }

    wanted: dict[str, dict[tuple[str, str, str], tuple[float, ...]]] = {
        "part": {
            (row.label, row.joint, name): (force,)
            for row in table.carried
            for name, force in zip(names, row.forces, strict=True)
        },
        "corner weight": {
            (row.label, "", name): (force,)
            for row in table.corners
            for name, force in zip(names, row.forces, strict=True)
        },
    }
    vectors: dict[str, dict[tuple[str, str, str], tuple[float, ...]]] = {
        "joint": {
            (row.label, row.joint, name): force
            for row in table.joints
            for name, force in zip(names, row.forces, strict=True)
        },
        "bracket": {
            (row.label, "", name): force
            for row in table.brackets
            for name, force in zip(names, row.forces, strict=True)
        },
    }
    for kind, numbers in wanted.items():
        found = told(kind, "force (N)")
        assert list(found) == list(numbers)
        for key, value in numbers.items():
            assert found[key] == pytest.approx(value, abs=0.5001), key
    for kind, numbers in vectors.items():
        found = told(kind, "forward (N)", "to the left (N)", "up (N)")
        assert list(found) == list(numbers)
        for key, value in numbers.items():
            assert found[key] == pytest.approx(value, abs=0.5001), key
    brackets = {(row["part"], row["case"]): row for row in rows if row["kind"] == "bracket"}
    for bracket in table.brackets:
        for at, name in enumerate(names):
            shown = brackets[bracket.label, name]
            assert bracket.foot is not None
            assert newtons(shown["shear on each foot (N)"]) == pytest.approx(bracket.foot.shears[at], abs=0.5001)
            assert newtons(shown["pull on each foot (N)"]) == pytest.approx(bracket.foot.pulls[at], abs=0.5001)
            assert bracket.foot.twists is not None
            assert bracket.foot.tips is not None
            assert float(shown["twist on each foot (N·m)"]) == pytest.approx(bracket.foot.twists[at], abs=0.051)
            assert float(shown["tip on each foot (N·m)"]) == pytest.approx(bracket.foot.tips[at], abs=0.051)
            assert shown["moment about"] == bracket.about
            assert bracket.moments is not None
            assert float(shown["moment on the bracket (N·m)"]) == pytest.approx(bracket.moments[at], abs=0.051)
    bent = {(row["part"], row["case"]): row for row in rows if row["kind"] == "link"}
    assert list(bent) == [(row.label, name) for row in table.bent for name in names]
    for row in table.bent:
        assert row.stresses is not None
        for moment, stress, name in zip(row.moments, row.stresses, names, strict=True):
            shown = bent[row.label, name]
            assert float(shown["bending moment (N·m)"]) == pytest.approx(moment, abs=0.501)
            assert float(shown["stress (MPa)"]) * 1e6 == pytest.approx(stress, abs=0.051e6)
    kinds = ("part", "corner weight", "joint", "bracket", "link")
    count = [len(table.carried), len(table.corners), len(table.joints), len(table.brackets), len(table.bent)]
    assert [sum(row["kind"] == kind for row in rows) for kind in kinds] == [number * len(names) for number in count]
    assert len(rows) == sum(count) * len(names)


def test_the_sheet_keeps_to_a_printed_page_and_names_every_case() -> None:
    result = run(str(THREE_LINK))
    assert result.return_value == 0
    lines = result.stdout.splitlines()
    headings = [line for line in lines if "(N)" in line or "(N·m)" in line or "(MPa)" in line]
    blocks = ["worst case of each", "weight on the tyres", "forces", "largest bending moment", "largest stress"]
    blocks += ["net force on each bracket", "moment on each bracket", "shear on each foot"]
    blocks += ["pull on each foot", "twist on each foot", "tip on each foot"]
    assert list(dict.fromkeys(line.split(" (")[0] for line in headings)) == blocks
    tables = [line for line in lines if line.startswith(("left lower link ", "right tyre ", "lateral bar "))]
    assert max(map(len, (*headings, *tables))) <= 80
    assert sum(line.startswith("left tyre") for line in lines) == sum("weight on" in line for line in headings)
    table = Job(read_build(read_file(THREE_LINK).data)).loads.table
    for case in table.cases:
        assert sum(line.startswith(f"  {case.name}: ") for line in lines) == 1
    assert "NOT COMPUTED" not in lines
    # No table has one case alone, and those of one kind are about as wide.
    weights = [line for line in lines if line.startswith("left tyre ")]
    counts = [len(line.split()) - 2 for line in weights]
    assert sum(counts) == len(table.cases)
    assert max(counts) - min(counts) <= 2
    assert min(counts) > 1


def test_the_worst_case_of_each_comes_first_with_its_rating_and_the_share_of_it() -> None:
    build = read_build(read_file(TAMARACK).data)
    table = Job(build).loads.table
    found = worst_cases(build, table)
    shares = [each.share for each in found if each.share is not None]
    assert shares == sorted(shares, reverse=True)
    assert len(shares) == 10  # three joints of each arm, two of the bar, two straps
    bar = next(each for each in found if each.label == "lateral bar, axle joint")
    (joint,) = [row for row in table.joints if row.path == "lateral_bar" and row.joint == "axle"]
    sizes = [math.hypot(*force) for force in joint.forces]
    assert bar.load == pytest.approx(max(sizes))
    assert bar.case == table.cases[sizes.index(max(sizes))].name
    assert bar.rating == pytest.approx(build.lateral_bar.joints.axle.load_rating)
    assert bar.share == pytest.approx(bar.load / bar.rating)
    lines = run(str(TAMARACK)).stdout.splitlines()
    first = next(number for number, line in enumerate(lines) if line.startswith("worst case of each (lbf)"))
    assert lines[first + 1].startswith(f"{found[0].label} ")
    assert f"{shares[0]:.1%}".replace("%", " %") in lines[first + 1]
    strap = next(line for line in lines if line.startswith("left limit strap ") and "hanging" in line)
    assert ("not stated" in strap) == (not build.limit_straps["strap"][Side.LEFT].has("load_rating"))


def test_stresses_are_given_to_three_figures_and_nothing_else_is_rounded() -> None:
    lines = run(str(TAMARACK)).stdout.splitlines()
    start = next(number for number, line in enumerate(lines) if line.startswith("largest stress (psi)"))
    numbers = lines[start + 1].removeprefix("left arm").split()
    table = Job(read_build(read_file(TAMARACK).data)).loads.table
    (arm,) = [row for row in table.bent if row.label == "left arm"]
    assert arm.stresses is not None
    for shown, stress in zip(numbers, arm.stresses, strict=False):
        psi = stress / 6894.757293168361
        assert abs(float(shown) - psi) <= 0.0051 * psi
        assert len(shown.replace(".", "").strip("0").lstrip("0")) <= 3


def test_what_could_not_be_told_stands_on_the_sheet(tmp_path: Path) -> None:
    spec = tmp_path / "no-torque.buildcheck.yaml"
    text = THREE_LINK.read_text(encoding="utf-8")
    spec.write_text(text.replace("  drive_torque: 5000\n", ""), encoding="utf-8")
    result = run(str(spec))
    assert result.return_value == 0
    assert "  driving: the spec lacks vehicle.drive_torque" in result.stdout.splitlines()


@pytest.mark.parametrize("name", ["tamarack/proposal", "three-link-metric", "four-link-rear", "minimal"])
def test_the_json_is_valid_by_its_schema_and_holds_the_table(name: str) -> None:
    file = EXAMPLES / f"{name}.buildcheck.yaml"
    result = run(str(file), "--output", "json")
    told = json.loads(result.stdout, parse_constant=pytest.fail)
    validator = Draft202012Validator(schema("loads.schema.json"))
    assert [error.message for error in validator.iter_errors(told)] == []
    table = Job(read_build(read_file(file).data)).loads.table
    assert told["exit_status"] == result.return_value == (0 if table.cases else 4)
    assert [case["name"] for case in told["cases"]] == [case.name for case in table.cases]
    assert told["absent"] == list(table.absent)
    assert [[each["si"] for each in row["weights"]] for row in told["corners"]] == [
        list(r.forces) for r in table.corners
    ]
    assert [[each["si"] for each in row["forces"]] for row in told["parts"]] == [list(r.forces) for r in table.carried]
    for key, rows in (("joints", table.joints), ("brackets", table.brackets)):
        found = [
            [tuple(each[way]["si"] for way in ("forward", "left", "up")) for each in row["forces"]] for row in told[key]
        ]
        assert found == [list(row.forces) for row in rows]
    assert told["unknown"] == list(table.unknown)
    assert [(each["what"], each["value"]["si"], each["basis"]) for each in told["assumptions"]] == [
        (each.what, each.value, each.basis) for each in table.assumptions
    ]
    assert [[each["si"] for each in row["bears"]] for row in told["brackets"]] == [
        list(r.bears) for r in table.brackets
    ]
    assert [row["moments"] and [each["si"] for each in row["moments"]] for row in told["brackets"]] == [
        None if row.moments is None else list(row.moments) for row in table.brackets
    ]
    for key in ("shears", "pulls", "twists", "tips"):
        assert [
            row["foot"] and row["foot"][key] and [each["si"] for each in row["foot"][key]] for row in told["brackets"]
        ] == [
            None if row.foot is None or getattr(row.foot, key) is None else list(getattr(row.foot, key))
            for row in table.brackets
        ]
    assert [row["about"] for row in told["brackets"]] == [
        "" if row.moments is None else row.about.value for row in table.brackets
    ]
    assert [[each["si"] for each in row["pressed"]] for row in told["links"]] == [list(r.pressed) for r in table.bent]
    moments = [[each["si"] for each in row["bending_moments"]] for row in told["links"]]
    assert moments == [list(row.moments) for row in table.bent]
    stresses = [None if row["stresses"] is None else [each["si"] for each in row["stresses"]] for row in told["links"]]
    assert stresses == [None if row.stresses is None else list(row.stresses) for row in table.bent]


def test_a_link_of_which_the_spec_tells_no_section_has_no_stress() -> None:
    data = read_file(THREE_LINK).data
    del data["links"]["upper"]["right"]["tube"]
    rows = {row.label: row.stresses for row in Job(read_build(data)).loads.table.bent}
    assert [label for label, stresses in rows.items() if stresses is None] == ["right upper link"]


def test_a_spec_without_masses_has_no_loads(tmp_path: Path) -> None:
    text = (EXAMPLES / "four-link-rear.buildcheck.yaml").read_text(encoding="utf-8")
    masses = ("  unsprung_mass:", "  total_mass:", "  centre_of_gravity_height:")
    spec = tmp_path / "rear.buildcheck.yaml"
    spec.write_text("".join(line for line in text.splitlines(True) if not line.startswith(masses)), encoding="utf-8")
    result = run(str(spec))
    assert result.return_value == 4
    assert result.stdout.splitlines()[7:] == [
        "NOT COMPUTED",
        "  all cases: the spec lacks vehicle.unsprung_mass",
        "  all cases: the spec lacks vehicle.total_mass",
        "  all cases: the spec lacks vehicle.centre_of_gravity_height",
    ]


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
    assert target.read_text(encoding="utf-8").startswith("kind,part,joint,spec path,case,force (N),")


def test_the_moments_on_brackets_say_about_what_they_are(tmp_path: Path) -> None:
    feetless = tmp_path / "feetless.buildcheck.yaml"
    text = TAMARACK.read_text(encoding="utf-8")
    for foot in ("[0, 17.5, 16.6]  # the foot goes all round the tube", "[-37, 15, 30.5]  # under the frame rail"):
        assert foot in text
        text = text.replace(f"      point: {foot}\n", "")
    feetless.write_text(text, encoding="utf-8")
    result = run(str(feetless))
    lines = result.stdout.splitlines()
    assert [line for line in lines if line.startswith(("Moment about", "No moment"))] == [
        "Moment about the centre of its foot: right arm axle bracket, left coilover frame bracket, "
        "right coilover frame bracket.",
        "Moment about its foot, at most, by its height: left coilover axle bracket, "
        "right coilover axle bracket, right lateral bar axle bracket, left lateral bar frame bracket, "
        "left stop axle pad, right stop axle pad, "
        "left stop frame bracket, right stop frame bracket, left strap axle bracket, right strap axle bracket, "
        "left strap frame bracket, right strap frame bracket.",
        "Moment about the middle of its joints: left arm axle bracket.",
        "No moment; the spec lacks the bracket's point or height: left arm frame bracket, right arm frame bracket.",
    ]
    headings = [number for number, line in enumerate(lines) if line.startswith("moment on each bracket (lb-ft)")]
    for number in headings:
        assert [line[:31].rstrip() for line in lines[number + 1 : number + 18]] == [
            "left arm axle bracket",
            "right arm axle bracket",
            *(f"{side} coilover {name}" for name in ("axle bracket", "frame bracket") for side in ("left", "right")),
            "right lateral bar axle bracket",
            "left lateral bar frame bracket",
            *(f"{side} stop {name}" for name in ("axle pad", "frame bracket") for side in ("left", "right")),
            *(f"{side} strap {name}" for name in ("axle bracket", "frame bracket") for side in ("left", "right")),
            "",
        ]
    told = list(csv.DictReader(io.StringIO(run(str(feetless), "--output", "csv").stdout)))
    label = "left arm axle bracket"
    (braking,) = [row for row in told if (row["kind"], row["part"], row["case"]) == ("bracket", label, "braking")]
    assert braking["moment about"] == "the middle of its joints"
    table = Job(read_build(read_file(feetless).data)).loads.table
    (bracket,) = [row for row in table.brackets if row.label == label]
    assert bracket.moments is not None
    assert float(braking["moment on the bracket (lb-ft)"]) == pytest.approx(
        bracket.moments[1] / 1.3558179483, abs=0.051
    )


def test_a_bracket_of_which_nothing_is_known_stands_on_the_sheet(tmp_path: Path) -> None:
    spec = tmp_path / "held.buildcheck.yaml"
    text = TAMARACK.read_text(encoding="utf-8")
    assert text.count("holds: links.arm.left\n") == 1
    spec.write_text(text.replace("holds: links.arm.left\n", "holds: steering.tie_rod\n"), encoding="utf-8")
    result = run(str(spec))
    assert result.return_value == 0
    lines = result.stdout.splitlines()
    at = lines.index("NOT COMPUTED")
    assert lines[at + 1 : at + 3] == ["  left arm axle bracket: no load is known of steering.tie_rod", ""]


@pytest.mark.parametrize("width", [80, 100, 120, 200])
def test_the_tables_keep_to_the_width_and_have_every_case(width: int) -> None:
    document = read_file(TAMARACK)
    build = read_build(document.data)
    table = Job(build).loads.table
    lines = loads_text.sheet(Spec(document.name, document, build), table, width=width).splitlines()
    assert max(map(len, lines)) <= width
    assert not any(first == second == "" for first, second in pairwise(lines))
    number_of_cases = 0
    for line in lines:
        if line.startswith("left tyre"):
            number_of_cases += len(line.split()) - 2
    assert number_of_cases == len(table.cases) == 17
