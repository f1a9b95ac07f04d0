"""Write changed values back into the text of a spec; everything else stays, byte for byte.

A change is spliced into the text at exact marks; nothing is written anew that did not change. So comments, order,
spacing, flow and block style, quotes, fractions, line ends and a missing last line end stay as they were. The new text
is read again, and must hold exactly the wanted data; otherwise the change is refused.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from buildcheck.spec.document import Unreadable, read_text
from buildcheck.spec.marks import LINE_BREAK, Entry, Node, marked
from buildcheck.spec.place import clean, join
from buildcheck.spec.written import REMOVED, mirrored, plain, with_written
from buildcheck.spec.yaml_value import flow

__all__ = ["REMOVED", "CannotRewrite", "rewritten", "text_holding"]

_ON_ONE_LINE = 100
"""Longest line on which a group or a list is added, in characters."""
_INDENT = 2
"""Deeper by this many spaces is the block of a group that is added."""
_MOST_STEPS = 1_000
"""Keys and items added and removed in one call."""
_EXACT = 1e15
"""A whole number below this is exact, and a spec can hold it."""
_LAST_BREAK = re.compile(r"(?:\r\n|\r|\n)\Z")
_NAME = "the text of the spec"


class CannotRewrite(ValueError):
    """A change cannot be written into the text as it is laid out. `path` is the spec path, the message one sentence."""

    def __init__(self, path: str) -> None:
        super().__init__(f"{clean(path)} cannot be changed in the text as it is laid out here; change it by hand")
        self.path = path

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.path,)


class _Splice(NamedTuple):
    """New text for the part of a text from `start` to `end`.

    `moves` is true where lines are added or removed, so that the marks of the rest no longer hold.
    """

    path: str
    start: int
    end: int
    text: str
    moves: bool = False


def rewritten(text: str, changes: Mapping[str, Any]) -> str:
    """The text of a spec with other values at some spec paths.

    Paths and values are those of `Spec.changed`: a value is as a spec writes it, a number in the units of the spec or
    text with a unit; a whole group or list is merged into the one that is there. Further, `REMOVED` takes a key or an
    item out, and an index one past the last item appends. A part under `both` stays there as long as its sides are
    mirror images. The new values are not checked against the schema.

    Raises Unreadable for a text that is not a spec, LookupError for a path that is not in it, ValueError for a value
    that no spec can hold, and its subclass CannotRewrite where the text cannot be changed without a change elsewhere.

    >>> rewritten("lateral_bar:  # new\\n  frame: [5.5, 16.5,  22.75]\\n", {"lateral_bar.frame.z": 23})
    'lateral_bar:  # new\\n  frame: [5.5, 16.5,  23]\\n'
    """
    held = wanted = read_text(text, _NAME).data
    for path, value in changes.items():
        wanted = with_written(wanted, path, value if value is REMOVED else plain(value))
    return text_holding(text, _under_both(held, wanted))


def text_holding(text: str, data: Mapping[str, Any]) -> str:
    """The text of a spec, changed so far that it holds other data.

    Raises Unreadable for a text that is not a spec, and CannotRewrite.
    """
    held, wanted = read_text(text, _NAME).data, _tidy(data)
    for _ in range(_MOST_STEPS):
        splices = list(_splices(_Text(text), marked(text), held, wanted, ""))
        if not splices:
            return text
        apart = [splice for splice in splices if not splice.moves]
        new = text
        for splice in sorted(apart or splices[:1], key=lambda each: each.start, reverse=True):
            new = new[: splice.start] + splice.text + new[splice.end :]
        held = _read_again(new, splices[0].path)
        if new == text:
            break
        text = new
    raise CannotRewrite(splices[0].path)


def _read_again(text: str, path: str) -> dict[str, Any]:
    try:
        return read_text(text, _NAME).data
    except Unreadable:
        raise CannotRewrite(path) from None


class _Text(str):
    """A text with its lines."""

    __slots__ = ()

    def line_start(self, at: int) -> int:
        return max(self.rfind("\n", 0, at), self.rfind("\r", 0, at)) + 1

    def line_break(self, at: int) -> re.Match[str] | None:
        return LINE_BREAK.search(self, at)

    def next_line(self, at: int) -> int:
        """Where the line after the one of a place starts; the end of the text where there is none."""
        found = self.line_break(at)
        return found.end() if found else len(self)

    def break_near(self, at: int) -> str:
        """The line break that is used at a place: that of its line, else the first of the text."""
        found = self.line_break(at) or self.line_break(0)
        return found[0] if found else "\n"

    def below(self, end: int, column: int) -> int:
        """Where the lines of an entry of a block end: behind its last line, and behind comments that are deeper."""
        behind = look = self.next_line(end)
        while look < len(self):
            after = self.next_line(look)
            line = self[look:after]
            start = line.lstrip(" \t")
            if start.startswith("#") and len(line) - len(start) > column:
                behind = after
            elif start.strip():
                break
            look = after
        return behind

    def with_lines(self, at: int, lines: list[str]) -> str:
        """The text of whole lines that are put in at the start of a line, or at the end of the text."""
        ended = _LAST_BREAK.search(self, 0, at)
        if ended is None:  # the last line has no end, and will have none
            end = self.break_near(0)
            return end + end.join(lines)
        return "".join(line + ended[0] for line in lines)


def _splices(text: _Text, node: Node, old: Any, new: Any, path: str, entry: Entry | None = None) -> Iterator[_Splice]:
    """The splices by which a value becomes another one, in the order of the text."""
    if _same(old, new):
        return
    if node.entries and isinstance(old, dict) and isinstance(new, dict) and new:
        yield from _splices_of_group(text, node, node.entries, old, new, path)
    elif node.entries and isinstance(old, list) and isinstance(new, list) and new:
        yield from _splices_of_list(text, node, node.entries, old, new, path)
    elif entry is None:
        raise CannotRewrite(path)
    else:
        yield _replacing(text, node, entry, old, new, path)


def _splices_of_group(
    text: _Text, node: Node, entries: dict[str | int, Entry], old: dict[str, Any], new: dict[str, Any], path: str
) -> Iterator[_Splice]:
    if "both" in old and "both" not in new and new.keys() & {"left", "right"} and not old.keys() & {"left", "right"}:
        yield _splitting(text, node, entries["both"], join(path, "both"))
        return
    added = next((key for key in new if key not in old), None)
    if added is not None:  # before any is removed, so that no group is ever empty; further ones are added behind it
        yield _adding(text, node, [*entries.values()][-1], f"{flow(added)}:", new[added], join(path, added))
    for key, entry in entries.items():
        if key not in new:
            yield _removing(text, node, list(entries.values()), entry, join(path, key))
        else:
            yield from _splices(text, entry.value, old[key], new[key], join(path, key), entry)


def _splices_of_list(
    text: _Text, node: Node, entries: dict[str | int, Entry], old: list[Any], new: list[Any], path: str
) -> Iterator[_Splice]:
    if len(new) < len(old):
        first = next((at for at, value in enumerate(new) if not _same(old[at], value)), len(new))
        if not _same(old[first + len(old) - len(new) :], new[first:]):
            first = len(old) - 1
        yield _removing(text, node, list(entries.values()), entries[first], join(path, first))
        return
    for at, entry in entries.items():
        yield from _splices(text, entry.value, old[int(at)], new[int(at)], join(path, int(at)), entry)
    if len(new) > len(old):
        yield _adding(text, node, entries[len(old) - 1], "" if node.flow else "-", new[len(old)], join(path, len(old)))


def _replacing(text: _Text, node: Node, entry: Entry, old: Any, new: Any, path: str) -> _Splice:
    if node.entries is None:
        written = _scalar(text[node.start : node.end], node.quote, old, new)
        if node.start == node.end:
            written = f"{':' if entry.behind is None else ''} {written}"
        return _Splice(path, node.start, node.end, written)
    if node.flow:
        return _Splice(path, node.start, node.end, flow(new))
    assert entry.behind is not None  # what holds a block is one
    return _Splice(path, entry.behind, node.end, f" {flow(new)}", moves=True)


def _scalar(written: str, quote: str, old: Any, new: Any) -> str:
    """A value in the style of the one that it replaces."""
    if isinstance(new, str):
        if quote == "'" and new.isprintable():
            return "'" + new.replace("'", "''") + "'"
        return json.dumps(new, ensure_ascii=False) if quote == '"' else flow(new)
    numbers = _is_number(old) and _is_number(new)
    if numbers and new == -old and not quote:  # the same digits, as `both` is written out for the right side
        return written[1:] if written.startswith("-") else f"-{written.removeprefix('+')}"
    return flow(new)


def _adding(text: _Text, node: Node, last: Entry, key: str, value: Any, path: str) -> _Splice:
    """A splice that adds an entry behind the last one; `key` has its colon, or is the dash of a list, or nothing."""
    if node.flow:
        end, space = last.value.end, " " if last.value.start == last.value.end else ""  # a comma is no part of a word
        return _Splice(path, end, end, f"{space}, {f'{key} {flow(value)}'.lstrip()}", moves=True)
    at = text.below(node.end, node.column)
    lines = _lines(key, value, node.column)
    return _Splice(path, at, at, text.with_lines(at, lines), moves=True)


def _lines(key: str, value: Any, column: int) -> list[str]:
    """The lines of an entry of a block: one where it is short, otherwise a block of its own."""
    pad = " " * column
    line = f"{pad}{key} {flow(value)}"
    if not value or not isinstance(value, dict | list) or len(line) <= _ON_ONE_LINE:
        return [line]
    if isinstance(value, list):
        inner = [each for item in value for each in _lines("-", item, column + _INDENT)]
    else:
        inner = [each for name, held in value.items() for each in _lines(f"{flow(name)}:", held, column + _INDENT)]
    if key == "-":  # the first line follows the dash
        return [f"{pad}- {inner[0].lstrip()}", *inner[1:]]
    return [f"{pad}{key}", *inner]


def _removing(text: _Text, node: Node, entries: list[Entry], entry: Entry, path: str) -> _Splice:
    at = entries.index(entry)
    following = entries[at + 1].start if at + 1 < len(entries) else None
    if node.flow:
        if following is not None:
            return _Splice(path, entry.start, following, "", moves=True)
        before = entries[at - 1].value.end
        if not LINE_BREAK.search(text[before : entry.start]):
            return _Splice(path, before, entry.value.end, "", moves=True)
        return _Splice(path, entry.start, entry.value.end, "", moves=True)  # the comma before it may end the list
    start, end = text.line_start(entry.start), text.below(entry.value.end, node.column)
    if text[start : entry.start].strip():  # the first key of a list's item, behind the dash
        if following is None or text[start : entry.start].strip(" -"):
            raise CannotRewrite(path)
        return _Splice(path, entry.start, following, "", moves=True)
    if end == len(text) and start and not LINE_BREAK.search(text[entry.value.end :]):  # the last line has no end
        start -= 2 if text[start - 2 : start] == "\r\n" else 1
    return _Splice(path, start, end, "", moves=True)


def _splitting(text: _Text, node: Node, both: Entry, path: str) -> _Splice:
    """A splice that writes a part under `both` as two, so far the same."""
    if both.behind is None:
        raise CannotRewrite(path)
    left, right = (text[both.start : both.behind].replace("both", side) for side in ("left", "right"))
    if node.flow:
        held = text[both.behind : both.value.end]
        return _Splice(path, both.start, both.value.end, f"{left}{held}, {right}{held}", moves=True)
    end = text.below(both.value.end, node.column)
    held = text[both.behind : end]
    between = "" if LINE_BREAK.search(held[-1:]) else text.break_near(both.start)
    return _Splice(path, both.start, end, f"{left}{held}{between}{' ' * node.column}{right}{held}", moves=True)


def _under_both(held: Any, wanted: Any) -> Any:
    """The wanted data with `both` where the text has it and both sides are still mirror images."""
    if not isinstance(held, dict) or not isinstance(wanted, dict):
        return wanted
    if "both" in held and "both" not in wanted and {"left", "right"} <= wanted.keys():
        if _same(wanted["right"], mirrored(wanted["left"])):
            rest = {key: value for key, value in wanted.items() if key not in ("left", "right")}
            return rest | {"both": wanted["left"]}
        return wanted
    return {key: _under_both(held[key], value) if key in held else value for key, value in wanted.items()}


def _tidy(data: Any) -> Any:
    """The data with whole numbers written without a point, as a shop does."""
    if isinstance(data, Mapping):
        return {key: _tidy(value) for key, value in data.items()}
    if isinstance(data, list):
        return [_tidy(value) for value in data]
    return int(data) if isinstance(data, float) and data.is_integer() and abs(data) < _EXACT else data


def _same(one: Any, other: Any) -> bool:
    """Whether two values are the same to a reader of the spec: 1 is 1.0, and is not true."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(_same(value, other[key]) for key, value in one.items())
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_same, one, other))
    return bool(one == other) and isinstance(one, bool) == isinstance(other, bool)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)
