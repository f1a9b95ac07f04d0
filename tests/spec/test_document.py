"""Reading a spec file: plain data, places, and a plain sentence for everything that is refused."""

from __future__ import annotations

import io
import json
import time
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ruamel.yaml import YAML
from ruamel.yaml.nodes import MappingNode, SequenceNode
from sampling import draws, sampled

from buildcheck.spec import plain_yaml
from buildcheck.spec.document import (
    MAX_BYTES,
    Document,
    Position,
    Problem,
    Unreadable,
    clean,
    join,
    read_file,
    read_stream,
    read_text,
    split,
)

# With and without the C parser, where it is installed.
PARSERS = (False, True) if plain_yaml.HAS_C_PARSER else (False,)


@pytest.fixture(params=PARSERS, autouse=True, ids=lambda swift: "c-parser" if swift else "pure-parser")
def parser(request: pytest.FixtureRequest) -> Any:
    before, plain_yaml.HAS_C_PARSER = plain_yaml.HAS_C_PARSER, request.param
    yield
    plain_yaml.HAS_C_PARSER = before


def problems(text: str | bytes) -> list[tuple[str, str, int, int]]:
    """What is wrong with a text, whether or not the rest of it was read; its data cannot be had either way."""
    with pytest.raises(Unreadable) as caught:
        _ = read_text(text, "spec.yaml").data
    return [(p.sentence, p.path, p.line, p.column) for p in caught.value.problems]


SPEC = """\
format: 1
links:
  lower:
    left:
      axle: [1, 2 1/2 in, -3.5]   # a point
      'tube size': "1 3/4 in"
records:
  measured:
  - value: 5.5 deg
  - {value: 1e3, sure: true}
  -
    value: ~
    note:
shop:
  b.c: |
    two
    lines
"""


def test_plain_data() -> None:
    assert read_text(SPEC, "spec.yaml").data == {
        "format": 1,
        "links": {"lower": {"left": {"axle": [1, "2 1/2 in", -3.5], "tube size": "1 3/4 in"}}},
        "records": {"measured": [{"value": "5.5 deg"}, {"value": 1000.0, "sure": True}, {"value": None, "note": None}]},
        "shop": {"b.c": "two\nlines\n"},
    }


@pytest.mark.parametrize(
    ("path", "place"),
    [
        ("", (1, 1)),
        ("format", (1, 1)),
        ("links.lower.left", (4, 5)),
        ("links.lower.left.axle", (5, 7)),
        ("links.lower.left.axle[1]", (5, 17)),
        ("links.lower.left.tube size", (6, 7)),
        ("records.measured", (8, 3)),
        ("records.measured[1]", (10, 5)),
        ("records.measured[1].sure", (10, 18)),
        ("records.measured[2].value", (12, 5)),
        ("records.measured[2].note", (13, 5)),
        ('shop["b.c"]', (15, 3)),
        ("links.lower.left.frame", (4, 5)),  # absent: where it should go
        ("links.upper.left.axle", (2, 1)),
        ("records.measured[7].value", (8, 3)),
        ("nothing.at.all", (1, 1)),
    ],
)
def test_places(path: str, place: tuple[int, int]) -> None:
    assert read_text(SPEC, "spec.yaml").position(path) == Position(*place)


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("1", 1),
        ("-1", -1),
        ("+1", 1),
        ("0", 0),
        ("1.50", 1.5),
        (".5", 0.5),
        ("1e3", 1000.0),
        ("123456789012345", 123456789012345),
        ("true", True),
        ("FALSE", False),
        ("null", None),
        ("~", None),
        ("", None),
        ("nan", "nan"),
        ("2024-05-01", "2024-05-01"),
        ("1,250", "1,250"),
        ("1:75", "1:75"),
        ("34-1/2 in", "34-1/2 in"),
        ("'on'", "on"),
        ('"010"', "010"),
        ('"1:30"', "1:30"),
        ('"tab\\there"', "tab\there"),
        ("a\tb", "a b"),
    ],
)
def test_scalars_of_the_core_schema(written: str, value: object) -> None:
    found = read_text(f"a: {written}\n", "x").data["a"]
    assert found == value
    assert type(found) is type(value)


