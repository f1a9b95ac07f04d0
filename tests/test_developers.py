"""The rule that DEVELOPERS.md shows is whole, runs, and does what its samples say."""

import builtins
import re
import subprocess
import sys
import types
from importlib.metadata import EntryPoint
from pathlib import Path

import pytest

from buildcheck import api
from buildcheck import testing as kit
from buildcheck.build import read_build
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Verdict
from buildcheck.plugins.contributions import KINDS
from buildcheck.plugins.loading import Collected, collect, load_rule_files
from buildcheck.spec.document import read_file

ROOT = Path(__file__).parent.parent
INCH = 0.0254
KIT = (*kit.__all__, "builds")


@pytest.fixture
def collected(monkeypatch: pytest.MonkeyPatch) -> Collected:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    found = re.search(r"<!-- rule example -->\n```python\n(.*?)```", text, re.DOTALL)
    assert found is not None
    module = types.ModuleType("rule_of_the_guide")
    exec(compile(found[1], "DEVELOPERS.md", "exec"), module.__dict__)
    monkeypatch.setitem(sys.modules, module.__name__, module)
    return collect([EntryPoint("guide", module.__name__, "buildcheck")])


def test_the_rule_of_the_guide_is_a_sound_plugin(collected: Collected) -> None:
    assert collected.failures == ()
    assert [rule.name for rule in collected.rules] == ["coilover-middle"]


def test_the_rule_of_the_guide_reads_the_example(collected: Collected) -> None:
    document = read_file(ROOT / "examples/tamarack/proposal.buildcheck.yaml")
    readings = inspect(read_build(document.data), collected.rules).readings
    assert [(reading.subject, reading.quantity, reading.verdict) for reading in readings] == [
        ("left coilover", "left-for-droop", Verdict.OK),
        ("right coilover", "left-for-droop", Verdict.OK),
    ]
    # Eyes at ride height 27.7310 in apart, by Pythagoras from the spec's points: 1, 2.5 and 27.6 in.
    apart = (1.0**2 + 2.5**2 + 27.6**2) ** 0.5
    for reading in readings:
        assert reading.value == pytest.approx((35.5 - apart) / 14.0, rel=1e-12)


def test_the_samples_of_the_guide_do_what_they_say(collected: Collected) -> None:
    document = read_file(ROOT / "examples/tamarack/proposal.buildcheck.yaml")
    (rule,) = collected.rules
    for sample in rule.samples:
        data = read_file(ROOT / "examples/tamarack/proposal.buildcheck.yaml").data
        for path, value in sample.change.items():
            section, name, side, key = path.split(".")
            data[section][name][side][key] = value
        readings = inspect(read_build(data), [rule]).readings
        found = {reading.quantity: reading.verdict for reading in readings if reading.verdict is not Verdict.OK}
        assert found == dict(sample.finds), sample.says
    assert document.data["coilovers"]["coilover"]["both"]["frame"] == [-1.5, 18.5, 45.1]


def test_the_shop_rule_of_the_guide_and_its_test_run_as_they_are_written(tmp_path: Path) -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    files = dict(re.findall(r"<!-- shop rule: (\w+\.py) -->\n```python\n(.*?)```", text, re.DOTALL))
    assert sorted(files) == ["bar_length.py", "test_bar_length.py"]
    for name, code in files.items():
        (tmp_path / name).write_text(code, encoding="utf-8")
    ran = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-W", "error", "test_bar_length.py"],
        cwd=tmp_path,
        capture_output=True,
        encoding="utf-8",
        check=False,
        timeout=600,
    )
    assert ran.returncode == 0, ran.stdout
    assert "3 passed" in ran.stdout
    (rule,) = load_rule_files([tmp_path / "bar_length.py"]).rules
    document = read_file(ROOT / "examples/tamarack/proposal.buildcheck.yaml")
    (reading,) = inspect(read_build(document.data), [rule]).readings
    # From the spec's points: 33 in across and 2.85 in down.
    assert reading.value == pytest.approx((33.0**2 + 2.85**2) ** 0.5 * 0.0254, rel=1e-12)
    assert reading.verdict is Verdict.OK


def test_the_amount_of_the_shop_rule_of_the_guide_is_enough(tmp_path: Path) -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    (code,) = re.findall(r"<!-- shop rule: bar_length.py -->\n```python\n(.*?)```", text, re.DOTALL)
    (tmp_path / "bar_length.py").write_text(code, encoding="utf-8")
    (rule,) = load_rule_files([tmp_path / "bar_length.py"]).rules
    build = read_build(read_file(ROOT / "examples/tamarack/proposal.buildcheck.yaml").data)
    short = build.with_value("lateral_bar.frame.y", 10 * INCH)
    (reading,) = inspect(short, [rule]).readings
    assert reading.cure is not None
    assert reading.cure.words == "move the frame end of the lateral bar to the left {amount}"
    assert reading.cure.amount is not None
    for amount, verdict in ((reading.cure.amount, Verdict.OK), (reading.cure.amount - INCH / 16, Verdict.WARNING)):
        moved = short.with_value("lateral_bar.frame.y", 10 * INCH + amount)
        assert [each.verdict for each in inspect(moved, [rule]).readings] == [verdict]


def test_the_two_forms_of_a_rule_in_the_guide_are_refused_and_used(tmp_path: Path) -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    forms = dict(re.findall(r"<!-- interface (\d) -->\n```python\n(.*?)```", text, re.DOTALL))
    assert sorted(forms) == ["1", "2"]
    for form, code in forms.items():
        (tmp_path / f"form_{form}.py").write_text(code, encoding="utf-8")
    (failure,) = load_rule_files([tmp_path / "form_1.py"]).failures
    assert '"From interface 1 to 2" in DEVELOPERS.md' in failure.sentence
    used = load_rule_files([tmp_path / "form_2.py"])
    assert used.failures == ()
    assert "### From interface 1 to 2" in text
    build = read_build(read_file(ROOT / "examples/tamarack/proposal.buildcheck.yaml").data)
    assert [(each.subject, each.quantity, each.verdict) for each in inspect(build, used.rules).readings] == [
        ("left brake line", "slack", Verdict.OK),
        ("right brake line", "slack", Verdict.OK),
    ]


def test_every_name_of_the_guide_that_a_rule_imports_is_offered() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    guide = text[text.index("## Add a rule in ten minutes") : text.index("### What else a plugin may add")]
    named = re.findall(r"`([A-Z]\w+)\(", guide) + re.findall(r"`(\w+)\(", guide)
    ours = {name for name in named if not hasattr(builtins, name) and name not in KIT}
    assert {"Move", "Resize", "Words", "each", "made", "met"} <= ours
    assert [name for name in sorted(ours) if not hasattr(api, name)] == []


def test_the_guide_names_every_hook() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    for kind in KINDS:
        assert f"`{kind.hook}`" in text
