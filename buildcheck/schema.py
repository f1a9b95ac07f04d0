"""A document against the schema of the build spec: every mistake with its place, in one plain sentence."""

from __future__ import annotations

import difflib
import heapq
import json
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, partial
from importlib.resources import files
from itertools import islice
from typing import Any

from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError
from jsonschema.validators import extend

from buildcheck.document import Document
from buildcheck.place import Position, Problem, clean, join, visible
from buildcheck.plain_yaml import MAX_PROBLEMS, MORE
from buildcheck.quantity import Dimension, QuantityError, System, parse, show
from buildcheck.strength import thread

SPEC_SCHEMA = "build-spec.schema.json"
_TYPE_WORDS = {
    "object": "a group of keys",
    "array": "a list",
    "string": "text",
    "number": "a number",
    "integer": "a whole number",
    "boolean": "true or false",
}
ENOUGH = 5_000
"""Errors of the schema library after which it is stopped: no person makes as many, and each takes its time."""

# Where one value breaks the schema in several ways, the first of these says most about it.
_TELLING = ("not", "type", "minItems", "maxItems", "enum", "pattern", "format")


@cache
def schema_text(name: str = SPEC_SCHEMA) -> str:
    """The text of one of the schemas that come with buildcheck."""
    return files("buildcheck_schemas").joinpath(name).read_text(encoding="utf-8")


@cache
def schema(name: str = SPEC_SCHEMA) -> Mapping[str, Any]:
    """One of the schemas that come with buildcheck, as plain data."""
    loaded: Mapping[str, Any] = json.loads(schema_text(name))
    return loaded


@dataclass(frozen=True, slots=True)
class _Fault:
    """One way in which the value at a spec path breaks the schema; `say` makes the sentence."""

    path: str
    broken: str
    say: Callable[[], str]

    @property
    def rank(self) -> int:
        return _TELLING.index(self.broken) if self.broken in _TELLING else len(_TELLING)


def problems_in(document: Document) -> tuple[Problem, ...]:
    """Everything wrong with a document: the values and keys that were refused on reading it, and whatever the schema of
    the build spec does not allow in the rest; in the order of the file.

    Empty for a valid spec, whose `data` can then be had. The schema finds one problem a key, with one sentence that says
    what is wrong, what was expected, and the nearest known name where one was mistyped; it says nothing of a value that
    was refused already. An unknown key stands where it is written, a missing one where the group stands that it should
    go into. After `MAX_PROBLEMS` problems one more says that the rest was left out.
    """
    data = document.legible
    system = System.METRIC if data.get("units") == "metric" else System.INCH_POUND
    errors = islice(_validator(system).iter_errors(data), ENOUGH)
    faults = [fault for error in errors for fault in _faults(error) if fault.path not in document.unread]
    placed = [(document.position(fault.path), fault) for fault in faults]
    placed.sort(key=lambda pair: (pair[0], pair[1].path, pair[1].rank))
    told = heapq.merge(document.problems, _told(placed), key=lambda problem: (problem.line, problem.column))
    return tuple(_not_too_many(told))


def _told(placed: Iterable[tuple[Position, _Fault]]) -> Iterator[Problem]:
    told: set[str] = set()
    for position, fault in placed:
        if fault.path not in told:
            told.add(fault.path)
            yield Problem(visible(fault.say()), fault.path, position.line, position.column)


def _not_too_many(problems: Iterable[Problem]) -> Iterator[Problem]:
    for count, problem in enumerate(problems):
        if count == MAX_PROBLEMS:
            yield problem._replace(sentence=MORE)
            return
        yield problem


