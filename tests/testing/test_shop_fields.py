"""The fields that a plugin owns: each mistake in one sentence at its place, whatever its schema is made of."""

from __future__ import annotations

import re
from typing import Any

import pytest
from buildcheck_rules.spec_consistency import rule as spec_consistency

from buildcheck import api
from buildcheck.api import Dimension, Length, Part, ShopFields, Verdict, field, inspect, shop_amount, shop_part
from buildcheck.build import Missing, read_build
from buildcheck.plugins.loading import Collected
from buildcheck.spec.document import read_text
from buildcheck.spec.guard import Unusable
from buildcheck.spec.schema import problems_in

HEAD = "format: 1\nunits: inch-pound\n"
Said = list[tuple[int, int, str, str]]


def said(schema: Any, text: str) -> Said:
    additions = Collected(shop_fields=(ShopFields("ours", schema),)).additions
    found = problems_in(read_text(f"{HEAD}shop: {text}\n", "a spec"), additions=additions)
    return [(problem.line, problem.column, problem.path, problem.sentence) for problem in found]


def of(bay: dict[str, Any]) -> dict[str, Any]:
    return {"type": "object", "properties": {"bay": bay}}


NOT_ALLOWED = "shop.ours.bay is not what the plugin that owns it allows"
TABLE: list[tuple[dict[str, Any], str, str]] = [
    ({"type": "integer"}, "x", 'shop.ours.bay must be a whole number, and this is the text "x"'),
    ({"type": ["integer", "null"]}, "x", 'shop.ours.bay must be a whole number or nothing, and this is the text "x"'),
    ({"enum": [1, 2]}, "3", "shop.ours.bay must be one of 1, 2, and this is 3"),
    ({"enum": ["north", "south"]}, "nroth", "shop.ours.bay must be one of north, south, and this is the text "
     '"nroth"; did you mean "north"?'),
    ({"const": 4}, "3", "shop.ours.bay must be 4, and this is 3"),
    ({"minimum": 4}, "3", "shop.ours.bay must be at least 4, and this is 3"),
    ({"exclusiveMinimum": 4}, "4", f"{NOT_ALLOWED} (exclusiveMinimum)"),
    ({"multipleOf": 4, "description": "every fourth"}, "3", f"{NOT_ALLOWED} (multipleOf): every fourth"),
    ({"not": {"type": "string"}}, "x", f"{NOT_ALLOWED} (not)"),
    ({"not": {"required": ["a"]}}, "{a: 1}", f"{NOT_ALLOWED} (not)"),
    ({"anyOf": [{"type": "string"}, {"minimum": 4}]}, "3", f"{NOT_ALLOWED} (anyOf)"),
    ({"oneOf": [{"type": "integer"}, {"minimum": 1}]}, "3", f"{NOT_ALLOWED} (oneOf)"),
    ({"contains": {"type": "string"}}, "[1]", f"{NOT_ALLOWED} (contains)"),
    ({"uniqueItems": True}, "[1, 1]", f"{NOT_ALLOWED} (uniqueItems)"),
    ({"pattern": "^N"}, "south", f"{NOT_ALLOWED} (pattern)"),
    ({"pattern": "^N[0-9]$", "examples": ["N1"]}, "x",
     'shop.ours.bay must be written like N1, and this is the text "x"'),
    ({"propertyNames": {"pattern": "^N"}}, "{a: 1}", f"{NOT_ALLOWED} (pattern)"),
    ({"format": "date"}, "2026-02-30", "shop.ours.bay is not a date in the calendar: 2026-02-30"),
    ({"dependentRequired": {"a": ["b"]}}, "{a: 1}", f"{NOT_ALLOWED} (dependentRequired)"),
    ({"unevaluatedProperties": False}, "{a: 1}", f"{NOT_ALLOWED} (unevaluatedProperties)"),
    ({"type": ["number", "string"], "quantity": {"dimension": "length", "from": "0 in", "to": "4 in"}}, "5",
     'shop.ours.bay must be between 0.000 in and 4.000 in, and this is 5 in; did you mean "5 mm"?'),
    ({"type": ["number", "string"], "quantity": {"dimension": "length", "from": "0 in", "to": "4 in"}}, "[5]",
     "shop.ours.bay must be a length, and this is a list"),
]  # fmt: skip


@pytest.mark.parametrize(("schema", "written", "sentence"), TABLE, ids=[f"{row[0]}" for row in TABLE])
def test_a_mistake_is_reported_at_its_place(schema: dict[str, Any], written: str, sentence: str) -> None:
    assert said(of(schema), f"{{ours: {{bay: {written}}}}}") == [(3, 15, "shop.ours.bay", sentence)]


def test_an_unknown_or_missing_key_is_reported_where_it_is_or_should_be() -> None:
    schema = {
        "type": "object",
        "properties": {"bay": {}},
        "patternProperties": {"^x_": {}},
        "additionalProperties": False,
        "required": ["bay"],
    }
    assert said(schema, "{ours: {x_a: 1, bya: 2}}") == [
        (3, 8, "shop.ours.bay", 'shop.ours needs "bay", which is not there'),
        (3, 23, "shop.ours.bya", '"bya" is not a key of shop.ours; did you mean "bay"?'),
    ]


def test_a_reference_within_the_schema_is_followed() -> None:
    schema = {"$defs": {"bay": {"type": "integer"}}, "properties": {"bay": {"$ref": "#/$defs/bay"}}}
    assert [result[3] for result in said(schema, "{ours: {bay: x}}")] == [
        'shop.ours.bay must be a whole number, and this is the text "x"'
    ]


