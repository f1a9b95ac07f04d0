"""Check a document against the schema of the build spec: each mistake gets its place and one plain sentence."""

from __future__ import annotations

import heapq
import json
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, partial
from importlib.resources import files
from itertools import chain, islice
from typing import Any

from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError
from jsonschema.validators import extend

from buildcheck.spec.additions import NOTHING_ADDED, Additions
from buildcheck.spec.document import Document
from buildcheck.spec.guard import Mishap, guarded
from buildcheck.spec.names import hint
from buildcheck.spec.place import Position, Problem, blank, clean, join, split, visible
from buildcheck.spec.plain_yaml import MAX_PROBLEMS, MORE
from buildcheck.spec.quantity import Dimension, QuantityError, System, parse, show
from buildcheck.spec.threads import thread
from buildcheck.spec.unit_slip import as_percent, in_another_unit, with_unit

SPEC_SCHEMA = "build-spec.schema.json"
STANDARD_SCHEMA = "shop-standard.schema.json"
_TYPE_WORDS = {
    "object": "a group of keys",
    "array": "a list",
    "string": "text",
    "number": "a number",
    "integer": "a whole number",
    "boolean": "true or false",
    "null": "nothing",
}
_TRIPLE = "three numbers [x, y, z]"
ENOUGH = 5_000
"""Errors of the schema library after which it is stopped: no real file has that many, and each takes time."""

# Where one value breaks the schema in several ways, the first of these keywords explains it best.
_TELLING = ("not", "type", "minItems", "maxItems", "enum", "pattern", "format")


@cache
def schema_text(name: str = SPEC_SCHEMA) -> str:
    """Text of one of the schemas of buildcheck."""
    return files("buildcheck_schemas").joinpath(name).read_text(encoding="utf-8")


@cache
def schema(name: str = SPEC_SCHEMA) -> Mapping[str, Any]:
    """One of the schemas of buildcheck, as plain data."""
    loaded: Mapping[str, Any] = json.loads(schema_text(name))
    return loaded


SIDES = ("both", "left", "right", "centre")


def wrong_in_json(data: Any, name: str) -> str:
    """The first thing that is wrong in the data of a JSON file of ours, as a sentence; "" where it fits its schema."""

    def order(error: ValidationError) -> tuple[str, str]:
        return error.json_path, str(error.validator)

    error = min(Draft202012Validator(schema(name)).iter_errors(data), key=order, default=None)
    if error is None:
        return ""
    path = error.json_path.removeprefix("$").removeprefix(".")
    where = f"at {clean(path)} " if path else ""
    if error.validator == "required":
        lacking = next(key for key in error.validator_value if key not in error.instance)
        return f"{where}it lacks {clean(str(lacking))}"
    return f"{where}its value is not of the right kind" if where else "it is not of the right kind"


@dataclass(frozen=True, slots=True)
class _Fault:
    """One way in which the value at a spec path breaks the schema; `say` makes the sentence."""

    path: str
    broken: str
    say: Callable[[], str]

    @property
    def rank(self) -> int:
        return _TELLING.index(self.broken) if self.broken in _TELLING else len(_TELLING)


def problems_in(
    document: Document, name: str = SPEC_SCHEMA, *, additions: Additions = NOTHING_ADDED, changed: str = ""
) -> tuple[Problem, ...]:
    """Find all problems of a document, in the order of the file.

    They are the values and keys that were refused on reading it, and those that the schema of the build spec, or the
    named one, does not allow. Empty for a valid spec, whose `data` can then be read. The schema finds one problem per
    key, with one sentence that states the mistake, what was expected, and the nearest known name where one was
    mistyped; it skips values that were already refused. The place of an unknown key is where it is written, that of a
    missing one is the group in which it belongs. After `MAX_PROBLEMS` problems, a last one states that the rest was
    left out. `additions` are the names and the shop's fields that plugins add to a spec. `changed` is the path of the
    one value by which the document differs from a valid one: only what that change can affect is then checked.
    """
    data = document.legible
    system = System.METRIC if data.get("units") == "metric" else System.INCH_POUND
    added = additions if name == SPEC_SCHEMA else NOTHING_ADDED
    own = _own_faults(data, system, name, added, split(changed))
    found = islice(chain(own, _shop_faults(data, system, added)), ENOUGH)
    faults = [fault for fault in found if fault.path not in document.unread]
    placed = [(document.position(fault.path), fault) for fault in faults]
    placed.sort(key=lambda pair: (pair[0], pair[1].path, pair[1].rank))
    problems = heapq.merge(document.problems, _problems_of(placed), key=lambda problem: (problem.line, problem.column))
    return tuple(_not_too_many(problems))


