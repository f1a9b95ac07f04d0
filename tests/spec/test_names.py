"""The name that is suggested for one that is not known: never a wrong one, and the trade's other names for each."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from buildcheck_rules import buildcheck_rules

from buildcheck.build.part import METALS
from buildcheck.checks.rule import Area
from buildcheck.commands.command import cli
from buildcheck.spec.document import read_text
from buildcheck.spec.names import hint, no_such
from buildcheck.spec.schema import problems_in, schema
from buildcheck.spec.synonyms import CALLED, NOT_ONE


def words_of(node: Any) -> Iterator[str]:
    """Every key, and every word of an enumeration, of a schema."""
    if isinstance(node, dict):
        yield from node.get("properties", ())
        yield from (word for word in node.get("enum", ()) if isinstance(word, str))
        for value in node.values():
            yield from words_of(value)
    elif isinstance(node, list):
        for value in node:
            yield from words_of(value)


KNOWN = {*words_of(schema()), *METALS, *(area.value for area in Area), *cli.commands}
RULES = {rule.name for rule in buildcheck_rules()}


@pytest.mark.parametrize("name", sorted(CALLED))
def test_every_name_that_is_suggested_is_one_that_there_is(name: str) -> None:
    assert name in KNOWN | RULES


@pytest.mark.parametrize("name", sorted(CALLED))
def test_each_other_name_leads_to_its_name_and_to_no_other(name: str) -> None:
    for other in CALLED[name]:
        if other in NOT_ONE:
            continue
        assert f'"{name}"' in hint(other, [name, "unlike", "everything"]), other
        assert hint(other.upper().replace(" ", "-"), [name]) == hint(other, [name])


BAR = ("track bar", "track_bar", "Track-Bar", "trackbar", "panhard", "panhard_rod", "panhard bar", "lateral rod")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        *((f"{each}: {{frame: [1, 2, 3]}}", 'here it is called "lateral_bar"') for each in BAR),
        ("shocks: {}", 'here it is called "coilovers"'),
        # Keys of an earlier format, which said yes and no size.
        ("attachments: {a: {left: {gusseted: true}}}", 'here it is called "gussets"'),
        ("attachments: {a: {left: {braced: true}}}", 'here it is called "brace"'),
        ("brackets: {}", 'here it is called "attachments"'),
        ("sway_bar: {}", "an anti-roll bar has no place in a spec: nothing computes it yet"),
        ("lateral_bar: {joints: {frame: {kind: heim}}}", 'here it is called "rod-end"'),
        ("lateral_bar: {joints: {frame: {kind: bushing}}}", 'a bushing is "rubber" or "polyurethane"; write which one'),
        ("lateral_bar: {tube: {material: mild steel}}", 'here it is called "carbon-steel"'),
        ("lateral_bar: {tube: {material: chromoly}}", 'here it is called "alloy-steel"'),
        ("lateral_bar: {tube: {material: DOM}}", "DOM says how a tube is drawn, and not of what"),
        ("axle: {tube: {material: nodular}}", 'here it is called "ductile-iron"'),
        ("attachments: {a: {both: {weld: {process: MIG}}}}", 'here it is called "gas-metal-arc"'),
        ("attachments: {a: {both: {weld: {process: TIG}}}}", 'here it is called "gas-tungsten-arc"'),
        ("attachments: {a: {both: {weld: {process: stick}}}}", 'here it is called "shielded-metal-arc"'),
        ("attachments: {a: {both: {bolts: {grade: grade 8}}}}", 'here it is called "sae-8"'),
        ("attachments: {a: {both: {method: U-bolt}}}", 'here it is called "u-bolts"'),
        ("coilovers: {a: {both: {length: 20}}}", 'it may be "extended_length" or "compressed_length"; write which one'),
    ],
)
def test_a_word_of_the_trade_leads_to_the_key_or_the_word(text: str, said: str) -> None:
    problems = problems_in(read_text(f"format: 1\nunits: inch-pound\n{text}\n", "s"))
    assert any(said in each.sentence for each in problems), [each.sentence for each in problems]


@pytest.mark.parametrize("written", ["steel", "Steel", "iron", "cast iron", "cast", "stainless", "titanium"])
def test_a_metal_that_is_not_one_is_never_guessed(written: str) -> None:
    [problem] = problems_in(read_text(f"format: 1\nunits: inch-pound\naxle: {{tube: {{material: {written}}}}}\n", "s"))
    assert "did you mean" not in problem.sentence
    assert "here it is called" not in problem.sentence


def test_a_name_that_two_could_be_meant_by_is_not_guessed() -> None:
    assert hint("length", ["extended_length", "compressed_length"]).startswith("it may be")
    assert hint("arm", ["upper_arm", "lower_arm"]) == 'it may be "upper_arm" or "lower_arm"; write which one'
    assert hint("wire", ["gas-metal-arc", "flux-cored-arc", "filler"]) != 'did you mean "filler"?'


def test_a_name_that_belongs_elsewhere_says_which_it_is() -> None:
    assert hint("heim", ["fillet", "groove"]) == 'what it may mean is called "rod-end", and goes elsewhere'


def test_a_typing_error_is_found_and_what_is_unlike_everything_gets_the_list() -> None:
    assert no_such("rule", "link-flatnes", ["link-flatness", "clearance"]) == (
        'there is no rule "link-flatnes"; did you mean "link-flatness"?'
    )
    assert no_such("rule", "winch", ["clearance"]) == 'there is no rule "winch"; there are clearance'
    assert no_such("rule", "winch", []) == 'there is no rule "winch"'