REFUSED_VALUES = {
    "010": "starts with a zero",
    "-007": "starts with a zero",
    "0o10": "is not a decimal number",
    "0x1F": "is not a decimal number",
    "0b11": "is not a decimal number",
    "1_000": "has an underscore inside",
    "1_000.5": "has an underscore inside",
    "1:30": "has a colon between digits",
    "1:30:00": "has a colon between digits",
    ".inf": "write a finite number",
    "-.INF": "write a finite number",
    ".nan": "write a finite number",
    "1e400": "write a finite number",
    "-1e999": "write a finite number",
    "1234567890123456": "more than 15 digits",
    "9" * 1900: "more than 15 digits",
    "on": "write true or false, or put quotes around the word",
    "Off": "write true or false, or put quotes around the word",
    "yes": "write true or false, or put quotes around the word",
    "NO": "write true or false, or put quotes around the word",
    "y": "write true or false, or put quotes around the word",
    "N": "write true or false, or put quotes around the word",
    "z" * 2001: "this text is 2001 characters long; the limit is 2000",
    '"\\ud800"': "the unprintable character \\ud800",
    '"\\0"': "the unprintable character \\x00",
    '"\\e[31m"': "the unprintable character \\x1b",
    "&a 1": "marked with & or *",
    "*a": "marked with & or *",
    "!!int 3": "marked with !",
    "!!python/object/apply:os.system [ls]": "marked with !",
    "! x": "marked with !",
}


@pytest.mark.parametrize(("written", "sentence"), REFUSED_VALUES.items(), ids=lambda text: text[:20])
def test_a_refused_value(written: str, sentence: str) -> None:
    found = problems(f"a: 1\nb: {written}\n")
    assert [(path, line, column) for _, path, line, column in found] == [("b", 2, 4)]
    assert sentence in found[0][0]
    assert found[0][0].isprintable()
    assert len(found[0][0]) < 180


