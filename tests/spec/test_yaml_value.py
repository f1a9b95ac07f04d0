"""What a rule's page shows of a sample is YAML that reads back as the sample's own value."""

from __future__ import annotations

from typing import Any

import pytest
from buildcheck_rules import buildcheck_rules
from hypothesis import given
from hypothesis import strategies as st

from buildcheck.spec.document import read_text
from buildcheck.spec.yaml_value import flow

RULES = tuple(buildcheck_rules())


def read_back(text: str) -> Any:
    return read_text(f"value: {text}\n", "a spec").data["value"]


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ([5.5, 18, 22.75], "[5.5, 18, 22.75]"),
        ({"count": 4, "length": "1/2 in"}, "{count: 4, length: 1/2 in}"),
        ({"holds": ["links.arm", "a b"], "level": True}, "{holds: [links.arm, a b], level: true}"),
        (True, "true"),
        (None, "null"),
        ({}, "{}"),
        ([], "[]"),
        ("ER70S-6", "ER70S-6"),
        ("60 %", "60 %"),
        ("-1/2 in", "-1/2 in"),
        ("2026-03-14", '"2026-03-14"'),
        ("yes", '"yes"'),
        ("true", '"true"'),
        ("35", '"35"'),
        ("010", '"010"'),
        ("", '""'),
        ("a, b", '"a, b"'),
        ("a: b", '"a: b"'),
        ("a #b", '"a #b"'),
        ("[a", '"[a"'),
        ("- a", '"- a"'),
        ('5" tube', '"5\\" tube"'),
    ],
)
def test_a_value_is_shown_as_a_spec_would_hold_it(value: Any, text: str) -> None:
    assert flow(value) == text
    assert read_back(text) == value


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_every_sample_of_every_rule_reads_back(rule: Any) -> None:
    for sample in rule.samples:
        for value in sample.change.values():
            assert read_back(flow(value)) == value


PRINTABLE = st.text(st.characters(min_codepoint=32, max_codepoint=126), max_size=12)


@given(
    st.recursive(
        PRINTABLE | st.booleans() | st.integers(-(10**14), 10**14) | st.floats(-1e9, 1e9),
        lambda inner: (
            st.lists(inner, max_size=3)
            | st.dictionaries(st.from_regex("[a-z]{1,5}", fullmatch=True).map("k_{}".format), inner, max_size=3)
        ),
        max_leaves=6,
    )
)
def test_whatever_a_spec_can_hold_reads_back(value: Any) -> None:
    assert read_back(flow(value)) == value
