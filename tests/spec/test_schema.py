"""Every mistake that the schema of the build spec finds, in one plain sentence, at its place."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from buildcheck.build.fits import fits
from buildcheck.spec.document import Unreadable, read_text
from buildcheck.spec.place import Problem
from buildcheck.spec.plain_yaml import MAX_PROBLEMS, MORE
from buildcheck.spec.quantity import Dimension, System, parse, show
from buildcheck.spec.schema import (
    BESIDE_A_REFERENCE,
    SPEC_SCHEMA,
    STANDARD_SCHEMA,
    _with_keywords,
    _without_references,
    problems_in,
    schema,
)
from buildcheck.spec.units import UNITS
from buildcheck.testing.rewritten import resolved

EXAMPLES = sorted(Path(__file__).parents[2].joinpath("examples").rglob("*.buildcheck.yaml"))
HEAD = "format: 1\nunits: inch-pound\n"
Said = tuple[int, int, str, str]


def said(text: str) -> list[Said]:
    return [(problem.line, problem.column, problem.path, problem.sentence) for problem in problems(text)]


def problems(text: str) -> tuple[Problem, ...]:
    return problems_in(read_text(text, "a spec"))


def table() -> list[tuple[str, str, list[Said]]]:
    """The cases of schema_sentences.txt: title, spec below its first two lines, and what is said."""
    cases = []
    whole = Path(__file__).with_name("schema_sentences.txt").read_text(encoding="utf-8")
    for case in whole.split("\n== ")[1:]:
        first, *told = case.rstrip("\n").split("\n>> ")
        title, _, text = first.partition("\n")
        wanted = []
        for one in told:
            place, _, sentence = one.partition("\n")
            position, _, path = place.partition(" ")
            line, _, column = position.partition(":")
            wanted.append((int(line), int(column), path, sentence))
        cases.append((title, text, wanted))
    return cases


TABLE = table()


@pytest.mark.parametrize(("text", "wanted"), [row[1:] for row in TABLE], ids=[row[0] for row in TABLE])
def test_a_mistake_is_one_sentence_at_its_place(text: str, wanted: list[Said]) -> None:
    assert said(f"{HEAD}{text}\n") == wanted


MANY = f"""{HEAD}winch: {{}}
axle:
  castor: 5
steering: crossover
travel: {{bump: -1, droop: six, articulation: 200}}
vehicle:
"""


@pytest.mark.parametrize("text", [text for _, text, _ in TABLE], ids=[title for title, _, _ in TABLE])
def test_the_classes_refuse_it_too(text: str) -> None:
    document = read_text(HEAD + text, "a spec")
    assert document.problems or not fits(document.legible)


def test_the_table_holds_every_kind_of_mistake() -> None:
    assert len(TABLE) > 70
    assert all(wanted for _, _, wanted in TABLE)


def test_what_shows_as_a_name_or_a_date_but_ends_in_a_line_break() -> None:
    assert said(HEAD + 'parts: {"bolt\\n": {ordered: 2}}\nbuild: {date: "2026-03-14\\n"}\n') == [
        (
            3,
            9,
            "parts.bolt\n",
            '"bolt\\n" cannot be a name; names have small letters, digits and underscores, a letter first, so write it '
            '"bolt"',
        ),
        (4, 9, "build.date", 'build.date must be written like 2026-03-14, and this is the text "2026-03-14\\n"'),
    ]


def test_all_mistakes_of_a_file_are_listed_at_once_in_file_order() -> None:
    told = said(MANY)
    assert [(line, path) for line, _, path, _ in told] == [
        (3, "winch"),
        (5, "axle.castor"),
        (6, "steering"),
        (7, "travel.bump"),
        (7, "travel.droop"),
        (7, "travel.articulation"),
        (8, "vehicle"),
    ]


def test_a_key_has_one_problem_and_it_is_the_one_that_says_most() -> None:
    # Each of these breaks the schema in two ways or more.
    for text in ("bump_stops: {stop: {both: {axis: []}}}", "axle: {position: 3}", "links: {arm: {both: {kind: 1}}}"):
        assert len(said(HEAD + text)) == 1, text


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("units: metric", [(1, 1, "format", 'a spec needs "format", which is not there')]),
        ("format: 1", [(1, 1, "units", 'a spec needs "units", which is not there')]),
        ("format: 2\nunits: metric", [(1, 1, "format", "format must be 1, and this is 2")]),
        (
            'format: "1"\nunits: metric',
            [(1, 1, "format", 'format must be a whole number, and this is the text "1"')],
        ),
        (
            "format: 1\nunits: imperial",
            [
                (
                    2,
                    1,
                    "units",
                    'units must be one of inch-pound, metric, and this is the text "imperial"; here it is called '
                    '"inch-pound"',
                )
            ],
        ),
        (
            "format: 1\nunits: Metric",
            [
                (
                    2,
                    1,
                    "units",
                    'units must be one of inch-pound, metric, and this is the text "Metric"; did you mean "metric"?',
                )
            ],
        ),
    ],
)
def test_the_two_lines_that_every_spec_starts_with(text: str, wanted: list[Said]) -> None:
    assert said(text) == wanted


@pytest.mark.parametrize("text", ["- format: 1", "just words", "5", "", "# nothing"])
def test_a_file_that_is_no_mapping_never_comes_as_far_as_the_schema(text: str) -> None:
    with pytest.raises(Unreadable):
        read_text(text, "a spec")


def test_a_range_is_in_the_units_of_the_spec() -> None:
    text = "vehicle: {wheelbase: 20 m}"
    inch = 'vehicle.wheelbase must be between 59.055 in and 314.961 in, and this is 20 m; did you mean "20 ft"?'
    metric = 'vehicle.wheelbase must be between 1500.0 mm and 8000.0 mm, and this is 20 m; did you mean "20 ft"?'
    assert [problem.sentence for problem in problems(HEAD + text)] == [inch]
    assert [problem.sentence for problem in problems("format: 1\nunits: metric\n" + text)] == [metric]


def fields(node: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Every field of the schema that holds a quantity."""
    if isinstance(node, dict):
        if "quantity" in node:
            yield path, node
        for key, inner in node.items():
            yield from fields(inner, f"{path}/{key}")
    elif isinstance(node, list):
        for index, inner in enumerate(node):
            yield from fields(inner, f"{path}/{index}")


