"""A document against the schema of the build spec: every mistake with its place, in one plain sentence."""

from __future__ import annotations

import difflib
import json
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError
from jsonschema.validators import extend

from buildcheck.document import Document, Problem, clean, join
from buildcheck.quantity import Dimension, QuantityError, System, parse

SPEC_SCHEMA = "build-spec.schema.json"
_TYPE_WORDS = {
    "object": "a mapping (keys with values below it)",
    "array": "a list",
    "string": "text",
    "number": "a number",
    "integer": "a whole number",
    "boolean": "true or false",
    "null": "nothing",
}


@cache
def schema_text(name: str = SPEC_SCHEMA) -> str:
    """The text of one of the schemas that come with buildcheck."""
    return files("buildcheck_schemas").joinpath(name).read_text(encoding="utf-8")


@cache
def schema(name: str = SPEC_SCHEMA) -> Mapping[str, Any]:
    """One of the schemas that come with buildcheck, as plain data."""
    loaded: Mapping[str, Any] = json.loads(schema_text(name))
    return loaded


def problems_in(document: Document) -> tuple[Problem, ...]:
    """Everything in a document that the schema of the build spec does not allow, in the order of the file.

    Empty for a valid spec. Each problem has one sentence that says what is wrong, what was expected, and the nearest
    known name where one was mistyped.
    """
    data: Any = document.data
    if not isinstance(data, dict):
        return (_at(document, "", f"a spec is a mapping of sections, and this is {_kind(data)}"),)
    system = System.METRIC if data.get("units") == "metric" else System.INCH_POUND
    found: dict[tuple[int, int, str], Problem] = {}
    for error in _validator(system).iter_errors(data):
        for path, sentence in _sentences(error):
            problem = _at(document, path, sentence)
            found.setdefault((problem.line, problem.column, problem.path + sentence), problem)
    return tuple(_most_telling(found[key] for key in sorted(found)))


def _most_telling(problems: Iterable[Problem]) -> Iterator[Problem]:
    """One problem a place: the first of them, which sorts before the rest."""
    seen: set[str] = set()
    for problem in problems:
        # Unknown and missing keys share the place of their section, so there the sentence tells them apart.
        key = problem.path
        if key not in seen:
            seen.add(key)
            yield problem


def _at(document: Document, path: str, sentence: str) -> Problem:
    position = document.position(path)
    return Problem(sentence, path, position.line, position.column)


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
        lowest, highest = _range(dimension, rule["from"], rule["to"])
        if not lowest <= amount <= highest:
            yield ValidationError(
                f"{clean(str(value))} is outside the sane range for a {dimension}, {rule['from']} to {rule['to']}"
            )

    extended: Any = extend(Draft202012Validator, {"quantity": quantity})  # type: ignore[no-untyped-call]  # theirs
    return extended(schema())


@cache
def _range(dimension: Dimension, lowest: str, highest: str) -> tuple[float, float]:
    return parse(lowest, dimension, System.METRIC), parse(highest, dimension, System.METRIC)


def _sentences(error: ValidationError) -> Iterator[tuple[str, str]]:
    """The sentences for one error of the schema library, each with the spec path that it belongs to."""
    path = ""
    for key in error.absolute_path:
        path = join(path, key)
    value: Any = error.instance
    wanted: Any = error.validator_value
    match error.validator:
        case "additionalProperties":
            yield from _unknown_keys(error, path)
        case "required":
            for key in wanted:
                if key not in value:
                    yield join(path, key), f"{_name(path)} needs {key!r}, which is not there"
        case "type":
            words = " or ".join(_TYPE_WORDS[kind] for kind in ([wanted] if isinstance(wanted, str) else wanted))
            yield path, f"{_name(path)} must be {words}, and this is {_kind(value)}{_truth_hint(wanted, value)}"
        case "enum":
            yield path, _choice(path, value, wanted)
        case "const":
            yield path, f"{_name(path)} must be {wanted!r}, and this is {_kind(value)}"
        case "minimum" | "maximum":
            word = "at least" if error.validator == "minimum" else "at most"
            yield path, f"{_name(path)} must be {word} {wanted}, and this is {_kind(value)}"
        case "minItems" | "maxItems":
            word = "at least" if error.validator == "minItems" else "at most"
            yield path, f"{_name(path)} must have {word} {wanted} entries, and this has {len(value)}"
        case "minLength" | "maxLength":
            word = "not be empty" if error.validator == "minLength" else f"be at most {wanted} long"
            yield path, f"{_name(path)} must {word}"
        case "minProperties":
            yield path, f"{_name(path)} is empty; it needs both:, or left: and right:"
        case "contains":
            yield path, f"{_name(path)} is a direction, so it cannot be all zero"
        case "pattern" if error.absolute_schema_path[-2] == "propertyNames":
            yield join(path, value), f"{clean(value)!r} is no name: use small letters, digits and underscores"
        case "pattern":
            yield path, f"{_name(path)} must be written like {_example(error)}, and this is {_kind(value)}"
        case "quantity":
            yield path, f"{_name(path)}: {error.message}"
        case None:
            yield path, _forbidden(path)
        case other:
            yield path, f"{_name(path)} is not allowed here ({other})"


def _example(error: ValidationError) -> Any:
    owner: Any = error.schema
    return owner["examples"][0]


def _unknown_keys(error: ValidationError, path: str) -> Iterator[tuple[str, str]]:
    owner: Any = error.schema
    held: Any = error.instance
    known = list(owner.get("properties", {}))
    for key in held:
        if key not in known:
            near = difflib.get_close_matches(str(key), known, 1, 0.6)
            hint = f"; did you mean {near[0]!r}?" if near else f"; it may hold {_list(known)}"
            yield join(path, key), f"{clean(str(key))!r} is not a key of {_name(path)}{hint}"


def _choice(path: str, value: Any, choices: list[str]) -> str:
    near = difflib.get_close_matches(str(value), choices, 1, 0.6)
    hint = f"; did you mean {near[0]!r}?" if near else ""
    return f"{_name(path)} must be one of {_list(choices)}, and this is {_kind(value)}{hint}"


def _forbidden(path: str) -> str:
    last = path.rpartition(".")[2]
    if last in ("left", "right"):
        return f"{last!r} cannot stand beside 'both'; write both:, or left: and right:"
    if last == "axle":
        return "a radius arm has axle_upper and axle_lower in place of 'axle'"
    return f"{last!r} belongs to a radius arm; a two-point link has 'axle'"


def _truth_hint(wanted: Any, value: Any) -> str:
    return "; write it without quotes" if wanted == "boolean" and value in ("true", "false") else ""


def _name(path: str) -> str:
    return path or "a spec"


def _list(words: list[str]) -> str:
    return ", ".join(words)


def _kind(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if value is None:
        return "empty"
    if isinstance(value, str):
        return f"the text {clean(value)!r}"
    if isinstance(value, int | float):
        return clean(str(value))
    return "a list" if isinstance(value, list) else "a mapping"
