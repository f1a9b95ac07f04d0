"""buildcheck from Python: what is public, what comes back, and that it can go to threads and other processes."""

from __future__ import annotations

import copy
import json
import multiprocessing
import os
import pickle
import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import buildcheck
from buildcheck.build import read_build
from buildcheck.checks.standard_file import NotUsable
from buildcheck.plugins.loading import Collected
from buildcheck.plugins.standard_output import prints_to_standard_error
from buildcheck.spec.document import Document, Unreadable, read_text
from buildcheck.spec.place import Problem
from buildcheck.spec.schema import problems_in
from buildcheck.testing import changed as written_change
from buildcheck.testing import sound_spec

ROOT = Path(__file__).parents[2]
TAMARACK = ROOT / "examples/tamarack/proposal.buildcheck.yaml"
FAULTY = ROOT / "examples/tamarack/proposal-with-faults.buildcheck.yaml"
METRIC = ROOT / "examples/three-link-metric.buildcheck.yaml"
MINIMAL = ROOT / "examples/minimal.buildcheck.yaml"
RULE = """
'''The build has a name.

Checked: the name.
'''

from buildcheck.api import Area, Build, Rule, Words, common_practice, hook, met

BUILDCHECK_INTERFACE = 2
print("printed while loading")
rule = Rule("build-name", area=Area.RECORDS, page=__doc__)


@rule.must(
    Build,
    wanted="a name",
    basis=common_practice("a sheet without a name gets lost"),
    change=Words("give it a name"),
    place="build.name",
)
def named(job, build):
    \"\"\"The build has a name.\"\"\"
    print("printed while running")
    return met(build.build.has("name"), "a name", otherwise="no name")


@hook
def buildcheck_rules():
    return [rule]
"""


@pytest.fixture(scope="module")
def spec() -> buildcheck.Spec:
    return buildcheck.read(TAMARACK)


@pytest.fixture(scope="module")
def faulty() -> buildcheck.Result:
    return buildcheck.inspect(buildcheck.read(FAULTY))


@pytest.fixture
def rule_file(tmp_path: Path) -> Path:
    file = tmp_path / "build_name.py"
    file.write_text(RULE, encoding="utf-8")
    return file


# What is public.


def test_the_public_names_are_sorted_and_documented() -> None:
    assert list(buildcheck.__all__) == sorted(buildcheck.__all__)
    assert set(buildcheck.__all__) <= set(dir(buildcheck))
    for name in buildcheck.__all__:
        assert getattr(buildcheck, name).__doc__, name
    assert not hasattr(buildcheck, "no_such_name")


def test_importing_the_library_loads_nothing_heavy() -> None:
    code = "import sys, buildcheck; print([n for n in ('numpy', 'jsonschema', 'pluggy', 'click') if n in sys.modules])"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout == "[]\n"


def test_its_functions_stay_functions_whatever_is_imported_later() -> None:
    """A module of the same name would take their place as soon as it is imported."""
    modules = {path.stem for path in (ROOT / "buildcheck").iterdir() if path.suffix == ".py" or path.is_dir()}
    assert modules.isdisjoint(buildcheck.__all__)


def test_the_package_runs_as_the_command_does() -> None:
    for arguments in (["--version"], ["inspect", str(MINIMAL)]):
        runs = [
            subprocess.run([*start, *arguments], capture_output=True, text=True, check=False)
            for start in ([sys.executable, "-m", "buildcheck"], [str(Path(sys.executable).with_name("buildcheck"))])
        ]
        assert runs[0].stdout.startswith(("buildcheck ", "INSPECTION RECORD"))
        assert [(run.returncode, run.stdout, run.stderr) for run in runs] == [
            (runs[1].returncode, runs[1].stdout, "")
        ] * 2


# Reading a spec.