REFUSED_TEXTS: dict[str, list[tuple[str, str, int, int]]] = {
    "": [("the file is empty", "", 1, 1)],
    "  \n\n": [("the file is empty", "", 1, 1)],
    "# a\n# b\n": [("the file holds nothing but comments", "", 1, 1)],
    "---\n": [("the file holds no keys", "", 1, 1)],
    "- a\n- b\n": [("the file holds no keys", "", 1, 1)],
    "just text\n": [("the file holds no keys", "", 1, 1)],
    "a: 1\nb: 2\na: 3\nb: 4\n": [
        ('the key "a" is given twice, first on line 1', "a", 3, 1),
        ('the key "b" is given twice, first on line 2', "b", 4, 1),
    ],
    "x: {a: 1, 'a': 2}\n": [('the key "a" is given twice, first on line 1', "x.a", 1, 11)],
    "x:\n  a: on\n  a: 010\n": [
        ('"on" can mean', "x.a", 2, 6),
        ('the key "a" is given twice', "x.a", 3, 3),
        ('"010" starts with a zero', "", 3, 6),
    ],
    "x:\n  3: a\n": [('the key "3" is not text', "x", 2, 3)],
    "x:\n  true: a\n": [('the key "true" is not text', "x", 2, 3)],
    "x:\n  ~: a\n": [('the key "~" is not text', "x", 2, 3)],
    "x:\n  : a\n": [("a key is missing here", "x", 2, 3)],
    "x:\n  yes: a\n": [('"yes" can mean a word or a switch', "x", 2, 3)],
    "x:\n  ? [a, b]\n  : c\n": [("a key is one word or a quoted text", "x", 2, 5)],
    "? [a] : b\n": [("a key is one word or a quoted text", "", 1, 3)],
    "? [a] : b\n? [c] : d\n": [
        ("a key is one word or a quoted text", "", 1, 3),
        ("a key is one word or a quoted text", "", 2, 3),
    ],
    "x:\n  <<: {a: 1}\n": [("the key << cannot be used", "x", 2, 3)],
    "a: &k {b: 1}\nc: *k\nd: [*k]\n": [
        ("a name marked with & or *", "a", 1, 4),
        ("a name marked with & or *", "c", 2, 4),
        ("a name marked with & or *", "d[0]", 3, 5),
    ],
    "%YAML 1.1\n---\na: on\n": [("a line that starts with %", "", 1, 1)],
    "# c\n%YAML 1.3\n---\na: 1\n": [("a line that starts with %", "", 2, 1)],
    "a: 1\n---\nb: 2\n": [("more text follows where the file should end", "", 2, 1)],
    "a: 1\n...\nb: 2\n": [("more text follows where the file should end", "", 3, 1)],
    "a: 1\n...\n%YAML 1.3\n---\nb: 2\n": [("more text follows where the file should end", "", 2, 1)],
    "a:\n\tb: 1\n  \tc: 2\n": [("a tab is used for indentation", "", 2, 1), ("a tab is used", "", 3, 1)],
    "a: 1\nb: x\x00y\x1b\n": [("character U+0000", "", 2, 5), ("character U+001B", "", 2, 7)],
    "a: \u202fb\u2028\n": [("character U+2028", "", 1, 6)],
    "a: x\ufeff\n": [("character U+FEFF", "", 1, 5)],
    "a: \ud800\n": [("character U+D800", "", 1, 4)],
    "a: [1, 2\nb: 3\n": [("the closing ] of the list that starts on line 1 is missing", "a", 2, 2)],
    "a: {b: 1\n": [("the closing } of the group that starts on line 1 is missing", "a", 2, 1)],
    "a: 'x\nb: 1\n": [("a quotation mark is opened here and never closed", "", 1, 4)],
    'a: "x\n---\nb: 1\n': [("a quotation mark is opened here and never closed", "", 1, 4)],
    "a: 1\nb\nc: 2\n": [('this line has no ": " after its key', "", 2, 1)],
    "a: b: c\n": [('a ": " is not allowed here', "", 1, 5)],
    "a: - b\n": [("a list item is not allowed here", "", 1, 4)],
    "a:\n    b: 1\n  c: 2\n": [("this line does not line up", "", 3, 3)],
    "a:\n  - 1\n b: 2\n": [("this line does not line up", "", 3, 2)],
    'a: "\\q"\n': [("a backslash inside double quotes", "", 1, 6)],
    'a: "\\UFFFFFFFF"\n': [("a backslash inside double quotes", "", 1, 1)],
    'a: "\\U00110000"\n': [("a backslash inside double quotes", "", 1, 1)],
    "a: *\n": [("a name marked with & or *", "", 1, 5)],
    "a: [& x]\n": [("a name marked with & or *", "a", 1, 6)],
    "a: @b\n": [("a value cannot start with this character", "", 1, 4)],
    "a: `b`\n": [("a value cannot start with this character", "", 1, 4)],
    "a: |x\n  b\n": [("only a line break may follow | or >", "", 1, 5)],
    "a: ]\n": [("a value is missing here, or this character needs quotes", "", 1, 4)],
    "a: " + "x" * 20_000: [("this line is 20003 characters long", "", 1, 1)],
}


@pytest.mark.parametrize(("text", "expected"), REFUSED_TEXTS.items(), ids=lambda value: ascii(value)[:30])
def test_a_refused_text(text: str, expected: list[tuple[str, str, int, int]]) -> None:
    found = problems(text)
    assert len(found) == len(expected), found
    for (sentence, path, line, column), (start, *place) in zip(found, expected, strict=True):
        assert start in sentence
        assert [path, line, column] == place, found
        assert sentence.isprintable()