@cache
def _validator(system: System) -> Any:
    def quantity(validator: Any, rule: Mapping[str, str], value: Any, _: Any) -> Iterator[ValidationError]:
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            return  # the type is another keyword's to refuse
        dimension = Dimension(rule["dimension"])
        try:
            amount = parse(value, dimension, system)
        except QuantityError as error:
            yield ValidationError(str(error))
            return
        lowest, highest = (parse(rule[end], dimension, System.METRIC) for end in ("from", "to"))
        if not lowest <= amount <= highest:
            least, most = (show(end, dimension, system) for end in (lowest, highest))
            if dimension is Dimension.SPEED:  # of welding: nobody knows that in the usual unit, miles an hour
                least, most = rule["from"], rule["to"]
            percent = f'; write "{value} %"' if dimension is Dimension.RATIO and not isinstance(value, str) else ""
            yield ValidationError(f"must be between {least} and {most}, and this is {clean(str(value))}{percent}")

    def pattern(validator: Any, rule: str, value: Any, _: Any) -> Iterator[ValidationError]:
        # The whole text has to fit; the library's own search would let a line break at its end through.
        if isinstance(value, str) and not re.fullmatch(rule, value):
            yield ValidationError("does not fit")

    def is_thread(validator: Any, rule: bool, value: Any, _: Any) -> Iterator[ValidationError]:
        try:
            thread(str(value))
        except ValueError as error:
            yield ValidationError(str(error))

    keywords = {"quantity": quantity, "pattern": pattern, "thread": is_thread}
    extended: Any = extend(Draft202012Validator, keywords)  # type: ignore[no-untyped-call]  # theirs
    return extended(_without_references(), format_checker=Draft202012Validator.FORMAT_CHECKER)


# What may stand beside a reference in our schemas: it says something to people and nothing to a validator.
BESIDE_A_REFERENCE = {"description", "examples"}


def _without_references() -> Any:
    """The schema of the build spec with what each reference names put in its place: checked in half the time.

    Our schemas refer only to their own definitions, and never in a circle.
    """
    whole: dict[str, Any] = json.loads(schema_text())
    definitions: dict[str, Any] = whole.pop("$defs")

    def put_in(node: Any) -> Any:
        if isinstance(node, list):
            return [put_in(item) for item in node]
        if not isinstance(node, dict):
            return node
        name = node.get("$ref")
        return definitions[name.rpartition("/")[2]] if name else {key: put_in(value) for key, value in node.items()}

    for name, definition in definitions.items():  # a definition refers to none that comes after it
        definitions[name] = put_in(definition)
    return put_in(whole)


def _faults(error: ValidationError) -> Iterator[_Fault]:
    """What one error of the schema library comes to, for each spec path that it concerns."""
    path = ""
    for step in error.absolute_path:
        path = join(path, step)
    value: Any = error.instance
    wanted: Any = error.validator_value
    owner: Any = error.schema
    broken = str(error.validator)
    match broken:
        case "additionalProperties":
            known = list(owner["properties"])
            for key in value:
                if key not in known:
                    yield _Fault(join(path, key), broken, partial(_unknown_key, key, path, known))
        case "required":
            for key in wanted:
                if key not in value:
                    yield _Fault(join(path, key), broken, partial(_lacks, path, key))
        case "not":
            key = wanted["required"][0]
            yield _Fault(join(path, key), broken, partial(_out_of_place, key))
        case "pattern" if error.absolute_schema_path[-2] == "propertyNames":
            yield _Fault(join(path, value), broken, partial(_no_name, value, wanted))
        case "contains" if not all(isinstance(number, int | float) for number in value):
            return  # what is no number has a fault of its own
        case _:
            yield _Fault(path, broken, partial(_breaks, path, error, broken))


def _breaks(path: str, error: ValidationError, broken: str) -> str:
    sentence = _says(error, broken, error.validator_value)
    return f"{path}{' ' if sentence.startswith(('must', 'is')) else ': '}{sentence}"