def test_an_invalid_spec_raises_every_mistake_with_its_place(tmp_path: Path) -> None:
    file = tmp_path / "bad.buildcheck.yaml"
    file.write_text("format: 1\nunits: inch-pound\nvehicle:\n  wheelbse: 100\n  track: 2000 in\n", encoding="utf-8")
    with pytest.raises(buildcheck.SpecProblems) as raised:
        buildcheck.read(file)
    assert raised.value.readable
    assert [(each.line, each.column, each.path) for each in raised.value.problems] == [
        (4, 3, "vehicle.wheelbse"),
        (5, 3, "vehicle.track"),
    ]
    assert (
        str(raised.value)
        .splitlines()[0]
        .startswith(f'{file}:4:3 vehicle.wheelbse: "wheelbse" is not a key of vehicle; did you mean "wheelbase"?')
    )


def test_a_file_that_cannot_be_read_raises_the_same(tmp_path: Path) -> None:
    with pytest.raises(buildcheck.SpecProblems, match="there is no such file") as raised:
        buildcheck.read(tmp_path / "absent.yaml")
    assert not raised.value.readable


@pytest.mark.parametrize(
    "error",
    [
        buildcheck.SpecProblems("a.yaml", [Problem("wrong", "vehicle", 3, 1)], readable=False),
        buildcheck.Missing("links.lower"),
        Unreadable("a.yaml", (Problem("wrong", "", 1, 1),)),
        NotUsable([Problem("wrong", "shop", 2, 1)]),
        buildcheck.Unreached("the links do not reach"),
    ],
)
def test_errors_are_complete_after_pickling(error: Exception) -> None:
    again = pickle.loads(pickle.dumps(error))
    assert (type(again), str(again), vars(again)) == (type(error), str(error), vars(error))


def test_missing_data_is_not_an_attribute() -> None:
    build = buildcheck.read(MINIMAL).build
    assert not hasattr(build, "travel")
    assert getattr(build, "travel", None) is None
    with pytest.raises(buildcheck.Missing, match="the spec lacks travel"):
        _ = build.travel
    assert hasattr(buildcheck.read(TAMARACK).build, "travel")


def test_a_property_names_its_missing_data() -> None:
    tyre = buildcheck.read(MINIMAL).build.vehicle
    kinds = {name for kind in type(tyre).__mro__ for name, value in vars(kind).items() if isinstance(value, property)}
    assert "as_written" in kinds

    class Nameless(type(tyre)):  # type: ignore[misc]
        @property
        def needs_more(self) -> Any:
            raise buildcheck.Missing("vehicle.frame.width")

    with pytest.raises(buildcheck.Missing, match=r"vehicle\.frame\.width"):
        _ = Nameless(tyre.path, tyre.label, tyre.side, tyre.given()).needs_more


# Inspection.


def test_the_library_finds_what_the_command_finds(faulty: buildcheck.Result) -> None:
    command = [sys.executable, "-m", "buildcheck", "inspect", "--output", "json", str(FAULTY)]
    run = subprocess.run(command, capture_output=True, text=True, check=False)
    (recorded,) = json.loads(run.stdout)["specs"]
    assert run.returncode == 1
    assert len(faulty.readings) == len(recorded["readings"])
    for verdict, found in (
        ("error", faulty.errors), ("warning", faulty.warnings), ("not checked", faulty.not_checked),
        ("waived", faulty.waived),
    ):  # fmt: skip
        assert len(found) == sum(each["verdict"] == verdict for each in recorded["readings"]), verdict
    assert len(faulty.errors) > 10
    assert faulty.failures == ()


def test_a_reading_says_number_limit_place_and_change_in_the_units_of_the_spec() -> None:
    result = buildcheck.inspect(buildcheck.read(TAMARACK), only=["limit-strap-length"])
    (reading,) = result.warnings
    place = "brake_lines.line.both.free_length"
    assert str(reading).startswith("warning: left brake line: ")
    numbers = f"{reading.found}; wanted {reading.wanted}; 0.020 in short; {reading.change}"
    lines = TAMARACK.read_text(encoding="utf-8").splitlines()
    line = next(number for number, text in enumerate(lines, start=1) if "free_length: 22 1/2 in" in text)
    assert f"{numbers}; {TAMARACK}:{line}:55" in str(reading)
    assert reading.change == f"make the left and right brake line 1/16 in longer ({place} by +0.0625 in)"
    assert (reading.rule, reading.limit, reading.place, reading.line) == (
        "limit-strap-length", "brake-line-slack", place, line,
    )  # fmt: skip
    assert (reading.subject, reading.verdict) == ("left brake line", buildcheck.Verdict.WARNING)
    assert reading.value == pytest.approx(0.980 * 0.0254, abs=0.0005 * 0.0254)  # as the sentence rounds it
    assert reading.wanted == "at least 1.000 in"