def _own_faults(
    data: Any, system: System, name: str, additions: Additions, changed: Sequence[str | int]
) -> Iterator[_Fault]:
    """Faults by a schema of buildcheck, in the parts that a change at some steps can affect."""
    validator = _validator(system, _added_names(additions), name)
    schema, above = validator.schema, []
    for step in changed:
        below = _below(validator, schema, data, step)
        if below is None:
            break
        schema, data = below, data[step]
        above.append(step)
    for error in _of_same_kind(validator, schema).iter_errors(data):
        error.path.extendleft(reversed(above))
        yield from _faults(error)


# Keywords that the schema of a group may have if a value of one key is to affect that key only.
_EACH_KEY_FOR_ITSELF = {
    *("$id", "$schema", "additionalProperties", "description", "examples", "minProperties", "properties"),
    *("propertyNames", "required", "title", "type"),
}


def _of_same_kind(validator: Any, schema: Any) -> Any:
    # The library's own `evolve` chooses the class by the schema's `$schema`, which lacks our keywords.
    return type(validator)(schema, format_checker=validator.format_checker)


def _below(validator: Any, schema: Mapping[str, Any], data: Any, step: str | int) -> Mapping[str, Any] | None:
    """Schema of the value of one key, where a change below it cannot make any other key invalid; else None."""
    if not isinstance(data, dict) or step not in data or not schema.keys() <= _EACH_KEY_FOR_ITSELF:
        return None
    if "propertyNames" in schema and not _of_same_kind(validator, schema["propertyNames"]).is_valid(step):
        return None
    below = schema.get("properties", {}).get(step, schema.get("additionalProperties"))
    return below if isinstance(below, dict) else None


def _added_names(additions: Additions) -> frozenset[tuple[str, str]]:
    """Each name that plugins add, with the list to which it belongs: `("joint_kinds", "dry-bushing")`."""
    return frozenset(
        (kind, name) for kind in ("joint_kinds", "bolt_grades", "metals") for name in getattr(additions, kind)
    )


def _shop_faults(data: Any, system: System, additions: Additions) -> Iterator[_Fault]:
    """Faults of the fields that plugins own. Raises Mishap for a schema that does not terminate."""
    shop = data.get("shop")
    for key, owned in additions.shop_fields.items() if isinstance(shop, dict) else ():
        if key in shop:
            validator = _with_keywords(system, ours=False)(owned, format_checker=Draft202012Validator.FORMAT_CHECKER)
            try:
                with guarded():
                    errors = list(islice(validator.iter_errors(shop[key]), ENOUGH))
            except Mishap as mishap:
                raise Mishap(f"the schema of its shop.{key}: {mishap}") from None
            for error in errors:
                yield from _faults(error, join("shop", key))


def _problems_of(placed: Iterable[tuple[Position, _Fault]]) -> Iterator[Problem]:
    reported: set[str] = set()
    misnamed: set[str] = set()
    for position, fault in placed:
        if any(fault.path.startswith(f"{name}.") for name in misnamed):
            continue  # the values under an invalid name were meant for another place
        if fault.broken == "pattern" and fault.path.rpartition(".")[2] in SIDES:
            misnamed.add(fault.path)
        if fault.path not in reported:
            reported.add(fault.path)
            yield Problem(visible(fault.say()), fault.path, position.line, position.column)


def _not_too_many(problems: Iterable[Problem]) -> Iterator[Problem]:
    for count, problem in enumerate(problems):
        if count == MAX_PROBLEMS:
            yield problem._replace(sentence=MORE)
            return
        yield problem


@cache
def _validator(system: System, added: frozenset[tuple[str, str]] = frozenset(), name: str = SPEC_SCHEMA) -> Any:
    whole = _without_references(added, name)
    return _with_keywords(system, ours=True)(whole, format_checker=Draft202012Validator.FORMAT_CHECKER)