def test_line_ends_and_byte_order_mark() -> None:
    for text in (b"\xef\xbb\xbfa: 1\r\nb: \xc3\xa9 x\r\n", "\ufeffa: 1\rb: \u00e9 x\r"):
        document = read_text(text, "x")
        assert document.data == {"a": 1, "b": "\u00e9 x"}
        assert document.position("b") == Position(2, 1)


def test_bytes_that_are_not_utf_8() -> None:
    assert problems(b"a: 1\r\nb: caf\xe9\n") == [("the byte 0xe9 here is not UTF-8; save the file as UTF-8", "", 2, 7)]
    assert problems(b"\xef\xbb\xbfa: \xff\n") == [("the byte 0xff here is not UTF-8; save the file as UTF-8", "", 1, 4)]
    for encoding in ("utf-16", "utf-32"):
        sentence = f"the file is saved as {encoding.upper()}; save it as UTF-8"
        assert problems("a: 1\n".encode(encoding)) == [(sentence, "", 1, 1)]
    assert problems(b"\x00\x00\xfe\xff")[0][0] == "the file is saved as UTF-32; save it as UTF-8"


def test_depth() -> None:
    nested = "{a: " * 23 + "1" + "}" * 23
    assert read_text(f"a: {nested}", "x").position("a" + ".a" * 23) == Position(1, 4 * 23 + 1)
    assert "more than 24 levels deep" in problems(f"a: {{a: {nested}}}")[0][0]


def test_number_of_values() -> None:
    lists = ("- [" + "0, " * 999 + "0]\n") * 100
    assert problems(f"a:\n{lists}") == [
        ("the file holds more than 100000 values; a truck needs a few hundred", "", 101, 2695)
    ]


def test_no_more_than_a_hundred_problems_are_listed() -> None:
    for text in ("a: 1\n" * 500, "\ta: 1\n" * 500):
        found = problems(text)
        assert len(found) == 101
        assert found[-1][0] == "the file has 100 problems up to here; the rest was not read"


def test_a_hundred_plain_problems_hide_nothing() -> None:
    assert len(problems("".join(f"k{n}: on\n" for n in range(99)))) == 99


class Endless(io.RawIOBase):
    """A stream that never ends, and counts what was read."""

    def __init__(self) -> None:
        self.count = 0

    def readable(self) -> bool:
        return True

    def read(self, size: int = -1) -> bytes:
        part = b" " * min(size, 65536)
        self.count += len(part)
        return part


def test_too_large_is_refused_without_reading_it_all(tmp_path: Path) -> None:
    endless = Endless()
    with pytest.raises(Unreadable, match="standard input: the file is larger than 1000000 bytes"):
        read_stream(endless)  # type: ignore[arg-type]
    assert endless.count == MAX_BYTES + 1
    large = tmp_path / "large.yaml"
    with large.open("wb") as stream:
        stream.truncate(50_000_000)
    start = time.perf_counter()
    with pytest.raises(Unreadable, match="larger than 1000000 bytes"):
        read_file(large)
    assert time.perf_counter() - start < 0.1


def test_read_file_and_stream(tmp_path: Path) -> None:
    path = tmp_path / "spec.yaml"
    path.write_text("a: 1\n", encoding="utf-8")
    assert read_file(path).data == read_file(str(path)).data == {"a": 1}
    assert read_file(path).name == str(path)
    document = read_stream(io.BytesIO(b"a: 1\n"))
    assert (document.name, document.data) == ("standard input", {"a": 1})