def test_what_is_not_checked_names_what_is_missing() -> None:
    result = buildcheck.inspect(buildcheck.read(MINIMAL))
    missing = {path for each in result.not_checked for path in each.missing}
    assert "travel" in {path.partition(".")[0] for path in missing}
    assert all(str(each).startswith("not checked: ") for each in result.not_checked)
    assert any("the spec lacks" in str(each) for each in result.not_checked)


def test_readings_within_limits_have_no_truth_value(faulty: buildcheck.Result) -> None:
    assert len(faulty.ok) > 0
    assert {each.verdict for each in faulty.ok} == {buildcheck.Verdict.OK}
    with pytest.raises(TypeError, match=r"look at result\.errors"):
        bool(faulty.ok)
    assert "This is not an approval." in str(faulty)
    assert f"{len(faulty.errors)} errors" in str(faulty)


def test_without_changes_the_verdicts_are_the_same(faulty: buildcheck.Result) -> None:
    bare = buildcheck.inspect(faulty.spec, changes=False)
    assert [each.verdict for each in bare.readings] == [each.verdict for each in faulty.readings]
    assert not any(each.change for each in bare.readings if each.verdict is buildcheck.Verdict.WARNING)
    assert any(each.change for each in faulty.errors)


def test_stage_only_and_unknown_names(spec: buildcheck.Spec) -> None:
    late = buildcheck.inspect(spec, stage="tacked", only=["as-measured"])
    assert late.inspection.stage is buildcheck.Stage.TACKED
    assert {each.rule for each in late.readings} == {"as-measured"}
    early = buildcheck.inspect(spec, only=["as-measured"])
    assert [(each.name, each.from_stage) for each in early.inspection.later] == [
        ("as-measured", buildcheck.Stage.TACKED)
    ]
    with pytest.raises(LookupError, match='there is no rule "link-flatnes"; did you mean "link-flatness"'):
        buildcheck.inspect(spec, only=["link-flatnes"])
    with pytest.raises(LookupError, match='there is no stage "tackd"; did you mean "tacked"'):
        buildcheck.inspect(spec, stage="tackd")


def test_how_sure_and_the_day_are_passed_on(spec: buildcheck.Spec) -> None:
    known = spec.changed({"records.tape_tolerance": "1/16 in"})
    result = buildcheck.inspect(known, only=["link-flatness"], how_sure=True, today=date(2026, 3, 14), changes=False)
    assert result.inspection.today == date(2026, 3, 14)
    assert any(each.record.plus_or_minus for each in result.readings)


def test_a_shop_standard_is_applied_only_where_it_is_named(spec: buildcheck.Spec, tmp_path: Path) -> None:
    standard = tmp_path / "our.yaml"
    text = (
        "format: 1\nunits: inch-pound\nshop: an invented shop\nlimits:\n  - rule: link-flatness\n"
        "    limit: fore-and-aft\n    warning: {below: -1.1 in}\n    basis: an invented reason\n"
    )
    standard.write_text(text, encoding="utf-8")
    only = ["link-flatness"]
    assert len(buildcheck.inspect(spec, only=only).warnings) == 1
    assert buildcheck.inspect(spec, only=only, standard=standard).warnings == ()
    standard.write_text(text.replace("link-flatness", "link-flatnes"), encoding="utf-8")
    with pytest.raises(buildcheck.SpecProblems, match='did you mean "link-flatness"'):
        buildcheck.inspect(spec, standard=standard)
    standard.write_text(f"{text}plugins: [other.py]\n", encoding="utf-8")
    with pytest.raises(ValueError, match="load it first: load_plugins"):
        buildcheck.inspect(spec, standard=standard)


# Plugins.