FIELDS = dict(fields(schema()))


@pytest.mark.parametrize("system", System)
@pytest.mark.parametrize("field", FIELDS.values(), ids=FIELDS)
def test_every_range_has_a_basis_and_can_be_read_and_shown(field: Any, system: System) -> None:
    assert set(field["quantity"]) == {"dimension", "from", "to", "basis"}
    assert field["quantity"]["basis"] == "common practice, no source"
    dimension = Dimension(field["quantity"]["dimension"])
    lowest, highest = (parse(field["quantity"][end], dimension, System.METRIC) for end in ("from", "to"))
    assert lowest < highest
    for example in field["examples"]:
        assert lowest <= parse(example, dimension, system) <= highest
    if dimension is Dimension.SPEED:
        return  # told as the schema writes it
    for end in (lowest, highest):  # what is told must not read as nothing when it is something: 1 N·m is 0.7 lb-ft
        assert parse(show(end, dimension, system), dimension, system) == pytest.approx(end, rel=0.06, abs=1e-12)


@pytest.mark.parametrize("field", FIELDS.values(), ids=FIELDS)
def test_each_bound_of_a_field_just_passes_and_just_fails(field: Any) -> None:
    """The sentence names the range, and the number that is refused."""
    dimension = Dimension(field["quantity"]["dimension"])
    lowest, highest = (parse(field["quantity"][end], dimension, System.METRIC) for end in ("from", "to"))
    validator = _with_keywords(System.METRIC, ours=True)({"type": field["type"], "quantity": field["quantity"]})
    unit = UNITS[dimension][0]
    hair = 1e-6 * (highest - lowest)
    for end, outward in ((lowest, -hair), (highest, hair)):
        inside, outside = (
            f"{float((end + off) / float(unit.factor) - float(unit.offset))!r} {unit.name}".rstrip()
            for off in (-outward, outward)
        )
        assert list(validator.iter_errors(inside)) == []
        (error,) = validator.iter_errors(outside)
        assert error.message.startswith("must be between ")


# The range of a field, and its example.
WHEELBASE = ("1.5 m", "8 m", "108 in")


