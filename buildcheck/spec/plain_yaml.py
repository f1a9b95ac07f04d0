"""Convert YAML text to plain data, in one pass over the parser's events, with the position of every key and value.

Only what a spec needs is read: mappings, lists, and the scalars of ``yaml_scalar``. Features that can hide something or
grow without limit are refused, each with a sentence: names (anchors, aliases), merge keys, tags, directives, a second
document, a key given twice, a key that is not text, and too much of anything. Nothing is ever constructed from a tag.
Every problem is recorded and the pass continues, unless the text can no longer be parsed: a refused value does not
affect other values.

The C parser (ruamel.yaml.clib), where it is installed, reads a text five times faster. Both parsers find refused values
and too many values here, in the same way. Where the parsers may differ (syntax errors, and what a spec may not hold),
the pure Python parser reads the text again, and its result is used. So both give the same results.
"""

from __future__ import annotations

import importlib.util
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentEndEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
    StreamEndEvent,
)

from buildcheck.spec.place import Position, Problem, clean, join
from buildcheck.spec.yaml_scalar import value_of

MAX_DEPTH = 24
MAX_NODES = 100_000
MAX_PROBLEMS = 100

MORE = f"the file has {MAX_PROBLEMS} problems up to here; the rest was not read"

HAS_C_PARSER = importlib.util.find_spec("_ruamel_yaml") is not None

Path = tuple[str | int, ...]
Places = dict[Path, Position]

_BLOCK_HEADER = re.compile(r"[|>][-+]?(?: +#.*| *)\n(?! +(?:\n|$))")

_ANCHOR = "a name marked with & or * cannot be used here; write the value out in each place"
_TAG = "a type marked with ! cannot be used here; put quotes around text that starts with !"
DIRECTIVE = "a line that starts with % is not read here; delete it, or put quotes around text that starts with %"
_MERGE = "the key << cannot be used here; write the keys out"
_SECOND = "more text follows where the file should end; one file holds one document, so delete the line --- or ..."
_LINE_UP = "this line does not line up with the lines above; give keys of one group the same indentation"
_BLOCK = "only a line break may follow | or >, and the lines below it need the same indentation"
_OPEN_QUOTE = "a quotation mark is opened here and never closed"
_NO_COLON = 'this line has no ": " after its key, or its text needs quotes around it'

# Pattern of the pure parser's message (its context and problem), and our sentence; the first match counts.
_SYNTAX = (
    ("directive", DIRECTIVE),
    ("scanning an (?:anchor|alias)|found '<alias>'|found '<anchor>'", _ANCHOR),
    (" tag[:' ]|'<tag>'", _TAG),
    ("<document start>|document end marker", _SECOND),
    ("quoted scalar: found unexpected (end|document)", _OPEN_QUOTE),
    (
        r"escape|chr\(\)|too large",
        "a backslash inside double quotes starts a code; write \\\\, or use single quotes",
    ),
    (
        "could not find expected ':'",
        'this line has no ": " after its key, or its text needs quotes around it',
    ),
    (
        "mapping values",
        'a ": " is not allowed here; check the indentation, or put quotes around text that holds ": "',
    ),
    (
        "sequence entries",
        "a list item is not allowed here; start it on a line of its own, in line with the others",
    ),
    ("mapping keys", 'a "?" cannot start a key; put quotes around text that starts with "?"'),
    ("',' or ']'", "a comma or the closing ] of the list that starts on line {line} is missing"),
    (r"',' or '\}'", "a comma or the closing } of the group that starts on line {line} is missing"),
    ("node content", "a value is missing here, or this character needs quotes around it"),
    ("expected <block end>", _LINE_UP),
    ("intendation or unclosed", _LINE_UP),
    ("cannot start any token", "a value cannot start with this character; put quotes around the text"),
    ("block scalar", _BLOCK),
    ("unexpected ':'", "a colon inside [ ] or { } needs a space after it, or quotes around its text"),
)
_TOLD_WHERE_IT_STARTS = (_OPEN_QUOTE, _NO_COLON)
_NOT_YAML = "this line cannot be read as YAML"
# Errors that the parser raises on some texts besides its own error class.
_PARSER_FAILS = (
    YAMLError,
    ArithmeticError,
    AssertionError,
    AttributeError,
    LookupError,
    RuntimeError,
    TypeError,
    ValueError,
)


class Parsed(NamedTuple):
    """Result of one pass over a text."""

    data: Any
    """The data; None where there are none. A refused value is None, and a refused key is left out."""

    places: Places
    """The position of the key and of the value for each path."""

    problems: tuple[Problem, ...]
    """Problems in the order of the text."""

    unread: frozenset[str]
    """Spec paths for which there are no data: a refused value, or a group that lacks a refused key."""

    followed: bool
    """Whether the structure was parsed to its end. Where it was not, a problem gives the reason, and any data may be
    missing."""