def test_a_rule_file_is_used_and_prints_nothing_on_standard_output(
    rule_file: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    plugins = buildcheck.load_plugins(rule_file)
    result = buildcheck.inspect(buildcheck.read(TAMARACK, plugins=plugins), only=["build-name"])
    assert [each.limit for each in result.ok] == ["named"]
    printed = capfd.readouterr()
    assert printed.out == ""
    assert printed.err == "printed while loading\nprinted while running\n"


def test_a_plugin_that_fails_is_in_the_result(tmp_path: Path) -> None:
    file = tmp_path / "broken.py"
    file.write_text("raise RuntimeError('no')\n", encoding="utf-8")
    result = buildcheck.inspect(buildcheck.read(TAMARACK, plugins=buildcheck.load_plugins(file)), only=["weld-size"])
    assert result.failures[0].startswith(f"plugin {file}: RuntimeError: no")
    assert "1 failure of rules or plugins" in str(result)


def test_a_rule_that_fails_is_an_error_and_a_failure(rule_file: Path) -> None:
    rule_file.write_text(RULE.replace('print("printed while running")', "raise KeyError('x')"), encoding="utf-8")
    read = buildcheck.read(TAMARACK, plugins=buildcheck.load_plugins(rule_file))
    result = buildcheck.inspect(read, only=["build-name"])
    (error,) = result.errors
    assert "the rule failed: KeyError" in str(error)
    assert len(result.failures) == 1


def test_the_output_of_other_threads_is_not_redirected(capsys: pytest.CaptureFixture[str]) -> None:
    with ThreadPoolExecutor(1) as pool:
        with prints_to_standard_error():
            print("here")
            pool.submit(print, "there").result()
            with prints_to_standard_error():
                print("here too")
            print("and here")
        print("after")
    printed = capsys.readouterr()
    assert (printed.out, printed.err) == ("there\nafter\n", "here\nhere too\nand here\n")


# Changes.

NEW = st.sampled_from(
    [
        ("lateral_bar.frame.z", "23 in"), ("lateral_bar.frame.z", 23), ("lateral_bar.frame", [5.5, 16, "22 1/2 in"]),
        ("lateral_bar.frame.q", 1), ("lateral_bar.frame.z", "2300 in"), ("lateral_bar.frame.z", "23 lb"),
        ("lateral_bar.frame.z", True), ("lateral_bar.lenth", 3), ("lateral_bar", None), ("links.arm.both.frame.y", 16),
        ("links.arm.left.frame.y", 16), ("links.arm.right.frame.y", -16), ("links.arm.both.kind", "two-point"),
        ("links.arm.both.axle", [1, 2, 3]), ("links.arm.centre", {"kind": "two-point"}), ("links.Arm", {}),
        ("links.upper", {"both": {"kind": "two-point"}}), ("links", {}), ("vehicle.wheelbase", "110 in"),
        ("vehicle.wheelbase", 0), ("steering.layout", "crossover"), ("steering.layout", "worm"), ("format", 2),
        ("units", "metric"), ("units", "furlongs"), ("records.tape_tolerance", "1/16 in"), ("unknown", 1),
        ("coilovers.coilover.left.frame.z", 46), ("attachments.arm_axle_bracket.both.weld.leg", "1/4 in"),
        ("shop.ours.bay", 3), ("axle.tube.material", "shop-metal"), ("build.stage", "tacked"),
    ]
)  # fmt: skip


@given(changes=st.lists(NEW, max_size=3).map(dict))
def test_a_changed_spec_equals_a_file_with_the_change(changes: dict[str, Any]) -> None:
    spec = buildcheck.read(TAMARACK)
    try:
        found = spec.changed(changes)
    except buildcheck.SpecProblems:
        with pytest.raises(buildcheck.SpecProblems):
            spec.changed(changes, checked=True)
        assert _refused_as_a_file(changes)
        return
    plain = written_change(sound_spec(), changes)
    document = as_a_file(plain)
    assert problems_in(document) == ()
    assert found.build == read_build(document.data, spec.plugins.additions)
    assert found.document.data == plain
    assert spec.document.data == sound_spec()


def as_a_file(data: Any) -> Document:
    return read_text(json.dumps(data, indent=1), "a spec")


def _refused_as_a_file(changes: dict[str, Any]) -> bool:
    try:
        return bool(problems_in(as_a_file(written_change(sound_spec(), changes))))
    except LookupError:
        return True


@pytest.mark.parametrize(
    ("changes", "line", "path", "sentence"),
    [
        (
            {"lateral_bar.fram.z": 3}, 77, "lateral_bar.fram.z",
            "the spec has no lateral_bar.fram.z: 'fram' is not there; did you mean 'frame'?",
        ),
        (
            {"lateral_bar.frame.z": "2300 in"}, 78, "lateral_bar.frame[2]",
            "lateral_bar.frame[2] must be between -19.685 in and 137.795 in, and this is 2300 in; "
            'did you mean "2300 mm"?',
        ),
        (
            {"lateral_bar.frame.z": float("nan")}, 78, "lateral_bar.frame.z",
            "a spec cannot hold nan; give a finite number",
        ),
        (
            {"build.name": object()}, 9, "build.name",
            "a spec cannot hold object; give a number, text, a list or a mapping",
        ),
        ({"": 3}, 1, "", "an empty path names nothing that could be changed"),
        ({"..": 3}, 1, "..", '".." is not a spec path; write one like records.measured[2].value'),
    ],
)  # fmt: skip
def test_a_change_that_cannot_be_made_says_why_and_where(
    spec: buildcheck.Spec, changes: dict[str, Any], line: int, path: str, sentence: str
) -> None:
    with pytest.raises(buildcheck.SpecProblems) as raised:
        spec.changed(changes)
    assert [(each.line, each.path, each.sentence) for each in raised.value.problems] == [(line, path, sentence)]


def test_a_changed_spec_shares_nothing_that_can_be_changed(spec: buildcheck.Spec) -> None:
    point = [5.5, 16.0, np.float64(22.5)]
    found = spec.changed({"lateral_bar.frame": point})
    point[0] = 99.0
    assert found.document.data["lateral_bar"]["frame"] == [5.5, 16.0, 22.5]
    assert type(found.document.data["lateral_bar"]["frame"][2]) is float


# Cycle, loads and sweep.


def test_a_cycle_has_named_quantities_in_both_units(spec: buildcheck.Spec) -> None:
    table = buildcheck.cycle(spec, steps=3)
    assert table.heave.unit == "in"
    assert table.heave.shown == pytest.approx([-6, -4, -2, 0, 5 / 3, 10 / 3, 5])  # travel of the example: 6 in and 5 in
    assert table.heave.values == pytest.approx(table.heave.shown * 0.0254)
    steer = table["bump-steer"]
    assert (steer.name, steer.unit, len(steer)) == ("steer", "deg", 7)
    assert steer.shown == pytest.approx(np.degrees(steer.values))
    assert "to the left positive" in steer.meaning
    assert table["roll-steer"].unit == "%"
    assert table["roll-steer"].shown == pytest.approx(100 * table["roll-steer"].values)
    assert table.reached.all()
    assert "bump-steer" in table
    assert "steer" in list(table)
    metric = buildcheck.cycle(buildcheck.read(METRIC), steps=1)
    assert metric.heave.unit == "mm"
    assert metric.heave.shown == pytest.approx(1000 * metric.heave.values)


def test_a_cycle_is_held_at_an_angle_as_a_spec_writes_it(spec: buildcheck.Spec) -> None:
    rolled, again = (buildcheck.cycle(spec, steps=1, roll=roll) for roll in (5, "5 deg"))
    assert rolled["axle-yaw"].values == pytest.approx(again["axle-yaw"].values)
    assert not np.allclose(rolled["axle-yaw"].values, buildcheck.cycle(spec, steps=1)["axle-yaw"].values)


def test_a_quantity_that_is_unknown_or_absent_says_so(spec: buildcheck.Spec) -> None:
    table = buildcheck.cycle(spec, steps=1)
    with pytest.raises(LookupError, match='there is no quantity "bump-ster"; did you mean "bump-steer"'):
        _ = table["bump-ster"]
    plain = dict(spec.document.data)
    del plain["steering"]
    document = as_a_file(plain)
    bare = buildcheck.Spec("a spec", document, read_build(document.data), spec.plugins)
    with pytest.raises(LookupError, match="bump-steer cannot be computed: the spec lacks steering"):
        _ = buildcheck.cycle(bare, steps=1)["bump-steer"]
    with pytest.raises(buildcheck.Missing, match="steering"):
        buildcheck.sweep(bare, "lateral_bar.frame.z", [22, 23], "bump-steer")


def test_cycle_loads_and_sweep_raise_the_same_error_where_nothing_can_be_computed(
    spec: buildcheck.Spec,
) -> None:
    minimal = buildcheck.read(MINIMAL)
    with pytest.raises(buildcheck.Missing, match="the spec lacks travel"):
        buildcheck.cycle(minimal)
    with pytest.raises(buildcheck.Missing, match="the spec lacks coilovers"):
        buildcheck.loads(minimal)
    with pytest.raises(buildcheck.Missing, match="the spec lacks travel"):
        buildcheck.sweep(minimal, "vehicle.track", [60], "steer")
    point = spec.changed({"lateral_bar.frame": [5.5, -16.5, 19.9]})  # a bar that is a point, and holds nothing
    with pytest.raises(buildcheck.Unreached):
        buildcheck.cycle(point)
    with pytest.raises(buildcheck.Unreached):
        buildcheck.loads(point)


library: Any = buildcheck  # so that a wrong kind of argument is no mistake of types

WRONG_KINDS: list[tuple[Callable[[Any], Any], str]] = [
    (lambda spec: library.read(5), "read() takes the name of a file, got 5"),
    (lambda spec: library.read(MINIMAL, plugins=5), "plugins= takes what buildcheck.load_plugins returned or None, "),
    (lambda spec: library.load_plugins(5), "load_plugins() takes the name of a file, got 5"),
    (lambda spec: library.inspect("truck"), "inspect() takes a Spec, as buildcheck.read returns, got 'truck'"),
    (lambda spec: library.inspect(spec, stage=5), "stage= takes the name of a stage or None, got 5"),
    (lambda spec: library.inspect(spec, only=5), "only= takes names of rules, got 5"),
    (lambda spec: library.inspect(spec, only=[5]), "only= takes names of rules, got [5]"),
    (lambda spec: library.inspect(spec, standard=5), "standard= takes the name of a file or None, got 5"),
    (lambda spec: library.inspect(spec, today="today"), "today= takes a date, such as date(2026, 3, 14) or None, got"),
    (lambda spec: library.inspect(spec, plugins=[]), "plugins= takes what buildcheck.load_plugins returned or None, "),
    (lambda spec: library.inspect(spec, how_sure=5), "how_sure= takes True or False or None, got 5"),
    (lambda spec: library.inspect(spec, changes="no"), "changes= takes True or False, got 'no'"),
    (lambda spec: library.cycle("truck"), "cycle() takes a Spec, as buildcheck.read returns, got 'truck'"),
    (lambda spec: library.cycle(spec, steps=2.5), "steps= takes a whole number, got 2.5"),
    (lambda spec: library.cycle(spec, steps=True), "steps= takes a whole number, got True"),
    (lambda spec: library.cycle(spec, roll=None), "roll= takes an angle: a number in degrees, or a text with a unit, "),
    (lambda spec: library.cycle(spec, lock=[5]), "lock= takes an angle: a number in degrees, or a text with a unit, "),
    (lambda spec: library.cycle(spec, steps=1)[5], "a cycle table takes the name of a quantity, got 5"),
    (lambda spec: library.loads("truck"), "loads() takes a Spec, as buildcheck.read returns, got 'truck'"),
    (lambda spec: library.sweep(5, "a", [1], "steer"), "sweep() takes a Spec, as buildcheck.read returns, got 5"),
    (lambda spec: library.sweep(spec, 5, [1], "steer"), "path= takes a spec path, such as lateral_bar.frame.z, got 5"),
    (lambda spec: library.sweep(spec, "a", "22 in", "steer"), "values= takes a list of values, got '22 in'"),
    (lambda spec: library.sweep(spec, "a", 5, "steer"), "values= takes a list of values, got 5"),
    (lambda spec: library.sweep(spec, "a", [5], 5), "quantity= takes the name of a quantity, got 5"),
    (lambda spec: library.sweep(spec, "a", [5], "steer", steps="5"), "steps= takes a whole number, got '5'"),
    (lambda spec: spec.changed(["a"]), "changes= takes a mapping from spec paths to values, got ['a']"),
    (lambda spec: spec.changed({5: 1}), "changes= takes a mapping from spec paths to values, got {5: 1}"),
    (lambda spec: spec.changed({}, checked="yes"), "checked= takes True or False, got 'yes'"),
]


@pytest.mark.parametrize(("call", "sentence"), WRONG_KINDS, ids=[sentence for _, sentence in WRONG_KINDS])
def test_an_argument_of_a_wrong_kind_is_one_sentence(
    call: Callable[[Any], Any], sentence: str, spec: buildcheck.Spec
) -> None:
    with pytest.raises(TypeError) as raised:
        call(spec)
    assert str(raised.value).startswith(sentence)


def test_specs_are_equal_where_they_state_the_same_and_have_the_same_plugins(
    spec: buildcheck.Spec, rule_file: Path, tmp_path: Path
) -> None:
    again = buildcheck.read(TAMARACK)
    assert (again == spec, again is spec, hash(again) == hash(spec)) == (True, False, True)
    copied = tmp_path / "copy.buildcheck.yaml"
    copied.write_text("# a copy\n" + TAMARACK.read_text(encoding="utf-8"), encoding="utf-8")
    assert buildcheck.read(copied) == spec
    assert len({spec, again, buildcheck.read(copied)}) == 1
    higher = spec.changed({"lateral_bar.frame.z": 23})
    assert higher != spec
    assert higher.changed({"lateral_bar.frame.z": spec.document.data["lateral_bar"]["frame"][2]}) == spec
    assert spec.changed({"shop.bay": 1}) != spec.changed({"shop.bay": True})
    assert spec.changed({"shop.bay": 1}) == spec.changed({"shop.bay": 1.0})
    assert buildcheck.read(TAMARACK, plugins=buildcheck.load_plugins(rule_file)) != spec
    assert spec != "a spec"


def test_loads_are_those_of_the_command(spec: buildcheck.Spec) -> None:
    table = buildcheck.loads(spec)
    assert [case.name for case in table.cases][:2] == ["at rest", "braking"]
    assert table.carried


def test_a_sweep_is_one_cycle_after_another(spec: buildcheck.Spec) -> None:
    heights = ["22 in", 22.5, "600 mm"]
    swept = buildcheck.sweep(spec, "lateral_bar.frame.z", heights, "bump-steer", steps=4)
    assert swept.values.shape == (3, 9)
    for height, row in zip(heights, swept.values, strict=True):
        one = buildcheck.cycle(spec.changed({"lateral_bar.frame.z": height}), steps=4)
        assert row == pytest.approx(one["steer"].values, abs=1e-12)
    assert swept.heave.values == pytest.approx(one.heave.values)
    assert (swept.unit, swept.reasons) == ("deg", ("", "", ""))
    assert buildcheck.sweep(spec, "lateral_bar.frame.z", [], "steer").values.shape == (0, 41)


def test_a_variant_that_cannot_hold_the_axle_is_a_row_without_values(spec: buildcheck.Spec) -> None:
    # With its frame end at its axle end the bar is a point and holds nothing.
    swept = buildcheck.sweep(spec, "lateral_bar.frame", [[5.5, -16.5, 19.9], [5.5, 16.5, 22.75]], "steer", steps=1)
    assert np.isnan(swept.values[0]).all()
    assert swept.reasons[0]
    assert np.isfinite(swept.values[1]).all()
    assert swept.reasons[1] == ""
    with pytest.raises(buildcheck.SpecProblems, match="cannot be read as a length"):
        buildcheck.sweep(spec, "lateral_bar.frame.z", [22, "x in"], "steer")
    with pytest.raises(LookupError, match="did you mean"):
        buildcheck.sweep(spec, "lateral_bar.frame.z", [22], "ster")


# Copies, threads and processes.


@pytest.mark.parametrize("again", [lambda one: pickle.loads(pickle.dumps(one)), copy.deepcopy, copy.copy])
def test_specs_and_results_pickle_and_copy(again: Callable[[Any], Any], spec: buildcheck.Spec) -> None:
    result = buildcheck.inspect(spec, only=["link-flatness"])
    assert again(spec).build == spec.build
    assert again(spec).document.data == spec.document.data
    assert again(spec.build) == spec.build
    assert again(result).inspection == result.inspection
    assert [str(each) for each in again(result).readings] == [str(each) for each in result.readings]
    assert str(again(result.warnings[0])) == str(result.warnings[0])
    table = buildcheck.cycle(spec, steps=1)
    assert np.array_equal(again(table)["steer"].values, table["steer"].values)
    assert again(buildcheck.loads(spec)) == buildcheck.loads(spec)


def test_a_pickled_spec_brings_its_plugins_along(rule_file: Path) -> None:
    spec = buildcheck.read(TAMARACK, plugins=buildcheck.load_plugins(rule_file))
    again = pickle.loads(pickle.dumps(spec))
    assert [each.rule for each in buildcheck.inspect(again, only=["build-name"]).readings] == ["build-name"]


def test_plugins_put_together_by_hand_refuse_to_pickle() -> None:
    rules = buildcheck.load_plugins().rules
    with pytest.raises(pickle.PicklingError, match="put together by hand"):
        pickle.dumps(Collected(rules=rules))
    assert pickle.loads(pickle.dumps(Collected())) == Collected()


def test_threads_find_the_same(spec: buildcheck.Spec) -> None:
    with ThreadPoolExecutor(4) as pool:
        found = list(pool.map(lambda _: buildcheck.inspect(spec, only=["link-flatness", "weld-size"]), range(8)))
    assert {tuple(map(str, each.readings)) for each in found} == {tuple(map(str, found[0].readings))}


def test_other_processes_find_the_same(spec: buildcheck.Spec) -> None:
    heights = ["22 in", "23 in"]
    variants = [spec.changed({"lateral_bar.frame.z": height}) for height in heights]
    with ProcessPoolExecutor(1, mp_context=multiprocessing.get_context("spawn")) as pool:
        found = list(pool.map(buildcheck.inspect, variants))
        with pytest.raises(buildcheck.SpecProblems, match="there is no such file"):
            pool.submit(buildcheck.read, os.devnull + "-absent").result()
    here = [buildcheck.inspect(each) for each in variants]
    assert [list(map(str, each.readings)) for each in found] == [list(map(str, each.readings)) for each in here]


# The text of a changed spec.


def test_a_changed_spec_has_the_text_of_its_file_with_the_changes(spec: buildcheck.Spec, tmp_path: Path) -> None:
    text = TAMARACK.read_text(encoding="utf-8")
    assert spec.text == text
    changed = spec.changed({"lateral_bar.frame.z": 23}).changed({"records.tape_tolerance": "1/32 in"})
    wanted = text.replace("frame: [5.5, 16.5, 22.75]", "frame: [5.5, 16.5, 23]")
    assert changed.text == wanted.replace("tape_tolerance: 1/16 in    #", "tape_tolerance: 1/32 in    #")
    file = tmp_path / "changed.buildcheck.yaml"
    file.write_text(changed.text, encoding="utf-8", newline="")
    assert buildcheck.read(file) == changed


def test_the_text_keeps_its_byte_order_mark_and_line_ends(tmp_path: Path) -> None:
    file = tmp_path / "marked.buildcheck.yaml"
    written = "\ufeff" + MINIMAL.read_text(encoding="utf-8").replace("\n", "\r\n")
    file.write_bytes(written.encode())
    assert buildcheck.read(file).text == written
    assert pickle.loads(pickle.dumps(buildcheck.read(file))).text == written
