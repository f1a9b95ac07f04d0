"""Assertions about every built-in rule: its samples give their findings, and every limit has edges."""

import importlib

import pytest
from buildcheck_rules import buildcheck_rules
from edges import example_data

from buildcheck.checks.rule import Rule, Sample
from buildcheck.testing import check_sample

RULES = tuple(buildcheck_rules())
SAMPLES = [pytest.param(rule, sample, id=f"{rule.name}: {sample.says}") for rule in RULES for sample in rule.samples]


@pytest.mark.parametrize(("rule", "sample"), SAMPLES)
def test_a_sample_finds_what_it_says(rule: Rule, sample: Sample) -> None:
    check_sample(rule, sample, example_data())


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_a_rule_has_a_sample_that_passes_and_one_that_finds(rule: Rule) -> None:
    assert {sample.passes for sample in rule.samples} == {True, False}


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_a_rule_has_a_test_file_of_its_edges(rule: Rule) -> None:
    tests = importlib.import_module(f"test_{rule.name.replace('-', '_')}")
    tests.test_every_limit_has_its_edges()


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_an_applies_function_is_named_for_the_case_where_the_check_applies(rule: Rule) -> None:
    """`when=welded`, for a function that returns None where the bracket is welded: not the reason why it does not."""
    named = {check.when.__name__ for check in rule.checks if check.when is not None}
    assert [name for name in named if set(name.split("_")) & {"not", "no", "none", "nothing", "it", "why"}] == []


def test_every_bound_of_a_rule_is_tried_in_either_tier(request: pytest.FixtureRequest) -> None:
    """Of the rules whose edges are part of this run."""
    tried: dict[str, set[tuple[str, str]]] = {}
    wanted: dict[str, set[tuple[str, str]]] = {}
    for item in request.session.items:
        if isinstance(item, pytest.Function) and hasattr(item, "callspec") and "edge" in item.callspec.params:
            edge, (_, edges) = item.callspec.params["edge"], item.get_closest_marker("parametrize").args
            tried.setdefault(item.module.__name__, set()).add((edge.limit, edge.bound))
            wanted[item.module.__name__] = {(each.limit, each.bound) for each in edges}
    assert tried == wanted