@pytest.mark.parametrize(
    ("dimension", "system", "written", "usual", "meant"),
    [
        # Off by 25.4, 12, 39.37, 2.54, 2.205, 4.448, 5.71, 1000 and 145.
        ("length", "metric", 108, WHEELBASE, ["108 in"]),
        ("length", "inch-pound", 2743, WHEELBASE, ["2743 mm"]),
        ("length", "inch-pound", 9.5, WHEELBASE, ["9.5 ft"]),
        ("length", "inch-pound", "2.7", WHEELBASE, ["2.7 m"]),
        ("length", "metric", 270, WHEELBASE, ["270 in", "270 cm"]),
        ("length", "inch-pound", "9 1/2 in", WHEELBASE, ["9 1/2 ft"]),
        ("mass", "metric", 1800, ("200 kg", "1000 kg", "1800 lb"), ["1800 lb"]),
        ("force", "inch-pound", 12000, ("1 kN", "20 kN", "2500 lbf"), ["12000 N"]),
        ("stiffness", "metric", 900, ("2 N/mm", "600 N/mm", "250 lb/in"), ["900 lb/in", "900 lb/ft"]),
        ("pressure", "metric", 24, ("20 kPa", "1.2 MPa", "24 psi"), ["24 psi"]),
        ("pressure", "inch-pound", 1.7, ("20 kPa", "1.2 MPa", "24 psi"), ["1.7 bar"]),
        ("torque", "inch-pound", 2400, ("1 N·m", "2500 N·m", "150 lb-ft"), ["2400 N·m", "2400 lb-in"]),
        ("temperature", "metric", 500, ("50 degC", "300 degC", "500 degF"), ["500 degF"]),
        ("length", "inch-pound", 48, WHEELBASE, []),
        ("length", "inch-pound", 0, WHEELBASE, []),
        ("length", "inch-pound", "1e400 in", WHEELBASE, []),
    ],
)
def test_the_unit_that_brings_a_number_into_its_range_is_named(
    dimension: str, system: str, written: Any, usual: tuple[str, str, str], meant: list[str]
) -> None:
    lowest, highest, example = usual
    rule = {"dimension": dimension, "from": lowest, "to": highest}
    node = {"quantity": rule, "examples": [example]}
    (error,) = _with_keywords(System(system), ours=True)(node).iter_errors(written)
    assert error.message.partition("; did you mean ")[2] == (
        " or ".join(f'"{each}"' for each in meant) + "?" if meant else ""
    )


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name)
def test_the_examples_are_valid(path: Path) -> None:
    assert said(path.read_text(encoding="utf-8")) == []


def test_the_schema_allows_its_own_examples() -> None:
    """Every example of every key, tried in place; so that what an editor offers is what the tool takes."""
    checked = 0

    def try_out(node: object, build_text: str) -> None:
        nonlocal checked
        assert isinstance(node, dict)
        for example in node.get("examples", ()):
            told = [(path, sentence) for _, _, path, sentence in said(HEAD + build_text % json.dumps(example))]
            assert told == [], (build_text, example)
            checked += 1

    for section in ("build", "vehicle", "axle", "travel"):
        for key, node in resolved(schema()["properties"][section])["properties"].items():
            if section != "travel":
                try_out(node, f"{section}: {{{key}: %s}}")
    for name, place in (
        ("coilover", "coilovers: {coilover: {both: {%s}}}"),
        ("limit_strap", "limit_straps: {strap: {both: {%s}}}"),
        ("bump_stop", "bump_stops: {stop: {both: {%s}}}"),
        ("brake_line", "brake_lines: {line: {both: {%s}}}"),
        ("steering", "steering: {%s}"),
        ("lateral_bar", "lateral_bar: {%s}"),
        ("bolts", "attachments: {tab: {both: {bolts: {%s}}}}"),
        ("weld", "attachments: {tab: {both: {weld: {%s}}}}"),
        ("attachment", "attachments: {tab: {both: {%s}}}"),
        ("joint", "lateral_bar: {joints: {frame: {%s}}}"),
        ("tube", "lateral_bar: {tube: {%s}}"),
    ):
        for key, node in schema()["$defs"][name]["properties"].items():
            try_out(node, place % f"{key}: %s")
    assert checked > 90


def test_a_file_full_of_mistakes_is_listed_in_part() -> None:
    told = said(HEAD + "".join(f"nonsense_{number}: 1\n" for number in range(5000)))
    assert len(told) == MAX_PROBLEMS + 1
    assert told[-1][3] == MORE
    assert told[0][:3] == (3, 1, "nonsense_0")