def test_files_that_cannot_be_opened(tmp_path: Path) -> None:
    for path, sentence in (
        (tmp_path / "none.yaml", "there is no such file"),
        (tmp_path, "this is a folder, not a file"),
        ("a\x00b", "the file cannot be opened"),
        ("x" * 5000, "the file cannot be opened"),
    ):
        with pytest.raises(Unreadable) as caught:
            read_file(path)
        assert caught.value.problems == (Problem(sentence, "", 1, 1),)
        assert str(caught.value).isprintable()


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("plain é 中", "plain é 中"),
        ("a\x1b[31mb\n", "a\\x1b[31mb\\n"),
        ("\u202eabc\ud800", "\\u202eabc\\ud800"),
        ("x" * 60, "x" * 60),
        ("x" * 61, "x" * 57 + "..."),
        ("\x00" * 10**6, ("\\x00" * 15)[:57] + "..."),
    ],
)
def test_clean(text: str, shown: str) -> None:
    assert clean(text) == shown


@given(st.text())
def test_clean_text_is_printable_short_and_settled(text: str) -> None:
    shown = clean(text)
    assert shown.isprintable()
    assert len(shown) <= 60
    assert clean(shown) == shown


@given(st.lists(st.text() | st.integers(0, 999_999)))
def test_a_path_splits_into_what_was_joined(steps: list[str | int]) -> None:
    path = ""
    for step in steps:
        path = join(path, step)
    assert split(path) == steps


@pytest.mark.parametrize(
    "path", [".a", "a.", "a..b", "a[", "a[x]", "a[1", "a]", '["a', "a[0]b", "a[-1]", 'a"b', "a[²]"]
)
def test_what_is_no_path(path: str) -> None:
    with pytest.raises(ValueError, match="is not a spec path; write one like"):
        split(path)


# Independent of our own reader: a small writer of YAML, and ruamel's node graph as the other opinion.
keys = st.text("abcdef.[] é😀'\"\\", max_size=6)
scalars = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**14), 10**14),
    st.floats(-1e9, 1e9).map(lambda number: round(number, 6)),
    st.text("abc: #-é😀\n'\"\\{}[],&*!|>%@`", max_size=12),
)
trees = st.dictionaries(
    keys,
    st.recursive(
        scalars,
        lambda inner: st.lists(inner, max_size=4) | st.dictionaries(keys, inner, max_size=4),
        max_leaves=20,
    ),
    min_size=1,
    max_size=4,
)


def written(value: Any, indent: int, draw: Any) -> str:
    """YAML text for a value, in block or flow style as drawn, to stand after a key or a dash."""
    if isinstance(value, dict | list) and value and indent < 12 and draw(st.booleans()):
        pad = "\n" + draw(st.sampled_from(["", "# note\n", "\n"])) + " " * indent
        if isinstance(value, dict):
            return "".join(
                f"{pad}{json.dumps(key, ensure_ascii=False)}:{written(item, indent + 2, draw)}"
                for key, item in value.items()
            )
        return "".join(f"{pad}-{written(item, indent + 2, draw)}" for item in value)
    if value is None and draw(st.booleans()) and indent < 12:
        return ""
    return " " * draw(st.integers(1, 3)) + json.dumps(value, ensure_ascii=False)


def places_of(node: Any, path: str, key: Any) -> dict[str, Position]:
    mark = (key or node).start_mark
    found = {path: Position(mark.line + 1, mark.column + 1)}
    if isinstance(node, MappingNode):
        for key_node, value in node.value:
            found |= places_of(value, join(path, key_node.value), key_node)
    elif isinstance(node, SequenceNode):
        for index, value in enumerate(node.value):
            found |= places_of(value, join(path, index), None)
    return found


@given(trees, st.data())
def test_data_and_places_agree_with_the_node_graph(tree: dict[str, Any], data: st.DataObject) -> None:
    text = written(tree, 0, data.draw).lstrip("\n ") + "\n"
    document: Document = read_text(text, "x")
    assert document.data == tree
    for path, place in places_of(YAML(typ="safe", pure=True).compose(text), "", None).items():
        assert document.position(path) == place, (path, text)


def outcome(text: str | bytes) -> tuple[tuple[Problem, ...], object]:
    """The problems, and what was read; None where nothing was."""
    try:
        document = read_text(text, "x")
    except Unreadable as unreadable:
        return unreadable.problems, None
    return document.problems, (repr(document.legible), document.unread, document._places)