class _StopReadingError(Exception):
    """The rest of the text cannot be parsed, or need not be."""


class _NoKey:
    """Placeholder for a refused key; the values under it are read and dropped."""


_NO_KEY = _NoKey()


@dataclass(slots=True)
class _Open:
    """A mapping or list that has not ended yet."""

    held: dict[str, Any] | list[Any]
    path: Path | None  # None where its own key was refused
    position: Position
    key: str | _NoKey | None = None  # of a mapping, while its value is awaited
    key_position: Position | None = None
    is_key: bool = False
    lines: dict[str, int] = field(default_factory=dict)  # line of each key


def read(text: str) -> Parsed:
    """Read one YAML document.

    ``text`` has "\\n" line ends, no tabs, and only printable characters. Raises nothing.
    """
    if HAS_C_PARSER:
        swift = _Reader(text)
        swift.run(pure=False)
        if not swift.doubtful:
            return swift.parsed()
    reader = _Reader(text)
    reader.run(pure=True)
    return reader.parsed()


class _Reader:
    """One pass over the events of one text."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.data: Any = None
        self.places: Places = {}
        self.problems: list[Problem] = []
        self.doubtful = False  # whether the other parser may say something else
        self._unread: set[str] = set()
        self._followed = True
        self._stack: list[_Open] = []
        self._nodes = 0
        self._ended = False
        self._last = Position(1, 1)

    def run(self, *, pure: bool) -> None:
        """Process every event; all errors are recorded in ``problems``."""
        try:
            for event in self._events(pure):
                self._take(event)
        except _StopReadingError:
            self._followed = False

    def parsed(self) -> Parsed:
        in_order = sorted(self.problems, key=lambda problem: (problem.line, problem.column))
        return Parsed(self.data, self.places, tuple(in_order), frozenset(self._unread), self._followed)

    def _events(self, pure: bool) -> Iterator[Any]:
        # One YAML object per text: a reused one carries settings from file to file.
        events = YAML(typ="safe", pure=pure).parse(self.text)
        while True:
            try:
                event = next(events)
            except StopIteration:
                return
            except MarkedYAMLError as error:
                said = f"{error.context}: {error.problem}"
                self._note_syntax(said, error.problem_mark or error.context_mark, error.context_mark)
                return
            except _PARSER_FAILS as error:
                self._note_syntax(str(error), None, None)
                return
            yield event

    def _take(self, event: Any) -> None:
        position = self._last = Position(event.start_mark.line + 1, event.start_mark.column + 1)
        if self._ended and not isinstance(event, StreamEndEvent):
            self.doubtful = True
            self._note(_SECOND, (), position)
            raise _StopReadingError
        if isinstance(event, DocumentEndEvent):
            self._ended = True
            self.doubtful |= event.explicit  # the parsers differ on what may follow a line ...
        elif isinstance(event, AliasEvent):
            self.doubtful = True
            self._note(_ANCHOR, self._next_path() or (), position)
            self._leave_unread(self._next_path())
            self._put(None, position)
        elif isinstance(event, ScalarEvent):
            self._count_node(event, position)
            self._take_scalar(event, position)
        elif isinstance(event, MappingStartEvent | SequenceStartEvent):
            self._count_node(event, position)
            self._open(isinstance(event, MappingStartEvent), position)
        elif isinstance(event, MappingEndEvent | SequenceEndEvent):
            ended = self._stack.pop()
            if ended.is_key:
                self._stack[-1].key = _NO_KEY
                self._stack[-1].key_position = ended.position
            else:
                self._put(ended.held, ended.position)
        elif isinstance(event, DocumentStartEvent) and (event.version or event.tags):
            self.doubtful = True
            self._note(DIRECTIVE, (), position)
            self._followed = False

    def _count_node(self, event: Any, position: Position) -> None:
        self._nodes += 1
        if self._nodes > MAX_NODES:
            self._note(f"the file holds more than {MAX_NODES} values; a truck needs a few hundred", (), position)
            raise _StopReadingError
        where = self._next_path() or ()
        self.doubtful |= event.anchor is not None or event.tag is not None
        if event.anchor is not None:
            self._note(_ANCHOR, where, position)
        if event.tag is not None:
            self._note(_TAG, where, position)

    def _open(self, is_mapping: bool, position: Position) -> None:
        if len(self._stack) == MAX_DEPTH:
            self._note(f"values lie more than {MAX_DEPTH} levels deep here", self._next_path() or (), position)
            raise _StopReadingError
        is_key = self._awaits_key()
        if is_key:
            self.doubtful = True
            self._refuse_key("a key is one word or a quoted text, not a list or a group", position)
        path = None if is_key else self._next_path()
        self._stack.append(_Open({} if is_mapping else [], path, position, is_key=is_key))

    def _take_scalar(self, event: Any, position: Position) -> None:
        text: str = event.value
        plain: bool = event.implicit[0]
        path = self._next_path()
        if event.style in ("|", ">") and not self._has_usual_header(event.start_mark):
            self.doubtful = True
        if self._awaits_key():
            self._take_key(text, plain, position)
            return
        if plain and not text:
            position = self._stack[-1].key_position or position if self._stack else position
        value = None
        try:
            value = value_of(text, plain)
        except ValueError as error:
            self._note(str(error), path, position)
            self._leave_unread(path)
        if event.tag is not None:  # its value without the tag is unknown
            value = None
            self._leave_unread(path)
        self._put(value, position)

    def _has_usual_header(self, mark: Any) -> bool:
        # The parsers differ on a | or > followed by anything except a line break, and on blank lines below it.
        line_end = self.text.find("\n", mark.index)
        found = _BLOCK_HEADER.match(self.text, mark.index)
        return found is not None and found.end() == line_end + 1

    def _take_key(self, text: str, plain: bool, position: Position) -> None:
        mapping = self._stack[-1]
        mapping.key, mapping.key_position = _NO_KEY, position
        if plain and text == "<<":
            self._refuse_key(_MERGE, position)
            self._followed = False  # the group's keys are partly elsewhere, so its missing keys are unknown
            return
        try:
            key = value_of(text, plain)
        except ValueError as error:
            self._refuse_key(str(error), position)
            return
        if not isinstance(key, str):
            what = f'the key "{clean(text)}" is not text; put quotes around it' if text else "a key is missing here"
            self.doubtful |= not text
            self._refuse_key(what, position)
        elif key in mapping.lines:
            where = None if mapping.path is None else (*mapping.path, key)
            self._note(
                f'the key "{clean(key)}" is given twice, first on line {mapping.lines[key]}; delete one',
                where,
                position,
            )
        else:
            mapping.key = key
            mapping.lines[key] = position.line

    def _refuse_key(self, sentence: str, position: Position) -> None:
        self._note(sentence, self._stack[-1].path, position)
        self._leave_unread(self._stack[-1].path)

    def _leave_unread(self, path: Path | None) -> None:
        if path is not None:
            self._unread.add(_written(path))

    def _awaits_key(self) -> bool:
        return bool(self._stack) and isinstance(self._stack[-1].held, dict) and self._stack[-1].key is None

    def _next_path(self) -> Path | None:
        """Path of the next value; None where it is under a refused key."""
        if not self._stack:
            return ()
        top = self._stack[-1]
        if top.path is None or isinstance(top.key, _NoKey):
            return None
        if isinstance(top.held, list):
            return (*top.path, len(top.held))
        return top.path if top.key is None else (*top.path, top.key)

    def _put(self, value: Any, position: Position) -> None:
        if not self._stack:
            self.data = value
            self.places[()] = position
            return
        top = self._stack[-1]
        path = self._next_path()
        if path is not None and not self._awaits_key():
            self.places[path] = top.key_position or position
        if isinstance(top.held, list):
            top.held.append(value)
        elif top.key is None:  # an alias where a key is awaited
            top.key = _NO_KEY
        else:
            if isinstance(top.key, str):
                top.held[top.key] = value
            top.key = top.key_position = None

    def _note(self, sentence: str, path: Path | None, position: Position) -> None:
        problem = Problem(sentence, _written(path or ()), position.line, position.column)
        if self.problems[-1:] == [problem]:  # a key within a key: both are refused at the same place
            return
        self.problems.append(problem)
        if len(self.problems) == MAX_PROBLEMS:
            self.problems.append(Problem(MORE, "", position.line, position.column))
            raise _StopReadingError

    def _note_syntax(self, said: str, mark: Any, start: Any) -> None:
        sentence = next((ours for theirs, ours in _SYNTAX if re.search(theirs, said)), _NOT_YAML)
        if self._ended:
            sentence = _SECOND
        elif start is not None and sentence in _TOLD_WHERE_IT_STARTS:
            mark = start
        elif start is not None:
            sentence = sentence.replace("{line}", str(start.line + 1))
        position = self._last if mark is None else Position(mark.line + 1, mark.column + 1)
        self._followed, self.doubtful = False, True
        self._note(sentence, self._stack[-1].path if self._stack else (), position)


def _written(path: Path) -> str:
    written = ""
    for step in path:
        written = join(written, step)
    return written
