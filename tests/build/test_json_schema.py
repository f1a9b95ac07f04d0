"""What the classes of the build say of their fields, and the schema of the spec that is made from it."""

from __future__ import annotations

import json
import pickle
from enum import StrEnum
from typing import Annotated, Any, get_origin

import pytest

from buildcheck.build import Build, Missing, Part, Point, Side, Sides, Stage
from buildcheck.build.field import field
from buildcheck.build.forms import BASIS, FORMS
from buildcheck.build.json_schema import schema_of
from buildcheck.build.linkage import Tube
from buildcheck.build.part import Angle, Length, MetalName, NamedPart, fields
from buildcheck.build.write_schema import schema_text
from buildcheck.job.layout import ASSUMED_STIFFNESS
from buildcheck.spec.schema import schema
from buildcheck.spec.schema import schema_text as text_in_the_file
from buildcheck.strength.bolts import PROOF_STRENGTH


def all_parts() -> set[type[Part]]:
    found: set[type[Part]] = set()
    waiting = [Part]
    while waiting:
        for kind in waiting.pop().__subclasses__():
            if kind.__module__.startswith("buildcheck."):
                found.add(kind)
                waiting.append(kind)
    return found


PARTS = sorted(all_parts(), key=lambda kind: kind.__name__)
FIELDS = [(kind, name) for kind in PARTS for name in fields(kind)]


def test_the_file_is_what_the_classes_give() -> None:
    assert text_in_the_file() == schema_text(), "run `python -m buildcheck.build.write_schema`"


def test_every_class_is_one_that_a_spec_can_fill() -> None:
    bases = {base for kind in PARTS for base in kind.__bases__} - {Part, NamedPart}
    defined = set(schema()["$defs"]) - {"point", "vector", "metal"}
    named = {"".join(word.capitalize() for word in name.split("_")) for name in defined}
    assert {kind.__name__ for kind in PARTS} - named == {"Build", "NamedPart", "Bolt"}
    assert {"Bolt"} <= {base.__name__ for base in bases}


class Colour(StrEnum):
    RED = "red"
    BLUE = "blue"


class Latch(Part):
    """A latch.

    This is for programmers.
    """

    GROUPS = True

    turn: Angle = field("How far it turns.", between=("0 deg", "90 deg"), example="30 deg", only_for="hinged")


class Lid(Part):
    """A lid that closes something."""

    VARIES_BY = "kind"
    EXACTLY_ONE = ("opened_on", "never_opened")

    kind: str = field("How it opens.", one_of=("hinged", "loose"), needed=True)
    colour: Colour = field("Its colour.")
    edge: Length = field("Its longest edge.", between=("1 mm", "2 m"), example="12 in", needed_for=("loose",))
    middle: Point = field("Its middle.", example=(0, 0, 20))
    made_of: MetalName
    hinges: int = field("How many hinges it has.", between=(1, 4), example=2)
    opened_on: str = field("When it was last opened.", form="date", for_people=True)
    never_opened: bool = field("Whether it never was.")
    names: tuple[str, ...] = field("What it is called.", how_many=(1, 3), or_one=True, example="lid")
    latch: Latch
    handles: dict[str, Sides[Tube]] = field("Its handles, by name.")