@cache
def _with_keywords(system: System, *, ours: bool) -> Any:
    """The schema library's validator with our own keywords, for bare numbers in one system of units; in a plugin's
    schema, `pattern` and `minLength` have their standard meaning."""

    def quantity(validator: Any, rule: Mapping[str, str], value: Any, owner: Any) -> Iterator[ValidationError]:
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            return  # another keyword refuses the type
        dimension = Dimension(rule["dimension"])
        try:
            amount = parse(value, dimension, system)
        except QuantityError as error:
            yield ValidationError(str(error))
            return
        lowest, highest = (parse(rule[end], dimension, System.METRIC) for end in ("from", "to"))
        if not lowest <= amount <= highest:
            least, most = (show(end, dimension, system) for end in (lowest, highest))
            if dimension is Dimension.SPEED:  # a welding speed: unfamiliar in the usual unit, miles per hour
                least, most = rule["from"], rule["to"]
            if dimension is Dimension.RATIO:
                meant = as_percent(value, lowest, highest)
            else:
                meant = in_another_unit(value, dimension, system, (lowest, highest), owner.get("examples", ()))
            yield ValidationError(
                f"must be between {least} and {most}, and this is {with_unit(value, dimension, system)}{meant}"
            )

    def pattern(validator: Any, rule: str, value: Any, _: Any) -> Iterator[ValidationError]:
        # The whole text must match; the library's own search would accept a line break at its end.
        if isinstance(value, str) and not re.fullmatch(rule, value):
            yield ValidationError("does not fit")

    def min_length(validator: Any, least: int, value: Any, _: Any) -> Iterator[ValidationError]:
        # A text that must not be empty must have a visible character.
        if isinstance(value, str) and (len(value) < least or blank(value)):
            yield ValidationError("is too short")

    def is_thread(validator: Any, rule: bool, value: Any, _: Any) -> Iterator[ValidationError]:
        try:
            thread(str(value))
        except ValueError as error:
            yield ValidationError(str(error))

    keywords = {"quantity": quantity, "thread": is_thread}
    if ours:
        keywords |= {"pattern": pattern, "minLength": min_length}
    return extend(Draft202012Validator, keywords)  # type: ignore[no-untyped-call]  # theirs


# Keywords allowed next to a reference in our schemas: words for people.
BESIDE_A_REFERENCE = {"description", "examples"}


def _without_references(added: Iterable[tuple[str, str]], file: str = SPEC_SCHEMA) -> Any:
    """One of our schemas with each reference replaced by its definition: checking then takes half the time.

    `added` are names that plugins add; a list of the schema takes in those of the kind that its `pluginsAdd` says.

    `added` are names that plugins add to its lists. Our schemas refer only to their own definitions, and never in a
    circle.
    """
    whole: dict[str, Any] = json.loads(schema_text(file))
    definitions: dict[str, Any] = whole.pop("$defs")

    def put_in(node: Any) -> Any:
        if isinstance(node, list):
            return [put_in(item) for item in node]
        if not isinstance(node, dict):
            return node
        own = {key: put_in(value) for key, value in node.items() if key != "$ref"}
        if "pluginsAdd" in own:
            own["enum"] += sorted(name for kind, name in added if kind == own["pluginsAdd"])
        return {**named(node["$ref"].rpartition("/")[2]), **own} if "$ref" in node else own

    @cache
    def named(name: str) -> Any:
        return put_in(definitions[name])

    return put_in(whole)


