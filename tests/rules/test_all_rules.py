"""What holds for every built-in rule: samples that say what they do, edges for every limit."""

import importlib

import pytest
from buildcheck_rules import buildcheck_rules
from edges import document_of, example_data, with_data

from buildcheck.build import Stage, read_build
from buildcheck.inspection import inspect
from buildcheck.rule import Reading, Rule, Sample, Verdict
from buildcheck.schema import problems_in

RULES = tuple(buildcheck_rules())
SAMPLES = [pytest.param(rule, sample, id=f"{rule.name}: {sample.says}") for rule in RULES for sample in rule.samples]
SEVERITY = (Verdict.OK, Verdict.WARNING, Verdict.ERROR)


def worst_by_limit(readings: tuple[Reading, ...]) -> dict[str, Verdict]:
    """Every limit that came out other than ok, with its worst verdict."""
    found: dict[str, Verdict] = {}
    for reading in readings:
        worst = max(found.get(reading.quantity, Verdict.OK), reading.verdict, key=SEVERITY.index)
        if worst is not Verdict.OK:
            found[reading.quantity] = worst
    return found


@pytest.mark.parametrize(("rule", "sample"), SAMPLES)
def test_a_sample_finds_what_it_says(rule: Rule, sample: Sample) -> None:
    document = document_of(with_data(example_data(), sample.change))
    assert problems_in(document) == ()
    readings = inspect(read_build(document.data), [rule], stage=Stage.FINAL_WELD).readings
    assert readings
    assert Verdict.NOT_CHECKED not in {reading.verdict for reading in readings}
    assert worst_by_limit(readings) == dict(sample.finds)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_a_rule_has_a_sample_that_passes_and_one_that_finds(rule: Rule) -> None:
    assert {bool(sample.finds) for sample in rule.samples} == {True, False}


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_a_rule_has_a_test_file_of_its_edges(rule: Rule) -> None:
    tests = importlib.import_module(f"test_{rule.name.replace('-', '_')}")
    tests.test_every_limit_has_its_edges()
