"""Read a spec file: YAML text to plain data and a map from spec path to line and column; refuse hostile input.

The text is checked in this order: size, encoding, invisible characters, tabs as indentation, line length, then the YAML
itself (see ``plain_yaml``). A tab inside a line counts as one space. Each problem is reported with one plain sentence
and one place: as ``Unreadable`` where the text cannot be parsed to its end, and in the document where only single
values and keys are refused, so that the rest can be checked against the schema in the same run.
"""

from __future__ import annotations

import itertools
import re
import stat
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, BinaryIO, NoReturn

from buildcheck.spec import plain_yaml
from buildcheck.spec.place import Position, Problem, clean, join, split

__all__ = [
    "MAX_BYTES",
    "Document",
    "Position",
    "Problem",
    "Unreadable",
    "clean",
    "join",
    "read_file",
    "read_stream",
    "read_text",
    "split",
]

MAX_BYTES = 1_000_000
"""Largest spec file, in bytes; at most one byte more than this is ever read."""

MAX_LINE = 10_000
"""Longest line, in characters: the parser takes quadratic time on some long lines."""

_UNSEEN = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]")
_TAB_INDENT = re.compile(r"^ *\t[ \t]*(?=[^ \t\n#])", re.MULTILINE)
_LONG_LINE = re.compile(rf"^[^\n]{{{MAX_LINE + 1},}}", re.MULTILINE)
_DIRECTIVE = re.compile(r"(?:[ \t]*(?:#[^\n]*)?\n)*%")
_START = Position(1, 1)
_WIDE_MARKS = {
    b"\xff\xfe\x00\x00": "UTF-32",  # before UTF-16, whose mark is the start of this one
    b"\x00\x00\xfe\xff": "UTF-32",
    b"\xff\xfe": "UTF-16",
    b"\xfe\xff": "UTF-16",
}


class Unreadable(Exception):
    """The file cannot be read as a spec, or not completely; ``problems`` has the reasons, in text order, never
    empty."""

    def __init__(self, name: str, problems: tuple[Problem, ...]) -> None:
        super().__init__(f"{name}: {problems[0].sentence}")
        self.name = name
        self.problems = problems

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.name, self.problems)


@dataclass(frozen=True, eq=False)
class Document:
    """A spec as plain data (dict, list, str, int, float, bool, None) with the position of each part.

    ``name`` is the file's name in messages. ``problems`` are the single values and keys that were refused, in the order
    of the text. ``legible`` is the rest, only for checking: a refused value is None in it, and a refused key is left
    out. ``unread`` holds the spec paths for which it has no data for that reason. ``text`` is the text as it was read,
    with its byte order mark and line ends.
    """

    name: str
    legible: dict[str, Any]
    problems: tuple[Problem, ...]
    unread: frozenset[str]
    text: str = field(repr=False)
    _places: plain_yaml.Places = field(repr=False)

    @property
    def data(self) -> dict[str, Any]:
        """The whole spec, in the units of the file.

        Raises Unreadable where any part of the spec was refused: code that does not check ``problems`` gets no data.
        """
        if self.problems:
            raise Unreadable(self.name, self.problems)
        return self.legible

    def position(self, path: str) -> Position:
        """Return the position of the key at a spec path; for a list item, where the item starts.

        For a path that is absent: the position of its nearest existing parent, which is where the missing key should
        go. Raises ValueError where ``path`` is not a spec path.
        """
        steps = tuple(split(path))
        while steps not in self._places:
            steps = steps[:-1]
        return self._places[steps]


def read_text(text: str | bytes, name: str) -> Document:
    """Read a spec from text, or from bytes in UTF-8 (a byte order mark is allowed).

    ``name`` is the text's name in messages. Raises Unreadable, and nothing else, where the text cannot be parsed to its
    end or is not a group of keys. A value or a key that is refused is among the document's problems.
    """
    _refuse_size(len(text), name)
    if isinstance(text, bytes):
        text = _decoded(text, name)
    written, text = text, text.removeprefix("\ufeff")
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    _refuse_unseen(text, name)
    # A tab within a line separates words like a space; the parsers disagree on tabs, so all are replaced.
    text = text.replace("\t", " ")
    data, places, problems, unread, followed = plain_yaml.read(text)
    if problems and not (followed and isinstance(data, dict)):
        raise Unreadable(name, problems)
    if not places:
        what = "holds nothing but comments" if text.strip() else "is empty"
        _refuse(name, f"the file {what}; it starts with a line like: format: 1")
    if not isinstance(data, dict):
        start = _START if data is None else places[()]
        _refuse(name, "the file holds no keys; it starts with a line like: format: 1", start)
    return Document(name, data, problems, unread, written, places)