BITS = (
    """a|b: |- |'|"|[|]|{|}|, |:|# c|?|>|-|é|\t|%|@|&x |*x|!t |---\n|...\n|<<: |~|a: 1\n|0|\\|\r\n"""
    "|*|&|!<|%T|\\UFFFFFFFF|\\x|1_0|yes|   |😀|\n|\n  "
)
yaml_like = st.lists(st.sampled_from([*BITS.split("|"), "|", "|\n"]), max_size=14).map("".join)


@draws(400)
@given(st.one_of(yaml_like, yaml_like.map("a: 1\n".__add__), st.text(), st.binary()))
def test_nothing_but_unreadable_is_raised_and_the_parsers_agree(text: str | bytes) -> None:
    found, read = outcome(text)
    assert found or read is not None
    for problem in found:
        assert problem.sentence.isprintable()
        assert problem.sentence != plain_yaml._NOT_YAML  # every way of being no YAML has its own sentence
        assert min(problem.line, problem.column) >= 1
        split(problem.path)
    for swift in PARSERS:
        plain_yaml.HAS_C_PARSER = swift
        assert outcome(text) == (found, read)


HOSTILE = {
    "brackets": ("[" * 9000 + "\n") * 100,
    "braces": ("{" * 9000 + "\n") * 100,
    "dashes": ("- " * 4000 + "\n") * 100,
    "questions": ("? " * 4000 + "\n") * 100,
    "exclamations": "!" * 900_000,
    "tags": ("- " + "!" * 9000 + "\n") * 100,
    "anchors": "".join(f"k{n}: &a{n} 1\n" for n in range(50_000)),
    "alias bomb": "a: &a [x, x]\n" + "".join(f"{chr(98 + n)}: &{chr(98 + n)} [*{chr(97 + n)}]\n" for n in range(24)),
    "self reference": "a: &a [*a]\n",
    "underscores": "a:\n" + ("- " + "1_" * 900 + "x\n") * 500,
    "sixties": "a:\n" + ("- " + "1:1" * 600 + "x\n") * 500,
    "long text": "a: |\n" + "  x\n" * 240_000,
    "blank lines": "\n" * 900_000,
    "controls": "\x01" * 900_000,
    "tabs": "\t" * 900_000,
}


@sampled(8)
@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_hostile_text_takes_no_time(text: str) -> None:
    start = time.perf_counter()
    outcome(text)
    assert time.perf_counter() - start < 30  # some 2 s, five times that under coverage; quadratic time is minutes


@pytest.mark.skipif(not plain_yaml.HAS_C_PARSER, reason="the C parser is not installed")
@pytest.mark.parametrize(
    ("text", "parsers"),
    [
        ("a: 1\nb: [2, x]\n", ["C"]),
        ("a: yes\nb: 010\nb: 2\n1: 3\n<<: 4\n", ["C"]),
        ("a:\n" + "- 1\n" * plain_yaml.MAX_NODES, ["C"]),
        ("a: [1, 2\nb: 3\n", ["C", "pure"]),
        ("a: &b 1\nc: *b\n", ["C", "pure"]),
        ("a: !!str 1\n", ["C", "pure"]),
        ("? [a]\n: 1\n", ["C", "pure"]),
        ("a: 1\n...\n", ["C", "pure"]),
    ],
)
def test_only_a_text_on_which_the_parsers_may_differ_is_read_twice(
    text: str, parsers: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(plain_yaml, "HAS_C_PARSER", True)
    used: list[str] = []
    run = plain_yaml._Reader.run

    def noted(self: plain_yaml._Reader, *, pure: bool) -> None:
        used.append("pure" if pure else "C")
        run(self, pure=pure)

    monkeypatch.setattr(plain_yaml._Reader, "run", noted)
    plain_yaml.read(text)
    assert used == parsers