@pytest.mark.parametrize("text", ["{theirs: {bay: x}}", "{}", "{ours: {bay: 3}}"])
def test_fields_without_an_owner_and_valid_fields_are_accepted(text: str) -> None:
    assert said({**of({"type": "integer"}), "additionalProperties": False}, text) == []


def test_an_amount_is_read_in_the_units_of_the_spec() -> None:
    build = read_build(read_text(f"{HEAD}shop: {{ours: {{bare: 2, metric: 10 mm, none: }}}}\n", "a spec").data)
    assert shop_amount(build, "shop.ours.bare", Dimension.LENGTH) == pytest.approx(0.0508)
    assert shop_amount(build, "shop.ours.metric", Dimension.LENGTH) == pytest.approx(0.010)
    for absent in ("shop.ours.none", "shop.ours.other", "shop.theirs.bare"):
        with pytest.raises(Missing, match=absent):
            shop_amount(build, absent, Dimension.LENGTH)


class Bay(Part):
    """The bay that the truck is in."""

    width: Length = field("How wide it is.", between=("8 ft", "20 ft"), example="12 ft", needed=True)
    lift: bool = field("Whether it has a lift.")


class Ours(Part):
    """What the shop writes down."""

    bay: Bay
    moved_in: str = field("The day it came.", form="date")


def test_a_class_says_what_may_stand_there_and_reads_it() -> None:
    assert said(Ours, "{ours: {bay: {width: 40 ft, lift: maybe}, moved_in: soon, paint: red}}") == [
        (
            *(3, 21, "shop.ours.bay.width"),
            "shop.ours.bay.width must be between 96.000 in and 240.000 in, and this is 40 ft",
        ),
        (3, 35, "shop.ours.bay.lift", 'shop.ours.bay.lift must be true or false, and this is the text "maybe"'),
        (
            3,
            49,
            "shop.ours.moved_in",
            'shop.ours.moved_in must be written like 2026-03-14, and this is the text "soon"',
        ),
        (3, 65, "shop.ours.paint", '"paint" is not a key of shop.ours; its keys are bay, moved_in'),
    ]
    assert said(Ours, "{ours: {bay: {width: 144}}}") == []
    build = read_build(read_text(f"{HEAD}shop: {{ours: {{bay: {{width: 144}}}}}}\n", "a spec").data)
    assert shop_part(build, "ours", Ours).bay.width == pytest.approx(144 * 0.0254)
    with pytest.raises(Missing, match=r"shop\.ours\.bay\.lift"):
        _ = shop_part(build, "ours", Ours).bay.lift
    with pytest.raises(Missing, match=r"shop\.theirs\.bay"):
        _ = shop_part(build, "theirs", Ours).bay


class Boundless(Part):
    """A class that does not say how wide a bay may be."""

    width: Length = field("How wide it is.")


class Endless(Part):
    """A class that does not say how many there may be."""

    names: tuple[str, ...] = field("What it is called.")


class Unclear(Part):
    """A class with a field of a kind that no spec has."""

    names: set[str] = field("What it is called.")


class Tube(Part):
    """A tube of the shop's own."""


class TwoTubes(Part):
    """A class that would mix up two others."""

    ours: Tube
    theirs: api.Tube


@pytest.mark.parametrize(
    ("kind", "wrong"),
    [
        (Boundless, "Boundless.width is a number, and needs between=(least, most)"),
        (Endless, "Endless.names is a list, and needs how_many=(least, most)"),
        (Unclear, "Unclear.names is of a kind that no field can be"),
        (TwoTubes, "two classes are called Tube"),
        (dict, "dict is no Part of buildcheck.api"),
    ],
)
def test_a_class_that_does_not_say_what_it_must_is_refused(kind: Any, wrong: str) -> None:
    with pytest.raises(Unusable, match=rf"^the class of its shop\.ours: {re.escape(wrong)}$"):
        _ = ShopFields("ours", kind).json_schema


def not_checked(keys: str) -> list[tuple[Verdict, str]]:
    unowned = f"no plugin in use owns {keys}, and nothing else checks shop fields"
    return [(Verdict.NOT_CHECKED, unowned)]


@pytest.mark.parametrize(
    ("written", "found"),
    [
        ("{ours: {bay: 3}}", [(Verdict.OK, "")]),
        ("{}", []),
        (
            "{our: {bay: 3}}",
            not_checked('shop.our (did you mean "ours"?)'),
        ),
        (
            "{ours: {bay: 3}, theirs: 1, mine: 2}",
            not_checked("shop.theirs, shop.mine"),
        ),
    ],
)
def test_fields_that_no_plugin_owns_are_not_checked(written: str, found: list[tuple[Verdict, str]]) -> None:
    """It is no mistake: on a machine without the plugin that owns it, the spec is as sound as on one that has it."""
    additions = Collected(shop_fields=(ShopFields("ours", {"type": "object"}),)).additions
    document = read_text(f"{HEAD}shop: {written}\n", "a spec")
    assert problems_in(document, additions=additions) == ()
    readings = inspect(read_build(document.data, additions), [spec_consistency]).readings
    of_shop = [each for each in readings if "shop-fields" in (each.quantity, *each.unchecked)]
    assert [(each.verdict, each.reason) for each in of_shop] == found


def test_without_any_plugin_the_shops_fields_are_not_checked() -> None:
    build = read_build(read_text(f"{HEAD}shop: {{ours: {{bay: 3}}}}\n", "a spec").data)
    (reading,) = [each for each in inspect(build, [spec_consistency]).readings if each.subject == "whole build"]
    assert reading.verdict is Verdict.NOT_CHECKED
    assert reading.reason == "no plugin in use owns shop.ours, and nothing else checks shop fields"