def read_file(path: str | Path) -> Document:
    """Read a spec file in UTF-8; the document's name is the path as given.

    Raises Unreadable, also where the file is missing, not allowed, a folder, or larger than ``MAX_BYTES``.
    """
    name = clean(str(path))
    try:
        mode = Path(path).stat().st_mode  # follows symbolic links
        if not stat.S_ISREG(mode) and not stat.S_ISDIR(mode):
            _refuse(name, "this is a device or a pipe, not a file; give - to read standard input")
        with Path(path).open("rb") as stream:
            return read_stream(stream, str(path))
    except FileNotFoundError:
        _refuse(name, "there is no such file")
    except IsADirectoryError:
        _refuse(name, "this is a folder, not a file")
    except PermissionError:
        _refuse(name, "this file may not be read; change its permissions")
    except (OSError, ValueError):  # ValueError: a NUL inside the path
        _refuse(name, "the file cannot be opened")


def read_stream(stream: BinaryIO, name: str = "standard input") -> Document:
    """Read a spec from a stream of bytes, such as standard input; at most ``MAX_BYTES`` and one.

    Raises Unreadable; an OSError of the stream passes through.
    """
    parts: list[bytes] = []
    room = MAX_BYTES + 1
    while room > 0 and (part := stream.read(room)):  # a pipe may return less than requested
        parts.append(part)
        room -= len(part)
    return read_text(b"".join(parts), name)


def _decoded(raw: bytes, name: str) -> str:
    for mark, encoding in _WIDE_MARKS.items():
        if raw.startswith(mark):
            _refuse(name, f"the file is saved as {encoding}; save it as UTF-8")
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError as error:
        before = error.object[: error.start].decode("utf-8").removeprefix("\ufeff")
        sentence = f"the byte 0x{error.object[error.start]:02x} here is not UTF-8; save the file as UTF-8"
        _refuse(name, sentence, _position_after(before.replace("\r\n", "\n").replace("\r", "\n")))


def _refuse_size(size: int, name: str) -> None:
    if size > MAX_BYTES:
        _refuse(name, f"the file is larger than {MAX_BYTES} bytes, the limit for a spec")


def _refuse_unseen(text: str, name: str) -> None:
    """Refuse characters that a reader of the file cannot see, and those that change or slow the reading of the rest."""
    patterns = ((_UNSEEN, _unseen), (_TAB_INDENT, _tab), (_LONG_LINE, _long_line))
    found = [
        _problem(text, match.start(), sentence(match[0]))
        for pattern, sentence in patterns
        for match in itertools.islice(pattern.finditer(text), plain_yaml.MAX_PROBLEMS)
    ]
    directive = _DIRECTIVE.match(text)
    if directive is not None:
        found.append(_problem(text, directive.end() - 1, plain_yaml.DIRECTIVE))
    if found:
        found.sort(key=lambda problem: (problem.line, problem.column))
        shown = found[: plain_yaml.MAX_PROBLEMS]
        if len(found) >= plain_yaml.MAX_PROBLEMS:
            shown.append(shown[-1]._replace(sentence=plain_yaml.MORE))
        raise Unreadable(name, tuple(shown))


def _unseen(text: str) -> str:
    return f"there is an invisible character U+{ord(text):04X} here; delete it"


def _tab(text: str) -> str:
    return "a tab is used for indentation here; use spaces"


def _long_line(text: str) -> str:
    return f"this line is {len(text)} characters long; the limit is {MAX_LINE}"


def _problem(text: str, index: int, sentence: str) -> Problem:
    position = _position_after(text[:index])
    return Problem(sentence, "", position.line, position.column)


def _position_after(before: str) -> Position:
    return Position(before.count("\n") + 1, len(before) - before.rfind("\n"))


def _refuse(name: str, sentence: str, position: Position = _START) -> NoReturn:
    raise Unreadable(name, (Problem(sentence, "", position.line, position.column),))