def test_a_class_says_all_that_the_schema_holds() -> None:
    """Every word of a small schema, written out."""
    made = schema_of(Lid)
    handles = made["properties"].pop("handles")
    assert list(made["$defs"]) == ["point", "metal", "latch", "tube"]
    assert {**made, "$defs": {"latch": made["$defs"]["latch"]}} == {
        "type": "object",
        "description": "A lid that closes something.",
        "required": ["kind"],
        "properties": {
            "kind": {
                "type": "string",
                "enum": ["hinged", "loose"],
                "examples": ["hinged"],
                "description": "How it opens.",
            },
            "colour": {
                "type": "string",
                "enum": ["red", "blue"],
                "examples": ["red"],
                "description": "Its colour.",
            },
            "edge": {
                "type": ["number", "string"],
                "quantity": {"dimension": "length", "from": "1 mm", "to": "2 m", "basis": BASIS},
                "description": "Its longest edge.",
                "examples": ["12 in"],
            },
            "middle": {"$ref": "#/$defs/point", "description": "Its middle.", "examples": [(0, 0, 20)]},
            "made_of": {"$ref": "#/$defs/metal"},
            "hinges": {
                "type": "integer",
                "minimum": 1,
                "maximum": 4,
                "description": "How many hinges it has.",
                "examples": [2],
            },
            "opened_on": {"type": "string", **FORMS["date"], "description": "When it was last opened."},
            "never_opened": {"type": "boolean", "examples": [True], "description": "Whether it never was."},
            "names": {
                "type": ["string", "array"],
                "minLength": 1,
                "maxLength": 500,
                "items": {"type": "string", "minLength": 1, "maxLength": 500, "examples": ["lid"]},
                "minItems": 1,
                "maxItems": 3,
                "description": "What it is called.",
                "examples": ["lid"],
            },
            "latch": {"$ref": "#/$defs/latch"},
        },
        "additionalProperties": False,
        "allOf": [
            {
                "if": {"type": "object", "properties": {"kind": {"const": "hinged"}}, "required": ["kind"]},
                "then": {},
            },
            {
                "if": {"type": "object", "properties": {"kind": {"const": "loose"}}, "required": ["kind"]},
                "then": {
                    "required": ["edge"],
                    "properties": {
                        "latch": {"if": {"type": "object"}, "then": {"allOf": [{"not": {"required": ["turn"]}}]}}
                    },
                },
            },
        ],
        "dependentSchemas": {"opened_on": {"not": {"required": ["never_opened"]}}},
        "if": {"not": {"required": ["never_opened"]}},
        "then": {"required": ["opened_on"]},
        "$defs": {
            "latch": {
                "type": "object",
                "description": "A latch.",
                "properties": {
                    "turn": {
                        "type": ["number", "string"],
                        "quantity": {"dimension": "angle", "from": "0 deg", "to": "90 deg", "basis": BASIS},
                        "description": "How far it turns.",
                        "examples": ["30 deg"],
                    }
                },
                "additionalProperties": False,
            }
        },
    }
    assert handles["propertyNames"] == {"pattern": "^(?!(both|left|right|centre)$)[a-z][a-z0-9_]{0,39}$"}
    assert handles["additionalProperties"]["properties"]["left"]["$ref"] == "#/$defs/tube"


@pytest.mark.parametrize("kind", PARTS, ids=lambda kind: kind.__name__)
def test_no_field_hides_an_attribute_that_every_part_has(kind: type[Part]) -> None:
    assert not set(fields(kind)) & (set(dir(Part)) | Part.NOT_IN_THE_SPEC)


@pytest.mark.parametrize(("kind", "name"), FIELDS, ids=lambda each: getattr(each, "__name__", each))
def test_a_field_has_words_a_range_and_an_example(kind: type[Part], name: str) -> None:
    declared, said = fields(kind)[name], kind.SAID[name]
    describes_itself = declared is MetalName or (isinstance(declared, type) and issubclass(declared, Part))
    assert said.words or describes_itself
    assert said.words == "" or (said.words.endswith(".") and said.words == " ".join(said.words.split()))
    is_amount = get_origin(declared) is Annotated
    assert (said.between is not None) == (is_amount or (declared in (int, float) and not said.one_of))
    if is_amount or declared in (int, float, Point):
        assert said.example is not None or said.one_of


@pytest.mark.parametrize(("kind", "name"), FIELDS, ids=lambda each: getattr(each, "__name__", each))
def test_only_a_free_text_or_a_date_is_for_people_alone(kind: type[Part], name: str) -> None:
    said = kind.SAID[name]
    assert not said.for_people or (fields(kind)[name] is str and not said.one_of and said.form in ("", "date"))


def test_a_field_that_the_spec_lacks_is_missing_and_the_class_still_says_what_it_is() -> None:
    tube = Tube("links.lower.both.tube", "left lower link tube", Side.LEFT, {"wall": 0.00635})
    assert tube.wall == pytest.approx(0.00635)
    with pytest.raises(Missing, match=r"the spec lacks links\.lower\.both\.tube\.grade"):
        _ = tube.grade
    assert not hasattr(tube, "grade")
    assert Tube.SAID["wall"].between == ("0.5 mm", "100 mm")
    assert pickle.loads(pickle.dumps(tube)) == tube == tube.changed()


def test_every_amount_has_its_range_in_the_schema() -> None:
    amounts = sum(get_origin(fields(kind)[name]) is Annotated for kind, name in FIELDS if kind.__name__ != "Bolt")
    assert schema_text().count('"quantity": {') == amounts + 3 + 1  # of a point, and of a point that was measured


def choices(definition: str, key: str) -> list[Any]:
    found: list[Any] = schema()["$defs"][definition]["properties"][key]["enum"]
    return found


def test_every_choice_of_the_schema_has_what_is_computed_from_it() -> None:
    assert set(choices("joint", "kind")) == set(ASSUMED_STIFFNESS) - {"typical"}
    assert set(choices("bolts", "grade")) == set(PROOF_STRENGTH)
    assert choices("measurement", "stage") == list(Stage)


def test_the_keys_are_in_the_order_of_the_classes() -> None:
    assert list(schema()["properties"]) == list(fields(Build))
    assert json.loads(schema_text()) == schema()