def _says(error: ValidationError, broken: str, wanted: Any) -> str:
    value: Any = error.instance
    owner: Any = error.schema
    match broken:
        case "type" if "enum" in owner and str(value) not in owner["enum"]:
            return _says(error, "enum", owner["enum"])
        case "type":
            return f"must be {_kind_wanted(owner)}, {_and_this_is(value)}{_quotes_hint(owner, value)}"
        case "enum":
            return f"must be one of {_list(wanted)}, {_and_this_is(value)}{_meant(value, wanted)}"
        case "const":
            return f"must be {wanted}, {_and_this_is(value)}"
        case "minimum" | "maximum":
            return f"must be at {'least' if broken == 'minimum' else 'most'} {wanted}, {_and_this_is(value)}"
        case "minItems" | "maxItems" if _is_triple(owner):
            return f"must be {_kind_wanted(owner)}, and this has {len(value)}"
        case "minItems" | "maxItems":
            return (
                f"must have at {'least' if broken == 'minItems' else 'most'} {wanted} in it, and this has {len(value)}"
            )
        case "minLength":
            return "is empty; write something, or leave the key out"
        case "maxLength":
            return f"must be at most {wanted} characters long, and this has {len(value)}"
        case "minProperties" if "properties" in owner:
            return f"is empty; it needs at least one of {_list(list(owner['properties']))}"
        case "minProperties":
            return "is empty; name at least one, or leave the section out"
        case "contains":
            return "is a direction, so it cannot be all zero"
        case "pattern":
            return f"must be written like {owner['examples'][0]}, {_and_this_is(value)}"
        case "format":
            return f"is no day of the calendar: {clean(value)}"
        case _:  # quantity and thread, whose sentence was made where the reason is known
            return error.message


def _kind_wanted(owner: Any) -> str:
    if "quantity" in owner:
        return f"{_with_article(owner['quantity']['dimension'])}, written like {owner['examples'][0]}"
    kinds = owner["type"] if isinstance(owner["type"], list) else [owner["type"]]
    if kinds == ["array"] and _is_triple(owner):
        return "three numbers [x, y, z]"
    *others, last = (_TYPE_WORDS[kind] for kind in kinds)
    return f"{', '.join(others)} or {last}" if others else last


def _is_triple(owner: Any) -> bool:
    return bool(owner.get("minItems") == owner.get("maxItems") == 3)


def _with_article(words: str) -> str:
    return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"


def _and_this_is(value: Any) -> str:
    if value is None:
        return "and nothing is written here"
    if isinstance(value, bool):
        return f"and this is {'true' if value else 'false'}"
    if isinstance(value, str):
        return f'and this is the text "{clean(value)}"'
    if isinstance(value, int | float):
        return f"and this is {clean(str(value))}"
    return f"and this is {'a list' if isinstance(value, list) else 'a group of keys'}"


def _quotes_hint(owner: Any, value: Any) -> str:
    if owner["type"] == "boolean" and value in ("true", "false"):
        return "; write it without quotes"
    if owner["type"] == "string" and "quantity" not in owner and isinstance(value, int | float):
        return f'; write it in quotes: "{str(value).lower()}"'
    return ""


def _unknown_key(key: str, path: str, known: list[str]) -> str:
    what, others = (f"a key of {path}", "its keys") if path else ("a section of a spec", "the sections")
    near = _nearest(key, known)
    hint = f'did you mean "{near}"?' if near else f"{others} are {_list(known)}"
    return f'"{clean(key)}" is not {what}; {hint}'


def _meant(value: Any, choices: list[str]) -> str:
    near = _nearest(str(value), choices)
    return f'; did you mean "{near}"?' if near else ""


def _nearest(written: str, known: list[str]) -> str | None:
    """The known name that is spelled most like what was written, whatever its capitals, spaces and hyphens."""
    plain = {_plain(name): name for name in known}
    near = difflib.get_close_matches(_plain(written[:64]), plain, 1, 0.6)
    return plain[near[0]] if near else None


def _plain(name: str) -> str:
    return re.sub(r"[-_ ]+", " ", name.casefold())


def _no_name(name: str, pattern: str) -> str:
    fitting = re.sub(r"[^a-z0-9]+", "_", name.casefold()).strip("_")
    hint = f', so write it "{fitting}"' if re.fullmatch(pattern, fitting) else ""
    return f'"{clean(name)}" cannot be a name; names have small letters, digits and underscores, a letter first{hint}'


def _out_of_place(key: str) -> str:
    if key in ("left", "right"):
        return f'"{key}" cannot stand beside "both"; write both, or left and right'
    if key == "axle":
        return 'a radius arm has "axle_upper" and "axle_lower" in place of "axle"'
    return f'"{key}" belongs to a radius arm; a two-point link has "axle"'


def _lacks(path: str, key: str) -> str:
    return f'{path or "a spec"} needs "{key}", which is not there'


def _list(words: list[str]) -> str:
    return ", ".join(words)