def _faults(error: ValidationError, start: str = "") -> Iterator[_Fault]:
    """Yield the faults of one error of the schema library, one for each spec path that it concerns; `start` is the path
    of the value that a plugin's own schema checked."""
    path = start
    for step in error.absolute_path:
        path = join(path, step)
    value: Any = error.instance
    wanted: Any = error.validator_value
    owner: Any = error.schema
    broken = str(error.validator)
    match broken:
        case "additionalProperties":
            known = list(owner.get("properties", ()))
            for key in value:
                if key not in known and not any(re.search(each, key) for each in owner.get("patternProperties", ())):
                    yield _Fault(join(path, key), broken, partial(_unknown_key, key, path or _called(owner), known))
        case "required":
            for key in wanted:
                if key not in value:
                    yield _Fault(join(path, key), broken, partial(_lacks, path or _called(owner), key))
        case "not" if not start and "const" in wanted:
            yield _Fault(path, broken, partial(_cannot_both, path))
        case "not" if not start:
            key = wanted["required"][0]
            yield _Fault(join(path, key), broken, partial(_out_of_place, key))
        case "pattern" if not start and error.absolute_schema_path[-2] == "propertyNames":
            yield _Fault(join(path, value), broken, partial(_no_name, value, wanted))
        case "contains" if not start and not all(isinstance(number, int | float) for number in value):
            return  # a value that is not a number has a fault of its own
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
            return f"must be {_TRIPLE}, and this has {len(value)}"
        case "minItems" | "maxItems":
            return (
                f"must have at {'least' if broken == 'minItems' else 'most'} {wanted} in it, and this has {len(value)}"
            )
        case "minLength" if value == "":
            return "is empty; write something, or leave out a key that is not needed"
        case "minLength":
            return "is blank; write something"
        case "maxLength":
            return f"must be at most {wanted} characters long, and this has {len(value)}"
        case "minProperties" if "properties" in owner:
            return f"is empty; it needs at least one of {_list(list(owner['properties']))}"
        case "minProperties":
            return "is empty; name at least one, or leave the section out"
        case "contains" if _is_triple(owner):
            return "is a direction, so it cannot be all zero"
        case "pattern" if isinstance(value, str) and blank(value):
            return "is blank; write something"
        case "pattern" if "examples" in owner:
            return f"must be written like {owner['examples'][0]}, {_and_this_is(value)}"
        case "format" if wanted == "date":
            return f"is not a date in the calendar: {clean(value)}"
        case "quantity" | "thread":  # the sentence was made where the reason is known
            return error.message
        case _:  # in the schema of a plugin
            description = owner.get("description") if isinstance(owner, dict) else None
            return f"is not what the plugin that owns it allows ({broken}){f': {description}' if description else ''}"


def _kind_wanted(owner: Any) -> str:
    if "quantity" in owner:
        example = f", written like {owner['examples'][0]}" if owner.get("examples") else ""
        return f"{_with_article(owner['quantity']['dimension'])}{example}"
    kinds = owner["type"] if isinstance(owner["type"], list) else [owner["type"]]
    if kinds == ["array"] and _is_triple(owner):
        return _TRIPLE
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


_WHOLES = {SPEC_SCHEMA: "a spec", STANDARD_SCHEMA: "a shop standard"}


def _called(owner: Any) -> str:
    """Name of the kind of file that one of our schemas describes."""
    return next(called for name, called in _WHOLES.items() if schema(name)["$id"] == owner.get("$id"))


def _unknown_key(key: str, path: str, known: list[str]) -> str:
    whole = path in _WHOLES.values()
    what, others = (f"a section of {path}", "the sections") if whole else (f"a key of {path}", "its keys")
    said = hint(key, known) or f"{others} are {_list(known) or 'none'}"
    return f'"{clean(key)}" is not {what}; {said}'


def _meant(value: Any, choices: list[Any]) -> str:
    said = hint(str(value), [str(choice) for choice in choices])
    return f"; {said}" if said else ""


def _no_name(name: str, pattern: str) -> str:
    if name in SIDES:
        return f'"{name}" is a side, and goes under a name of your own: a name for the part first, then its side'
    after_the_first = re.search(r"\{0,(\d+)\}", pattern)
    if after_the_first is not None and len(name) > (longest := int(after_the_first[1]) + 1):
        return f'"{clean(name)}" cannot be a name; names have at most {longest} characters, and this has {len(name)}'
    fitting = re.sub(r"[^a-z0-9]+", "_", name.casefold()).strip("_")
    hint = f', so write it "{fitting}"' if re.fullmatch(pattern, fitting) else ""
    return f'"{clean(name)}" cannot be a name; names have small letters, digits and underscores, a letter first{hint}'


def _cannot_both(path: str) -> str:
    """Sentence on the one combination that the schema forbids: two links of the steering, each fixed to the other."""
    return (
        f"{path}: the tie rod is joined to the drag link, so the drag link cannot end on the tie rod too, or nothing "
        "steers; one of the two goes to the knuckle"
    )


def _out_of_place(key: str) -> str:
    if key == "until_date":
        return 'a waiver has one end; write "until_stage" or "until_date", not both'
    if key in ("left", "right"):
        return f'"{key}" cannot be used with "both"; write both, or left and right'
    if key == "axle":
        return 'a radius arm has "axle_upper" and "axle_lower" in place of "axle"'
    return f'"{key}" belongs to a radius arm; a two-point link has "axle"'


def _lacks(path: str, key: str) -> str:
    if key == "until_stage" and path.startswith("waivers["):
        return f'{path} has no end; write "until_stage" or "until_date"'
    return f'{path} needs "{key}", which is not there'


def _list(words: Iterable[Any]) -> str:
    return ", ".join(str(word) for word in words)