def test_a_file_made_to_take_long_is_stopped() -> None:
    started = time.perf_counter()
    told = said(HEAD + "waivers:\n" + "  - {}\n" * 50_000)
    assert told[-1][3] == MORE
    assert time.perf_counter() - started < 10  # 18 s where every error is looked at; well under 2 s where not


def test_whatever_is_written_a_sentence_is_one_line_of_visible_characters() -> None:
    text = '"a\u202e\\nb": 1\nparts: {"c\u202e\\n": {ordered: "\u200b\u2066"}}\naxle: {"\u00ad": 1}\n'
    told = said(HEAD + text)
    assert len(told) == 4
    assert all(sentence.isprintable() for *_, sentence in told)


def test_the_sentences_do_not_depend_on_the_hash_seed() -> None:
    program = (
        "import sys; from buildcheck.spec.document import read_text; from buildcheck.spec.schema import problems_in; "
        "print(problems_in(read_text(sys.stdin.read(), chr(97))))"
    )
    outputs = {
        subprocess.run(
            [sys.executable, "-c", program],
            input=MANY,
            encoding="utf-8",
            stdout=subprocess.PIPE,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        ).stdout
        for seed in ("1", "4242")
    }
    assert len(outputs) == 1
    assert "winch" in outputs.pop()


TEXTS = [
    (SPEC_SCHEMA, "build: {name: %s}", "build.name"),
    (SPEC_SCHEMA, "build: {notes: %s}", "build.notes"),
    (SPEC_SCHEMA, "records: {baseline: {taken_by: %s}}", "records.baseline.taken_by"),
    (SPEC_SCHEMA, "parts: {strap: {note: %s}}", "parts.strap.note"),
    (STANDARD_SCHEMA, "edition: %s", "edition"),
    (STANDARD_SCHEMA, "switched_off: [{rule: r, reason: %s}]", "switched_off[0].reason"),
    (STANDARD_SCHEMA, "never_waived: [{rule: r, basis: %s}]", "never_waived[0].basis"),
    (STANDARD_SCHEMA, "counts_as: [{rule: r, requirement: q, if_not: error, basis: %s}]", "counts_as[0].basis"),
]


@pytest.mark.parametrize("blank", [r'" "', r'"\u00a0"', r'"\u200b"', r'"\u2800"', r'"\u00ad\u2060"', r'"\t"'])
@pytest.mark.parametrize(("name", "text", "path"), TEXTS, ids=[path for _, _, path in TEXTS])
def test_a_text_in_which_nothing_can_be_seen_is_blank(name: str, text: str, path: str, blank: str) -> None:
    head = "format: 1\nunits: metric\n" + ("shop: a bench\n" if name == STANDARD_SCHEMA else "")
    assert not problems_in(read_text(head + text % '"a\u200bb"', "text"), name)
    (problem,) = problems_in(read_text(head + text % blank, "text"), name)
    assert (problem.path, problem.sentence) == (path, f"{path} is blank; write something")


def test_every_text_that_may_not_be_empty_may_not_be_blank() -> None:
    """A text that people read has a least length, which is what a blank one breaks."""

    def free_texts(node: Any) -> list[Any]:
        inner = list(node.values()) if isinstance(node, dict) else node if isinstance(node, list) else []
        own = [node] if isinstance(node, dict) and node.get("type") == "string" else []
        return own + [each for one in inner for each in free_texts(one)]

    for name in (SPEC_SCHEMA, STANDARD_SCHEMA):
        texts = free_texts(schema(name))
        assert len(texts) > 10
        assert [each for each in texts if not {"minLength", "enum", "pattern"} & each.keys()] == []


def test_references_can_be_put_in_place() -> None:
    """A reference has only words and a range beside it, and no definition leads back to itself, as schema.py needs."""
    whole = dict(schema())
    definitions = whole.pop("$defs")
    named: set[str] = set()

    def check(node: Any, way: tuple[str, ...]) -> None:
        if isinstance(node, dict):
            if "$ref" in node:
                assert set(node) <= {"$ref"} | BESIDE_A_REFERENCE, node
                name = node["$ref"].removeprefix("#/$defs/")
                assert name not in way, way
                named.add(name)
                check(definitions[name], (*way, name))
            for value in node.values():
                check(value, way)
        elif isinstance(node, list):
            for item in node:
                check(item, way)

    check(whole, ())
    assert named == set(definitions)
    assert "$ref" not in json.dumps(_without_references(()))
