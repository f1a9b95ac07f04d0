"""Changed values are written into a spec's text; every other byte stays."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sampling import draws, sampled

from buildcheck.spec.document import Unreadable, read_text
from buildcheck.spec.marks import Node, marked
from buildcheck.spec.place import join, split
from buildcheck.spec.rewriting import REMOVED, CannotRewrite, rewritten, text_holding
from buildcheck.spec.written import mirrored, with_written
from buildcheck.spec.yaml_value import flow

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").rglob("*.buildcheck.yaml"))
TEXTS = [path.read_bytes().decode("utf-8") for path in EXAMPLES]
LINE_ENDS = ("\n", "\r\n", "\r")

# What changes, in a text with every style; the key is what is shown of the change.
TEXT = """\
# Invented.
format:   1
"units" : inch-pound   # of bare numbers

part:  # a part
    point: [1,  2 , 3.50]   # x, y, z
    wall: 3/16 in
    mark: '7/8" x'
    said: "a \\"b\\""
    empty:
    note: |
        two
        lines

    # about the group
    group: {a: 1,b: "2", c: }  # c is empty
    pairs: {
      one: 1,  # the first
      two: 2   # the second
    }
    list:
    - 1
    # between
    - {x: 1}
    - w: 1
      z: 2
sides:
  wide:
    both: {frame: [1, 2, 3], length: 4 1/2 in}  # the same
  long:
    both:
      frame: [1, 2.50, 3]  # the frame end
      axle: [4, 5 1/2 in, 6]
      # and no more
