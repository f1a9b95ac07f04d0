"""Whether data fits what the classes of the build say of their fields: yes or no, in a few milliseconds.

The schema that is made from the same classes gives the same verdict, and says what is wrong; but the library that reads
it takes longer to load than all else that an inspection needs. So it is only loaded for a spec that does not fit.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from datetime import date
from enum import StrEnum
from typing import Annotated, Any, NamedTuple, get_args, get_origin

from buildcheck.build import forms
from buildcheck.build.build import Build
from buildcheck.build.field import Field
from buildcheck.build.part import METALS, MetalName, Part, Point, Sides, Vector, fields
from buildcheck.spec.additions import NOTHING_ADDED, Additions
from buildcheck.spec.place import blank
from buildcheck.spec.quantity import Dimension, QuantityError, System, parse
from buildcheck.spec.threads import thread

PAIR = frozenset({"both", "left", "right"})
PAIR_OR_MIDDLE = PAIR | {"centre"}


class Reader(NamedTuple):
    """How a spec is read: what its bare numbers mean, and the names that plugins add."""

    system: System
    additions: Additions


def fits(data: Any, additions: Additions = NOTHING_ADDED) -> bool:
    """Whether the data of a spec is what the classes say; not where it has fields of a shop's plugin, whose own schema
    has to be asked."""
    system = System.METRIC if isinstance(data, dict) and data.get("units") == "metric" else System.INCH_POUND
    return _is_part(Build, data, Reader(system, additions)) and not additions.shop_fields.keys() & data.get("shop", ())


def _is_part(kind: type[Part], data: Any, reader: Reader) -> bool:
    declared = fields(kind)
    return (
        isinstance(data, dict)
        and all(name in declared and _is(declared[name], kind.SAID[name], data[name], reader) for name in data)
        and all(name in data for name in declared if kind.SAID[name].needed)
        and _keys_go_together(kind, data)
    )


def _is(kind: Any, said: Field, value: Any, reader: Reader) -> bool:
    """Whether a value is of a kind, with what the class says of the field."""
    origin, inner = get_origin(kind), get_args(kind)
    if said.as_written:
        return _is_as_written(said.as_written, value, reader)
    if origin is Annotated:
        return _is_amount(value, inner[1], said.between, reader)
    if origin is Sides:
        return _is_sides(inner[0], value, PAIR, reader)
    if origin is dict:
        return _is_named(inner[1], value, reader)
    if origin is tuple:
        return _is_list(inner[0], said, value, reader)
    if kind is Point:
        return _is_point(value, forms.AROUND_THE_TRUCK, reader)
    if kind is Vector:
        return _is_vector(value)
    if kind is MetalName:
        return isinstance(value, str) and (value in METALS or value in reader.additions.metals)
    if issubclass(kind, Part):
        return _is_part(kind, value, reader)
    if said.one_of or issubclass(kind, StrEnum):
        return _is_choice(said.one_of or tuple(kind), said.plugins_add, value, reader)
    if kind is str:
        return _is_text(said, value)
    if kind is bool:
        return isinstance(value, bool)
    return _is_number(value, said.between) and (kind is float or value == int(value))


def _is_amount(value: Any, dimension: Dimension, between: Any, reader: Reader) -> bool:
    if dimension is Dimension.SPEED and not (isinstance(value, str) and re.fullmatch(forms.WITH_UNIT, value)):
        return False
    least, most = (parse(end, dimension, System.METRIC) for end in between)
    try:
        return least <= parse(value, dimension, reader.system) <= most
    except QuantityError:
        return False


def _is_number(value: Any, between: Any) -> bool:
    least, most = between
    return isinstance(value, int | float) and not isinstance(value, bool) and least <= value <= most


def _is_point(value: Any, around: Any, reader: Reader) -> bool:
    return (
        isinstance(value, list)
        and len(value) == 3
        and all(
            _is_amount(number, Dimension.LENGTH, between, reader) for number, between in zip(value, around, strict=True)
        )
    )


def _is_vector(value: Any) -> bool:
    reach = (-forms.LONGEST_DIRECTION, forms.LONGEST_DIRECTION)
    return (
        isinstance(value, list)
        and len(value) == 3
        and all(_is_number(number, reach) for number in value)
        and any(abs(number) >= forms.SHORTEST_DIRECTION for number in value)
    )


def _is_choice(choices: tuple[Any, ...], plugins_add: str, value: Any, reader: Reader) -> bool:
    if isinstance(value, str):
        return value in choices or (plugins_add != "" and value in getattr(reader.additions, plugins_add))
    return isinstance(value, int | float) and not isinstance(value, bool) and value in choices


def _is_text(said: Field, value: Any) -> bool:
    if not isinstance(value, str):
        return False
    if not said.form:
        return len(value) <= said.longest and not blank(value)
    made = {"date": date.fromisoformat, "thread": thread}[said.form]
    try:
        return re.fullmatch(forms.FORMS[said.form]["pattern"], value) is not None and bool(made(value))
    except ValueError:
        return False


def _is_as_written(what: str, value: Any, reader: Reader) -> bool:
    if what == "group":
        return isinstance(value, dict)
    if isinstance(value, list):
        return what == "amount or point" and _is_point(value, (forms.ANYWHERE,) * 3, reader)
    if isinstance(value, str):
        return len(value) <= forms.LONGEST_AMOUNT
    return _is_number(value, (-math.inf, math.inf))


def _is_sides(kind: type[Part], value: Any, sides: frozenset[str], reader: Reader) -> bool:
    return (
        isinstance(value, dict)
        and bool(value)
        and value.keys() <= sides
        and not ("both" in value and len(value) > ("centre" in value) + 1)
        and all(_is_part(kind, part, reader) for part in value.values())
    )


def _is_named(kind: Any, value: Any, reader: Reader) -> bool:
    if not isinstance(value, dict) or not value:
        return False
    if get_origin(kind) is Sides:
        (part,) = get_args(kind)
        names = forms.NAME_BESIDE_SIDES
        sound = all(_is_sides(part, held, PAIR_OR_MIDDLE, reader) for held in value.values())
    else:
        names = forms.NAME
        sound = all(_is_part(kind, held, reader) for held in value.values())
    return sound and all(re.fullmatch(names, name) for name in value)


def _is_list(kind: Any, said: Field, value: Any, reader: Reader) -> bool:
    if said.or_one and not isinstance(value, list):
        value = [value]
    least, most = said.how_many
    return (
        isinstance(value, list)
        and least <= len(value) <= most
        and all(_is(kind, Field(), item, reader) for item in value)
    )


def _keys_go_together(kind: type[Part], data: Mapping[str, Any]) -> bool:
    """Whether the keys of a part are of one choice, one of two, and none that do not go together."""
    if kind.VARIES_BY and not _is_one_variant(kind, data):
        return False
    if kind.EXACTLY_ONE and sum(name in data for name in kind.EXACTLY_ONE) != 1:
        return False
    return not kind.NEVER_TOGETHER or any(_at(data, path) != value for path, value in kind.NEVER_TOGETHER.items())


def _is_one_variant(kind: type[Part], data: Mapping[str, Any]) -> bool:
    choice = data.get(kind.VARIES_BY)
    return choice is None or (
        all(name in data for name in fields(kind) if choice in kind.SAID[name].needed_for)
        and _has_none_of_another(kind, data, choice)
        and all(
            _has_none_of_another(held, data[name], choice)
            for name, held in fields(kind).items()
            if name in data and isinstance(held, type) and issubclass(held, Part) and held.GROUPS
        )
    )


def _has_none_of_another(kind: type[Part], data: Mapping[str, Any], choice: str) -> bool:
    """Whether a part has no field that another choice has for itself."""
    return all(kind.SAID[name].only_for in ("", choice) for name in data)


def _at(data: Any, path: str) -> Any:
    """Return the value at a path of keys; None where there is none."""
    for step in path.split("."):
        data = data.get(step) if isinstance(data, dict) else None
    return data
