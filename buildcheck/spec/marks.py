"""Where each key, value and list item of a spec's text begins and ends, exact to the character.

The places are in the text as it is in the file, with its own line ends and tabs; the parser sees neither. Only a text
that `document.read_text` accepts is marked, so nothing is checked again here.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.events import MappingStartEvent, ScalarEvent, SequenceStartEvent

from buildcheck.spec.plain_yaml import HAS_C_PARSER

BYTE_ORDER_MARK = "\ufeff"
LINE_BREAK = re.compile(r"\r\n|\r|\n")
_COLON = re.compile(r"[ \t]*:")


@dataclass(slots=True)
class Entry:
    """One key of a group with its value, or one item of a list.

    `start` is where the key or the item begins: at the dash in a block list. `behind` is where a value may be written:
    behind the colon or the dash, or where the item begins in a flow list; None for a flow key without a colon.
    """

    start: int
    behind: int | None
    value: Node


@dataclass(slots=True)
class Node:
    """One value: a scalar (`entries` is None), a group or a list.

    `start` and `end` enclose the text of the value; the end of a block is that of its last value. `flow` is true
    between brackets. `column` is that of the keys or dashes of a block, from 0. `quote` is the kind of a scalar: `'`,
    `"`, `|`, `>`, or nothing.
    """

    start: int
    end: int
    flow: bool = False
    column: int = 0
    quote: str = ""
    entries: dict[str | int, Entry] | None = None


def marked(text: str) -> Node:
    """Mark a spec's text, which `document.read_text` has accepted."""
    start = len(text) - len(text.removeprefix(BYTE_ORDER_MARK))
    lines = [start, *(found.end() for found in LINE_BREAK.finditer(text))]
    plain = LINE_BREAK.sub("\n", text[start:]).replace("\t", " ")
    events = iter(YAML(typ="safe", pure=not HAS_C_PARSER).parse(plain))
    next(events)  # the start of the stream
    next(events)  # the start of the document
    return _Marker(text, lines, events).node(next(events))


class _Marker:
    """One pass over the events of a text; `lines` has the start of each line."""

    def __init__(self, text: str, lines: list[int], events: Iterator[Any]) -> None:
        self._text, self._lines, self._events = text, lines, events

    def node(self, event: Any) -> Node:
        """The value that begins with an event."""
        if isinstance(event, ScalarEvent):
            return self._scalar(event)
        start, entries = self._at(event.start_mark), dict[str | int, Entry]()
        node = Node(start, start, bool(event.flow_style), event.start_mark.column, entries=entries)
        ended = (self._keys if isinstance(event, MappingStartEvent) else self._items)(node, entries)
        if node.flow:
            node.end = self._at(ended.end_mark)
        return node

    def _at(self, mark: Any) -> int:
        start: int = self._lines[mark.line]
        return start + int(mark.column)

    def _scalar(self, event: ScalarEvent) -> Node:
        start, end, quote = self._at(event.start_mark), self._at(event.end_mark), event.style or ""
        if quote in ("|", ">"):  # with |+ the empty lines at its end are part of it, otherwise not
            written = self._text[start:end]
            keeps = "+" in LINE_BREAK.split(written)[0].partition("#")[0]
            end = start + len(re.sub(r"(?:\r\n|\r|\n)\Z", "", written) if keeps else written.rstrip())
        return Node(start, end, quote=quote)

    def _keys(self, node: Node, entries: dict[str | int, Entry]) -> Any:
        while isinstance(event := next(self._events), ScalarEvent):
            key = self._scalar(event)
            colon = _COLON.match(self._text, key.end)
            value = self.node(next(self._events))
            entry = entries[event.value] = Entry(key.start, colon.end() if colon else None, value)
            self._close(node, entry, colon.end() if colon else key.end)
        return event

    def _items(self, node: Node, entries: dict[str | int, Entry]) -> Any:
        dash = re.compile(rf"(?:\r\n|\r|\n)[ \t]{{{node.column}}}-")
        while isinstance(event := next(self._events), ScalarEvent | MappingStartEvent | SequenceStartEvent):
            value = self.node(event)
            start = behind = value.start
            if not node.flow:
                found = dash.search(self._text, node.end) if entries else None
                start = node.start if found is None else found.end() - 1
                behind = start + 1
            entry = entries[len(entries)] = Entry(start, behind, value)
            self._close(node, entry, behind)
        return event

    def _close(self, node: Node, entry: Entry, behind: int) -> None:
        """End a group or list with its latest entry."""
        value = entry.value
        if value.entries is None and value.start == value.end:  # the parsers differ on where an empty value is
            value.start = value.end = behind
        node.end = value.end