none: {}
"""
X = "x" * 60
TOO_LONG = "part.wall cannot be changed in the text as it is laid out here; change it by hand"

CASES: list[tuple[dict[str, Any], list[tuple[str, str]]]] = [
    ({"part.point.z": 3.75}, [("3.50", "3.75")]),
    ({"part.point.y": -2}, [("1,  2 ,", "1,  -2 ,")]),
    ({"part.point": [1, 2, 4]}, [("3.50", "4")]),
    ({"part.point": [1, 2, 3.5]}, []),
    ({"part.point": 5}, [("[1,  2 , 3.50]", "5")]),
    ({"part.wall": "1 1/4 in"}, [("3/16 in", "1 1/4 in")]),
    ({"part.mark": '1/2" x'}, [("'7/8\" x'", "'1/2\" x'")]),
    ({"part.mark": "it's"}, [("'7/8\" x'", "'it''s'")]),
    ({"part.said": 'c "d"'}, [('"a \\"b\\""', '"c \\"d\\""')]),
    ({"part.wall": "yes"}, [("3/16 in", '"yes"')]),
    ({"part.wall": "1.5"}, [("3/16 in", '"1.5"')]),
    ({"part.wall": "a: b # c"}, [("3/16 in", '"a: b # c"')]),
    ({"part.wall": True}, [("3/16 in", "true")]),
    ({"part.wall": None}, [("3/16 in", "null")]),
    ({"part.empty": 5}, [("empty:", "empty: 5")]),
    ({"part.empty": {"deep": [1]}}, [("empty:", "empty: {deep: [1]}")]),
    ({"part.note": "one"}, [("|\n        two\n        lines\n", "one\n")]),
    ({"part.group.b": "3"}, [('"2"', '"3"')]),
    ({"part.group.c": 3}, [("c: }", "c: 3 }")]),
    ({"part.group.d": 4}, [("c: }", "c: , d: 4 }")]),
    ({"part.group.a": REMOVED}, [("a: 1,", "")]),
    ({"part.group.c": REMOVED}, [(', c: }', " }")]),
    ({"part.group": {"b": "2"}}, [("a: 1,", ""), (", c: }", " }")]),
    ({"part.group": REMOVED}, [('    group: {a: 1,b: "2", c: }  # c is empty\n', "")]),
    ({"part.pairs.two": REMOVED}, [("two: 2", "")]),
    ({"part.pairs.one": REMOVED}, [("one: 1,  # the first\n      ", "")]),
    ({"part.list[0]": 2}, [("- 1", "- 2")]),
    ({"part.list[1]": REMOVED}, [("    - {x: 1}\n", "")]),
    ({"part.list[2].w": REMOVED}, [("w: 1\n      ", "")]),
    ({"part.list[2].z": REMOVED}, [("      z: 2\n", "")]),
    ({"part.list[3]": "in, line"}, [("z: 2\n", 'z: 2\n    - "in, line"\n')]),
    ({"part.list": [1, {"x": 2}]}, [("{x: 1}", "{x: 2}"), ("    - w: 1\n      z: 2\n", "")]),
    ({"part.list": []}, [("list:\n    - 1\n    # between\n    - {x: 1}\n    - w: 1\n      z: 2\n", "list: []\n")]),
    ({"part.new": 1}, [("z: 2\n", "z: 2\n    new: 1\n")]),
    ({"part.new": {"b": {"c": 1}}}, [("z: 2\n", "z: 2\n    new: {b: {c: 1}}\n")]),
    ({"part.new": {"b": X, "c": X}}, [("z: 2\n", f"z: 2\n    new:\n      b: {X}\n      c: {X}\n")]),
    ({"part.list[3]": {"b": X, "c": X}}, [("z: 2\n", f"z: 2\n    - b: {X}\n      c: {X}\n")]),
    ({"none.a": 1}, [("none: {}", "none: {a: 1}")]),
    ({"last": "x"}, [("none: {}\n", "none: {}\nlast: x\n")]),
    ({"sides.wide.both.length": "5 in"}, [("4 1/2 in", "5 in")]),
    (
        {"sides.wide.right.length": "5 in"},
        [
            (
                "    both: {frame: [1, 2, 3], length: 4 1/2 in}  # the same\n",
                "    left: {frame: [1, 2, 3], length: 4 1/2 in}  # the same\n"
                "    right: {frame: [1, -2, 3], length: 5 in}  # the same\n",
            )
        ],
    ),
    (
        {"sides.long.left.frame.z": 4},
        [
            ("    both:\n", "    left:\n"),
            ("2.50, 3]", "2.50, 4]"),
            (
                "      # and no more\n",
                "      # and no more\n    right:\n      frame: [1, -2.50, 3]  # the frame end\n"
                "      axle: [4, -5 1/2 in, 6]\n      # and no more\n",
            ),
        ],
    ),
    # The same change of both sides, in mirror image, keeps them together.
    ({"sides.long.left.frame.z": 4, "sides.long.right.frame.z": 4}, [("2.50, 3]", "2.50, 4]")]),
    ({"sides.long.left.frame.y": 3, "sides.long.right.frame.y": -3}, [("2.50", "3")]),
    (
        {"part.new": 1, "none.a": 2, "part.wall": "1/4 in"},
        [("z: 2\n", "z: 2\n    new: 1\n"), ("none: {}", "none: {a: 2}"), ("3/16", "1/4")],
    ),
]  # fmt: skip


@sampled(80, each=lambda changes, **_: str(changes))
@pytest.mark.parametrize(("changes", "edits"), CASES, ids=lambda value: str(value)[:60])
@pytest.mark.parametrize("line_end", LINE_ENDS, ids=repr)
@pytest.mark.parametrize("start", ["", "\ufeff", "---\n"], ids=["", "byte order mark", "dashes"])
def test_a_change_edits_its_own_characters_only(
    changes: dict[str, Any], edits: list[tuple[str, str]], line_end: str, start: str
) -> None:
    wanted = TEXT
    for old, new in edits:
        assert wanted.count(old) == 1, old
        wanted = wanted.replace(old, new, 1)
    text, wanted = ((start + each).replace("\n", line_end) for each in (TEXT, wanted))
    assert rewritten(text, changes) == wanted
    if changes.get("last") is None:
        # The last line has no end, and gets none.
        assert rewritten(text.removesuffix(line_end), changes) == wanted.removesuffix(line_end)


@pytest.mark.parametrize("line_end", LINE_ENDS, ids=repr)
def test_a_last_line_without_an_end_keeps_none(line_end: str) -> None:
    text = f"format: 1{line_end}a:{line_end}  b: [1]{line_end}  c: 2"
    assert rewritten(text, {"a.d": 3}) == f"{text}{line_end}  d: 3"
    assert rewritten(text, {"a.c": REMOVED}) == f"format: 1{line_end}a:{line_end}  b: [1]"
    assert rewritten(text, {"a": REMOVED}) == "format: 1"
    assert rewritten(text, {"e": "x"}) == f"{text}{line_end}e: x"


def test_a_part_under_both_at_the_end_of_a_text_is_split() -> None:
    assert rewritten("a:\n  both: {p: [1, 2, 3]}", {"a.left.q": 1}) == (
        "a:\n  left: {p: [1, 2, 3], q: 1}\n  right: {p: [1, -2, 3]}"
    )
    assert rewritten("a: {both: {p: [1, 2, 3]}, c: 1}", {"a.right": REMOVED}) == "a: {left: {p: [1, 2, 3]}, c: 1}"


def test_a_tab_inside_a_line_stays() -> None:
    assert rewritten("a:\t[1,\t2]\t# c\n", {"a[1]": 3}) == "a:\t[1,\t3]\t# c\n"


def test_letters_of_every_width_count_as_one() -> None:
    assert rewritten("a: [é€\U0001f600, 1]  # é€\U0001f600\n", {"a[1]": 3}) == "a: [é€\U0001f600, 3]  # é€\U0001f600\n"


@pytest.mark.parametrize(
    ("changes", "error", "sentence"),
    [
        ({"part.wal.x": 1}, LookupError, "the spec has no part.wal.x: 'wal' is not there; did you mean 'wall'?"),
        ({"part.wal": REMOVED}, LookupError, "the spec has no part.wal: 'wal' is not there; did you mean 'wall'?"),
        ({"part.list[4]": 1}, LookupError, "the spec has no part.list[4]: 4 is not there"),
        ({"part.list[3]": REMOVED}, LookupError, "the spec has no part.list[3]: 3 is not there"),
        ({"part.point.z": REMOVED}, LookupError, "the spec has no part.point.z: 'z' is not there"),
        ({"part[1]": 1}, LookupError, "the spec has no part[1]: 1 is not there"),
        ({"part.": 1}, ValueError, '"part." is not a spec path; write one like records.measured[2].value'),
        ({"part.wall": float("nan")}, ValueError, "a spec cannot hold nan; give a finite number"),
        # A text may be too long to be read again.
        ({"part.wall": "x" * 3000}, CannotRewrite, TOO_LONG),
    ],
)  # fmt: skip
def test_a_change_that_cannot_be_made_is_refused_with_a_sentence(
    changes: dict[str, Any], error: type[Exception], sentence: str
) -> None:
    with pytest.raises(error) as refused:
        rewritten(TEXT, changes)
    assert refused.value.args[0] == sentence or str(refused.value) == sentence


def test_a_layout_that_is_not_understood_is_refused() -> None:
    with pytest.raises(CannotRewrite, match=r"a\.b cannot be changed"):
        rewritten("a:\n  ? b\n  : 1\n  ? c\n  : 2\n", {"a.b": REMOVED})
    with pytest.raises(CannotRewrite):
        text_holding("a: 1\n", {})
    with pytest.raises(Unreadable):
        rewritten("a: [1\n", {"a": 1})


@pytest.mark.parametrize("text", TEXTS, ids=[path.stem for path in EXAMPLES])
def test_no_change_changes_nothing(text: str) -> None:
    assert rewritten(text, {}) == text
    assert text_holding(text, read_text(text, "text").data) == text


# Drawn changes of the examples, and of drawn texts.


def places(data: Any, path: str = "") -> list[str]:
    """The path of every value."""
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    found = []
    for key, value in items:
        found += [join(path, key), *places(value, join(path, key))]
    return found


def at(data: Any, path: str) -> Any:
    for step in split(path):
        data = data[step]
    return data


def comments(text: str) -> list[str]:
    return [line.partition(" #")[2] for line in text.splitlines() if " #" in line]


def in_a_text(draw: st.DrawFn, line_ends: tuple[str, ...] = LINE_ENDS) -> str:
    text = draw(st.sampled_from(TEXTS)).replace("\n", draw(st.sampled_from(line_ends)))
    return text if draw(st.booleans()) else text.rstrip("\r\n")


SCALARS = st.one_of(
    st.integers(-999, 999),
    st.floats(-1e4, 1e4).map(lambda number: round(number, 6)),
    st.booleans(),
    st.sampled_from(
        ["41 3/8 in", '7/8"', "no", "it's", "a: b", "# c", "", " x ", "- a", "2026-03-14", "½", "{}", "1.5"]
    ),
)
VALUES = st.recursive(
    SCALARS, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from("abc"), inner, max_size=3)
)


@draws(200)
@given(st.data())
def test_a_value_is_set_in_place_and_back(data: st.DataObject) -> None:
    text = in_a_text(data.draw)
    held = read_text(text, "text").data
    path = data.draw(st.sampled_from([path for path in places(held) if not isinstance(at(held, path), dict | list)]))
    value = data.draw(SCALARS)
    new = rewritten(text, {path: value})
    assert read_text(new, "text").data == with_written(held, path, value)
    position = read_text(text, "text").position(path)
    line = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")[position.line - 1]
    before, after = text.splitlines(), new.splitlines()
    assert [now for was, now in zip(before, after, strict=True) if was != now][1:] == []
    assert before[position.line - 1] == line
    assert before[: position.line - 1] == after[: position.line - 1]
    assert before[position.line :] == after[position.line :]
    assert comments(new) == comments(text) or "#" in str(value)
    old = flow(at(held, path))
    plainly = not flow(value).startswith('"') or old.startswith('"')  # quotes stay once they are there
    if plainly and old in line:
        assert rewritten(new, {path: at(held, path)}) == text


@draws(200)
@given(st.data())
def test_a_key_that_is_added_is_taken_out_again(data: st.DataObject) -> None:
    text = in_a_text(data.draw)
    held = read_text(text, "text").data
    groups = [path for path in places(held) if isinstance(at(held, path), dict | list) and at(held, path)]
    path = data.draw(st.sampled_from(groups))
    group = at(held, path)
    added = join(path, "new key" if isinstance(group, dict) else len(group))
    value = data.draw(VALUES)
    new = rewritten(text, {added: value})
    assert read_text(new, "text").data == with_written(held, added, value)
    assert rewritten(new, {added: REMOVED}) == text


@draws(200)
@given(st.data())
def test_what_is_removed_leaves_the_rest(data: st.DataObject) -> None:
    text = in_a_text(data.draw)
    held = read_text(text, "text").data
    path = data.draw(st.sampled_from(places(held)))
    if len(held) == 1 and path in held:
        return
    new = rewritten(text, {path: REMOVED})
    assert read_text(new, "text").data == with_written(held, path, REMOVED)
    left = iter(new.splitlines())
    changed = [line for line in text.splitlines() if line not in set(new.splitlines())]
    # Every line that is left is a line of the old text, or that of the group which lost a key or all of its keys.
    strange = [line for line in left if line not in set(text.splitlines())]
    assert len(strange) <= 1 <= len(changed) or not changed


@draws(500)
@given(st.data())
def test_drawn_texts_hold_the_drawn_data(data: st.DataObject) -> None:
    draw = data.draw
    start = draw(st.dictionaries(st.sampled_from(["a", "b", "both", "c d"]), VALUES, min_size=1, max_size=4))
    wanted = draw(st.dictionaries(st.sampled_from(["a", "b", "both", "left", "c d"]), VALUES, min_size=1, max_size=4))
    keep = draw(st.sampled_from(sorted(start)))
    wanted = wanted | {keep: start[keep]} if keep != "both" or not wanted.keys() & {"left"} else wanted | {"both": 1}
    end = draw(st.sampled_from(LINE_ENDS))
    text = end.join(lines(start, 0, draw)) + (end if draw(st.booleans()) else "")
    assert read_text(text, "text").data == start
    new = text_holding(text, wanted)
    assert read_text(new, "text").data == wanted
    # And all the way back, wherever it went.
    assert read_text(text_holding(new, start), "text").data == start


def lines(value: dict[str, Any] | list[Any], column: int, draw: st.DrawFn) -> list[str]:
    """Lines of a block, with comments, in styles that are drawn."""
    written = []
    comment = st.sampled_from(["", "  # c", " # d: e"])
    for key, held in value.items() if isinstance(value, dict) else ((None, item) for item in value):
        start = " " * column + ("-" if key is None else draw(st.sampled_from([f"{flow(key)}:", f"{flow(key)} :"])))
        if draw(st.booleans()):
            written.append(draw(st.sampled_from(["", " " * column + "# above", " " * (column + 4) + "# deeper"])))
        if isinstance(held, dict | list) and held and draw(st.booleans()):
            inner = lines(held, column + draw(st.sampled_from([2, 3])), draw)
            written += [start + draw(comment), *inner]
        else:
            written.append(f"{start} {flow(held)}{draw(comment)}")
    return written


# The marks.


def every_node(node: Node) -> list[Node]:
    return [node, *(each for entry in (node.entries or {}).values() for each in every_node(entry.value))]


@pytest.mark.parametrize("text", [TEXT, *TEXTS])
def test_every_mark_encloses_its_value(text: str) -> None:
    """The text between the marks of a flow or scalar, read alone, is its value."""

    def check(node: Node, value: Any) -> None:
        if node.entries is None or node.flow:
            alone = text[node.start : node.end]
            if node.quote not in ("|", ">"):
                assert read_text(f"x: {alone}\n", "text").data["x"] == value
        else:
            assert text[node.start - node.column : node.start].strip(" -") == ""
        for key, entry in (node.entries or {}).items():
            assert entry.value.start >= entry.start
            check(entry.value, value[key])

    check(marked(text), read_text(text, "text").data)


def test_data_handed_in_stay_as_they_are() -> None:
    held = read_text(TEXT, "text").data
    before = copy.deepcopy(held)
    text_holding(TEXT, mirrored(held))
    assert held == before
